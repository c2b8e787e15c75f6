"""Lengths: tape readings to millimetres, millimetres to print, and to the solver's whole units.

Inside the planner a length is a float in millimetres.  Readings are worked out as exact fractions first, so
that 28 3/8 in is the float nearest to 720.725 mm however it was written.
"""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction
from typing import Literal, NamedTuple

from shared.errors import LengthError, as_written

Direction = Literal["nearest", "down", "up"]

UNITS_PER_MM = 1600
"""The solver's whole units in a millimetre: 1/64 in is 635 of them and 0.1 mm is 160, both exact."""

SNAP_MM = 1e-6
"""Differences this small come from float arithmetic, never from a tape: they count as nothing."""

LONGEST_MM = 1_609_344.0
"""One mile: anything longer is a slip of the pen."""

_MM_PER_INCH = Fraction(127, 5)
_STEP_MM = {"in": _MM_PER_INCH / 16, "mm": Fraction(1, 2)}
"""What lengths are printed to."""

_LONGEST_TEXT = 80
"""No reading has more characters; longer texts are not searched at all."""

_LONGER_THAN_ANY_VEHICLE_MM = 100_000
"""A comma before three digits can only be a decimal comma when the whole number would be longer than this."""

_NUMBER = r"(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_QUANTITY = rf"(?:[0-9]+(?:\s+|-)[0-9]+\s*/\s*[0-9]+|[0-9]+\s*/\s*[0-9]+|{_NUMBER})"
_UNIT = r"(?:[a-z]+\.?|'|\")"
_READING = re.compile(
    rf"(?P<sign>-?)\s*(?P<first>{_QUANTITY})\s*(?P<unit>{_UNIT}?)"
    rf"(?:(?<=[a-z.'])\s*[-,]?\s*(?P<second>{_QUANTITY})\s*(?P<second_unit>{_UNIT}?))?"
)

