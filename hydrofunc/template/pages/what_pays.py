"""What pays: each single change, its gain, cost and side effects, in order.

`BASIS` says where the machine that is changed comes from; it is the only place that does.
"""

from ...registry import FUNCTIONS, Argument
from ..chain import call
from ..model import Formula, Heading, Input, Page, Result, Table, Words
from .common import words

BASIS = {
    name: f"basis_{name}"  # on As tested: designed or tested, by its switch
    for name in """gross_head roughness roughness_2 roughness_3 fittings nozzle velocity_coefficient alignment bearing_drag windage phase_volts
    phase_resistance cable_resistance""".split()
}
NEVER = "-1E+99"  # the order of what is not possible, or has no cost to be judged by
OWN_ROWS = 5


def on_basis(name, **given):
    """A call of one of our functions for the machine of `BASIS`, except where `given` says otherwise."""
    known = {argument.name for argument in FUNCTIONS[name].arguments}
    return call(name, **{argument: text for argument, text in (BASIS | given).items() if argument in known})


_BANK = "IF(battery_volts<18,12,IF(battery_volts<36,24,48))"  # what the battery now is called by its charging volts
# column, head, what stands there if nothing is changed, digits
_STATE = (
    ("C", "nozzle, mm", BASIS["nozzle"], "0.0"),
    ("D", "jets", "jets", "0"),
    ("E", "bore, mm", "bore_used", "0.0"),
    ("F", "K", BASIS["fittings"], "0.00"),
    ("G", "align. of jet", BASIS["alignment"], "0.00"),
    ("H", "pitch, mm", "pitch_diameter", "0"),
    ("I", "joined", "connection", "General"),
    ("J", "load", "load", "General"),
    ("K", "load at, V", 'IF(ISNUMBER(battery_volts),battery_volts,"")', "0.0"),
    ("L", "cable, mm²", "cable_area", "0.0"),
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


def _bank(volts):
    return {"K": f'IF(ISNUMBER(battery_volts),battery_volts*{volts}/{_BANK},"")'}


def _pipe(direction):
    return {
        "E": call(
            "next_pipe_bore",
            bore="bore_used",
            direction=f'"{direction}"',
            pipe_standard="pipe_standard",
            pipe_class="pipe_class",
        )
    }


_ABOVE, _FROM = "SUMPRODUCT((nozzle_sizes>nozzle)*1)", "SUMPRODUCT((nozzle_sizes>=nozzle)*1)"
# key, label, what is changed, column whose number the label shows, invented cost of the example
CHANGES = (
    (
        "nozzle_smaller",
        "Next smaller nozzle at hand",
        {"C": f"SMALL(nozzle_sizes,COUNT(nozzle_sizes)-{_FROM})"},
        "C",
        5.0,
    ),
    ("nozzle_larger", "Next larger nozzle at hand", {"C": f"LARGE(nozzle_sizes,{_ABOVE})"}, "C", 5.0),
    (
        "nozzle_at_hand",
        "Nozzle at hand with most watts",
        {"C": "INDEX(hand_sizes,MATCH(MAX(hand_watts),hand_watts,0))"},
        "C",
        5.0,
    ),
    ("nozzle_best", "Nozzle of most jet power, made to measure", {"C": on_basis("best_nozzle")}, "C", 20.0),
    (
        "jet",
        "One jet more, same water",
        {"C": f"{BASIS['nozzle']}*SQRT(jets/MIN(6,jets+1))", "D": "MIN(6,jets+1)"},
        "D",
        90.0,
    ),
    ("pipe_wider", "Pipe one size wider, bore", _pipe("wider"), "E", 600.0),
    ("pipe_narrower", "Pipe one size narrower, bore", _pipe("narrower"), "E", 400.0),
    ("fittings", "Half the fitting losses, K", {"F": f"{BASIS['fittings']}/2"}, "F", 30.0),
    ("alignment", "Jet aligned better", {"G": f"MIN(1,{BASIS['alignment']}+0.05)"}, "G", 0.0),
    ("pitch_smaller", "Pitch circle a tenth smaller", {"H": "pitch_diameter*0.9"}, "H", 120.0),
    ("pitch_larger", "Pitch circle a tenth larger", {"H": "pitch_diameter*1.1"}, "H", 120.0),
    ("connection", "Star and delta changed over", {"I": 'IF(connection="star","delta","star")'}, "", 0.0),
    ("bank_12", "Battery of 12 V", _bank(12), "", 150.0),
    ("bank_24", "Battery of 24 V", _bank(24), "", 300.0),
    ("bank_48", "Battery of 48 V", _bank(48), "", 600.0),
    ("cable", "Cable twice as thick", {"L": "cable_area*2"}, "L", 70.0),
    ("controller", "Maximum-power controller", {"J": '"controller"'}, "", 130.0),
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
        *(Formula("=" + change.get(column, same), digits) for column, _, same, digits in _STATE),
        cost,
        Formula("=" + on_basis("power_ledger", ledger_line='"battery"', **_ROW), "0.0"),
        Formula('=IF(ISNUMBER(N{row}),ROUND(N{row}-N${first},6),"")', "+0.0;-0.0;0.0"),
    )


def _label(label, column):
    if not column:
        return label
    digits = {"D": 0, "F": 2, "G": 2, "H": 0}.get(column, 1)
    unit = next(
        (f'&" {head.rpartition(", ")[2]}"' for letter, head, _, _ in _STATE if letter == column and ", " in head), ""
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
_WIDTHS = (3, 42, 10, 9, 9, 9, 9, 9, 9, 10, 9, 9, 9, 10, 9)
_CHANGES_TABLE = Table(
    ("change", *(head for _, head, _, _ in _STATE), "cost, currency", "battery, W", "gain, W"),
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
_COST, _GAIN = f"M{{row-{_DOWN}}}", f"O{{row-{_DOWN}}}"


def _effects(place):
    """What else the change in this row of the table above does, and its place in the order."""
    key = f'IF(rank_by="gain",{_GAIN},IF(ISNUMBER({_COST}),IF({_COST}>0,{_GAIN}/{_COST},{_GAIN}*1E9),{NEVER}))'
    in_order = (
        f"ISNUMBER({_GAIN})" if place < len(ROWS) - OWN_ROWS else f"N({_GAIN})<>0"
    )  # not a row of your own left as it was
    return (
        Formula(f"=B{{row-{_DOWN}}}"),
        Formula("=" + on_basis("operating_flow", **_WATER), "0.000"),
        Formula(f'=IF(AND(ISNUMBER({_GAIN}),ISNUMBER({_COST})),IF({_COST}>0,{_GAIN}/{_COST},"free"),"")', "0.000"),
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
        Formula(f"=IF({in_order},{key},{NEVER})", '[<-1E+90]"-";[<0]-0.00;0.00'),
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
            '=IF(N(INDEX(ranked_gains,1))>0,ROUND(INDEX(ranked_gains,1),1)&" W more: "&ROUND(INDEX(ranked_watts,1),1)&" W instead of "'
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
            "Surge is what the pipe meets on top of the pressure at rest if a stone or ice blocks the jet at once (Joukowsky; walls in "
            "proportion to the bore): see Strength for the rating. Open volts at runaway are what diodes, controller and hands meet when the load "
            "falls off. Check both before you buy. Local pressure and electrical codes rule.",
            caution=True,
        ),
        Words(
            "Gains of two changes do not add up: make the first, put it on its sheet, and look here again. No figure: not possible here, such as "
            "a nozzle wider than the bore. K, length and second and third section stay as they are when the pipe changes."
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
            "The costs are invented until you put in your own; the watts are worked out. A battery of another voltage needs other loads, a "
            "controller must stand the open volts at runaway, a second jet needs room round the wheel."
        ),
        Words(
            "For hundreds or a million combinations: hydrofunc sweep BOOK.xlsx --vary nozzle=4:12:0.5 --vary pipe_bore=20,25,32 --out results.csv"
        ),
    ),
    widths=_WIDTHS,
    heads=("",) * 15,
    pages=0,
)
CHECKS = ()
