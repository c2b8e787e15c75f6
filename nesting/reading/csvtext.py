"""Tables as spreadsheets save them, to rows of cells: the code, the separator, the row numbers."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from nesting.reading.keys import MAX_BYTES
from shared.errors import PlannerError


@dataclass(frozen=True)
class Row:
    """One row of a table: its number as a spreadsheet shows it, and its cells without blanks around them."""

    number: int
    cells: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        return not any(self.cells)


def table_text(path: Path) -> str:
    """The text of a table in a file.  Raises `PlannerError` where there is none."""
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError as error:
        raise PlannerError(f"{path}: there is no such file; check the name and the folder") from error
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise PlannerError(f"{path}: the table cannot be read: {reason}") from error
    if len(data) > MAX_BYTES:
        raise PlannerError(
            f"{path}: the table is larger than {MAX_BYTES} bytes; no vehicle has so many readings"
        )
    return decoded(data)


def decoded(data: bytes) -> str:
    """Text as spreadsheets save it: UTF-8, UTF-16 with its mark, or windows-1252."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace").removeprefix("\ufeff")
    for code in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(code)
        except UnicodeDecodeError:
            continue
    # five bytes mean nothing in windows-1252
    return data.decode("latin-1")


def table_rows(text: str) -> tuple[Row, ...]:
    """Every row, empty ones too, the heading first; commas, semicolons or tabs, whichever the heading has most.

    A first line that only names the separator, as some spreadsheets write it, is left out and not counted.
    Raises `PlannerError` for what is no table of text.
    """
    if "\0" in text:
        raise PlannerError("this is no table of text; save it from the spreadsheet as CSV")
    named = re.match(r'"?sep=(.)"?\r?\n', text, re.IGNORECASE)
    text = text[named.end() :] if named else text
    heading = next((line for line in text.splitlines() if line.strip(',;\t "')), "")
    separator = max(",;\t", key=heading.count)
    try:
        # the reader of files finds line ends by itself, those inside of quoted cells too
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error as error:
        raise PlannerError(
            f"this is no table of text ({error}); save it from the spreadsheet as CSV"
        ) from error
    return tuple(Row(number, tuple(cell.strip() for cell in row)) for number, row in enumerate(rows, 1))
