"""Lists of numbers as people of any country write them: a number is read as its writer means it, or reported.

Each list has one writer, with a decimal mark and a habit of dividing thousands; what it means is known. Who divides
thousands by a point does not divide cells by a comma: of 70.953 in such a list nobody could tell what it means.
"""

import csv
import io
import random
from pathlib import Path

import openpyxl

from hydrofunc.errors import FileRefused
from hydrofunc.workbook.lists import read_table
from tests.attack.score import Score, guarded

LIMIT = 5.0
REST = (
    "",
    " ",
    "x",
    "nan",
    "inf",
    "1e999",
    "=1+1",
    "0x10",
    "1_000",
    "TRUE",
    "½",
    "#NUM!",
    "--1",
    "1 2",
    "'5",
    "é",
    "\0",
)
HEADS = ("name", "bore", "length", "flow")


def attack(seed: object, rounds: int, folder: Path) -> Score:
    """So many lists; the chance of each depends on seed and number alone."""
    score = Score()
    for turn in range(rounds):
        score += one_list(f"{seed}/{turn}", folder)
    return score


def one_list(seed: str, folder: Path) -> Score:
    """Write one list, read it, and compare."""
    chance, score = random.Random(seed), Score()
    mark = chance.choice(",.")
    divider = chance.choice(("", "", " ", "'", "\u202f", "." if mark == "," else ","))
    rows = [
        [f"site {number}", *(_written(chance, mark, divider) for _ in HEADS[1:])]
        for number in range(chance.randrange(1, 8))
    ]
    path = _file(
        chance,
        folder,
        divider == ".",
        [[(head, None) for head in HEADS], *[[(row[0], None), *row[1:]] for row in rows]],
    )
    words = f"{seed}: mark {mark!r}, thousands {divider!r}, {path.read_bytes()[:300]!r}"
    kind, table = guarded(score, words, (FileRefused,), LIMIT, lambda: read_table(path, lambda head: head == "name"))
    if kind != "value":
        return score
    at_fault = {problem.row for problem in table.problems}
    for index, number in enumerate(table.rows.tolist()):
        for head, (text, meant) in zip(HEADS[1:], rows[number - 2][1:], strict=True):
            value = table.columns[head][index]
            if number in at_fault or (value is None and not text.strip()):
                continue
            if isinstance(value, float) and (meant is None or abs(value - meant) > 1e-12 * abs(meant)):
                score.note("wrong", f"{words}: {text!r} is read as {value!r}")
            if value is None:
                score.note("wrong", f"{words}: {text!r} is passed over")
    return score


def _written(chance: random.Random, mark: str, divider: str) -> tuple[str, float | None]:
    """A cell and the number that it means; None where it means none."""
    if chance.random() < 0.1:
        return chance.choice(REST), None
    places = chance.choice((0, 0, 1, 2, 3, 3, 4))
    number = round(chance.choice((1, 1, 1, -1)) * 10 ** chance.uniform(-2, 6), places)
    text = f"{number:,.{places}f}" if chance.random() < 0.5 else f"{number:.{places}f}"
    text = text.replace(",", "\1").replace(".", mark).replace("\1", divider)
    if chance.random() < 0.05:
        text += chance.choice((" mm", "mm", " ", "%", "e0"))
        if text[-1] in "m%":
            number = None
    if chance.random() < 0.05:
        text = f" {text}"
    return text, number


def _file(chance: random.Random, folder: Path, no_commas: bool, rows: list) -> Path:
    """The list as a file, between its cells a comma, a semicolon or a tab.

    Where a row is not as long as the heads, what is missing or too much is at its end.
    """
    texts = [[text for text, _ in row] for row in rows]
    if chance.random() < 0.15:
        path = folder / "list.xlsx"
        book = openpyxl.Workbook()
        for row in texts:
            book.active.append([text.replace("\0", "x") for text in row])
        for row in book.active.iter_rows():
            for cell in row:
                cell.data_type = "s" if isinstance(cell.value, str) else cell.data_type
        book.save(path)
        return path
    if chance.random() < 0.1:
        texts[-1].append("more")
    stream = io.StringIO()
    delimiter = chance.choice(",;;\t").replace(*",;" if no_commas else ",,")
    csv.writer(stream, delimiter=delimiter, lineterminator=chance.choice(("\n", "\r\n"))).writerows(texts)
    encoding = chance.choice(("utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252", "cp850"))
    path = folder / "list.csv"
    path.write_bytes(stream.getvalue().encode(encoding, "replace"))
    return path
