"""Diagnosis: what the readings of the test day say."""

from ...catalogue.diagnosis import FAULTS, ITEM_UNITS, ITEMS, READING_NAMES, UNITS
from ..expression import cell, column, is_number, magnitude, no, or_zero, when
from ..model import PASS, STOP, Formula, Heading, Page, Result, Table, Words
from .common import PRACTICE, Check, limit

LIMITS = (
    limit(
        "day_ordinary",
        "A reading or a value is ordinary up to, in standard deviations",
        2,
        "-",
        f"95 of 100 readings lie inside (JCGM 100:2008, G.1.2; from memory, not looked up). {PRACTICE}",
        "(0, 10]",
    ),
    limit(
        "fault_sure",
        "A fault is likely enough to act on from",
        80,
        "%",
        f"Below it one more reading costs less than a wrong repair. {PRACTICE}",
        "[50, 100]",
    ),
    limit(
        "fault_named",
        "A fault is named by itself from",
        50,
        "%",
        f"Below it the others together are likelier: then two are named. {PRACTICE}",
        "[20, 100]",
    ),
)
_NOTHING_READ = cell("test_count") == 0


def ask(quantity: str, which: object) -> str:
    """An answer of the diagnosis for the plant as planned and the readings taken, as worksheet text."""
    return f'HYDRO_DIAGNOSIS(plant,"{quantity}",{which},reads,spreads)'


def _if_read(expression):
    """The expression where at least one reading was taken, else an empty text."""
    return f'=IF({_NOTHING_READ},"",{expression})'


def _if_day_read(expression, digits):
    """A cell of a table: the expression where it has something to judge; it then keeps its own gate."""
    return Formula(f'=IF(day_read,{expression},"")', digits, guard=PASS)


