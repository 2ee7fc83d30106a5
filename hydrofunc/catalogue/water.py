"""Declarations: water and the place."""

from ..physics import water
from ..registry import REQUIRED, Argument, Example, declare
from .nomenclature import TEMPERATURE

GROUP = "Water and site"
TANAKA = "M. Tanaka et al., Metrologia 38 (2001) 301, equation 1"
LIFT = "Hydrostatics: p = rho g H"

WATER = TEMPERATURE.with_(default=REQUIRED)
LATITUDE = Argument("latitude", "°", "Latitude; south is negative.", "[-90, 90]")
ALTITUDE = Argument("altitude", "m", "Height above sea level.", "[-400, 9000]", default=0.0)

declare(
    water.density,
    group=GROUP,
    help="Density of fresh water at atmospheric pressure.",
    arguments=(WATER,),
    unit="kg/m³",
    meaning="Density.",
    symbol="rho",
    equation="rho = 999.97495 (1 - (t - 3.983)² (t + 301.797) / (522528.9 (t + 69.349)))",
    source=TANAKA,
    example=Example({"temperature": 10}, 999.70, "Cold spring water."),
)
declare(
    water.kinematic_viscosity,
    group=GROUP,
    help="Kinematic viscosity of fresh water; cold water is thicker.",
    arguments=(WATER,),
    unit="mm²/s",
    meaning="Kinematic viscosity.",
    symbol="nu",
    equation="nu = mu / rho, mu of IAPWS SR6-08",
    source=f"IAPWS SR6-08(2011), viscosity at 0.1 MPa; {TANAKA}",
    example=Example({"temperature": 10}, 1.306),
)
declare(
    water.vapour_pressure,
    group=GROUP,
    help="Absolute pressure at which water of this temperature boils.",
    arguments=(WATER,),
    unit="bar",
    meaning="Vapour pressure, absolute.",
    symbol="p_v",
    equation="IAPWS-IF97, region 4",
    source="IAPWS R7-97(2012), equation 30",
    example=Example({"temperature": 20}, 0.02339),
    caution="Where the pressure in a pipe falls near this, the water column tears.",
)
declare(
    water.gravity,
    group=GROUP,
    help="Gravitational acceleration at a latitude and altitude.",
    arguments=(LATITUDE, ALTITUDE),
    unit="m/s²",
    meaning="Gravitational acceleration.",
    symbol="g",
    equation="WGS 84 normal gravity on the ellipsoid, with its series in height",
    source="NIMA TR8350.2, World Geodetic System 1984, equations 4-1 and 4-3 (numbers from memory, not looked up)",
    example=Example({"latitude": 46.5, "altitude": 1000}, 9.80447),
)
declare(
    water.air_pressure,
    group=GROUP,
    help="Mean air pressure at an altitude.",
    arguments=(ALTITUDE.with_(default=REQUIRED),),
    unit="bar",
    meaning="Mean air pressure.",
    symbol="p_a",
    equation="p_a = 1.01325 (1 - 0.0065 h / 288.15)^5.25588",
    source="U.S. Standard Atmosphere 1976; ISO 2533",
    example=Example({"altitude": 1000}, 0.89875),
)
