"""Every worksheet function with what nobody would type: alone, in arrays, with one bad element among good ones.

Whatever comes in, a call gives a finite number that physics allows, or `InputError`; an array gives in each lane what
the call of that lane alone gives, NaN where it refuses; every call ends within `LIMIT` seconds and warns of nothing.
"""

import random
from math import inf, isfinite, isnan, nan
from typing import Any

import numpy as np

from hydrofunc.catalogue.plant import QUANTITIES
from hydrofunc.errors import InputError
from hydrofunc.registry import FUNCTIONS, Argument, Function
from tests.attack.score import Score, guarded

LIMIT = 5.0  # seconds of one call
# An array and a single call may differ by rounding: numpy works on arrays in other steps than on single numbers.
CLOSE, SMALL = 1e-6, 1e-9
ODD = (
    *(
        nan,
        inf,
        -inf,
        None,
        "",
        " ",
        "x",
        "pvc",
        "1",
        True,
        False,
        0.0,
        -0.0,
        1.0,
        -1.0,
        0,
        3,
        -1e9,
        1e9,
        1e300,
        -1e300,
    ),
    *(5e-324, 1e-320, 1e-300, 10**400, -(10**400), np.float32(2.5), np.int64(3), np.nan, np.bool_(True)),
    *(1j, b"1", [], {}, (1, (2, 3)), object()),
)
WORDS = ("", "star", "delta", "pvc", "Steel", "no such word", "25", "=1+1", "<b>", "é", "x" * 300, "\0")


def attack(seed: object, rounds: int, names: list[str] | None = None) -> Score:
    """Every function, `rounds` times. The chance of a function's round depends on nothing but seed, name and round."""
    score = Score()
    for name in names or FUNCTIONS:
        for turn in range(rounds):
            score += one_round(FUNCTIONS[name], f"{seed}/{name}/{turn}")
    return score


def one_round(function: Function, seed: str) -> Score:
    """One set of lanes: each alone, then all as one array, and an array without lanes."""
    chance, score = random.Random(seed), Score()
    lanes = [_call(function, chance) for _ in range(chance.choice((2, 3, 5)))]
    alone = [_alone(function, arguments, score, seed) for arguments in lanes]
    if any(a.part == "block" for a in function.arguments):
        _plants_together(function, chance, score, seed)
    else:
        _together(function, lanes, alone, score, seed, chance)
        _across(function, lanes, alone, score, seed, chance)
        _without_lanes(function, lanes[0], score, seed, chance)
    return score


# -- what goes in --------------------------------------------------------------------------------------


def _call(function: Function, chance: random.Random) -> dict[str, Any]:
    """The worked example, other allowed values in some places, odd ones in a few; some arguments left out."""
    values = dict(function.example.arguments)
    odd_share = chance.choice((0.0, 0.0, 0.1, 0.3))
    for a in function.arguments:
        own = values.get(a.name)
        if a.part == "block":
            values[a.name] = _block(own, chance, odd_share)
        elif chance.random() < odd_share:
            values[a.name] = _odd_list(own, chance) if a.many else chance.choice(WORDS if a.is_text else ODD)
        elif chance.random() < 0.6 and not a.part:
            values[a.name] = _allowed_list(a, own, chance) if a.many else _allowed(a, chance)
    return values


def _allowed(a: Argument, chance: random.Random) -> Any:
    if a.is_text:
        return chance.choice(a.choices or WORDS)
    low, high, *_ = a.bounds
    if chance.random() < 0.3:
        return chance.choice([edge for edge in (low, high, a.default) if isinstance(edge, (int, float))])
    low, high = max(low, -1e6), min(high, 1e6)
    if chance.random() < 0.5 or low < 0:
        return chance.uniform(low, high)
    return max(low, 1e-6) * (high / max(low, 1e-6)) ** chance.random()


def _allowed_list(a: Argument, own: Any, chance: random.Random) -> Any:
    if own is None:
        return None
    return [_allowed(a, chance) if chance.random() < 0.3 else item for item in own]


def _odd_list(own: Any, chance: random.Random) -> Any:
    own = list(own if isinstance(own, (list, tuple)) else [1.0])
    kind = chance.randrange(4)
    if kind == 0:
        return chance.choice(ODD)
    if kind == 1:
        return own[: chance.randrange(len(own) + 1)]
    own[chance.randrange(len(own))] = chance.choice(ODD)
    return own


def _block(own: Any, chance: random.Random, odd_share: float) -> Any:
    if chance.random() < odd_share / 3:
        return chance.choice(ODD)
    block = dict(own)
    for name in block:
        if chance.random() < odd_share:
            block[name] = chance.choice(ODD)
        elif chance.random() < 0.3 and isinstance(block[name], (int, float)):
            block[name] *= chance.choice((0.5, 0.9, 1.1, 2.0))
    return block


# -- what comes out ------------------------------------------------------------------------------------


def _words(function: Function, arguments: dict[str, Any], seed: str) -> str:
    return f"{seed}: {function.name}(**{str(arguments)[:700]})"


def _alone(function: Function, arguments: dict[str, Any], score: Score, seed: str) -> float:
    """The result of one lane, NaN where it is refused or a finding."""
    words = _words(function, arguments, seed)
    kind, result = guarded(score, words, (InputError,), LIMIT, lambda: function(**arguments))
    if kind == "refused":
        _, problems = guarded(score, f"explain of {words}", (InputError,), LIMIT, lambda: function.explain(**arguments))
        if problems == []:
            score.note("wrong", f"{words} is refused, and explain says nothing")
    if kind != "value":
        return nan
    if np.ndim(result):  # a list in the place of a number makes an array of it
        return nan
    if type(result) is not float or not isfinite(result):
        score.note("wrong", f"{words} gives {result!r}")
        return nan
    if function.explain(**arguments):
        score.note("wrong", f"{words} gives {result!r}, though explain says {function.explain(**arguments)[0]}")
    return result


