"""What a tape has to read at a body, in the order in which it is least walking: values only.

The same list makes the printed sheet, its table, and what is known when a filled table is read.  A reading
is named by its side, its place (``bay 3``) and what it is (``width``); numbers are there to call it out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from unicodedata import category

from nesting.job import Units
from nesting.reading.keys import MAX_BAYS, MAX_NAME
from shared.errors import PlannerError, as_written

WINDOWS, RAILS = 2, 2
"""Windows and rails that a sheet has room for on each side; more may be added as rows of the table."""


class Takes(Enum):
    """What may be written for a reading."""

    SIZE = "a length above zero"
    DISTANCE = "a length, zero too"
    HEIGHT = "a height above the datum, or below it with a minus sign"
    HAND = "left or right"
    BAY = "the number of a bay"
    UNITS = "in or mm"


@dataclass(frozen=True)
class Asked:
    """A reading that can be asked for: its name, what may be written, the key it becomes, how it is taken."""

    name: str
    takes: Takes
    key: str
    note: str


SHEET, SIDE, BAY, POST, RAIL, WINDOW = "sheet", "side", "bay", "post", "rail", "window"

RECTANGLE = ("width", "height")
FOUR_SIDES = ("left", "bottom", "right", "top")
DIAGONALS = ("diagonal rising", "diagonal falling")

PLACES: dict[str, tuple[Asked, ...]] = {
    SHEET: (Asked("units", Takes.UNITS, "units", "in or mm: for every number without a unit"),),
    SIDE: (
        Asked("front", Takes.HAND, "forward", "hand on which the front of the vehicle is, seen from outside"),
        Asked("posts", Takes.SIZE, "post_width", "face width of every post"),
        Asked("overall", Takes.SIZE, "overall", "left edge of the first bay to right edge of the last"),
        Asked("raise", Takes.DISTANCE, "raise", "how much the roof went up"),
        Asked("cut height", Takes.HEIGHT, "cut_height", "where the posts were cut, above the level line"),
        Asked("rail width", Takes.SIZE, "rail_width", "face width of the rails"),
    ),
    BAY: (
        Asked("width", Takes.SIZE, "width", "largest of low, half way up, high"),
        Asked("height", Takes.SIZE, "height", "largest of left, middle, right"),
        Asked("left", Takes.SIZE, "left", "lower left to upper left corner"),
        Asked("diagonal rising", Takes.SIZE, "diagonal_rising", "lower left to upper right corner"),
        Asked("bottom", Takes.SIZE, "bottom", "lower left to lower right corner"),
        Asked("diagonal falling", Takes.SIZE, "diagonal_falling", "lower right to upper left corner"),
        Asked("right", Takes.SIZE, "right", "lower right to upper right corner"),
        Asked("top", Takes.SIZE, "top", "upper left to upper right corner"),
        Asked("sill", Takes.HEIGHT, "sill", "lower edge above the level line; empty where it lies on it"),
    ),
    POST: (Asked("width", Takes.SIZE, "posts", "face width"),),
    RAIL: (Asked("height", Takes.HEIGHT, "rails", "centre line above the level line"),),
    WINDOW: (
        Asked("bay", Takes.BAY, "bay", "number of the bay that it lies in"),
        Asked("from left", Takes.DISTANCE, "from_left", "from the bay's lower left corner"),
        Asked("from bottom", Takes.DISTANCE, "from_bottom", "from the bay's lower left corner"),
        Asked("width", Takes.SIZE, "width", "width of the hole"),
        Asked("height", Takes.SIZE, "height", "height of the hole"),
        Asked("corner radius", Takes.DISTANCE, "corner_radius", "empty for square corners"),
    ),
}
"""Every kind of place and what is read there.

