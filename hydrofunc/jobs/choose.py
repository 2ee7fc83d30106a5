"""Which combination of pipe, nozzle, connection, battery and jets to buy: the sheet Combinations, for any variations.

Everything is worked out by the workbook itself; here its rows are gathered, those of all variations together, and put
in order.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..engine.book import Book
from ..engine.compile import compile_book
from ..engine.reference import Reference, address
from ..errors import FileRefused
from ..workbook.files import refuse_existing
from ..workbook.reading import read_book
from ..workbook.results import cells_of, check_ending, open_results
from .inputs import head_with, split_head
from .needs import MISSING, cell_named
from .recalc import SHEET_FUNCTIONS
from .scenarios import Scenarios

FITS = "fits"
MOST = 5000  # variations; each is 72 combinations with a hundred nozzles
PART = 250  # variations calculated together; bounds the memory
# Field of a combination: name of its cells on the sheet, head of its column.
_CELLS = {
    "label": ("combo_labels", "combination"),
    "fits": ("combo_fits", "fits"),
    "watts": ("combo_watts", "battery_watts [W]"),
    "gain": ("combo_gain", "gain [W]"),
    "driest": ("combo_driest", "driest_month_watts [W]"),
    "cost": ("combo_cost", "cost [currency]"),
    "mass": ("combo_mass", "pipe_mass [kg]"),
    "pressure": ("combo_pressure", "rest_and_surge [bar]"),
    "share": ("combo_share", "of_the_rating [%]"),
    "open_volts": ("combo_open", "open_volts [V]"),
    "speed": ("combo_speed", "speed [rpm]"),
}


@dataclass(frozen=True)
class Combination:
    """One of all combinations. A number that is not known is None; `varied` are the values of what was varied."""

    label: str
    fits: str  # "fits", or why it does not
    watts: float | None
    gain: float | None
    driest: float | None
    cost: float | None
    mass: float | None
    pressure: float | None
    share: float | None  # of the rating [%]
    open_volts: float | None
    speed: float | None
    varied: tuple[object, ...] = ()
    unbeaten: bool = False  # no other that the rating allows gives as many watts for as little

    @property
    def tenths(self) -> float:
        """Watts to a tenth: less is no difference to a person."""
        return round(self.watts or 0.0, 1)


@dataclass(frozen=True)
class Choice:
    """All combinations, the best first: those that fit before the others, by watts, then the cheaper one.

    `varied` are the names of what was varied, `now` is what the plant gives as it is [W], and `without` says what is
    missing where there are no results.
    """

    combinations: tuple[Combination, ...]
    varied: tuple[str, ...]
    now: float | None
    without: str = ""

    @property
    def fitting(self) -> tuple[Combination, ...]:
        """Those that fit."""
        return tuple(combination for combination in self.combinations if combination.fits == FITS)


def choose(
    path: str | Path,
    vary: Sequence[str] = (),
    budget: float | None = None,
    carry: float | None = None,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Choice:
    """All combinations of the workbook at `path`, the best first.

    `vary` holds texts such as ``pitch_diameter=80,100,120``: every combination is worked out with each of the values.
    `budget` and `carry` [kg] count in place of those on the sheet. Raises `FileRefused` where the workbook has no sheet
    Combinations, or there is too much to vary.
    """
    book = read_book(path)
    columns = _columns(book, path)
    limits = [
        f"{name}={value:.15g}" for name, value in (("budget", budget), ("carry [kg]", carry)) if value is not None
    ]
    cases = Scenarios(book, None, [*vary, *limits])
    if len(cases) > MOST:
        raise FileRefused(f"{len(cases)} variations of {len(columns['label'])} combinations; at most {MOST:,}")
    shown = cases.targets[: len(vary)]
    now, without = _as_it_is(book)
    wanted = [key for keys in columns.values() for key in keys]
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=[target.key for target in cases.targets], outputs=wanted)
    rows: list[Combination] = []
    for start in range(0, len(cases), PART):
        values, _ = cases.part(start, start + PART)
        lanes = min(PART, len(cases) - start)
        given = {target.key: target.in_cell(column) for target, column in values.items()}
        result = plan.run(given, lanes=lanes, progress=lambda done: progress(start + done, len(cases)))  # noqa: B023
        varied = list(zip(*(values[target].tolist() for target in shown))) if shown else [()] * lanes
        for place in range(len(columns["label"])):
            cells = {name: result.column(keys[place]).python() for name, keys in columns.items()}
            for lane in range(lanes):
                one = {name: _known(name, values[lane]) for name, values in cells.items()}
                one["gain"] = None if now is None or one["watts"] is None else one["watts"] - now
                rows.append(Combination(**one, varied=varied[lane]))
    rows = _marked(rows)
    rows.sort(key=lambda row: (row.fits != FITS, -row.tenths, row.cost is None, row.cost or 0.0))
    names = tuple(head_with(split_head(target.header)[0], target.unit) for target in shown)
    return Choice(tuple(rows), names, now, without)


def _as_it_is(book: Book) -> tuple[float | None, str]:
    """Watts of the plant as the workbook has it, and what is missing where there are none."""
    cells = [cell_named(book, name) for name in ("combo_now", MISSING)]
    result = compile_book(book, SHEET_FUNCTIONS, outputs=[cell for cell in cells if cell]).run()
    now, missing = (result.value(cell) if cell else None for cell in cells)
    return now if isinstance(now, float) else None, str(missing or "").strip()


def _columns(book: Book, path: str | Path) -> dict[str, list[tuple[str, str]]]:
    """The cells of each column of the sheet, without the first row, which holds names."""
    result = {}
    for field, (name, _) in _CELLS.items():
        target = book.names.get(name)
        if not isinstance(target, Reference):
            raise FileRefused(
                f"{path}: has no sheet Combinations, or one of another version. Take your values into a new workbook: "
                "hydrofunc renew"
            )
        result[field] = [(target.sheet, address(row, target.left)) for row in range(target.top + 1, target.bottom + 1)]
    return result


def _known(field: str, value: object) -> object:
    """A word as it is; of a number's cell the number, or None."""
    if field in ("label", "fits"):
        return str(value or "")
    return value if isinstance(value, float) else None


