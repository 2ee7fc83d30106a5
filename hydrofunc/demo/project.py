"""An invented project: three ways to use one spring, and the one that is built, from its survey to the log of a season.

No such place exists. `alternatives.csv` is a list of sites as `hydrofunc fill` takes it, `readings.csv` and `log.csv`
lists as `hydrofunc enter` takes them.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

from ..jobs.doubt import doubt
from ..jobs.enter import enter
from ..jobs.fill import fill
from ..jobs.report import report
from . import copied, new_folder

LISTS = ("alternatives.csv", "readings.csv", "log.csv")
BUILT = 1  # the row of the alternatives that is built
DRAWS = 4000


def project(folder: str | Path | None = None) -> str:
    """Write the invented project into `folder`, or a new folder here; what came out, as text."""
    folder = Path(folder) if folder else new_folder("hydrofunc-project")
    folder.mkdir(parents=True, exist_ok=True)
    alternatives, readings, log = (copied(f"project/{name}", folder / name) for name in LISTS)
    filled = fill(alternatives, folder)
    designed = filled.workbooks[BUILT]
    tested = designed.with_name(f"{designed.stem}-as-tested.xlsx")
    with TemporaryDirectory() as aside:
        entered = enter(designed, Path(aside, "entered.xlsx"), readings, log)
        doubted = doubt(entered.path, tested, draws=DRAWS)
    paper = tested.with_suffix(".pdf")
    report(tested, paper)
    lines = [f"An invented project is in {folder}:"]
    lines += [f"  {path.name}" for path in (*filled.workbooks, *filled.summaries)]
    lines += [
        f"  {tested.name}    {designed.name} with the readings of its test day, {entered.entries} log entries "
        f"and {doubted.draws} draws",
        f"  {paper.name}    its report",
        "  alternatives.csv, readings.csv, log.csv    the lists they were made from",
        "",
    ]
    watts = filled.results["plant_watts"]
    lines += [f"not used: {problem}" for problem in (*filled.problems, *entered.problems)]
    lines += [f"{path.stem}: {value:.0f} W into the battery" for path, value in zip(filled.workbooks, watts)]
    return "\n".join(lines)
