"""What the engine does not evaluate is refused while compiling, with the cell and the reason; nothing is guessed."""

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula, DataTableFormula

from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.engine.library import TABLE
from hydrofunc.errors import FormulaRefused
from hydrofunc.workbook.reading import read_book
from tests.engine.fake_functions import fakes, saved, workbook


def problems(data, **options):
    with pytest.raises(FormulaRefused) as caught:
        compile_book(read_book(data), fakes(), **options)
    return dict(caught.value.problems)


def value(cells, cell="B1"):
    return compile_book(read_book(workbook(S=cells)), fakes()).run().value(("S", cell))


@pytest.mark.parametrize(
    ("formula", "reason"),
    [
        ("=OFFSET(A1,1,0)", "OFFSET"),
        ('=INDIRECT("A1")', "INDIRECT"),
        ("=RAND()", "every recalculation"),
        ("=NOW()", "every recalculation"),
        ("=NOSUCH(1)", "NOSUCH is not supported"),
        ("=nosuchname*2", "nosuchname is not known"),
        ("=A1:A3 A2:A5", "intersection"),
        ("=SUM(A1:A3 A2:A5)", "intersection"),
        ("=(1)(2)", "not expected here"),
        ('="a"(1)', "not expected here"),
        ("=SUM((A1:A2,A4))", "union"),
        ("=SUM(S:T!A1)", "several sheets"),
        ("=[1]Other!A1", "another workbook"),
        ("='C:\\add[x.xlsx]S'!A1", "another workbook"),
        ("='C:\\tools\\x.xlam'!HYDRO_ROOT(A1)", "remove the path"),
        ("=[1]!HYDRO_ROOT(A1)", "remove the path"),
        ("=Missing!A1", "no such sheet"),
        ("=A1#", "spill"),
        ("=SUM(A1#)", "spill"),
        ("=@A1:A3", ""),
        ('=TEXT(A1,"yyyy-mm-dd")', "format"),
        ('=TEXT(A1,"0;-0")', "format"),
        ('=TEXT(A1,"# ?/?")', "format"),
        ("=TEXT(A1,A2&A3)", "fixed text"),
        ('=CONVERT(A1,"furlong","m")', "furlong"),
        ("=CONVERT(A1,A2,A3)", "fixed text"),
        ("=SUM(A1:A3*2)", "hosts disagree"),
        ("=MAX(ABS(A1:A3))", "hosts disagree"),
        ("=SUM(IF(A1:A3>1,A1:A3))", "hosts disagree"),
        ("=MATCH(1,(A1:A3=1)*1,0)", "hosts disagree"),
        ("=SUMPRODUCT(IF(A1:A3>1,1,0))", "array formula"),
        ("=SUMPRODUCT((A:A=1)*1)", "whole column"),
        ("=COUNTBLANK(A:A)", "whole column"),
        ("=COUNTIF(A:A,1)", "whole column"),
        ("=SUMIFS(B:B,A:A,1)", "whole column"),
        ("=INDEX(A:A,2)", "whole column"),
        ("=INDEX((A:A),2)", "whole column"),
        ("=SUMIF((A:A),1)", "whole column"),
        ("=XLOOKUP(1,A1:A3,(B2:C4))", "one row or column"),
        ("=SUM((A1:A3)*2)", "hosts disagree"),
        ("=SUM(IFS(A1,A1:A3))", "hosts disagree"),
        ("=SUMPRODUCT(IF((A1:A3)>1,1,0))", "array formula"),
        ("=XLOOKUP(1,A:A,B:B)", "whole column"),
        ("=INDEX(A1:C3,0,2)", "whole row or column"),
        ("=INDEX(A1:C3,2)", "whole row or column"),
        ("=INDEX(A1:B3,2,0)", "whole row or column"),
        ("=INDEX(A1:C2,0,2)", "whole row or column"),
        ("=A1:INDEX(A1:A5,2)", ""),
        ('=COUNTIF({1,2},"1")', "wants cells"),
        ("=ROW(1)", "wants cells"),
        ('=COUNTIFS(A1:A3,"1",A1:A3)', "criterion is missing"),
        ("=IFS(A1,1,A2)", "value is missing"),
        ("=XLOOKUP(1,A1:A3,B2:C4)", "one row or column"),
        ("=XLOOKUP(1,A1:A3,C1:C3,,0,2)", "search modes"),
        ("=SIN()", "SIN takes 1 arguments, not 0"),
        ("=ROUND(1)", "ROUND takes 2 arguments"),
        ("=IF(1)", "IF takes 2 to 3 arguments"),
        ("=HYDRO_ROOT()", "area is missing"),
        ("=HYDRO_ROOT(,2)", "area is missing"),
        ("=HYDRO_ROOT(1,2,3)", "at most 2 arguments"),
        ("=LAMBDA(x,x)(1)", ""),
        ("=1E308*1", "too large"),
        ("={1,A1}", "plain values"),
        ("={1,2;3}", "differ in length"),
        ("=Table9[Flow]", "no table"),
        ("=FILTER(A1:A3,A1:A3>1)", "more than one cell"),
        ("=SUM(A1:Z50000)", "more than 100000 cells"),
        ("=" + "(" * 150 + "1" + ")" * 150, "nested too deeply"),
        ("=SUM(1", ""),
        ("=1+", "ends too early"),
        ("=1)", ""),
        ("=(1)(2)", "'(' is not expected here"),
        ("=SUM(1)2", "'2' is not expected here"),
        ("=1;2", "';' is not expected here"),
    ],
)
def test_it_is_refused_by_cell_and_reason(formula, reason):
    found = problems(workbook(Pipe={"A1": 1, "C7": formula}, T={"A1": 1}, S={"A1": 1}))
    assert list(found) == ["Pipe!C7"]
    assert reason in found["Pipe!C7"]


