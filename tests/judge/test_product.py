"""The adapter: what the judge tells arrives in the template, and nothing else does."""

import pytest

from . import product as adapter
from .names import ORDERED, QUANTITIES

# Invented; the half ranges are those of no instrument.
MEASURED: adapter.Facts = {
    "gross_head": (33.8, 0.7),
    "pipe_length": (100.0, 1.1),
    "pipe_bore": (25.9, 0.26),
    "pipe_roughness": (0.015, 0.043),
    "fittings_k": (6.16, 2.6),
    "source_flow": (0.673, 0.02),
    "left_in_stream": (27.0, 3.0),
    "water_temperature": (8.0, 1.5),
    "nozzle": (5.1, 0.15),
    "velocity_coefficient": (0.95, 0.02),
    "contraction": (0.98, 0.04),
    "pitch_diameter": (121.0, 2.0),
    "deflection": (166.0, 4.0),
    "cup_friction": (0.79, 0.07),
    "alignment": (0.93, 0.04),
    "bearing_drag": (0.004, 0.001),
    "windage": (0.08, 0.03),
    "phase_volts": (8.7, 0.26),
    "phase_resistance": (0.24, 0.08),
    "phase_inductance": (3.5, 0.5),
    "iron_drag": (0.02, 0.001),
    "diode_drop": (0.7, 0.1),
    "cable_length": (52.0, 0.7),
    "cable_area": (5.4, 0.4),
    "cable_temperature": (25.0, 7.0),
    "battery_volts": (13.5, 0.36),
}
CHOSEN: adapter.Facts = {
    "system_volts": (12.0, 0.0),
    "nozzle_make": ("turned", None),
    "altitude": (1500.0, 0.0),
    "latitude": (39.0, 0.0),
    "connection": ("delta", None),
    "pole_pairs": (7.0, 0.0),
}
FIRST = CHOSEN | {name: MEASURED[name] for name in ("gross_head", "pipe_length", "pipe_bore")}
OTHER_NAMES = {"pipe_bore": "bore_used", "pipe_roughness": "roughness_used"}  # of what counts


def test_every_measured_value_counts() -> None:
    """What counts in the template is what the judge told, of every quantity."""
    assert set(MEASURED) == set(QUANTITIES)
    (said,) = adapter.estimates([adapter.typed(CHOSEN | MEASURED, False, "test day")])
    counts = {name: said.counts[OTHER_NAMES.get(name, name)] for name in QUANTITIES}
    assert counts == pytest.approx({name: value for name, (value, _) in MEASURED.items()})
    assert (said.counts["connection"], said.counts["pole_pairs"], said.counts["stage"]) == ("delta", 7.0, "test day")
    assert (said.counts["altitude"], said.counts["latitude"]) == (1500.0, 39.0)
    assert said.counts["nozzle_made"] == "turned nozzle"


def test_every_half_range_counts() -> None:
    """± on the sheet Doubt are the judge's: in the unit of the value, or in % of it."""
    (said,) = adapter.estimates([adapter.typed(CHOSEN | MEASURED, False, "test day")])
    assert said.halves["gross_head"] == 0.7
    assert said.halves["left_in_stream"] == 3.0  # its unit is % itself
    assert said.halves["length"] == pytest.approx(1.1)
    assert said.halves["windage"] == pytest.approx(37.5)
    assert said.halves["fittings"] == pytest.approx(100 * 2.6 / 6.16)
    # 0.7 of 52 m, 0.4 of 5.4 mm², 7 K of copper at 0.393 % a kelvin (IEC 60028, from memory), joints 5 %
    shares = (100 * 0.7 / 52, 100 * 0.4 / 5.4, 7 * 0.393, 5)
    assert said.halves["cable_resistance"] == pytest.approx(sum(share**2 for share in shares) ** 0.5)


def test_an_order_is_no_measurement() -> None:
    """What is ordered and not measured has the wider ±; what is measured its own."""
    ordered = {name: (MEASURED[name][0], None) for name in ORDERED}
    typed = adapter.typed(FIRST | ordered, False, "bench")
    measured = adapter.typed(FIRST | ordered | {"phase_volts": (8.7, 0.087)}, False, "bench")
    assert typed["phase_volts"] == measured["phase_volts"] == 8.7
    assert typed["doubt_phase_volts"] > measured["doubt_phase_volts"] == pytest.approx(1.0)


def test_a_battery_of_a_name_charges_at_its_volts() -> None:
    """Until they are measured: 48 V has four times the volts of 12 V."""
    facts = [FIRST | {"system_volts": (volts, 0.0)} for volts in (12.0, 48.0)] + [
        FIRST | {"battery_volts": (13.5, 0.3)}
    ]
    said = adapter.estimates([adapter.typed(each, False, "survey") for each in facts])
    twelve, other, measured = (each.counts["battery_volts"] for each in said)
    assert other == pytest.approx(4 * twelve) and measured == 13.5


def test_many_questions_have_the_answers_of_one() -> None:
    """Calculated together or one by one."""
    questions = [(FIRST, False, "survey"), (CHOSEN | MEASURED, True, "test day"), (FIRST, True, "bench")]
    together = adapter.Adapter().together(questions)
    for one, of_many in zip((adapter.Adapter()(*question) for question in questions), together, strict=True):
        assert (one.mean, one.low, one.high) == pytest.approx((of_many.mean, of_many.low, of_many.high), rel=1e-9)
        assert one.proposal == pytest.approx(of_many.proposal) and one.assumed == pytest.approx(of_many.assumed)
        assert [name for name, _ in one.next] == [name for name, _ in of_many.next]
    assert set(together[0].assumed) == {*QUANTITIES, "pole_pairs"} - {*together[0].proposal}
    assert together[0].assumed["gross_head"] == FIRST["gross_head"][0], "what it was told counts as told"
    assert set(together[0].proposal) == {*ORDERED, "connection"} - {*FIRST}
    assert not together[1].proposal
