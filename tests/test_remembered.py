"""The list of what is from memory is whole, and shrinks."""

from pathlib import Path

from tests import remembered

# Lower a number where a source has been read. Raise one only for what cannot be read, and say so in the row.
FROM_MEMORY = {"reference rows": 69, "rows of data tables": 43, "places in the package": 111}


def test_what_is_from_memory_grows_nowhere():
    lines = remembered.remembered()
    assert {kind: len(cases) for kind, cases in lines.items()} == FROM_MEMORY


def test_words_cut_by_a_line_break_are_not_missed():
    """In a text of two pieces, in a comment of two lines, in a docstring."""
    source = 'A = (\n    "IEC 60269-1, from "\n    "memory, not looked up"\n)\n# a width, from\n# memory\n'
    source += '"""from\nmemory."""\n'
    assert len(remembered.SAID.findall(remembered._joined(source))) == 3
    assert remembered._joined(source).count("\n") == source.count("\n")


def test_the_list_is_printed(capsys):
    """By file, and case by case; the gate prints the first."""
    remembered.main([])
    printed = capsys.readouterr().out
    for kind, count in FROM_MEMORY.items():
        assert f"{count} {kind} from memory" in printed
    remembered.main(["--all"])
    assert len(capsys.readouterr().out.splitlines()) == len(FROM_MEMORY) + sum(FROM_MEMORY.values())
    gate = (Path(__file__).parents[1] / ".ci" / "run").read_text(encoding="utf-8")
    assert "python -m tests.remembered" in gate
