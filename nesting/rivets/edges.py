"""Panels as rivet lines see them: the outline set inwards, cut into seam rows and outer edges."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan2, degrees

from shapely.geometry import Polygon

from nesting.job import Job, SeamRules, Side, Window
from nesting.outline import Box, Ring, bounds, counter_clockwise, rectangle
from nesting.plan import Panel, Point, Seam
from nesting.rivets.insets import Points, chords, hugged, inset
from nesting.skin.openings import outline_openings

ON_LINE = 0.01
"""mm: an inset edge this near to where a seam's row belongs is that row (arithmetic is far finer)."""

HAIR = 1e-6
"""mm: a line exactly one edge distance clear of a hole is not cut by it."""

_QUARTER = 64
"""Chords to a quarter circle about the corner of a hole: 0.001 mm off it at usual distances."""

_INWARD = 1e-4
"""mm: how far inside a panel a row is probed when it lies on the panel's own inset edge."""


@dataclass(frozen=True)
class InsetEdge:
    """A piece of a panel's inset outline, run counter-clockwise; ``seam`` is the seam that it is a row of."""

    start: Point
    end: Point
    seam: Seam | None

    @property
    def way(self) -> Point:
        """From start to end."""
        return self.end[0] - self.start[0], self.end[1] - self.start[1]

    def turn_to(self, after: InsetEdge) -> float:
        """By how many degrees another edge turns from this one, to either hand."""
        (ax, ay), (bx, by) = self.way, after.way
        return degrees(atan2(abs(ax * by - ay * bx), ax * bx + ay * by))

    @property
    def hand(self) -> str:
        """Which outer edge it follows: nearer to level than 45 degrees it is the top or the bottom."""
        dx, dy = self.way
        if abs(dy) <= abs(dx):
            return "bottom" if dx > 0 else "top"
        return "right" if dy > 0 else "left"


@dataclass(frozen=True)
class RivetSheet:
    """A panel, its inset outline as rings and as classified edges, and the zones lines keep out of."""

    panel: Panel
    rings: tuple[Points, ...]
    edges: tuple[tuple[InsetEdge, ...], ...]
    zones: tuple[Polygon, ...]


def rivet_sheet(job: Job, side: Side, panel: Panel, seams: Sequence[Seam]) -> RivetSheet:
    """The panel made ready for rivet lines; ``seams`` may hold others than its own."""
    distance = job.seam.edge_distance
    own = [seam for seam in seams if panel.name in (seam.over, seam.under)]
    rings = inset(panel.outline, distance)
    edges = tuple(tuple(_classified(ring, panel, own, job.seam)) for ring in rings)
    return RivetSheet(panel, rings, edges, _zones(side, panel, distance))


def seam_rows(seam: Seam, owner: RivetSheet, other: RivetSheet | None) -> list[Points]:
    """The owner's inset edges on this seam, from below or from the left, as far as the other panel reaches.

    Without ``other`` (a butt seam) they are the owner's alone.
    """
    axis = seam_axis(seam)
    found: list[Points] = []
    for edge in (edge for ring in owner.edges for edge in ring if edge.seam is seam):
        start, end = sorted((edge.start, edge.end), key=lambda p: p[1 - axis])
        if other is None:
            found.append((start, end))
            continue
        probe = start[axis] + (-_INWARD if _lies_before(other.panel, seam) else _INWARD)
        for ring in other.rings:
            for a, b in chords(ring, axis, probe):
                low = start if a < start[1 - axis] + ON_LINE else _along(start, axis, a)
                high = end if b > end[1 - axis] - ON_LINE else _along(end, axis, b)
                if high[1 - axis] - low[1 - axis] > ON_LINE:
                    found.append((low, high))
    return sorted(found)


def seam_axis(seam: Seam) -> int:
    """0 for a seam over a post, which keeps its x; 1 for one on a rail, which keeps its y."""
    return 0 if seam.after_bay is not None else 1


def window_box(side: Side, window: Window) -> Box:
    """A window in side coordinates: least x, least y, greatest x, greatest y."""
    opening = outline_openings(side)[window.bay - 1]
    x, y = opening.origin[0] + window.from_left, opening.origin[1] + window.from_bottom
    return x, y, x + window.width, y + window.height


def around(box: Box, radius: float, distance: float) -> Points:
    """The closed line ``distance`` outside a window, its corners rounded about the window's own corners."""
    x0, y0, x1, y1 = box
    radius = min(radius, (x1 - x0) / 2, (y1 - y0) / 2)
    ring = rectangle(x0 - distance, y0 - distance, x1 + distance, y1 + distance, radius + distance)
    return from_below(hugged(ring, inside=False))


