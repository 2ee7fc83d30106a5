"""Room: invented examples, made with the jobs as a person would make them.

- `demo` (this module): three invented sites, filled, calculated and swept: a first look at what comes out
- `project`: one invented plant from its alternatives to its report

May import `jobs` and the rooms these stand on.

Every name in `sites.csv` and `scenarios.csv` says that it is invented; no such place exists.
"""

from importlib.resources import files
from pathlib import Path

from ..jobs.fill import fill
from ..jobs.sweep import sweep
from ..template import RESULTS
from ..workbook.files import write_bytes

NUMBERS_THAT_MATTER = ("plant_watts", "plant_best_nozzle", "plant_speed")


def demo(folder: str | Path | None = None) -> str:
    """Fill the demo sites and run the demo sweep into `folder`, or a new folder here; what came out, as text.

    Copies of both lists go there too, to start one's own from.
    """
    folder = Path(folder) if folder else new_folder("hydrofunc-demo")
    folder.mkdir(parents=True, exist_ok=True)
    sites, scenarios = (copied(name, folder / name) for name in ("sites.csv", "scenarios.csv"))
    filled = fill(sites, folder)
    swept = sweep(filled.workbooks[0], folder / "sweep.csv", scenarios)
    lines = [f"Results of three invented sites are in {folder}:"]
    lines += [f"  {path.name}" for path in [*filled.workbooks, *filled.summaries]]
    lines += [
        f"  sweep.csv    {swept.scenarios} scenarios of {filled.workbooks[0].name}",
        "  sites.csv, scenarios.csv    the lists they were made from: change them and use them for your own",
        "",
    ]
    labels = {item.name: item for item in RESULTS}
    for index, path in enumerate(filled.workbooks):
        lines.append(path.stem)
        for name in NUMBERS_THAT_MATTER:
            item, value = labels[name], filled.results[name][index]
            lines.append(f"  {item.label:28} {_shown(value)} {item.unit}")
    return "\n".join(lines)


def _shown(value):
    return f"{value:8.1f}" if isinstance(value, float) else str(value)


def new_folder(name: str) -> Path:
    """A folder of this name here, or the first of NAME-2, NAME-3, ... that does not exist."""
    folder, count = Path(name), 1
    while folder.exists():
        count += 1
        folder = Path(f"{name}-{count}")
    return folder


def copied(name: str, path: Path) -> Path:
    """Copy one of the demo's lists to `path`."""
    write_bytes(path, (files(__name__) / name).read_bytes())
    return path
