"""What stands from memory, in one list: python -m tests.remembered [--all]

Reference rows of the kind `memory`; rows of data tables whose source says "from memory"; and the places in the
package (declarations, pages, comments) that say so of a value. Prints how many in each file; with --all each of them.
The numbers may only fall: `tests/test_remembered.py` holds them.
"""

import csv
import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
SAID = re.compile(r"from\s+memory", re.IGNORECASE)


def remembered() -> dict[str, list[str]]:
    """{kind: each case, in a line that begins with its file}."""
    rows = [
        f"{name}: {row['case']} {row['function']}: {row['source']}"
        for name, row in _rows(ROOT / "tests" / "reference")
        if row["kind"] == "memory"
    ]
    tables = [
        f"{name}: {' '.join(list(row.values())[:4])}: {row['source']}"
        for name, row in _rows(ROOT / "hydrofunc" / "physics")
        if SAID.search(row["source"])
    ]
    words = []
    for path in sorted((ROOT / "hydrofunc").rglob("*.py")):
        text = _joined(path.read_text(encoding="utf-8"))
        for match in SAID.finditer(text):
            line = text.count("\n", 0, match.start()) + 1
            said = " ".join(text[max(match.start() - 110, 0) : match.end() + 20].split())
            words.append(f"{path.relative_to(ROOT / 'hydrofunc')}: line {line}: …{said}")
    return {"reference rows": rows, "rows of data tables": tables, "places in the package": words}


def _rows(folder: Path) -> Iterator[tuple[str, dict[str, str]]]:
    """(name of the file, row) of all CSV files of a folder."""
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            yield from ((path.name, row) for row in csv.DictReader(file))


def _joined(text: str) -> str:
    """The text with words that a line break cuts in two made whole, so that none is missed; lines stay lines."""
    return re.sub(r'"(\s*\n\s*)f?"', lambda cut: cut[1], re.sub(r"\n( *)# ", r"\n\1  ", text))


def main(words: list[str]) -> None:
    for kind, lines in remembered().items():
        print(f"{len(lines)} {kind} from memory, not looked up")
        if "--all" in words:
            print("".join(f"    {line}\n" for line in lines), end="")
            continue
        files = [line.split(":")[0] for line in lines]
        for name in dict.fromkeys(files):
            print(f"    {files.count(name):4} {name}")


if __name__ == "__main__":
    main(sys.argv[1:])