_UNIT_NAMES = {
    **dict.fromkeys(("in", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("ft", "foot", "feet", "'"), "ft"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
}
_MM_PER = {
    "in": _MM_PER_INCH,
    "ft": 12 * _MM_PER_INCH,
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
_MARKS = str.maketrans(
    {
        **dict.fromkeys("\u2032\u2018\u2019\u201b\u02b9\u02bc\u00b4\u0060\uff07", "'"),
        **dict.fromkeys("\u2033\u201c\u201d\u201e\u201f\u02ba\u02dd\uff02", '"'),
        **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\u2014\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2044\u2215\uff0f", "/"),
    }
)
_SUPERSCRIPTS = "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079"


class _Quantity(NamedTuple):
    value: Fraction
    is_fraction: bool
    text: str


def parse_length(value: str | int | float, default: str, *, negative: bool = False) -> float:
    """Millimetres of a tape reading; a bare number is in ``default``, "in" or "mm".

    Reads ``28 3/8``, ``28-3/8"``, ``2' 4 3/8"``, ``2ft 4.375in``, ``721mm``, ``0.721 m``, ``72.1 cm``,
    printed fractions, quotes and primes.  Raises `LengthError` for what is no length or could be read in
    two ways, for anything longer than a mile, and for a negative length unless ``negative`` allows it.
    """
    if default not in _STEP_MM:
        raise ValueError(f"default must be 'in' or 'mm', not {default!r}")
    mm = _exact_text(value, default) if isinstance(value, str) else _exact_number(value, default)
    shown = as_written(value)
    if abs(mm) > LONGEST_MM:
        raise LengthError(shown, "this is longer than a mile; check the number and its unit")
    if mm < 0 and not negative:
        raise LengthError(shown, "a length here cannot be negative; write it without the minus sign")
    return float(mm)


def _exact_number(value: int | float, default: str) -> Fraction:
    if isinstance(value, bool):
        raise LengthError(
            as_written(value), "this is no length; write a number or a reading such as '28 3/8'"
        )
    if isinstance(value, float) and not math.isfinite(value):
        raise LengthError(as_written(value), "this is no number; measure again and write the reading")
    # The shortest decimal that gives this float is what the user typed: 0.1 means a tenth.
    return (Fraction(value) if isinstance(value, int) else Fraction(repr(value))) * _MM_PER[default]


def _exact_text(value: str, default: str) -> Fraction:
    shown = as_written(value)
    text = _plain_characters(value) if len(value) <= _LONGEST_TEXT else ""
    reading = _READING.fullmatch(text)
    if reading is None:
        raise LengthError(shown, _why_not_a_length(text))
    unit = _unit(reading["unit"], shown) if reading["unit"] else default
    first = _quantity(reading["first"], unit, shown)
    if reading["second"] is None:
        mm = _one_reading(first, unit, default, bare=not reading["unit"], shown=shown)
    else:
        second_unit = _unit(reading["second_unit"] or "in", shown)
        second = _quantity(reading["second"], second_unit, shown)
        mm = _feet_and_inches(first, unit, second, second_unit, shown)
    return -mm if reading["sign"] else mm


def _plain_characters(text: str) -> str:
    """The text in plain digits, quotes, slashes and spaces, lower case."""
    kept = []
    for character in text.translate(_MARKS):
        decomposed = unicodedata.normalize("NFKC", character)
        if "\u2044" in decomposed and len(decomposed) > 1:
            # 28 and a printed three eighths must not run together to 283/8.
            kept.append(" " + decomposed.replace("\u2044", "/"))
        elif character in _SUPERSCRIPTS and (not kept or kept[-1][-1] not in _SUPERSCRIPTS):
            kept.append(" " + character)
        else:
            kept.append(character)
    plain = unicodedata.normalize("NFKC", "".join(kept)).translate(_MARKS)
    return plain.replace("''", '"').strip().lower()


def _unit(word: str, shown: str) -> str:
    name = _UNIT_NAMES.get(word.rstrip("."))
    if name is None:
        raise LengthError(shown, f"{word!r} is no unit of length here; use in, ft, mm, cm or m")
    return name


def _quantity(text: str, unit: str, shown: str) -> _Quantity:
    mixed = re.fullmatch(r"(?:([0-9]+)(?:\s+|-))?([0-9]+)\s*/\s*([0-9]+)", text)
    if mixed is None:
        return _Quantity(_decimal(text, unit, shown), is_fraction=False, text=text)
    whole, above, below = int(mixed[1] or 0), int(mixed[2]), int(mixed[3])
    if below == 0:
        raise LengthError(shown, "a fraction cannot have a zero under its line; write it like 28 3/8")
    fraction = Fraction(above, below)
    if mixed[1] is not None and fraction >= 1:
        better = f"write {_fraction_text(whole + fraction)} if so meant"
        raise LengthError(shown, f"a fraction after a whole number must be less than one; {better}")
    tidy = f"{whole} {above}/{below}" if mixed[1] is not None else f"{above}/{below}"
    return _Quantity(whole + fraction, is_fraction=True, text=tidy)


def _decimal(text: str, unit: str, shown: str) -> Fraction:
    with_point = text.replace(",", ".")
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        as_thousands = int(text.replace(",", ""))
        if as_thousands * _MM_PER[unit] <= _LONGER_THAN_ANY_VEHICLE_MM:
            choice = f"write {with_point} or {as_thousands}"
            raise LengthError(shown, f"the comma may mean a decimal or thousands; {choice}")
    return Fraction(with_point.rstrip(".") if not with_point.startswith(".") else "0" + with_point)


def _one_reading(first: _Quantity, unit: str, default: str, *, bare: bool, shown: str) -> Fraction:
    if first.is_fraction and unit == "ft":
        inches = first.value * 12
        feet, rest = divmod(inches, 12)
        spelled = f"{feet}' {_fraction_text(rest)}\"" if feet else f"{_fraction_text(inches)} in"
        raise LengthError(
            shown,
            f"a fraction of feet is no tape reading, it would be {_fraction_text(inches)} in; "
            f"write {first.text} in or {spelled}",
        )
    if first.is_fraction and unit != "in":
        decimal = f"{float(first.value):.6g} {unit}"
        why = "a bare number is in mm here" if bare and default == "mm" else f"{unit} are read in decimals"
        raise LengthError(shown, f"fractions belong to inches, and {why}; write {first.text} in or {decimal}")
    return first.value * _MM_PER[unit]


def _feet_and_inches(
    first: _Quantity, unit: str, second: _Quantity, second_unit: str, shown: str
) -> Fraction:
    if unit != "ft" or second_unit != "in":
        raise LengthError(shown, "only feet are followed by inches; write the length in one unit")
    if first.value.denominator != 1 or first.is_fraction:
        raise LengthError(shown, "feet before inches must be a whole number; write it like 2' 4 3/8\"")
    inches = first.value * 12 + second.value
    if second.value >= 12:
        feet, rest = divmod(inches, 12)
        better = f"{feet}' {_fraction_text(rest)}\" or {_fraction_text(inches)} in"
        raise LengthError(shown, f"inches after feet must be less than 12; write {better}")
    return inches * _MM_PER_INCH


def _why_not_a_length(text: str) -> str:
    example = "write it like 28 3/8 in, 2' 4 3/8\" or 721 mm"
    if text == "":
        return f"this is no length; {example}"
    if text.lstrip("+-") in ("nan", "inf", "infinity"):
        return "this is no number; measure again and write the reading"
    if "." in text and "," in text:
        return "point and comma in one number can be read in two ways; write it like 1200.5"
    if re.search(r"[0-9]\s+-\s*[0-9]+\s*/|[0-9]-\s+[0-9]+\s*/", text):
        return "the dash may be a minus; write the whole number and the fraction like 28 3/8 or 28-3/8"
    if re.search(r"[0-9]\s+[0-9]+(?!\s*/)(?![0-9])", text):
        return "two numbers stand side by side; write a fraction like 28 3/8 and thousands without a gap"
    return f"this is no length; {example}"


def _fraction_text(value: Fraction) -> str:
    whole, rest = divmod(abs(value), 1)
    sign = "-" if value < 0 else ""
    if rest == 0:
        return f"{sign}{whole}"
    fraction = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {fraction}" if whole else sign + fraction


def _steps(mm: float, step: Fraction, direction: Direction) -> int:
    """Whole steps in ``mm``: to the nearest (halves away from zero), or down or up unless within the snap."""
    exact = Fraction(mm) / step
    nearest = math.floor(abs(exact) + Fraction(1, 2) + Fraction(SNAP_MM) / step)
    nearest = nearest if exact >= 0 else -nearest
    if direction == "nearest" or abs(nearest * step - Fraction(mm)) <= SNAP_MM:
        return nearest
    return math.floor(exact) if direction == "down" else math.ceil(exact)


def round_length(mm: float, units: str, direction: Direction = "nearest") -> float:
    """Millimetres of the length as it is printed: to 1/16 in or 0.5 mm, nearest, down or up.

    Parts are rounded down and what must hold them is rounded up, so that they still fit.
    """
    step = _STEP_MM[units]
    return float(_steps(mm, step, direction) * step)


def format_length(mm: float, units: str, *, with_unit: bool = False, direction: Direction = "nearest") -> str:
    """``28 3/8`` (nearest 1/16 in) or ``721.5`` (nearest 0.5 mm), followed by its unit if asked for.

    ``direction`` "down" or "up" rounds to that side instead; see `round_length`.
    """
    steps = _steps(mm, _STEP_MM[units], direction)
    if units == "in":
        text = _fraction_text(Fraction(steps, 16))
    else:
        text = f"{steps / 2:.1f}" if steps % 2 else f"{steps // 2}"
    return f"{text} {units}" if with_unit else text


def format_feet(mm: float, direction: Direction = "nearest") -> str:
    """Feet and inches to the nearest 1/16 in, such as ``2' 4 3/8"``; under a foot inches alone."""
    sixteenths = _steps(mm, _STEP_MM["in"], direction)
    feet, rest = divmod(abs(sixteenths), 12 * 16)
    sign = "-" if sixteenths < 0 else ""
    inches = f'{_fraction_text(Fraction(rest, 16))}"'
    return f"{sign}{feet}' {inches}" if feet else sign + inches


def to_solver_down(mm: float) -> int:
    """Whole solver units in ``mm``, down: for sheets, which must not grow.

    The unit is 1/1600 mm because 1/64 in (635) and 0.1 mm (160) are then both exact, so that parts which fill
    a sheet exactly still fit.  Anything within 1e-6 mm of a whole unit snaps to it.
    """
    return _steps(mm, Fraction(1, UNITS_PER_MM), "down")


def to_solver_up(mm: float) -> int:
    """Whole solver units in ``mm``, up: for parts and gaps, which must not shrink; see `to_solver_down`."""
    return _steps(mm, Fraction(1, UNITS_PER_MM), "up")


def from_solver(units: int) -> float:
    """Millimetres of a number of solver units."""
    return units / UNITS_PER_MM
