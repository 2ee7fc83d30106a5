"""What pays: each single change, its gain, cost and side effects, in order.

`BASIS` says where the machine that is changed comes from.
"""

from ...registry import FUNCTIONS, Argument
from ..chain import asked, call
from ..expression import (
    Cell,
    Constant,
    Expression,
    all_of,
    cell,
    cells,
    count,
    entry,
    expression,
    greatest,
    is_number,
    largest,
    least,
    no,
    or_zero,
    root,
    slot_of,
    smallest,
    total_of,
    when,
)
from ..model import Formula, Heading, Input, Page, Result, Table, Words
from .as_tested import BASIS
from .common import words

OWN_ROWS = 5


def on_basis(name: str, **given: object) -> str:
    """A call of one of our functions for the machine of `BASIS`, except where `given` says otherwise."""
    known = {argument.name for argument in FUNCTIONS[name].arguments}
    return call(name, **{argument: text for argument, text in (BASIS | given).items() if argument in known})


def asked_on_basis(name: str, **given: object) -> Expression:
    """The same as an expression; what `given` holds are expressions, numbers, or texts."""
    known = {argument.name for argument in FUNCTIONS[name].arguments}
    return asked(name, **{argument: cell(text) for argument, text in BASIS.items() if argument in known} | given)


_NOZZLE, _FITTINGS, _ALIGNMENT = (cell(BASIS[name]) for name in ("nozzle", "fittings", "alignment"))
_JETS, _BORE, _PITCH, _JOINED, _LOAD, _BATTERY, _CABLE = cells(
    "jets bore_used pitch_diameter connection load battery_volts cable_area"
)
# column, head, what stands there if nothing is changed, digits
STATE = (
    ("C", "nozzle, mm", _NOZZLE, "0.0"),
    ("D", "jets", _JETS, "0"),
    ("E", "bore, mm", _BORE, "0.0"),
    ("F", "K", _FITTINGS, "0.00"),
    ("G", "align. of jet", _ALIGNMENT, "0.00"),
    ("H", "pitch, mm", _PITCH, "0"),
    ("I", "joined", _JOINED, "General"),
    ("J", "load", _LOAD, "General"),
    ("K", "load at, V", when((no(is_number(_BATTERY)), ""), otherwise=_BATTERY), "0.0"),
    ("L", "cable, mm²", _CABLE, "0.0"),
)
_ROW = {
    "nozzle": "C{row}",
    "jets": "D{row}",
    "bore": "E{row}",
    "fittings": "F{row}",
    "alignment": "G{row}",
    "pitch_diameter": "H{row}",
    "connection": "I{row}",
    "load": "J{row}",
    "battery_volts": "N(K{row})",
    "cable_resistance": f"({BASIS['cable_resistance']}*cable_area/L{{row}})",
}
_SIZES, _FITTED, _HAND_SIZES, _HAND_WATTS = cells("nozzle_sizes nozzle hand_sizes hand_watts")
_LARGER, _LARGER_OR_SAME = total_of((_SIZES > _FITTED) * 1), total_of((_SIZES >= _FITTED) * 1)
_BANK_NOW = when((_BATTERY < 18, 12), (_BATTERY < 36, 24), otherwise=48)  # by its charging volts
_ONE_JET_MORE = least(6, _JETS + 1)


def _bank(volts):
    return {"K": when((no(is_number(_BATTERY)), ""), otherwise=_BATTERY * volts / _BANK_NOW)}


def _pipe(direction):
    return {"E": asked("next_pipe_bore", bore=_BORE, direction=direction)}


# key, label, what is changed by column, column whose number the label shows, invented cost of the example
CHANGES = (
    (
        "nozzle_smaller",
        "Next smaller nozzle at hand",
        {"C": smallest(_SIZES, count(_SIZES) - _LARGER_OR_SAME)},
        "C",
        5.0,
    ),
    ("nozzle_larger", "Next larger nozzle at hand", {"C": largest(_SIZES, _LARGER)}, "C", 5.0),
    (
        "nozzle_at_hand",
        "Nozzle at hand with most watts",
        {"C": entry(_HAND_SIZES, slot_of(greatest(_HAND_WATTS), _HAND_WATTS))},
        "C",
        5.0,
    ),
    ("nozzle_best", "Nozzle of most jet power, made to measure", {"C": asked_on_basis("best_nozzle")}, "C", 20.0),
    ("jet", "One jet more, same water", {"C": _NOZZLE * root(_JETS / _ONE_JET_MORE), "D": _ONE_JET_MORE}, "D", 90.0),
    ("pipe_wider", "Pipe one size wider, bore", _pipe("wider"), "E", 600.0),
    ("pipe_narrower", "Pipe one size narrower, bore", _pipe("narrower"), "E", 400.0),
    ("fittings", "Half the fitting losses, K", {"F": _FITTINGS / 2}, "F", 30.0),
    ("alignment", "Jet aligned better", {"G": least(1, _ALIGNMENT + 0.05)}, "G", 0.0),
    ("pitch_smaller", "Pitch circle a tenth smaller", {"H": _PITCH * 0.9}, "H", 120.0),
    ("pitch_larger", "Pitch circle a tenth larger", {"H": _PITCH * 1.1}, "H", 120.0),
    ("connection", "Star and delta changed over", {"I": when((_JOINED == "star", "delta"), otherwise="star")}, "", 0.0),
    ("bank_12", "Battery of 12 V", _bank(12), "", 150.0),
    ("bank_24", "Battery of 24 V", _bank(24), "", 300.0),
    ("bank_48", "Battery of 48 V", _bank(48), "", 600.0),
    ("cable", "Cable twice as thick", {"L": _CABLE * 2}, "L", 70.0),
    ("controller", "Maximum-power controller", {"J": "controller"}, "", 130.0),
)


