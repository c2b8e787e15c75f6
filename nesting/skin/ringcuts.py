"""Outlines cut along plumb and level lines, and crossed by them; arcs stay arcs, corners on a line are exact."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, atan, atan2, cos, pi, sin, tan

from nesting.outline import Box, Ring, Vertex, arc_centre, edges, without_repeats

FAR = float("inf")

ON_LINE = 1e-9
"""mm: a corner this near to a line lies on it."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """A plumb line (``axis`` 0: x = ``at``) or a level one (``axis`` 1: y = ``at``).

    ``keep`` 1 keeps what lies to the right or above, -1 what lies to the left or below.
    """

    axis: int
    at: float
    keep: int = 1

    def height(self, point: Sequence[float]) -> float:
        """How far a point lies on the side that is kept; 0 on the line."""
        off = self.keep * (point[self.axis] - self.at)
        return 0.0 if abs(off) < ON_LINE else off

    def along(self, point: Sequence[float]) -> float:
        """Where a point lies on the line, growing with what is kept on the left hand."""
        sign = -self.keep if self.axis == 0 else self.keep
        return sign * point[1 - self.axis]

    def on_it(self, other: float) -> Point:
        """The point of the line with this other coordinate."""
        return (self.at, other) if self.axis == 0 else (other, self.at)


@dataclass(frozen=True)
class _Piece:
    """A stretch of an edge that lies on one side of the line."""

    start: Point
    end: Point
    bulge: float
    kept: bool


def clipped(ring: Ring, limits: Box) -> Ring:
    """What of a counter-clockwise ring lies within limits, in one piece; empty where nothing does or it falls apart."""
    pieces: tuple[Ring, ...] = (ring,)
    for axis, limit, keep in ((0, limits[0], 1), (0, limits[2], -1), (1, limits[1], 1), (1, limits[3], -1)):
        if abs(limit) != FAR:
            pieces = tuple(cut for piece in pieces for cut in cut_along(piece, Line(axis, limit, keep)))
    return pieces[0] if len(pieces) == 1 else ()


def cut_along(ring: Ring, line: Line) -> tuple[Ring, ...]:
    """The pieces of a counter-clockwise ring on the side of the line that is kept."""
    heights = [line.height(vertex) for vertex in ring]
    if not ring or (min(heights) >= 0 and all(bulge == 0 for _, _, bulge in ring)):
        return (ring,) if ring else ()
    pieces = [piece for start, end in edges(ring) for piece in _split(start, end, line)]
    if all(piece.kept for piece in pieces):
        return (ring,)
    return tuple(_closed(_chains(pieces), line))


def crossings(ring: Ring, axis: int, at: float) -> list[float]:
    """The other coordinates, ascending, at which a plumb (axis 0) or level line crosses an outline.

    An edge that lies on the line counts with both its ends.
    """
    line = Line(axis, at)
    found = []
    for start, end in edges(ring):
        for piece in _split(start, end, line):
            found += [p[1 - axis] for p in (piece.start, piece.end) if line.height(p) == 0.0]
    kept: list[float] = []
    for value in sorted(found):
        if not kept or value - kept[-1] > ON_LINE:
            kept.append(value)
    return kept


def inner_stretches(ring: Ring, axis: int, at: float) -> list[tuple[float, float]]:
    """The stretches of a plumb (axis 0) or level line that lie inside an outline, low to high."""
    line = Line(axis, at)
    pieces = [piece for start, end in edges(ring) for piece in _split(start, end, line)]
    ends = sorted(p[1 - axis] for chain in _chains(pieces) for p in (chain[0].start, chain[-1].end))
    return [(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b - a > ON_LINE]


def _split(start: Vertex, end: Vertex, line: Line) -> Iterator[_Piece]:
    """An edge in stretches that lie on one side of the line, in order; what lies on the line is not kept."""
    if start[2] == 0.0:
        yield from _split_straight(start, end, line)
        return
    cx, cy, radius = arc_centre(start, end)
    sweep = 4 * atan(start[2])
    first = atan2(start[1] - cy, start[0] - cx)
    turns = [0.0, *_arc_turns((cx, cy), radius, first, sweep, line), abs(sweep)]
    sign = 1.0 if sweep > 0 else -1.0
    points = [(start[0], start[1])]
    for turn in turns[1:-1]:
        angle = first + sign * turn
        x, y = cx + radius * cos(angle), cy + radius * sin(angle)
        points.append(line.on_it((x, y)[1 - line.axis]))
    points.append((end[0], end[1]))
    for i, (a, b) in enumerate(pairwise(turns)):
        middle = first + sign * (a + b) / 2
        kept = line.height((cx + radius * cos(middle), cy + radius * sin(middle))) > 0
        bulge = start[2] if len(turns) == 2 else tan(sign * (b - a) / 4)
        yield _Piece(points[i], points[i + 1], bulge, kept)


def _split_straight(start: Vertex, end: Vertex, line: Line) -> Iterator[_Piece]:
    a, b = (start[0], start[1]), (end[0], end[1])
    high, low = line.height(a), line.height(b)
    if high * low >= 0:
        yield _Piece(a, b, 0.0, high > 0 or low > 0)
        return
    share = high / (high - low)
    other = 1 - line.axis
    middle = line.on_it(a[other] + share * (b[other] - a[other]))
    yield _Piece(a, middle, 0.0, high > 0)
    yield _Piece(middle, b, 0.0, low > 0)


def _arc_turns(centre: Point, radius: float, first: float, sweep: float, line: Line) -> list[float]:
    """How far along its arc (radians, ascending) an edge crosses the line, its ends left out."""
    share = (line.at - centre[line.axis]) / radius
    if abs(share) >= 1:
        return []
    half = acos(share)
    middle = 0.0 if line.axis == 0 else pi / 2
    hair = ON_LINE / radius
    turns = []
    for angle in (middle + half, middle - half):
        turn = (angle - first) % (2 * pi) if sweep > 0 else (first - angle) % (2 * pi)
        if hair < turn < abs(sweep) - hair:
            turns.append(turn)
    return sorted(turns)


def _chains(pieces: Sequence[_Piece]) -> list[list[_Piece]]:
    """Runs of kept stretches round the ring, each from the line back to the line."""
    first = next((i for i, piece in enumerate(pieces) if not piece.kept), 0)
    chains: list[list[_Piece]] = []
    running = False
    for piece in (*pieces[first:], *pieces[:first]):
        if piece.kept:
            if not running:
                chains.append([])
            chains[-1].append(piece)
        running = piece.kept
    return chains


def _closed(chains: list[list[_Piece]], line: Line) -> Iterator[Ring]:
    """The chains closed along the line: from the end of each on to the next beginning there is."""
    waiting = sorted(chains, key=lambda chain: line.along(chain[0].start))
    while waiting:
        ring = [waiting.pop(0)]
        beginning = line.along(ring[0][0].start)
        while True:
            end = line.along(ring[-1][-1].end)
            onward = [chain for chain in waiting if line.along(chain[0].start) >= end - ON_LINE]
            if not onward or end - ON_LINE <= beginning <= line.along(onward[0][0].start):
                break
            ring.append(onward[0])
            waiting.remove(onward[0])
        made = _ring(piece for chain in ring for piece in (*chain, None))
        if len(made) >= 2:
            yield made


def _ring(pieces: Iterable[_Piece | None]) -> Ring:
    """Stretches as a ring; after a ``None`` a straight edge along the line follows."""
    vertices: list[Vertex] = []
    last: Point | None = None
    for piece in pieces:
        if piece is None:
            if last is not None:
                vertices.append((last[0], last[1], 0.0))
        else:
            vertices.append((piece.start[0], piece.start[1], piece.bulge))
            last = piece.end
    return without_repeats(tuple(vertices))
