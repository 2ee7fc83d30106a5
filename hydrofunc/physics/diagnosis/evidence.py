"""How well one component of the prior explains the readings: its fit, and the evidence in closed form.

All arrays have one row per pair of plant and component, but causes stand first: `x`, means and deviations are
(causes, pairs).
"""

from typing import Any, NamedTuple

import numpy as np

from .model import Planned, readings_of
from .priors import (
    CAUSES,
    INDEX,
    METERED,
    NEVER_NEGATIVE,
    NEVER_POSITIVE,
    ODD,
    ODD_SHARE,
    ONE_INSTRUMENT,
    ORDINARY,
    SCALES,
    SCATTER,
    SECOND,
    SECOND_METER,
    SHARED,
    TOGETHER,
    TWO_AT,
)

_WIDER = max(of_builds for _, of_builds, _, _ in SCALES)
_FIRST = [number for number, _ in TWO_AT]
_LN_SHARE = np.log([share for *_, share in SCALES])
# Causes of which one may be odd, or a second fault; deviation of it as a second fault, 0 for one that is none.
_SINGLED = [INDEX[name] for name in CAUSES if SCATTER[name] > 0 or name in SECOND]
_SECOND = np.array([SECOND.get(CAUSES[cause], 0.0) for cause in _SINGLED])


class Gaussian(NamedTuple):
    """A prior of the causes, without correlations."""

    mean: np.ndarray
    deviation: np.ndarray


class Fit(NamedTuple):
    """Fits of pairs of plant and component; the first axis is the pair, but of `x`."""

    x: np.ndarray  # (causes, pairs)
    by_scale: np.ndarray  # ln evidence at each of SCALES, with its share (pairs, scales)
    odd: np.ndarray  # the same if one reading, meter or part of the build is far worse than the others
    two: np.ndarray  # ln evidence if there is another fault besides
    readings: np.ndarray  # as the fit has them
    slopes: np.ndarray  # of the readings
    weighed_slopes: np.ndarray  # the same in units of the readings' uncertainty
    inverse: np.ndarray  # S^-1, in these units
    weighed: np.ndarray  # S^-1 r

    def pick(self, pairs: Any) -> "Fit":
        """The same for some pairs."""
        return Fit(self.x[:, pairs], *(values[pairs] for values in self[1:]))

    def covariance(self, deviation: np.ndarray) -> np.ndarray:
        """Covariance of the causes after the fit; `deviation` (causes, pairs) is that of the prior.

        P - P J' S^-1 J P in the form D (1 + D J' J D)^-1 D, which subtracts nothing.
        """
        scale = deviation.T[:, :, None]
        slopes = np.ascontiguousarray(self.weighed_slopes * deviation.T[:, None, :])
        inverse = np.linalg.inv(np.eye(len(CAUSES)) + slopes.transpose(0, 2, 1) @ slopes)
        return scale * inverse * scale.transpose(0, 2, 1)

    @property
    def evidence(self) -> np.ndarray:
        """ln, summed over the scales of meters and builds, up to what all components share."""
        return np.logaddexp(ln_sum(self.by_scale) + np.log(1 - ODD_SHARE), self.odd + np.log(ODD_SHARE))


def ln_sum(logs: np.ndarray) -> np.ndarray:
    """ln of the sum of e to these, over the last axis."""
    most = np.maximum(logs.max(axis=-1), -1e300)
    return most + np.log(np.sum(np.exp(logs - most[..., None]), axis=-1))


def fit(
    y: np.ndarray, weight: np.ndarray, plan: Planned, kind: np.ndarray, prior: Gaussian, x: np.ndarray, passes: int
) -> Fit:
    """Fit the causes of each pair to its readings `y`, from `x` on, in so many passes.

    `weight` is one over the uncertainty of a reading; a reading of weight 0 is not used.
    """
    mean, deviation = prior
    meters = _errors(weight)
    for _ in range(passes):
        values, slopes = readings_of(x, plan, kind)
        known = np.isfinite(values).all(axis=1) & np.isfinite(slopes).all(axis=(1, 2))
        values, slopes = np.where(known[:, None], values, 0.0), np.where(known[:, None, None], slopes, 0.0)
        weighed_slopes = slopes * weight[:, :, None]
        spread = weighed_slopes * np.square(deviation.T[:, None, :])
        residual = np.where(weight > 0, (y - values) * weight, 0.0)
        residual = residual + np.sum(weighed_slopes * (x - mean).T[:, None, :], axis=2)
        builds = spread @ _turned(weighed_slopes)
        inverse = np.linalg.inv(builds + meters[SHARED])
        weighed = np.sum(inverse * residual[:, None, :], axis=2)
        change = np.sum(spread * weighed[:, :, None], axis=1).T
        before, x = x, _bounded(mean + change, prior)
    by_scale, odd, two = _evidences(
        y, weight, values, weighed_slopes, residual, deviation, kind, builds, meters, passes == 1
    )
    values = values + np.sum(slopes * (x - before).T[:, None, :], axis=2)
    by_scale, odd, two = (np.where(known, logs.T, -np.inf).T for logs in (by_scale, odd, two))
    return Fit(x, by_scale, odd, two, values, slopes, weighed_slopes, inverse, weighed)


def _turned(matrices):
    return np.ascontiguousarray(matrices.transpose(0, 2, 1))


