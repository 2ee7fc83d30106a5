"""Inputs: for every input what is typed, what counts while nothing is typed, and what counts.

Workings, no page for typing: the only place where an input is converted to the unit that our functions take, and where
a blank cell becomes an assumption. An input's name is the name of the cell in the column "counts" here.
"""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ...registry import spelt_out
from ...units import NOT_LINEAR, alternatives, conversion
from ..model import (
    PASS,
    REFUSED,
    STOP,
    Formula,
    Heading,
    Input,
    Page,
    Result,
    Table,
    Words,
)
from .start import STAGES

SHEET = "Inputs"
SMALLEST = 1e-9  # stands for "above 0" among the lowest values allowed
# Cells that are TRUE or FALSE, and the cells that hold "" while they are FALSE. What hangs on these shows "" then.
READY = "ready"
GATES = {
    READY: ("gross_head", "pipe_length", "bore_used", "smooth_enough", "nozzle_fits"),
    "wall_known": ("wall_used",),
    "rating_known": ("pipe_rating",),
    "volts_limited": ("voltage_limit",),
    "amps_limited": ("current_limit",),
}


TO_GIVE = {
    READY: "head, length and bore",
    "wall_known": "the wall of the pipe",
    "rating_known": "Pressure rating of the weakest part",
    "volts_limited": "Controller or parts stand at most",
    "amps_limited": "Windings and bridge carry at most",
}


# Choices of which the proposals (sheet Tried) must know what is typed: a cell `typed_` and name, "" where nothing is.
CHOSEN = frozenset(
    """nozzle pitch_diameter phase_volts phase_resistance phase_inductance connection battery_volts load_resistance
    cable_area cable_resistance windage""".split()
)


def has_row(item: Input) -> bool:
    """Whether what counts of an input is worked out here. Else its name is that of the cell itself."""
    return not item.recorded and not item.is_free and (item.is_line or item.assumed is not None)


def _yours(item):
    cell = f"'{item.sheet}'!{item.cell}"
    return Formula(f'=IF({cell}="","",{cell})')


def _word_of_yours(item):
    """The word typed. Spreadsheet programs make one sign of 1/2 while it is typed; the lists have it in three."""
    if not any("/" in choice for choice in item.choices):
        return _yours(item)
    cell = spelt_out(f"'{item.sheet}'!{item.cell}")
    return Formula(f"=TRIM({cell})", words=True)


def _in_gauges(item):
    """Whether it may be typed as an American wire gauge, which no factor converts."""
    return item.is_convertible and "AWG" in alternatives(item.unit)


def unit_cell(item: Input) -> str:
    """Address of the cell that holds the unit in which a line is typed."""
    return f"D{item.cell[1:]}"


def _if_empty(item, digits):
    """What counts while it is empty: a number or a word, typed, or a formula that gives "" where nothing does."""
    value = '=""' if item.assumption is None else item.assumption.value
    if isinstance(value, str) and value.startswith("="):
        return Formula(value, digits)
    return value


def _while_empty(item):
    """The word for it while it is empty, or a formula that gives it."""
    word = item.state or f'"{item.state_when_empty}"'
    if item.unless:
        word = f'IF({item.unless},"not needed",{word})'
    is_fixed = re.fullmatch('"[^"]*"', word)
    return word.strip('"') if is_fixed else Formula(f"={word}", words=True)


def _limits(item):
    low, high, low_in, high_in = item.argument.bounds
    return low if low_in else low + SMALLEST, high if high_in else high - SMALLEST


def _typed(item, fits, value):
    """What is typed, in the functions' unit, where the proposals need it."""
    words = item.is_text
    return Formula(f'=IF({fits},{value},"")', item.digits, f"typed_{item.name}", words) if item.name in CHOSEN else ""


