"""Declarations: the Pelton wheel."""

from ..physics import wheel as physics
from ..registry import REQUIRED, Argument, Example, declare
from .nomenclature import (
    ALIGNMENT,
    BEARING_DRAG,
    CUP_FRICTION,
    DEFLECTION,
    FLOW,
    IRON_DRAG,
    JET_VELOCITY,
    NET_HEAD,
    PITCH_DIAMETER,
    SPEED,
    SPEED_RATIO,
    TEMPERATURE,
    WINDAGE,
)

GROUP = "Wheel"
DIXON = "S. L. Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, Ex. 9.2 p. 302"
ARASU = "A. V. Arasu, Turbomachines"

JET_DIAMETER = Argument("jet_diameter", "mm", "Diameter of the water jet, as from JET_DIAMETER.", "(0, 500]")
WIDTH_FACTOR = Argument("width_factor", "-", "Cup width over jet diameter; books give 3 to 5.", "[2.5, 5]", default=3.4)
CUPS_AND_DRAG = (DEFLECTION, CUP_FRICTION, ALIGNMENT, BEARING_DRAG, WINDAGE, TEMPERATURE)
# What can fly apart runs away as fast as it can: here what is left out slows nothing down.
FASTEST = (
    ALIGNMENT.with_(meaning="Share of the ideal torque that wheel and jet give. 1 is the fastest.", default=1.0),
    BEARING_DRAG.with_(meaning="Drag torque of bearings and seals. 0 is the fastest.", default=0.0),
    WINDAGE.with_(meaning="Power to churn air and spray at 1000 rpm. 0 is the fastest.", default=0.0),
)
NO_IRON_DRAG = IRON_DRAG.with_(meaning="Drag torque of the alternator's iron. 0 is the fastest.", default=0.0)
SITE_A = {"flow": 2.393304, "jet_velocity": 30.47249, "pitch_diameter": 120}
DRAGS = {"bearing_drag": 0.15, "windage": 2}

