"""Loss coefficients of fittings, and roughness of pipe walls (`roughness.csv`, with sources). SI units."""

import numpy as np

from .pipe import friction_factor
from .tables import look_up, rows_of
from .values import Result, Values, Words

# K = n fT (Crane TP-410, appendix A). "long bend" has a radius of 1.5 bores; the valves are fully open.
OF_TURBULENT_FACTOR = {
    "gate valve": 8.0,
    "ball valve": 3.0,
    "globe valve": 340.0,
    "swing check valve": 100.0,
    "90 elbow": 30.0,
    "45 elbow": 16.0,
    "long bend": 14.0,
    "tee run": 20.0,
    "tee branch": 60.0,
}
# K itself (Crane TP-410, appendix A; "projecting entrance" and "exit" from memory, page not checked).
CONSTANT = {"sharp entrance": 0.5, "rounded entrance": 0.04, "projecting entrance": 0.78, "exit": 1.0}
FITTINGS = (*CONSTANT, *OF_TURBULENT_FACTOR)

_MULTIPLE = dict.fromkeys(CONSTANT, 0.0) | OF_TURBULENT_FACTOR
_FIXED = dict.fromkeys(OF_TURBULENT_FACTOR, 0.0) | CONSTANT

ROUGHNESS = {(row["material"], row["condition"]): float(row["roughness_mm"]) * 1e-3 for row in rows_of("roughness.csv")}
MATERIALS, CONDITIONS = (tuple(dict.fromkeys(key[part] for key in ROUGHNESS)) for part in range(2))
# A published table of Hazen-Williams coefficients for new pipe.
HAZEN_WILLIAMS = {
    "polyethylene": 150.0,
    "pvc": 150.0,
    "copper": 150.0,
    "steel": 120.0,
    "galvanised steel": 120.0,
    "cast iron": 100.0,
}


def turbulent_factor(bore: Values) -> Result:
    """Friction factor of clean commercial steel in complete turbulence, fT of Crane TP-410. [-]

    The fit of fluids.friction.ft_Crane to Crane's table; `bore` in m.
    """
    return friction_factor(7.5e6 * np.asarray(bore), 3.4126825352925e-5 * np.power(np.asarray(bore), -1.0112))


def fitting_loss(fitting: Words, bore: Values) -> Result:
    """Loss coefficient K of a fitting, referred to the velocity in `bore` [m]. [-]

    The head lost is K V² / 2g.

    References
    ----------
    Crane Co., Flow of Fluids Through Valves, Fittings and Pipe, TP-410, appendix A.
    """
    return look_up(_MULTIPLE, fitting) * turbulent_factor(bore) + look_up(_FIXED, fitting)


def sudden_contraction_loss(bore: Values, bore_2: Values) -> Result:
    """K of a step down from `bore` to `bore_2`, referred to the velocity in the smaller, `bore_2`. [-]"""
    return 0.5 * (1 - np.square(bore_2 / bore))


def sudden_expansion_loss(bore: Values, bore_2: Values) -> Result:
    """K of a step up from `bore` to `bore_2`, referred to the velocity in the smaller, `bore`. [-]"""
    return np.square(1 - np.square(bore / bore_2))


def roughness(material: Words, condition: Words) -> Result:
    """Absolute roughness of a pipe wall. [m]"""
    return look_up(ROUGHNESS, material, condition)


def hazen_williams_coefficient(material: Words) -> Result:
    """Coefficient C of Hazen and Williams for new pipe. [-]"""
    return look_up(HAZEN_WILLIAMS, material)
