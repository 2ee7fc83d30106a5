"""Thirty lines of one to three bores beside EPANET, the program with which public water works calculate their pipes.

EPANET 2.2 (L. A. Rossman and others, EPANET 2.2 User Manual, U.S. Environmental Protection Agency, EPA/600/R-20/133)
as the library wntr carries it. It finds the flow between two reservoirs by its own search. Two things it does another
way on purpose, and both are accounted for: friction by the formula of Swamee and Jain in place of the root of
Colebrook-White (user manual, table 3.1 and appendix D), and gravity 32.2 ft/s².
"""

import math

import numpy as np
import pytest
from wntr.epanet.toolkit import ENepanet
from wntr.epanet.util import EN

import hydrofunc

FOOT = 0.3048
GRAVITY = 32.2 * FOOT  # m/s²
CUBIC_FOOT = FOOT**3 * 1e3  # L
VISCOSITY = 1.1e-5 * FOOT**2  # m²/s, of which EPANET takes a multiple
BORES = (24.0, 26.0, 32.6, 40.8, 51.4, 61.4, 73.6, 90.0, 114.3)  # mm

FORM = """[JUNCTIONS]
J1 0 0
J2 0 0
[RESERVOIRS]
Spring {head}
Nozzle 0
[PIPES]
P1 Spring {ends[0]} {pipes[0]} {fittings} Open
{more}
[OPTIONS]
Units LPS
Headloss D-W
Viscosity {viscosity}
Trials 500
Accuracy 0.00000001
[END]
"""


def line(seed):
    """A line of one to three sections, narrower downhill or not: head, fittings, temperature, [(length, bore, k)]."""
    random = np.random.default_rng(seed)
    sections = [
        (random.uniform(15, 400), random.choice(BORES), random.choice([0.003, 0.007, 0.045, 0.15, 0.3]))
        for _ in range(1 + seed % 3)
    ]
    return random.uniform(10, 150), random.uniform(0, 12), random.uniform(2, 25), sections


def of_epanet(folder, head, fittings, temperature, sections):
    """(flow in L/s, head lost in each section in m) as EPANET finds them; what a junction needs is nothing."""
    ends = ["Nozzle"] if len(sections) == 1 else ["J1", "Nozzle"] if len(sections) == 2 else ["J1", "J2", "Nozzle"]
    pipes = [f"{length!r} {bore!r} {k!r}" for length, bore, k in np.array(sections).tolist()]
    more = [f"P{i + 1} {ends[i - 1]} {ends[i]} {pipes[i]} 0 Open" for i in range(1, len(sections))]
    form = FORM.replace("J1 0 0\n", "J1 0 0\n" * ("J1" in ends)).replace("J2 0 0\n", "J2 0 0\n" * ("J2" in ends))
    if len(sections) == 1:  # EPANET wants one junction at least: a dead end beside the line
        form = form.replace("[JUNCTIONS]\n", "[JUNCTIONS]\nEnd 0 0\n")
        more = ["P2 End Nozzle 1 100 0.1 0 Open"]
    viscosity = hydrofunc.kinematic_viscosity(temperature) * 1e-6 / VISCOSITY
    (folder / "line.inp").write_text(
        form.format(head=head, ends=ends, pipes=pipes, fittings=fittings, viscosity=viscosity, more="\n".join(more))
    )
    program = ENepanet(version=2.2)
    program.ENopen(*(str(folder / f"line.{kind}") for kind in ("inp", "rpt", "bin")))
    try:
        program.ENopenH()
        program.ENinitH(0)
        program.ENrunH()
        asked = range(1, len(sections) + 1)
        flow = program.ENgetlinkvalue(1, EN.FLOW) * CUBIC_FOOT / 28.317  # litres in a cubic foot, as EPANET counts
        return flow, [program.ENgetlinkvalue(index, EN.HEADLOSS) for index in asked]
    finally:
        program.ENclose()


def swamee_jain(reynolds, roughness_share):
    """P. K. Swamee and A. K. Jain, J. Hydraulics Div. ASCE 102 (1976) 657, as in EPANET's manual, Re above 4000."""
    return 0.25 / math.log10(roughness_share / 3.7 + 5.74 / reynolds**0.9) ** 2


@pytest.mark.parametrize("seed", range(30))
def test_a_line_loses_what_epanet_says(seed, tmp_path):
    head, fittings, temperature, sections = line(seed)
    flow, lost = of_epanet(tmp_path, head, fittings, temperature, sections)
    assert sum(lost) == pytest.approx(head, rel=1e-5), "EPANET has not found the flow"
    rounded = 0.02517 * math.pi**2 * 32.2 / 8  # EPANET's constant of fittings, in feet, has four digits
    minor = rounded * hydrofunc.minor_head(flow, sections[0][1], fittings, GRAVITY)
    for index, ((length, bore, k), theirs) in enumerate(zip(sections, lost, strict=True)):
        reynolds = hydrofunc.reynolds_number(flow, bore, temperature)
        assert reynolds > 4000
        share = swamee_jain(reynolds, k / bore) / hydrofunc.friction_factor(reynolds, k / bore)
        assert 0.97 < share < 1.03
        ours = share * hydrofunc.friction_head(flow, length, bore, k, temperature, GRAVITY)
        assert ours + minor * (index == 0) == pytest.approx(theirs, rel=5e-6)


@pytest.mark.parametrize("seed", range(30))
def test_a_line_passes_what_epanet_says(seed, tmp_path):
    """The flow itself, friction and gravity as each of us takes them: within 1.5 %, the doubt in Swamee and Jain."""
    head, fittings, temperature, sections = line(seed)
    flow, _ = of_epanet(tmp_path, head, fittings, temperature, sections)
    pipe = {"length": 0.0, "bore": 0.0, "roughness": 0.0}
    for index, values in enumerate(sections, start=1):
        pipe |= {name + ("" if index == 1 else f"_{index}"): value for name, value in zip(list(pipe)[:3], values)}
    ours = hydrofunc.penstock_head(flow, fittings=fittings, temperature=temperature, gravity=GRAVITY, **pipe)
    assert ours == pytest.approx(head, rel=0.03)
    if len(sections) == 1:
        ours = hydrofunc.flow_for_loss(head, *sections[0], fittings, temperature, GRAVITY)
        assert ours == pytest.approx(flow, rel=0.015)
