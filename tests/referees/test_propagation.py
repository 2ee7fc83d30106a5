"""Uncertainty of a measured efficiency by the library uncertainties, which differentiates formulas by itself.

Linear propagation as in JCGM 100:2008 (GUM), equations 10 and 16, with its own derivatives and its own covariances.
"""

import math

import numpy as np
import pytest
import uncertainties
from uncertainties import ufloat

import hydrofunc

MEASURED = {"power": (612.0, 9.0), "pressure": (4.81, 0.04), "flow": (2.93, 0.05), "gauge_height": (0.4, 0.02)}
BORE, GRAVITY, TEMPERATURE = 51.4, 9.80665, 9.0


def efficiency(power, pressure, flow, gauge_height):
    """In %, of W, bar, L/s, m; with numbers, or with numbers that carry their doubt."""
    density = hydrofunc.density(TEMPERATURE)
    velocity = flow * 1e-3 / (math.pi / 4 * (BORE * 1e-3) ** 2)
    head = pressure * 1e5 / (density * GRAVITY) + gauge_height + velocity * velocity / (2 * GRAVITY)
    return 100 * power / (density * GRAVITY * flow * 1e-3 * head)


def ours(**values):
    head = hydrofunc.measured_head(
        values["pressure"], values["gauge_height"], values["flow"], BORE, TEMPERATURE, GRAVITY
    )
    return hydrofunc.measured_efficiency(values["power"], values["flow"], head, TEMPERATURE, GRAVITY)


def slopes():
    """How our efficiency changes with each reading, by central differences."""
    readings = {name: value for name, (value, _) in MEASURED.items()}
    steps = {name: 1e-4 * value for name, value in readings.items()}
    return [
        (ours(**readings | {name: readings[name] + step}) - ours(**readings | {name: readings[name] - step})) / 2 / step
        for name, step in steps.items()
    ]


def test_independent_readings():
    theirs = efficiency(**{name: ufloat(*pair) for name, pair in MEASURED.items()})
    assert ours(**{name: value for name, (value, _) in MEASURED.items()}) == pytest.approx(theirs.n, rel=1e-12)
    doubt = hydrofunc.combined_uncertainty([doubt for _, doubt in MEASURED.values()], slopes())
    assert doubt == pytest.approx(theirs.s, rel=1e-6)


@pytest.mark.parametrize("together", [-0.6, 0.3, 0.9])
def test_readings_that_err_together(together):
    """Pressure and flow by one logger: correlated. The pairs in our order: 12, 13, 14, 23, 24, 34."""
    names, pairs = list(MEASURED), list(MEASURED.values())
    matrix = np.eye(4)
    matrix[1, 2] = matrix[2, 1] = together
    matrix[0, 1] = matrix[1, 0] = 0.2
    correlated = uncertainties.correlated_values_norm(pairs, matrix)
    theirs = efficiency(**dict(zip(names, correlated, strict=True)))
    ours_s = hydrofunc.combined_uncertainty([doubt for _, doubt in pairs], slopes(), [0.2, 0, 0, together, 0, 0])
    assert ours_s == pytest.approx(theirs.s, rel=1e-6)


def test_a_sum_that_holds_a_reading_twice():
    """Power of two heads measured with one gauge of 0.04 bar: what is common does not add as squares."""
    gauge = ufloat(0, 0.04)
    theirs = (4.81 + gauge) - 0.98 * (4.81 + gauge) + ufloat(0.2, 0.01)
    doubt = hydrofunc.combined_uncertainty([0.04, 0.04, 0.01], [1, -0.98, 1], [1, 0, 0])
    assert doubt == pytest.approx(theirs.s, rel=1e-9)
