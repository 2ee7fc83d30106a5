"""Checks: every judgement of the workbook, each with number, limit and source.

The judgements on the way from site to battery stand here. Those of the other sheets stand in their modules
as `CHECKS`.
"""

from collections.abc import Mapping
from dataclasses import replace

from ..chain import call, of_plant
from ..model import STOP, Formula, Heading, Input, Page, Table, Words
from . import (
    diagnosis,
    doubt,
    electrical_safety,
    energy,
    housing,
    log,
    parts,
    route,
    strength,
    supply,
    what_pays,
    wheel,
)
from .common import PRACTICE, Check, judgement, limit, of_no_number

SITE_TO_BATTERY = (
    Check(
        "Water the nozzle takes, of the flow you may use",
        "=100*" + of_plant("flow", "available_flow", "1000") + "/available_flow",
        "%",
        100,
        130,
        "Above 100 the pipe runs partly empty, draws air and the head falls: fit a smaller nozzle.",
        rests_on=("bucket_seconds|weir_head|known_flow",),
        name="water_taken",
    ),
    Check(
        "Nozzle size, of the best one",
        "=100*nozzle/best_nozzle",
        "%",
        105,
        125,
        (
            "A nozzle too large wastes head in the pipe: more water, fewer watts. Best: White, Fluid Mechanics, "
            "problem P11.95."
        ),
        name="nozzle_size",
    ),
    Check(
        "Gross head lost in pipe and fittings",
        "=lost_share",
        "%",
        40,
        50,
        (
            "A third is lost at most jet power (White, Fluid Mechanics, P11.95; a little more as friction depends on "
            "flow)."
        ),
        name="head_lost",
    ),
    Check(
        "Static pressure, of the weakest rating",
        "=100*" + call("static_pressure", head="gross_head") + "/pipe_rating",
        "%",
        67,
        100,
        "Surge comes on top: keep a third in hand (common practice, no published source). Local pressure codes rule.",
        name="static_share",
    ),
    Check(
        "Gauge and level survey differ by",
        "=100*ABS(gross_head/level_difference-1)",
        "%",
        5,
        15,
        (f"Both were measured and should agree. Air in the pipe lowers the gauge. {PRACTICE}"),
        rests_on=("static_pressure", "level_difference"),
        name="two_heads",
    ),
    Check(
        "Pitch circle over jet",
        "=jet_ratio",
        "-",
        9,
        7,
        f"Fewer jet diameters and water misses the cups. 9 to 18, usually 10 to 14. {PRACTICE}",
        low_is_bad=True,
        name="jet_ratio",
    ),
    Check(
        "Speed ratio off the best by",
        "=ABS(speed_ratio-best_ratio)",
        "-",
        0.07,
        0.2,
        (
            "Change battery voltage, star or delta, or pitch circle to bring it nearer 0.46 (efficiency 4k(1-k) of "
            "the best, Euler)."
        ),
        digits="0.000",
        name="speed_ratio",
    ),
    Check(
        "Watts into the battery",
        "=battery_watts",
        "W",
        1,
        0.000001,
        "Nothing arrives: the wheel does not start, or never reaches the voltage of the battery.",
        low_is_bad=True,
    ),
    Check(
        "Overlap of the diodes",
        "=overlap",
        "°",
        35,
        60,
        "The averaged bridge (Bimbhra, Power Electronics, Ex. 6.28) is within 3 % to 35°, reads up to 6 % low at 60° "
        "(against a circuit simulator, in our tests), and does not hold beyond.",
    ),
    Check(
        "Open volts at runaway, of what the parts stand",
        "=100*runaway_volts/voltage_limit",
        "%",
        80,
        100,
        (
            "If the load falls off, controller and diodes see this. Common practice, no published source, for the "
            "margin of 20 %."
        ),
        name="runaway_share",
    ),
    Check(
        "Open volts at runaway, against touch",
        "=runaway_volts",
        "V",
        60,
        120,
        "60 V ripple-free d.c. touchable, dry (IEC 60598-1:2008, 8.2.3); 120 V d.c. is the limit of extra-low voltage "
        "(IEC 61558-1:2005, "
        "3.7.16). Wet places: lower. Licensed practice rules.",
        name="runaway_touch",
    ),
    Check(
        "Current, of what windings and bridge carry",
        "=100*current/current_limit",
        "%",
        80,
        100,
        f"They overheat slowly and fail at night. {PRACTICE}",
        name="current_share",
    ),
    Check(
        "Volts lost in the cable",
        "=IF(load_volts>0,100*current*cable_resistance/load_volts,0)",
        "%",
        5,
        10,
        f"Thicker or shorter cable, or a higher battery voltage. {PRACTICE}",
        name="cable_drop",
    ),
    Check(
        "The workbook's own sums differ by",
        "=MAX(ABS(ledger_sum/ledger_gross-1),ABS(" + call("jet_power") + "/jet_power-1))",
        "-",
        0.000000001,
        0.000000001,
        "The ledger must close, and single steps must give what the whole plant gives. If not, a formula was changed.",
        digits="0.0E+00",
    ),
)
OTHERS = (supply, route, strength, wheel, housing, electrical_safety, energy, parts, what_pays, doubt, diagnosis, log)
CHECKS = SITE_TO_BATTERY + tuple(row for module in OTHERS for row in module.CHECKS)