def _converted(item):
    low, high = _limits(item)
    # A number beside a word that is no unit of it does not count; without any word it is in the functions' unit.
    in_own_unit = '=IF(AND(ISNUMBER(E{row}),OR(M{row}>0,F{row}=0)),E{row}*G{row}+H{row},"")'
    as_typed = '=IF(ISNUMBER(C{row}),(C{row}-H{row})/G{row},"")'
    if _in_gauges(item):
        in_own_unit = '=IF(F{row}="AWG",IFERROR(HYDRO_AWG_AREA(E{row}),""),IF(OR(M{row}>0,F{row}=0),E{row},""))'
        diameter = "2*SQRT(C{row}/PI())"
        as_typed = (
            f'=IF(F{{row}}="AWG",gauge_of_thinnest-gauge_steps*LN({diameter}/thinnest_wire)/LN(wire_ratio),C{{row}})'
        )
    return (
        item.name,
        Formula("=IF(L{row},P{row},I{row})", item.digits, name=item.name, guard=PASS),
        item.unit,
        _yours(item),
        Formula(f"='{item.sheet}'!{unit_cell(item)}", words=True),
        Formula("=IF(M{row}>0,INDEX(unit_factors,M{row}),1)"),
        Formula("=IF(M{row}>0,INDEX(unit_offsets,M{row}),0)"),
        _if_empty(item, item.digits),
        low,
        high,
        Formula("=IF(ISNUMBER(P{row}),AND(P{row}>=J{row},P{row}<=K{row}),FALSE)"),
        Formula('=IFERROR(MATCH(D{row}&":"&F{row},unit_keys,0),0)', "0"),
        item.label,
        _typed(item, "L{row}", "P{row}"),
        Formula(in_own_unit, item.digits),
        Formula(as_typed, item.digits),
        _while_empty(item),
    )


def _plain(item):
    low, high = _limits(item)
    return (
        item.name,
        Formula("=IF(I{row},E{row},F{row})", item.digits, name=item.name, guard=PASS),
        item.unit,
        _yours(item),
        _if_empty(item, item.digits),
        low,
        high,
        Formula("=IF(ISNUMBER(E{row}),AND(E{row}>=G{row},E{row}<=H{row}),FALSE)"),
        item.label,
        _typed(item, "I{row}", "E{row}"),
        _while_empty(item),
    )


def _word(item):
    return (
        item.name,
        Formula("=IF(G{row},D{row},E{row})", name=item.name, guard=PASS, words=True),
        _word_of_yours(item),
        _if_empty(item, "General"),
        f"|{'|'.join(item.choices)}|",
        Formula('=IF(D{row}="",FALSE,ISNUMBER(SEARCH("|"&D{row}&"|",F{row})))'),
        item.label,
        _typed(item, "G{row}", "D{row}"),
        _while_empty(item),
    )


def _unit_rows(units):
    for own in units:
        for unit in alternatives(own):
            if unit not in NOT_LINEAR:
                yield (f"{own}:{unit}", *conversion(unit, own))


def _states(sheet, word):
    return Formula(f"=COUNTIF('{sheet}'!F5:F200,\"{word}\")", "0", guard=STOP)


