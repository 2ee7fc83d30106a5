"""Declarations: cable ampacity, fuse, touch voltage, dump load."""

import numpy as np

from ..physics import electrical_safety as physics
from ..registry import Argument, Example, Rule, declare
from .cable import AREA, MATERIAL
from .nomenclature import D_C_CURRENT

GROUP = "Safety figures"
SELV = (
    "IEC 60364-4-41:2005, 414 and 414.4.5 (from memory, not looked up); the same in IEC 60598-1:2008, "
    "8.2.3 (60 and 30 V) and IEC 61558-1:2005, 3.7.16 (120 V, ripple-free)"
)
JOULE = "Ohm's and Joule's laws"

INSTALLATION = Argument(
    "installation", "text", "How the cable is laid.", choices=physics.INSTALLATIONS, default="conduit"
)
AMBIENT_TEMPERATURE = Argument(
    "ambient_temperature",
    "°C",
    "Temperature of the air round the cable, or of the ground it lies in.",
    "[-40, 65]",
    default=30.0,
)
AMPACITY = Argument("ampacity", "A", "What the cable carries, as from CABLE_AMPACITY.", "[0, 10000]")
MARGIN = Argument("fuse_margin", "-", "Fuse rating over current, at least.", "[1, 3]", default=1.25)
PLACE = Argument(
    "place",
    "text",
    "dry: touchable, indoors; wet: touchable, damp or outdoors; covered: cannot be touched.",
    choices=tuple(physics.TOUCH_LIMIT),
)
POWER = Argument("power", "W", "Power.", "[0, 1000000]")
VOLTS = Argument("volts", "V", "D.c. voltage at the dump load; take the highest.", "[0, 2000]")
DUMP_RESISTANCE = Argument("dump_resistance", "Ω", "Resistance of the dump load.", "(0, 100000]")
TEMPERATURE_RISE = Argument("temperature_rise", "K", "By how much the air may warm.", "(0, 200]", default=20.0)
AIR_TEMPERATURE = Argument("air_temperature", "°C", "Temperature of the air.", "[-40, 60]", default=20.0)
AIR_PRESSURE = Argument(
    "air_pressure", "bar", "Absolute air pressure, as from AIR_PRESSURE.", "[0.3, 1.2]", default=1.01325
)

LISTED_CABLE = Rule(
    "area",
    "be at least the smallest size the table holds for that metal and way of laying",
    lambda area, material, installation, **_: (
        ~np.isnan(physics.cable_ampacity(np.asarray(area) * 1e-6, material, installation, 293.15))
    ),
)
FUSE_FITS = Rule(
    "ampacity",
    "be at least the next standard fuse above margin x current",
    lambda current, ampacity, fuse_margin: ~np.isnan(physics.fuse_size(current, ampacity, fuse_margin)),
)

