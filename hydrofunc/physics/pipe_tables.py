"""Dimensions of pipes by standard, size and class. SI units."""

from .fittings import lookup

_STEEL = ("1/2", "3/4", "1", "1 1/4", "1 1/2", "2")
_EN = {"medium": (21.3, 26.9, 33.7, 42.4, 48.3, 60.3), "heavy": (21.3, 26.9, 33.7, 42.4, 48.3, 60.3)}
_EN_T = {"medium": (2.6, 2.6, 3.2, 3.2, 3.2, 3.6), "heavy": (3.2, 3.2, 4.0, 4.0, 4.0, 4.5)}
_PE = {"sdr 11": {20: 2.0, 25: 2.3, 32: 3.0, 40: 3.7, 50: 4.6, 63: 5.8, 75: 6.8, 90: 8.2, 110: 10.0},
       "sdr 17": {32: 2.0, 40: 2.4, 50: 3.0, 63: 3.8, 75: 4.5, 90: 5.4, 110: 6.6}}
OUTSIDE, WALL = {}, {}
for _c in _EN:
    for _s, _o, _t in zip(_STEEL, _EN[_c], _EN_T[_c]):
        OUTSIDE["en 10255", _s, _c], WALL["en 10255", _s, _c] = _o, _t
for _c, _sizes in _PE.items():
    for _s, _t in _sizes.items():
        OUTSIDE["pe100 iso 4427", str(_s), _c], WALL["pe100 iso 4427", str(_s), _c] = _s, _t
BORE = {key: OUTSIDE[key] - 2 * WALL[key] for key in OUTSIDE}
STANDARDS = tuple(dict.fromkeys(k[0] for k in BORE))
SIZES = tuple(dict.fromkeys(k[1] for k in BORE))
CLASSES = tuple(dict.fromkeys(k[2] for k in BORE))


def pipe_bore(pipe_standard, size, pipe_class):
    """Inside diameter. [m]"""
    return lookup(BORE, pipe_standard, size, pipe_class) * 1e-3


def pipe_wall(pipe_standard, size, pipe_class):
    """Wall thickness. [m]"""
    return lookup(WALL, pipe_standard, size, pipe_class) * 1e-3


def pipe_outside(pipe_standard, size, pipe_class):
    """Outside diameter. [m]"""
    return lookup(OUTSIDE, pipe_standard, size, pipe_class) * 1e-3
