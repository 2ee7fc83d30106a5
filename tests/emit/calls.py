"""Random and odd calls of a declared function, and what Python answers to them."""

import math

import numpy as np

from hydrofunc.registry import ERROR_TEXTS, Cells, from_cells

# Cells of the sheet `Cells` that a call may point to: what stands there, and what Python reads.
CELLS = {"A1": None, "A2": "a word", "A3": True, "A4": "=NA()", "A5": '=""', "A6": "=1/0"}
READ = {
    "Cells!A1": Cells(None),
    "Cells!A2": Cells("a word"),
    "Cells!A3": Cells(True),
    "Cells!A4": Cells("", ERROR_TEXTS.index("#N/A")),
    "Cells!A5": Cells(""),
    "Cells!A6": Cells("", ERROR_TEXTS.index("#DIV/0!")),
}
# Ranges of that sheet for an argument that takes a list: blank cells among numbers, a word, two errors, and so on.
RANGES = {
    "Cells!C1:D3": ((4, None), (2, 6), (None, 1)),
    "Cells!E1:E3": ((5,), ("a word",), (2,)),
    "Cells!F1:F3": ((5,), ("=NA()",), ("=1/0",)),
    "Cells!G1:G3": ((None,), (None,), (None,)),
    "Cells!H1:J1": ((1, True, 2),),
    "Cells!K1:K4": ((0,), (5,), ("=0*1",), (3,)),
}
_SHOWS = {"=NA()": "#N/A", "=1/0": "#DIV/0!"}
for _range, _rows in RANGES.items():
    _first = _range[len("Cells!")]
    CELLS |= {f"{chr(ord(_first) + j)}{i}": v for i, row in enumerate(_rows, start=1) for j, v in enumerate(row)}
    _flat = [v for row in _rows for v in row]
    READ[_range] = Cells(
        [0.0 if v == "=0*1" else "" if v in _SHOWS else v for v in _flat],
        [ERROR_TEXTS.index(_SHOWS.get(v, "")) for v in _flat],
    )


def typed(value):
    """An argument as it is typed into a formula."""
    if value is None:
        return ""
    if isinstance(value, list):
        return "{" + (";" if len(value) % 2 else ",").join(map(repr, value)) + "}"
    if isinstance(value, str):
        return value if value.startswith("Cells!") else '"' + value.replace('"', '""') + '"'
    return repr(value)


def formula(function, given):
    """A call with these arguments, in order; None is an empty place."""
    return f"{function.sheet_name}({','.join(map(typed, given))})"


def answer(function, given):
    """What Python says to the same call: a number, or the text of an error."""
    cells = [READ[v] if isinstance(v, str) and v in READ else Cells(v) for v in given]
    for i, (argument, cell) in enumerate(zip(function.arguments, cells)):
        if argument.many and cell.values is not None and not isinstance(cell.values, list):
            cells[i] = Cells([cell.values], None if cell.errors is None else [cell.errors])
    value, code = from_cells(function, cells)
    return ERROR_TEXTS[int(np.max(code))] if code is not None and np.any(code) else float(value)


def example(function):
    """The arguments of the declared example, in order, as far as they are given."""
    values = function.example.arguments
    last = max(i for i, a in enumerate(function.arguments) if a.name in values)
    return [values.get(a.name) for a in function.arguments[: last + 1]]


def near(argument, base, rng):
    """A value near that of the example, or anywhere in the range, or just outside."""
    if argument.is_text:
        return rng.choice(argument.choices) if argument.choices else base
    if argument.many:
        return near_list(argument, base, rng)
    low, high, _, _ = argument.bounds
    kind = rng.random()
    if kind < 0.03 and low > -math.inf:
        return float(low - 1)
    if base not in (None, 0, math.inf) and kind < 0.7:
        value = base * rng.choice((1, 1, 0.5, 2, rng.uniform(0.7, 1.4)))
    elif -math.inf < low and high < math.inf:
        value = low + (high - low) * rng.random() ** rng.choice((1, 4))
    else:
        value = max(low, 0) + 10 ** rng.uniform(-2, 3)
    return float(f"{min(max(value, low), high):.6g}")


def near_list(argument, base, rng):
    """A list of values near those of the example: as many, or now and then one more, or a single one."""
    base = base if isinstance(base, list) else [base] * 5
    one = argument.with_(many=False)
    found = [near(one, value, rng) for value in base]
    kind = rng.random()
    return found if kind < 0.8 else [*found, found[0]] if kind < 0.9 else found[:1]


def random_calls(function, count, rng):
    """The example, and so many calls near it, optional arguments now and then left out."""
    base = function.example.arguments
    yield example(function)
    for _ in range(count):
        given = []
        for argument in function.arguments:
            told = base.get(argument.name, None if argument.required else argument.default)
            left_out = not argument.required and argument.name not in base and rng.random() < 0.5
            given.append(None if left_out else near(argument, told, rng))
        while given and given[-1] is None:
            given.pop()
        yield given


def odd_calls(function):
    """At the ends of every range and just outside; an argument left out, blank, a word, a truth value, an error."""
    base = example(function)
    full = [*base, *[None] * (len(function.arguments) - len(base))]
    for i, argument in enumerate(function.arguments):
        odd = ["Cells!A1", "Cells!A2", "Cells!A3", "Cells!A4", "Cells!A5"]
        if argument.many:
            odd += [*RANGES, 2.0, [2.0]]
            for end, step in zip(argument.bounds[:2], (-1, 1)):
                if math.isfinite(end) and isinstance(full[i], list):
                    odd += [[*full[i][:-1], float(value)] for value in (end, end + step * max(abs(end) * 1e-6, 1e-6))]
        elif argument.is_text:
            odd += [choice.upper() for choice in argument.choices[:2]] + ["  nothing  like it "]
        else:
            for end, step in zip(argument.bounds[:2], (-1, 1)):
                if math.isfinite(end):
                    odd += [float(end), end + step * max(abs(end) * 1e-6, 1e-6)]
        for value in odd:
            yield [*full[:i], value, *full[i + 1 :]]
    for count in range(len(base)):
        if count and not function.arguments[count].required:
            yield base[:count]
    if len(full) > 1:
        yield ["Cells!A2", "Cells!A6", *full[2:]]  # an error value counts before a word that stands further left
