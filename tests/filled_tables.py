"""Measuring tables as a test fills them in: a blank one from the program, values put into its rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from nesting.documents.measuringtable import measuring_table
from nesting.starting.sheet import Posts, SheetPlan, SideToMeasure

Rows = list[list[str]]
Where = tuple[str, str]
"""Place and reading."""

SIDE = "driver side"
NUMBER, NAME, PLACE, READING, VALUE, NOTE = range(6)

TWO_BAYS = {
    ("side", "front"): "left",
    ("bay 1", "width"): "28 1/4",
    ("bay 1", "height"): "39 1/2",
    ("post 1", "width"): "2",
    ("bay 2", "width"): "28",
    ("bay 2", "height"): "39 1/2",
    ("side", "overall"): "58 1/4",
}
"""28 1/4 + 2 + 28 = 58 1/4."""


def blank(bays: int = 2, *names: str, four_sided: bool = False, posts: Posts = Posts.EACH) -> Rows:
    """The rows of a blank table, its heading first."""
    sides = tuple(SideToMeasure(name, bays) for name in names or (SIDE,))
    text = measuring_table(SheetPlan(sides, four_sided=four_sided, posts=posts))
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))


def filled(rows: Rows, values: Mapping[Where, str]) -> Rows:
    """The rows with these values in, on every side; each must have its row."""
    known = {(row[PLACE], row[READING]) for row in rows}
    assert set(values) <= known
    return [[*row[:VALUE], values.get((row[PLACE], row[READING]), row[VALUE]), row[NOTE]] for row in rows]


def as_csv(rows: Sequence[Sequence[str]], separator: str = ",", line_end: str = "\r\n") -> str:
    """The rows as a spreadsheet saves them."""
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator=line_end).writerows(rows)
    return text.getvalue()


def two_bays(**more: str) -> str:
    """A table of two bays without mistakes; ``bay_1_width="28"`` changes a value."""
    values = dict(TWO_BAYS)
    for key, value in more.items():
        place, _, reading = key.replace("_", " ").rpartition(" ")
        values[(place, reading)] = value
    return as_csv(filled(blank(), values))