def test_all_problems_are_listed_at_once():
    found = problems(workbook(S={"A1": "=RAND()", "A2": "=A1+1", "A3": "=OFFSET(A1,1,1)", "A4": "=NOPE(1)"}))
    assert set(found) == {"S!A1", "S!A3", "S!A4"}


def test_circular_references_name_their_cells():
    found = problems(workbook(S={"A1": "=B1+1", "B1": "=C1*2", "C1": "=IF(D1>0,A1,0)", "E1": "=A1"}))
    assert set(found) == {"S!A1", "S!B1", "S!C1"}
    assert "S!A1 -> S!B1 -> S!C1 -> S!A1" in found["S!A1"]
    assert set(problems(workbook(S={"A1": "=A1+1"}))) == {"S!A1"}
    assert set(problems(workbook(S={"A1": "=SUM(A1:A3)"}))) == {"S!A1"}


def test_an_overridden_cell_breaks_a_circle():
    book = read_book(workbook(S={"A1": "=B1+1", "B1": "=A1*2"}))
    plan = compile_book(book, {}, overrides=[("S", "A1")], outputs=[("S", "B1")])
    assert plan.run({("S", "A1"): 3.0}).value(("S", "B1")) == 6.0


def test_a_chain_of_many_thousand_cells_needs_no_recursion():
    cells = {"A1": 1, **{f"A{i}": f"=A{i - 1}+1" for i in range(2, 5001)}}
    assert value(cells, "A5000") == 5000.0


def test_a_formula_of_thousand_terms_needs_no_recursion():
    assert value({"B1": "=" + "+".join(["1"] * 1000)}) == 1000.0


def test_iterative_calculation_and_data_tables_are_refused():
    book = openpyxl.load_workbook(saved_from({"A1": 1, "B1": "=A1"}))
    book.calculation.iterate = True
    assert "iterative" in problems(saved(book))["S!B1"]
    book.calculation.iterate = False
    book["S"]["C1"] = DataTableFormula(ref="C1:C2", dt2D=False, r1="A1")
    assert problems(saved(book)) == {"S!C1": "a data table is not supported"}


def saved_from(cells):
    from io import BytesIO

    return BytesIO(workbook(S=cells))


def test_names_that_are_formulas_or_point_elsewhere_are_refused_where_used():
    book = openpyxl.load_workbook(saved_from({"A1": 1, "B1": "=A1", "B2": "=twice", "B3": "=away", "B4": "=gone"}))
    book.defined_names["twice"] = DefinedName("twice", attr_text="S!$A$1*2")
    book.defined_names["away"] = DefinedName("away", attr_text="[1]S!$A$1")
    book.defined_names["gone"] = DefinedName("gone", attr_text="#REF!")
    found = problems(saved(book))
    assert set(found) == {"S!B2", "S!B3"}
    only = compile_book(read_book(saved(book)), {}, outputs=[("S", "B1"), ("S", "B4")]).run()
    assert only.value(("S", "B4")) is ExcelError("#REF!")


