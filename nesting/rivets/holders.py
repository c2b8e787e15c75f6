"""Temporary sheet holders: how many clamps in holes it takes to hang one panel at a time.

Common practice (c): a holder in every third hole along the panel's rivet lines, in every second where a line bends, and
in every corner and end of a line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, dist

from nesting.plan import Fasteners, Point, RivetLine
from shared.rivettables import HOLDER_COLOURS
from shared.tables import MM_PER_INCH

EVERY = 3
EVERY_ON_A_BEND = 2
HOLDER_SOURCE = "every third hole, every second where a line bends: common practice (c)"

_BENDS = 2.0
"""Degrees: a line that turns by more than this at a rivet follows a curve."""

_CORNER = 45.0
"""Degrees: a line that turns by more than this at a rivet has a corner there."""

_SAME = 1e-3
"""mm: float noise in a spacing."""


@dataclass(frozen=True)
class PanelHolders:
    """How many holders hang one panel (or patch)."""

    panel: str
    holders: int


def holder_points(lines: Iterable[RivetLine]) -> tuple[Point, ...]:
    """The holes of some rivet lines that take a holder, each once, in the order of the lines."""
    taken: dict[Point, None] = {}
    for line in lines:
        for run in _runs(line):
            step = EVERY_ON_A_BEND if any(abs(turn) > _BENDS for turn in _turns(run)) else EVERY
            taken.update(dict.fromkeys((*run[::step], run[-1])))
    return tuple(taken)


def holders(lines: Iterable[RivetLine]) -> int:
    """How many holders hang what these lines hold."""
    return len(holder_points(lines))


def panel_holders(fasteners: Fasteners) -> tuple[PanelHolders, ...]:
    """For each panel and riveted patch, the holders it needs while it is hung, in the order of its rivets."""
    return tuple(
        PanelHolders(held.panel, holders(line for line in fasteners.lines if held.panel in line.panels))
        for held in fasteners.panels
    )


def holders_needed(fasteners: Fasteners) -> int:
    """How many holders to have: those of the panel that needs most, since one is hung at a time."""
    return max((each.holders for each in panel_holders(fasteners)), default=0)


def holder_colour(diameter: float) -> str:
    """The usual colour of holders for a hole in mm; empty for an odd one.  US Navy manual 14315 (a)."""
    over_32 = diameter / MM_PER_INCH * 32
    near = min(HOLDER_COLOURS, key=lambda known: abs(known - over_32))
    return HOLDER_COLOURS[near] if abs(near - over_32) < 0.15 else ""


def _runs(line: RivetLine) -> list[tuple[Point, ...]]:
    """A line cut at its corners; a closed one begins at a corner, or at its first hole where it has none."""
    points = line.points
    closed = len(points) > 2 and dist(points[0], points[-1]) <= line.pitch + _SAME
    if closed:
        round_it = (points[-1], *points, points[0])
        corners = [at for at, turn in enumerate(_turns(round_it)) if turn > _CORNER]
        first = corners[0] if corners else 0
        points = (*points[first:], *points[:first], points[first])
    corners = [at for at, turn in enumerate(_turns(points), start=1) if turn > _CORNER]
    stops = [0, *corners, len(points) - 1]
    return [points[a : b + 1] for a, b in pairwise(stops)] if len(points) > 1 else [points]


def _turns(points: Sequence[Point]) -> list[float]:
    """By how many degrees a line turns at each of its points but the first and the last."""
    ways = [atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(points)]
    turns = (abs(degrees(after - before)) % 360 for before, after in pairwise(ways))
    return [min(turn, 360 - turn) for turn in turns]
