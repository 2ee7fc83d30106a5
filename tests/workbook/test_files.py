"""Files are written whole or not at all, and never over another unasked; lists are read row by row."""

import datetime
import errno
import os
import re
import stat
import sys
import time
import zipfile

import numpy as np
import openpyxl
import pyarrow
import pyarrow.compute
import pyarrow.parquet
import pytest

from hydrofunc.errors import FileRefused
from hydrofunc.workbook.files import file_stem, new_file, refuse_existing, write_bytes
from hydrofunc.workbook.lists import as_number, read_table
from hydrofunc.workbook.results import Cells, check_ending, open_results

NOTHING = float("nan")


def numbers(*values):
    return Cells(np.array(values, float), {})


def words(*values):
    return Cells(np.full(len(values), NOTHING), dict(enumerate(values)))


def no_words(header):
    return False


@pytest.fixture
def csv(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "list.csv"
        path.write_bytes(text.encode(encoding))
        return path

    return write


# -- writing -----------------------------------------------------------------------------------------------


def test_a_file_is_there_whole_after_the_block(tmp_path):
    with new_file(tmp_path / "a.txt") as stream:
        stream.write(b"water")
        assert not (tmp_path / "a.txt").exists()
    assert (tmp_path / "a.txt").read_bytes() == b"water"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_an_error_while_writing_leaves_the_old_file_and_nothing_else(tmp_path):
    (tmp_path / "a.txt").write_bytes(b"old")

    def stop_halfway():
        with new_file(tmp_path / "a.txt", force=True) as stream:
            stream.write(b"half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        stop_halfway()
    assert (tmp_path / "a.txt").read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_an_existing_file_is_overwritten_only_by_force(tmp_path):
    write_bytes(tmp_path / "a.txt", b"old")
    with pytest.raises(FileRefused, match=r"a\.txt exists already; add --force"):
        write_bytes(tmp_path / "a.txt", b"new")
    assert (tmp_path / "a.txt").read_bytes() == b"old"
    write_bytes(tmp_path / "a.txt", b"new", force=True)
    assert (tmp_path / "a.txt").read_bytes() == b"new"


def test_a_file_that_appears_meanwhile_is_not_overwritten(tmp_path):
    with pytest.raises(FileRefused, match="exists already"), new_file(tmp_path / "a.txt"):
        (tmp_path / "a.txt").write_bytes(b"someone else's")
    assert (tmp_path / "a.txt").read_bytes() == b"someone else's"


def test_all_files_in_the_way_are_named_at_once(tmp_path):
    for name in "ab":
        (tmp_path / name).touch()
    with pytest.raises(FileRefused) as refused:
        refuse_existing([tmp_path / "a", tmp_path / "b", tmp_path / "c", tmp_path / "no" / "d", tmp_path], force=False)
    text = str(refused.value)
    assert text.count("exists already") == 2
    assert "does not exist" in text and "is a folder" in text


def test_permissions_are_those_of_the_umask_or_of_the_file_replaced(tmp_path):
    before = os.umask(0o027)
    try:
        write_bytes(tmp_path / "a.txt", b"")
        assert stat.S_IMODE((tmp_path / "a.txt").stat().st_mode) == 0o640
        os.chmod(tmp_path / "a.txt", 0o600)
        write_bytes(tmp_path / "a.txt", b"", force=True)
        assert stat.S_IMODE((tmp_path / "a.txt").stat().st_mode) == 0o600
    finally:
        os.umask(before)


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("Larch Spring", "Larch-Spring"),
        ("../../etc/passwd", "etc-passwd"),
        ("Källa 7 / östra", "Källa-7-östra"),
        ("CON", "CON-site"),
        ("...", "site"),
        ("a" * 300, "a" * 60),
        ("=1+1", "1-1"),
    ],
)
def test_any_site_name_gives_a_file_name_every_system_takes(name, stem):
    assert file_stem(name, set()) == stem


def test_file_names_differ_even_where_case_does_not_count():
    taken = {"summary"}
    assert [file_stem(name, taken) for name in ("Spring", "SPRING", "spring", "Summary")] == [
        "Spring",
        "SPRING-2",
        "spring-3",
        "Summary-2",
    ]