def test_a_name_known_on_one_sheet_only_counts_there():
    book = openpyxl.load_workbook(saved_from({"A1": 1, "B1": "=local+1"}))
    other = book.create_sheet("T")
    other["A1"], other["B1"] = 10, "=local+1"
    other.defined_names["local"] = DefinedName("local", attr_text="T!$A$1")
    assert list(problems(saved(book))) == ["S!B1"]
    result = compile_book(read_book(saved(book)), {}, outputs=[("T", "B1")]).run()
    assert result.value(("T", "B1")) == 11.0


def test_every_function_of_the_table_refuses_too_few_and_too_many_arguments():
    cells = {}
    for row, (name, entry) in enumerate(TABLE.items(), 1):
        if entry.least:
            cells[f"B{row}"] = f"={name}({','.join(['A1'] * (entry.least - 1))})"
        cells[f"C{row}"] = f"={name}({','.join(['A1'] * (entry.most + 1))})"
    found = problems(workbook(S=cells))
    assert set(found) == {f"S!{cell}" for cell in cells}
    assert all(" takes " in reason for reason in found.values())


def test_a_range_where_one_value_is_wanted_means_the_cell_in_line_with_the_formula():
    column = {"A1": 1, "A2": 2, "A3": 3}
    assert value({**column, "B2": "=A1:A3*10"}, "B2") == 20.0
    assert value({**column, "B9": "=A1:A3*10"}, "B9") is ExcelError("#VALUE!")
    assert value({"A1": 1, "B1": 2, "B5": "=A1:B1+5"}, "B5") == 7.0
    assert value({**column, "B2": "=A:A*10"}, "B2") == 20.0
    across = {"B1": 1, "C1": 2, "D1": 3}
    for cell, tenfold in (("B7", 10.0), ("C7", 20.0), ("D7", 30.0)):
        assert value({**across, cell: "=B1:D1*10"}, cell) == tenfold
    for cell in ("A7", "E7"):
        assert value({**across, cell: "=B1:D1*10"}, cell) is ExcelError("#VALUE!")
    down = {"A2": 1, "A3": 2, "A4": 3}
    for cell, tenfold in (("G2", 10.0), ("G4", 30.0)):
        assert value({**down, cell: "=A2:A4*10"}, cell) == tenfold
    for cell in ("G1", "G5"):
        assert value({**down, cell: "=A2:A4*10"}, cell) is ExcelError("#VALUE!")


def test_a_small_range_far_down_a_sheet_is_a_small_range():
    assert value({"A900000": 2, "A900003": 5, "B1": "=SUM(A900000:A900003)"}, "B1") == 7.0
    assert value({"XFA1": 2, "XFD1": 5, "B1": "=SUM(XFA1:XFD1)"}, "B1") == 7.0


def test_a_range_in_parentheses_is_the_range():
    """Text in it is skipped as in the range itself; a direct number in parentheses stays a number."""
    cells = {"A1": 1, "A2": "5", "A3": 3}
    assert value({**cells, "B1": "=SUM((A1:A3))"}) == 4.0
    assert value({**cells, "B1": "=SUM(((A2)),(2))"}) == 2.0
    assert value({**cells, "B1": "=INDEX((A1:A3),3)"}) == 3.0
    assert value({**cells, "B1": "=SUM(INDEX((A1:A3),2),(IF(TRUE,(A2))))"}) == 0.0
    assert value({**cells, "B1": "=SUM(CHOOSE(1,A2),CHOOSE(2,7,A2),1)"}) == 1.0
    assert value({**cells, "B1": "=COUNTIF((A1:A3),3)+ROWS((A1:A2))+ROW((A3))"}) == 6.0
    assert value({**cells, "C1": 10, "C3": 30, "B1": "=SUMIF((A1:A3),3,(C1))"}) == 30.0


