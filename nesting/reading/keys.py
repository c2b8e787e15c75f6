"""What a key of the job file is: its kind, its bounds, its default; and the limits of one job.

The keys themselves stand in `nesting.reading.tables` and `nesting.reading.bodykeys`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

MAX_BYTES = 1_000_000
MAX_BAYS = 400
MAX_WINDOWS = 400
MAX_PATCH_PIECES = 2000
MAX_STOCKS = 60
MAX_RAILS = 40
MAX_BLOCKS = 5000
MAX_SIDE_MM, MAX_HIGH_MM = 500_000.0, 30_000.0
MAX_ALL_CORNERS = 100_000
MAX_RIVETS = 100_000
MAX_PACKS = 40
MAX_FIXED = 2000
MAX_OFFCUT_LISTS = 20
MAX_CORNERS = 1000
MAX_HOLES = 40
"""Limits of one job: far above any vehicle, low enough that a slip of the pen cannot stall the planner."""

MAX_MONEY = 1e9
MAX_NAME = 80
MAX_TITLE = 200
MAX_MISTAKES = 200
"""Nobody mends more at a time, and a file that is no job at all should not fill the screen for ever."""


class Kind(Enum):
    """What may stand behind a key."""

    LENGTH = "a length such as 28 or '28 3/8'"
    LENGTHS = "a list of lengths such as [2, 2, '2 1/2']"
    WHOLES = "a list of whole numbers such as [1, 2, 5]"
    NUMBER = "a number"
    WHOLE = "a whole number"
    TEXT = "text in quotes"
    NAME = "a name in quotes"
    TEXTS = "a list of texts in quotes"
    FLAG = "true or false"
    CHOICE = "one of a few words in quotes"
    TABLE = "a table"
    TABLES = "a list of tables"
    OUTLINE = "a list of corners such as [[0, 0], [30, 0], [30, 36]]"
    OUTLINES = "a list of outlines, each a list of corners such as [[0, 0], [30, 0], [30, 36]]"


@dataclass(frozen=True)
class Key:
    """One key: ``above``, ``least`` and ``most`` bound its value, in mm for lengths.

    ``default`` stands where the key is missing (a length as written in an inch job, ``default_mm`` in a
    metric one); ``otherwise`` says in words what is taken when that depends on other keys.  ``outside`` tells
    what to do about a value beyond the bounds.  ``example`` is a value as it stands in a file.
    """

    name: str
    kind: Kind
    doc: str
    required: bool = False
    default: str | float | bool | None = None
    default_mm: str | None = None
    otherwise: str = ""
    above: float | None = None
    least: float | None = None
    most: float | None = None
    outside: str = ""
    choices: tuple[str, ...] = ()
    table: Table | None = None
    most_items: int | None = None
    example: str = ""


@dataclass(frozen=True)
class Table:
    """One table of the job file; ``repeats`` names the key that says how often an entry stands for."""

    header: str
    noun: str
    doc: str
    keys: tuple[Key, ...]
    repeats: str = ""

    def key(self, name: str) -> Key | None:
        return next((key for key in self.keys if key.name == name), None)


def size_key(name: str, doc: str, example: str = "28 1/4", *, required: bool = True) -> Key:
    return Key(name, Kind.LENGTH, doc, required, above=0, example=f'"{example}"')


def sheet_key(name: str, doc: str, example: str) -> Key:
    outside = "no sheet is larger than 65 ft (20 m); check the number and units"
    return Key(name, Kind.LENGTH, doc, True, above=0, most=20_000, outside=outside, example=f'"{example}"')


def distance_key(name: str, doc: str, default: str, default_mm: str) -> Key:
    return Key(name, Kind.LENGTH, doc, default=default, default_mm=default_mm, least=0)


def pitch_key(name: str, doc: str, default: str, default_mm: str) -> Key:
    return Key(name, Kind.LENGTH, doc, default=default, default_mm=default_mm, above=0)


def money_key(name: str, doc: str) -> Key:
    return Key(name, Kind.NUMBER, doc, default=0.0, least=0, most=MAX_MONEY)


def count_key(name: str, doc: str, most: int, *, required: bool = False, default: int | None = None) -> Key:
    return Key(name, Kind.WHOLE, doc, required, default, least=1, most=most, example="1")


def drawing_keys(what: str) -> tuple[Key, ...]:
    return (
        Key(
            "drawing", Kind.TEXT, f"DXF drawing that holds {what}, beside the job file.", example='"bay.dxf"'
        ),
        Key("layer", Kind.TEXT, "Layer of the drawing that it lies on.", otherwise="the only one there is"),
        Key(
            "drawing_units",
            Kind.CHOICE,
            "Unit that the drawing is in.",
            otherwise="what the drawing says of itself",
            choices=("in", "ft", "mm", "cm", "m"),
        ),
    )