def _errors(weight):
    """By the share that readings of one instrument share: covariance of their errors, in units of their uncertainty."""
    taken = weight > 0
    both = ONE_INSTRUMENT * (taken[:, :, None] & taken[:, None, :])
    return {shared: np.eye(METERED) + shared * both for shared in (0.0, SHARED)}


def _evidences(y, weight, values, slopes, residual, deviation, kind, builds, meters, first):
    """ln evidence at each of SCALES; and of two faults, over the scales of TWO_AT alone.

    A first look does with a few scales, to save time.
    """
    ordinary, taken = ORDINARY[:, kind], weight > 0
    wider = np.square(np.where(ordinary, _WIDER * deviation, deviation).T[:, None, :])
    builds = {1.0: builds, _WIDER: (slopes * wider) @ _turned(slopes)}
    used = np.where(taken[:, :, None] | taken[:, None, :], 1.0, 0.0)  # what was not read stays at its own 1

    def matrix(of_meters, of_builds, shared):
        return builds[of_builds] + meters[shared] * np.where(used, np.square(of_meters), 1.0)

    logs = [
        _ln_density(matrix(of_meters, of_builds, shared), residual)
        if not first or number in _FIRST
        else np.full(len(residual), -np.inf)
        for number, (of_meters, of_builds, shared, _) in enumerate(SCALES)
    ]
    off = np.maximum(abs(y), abs(values)) * weight  # of a meter off by its whole reading, in its uncertainties
    odd, two = [], []
    for number, share in TWO_AT[:1] if first else TWO_AT:
        inverse = np.linalg.inv(matrix(*SCALES[number][:3]))
        by_odd, by_second = _gains(slopes, inverse, residual, off, taken, deviation, ordinary)
        odd.append(np.log(share) + logs[number] + by_odd)
        two.append(np.log(share) + logs[number] + by_second)
    return np.stack(logs, axis=1) + _LN_SHARE, ln_sum(np.stack(odd, axis=1)), ln_sum(np.stack(two, axis=1))


def _ln_density(matrix, residual):
    """ln of the Gaussian density at the residual, with this covariance.

    One Cholesky factorisation serves for both parts: with the residual as one more row and column and a corner c, the
    last pivot squared is c - r' S^-1 r, and the others are the roots of the determinant.
    """
    size = residual.shape[1]
    # More than r' S^-1 r can be: no error of meters has less than this share of its variance by itself.
    corner = 1 + np.sum(np.square(residual), axis=1) / (1 - SHARED)
    whole = np.empty((len(residual), size + 1, size + 1))
    whole[:, :size, :size] = matrix
    whole[:, size, :size] = whole[:, :size, size] = residual
    whole[:, size, size] = corner
    pivots = np.diagonal(np.linalg.cholesky(whole), axis1=1, axis2=2)
    return -(corner - np.square(pivots[:, -1])) / 2 - np.sum(np.log(pivots[:, :-1]), axis=1)


def _gains(slopes, inverse, residual, off, taken, deviation, ordinary):
    """ln of the mean gain of evidence by one that is odd, and by one more fault: a change of rank one each.

    Either is one cause, one reading, or all readings of one meter.
    """
    weighed = np.sum(inverse * residual[:, None, :], axis=2)
    causes = slopes[:, :, _SINGLED]
    of_causes = np.sum(causes * weighed[:, :, None], axis=1), np.sum(causes * (inverse @ causes), axis=1)
    prior = deviation[_SINGLED].T
    usual = np.where(ordinary[_SINGLED].T, ODD * prior, 0.0)
    second = np.where(prior < _SECOND / 3, _SECOND, 0.0)  # not wide by the first fault

    def of_meters(size):
        spread = inverse * size[:, :, None] * size[:, None, :]
        pull = (size * weighed) @ TOGETHER
        return pull, np.sum(TOGETHER * (spread @ TOGETHER), axis=1)

    several = np.where(taken, 1.0, 0.0) @ abs(TOGETHER) >= np.minimum(abs(TOGETHER).sum(axis=0), 2)

    def gain(size_of_causes, size_of_meters):
        pull, weight = (np.concatenate(parts, axis=1) for parts in zip(of_causes, of_meters(size_of_meters)))
        size = np.concatenate([size_of_causes, np.where(several, 1.0, 0.0)], axis=1)
        gains = (
            np.square(size) * np.square(pull) / (1 + np.square(size) * weight) - np.log1p(np.square(size) * weight)
        ) / 2
        return ln_sum(np.where(size > 0, gains, -np.inf)) - np.log((size > 0).sum(axis=1))

    return gain(usual, ODD * taken), gain(second, SECOND_METER * off)


def _bounded(x, prior):
    """Causes within six deviations; those that only add stay at or above 0, shares that only take away at or below."""
    x = np.clip(x, prior.mean - 6 * prior.deviation, prior.mean + 6 * prior.deviation)
    x[NEVER_NEGATIVE] = np.maximum(x[NEVER_NEGATIVE], 0.0)
    x[NEVER_POSITIVE] = np.minimum(x[NEVER_POSITIVE], 0.0)
    return x


def variance(slopes: np.ndarray, covariance: np.ndarray) -> np.ndarray:
    """Variance of values (pairs, values) with these derivatives to the causes."""
    return np.maximum(np.sum((slopes @ covariance) * slopes, axis=2), 0.0)
