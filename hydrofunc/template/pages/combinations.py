"""Combinations: which pipe, nozzle, connection, battery and number of jets to buy together.

Every pipe of a list with every battery voltage, both connections and two numbers of jets, each with the nozzle that
suits it best. A row of the table of combinations holds only what it changes, as on What pays: HYDRO_PLANT takes
the rest from `plant_judged`. The first row of that table holds the names; the columns from N are workings.
"""

from ...registry import Argument
from ..chain import call, of_plant
from ..model import PASS, STOP, Formula, Heading, Input, Page, Result, Table, Words
from .common import OWN_JUDGEMENT, limit
from .what_pays import blocked_surges, cost_of

LIMITS = (
    limit(
        "fits_share",
        "Rest and surge, of the rating: a combination fits up to",
        100,
        "%",
        f"Beyond it the pipe may burst when the jet is blocked. {OWN_JUDGEMENT}",
        "(0, 200]",
    ),
    limit(
        "drills_apart",
        "Drills tried for a combination are apart by a factor of",
        1.05,
        "-",
        f"So close that hardly any watts are lost between two. {OWN_JUDGEMENT}",
        "(1, 2]",
    ),
)
# What a pipe of the list is, which way it lies from the one before, and an invented price for the example.
PIPES = (
    ("as it is", "", 0.0),
    ("one size narrower", "narrower", 400.0),
    ("two sizes narrower", "narrower", 300.0),
    ("one size wider", "wider", 600.0),
    ("two sizes wider", "wider", 1000.0),
    ("three sizes wider", "wider", 1400.0),
)
BANKS = (12, 24, 48)
JOINED = ("star", "delta")
JETS = 2  # numbers of jets tried
ROWS = len(PIPES) * len(BANKS) * len(JOINED) * JETS
UNBEATEN = 10  # rows of the list of those that nothing beats
_WIDTHS = (3, 46, *[8.4] * 11)
_SIGNED = "+0.0;-0.0;0.0"


def _cell(text, digits="General", **more):
    """A cell that looks after itself while something is missing, so that its formula stays short."""
    return Formula(f"={text}", digits, guard=PASS, **more)


def _or_nothing(text, digits, otherwise='""'):
    return _cell(f"IFERROR({text},{otherwise})", digits)


def _asked(quantity, first, last, block="plant_judged"):
    """A quantity of the plant judged with the changes of a row, from one column to another."""
    return of_plant(quantity, f"{first}${{first}}:{last}${{first}}", f"{first}{{row}}:{last}{{row}}", block=block)


def _own(name, label, unit, meaning, within, digits="0.0"):
    return Input(name, label, Argument(name, unit, meaning, within), digits=digits, note=f"{meaning} Empty: not known.")


# -- the list of pipes --------------------------------------------------------------------------------------------


def _neighbour(what):
    return call(f"next_pipe_{what}", bore="Q{row}", direction="C{row}")


