"""Uncertainty of a result from those of its inputs, after the GUM (JCGM 100:2008). SI units.

Lists stand on the last axis; the axes before it broadcast. Lists that do not fit together give NaN, so no
function raises. A list shorter than it should be is never stretched, as a worksheet drops blank cells; only a
single 0 stands for zeros throughout.
"""

import numpy as np

from .lists import full_list
from .roots import positive_root
from .values import Result, Values

MOST_DEGREES = 1e6  # of freedom; more are counted as so many, which changes a coverage factor by less than 3e-6
# ln(Gamma(x + 1/2) / Gamma(x)) - ln(x) / 2 in odd powers of 1/x: from the series of ln Gamma with Bernoulli
# polynomials (F. W. J. Olver, NIST Handbook of Mathematical Functions, 5.11.8).
_HALF_STEP = (-1 / 8, 1 / 192, -1 / 640, 17 / 14336, -31 / 18432)
_LARGE_ENOUGH = 16  # steps of recurrence before that series is used
_TINY = 1e-300


def correlation_matrix(correlations: Values, count: int) -> Result:
    """The symmetric matrix of `count` inputs from the correlation of each pair. [-]

    `correlations` holds on its last axis count (count - 1) / 2 values in the order of the pairs 1-2, 1-3, ..., 2-3,
    ..., or a single 0; anything else gives NaN, and so do correlations that cannot stand together.
    """
    above = np.triu_indices(count, 1)
    matrix = np.zeros((*np.shape(correlations)[:-1], count, count))
    matrix[..., above[0], above[1]] = full_list(correlations, above[0].size)
    matrix = matrix + np.swapaxes(matrix, -1, -2) + np.eye(count)
    known = ~np.isnan(matrix).any(axis=(-1, -2))
    lowest = np.linalg.eigvalsh(np.where(known[..., None, None], matrix, 0.0))[..., 0]
    return np.where((known & (lowest >= -1e-9))[..., None, None], matrix, np.nan)


def combined_uncertainty(uncertainties: Values, sensitivities: Values, correlations: Values) -> Result:
    """Standard uncertainty of a result.

    Parameters
    ----------
    uncertainties : array_like
        Standard uncertainty of each input, on the last axis. [-]
    sensitivities : array_like
        Change of the result per change of each input. [-]
    correlations : array_like
        As for `correlation_matrix`; a single 0 for inputs that are independent. [-]

    Returns
    -------
    float or ndarray
        sqrt(sum over i and j of c_i c_j u_i u_j r_ij), in the unit of c u; NaN where the lists do not fit. [-]

    References
    ----------
    JCGM 100:2008 (GUM), equations 10 and 16.
    """
    count = np.shape(uncertainties)[-1]
    contributions = np.asarray(uncertainties, dtype=float) * full_list(sensitivities, count)
    matrix = correlation_matrix(correlations, count)
    variance = np.einsum("...i,...ij,...j->...", contributions, matrix, contributions)
    return np.sqrt(np.maximum(variance, 0.0))  # rounding may leave a variance of 0 just below


def effective_degrees(contributions: Values, degrees_each: Values) -> Result:
    """Degrees of freedom of a combined uncertainty.

    Parameters
    ----------
    contributions : array_like
        Uncertainty each input contributes, sensitivity × standard uncertainty, on the last axis. [-]
    degrees_each : array_like
        Degrees of freedom of each; 0 where the uncertainty is not from repeated readings, which counts as
        infinitely many. [-]

    Returns
    -------
    float or ndarray
        (sum of u²)² / sum of (u⁴ / degrees), at most `MOST_DEGREES`; NaN where the lists do not fit or nothing
        contributes. Independent inputs only. [-]

    References
    ----------
    JCGM 100:2008 (GUM), equation G.2b (Welch and Satterthwaite).
    """
    contributions = np.asarray(contributions, dtype=float)
    degrees = full_list(degrees_each, contributions.shape[-1])
    endless = degrees == 0
    with np.errstate(all="ignore"):
        shares = np.square(contributions) / np.sum(np.square(contributions), axis=-1, keepdims=True)
        left = np.sum(np.where(endless, 0.0, np.square(shares) / np.where(endless, 1.0, degrees)), axis=-1)
        return 1 / np.maximum(left + 0 * np.sum(shares, axis=-1), 1 / MOST_DEGREES)


