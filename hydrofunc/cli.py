"""The command line. Results go to stdout, messages to stderr.

Exit code 1: something failed, or a workbook has no results because an input it needs is missing or not allowed;
2: wrong usage.

What a command needs is imported inside it, so that `hydrofunc --help` answers at once.
"""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING, Any

import click

from . import __version__
from .errors import FileRefused, HydroError

if TYPE_CHECKING:
    from .jobs.doubt import Doubted
    from .registry import Function
    from .workbook.parts import Archive

MOST_MESSAGES = 1000  # of one kind, on the terminal


class _Commands(click.Group):
    """Turns the errors raised on purpose, and those of the file system, into one clear message."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except HydroError as error:
            raise click.ClickException(str(error)) from error
        except BrokenPipeError:
            raise
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            raise click.ClickException(f"{where}{error.strerror or error}") from error


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="hydrofunc")
def main() -> None:
    """Calculations for very small Pelton-wheel hydro plants: workbooks filled, recalculated and swept
    without a spreadsheet program.

    Start with:  hydrofunc demo
    """


_PATH = click.Path(path_type=str)
_force = click.option("--force", is_flag=True, help="Overwrite files that exist.")
_protect = click.option(
    "--protect", is_flag=True, help="Only inputs and units can be typed; no password, so it can be switched off."
)


_live = click.option(
    "--live",
    is_flag=True,
    help="With the functions inside: for Excel 2024 and 365, web, Mac and phone, no Python. Not yet seen in Excel.",
)
_cores = click.option("--cores", type=click.IntRange(1), metavar="N", help="Default: all, where the run takes long.")
_cluster = click.option("--cluster", metavar="ADDRESS", help="Share among machines: tcp://HOST:PORT, or local:N.")


@main.command(short_help="List or explain the worksheet functions.")
@click.argument("name", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the declarations as JSON.")
def functions(name: str | None, as_json: bool) -> None:
    """List the worksheet functions by group, or explain the one called NAME."""
    import hydrofunc

    chosen = [hydrofunc.find(name)] if name else list(hydrofunc.functions().values())
    if as_json:
        import json

        records = [function.record() for function in chosen]
        click.echo(json.dumps(records, ensure_ascii=False, indent=2, allow_nan=False))
    elif name:
        click.echo(f"{chosen[0].sheet_name}  ({chosen[0].group})\n\n{chosen[0].describe()}")
    else:
        _list(chosen)


def _list(chosen: "list[Function]") -> None:
    width = max(len(function.name) for function in chosen)
    group = None
    for function in chosen:
        if function.group != group:
            click.echo(("" if group is None else "\n") + function.group)
            group = function.group
        click.echo(f"  {function.name:{width}}  [{function.unit}]  {function.help}")
    click.echo(
        "\nIn a cell a function is HYDRO_ and its name, as in =HYDRO_FRICTION_HEAD(...)."
        "\nExplain one:  hydrofunc functions friction_head",
        err=True,
    )


@main.command(short_help="Write the template workbook.")
@click.argument("out", type=_PATH, metavar="OUT.xlsx|OUT.xlsm|OUT.ods")
@click.option(
    "--units", type=click.Choice(["metric", "us"]), default="metric", show_default=True, help="Units of its cells."
)
@click.option("--example", is_flag=True, help="Filled with the values of an invented plant.")
@_protect
@_live
@_force
def template(out: str, units: str, example: bool, protect: bool, live: bool, force: bool) -> None:
    """Write the template workbook: empty, each line saying what counts while it is.

    .xlsx is for Excel, for LibreOffice Calc 25.2 and for the other commands here. .ods is for any Calc that
    has the add-in, 7.4 too; the LibreOffice of this computer writes it. .xlsm has the functions inside as macros, for
    Excel 2010 to 2021 and for LibreOffice without the add-in; not yet seen in Excel.
    """
    from .hosts.calc.book import ending_of
    from .workbook.files import refuse_existing, write_bytes

    ending = ending_of(out, (".xlsx", ".xlsm", ".ods"))
    if live and ending != ".xlsx":
        raise FileRefused(
            "--live is for .xlsx: only Excel keeps such functions in a workbook; .xlsm has them as macros"
        )
    refuse_existing([out], force)
    from .jobs.recalc import calculated
    from .template import build

    data, _, errors = calculated(build(units=units, example=example, protect=protect))
    if live:
        from .jobs.live import live_book

        data = live_book(data)
    if ending == ".xlsm":
        from .jobs.live import macro_book

        data = macro_book(data)
    if ending == ".ods":
        from .hosts.calc.ods import as_ods

        data, _ = as_ods(data)
    write_bytes(out, data, force)
    click.echo(out)
    _say(errors)


@main.command(short_help="One calculated workbook for each site of a list.")
@click.argument("sites", type=_PATH, metavar="SITES")
@click.option("--out", "folder", type=_PATH, required=True, metavar="DIR", help="Folder; made if missing.")
@_protect
@_live
@click.option(
    "--macros",
    is_flag=True,
    help="As .xlsm with the functions inside as macros: Excel 2010 to 2021, no Python. Not yet seen in Excel.",
)
@_cores
@_cluster
@_force
def fill(
    sites: str,
    folder: str,
    protect: bool,
    live: bool,
    macros: bool,
    cores: int | None,
    cluster: str | None,
    force: bool,
) -> None:
    """Fill and calculate the template for every row of SITES, a .csv, .xlsx or .parquet list.

    One row is a site; the first row holds the names of inputs, as the template's cells are named (Formulas >
    Names), with or without the unit: nozzle or nozzle [mm]. An input without a column, or a blank cell, has
    its default. Writes one workbook for each site, and summary.csv and summary.xlsx, which compare them.

    CSV is UTF-8; cells are divided by comma, semicolon or tab, as the first row is. Where it is not the
    comma, a number may have a decimal comma. Thousands marks are not understood.

    A row with a problem is reported with row and column and left out; the others are done, and the exit
    code is 1. A site whose results show an error value (#NUM!) is written, and reported too. Where no site can be
    done nothing is written. A long list shares all cores; the files are the same, byte by byte.

    With --cluster the workers of a dask scheduler calculate; the files are written here.
    """
    from .jobs.fill import fill as run

    _refuse_both(cores, cluster)

    with _progress("sites") as progress:
        filled = run(sites, folder, force, progress, protect, live, macros, cores, cluster)
    for path in [*filled.workbooks, *filled.summaries]:
        click.echo(path)
    _report_problems(filled.problems, f"{len(filled.workbooks)} of {filled.sites} sites written.")


@main.command(short_help="Recalculate a workbook and store the values.")
@click.argument("book", type=_PATH, metavar="BOOK.xlsx")
@click.option("--out", type=_PATH, metavar="OUT.xlsx", help="Default: BOOK-recalculated.xlsx, beside BOOK.")
@_force
def recalc(book: str, out: str | None, force: bool) -> None:
    """Recalculate a workbook and store the values beside its formulas; nothing else in it changes.

    It may hold your own rows and ordinary formulas. A cell that cannot be evaluated is named with the reason,
    and then nothing is written. BOOK itself is overwritten only with --out BOOK.xlsx --force.

    Where an input that is needed is missing, or one holds what is not allowed, the workbook is written, sheet, cell
    and label are named, and the exit code is 1.
    """
    import atexit
    import gc

    from .jobs.recalc import recalc as run

    atexit.register(gc.freeze)  # a process that ends gives all back without looking through it once more
    path, done = run(book, out, force, _say_if_older(book))
    click.echo(path)
    _say(done.causes)
    _end_if_needed(book, done.needs)


@main.command(short_help="Take the inputs of a workbook made by an older hydrofunc over.")
@click.argument("old", type=_PATH, metavar="OLD.xlsx")
@click.option("--out", type=_PATH, required=True, metavar="NEW.xlsx")
@click.option("--left", type=_PATH, metavar="LIST.csv", help="List all that is not in NEW.xlsx as it was, and why.")
@click.option("--all", "every", is_flag=True, help="Take the older template's own examples and defaults over, too.")
@_force
def renew(old: str, out: str, left: str | None, every: bool, force: bool) -> None:
    """Write a new workbook, in metric units, with what you typed into OLD: inputs, readings, entries of the log.

    The older template was filled with an invented plant. What still stands in OLD as it stood there is not taken over:
    nobody can tell whether you meant it. What is assumed or proposed counts there; --all takes it over. What has no
    room in the new workbook is named. OLD itself is not changed: keep it.
    """
    from .jobs.renew import renew as run

    done = run(old, out, left, every, force)
    click.echo(done.path)
    if left:
        click.echo(left)
    _say([*done.errors, *done.messages()])


@main.command(short_help="Put readings and log entries from lists into a workbook.")
@click.argument("book", type=_PATH, required=False, metavar="BOOK.xlsx")
@click.option("--readings", type=_PATH, metavar="READINGS", help="List of readings: names of inputs and their values.")
@click.option(
    "--log", "entries", type=_PATH, metavar="LOG", help="List of log entries: date, gauge, volts, amps, bucket, ..."
)
@click.option("--out", type=_PATH, metavar="OUT.xlsx")
@click.option(
    "--blank",
    type=_PATH,
    metavar="LIST.csv",
    help="Instead: write an empty list of a test day's readings to take along.",
)
@_force
def enter(
    book: str | None, readings: str | None, entries: str | None, out: str | None, blank: str | None, force: bool
) -> None:
    """Write a copy of BOOK with the readings of a test day, or entries of its log, from .csv or .xlsx lists,
    recalculated.

    READINGS has a line for each reading below the heads name and value, and unit where it is not the usual one
    (--blank writes such a list); or the names of inputs in its first row (such as reading_static or
    reading_static [psi]) and their values in its second. A blank cell changes nothing. LOG is headed as the table on
    the sheet Log (date, gauge, volts, amps, bucket, hours run since, remarks, intake overflows: yes or no); its
    entries go into the first free rows.

    Dates are written 2026-03-31, 31.3.2026, 31/3/2026 or 31 Mar 2026; one that may mean two days is refused. What is
    wrong is reported with its row and left out; where nothing is left to enter, no copy is written.
    """
    from .jobs.enter import enter as run
    from .jobs.enter import write_blank

    if blank:
        if book or readings or entries or out:
            raise click.UsageError("--blank writes an empty list and enters nothing: give it alone.")
        write_blank(blank, force)
        click.echo(blank)
        return
    if not (book and out and (readings or entries)):
        raise click.UsageError("give BOOK, --out, and --readings or --log; or --blank alone.")
    _say_if_older(book)
    done = run(book, out, readings, entries, force)
    click.echo(done.path)
    _say(done.errors)
    _report_problems(
        done.problems,
        f"{_counted(done.inputs, 'input', 'inputs')} and {_counted(done.entries, 'log entry', 'log entries')} entered.",
    )


@main.command(short_help="List the inputs of the template.")
@click.argument("name", nargs=-1)
@click.option("--csv", "as_csv", is_flag=True, help="Print them as CSV.")
@click.option("--json", "as_json", is_flag=True, help="Print them as JSON.")
def inputs(name: tuple[str, ...], as_csv: bool, as_json: bool) -> None:
    """List every input of the template by sheet: its name in lists, its label, unit and range, whether it is
    needed or what holds where it is empty, and how to measure it. NAME explains one; another word, such as
    battery, those that have it in their name or label.
    """
    if as_csv and as_json:
        raise click.UsageError("give --csv or --json, not both.")
    from .jobs.inputs import described, when_empty

    records = described(" ".join(name) or None)
    if as_json:
        import json

        click.echo(json.dumps(records, ensure_ascii=False, indent=2, allow_nan=False))
    elif as_csv:
        import csv

        writer = csv.DictWriter(sys.stdout, list(records[0]), lineterminator="\n")
        writer.writeheader()
        for record in records:
            writer.writerow(record | {what: " ".join(record[what]) for what in ("units", "instead")})
    else:
        sheet = None
        for record in records:
            if record["sheet"] != sheet:
                sheet = record["sheet"]
                click.echo(f"\n{sheet}")
            unit = "" if record["unit"] in ("-", "text") else f"  [{record['unit']}]"
            click.echo(f"  {record['cell']:5} {record['name']}{unit}  {record['label']}")
            click.echo(f"        {when_empty(record)}")
            for what in ("allowed", "why", "how") if name else ():
                if record[what]:
                    click.echo(f"        {record[what]}")


@main.command(short_help="A table of results for many scenarios.")
@click.argument("book", type=_PATH, metavar="BOOK.xlsx")
@click.argument("scenarios", type=_PATH, required=False, metavar="[SCENARIOS]")
@click.option("--out", type=_PATH, required=True, metavar="RESULTS", help="A .csv, .xlsx or .parquet file.")
@click.option("--outputs", metavar="A,B,C", help="Names or cells to collect. Default: the results sheet.")
@click.option("--vary", multiple=True, metavar="NAME=...", help="nozzle=4:12:0.5 or pipe_bore=20,25,32")
@click.option("--latin", type=click.IntRange(1), metavar="N", help="N points in place of each value with each.")
@click.option("--seed", type=click.IntRange(0), help="The same seed gives the same points. Default: 1.")
@click.option("--where", multiple=True, metavar="NAME<=...", help="Only such rows: checks_stop=0, or flow<1.5")
@click.option("--best", "keep", type=click.IntRange(1), metavar="N", help="Only the N best rows, the best first.")
@click.option("--of-each", is_flag=True, help="With --best: the N best of each row of SCENARIOS, in its order.")
@click.option("--by", default="", metavar="NAME", help="Of this the best have most. Default: watts.")
@click.option("--yes", is_flag=True, help="More than ten million scenarios, too.")
@_cores
@_cluster
@click.option("--resume", is_flag=True, help="Go on with a run that was stopped.")
@_force
def sweep(
    book: str,
    scenarios: str | None,
    out: str,
    outputs: str | None,
    vary: tuple[str, ...],
    latin: int | None,
    seed: int | None,
    where: tuple[str, ...],
    keep: int | None,
    of_each: bool,
    by: str,
    yes: bool,
    cores: int | None,
    cluster: str | None,
    resume: bool,
    force: bool,
) -> None:
    """Calculate BOOK for every row of SCENARIOS, a .csv, .xlsx or .parquet list, and collect the results in a table.

    The first row of SCENARIOS names the inputs to override: defined names, such as nozzle, or cells, such as
    Pipe!C7. A blank cell leaves the workbook's own value. CSV is read as for `hydrofunc fill`. --vary takes a
    range FIRST:LAST:STEP or a list; several, and SCENARIOS, are combined each with each.

    With --latin the varied inputs have N points of a Latin hypercube, for many inputs at once: --vary nozzle=4:12 gives
    nozzle a value in each of N equal slices of its range, in an order of its own, and a list has each of its values as
    often. Every row of SCENARIOS is combined with the same points.

    The results are the varied inputs, the outputs, each with its unit in the head, and a column `error`. A row with a
    value that is not allowed is reported, its outputs stay blank and its error says why, as it does where an input
    that is needed is missing; the others are done, and the exit code is 1. An output that a cell would show as an
    error stands as its text (#NUM!). In Parquet it is null, and the column other_values says what it was.
    Of more than three rows in a .csv or .xlsx the three with most watts into the battery (battery_watts, or
    plant_watts of the results sheet) are said; with --where, of those that meet all conditions. --best 1 --of-each
    writes the best design of each site of a list; a site of which no design meets the conditions has no row.

    What was read on the test day and what the log says belongs to the plant as it stands in BOOK. It stays the same in
    all scenarios, in the counts of checks too, unless a cell of Test day, Diagnosis or Log is varied or asked for.

    A long run shares all cores. What one of more than a minute has done is kept beside RESULTS, so that --resume goes
    on with it after it was stopped; the table is the same, byte by byte. With --cluster the workers of a dask
    scheduler calculate, and what is done is always kept.
    """
    _refuse_both(cores, cluster)
    if scenarios is None and not vary:
        raise click.UsageError("Give SCENARIOS, or --vary, or both.")
    from .jobs.best import TOLD
    from .jobs.sweep import sweep as run

    _say_if_older(book)
    names = [name.strip() for name in outputs.split(",")] if outputs else None
    with _progress("scenarios") as progress:
        swept = run(
            book,
            out,
            scenarios,
            vary,
            names,
            force,
            progress,
            yes,
            cores,
            resume,
            where,
            keep,
            by,
            latin,
            seed,
            cluster,
            of_each,
        )
    click.echo(out)
    done = swept.scenarios - swept.at_fault
    _say(swept.best if done > TOLD and not out.lower().endswith(".parquet") else [])
    if swept.keeps_measured:
        click.echo("What was measured belongs to the plant of the workbook: what it says is the same in all scenarios.")
    rows = f", {swept.rows} written" if where or keep else ""
    _report_problems(swept.problems, f"{done} of {swept.scenarios} scenarios calculated{rows}.")


@main.command(short_help="Which pipe, nozzle, connection, battery and jets to buy together.")
@click.argument("book", type=_PATH, metavar="BOOK.xlsx")
@click.option("--budget", type=click.FloatRange(0), metavar="MONEY", help="Most that it may cost.")
@click.option("--carry", type=click.FloatRange(0), metavar="KG", help="Most that the pipe may weigh.")
@click.option("--vary", multiple=True, metavar="NAME=...", help="pitch_diameter=80,100,120 or cable_area=6:16:2")
@click.option("--rows", type=click.IntRange(1), default=10, show_default=True, help="How many to print.")
@click.option("--out", type=_PATH, metavar="RESULTS", help="Write all of them: a .csv, .xlsx or .parquet file.")
@_force
def choose(
    book: str, budget: float | None, carry: float | None, vary: tuple[str, ...], rows: int, out: str | None, force: bool
) -> None:
    """Work out every combination of the sheet Combinations of BOOK (pipes of its list, battery volts, star and delta,
    number of jets, each with the nozzle that suits it) and print the best.

    --vary works each of them out with other values of any input, as `hydrofunc sweep` does. Prices of pipes are typed
    on the sheet Combinations, those of battery and jet on What pays. No price is made up: where one is missing the
    combination has no cost, and is over any budget. What the pipe's rating does not allow does not fit.
    """
    from .jobs.choose import choose as run
    from .jobs.choose import told, write

    _say_if_older(book)
    with _progress("variations") as progress:
        choice = run(book, vary, budget, carry, progress)
    if choice.without:
        raise click.ClickException(f"{book}: no results yet. {choice.without}")
    for line in told(choice, rows):
        click.echo(line)
    if out:
        write(choice, out, force)
        click.echo(out)


@main.command(short_help="How far the watts may be off, and which nozzle to choose.")
@click.argument("books", type=_PATH, nargs=-1, required=True, metavar="BOOK.xlsx...")
@click.option("--draws", type=int, default=10_000, show_default=True, help="How many times.")
@click.option(
    "--seed", type=click.IntRange(0), default=1, show_default=True, help="The same seed gives the same draws."
)
@click.option("--outputs", metavar="A,B,C", help="Further names or cells to follow.")
@click.option("--out", type=_PATH, metavar="OUT.xlsx", help="Default: BOOK-doubt.xlsx, beside BOOK.")
@click.option("--csv", "table", type=_PATH, metavar="DRAWS", help="Every draw: a .csv, .xlsx or .parquet file.")
@_cores
@_cluster
@_force
def doubt(
    books: tuple[str, ...],
    draws: int,
    seed: int,
    outputs: str | None,
    out: str | None,
    table: str | None,
    cores: int | None,
    cluster: str | None,
    force: bool,
) -> None:
    """Draw at random what the sheet Doubt of BOOK calls uncertain, calculate the workbook for every draw, and say how
    far the watts into the battery may be off, what that hangs on, and which nozzle at hand is the best on average.

    The draws are plain random draws of each quantity by itself. A copy of BOOK gets the numbers on its sheet Doubt; no
    input and no formula changes. --outputs follows further results.

    Several BOOKs share all cores, or with --cluster the workers of a dask scheduler; each is drawn as it would be
    alone, and its copy stands beside it. One that is refused is named, the others are done, and the exit code is 1.
    """
    _refuse_both(cores, cluster)
    names = [name.strip() for name in outputs.split(",")] if outputs else ()
    if len(books) > 1:
        if out or table:
            raise click.UsageError("--out and --csv are of one BOOK.")
        _doubt_several(books, draws, seed, names, force, cores, cluster)
        return
    if cluster:
        raise click.UsageError("--cluster shares several BOOKs; one is calculated here.")
    from .jobs.doubt import doubt as run

    (book,) = books
    with _progress("draws") as progress:
        result = run(book, out, draws, seed, names, table, force, progress)
    for line in _spread_lines(result):
        click.echo(line)
    click.echo(result.out)
    if table:
        click.echo(table)


def _doubt_several(
    books: Sequence[str],
    draws: int,
    seed: int,
    names: Sequence[str],
    force: bool,
    cores: int | None,
    cluster: str | None,
) -> None:
    from .jobs.doubt import doubts as run

    refused = []
    with (
        _progress("workbooks") as progress,
        closing(run(books, draws, seed, names, force, progress, cores, cluster)) as results,
    ):
        for result in results:
            if isinstance(result, HydroError):
                refused.append(result)
                continue
            for line in _spread_lines(result):
                click.echo(line)
            click.echo(result.out)
    _report_problems(refused, f"{len(books) - len(refused)} of {len(books)} workbooks drawn.")


def _counted(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"


def _spread_lines(result: "Doubted") -> Iterator[str]:
    """What the draws show, for the terminal."""
    for name, spread in result.spreads.items():
        band = f"95 % of the draws {spread.low:.4g} to {spread.high:.4g}"
        # of the watts the unit is known; any other name is the person's own
        label, unit = ("Watts into the load", " W") if name == "doubt_guess" else (name, "")
        yield f"{label}: {spread.median:.4g}{unit}, {band}{unit}; the guess {spread.guess:.4g}{unit}"
    yield f"{result.draws} draws, seed {result.seed}; {result.left_out} left out, as they gave no number"
    watts = result.spreads["doubt_guess"]
    width = max(len(quantity.label) for quantity in result.uncertain)
    yield f"\n{'uncertain':{width}}  {'state':10}  share of the variance, %"
    for quantity, share in sorted(zip(result.uncertain, watts.shares, strict=True), key=lambda row: -row[1]):
        yield f"{quantity.label:{width}}  {quantity.state:10}  {100 * share:24.1f}"
    yield "\nMeasure next:" if result.next else "\nMeasure next: nothing more at this stage."
    for place, line in enumerate(result.next, start=1):
        yield f"{place}. {line.label} ({line.name}): the band is then about {line.width:.3g} W wide. {line.how}"
    if result.nozzles:
        yield "\nnozzle, mm  guess, W  mean, W  5 % less than  5 % more than  the best, % of draws"
        for nozzle in result.nozzles:
            yield (
                f"{nozzle.size:10g}  {nozzle.guess:8.1f}  {nozzle.mean:7.1f}  {nozzle.low:13.1f}  {nozzle.high:13.1f}"
                f"  {100 * nozzle.best:20.1f}"
            )
        best, guessed = result.best_nozzle, result.guessed_nozzle
        yield (
            f"\nBest on average: {best.size:g} mm. By the guess: {guessed.size:g} mm, "
            f"the best in {100 * guessed.best:.0f} % of the draws.\n"
        )


@main.command(short_help="A report of a workbook on a few A4 pages.")
@click.argument("book", type=_PATH, metavar="BOOK.xlsx")
@click.option("--out", type=_PATH, required=True, metavar="REPORT.pdf")
@_force
def report(book: str, out: str, force: bool) -> None:
    """Write a PDF that tells BOOK to a landowner, an insurer or a fellow builder: the plant in sentences and figures,
    the numbers that matter, every check with its limits and reason, cautions, what was assumed, sources.

    BOOK is recalculated for it and not changed. Checks that say stop and cells that show an error are named on the
    report and here; they are results, not a failure. Where an input that is needed is missing, or one holds what is
    not allowed, the report says so, and the exit code is 1.
    """
    from .jobs.report import report as run

    _say_if_older(book, " The report leaves its inputs out: it does not tell what you gave from what was there.")
    said, needs = run(book, out, force)
    click.echo(out)
    _say(said)
    _end_if_needed(book, needs)


@main.command(short_help="Fill three invented sites and run one sweep.")
@click.option(
    "--out",
    "folder",
    type=_PATH,
    metavar="DIR",
    help="Default: a new folder hydrofunc-demo, or hydrofunc-project, here.",
)
@click.option(
    "--project", is_flag=True, help="Instead: one invented project, three alternatives, from survey to a season's log."
)
def demo(folder: str | None, project: bool) -> None:
    """Fill three invented sites and run one sweep, to see what comes out; or, with --project, one whole project."""
    if project:
        from .demo.project import project as run
    else:
        from .demo import demo as run

    click.echo(run(folder))


@main.command("excel-addin", short_help="What Excel on Windows needs, in one folder.")
@click.argument("folder", type=_PATH, metavar="DIR")
@click.option("--python", "interpreter", metavar="PATH", help="python.exe Excel shall start. Default: this one.")
@click.option("--modules", is_flag=True, help="The VBA as files, too, to import by hand into another workbook.")
@_force
def excel_addin(folder: str, interpreter: str | None, modules: bool, force: bool) -> None:
    """Write into DIR a macro-enabled template with our functions and xlwings' VBA in it, and the steps to follow.
    Excel itself is not touched.
    """
    from .hosts.excel.setup import excel_addin as run

    written = run(folder, interpreter, force, modules)
    for path in written.paths:
        click.echo(path)
    _say(written.notes)
    click.echo("Now follow STEPS.txt.", err=True)


@main.command(short_help="Write the self-test workbook.")
@click.argument("out", type=_PATH, metavar="OUT.xlsx")
@_force
def selftest(out: str, force: bool) -> None:
    """Write a workbook that tests every function where it is opened: expected value with source, live result,
    and a total that says PASS or FAIL. The stored values are those of this computer; exit code 1 if any fails.
    """
    from .jobs.selftest import calculated_selftest
    from .workbook.files import refuse_existing, write_bytes

    refuse_existing([out], force)
    data, failed = calculated_selftest()
    write_bytes(out, data, force)
    click.echo(out)
    _report_problems(failed, "FAIL" if failed else "PASS")


@main.command(short_help="What is wrong with a spreadsheet program's link to hydrofunc.")
@click.argument("book", type=_PATH, required=False, metavar="[BOOK.xlsx]")
@click.option("--repair", "out", type=_PATH, metavar="OUT.xlsx", help="Write a repaired copy of BOOK.")
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
@_force
def doctor(book: str | None, out: str | None, as_json: bool, force: bool) -> None:
    """Look at Python, Calc and Excel on this computer, and at BOOK if given, and say what is wrong and what
    helps. Nothing is changed; --repair writes a copy of BOOK whose formulas call our functions by their plain
    names again. Exit code 1 if something is wrong.
    """
    if out and not book:
        raise click.UsageError("--repair needs the BOOK to repair.")
    if out and as_json:
        raise click.UsageError("--json shows findings and --repair mends them: give one.")
    from .hosts.doctor import Machine, check, check_book
    from .hosts.repair import repair

    findings = check_book(book) if book else check(Machine.this())
    if as_json:
        import dataclasses
        import json

        records = [dataclasses.asdict(finding) for finding in findings]
        click.echo(json.dumps(records, ensure_ascii=False, indent=2))
    else:
        for finding in findings:
            click.echo(str(finding))
    if book and out:
        changed = repair(book, out, force)
        click.echo(out)
        _say(changed.notes)
        click.echo(f"{changed.formulas} formulas repaired.", err=True)
    elif any(finding.is_problem for finding in findings):
        sys.exit(1)


@main.group("calc-addin", short_help="The functions inside LibreOffice Calc: build, install, uninstall.")
def calc_addin() -> None:
    """Put the worksheet functions into LibreOffice Calc, or take them out.

    The add-in asks the hydrofunc of this environment: if you move or remove the environment, install again.
    """


@calc_addin.command("build", short_help="Write the extension file.")
@click.option("--out", type=_PATH, required=True, metavar="FILE.oxt")
@click.option("--python", "interpreter", metavar="PATH", help="Python that shall answer Calc. Default: this one.")
@_force
def calc_build(out: str, interpreter: str | None, force: bool) -> None:
    """Write the extension for LibreOffice's Extension Manager."""
    from .hosts.calc.build import build
    from .workbook.files import refuse_existing, write_bytes

    refuse_existing([out], force)
    write_bytes(out, build(interpreter or sys.executable), force)
    click.echo(out)


@calc_addin.command("install", short_help="Put the add-in into LibreOffice.")
def calc_install() -> None:
    """Put the add-in into LibreOffice: for you, or as root for all users of this computer."""
    from .hosts.calc.install import install

    click.echo(install())


@calc_addin.command("uninstall", short_help="Take the add-in out of LibreOffice.")
def calc_uninstall() -> None:
    """Take the add-in out of LibreOffice again."""
    from .hosts.calc.install import uninstall

    click.echo(uninstall())


@calc_addin.command("book", short_help="A copy of a workbook for older Calc.")
@click.argument("book", type=_PATH, metavar="BOOK.xlsx")
@click.option("--out", type=_PATH, required=True, metavar="OUT.ods|OUT.xlsx")
@_force
def calc_book(book: str, out: str, force: bool) -> None:
    """Write a copy of BOOK whose formulas call our functions by Calc's internal names, as in
    HYDROFUNC.FRICTION_HEAD. Calc 7.4 shows #NAME? for the usual names in .xlsx files; 25.2 needs no copy.
    An .ods, written by the LibreOffice of this computer, is the copy to keep working on. An .xlsx is to be
    saved from Calc as .ods first; `hydrofunc doctor` turns its names back.
    """
    from .hosts.calc.book import book_for_old_calc

    count = book_for_old_calc(book, out, force)
    click.echo(out)
    click.echo(f"{count} calls renamed.", err=True)


# -- what a person sees while waiting, and afterwards ------------------------------------------------------


@contextmanager
def _progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """A function progress(done, total) that draws a bar on stderr, where that is a terminal."""
    bar: Any = None

    def progress(done: int, total: int) -> None:
        nonlocal bar
        if bar is None:
            bar = click.progressbar(length=total, label=what, file=sys.stderr)
            bar.__enter__()
        bar.update(done - bar.pos)

    try:
        yield progress if sys.stderr.isatty() else lambda done, total: None
    finally:
        if bar is not None:
            bar.__exit__(None, None, None)


def _refuse_both(cores: int | None, cluster: str | None) -> None:
    if cores and cluster:
        raise click.UsageError("--cores are of this machine, --cluster has its own: give one.")


def _report_problems(problems: Sequence[object], verdict: str) -> None:
    """Say what is wrong with a list, and end with exit code 1 if anything is."""
    _say(problems)
    click.echo(verdict, err=True)
    if problems:
        sys.exit(1)


def _end_if_needed(book: str, needs: Sequence[str]) -> None:
    """Say what a person must give or mend in a workbook, and end with exit code 1 if there is anything."""
    for need in needs:
        click.echo(f"{book}: {need}", err=True)
    if needs:
        sys.exit(1)


def _say_if_older(book: str, more: str = "") -> "Archive":
    """One line on stderr where a workbook is of an older layout. The workbook, opened."""
    from .jobs.older import OLDER, is_older
    from .workbook.reading import defined_names, opened

    archive = opened(book)
    if is_older(defined_names(archive)):
        click.echo(f"{book}: {OLDER}.{more}", err=True)
    return archive


def _say(messages: Sequence[object]) -> None:
    """Messages on stderr, no more than a person reads."""
    for message in messages[:MOST_MESSAGES]:
        click.echo(message, err=True)
    if len(messages) > MOST_MESSAGES:
        click.echo(f"... and {len(messages) - MOST_MESSAGES} more", err=True)
