"""How well one component of the prior explains the readings: its fit, and the evidence in closed form.

All arrays have one row per pair of plant and component, but causes stand first: `x`, means and deviations are
(causes, pairs).
"""

from typing import Any, NamedTuple

import numpy as np

from .model import Planned, readings_of
from .priors import CAUSES, NEVER_NEGATIVE, NEVER_POSITIVE, READINGS


class Gaussian(NamedTuple):
    """A prior of the causes, without correlations."""

    mean: np.ndarray
    deviation: np.ndarray


class Fit(NamedTuple):
    """Fits of pairs of plant and component; the first axis is the pair, but of `x`."""

    x: np.ndarray  # (causes, pairs)
    evidence: np.ndarray  # ln, up to what all components share
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


def fit(
    y: np.ndarray, weight: np.ndarray, plan: Planned, kind: np.ndarray, prior: Gaussian, x: np.ndarray, passes: int
) -> Fit:
    """Fit the causes of each pair to its readings `y`, from `x` on, in so many passes.

    `weight` is one over the uncertainty of a reading; a reading of weight 0 is not used.
    """
    mean, deviation = prior
    for _ in range(passes):
        values, slopes = readings_of(x, plan, kind)
        known = np.isfinite(values).all(axis=1) & np.isfinite(slopes).all(axis=(1, 2))
        values, slopes = np.where(known[:, None], values, 0.0), np.where(known[:, None, None], slopes, 0.0)
        weighed_slopes = slopes * weight[:, :, None]
        spread = weighed_slopes * deviation.T[:, None, :] ** 2
        matrix = spread @ np.ascontiguousarray(weighed_slopes.transpose(0, 2, 1)) + np.eye(len(READINGS))
        residual = np.where(weight > 0, (y - values) * weight, 0.0)
        residual = residual + np.sum(weighed_slopes * (x - mean).T[:, None, :], axis=2)
        inverse = np.linalg.inv(matrix)
        weighed = np.sum(inverse * residual[:, None, :], axis=2)
        evidence = -(np.sum(residual * weighed, axis=1) + np.linalg.slogdet(matrix)[1]) / 2
        change = np.sum(spread * weighed[:, :, None], axis=1).T
        before, x = x, _bounded(mean + change, prior)
    values = values + np.sum(slopes * (x - before).T[:, None, :], axis=2)
    return Fit(x, np.where(known, evidence, -np.inf), values, slopes, weighed_slopes, inverse, weighed)


def _bounded(x, prior):
    """Causes within six deviations; those that only add stay at or above 0, shares that only take away at or below."""
    x = np.clip(x, prior.mean - 6 * prior.deviation, prior.mean + 6 * prior.deviation)
    x[NEVER_NEGATIVE] = np.maximum(x[NEVER_NEGATIVE], 0.0)
    x[NEVER_POSITIVE] = np.minimum(x[NEVER_POSITIVE], 0.0)
    return x


def variance(slopes: np.ndarray, covariance: np.ndarray) -> np.ndarray:
    """Variance of values (pairs, values) with these derivatives to the causes."""
    return np.maximum(np.sum((slopes @ covariance) * slopes, axis=2), 0.0)
