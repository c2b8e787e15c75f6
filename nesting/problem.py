"""The planning problem in whole numbers: sheets, classes of equal parts, and panels to choose among.

Lengths are solver units (nesting.sizes), money is as in the job.  Nothing here knows about sides or posts:
a choice is a panel that closes some cells and needs some parts, and makes some seams.
"""

from __future__ import annotations

from dataclasses import dataclass, field

Pattern = tuple[tuple[int, int], ...]
"""What one sheet carries: (class, count), classes ascending."""


@dataclass(frozen=True)
class SheetSize:
    """A usable sheet; ``available`` None means as many as wanted."""

    length: int
    width: int
    price: float
    available: int | None = None


@dataclass(frozen=True)
class PartClass:
    """Parts that are alike to the packer; ``turnable`` where a quarter turn makes a difference."""

    length: int
    width: int
    turnable: bool

    def placings(self, sheet: SheetSize) -> tuple[tuple[int, int], ...]:
        """(along, across) of each way the part fits that sheet alone, the unturned one first."""
        ways = [(self.length, self.width)] + ([(self.width, self.length)] if self.turnable else [])
        return tuple((a, b) for a, b in ways if a <= sheet.length and b <= sheet.width)


@dataclass(frozen=True)
class Choice:
    """A panel that may be cut: the cells it closes, the classes of its parts, and its share of the seams."""

    cells: tuple[int, ...]
    parts: tuple[int, ...]
    seams: int = 0
    seam_cost: float = 0.0
    """Cost by length only; the cost by number is ``Problem.seam_cost``."""


@dataclass(frozen=True)
class SeamRun:
    """A place where a seam between two panels may begin: it does when a choice of either kind is made."""

    one_hand: tuple[int, ...]
    other_hand: tuple[int, ...]


@dataclass(frozen=True)
class CellEdge:
    """An edge between two cells: choices that run across it, and choices that end on it from the left or below."""

    across: tuple[int, ...]
    ending: tuple[int, ...]
    starting: tuple[int, ...]


@dataclass(frozen=True)
class Problem:
    """Close every cell once, cut every part demanded, and pay least for sheets and seams."""

    sheets: tuple[SheetSize, ...]
    classes: tuple[PartClass, ...]
    demand: tuple[int, ...]
    """Parts of each class that are wanted whatever panels are chosen."""
    cells: int = 0
    choices: tuple[Choice, ...] = ()
    runs: tuple[SeamRun, ...] = ()
    edges: tuple[CellEdge, ...] = ()
    seam_cost: float = 0.0
    edge_to_edge: bool = False
    longest_cut: int | None = None
    most: tuple[int, ...] = field(default=())
    """The most parts of each class that any plan can need."""