def _pipe(i, label, direction, price):
    what = f"Pipe {i}, {label}"
    mass = call("pipe_mass", outside="H{row}", wall="G{row}", length="pipe_length", material="pipe_material")
    wave = call(
        "wave_speed",
        bore="F{row}",
        wall="G{row}",
        elastic_modulus="modulus_used",
        poisson_ratio="poisson_used",
        support="pipe_support",
        bulk_modulus="water_modulus",
        density="water_density",
    )
    return (
        label,
        direction,
        _own(f"own_pipe_bore_{i}", f"{what}: bore", "mm", "Bore of a pipe of your own list.", "(0, 2000]"),
        _own(f"own_pipe_wall_{i}", f"{what}: wall", "mm", "Wall of that pipe.", "(0, 200]"),
        _cell("IF(ISNUMBER(D{row}),D{row},N{row})", "0.0"),
        _cell('IF(ISNUMBER(E{row}),E{row},IF(ISNUMBER(D{row}),"",P{row}))', "0.0"),
        _cell('IF(COUNT(F{row}:G{row})=2,F{row}+2*G{row},"")', "0.0"),
        cost_of(f"pipe_cost_{i}", f"Price of all of the pipe, {label}", price),
        _own(
            f"own_pipe_mass_{i}",
            f"{what}: mass of all of it",
            "kg",
            "Mass of all of that pipe, empty.",
            "[0, 1E6]",
            "0",
        ),
        _or_nothing(f"IF(ISNUMBER(J{{row}}),J{{row}},{mass})", "0"),
        _own(f"own_pipe_rating_{i}", f"{what}: rating", "bar", "Nominal pressure printed on that pipe.", "(0, 200]"),
        _cell("IF(N(length_2)+N(length_3)=0,S{row},T{row})", "0.0"),
        _cell('IF(C{row}="",bore_used,IFERROR(' + _neighbour("bore") + ',"none"))', "0.0"),
        # Where wall or rating is not given, nothing else waits for it.
        Formula('=IF(C{row}="",outside_used,IFERROR(' + _neighbour("outside") + ',""))', "0.0", guard=STOP),
        _cell('IF(COUNT(N{row}:O{row})=2,(O{row}-N{row})/2,"")', "0.0"),
        _cell("IF(C{row}=C{row-1},N{row-1},bore_used)", "0.0"),
        _cell('IF(ISNUMBER(I{row}),I{row},"")', "0"),
        Formula('=IFERROR(IF(ISNUMBER(L{row}),L{row}*temperature_factor,rating_warm),"")', "0.0", guard=STOP),
        Formula('=IF(COUNT(S{row},rating_warm)=2,MIN(S{row},rating_warm),"")', "0.0", guard=STOP),
        _cell(f"IF(ISNUMBER(G{{row}}),IFERROR({wave},rigid_wave),rigid_wave)", "0"),
        _cell('IF(ISNUMBER(H{row}),ROUND(H{row},1)&" mm (bore "&ROUND(F{row},1)&")","bore "&ROUND(N(F{row}),1)&" mm")'),
    )


_PIPES = Table(
    (
        "pipe",
        "which way",
        "own bore, mm",
        "own wall, mm",
        "bore, mm",
        "wall, mm",
        "outside, mm",
        "price of all, currency",
        "own mass of all, kg",
        "mass of all, kg",
        "own rating, bar",
        "rating, warm, bar",
        "listed bore, mm",
        "listed outside, mm",
        "listed wall, mm",
        "next to a bore of, mm",
        "price that counts, currency",
        "its own rating, warm, bar",
        "with the other sections, bar",
        "wave, m/s",
        "label",
    ),
    tuple(_pipe(i, *pipe) for i, pipe in enumerate(PIPES, start=1)),
    names={
        "pipes_bore": "F",
        "pipes_mass": "K",
        "pipes_rating": "M",
        "pipes_price": "R",
        "pipes_wave": "U",
        "pipes_label": "V",
    },
    key="pipes",
    how={
        "F:H": "yours; else the next sizes of the standard and class on sheet Pipe (HYDRO_NEXT_PIPE_BORE, "
        "HYDRO_NEXT_PIPE_OUTSIDE)",
        "K": "yours; else HYDRO_PIPE_MASS of the length and material on sheet Pipe",
        "M": "yours, else that of sheet Pipe, less what warmth takes; never more than the other sections stand",
        "N:V": "right of the page: what the columns before are made of, and HYDRO_WAVE_SPEED",
    },
)


def _ways(i, volts):
    """A row of the other things that are combined: a battery, a connection, a number of jets."""
    joined = JOINED[i - 1] if i <= len(JOINED) else ""
    more = (
        _cell("IF(ROWS(G${first}:G{row})=1,jets,IF(jets=1,2,1))", "0"),
        _cell('IF(G{row}>jets,IF(ISNUMBER(cost_jet),(G{row}-jets)*cost_jet,""),0)', "0"),
    )
    return (
        _cell('IF(bank_now="",load,C{row}&" V")'),
        volts,
        _cell('IF(bank_now="",IF(ROWS(D${first}:D{row})=1,"","none"),battery_volts*C{row}/bank_now)', "0.0"),
        _cell(f'IF(OR(C{{row}}=bank_now,bank_now=""),0,IF(ISNUMBER(cost_bank_{volts}),cost_bank_{volts},""))', "0"),
        joined,
        *(more if i <= JETS else ("", "")),
    )