def _cost(key, label, example):
    argument = Argument(f"cost_{key}", "currency", "What this change costs.", "[0, 1E9]")
    return Input(
        argument.name,
        f"Cost: {label}",
        argument,
        optional=True,
        example=example,
        digits="0",
        note="Material and your own hours as you count them. Empty: not known.",
    )


def _row(label, change, cost):
    return (
        label,
        *(Formula(f"={expression(change.get(letter, same))}", digits) for letter, _, same, digits in STATE),
        cost,
        Formula("=" + on_basis("power_ledger", ledger_line='"battery"', **_ROW), "0.0"),
        Formula('=IF(ISNUMBER(N{row}),ROUND(N{row}-N${first},6),"")', "+0.0;-0.0;0.0"),
    )


def _label(label, column):
    if not column:
        return label
    digits = {"D": 0, "F": 2, "G": 2, "H": 0}.get(column, 1)
    unit = next(
        (f'&" {head.rpartition(", ")[2]}"' for letter, head, _, _ in STATE if letter == column and ", " in head), ""
    )
    return Formula(f'="{label}: "&IF(ISNUMBER({column}{{row}}),ROUND({column}{{row}},{digits}){unit},"none")')


ROWS = (
    _row("As on the sheets", {}, Formula("=0", "0")),
    *(
        _row(_label(label, column), change, _cost(key, label, example))
        for key, label, change, column, example in CHANGES
    ),
    *(
        _row(f"Your own {i}: type over any cell", {}, _cost(f"own_{i}", f"your own {i}", None))
        for i in range(1, OWN_ROWS + 1)
    ),
)
_WIDTHS = (3, 43, 10, 9, 9, 9, 9, 9, 9, 10, 9, 9, 9, 10, 9)
_CHANGES_TABLE = Table(
    ("change", *(head for _, head, _, _ in STATE), "cost, currency", "battery, W", "gain, W"),
    ROWS,
    names={"pays_labels": "B", "pays_cost": "M", "pays_watts": "N", "pays_gain": "O"},
    wrap=("B",),
    key="pays",
    how={
        "C:L": "as on the sheets, except what the row changes (HYDRO_BEST_NOZZLE, HYDRO_NEXT_PIPE_BORE)",
        "M": "yours",
        "O": "watts of the row less those of the first",
    },
)
# rows from a change to its effects: the table, how it comes about, a gap, a heading, the head cells
_DOWN = len(ROWS) + _CHANGES_TABLE.explained().rows_on(_WIDTHS) + 4
_CHANGED = {name: text.replace("{row}", f"{{row-{_DOWN}}}") for name, text in _ROW.items()}
_WATER = {name: _CHANGED[name] for name in ("nozzle", "jets", "bore", "fittings")}
_JET = _CHANGED | {
    "flow": "C{row}",
    "jet_velocity": on_basis(
        "jet_velocity",
        net_head=on_basis("nozzle_head", flow="C{row}", nozzle=_CHANGED["nozzle"], jets=_CHANGED["jets"]),
    ),
}
COST, GAIN = Cell("cost", f"M{{row-{_DOWN}}}"), Cell("gain", f"O{{row-{_DOWN}}}")
_LAST = Constant(-1e99)  # in the order: what is not possible, or has no cost to be judged by
GAIN_PER_COST = when((no(all_of(is_number(GAIN), is_number(COST))), ""), (COST > 0, GAIN / COST), otherwise="free")
_ORDERED_BY = when(
    (cell("rank_by") == "gain", GAIN),
    (no(is_number(COST)), _LAST),
    (COST > 0, GAIN / COST),
    otherwise=GAIN * Constant(1e9, "1E9"),
)
ORDERED_BY = when((no(is_number(GAIN)), _LAST), otherwise=_ORDERED_BY)
ORDERED_BY_OWN = when((no(or_zero(GAIN) != 0), _LAST), otherwise=_ORDERED_BY)  # not a row left as it was


