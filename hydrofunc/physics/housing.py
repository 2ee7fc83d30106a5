"""The box round the wheel, and how high the water stands behind its outlet. SI units.

Water leaves through an opening into free air. Where the opening is not covered, it flows as over a weir;
where it is, as through a hole. One integral over the height of the opening holds for both: each strip passes
Cd sqrt(2 g (level - height)). The flow towards the opening is taken as slow.
"""

import numpy as np

from .roots import positive_root
from .values import Result, Values, Words

OUTLETS = ("slot", "round hole", "floor hole")
_ANGLES, _WEIGHTS = np.polynomial.legendre.leggauss(48)
_ANGLES, _WEIGHTS = (_ANGLES + 1) * np.pi / 4, _WEIGHTS * np.pi / 4
_SIN2 = np.square(np.sin(_ANGLES))
_SIN2COS2 = _SIN2 * np.square(np.cos(_ANGLES))


def hole_head(flow: Values, hole: Values, discharge_coefficient: Values, gravity: Values) -> Result:
    """Head over the centre of a covered hole [m] that passes a flow [m³/s], (Q / Cd A)² / 2g. [m]"""
    return np.square(flow / (discharge_coefficient * np.pi / 4 * np.square(np.asarray(hole)))) / (2 * gravity)


def outlet_flow(
    water_level: Values,
    outlet: Words,
    opening_width: Values,
    opening_height: Values,
    blocked_share: Values,
    discharge_coefficient: Values,
    gravity: Values,
) -> Result:
    """Flow that leaves a box through its outlet at a water level.

    Parameters
    ----------
    water_level : array_like
        Water above the lower edge of an opening in the wall, or above the floor. [m]
    outlet : array_like of str
        "slot": rectangle in a wall; "round hole": in a wall; "floor hole": round, in the floor.
    opening_width : array_like
        Width of the slot, or diameter of the hole. [m]
    opening_height : array_like
        Height of the slot; infinite where it has no upper edge. Not used for holes. [m]
    blocked_share : array_like
        Share of the opening's area that leaves and moss have closed. [-]
    discharge_coefficient : array_like
        Sharp-edged 0.60 to 0.62. [-]
    gravity : array_like
        Gravitational acceleration. [m/s²]

    Returns
    -------
    float or ndarray
        Slot: 2/3 Cd b sqrt(2 g) (y^1.5 - (y - h)^1.5). Round hole: the same strips, summed over the circle.
        Floor hole: a weir along its rim, 2/3 Cd pi D sqrt(2 g) y^1.5, or a hole, Cd A sqrt(2 g y),
        whichever passes less. NaN for another word. [m³/s]

    References
    ----------
    Strips: the derivation of the large orifice and of the weir in any textbook of hydraulics. Floor hole:
    weir and orifice of a grate in a sag, the lesser counting, FHWA HEC-22, Urban drainage design manual,
    chapter 4 (from memory, not looked up).
    """
    width = _open(outlet, opening_width, blocked_share)
    return _passed(water_level, outlet, width, opening_height, discharge_coefficient, gravity)[0]


def outlet_level(
    flow: Values,
    outlet: Words,
    opening_width: Values,
    opening_height: Values,
    blocked_share: Values,
    discharge_coefficient: Values,
    gravity: Values,
) -> Result:
    """Water level in the box at which a flow [m³/s] leaves: the inverse of `outlet_flow`. [m]"""
    width = _open(outlet, opening_width, blocked_share)

    def passed(level, *opening):
        return _passed(level, *opening)[:2]

    opening = (outlet, width, opening_height, discharge_coefficient, gravity)
    level = positive_root(passed, flow, np.cbrt(np.square(flow / width) / gravity) + 1e-9, *opening)
    return np.where(np.asarray(flow) == 0, 0.0, level)


def outlet_width(
    flow: Values,
    outlet: Words,
    water_level: Values,
    opening_height: Values,
    blocked_share: Values,
    discharge_coefficient: Values,
    gravity: Values,
) -> Result:
    """Smallest opening that keeps the box at a water level: width of the slot, or diameter. [m]"""

    def passed(width, water_level, outlet, *rest):
        return _passed(water_level, outlet, width, *rest)[::2]

    opening = (water_level, outlet, opening_height, discharge_coefficient, gravity)
    width = positive_root(passed, flow, np.asarray(water_level, dtype=float), *opening)
    return np.where(np.asarray(flow) == 0, 0.0, width / _open(outlet, 1.0, blocked_share))


def _open(outlet, opening_width, blocked_share):
    """Width of the opening that remains: a slot loses width, a hole diameter."""
    left = 1 - np.asarray(blocked_share)
    return opening_width * np.where(np.asarray(outlet) == "slot", left, np.sqrt(left))


def _passed(level, outlet, width, height, discharge_coefficient, gravity):
    """Flow, its derivative to ln(level), and its derivative to ln(width)."""
    level, width = np.asarray(level, dtype=float), np.asarray(width, dtype=float)
    jet = discharge_coefficient * np.sqrt(2 * gravity)
    covered = np.maximum(level - np.asarray(height), 0)
    slot = 2 / 3 * jet * width * (np.power(level, 1.5) - np.power(covered, 1.5))
    by_level = jet * width * level * (np.sqrt(level) - np.sqrt(covered))
    kinds = [np.asarray(outlet) == name for name in OUTLETS]
    if np.all(kinds[0]):  # the sums below cost forty times as much
        return tuple(np.broadcast_arrays(slot, by_level, slot, kinds[0])[:3])

    low = np.minimum(level, width)[..., None]
    high = np.maximum(level, width)[..., None]
    fall = np.sqrt(np.maximum(high - low * _SIN2, 0))
    hole = jet * (4 * np.square(low) * _SIN2COS2 * _WEIGHTS * fall).sum(axis=-1)
    part_full = (np.square(low) * _SIN2 * _WEIGHTS * fall).sum(axis=-1)
    covered_hole = (np.square(low) * high * _SIN2COS2 * _WEIGHTS / np.maximum(fall, 1e-150)).sum(axis=-1)
    hole_by_level = 2 * jet * np.where(level < width, part_full, covered_hole)

    rim = 2 / 3 * jet * np.pi * width * np.power(level, 1.5)
    drowned = jet * np.pi / 4 * np.square(width) * np.sqrt(level)
    weir = rim < drowned

    def of_kind(*values):
        return np.select(kinds, np.broadcast_arrays(*values), np.nan)

    return (
        of_kind(slot, hole, np.minimum(rim, drowned)),
        of_kind(by_level, hole_by_level, np.where(weir, 1.5 * rim, 0.5 * drowned)),
        of_kind(slot, 2.5 * hole - hole_by_level, np.where(weir, rim, 2 * drowned)),
    )
