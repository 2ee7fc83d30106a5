"""Draw what is uncertain in a workbook at random, and say how far its results spread and which nozzle to choose.

The sheet Doubt of the workbook says what is uncertain, by how much, and which cells hold it. Those cells, also where they hold
formulas, are inputs of the compiled workbook: every draw is one lane. So whatever hangs on them follows, rows and formulas
a person added as well.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..engine.compile import compile_book
from ..engine.lanes import ExcelError
from ..engine.reference import Reference, address
from ..errors import FileRefused
from ..template.pages.doubt import KINDS, UNCERTAIN
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.reading import read_book
from ..workbook.results import cells_of, check_ending, open_results
from ..workbook.splice import splice
from .draws import band, draw, rank_correlation, variance_share
from .recalc import SHEET_FUNCTIONS, calculated
from .scenarios import cell_of

FEWEST, MOST = 100, 1_000_000  # draws
MOST_LEFT_OUT = 0.05  # of the draws; more, and the ranges do not fit the plant
_READ = (
    "doubt_labels",
    "doubt_values",
    "doubt_widths",
    "doubt_width_units",
    "doubt_kinds",
    "doubt_cells",
    "hand_sizes",
    "hand_watts",
)
_WRITTEN = ("drawn", "drawn_correlation", "drawn_share", "drawn_mean", "drawn_low", "drawn_high", "drawn_best")
_LIMITS = {name: doubtful.argument.bounds for doubtful in UNCERTAIN for name in doubtful.cells.split()}


@dataclass(frozen=True)
class Uncertain:
    """A row of the sheet: what is in doubt, how, and the cells that hold it."""

    label: str
    value: float
    half_width: float
    kind: str
    names: tuple
    shares: dict  # what each of these cells, (sheet, cell), gets of a draw
    row: int  # from the first of the table

    @property
    def limits(self):
        """(low, high, is low itself allowed?)"""
        low, high, low_in, _ = _LIMITS.get(self.names[0], (-np.inf, np.inf, True, True))
        return low, high, low_in


@dataclass(frozen=True)
class Spread:
    """One result over all draws that gave a number."""

    guess: float
    mean: float
    low: float  # 2.5 % of the draws lie below
    median: float
    high: float
    correlations: tuple  # with each uncertain quantity, in their order
    shares: tuple  # of its variance


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
class Doubted:
    """What `doubt` found and wrote."""

    draws: int
    seed: int
    left_out: int
    uncertain: tuple
    spreads: dict  # by name, the battery first
    nozzles: tuple
    out: Path

    @property
    def guessed_nozzle(self):
        """Best by the guess; the first of equals."""
        return max(self.nozzles, key=lambda nozzle: nozzle.guess)

    @property
    def best_nozzle(self):
        """Best on average; the first of equals."""
        return max(self.nozzles, key=lambda nozzle: nozzle.mean)


def doubt(path, out=None, draws=10_000, seed=1, outputs=(), csv=None, force=False, progress=lambda done, total: None):
    """Draw the uncertain quantities of the workbook at `path` as its sheet Doubt says, and write what comes of it.

    `outputs` are further names or cells to follow. A copy of the workbook with the block of the sheet Doubt filled goes to
    `out`, by default ``NAME-doubt`` beside it; with `csv` every draw goes to a table (.csv, .xlsx, .parquet). Raises
    `FileRefused` or `FormulaRefused` where nothing can be done.
    """
    if not FEWEST <= draws <= MOST:
        raise FileRefused(f"--draws {draws}: from {FEWEST} to {MOST}")
    path = Path(path)
    out = Path(out) if out else path.with_name(f"{path.stem}-doubt{path.suffix}")
    refuse_existing([out, *([csv] if csv else [])], force)
    if csv:
        check_ending(csv, draws)
    book = read_book(path)
    followed = {name: cell_of(book, name) for name in ("doubt_watts", *outputs)}
    sheet = _Sheet(book, followed.values())
    drawn = sheet.drawn(draws, seed)
    sizes = [sheet.cell("hand_watts", row) for row in sheet.nozzle_rows]
    plan = compile_book(
        book,
        SHEET_FUNCTIONS,
        overrides=[key for each in sheet.uncertain for key in each.shares],
        outputs=[*followed.values(), *sizes],
    )
    given = {key: values * share for each, values in zip(sheet.uncertain, drawn) for key, share in each.shares.items()}
    result = plan.run(given, lanes=draws, progress=lambda done: progress(done, draws))
    columns = {name: result.column(key).values for name, key in followed.items()}
    watts = [_or_nothing(result.column(key)) for key in sizes]
    good = np.isfinite([*columns.values(), *watts]).all(axis=0)
    left_out = int(draws - good.sum())
    if left_out > MOST_LEFT_OUT * draws:
        raise FileRefused(
            f"{path}: {left_out} of {draws} draws gave no number; are the ranges on Doubt too wide, or a result no number?"
        )
    kept = [values[good] for values in drawn]
    found = Doubted(
        draws,
        seed,
        left_out,
        sheet.uncertain,
        {name: _spread(sheet.value(key), columns[name][good], kept) for name, key in followed.items()},
        _nozzles(sheet, [each[good] for each in watts]),
        out,
    )
    data, _ = calculated(splice(book.data, {}, sheet.block(found)))
    if csv:
        _write_draws(csv, sheet, drawn, columns, watts, force)
    write_bytes(out, data, force)
    return found


def _or_nothing(column):
    """Watts of a nozzle: 0 where the sheet leaves it blank, as it is wider than the bore that was drawn."""
    blank = np.isnan(column.values) if column.errors is None else np.isnan(column.values) & (column.errors == 0)
    return np.where(blank, 0.0, column.values)


def _spread(guess, values, drawn):
    low, median, high = (float(each) for each in band(values))
    return Spread(
        guess,
        float(values.mean()),
        low,
        median,
        high,
        tuple(rank_correlation(each, values) for each in drawn),
        tuple(variance_share(each, values) for each in drawn),
    )


def _nozzles(sheet, watts):
    if not watts:
        return ()
    best = np.argmax(watts, axis=0)
    found = []
    for place, (row, values) in enumerate(zip(sheet.nozzle_rows, watts)):
        low, _, high = (float(each) for each in band(values, 0.9))
        size, guess = sheet.value(sheet.cell("hand_sizes", row)), sheet.value(sheet.cell("hand_watts", row))
        found.append(Nozzle(size, guess, float(values.mean()), low, high, float((best == place).mean()), row))
    return tuple(found)


def _write_draws(path, sheet, drawn, columns, watts, force):
    table = {each.names[0]: values for each, values in zip(sheet.uncertain, drawn)} | columns
    table |= {
        f"doubt_watts at nozzle {sheet.value(sheet.cell('hand_sizes', row)):g}": each
        for row, each in zip(sheet.nozzle_rows, watts)
    }
    with open_results(path, [(name, False) for name in table], force) as write:
        write([cells_of(np.ascontiguousarray(values)) for values in table.values()])


class _Sheet:
    """The sheet Doubt of a workbook, found by the names of its cells; `further` cells are worked out with it."""

    def __init__(self, book, further):
        self.book = book
        self._columns = {name: self._range(name) for name in _READ + _WRITTEN}
        self.watts, self.uncertainty = (cell_of(book, name) for name in ("doubt_watts", "doubt_uncertainty"))
        wanted = [self.watts, self.uncertainty, *further, *(key for name in _READ for key in self.cells(name))]
        self._now = compile_book(book, SHEET_FUNCTIONS, outputs=list(dict.fromkeys(wanted))).run()
        self.uncertain = tuple(self._uncertain())
        if not self.uncertain:
            raise FileRefused(f"{book.source}: on the sheet Doubt everything is taken as certain")
        self.nozzle_rows = [
            row for row, key in enumerate(self.cells("hand_watts")) if isinstance(self.value(key), float)
        ]

    def _range(self, name):
        found = self.book.names.get(name)
        if not isinstance(found, Reference):
            raise FileRefused(
                f"{self.book.source}: has no sheet Doubt with the name {name}; make one with hydrofunc template"
            )
        return found

    def cell(self, name, row):
        """(sheet, cell) in a named column."""
        column = self._columns[name]
        return column.sheet, address(column.top + row, column.left)

    def cells(self, name):
        return [self.cell(name, row) for row in range(self._columns[name].height)]

    def value(self, key):
        """What a cell holds before anything is drawn."""
        return self._now.value(key)

    def _uncertain(self):
        for row in range(self._columns["doubt_values"].height):
            label, value, width, unit, kind, listed = (self.value(self.cell(name, row)) for name in _READ[:6])
            if width in (None, 0.0) or value in (None, "", 0.0):
                continue
            place = "!".join(self.cell("doubt_values", row))
            if isinstance(value, ExcelError):
                raise FileRefused(f"{place} shows {value}: {label} has no value to draw about")
            if not isinstance(value, float) or not isinstance(width, float) or width < 0:
                raise FileRefused(f"{place}: the value and its ± must be numbers, the latter not negative")
            if kind not in KINDS or (kind == "lognormal" and value < 0):
                raise FileRefused(
                    f"{place}: its spread {kind!r} must be one of {', '.join(KINDS)}, lognormal only above 0"
                )
            names = tuple(str(listed or "").split())
            if not names:
                raise FileRefused(f"{place}: the row does not name the cells that are drawn")
            half = abs(value) * width / 100 if unit == "%" else width
            yield Uncertain(str(label), value, half, kind, names, self._shares(names, value, unit), row)

    def _shares(self, names, value, unit):
        """What each cell gets of a draw: all of it; of several in a row of %, what it holds of the value now, a blank one nothing."""
        keys = [cell_of(self.book, name) for name in names]
        if len(keys) == 1 or unit != "%":
            return dict.fromkeys(keys, 1.0)
        now = compile_book(self.book, SHEET_FUNCTIONS, outputs=keys).run()
        held = {key: now.value(key) for key in keys}
        return {key: number / value for key, number in held.items() if isinstance(number, float)}

    def drawn(self, draws, seed):
        """The draws of every uncertain quantity, one stream of random numbers for each."""
        streams = np.random.SeedSequence(seed).spawn(len(self.uncertain))
        found = []
        for each, stream in zip(self.uncertain, streams):
            try:
                found.append(
                    draw(np.random.default_rng(stream), draws, each.value, each.half_width, each.kind, *each.limits)
                )
            except ValueError as error:
                raise FileRefused(f"{each.label}: {error}") from None
        return found

    def block(self, found):
        """Values by cell that the sheet gets, and blanks where nothing was drawn."""
        watts = next(iter(found.spreads.values()))
        at_guess = self.value(self.watts), self.value(self.uncertainty)
        together = sum(nozzle.guess for nozzle in found.nozzles)
        values = (
            found.draws,
            found.seed,
            found.left_out,
            *at_guess,
            together,
            watts.mean,
            watts.median,
            watts.low,
            watts.high,
        )
        block = {key: None for name in _WRITTEN for key in self.cells(name)}
        block |= {self.cell("drawn", row): value for row, value in enumerate(values)}
        for each, correlation, share in zip(found.uncertain, watts.correlations, watts.shares):
            block[self.cell("drawn_correlation", each.row)] = correlation
            block[self.cell("drawn_share", each.row)] = 100 * share
        for nozzle in found.nozzles:
            for name, value in (
                ("drawn_mean", nozzle.mean),
                ("drawn_low", nozzle.low),
                ("drawn_high", nozzle.high),
                ("drawn_best", 100 * nozzle.best),
            ):
                block[self.cell(name, nozzle.row)] = value
        return block
