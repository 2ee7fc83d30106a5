"""Diagnosis: what the readings of the test day say."""

from ...catalogue.diagnosis import FAULTS, ITEM_UNITS, ITEMS, READING_NAMES, UNITS
from ..chain import call
from ..expression import Expression, cell, column, is_number, magnitude, no, or_zero, when
from ..model import Formula, Heading, Page, Result, Table, Words
from .common import PRACTICE, check
from .test_day import meter_uncertainty, nozzle_uncertainty

_GIVEN = {"readings": "test_readings", "uncertainties": "test_uncertainties", "gauge_height": "gauge_height"}


def _ask(function, **first):
    return call(function, **first, **_GIVEN)


_NOTHING_READ = cell("test_count") == 0


def _if_read(expression):
    """The expression where at least one reading was taken, else an empty text."""
    return f'=IF({_NOTHING_READ},"",{expression})'


# Reading: label, cell it is taken from (as a condition and a value), meter.
_SOURCES = {
    "static": ("Gauge, valve shut", "ISNUMBER(reading_static)", "reading_static", "gauge"),
    "running": ("Gauge, running", "ISNUMBER(reading_running)", "reading_running", "gauge"),
    "flow": ("Flow by bucket", "ISNUMBER(reading_seconds)", "bucket_volume/reading_seconds", "bucket"),
    "speed_a": ("Speed at load A", "ISNUMBER(reading_speed)", "reading_speed", "speed"),
    "rectifier_a": ("Rectifier volts at load A", "ISNUMBER(reading_rectifier)", "reading_rectifier", "volts"),
    "volts_a": ("Load volts at load A", "ISNUMBER(reading_volts)", "reading_volts", "volts"),
    "amps_a": ("Amperes at load A", "ISNUMBER(reading_amps)", "reading_amps", "amps"),
    "speed_b": ("Speed at load B", "ISNUMBER(reading_speed_b)", "reading_speed_b", "speed"),
    "rectifier_b": ("Rectifier volts at load B", "ISNUMBER(reading_rectifier_b)", "reading_rectifier_b", "volts"),
    "volts_b": ("Load volts at load B", "ISNUMBER(reading_volts_b)", "reading_volts_b", "volts"),
    "amps_b": ("Amperes at load B", "ISNUMBER(reading_amps_b)", "reading_amps_b", "amps"),
    "open_constant": (
        "Open d.c. volts per 1000 rpm",
        "AND(ISNUMBER(reading_open_volts),N(reading_open_speed)>0)",
        "1000*reading_open_volts/reading_open_speed",
        "volts",
    ),
    "phase_balance": (
        "Lowest over highest line volts",
        "AND(ISNUMBER(reading_line_lowest),N(reading_line_highest)>0)",
        "MIN(1,reading_line_lowest/reading_line_highest)",
        "volts",
    ),
    "nozzle": ("Nozzle fitted, measured", "ISNUMBER(reading_nozzle)", "reading_nozzle", "drill"),
}
# A quotient of two readings; the balance's has a least value of its own.
# A drill shank has no line on the sheet Test day.
_UNCERTAIN = {
    "open_constant": "C{row}*SQRT((meter_volts/100)^2+(meter_speed/100)^2)",
    "phase_balance": "SQRT(2*(C{row}*meter_volts/100)^2+0.01^2)",
    "nozzle": nozzle_uncertainty("C{row}"),
}
_WHAT_TO_DO = (
    "Nothing. Write the readings into the log: they are what later ones are compared with.",
    (
        "Shut the valve, look at the intake screen and half-open valves; open the pipe at its middle and compare "
        "pressures; flush."
    ),
    (
        "Vent every high point, slowly, standing aside; let the pipe fill with a trickle; add a vent where the pipe "
        "goes over a hump."
    ),
    (
        "Level the head again; look whether the intake is full while running, and whether the gauge's height is "
        "given rightly."
    ),
    "Valve shut, pressure off: measure the opening with a drill shank; look for wear, or for a leaf or stone in it.",
    (
        "Valve shut, wheel at rest: set the jet to the middle of the splitter and to the pitch circle; look for "
        "spray on the cups' edges."
    ),
    (
        "The machine is well: change battery voltage, star or delta, pitch circle or nozzle, or use a maximum-power "
        "controller."
    ),
    "Look below the wheel while it runs, from outside the guard: clear and widen the tailrace, raise the wheel.",
    (
        "Wheel at rest: measure between all three pairs of terminals and test each diode; tighten terminals. It runs "
        "fast: mind the volts."
    ),
    "Wheel at rest: look at the windings' joints; tested against the plan, volts and speed are off by 1.7.",
    (
        "Load on, measure volts across each joint and along the cable; wheel at rest, clean and tighten, or lay "
        "thicker cable."
    ),
    (
        "Nothing is broken. See that the dump load takes over before the battery is overcharged: gas. Repeat the "
        "test with a heavy load."
    ),
    "Read again with a second instrument before you change anything on the plant.",
)
_WHY = {
    "gross_head": "Lower: less head, or air that stays in the pipe.",
    "roughness": "Of the first section; the others in proportion.",
    "fittings": "More than planned: a blockage, told as a loss coefficient of the first bore.",
    "velocity_coefficient": "",
    "nozzle": "Larger: worn. Smaller: something sits in it.",
    "alignment": "The share of the ideal torque that the jet gives.",
    "bearing_drag": "Told apart from the jet only by readings at two loads.",
    "windage": "Much more: water ponds under the wheel.",
    "phase_volts": "As joined in the plan: 1.7 or 0.58 of the plan means star and delta mistaken, 0.67 an open phase.",
    "phase_resistance": "",
    "cable_resistance": "With joints.",
}
_LABELS = {
    "gross_head": "Gross head",
    "roughness": "Roughness of the pipe",
    "fittings": "Fittings and blockage, K",
    "velocity_coefficient": "Velocity coefficient of the nozzle",
    "nozzle": "Nozzle opening",
    "alignment": "Alignment of the jet",
    "bearing_drag": "Drag of bearings and seals",
    "windage": "Churning, and water under the wheel",
    "phase_volts": "One phase, per 1000 rpm",
    "phase_resistance": "Resistance of one phase",
    "cable_resistance": "Cable and joints, out and back",
}
_CELLS = {"roughness": "roughness_used", "fittings": "fittings_k"}
ESTIMATED = tuple(  # (item, label, cell with the planned value, unit)
    (item, _LABELS[item], _CELLS.get(item, item), unit) for item, unit in zip(ITEMS, ITEM_UNITS)
)


