"""README's table of a person's questions names the cells in which they are answered."""

import re
from pathlib import Path

import pytest

from tests.books import template_book

README = Path(__file__).parents[2] / "README.md"
SECTION = README.read_text(encoding="utf-8").split("## Where a question is answered")[1].split("\n## ")[0]
ROWS = [tuple(part.strip() for part in line.strip("|").split("|")) for line in SECTION.splitlines() if "?" in line]


@pytest.mark.parametrize(("question", "sheet", "cell", "label"), ROWS)
def test_a_question_is_answered_where_the_readme_says(question, sheet, cell, label):
    cells = template_book().cells
    row = re.sub(r"[A-Z]+", "", cell)
    assert cells[sheet, f"B{row}"] == label
    assert (sheet, cell) in cells


def test_every_question_has_a_line():
    assert len(ROWS) == 13
