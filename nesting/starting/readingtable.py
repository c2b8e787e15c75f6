"""A filled table of tape readings: which cell is which reading, and every row that cannot be read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from unicodedata import category

from nesting.reading.csvtext import Row, table_rows
from nesting.reading.keys import MAX_MISTAKES
from nesting.starting.sheet import NUMBERED, PLACES, SHEET, Asked, Takes
from shared.errors import LengthError, Mistake, PlannerError, as_written
from shared.units import parse_length

COLUMNS = ("side", "place", "reading", "value")
"""What a table must have; ``number`` and ``note`` may be missing."""

_FORMULA = ("=", "+", "-", "@")
_MOST_MISTAKES = MAX_MISTAKES + 1
_DATE = re.compile(
    r"[0-9]{1,4}([-./])[0-9]{1,2}\1(?:[0-9]{2,4})?|[0-9]{1,2}[-. ]*[^\W\d_]{3,4}\.?|[^\W\d_]{3}[- ][0-9]{1,4}"
)
_DATE_REMEDY = "a spreadsheet has made a date of a fraction; write it like 0 1/2, or make the column text"
_HANDS = {"left": "left", "l": "left", "right": "right", "r": "right"}
_UNITS = {
    **dict.fromkeys(("in", '"', "inch", "inches"), "in"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
}


@dataclass(frozen=True)
class Cell:
    """A reading as the table has it: ``written`` is empty where nothing stands.

    ``mm`` is what a length comes to, None for hands and numbers of bays and for what could not be read.
    """

    row: int
    number: str
    side: str
    kind: str
    index: int | None
    asked: Asked
    written: str
    mm: float | None
    note: str

    @property
    def where(self) -> str:
        """Such as ``row 12 (number 9), 'driver side', bay 3, width``."""
        number = f" (number {self.number})" if self.number else ""
        return f"row {self.row}{number}, {named_place(self.side, self.kind, self.index)}, {self.asked.name}"


@dataclass(frozen=True)
class ReadingTable:
    """What a table says, and what is wrong in it; ``units`` is what bare numbers are in."""

    units: str
    cells: tuple[Cell, ...]
    mistakes: tuple[Mistake, ...]


def named_place(side: str, kind: str, index: int | None) -> str:
    """A place in words, its side first."""
    if index is None:
        return as_written(side) if side else kind
    return f"{as_written(side)}, {kind} {index}"


def reading_table(text: str, shown: str) -> ReadingTable:
    """The readings in a table; ``shown`` is what messages call it.

    Nothing stops the reading but a missing heading: mistakes are gathered, each with its row.
    """
    try:
        rows = [row for row in table_rows(text) if not row.is_empty]
    except PlannerError as error:
        return ReadingTable("in", (), (Mistake(shown, "", str(error)),))
    if not rows:
        return ReadingTable("in", (), (Mistake(shown, "", "the table is empty; reskin measure writes one"),))
    columns, unit_of_heading = _columns(rows[0])
    missing = [name for name in COLUMNS if name not in columns]
    if missing:
        remedy = f"no column is headed {' or '.join(missing)}; the first row must say {', '.join(COLUMNS)}"
        return ReadingTable("in", (), (Mistake(f"row {rows[0].number}", "", remedy),))
    return _Reader(columns, len(rows[0].cells), rows[1:], unit_of_heading).table()


def _columns(heading: Row) -> tuple[dict[str, int], str]:
    """Where each column stands, and the unit that the heading of the values names."""
    columns: dict[str, int] = {}
    unit = ""
    for position, cell in enumerate(heading.cells):
        match = re.fullmatch(r"(\w+) *(?:\(?(in|mm)\)?)?", cell.lower())
        if match:
            columns.setdefault(match[1], position)
            unit = match[2] if match[1] == "value" and match[2] else unit
    return columns, unit


class _Reader:
    """Goes through the rows once for the units and once for everything else."""

    def __init__(self, columns: dict[str, int], width: int, rows: Sequence[Row], units: str) -> None:
        self._columns, self._width, self._rows = columns, width, rows
        self._mistakes: dict[Mistake, None] = {}
        self._sides: dict[str, str] = {}
        self._units = self._units_named(units)

    def table(self) -> ReadingTable:
        cells: list[Cell] = []
        first: dict[tuple[str, str, int | None, str], Cell] = {}
        for row in self._rows:
            cell = self._cell(row)
            if cell is None:
                continue
            key = (cell.side, cell.kind, cell.index, cell.asked.name)
            before = first.setdefault(key, cell)
            if before is cell:
                cells.append(cell)
            elif not before.written:
                cells[cells.index(before)] = first[key] = cell
            elif cell.written:
                again = f"stands in row {before.row} already; leave one of the two empty"
                self._reject(cell.where, as_written(cell.written), again)
        return ReadingTable(self._units, tuple(cells), tuple(self._mistakes))

    def _reject(self, place: str, read: str, remedy: str) -> None:
        if len(self._mistakes) < _MOST_MISTAKES:
            self._mistakes[Mistake(place, read, remedy)] = None

    def _text(self, row: Row, column: str) -> str:
        """What stands in a column, without the apostrophe that keeps a name from being run as a formula."""
        position = self._columns.get(column)
        text = row.cells[position] if position is not None and position < len(row.cells) else ""
        if text.startswith("'") and (column == "value" or text[1:].startswith(_FORMULA)):
            text = text[1:].strip()
        return " ".join("".join(c for c in text if category(c) not in ("Cc", "Cs") or c.isspace()).split())

    def _units_named(self, units: str) -> str:
        """The unit of bare numbers: what the row for it says, else what the heading says."""
        for row in self._rows:
            if _folded(self._text(row, "reading")) != "units":
                continue
            written = self._text(row, "value")
            if written.lower() in _UNITS:
                return _UNITS[written.lower()]
            if written or not units:
                self._reject(
                    f"row {row.number}, units", as_written(written) if written else "", "write in or mm"
                )
                return units or "in"
        if not units:
            remedy = (
                "no row says the units; write one with the place sheet, the reading units, the value in or mm"
            )
            self._reject("units", "", remedy)
        return units or "in"

    def _cell(self, row: Row) -> Cell | None:
        """One row as a reading; None where it is none, which is noted unless nothing is written there."""
        written, at = self._text(row, "value"), f"row {row.number}"
        over = [cell for cell in row.cells[self._width :] if cell]
        if over or (len(row.cells) <= self._columns["value"] and not row.is_empty):
            remedy = f"the heading has {self._width}"
            if over:
                remedy += '; put what holds the separator itself in double quotes, like "28,5"'
            self._reject(at, f"{len(row.cells)} cells", remedy)
            return None
        if _folded(self._text(row, "reading")) == "units" and not self._text(row, "side"):
            return None
        found = self._asked(row, at, quiet=not written)
        if found is None:
            return None
        kind, index, asked = found
        side = self._side(row)
        if not side:
            if written:
                self._reject(
                    at, as_written(written), "no side stands in this row; write the name of the side"
                )
            return None
        cell = Cell(
            row.number,
            self._text(row, "number"),
            side,
            kind,
            index,
            asked,
            _plain(written, asked),
            None,
            self._text(row, "note"),
        )
        return self._measured(cell)

    def _side(self, row: Row) -> str:
        """The side, written as it was the first time: capitals and blanks make no other side."""
        name = self._text(row, "side")
        return self._sides.setdefault(name.casefold(), name) if name else ""

    def _asked(self, row: Row, at: str, quiet: bool) -> tuple[str, int | None, Asked] | None:
        """The place and the reading that a row names."""
        place, name = _folded(self._text(row, "place")), _folded(self._text(row, "reading"))
        match = re.fullmatch(r"([a-z]+) *#?([0-9]{1,6})?", place)
        kind, index = (match[1], int(match[2] or 0) or None) if match else ("", None)
        if kind not in PLACES or kind == SHEET or (kind in NUMBERED) != (index is not None):
            if not quiet:
                known = "side, bay 1, post 1, rail 1 or window 1, each with its number"
                self._reject(f"{at}, place", as_written(place), f"there is no such place; write {known}")
            return None
        known_here = {asked.name: asked for asked in PLACES[kind]}
        if name not in known_here:
            if not quiet:
                near = get_close_matches(name, known_here, n=1)
                meant = f"did you mean {near[0]}?" if near else f"write {', '.join(known_here)}"
                self._reject(f"{at}, reading", as_written(name), f"no such reading at a {kind}; {meant}")
            return None
        return kind, index, known_here[name]

    def _measured(self, cell: Cell) -> Cell:
        """The cell with its length; what cannot be read is noted and stays without."""
        if not cell.written:
            return cell
        wrong = ""
        mm: float | None = None
        if cell.asked.takes is Takes.HAND:
            wrong = "" if cell.written in _HANDS.values() else "write left or right, as seen from outside"
        elif cell.asked.takes is Takes.BAY:
            wrong = (
                "" if re.fullmatch("[0-9]{1,6}", cell.written) else "write the number of the bay, such as 3"
            )
        else:
            try:
                mm = parse_length(cell.written, self._units, negative=cell.asked.takes is Takes.HEIGHT)
            except LengthError as error:
                wrong = _DATE_REMEDY if _DATE.fullmatch(cell.written) else error.remedy
            if mm == 0 and cell.asked.takes is Takes.SIZE:
                wrong, mm = "must be more than zero; leave it empty where there is nothing to read", None
        if wrong:
            self._reject(cell.where, as_written(cell.written), wrong)
        return replace(cell, mm=mm)


def _folded(text: str) -> str:
    """A word of the table in the form in which it is known."""
    return " ".join(text.lower().replace("_", " ").split())


def _plain(written: str, asked: Asked) -> str:
    """Hands as one word and numbers of bays without ``bay``; lengths stay as the tape showed them."""
    if asked.takes is Takes.HAND:
        return _HANDS.get(written.lower(), written)
    if asked.takes is Takes.BAY:
        return re.sub(r"^bay *|\.0*$", "", written.lower())
    return written
