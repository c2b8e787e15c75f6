"""The planning problem in whole numbers: sheets, classes of equal parts, and panels to choose among.

Lengths are solver units (nesting.sizing.sizes), money is as in the job.  Nothing here knows about sides or posts:
a choice is a panel that closes some cells and needs some parts, and makes some seams.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from nesting.outline import Ring, bounds
from shared.units import to_solver_up

Pattern = tuple[tuple[int, int], ...]
"""What one sheet carries: (class, count), classes ascending."""

Column = tuple[int, Pattern]
"""A sheet size and what it carries."""


Spot = tuple[int, int, int, bool]
"""Class, x, y and whether turned a quarter, in solver units."""


@dataclass(frozen=True)
class ShapePlace:
    """Where a part of true shape lies: its extent's lower left corner in mm from the margins, flipped, then turned."""

    kind: int
    x: float
    y: float
    degrees: float
    flipped: bool


Answer = tuple[Spot, ...] | Literal[False] | None
"""Places of all parts; False when proved that they do not fit; None when neither was found."""


@dataclass(frozen=True)
class SheetSize:
    """A usable sheet; ``available`` None means as many as wanted.

    ``longest_cut`` (None: any) is the longest cut that can be made where all cuts go from edge to edge, measured on
    the piece that is cut with one spacing added as on all lengths here.  ``rim`` is how far the sheet goes on past
    each of its usable edges: that much has to come off.
    """

    length: int
    width: int
    price: float
    available: int | None = None
    longest_cut: int | None = None
    rim: int = 0

    @property
    def can_be_cut(self) -> bool:
        """True where one of the two ways across the whole sheet is not too long to cut."""
        return self.longest_cut is None or min(self.length, self.width) + 2 * self.rim <= self.longest_cut

    def frees(self, a: int, b: int) -> bool:
        """True where a part of a x b as it lies, alone, can be cut out of the sheet.

        A part longer than the longest cut must reach from edge to edge of the sheet, for a cut along it cannot be made.
        """
        if a > self.length or b > self.width:
            return False
        if self.longest_cut is None or ((a, b) == (self.length, self.width) and not self.rim):
            return True
        return (
            self.can_be_cut
            and (a <= self.longest_cut or (b == self.width and not self.rim))
            and (b <= self.longest_cut or (a == self.length and not self.rim))
        )


def cut_within(sheets: Sequence[SheetSize], longest: int | None) -> tuple[SheetSize, ...]:
    """The same sheets, to be cut edge to edge by no longer cuts than this."""
    return tuple(replace(sheet, longest_cut=longest) for sheet in sheets)


Cores = tuple[tuple[int, int], ...]
"""Rectangles (along, across) in solver units that do not overlap."""

CORE_SETS = 3
"""Sets of cores that each shape has."""


@dataclass(frozen=True)
class PartShape:
    """The true shape of a class that is no plain rectangle, in mm, the lower left corner of its extent at (0, 0).

    ``turns`` are the degrees in which it may lie, ``flip`` whether face down too.  What it surely takes of a sheet
    serves bounds: ``area`` in square solver units, and sets of ``cores``, rectangles (along, across) in solver units
    of which those of one set lie in it without overlap; all with their share of the spacing.  ``filled`` are cores of
    the shape with its holes filled, the largest rectangle of all in the first place of the first set.
    """

    outline: Ring
    holes: tuple[Ring, ...]
    turns: tuple[float, ...]
    flip: bool
    area: int
    cores: tuple[Cores, ...]
    filled: tuple[Cores, ...]


@dataclass(frozen=True)
class PartClass:
    """Parts that are alike to the packer; ``turnable`` where a quarter turn makes a difference.

    ``shape`` is None for a rectangle, else length and width are those of the rectangle around it.
    """

    length: int
    width: int
    turnable: bool
    shape: PartShape | None = None

    def placings(self, sheet: SheetSize) -> tuple[tuple[int, int], ...]:
        """(along, across) of each way the part can be cut alone from that sheet, the unturned one first."""
        ways = [(self.length, self.width)] + ([(self.width, self.length)] if self.turnable else [])
        return tuple((a, b) for a, b in ways if sheet.frees(a, b))

    def taken(self, along: int, across: int, *, filled: bool = False) -> tuple[Cores, ...]:
        """Sets of rectangles that the part surely takes when it lies so: itself, or the cores of its shape.

        With ``filled`` its holes are taken too, as among parts that are all too large for any hole.
        """
        if self.shape is None:
            return (((along, across),),) * CORE_SETS
        lies = (along, across) == (self.length, self.width)
        sets = self.shape.filled if filled else self.shape.cores
        if lies:
            return sets
        first, upright, level = (tuple((b, a) for a, b in cores) for cores in sets)
        return first, level, upright

    def may_lie_in(self, other: PartClass) -> bool:
        """True where the part might lie in a hole of the other one, by their extents."""
        holes = () if other.shape is None else other.shape.holes
        for hole in holes:
            x0, y0, x1, y1 = bounds(hole)
            longer, shorter = sorted((to_solver_up(x1 - x0), to_solver_up(y1 - y0)), reverse=True)
            # lengths of parts hold one spacing, and a hole needs one more
            if min(self.length, self.width) <= shorter and max(self.length, self.width) <= longer:
                return True
        return False

    @property
    def area(self) -> int:
        """What the part surely takes of a sheet's area, in square solver units."""
        return self.length * self.width if self.shape is None else self.shape.area


def small_classes(classes: Sequence[PartClass]) -> frozenset[int]:
    """The classes, by number, whose parts might lie in a hole of some other part."""
    hollow = [kind for kind in classes if kind.shape is not None and kind.shape.holes]
    return frozenset(k for k, kind in enumerate(classes) if any(kind.may_lie_in(other) for other in hollow))


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
    spacing: float = 0.0
    """Distance in mm that true shapes keep from one another; rectangles have it in their sizes."""

    def __post_init__(self) -> None:
        if self.edge_to_edge:
            object.__setattr__(self, "sheets", cut_within(self.sheets, self.longest_cut))