def _marked(rows: list[Combination]) -> list[Combination]:
    """The rows, those marked that none of the others beats in cost and watts.

    In order of cost, and of watts where two cost the same, one is unbeaten if it gives more than all before it.
    """
    priced = [i for i, row in enumerate(rows) if row.cost is not None and row.tenths > 0 and row.fits == FITS]
    most, unbeaten = 0.0, set()
    for i in sorted(priced, key=lambda i: (rows[i].cost, -rows[i].tenths)):
        if rows[i].tenths > most:
            most = rows[i].tenths
            unbeaten.add(i)
    return [replace(row, unbeaten=i in unbeaten) for i, row in enumerate(rows)]


def write(choice: Choice, out: str | Path, force: bool = False) -> None:
    """Write all combinations, the best first, as a .csv, .xlsx or .parquet table."""
    rows = choice.combinations
    check_ending(out, len(rows))
    refuse_existing([out], force)
    columns = [(head, cells_of([getattr(row, name) for row in rows])) for name, (_, head) in _CELLS.items()]
    columns += [(name, cells_of([row.varied[i] for row in rows])) for i, name in enumerate(choice.varied)]
    columns.append(("unbeaten", cells_of(["unbeaten" if row.unbeaten else "" for row in rows])))
    with open_results(out, [(head, cells.are_words) for head, cells in columns], force) as part:
        part([cells for _, cells in columns])


def told(choice: Choice, count: int) -> Iterator[str]:
    """The best combinations as lines for a terminal, and what a person must know of them."""
    fitting = choice.fitting
    if choice.now is not None:
        yield f"The plant as it is gives {choice.now:.1f} W."
    if not fitting:
        yield "None of the combinations fits. Of those that do not:"
    shown = (fitting or choice.combinations)[:count]
    yield "   watts    gain  driest    cost   pipe  of rating  open    speed"
    yield "       W       W       W              kg          %     V      rpm"
    for row in shown:
        numbers = (
            (row.watts, 8, 1),
            (row.gain, 8, 1),
            (row.driest, 8, 1),
            (row.cost, 8, 0),
            (row.mass, 7, 0),
            (row.share, 11, 0),
            (row.open_volts, 6, 0),
            (row.speed, 9, 0),
        )
        line = "".join(f"{'-':>{width}}" if n is None else f"{n:{width}.{digits}f}" for n, width, digits in numbers)
        varied = "".join(f", {name} = {value}" for name, value in zip(choice.varied, row.varied))
        why = "" if row.fits == FITS else f"  ({row.fits})"
        yield f"{line}  {'*' if row.unbeaten else ' '} {row.label}{varied}{why}"
    yield ""
    if fitting:
        best = fitting[0]
        yield f"The best that fits: {best.label}: {best.watts:.1f} W"
    priced = sum(row.cost is not None for row in choice.combinations)
    if priced:
        yield "* Nothing else that fits gives as many watts for as little money."
    if priced < len(choice.combinations):
        yield (
            f"{len(choice.combinations) - priced} of {len(choice.combinations)} combinations have no known price "
            "(-): type it on sheet Combinations (pipes) or What pays (battery, jet). No price is made up; without one "
            "a combination is over any budget."
        )
    if any(row.share is None for row in shown):
        yield "Pressure is not judged where % of the rating is missing: give the wall and the rating of the pipe."
    yield "Open volts at runaway must be less than diodes, controller and hands stand: see sheet Safety figures."
