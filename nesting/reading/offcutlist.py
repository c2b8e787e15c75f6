"""Lists of offcuts on hand: the offcuts.csv of earlier plans, as it was written or as a spreadsheet saved it again."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from nesting.job import Cutting
from nesting.reading.csvtext import decoded
from nesting.reading.keys import MAX_BYTES
from nesting.reading.reader import JobReader
from shared.errors import LengthError, as_written
from shared.units import parse_length

LONGEST_MM = 20_000.0
"""No sheet is longer, so no offcut is."""

ROUNDED_MM = 1.6
"""An offcut's inches are written down to the sixteenth: they may be this much less than its millimetres."""

_REMEDY = "name the offcuts.csv of an earlier plan"
_HEADING = re.compile(r"(length|width)(?: *\(?(in|mm)\)?)?")


@dataclass(frozen=True)
class OffcutSize:
    """A piece left over, in mm: ``length`` and ``width`` as they lay on its sheet."""

    length: float
    width: float


@dataclass(frozen=True)
class OffcutList:
    """The pieces of one list; ``shown`` is what messages call it."""

    shown: str
    sizes: tuple[OffcutSize, ...]


def read_offcuts(path: Path, shown: str, place: str, cutting: Cutting, reader: JobReader) -> OffcutList:
    """The offcuts in a file; what is wrong with it is noted, each row by its line.

    The heading says which columns are length and width, and their unit in brackets, ``(in)`` or ``(mm)``;
    where both stand the millimetres count.  All other columns are passed over.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        gone = isinstance(error, FileNotFoundError)
        why = "there is no such file" if gone else f"it cannot be read ({error.strerror})"
        reader.reject(place, as_written(shown), f"{why}; {_REMEDY}")
        return OffcutList(shown, ())
    text = decoded(data)
    if len(data) > MAX_BYTES or "\0" in text:
        reader.reject(place, as_written(shown), f"this is no list of offcuts; {_REMEDY}")
        return OffcutList(shown, ())
    return OffcutList(shown, offcut_sizes(text, shown, cutting, reader))


def offcut_sizes(text: str, shown: str, cutting: Cutting, reader: JobReader) -> tuple[OffcutSize, ...]:
    """The sizes in a list of offcuts, in mm."""
    lines = text.splitlines()
    # some spreadsheets write their separator into a first line of its own
    skipped = 1 if lines and re.fullmatch(r"sep=.", lines[0].strip('"').lower()) else 0
    if len(lines) <= skipped:
        reader.reject(f"{shown}, line 1", "", f"there is no heading; {_REMEDY}")
        return ()
    separator = max(",;\t", key=lines[skipped].count)
    try:
        rows = [
            (row, skipped + reading.line_num)
            for reading in [csv.reader(lines[skipped:], delimiter=separator)]
            for row in reading
        ]
    except csv.Error as error:
        reader.reject(shown, "", f"this is no list of offcuts ({error}); {_REMEDY}")
        return ()
    columns = _columns(rows[0][0])
    missing = [name for name in ("length", "width") if not any(found == name for found, _ in columns)]
    if missing:
        remedy = f"no column is headed {' or '.join(missing)}, such as 'length (mm)'"
        reader.reject(f"{shown}, line {skipped + 1}", as_written(lines[skipped]), remedy)
        return ()
    sizes = []
    for row, number in rows[1:]:
        if any(cell.strip() for cell in row):
            line = f"{shown}, line {number}"
            length, width = (_size(row, columns, name, line, cutting, reader) for name in ("length", "width"))
            if length is not None and width is not None:
                sizes.append(OffcutSize(length, width))
    return tuple(sizes)


def _columns(heading: Sequence[str]) -> Mapping[tuple[str, str], int]:
    """Where the sizes stand: (length or width, its unit or "") to the number of the column."""
    found: dict[tuple[str, str], int] = {}
    for number, cell in enumerate(heading):
        if match := _HEADING.fullmatch(cell.strip().lower()):
            found.setdefault((match[1], match[2] or ""), number)
    return found


def _size(
    row: Sequence[str],
    columns: Mapping[tuple[str, str], int],
    name: str,
    line: str,
    cutting: Cutting,
    reader: JobReader,
) -> float | None:
    """A length in mm; None where something is wrong with it, which is noted."""
    read: dict[str, tuple[str, str, float]] = {}
    for (column, unit), number in columns.items():
        text = row[number].strip() if number < len(row) else ""
        if column != name or not text:
            continue
        heading = f"{name} ({unit})" if unit else name
        try:
            read[unit] = (heading, text, parse_length(text, unit or reader.units))
        except LengthError as error:
            reader.reject(f"{line}, {heading}", error.read, error.remedy)
            return None
    if not read:
        reader.reject(f"{line}, {name}", "", "is missing; write it, or leave the row out")
        return None
    heading, text, mm = next(read[unit] for unit in ("mm", "", "in") if unit in read)
    wrong = ""
    if "in" in read and abs(read["in"][2] - mm) > ROUNDED_MM:
        wrong = f"the row also says {read['in'][1]} in; correct both, or empty the one that is wrong"
    elif mm <= 2 * cutting.edge_margin:
        wrong = f"nothing is left inside an edge_margin of {reader.length(cutting.edge_margin)}; leave the row out"
    elif mm > LONGEST_MM:
        wrong = "no sheet is larger than 65 ft (20 m); check the number and its column"
    if wrong:
        reader.reject(f"{line}, {heading}", as_written(text), wrong)
        return None
    return mm