# Names of columns in which at least one entry is needed, in words.
COLUMNS_GIVEN = {
    "volts_measured": "the alternator's volts as measured",
    "load_watts": "a load",
    "month_flows": "the flow of a month",
    "part_prices": "prices",
    "route_chainage": "points of the route",
}
WAITS = "not looked at"  # how a judgement begins for which nobody gave what it judges
_GIVE = ""  # stands in a row for what its check needs; `build` puts the words there
_RANK = Formula(
    # how many stand before it: of two of one grade, the one nearer the source first
    '=IF(ISNUMBER(K{row}),COUNTIF(K${first}:K{row},K{row})+COUNTIF(check_grades,"<"&K{row}),"")',
    guard=STOP,
)
_GRADE = Formula('=IF(G{row}="stop",1,IF(G{row}="look",2,IF(G{row}="good","",3)))', guard=STOP)
_OF_NO_NUMBER = Formula(f"={of_no_number()}", guard=STOP)
_WORDS = Formula("=IF(K{row}=3,J{row},H{row})", words=True, guard=STOP)
_COLUMNS = {
    "B": "check_labels",
    "C": "check_values",
    "D": "check_units",
    "E": "check_good",
    "F": "check_stop",
    "G": "judgements",
    "H": "check_reasons",
    "I": "check_ranks",
    "J": "check_gives",
    "K": "check_grades",
    "N": "check_words",
}
SHOWN_FIRST = 12


def _from_the_list(column: str, words: bool = False) -> Formula:
    """What the check of this rank has in a column of the list; nothing where there is no such rank."""
    return Formula(f'=IF(ISNUMBER($I{{row}}),INDEX({column},$I{{row}}),"")', words=words)


_FIRST = (
    Formula("=IF(ISNUMBER($I{row}),INDEX(check_labels,$I{row}),K{row})", words=True),
    # A value may stand there though another check's is missing: no gate closes this column.
    Formula(
        '=IF(ISNUMBER($I{row}),IFERROR(INDEX(check_values,$I{row}),"none"),"")',
        "[<1]0.000;[<100]0.0;#,##0",
        guard=STOP,
    ),
    _from_the_list("check_units"),
    _from_the_list("check_good"),
    _from_the_list("check_stop"),
    Formula(f'=IF(ISNUMBER($I{{row}}),LEFT(INDEX(judgements,$I{{row}}),LEN("{WAITS}")),"")'),
    _from_the_list("check_words", words=True),
    # the row of the list that has this rank
    Formula('=IF(J{row}>COUNT(check_ranks),"",MATCH(J{row},check_ranks,0))'),
    Formula("=ROWS(J${first}:J{row})"),  # the order number of this row
    Formula('=IF(J{row}=COUNT(check_ranks)+1,"all others say good","")'),  # in the row after the last check
)
_HEADS = ("check", "value", "unit", "good to", "stop beyond", "judgement", "why, and source")