# -- reading lists -----------------------------------------------------------------------------------------


def test_row_numbers_are_those_a_spreadsheet_shows(csv):
    table = read_table(csv("nozzle,jets\n\n5,1\n , \n6,2\n"), no_words)
    assert table.rows.tolist() == [3, 5]
    assert table.columns["nozzle"].values.tolist() == [5, 6]


def test_a_line_break_within_a_cell_does_not_shift_row_numbers(csv):
    table = read_table(csv('name,jets\n"two\nlines",1\nx,2\n'), lambda header: header == "name")
    assert table.rows.tolist() == [2, 3]
    assert table.columns["name"] == ["two\nlines", "x"]


@pytest.mark.parametrize(
    "text",
    [
        "nozzle,jets\n4.5,2\n",
        "nozzle;jets\n4,5;2\n",
        "nozzle;jets\n4.5;2\n",
        "nozzle\tjets\r\n4,5\t2\r\n",
        '"nozzle","jets"\n"4.5","2"\n',
        "\ufeffnozzle,jets\n4.5,2",
        " nozzle , jets \n 4.5 , 2 \n",
    ],
)
def test_comma_semicolon_tab_and_decimal_comma_are_understood(csv, text):
    table = read_table(csv(text), no_words)
    assert {name: column.values.tolist() for name, column in table.columns.items()} == {
        "nozzle": [4.5],
        "jets": [2],
    }


@pytest.mark.parametrize(
    "cell", ["abc", "nan", "inf", "1_000", "1.234.5", "5 mm", "1e", "0x10", "#NUM!", "TRUE", "--5"]
)
def test_what_is_no_number_is_kept_to_be_reported(csv, cell):
    column = read_table(csv(f"nozzle;jets\n{cell};1\n"), no_words).columns["nozzle"]
    assert column[0] == cell
    assert not column.blank[0]


def test_a_blank_cell_is_blank_and_not_zero(csv):
    column = read_table(csv("nozzle,jets\n,1\n5,1\n"), no_words).columns["nozzle"]
    assert column.blank.tolist() == [True, False]
    assert column[0] is None


def test_a_decimal_comma_between_commas_does_not_shift_the_row(csv):
    table = read_table(csv("nozzle,jets\n4,5,2\n6,1\n"), no_words)
    (problem,) = map(str, table.problems)
    assert problem.startswith("row 2: has more cells than the 2 column heads; row left out. A decimal comma")


def test_words_keep_their_zeros_and_signs(csv):
    table = read_table(csv("name\n007\n-x\n"), lambda header: True)
    assert table.columns["name"] == ["007", "-x"]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "is empty"),
        ("\n\n", "is empty"),
        ("a,a\n1,2\n", "two columns are headed a"),
        ("a,A\n1,2\n", "two columns"),
        ("a,,b\n1,2,3\n", "column 2 has no head"),
        ("a,b\n\n", "has no rows"),
        ('a,b\n"x,1\n', "not a proper CSV file"),
    ],
)
def test_a_list_that_cannot_be_understood_is_refused(csv, text, complaint):
    with pytest.raises(FileRefused, match=complaint):
        read_table(csv(text), no_words)


def test_other_encodings_are_refused_rather_than_guessed(csv):
    with pytest.raises(FileRefused, match="not UTF-8"):
        read_table(csv("name\nK\u00e4lla\n", "latin-1"), no_words)


def test_other_files_and_missing_files_are_refused(tmp_path):
    with pytest.raises(FileRefused, match=r"must be a \.csv, \.xlsx or \.parquet"):
        read_table(tmp_path / "list.ods", no_words)
    with pytest.raises(FileRefused, match="cannot be read"):
        read_table(tmp_path / "list.csv", no_words)


def test_an_xlsx_list_keeps_row_numbers_dates_and_words(tmp_path):
    book = openpyxl.Workbook()
    for row in (
        ["name", "nozzle", "date"],
        [],
        ["a", 5, datetime.date(2026, 5, 1)],
        [25, "6.5", None],
        [None, True, "x"],
    ):
        book.active.append(row)
    book.save(tmp_path / "list.xlsx")
    table = read_table(tmp_path / "list.xlsx", lambda header: header != "nozzle")
    assert table.rows.tolist() == [3, 4, 5]
    assert table.columns["name"] == ["a", "25", None]
    assert table.columns["date"] == ["2026-05-01", None, "x"]
    assert [table.columns["nozzle"][index] for index in range(3)] == [5, 6.5, True]


