"""Points of a Latin hypercube: the range of each input in as many equal slices as there are points, each hit once.

M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21(2) (1979) 239-245.

A point hangs on nothing but seed, input and its own number, so that any part of them can be asked for, in any process,
and no list of them is held. The slice comes from a permutation that needs no memory: the number is cut into two halves
that are mixed with each other in turn (Feistel), and what falls beyond the last slice goes through again until it does
not (cycle walking: J. Black, P. Rogaway, Ciphers with Arbitrary Finite Domains, 2002). Such a map is one to one,
whatever does the mixing; here the last steps of SplitMix64 do (G. L. Steele, D. Lea, C. H. Flood, Fast splittable
pseudorandom number generators, ACM SIGPLAN Notices 49(10) (2014) 453-472). None of the three was read: they are known
by works and programs that cite them.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

ROUNDS = 8
FINE = 20  # bits of the place within a slice

Numbers = NDArray[np.uint64]


@dataclass(frozen=True)
class Span:
    """The range of an input between two numbers."""

    low: float
    high: float


@dataclass(frozen=True)
class Latin:
    """So many points, in the order that belongs to a seed."""

    count: int
    seed: int

    def values(self, number: int, span: Span | np.ndarray, points: NDArray[np.int64]) -> np.ndarray:
        """Values of the input of this number at some points, numbered from 0.

        Of a span one value in each slice, anywhere in it; of a list each value as often as any other, or once more.
        """
        slices = self.slices(number, points)
        if not isinstance(span, Span):
            return span[slices * len(span) // self.count]
        within = (_mixed(points.astype(np.uint64) + self._keys(number)[-1]) >> np.uint64(64 - FINE)).astype(float)
        share = (slices + (within + 0.5) / 2**FINE) / self.count
        return span.low * (1 - share) + span.high * share

    def slices(self, number: int, points: NDArray[np.int64]) -> NDArray[np.int64]:
        """The slice in which each of these points lies, from 0: over all points a permutation."""
        result = self._permuted(number, points.astype(np.uint64))
        while (beyond := np.flatnonzero(result >= self.count)).size:
            result[beyond] = self._permuted(number, result[beyond])
        return result.astype(np.int64)

    def _permuted(self, number: int, values: Numbers) -> Numbers:
        """A permutation of the numbers below the power of four that holds all points."""
        half = np.uint64(max(1, ((self.count - 1).bit_length() + 1) // 2))
        mask = (np.uint64(1) << half) - np.uint64(1)
        left, right = values >> half, values & mask
        for key in self._keys(number)[:ROUNDS]:
            left, right = right, left ^ (_mixed(right + key) & mask)
        return (left << half) | right

    def _keys(self, number: int) -> Numbers:
        return _keys(self.seed, number)


@cache
def _keys(seed: int, number: int) -> Numbers:
    """One for each round of the permutation, and one for the place within a slice."""
    return np.random.SeedSequence([seed, number]).generate_state(ROUNDS + 1, np.uint64)


def _mixed(values: Numbers) -> Numbers:
    """Numbers of 64 bits, each bit of which hangs on all bits of those given."""
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        values = (values ^ (values >> np.uint64(shift))) * np.uint64(factor)
    return values ^ (values >> np.uint64(31))