_UNCERTAINTY, _MISFIT = column("E", "uncertainty"), column("I", "misfit")  # 0 of a reading not taken; in deviations
READING_SAYS = when(
    (_UNCERTAINTY == 0, "not taken"),
    (or_zero(_MISFIT) > 2, "too high for the rest"),
    (or_zero(_MISFIT) < -2, "too low for the rest"),
    otherwise="fits the rest",
)


def _reading_row(place, name):
    label, taken, value, meter = _SOURCES[name]
    uncertainty = _UNCERTAIN[name] if name in _UNCERTAIN else meter_uncertainty("C{row}", meter)
    unit = UNITS[place - 1]
    return (
        label,
        Formula(f"=IF({taken},{value},0)", "0.000"),
        unit,
        Formula(f"=IF({taken},{uncertainty},0)", "0.000"),
        Formula(f"={READING_SAYS}"),
        Formula("=" + _ask("expected_reading", reading=place), "0.000", name=f"expect_{name}"),
        Formula("=" + _ask("expected_spread", reading=place), "0.000", name=f"scatter_{name}"),
        Formula(_if_read(_ask("reading_misfit", reading=place)), "0.0"),
        Formula("=ABS(N(I{row}))", "0.0"),
    )


def rank_of(fault: int) -> Expression:
    """Whether a fault is the likeliest or the next, in a word."""
    return when(
        (_NOTHING_READ, ""),
        (cell("fault_first_number") == fault, "likeliest"),
        (cell("fault_second_number") == fault, "next"),
        otherwise="",
    )


def _fault_row(number, words, remedy):
    return (
        words,
        Formula(_if_read("100*" + _ask("fault_probability", fault=number)), "0.0"),
        "%",
        Formula(f"={rank_of(number)}"),
        remedy,
    )


_ESTIMATE, _SPREAD, _PLANNED = column("C", "estimate"), column("E", "spread"), column("G", "planned")
CHANGED = when((no(is_number(_ESTIMATE)), ""), (magnitude(_ESTIMATE - _PLANNED) > 2 * _SPREAD, "yes"), otherwise="no")


def _estimate_row(item, label, cell, unit):
    return (
        label,
        Formula(_if_read(_ask("diagnosis_estimate", item=f'"{item}"')), "0.0000", name=f"estimate_{item}"),
        unit,
        Formula(_if_read(_ask("diagnosis_uncertainty", item=f'"{item}"')), "0.0000", name=f"uncertainty_{item}"),
        _WHY[item],
        Formula(f"={cell}", "0.0000"),
        Formula(f"={CHANGED}"),
    )


