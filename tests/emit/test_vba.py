"""The worksheet functions as VBA in a workbook, read by programs that are not ours; nothing here runs them.

What a project is made of is Microsoft's: [MS-OVBA] and [MS-CFB], open specifications, sections in the module. Limits of
a module and a procedure: common practice, no published source, but 24 continuations of a line and 60 arguments (from
memory, not looked up). Nothing has been opened in Excel.
"""

import io
import random
import re
import zipfile
from functools import cache
from itertools import groupby
from xml.etree import ElementTree

import olefile
import openpyxl
import pytest
from click.testing import CliRunner
from oletools.olevba import VBA_Parser, decompress_stream
from pyopenvba import ExcelFile, check_file

from hydrofunc.cli import main
from hydrofunc.emit.graph import node, number
from hydrofunc.emit.lambda_names import LEFT_OUT
from hydrofunc.emit.symbols import Symbol, apply
from hydrofunc.emit.trace import Helper
from hydrofunc.emit.vba import complaint
from hydrofunc.emit.vba_body import Body, Library
from hydrofunc.emit.vba_book import with_vba
from hydrofunc.emit.vba_modules import modules
from hydrofunc.emit.vba_project import compressed, encrypted, vba_project
from hydrofunc.errors import FileRefused
from hydrofunc.jobs import live
from hydrofunc.registry import FUNCTIONS
from tests.emit.vba_grammar import complaints, procedures

X, Y = (Symbol(node("argument", value=name)) for name in "xy")
SAMPLE = (
    *("HYDRO_JET_VELOCITY", "HYDRO_TOUCH_LIMIT", "HYDRO_DOUBT"),
    *("Hyd_flow_for_loss", "Hyd_vapour_pressure", "HydTable3", "HydInput", "HydList", "HydListed", "HydLook"),
)


@cache
def all_procedures():
    return {name: (head, text) for module in modules().values() for head, found in [procedures(module)]
            for name, text in found.items()}  # fmt: skip


@cache
def book():
    """A small workbook of two sheets with the functions in it."""
    plain = openpyxl.Workbook()
    plain.active["A1"] = "=HYDRO_JET_VELOCITY(50)"
    plain.create_sheet("Second")
    out = io.BytesIO()
    plain.save(out)
    return with_vba(out.getvalue())


def project():
    with zipfile.ZipFile(io.BytesIO(book())) as archive:
        return archive.read("xl/vbaProject.bin")


def as_written(name, text):
    return f'Attribute VB_Name = "{name}"\n{text}'.replace("\n", "\r\n")


# -- statements


def written(symbol, perhaps=(), library=None):
    known = {X.node: "x", Y.node: "y"} | {node("parameter", value=i): f"p{i}" for i in perhaps}
    body = Body(library or Library(), known, {}, "failed", perhaps)
    body.value(symbol.node, "r")
    return [*body.arrays, *body.lines, *body.ends]


def test_what_only_a_branch_needs_is_calculated_in_it():
    """A root of what is negative stops a procedure: it may only be drawn where it is needed."""
    root = apply("sqrt", X)
    assert written(apply("if", X > 0, root * root + root, 0.0)) == [
        "If x > 0# Then",
        "v1 = Sqr(x)",
        "r = v1 * v1 + v1",
        "Else",
        "r = 0#",
        "End If",
    ]


def test_what_both_branches_need_is_calculated_once_before_them():
    root = apply("sqrt", X)
    assert written(apply("if", Y > 0, root, root * 2.0)) == ["v1 = Sqr(x)", "If y > 0# Then r = v1 Else r = v1 * 2#"]


def test_what_a_loop_does_not_change_is_calculated_before_it():
    value, step = (Symbol(node("variable", value=name)) for name in ("value", "step"))
    loop = Symbol(node("loop", Y.node, (value + apply("exp", X)).node, value.node, step.node, value=3))
    assert written(loop) == ["v1 = Exp(x)", "v2 = y", "For i1 = 1 To 3", "v2 = v2 + v1", "Next i1", "r = v2"]


def test_a_sum_over_a_table_is_a_loop_over_an_array():
    table = Symbol(node("table", value=(1.0, 2.5)))
    assert written((table * X).sum()) == [
        "t1 = Array(1#, 2.5)",
        "v1 = 0#",
        "For i1 = 0 To 1",
        "v2 = t1(i1) * x",
        "v1 = v1 + v2",
        "Next i1",
        "r = v1",
    ]