_WAYS = Table(
    ("battery", "of, V", "charging, V", "price, currency", "joined", "jets", "price of more, currency"),
    tuple(_ways(i, volts) for i, volts in enumerate(BANKS, start=1)),
    names={
        "ways_bank": "B",
        "ways_volts": "D",
        "ways_bank_price": "E",
        "ways_joined": "F",
        "ways_jets": "G",
        "ways_jets_price": "H",
    },
    key="ways",
    how={
        "D": "as many volts a cell as yours has",
        "E": "sheet What pays; nothing for the one there is",
        "G": "as it is, and two, or one where there are more",
        "H": "sheet What pays, for each jet more than there is",
    },
)


# Drills round the nozzle of most jet power of every pipe with either number of jets: so many steps from it.
_STEPS = range(-3, 4)
_PLACE = "ROWS(O${first}:O{row})-1"  # as many rows, beside the first, as sheet Nozzle has sizes


def _drill(steps):
    """A drill near the nozzle of most jet power, or the size at hand where there are any."""
    away = f"*drills_apart^{steps}" if steps >= 0 else f"/drills_apart^{-steps}"
    return _cell(f"IF(N{{row}}>0,N{{row}},MAX(K{{row}},ROUND(N(C{{row}}){away}/K{{row}},0)*K{{row}}))", "0.0")


def _size(i):
    pipe, jets = divmod(i, JETS)
    return (
        f"pipe {pipe + 1}, jets {'as now' if jets == 0 else 'changed'}",
        _or_nothing(_asked("best_nozzle", "L", "M"), "0.00", "basis_nozzle"),
        *map(_drill, _STEPS),
        _cell("IF(N(C{row})<fine_drills_to,fine_drill_step,drill_step)", "0.0"),
        _cell("INDEX(pipes_bore,1+INT((ROWS(L${first}:L{row})-2)/2))", "0.0"),
        _cell("INDEX(ways_jets,1+MOD(ROWS(M${first}:M{row})-2,2))", "0"),
        _cell("IF(COUNT(nozzle_typed)=0,0,IF(ISNUMBER(O{row}),INDEX(nozzle_sizes,O{row}),MAX(nozzle_typed)))", "0.0"),
        _cell(f'IF(ISNUMBER(INDEX(nozzle_typed,{_PLACE})),{_PLACE},"")', "0"),
    )


_SIZES = Table(
    (
        *("nozzles tried", "most jet power, mm"),
        *(f"size {i}, mm" for i, _ in enumerate(_STEPS, start=1)),
        *("step, mm", "bore, mm", "jets", "at hand, mm", "place"),
    ),
    (
        ("the one fitted", "", *(_cell("basis_nozzle", "0.0"),) * len(_STEPS), "", "bore", "jets", "", ""),
        *(_size(i) for i in range(len(PIPES) * JETS)),
    ),
    names={"combo_sizes": "D:J"},
    key="combo_sizes",
    how={
        "C": "HYDRO_PLANT with that bore and number of jets",
        "D:J": "drills round it, a few steps smaller and larger (sheet Limits); those you have if you typed any on "
        "sheet Nozzle",
        "K:O": "step of drills, what is changed, what you typed (0: nothing)",
    },
)

# -- the combinations ---------------------------------------------------------------------------------------------
_NOZZLE = "HYDRO_NOZZLE_AT_HAND(plant_judged,combo_sizes,O${first}:R${first},O{row}:R{row})"
# As many combinations as give no fewer watts and cost no more, and are better in one of the two or stand before.
_BEATEN_BY = (
    'IF(AB{row}=last_gain,"",SUMPRODUCT((combo_rank>=AB{row})*(combo_cost<=F{row})'
    "*(1-(combo_rank=AB{row})*(combo_cost=F{row})*(combo_row>=AI{row}))))"
)


_AT = "(AI{row}-2)"  # place of a combination, from 0


