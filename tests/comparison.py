"""Does this checkout do the same as another one? For changes that must not change behaviour.

    python -m tests.comparison OTHER_CHECKOUT [--python OTHER_PYTHON]

Runs every command of both checkouts on the same files, calls every declared function with the same random arguments,
and compares what comes out: text word by word, numbers within rounding, workbooks cell by cell (formula, stored value,
number format, names, validations), PDFs by their text. Prints each difference; the exit code is 1 if there is one.
"""

import argparse
import ast
import csv
import io
import json
import math
import re
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import openpyxl
import pypdf

HERE = Path(__file__).parents[1]
RELATIVE, ABSOLUTE = 1e-9, 1e-9  # rounding of another order of additions, far below what a person can see
FOLDER = "invented-project"
TESTED = "Invented-project-Fern-Hollow-B-one-wide-pipe-as-tested.xlsx"
COMMANDS = [
    ["--help"],
    ["functions"],
    ["functions", "--json"],
    ["functions", "power_ledger"],
    ["template", "template.xlsx"],
    ["template", "template.xlsx"],  # refused: it is there
    ["demo", "--out", "demo"],
    ["demo", "--project", "--out", FOLDER],
    ["fill", "sites.csv", "--out", "filled"],
    ["fill", "faulty.csv", "--out", "filled-faulty"],
    ["recalc", f"{FOLDER}/{TESTED}", "--out", "recalculated.xlsx"],
    ["sweep", "template.xlsx", "--vary", "nozzle=4:12:0.5", "--vary", "pipe_length=200,400,900", "--out", "sweep.csv"],
    ["sweep", "template.xlsx", "--vary", "nozzle=4,6,40", "--outputs", "judgements,flow", "--out", "sweep.xlsx"],
    ["sweep", "template.xlsx", "scenarios.csv", "--vary", "nozzle=5,7", "--out", "sweep.parquet"],
    ["sweep", "template.xlsx", "--vary", "nozzel=4,6", "--out", "never.csv"],  # refused: no such name
    ["doubt", f"{FOLDER}/{TESTED}", "--draws", "300", "--out", "doubt.xlsx", "--csv", "draws.csv"],
    ["doubt", "template.xlsx", "--draws", "300", "--seed", "7", "--out", "doubt-template.xlsx"],
    [
        "enter",
        "template.xlsx",
        "--readings",
        f"{FOLDER}/readings.csv",
        "--log",
        f"{FOLDER}/log.csv",
        "--out",
        "in.xlsx",
    ],
    ["report", f"{FOLDER}/{TESTED}", "--out", "report.pdf"],
    ["report", "template.xlsx", "--out", "report-template.pdf"],
    ["selftest", "selftest.xlsx"],
    ["excel-addin", "excel", "--python", "python.exe"],
    ["calc-addin", "build", "--out", "add-in.oxt", "--python", "python3"],
    ["calc-addin", "book", "template.xlsx", "--out", "old-calc.xlsx"],
    ["doctor", "old-calc.xlsx", "--repair", "repaired.xlsx"],
    *[[command, "--help"] for command in ("template", "fill", "recalc", "sweep", "doubt", "enter", "report", "demo")],
]
CALLS = """
import json, random
import hydrofunc
import numpy as np

def shown(values, codes):  # what stands where an argument is bad does not matter
    values, codes = np.broadcast_arrays(values, 0 if codes is None else codes)
    return str([f"error {code}" if code else repr(float(value)) for value, code in zip(values.flat, codes.flat)])

def drawn(argument, rng):
    if argument.is_text:
        return rng.choice(argument.choices or ("25", "32", "pe 100", "steel"))
    if not argument.required and rng.random() < 0.5:
        return None
    low, high, *_ = argument.bounds
    low, high = max(low, -1e6), min(high, 1e6)
    value = rng.choice((low + (high - low) * rng.random(), max(low, 0) + (high - max(low, 0)) * rng.random() ** 6))
    return [value, value / 2, value / 3] if argument.many else value

answers = {}
for name, function in hydrofunc.functions().items():
    rng = random.Random(name)
    usual = {**{a.name: None for a in function.arguments}, **function.example.arguments}
    rows = [list(usual.values())]
    for _ in range(40):  # the worked example with a few arguments changed, so that most calls have an answer
        changed = {a.name: drawn(a, rng) for a in function.arguments if rng.random() < 3 / len(usual)}
        rows.append([(changed | {k: v for k, v in usual.items() if k not in changed})[k] for k in usual])
    answers[name] = [shown(*function.lanes(row)) for row in rows]
print(json.dumps(answers))
"""


def main():
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("other", type=Path)
    parser.add_argument("--python", default=sys.executable, help="Python of the other checkout")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folders = {}
        for label, root, python in (("this", HERE, sys.executable), ("other", options.other.resolve(), options.python)):
            folders[label] = Path(name, label, "work")  # of one name, as messages hold names of files
            folders[label].mkdir(parents=True)
            run_all(root, python, folders[label])
        compared, differences = compare_folders(folders["other"], folders["this"])
    for difference in differences:
        print(difference)
    print(f"{len(COMMANDS)} commands, {compared} texts and cells compared, {len(differences)} differences")
    sys.exit(bool(differences))