From one corner the tape swings to all that is reached from it: left, rising diagonal and bottom from the lower
left corner, then falling diagonal and right from the lower right, then the top.
"""

NUMBERED = (BAY, POST, RAIL, WINDOW)
"""Kinds of places that are counted from 1."""

_NO_NAME = ("Cc", "Cs", "Zl", "Zp")
"""Kinds of characters that no name of a job file may hold."""

_PLAIN_BAY = ("width", "height", *DIAGONALS, "sill")
_FOUR_SIDED_BAY = tuple(asked.name for asked in PLACES[BAY] if asked.name not in RECTANGLE)


def asked_at(kind: str, name: str) -> Asked:
    """The reading of that name at a kind of place."""
    return next(asked for asked in PLACES[kind] if asked.name == name)


@dataclass(frozen=True)
class SideToMeasure:
    """A side that is to be measured: its name and how many bays it has."""

    name: str
    bays: int


class Posts(Enum):
    """Whether each post is measured, or one for all."""

    EACH = "each"
    ALIKE = "alike"


@dataclass(frozen=True)
class SheetPlan:
    """What the sheet is for; ``post_width`` is a width known already, as it was written."""

    sides: tuple[SideToMeasure, ...]
    units: Units = Units.INCH
    four_sided: bool = False
    posts: Posts = Posts.EACH
    post_width: str = ""

    def __post_init__(self) -> None:
        names = [side.name.casefold() for side in self.sides]
        if len(set(names)) < len(names):
            raise PlannerError("two sides have the same name; give each a name of its own")
        if not all(side.name.strip() and side.bays > 0 for side in self.sides):
            raise PlannerError("each side needs a name and at least one bay")
        for side in self.sides:
            if len(side.name) > MAX_NAME or any(category(c) in _NO_NAME for c in side.name):
                remedy = f"a name is one line of at most {MAX_NAME} characters"
                raise PlannerError(f"side {as_written(side.name)}: {remedy}; give it a shorter one")
        if (bays := sum(side.bays for side in self.sides)) > MAX_BAYS:
            raise PlannerError(
                f"{bays} bays are more than one job may hold ({MAX_BAYS}); make several sheets"
            )


@dataclass(frozen=True)
class Reading:
    """One line of the sheet; ``index`` counts bays, posts, rails or windows from 1, ``value`` is known already."""

    number: int
    side: str
    kind: str
    index: int | None
    asked: Asked
    value: str = ""

    @property
    def place(self) -> str:
        """Such as ``bay 3``, or ``side``."""
        return self.kind if self.index is None else f"{self.kind} {self.index}"

    @property
    def note(self) -> str:
        """How it is taken."""
        if self.kind == POST and self.index is not None:
            return f"face width, between bay {self.index} and bay {self.index + 1}"
        return self.asked.note


def readings_in_order(plan: SheetPlan) -> tuple[Reading, ...]:
    """All readings of a sheet, numbered from 1: side by side, each from its left end to its right end."""
    taken: list[Reading] = []
    for side in plan.sides:
        for kind, index, name in _places(side, plan):
            value = plan.post_width if (kind, name) == (SIDE, "posts") else ""
            taken.append(Reading(len(taken) + 1, side.name, kind, index, asked_at(kind, name), value))
    return tuple(taken)


def bay_readings(four_sided: bool) -> tuple[str, ...]:
    """What is read at each bay, in order."""
    return _FOUR_SIDED_BAY if four_sided else _PLAIN_BAY


def _places(side: SideToMeasure, plan: SheetPlan) -> Iterator[tuple[str, int | None, str]]:
    """The front first, for it is forgotten last; then along the side; then what takes a second walk."""
    yield SIDE, None, "front"
    each = plan.posts is Posts.EACH and not plan.post_width
    if side.bays > 1 and not each:
        yield SIDE, None, "posts"
    for bay in range(1, side.bays + 1):
        for name in bay_readings(plan.four_sided):
            yield BAY, bay, name
        if each and bay < side.bays:
            yield POST, bay, "width"
    for name in ("overall", "raise", "cut height"):
        yield SIDE, None, name
    for rail in range(1, RAILS + 1):
        yield RAIL, rail, "height"
    yield SIDE, None, "rail width"
    for window in range(1, WINDOWS + 1):
        for asked in PLACES[WINDOW]:
            yield WINDOW, window, asked.name