_COMBINATION = (
    _cell('INDEX(pipes_label,AE{row})&", "&R{row}&" x "&ROUND(S{row},2)&" mm, "&AK{row}'),
    _or_nothing(_asked("battery_watts", "O", "S"), "0.0"),
    _or_nothing("ROUND(C{row}-judged_watts,3)", _SIGNED),
    _or_nothing(_asked("battery_watts", "N", "S"), "0.0"),
    _or_nothing("INDEX(pipes_price,AE{row})+AL{row}", "0"),
    _cell("INDEX(pipes_mass,AE{row})", "0"),
    _cell('IF(COUNT(W{row}:X{row})=2,rest_at_end+MAX(W{row}:X{row}),"")', "0.0"),
    _or_nothing("100*H{row}/INDEX(pipes_rating,AE{row})", "0"),
    _or_nothing(_asked("runaway_volts", "O", "S"), "0"),
    _cell('IF(C{row}="","not possible",AA{row})'),
    _cell('IF(AD{row}=0,"unbeaten","")'),
    _or_nothing(_asked("operating_speed", "O", "S"), "0"),
    _cell("driest_usable", "0.000"),
    _cell("INDEX(pipes_bore,AE{row})", "0.0"),
    _cell("INDEX(ways_joined,AG{row})", words=True),
    _cell("INDEX(ways_volts,AF{row})", "0.0"),
    _cell("INDEX(ways_jets,AH{row})", "0"),
    _or_nothing(_NOZZLE, "0.0", "0"),
    _or_nothing(_asked("flow", "O", "S", "plant_pipe"), "0.000"),
    _cell("O{row}", "0.0"),
    _cell("INDEX(pipes_wave,AE{row})", "0"),
    *blocked_surges("T", "V", flow="T{row}", bore="U{row}", wave_speed="V{row}"),
    _cell('IF(OR(NOT(ISNUMBER(budget)),F{row}<=budget),"fits","over the budget")'),
    _cell('IF(OR(NOT(ISNUMBER(carry)),G{row}<=carry),Y{row},"too heavy")'),
    _cell('IF(N(I{row})>fits_share,"above the rating",Z{row})'),
    _cell("IF(AND(COUNT(C{row},F{row})=2,N(I{row})<=fits_share),ROUND(C{row},1),last_gain)", "0.0"),
    _cell('IF(K{row}="fits",ROUND(C{row},1),0)', "0.0"),
    _cell(_BEATEN_BY, "0"),
    _cell(f"1+INT({_AT}/12)", "0"),
    _cell(f"1+MOD(INT({_AT}/2/2),3)", "0"),
    _cell(f"1+MOD(INT({_AT}/2),2)", "0"),
    _cell(f"1+MOD({_AT},2)", "0"),
    _cell("ROWS(B${first}:B{row})", "0"),
    _cell('IF(L{row}="","",F{row})', "0"),
    _cell('P{row}&", "&INDEX(ways_bank,AF{row})'),
    _or_nothing("INDEX(ways_bank_price,AF{row})+INDEX(ways_jets_price,AH{row})", "0"),
)
_NONE, _LAST = _cell("0", "0"), _cell("last_gain", "0")  # in the row of names: no combination
_NAMES = (
    "names for HYDRO_PLANT",
    *("",) * 11,
    *("available_flow", "bore", "connection", "battery_volts", "jets", "nozzle"),
    *("flow", "bore", "wave_speed"),
    *("",) * 5,
    _LAST,
    _NONE,
    "",
    *(_NONE,) * 4,
    _cell("ROWS(B${first}:B{row})", "0"),
    "",
)
_COMBINATIONS = Table(
    (
        "combination",
        "battery, W",
        "gain, W",
        "driest month, W",
        "cost, currency",
        "pipe to carry, kg",
        "rest and surge, bar",
        "of the rating, %",
        "open at runaway, V",
        "fits",
        "watts for the money",
        "speed, rpm",
        "driest flow, L/s",
        "bore, mm",
        "joined",
        "load at, V",
        "jets",
        "nozzle, mm",
        "flow, pipe full, L/s",
        "bore, mm",
        "wave, m/s",
        "surge by formula, bar",
        "surge by a run, bar",
        "budget",
        "weight",
        "rating",
        "watts to compare, W",
        "watts if it fits, W",
        "beaten by, number",
        "pipe, number",
        "battery, number",
        "joined, number",
        "jets, number",
        "row",
        "cost if unbeaten, currency",
        "joined and battery",
        "battery and jets, currency",
    ),
    (_NAMES, *(_COMBINATION,) * ROWS),
    names={
        "combo_labels": "B",
        "combo_watts": "C",
        "combo_gain": "D",
        "combo_driest": "E",
        "combo_cost": "F",
        "combo_mass": "G",
        "combo_pressure": "H",
        "combo_share": "I",
        "combo_open": "J",
        "combo_fits": "K",
        "combo_mark": "L",
        "combo_speed": "M",
        "combo_joined": "P",
        "combo_volts": "Q",
        "combo_jets": "R",
        "combo_nozzle": "S",
        "combo_rank": "AB",
        "combo_allowed": "AC",
        "combo_pipe": "AE",
        "combo_row": "AI",
        "combo_marked": "AJ",
    },
    key="combos",
    how={
        "C": "HYDRO_PLANT with bore, connection, volts, jets and nozzle of the row",
        "D": "less what the plant gives as it is",
        "E": "the same with the water of the driest month (sheet Supply)",
        "F": "pipe, battery and further jet where they change; nozzle and joining are not counted",
        "H": "as on Strength: the greater of HYDRO_SURGE_PRESSURE and HYDRO_SURGE_RUN, jet blocked, pipe full",
        "I": "of the pipe's rating, warm",
        "J": "HYDRO_PLANT",
        "L": "no other that the rating allows gives as many watts, to a tenth, for as little",
        "M": "HYDRO_PLANT",
        "N:AL": "right of the page: nozzle by HYDRO_NOZZLE_AT_HAND of the sizes tried, and what the columns before are "
        "made of",
    },
)

