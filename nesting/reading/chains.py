"""Lines and arcs that meet end to end, joined to closed contours; where they do not meet, the place and the gap."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor, hypot
from typing import TypeAlias

from nesting.outline import Ring, Vertex, edge_length
from nesting.reading.edgegaps import Point
from nesting.reading.outlinechecks import OutlineProblem

JOIN_MM = 0.01
"""Ends nearer than this are one corner: more than a drawing program rounds, less than any gap that is meant."""

MAX_OPEN_ENDS = 200
"""With more ends than this left open the layer holds no outline, and pairing them would tell nothing."""

_CROWD = 50
"""Ends kept of those in one cell of a hundredth of a millimetre: a drawing of dust must not stall the planner."""

Stroke: TypeAlias = tuple[Vertex, ...]
"""An open line of straight and curved edges through its vertices; the last vertex's bulge means nothing."""


@dataclass(frozen=True)
class Joined:
    """The closed contours, and what kept other strokes from closing, each with its place."""

    contours: tuple[Ring, ...]
    problems: tuple[OutlineProblem, ...]


@dataclass(frozen=True)
class _End:
    """One end of a stroke: its number, and whether it is the last vertex rather than the first."""

    stroke: int
    last: bool


_Knots: TypeAlias = dict[int, list[_End]]


def joined(strokes: Sequence[Stroke], shown: Callable[[float], str] = "{:.6g}".format) -> Joined:
    """The strokes joined to closed contours wherever two ends come within `JOIN_MM` of one another.

    ``shown`` writes a length in mm as messages tell it.  Strokes of no length are left out; strokes drawn
    twice, ends that are left open and corners where three or more strokes meet are problems.
    """
    strokes = [stroke for stroke in strokes if _length(stroke) > JOIN_MM]
    ends = [(i, last) for i in range(len(strokes)) for last in (False, True)]
    numbers = _clusters([_place(strokes[i], last) for i, last in ends])
    knots = dict(zip(ends, numbers, strict=True))
    twice = _drawn_twice(strokes, knots)
    problems = [_twice(strokes[i]) for i in twice]
    at_knot: _Knots = defaultdict(list)
    for (i, last), knot in knots.items():
        if i not in twice:
            at_knot[knot].append(_End(i, last))
    problems += [_fork(strokes, ends) for ends in at_knot.values() if len(ends) > 2]
    open_ends = [ends[0] for ends in at_knot.values() if len(ends) == 1]
    problems += _openings([_place(strokes[end.stroke], end.last) for end in open_ends], shown)
    return Joined(tuple(_closed(strokes, knots, at_knot)), tuple(problems))


def _place(stroke: Stroke, last: bool) -> Point:
    return stroke[-1][:2] if last else stroke[0][:2]


def _length(stroke: Stroke) -> float:
    return sum(edge_length(a, b) for a, b in pairwise(stroke) if a[:2] != b[:2])


