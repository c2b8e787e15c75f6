"""How four-sided bays stand in a side, and whether the posts between them come out straight.

The tape says how long the lower edge of a bay is, not how it lies: it is taken level unless heights are given
for both of its ends.  The posts then lean as the corners say.  A post's face is measured at its foot: the next
bay starts that far to the right of the lower right corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, sqrt

from nesting.outline import Ring, polygon_ring
from nesting.readings import Adjusted, Corners
from nesting.taping.quadrilaterals import tidy
from shared.units import SNAP_MM, format_length

OFF_LEVEL_MM = 3.175
"""What a lower edge may be out of level by, unnoticed: 1/8 in from end to end (c)."""


@dataclass(frozen=True)
class Standing:
    """A bay in side coordinates (mm); corners as in `nesting.taping.quadrilaterals`."""

    adjusted: Adjusted
    corners: Corners

    @property
    def ring(self) -> Ring:
        """The outline of the opening, counter-clockwise from its lower left corner."""
        return polygon_ring(self.corners)

    @property
    def lean_left(self) -> float:
        """How far the left post's edge leans over its height, in mm, positive to the right."""
        return self.corners[3][0] - self.corners[0][0]

    @property
    def lean_right(self) -> float:
        """How far the right post's edge leans over its height, in mm, positive to the right."""
        return self.corners[2][0] - self.corners[1][0]


@dataclass(frozen=True)
class LeanMismatch:
    """A post whose two edges, by the readings of the bays beside it, do not run alike (``bay`` to its left).

    ``foot`` and ``head`` are its widths at the lower and upper end of what the two bays share, in mm;
    ``explained`` is how far they may differ by the tape and a lower edge a little out of level alone, None where
    a lean was assumed, not measured.
    """

    bay: int
    foot: float
    head: float
    explained: float | None

    @property
    def crosses(self) -> bool:
        """Whether the two openings would run into one another."""
        return self.head <= SNAP_MM


def standing(
    adjusted: Adjusted, x: float = 0.0, sill_left: float = 0.0, sill_right: float | None = None
) -> Standing:
    """The bay with its lower left corner at (``x``, ``sill_left``), lower edge level or up to ``sill_right``.

    Raises `ValueError` where the sills differ by as much as the lower edge is long.
    """
    rise = 0.0 if sill_right is None else sill_right - sill_left
    bottom = adjusted.corners[1][0]
    if abs(rise) >= bottom:
        raise ValueError("the sills differ by as much as the lower edge is long")
    c, s = sqrt(1 - (rise / bottom) ** 2), rise / bottom
    lower_left, lower_right, upper_right, upper_left = (
        (tidy(x + px * c - py * s), tidy(sill_left + px * s + py * c)) for px, py in adjusted.corners
    )
    return Standing(adjusted, (lower_left, lower_right, upper_right, upper_left))


def row(
    bays: Sequence[Adjusted], posts: Sequence[float], sills: Sequence[tuple[float, float]] = ()
) -> tuple[Standing, ...]:
    """Bays from left to right, the first at x = 0; ``sills`` are heights of each one's lower corners (or level)."""
    x, stood = 0.0, []
    for number, adjusted in enumerate(bays):
        low_left, low_right = sills[number] if sills else (0.0, 0.0)
        stood.append(standing(adjusted, x, low_left, low_right))
        if number < len(posts):
            x = stood[-1].corners[1][0] + posts[number]
    return tuple(stood)


def lean_mismatch(stood: Sequence[Standing]) -> tuple[LeanMismatch, ...]:
    """Posts that would taper by more than the tape explains, or be nothing at the top."""
    found = []
    for number, (left, right) in enumerate(pairwise(stood), start=1):
        (lean_a, low_a, high_a), (lean_b, low_b, high_b) = _edge(left, 1, 2), _edge(right, 0, 3)
        low, high = max(low_a, low_b), min(high_a, high_b)
        if high <= low:
            continue
        gap = right.corners[0][0] - left.corners[1][0]
        foot, head = (gap + lean_b * (y - low_b) - lean_a * (y - low_a) for y in (low, high))
        play_a, play_b = _play(left, 1, high_a - low_a), _play(right, 0, high_b - low_b)
        explained = None if play_a is None or play_b is None else hypot(play_a, play_b) * (high - low)
        mismatch = LeanMismatch(number, foot, head, explained)
        if mismatch.crosses or (explained is not None and abs(head - foot) > explained + SNAP_MM):
            found.append(mismatch)
    return tuple(found)


def _edge(bay: Standing, lower: int, upper: int) -> tuple[float, float, float]:
    """How far an edge runs sideways for each mm up, and the heights of its two ends."""
    (x0, y0), (x1, y1) = bay.corners[lower], bay.corners[upper]
    return ((x1 - x0) / (y1 - y0) if y1 > y0 else 0.0), y0, y1


def _play(bay: Standing, edge: int, height: float) -> float | None:
    """How far the left (0) or right (1) post may really lean otherwise, in mm for each mm up."""
    if bay.adjusted.lean_errors is None:
        return None
    return hypot(bay.adjusted.lean_errors[edge] / height, OFF_LEVEL_MM / bay.adjusted.corners[1][0])


def mismatch_text(mismatch: LeanMismatch, units: str) -> str:
    """The post in words, with the bays beside it, in the units of the tape."""
    bays = f"bays {mismatch.bay} and {mismatch.bay + 1}"
    foot = format_length(mismatch.foot, units, with_unit=True)
    if mismatch.crosses:
        return (
            f"{bays} would run into one another above the post, {foot} wide at its foot; measure both again"
        )
    taper = mismatch.head - mismatch.foot
    by = format_length(abs(taper), units, with_unit=True, direction="up")
    text = f"{bays}: by their readings the post between them, {foot} wide at its foot, is {by}"
    text += f" {'wider' if taper > 0 else 'narrower'} at its top"
    if mismatch.explained is not None:
        most = format_length(mismatch.explained, units, with_unit=True, direction="down")
        text += f"; the tape and lower edges a little out of level explain {most} at most"
    return f"{text}; measure both again, and see whether their lower edges are level"
