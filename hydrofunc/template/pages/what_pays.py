"""What pays: each single change, its gain, cost and side effects, in order.

A row of changes holds only what it changes: a blank cell means as in the block `plant_judged`, which is the machine as
designed or as tested (sheet As tested). The first row of that table holds the names of its columns as HYDRO_PLANT knows
them, and stands for the fault put right, as that row changes none of them.
"""

from ...catalogue.diagnosis import NO_SINGLE
from ...registry import Argument
from ..chain import call, of_plant
from ..expression import all_of, cell, column, is_number, no, when
from ..model import PASS, STOP, WRAP, Formula, Heading, Input, Page, Result, Table, Words
from .common import OWN_JUDGEMENT, PRACTICE, limit, words

LIMITS = (
    limit("aligned_better", "A jet aligned better has more alignment by", 0.05, "-", OWN_JUDGEMENT, "[0, 1]"),
    limit("pitch_change", "Another pitch circle differs by", 10, "%", OWN_JUDGEMENT, "(0, 50]"),
    limit(
        "fittings_saved",
        "Better fittings save, of all K",
        50,
        "%",
        f"Long bends for elbows, ball or gate valves for globe valves, a rounded entrance. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit("cable_thicker", "A thicker cable has so many times the cross-section", 2, "-", OWN_JUDGEMENT, "[1, 10]"),
    limit(
        "bank_24_from",
        "Charging volts from which a battery is one of 24 V",
        18,
        "V",
        f"Between 12 V (13 to 15 V charging) and 24 V (26 to 30 V). {PRACTICE}",
        "[12, 24]",
    ),
    limit(
        "bank_48_from",
        "Charging volts from which a battery is one of 48 V",
        36,
        "V",
        f"Between 24 V (26 to 30 V charging) and 48 V (52 to 60 V). {PRACTICE}",
        "[24, 48]",
    ),
    limit(
        "least_cost",
        "A change that costs nothing is put in order as if it cost",
        1e-6,
        "currency",
        "So that a gain for nothing stands first.",
        "(0, 1]",
    ),
    limit(
        "last_gain",
        "What is not possible, or has no known cost, is put in order as if it gained",
        -1e12,
        "W",
        "So that it stands last.",
        "[-1e15, 0]",
    ),
)
OWN_ROWS = 8
_WIDTHS = (3, 42, 12, 11, 11, 10, *[7.5] * 10)
_NOTHING = '"none"'  # in the cell of a change that there is none of: HYDRO_PLANT refuses it, so the row has no figures

# column, name in the functions, head, digits
STATE = (
    ("C", "nozzle", "nozzle, mm", "0.0"),
    ("D", "jets", "jets", "0"),
    ("E", "bore", "bore, mm", "0.0"),
    ("F", "fittings", "K", "0.00"),
    ("G", "alignment", "align. of jet", "0.00"),
    ("H", "pitch_diameter", "pitch, mm", "0"),
    ("I", "connection", "joined", "General"),
    ("J", "load", "load", "General"),
    ("K", "battery_volts", "load at, V", "0.0"),
    ("L", "cable_resistance", "cable, Ω", "0.000"),
    ("M", "nozzle", "its best nozzle, mm", "0.0"),
)
_FIRST, _LAST = "C", "L"  # columns of what a row changes
_SMALLER = "SUMPRODUCT((nozzle_sizes<nozzle)*1)"
_UP_TO = "SUMPRODUCT((nozzle_sizes<=nozzle)*1)"
_AT_HAND = "INDEX(hand_sizes,MATCH(MAX(hand_watts),hand_watts,0))"


def asked(quantity: str, first: str = _FIRST, last: str = _LAST, row: str = "{row}", names: str = "{first}") -> str:
    """A quantity of the plant with the changes of a row, from one column to another; `names` is the row of names."""
    return of_plant(quantity, f"{first}${names}:{last}${names}", f"{first}{row}:{last}{row}", block="plant_judged")


def _if_there(formula):
    return f"IFERROR({formula},{_NOTHING})"


def _bank(volts):
    return {"K": f'IF(OR(bank_now={volts},bank_now=""),{_NOTHING},battery_volts*{volts}/bank_now)'}


def _pipe(direction):
    return {"E": _if_there(call("next_pipe_bore", direction=f'"{direction}"'))}


_BETTER_NOZZLE = 'IF(ROUND(N(R{row})-N(Q{row}),3)>0,M{row},"")'
# key, label, formula of each column that is changed, whether it gets a nozzle of its own, invented cost of the example
CHANGES = (
    ("nozzle_smaller", "Next smaller nozzle at hand", {"C": _if_there(f"SMALL(nozzle_sizes,{_SMALLER})")}, False, 5.0),
    ("nozzle_larger", "Next larger nozzle at hand", {"C": _if_there(f"SMALL(nozzle_sizes,{_UP_TO}+1)")}, False, 5.0),
    ("nozzle_at_hand", "Nozzle at hand with most watts", {"C": _if_there(_AT_HAND)}, False, 5.0),
    (
        "nozzle_best",
        "Nozzle of most jet power",
        {"C": _if_there(of_plant("best_nozzle", block="plant_judged"))},
        False,
        20.0,
    ),
    ("jet", "One jet more with its nozzles", {"D": "jets+1"}, True, 90.0),
    ("pipe_wider", "Wider pipe with its nozzle", _pipe("wider"), True, 600.0),
    ("pipe_narrower", "Narrower pipe with its nozzle", _pipe("narrower"), True, 400.0),
    ("fittings", "Better fittings", {"F": "basis_fittings*(1-fittings_saved/100)"}, False, 30.0),
    ("alignment", "Jet aligned better", {"G": "MIN(1,basis_alignment+aligned_better)"}, False, 0.0),
    ("pitch_smaller", "Pitch circle smaller", {"H": "pitch_diameter*(1-pitch_change/100)"}, False, 120.0),
    ("pitch_larger", "Pitch circle larger", {"H": "pitch_diameter*(1+pitch_change/100)"}, False, 120.0),
    (
        "connection",
        "Star and delta changed with its nozzle",
        {"I": 'IF(connection="star","delta","star")'},
        True,
        0.0,
    ),
    ("bank_12", "Battery of 12 V with its nozzle", _bank("12"), True, 150.0),
    ("bank_24", "Battery of 24 V with its nozzle", _bank("24"), True, 300.0),
    ("bank_48", "Battery of 48 V with its nozzle", _bank("2*24"), True, 600.0),
    ("cable", "Cable thicker", {"L": "basis_cable_resistance/cable_thicker"}, False, 70.0),
    ("controller", "Maximum-power controller", {"J": f'IF(load="controller",{_NOTHING},"controller")'}, False, 130.0),
)


def cost_of(name: str, label: str, example: float | None = None) -> Input:
    """An input for what something costs."""
    argument = Argument(name, "currency", "What it costs.", "[0, 1E9]")
    note = "Material and your own hours as you count them. Empty: not known."
    return Input(name, label, argument, example=example, digits="0", note=note)


_COST, _GAIN_OF_ROW, _PER_COST, _BY = (
    column("N", "cost"),
    column("P", "gain"),
    column("Z", "per cost"),
    column("AA", "by"),
)
GAIN_PER_COST = when(
    (no(all_of(is_number(_GAIN_OF_ROW), is_number(_COST))), ""), (_COST > 0, _GAIN_OF_ROW / _COST), otherwise="free"
)
ORDERED_BY = when(
    (cell("rank_by") == "gain", _GAIN_OF_ROW),
    (_PER_COST == "free", _GAIN_OF_ROW / cell("least_cost")),
    otherwise=_PER_COST,
)
ORDER = when((is_number(_BY), _BY), otherwise=cell("last_gain"))
# The fault put right stands first if it gains: no purchase mends it.
_FAULT_ORDER = "IF(N(P{row})>0,-last_gain,IF(ISNUMBER(P{row}),P{row},2*last_gain))"
_SIGNED = "+0.0;-0.0;0.0"
_GAIN = Formula('=IF(ISNUMBER(O{row}),ROUND(O{row}-judged_watts,3),"")', _SIGNED)
_EFFECTS = (("flow", "0.000"), ("runaway_volts", "0"), ("operating_speed", "0"))


def _or_nothing(formula, digits):
    return Formula(f'=IFERROR({formula},"")', digits, guard=PASS)


def _if_possible(formula, digits):
    return Formula(f'=IF(O{{row}}="","",{formula})', digits, guard=PASS)


def _effects(of, surge):
    """Flow, surge, open volts and speed of a row, as `of` asks for them."""
    flow, *rest = (_if_possible(of(quantity), digits) for quantity, digits in _EFFECTS)
    return flow, surge, *rest


def _tail(flow, surge, runaway, speed, order):
    """Columns S to AE: parts of the label, bore, effects, and the row's place in the order."""
    return (
        Formula('=IF(ISNUMBER(E{row}),", bore "&ROUND(E{row},1)&" mm","")', guard=PASS),
        Formula('=IF(ISNUMBER(C{row}),": "&ROUND(C{row},1)&" mm","")', guard=PASS),
        Formula("=IF(ISNUMBER(E{row}),E{row},bore_used)", "0.0"),
        flow,
        Formula(f'=IF(O{{row}}="","",{surge})', "0.0", guard=STOP),
        runaway,
        speed,
        Formula(f"={GAIN_PER_COST}", "0.000"),
        Formula(f"={ORDERED_BY}", "0.00"),
        Formula(f"={order}", '[<-1E+9]"-";[<0]-0.00;0.00'),
        Formula("=SUMPRODUCT((AB${first}:AB${last}>AB{row})*1)", "0"),
        Formula("=AC{row}+SUMPRODUCT((AB${first}:AB{row}=AB{row})*1)", "0"),
        Formula("=B{row}&T{row}&S{row}", guard=PASS),
    )


def blocked_surges(first: str, last: str, **known: str) -> tuple[Formula, Formula]:
    """Surge of a jet blocked in the pipe of a row, by formula and by a run, which takes the columns from first to last.

    `known` are arguments of HYDRO_SURGE_PRESSURE. Where the wall is not known, nothing else waits for these.
    """
    run = f"{first}${{first}}:{last}${{first}},{first}{{row}}:{last}{{row}}"
    surges = (
        call("surge_pressure", closing_time="0", density="water_density", chainage="", **known),
        f'HYDRO_SURGE_RUN(plant_surge,"blocked_highest",,{run})',
    )
    by_formula, by_run = (Formula(f'=IFERROR({surge},"")', "0.00", guard=STOP) for surge in surges)
    return by_formula, by_run


def _counts(letter, name):
    """What a row changes, or else what counts."""
    return Formula(f"=IF(ISNUMBER({letter}{{row}}),{letter}{{row}},{name})", "0.00", guard=PASS)


# Columns AF to AL: the surge of a jet that is blocked while the pipe is full, whatever the source gives.
_SURGE_NAMES = ("nozzle", "jets", "fittings", "bore", "flow")
_SURGES = (
    _counts("C", "basis_nozzle"),
    _counts("D", "jets"),
    _counts("F", "basis_fittings"),
    Formula("=U{row}", "0.0", guard=PASS),
    _or_nothing(of_plant("flow", "AF${first}:AI${first}", "AF{row}:AI{row}", block="plant_pipe"), "0.000"),
    *blocked_surges("AH", "AJ", flow="AJ{row}", bore="AI{row}"),
)


def _row(label, changes, has_own_nozzle, cost):
    """A change: what it changes, cost, watts, gain, and to the right of the page what else comes of it."""
    own = {
        "C": _BETTER_NOZZLE,
        "M": f'IFERROR(ROUND({asked("best_nozzle", "D")},1),"")',
        "Q": f'IFERROR({asked("battery_watts", "D")},"")',
        "R": f'IFERROR({asked("battery_watts", "D", "M")},"")',
    }
    changes = changes | (own if has_own_nozzle else {})

    def changed(letter, digits="0.0"):
        guard = PASS if letter in "MQR" else WRAP
        return Formula(f"={changes[letter]}", digits, guard=guard) if letter in changes else ""

    return (
        label,
        *(changed(letter, digits) for letter, _, _, digits in STATE),
        cost,
        _or_nothing(asked("battery_watts"), "0.0"),
        _GAIN,
        changed("Q"),
        changed("R"),
        *_tail(*_effects(asked, "MAX(AK{row}:AL{row})"), ORDER),
        *_SURGES,
    )


ROWS = (
    (
        Formula(
            f'=IF(basis="as tested",IF(AND(N(fault_first_number)>0,fault_first<>"{NO_SINGLE}"),'
            '"Put right: "&fault_first,""),"")'
        ),
        *(name for _, name, _, _ in STATE),
        cost_of("cost_fault", "Cost: fault put right"),
        Formula(f'=IF(B{{row}}="","",{of_plant("battery_watts")})', "0.0"),
        _GAIN,
        "",
        "",
        *_tail(*_effects(of_plant, "blocked_surge"), _FAULT_ORDER),
        *_SURGE_NAMES,
    ),
    _row("As on the sheets", {}, False, Formula("=0", "0")),
    *(
        _row(label, changes, own, cost_of(f"cost_{key}", f"Cost: {label}", example))
        for key, label, changes, own, example in CHANGES
    ),
)
_CHANGES_TABLE = Table(
    (
        "change",
        *(head for _, _, head, _ in STATE),
        "cost, currency",
        "battery, W",
        "gain, W",
        "with the nozzle fitted, W",
        "with its best nozzle, W",
        "bore in the label",
        "nozzle in the label",
        "bore that counts, mm",
        "flow, L/s",
        "surge, jet blocked, bar",
        "open at runaway, V",
        "speed, rpm",
        "W per currency",
        "judged by, W or W per currency",
        "order by",
        "rows before it, number",
        "place",
        "label",
        "nozzle, mm",
        "jets",
        "K",
        "bore, mm",
        "flow, pipe full, L/s",
        "surge by formula, bar",
        "surge by a run, bar",
    ),
    ROWS,
    names={
        "pays_cost": "N",
        "pays_watts": "O",
        "pays_gain": "P",
        "pays_flow": "V",
        "pays_surge": "W",
        "pays_open_volts": "X",
        "pays_speed": "Y",
        "pays_per_cost": "Z",
        "pays_place": "AD",
        "pays_labels": "AE",
    },
    key="pays",
    how={
        "C:L": "only what the row changes (HYDRO_NEXT_PIPE_BORE, HYDRO_PLANT, steps on sheet Limits)",
        "M": "of most jet power after the change, to a tenth of a millimetre",
        "N": "yours",
        "O": "HYDRO_PLANT with the names of the first row; with its nozzle: or the nozzle fitted, if that gives more",
        "P": "watts of the row less those of the plant as it is",
        "Q:Y": "right of the page: HYDRO_PLANT with the same changes; surge as on Strength, in the last columns",
        "Z:AB": "gain over cost; gain, or gain over cost, as chosen above",
        "AC:AD": "rows that stand before it; 1 for the greatest, rows alike from the top",
        "AF:AL": "what counts for the surge; flow by HYDRO_PLANT, the source without limit; HYDRO_SURGE_PRESSURE and "
        "HYDRO_SURGE_RUN, the greater counts",
    },
)


def _ranked(name, digits):
    return Formula(f"=INDEX(pays_{name},K{{row}})", digits)


_RANKED_ROW = (
    _ranked("labels", "General"),
    _ranked("gain", _SIGNED),
    _ranked("watts", "0.0"),
    Formula('=IF(ISNUMBER(INDEX(pays_cost,K{row})),INDEX(pays_cost,K{row}),"")', "0"),
    _ranked("per_cost", "0.000"),
    _ranked("flow", "0.000"),
    _ranked("surge", "0.0"),
    _ranked("open_volts", "0"),
    _ranked("speed", "0"),
    Formula("=MATCH(ROWS(K${first}:K{row}),pays_place,0)", "0"),
)


def _own(i):
    """A row of one's own: the name and the value of what is changed."""
    name = words(f"own_name_{i}", "Name as on sheet Plant, such as roughness, windage or phase_volts.")
    value = Argument(f"own_value_{i}", "-", "Its value, in the unit of our functions.", "[-1E9, 1E9]")
    return (
        Input(name.name, f"Your own change {i}", name),
        Input(value.name, f"Value of your own change {i}", value),
        Formula(
            '=IF(COUNTA(B{row}:C{row})<2,"",'
            'IFERROR(HYDRO_PLANT(plant_judged,"battery_watts",B{row},C{row}),"not possible"))',
            "0.0",
            guard=PASS,
        ),
        Formula('=IF(ISNUMBER(D{row}),ROUND(D{row}-judged_watts,3),"")', _SIGNED),
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
            example="invented",
        ),
        Result(
            "judged_watts",
            "The plant as it is gives",
            "W",
            "=" + of_plant("battery_watts", block="plant_judged"),
            "As designed or as tested, as chosen on sheet As tested.",
            digits="0.0",
        ),
        Result("best_change", "First change in order", "", "=INDEX(ranked_changes,1)", digits="General", strong=True),
        Result(
            "best_change_gain",
            "The first change gives more, by",
            "W",
            "=INDEX(ranked_gains,1)",
            "Of the table below.",
            digits="0.0",
        ),
        Result(
            "best_change_words",
            "In words",
            "",
            '=IF(N(best_change_gain)>0,ROUND(best_change_gain,1)&" W more than "&ROUND(judged_watts,1)&" W.",'
            '"No single change of these gives more.")',
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
            (_RANKED_ROW,) * len(ROWS),
            names={"ranked_changes": "B", "ranked_gains": "C", "ranked_watts": "D"},
            key="ranked",
            how={"C:K": "taken from the table of the changes; row: the row there, by its place"},
        ),
        Words(
            "Surge is what the pipe meets on top of the pressure at rest if a stone or ice blocks the jet at once "
            "while the pipe is full (walls in proportion to the bore; the greater of formula and run, as on Strength): "
            "see Strength for the rating. Open volts at runaway are what diodes, controller and hands meet when the "
            "load falls off. Check both before you buy. Local pressure and electrical codes rule.",
            caution=True,
        ),
        Words(
            "Gains of two changes do not add up: make the first, put it on its sheet, and look here again. No figure: "
            "not possible here, such as "
            "a nozzle wider than the bore. K, length and second and third section stay as they are when the pipe "
            "changes."
        ),
        Heading("Your own changes"),
        Table(
            ("name on sheet Plant", "value, in its unit", "battery, W", "gain, W"),
            tuple(_own(i) for i in range(1, OWN_ROWS + 1)),
            key="own_changes",
            how={"D": "HYDRO_PLANT of the plant as it is with that name and value", "E": "less what it gives as it is"},
        ),
        Words(
            "Names stand in the first column of sheet Plant, such as gross_head, roughness, windage or phase_volts; "
            "values count in the unit of our functions (m, mm, L/s, V, A, Ω), also in a workbook of US units."
        ),
        Heading("Each change alone", new_page=True),
        Result(
            "bank_now",
            "The battery is one of",
            "V",
            '=IF(OR(load="resistor",NOT(ISNUMBER(battery_volts))),"",'
            "IF(battery_volts<bank_24_from,12,IF(battery_volts<bank_48_from,24,2*24)))",
            "By its charging volts: limits on sheet Limits.",
            digits="0",
        ),
        _CHANGES_TABLE,
        Words(
            "The watts are worked out, the costs are yours. A battery of another voltage needs other loads, a "
            "controller must stand the open volts at runaway, a second jet needs room round the wheel."
        ),
        Words(
            "Pipe, nozzle, connection and battery together: sheet Combinations. For a million of other ones: hydrofunc "
            "sweep BOOK.xlsx --vary nozzle=4:12:0.5 --vary pipe_bore=20,25,32 --out results.csv"
        ),
    ),
    widths=_WIDTHS,
    heads=("",) * len(_WIDTHS),
)
CHECKS = ()