def _missing(by_name):
    def named(*names):
        return " or ".join(f"{by_name[name].label} ({by_name[name].sheet} {by_name[name].cell})" for name in names)

    head, length, bore = (
        named("static_pressure", "level_difference"),
        named("pipe_length"),
        named("pipe_bore", "pipe_size"),
    )
    not_listed = f"{named('pipe_size')} is in no table: give {named('pipe_standard')} and {named('pipe_class')}, "
    for name, needed, give in (
        ("need_head", "gross_head", f'"Give {head}. "'),
        ("need_length", "pipe_length", f'"Give {length}. "'),
        ("need_bore", "bore_used", f'IF(given_pipe_size,size_not_listed,"Give {bore}. ")'),
    ):
        text = f'=IF(ISNUMBER({needed}),"",{give})'
        yield Result(name, f"Missing for {needed}", "", text, digits="General", guard=STOP)
    yield Result(
        "size_not_listed",
        "Where the standard lacks the size",
        "",
        f'="{not_listed}or the bore. "',
        digits="General",
        guard=STOP,
    )
    nozzle = by_name["nozzle"].cell
    too_wide = f'"Nozzle (Nozzle {nozzle}), all jets together, is wider than the pipe that feeds it. "'
    in_cells = " or ".join(by_name[name].cell for name in ("pipe_roughness", "roughness_2", "roughness_3"))
    too_rough = f'"Roughness (Pipe {in_cells}) is over a twentieth of the bore: friction is not known. "'
    rough, wide = "ISNUMBER(bore_used),rough_sections>0", 'ISNUMBER(widest_nozzle),nozzle_fits=""'
    for name, label, is_so, words in (
        ("need_smooth", "Rougher than friction is known for", rough, too_rough),
        ("cell_of_rough", "Too rough, the cell", rough, f'"Roughness in Pipe {in_cells}. "'),
        ("need_narrow", "Nozzle wider than the pipe", wide, too_wide),
        ("cell_of_wide", "Too wide, the cell", wide, f'"Nozzle in Nozzle {nozzle}. "'),
    ):
        yield Result(name, label, "", f'=IF(AND({is_so}),{words},"")', digits="General", guard=STOP)
    for word, needed, names in (
        ("Head", "gross_head", ("static_pressure", "level_difference")),
        ("Length", "pipe_length", ("pipe_length",)),
        ("Bore", "bore_used", ("pipe_bore", "pipe_size")),
    ):
        text = f'=IF(ISNUMBER({needed}),"","{word} in {" or ".join(by_name[name].cell for name in names)}. ")'
        yield Result(f"cell_of_{needed}", f"{word}, the cell", "", text, digits="General", guard=STOP)