def test_whether_a_part_fails_can_be_asked():
    lines = written(apply("if", apply("isnan", apply("ln", X)), 0.0, apply("ln", X)))
    assert lines == [
        *("b1 = True", "On Error GoTo caught_b1", "v1 = Log(x)", "b1 = False", "after_b1:", "On Error GoTo failed"),
        "If b1 Then r = 0# Else r = v1",
        *("caught_b1:", "Resume after_b1"),
    ]


def test_an_argument_that_is_not_needed_in_every_case_may_be_no_number():
    """A helper asks before it uses such an argument: an absent section of pipe has no bore."""
    inner = Symbol(node("parameter", value=1))
    helper = Helper("halved", 1, (inner / 2.0).node)
    call = Symbol(node("call", apply("if", X > 0, X, Symbol(number(float("nan")))).node, value=helper))
    library = Library({helper: "Hyd_halved"})
    library.look_through([call.node])
    assert library.perhaps[helper] == {1}
    assert written(call, library=library) == ["If x > 0# Then v1 = x Else v1 = 9.87654321E+307", "r = Hyd_halved(v1)"]
    assert written(inner / 2.0, perhaps=(1,)) == ["If p1 = 9.87654321E+307 Then Err.Raise 5", "r = p1 / 2#"]


def test_whole_numbers_are_written_as_doubles_and_a_minus_is_bracketed():
    """20000 * 2 of whole numbers is more than an Integer of VBA holds."""
    assert written(X * 20000.0 - (Y - 2.0)) == ["r = x * 20000# - (y - 2#)"]
    assert written((-X) ** 3.0) == ["r = (-x) ^ 3#"]
    assert written((X**Y) ** 0.5) == ["r = (x ^ y) ^ 0.5"]


# -- modules


def test_every_module_keeps_the_limits_of_vba():
    assert {name: wrong for name, text in modules().items() if (wrong := complaint(text))} == {}
    for text in modules().values():
        assert len(text.encode()) + text.count("\n") <= 50_000
        assert all(len(line) < 1000 for line in text.split("\n"))
        runs = groupby(text.split("\n"), lambda line: line.endswith(" _"))
        assert max((len(list(run)) for is_open, run in runs if is_open), default=0) <= 24
        for procedure in procedures(text)[1].values():
            assert procedure.partition(")")[0].count(",") < 60


@pytest.mark.parametrize("text", ["x" * 1000, "a _\n" * 25 + "b", "'\n" * 25_001, "' \u03a9"])
def test_what_vba_would_refuse_is_told(text):
    assert complaint(text)


def test_no_two_procedures_have_one_name_but_for_capitals():
    names = [name.lower() for text in modules().values() for name in procedures(text)[1]]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_a_function_is_there_or_says_why_not(name):
    function = FUNCTIONS[name]
    _, text = all_procedures()[function.sheet_name]
    given = re.search(r"\((.*?)\) As Variant", text.replace(" _\n", " "))[1]
    assert re.findall(r"Optional (\w+)", given) == [argument.name for argument in function.arguments]
    assert f"Attribute {function.sheet_name}.VB_Description" in text
    assert (name in LEFT_OUT) == ("Not without Python" in text)
    if name in LEFT_OUT:
        assert f"{LEFT_OUT[name]}.\n{function.sheet_name} = HydError(2042)" in text


@pytest.mark.parametrize("name", SAMPLE)
def test_an_independent_grammar_reads_what_is_written(name):
    head, text = all_procedures()[name]
    assert complaints(head + text) == []


def test_the_grammar_refuses_a_spoilt_procedure():
    head, text = all_procedures()["HYDRO_TOUCH_LIMIT"]
    assert complaints(head + text.replace("If wrong", "If (wrong"))
    assert complaints(head + text.replace("End Function", ""))


# -- the project in the workbook


def test_three_readers_find_every_module_as_it_was_written(tmp_path):
    path = tmp_path / "book.xlsm"
    path.write_bytes(book())
    expected = {name: as_written(name, text) for name, text in modules().items()}
    by_olevba = {name.removesuffix(".bas"): text for _, _, name, text in VBA_Parser(str(path)).extract_macros()}
    assert {name: by_olevba[name] for name in expected} == expected
    with ExcelFile(path) as file:
        assert {"ThisWorkbook", "Sheet1", "Sheet2", *expected} == set(file.module_names())
        assert all(file.get_module(name).replace("\r\n", "\n").strip() in expected[name].replace("\r\n", "\n")
                   for name in expected)  # fmt: skip
    assert check_file(path).issues == ()
    again = openpyxl.load_workbook(path, keep_vba=True)
    assert again.vba_archive.read("xl/vbaProject.bin") == project()
    again.vba_archive.close()


