"""From a filled table of tape readings to a job file, or everything that is wrong or missing in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import hypot, inf, sqrt

from nesting.job import Job, Units
from nesting.jobfile import job_from_text
from nesting.reading.bodykeys import SIDE as SIDE_TABLE
from nesting.reading.keys import MAX_BAYS, MAX_MISTAKES
from nesting.reading.words import entry_labels
from nesting.starting.measuredplaces import MeasuredSide, Place, measured_sides
from nesting.starting.newjob import Section, sections_text, stock_sections, usual_sheets
from nesting.starting.readingtable import Cell, ReadingTable, named_place, reading_table
from nesting.starting.sheet import (
    BAY,
    DIAGONALS,
    FOUR_SIDES,
    PLACES,
    POST,
    RAIL,
    RECTANGLE,
    SIDE,
    WINDOW,
)
from nesting.taping.accuracy import reading_error
from shared.errors import JobMistakes, Mistake, as_written
from shared.units import SNAP_MM, format_length, parse_length

Entry = dict[str, object]

_MISSING = "is missing; measure it and write it"
_WINDOW_NEEDS = ("bay", "from left", "from bottom", "width", "height")


@dataclass(frozen=True)
class MeasuredJob:
    """The job file, what it says, and doubts about the readings besides the warnings of the job."""

    text: str
    job: Job
    doubts: tuple[str, ...]


@dataclass
class _Found:
    """What comes up on the way: mistakes, doubts, and the rows from which places of the job file were written."""

    mistakes: list[Mistake]
    doubts: list[str] = field(default_factory=list)
    rows: dict[str, str] = field(default_factory=dict)

    def missing(self, cells: Mapping[str, Cell], side: str, kind: str, index: int | None, name: str) -> None:
        where = cells[name].where if name in cells else f"{named_place(side, kind, index)}, {name}"
        self.mistakes.append(Mistake(where, "", _MISSING))


def job_from_readings(text: str, shown: str) -> MeasuredJob:
    """The job file for a filled table; ``shown`` is what messages call the table.

    Bays with width and height become rectangles, those with four sides four-sided bays with their diagonals.
    The sheets are the usual sizes without prices.  Raises `JobMistakes` with every row that is wrong and every
    reading that is missing; what only the whole job shows is told when all else is in order.
    """
    table = reading_table(text, shown)
    found = _Found(list(table.mistakes))
    sides = measured_sides(table.cells)
    if not sides and not found.mistakes:
        found.mistakes.append(Mistake(shown, "", "no reading stands in the table; reskin measure writes one"))
    others_filled = not all(side.is_blank() for side in sides)
    entries = [_side_entry(side, table.units, found, others_filled) for side in sides]
    if found.mistakes:
        raise JobMistakes(_first(found.mistakes, shown))
    for label, side in zip(entry_labels(entries, SIDE_TABLE), sides, strict=True):
        _note_rows(label, side, found.rows)
    written = sections_text(_sections(table, entries, found.doubts, shown))
    try:
        job = job_from_text(written, shown)
    except JobMistakes as error:
        again = [
            Mistake(found.rows.get(mistake.place, mistake.place), mistake.read, mistake.remedy)
            for mistake in error.mistakes
        ]
        raise JobMistakes(again) from error
    return MeasuredJob(written, job, tuple(found.doubts))


def _first(mistakes: list[Mistake], shown: str) -> list[Mistake]:
    """As many mistakes as anyone mends at a time, in the order of the rows, those of no row last."""
    ordered = sorted(mistakes, key=lambda mistake: _row_of(mistake.place))
    if len(ordered) <= MAX_MISTAKES:
        return ordered
    more = Mistake(shown, "", f"only the first {MAX_MISTAKES} mistakes are told; mend these first")
    return [*ordered[:MAX_MISTAKES], more]


def _row_of(place: str) -> float:
    match = re.match(r"rows? ([0-9]+)", place)
    return int(match[1]) if match else inf


def _side_entry(side: MeasuredSide, units: str, found: _Found, alone: bool) -> Entry:
    """The table of a side; what is missing is noted, as one thing where it is ``alone`` in being blank."""
    own = side.place(SIDE)
    entry: Entry = {"name": side.name}
    if alone and side.is_blank():
        text = "nothing is written for this side; measure it, or take its rows out of the table"
        found.mistakes.append(Mistake(f"rows {side.rows()}, {named_place(side.name, SIDE, None)}", "", text))
        return entry
    if not own.written(["front"]):
        found.missing(own.cells, side.name, SIDE, None, "front")
    bays = max(side.indices(BAY), default=0)
    if not bays or bays > MAX_BAYS:
        text = (
            "no bay of this side stands in the table" if not bays else f"a job holds {MAX_BAYS} bays at most"
        )
        found.mistakes.append(Mistake(named_place(side.name, BAY, bays or 1), "", text))
        return entry
    for cell in own.written(asked.name for asked in PLACES[SIDE] if asked.name != "posts"):
        entry[cell.asked.key] = _shown(cell, units)
    entry.update(_posts(side, bays, units, found))
    rails = [cell for index in side.indices(RAIL) for cell in side.place(RAIL, index).written(["height"])]
    if rails:
        entry["rails"] = [_shown(cell, units) for cell in rails]
    entry["bay"] = [_bay(side.place(BAY, index), units, found) for index in range(1, bays + 1)]
    windows = [_window(side.place(WINDOW, index), units, found) for index in side.indices(WINDOW)]
    if any(windows):
        entry["window"] = [window for window in windows if window]
    return entry


def _posts(side: MeasuredSide, bays: int, units: str, found: _Found) -> Entry:
    """One width for all posts, or one for each where some have their own."""
    own = side.place(SIDE)
    for index in side.indices(POST):
        for cell in side.place(POST, index).written(["width"]):
            if index >= bays:
                text = f"{bays} bays have {bays - 1} posts between them; leave this out, or look for a bay left out"
                found.mistakes.append(Mistake(cell.where, as_written(cell.written), text))
    for_all = own.written(["posts"])
    widths: list[str] = []
    for index in range(1, bays):
        place = side.place(POST, index)
        cells = place.written(["width"]) or for_all
        if cells:
            widths.append(_shown(cells[0], units))
        else:
            found.missing(place.cells, side.name, POST, index, "width")
    if not widths:
        return {}
    return {"post_width": widths[0]} if len(set(widths)) == 1 else {"posts": widths}


def _bay(place: Place, units: str, found: _Found) -> Entry:
    """A bay as rectangle or with four sides, whichever was measured."""
    flat, sides = place.written(RECTANGLE), place.written(FOUR_SIDES)
    if flat and sides:
        text = f"{sides[0].asked.name} is there too: write width and height or four sides, not both"
        found.mistakes.append(Mistake(flat[0].where, as_written(flat[0].written), text))
        return {}
    four = bool(sides) or (not flat and any(name in place.cells for name in FOUR_SIDES))
    needed = FOUR_SIDES if four else RECTANGLE
    for name in needed:
        if not place.written([name]):
            found.missing(place.cells, place.side, BAY, place.index, name)
    wanted = [*needed, *(DIAGONALS if four else ()), "sill"]
    entry: Entry = {cell.asked.key: _shown(cell, units) for cell in place.written(wanted)}
    if not four and (doubt := _leaning(place, units)):
        found.doubts.append(f"{named_place(place.side, BAY, place.index)}: {doubt}")
    return entry


def _leaning(place: Place, units: str) -> str | None:
    """What the diagonals of a bay with width and height say against its being square."""
    width, height = place.mm("width"), place.mm("height")
    diagonals = [mm for name in DIAGONALS if (mm := place.mm(name)) is not None]
    if width is None or height is None or not diagonals:
        return None
    remedy = (
        "measure its four sides, and write left, bottom, right and top for it instead of width and height"
    )
    if len(diagonals) == 2:
        apart = abs(diagonals[0] - diagonals[1])
        if apart > sqrt(sum(reading_error(mm, units) ** 2 for mm in diagonals)) + SNAP_MM:
            shown = format_length(apart, units, with_unit=True)
            return (
                f"its diagonals differ by {shown}, more than the tape explains, so it is not square; {remedy}"
            )
    square = hypot(width, height)
    off = abs(sum(diagonals) / len(diagonals) - square)
    explained = sqrt(sum(reading_error(mm, units) ** 2 for mm in (width, height, diagonals[0])))
    if off > explained + SNAP_MM:
        shown = format_length(square, units, with_unit=True)
        return f"its diagonals should be about {shown} by width and height; {remedy}"
    return None


def _window(place: Place, units: str, found: _Found) -> Entry:
    """A window; nothing where none of its readings is there."""
    cells = place.written(asked.name for asked in PLACES[WINDOW])
    if not cells:
        return {}
    for name in _WINDOW_NEEDS:
        if not place.written([name]):
            found.missing(place.cells, place.side, WINDOW, place.index, name)
    return {cell.asked.key: _window_value(cell, units) for cell in cells}


def _window_value(cell: Cell, units: str) -> object:
    if cell.asked.name == "bay":
        return int(cell.written) if cell.written.isdecimal() else cell.written
    return _shown(cell, units)


def _shown(cell: Cell, units: str) -> str:
    """A reading for the job file: in the tape's own way where that is exact, else as it was written."""
    if cell.mm is None:
        return cell.written
    tidy = format_length(cell.mm, units)
    exact = abs(parse_length(tidy, units, negative=True) - cell.mm) <= SNAP_MM
    return tidy if exact else cell.written


