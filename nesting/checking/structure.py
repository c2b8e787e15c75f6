"""What the job says about the structure behind the skin, read anew for the plan check.

Openings, posts and rails in side coordinates, the cells between them, and what a seam needs behind it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nesting.checking.shapes import HAIR, extent, turning_left
from nesting.checking.skin import Skin, area_within, skin_over
from nesting.job import Job, SeamKind, SeamRules, Side
from nesting.outline import Ring
from nesting.plan import Panel, Plan

FAR = 1e7
"""mm: farther than any side reaches."""

Cell = tuple[int, int]
Point = tuple[float, float]


class Span(NamedTuple):
    """How far a bay reaches, or what lies of it between two rails."""

    left: float
    right: float
    low: float
    high: float


@dataclass(frozen=True)
class Opening:
    """A bay in side coordinates: its outline, how far that reaches, and where its windows are measured from."""

    ring: Ring
    span: Span
    origin: Point
    drawn: bool
    """Whether it is more than a rectangle."""

    def between(self, low: float, high: float) -> BaseGeometry:
        """What lies of it between two heights."""
        return area_within(self.ring).intersection(box(self.span.left - 1, low, self.span.right + 1, high))


@dataclass(frozen=True)
class Frame:
    """One side's structure: bays from left to right, post centre lines, rails and strips from below.

    ``skin`` is the side closed in one piece, lands included.
    """

    side: Side
    bays: tuple[Span, ...]
    openings: tuple[Opening, ...]
    posts: tuple[float, ...]
    rails: tuple[float, ...]
    skin: Skin
    cells: frozenset[Cell] = frozenset()

    def face(self, post: int) -> float:
        """The width of a post that a plumb seam can use: less than was told where it leans."""
        return min(self.side.posts[post - 1], self.bays[post].left - self.bays[post - 1].right)

    def span(self, bay: int, first_row: int, last_row: int) -> Span | None:
        """What lies of a bay between two rails; None where the opening does not reach there."""
        whole = self.bays[bay - 1]
        floor, ceiling = self.rail_under(first_row), self.rail_over(last_row)
        low, high = max(whole.low, floor), min(whole.high, ceiling)
        if high <= low + HAIR:
            return None
        return Span(whole.left, whole.right, low, high)

    def rail_under(self, row: int) -> float:
        """The rail below a row, far down where there is none."""
        return self.rails[row - 2] if row > 1 else -FAR

    def rail_over(self, row: int) -> float:
        """The rail above a row, far up where there is none."""
        return self.rails[row - 1] if row <= len(self.rails) else FAR

    def cells_of(self, panel: Panel) -> list[Cell]:
        """The cells in a panel's block of bays and rows, those that exist."""
        return [
            (bay, row)
            for bay in range(panel.first_bay, panel.last_bay + 1)
            for row in range(panel.first_row, panel.last_row + 1)
            if (bay, row) in self.cells
        ]


def frame_of(job: Job, side: Side, plan: Plan) -> Frame:
    """Openings side by side from x = 0, and the cells into which rails and backing strips divide them."""
    openings = tuple(_openings(side))
    spans = tuple(opening.span for opening in openings)
    posts = tuple((left.right + right.left) / 2 for left, right in pairwise(spans))
    rails = sorted({*side.rails, *(strip.height for strip in plan.backing if strip.side == side.name)})
    skin = skin_over([opening.ring for opening in openings], job.land)
    frame = Frame(side, spans, openings, posts, tuple(rails), skin)
    rows = range(1, len(rails) + 2)
    numbers = range(1, len(openings) + 1)
    cells = frozenset((bay, row) for bay in numbers for row in rows if frame.span(bay, row, row))
    return replace(frame, cells=cells)


def _openings(side: Side) -> Iterator[Opening]:
    """Each bay's lower left corner stands at the width of its foot and of the post past that of the bay before."""
    at = 0.0
    for number, bay in enumerate(side.bays):
        if bay.outline is None:
            span = Span(at, at + bay.width, bay.sill, bay.sill + bay.height)
            yield Opening(_box_ring(span), span, (at, bay.sill), drawn=False)
        else:
            ring = turning_left(tuple((x + at, y + bay.sill, bulge) for x, y, bulge in bay.outline))
            x0, y0, x1, y1 = extent(ring)
            yield Opening(ring, Span(x0, x1, y0, y1), (at, bay.sill), drawn=True)
        at += bay.width + (side.posts[number] if number < len(side.posts) else 0.0)


def reach_of(rules: SeamRules) -> float:
    """How far a panel runs past the centre line under a seam, negative for a butt seam."""
    if rules.kind is SeamKind.BUTT:
        return -rules.butt_gap / 2
    return rules.edge_distance + (rules.row_spacing / 2 if rules.rows == 2 else 0.0)


def post_width_needed(job: Job) -> float:
    """The face a seam needs behind it: both laps, or two rivet lines with their edges and a hole."""
    rules = job.seam
    if rules.kind is SeamKind.BUTT:
        return rules.butt_gap + 2 * rules.edge_distance + job.rivets.diameter
    return 2 * reach_of(rules)


def strip_size_of(job: Job, frame: Frame, bay: int, height: float) -> tuple[float, float]:
    """Length and width of a backing strip across a bay, from the middle of one post to that of the next.

    It is as wide as a lap, or holds both rivet lines of a butt seam with an edge distance on either side.
    """
    first, last = frame.skin.reach(1, height)
    left = frame.posts[bay - 2] if bay > 1 else first
    right = frame.posts[bay - 1] if bay < len(frame.bays) else last
    reach = reach_of(job.seam)
    return right - left, 2 * reach if reach > 0 else -2 * reach + 4 * job.seam.edge_distance


def _box_ring(span: Span) -> Ring:
    left, right, low, high = span
    return ((left, low, 0.0), (right, low, 0.0), (right, high, 0.0), (left, high, 0.0))