declare(
    physics.cable_ampacity,
    group=GROUP,
    help="Direct current a two-wire PVC cable carries for good, by size, metal, way of laying and temperature round "
    "it. A size between two of the table counts as the smaller.",
    arguments=(AREA, MATERIAL, INSTALLATION, AMBIENT_TEMPERATURE),
    unit="A",
    meaning="Current it carries for good.",
    symbol="I_z",
    equation="I_z = table x sqrt((70 - t) / (70 - 30)); in the ground (70 - 20)",
    source="IEC 60364-5-52:2009, table B.52.2 (methods A2, B2, C, D1, D2), as four public transcriptions print it "
    "alike, the standard itself not read; tables B.52.14, B.52.15 from memory, not looked up",
    rules=(LISTED_CABLE,),
    example=Example({"area": 6}, 38.0, "6 mm² copper in conduit at 30 °C."),
    caution="A thin wire with a large fuse burns. The cable's maker and local code rule; bundled cables and sun on "
    "them carry less.",
)
declare(
    physics.fuse_size,
    group=GROUP,
    help="Smallest standard fuse (IEC 60269 series) that carries the current with a margin and protects the cable; an "
    "error where none does.",
    arguments=(D_C_CURRENT, AMPACITY, MARGIN),
    unit="A",
    meaning="Rated current of the fuse.",
    symbol="I_n",
    equation="margin x I <= I_n, and I_z at least FUSE_AMPACITY of I_n",
    source="IEC 60364-4-43, 433.1; series of IEC 60269-1; from memory, not looked up. The margin: common practice, no "
    "published source",
    rules=(FUSE_FITS,),
    example=Example({"current": 16.3, "ampacity": 38}, 25.0),
    caution="At the battery's terminal, rated in d.c. volts above the highest there is, and able to break the "
    "battery's short circuit.",
)
declare(
    physics.fuse_ampacity,
    group=GROUP,
    help="What a cable must carry for a gG fuse to protect it: more than the fuse's rated current, as a fuse blows "
    "only well above it.",
    arguments=(Argument("fuse", "A", "Rated current of the fuse.", "(0, 2000]"),),
    unit="A",
    meaning="Current that the cable must carry for good.",
    symbol="I_z",
    equation="I_n <= I_z; I_2 <= 1.45 I_z, I_2 = 1.6 I_n (from 16 A), 1.9 I_n, 2.1 I_n (to 4 A)",
    source="IEC 60364-4-43, 433.1; I_2 of gG fuses: IEC 60269-1; from memory, not looked up",
    example=Example({"fuse": 20}, 22.07, "A 20 A fuse does not protect a cable that carries 20 A."),
    caution="Fuses of cars and circuit breakers blow at other currents: ask the maker.",
)
declare(
    physics.touch_limit,
    group=GROUP,
    help="Highest ripple-free d.c. volts at bare parts that may be touched: dry 60, wet 30; covered: 120, where "
    "extra-low voltage ends.",
    arguments=(PLACE,),
    unit="V",
    meaning="D.c. voltage not to be passed.",
    symbol="V_t",
    equation="table",
    source=SELV,
    example=Example({"place": "dry"}, 60.0, "A three-phase bridge counts as ripple-free: 4.2 % rms against 10 %."),
    caution="Not a promise that less is harmless. Local electrical code and licensed people decide.",
)
declare(
    physics.touch_limit_ac,
    group=GROUP,
    help="Highest a.c. volts at bare parts that may be touched: dry 25, wet 12; covered: 50, where extra-low voltage "
    "ends.",
    arguments=(PLACE,),
    unit="V",
    meaning="A.c. voltage not to be passed, rms.",
    symbol="V_t",
    equation="table",
    source="IEC 60364-4-41:2005, 414 and 414.4.5 (from memory, not looked up); 25 and 12 V also in IEC 60598-1:2008, "
    "8.2.3",
    example=Example({"place": "dry"}, 25.0, "Less than half of the 60 V of direct current."),
    caution="Not a promise that less is harmless. Local electrical code and licensed people decide.",
)
declare(
    physics.dump_resistance,
    group=GROUP,
    help="Resistance of a dump load that takes a given power at a given voltage.",
    arguments=(POWER.with_(within="(0, 1000000]"), VOLTS.with_(within="(0, 2000]")),
    unit="Ω",
    meaning="Resistance, at most.",
    symbol="R_d",
    equation="R_d = V² / P",
    source=JOULE,
    example=Example({"power": 500, "volts": 28.8}, 1.6589),
    caution="It must be able to take all the plant can give, for days, or the wheel runs away. It gets hot enough to "
    "burn.",
)
declare(
    physics.dump_power,
    group=GROUP,
    help="Power a dump load takes, as heat, at a given voltage.",
    arguments=(VOLTS, DUMP_RESISTANCE),
    unit="W",
    meaning="Power, all of it heat.",
    symbol="P_d",
    equation="P_d = V² / R_d",
    source=f"{JOULE}; as J. O. Bird, Electrical Circuit Theory and Technology, ch. 2 Ex. 10 p. 17",
    example=Example({"volts": 28.8, "dump_resistance": 1.6589}, 499.994),
    caution="Mount it in free air on something that does not burn, out of reach, never beside the battery.",
)
declare(
    physics.cooling_air,
    group=GROUP,
    help="Flow of air that carries heat off a dump load or a room while the air warms by so much.",
    arguments=(POWER, TEMPERATURE_RISE, AIR_TEMPERATURE, AIR_PRESSURE),
    unit="m³/h",
    meaning="Flow of the air that comes in.",
    symbol="q",
    equation="q = P / (rho c_p dT), rho = p / (287.05 T)",
    source="Energy balance; dry air as a perfect gas, U.S. Standard Atmosphere 1976 (gas constant); c_p 1005 J/(kg K) "
    "from memory",
    example=Example({"power": 500}, 74.4),
    caution="Openings that leaves, snow or nests can close are none.",
)