def _clusters(points: Sequence[Point]) -> list[int]:
    """A number for each point, the same for points that are joined, directly or over others between."""
    parent = list(range(len(points)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, (x, y) in enumerate(points):
        column, row = floor(x / JOIN_MM), floor(y / JOIN_MM)
        for cell in ((column + dx, row + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)):
            # One member of a cluster in a cell would not do: the cluster may reach further than the cell.
            for other in cells.get(cell, ()):
                if hypot(x - points[other][0], y - points[other][1]) <= JOIN_MM:
                    parent[root(i)] = root(other)
        if len(cells[column, row]) < _CROWD:
            cells[column, row].append(i)
    return [root(i) for i in range(len(points))]


def _drawn_twice(strokes: Sequence[Stroke], knots: dict[tuple[int, bool], int]) -> set[int]:
    """Numbers of the strokes that lie on an earlier one between the same ends."""
    between: dict[tuple[int, int], list[int]] = defaultdict(list)
    found = set()
    for i, stroke in enumerate(strokes):
        first, last = sorted((knots[i, False], knots[i, True]))
        same_ends = between[first, last]
        if len(same_ends) >= _CROWD:
            continue
        if any(_same(stroke, strokes[other]) for other in same_ends):
            found.add(i)
        else:
            same_ends.append(i)
    return found


def _same(one: Stroke, other: Stroke) -> bool:
    return _follows(one, other) or _follows(one, backwards(other))


def _follows(one: Stroke, other: Stroke) -> bool:
    if len(one) != len(other):
        return False
    near = all(hypot(p[0] - q[0], p[1] - q[1]) <= 2 * JOIN_MM for p, q in zip(one, other, strict=True))
    return near and all(abs(p[2] - q[2]) < 1e-3 for p, q in zip(one[:-1], other[:-1], strict=True))


def backwards(stroke: Stroke) -> Stroke:
    """The same stroke, run the other way (bulges change sign and edge)."""
    bulges = (*(-bulge for _, _, bulge in stroke[-2::-1]), 0.0)
    return tuple((x, y, bulge) for (x, y, _), bulge in zip(stroke[::-1], bulges, strict=True))


def _closed(strokes: Sequence[Stroke], knots: dict[tuple[int, bool], int], at_knot: _Knots) -> Iterator[Ring]:
    """Contours, each walked from its first stroke, for as long as every corner joins just two ends."""
    used: set[int] = set()
    for first in sorted({end.stroke for ends in at_knot.values() for end in ends}):
        if first in used:
            continue
        walk = [_End(first, last=False)]
        used.add(first)
        while (following := _following(walk[-1], knots, at_knot)) and following.stroke not in used:
            walk.append(following)
            used.add(following.stroke)
        if following == walk[0]:
            yield tuple(vertex for end in walk for vertex in _run(strokes[end.stroke], end.last)[:-1])


def _following(entered: _End, knots: dict[tuple[int, bool], int], at_knot: _Knots) -> _End | None:
    """The end by which the next stroke is entered, after the one entered by ``entered`` is run along."""
    left = _End(entered.stroke, not entered.last)
    ends = at_knot[knots[left.stroke, left.last]]
    return next((end for end in ends if end != left), None) if len(ends) == 2 else None


def _run(stroke: Stroke, from_last: bool) -> Stroke:
    return backwards(stroke) if from_last else stroke


def _twice(stroke: Stroke) -> OutlineProblem:
    return OutlineProblem("has a line that is drawn twice", "delete one of the two", at=stroke[0][:2])


def _fork(strokes: Sequence[Stroke], ends: Sequence[_End]) -> OutlineProblem:
    what = f"has a corner where {len(ends)} lines meet"
    remedy = "an outline has two lines at each corner; move others to a layer of their own"
    return OutlineProblem(what, remedy, at=_place(strokes[ends[0].stroke], ends[0].last))


def _openings(places: Sequence[Point], shown: Callable[[float], str]) -> Iterator[OutlineProblem]:
    """The open ends, paired with their nearest: one opening for two ends."""
    remedy = "join the ends, or move lines that belong to no outline to a layer of their own"
    if len(places) > MAX_OPEN_ENDS:
        yield OutlineProblem(f"is open at {len(places)} ends of lines, the first", remedy, at=places[0])
        return
    pairs = sorted(
        (hypot(p[0] - q[0], p[1] - q[1]), i, j)
        for i, p in enumerate(places)
        for j, q in enumerate(places[:i])
    )
    left = set(range(len(places)))
    for distance, i, j in pairs:
        if i in left and j in left:
            left -= {i, j}
            yield OutlineProblem(f"is open, with a gap of {shown(distance)},", remedy, at=places[j])
    # An end without a partner is left where its stroke runs into a corner of three.
    for i in sorted(left):
        yield OutlineProblem("has a line that ends in nothing", remedy, at=places[i])
