"""The self-test workbook in a real Calc with the add-in."""

import pytest

from hydrofunc.hosts.calc.install import install
from hydrofunc.hosts.calc.names import internal_names
from hydrofunc.jobs import selftest
from tests.hosts.calc.calc_session import Calc, options_for


@pytest.mark.calc
def test_every_row_passes_in_calc_where_nothing_was_stored(tmp_path):
    options = options_for(tmp_path)
    install(options)
    book = tmp_path / "selftest.xlsx"
    book.write_bytes(internal_names(selftest.build())[0])  # names that every Calc with the add-in knows
    calc = Calc(options)
    try:
        calc.open(book.as_uri())
        calc.calculate_all()
        passed, total, verdict = (shown for _, shown, _, _ in calc.read(["C4", "C5", "C6"]))
        last = selftest.FIRST_ROW + int(total)
        verdicts = calc.read([f"G{row}" for row in range(selftest.FIRST_ROW, last)])
        assert {shown for _, shown, _, _ in verdicts} == {"pass"}
        assert int(total) == len(selftest.rows()) == int(passed) and verdict == "PASS"
    finally:
        calc.quit()