def _effects(place):
    """What else the change in this row of the table above does, and its place in the order."""
    ordered_by = ORDERED_BY if place < len(ROWS) - OWN_ROWS else ORDERED_BY_OWN
    return (
        Formula(f"=B{{row-{_DOWN}}}"),
        Formula("=" + on_basis("operating_flow", **_WATER), "0.000"),
        Formula(f"={GAIN_PER_COST}", "0.000"),
        Formula(
            "="
            + call(
                "surge_pressure",
                flow="C{row}",
                closing_time="0",
                bore=_CHANGED["bore"],
                density="water_density",
                chainage="whole_length",
            ),
            "0.0",
        ),
        Formula(
            "="
            + on_basis(
                "open_circuit_volts", speed=on_basis("runaway_speed", **_JET), connection=_CHANGED["connection"]
            ),
            "0",
        ),
        Formula("=" + on_basis("operating_speed", **_JET), "0"),
        Formula(f"={ordered_by}", '[<-1E+90]"-";[<0]-0.00;0.00'),
        Formula("=SUMPRODUCT((H${first}:H${last}>H{row})*1)+SUMPRODUCT((H${first}:H{row}=H{row})*1)", "0"),
    )


def _ranked(place):
    def shown(name, digits):
        found = f"INDEX(pays_{name},K{{row}})"
        return Formula(f'=IF(ISNUMBER({found}),{found},"")', digits)

    return (
        Formula("=INDEX(pays_labels,K{row})"),
        shown("gain", "+0.0;-0.0;0.0"),
        shown("watts", "0.0"),
        shown("cost", "0"),
        Formula("=INDEX(pays_per_cost,K{row})", "0.000"),
        shown("flow", "0.000"),
        shown("surge", "0.0"),
        shown("open_volts", "0"),
        shown("speed", "0"),
        Formula(f"=MATCH({place},pays_place,0)", "0"),
    )


PAGE = Page(
    "What pays",
    "One change at a time: what it is worth in watts at the battery, what it costs, and what else it does.",
    (
        Input(
            "rank_by",
            "Order by",
            Argument("rank_by", "text", "What the changes are put in order by.", choices=("gain", "gain per cost")),
            "gain",
            note="Watts at the battery, or those over what the change costs.",
        ),
        Input(
            "cost_currency",
            "Costs are in",
            words("cost_currency", "Name of your money."),
            optional=True,
            example="invented",
        ),
        Result("best_change", "First in order", "", "=INDEX(ranked_changes,1)", digits="General", strong=True),
        Result(
            "best_change_words",
            "What it gives",
            "",
            '=IF(N(INDEX(ranked_gains,1))>0,ROUND(INDEX(ranked_gains,1),1)&" W more: '
            '"&ROUND(INDEX(ranked_watts,1),1)&" W instead of "'
            '&ROUND(INDEX(pays_watts,1),1)&" W.","No single change of these gives more.")',
            digits="General",
        ),
        Heading("The changes in order"),
        Table(
            (
                "change",
                "gain, W",
                "battery, W",
                "cost, currency",
                "W per currency",
                "flow, L/s",
                "surge, jet blocked, bar",
                "open at runaway, V",
                "speed, rpm",
                "row",
            ),
            tuple(_ranked(place) for place in range(1, len(ROWS) + 1)),
            names={"ranked_changes": "B", "ranked_gains": "C", "ranked_watts": "D"},
            key="ranked",
            how={"C:K": "taken from the two tables below; row: the row there, by its place"},
        ),
        Words(
            "Surge is what the pipe meets on top of the pressure at rest if a stone or ice blocks the jet at once "
            "(Joukowsky; walls in "
            "proportion to the bore): see Strength for the rating. Open volts at runaway are what diodes, controller "
            "and hands meet when the load "
            "falls off. Check both before you buy. Local pressure and electrical codes rule.",
            caution=True,
        ),
        Words(
            "Gains of two changes do not add up: make the first, put it on its sheet, and look here again. No figure: "
            "not possible here, such as "
            "a nozzle wider than the bore. K, length and second and third section stay as they are when the pipe "
            "changes."
        ),
        Heading("Each change alone: type over any cell of a row to try your own", new_page=True),
        _CHANGES_TABLE,
        Heading("What else each change does, and its place in the order", new_page=True),
        Table(
            (
                "change",
                "flow, L/s",
                "W per currency",
                "surge, jet blocked, bar",
                "open at runaway, V",
                "speed, rpm",
                "order by",
                "place",
            ),
            tuple(_effects(place) for place in range(len(ROWS))),
            names={
                "pays_flow": "C",
                "pays_per_cost": "D",
                "pays_surge": "E",
                "pays_open_volts": "F",
                "pays_speed": "G",
                "pays_place": "I",
            },
            key="effects",
            how={
                "D": "gain over cost",
                "H": "gain, or gain per cost, as chosen above",
                "I": "1 for the greatest, rows alike from the top",
            },
        ),
        Words(
            "The costs are invented until you put in your own; the watts are worked out. A battery of another voltage "
            "needs other loads, a "
            "controller must stand the open volts at runaway, a second jet needs room round the wheel."
        ),
        Words(
            "For hundreds or a million combinations: hydrofunc sweep BOOK.xlsx --vary nozzle=4:12:0.5 --vary "
            "pipe_bore=20,25,32 --out results.csv"
        ),
    ),
    widths=_WIDTHS,
    heads=("",) * 15,
    pages=0,
)
CHECKS = ()