PAGE = Page(
    "Checks",
    "Every judgement with its number and its limit. Good: go on. Look: think again. Stop: do not build it so.",
    (
        Heading(f"The first {SHOWN_FIRST} that do not say good: stop, then look, then what waits for an input"),
        Table(
            _HEADS,
            ((replace(_FIRST[0], name="first_check"), *_FIRST[1:]), *(_FIRST,) * (SHOWN_FIRST - 1)),
            key="checks_first",
            judgement="G",
            lines=3,
            how={"C": "from the list below"},
        ),
        Heading("All checks", new_page=True),
        Table(
            _HEADS,
            (),  # `resolved` puts them there
            names={name: letter for letter, name in _COLUMNS.items()},
            key="checks",
            judgement="G",
            how={"C": "from the sheet where that number stands; click the cell to see its formula"},
            wrap=("B", "H"),
        ),
        Words(
            "A good here does not make an installation safe: it says that these numbers are in the usual range. Local "
            "codes and licensed "
            "practice decide on water rights, pressure, electrical work, battery rooms and confined or underground "
            "places.",
            caution=True,
        ),
    ),
    widths=(3, 38, 11, 7, 10, 11, 14, 71),
    heads=("",) * 8,
)


def resolved(page: Page, inputs: Mapping[str, Input]) -> Page:
    """The page with a row for each check, which judges only what its inputs allow, and says what to give else.

    `inputs` are the inputs of all pages by name. What else a check rests on is a column of a table: `COLUMNS_GIVEN`.
    """
    return replace(page, items=tuple(_table(item, inputs) for item in page.items))


def _table(item, inputs):
    if not isinstance(item, Table) or item.key != "checks":
        return item
    return replace(item, rows=tuple(_row(check, inputs) for check in CHECKS))


def _row(check, inputs):
    conditions, give = [], []
    for names in check.rests_on:
        items = {name: inputs.get(name) for name in names.split("|")}
        if any(item and item.assumption and item.assumption.proposed for item in items.values()):
            continue  # a proposal is as good to judge as a choice
        known = [f"given_{name}" if item and item.is_line else f"COUNT({name})>0" for name, item in items.items()]
        conditions.append(known[0] if len(known) == 1 else f"OR({','.join(known)})")
        give.append(" or ".join(item.label if item else COLUMNS_GIVEN[name] for name, item in items.items()))
    if check.give:
        give.append(check.give)
    known = conditions[0] if len(conditions) == 1 else f"AND({','.join(conditions)})"
    value = f'=IF(L{{row}},{check.value[1:]},"")' if conditions else check.value
    return (
        check.label,
        Formula(value, check.digits),
        check.unit,
        *(Formula(f"={grade}_{check.name}") if check.name else getattr(check, grade) for grade in ("good", "stop")),
        Formula(f"={judgement(check.low_is_bad)}", guard=STOP),
        Formula(f'="{check.why}"&{check.adds}', words=True, guard=STOP) if check.adds else check.why,
        _RANK,
        "give " + "; ".join(give),
        _GRADE,
        Formula(f"={known}", guard=STOP) if conditions else "",
        _OF_NO_NUMBER,
        _WORDS,
        _GIVE,
    )


def _limits(check):
    yield limit(f"good_{check.name}", f"Good to: {check.label}", check.good, check.unit, check.why)
    yield limit(
        f"stop_{check.name}", f"Stop beyond: {check.label}", check.stop, check.unit, "The same reason as above."
    )


LIMITS = tuple(line for check in CHECKS if check.name for line in _limits(check))