def test_a_choice_inside_a_choice_keeps_its_own_mode():
    """A range that SUM takes as it is, beside one that stands for a single value in the same formula."""
    cells = {"A1": 1, "A2": 2, "A3": 3}
    assert value({**cells, "B2": "=SUM(IF(TRUE,A1:A3))+A1:A3"}, "B2") == 8.0
    assert value({**cells, "B2": "=SUMPRODUCT(A1:A3*2)+A1:A3"}, "B2") == 14.0
    assert value({**cells, "B2": "=SUMPRODUCT(A1:A3*CHOOSE(1,2))+IF(A1:A3=2,A1:A3*10,0)"}, "B2") == 32.0


def test_arguments_of_xlookup_left_out_are_as_if_not_written():
    cells = {"A1": 1, "A2": 2, "C1": 10, "C2": 20}
    assert value({**cells, "B1": "=XLOOKUP(2,A1:A2,C1:C2,,,)"}) == 20.0
    assert value({**cells, "B1": "=XLOOKUP(3,A1:A2,C1:C2,,0,1)"}) is ExcelError("#N/A")


def test_newer_functions_carry_a_prefix_in_the_file():
    assert value({"A1": 2, "B1": '=_xlfn.IFS(A1=1,"a",A1=2,"b")'}) == "b"
    assert value({"A1": 2, "B1": "=_xlfn.XLOOKUP(2,A1:A1,A1:A1)"}) == 2.0
    assert value({"A1": 2, "B1": "=if(a1=2,round(1.26,1),0)"}) == 1.3


def test_array_formulas_fill_their_range():
    cells = {
        "A1": 1,
        "A2": 2,
        "A3": 3,
        "C1": ArrayFormula("C1:C4", "=A1:A3*2"),
        "C2": 99,
        "D1": "=SUM(C1:C3)",
        "E1": ArrayFormula("E1", "=SUM(IF(A1:A3>1,A1:A3,0))"),
        "F1": ArrayFormula("F1", "=MAX(IFERROR(1/(A1:A3-2),0))"),
        "G1": ArrayFormula("G1", "=INDEX(A1:A3,MATCH(1,(A1:A3>1)*(A1:A3<3),0))"),
    }
    result = compile_book(read_book(workbook(S=cells)), {}).run()
    assert [result.value(("S", f"C{i}")) for i in range(1, 5)] == [2.0, 4.0, 6.0, ExcelError("#N/A")]
    assert [result.value(("S", cell)) for cell in ("D1", "E1", "F1", "G1")] == [12.0, 5.0, 1.0, 2.0]


def test_table_columns_by_name():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "S"
    for row in (["Bore", "Head loss"], [40, 3.5], [50, 1.2], [63, 0.4]):
        sheet.append(row)
    sheet.add_table(openpyxl.worksheet.table.Table(displayName="Pipes", ref="A1:B4"))
    sheet["D1"], sheet["D2"], sheet["D3"] = "=SUM(Pipes[Head loss])", "=INDEX(Pipes[Bore],2)", "=ROWS(Pipes[#All])"
    sheet["D4"] = "=SUM(Pipes[])"
    sheet["C3"] = "=Pipes[[#This Row],[Bore]]*2"
    result = compile_book(read_book(saved(book)), {}).run()
    found = [result.value(("S", cell)) for cell in ("D1", "D2", "D3", "D4", "C3")]
    assert found == [3.5 + 1.2 + 0.4, 50.0, 4.0, pytest.approx(158.1), 100.0]


@pytest.mark.parametrize("what", ["[a],[c]", "[a],[b],[c]", "[c],[a]"])
def test_columns_of_a_table_that_are_listed_are_no_range_and_refused(what):
    book = openpyxl.Workbook()
    for row in (["a", "b", "c"], [1, 20, 300]):
        book.active.append(row)
    book.active.add_table(openpyxl.worksheet.table.Table(displayName="Pipes", ref="A1:C2"))
    book.active["E1"] = "=SUM(Pipes[[a]:[c]])"
    assert compile_book(read_book(saved(book)), {}).run().value(("Sheet", "E1")) == 321.0
    book.active["E1"] = f"=SUM(Pipes[{what}])"
    with pytest.raises(FormulaRefused, match="write it as an ordinary range"):
        compile_book(read_book(saved(book)), {})