# Reading: label, cell it is taken from; cells with the meter's share in % and with what it may be off by near zero.
# A quotient of two readings has lines of its own on the sheet Test day; a drill shank is never better than a floor.
_SOURCES = {
    "static": ("Gauge, valve shut", "reading_static", "gauge_share", "gauge_off"),
    "running": ("Gauge, running", "reading_running", "gauge_share", "gauge_off"),
    "flow": ("Flow by bucket", "reading_flow", "meter_bucket", None),
    "speed_a": ("Speed at load A", "reading_speed", "meter_speed", "least_speed"),
    "rectifier_a": ("Rectifier volts at load A", "reading_rectifier", "meter_volts", "least_volts"),
    "volts_a": ("Load volts at load A", "reading_volts", "meter_volts", "least_volts"),
    "amps_a": ("Amperes at load A", "reading_amps", "meter_amps", "least_amps"),
    "speed_b": ("Speed at load B", "reading_speed_b", "meter_speed", "least_speed"),
    "rectifier_b": ("Rectifier volts at load B", "reading_rectifier_b", "meter_volts", "least_volts"),
    "volts_b": ("Load volts at load B", "reading_volts_b", "meter_volts", "least_volts"),
    "amps_b": ("Amperes at load B", "reading_amps_b", "meter_amps", "least_amps"),
    "open_constant": ("Open d.c. volts per 1000 rpm", "reading_constant", "meter_volts", "least_constant"),
    "phase_balance": ("Lowest over highest line volts", "reading_balance", "meter_balance", "least_balance"),
    "nozzle": ("Nozzle fitted, measured", "reading_nozzle", "meter_nozzle", None),
    # 1 for yes, 0 for no; as uncertainty the chance that the answer is wrong.
    "overflow": ("Water runs over at the intake (1 yes)", "answer_overflow", None, "look_wrong"),
    "screen": ("Screen of the intake is clean (1 yes)", "answer_screen", None, "look_wrong"),
    "open_speed": ("Speed at which the open volts were read", "reading_open_speed", "meter_speed", "least_speed"),
}
# No reading that can be off for the rest: the fit takes it as it is, with its uncertainty.
_SAYS = {"open_speed": "how far the open volts count"}
_FLOORS = {"nozzle": Formula("=least_nozzle", "0.00")}
WHAT_TO_DO = (
    "Nothing. Write the readings into the log: they are what later ones are compared with.",
    (
        "Shut the valve, look at the intake screen and half-open valves; walk the pipe for wet spots; open it at its "
        "middle and compare pressures; flush."
    ),
    (
        "Vent every high point, slowly, standing aside; let the pipe fill with a trickle; add a vent where the pipe "
        "goes over a hump."
    ),
    (
        "Level the head again; look whether the intake is full while running, and whether the gauge's height is "
        "given rightly."
    ),
    (
        "Valve shut, pressure off: measure the opening with a drill shank; look for wear, a leaf or stone in it, and "
        "for a valve after the gauge that is half shut."
    ),
    (
        "Valve shut, wheel at rest: set the jet to the middle of the splitter and to the pitch circle; look for worn "
        "or chipped cups and for spray marks at their edges."
    ),
    (
        "The machine is well: change battery voltage, star or delta, pitch circle or nozzle, or use a maximum-power "
        "controller."
    ),
    (
        "Look below the wheel while it runs, from outside the guard: clear and widen the tailrace, raise the wheel. "
        "Valve shut, wheel at rest: turn it by hand; bearings and seals must not hold it."
    ),
    (
        "Wheel at rest: measure between all three pairs of terminals and test each diode; tighten terminals. It runs "
        "fast: mind the volts. One pair lower than the others with all diodes good: shorted turns."
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
    "Read again with a second gauge, at rest and running; see that it shows 0 with the pressure off.",
    "Weigh the bucket full of water, and time three fillings; all the water must go into the bucket.",
    "Read the speed with a second counter; from hertz: rpm = 60 x hertz / pole pairs. Count the magnets.",
    "Read again with a second multimeter before you change anything on the plant.",
    (
        "Look at the intake while the plant runs: does water run over, does a whirl draw air in? Fit a smaller nozzle "
        "for the dry season, or set the intake deeper."
    ),
    (
        "Turn the shaft at a known speed, nothing connected, and read the open volts: correct the sheet's value. Where "
        "it was right once, the magnets were hot or weakened."
    ),
    (
        "No single fault explains these readings: there is no one place to look. Read again what disagrees most, with "
        "a second instrument. If it stays, look for the likeliest single fault: it may be one of the two. Put right "
        "what you find, and read the whole day again."
    ),
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


_UNCERTAINTY, _MISFIT = column("E", "uncertainty"), column("F", "misfit")  # 0 of a reading not taken; in deviations
_ORDINARY = cell("day_ordinary")
READING_SAYS = when(
    (_UNCERTAINTY == 0, "not taken"),
    (or_zero(_MISFIT) > _ORDINARY, "too high for the rest"),
    (or_zero(_MISFIT) < -_ORDINARY, "too low for the rest"),
    otherwise="fits the rest",
)


def _uncertainty_of(letter):
    """What the meter may be off by at the value in a column, as worksheet text."""
    return f"MAX(N(L{{row}}),SQRT(({letter}{{row}}*N(J{{row}})/100)^2+N(K{{row}})^2))"


def _reading_row(name, unit):
    label, source, share, least = _SOURCES[name]
    return (
        label,
        Formula(f"=N({source})", "0.000"),
        unit,
        Formula(f"=IF(I{{row}}>0,{_uncertainty_of('C')},0)", "0.000"),
        _if_day_read(ask("reading_misfit", "H{row}"), "0.0"),
        _SAYS.get(name) or Formula(f"={READING_SAYS}", words=True, guard=PASS),
        Formula("=ROWS(B${first}:B{row})", "0"),
        Formula(f"=COUNT({source})", "0"),
        Formula(f"={share}", "0.0") if share else "",
        Formula(f"={least}", "0.00") if least else "",
        _FLOORS.get(name, ""),
        Formula("=ABS(N(F{row}))", "0.0"),
        Formula(f"={ask('expected_reading', 'H{row}')}", "0.000", name=f"expect_{name}"),
        Formula(f"={ask('expected_spread', 'H{row}')}", "0.000", name=f"scatter_{name}"),
        Formula(f"=SQRT(O{{row}}^2+{_uncertainty_of('N')}^2)", "0.000", name=f"band_{name}"),
        Formula('=IF(I{row}>0,C{row},"")', "0.000", name=f"seen_{name}"),
    )


_NUMBER = column("H", "number")
RANKED = when(
    (cell("fault_first_number") == _NUMBER, "likeliest"),
    (cell("fault_second_number") == _NUMBER, "next"),
    otherwise="",
)


def _fault_row(words, remedy):
    return (
        words,
        Formula(_if_read("100*I{row}"), "0.0"),
        "%",
        Formula(f"={RANKED}", words=True, guard=PASS),
        remedy,
        "",
        Formula("=ROWS(B${first}:B{row})-1", "0"),
        _if_day_read(ask("fault_probability", "H{row}"), "0.000"),
    )


_ESTIMATE, _SPREAD, _PLANNED = column("C", "estimate"), column("E", "spread"), column("H", "planned")
CHANGED = when(
    (no(is_number(_ESTIMATE)), ""),
    (magnitude(_ESTIMATE - _PLANNED) > _ORDINARY * _SPREAD, "yes"),
    otherwise="no",
)


def _estimate_row(item, label, cell, unit):
    return (
        label,
        Formula(_if_read("J{row}"), "0.0000", name=f"estimate_{item}"),
        unit,
        Formula(_if_read("K{row}"), "0.0000", name=f"uncertainty_{item}"),
        Formula(f"={CHANGED}", words=True),
        _WHY[item],
        Formula(f"={cell}", "0.0000", guard=PASS),
        item,
        Formula(f"={ask('diagnosis_estimate', 'I{row}')}", "0.0000"),
        Formula(f"={ask('diagnosis_uncertainty', 'I{row}')}", "0.0000"),
    )


ADVICE = when(
    (_NOTHING_READ, ""),
    (cell("fault_first_share") < cell("fault_sure"), "read more before you change anything"),
    otherwise="sure enough to look there first",
)


def _named(number):
    return _if_read(f'IF({number}=0,"nothing left here tells them apart",INDEX(reading_names,{number}))')


PAGE = Page(
    "Diagnosis",
    "What the readings of the sheet Test day say: which fault is likely, how sure that is, and what to read next.",
    (
        Heading("In words"),
        Result(
            "test_count",
            "Readings taken",
            "-",
            '=COUNTIF(spreads,">"&0)-COUNT(reading_open_speed)',
            f"Of {len(UNITS) - 1}; open volts and their speed are one. With fewer than six, faults often look alike.",
            digits="0",
        ),
        Result(
            "fault_verdict",
            "In one line",
            "",
            _if_read(
                'IF(fault_first_share<fault_named,"I cannot tell: "&fault_first&", or: "&fault_second,fault_first)'
            ),
            "From which share on one fault is named by itself: sheet Limits.",
            digits="General",
            strong=True,
        ),
        Result(
            "fault_first",
            "Likeliest fault",
            "",
            _if_read("INDEX(fault_names,fault_first_number+1)"),
            digits="General",
            strong=True,
            beside=_if_read("INDEX(fault_remedies,fault_first_number+1)"),
        ),
        Result(
            "fault_first_share",
            "How sure the likeliest is",
            "%",
            _if_read("INDEX(fault_chances,fault_first_number+1)"),
            "Probability that it is this one, of all that are listed below.",
            digits="0",
            strong=True,
        ),
        Result(
            "fault_advice",
            "Sure enough to act?",
            "",
            f"={ADVICE}",
            "From which share on: sheet Limits.",
            digits="General",
        ),
        Result(
            "fault_second",
            "Next likely fault",
            "",
            _if_read("INDEX(fault_names,fault_second_number+1)"),
            digits="General",
            beside=_if_read("INDEX(fault_remedies,fault_second_number+1)"),
        ),
        Result(
            "fault_second_share",
            "How sure the next one is",
            "%",
            _if_read("INDEX(fault_chances,fault_second_number+1)"),
            "The same, of the next.",
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
            "How far off that reading is (2 ordinary, 4 much)",
            "-",
            "=IF(test_count=0,0,MAX(misfit_sizes))",
            "In standard deviations. Sheet Limits says what is ordinary.",
            digits="0.0",
        ),
        Result(
            "read_next",
            "Read next",
            "",
            _named("next_number"),
            "Tells the first two single faults apart best, of what was not read; at load B read the volts too.",
            digits="General",
        ),
        Result(
            "pipe_takes",
            "Roughness and blockage together take, if it is the pipe",
            "m",
            _if_read('IF(fault_first_number=1,found_lost_head,"")'),
            "Of head, at this flow. One flow cannot part them: a second gauge half way down can, or readings at two "
            "flows. A screen or valve takes head at one spot, a rough wall along the whole pipe.",
            digits="0.0",
        ),
        Result("read_after", "Read after that", "", _named("after_number"), digits="General"),
        Words(
            "Shut the valve, let the wheel stop and take the pressure off before you touch nozzle, cups, shaft or "
            "pipe; take the fuse out before "
            "you touch terminals. A probability is a hint where to look and no proof. Local codes and licensed "
            "practice rule.",
            caution=True,
        ),
        Heading("Faults"),
        Table(
            ("fault", "probability", "unit", "rank", "what to do about it"),
            tuple(_fault_row(*texts) for texts in zip(FAULTS, WHAT_TO_DO, strict=True)),
            names={"fault_names": "B", "fault_chances": "C", "fault_remedies": "F"},
            key="faults",
            spread="F",
            how={"C": "HYDRO_DIAGNOSIS, of the readings below"},
        ),
        Heading("What the plant is, if the likeliest fault is the true one", new_page=True),
        Table(
            ("value", "by the readings", "unit", "± (standard)", "changed?", "note", "planned"),
            tuple(_estimate_row(*row) for row in ESTIMATED),
            key="estimates",
            wrap=("G",),
            how={
                "C": "best fit if the likeliest fault is true, HYDRO_DIAGNOSIS",
                "E": "its standard uncertainty",
                "F": "yes: by more than what is ordinary (sheet Limits), of these uncertainties",
                "H": "to the right of the page, from the sheets before",
            },
        ),
        Heading("Readings, as the diagnosis takes them"),
        Table(
            (
                "reading",
                "read (0: not taken)",
                "unit",
                "± (standard)",
                "off by, deviations",
                "if all else were well, it",
            ),
            tuple(_reading_row(*row) for row in zip(READING_NAMES, UNITS, strict=True)),
            names={"reading_names": "B", "reads": "C", "spreads": "E", "misfit_sizes": "M"},
            key="test_readings",
            how={
                "C": "sheet Test day",
                "E": "of the meter, as said there",
                "F": "HYDRO_DIAGNOSIS, from what plan and other readings let expect",
                "G": (
                    "what is ordinary: sheet Limits. To the right of the page: place in the list, whether taken, the "
                    "meter's share, least and floor, size of F, what a healthy plant reads, its scatter, the same "
                    "with the meter's, and the reading or nothing"
                ),
            },
        ),
        Result(
            "day_read",
            "There is something to judge",
            "",
            "=AND(ready,test_count>0)",
            "TRUE: the plant is known, and a reading was taken.",
            digits="General",
            guard=STOP,
        ),
        Result(
            "fault_first_number",
            "Number of the likeliest fault",
            "-",
            _if_read(ask("likeliest_fault", 1)),
            "0 is all well.",
            digits="0",
        ),
        Result(
            "fault_second_number",
            "Number of the next likely fault",
            "-",
            _if_read(ask("likeliest_fault", 2)),
            "The same.",
            digits="0",
        ),
        Result(
            "next_number",
            "Place of the reading to take next",
            "-",
            _if_read(ask("next_reading", 1)),
            "0: none is left.",
            digits="0",
        ),
        Result(
            "after_number",
            "Place of the reading to take after that",
            "-",
            _if_read(ask("next_reading", 2)),
            "The same.",
            digits="0",
        ),
        Words(
            "Method: Bayes' theorem over a model of the whole plant, with the ordinary scatter of building and of "
            "meters; uncertainties as in JCGM "
            "100:2008 (GUM). What is not read keeps its planned value and a large uncertainty. The priors are common "
            "practice, no published source."
        ),
    ),
    heads=("", "what", "value", "unit", "value", "", "note; how it comes about"),
)
CHECKS = (
    Check(
        "A fault is likely",
        '=IF(test_count=0,"",100-INDEX(fault_chances,1))',
        "%",
        50,
        90,
        f"From the readings of the test day; the sheet Diagnosis names it. {PRACTICE}",
        name="fault",
        give="readings of the test day",
    ),
    Check(
        "Reading that disagrees most",
        '=IF(test_count=0,"",worst_misfit)',
        "-",
        2,
        4,
        f"In standard deviations from what plan and other readings let expect. {PRACTICE}",
        name="misfit",
        give="readings of the test day",
    ),
)