def from_below(points: Sequence[Point]) -> Points:
    """A closed path that starts in the middle of its bottom edge, so that left and right come out alike."""
    (x0, y0), (x1, y1) = points[0], points[1]
    start = ((x0 + x1) / 2, (y0 + y1) / 2)
    return (start, *points[1:], points[0], start)


def hole_zone(hole: Ring, distance: float) -> Polygon:
    """What a rivet must keep out of around a hole: everything nearer to it than the distance."""
    around_it = hugged(counter_clockwise(hole), inside=False)
    return Polygon(around_it).buffer(distance - HAIR, quad_segs=_QUARTER)


def _zones(side: Side, panel: Panel, distance: float) -> tuple[Polygon, ...]:
    """What lines keep out of: each hole widened by the edge distance."""
    # a window's own line and what stops at it must be the same curve, or they would not share rivets
    windows = [(window_box(side, window), window.corner_radius) for window in side.windows]
    zones = []
    for hole in panel.holes:
        box = bounds(hole)
        radius = next((r for known, r in windows if _same_box(known, box)), None)
        if radius is None:
            zones.append(hole_zone(hole, distance))
        else:
            zones.append(Polygon(around(box, radius, distance - HAIR)))
    return tuple(zones)


def _same_box(first: Box, second: Box) -> bool:
    return all(abs(a - b) < ON_LINE for a, b in zip(first, second, strict=True))


def _lies_before(panel: Panel, seam: Seam) -> bool:
    """Whether a panel lies left of a seam over a post, or below one on a rail.

    Told by its cells: its extent misleads where a step in the side's edge leaves a spike far past the seam.
    """
    if seam.after_bay is not None:
        return panel.last_bay <= seam.after_bay
    return seam.rail is not None and panel.last_row <= seam.rail


def _classified(ring: Points, panel: Panel, seams: Sequence[Seam], rules: SeamRules) -> Iterable[InsetEdge]:
    """The edges of an inset ring, cut where a seam begins or ends on them."""
    past = rules.reach - rules.edge_distance
    at_seams = [
        (seam, seam_axis(seam), seam.start[seam_axis(seam)] + (past if _lies_before(panel, seam) else -past))
        for seam in seams
    ]
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        axis = 0 if abs(end[0] - start[0]) < abs(end[1] - start[1]) else 1
        low, high = sorted((start[1 - axis], end[1 - axis]))
        rows: list[tuple[float, float, Seam]] = []
        for seam, along, at in at_seams:
            # a short piece of a curve may come as near, but it never runs along the row
            if along != axis or abs(start[axis] - at) > ON_LINE or abs(end[axis] - start[axis]) > HAIR:
                continue
            # rows of a two-row seam run on to the farther row of a seam that crosses them
            a = max(low, min(seam.start[1 - axis], seam.end[1 - axis]) - max(0.0, past))
            b = min(high, max(seam.start[1 - axis], seam.end[1 - axis]) + max(0.0, past))
            if b - a > ON_LINE:
                rows.append((a, b, seam))
        yield from _cut(start, end, axis, rows)


def _cut(start: Point, end: Point, axis: int, rows: list[tuple[float, float, Seam]]) -> Iterable[InsetEdge]:
    """One straight edge as its seam rows (which may overlap) and the outer stretches between them."""
    if not rows:
        return (InsetEdge(start, end, None),)
    forwards = end[1 - axis] > start[1 - axis]
    low, high = (start, end) if forwards else (end, start)

    def point(at: float) -> Point:
        # the ring's own corners stay exactly what they are: other lines end there too
        if abs(at - low[1 - axis]) < HAIR:
            return low
        return high if abs(at - high[1 - axis]) < HAIR else _along(low, axis, at)

    pieces: list[InsetEdge] = []
    reached = low[1 - axis]
    for a, b, seam in sorted(rows, key=lambda row: row[:2]):
        if a - reached > ON_LINE:
            pieces.append(InsetEdge(point(reached), point(a), None))
        pieces.append(InsetEdge(point(a), point(b), seam))
        reached = max(reached, b)
    if high[1 - axis] - reached > ON_LINE:
        pieces.append(InsetEdge(point(reached), high, None))
    return pieces if forwards else [InsetEdge(p.end, p.start, p.seam) for p in reversed(pieces)]


def _along(point: Point, axis: int, at: float) -> Point:
    return (point[0], at) if axis == 0 else (at, point[1])
