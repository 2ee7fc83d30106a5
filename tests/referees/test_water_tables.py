"""Water as the steam tables have it, by the library iapws, which has no line of ours in it.

IAPWS-95 (R6-95(2018), the scientific formulation), IAPWS R12-08 (viscosity) at 0.101325 MPa. Our formulas are others:
Tanaka's density, IAPWS SR6-08's viscosity, the vapour pressure of IAPWS-IF97 region 4, Marczak's speed of sound.
"""

import pytest
from iapws import IAPWS95

import hydrofunc

COLD = 273.15
TEMPERATURES = (0.5, 2.0, 4.0, 7.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 39.5)  # °C


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_water_at_the_pressure_of_the_air(celsius):
    water = IAPWS95(T=celsius + COLD, P=0.101325)
    assert hydrofunc.density(celsius) == pytest.approx(water.rho, rel=4e-6)
    assert hydrofunc.kinematic_viscosity(celsius) == pytest.approx(water.nu * 1e6, rel=1.5e-3)
    assert hydrofunc.bulk_modulus(celsius) * 1e9 == pytest.approx(water.rho * water.w**2, rel=7e-5)


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_pressure_at_which_water_boils(celsius):
    vapour = IAPWS95(T=celsius + COLD, x=0).P  # MPa
    assert hydrofunc.vapour_pressure(celsius) == pytest.approx(vapour * 10, rel=3e-4)


@pytest.mark.parametrize("altitude", [0, 500, 1500, 3000, 4500])
def test_water_boils_cooler_on_a_mountain(altitude):
    saturated = IAPWS95(P=hydrofunc.air_pressure(altitude) / 10, x=0)
    assert hydrofunc.boiling_point(altitude) == pytest.approx(saturated.T - COLD, abs=0.01)