declare(
    physics.runner_speed,
    group=GROUP,
    help="Speed of a wheel whose cups move at a chosen part of the jet velocity.",
    arguments=(JET_VELOCITY, PITCH_DIAMETER, SPEED_RATIO),
    unit="rpm",
    meaning="Speed of the wheel.",
    symbol="n",
    equation="n = 60 k v / (pi D)",
    source=f"{ARASU}, Ex. 9.1 p. 406",
    example=Example({"jet_velocity": 30.47249, "pitch_diameter": 120}, 2230.93, "A wheel at 50 m net head."),
    caution="The ratio is to the JET velocity; many books divide by sqrt(2 g H) instead, 1 to 5 % more.",
)
declare(
    physics.pitch_diameter,
    group=GROUP,
    help="Pitch diameter that makes a wheel turn at a wanted speed.",
    arguments=(JET_VELOCITY, SPEED.with_(within="(0, 20000]"), SPEED_RATIO),
    unit="mm",
    meaning="Diameter of the circle on which the jet meets the cups.",
    symbol="D",
    equation="D = 60 k v / (pi n)",
    source=f"{ARASU}, Ex. 9.1 p. 406",
    example=Example({"jet_velocity": 41.52, "speed": 720, "speed_ratio": 0.46}, 506.6, "The book: 0.5067 m."),
)
declare(
    physics.speed_ratio,
    group=GROUP,
    help="Cup speed over jet velocity at a given speed of the wheel.",
    arguments=(SPEED, PITCH_DIAMETER, JET_VELOCITY.with_(within="(0, 200]")),
    unit="-",
    meaning="Cup speed over jet velocity.",
    symbol="k",
    equation="k = pi D n / (60 v)",
    source=DIXON,
    example=Example({"speed": 2230.93, "pitch_diameter": 120, "jet_velocity": 30.47249}, 0.46),
)
declare(
    physics.cup_count,
    group=GROUP,
    help="Number of cups a wheel needs so that no water slips between them (Taygun), rounded up.",
    arguments=(PITCH_DIAMETER, JET_DIAMETER),
    unit="-",
    meaning="Number of cups.",
    symbol="Z",
    equation="Z = 15 + D / (2 d), rounded up",
    source=f"Taygun's rule, as used in {ARASU}, Ex. 9.6 p. 413",
    example=Example({"pitch_diameter": 1474.4, "jet_diameter": 87}, 24, "23.47 rounded up."),
)
declare(
    physics.cup_width,
    group=GROUP,
    help="Width of a cup as a multiple of the jet diameter.",
    arguments=(JET_DIAMETER, WIDTH_FACTOR),
    unit="mm",
    meaning="Width of a cup.",
    symbol="B",
    equation="B = factor x d",
    source=f"{ARASU}, Ex. 9.6 p. 413 takes 5 d; 3.4 d is common practice, no published source",
    example=Example({"jet_diameter": 87, "width_factor": 5}, 435),
)
declare(
    physics.jet_ratio,
    group=GROUP,
    help="Pitch diameter over jet diameter; 9 to 18 is workable, 10 to 14 usual.",
    arguments=(PITCH_DIAMETER, JET_DIAMETER),
    unit="-",
    meaning="Pitch diameter over jet diameter.",
    symbol="D/d",
    equation="D / d",
    source=f"{ARASU}, Ex. 9.1 p. 406; limits from memory, not looked up",
    example=Example({"pitch_diameter": 506.7, "jet_diameter": 35}, 14.48),
)
declare(
    physics.specific_speed,
    group=GROUP,
    help="Specific speed nq: what speed the same shape would have at 1 m head and 1 m³/s.",
    arguments=(SPEED, FLOW, NET_HEAD.with_(within="(0, 1500]")),
    unit="rpm",
    meaning="Specific speed nq.",
    symbol="nq",
    equation="nq = n sqrt(Q) / H^0.75, with n in rpm, Q in m³/s, H in m",
    source="P. K. Nag, Power Plant Engineering, Ex. 10.4 p. 711 (for the form with power in kW)",
    example=Example({"speed": 2230.93, "flow": 2.393304, "net_head": 50.32899}, 5.776),
)
declare(
    physics.cup_efficiency,
    group=GROUP,
    help="Share of the jet's power that ideal, well aligned cups take from it (Euler).",
    arguments=(SPEED_RATIO.with_(within="[0, 1]", default=REQUIRED), DEFLECTION, CUP_FRICTION),
    unit="-",
    meaning="Power of the cups over power of the jet.",
    symbol="eta",
    equation="eta = 2 k (1 - k)(1 + c cos(180° - deflection))",
    source=DIXON,
    example=Example({"speed_ratio": 0.47977, "deflection": 165, "cup_friction": 0.85}, 0.909, "The book: 0.91."),
    caution="A hand-made wheel gets less: windage, drag, poor aim and splashing are not in it.",
)
declare(
    physics.wheel_torque.flat,
    group=GROUP,
    help="Torque the wheel gives its shaft at a given speed, after windage and bearing drag.",
    arguments=(SPEED, FLOW, JET_VELOCITY, PITCH_DIAMETER, *CUPS_AND_DRAG),
    unit="N·m",
    meaning="Torque at the shaft; below 0 where the shaft would have to be driven.",
    symbol="T",
    equation="T = rho Q r (v - u)(1 + c cos(180° - deflection)) alignment - bearing drag - windage w²",
    source=f"Euler's turbine equation; {DIXON}",
    example=Example({"speed": 2230.93, **SITE_A, "temperature": 8}, 3.121, "At 0 rpm it is 5.799 N·m."),
)
declare(
    physics.wheel_power.flat,
    group=GROUP,
    help="Power the wheel gives its shaft at a given speed, after windage and bearing drag.",
    arguments=(SPEED, FLOW, JET_VELOCITY, PITCH_DIAMETER, *CUPS_AND_DRAG),
    unit="W",
    meaning="Power at the shaft; below 0 where the shaft would have to be driven.",
    symbol="P",
    equation="P = T w, with T as in WHEEL_TORQUE",
    source=f"Euler's turbine equation; {DIXON}",
    example=Example({"speed": 2230.93, **SITE_A, "temperature": 8}, 729.03, "65.6 % of the jet's 1111 W."),
)
declare(
    physics.windage_power,
    group=GROUP,
    help="Power spent on churning air and spray in the housing.",
    arguments=(SPEED, WINDAGE.with_(default=REQUIRED)),
    unit="W",
    meaning="Power lost to windage.",
    symbol="P_w",
    equation="P_w = windage x (n / 1000)³",
    source="Fan law; common practice, no published source",
    example=Example({"speed": 2000, "windage": 3}, 24),
)
declare(
    physics.runaway_speed.flat,
    group=GROUP,
    help="Speed the wheel reaches with no load, as when the battery is disconnected; 0 if it cannot start.",
    arguments=(FLOW, JET_VELOCITY, PITCH_DIAMETER, DEFLECTION, CUP_FRICTION, *FASTEST, TEMPERATURE),
    unit="rpm",
    meaning="Unloaded speed.",
    symbol="n_r",
    equation="wheel torque = 0: without drag n_r = 60 v / (pi D)",
    source="Torque line of Euler's turbine equation; real machines reach 1.8 to 2 times their working speed "
    "(from memory, not looked up)",
    example=Example({**SITE_A, **DRAGS, "temperature": 8}, 4528.6, "4850 rpm without any drag."),
    caution="Wheel, magnets and alternator must survive this speed, and the voltage doubles: keep hands away, "
    "and see OPEN_CIRCUIT_VOLTS.",
)
