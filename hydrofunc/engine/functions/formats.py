"""TEXT: numbers in a format such as 0.00 or #,##0%."""

import re
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Context, Decimal

import numpy as np

from ..formula import Refused
from ..lanes import ALIKE, NUMBER, SOUND, TEXT, Lanes, Value, lifted, with_errors
from ..operators import number_from_text, plain_number, plain_text, text_from_number
from .numbers import round_half_up

_LITERAL = r'(?:"[^"]*"|\\.|[ $+():!^&\'~{}<>=-])*'
_FORMAT = re.compile(
    rf"(?P<before>{_LITERAL})(?P<whole>#,##0|#,###|[#0]+)(?P<point>\.(?P<places>0*#*))?"
    rf"(?P<exponent>[eE][+]0+)?(?P<after>{_LITERAL}%?{_LITERAL})"
)


_WIDE = Context(prec=400)  # room for the largest double written out


def formatter(picture: str) -> Callable[[np.ndarray], list[str]]:
    """A function from an array of numbers to their texts in a plain number format; `Refused` for others."""
    if picture.lower() == "general":
        return lambda numbers: [text_from_number(x) for x in numbers.tolist()]
    match = _FORMAT.fullmatch(picture)
    if not match or (match["exponent"] and "," in match["whole"]):
        raise Refused(f"TEXT with the format {picture!r} is not supported")
    before, after = _plain_literal(match["before"]), _plain_literal(match["after"])
    percent = "%" in re.sub(r'"[^"]*"|\\.', "", match["after"])
    places = match["places"] or ""
    least, most = places.count("0"), len(places)
    digits = match["whole"].replace(",", "").count("0")
    plain = digits == 1 and least == most and not (match["point"] and not most)
    spec = f"{',' if ',' in match['whole'] else ''}.{most}f"

    def body(size):
        """A number without sign, already multiplied for per cent, in the format's digits."""
        if match["exponent"]:
            shown = _scientific(size, len(match["whole"]), least, most, len(match["exponent"]) - 2)
            return shown.replace("E", ".E", 1) if match["point"] and not most else shown
        size = size.quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP, _WIDE)
        whole, _, part = f"{size:{spec}}".partition(".")
        whole = whole.lstrip("0").rjust(digits, "0") if digits != 1 or whole == "0" else whole
        return whole + ("." + _trimmed(part, least) if match["point"] else "")

    def careful(x):
        size = abs(Decimal(f"{x:.14e}")) * (100 if percent else 1)
        shown = body(size)
        sign = "-" if x < 0 and re.search("[1-9]", shown.partition("E")[0]) else ""
        return f"{sign}{before}{shown}{after}"

    def show(numbers):
        if not plain or match["exponent"]:
            return [careful(x) for x in numbers.tolist()]
        scaled = numbers * 100.0 if percent else numbers
        rounded = round_half_up(scaled, float(most))
        if before or np.any(np.abs(scaled) * 10.0**most >= 1e15):
            return [careful(x) for x in numbers.tolist()]
        return [f"{x:{spec}}{after}" for x in rounded.tolist()]

    return show


def _plain_literal(piece):
    return re.sub(r'"([^"]*)"|\\(.)', lambda m: m[1] if m[1] is not None else m[2], piece)


def _trimmed(part, least):
    return part[:least] + part[least:].rstrip("0")


def _scientific(size, width, least, most, exponent_digits):
    if size == 0:
        power, mantissa = 0, Decimal(0).quantize(Decimal(1).scaleb(-most))
    else:
        power = size.adjusted() // width * width
        mantissa = size.scaleb(-power).quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP)
        if mantissa.adjusted() >= width:
            power += width
            mantissa = size.scaleb(-power).quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP)
    whole, _, part = f"{mantissa:f}".partition(".")
    part = _trimmed(part, least)
    return f"{whole}{'.' + part if part else ''}E{'-' if power < 0 else '+'}{abs(power):0{exponent_digits}d}"


def formatted(show: Callable[[np.ndarray], list[str]], value: Value) -> Value:
    """TEXT of a value with the function `show`, from an array (n,) of numbers to their texts."""
    if type(value) is Lanes and value.only == NUMBER:
        words = show(np.where(value.err > 0, 0.0, value.num))
        return with_errors(value.err, Lanes(np.arange(float(len(words))), SOUND, ALIKE[TEXT], words))

    def plain(item):
        if type(item) in (float, type(None)) or (type(item) is str and number_from_text(item) is not None):
            return show(np.array([plain_number(item)]))[0]
        return plain_text(item)

    return lifted(plain)(value)
