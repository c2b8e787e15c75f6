"""Lines of a drawing as values, and whether they are those that are wanted: each there, none twice, none more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import dist, hypot
from typing import NamedTuple

import shapely
from shapely import STRtree

from nesting.checking.shapes import HAIR, Edge, Point, extent, ring_edges, turning_left
from nesting.outline import Ring

SAME = 1e-4
"""mm: two places of a drawing this near are one."""

FLUSH = 0.011
"""mm: parts this near to one another share one cut."""

CRUMB = 0.05
"""mm: a stretch shorter than this is no line."""

Span = tuple[float, float]

Cell = tuple[int, int]
"""A square millimetre, to find again what is near."""


class Line(NamedTuple):
    """A line through vertices (x, y, bulge), in mm."""

    layer: str
    ring: Ring
    closed: bool


class Round(NamedTuple):
    """A circle, in mm."""

    layer: str
    x: float
    y: float
    diameter: float


class Words(NamedTuple):
    """A line of text and the point that it is set at, in mm."""

    layer: str
    x: float
    y: float
    text: str


@dataclass(frozen=True)
class Drawn:
    """What a drawing holds, in mm; ``unit`` is the mm of one of its units, None where it names none that we know.

    ``others`` are kinds of things that have no business in a cut file, each with its layer.
    """

    unit: float | None
    lines: tuple[Line, ...] = ()
    rounds: tuple[Round, ...] = ()
    words: tuple[Words, ...] = ()
    others: tuple[tuple[str, str], ...] = ()


class Wanted(NamedTuple):
    """A closed line that must be drawn, and what it is: ``part D1: its outline``."""

    what: str
    ring: Ring


class Piece(NamedTuple):
    """An edge that must be drawn, and what it belongs to."""

    what: str
    edge: Edge


def at(point: Point) -> str:
    """A place as messages tell it."""
    return f"({point[0]:.2f}, {point[1]:.2f})"


def same_ring(wanted: Ring, found: Ring, shift: tuple[float, ...] = (0.0, 0.0), near: float = HAIR) -> bool:
    """Whether two counter-clockwise rings have the same corners and bulges, wherever they begin."""
    if len(wanted) != len(found):
        return False
    moved = [(x + shift[0], y + shift[1], bulge) for x, y, bulge in wanted]
    return any(
        all(
            hypot(x - u, y - v) <= near and abs(b - d) <= HAIR
            for (x, y, b), (u, v, d) in zip(moved, (*found[k:], *found[:k]), strict=True)
        )
        for k in range(len(found))
        if hypot(moved[0][0] - found[k][0], moved[0][1] - found[k][1]) <= near
    )


def without_dust(ring: Ring, closed: bool = True) -> Ring:
    """The ring without edges of no length: a repeated vertex keeps the bulge of the later one."""
    after = [*ring[1:], ring[0]] if closed else [*ring[1:], None]
    return tuple(
        vertex
        for vertex, then in zip(ring, after, strict=True)
        if then is None or dist(vertex[:2], then[:2]) > HAIR
    )


def pieces_of(line: Line) -> list[Edge]:
    """The edges of a line, in order."""
    if len(line.ring) < 2:
        return []
    found = ring_edges(line.ring)
    return found if line.closed else found[:-1]


@dataclass
class Rings:
    """Closed lines by where their extent begins, to find one again quickly."""

    near: dict[Cell, list[int]] = field(default_factory=lambda: defaultdict(list))
    rings: list[Ring] = field(default_factory=list)

    def add(self, ring: Ring) -> None:
        self.near[_cell(extent(ring)[:2])].append(len(self.rings))
        self.rings.append(turning_left(ring))

    def like(self, ring: Ring) -> Iterator[int]:
        """The numbers of those that are this ring, wherever they begin and whichever way they run."""
        turned = turning_left(ring)
        for cell in _cells_round(extent(ring)[:2]):
            for number in self.near.get(cell, ()):
                if same_ring(turned, self.rings[number], near=SAME):
                    yield number


def match_rings(wanted: Sequence[Wanted], lines: Sequence[Line]) -> tuple[list[Wanted], list[Line]]:
    """The wanted rings that no closed line is, and the lines that are none of those wanted or one too many."""
    index, closed = Rings(), [line for line in lines if line.closed]
    for line in closed:
        index.add(line.ring)
    taken: set[int] = set()
    missing = []
    for want in wanted:
        found = next((number for number in index.like(without_dust(want.ring)) if number not in taken), None)
        if found is None:
            missing.append(want)
        else:
            taken.add(found)
    extra = [line for number, line in enumerate(closed) if number not in taken]
    return missing, extra + [line for line in lines if not line.closed]


def uncovered(
    wanted: Sequence[Piece], drawn: Sequence[Edge], across: float, crumb: float
) -> Iterator[tuple[Piece, Point, Point]]:
    """Stretches of wanted edges longer than ``crumb`` over which no drawn edge lies; an arc is drawn whole or not."""
    straight = [edge for edge in drawn if not edge.radius]
    near = _neighbours([piece.edge for piece in wanted], straight, across)
    arcs: dict[Cell, list[Edge]] = defaultdict(list)
    for edge in drawn:
        if edge.radius:
            arcs[_cell(edge.centre)].append(edge)
    for number, piece in enumerate(wanted):
        edge = piece.edge
        if edge.radius:
            places = [arcs[cell] for cell in _cells_round(edge.centre) if cell in arcs]
            own = next(((place, arc) for place in places for arc in place if same_arc(edge, arc)), None)
            if own is None:
                yield piece, edge.start, edge.end
            else:
                own[0].remove(own[1])
            continue
        spans = [over for i in near[number] if (over := overlap(edge, straight[i], across))]
        reached = 0.0
        length = dist(edge.start, edge.end)
        for low, high in [*sorted(spans), (length, length)]:
            if low - reached > crumb:
                yield piece, _along(edge, reached), _along(edge, low)
            reached = max(reached, high)


def sharing(rings: Sequence[Wanted], others: Sequence[Wanted]) -> set[str]:
    """What those rings are that have a stretch of straight edge in common with one of other ones."""
    ours, theirs = ([(w, edge) for w in each for edge in ring_edges(w.ring)] for each in (rings, others))
    near = _neighbours([edge for _, edge in ours], [edge for _, edge in theirs], FLUSH)
    found = set()
    for number, (want, edge) in enumerate(ours):
        for i in near[number]:
            other, beside = theirs[i]
            if other.what == want.what or edge.radius or beside.radius:
                continue
            span = overlap(edge, beside, FLUSH)
            if span and span[1] - span[0] > CRUMB:
                found.add(want.what)
    return found


def doubled(edges: Sequence[Edge], others: Sequence[Edge], across: float) -> Iterator[tuple[Edge, Span]]:
    """Straight edges over which another one lies for longer than a crumb."""
    near = _neighbours(edges, others, across)
    for number, edge in enumerate(edges):
        for i in near[number]:
            if others[i] is edge or edge.radius or others[i].radius:
                continue
            span = overlap(edge, others[i], across)
            if span and span[1] - span[0] > CRUMB:
                yield edge, span


def overlap(edge: Edge, other: Edge, across: float) -> Span | None:
    """From where to where along a straight edge another one lies on it, in mm; None where it does not."""
    length = dist(edge.start, edge.end)
    if length <= HAIR:
        return None
    (x0, y0), (x1, y1) = edge.start, edge.end
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    ends = [(x - x0, y - y0) for x, y in (other.start, other.end)]
    if any(abs(dx * uy - dy * ux) > across for dx, dy in ends):
        return None
    low, high = sorted(dx * ux + dy * uy for dx, dy in ends)
    low, high = max(0.0, low), min(length, high)
    return (low, high) if high > low else None


def same_arc(one: Edge, other: Edge) -> bool:
    """Whether two arcs are one, whichever way they run."""
    if not one.radius or not other.radius or dist(one.centre, other.centre) > SAME:
        return False
    if (one.sweep > 0) == (other.sweep > 0):
        ends = dist(one.start, other.start), dist(one.end, other.end)
    else:
        ends = dist(one.start, other.end), dist(one.end, other.start)
    return max(ends) <= SAME and abs(one.radius - other.radius) <= SAME


def _neighbours(edges: Sequence[Edge], others: Sequence[Edge], across: float) -> dict[int, list[int]]:
    """The numbers of the other edges that come near to each edge."""
    found: dict[int, list[int]] = defaultdict(list)
    if edges and others:
        ours, theirs = (shapely.linestrings([[e.start, e.end] for e in each]) for each in (edges, others))
        pairs = STRtree(theirs).query(ours, predicate="dwithin", distance=across + CRUMB)
        for one, other in pairs.T.tolist():
            found[one].append(other)
    return found


def _along(edge: Edge, length: float) -> Point:
    share = length / (dist(edge.start, edge.end) or 1.0)
    return (
        edge.start[0] + share * (edge.end[0] - edge.start[0]),
        edge.start[1] + share * (edge.end[1] - edge.start[1]),
    )


def _cell(point: Point) -> Cell:
    return round(point[0]), round(point[1])


def _cells_round(point: Point) -> list[Cell]:
    x, y = _cell(point)
    return [(i, j) for i in (x, x - 1, x + 1) for j in (y, y - 1, y + 1)]