def test_what_only_looks_like_an_xlsx_list_is_refused(tmp_path):
    (tmp_path / "list.xlsx").write_text("name,nozzle")
    with pytest.raises(FileRefused, match=r"list\.xlsx"):
        read_table(tmp_path / "list.xlsx", no_words)
    with zipfile.ZipFile(tmp_path / "list.xlsx", "w") as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
    with pytest.raises(FileRefused, match="not a workbook that can be read"):
        read_table(tmp_path / "list.xlsx", no_words)


def test_a_list_longer_than_one_chunk_stays_in_order(csv, monkeypatch):
    monkeypatch.setattr("hydrofunc.workbook.lists.CHUNK", 7)
    lines = [f"{i},{'x' if i == 16 else i / 8}" for i in range(20)]
    table = read_table(csv("a,b\n" + "\n".join(lines)), no_words)
    assert table.columns["a"].values.tolist() == list(range(20))
    assert table.columns["b"].odd == {16: "x"}
    assert table.columns["b"][19] == 19 / 8


def test_thousands_marks_are_not_guessed():
    assert as_number("1,234.5") is None
    assert as_number("1.234,5", decimal_comma=True) is None
    assert as_number("1,5", decimal_comma=True) == 1.5
    assert as_number(True) is None


# -- what may be thousands ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("a;b\n1.200;6\n", ["1.200", 6]),  # nothing in the list says which
        ("a;b\n1.200;6,2\n", ["1.200", 6.2]),  # here the comma is the decimal mark
        ("a\tb\n1,200\t6.2\n", ["1,200", 6.2]),
        ("a;b\n-12,500;6\n", ["-12,500", 6]),
        ("a;b\n1.200;6.2\n", [1.2, 6.2]),  # here the point is
        ("a\tb\n1,200\t6,2\n", [1.2, 6.2]),
        ("a;b\n1.200;6,2\n1;6.2\n", ["1.200", 6.2]),  # both are
        ("a;b\n0.200;0,125\n", [0.2, 0.125]),  # no thousands begin with 0
        ("a;b\n1234,567;1,2345\n", [1234.567, 1.2345]),
        ("a;b\n1.200,5;1 200\n", ["1.200,5", "1 200"]),
        ("a,b\n1.200,6\n", [1.2, 6]),  # a comma divides the cells: it is no mark of numbers
        ("a;b\n４００;6\n", ["４００", 6]),  # digits of another width, which Python reads
    ],
)
def test_a_mark_that_may_divide_thousands_is_not_guessed(csv, text, values):
    columns = read_table(csv(text), no_words).columns
    assert [columns[head][0] for head in "ab"] == values


def test_it_is_said_what_a_number_may_mean(csv):
    cell = read_table(csv("a\n1.250\n".replace("a", "a;b").replace("0\n", "0;1\n")), no_words).columns["a"][0]
    assert cell.reason == "'1.250' may be 1250 or 1.25; write one of these"


def test_the_decimal_mark_of_a_later_chunk_counts(csv, monkeypatch):
    monkeypatch.setattr("hydrofunc.workbook.lists.CHUNK", 2)
    column = read_table(csv("a;b\n1.200;1\n2;2\n3;3\n4;4\n5.5;5\n"), no_words).columns["a"]
    assert column.values.tolist() == [1.2, 2, 3, 4, 5.5] and column.odd == {}


def test_a_list_in_utf_16_with_its_mark_is_read(csv):
    for encoding in ("utf-16", "utf-16-le", "utf-16-be"):
        text = "name\tnozzle\nKälla\t4,5\n"
        table = read_table(
            csv(text if encoding == "utf-16" else f"\ufeff{text}", encoding), lambda head: head == "name"
        )
        assert table.columns["name"] == ["Källa"] and table.columns["nozzle"][0] == 4.5