# -- what a person reads first ------------------------------------------------------------------------------------
_SHOWN = (  # head, column of the combinations, digits
    ("battery, W", "watts", "0.0"),
    ("gain, W", "gain", _SIGNED),
    ("driest month, W", "driest", "0.0"),
    ("cost, currency", "cost", "0"),
    ("pipe to carry, kg", "mass", "0"),
    ("rest and surge, bar", "pressure", "0.0"),
    ("of the rating, %", "share", "0"),
    ("open at runaway, V", "open", "0"),
)
_HEADS = tuple(head for head, *_ in _SHOWN)


def _of_row(name, digits):
    return _cell(f'IF(L{{row}}="","",INDEX(combo_{name},L{{row}}))', digits)


_FIGURES = tuple(_of_row(name, digits) for _, name, digits in _SHOWN)
_LOOK = 'IF(L{{row}}="","",IF(I{{row}}="","pressure?","")&IF(N(J{{row}})>open_most," volts!","")&{}{{row}})'
_FAST = _cell('IF(L{row}="","",IF(INDEX(combo_speed,L{row})>speed_most," fast!",""))')
_BEST_OF_A_PIPE = (
    _cell('IF(L{row}="",INDEX(pipes_label,N{row})&": none fits",INDEX(combo_labels,L{row}))'),
    *_FIGURES,
    _cell(_LOOK.format("O")),
    _cell('IF(M{row}>0,ROUND(1/SUMPRODUCT(MAX((combo_allowed=M{row})*(combo_pipe=N{row})/combo_row)),0),"")', "0"),
    _cell("SUMPRODUCT(MAX((combo_pipe=N{row})*combo_allowed))", "0.0"),
    _cell("ROWS(N${first}:N{row})", "0"),
    _FAST,
)
_UNBEATEN_ROW = (
    _cell('IF(L{row}="","",INDEX(combo_labels,L{row}))'),
    *_FIGURES,
    _cell(_LOOK.format("N")),
    _cell('IF(M{row}="","",MATCH(M{row},combo_marked,0))', "0"),
    _or_nothing("SMALL(combo_marked,ROWS(M${first}:M{row}))", "0"),
    _FAST,
)


def _of_best(name, label, unit, what, digits, note="", strong=False):
    formula = f'=IF(ISNUMBER(best_combo_row),INDEX(combo_{what},best_combo_row),"")'
    return Result(name, label, unit, formula, note, digits, strong, guard=PASS)