def _note_rows(label: str, side: MeasuredSide, rows: dict[str, str]) -> None:
    """Where each place of the job file stands in the table."""
    windows = [i for i in side.indices(WINDOW) if side.place(WINDOW, i).written(_WINDOW_NEEDS)]
    rails = [i for i in side.indices(RAIL) if side.place(RAIL, i).written(["height"])]
    for (kind, index), place in side.places.items():
        for cell in place.cells.values():
            at = f"{label}, {cell.asked.key}"
            if kind == BAY:
                at = f"{label}, bay {index}, {cell.asked.key}"
            elif kind == WINDOW and index in windows:
                at = f"{label}, window {windows.index(index) + 1}, {cell.asked.key}"
            elif kind == POST:
                at = f"{label}, posts, item {index}"
            elif kind == RAIL and index in rails:
                at = f"{label}, rails, item {rails.index(index) + 1}"
            rows[at] = cell.where


def _sections(
    table: ReadingTable, entries: Iterable[Entry], doubts: Iterable[str], shown: str
) -> Iterator[Section]:
    units = Units(table.units)
    lines = [f"From the tape readings in {shown}. reskin check reads this file back."]
    lines += [f"Doubt: {doubt}." for doubt in doubts]
    lines += [f"Note: {note}" for note in _own_notes(table.cells)]
    yield Section("\n".join(lines), {"units": units.value})
    yield from stock_sections(
        usual_sheets(units),
        "Usual sheet sizes. Take out those that your supplier does not have, and write the price of each:\n"
        "for all of them or for none. Without prices the plan saves sheet area.",
    )
    yield Section(
        "What one seam is worth avoiding: rivets, sealant, an hour, a leak to come.",
        {},
        "[seam]\ncost = 12.0",
    )
    for entry in entries:
        yield Section("Bays are counted from the left as seen from outside.", {"side": [entry]})


def _own_notes(cells: Iterable[Cell]) -> Iterator[str]:
    """Notes that were not printed on the sheet."""
    for cell in cells:
        printed = cell.asked.note == cell.note or (
            cell.kind == POST and cell.note.startswith(cell.asked.note)
        )
        if cell.note and not printed:
            yield f"{named_place(cell.side, cell.kind, cell.index)}, {cell.asked.name}: {cell.note}"
