"""What several pages need: inputs made from arguments of our functions, and rows of checks."""

from dataclasses import dataclass
from operator import gt, lt

from ...registry import FUNCTIONS, Argument
from ...units import TEXT
from ..expression import Expression, cell, column, is_number, is_text, or_zero, when
from ..model import Assumption, Input

AT_GAUGE = "-water_density*gravity*gauge_height/100000"  # bar that a gauge above the nozzle reads less
PRACTICE = "Common practice, no published source."
OWN_JUDGEMENT = "Own judgement, no published source."


AT_HAND, TO_BE_CHOSEN = "at hand", "to be chosen"  # a part of the machine is there already, or is not


def there_already(name: str, what: str, example: str | None = None) -> Input:
    """An input that says whether a part of the machine is there already, though it may not be measured."""
    return Input(
        name,
        f"The {what} is",
        Argument(name, TEXT, f"Whether the {what} is there already.", choices=(AT_HAND, TO_BE_CHOSEN)),
        example=example,
        assumed=Assumption(TO_BE_CHOSEN, "Proposed: then what fits is proposed, and counts as made so.", proposed=True),
        note="At hand but not measured: nobody knows whether it fits, so the band is wide until it is measured.",
    )


# Whether the pipe has a second and a third section.
HAS_SECTION = {i: or_zero(cell(f"length_{i}")) > 0 for i in (2, 3)}


def of_last_section(first: str, second: str, third: str) -> Expression:
    """That of the three cells which belongs to the pipe section at the lower end."""
    return when((HAS_SECTION[3], cell(third)), (HAS_SECTION[2], cell(second)), otherwise=cell(first))


def usable_of(flow: str, left: str) -> str:
    """What of a flow one may use, as worksheet text: less the share that must stay, or the flow, if that is more."""
    return f"MAX(0,MIN({flow}*usable_share,{flow}-{left}))"


def where(condition: str, formula: str, otherwise: str = "0") -> str:
    """A formula that is worked out where the condition holds; else `otherwise`. All are worksheet texts."""
    return f"=IF({condition},{formula},{otherwise})"


def limit(name: str, label: str, value: float | str, unit: str, why: str, within: str = "[-1e9, 1e9]") -> Input:
    """A threshold of the verdicts, a number or a formula of others: a line of sheet Limits, called by its name."""
    return Input(name, label, Argument(name, unit, label, within), assumed=Assumption(value, why), state='"usual"')


def words(name: str, meaning: str) -> Argument:
    """An argument that takes any words."""
    return Argument(name, TEXT, meaning)


def argument_of(function: str, argument: str) -> Argument:
    """The argument of one of our functions."""
    return next(a for a in FUNCTIONS[function].arguments if a.name == argument)


def fed_by(argument: Argument, label: str, note: str = "", **more: object) -> Input:
    """An input that feeds an argument of the same name in our functions."""
    if "default" not in more and not argument.required:
        more["default"] = argument.default
    return Input(argument.name, label, argument, note=note or argument.meaning, **more)


def judgement(low_is_bad: bool) -> Expression:
    """What a row of the Checks sheet says of its number: good up to one limit, stop beyond the other."""
    shown, good, stop = column("C", "value"), column("E", "good"), column("F", "stop")
    worse = lt if low_is_bad else gt
    of_a_number = when((worse(shown, stop), "stop"), (worse(shown, good), "look"), otherwise="good")
    return when((is_number(shown), of_a_number), otherwise=column("M", "of_no_number"))


def of_no_number() -> Expression:
    """What a row says where there is no number: nothing is judged of nothing, words and errors are never good."""
    shown = column("C", "value")
    return when(
        (is_text(shown), when((shown == "", "not looked at: " & column("J", "give")), otherwise="stop")),
        otherwise="stop",  # an error
    )


@dataclass(frozen=True)
class Check:
    """A row of the Checks sheet, good up to `good`, stop beyond `stop`, look between; `value` is a formula.

    `rests_on` names the inputs that must be given, or columns of inputs that need an entry, for the check to judge;
    with | between names one of them is enough. Where the limits are a judgement, `name` makes them cells of the sheet
    Limits: good_ and stop_ with it. Else they follow from what is checked, and are not to be changed.
    """

    label: str
    value: str
    unit: str
    good: float | str  # or a formula of other limits
    stop: float | str
    why: str
    digits: str = "0.0"
    low_is_bad: bool = False
    rests_on: tuple[str, ...] = ()
    name: str = ""
    adds: str = ""  # worksheet text that gives words to say after the reason, or none
    give: str = ""  # what to give where `value` comes to "", beside what it rests on
