"""Draw what is uncertain in a workbook at random, and say how far its results spread and which nozzle to choose.

The sheet Doubt of the workbook says what is uncertain, by how much, and which cells hold it. Those cells, also where
they hold formulas, are inputs of the compiled workbook: every draw is one lane. So whatever hangs on them follows, rows
and formulas that a person added as well.
"""

from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..catalogue.doubt import FITTED, SPREADS, suited
from ..engine.compile import Key, compile_book
from ..engine.lanes import ExcelError
from ..engine.reference import Reference, address
from ..errors import FileRefused, HydroError
from ..template import INPUTS, NEXT_LINES, OF_IT
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.reading import bytes_of, guard, read_book
from ..workbook.results import cells_of, check_ending, open_results
from ..workbook.splice import splice
from .cluster import machines
from .cores import available, in_order
from .draws import band, draw, variance_share
from .older import OLDER, is_older
from .recalc import SHEET_FUNCTIONS, calculated
from .scenarios import cell_of

BELOW = 1 - 1e-9  # of an upper limit: rounding must not lift a draw above it
FEWEST, MOST = 100, 1_000_000  # draws
MOST_LEFT_OUT = 0.05  # of the draws; more, and the ranges do not fit the plant
_READ = (
    "doubt_labels",
    "doubt_values",
    "doubt_widths",
    "doubt_width_units",
    "doubt_kinds",
    "doubt_cells",
    "doubt_states",
    "doubt_lowest",
    "doubt_highest",
    "doubt_decimals",
    "doubt_middles",
    "doubt_left",
    "doubt_may",
    "doubt_inputs",
    "hand_sizes",
    "hand_watts",
    "way_inputs",
    "way_labels",
    "way_sentences",
)
_WATER = ("source_flow", "left_in_stream", "pipe_likes")  # what a fitted nozzle is made for
_WRITTEN = ("drawn", "drawn_share", "drawn_mean", "drawn_low", "drawn_high", "drawn_best")


@dataclass(frozen=True)
class Uncertain:
    """A row of the sheet: what is in doubt, how, and the cells that hold it."""

    label: str
    value: float
    half_width: float
    kind: str
    names: tuple[str, ...]
    shares: dict  # what each of these cells, (sheet, cell), gets of a draw
    row: int  # from the first of the table
    state: str  # yours, assumed, proposed, ...
    limits: tuple[float, float]
    middle: float  # where its draws lie, over the value
    decimals: int  # to which it is rounded: 0 for what is counted
    left: float  # of its variance, once it is measured
    may: bool  # be measured at this stage
    by: str  # the input with which it is measured


@dataclass(frozen=True)
class Spread:
    """One result over all draws that gave a number."""

    guess: float
    mean: float
    low: float  # 2.5 % of the draws lie below
    median: float
    high: float
    shares: tuple  # of its variance that each uncertain quantity explains alone, in their order


@dataclass(frozen=True)
class Nozzle:
    """A size at hand: watts by the guess, over the draws, and in what share of them it is the best."""

    size: float
    guess: float
    mean: float
    low: float  # 5 % of the draws lie below
    high: float  # 5 % lie above
    best: float
    row: int


@dataclass(frozen=True)
class Next:
    """What to measure next: the input to type, how to measure it, and the width of the band after it."""

    name: str
    label: str
    how: str
    width: float
    score: float  # share of the variance that it takes away


@dataclass(frozen=True)
class Doubted:
    """What `doubt` calculated and wrote."""

    draws: int
    seed: int
    left_out: int
    uncertain: tuple
    spreads: dict  # by name, the battery first
    nozzles: tuple
    next: tuple[Next, ...]
    out: Path

    @property
    def guessed_nozzle(self) -> Nozzle:
        """Best by the guess; the first of equals."""
        return max(self.nozzles, key=lambda nozzle: nozzle.guess)

    @property
    def best_nozzle(self) -> Nozzle:
        """Best on average; the first of equals."""
        return max(self.nozzles, key=lambda nozzle: nozzle.mean)