def test_another_encoding_is_refused_with_the_way_out_of_both_programs(csv):
    with pytest.raises(FileRefused, match=r'"CSV UTF-8".*"Edit filter settings".*"Unicode \(UTF-8\)"'):
        read_table(csv("name;nozzle\nKälla;4,5\n", "cp1252"), no_words)


def made_list(tmp_path, rows, hidden=0):
    book = openpyxl.Workbook()
    for _ in range(hidden):
        book.active.append(["nozzle"])
        book.active.append([99])
        book.active.sheet_state = "hidden"
        book.active = book.create_sheet()
    for row in rows:
        book.active.append(row)
    book.save(tmp_path / "list.xlsx")
    return tmp_path / "list.xlsx"


def test_a_formula_without_a_stored_value_is_no_blank(tmp_path):
    """As openpyxl and other writers that are no spreadsheet programs leave it."""
    path = made_list(tmp_path, [["altitude", "jets"], ["=1000+500", 1], [2, "=1+1"]])
    with pytest.raises(FileRefused, match="A2, B3 on sheet Sheet: formulas without stored values"):
        read_table(path, no_words)


def test_a_formula_with_a_stored_value_is_that_value(tmp_path):
    """An empty text is one too: t="str" and an empty v."""
    path = made_list(tmp_path, [["altitude", "jets"], ["=1000+500", '=IF(TRUE,"","")']])
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    sheet = parts["xl/worksheets/sheet1.xml"]
    first, second = re.findall(rb"<c [^>]*><f>.*?</c>", sheet)
    sheet = sheet.replace(first, re.sub(rb"<v\s*/>|<v></v>", b"<v>1500</v>", first))
    sheet = sheet.replace(second, second.replace(b"<c ", b'<c t="str" '))
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in (parts | {"xl/worksheets/sheet1.xml": sheet}).items():
            archive.writestr(name, content)
    columns = read_table(path, no_words).columns
    assert (columns["altitude"][0], columns["jets"][0]) == (1500, None)


def test_the_first_sheet_that_is_not_hidden_is_the_list(tmp_path):
    assert read_table(made_list(tmp_path, [["nozzle"], [5]], hidden=2), no_words).columns["nozzle"][0] == 5


def test_a_stray_cell_far_away_is_reported_at_once(tmp_path):
    path = made_list(tmp_path, [["nozzle"], [5]])
    book = openpyxl.load_workbook(path)
    book.active["XFD1048576"] = 1
    book.save(path)
    started = time.perf_counter()
    table = read_table(path, no_words)
    assert time.perf_counter() - started < 20  # measured: 0.3 s; before, minutes
    (problem,) = map(str, table.problems)
    assert problem.startswith("row 1048576: has more cells than the 1 column heads; row left out.")


@pytest.mark.parametrize("text", ["x;=1+1;y", "a\t=1+1", "a\n@SUM(1)", 'a; "=1'])
def test_a_formula_behind_another_countrys_separator_is_neutralised(tmp_path, text):
    """Where a spreadsheet program divides cells by semicolons, quotes inside a line do not hold them together."""
    with open_results(tmp_path / "r.csv", [("name", True)]) as write:
        write([words(text)])
    written = (tmp_path / "r.csv").read_bytes().decode("utf-8-sig")
    pieces = re.split("[;\t\r\n]", written)
    assert len(pieces) > 3 and not any(piece.lstrip(' "').startswith(("=", "+", "-", "@")) for piece in pieces)


# -- files that cannot be, or should not -------------------------------------------------------------------


def test_a_write_protected_file_is_not_overwritten(tmp_path):
    """Nor by the root user, who could."""
    path = tmp_path / "a.xlsx"
    path.write_bytes(b"old")
    path.chmod(0o444)
    with pytest.raises(FileRefused, match="write-protected"):
        write_bytes(path, b"new", force=True)
    assert path.read_bytes() == b"old"


@pytest.mark.parametrize("lock", [".~lock.a.xlsx#", "~$a.xlsx"])
def test_a_file_that_is_open_in_a_spreadsheet_program_is_not_overwritten(tmp_path, lock):
    """LibreOffice and Excel lay such a file beside it (seen in LibreOffice; that of Excel from memory)."""
    path = tmp_path / "a.xlsx"
    (tmp_path / lock).write_bytes(b"")
    write_bytes(path, b"old")  # a lock without a file is of the past
    with pytest.raises(FileRefused, match=f"open in a spreadsheet program.*delete {re.escape(lock)}"):
        write_bytes(path, b"new", force=True)
    assert path.read_bytes() == b"old"


