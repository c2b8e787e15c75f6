"""Answers at the terminal to what they mean; each raises `PlannerError` with what to say instead."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from unicodedata import category

from nesting.job import Hand, Units
from nesting.reading.keys import MAX_BAYS, MAX_MONEY, MAX_NAME
from nesting.starting.newjob import NewJob, NewSheet, NewSide, new_job_text, usual_sheets
from nesting.taping.accuracy import closing
from shared.errors import LengthError, PlannerError, as_written
from shared.units import format_length, parse_length

_BETWEEN_SIZES = re.compile(r"\s*(?:\bx\b|\bby\b|\u00d7|(?<=[0-9\"'])x(?=[0-9. ]))\s*", re.IGNORECASE)
_NO = ("", "no", "n", "-")
_YES = ("yes", "y")


def name_answer(text: str) -> str:
    """A title or a name on one line."""
    said = " ".join("".join(c for c in text if category(c) not in ("Cc", "Cs") or c.isspace()).split())
    if not 0 < len(said) <= MAX_NAME:
        raise PlannerError(f"write a name of 1 to {MAX_NAME} characters")
    return said


def units_answer(text: str) -> Units:
    """Inches or millimetres."""
    for units, words in ((Units.INCH, ("in", "inch", "inches")), (Units.MILLIMETRE, ("mm", "millimetres"))):
        if text.strip().lower() in words:
            return units
    raise PlannerError(f"read {as_written(text.strip())}; write in or mm")


def hand_answer(text: str) -> Hand:
    """Left or right."""
    said = text.strip().lower()
    for hand in Hand:
        if said and hand.value.startswith(said):
            return hand
    raise PlannerError(f"read {as_written(said)}; write left or right, as seen from outside")


def price_answer(text: str, sheet: NewSheet) -> NewSheet | None:
    """The sheet with its price, or without one after ``yes``; None where it cannot be bought."""
    said = text.strip().lower()
    if said in _NO:
        return None
    return sheet if said in _YES else replace(sheet, price=money_answer(text))


def stock_answer(stock: Sequence[NewSheet], units: Units) -> tuple[NewSheet, ...]:
    """The sheets, at least one, with prices for all or for none."""
    if not stock:
        raise PlannerError("at least one sheet size is needed; once more")
    without = [sheet.name for sheet in stock if sheet.price is None]
    if without and len(without) < len(stock):
        raise PlannerError(f"{', '.join(without)} without a price beside others with one; once more")
    new_job_text(NewJob("trial", units, tuple(stock), (_trial_side(units),)))
    return tuple(stock)


def sheet_answer(text: str, units: Units) -> NewSheet:
    """A sheet of another size; it is called by its size."""
    width, length = size_answer(text, units)
    sheet = NewSheet(f"{width} x {length}", width, length)
    new_job_text(NewJob("trial", units, (sheet,), (_trial_side(units),)))
    return sheet


def side_answer(side: NewSide, units: Units) -> NewSide:
    """The side; what only all its answers together show is a mistake of the job."""
    new_job_text(NewJob("trial", units, usual_sheets(units), (side,)))
    return side


def _trial_side(units: Units) -> NewSide:
    size = "10" if units is Units.INCH else "250"
    return NewSide("trial", Hand.LEFT, ((size, size),))


def length_answer(text: str, units: Units, *, zero: bool = False) -> str:
    """A length as it was said, blanks around it apart.  Raises `PlannerError` where it is none."""
    said = " ".join(text.split())
    mm = parse_length(said, units.value)
    if mm == 0 and not zero:
        raise LengthError(as_written(said), "must be more than zero")
    return said


def lengths_answer(text: str, units: Units) -> tuple[str, ...]:
    """Lengths one after another, with semicolons between."""
    return tuple(length_answer(piece, units) for piece in text.split(";") if piece.strip())


def size_answer(text: str, units: Units) -> tuple[str, str]:
    """Two lengths such as ``28 1/4 x 39 1/2``."""
    pieces = _BETWEEN_SIZES.split(text.strip())
    if len(pieces) != 2:
        raise PlannerError(f"read {as_written(text.strip())}; write width x length, such as 48 x 120")
    return length_answer(pieces[0], units), length_answer(pieces[1], units)


def bays_answer(
    text: str, units: Units, height: str, before: tuple[str, str] | None, room: int = MAX_BAYS
) -> tuple[tuple[str, str], ...]:
    """Bays as dictated, one or with semicolons between several: ``28 1/4``, or ``28 1/4 x 39 1/2``.

    A width alone takes ``height``, or where that is empty the height of the bay before; an empty answer is the
    bay before once more.  ``room`` is how many bays are still to be said.
    """
    if not text.strip():
        if before is None:
            raise PlannerError("the first bay has no bay before it; write its width")
        return (before,)
    bays: list[tuple[str, str]] = []
    for piece in text.split(";"):
        if not piece.strip():
            continue
        if len(_BETWEEN_SIZES.split(piece.strip())) > 1:
            bays.append(size_answer(piece, units))
            continue
        last = bays[-1] if bays else before
        tall = height or (last[1] if last else "")
        if not tall:
            raise PlannerError(f"read {as_written(piece.strip())}; write its height too: 28 1/4 x 39 1/2")
        bays.append((length_answer(piece, units), tall))
    if len(bays) > room:
        raise PlannerError(f"that is {len(bays) - room} more than the bays of this side; say these once more")
    return tuple(bays)


def count_answer(text: str, most: int = MAX_BAYS) -> int:
    """A whole number from 1."""
    said = text.strip()
    if not re.fullmatch("[0-9]{1,9}", said) or not 1 <= int(said) <= most:
        raise PlannerError(f"read {as_written(said)}; write a whole number, 1 to {most}")
    return int(said)


def money_answer(text: str) -> float:
    """Money, zero or more; a comma before one or two digits is a decimal comma."""
    said = text.strip()
    if not re.fullmatch(r"[0-9]{1,10}(?:[.,][0-9]{1,2})?", said) or float(said.replace(",", ".")) > MAX_MONEY:
        raise PlannerError(f"read {as_written(said)}; write money as a plain number such as 98 or 98.50")
    return float(said.replace(",", "."))


def posts_answer(text: str, units: Units, bays: int) -> tuple[str, ...]:
    """One width for all posts, or one for each."""
    posts = lengths_answer(text, units)
    if len(posts) not in (1, bays - 1):
        raise PlannerError(
            f"read {len(posts)} widths; {bays} bays have {bays - 1} posts between them: "
            "write one width for all, or one for each with semicolons between"
        )
    return posts


def overall_answer(text: str, units: Units, bays: Sequence[tuple[str, str]], posts: Sequence[str]) -> str:
    """The overall length; raises `PlannerError` where bays and posts miss it by more than any tape does."""
    overall = length_answer(text, units)
    unit = units.value
    widths = [parse_length(width, unit) for width, _ in bays]
    faces = [parse_length(post, unit) for post in posts]
    faces = faces * (len(bays) - 1) if len(faces) == 1 else faces
    sums = closing(widths, faces, parse_length(overall, unit), unit)
    if sums.far_off:
        total, off = (format_length(mm, unit, with_unit=True) for mm in (sums.total, abs(sums.off)))
        raise PlannerError(
            f"bays and posts add up to {total}, {off} {'less' if sums.off > 0 else 'more'} than this: "
            "measure again, or press Enter to leave it out and look for the slip in the file"
        )
    return overall