def test_the_totals_and_heads_of_a_table_are_its_own_rows_and_refused_where_it_has_none():
    """With a row of totals the columns end above it (ECMA-376 part 1, 18.5.1.2: totalsRowCount, headerRowCount)."""
    answers = {}
    for totals in (1, 0):
        book = openpyxl.Workbook()
        sheet = book.active
        for row in (["Bore", "Loss"], [40, 3.5], [50, 1.2], [63, 0.4], ["least", 0.25]):
            sheet.append(row)
        table = openpyxl.worksheet.table.Table(displayName="Pipes", ref="A1:B5")
        table.totalsRowCount = totals or None
        sheet.add_table(table)
        sheet["D1"], sheet["D2"] = "=SUM(Pipes[Loss])", '=Pipes[[#Headers],[Loss]]&""'
        sheet["D3"] = "=ROWS(Pipes[[#Totals],[Loss]])+Pipes[[#Totals],[Loss]]"
        read = read_book(saved(book))
        if totals:
            result = compile_book(read, {}).run()
            answers[totals] = [result.value(("Sheet", cell)) for cell in ("D1", "D2", "D3")]
        else:
            del read.cells["Sheet", "D3"]
            answers[totals] = [compile_book(read, {}).run().value(("Sheet", "D1"))]
            sheet["D3"] = "=SUM(Pipes[[#Totals],[Loss]])"
            with pytest.raises(FormulaRefused, match="#Totals"):
                compile_book(read_book(saved(book)), {})
    assert answers == {1: [pytest.approx(5.1), "Loss", 1.25], 0: [pytest.approx(5.35)]}


def test_shared_formulas_are_each_read_for_their_own_cell():
    from tests.workbook.test_splice import SHARED_FORMULAS, with_sheet

    result = compile_book(read_book(with_sheet(SHARED_FORMULAS)), {}).run()
    assert [result.value(("S", f"B{i}")) for i in (1, 2, 3)] == [2.0, 4.0, 6.0]


# How many arguments each function takes: Microsoft's function reference (support.microsoft.com), from memory, not
# looked up. 30 stands for as many as one likes. INDEX has a fourth there, for several areas, which are refused here.
ARGUMENTS = {
    (0, 0): "PI TRUE FALSE NA",
    (0, 1): "ROW COLUMN",
    (
        1,
        1,
    ): """ABS SIGN SQRT EXP LN LOG10 INT EVEN ODD SIN COS TAN ASIN ACOS ATAN SINH COSH TANH RADIANS DEGREES COUNTBLANK
    NOT ROWS COLUMNS ISNUMBER ISTEXT ISNONTEXT ISLOGICAL ISBLANK ISERROR ISERR ISNA N LEN UPPER LOWER TRIM VALUE
    T""",
    (1, 2): "LOG TRUNC LEFT RIGHT",
    (2, 2): """MOD ROUND ROUNDUP ROUNDDOWN MROUND CEILING FLOOR ATAN2 POWER LARGE SMALL IFERROR IFNA TEXT COUNTIF EXACT
    REPT""",
    (2, 3): "IF SUMIF AVERAGEIF MATCH FIND SEARCH INDEX",
    (3, 3): "CONVERT MID",
    (3, 4): "VLOOKUP HLOOKUP SUBSTITUTE",
    (3, 6): "XLOOKUP",
    (
        1,
        30,
    ): """SUM PRODUCT AVERAGE MIN MAX MEDIAN STDEV STDEV.S COUNT COUNTA SUMPRODUCT AND OR XOR CONCATENATE CONCAT""",
    (2, 30): "IFS CHOOSE COUNTIFS",
    (3, 30): "SWITCH SUMIFS AVERAGEIFS MINIFS MAXIFS TEXTJOIN",
}


def test_every_function_takes_as_many_arguments_as_in_excel():
    """As many as that and as few as that are not refused for their number; one more and one less are."""
    numbers = {name: ends for ends, names in ARGUMENTS.items() for name in names.split()}
    assert set(numbers) == set(TABLE)
    cells, refused = {}, set()
    for row, (name, (least, most)) in enumerate(numbers.items(), 1):
        for column, count in (("B", least - 1), ("C", least), ("D", most), ("E", most + 1)):
            if count >= 0 and not (most == 30 and column in "DE"):
                cells[f"{column}{row}"] = f"={name}({','.join(['$A$1:$A$2'] * count)})"
                refused |= {f"S!{column}{row}"} if column in "BE" else set()
    assert {cell for cell, reason in problems(workbook(S=cells)).items() if " takes " in reason} == refused
