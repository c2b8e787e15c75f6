"""What the job says about the structure behind the skin, read anew for the plan check.

Openings, posts and rails in side coordinates, and the skin that a block of bays must have: worked out as a
union of strips square to each edge, not by moving outlines, so that it is no copy of the panel builder.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import dist
from typing import NamedTuple

from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from nesting.job import Job, Land, SeamKind, SeamRules, Side
from nesting.plan import Panel, Plan

HAIR = 1e-6
"""mm: what sums of floats may differ by."""

FAR = 1e7
"""mm: farther than any side reaches."""

Cell = tuple[int, int]
Point = tuple[float, float]


class Span(NamedTuple):
    """A bay, or what lies of it between two rails."""

    left: float
    right: float
    low: float
    high: float


@dataclass(frozen=True)
class Frame:
    """One side's structure: bays from left to right, post centre lines, rails and strips from below.

    ``skin`` is the side closed in one piece, lands included.
    """

    side: Side
    bays: tuple[Span, ...]
    posts: tuple[float, ...]
    rails: tuple[float, ...]
    skin: BaseGeometry
    cells: frozenset[Cell] = frozenset()

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
    bays, posts, left = [], [], 0.0
    for number, bay in enumerate(side.bays):
        bays.append(Span(left, left + bay.width, bay.sill, bay.sill + bay.height))
        left += bay.width
        if number < len(side.posts):
            posts.append(left + side.posts[number] / 2)
            left += side.posts[number]
    rails = sorted({*side.rails, *(strip.height for strip in plan.backing if strip.side == side.name)})
    frame = Frame(side, tuple(bays), tuple(posts), tuple(rails), run_out(bays, job.land))
    rows = range(1, len(rails) + 2)
    numbers = range(1, len(bays) + 1)
    cells = frozenset((bay, row) for bay in numbers for row in rows if frame.span(bay, row, row))
    return replace(frame, cells=cells)


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


def strip_size_of(job: Job, frame: Frame, bay: int) -> tuple[float, float]:
    """Length and width of a backing strip across a bay, from the middle of one post to that of the next.

    It is as wide as a lap, or holds both rivet lines of a butt seam with an edge distance on either side.
    """
    span = frame.bays[bay - 1]
    left = frame.posts[bay - 2] if bay > 1 else span.left - job.land.ends
    right = frame.posts[bay - 1] if bay < len(frame.bays) else span.right + job.land.ends
    reach = reach_of(job.seam)
    return right - left, 2 * reach if reach > 0 else -2 * reach + 4 * job.seam.edge_distance


def run_out(bays: Sequence[Span], land: Land) -> BaseGeometry:
    """The openings, the posts between them, and the land square to every outer edge with mitred corners.

    Over a post between bays of unequal height the edge runs straight from corner to corner.
    """
    lower = [(x, bay.low) for bay in bays for x in (bay.left, bay.right)]
    upper = [(x, bay.high) for bay in reversed(bays) for x in (bay.right, bay.left)]
    corners = lower + upper
    outward = []
    for i, (x0, y0) in enumerate(corners):
        x1, y1 = corners[(i + 1) % len(corners)]
        level = abs(y1 - y0) < abs(x1 - x0) - HAIR
        outward.append(land.ends if not level else land.bottom if i < len(lower) else land.top)
    return _with_strips(corners, outward)


def _with_strips(corners: list[Point], outward: list[float]) -> BaseGeometry:
    """A polygon with a strip of its own width along each edge (counter-clockwise) and mitred corners."""
    edges = [
        (start, end, width)
        for start, end, width in zip(corners, corners[1:] + corners[:1], outward, strict=True)
        if dist(start, end) > HAIR
    ]
    normals = [_outward(start, end) for start, end, _ in edges]
    heads = [[_beyond(start, n, w)] for (start, _, w), n in zip(edges, normals, strict=True)]
    tails = [[_beyond(end, n, w)] for (_, end, w), n in zip(edges, normals, strict=True)]
    pieces: list[BaseGeometry] = [Polygon(corners)]
    for i, (_, corner, a) in enumerate(edges):
        j = (i + 1) % len(edges)
        b = edges[j][2]
        (px, py), (qx, qy) = p, q = normals[i], normals[j]
        turn, along = px * qy - py * qx, px * qx + py * qy
        if abs(turn) <= 1e-12:
            continue
        # The mitre is the point a beyond one edge and b beyond the other.
        mitre = corner[0] + (a * qy - b * py) / turn, corner[1] + (b * px - a * qx) / turn
        if turn > 0 and a * along > b:
            # The wide strip stops at the outer edge of the narrow one.
            tails[i] = [mitre, _beyond(corner, p, b / along)]
        else:
            pieces.append(Polygon([corner, tails[i][0], mitre]))
        if turn > 0 and b * along > a:
            heads[j] = [_beyond(corner, q, a / along), mitre]
        else:
            pieces.append(Polygon([corner, mitre, heads[j][0]]))
    for (start, end, _), head, tail in zip(edges, heads, tails, strict=True):
        pieces.append(Polygon([start, *head, *tail, end]))
    return unary_union([piece for piece in pieces if piece.area > 0])


def _outward(start: Point, end: Point) -> Point:
    length = dist(start, end)
    return (end[1] - start[1]) / length, (start[0] - end[0]) / length


def _beyond(point: Point, way: Point, distance: float) -> Point:
    return point[0] + way[0] * distance, point[1] + way[1] * distance


def height_at(shape: BaseGeometry, x: float) -> tuple[float, float]:
    """Lowest and highest point of a shape on an upright line."""
    _, low, _, high = shape.bounds
    cut = shape.intersection(box(x - HAIR, low - 1, x + HAIR, high + 1))
    if cut.is_empty:
        return low, high
    return cut.bounds[1], cut.bounds[3]
