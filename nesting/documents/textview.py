"""A side of the body in a few lines of text: bays, panels by name, the seams between them.

Nothing is to scale but the bays, and these only nearly.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import accumulate, groupby
from math import ceil

from nesting.documents.drawing import one_line
from nesting.documents.findings import doubts
from nesting.job import Side
from nesting.plan import Panel, PlannedJob

MEASURE_AGAIN, CUT_ALREADY = "! measure again before cutting", "( ) cut already"
"""What the marks beside names mean."""
_LEAST_BAY, _USUAL_BAY = 4, 12
"""Columns of a bay, its left line included: at least, and at most on average."""

Arms = tuple[bool, bool, bool, bool]
"""Whether lines run from a corner up, down, to the left, to the right."""
_JOINTS = dict(
    zip(
        ((u, d, lt, r) for u in (0, 1) for d in (0, 1) for lt in (0, 1) for r in (0, 1)),
        " ╶╴─╷┌┐┬╵└┘┴│├┤┼",
        strict=True,
    )
)


class Tone(Enum):
    """What a stretch of text is, for those who show it in colour."""

    PLAIN = "plain"
    NAME = "name"
    DOUBT = "doubt"
    FAINT = "faint"


@dataclass(frozen=True)
class Run:
    """A stretch of text in one tone."""

    text: str
    tone: Tone = Tone.PLAIN


TextLine = tuple[Run, ...]


def side_text(
    planned: PlannedJob, side: Side, width: int = 79, ascii_only: bool = False
) -> tuple[TextLine, ...]:
    """The side as lines of at most ``width`` columns, its name and the hand of the front first.

    A line between two panels is a seam; a dotted one is a post that a panel crosses.  A side with more bays
    than there is room for goes on below.  Marks as in `MEASURE_AGAIN` and `CUT_ALREADY`.
    """
    panels = [panel for panel in planned.plan.panels if panel.side == side.name]
    count = len(side.bays)
    bands = ceil(count / max(1, (width - 3) // _LEAST_BAY))
    size = ceil(count / bands)
    head = f", front on the {side.forward.value}"
    name = shortened(plain(side.name, ascii_only), width - len(head), ascii_only)
    lines: list[TextLine] = [(Run(name, Tone.NAME), Run(head))]
    for first in range(0, count, size):
        lines += _Band(
            planned, side, panels, range(first, min(first + size, count)), width - 2, ascii_only
        ).lines()
    return tuple(lines)


def marks_used(planned: PlannedJob) -> tuple[str, ...]:
    """What of the marks beside names has to be explained."""
    doubtful = any(doubts(planned, panel.name) for panel in planned.plan.panels)
    cut = any(panel.cut for panel in planned.plan.panels)
    return (*((MEASURE_AGAIN,) if doubtful else ()), *((CUT_ALREADY,) if cut else ()))


def plain(text: str, ascii_only: bool) -> str:
    """A name on one line, in plain ASCII if only that can be shown."""
    text = unicodedata.normalize("NFC", one_line(text))
    return text.encode("ascii", "replace").decode() if ascii_only else text


def columns(text: str) -> int:
    """How many columns of a terminal a text takes."""
    return sum(map(_columns, text))


def shortened(text: str, room: int, ascii_only: bool) -> str:
    """The text, cut off with a sign where it takes more columns than there are."""
    if columns(text) <= room:
        return text
    kept = text
    while kept and columns(kept) > room - 1:
        kept = kept[:-1]
    return kept + ("~" if ascii_only else "…") if room > 0 else ""


def _columns(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


class _Band:
    """Some neighbouring bays of a side, drawn into cells of one column each."""

    def __init__(
        self,
        planned: PlannedJob,
        side: Side,
        panels: Sequence[Panel],
        bays: range,
        width: int,
        ascii_only: bool,
    ) -> None:
        self.planned, self.bays, self.ascii_only = planned, bays, ascii_only
        self.owners = _owners(panels, len(side.bays))
        self.at = _posts([side.bays[bay].width for bay in bays], width)
        self.cells = [[(" ", Tone.PLAIN)] * (self.at[-1] + 1) for _ in range(2 * len(self.owners) + 1)]

    def lines(self) -> Iterator[TextLine]:
        """Numbers of the bays, then the panels."""
        numbers = [(" ", Tone.FAINT)] * (self.at[-1] + 1)
        for bay, left, right in zip(self.bays, self.at, self.at[1:], strict=False):
            _write(numbers, left + 1, right, str(bay + 1), Tone.FAINT)
        self._draw_lines()
        self._write_names()
        for cells in (numbers, *self.cells):
            yield _runs(cells)

    def _owner(self, row: int, bay: int) -> Panel | None:
        """The panel over a cell, rows counted from the top; None outside of the side."""
        if 0 <= row < len(self.owners) and 0 <= bay < len(self.owners[0]):
            return self.owners[row][bay]
        return None

    def _draw_lines(self) -> None:
        for level in range(len(self.owners) + 1):
            for post in range(len(self.at)):
                bay = self.bays[0] + post
                self._put(2 * level, self.at[post], self._joint(level, bay))
                if level < len(self.owners):
                    self._put(2 * level + 1, self.at[post], self._upright(level, bay))
                if post + 1 < len(self.at) and self._owner(level - 1, bay) is not self._owner(level, bay):
                    for column in range(self.at[post] + 1, self.at[post + 1]):
                        self._put(2 * level, column, "-" if self.ascii_only else "─")

    def _joint(self, level: int, bay: int) -> str:
        """The sign where the post left of ``bay`` meets a level, by the lines that meet there."""
        up, down = (self._owner(row, bay - 1) is not self._owner(row, bay) for row in (level - 1, level))
        inside = range(self.bays[0], self.bays[-1] + 1)
        left, right = (
            at in inside and self._owner(level - 1, at) is not self._owner(level, at) for at in (bay - 1, bay)
        )
        if not self.ascii_only:
            return _JOINTS[up, down, left, right]
        if (up or down) and (left or right):
            return "+"
        return "|" if up or down else "-" if left or right else " "

    def _upright(self, row: int, bay: int) -> str:
        if self._owner(row, bay - 1) is not self._owner(row, bay):
            return "|" if self.ascii_only else "│"
        return ":" if self.ascii_only else "┊"

    def _put(self, line: int, column: int, sign: str) -> None:
        self.cells[line][column] = (sign, Tone.FAINT if sign in ":┊" else Tone.PLAIN)

    def _write_names(self) -> None:
        for panel in {id(p): p for row in self.owners for p in row if p is not None}.values():
            rows = [row for row, line in enumerate(self.owners) if panel in line]
            bays = [bay for bay in self.bays if self.owners[rows[0]][bay] is panel]
            if not bays:
                continue
            left, right = self.at[bays[0] - self.bays[0]] + 1, self.at[bays[-1] - self.bays[0] + 1]
            doubtful = bool(doubts(self.planned, panel.name))
            before, after = ("(", ")") if panel.cut else ("", "")
            after += "!" if doubtful else ""
            room = right - left - len(before) - len(after)
            name = shortened(plain(panel.name, self.ascii_only), room, self.ascii_only)
            line = (2 * rows[0] + 2 * rows[-1]) // 2 + 1
            _write(
                self.cells[line], left, right, before + name + after, Tone.DOUBT if doubtful else Tone.NAME
            )


def _owners(panels: Sequence[Panel], bays: int) -> list[list[Panel | None]]:
    """The panel over each bay, row by row from the top; rows that no panel tells apart are one."""
    grid: list[list[Panel | None]] = []
    for row in range(max((panel.last_row for panel in panels), default=1), 0, -1):
        line: list[Panel | None] = [None] * bays
        for panel in panels:
            if panel.first_row <= row <= panel.last_row:
                line[panel.first_bay - 1 : panel.last_bay] = [panel] * (panel.last_bay - panel.first_bay + 1)
        if not grid or any(a is not b for a, b in zip(grid[-1], line, strict=True)):
            grid.append(line)
    return grid


def _posts(widths: Sequence[float], room: int) -> list[int]:
    """Columns of the lines beside the bays, these about as wide as they are, none too narrow for its number."""
    count = len(widths)
    last = max(_LEAST_BAY * count, min(room - 1, _USUAL_BAY * count))
    total = sum(widths)
    at = [0]
    for number, reach in enumerate(accumulate(widths), start=1):
        least, most = at[-1] + _LEAST_BAY, last - _LEAST_BAY * (count - number)
        at.append(min(most, max(least, round(last * reach / total))))
    return at


def _write(cells: list[tuple[str, Tone]], left: int, right: int, text: str, tone: Tone) -> None:
    """Put words in the middle of columns from ``left`` to before ``right``; a wide sign takes two."""
    at = left + max(0, (right - left - columns(text)) // 2)
    for character in text:
        wide = _columns(character)
        if not wide:
            cells[at - 1] = (cells[at - 1][0] + character, tone)
            continue
        cells[at] = (character, tone)
        if wide == 2:
            cells[at + 1] = ("", tone)
        at += wide


def _runs(cells: Sequence[tuple[str, Tone]]) -> TextLine:
    """A line of cells without blanks at its end, indented by two, neighbours of one tone together."""
    kept = len(cells)
    while kept and cells[kept - 1][0] == " ":
        kept -= 1
    runs = tuple(
        Run("".join(sign for sign, _ in group), tone)
        for tone, group in groupby(cells[:kept], key=lambda cell: cell[1])
    )
    return (Run("  "), *runs)