def run_all(root, python, folder):
    """Every command and every function of a checkout, with what they say in files beside what they write."""
    for name in ("sites.csv", "scenarios.csv"):
        folder.joinpath(name).write_text((HERE / "hydrofunc/demo" / name).read_text(encoding="utf-8"), encoding="utf-8")
    folder.joinpath("faulty.csv").write_text(
        "site_name,pipe_length,nozle\nOne,300,4\nTwo,-3,4\n,200,4\n", encoding="utf-8"
    )
    environment = {"PYTHONPATH": str(root), "PATH": "/usr/bin:/bin", "HOME": str(folder), "COLUMNS": "100"}
    for number, command in enumerate(COMMANDS):
        words = [python, "-m", "hydrofunc", *command]
        done = subprocess.run(words, cwd=folder, env=environment, capture_output=True, text=True, check=False)
        said = f"{' '.join(command)}\nexit code {done.returncode}\n{done.stdout}\n{done.stderr}"
        folder.joinpath(f"said-{number:02}.txt").write_text(said.replace(str(folder), "FOLDER"), encoding="utf-8")
    answers = subprocess.run(
        [python, "-c", CALLS], cwd=folder, env=environment, capture_output=True, text=True, check=True
    )
    folder.joinpath("functions.json").write_text(answers.stdout, encoding="utf-8")


def compare_folders(other, this):
    """How many things were compared, and a line for each difference between the files of two folders."""
    names = {str(path.relative_to(root)) for root in (other, this) for path in root.rglob("*") if path.is_file()}
    compared, differences = 0, []
    for name in sorted(names):
        if not ((other / name).is_file() and (this / name).is_file()):
            differences.append(f"{name}: only {'there' if (other / name).is_file() else 'here'}")
            continue
        before, after = facts(other / name), facts(this / name)
        compared += len(before)
        for key in sorted(before.keys() | after.keys(), key=str):
            if not alike(before.get(key), after.get(key)):
                was, is_now = (str(side.get(key)) for side in (before, after))
                differences.append(f"{name} {key}: {was[:160]!r} became {is_now[:160]!r}")
    return compared, differences


def facts(path):
    """What a file says, by the place where it says it."""
    readers = {
        ".xlsx": workbook_facts, ".xlsm": workbook_facts, ".pdf": pdf_facts, ".oxt": archive_facts,
        ".json": json_facts, ".parquet": parquet_facts, ".csv": csv_facts,
    }  # fmt: skip
    return readers.get(path.suffix, text_facts)(path.read_bytes())


def text_facts(data):
    return dict(enumerate(data.decode("utf-8").splitlines()))


def json_facts(data):
    return {(name, i): text for name, rows in json.loads(data).items() for i, text in enumerate(rows)}


def csv_facts(data):
    rows = csv.reader(io.StringIO(data.decode("utf-8")))
    return {(row, column): cell for row, cells in enumerate(rows) for column, cell in enumerate(cells)}


def parquet_facts(data):
    import pandas

    return dict(enumerate(pandas.read_parquet(io.BytesIO(data)).to_csv().splitlines()))


def pdf_facts(data):
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return {
        (number, i): line
        for number, page in enumerate(pages)
        for i, line in enumerate(page.extract_text().splitlines())
    }


def archive_facts(data):
    """Texts of an archive; of a Python file what it says to Python."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        texts = {name: archive.read(name).decode("utf-8", "replace") for name in archive.namelist()}
    return {name: ast.dump(ast.parse(text)) if name.endswith(".py") else text for name, text in texts.items()}


def workbook_facts(data):
    """Formulas, stored values, number formats, names, validations, widths are left out: they are looks."""
    result = {}
    for stored in (False, True):
        book = openpyxl.load_workbook(io.BytesIO(data), data_only=stored)
        result["sheets"] = str(book.sheetnames)
        for name, defined in book.defined_names.items():
            result["name", name] = defined.value
        for sheet in book.worksheets:
            for rule in sheet.data_validations.dataValidation:
                result[sheet.title, "validation", str(rule.sqref)] = f"{rule.type} {rule.formula1} {rule.formula2}"
            for row in sheet.iter_rows():
                for cell in row:
                    value = getattr(cell.value, "text", cell.value)
                    if value is not None:
                        result[sheet.title, cell.coordinate, "value" if stored else "formula"] = str(value)
                        result[sheet.title, cell.coordinate, "format"] = cell.number_format
    return result


_FINGERPRINT = re.compile(r"(?<=\(SHA-256\) )[0-9a-f]{12}")  # of the file, which holds the looks too
_NUMBER = re.compile(r"(-?\d+(?:\.\d+)?(?:e[+-]?\d+)?)", re.I)


def alike(before, after):
    """Whether two texts are the same but for the last digits of the numbers in them."""
    if before == after or before is None or after is None:
        return before == after
    first, second = (_NUMBER.split(_FINGERPRINT.sub("", text)) for text in (before, after))
    return len(first) == len(second) and all(
        math.isclose(float(a), float(b), rel_tol=RELATIVE, abs_tol=ABSOLUTE) if i % 2 else a == b
        for i, (a, b) in enumerate(zip(first, second, strict=True))
    )


if __name__ == "__main__":
    main()
