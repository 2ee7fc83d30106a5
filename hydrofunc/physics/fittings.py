"""Loss coefficients of fittings, and roughness of pipe walls. SI units."""

import numpy as np

from .pipe import friction_factor

# Crane TP-410, appendix A: K = n fT. `long bend` is a bend of radius 1.5 bores.
CRANE = {
    "gate valve": 8.0, "ball valve": 3.0, "globe valve": 340.0, "swing check valve": 100.0, "90 elbow": 30.0,
    "45 elbow": 16.0, "long bend": 14.0, "tee run": 20.0, "tee branch": 60.0,
}
# Crane TP-410, appendix A: K itself.
FIXED = {"sharp entrance": 0.5, "rounded entrance": 0.04, "projecting entrance": 0.78, "exit": 1.0}
FITTINGS = (*FIXED, *CRANE)

# [mm] R. C. Binder, Fluid Mechanics (1973); I. E. Idelchik, Handbook of Hydraulic Resistance.
ROUGHNESS = {
    ("polyethylene", "new"): 0.003, ("polyethylene", "used"): 0.007, ("polyethylene", "fouled"): 0.1,
    ("pvc", "new"): 0.003, ("pvc", "used"): 0.007, ("pvc", "fouled"): 0.1,
    ("steel", "new"): 0.045, ("steel", "used"): 0.15, ("steel", "fouled"): 1.0,
    ("galvanised steel", "new"): 0.15, ("galvanised steel", "used"): 0.3, ("galvanised steel", "fouled"): 1.0,
    ("cast iron", "new"): 0.26, ("cast iron", "used"): 1.0, ("cast iron", "fouled"): 3.0,
    ("copper", "new"): 0.0015, ("copper", "used"): 0.01, ("copper", "fouled"): 0.1,
    ("rubber hose", "new"): 0.03, ("rubber hose", "used"): 0.07, ("rubber hose", "fouled"): 0.3,
}
HAZEN = {"polyethylene": 150.0, "pvc": 150.0, "copper": 150.0, "steel": 120.0, "galvanised steel": 120.0, "cast iron": 100.0}


def lookup(table, *keys):
    """Value of `table` for each word, or each tuple of words in step; NaN where there is none."""
    if all(np.ndim(key) == 0 for key in keys):
        words = tuple(map(str, keys))
        return table.get(words if len(words) > 1 else words[0], np.nan)
    arrays = np.broadcast_arrays(*keys)
    rows, back = np.unique(np.stack([a.ravel() for a in arrays]), axis=1, return_inverse=True)
    values = np.array([table.get(tuple(map(str, c)) if len(c) > 1 else str(c[0]), np.nan) for c in rows.T])
    return values[back.ravel()].reshape(arrays[0].shape)


def turbulent_factor(bore):
    """Friction factor of complete turbulence in clean commercial steel, fT of Crane TP-410."""
    return friction_factor(7.5e6 * np.asarray(bore), 3.4126825352925e-5 * np.asarray(bore) ** -1.0112)


def fitting_loss(fitting, bore):
    """Loss coefficient K of a fitting, referred to the velocity in `bore`. [-]"""
    many = lookup({**CRANE, **dict.fromkeys(FIXED, 0.0)}, fitting)
    return many * turbulent_factor(bore) + lookup({**FIXED, **dict.fromkeys(CRANE, 0.0)}, fitting)


def sudden_contraction_loss(bore, bore_2):
    """K of a step from `bore` down to `bore_2`, referred to the velocity in `bore_2`. [-]"""
    return 0.5 * (1 - (bore_2 / bore) ** 2)


def sudden_expansion_loss(bore, bore_2):
    """K of a step from `bore` up to `bore_2`, referred to the velocity in `bore`. [-]"""
    return (1 - (bore / bore_2) ** 2) ** 2


def roughness(material, condition):
    """Absolute roughness of a pipe wall. [m]"""
    return lookup(ROUGHNESS, material, condition) * 1e-3


def hazen_williams_coefficient(material):
    """Hazen-Williams C. [-]"""
    return lookup(HAZEN, material)