def _plants_together(function, chance, score, seed):
    """Plants that differ in their rows only, one by one and as one block of arrays."""
    first = dict(function.example.arguments)
    if function.name == "plant":
        first["quantity"] = chance.choice(list(QUANTITIES))
    block = next(a.name for a in function.arguments if a.part == "block")
    plants = [_block(first[block], chance, chance.choice((0.0, 0.05, 0.2))) for _ in range(3)]
    plants = [plant for plant in plants if isinstance(plant, dict) and plant and all(map(_as_lane, plant.values()))]
    # A row that is empty in all plants is another question than one that is empty in some.
    if len(plants) < 2 or any(value is None or value == "" for plant in plants for value in plant.values()):
        return
    alone = [_alone(function, first | {block: plant}, score, seed) for plant in plants]
    columns = {}
    for name in plants[0]:
        column = np.empty(len(plants), dtype=object)
        column[:] = [plant[name] for plant in plants]
        columns[name] = column.astype(float) if all(type(item) is float for item in column) else column
    words = _words(function, first | {block: columns}, seed)
    kind, result = guarded(score, words, (InputError,), LIMIT, lambda: function(**first | {block: columns}))
    if kind == "refused":
        score.note("wrong", f"{words}: an array is refused as a whole: {result}")
    if kind == "value":
        _compare(np.broadcast_to(result, len(plants)).tolist(), alone, score, words)


def _compare(together, alone, score, words):
    scale = max((abs(value) for value in alone if isfinite(value)), default=0.0)
    for lane, (value, single) in enumerate(zip(together, alone, strict=True)):
        same = (isnan(value) and isnan(single)) or abs(value - single) <= CLOSE * abs(single) + SMALL * scale
        if not same:
            score.note("wrong", f"{words}: lane {lane} gives {value!r}, alone {single!r}")


def _as_lane(value: Any) -> bool:
    return value is None or isinstance(value, (str, bytes, bool, int, float, complex, np.generic))


def _together(function, lanes, alone, score, seed, chance):
    """All lanes as arrays: those that hold single values where single values belong, and lists of one length."""
    together: dict[str, Any] = {}
    for a in function.arguments:
        values = [lane.get(a.name) for lane in lanes]
        if all(value is None for value in values) and (a.many or not a.required):
            continue  # else it would be left out, which is another call
        if a.many:
            if any(not isinstance(v, list) or len(v) != len(values[0]) or not all(map(_as_lane, v)) for v in values):
                return
            column = np.empty((len(lanes), len(values[0])), dtype=object)
            for row, value in zip(column, values, strict=True):
                row[:] = value
        else:
            if not all(map(_as_lane, values)):
                return
            column = np.empty(len(lanes), dtype=object)
            column[:] = values
        if all(type(item) is float for item in column.flat):
            column = column.astype(float)
        together[a.name] = column
    words = _words(function, together, seed)
    kind, result = guarded(score, words, (InputError,), LIMIT, lambda: function(**together))
    if kind == "refused":
        score.note("wrong", f"{words}: an array is refused as a whole: {result}")
    if kind != "value":
        return
    if np.shape(result) != (len(lanes),):
        score.note("wrong", f"{words}: {len(lanes)} lanes give the shape {np.shape(result)}")
        return
    _compare(result.tolist(), alone, score, words)


def _across(function, lanes, alone, score, seed, chance):
    """One argument down, another across, all others single: a table, whose first cell is the first lane."""
    names = [a.name for a in function.arguments if not a.many and all(_as_lane(lane.get(a.name)) for lane in lanes)]
    first = lanes[0]
    if any(not _as_lane(first.get(a.name)) for a in function.arguments if not a.many):
        return
    down, across = (*chance.sample(names, min(2, len(names))), None, None)[:2]
    arguments, shape = dict(first), ()
    for name, size in ((across, 3), (down, 2)):
        if name is not None:
            values = [lanes[i % len(lanes)].get(name) for i in range(size)]
            column = np.empty(size, dtype=object)
            column[:] = values
            arguments[name] = column[:, None] if shape else column
            shape = (size, *shape)
    if not shape:
        return
    words = _words(function, arguments, seed)
    kind, result = guarded(score, words, (InputError,), LIMIT, lambda: function(**arguments))
    if kind == "refused":
        score.note("wrong", f"{words}: an array is refused as a whole: {result}")
    elif kind == "value" and np.shape(result) != shape:
        score.note("wrong", f"{words}: has the shape {np.shape(result)} instead of {shape}")
    elif kind == "value":
        _compare([np.ravel(result)[0].item()], alone[:1], score, words)


def _without_lanes(function, arguments, score, seed, chance):
    """An array without elements in one place: a result without elements."""
    a = chance.choice([a for a in function.arguments if not a.many] or [function.arguments[0]])
    if a.many or any(not _as_lane(v) and not isinstance(v, list) for v in arguments.values()):
        return
    empty = {**arguments, a.name: np.empty(0)}
    words = _words(function, empty, seed)
    kind, result = guarded(score, words, (InputError,), LIMIT, lambda: function(**empty))
    if kind == "value" and np.shape(result) != (0,):
        score.note("wrong", f"{words}: no lanes give the shape {np.shape(result)}")