def page(inputs: Sequence[Input]) -> Page:
    """The page for these inputs, in the order of the job."""
    rows = [item for item in inputs if has_row(item)]
    words = [item for item in rows if item.is_text]
    numbers = [item for item in rows if not item.is_text]
    converted = [item for item in numbers if item.is_convertible]
    plain = [item for item in numbers if not item.is_convertible]
    return Page(
        SHEET,
        "Workings: what you typed, what counts while a cell is empty, and what counts. Nothing to type here.",
        (
            Heading("What must be known"),
            *(
                Result(
                    gate,
                    label,
                    "",
                    f"=AND({','.join(f'ISNUMBER({name})' for name in needed)})",
                    "While one is missing what hangs on it stays empty.",
                    digits="General",
                    guard=STOP,
                )
                for (gate, needed), label in zip(
                    GATES.items(),
                    (
                        "Head, length and bore are there",
                        "The wall is known",
                        "The rating of the weakest part is known",
                        "What volts the parts stand is known",
                        "What amperes the parts carry is known",
                    ),
                    strict=True,
                )
            ),
            Result(
                "torque_known",
                "The alternator's torque follows from its speed: no controller seeks it",
                "",
                f'=AND({READY},load<>"controller")',
                digits="General",
                guard=STOP,
            ),
            *_missing({item.name: item for item in inputs}),
            Result(
                "missing",
                "Missing",
                "",
                "=need_head&need_length&need_bore&need_smooth&need_narrow",
                digits="General",
                guard=STOP,
            ),
            Result(
                "need_in_cells",
                "Missing, by cells",
                "",
                "=cell_of_gross_head&cell_of_pipe_length&cell_of_bore_used&cell_of_rough&cell_of_wide",
                digits="General",
                guard=STOP,
            ),
            Result(
                "refused",
                "Typed, and not allowed",
                "",
                '=IF(SUM(sheet_refused)=0,"",SUM(sheet_refused)&" typed not allowed: sheet "&refused_on)',
                digits="General",
                guard=STOP,
            ),
            Result(
                "refused_on",
                "The sheet with most of them",
                "",
                "=INDEX(sheet_titles,MATCH(MAX(sheet_refused),sheet_refused,0))",
                digits="General",
                guard=STOP,
            ),
            Result(
                "invented",
                "After each sheet's title",
                "",
                '=IF(IFERROR(SEARCH("Invented",site_name),0)=1,": invented example, no such site exists","")',
                "Where the name of the site begins with the word Invented.",
                digits="General",
                guard=STOP,
            ),
            Heading("Numbers that may be typed in several units"),
            Table(
                (
                    "input",
                    "counts",
                    "in",
                    "yours",
                    "typed in",
                    "times",
                    "plus",
                    "if empty",
                    "lowest",
                    "highest",
                    "fits",
                    "unit, row",
                    "label",
                    "yours, fit",
                    "yours, in its unit",
                    "counts, as typed",
                    "while empty",
                ),
                tuple(_converted(item) for item in converted),
                key="converted",
                how={
                    "C": "yours in its unit, where it fits; else if empty",
                    "E": "the cell of its sheet",
                    "G:H": "table of units below",
                    "I": "what its line says is assumed or proposed",
                    "M": "of the table of units",
                    "P": "yours x times + plus; gauges by HYDRO_AWG_AREA",
                    "Q": "the same turned round",
                },
            ),
            Heading("Numbers of one unit"),
            Table(
                (
                    "input",
                    "counts",
                    "in",
                    "yours",
                    "if empty",
                    "lowest",
                    "highest",
                    "fits",
                    "label",
                    "yours, fit",
                    "while empty",
                ),
                tuple(_plain(item) for item in plain),
                key="plain",
                how={
                    "C": "yours where it fits; else if empty",
                    "E": "the cell of its sheet",
                    "F": "what its line says is assumed or proposed",
                },
            ),
            Heading("Words"),
            Table(
                ("input", "counts", "yours", "if empty", "allowed", "fits", "label", "yours, fit", "while empty"),
                tuple(_word(item) for item in words),
                key="words",
            ),
            Heading("Units: number in the functions' unit = number typed x times + plus"),
            Table(
                ("unit: typed in", "times", "plus"),
                tuple(_unit_rows(dict.fromkeys(item.unit for item in converted))),
                names={"unit_keys": "B", "unit_factors": "C", "unit_offsets": "D"},
                key="units",
            ),
            Words("Factors: NIST Special Publication 811 (2008), appendix B.", small=True),
            Heading("American wire gauge: each gauge is thinner than the one before by the same factor"),
            Table(
                (
                    "",
                    "gauge of the thinnest",
                    "its diameter, mm",
                    "gauges up to the thickest",
                    "diameters, thickest over thinnest",
                ),
                (("wire", 36, 0.127, 39, 92),),
                names={"gauge_of_thinnest": "C", "thinnest_wire": "D", "gauge_steps": "E", "wire_ratio": "F"},
                key="wire_gauge",
            ),
            Words(
                "ASTM B258-02: diameter = 0.127 mm x 92^((36 - gauge) / 39), as HYDRO_AWG_AREA takes it.", small=True
            ),
            Heading("How many inputs of each sheet are yours, for the stages on sheet Start"),
            Table(
                ("sheet", "stage", "yours", "not allowed"),
                tuple(
                    (sheet, stage, *(_states(sheet, word) for word in ("yours", REFUSED)))
                    for stage, sheets, _ in STAGES
                    for sheet in sheets
                ),
                names={"sheet_titles": "B", "sheet_stages": "C", "sheet_yours": "D", "sheet_refused": "E"},
                key="yours_of_sheets",
                how={"D": "the sheet's cells that say yours", "E": "those that say not allowed"},
            ),
        ),
        workings=True,
        widths=(3, 20, 11, 11, 10, 16, 8, 12, 10, 16, 8, 7, 7, 27),
        heads=("",) * 14,
    )


class Row(NamedTuple):
    """Cells of an input: what counts, whether what is typed fits, the word while it is empty, what counts as typed."""

    counts: str
    fits: str
    while_empty: str
    as_typed: str


def rows(placed: Iterable[tuple[int, object]]) -> dict[str, Row]:
    """By name of the input, its cells here; what counts as it is typed differs only where there is a unit to choose."""
    columns = {"converted": "CLRQ", "plain": "CILC", "words": "CGJC"}
    return {
        cells[0]: Row(*(f"{column}{row}" for column in columns[table.key]))
        for _, table in placed
        if isinstance(table, Table) and table.key in columns
        for row, cells in enumerate(table.rows, start=table.first)
    }
