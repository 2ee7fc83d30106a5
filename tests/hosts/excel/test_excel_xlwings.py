"""Our functions as xlwings sees them: metadata, VBA wrappers, calls with the values COM delivers."""

import inspect
import re
from types import SimpleNamespace

import pytest

import hydrofunc
from hydrofunc.hosts.excel import vba
from tests import contract
from tests.hosts.excel.stand_ins import MISSING, Cells

FUNCTIONS = list(hydrofunc.functions().values())
NA, NUM, DIV0 = -2146826246, -2146826252, -2146826281


def called(windows, name, *args):
    """The answer of xlwings' COM server to a call from a cell, as Excel gets it."""
    return windows.server.XLPython().CallUDF("hydrofunc.hosts.excel.udfs", name, args, None, Cells((0.0,)))


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.name)
def test_xlwings_holds_the_declaration_of_every_function(windows, function):
    held = getattr(windows.ours, function.sheet_name).__xlfunc__
    assert held["name"] == function.sheet_name
    assert held["category"] == f"hydrofunc: {function.group}"
    assert not held["volatile"] and not held["sub"]
    assert held["ret"]["doc"].startswith(function.help)
    assert [a["name"] for a in held["args"]] == [a.name for a in function.arguments]
    for ours, theirs in zip(function.arguments, held["args"]):
        assert ("optional" in theirs) == (not ours.required)
        assert theirs["options"] == {"ndim": 2, "err_to_str": True}
        assert theirs["doc"].startswith(ours.meaning)
        if ours.unit not in ("-", "text"):
            assert f"[{ours.unit}]" in theirs["doc"]
        if not ours.required:
            assert f"Default: {ours.default_text}." in theirs["doc"]


def test_no_text_is_cut_by_excel(windows):
    for name in vba.worksheet_functions():
        held = getattr(windows.ours, name).__xlfunc__
        for text in (held["ret"]["doc"], held["category"], *(a["doc"] for a in held["args"])):
            assert 1 <= len(text) <= 255


def test_xlwings_has_our_functions_and_no_other(windows):
    decorated = {name for name in dir(windows.ours) if hasattr(getattr(windows.ours, name), "__xlfunc__")}
    assert decorated == {f.sheet_name for f in FUNCTIONS} | {"HYDRO_EXPLAIN", "HYDRO_VERSION"}


@pytest.fixture(scope="module")
def wrappers(windows, tmp_path_factory):
    """{name: (parameters, arguments of the call)} of the wrappers xlwings writes."""
    path = tmp_path_factory.mktemp("vba") / "xlwings.bas"
    with path.open("w") as file:
        windows.generate_vba_wrapper(vba.PYTHON_MODULE, windows.ours, file, SimpleNamespace(Name="book.xlsm"))
    return read_wrappers(path.read_text())


def read_wrappers(text):
    text = re.sub(r"(?m)^Attribute HYDRO_.*\n", "", re.sub(r"\s_\n\s*", " ", text))
    found = {}
    for name, parameters, body in re.findall(r"Function (HYDRO_\w+)\(([^\n]*)\)\n(.*?)End Function", text, re.DOTALL):
        call = re.search(r'XLPy\.CallUDF\("([\w.]+)", "(\w+)", (.*?), ThisWorkbook, Application\.Caller\)', body)
        found[name] = parameters.replace(" As Variant", ""), call.groups()
    return found


def test_our_wrappers_make_the_calls_xlwings_would_make(wrappers):
    ours = read_wrappers("".join(vba.modules().values()))
    assert set(ours) == set(wrappers) == set(vba.worksheet_functions())
    for name, (parameters, (module, called, arguments)) in wrappers.items():
        same = arguments.replace("argsArray", "given")
        assert ours[name] == (parameters, (module, called, same)), name


def as_com(function):
    """The arguments of a worked example as COM delivers them: floats, words, rows of floats, MISSING."""
    given = contract.example_cells(function)
    return [
        MISSING
        if value is None
        else value
        if isinstance(value, str)
        else tuple(map(tuple, value))
        if isinstance(value, list)
        else float(value)
        for value in given
    ]


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda f: f.name)
def test_the_worked_example_through_xlwings(windows, function):
    given = as_com(function)
    assert called(windows, function.sheet_name, *given) == function(**function.example.arguments)


HEAD = {"flow": 1.2, "length": 400.0, "bore": 32.6, "roughness": 0.007}


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ((1.2, 400.0, 32.6, 0.007), hydrofunc.friction_head(**HEAD)),
        ((1.2, 400.0, 32.6, 0.007, MISSING, 9.8), hydrofunc.friction_head(**HEAD, gravity=9.8)),
        ((1.2, 400.0, 32.6, 0.007, None, 9.8), hydrofunc.friction_head(**HEAD, gravity=9.8)),
        ((None, 400.0, 32.6, 0.007), "#VALUE!"),
        ((True, 400.0, 32.6, 0.007), "#VALUE!"),
        (("1.2", 400.0, 32.6, 0.007), "#VALUE!"),
        ((1.2, -400.0, 32.6, 0.007), "#NUM!"),
        ((NA, -400.0, 32.6, 0.007), "#N/A"),
        ((1.2, DIV0, NA, 0.007), "#DIV/0!"),
        ((True, 400.0, NA, 0.007), "#N/A"),
    ],
)
def test_single_cells_in(windows, given, shown):
    """Blank, left out, TRUE, text, error values: as values and as cells."""
    assert called(windows, "HYDRO_FRICTION_HEAD", *given) == shown
    cells = [item if item == MISSING and type(item) is int else Cells((item,)) for item in given]
    assert called(windows, "HYDRO_FRICTION_HEAD", *cells) == shown


