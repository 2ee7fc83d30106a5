"""The averaged bridge beside a circuit simulator: six diodes on a battery, three phases with resistance and inductance.

`AMPERES` were computed by ngspice 39.3. `pytest -m spice` computes them again; it fails, never skips, where ngspice is
missing. A wheel comes in as a straight torque line through the speed and torque of the simulated point: at no torque it
turns at speed / `part`. So no speed is sought, and what settles on that line must be the simulated current.
"""

import re
import subprocess
from math import degrees, log, pi, sqrt
from typing import NamedTuple

import pytest

from hydrofunc.physics.alternator import overlap_angle
from hydrofunc.physics.groups import Alternator, Load, Wheel
from hydrofunc.physics.operating_point import operating_point
from hydrofunc.physics.water import density

THERMAL_VOLTS = 0.025865  # k T / q at 27 °C, the simulator's own temperature


class Circuit(NamedTuple):
    """Peak of a phase [V], frequency [Hz], one phase [Ω], [H], battery [V], cable out and back [Ω]; of a diode the
    fixed part of its drop [V], and what makes the rest: saturation current [A], emission coefficient, series ohms.
    """

    peak: float
    hertz: float
    ohms: float
    henries: float
    volts: float
    cable: float
    drop: float
    diode: tuple[float, float, float]

    def drop_at(self, current):
        """What a meter across a diode shows at a current."""
        saturation, emission, ohms = self.diode
        return self.drop + emission * THERMAL_VOLTS * log(current / saturation) + ohms * current


STEEP = (1e-12, 0.05, 1e-3)  # next to nothing but the fixed drop
SILICON = (1e-9, 1.6, 4e-3)
SCHOTTKY = (1e-6, 1.05, 6e-3)


def open_30_volts(resistance, share):
    """30 V open mean; 1 Ω of commutation; resistance of the d.c. circuit; battery and drops as a share of the 30 V."""
    phase, cable = 0.35 * resistance, 0.3 * resistance
    return Circuit(30 * pi / (3 * sqrt(3)), 100.0, phase, 1 / 600, 30 * share - 1.6, cable, 0.77, STEEP)


AMPERES = {  # circuit: mean direct current [A], power of the three sources [W]
    # little resistance, from just above cut-in to an overlap of 53°
    open_30_volts(0.05, 0.97): (0.73774, 21.5631),
    open_30_volts(0.05, 0.9): (2.699, 73.3274),
    open_30_volts(0.05, 0.8): (6.0586, 147.295),
    open_30_volts(0.2, 0.85): (3.7834, 99.2906),
    # resistance as large as commutation
    open_30_volts(0.5, 0.94): (1.1233, 32.3794),
    open_30_volts(0.5, 0.8): (4.2297, 109.96),
    open_30_volts(1, 0.97): (0.43044, 12.791),
    open_30_volts(1, 0.9): (1.4866, 42.3825),
    open_30_volts(1, 0.7): (5.0195, 128.655),
    # much resistance: pulses that reach 0 between them, then overlap
    open_30_volts(2, 0.97): (0.301, 9.03105),
    open_30_volts(2, 0.85): (1.5519, 44.348),
    open_30_volts(2, 0.6): (4.5442, 119.797),
    open_30_volts(5, 0.97): (0.15929, 4.8711),
    open_30_volts(5, 0.94): (0.30917, 9.3193),
    open_30_volts(5, 0.8): (1.0537, 30.8402),
    open_30_volts(5, 0.6): (2.1988, 62.5087),
    # usual diodes, whose drop grows with the current; the first in pulses
    Circuit(17.2, 90.0, 0.5, 0.0004, 26.4, 0.2, 0.0, SILICON): (0.45125, 13.0994),
    Circuit(20.0, 110.0, 0.12, 0.00025, 27.0, 0.1, 0.0, SILICON): (8.4831, 269.775),
    Circuit(26.0, 110.0, 0.6, 0.0003, 27.0, 0.3, 0.0, SILICON): (9.0153, 377.958),
    Circuit(10.5, 60.0, 0.05, 0.00015, 13.6, 0.02, 0.0, SCHOTTKY): (16.547, 274.723),
    Circuit(40.0, 150.0, 0.2, 0.001, 52.8, 0.1, 0.0, SILICON): (8.6107, 506.023),
}
# Speed over that at which the wheel gives no torque: most plants settle between the first and the last.
PARTS = (0.35, 0.46, 0.6)