def test_what_killed_runs_have_left_of_a_file_goes_with_the_next_run(tmp_path):
    left, young, other = (tmp_path / name for name in (".a.xlsx.0123abcd.part", ".a.xlsx.0123abce.part", ".b.part"))
    for path in (left, young, other):
        path.write_bytes(b"")
    for path in (left, other):
        os.utime(path, (1e9, 1e9))
    write_bytes(tmp_path / "a.xlsx", b"x")
    assert [path.exists() for path in (left, young, other)] == [False, True, True]


def test_a_full_disk_says_of_which_file(tmp_path):
    message = r"a\.xlsx cannot be written: No space left on device"
    with pytest.raises(FileRefused, match=message), new_file(tmp_path / "a.xlsx"):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    assert list(tmp_path.iterdir()) == []


def test_another_name_of_an_overwritten_file_keeps_what_it_was(tmp_path):
    """Hard links: a file is replaced as a whole, so a backup that is a second name of it stays the old one."""
    write_bytes(tmp_path / "a.xlsx", b"old")
    (tmp_path / "backup.xlsx").hardlink_to(tmp_path / "a.xlsx")
    write_bytes(tmp_path / "a.xlsx", b"new", force=True)
    assert ((tmp_path / "a.xlsx").read_bytes(), (tmp_path / "backup.xlsx").read_bytes()) == (b"new", b"old")


def test_a_circle_of_links_is_refused(tmp_path):
    (tmp_path / "a.xlsx").symlink_to(tmp_path / "b.xlsx")
    (tmp_path / "b.xlsx").symlink_to(tmp_path / "a.xlsx")
    with pytest.raises(FileRefused):
        write_bytes(tmp_path / "a.xlsx", b"x", force=True)


@pytest.mark.parametrize("name", ["", "a\0b"])
def test_what_is_no_name_of_a_file_is_refused(name):
    with pytest.raises(FileRefused, match="no name of a file"):
        write_bytes(name, b"x")


# -- writing tables ----------------------------------------------------------------------------------------

PART = [
    words("=1+1", 'say "so", he said', "-x"),
    Cells(np.array([1.5, NOTHING, -2e-7]), {1: "#NUM!"}, frozenset({1})),
    numbers(NOTHING, 0.1 + 0.2, 3),
]
HEADS = [("name", True), ("power [W]", False), ("+flow", False)]


def written(path, parts=(PART,)):
    with open_results(path, HEADS) as write:
        for part in parts:
            write(part)


def test_csv_text_that_would_run_as_a_formula_is_neutralised_and_numbers_stay_numbers(tmp_path):
    written(tmp_path / "r.csv")
    assert (tmp_path / "r.csv").read_bytes().decode("utf-8-sig").split("\r\n") == [
        "name,power [W],'+flow",
        "'=1+1,1.5,",
        '"say ""so"", he said",#NUM!,0.30000000000000004',
        "'-x,-2e-7,3",
        "",
    ]


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_every_start_of_a_formula_is_neutralised_in_csv(tmp_path, start):
    with open_results(tmp_path / "r.csv", [("a", True)]) as write:
        write([words(f"{start}x")])
    cell = (tmp_path / "r.csv").read_bytes().decode("utf-8-sig").removeprefix("a\r\n").strip('"\n')
    assert cell.startswith(f"'{start}x")


def csv_texts(path, values):
    """What a column of numbers becomes in a CSV file."""
    with open_results(path, [("a", False)]) as write:
        write([Cells(values, {})])
    return path.read_bytes().decode("utf-8-sig").split("\r\n")[1:-1]


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (3.0, "3"),
        (-0.0, "-0"),
        (0.1 + 0.2, "0.30000000000000004"),
        (0.00001, "0.00001"),
        (1e-7, "1e-7"),
        (-1.25e-300, "-1.25e-300"),
        (9_999_999_999.5, "9999999999.5"),
        (1e10, "1e+10"),
        (123456789012.0, "1.23456789012e+11"),
        (float("inf"), "inf"),
        (NOTHING, ""),
    ],
)
def test_a_csv_number_is_short_and_without_an_exponent_where_a_person_reads_it(tmp_path, number, text):
    assert csv_texts(tmp_path / "r.csv", np.array([number, 2.5])) == [text, "2.5"]