PAGE = Page(
    "Diagnosis",
    "What the readings of the sheet Test day say: which fault is likely, how sure that is, and what to read next.",
    (
        Heading("In words"),
        Result(
            "test_count",
            "Readings taken",
            "-",
            '=COUNTIF(test_uncertainties,">0")',
            f"Of {len(UNITS)}. With fewer than six, faults often look alike.",
            digits="0",
        ),
        Result(
            "fault_first",
            "Likeliest",
            "",
            _if_read("INDEX(fault_names,fault_first_number+1)"),
            "What to do about it: see below.",
            digits="General",
            strong=True,
        ),
        Result(
            "fault_first_share",
            "as likely as",
            "%",
            _if_read("INDEX(fault_chances,fault_first_number+1)"),
            "Below 80 read more before you change anything.",
            digits="0",
            strong=True,
        ),
        Result(
            "fault_second", "Next likely", "", _if_read("INDEX(fault_names,fault_second_number+1)"), digits="General"
        ),
        Result(
            "fault_second_share",
            "as likely as",
            "%",
            _if_read("INDEX(fault_chances,fault_second_number+1)"),
            digits="0",
        ),
        Result(
            "worst_reading",
            "Reading that disagrees most",
            "",
            _if_read("INDEX(reading_names,MATCH(worst_misfit,misfit_sizes,0))"),
            "With what the plan and all other readings let expect, were all well.",
            digits="General",
        ),
        Result(
            "worst_misfit",
            "by, in standard deviations",
            "-",
            "=IF(test_count=0,0,MAX(misfit_sizes))",
            "Up to 2 is ordinary.",
            digits="0.0",
        ),
        Result(
            "read_next",
            "Read next",
            "",
            _if_read('IF(next_number=0,"nothing is left to read",INDEX(reading_names,next_number))'),
            "Tells the first two apart best, of the readings not taken; at load B read the volts too.",
            digits="General",
        ),
        Result(
            "read_after",
            "and then",
            "",
            _if_read('IF(after_number=0,"nothing is left to read",INDEX(reading_names,after_number))'),
            digits="General",
        ),
        Words(
            "Shut the valve, let the wheel stop and take the pressure off before you touch nozzle, cups, shaft or "
            "pipe; take the fuse out before "
            "you touch terminals. A probability is a hint where to look and no proof. Local codes and licensed "
            "practice rule.",
            caution=True,
        ),
        Heading("Faults"),
        Table(
            ("fault", "probability", "unit", "", "what to do about it"),
            tuple(_fault_row(number, *texts) for number, texts in enumerate(zip(FAULTS, _WHAT_TO_DO))),
            names={"fault_names": "B", "fault_chances": "C"},
            key="faults",
            spread="F",
        ),
        Heading("What the plant is, if the likeliest fault is the true one", new_page=True),
        Table(
            ("value", "by the readings", "unit", "± (standard)", "note", "planned", "changed?"),
            tuple(_estimate_row(*row) for row in ESTIMATED),
            key="estimates",
            wrap=("F",),
            how={
                "C": "best fit if the likeliest fault is true, HYDRO_DIAGNOSIS_ESTIMATE",
                "E": "its standard uncertainty, HYDRO_DIAGNOSIS_UNCERTAINTY",
                "G": "from the sheets before",
                "H": "where both differ by more than two of these",
            },
        ),
        Heading("Readings, as the diagnosis takes them"),
        Table(
            (
                "reading",
                "read (0: not taken)",
                "unit",
                "± (standard)",
                "if all else were well, it",
                "expected if all is well",
                "± over healthy plants",
                "off by, deviations",
                "size",
            ),
            tuple(_reading_row(place, name) for place, name in enumerate(READING_NAMES, start=1)),
            names={"reading_names": "B", "test_readings": "C", "test_uncertainties": "E", "misfit_sizes": "J"},
            key="test_readings",
            how={"C": "sheet Test day", "E": "of the meter, as said there", "J": "off by, without its sign"},
        ),
        Result(
            "fault_first_number",
            "Number of the likeliest fault",
            "-",
            _if_read(_ask("likeliest_fault", rank=1)),
            "0 is all well.",
            digits="0",
        ),
        Result("fault_second_number", "Number of the next", "-", _if_read(_ask("likeliest_fault", rank=2)), digits="0"),
        Result(
            "next_number",
            "Place of the reading to take next",
            "-",
            _if_read(_ask("next_reading", rank=1)),
            "0: none is left.",
            digits="0",
        ),
        Result("after_number", "and after it", "-", _if_read(_ask("next_reading", rank=2)), digits="0"),
        Words(
            "Method: Bayes' theorem over a model of the whole plant, with the ordinary scatter of building and of "
            "meters; uncertainties as in JCGM "
            "100:2008 (GUM). What is not read keeps its planned value and a large uncertainty. The priors are common "
            "practice, no published source."
        ),
    ),
    widths=(3, 34, 26, 8, 14, 40, 11, 11, 10, 8),
    heads=("", "what", "value", "unit", "worked out by", "note", "", "", "", ""),
    pages=0,
)
CHECKS = (
    check(
        "A fault is likely",
        "=IF(test_count=0,0,100-INDEX(fault_chances,1))",
        "%",
        50,
        90,
        f"From the readings of the test day; the sheet Diagnosis names it. 0 where nothing was read. {PRACTICE}",
    ),
    check(
        "Reading that disagrees most",
        "=worst_misfit",
        "-",
        2,
        4,
        f"In standard deviations from what plan and other readings let expect. 0 where nothing was read. {PRACTICE}",
    ),
)