def test_the_compound_file_has_no_fault_that_a_reader_knows_of():
    file = olefile.OleFileIO(io.BytesIO(project()), raise_defects=olefile.DEFECT_UNSURE)
    assert file.parsing_issues == []
    assert {"PROJECT", "PROJECTwm", "VBA"} == {path[0] for path in file.listdir()}
    assert file.openstream("VBA/_VBA_PROJECT").read()[:4] == b"\xcc\x61\xff\xff"  # compile from the source


def test_the_same_modules_give_the_same_bytes():
    texts = {"one": "' 1\n", "two": "' 2\n"}
    assert vba_project(texts, ["Sheet1"]) == vba_project(dict(texts), ["Sheet1"])


@pytest.mark.parametrize(
    "data",
    [b"", b"a", b"abc" * 6, b"x" * 4096, b"x" * 4097, bytes(range(256)) * 40, random.Random(1).randbytes(9000)],
    ids=["nothing", "one byte", "repeated", "a whole chunk", "one more", "all bytes", "by chance"],
)
def test_what_is_compressed_comes_back(data):
    """Random bytes grow; [MS-OVBA] pads such a chunk to 4,096 bytes."""
    back = bytes(decompress_stream(bytearray(compressed(data)))) if data else b""
    assert back[: len(data)] == data
    assert set(back[len(data) :]) <= {0}


def test_what_protects_a_project_is_hidden_as_the_specification_says():
    """[MS-OVBA] 2.4.3.3, decrypted; first the texts that Excel wrote into the project of xlwings."""

    def revealed(text, project):
        data = bytes.fromhex(text)
        seed, key = data[0], sum(project.encode()) & 0xFF
        assert data[1] ^ seed == 2 and data[2] ^ seed == key
        last, before, plain, out = data[2], data[1], key, []
        for byte in data[3:]:
            plain = byte ^ ((before + plain) & 0xFF)
            out.append(plain)
            last, before = byte, last
        out = out[(seed & 6) // 2 :]
        assert int.from_bytes(bytes(out[:4]), "little") == len(out) - 4
        return bytes(out[4:])

    excel = "{5CF9CDAB-B77B-4FE4-BD7E-D29900070E1B}"
    assert revealed("8D8FA61394EA98EA98EA98EA98", excel) == bytes(4)
    assert revealed("8D8FA61394EF95EF9510", excel) == b"\xff"
    for data in (bytes(4), b"\xff"):
        assert revealed(encrypted(data), "{6B1F3C52-0D7E-4A6B-9F0A-2C5D8E417A30}") == data
        assert revealed(encrypted(data, excel, 0x8D), excel) == data


def test_the_parts_of_the_file_fit_together():
    with zipfile.ZipFile(io.BytesIO(book())) as archive:
        parts = {name: archive.read(name).decode() for name in archive.namelist() if name.endswith((".xml", ".rels"))}
    for part in parts.values():
        ElementTree.fromstring(part)
    assert "macroEnabled.main+xml" in parts["[Content_Types].xml"]
    assert "vbaProject.bin" in parts["xl/_rels/workbook.xml.rels"]
    assert 'codeName="ThisWorkbook"' in parts["xl/workbook.xml"]
    assert 'codeName="Sheet2"' in parts["xl/worksheets/sheet2.xml"]


def test_a_workbook_gets_the_functions_once():
    with pytest.raises(FileRefused, match="already"):
        with_vba(book())


# -- the command


def test_the_ending_xlsm_asks_for_a_template_with_macros(tmp_path, monkeypatch):
    monkeypatch.setattr(live, "macro_book", lambda data: b"with macros")  # the real one takes long: in Calc
    out = tmp_path / "site.xlsm"
    assert CliRunner().invoke(main, ["template", str(out)]).exit_code == 0
    assert out.read_bytes() == b"with macros"
    again = CliRunner().invoke(main, ["template", str(out)])
    assert again.exit_code != 0 and "--force" in again.output


def test_names_and_macros_do_not_go_into_one_workbook(tmp_path):
    answer = CliRunner().invoke(main, ["template", str(tmp_path / "site.xlsm"), "--live"])
    assert answer.exit_code != 0
    assert "--live is for .xlsx" in answer.output