@pytest.mark.parametrize("repeats", [1, 5])
def test_every_csv_number_is_the_shortest_text_that_reads_back_the_same(tmp_path, monkeypatch, repeats):
    """Numbers of any bits, and such as people have; Arrow's converter is the judge. Also where numbers repeat."""
    monkeypatch.setattr("hydrofunc.workbook.results.CSV_BLOCK", 4000)
    chance = np.random.default_rng(20)
    any_bits = chance.integers(0, 2**64, 5_000, dtype=np.uint64).view(float)
    usual = chance.normal(size=5_000) * 10.0 ** chance.integers(-9, 13, 5_000)
    values = np.repeat(np.concatenate([any_bits, usual, usual.round(3), usual.round(), [0.0, -0.0]]), repeats)
    judge = pyarrow.compute.cast(pyarrow.array(values, from_pandas=True), pyarrow.string()).to_pylist()
    assert csv_texts(tmp_path / "r.csv", values) == [text or "" for text in judge]


def test_words_of_a_csv_stand_in_their_rows_also_beyond_the_first_block(tmp_path, monkeypatch):
    monkeypatch.setattr("hydrofunc.workbook.results.CSV_BLOCK", 2)
    with open_results(tmp_path / "r.csv", [("a", False), ("b", True)]) as write:
        write([Cells(np.array([1, NOTHING, 3, NOTHING, 5]), {3: "#N/A"}, frozenset({3})), words(*"vwxyz")])
        write([numbers(6), words("e")])
    text = (tmp_path / "r.csv").read_bytes().decode("utf-8-sig")
    assert text.split() == ["a,b", "1,v", ",w", "3,x", "#N/A,y", "5,z", "6,e"]


def test_xlsx_text_stays_text_and_errors_are_errors(tmp_path):
    written(tmp_path / "r.xlsx", (PART, PART))
    rows = list(openpyxl.load_workbook(tmp_path / "r.xlsx").active.iter_rows())
    assert len(rows) == 7
    assert [(cell.value, cell.data_type) for cell in rows[4]] == [("=1+1", "s"), (1.5, "n"), (None, "n")]
    assert rows[5][1].data_type == "e"
    assert rows[5][2].value == pytest.approx(0.1 + 0.2, rel=1e-15)


def test_parquet_columns_have_one_type_and_say_beside_what_does_not_fit(tmp_path):
    written(tmp_path / "r.parquet", (PART, PART))
    table = pyarrow.parquet.read_table(tmp_path / "r.parquet")
    assert [str(field.type) for field in table.schema] == ["string", "double", "double", "string"]
    assert table.to_pylist()[4] == {
        "name": 'say "so", he said',
        "power [W]": None,
        "+flow": 0.1 + 0.2,
        "other_values": "power [W]=#NUM!",
    }
    assert table.num_rows == 6


def test_parquet_without_its_package_is_refused_before_any_work_and_csv_needs_it_not(tmp_path, monkeypatch):
    for name in [name for name in sys.modules if name.partition(".")[0] == "pyarrow"]:
        monkeypatch.setitem(sys.modules, name, None)  # so Python says that it is not installed
    with pytest.raises(FileRefused) as refused:
        check_ending("r.parquet", 1)
    assert str(refused.value) == (
        "r.parquet: writing Parquet needs pyarrow, which is not installed: pip install pyarrow, or write .csv"
    )
    check_ending(tmp_path / "r.csv", 1)
    written(tmp_path / "r.csv")
    written(tmp_path / "r.xlsx")


def test_results_that_do_not_fit_are_refused_before_any_work():
    with pytest.raises(FileRefused, match="do not fit on a worksheet"):
        check_ending("r.xlsx", 1_048_576)
    check_ending("r.xlsx", 1_048_575)
    with pytest.raises(FileRefused, match=r"can be written as \.csv, \.xlsx, \.parquet"):
        check_ending("r.txt", 1)