def settled(circuit, current, power, part):
    """Current at which a wheel settles whose torque line passes through the simulated speed and torque."""
    speed = 2 * pi * circuit.hertz  # one pole pair
    radius, turning = 0.1, 2.0  # cups that turn the water right back, without friction
    jet = speed / part * radius
    flow = power / speed / (1 - part) / (density(283.15) * radius * jet * turning)
    wheel = Wheel(2 * radius, pi, 1.0, 1.0, 0.0, 0.0)
    phase = circuit.peak / sqrt(2) / speed
    machine = Alternator(phase, 1, circuit.ohms, circuit.henries, "star", circuit.drop_at(current), 0.0)
    load = Load("battery", circuit.volts, 0.0, 1.0, circuit.cable)
    return float(operating_point(flow, jet, wheel, machine, load, 283.15).current)


def overlap_of(circuit, current):
    phase = circuit.peak / sqrt(2) / (2 * pi * circuit.hertz)
    return degrees(overlap_angle(current, phase, 1, circuit.henries, "star"))


def errors():
    """(overlap, errors of the settled current in %, one for each of `PARTS`) of every circuit."""
    for circuit, (current, power) in AMPERES.items():
        yield (
            overlap_of(circuit, current),
            [100 * (settled(circuit, current, power, part) / current - 1) for part in PARTS],
        )


def test_the_circuits_reach_from_pulses_to_sixty_degrees():
    overlaps = sorted(overlap for overlap, _ in errors())
    assert overlaps[0] < 7
    assert overlaps[-1] > 50
    assert sum(overlap <= 35 for overlap in overlaps) >= 12


def test_the_settled_current_is_within_three_per_cent_below_35_degrees():
    """From 2.7 % low to 2.3 % high; most of all where resistance is five times commutation."""
    found = [error for overlap, row in errors() if overlap <= 35 for error in row]
    assert max(found) < 2.5
    assert min(found) > -2.9


def test_with_less_resistance_than_commutation_it_is_within_one_per_cent():
    circuits = [c for c in AMPERES if 2 * c.ohms + c.cable <= 6 * c.hertz * c.henries]
    rows = [[settled(c, *AMPERES[c], part) / AMPERES[c][0] - 1 for part in PARTS] for c in circuits]
    found = [row for c, row in zip(circuits, rows) if overlap_of(c, AMPERES[c][0]) <= 35]
    assert len(found) >= 4
    assert max(abs(error) for row in found for error in row) < 0.01


def test_beyond_35_degrees_it_is_low_rather_than_high():
    found = [error for overlap, row in errors() if overlap > 35 for error in row]
    assert max(found) < 1.0
    assert min(found) > -6.0


NETLIST = """* three phases, six diodes, a battery
{phases}
Rcable plus q {cable}
Vbat q 0 {volts}
.model dd D(is={saturation} n={emission} rs={ohms} cjo=1e-9)
.options reltol=1e-4 method=gear
.tran {step} {end} {start} {step} uic
.control
run
let p = v(xa,n)*i(Vpa)+v(xb,n)*i(Vpb)+v(xc,n)*i(Vpc)
let m = i(Vbat)
meas tran amperes AVG m from={start} to={end}
meas tran watts AVG p from={start} to={end}
quit
.endc
.end
"""
PHASE = """Vp{p} x{p} n SIN(0 {c.peak} {c.hertz} 0 0 {angle})
R{p} x{p} y{p} {c.ohms}
L{p} y{p} t{p} {c.henries}
D{p}1 t{p} u{p} dd
Vu{p} u{p} plus {c.drop}
Vv{p} 0 v{p} {c.drop}
D{p}2 v{p} t{p} dd
Rs{p} t{p} 0 20k
Cs{p} t{p} 0 10n"""


def by_ngspice(circuit, folder, periods=50, last=10):
    saturation, emission, ohms = circuit.diode
    phases = [PHASE.format(p=p, c=circuit, angle=angle) for p, angle in (("a", 0), ("b", -120), ("c", -240))]
    file = folder / "bridge.cir"
    file.write_text(
        NETLIST.format(
            phases="\n".join(phases),
            cable=circuit.cable,
            volts=circuit.volts,
            saturation=saturation,
            emission=emission,
            ohms=ohms,
            step=1 / circuit.hertz / 400,
            start=(periods - last) / circuit.hertz,
            end=periods / circuit.hertz,
        )
    )
    said = subprocess.run(["ngspice", "-b", file], capture_output=True, text=True, timeout=300).stdout
    amperes, watts = (float(re.search(rf"^{name}\s+=\s+(\S+)", said, re.M)[1]) for name in ("amperes", "watts"))
    return amperes, -watts


@pytest.mark.spice
@pytest.mark.parametrize("circuit", AMPERES, ids=str)
def test_the_simulator_still_says_so(circuit, tmp_path):
    assert by_ngspice(circuit, tmp_path) == pytest.approx(AMPERES[circuit], rel=2e-3)