def coverage_factor(degrees_of_freedom: Values, confidence: Values) -> Result:
    """Factor of an expanded uncertainty: Student's t for a two-sided interval.

    Parameters
    ----------
    degrees_of_freedom : array_like
        1 or more, not necessarily whole; more than `MOST_DEGREES` count as so many. [-]
    confidence : array_like
        Probability that the interval holds the value, between 0 and 1. [-]

    Returns
    -------
    float or ndarray
        t at which the probability of both tails together is 1 - confidence. [-]

    References
    ----------
    JCGM 100:2008 (GUM), G.3 and table G.2.
    """
    degrees, tail = np.broadcast_arrays(
        np.minimum(np.asarray(degrees_of_freedom, dtype=float), MOST_DEGREES), 1 - np.asarray(confidence, dtype=float)
    )
    peak = np.exp(_log_gamma_half_step(degrees / 2)) / np.sqrt(np.pi * degrees)  # density at 0

    def rarity(factor, degrees, peak):
        """One over the probability of both tails, and its derivative to ln(factor)."""
        tails = _both_tails(factor, degrees, peak)
        density = peak * np.exp(-(degrees + 1) / 2 * np.log1p(np.square(factor) / degrees))
        return 1 / tails, 2 * density * factor / tails / tails  # the square alone could be too small to hold

    possible = np.isfinite(degrees) & (tail > 0) & (tail < 1)
    with np.errstate(all="ignore"):  # far out, where a step may come to, nothing is left of the tails
        beyond = np.sqrt(degrees * np.expm1(-2 / degrees * np.log(tail)))  # from this side no step goes too far
        return positive_root(
            rarity, np.where(possible, 1 / tail, np.nan), np.where(possible, beyond, 1.0), degrees, peak
        )


def _log_gamma_half_step(x):
    """ln(Gamma(x + 1/2) / Gamma(x)) for x of 1/2 or more."""
    product = 1.0
    for step in range(_LARGE_ENOUGH):
        product = product * (x + step) / (x + step + 0.5)
    large = x + _LARGE_ENOUGH
    series = sum(factor / np.power(large, 2 * term + 1) for term, factor in enumerate(_HALF_STEP))
    return 0.5 * np.log(large) + series + np.log(product)


def _both_tails(factor, degrees, peak):
    """Probability outside ±factor: the incomplete beta function at degrees / (degrees + t²) of (degrees / 2, 1/2).

    Its continued fraction (NIST Handbook of Mathematical Functions, 8.17.22) by the method of Lentz, on the
    side on which it converges fast.
    """
    outside = degrees / (degrees + np.square(factor))
    inside = np.square(factor) / (degrees + np.square(factor))
    a, b = degrees / 2, 0.5
    tail_side = outside < (a + 1) / (a + b + 2)
    front = peak * factor * np.exp(-degrees / 2 * np.log1p(np.square(factor) / degrees)) * np.sqrt(outside)
    # front = x^a (1 - x)^b / B(a, b), as peak = 1 / (sqrt(degrees) B(a, b)).
    tail = front / a * _beta_fraction(outside, a, b, tail_side)
    centre = front / b * _beta_fraction(inside, b, a, ~tail_side)
    return np.where(tail_side, tail, 1 - centre)


def _beta_fraction(x, a, b, lanes):
    """Continued fraction of the incomplete beta function where `lanes`, to rounding."""
    x = np.where(lanes, x, 0.0)  # the fraction is 1 there at once
    c = np.ones(np.broadcast_shapes(np.shape(x), np.shape(a), np.shape(b)))
    d = 1 / _away_from_zero(1 - (a + b) * x / (a + 1))
    value = d
    m = 0
    moving = np.isfinite(value)
    while np.any(moving):
        m += 1
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        change = 1.0
        for coefficient in (even, odd):
            d = 1 / _away_from_zero(1 + coefficient * d)
            c = _away_from_zero(1 + coefficient / c)
            change = change * d * c
        value = value * np.where(moving, change, 1.0)
        moving = moving & (abs(change - 1) > 3e-15) & np.isfinite(value)
    return value


def _away_from_zero(value):
    return np.where(abs(value) < _TINY, _TINY, value)