def doubt(
    path: str | Path,
    out: str | Path | None = None,
    draws: int = 10_000,
    seed: int = 1,
    outputs: Sequence[str] = (),
    csv: str | Path | None = None,
    force: bool = False,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Doubted:
    """Draw the uncertain quantities of the workbook at `path` as its sheet Doubt says, and write what comes of it.

    `outputs` are further names or cells to follow. A copy of the workbook with the block of the sheet Doubt filled goes
    to `out`, by default ``NAME-doubt`` beside it; with `csv` every draw goes to a table (.csv, .xlsx, .parquet).
    Raises `FileRefused` or `FormulaRefused` where nothing can be done.
    """
    _refuse_draws(draws)
    path = Path(path)
    out = Path(out) if out else _beside(path)
    refuse_existing([out, *([csv] if csv else [])], force)
    if csv:
        check_ending(csv, draws)
    doubted, data, table = _doubted(read_book(path), path, out, _Recipe(draws, seed, tuple(outputs)), progress)
    if csv:
        _write_draws(csv, *table, force)
    write_bytes(out, data, force)
    return doubted


def doubts(
    paths: Sequence[str | Path],
    draws: int = 10_000,
    seed: int = 1,
    outputs: Sequence[str] = (),
    force: bool = False,
    progress: Callable[[int, int], None] = lambda done, total: None,
    cores: int | None = 1,
    cluster: str | None = None,
) -> Generator[Doubted | HydroError, None, None]:
    """What `doubt` gives for each of several workbooks, in their order, or why one of them is refused.

    Each copy is written beside its workbook. `cores`: how many processes share them; None for as many as there are
    cores. `cluster` is the address of a dask scheduler, whose workers share them in place of processes, or ``local:N``.
    Raises `FileRefused` before anything is drawn where a copy would overwrite a file.
    """
    _refuse_draws(draws)
    paths = [Path(path) for path in paths]
    outs = [_beside(path) for path in paths]
    if twice := {str(out) for out in outs if outs.count(out) > 1}:
        raise FileRefused(f"{', '.join(sorted(twice))} would be written twice; give each workbook once")
    refuse_existing(outs, force)
    recipe = _Recipe(draws, seed, tuple(outputs))
    tasks = ((str(path), _contents(path)) for path in paths)  # no Path: it is of one kind of system
    workers = min(available() if cores is None else cores, len(paths))
    with machines(cluster, "the copies that were written are whole; give the other workbooks again") as far:
        if far:
            answers = far.in_order(_begun, recipe, tasks, one_thread=False)
        elif workers > 1:
            answers = in_order(_begun, recipe, tasks, workers, one_thread=False)
        else:
            answers = (_begun(recipe)(*task) for task in tasks)
        with closing(answers):
            for done, (out, (doubted, data)) in enumerate(zip(outs, answers, strict=True), start=1):
                if data is not None:
                    write_bytes(out, data, force)
                progress(done, len(outs))
                yield doubted if data is None else replace(doubted, out=out)


@dataclass(frozen=True)
class _Recipe:
    """How it is drawn, and what is followed."""

    draws: int
    seed: int
    outputs: tuple[str, ...]


def _begun(recipe: _Recipe) -> Callable:
    """What draws one of several workbooks, in another process too."""

    def draw_one(path, contents):
        try:
            if isinstance(contents, HydroError):
                raise contents
            doubted, data, _ = _doubted(read_book(guard(*contents)), path, None, recipe)
            return doubted, data
        except HydroError as error:
            return FileRefused(str(error)), None

    return draw_one


def _contents(path):
    """The name and the bytes of a workbook, or why it cannot be read."""
    try:
        return bytes_of(path)
    except (HydroError, OSError) as error:
        return FileRefused(str(error))


def _refuse_draws(draws):
    if not FEWEST <= draws <= MOST:
        raise FileRefused(f"--draws {draws}: from {FEWEST} to {MOST}")


def _beside(path):
    return path.with_name(f"{path.stem}-doubt{path.suffix}")


def _doubted(book, path, out, recipe, progress=lambda done, total: None):
    """What is drawn of a workbook, the copy that tells it, and what a table of all draws holds."""
    draws, seed = recipe.draws, recipe.seed
    if is_older(book.names):
        raise FileRefused(f"{path}: {OLDER}; only then can its doubt be drawn")
    followed = {name: cell_of(book, name) for name in ("doubt_guess", *recipe.outputs)}
    sheet = _Sheet(book, followed.values())
    drawn = sheet.drawn(draws, seed)
    results, watts = _calculated(sheet, drawn, followed, lambda done: progress(done, draws))
    good = np.isfinite([*results.values(), *watts]).all(axis=0)
    left_out = int(draws - good.sum())
    if left_out > MOST_LEFT_OUT * draws:
        raise FileRefused(
            f"{path}: {left_out} of {draws} draws gave no number; "
            "are the ranges on Doubt too wide, or a result no number?"
        )
    good_drawn = [values[good] for values in drawn]
    spreads = {name: _spread(sheet.value(key), results[name][good], good_drawn) for name, key in followed.items()}
    doubted = Doubted(
        draws,
        seed,
        left_out,
        sheet.uncertain,
        spreads,
        _nozzles(sheet, [values[good] for values in watts]),
        _next(sheet, spreads["doubt_guess"]),
        out,
    )
    data = calculated(splice(book.data, {}, sheet.block(doubted))).data
    return doubted, data, (sheet, drawn, results, watts)


def _calculated(sheet, drawn, followed, progress):
    """The followed results by name, and the watts of each nozzle at hand: a number for every draw, NaN for an error."""
    sizes = [sheet.cell("hand_watts", row) for row in sheet.nozzle_rows]
    inputs = {
        cell: values * share
        for uncertain, values in zip(sheet.uncertain, drawn)
        for cell, share in uncertain.shares.items()
    }
    inputs |= {cell: value for cell, value in sheet.chosen.items() if cell not in inputs}
    plan = compile_book(sheet.book, SHEET_FUNCTIONS, overrides=list(inputs), outputs=[*followed.values(), *sizes])
    result = plan.run(inputs, lanes=len(drawn[0]), progress=progress)
    results = {name: result.column(cell).values for name, cell in followed.items()}
    return results, [_or_nothing(result.column(cell)) for cell in sizes]


def _or_nothing(column):
    """Watts of a nozzle: 0 where the sheet leaves it blank, as it is wider than the bore that was drawn."""
    blank = np.isnan(column.values) if column.errors is None else np.isnan(column.values) & (column.errors == 0)
    return np.where(blank, 0.0, column.values)


def _spread(guess, values, drawn):
    low, median, high = map(float, band(values))
    return Spread(
        guess,
        float(values.mean()),
        low,
        median,
        high,
        tuple(variance_share(quantity, values) for quantity in drawn),
    )


def _next(sheet, watts):
    """What takes most of the variance away, of what can be measured now."""
    scores = [share * (1 - each.left) * each.may for each, share in zip(sheet.uncertain, watts.shares)]
    best = sorted(range(len(scores)), key=lambda place: -scores[place])[: len(NEXT_LINES)]
    return tuple(
        Next(by, *sheet.ways[by], (watts.high - watts.low) * (1 - scores[place]) ** 0.5, scores[place])
        for place in best
        if scores[place] > 0 and (by := sheet.uncertain[place].by) in sheet.ways
    )


def _nozzles(sheet, watts):
    if not watts:
        return ()
    best = np.argmax(watts, axis=0)
    nozzles = []
    for index, (row, values) in enumerate(zip(sheet.nozzle_rows, watts)):
        low, _, high = map(float, band(values, 0.9))
        size, guess = sheet.value(sheet.cell("hand_sizes", row)), sheet.value(sheet.cell("hand_watts", row))
        nozzles.append(Nozzle(size, guess, float(values.mean()), low, high, float((best == index).mean()), row))
    return tuple(nozzles)


def _write_draws(path, sheet, drawn, results, watts, force):
    table = {uncertain.names[0]: values for uncertain, values in zip(sheet.uncertain, drawn)} | results
    for row, values in zip(sheet.nozzle_rows, watts):
        table[f"doubt_guess at nozzle {sheet.value(sheet.cell('hand_sizes', row)):g}"] = values
    with open_results(path, [(name, False) for name in table], force) as write:
        write([cells_of(np.ascontiguousarray(values)) for values in table.values()])


class _Sheet:
    """The sheet Doubt of a workbook, by the names of its cells; `further` cells are calculated with it."""

    def __init__(self, book, further):
        self.book = book
        self._columns = {name: self._range(name) for name in _READ + _WRITTEN}
        self.watts, self.uncertainty = (cell_of(book, name) for name in ("doubt_guess", "doubt_uncertainty"))
        chosen = self._chosen()
        read = (cell for name in _READ for cell in self.cells(name))
        water = (cell_of(book, name) for name in _WATER)
        cells = [self.watts, self.uncertainty, *further, *read, *chosen, *water]
        self._now = compile_book(book, SHEET_FUNCTIONS, outputs=list(dict.fromkeys(cells))).run()
        if not isinstance(self.value(self.watts), float):
            raise FileRefused(f"{book.source}: there are no watts to doubt yet{self._missing()}")
        self.ways = {
            str(name): (str(label), str(how))
            for name, label, how in zip(
                *(map(self.value, self.cells(name)) for name in ("way_inputs", "way_labels", "way_sentences"))
            )
        }
        self.chosen = {cell: value for cell in chosen if (value := self.value(cell)) not in (None, "")}
        self.uncertain = tuple(self._uncertain())
        if not self.uncertain:
            raise FileRefused(f"{book.source}: on the sheet Doubt everything is taken as certain")
        self.nozzle_rows = [
            row for row, key in enumerate(self.cells("hand_watts")) if isinstance(self.value(key), float)
        ]

    def _chosen(self):
        """Cells of choices that hang on other cells.

        A plant is built once: a draw of its head must not change the wheel that was proposed for another one.
        """
        formulas = (item.name for item in INPUTS if item.assumption and str(item.assumption.value).startswith("="))
        lines = (name for key in self.cells("doubt_cells") for name in str(self.book.cells.get(key) or "").split())
        return [cell_of(self.book, name) for name in dict.fromkeys((*formulas, *lines)) if name in self.book.names]

    def _missing(self):
        target = self.book.names.get("missing")
        if not isinstance(target, Reference):
            return ""
        key = cell_of(self.book, "missing")
        said = compile_book(self.book, SHEET_FUNCTIONS, outputs=[key]).run().value(key)
        return f". {said}" if said else ""

    def _range(self, name):
        target = self.book.names.get(name)
        if not isinstance(target, Reference):
            raise FileRefused(
                f"{self.book.source}: has no sheet Doubt with the name {name}; make one with hydrofunc template"
            )
        return target

    def cell(self, name: str, row: int) -> Key:
        """(sheet, cell) in a named column."""
        column = self._columns[name]
        return column.sheet, address(column.top + row, column.left)

    def cells(self, name: str) -> list[Key]:
        """All cells of a named column."""
        return [self.cell(name, row) for row in range(self._columns[name].height)]

    def value(self, cell: Key) -> object:
        """What a cell holds before anything is drawn."""
        return self._now.value(cell)

    def _uncertain(self):
        for row in range(self._columns["doubt_values"].height):
            at = {name: self.value(self.cell(name, row)) for name in _READ[:14]}
            label, value, width, unit, kind, listed, *_ = at.values()
            if width in (None, "", 0.0) or value in (None, "", 0.0):
                continue
            names = tuple(str(listed or "").split())
            self._refuse_row("!".join(self.cell("doubt_values", row)), label, value, width, kind, names)
            yield Uncertain(
                str(label),
                value,
                abs(value) * width / 100 if unit == OF_IT else width,
                kind,
                names,
                self._shares(names, value, unit),
                row,
                str(at["doubt_states"]),
                (at["doubt_lowest"], at["doubt_highest"] * BELOW),
                at["doubt_middles"],
                int(at["doubt_decimals"]),
                at["doubt_left"],
                at["doubt_may"] > 0,
                str(at["doubt_inputs"]),
            )

    def _refuse_row(self, cell, label, value, width, kind, names):
        if isinstance(value, ExcelError):
            raise FileRefused(f"{cell} shows {value}: {label} has no value to draw about")
        if not isinstance(value, float) or not isinstance(width, float) or width < 0:
            raise FileRefused(f"{cell}: the value and its ± must be numbers, the latter not negative")
        if kind not in SPREADS or (kind == "lognormal" and value < 0):
            raise FileRefused(
                f"{cell}: its spread {kind!r} must be one of {', '.join(SPREADS)}, lognormal only above 0"
            )
        if not names:
            raise FileRefused(f"{cell}: the row does not name the cells that are drawn")

    def _shares(self, names, value, unit):
        """What each cell gets of a draw: all of it.

        Of several cells in a row of % each gets the share that it has of the value now, a blank one nothing.
        """
        cells = [cell_of(self.book, name) for name in names]
        if len(cells) == 1 or unit != OF_IT:
            return dict.fromkeys(cells, 1.0)
        now = compile_book(self.book, SHEET_FUNCTIONS, outputs=cells).run()
        numbers = {cell: now.value(cell) for cell in cells}
        return {cell: number / value for cell, number in numbers.items() if isinstance(number, float)}

    def drawn(self, draws: int, seed: int) -> list[np.ndarray]:
        """The draws of every uncertain quantity, one stream of random numbers for each."""
        streams = np.random.SeedSequence(seed).spawn(len(self.uncertain))
        drawn = [self._drawn(quantity, draws, stream) for quantity, stream in zip(self.uncertain, streams)]
        of = {quantity.names[0]: values for quantity, values in zip(self.uncertain, drawn)}
        for i, quantity in enumerate(self.uncertain):
            if quantity.kind == FITTED:
                drawn[i] = drawn[i] * self._suited(of)
        return drawn

    def _suited(self, drawn):
        """Nozzle that suits the water that is drawn, over the one that suits the water as it stands."""
        source, left, most = (self._now.value(cell_of(self.book, name)) for name in _WATER)
        flow = drawn.get("source_flow", source) * (1 - drawn.get("left_in_stream", left) / 100)
        return suited(flow, source * (1 - left / 100), most)

    def _drawn(self, quantity, draws, stream):
        chance = np.random.default_rng(stream)
        try:
            middle, half = quantity.middle * quantity.value, quantity.middle * quantity.half_width
            drawn = draw(chance, draws, middle, half, quantity.kind, *quantity.limits)
            return np.round(drawn, quantity.decimals)
        except ValueError as error:
            raise FileRefused(f"{quantity.label}: {error}") from None

    def block(self, doubted: Doubted) -> dict[Key, object]:
        """Values by cell that the sheet gets, and blanks where nothing was drawn."""
        watts = next(iter(doubted.spreads.values()))
        at_guess = self.value(self.watts), self.value(self.uncertainty)
        together = sum(nozzle.guess for nozzle in doubted.nozzles)
        head = (*at_guess, together, doubted.draws, doubted.seed, doubted.left_out)
        values = (*head, watts.mean, watts.median, watts.low, watts.high)
        block = {cell: None for name in _WRITTEN for cell in self.cells(name)}
        block |= {self.cell("drawn", row): value for row, value in enumerate(values)}
        for quantity, share in zip(doubted.uncertain, watts.shares):
            block[self.cell("drawn_share", quantity.row)] = 100 * share
        for nozzle in doubted.nozzles:
            block[self.cell("drawn_mean", nozzle.row)] = nozzle.mean
            block[self.cell("drawn_low", nozzle.row)] = nozzle.low
            block[self.cell("drawn_high", nozzle.row)] = nozzle.high
            block[self.cell("drawn_best", nozzle.row)] = 100 * nozzle.best
        return block
