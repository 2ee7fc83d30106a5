"""The contract between hosts: does a function say and answer the same everywhere?

`python -m tests.contract` computes the answer and writes it into DEVELOPERS.md, between its two marks: how many
functions agree, and a table of those that do not.
"""

import inspect
import io
import re
import xml.etree.ElementTree as ElementTree
import zipfile
from functools import cache
from pathlib import Path

import openpyxl

import hydrofunc

GUIDE = Path(__file__).parents[1] / "DEVELOPERS.md"
START, END = "<!-- contract -->", "<!-- end of contract -->"
OOR = "{http://openoffice.org/2001/registry}"


def example_in_order(function):
    return [function.example.arguments.get(a.name) for a in function.arguments]


def example_cells(function):
    """The worked example as a spreadsheet program hands it over: a list is a row, a list of lines its rows,
    a plant two columns."""
    return [_as_cells(value) for value in example_in_order(function)]


def _as_cells(value):
    if isinstance(value, dict):
        return [[name, _as_cell(cell)] for name, cell in value.items()]
    if isinstance(value, list | tuple):
        rows = value if isinstance(value[0], tuple) else [value]
        return [list(map(_as_cell, row)) for row in rows]
    return value


def _as_cell(value):
    return value if isinstance(value, str) else float(value)


def python(function):
    """`hydrofunc.NAME` is there, takes the declared arguments and is explained."""
    ours = getattr(hydrofunc, function.name)
    assert list(inspect.signature(ours).parameters) == [a.name for a in function.arguments]
    assert function.help in ours.__doc__
    assert ours(**function.example.arguments) == answer(function)


@cache
def headless_answers():
    """The worked example of every function, from the headless engine's recalculation of one workbook."""
    from hydrofunc.jobs.recalc import calculated

    declared = list(hydrofunc.functions().values())
    book = openpyxl.Workbook()
    for row, function in enumerate(declared, start=1):
        book.active.cell(row, 1, f"={function.example_formula()}")
    stream = io.BytesIO()
    book.save(stream)
    data, *_ = calculated(stream.getvalue())
    sheet = openpyxl.load_workbook(io.BytesIO(data), data_only=True).active
    return {function.name: sheet.cell(row, 1).value for row, function in enumerate(declared, start=1)}


def headless(function):
    """The engine takes the formula as a person types it."""
    assert headless_answers()[function.name] == answer(function)


@cache
def extension():
    """(IDL text, {method: its node of the configuration}) of the Calc extension."""
    from hydrofunc.hosts.calc.build import build

    with zipfile.ZipFile(io.BytesIO(build("python"))) as archive:
        root = ElementTree.fromstring(archive.read("CalcAddIns.xcu"))
        return archive.read("hydrofunc.idl").decode(), {
            node.get(f"{OOR}name"): node
            for node in root.iter("node")
            if node.find(f"prop[@{OOR}name='Category']") is not None
        }


def properties(node):
    return {prop.get(f"{OOR}name"): prop.findtext("value") for prop in node.findall("prop")}


def calc(function):
    """Types, names and help in the extension, and the answer of the worker it talks to."""
    from hydrofunc.hosts.calc.worker import answer as worker_answer

    idl, nodes = extension()
    node = nodes[function.name.upper()]
    assert properties(node)["CompatibilityName"] == function.sheet_name
    assert function.help in properties(node)["Description"]
    parameters = node.findall("node/node")
    typed = re.search(rf"\b{function.name.upper()}\((.*)\);", idl)[1].split(", ")[1:]  # the first is the document
    assert [parameter.get(f"{OOR}name") for parameter in parameters] == [text.split()[-1] for text in typed]
    for argument, parameter in zip(function.arguments, parameters, strict=True):
        texts = properties(parameter)
        assert texts["DisplayName"].split(" [")[0] == argument.name and argument.meaning in texts["Description"]
        if not argument.required:
            assert f"Default: {argument.default_text}." in texts["Description"]
        if argument.unit not in ("-", "text"):
            assert f"[{argument.unit}]" in texts["DisplayName"]
    cells = example_cells(function)
    assert worker_answer(function.name, cells) == [[answer(function)]]


@cache
def wrappers():
    """{name: parameters} of the VBA modules."""
    from hydrofunc.hosts.excel import vba

    text = re.sub(r" _\n\s*", " ", "".join(vba.modules().values()))
    return dict(re.findall(r"Public Function (HYDRO_\w+)\((.*)\)\n", text))


def excel(function):
    """Name, arguments and help of the function xlwings gets, its VBA wrapper, and its answer."""
    from hydrofunc.hosts.excel import udfs, vba

    from_cells = getattr(udfs, function.sheet_name)
    assert list(inspect.signature(from_cells).parameters) == [a.name for a in function.arguments]
    listed = ", ".join(("" if a.required else "Optional ") + a.name for a in function.arguments)
    assert wrappers()[function.sheet_name] == listed
    help_, category, texts = vba.wizard_texts(function.sheet_name)
    assert help_.startswith(function.help) and function.group in category
    for argument, text in zip(function.arguments, texts, strict=True):
        assert text.startswith(argument.meaning)
        assert argument.required or f"Default: {argument.default_text}." in text
    cells = example_cells(function)
    assert from_cells(*cells) == answer(function)


def answer(function):
    """The worked example, from the physics by way of the declaration."""
    return function(**function.example.arguments)


HOSTS = {"Python": python, "headless": headless, "Calc": calc, "Excel metadata": excel}


def agreement(function):
    """{host: "agrees" or what does not} of a function."""
    verdicts = {}
    for host, check in HOSTS.items():
        try:
            check(function)
            verdicts[host] = "agrees"
        except (AssertionError, AttributeError, KeyError, TypeError, ValueError) as error:
            verdicts[host] = f"does not: {type(error).__name__} {error}".split("\n")[0][:80].rstrip()
    return verdicts


def summary(functions):
    """How many functions agree in every host, and a row for each that does not."""
    verdicts = {function.sheet_name: list(agreement(function).values()) for function in functions}
    exceptions = {name: row for name, row in verdicts.items() if row != ["agrees"] * len(HOSTS)}
    hosts = ", ".join(HOSTS)
    lines = [f"{len(verdicts) - len(exceptions)} of {len(verdicts)} functions agree in every host: {hosts}."]
    if exceptions:
        lines += ["", f"| function | {' | '.join(HOSTS)} |", "|---" * (len(HOSTS) + 1) + "|"]
        lines += [f"| `{name}` | {' | '.join(row)} |" for name, row in exceptions.items()]
    return "\n".join(lines)


def written_summary():
    """What stands in DEVELOPERS.md."""
    return GUIDE.read_text(encoding="utf-8").partition(f"{START}\n")[2].partition(f"\n{END}")[0]


def write_summary():
    """Compute it and put it between its marks."""
    before, _, rest = GUIDE.read_text(encoding="utf-8").partition(START)
    text = f"{before}{START}\n{summary(hydrofunc.functions().values())}\n{END}{rest.partition(END)[2]}"
    GUIDE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write_summary()