def test_a_column_gives_a_column_and_errors_stay_in_their_cells(windows):
    flows = Cells((1.0,), (None,), (NUM,), (-1.0,), (True,), ("",), ("word",), (1.5,))
    head = called(windows, "HYDRO_FRICTION_HEAD", flows, 400.0, 32.6, 0.007)
    good = [hydrofunc.friction_head(**{**HEAD, "flow": flow}) for flow in (1.0, 1.5)]
    wanted = [good[0], "#VALUE!", "#NUM!", "#NUM!", "#VALUE!", "#VALUE!", "#VALUE!", good[1]]
    assert head == [[value] for value in wanted]


def test_a_column_and_a_row_give_a_table(windows):
    table = called(windows, "HYDRO_FRICTION_HEAD", Cells((1.0,), (1.5,)), Cells((300.0, 400.0, 500.0)), 32.6, 0.007)
    assert table == [
        [hydrofunc.friction_head(flow, length, 32.6, 0.007) for length in (300.0, 400.0, 500.0)] for flow in (1.0, 1.5)
    ]


def test_a_row_gives_a_flat_row_as_xlwings_sends_it(windows):
    row = called(windows, "HYDRO_FRICTION_HEAD", Cells((1.0, -1.0, 1.5)), 400.0, 32.6, 0.007)
    assert row == [
        hydrofunc.friction_head(1.0, 400, 32.6, 0.007),
        "#NUM!",
        hydrofunc.friction_head(1.5, 400, 32.6, 0.007),
    ]


def test_ranges_that_do_not_fit_together(windows):
    shown = called(windows, "HYDRO_FRICTION_HEAD", Cells((1.0,), (1.5,)), Cells((1.0,), (2.0,), (3.0,)), 32.6, 0.007)
    assert shown == "#VALUE!"


def test_blank_cells_in_an_optional_range_are_the_default(windows):
    shown = called(windows, "HYDRO_FRICTION_HEAD", 1.2, 400.0, 32.6, 0.007, Cells((5.0,), (None,)))
    assert shown == [[hydrofunc.friction_head(**HEAD, temperature=5)], [hydrofunc.friction_head(**HEAD)]]


# Lists that the worked example gives; lists in step with another, such as counted with values, are only given together.
LISTED = [(f, a) for f in FUNCTIONS for a in f.arguments if a.many and not a.part and a.name in f.example.arguments]


@pytest.mark.parametrize(("function", "listed"), LISTED, ids=lambda item: item.name)
def test_a_list_of_cells_may_have_gaps_but_no_error(windows, function, listed):
    example = function.example.arguments
    given = as_com(function)
    place = function.arguments.index(listed)
    values = [float(v) for v in example[listed.name]]
    given[place] = Cells(*[(v,) for v in values], (None,))
    assert called(windows, function.sheet_name, *given) == function(**example)
    given[place] = Cells(*[(v,) for v in values], (NA,))
    assert called(windows, function.sheet_name, *given) == "#N/A"


def test_explain_says_in_words_what_is_wrong(windows):
    def explained(*given):
        return called(windows, "HYDRO_EXPLAIN", *given)

    assert explained("friction_head", 1.2, 400.0, 32.6, 0.007) == "fine"
    assert explained("HYDRO_FRICTION_HEAD", 1.2, -400.0, 32.6, 0.007).startswith("length: -400.0 m is not allowed")
    assert "bore: is missing" in explained("friction_head", 1.2, 400.0)
    assert explained("friction_head", NA, 400.0, 32.6, 0.007) == "flow: the cell it is taken from shows #N/A"
    assert "at most 6 arguments" in explained("friction_head", *[1.0] * 7)
    assert "did you mean friction_head" in explained("friction_heat", 1.2)


def test_a_whole_plant_through_xlwings(windows):
    """A blank value changes nothing, one left out is missed, an error counts where its row is needed."""
    rows = dict(hydrofunc.find("plant").example.arguments["plant"])

    def plant(*arguments, **changed):
        return called(windows, "HYDRO_PLANT", Cells(*(rows | changed).items()), *arguments)

    at = hydrofunc.plant(rows)
    assert plant("battery_watts") == at.battery_watts
    assert plant("battery_watts", "nozzle", Cells((9.0,))) == at.with_(nozzle=9).battery_watts
    assert plant("battery_watts", Cells(("nozzle", "bore")), Cells((9.0, None))) == at.with_(nozzle=9).battery_watts
    assert plant("battery_watts", "nozzle", Cells((None,))) == at.battery_watts
    assert plant("battery_watts", "nozzle", MISSING) == plant("battery_watts", "nozzle") == "#VALUE!"
    assert plant("flow", phase_volts=NA) == at.flow
    assert plant("battery_watts", phase_volts=NA) == "#N/A"
    assert plant(Cells(("flow",), ("nonsense",), ("net_head",))) == [[at.flow], ["#VALUE!"], [at.net_head]]
    assert "is not on the list" in called(windows, "HYDRO_EXPLAIN", "plant", Cells(*rows.items()), "nonsense")


def test_version(windows):
    assert called(windows, "HYDRO_VERSION") == hydrofunc.__version__


@pytest.mark.parametrize("name", list(vba.worksheet_functions()))
def test_names_are_legal_in_vba(name):
    """MS-VBAL 3.3.5.1 and 5.1: a letter first, letters, digits and underscores, at most 255 characters."""
    parameters = inspect.signature(vba.worksheet_functions()[name]).parameters
    for word in (name, *parameters):
        assert re.fullmatch(r"[A-Za-z][A-Za-z0-9_]{2,254}", word)
        assert not re.fullmatch(r"[A-Za-z]{1,3}[0-9]+", word)
    folded = [word.lower() for word in (name, *parameters)]
    assert len(set(folded)) == len(folded)