PAGE = Page(
    "Combinations",
    "Which pipe, nozzle, connection, battery and number of jets to buy together.",
    (
        Input(
            "budget",
            "Most that it may cost",
            Argument("budget", "currency", "Pipe, battery and further jet together.", "[0, 1E9]"),
            digits="0",
            note="In the money of sheet What pays. Empty: no limit.",
        ),
        Input(
            "carry",
            "Most that the pipe may weigh",
            Argument("carry", "kg", "All of the pipe, empty, as it must be carried.", "[0, 1E6]"),
            digits="0",
            note="All of it, empty. Empty: no limit.",
        ),
        Result("combo_now", "The plant as it is gives", "W", "=judged_watts", "Sheet What pays.", digits="0.0"),
        Result(
            "best_combo",
            "The best combination that fits",
            "",
            '=IF(ISNUMBER(best_combo_row),INDEX(combo_labels,best_combo_row),"none fits")',
            "Pipe by its outside, jets x nozzle, how the windings are joined, battery.",
            digits="General",
            strong=True,
            two_lines=True,
        ),
        _of_best("best_combo_watts", "It gives", "W", "watts", "0.0", strong=True),
        _of_best("best_combo_gain", "That is more than now, by", "W", "gain", "0.0"),
        _of_best("best_combo_driest", "It gives in the driest month", "W", "driest", "0.0", "With that nozzle."),
        _of_best("best_combo_cost", "It costs", "currency", "cost", "0", "Empty: some price is not known."),
        _of_best("best_combo_mass", "Its pipe weighs", "kg", "mass", "0", "All of it, empty."),
        _of_best("best_combo_share", "Rest and surge, of the rating", "%", "share", "0", "Empty: not judged."),
        _of_best("best_combo_open", "Danger: its open volts at runaway", "V", "open", "0", strong=True),
        Result(
            "best_combo_row",
            "Row of the best combination",
            "-",
            '=IF(MAX(combo_allowed)>0,MATCH(MAX(combo_allowed),combo_allowed,0),"")',
            "Most watts, to a tenth, of those that fit; of equals the first.",
            digits="0",
        ),
        Result(
            "open_most",
            "Open volts are marked above",
            "V",
            "=MIN(voltage_limit,touch_volts)",
            "What the parts stand, or what may be touched, the smaller (sheet Safety figures).",
            digits="0",
            guard=STOP,
        ),
        Result(
            "combos_fit",
            f"Of {ROWS} combinations fit",
            "-",
            '=COUNTIF(combo_fits,"fits")',
            "The others are not possible, above the rating, too heavy or over the budget.",
            digits="0",
        ),
        Result(
            "combos_priced",
            f"Of {ROWS} combinations have a known price",
            "-",
            "=COUNT(combo_cost)",
            "No price is made up: type those of pipes below, of battery and jet on sheet What pays. Without one it is "
            "over any budget.",
            digits="0",
        ),
        Heading("The best with each pipe"),
        Table(
            ("pipe, jets x nozzle, joined, battery", *_HEADS, "look", "row", "watts, W", "pipe, number", "speed"),
            (_BEST_OF_A_PIPE,) * len(PIPES),
            key="best_of_pipes",
            names={"pipe_best_labels": "B", "pipe_best_watts": "C"},
            how={
                "C:J": "taken from the table of all combinations",
                "K": "pressure?: not judged, give wall and rating. volts!: open volts above what is said before. "
                "fast!: the wheel runs faster than sheet Limits has it",
                "L:O": "row there; most watts of that pipe, to a tenth; which pipe; how fast",
            },
        ),
        Words(
            "Open volts at runaway are what diodes, controller and hands meet when the load falls off. A battery of "
            "another voltage needs other loads; a second jet needs room round the wheel. The wheel stays as it is. "
            "Local pressure and electrical codes rule.",
            caution=True,
        ),
        Heading("Nothing gives more for less: the cheapest first"),
        Table(
            ("pipe, jets x nozzle, joined, battery", *_HEADS, "look", "row", "cost, currency", "speed"),
            (_UNBEATEN_ROW,) * UNBEATEN,
            key="unbeaten",
            names={"unbeaten_labels": "B"},
            how={
                "C:J": "taken from the table of all combinations; empty where no price is known",
                "L:N": "row there; cost of those marked there, in order; how fast",
            },
        ),
        Heading("Pipes to choose from", new_page=True),
        _PIPES,
        Words(
            "Type your own list over it: a bore with its wall, the price and the mass of all of it. It "
            "changes the first section alone: fittings, length, roughness and further sections stay as on sheet Pipe. "
            "The wheel stays too (sheet Wheel), although more head at the nozzle asks for a larger one. For a pipe "
            "that is laid already type 0 for price and mass."
        ),
        Heading("Batteries, connections, jets"),
        _WAYS,
        Heading("All combinations", new_page=True),
        _COMBINATIONS,
        Words(
            "More of them, such as wheels or cables as well:   hydrofunc choose BOOK.xlsx --vary "
            "pitch_diameter=80,100,120"
        ),
        Heading("Nozzles that are tried", new_page=True),
        _SIZES,
    ),
    widths=_WIDTHS,
    heads=("",) * len(_WIDTHS),
)
CHECKS = ()
