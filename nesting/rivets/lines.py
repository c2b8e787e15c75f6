"""Rivets set on lines: lines that cross or meet share a rivet, between shared rivets the spaces are equal.

A stretch of length L between neighbouring shared rivets takes n = ceil(L / pitch) equal spaces.  No two
rivets come closer than the least pitch: a short stretch then gets fewer, wider spaces, and a rivet that
would crowd one of another line is moved along, or left out where the pitch cannot be held in any way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor

from nesting.plan import Point
from nesting.rivets.insets import Points
from nesting.rivets.paths import KINDS, LinePath
from nesting.rivets.polylines import MEET, extent, lie_apart, marks_along, meetings
from nesting.rivets.rows import NOISE, Rivets, Row, is_staggered

_CORNER = 0.94
"""Cosine of the turn (about 20 degrees) from which a closed line has a corner that takes a rivet."""

_CORNERED = ("window", "patch")
"""Lines that run round something: their corners take rivets even where a hole leaves the line open."""


@dataclass(frozen=True)
class SetLine:
    """A line with its rivets in order; ``widest`` is the widest spacing on it.

    ``counted`` are the rivets that no earlier line counts.  ``left_out`` counts rivets for which others left
    no room, ``crowded`` shared ones that stand too close all the same, ``stretched`` says that a short
    stretch is spaced wider than the pitch, ``staggered`` that rivets lie half a space off the row beside.
    """

    path: LinePath
    points: Points
    counted: int
    widest: float
    left_out: int
    crowded: int
    stretched: bool
    staggered: bool

    @property
    def where(self) -> str:
        """What the line is called wherever it is named: on lists, drawings and in warnings."""
        return f"{self.path.where}, staggered" if self.staggered else self.path.where


@dataclass
class _Node:
    """A place where lines end or meet, with how far along each line it lies.

    A corner is one where two lines that hold an edge or a seam meet: it always takes a rivet.
    """

    point: Point
    along: dict[int, float] = field(default_factory=dict)
    corner: bool = False


def whole_spaces(length: float, pitch: float) -> int:
    """The least number of equal spaces not wider than ``pitch``, at least 1; an exact fit counts as one."""
    return max(1, ceil(length / pitch - NOISE))


def spaces_between(length: float, pitch: float, least: float) -> int:
    """`whole_spaces`, or fewer where they would be narrower than ``least``."""
    count = whole_spaces(length, pitch)
    return count if length / count >= least - NOISE else max(1, floor(length / least + NOISE))


def rivets_expected(paths: Sequence[LinePath], least: float) -> float:
    """About how many rivets the lines will take."""
    return sum(marks_along(path.path)[-1] / max(path.pitch, least) + 1 for path in paths)


def set_rivets(paths: Sequence[LinePath], least: float, apart: float) -> list[SetLine]:
    """The lines of one side (or one patch) with their rivets; they count shared rivets in the order given.

    ``least`` is the least pitch along a line, ``apart`` the least distance between rivets of two lines.
    """
    marks = [marks_along(path.path) for path in paths]
    rivets = Rivets(max(least, apart))
    kept: list[dict[float, int]] = [{} for _ in paths]
    left_out = [0] * len(paths)
    crowded = [0] * len(paths)
    for node in sorted(_nodes(paths, marks), key=lambda node: _rank(node, paths)):
        near = rivets.near(node.point, apart - NOISE)
        last = max(node.along)
        if near and not node.corner:
            # where a post or rail runs into a lap, the lap's own rivets hold its end: nothing is missing
            left_out[last] += len(node.along) == 1
            continue
        crowded[last] += bool(near)
        index = rivets.add(node.point)
        for line, along in node.along.items():
            kept[line][along] = index
    stretched = [False] * len(paths)
    staggered = [False] * len(paths)
    for line, path in enumerate(paths):
        row = Row(path, marks[line], kept[line], rivets, least, apart)
        if path.closed and not row.kept:
            row.begin()
        for start, end in _stretches(row.kept, row.marks, path.closed):
            count = spaces_between(end - start, path.pitch, least)
            stretched[line] |= (end - start) / count > max(path.pitch, least) * (1 + NOISE)
            staggered[line] |= is_staggered(path, (end - start) / count)
            left_out[line] += row.fill(start, end, count)
    return _counted(paths, marks, rivets, kept, (left_out, crowded, stretched, staggered))


def _counted(
    paths: Sequence[LinePath],
    marks: Sequence[Sequence[float]],
    rivets: Rivets,
    kept: Sequence[dict[float, int]],
    notes: tuple[list[int], list[int], list[bool], list[bool]],
) -> list[SetLine]:
    seen: set[int] = set()
    lines = []
    for line, path in enumerate(paths):
        placed = sorted(kept[line].items())
        indices = dict.fromkeys(index for _, index in placed)
        at = [along for along, _ in placed]
        if path.closed and at:
            at.append(at[0] + marks[line][-1])
        widest = max((b - a for a, b in pairwise(at)), default=0.0)
        points = tuple(rivets.points[index] for index in indices)
        fresh = len(indices.keys() - seen)
        seen.update(indices)
        left_out, crowded, stretched, staggered = (note[line] for note in notes)
        lines.append(
            SetLine(path, points, fresh, widest, left_out, crowded, bool(stretched), bool(staggered))
        )
    return lines


def _rank(node: _Node, paths: Sequence[LinePath]) -> tuple[int, int, int, float]:
    """Corners of seams and edges first, then what two lines share, then ends that only one line has."""
    first = min(node.along)
    kinds = sorted(KINDS.index(paths[line].kind) for line in node.along)
    if node.corner:
        return 0, 0, first, node.along[first]
    return (1 if len(kinds) > 1 else 2), kinds[-1], first, node.along[first]


def _stretches(kept: dict[float, int], marks: Sequence[float], closed: bool) -> list[tuple[float, float]]:
    """The stretches between shared rivets; an end whose rivet was left out still bounds one."""
    total = marks[-1]
    breaks = sorted(kept)
    if closed:
        breaks = [*breaks, breaks[0] + total] if breaks else [0.0, total]
    else:
        if not breaks or breaks[0] > MEET:
            breaks = [0.0, *breaks]
        if breaks[-1] < total - MEET:
            breaks.append(total)
    return [(a, b) for a, b in pairwise(breaks) if b - a > MEET]


def _nodes(paths: Sequence[LinePath], marks: Sequence[Sequence[float]]) -> list[_Node]:
    """Every place where a line ends, has a corner, or meets another."""
    index = Rivets(1.0)
    nodes: list[_Node] = []

    def note(point: Point, line: int, along: float, corner: bool) -> None:
        same = index.near(point, MEET)
        if same:
            node = nodes[same[0]]
        else:
            index.add(point)
            node = _Node(point)
            nodes.append(node)
        node.along.setdefault(line, along)
        node.corner |= corner

    for line, path in enumerate(paths):
        for point, along in _own_nodes(path, marks[line]):
            note(point, line, along, path.closed or 0 < along < marks[line][-1])
    bearing = [path.kind in ("seam", "edge") for path in paths]
    boxes = [extent(path.path) for path in paths]
    for first in range(len(paths)):
        for second in range(first + 1, len(paths)):
            if lie_apart(boxes[first], boxes[second]):
                continue
            for point, a, b in meetings(paths[first].path, marks[first], paths[second].path, marks[second]):
                corner = bearing[first] and bearing[second]
                note(point, first, a, corner)
                note(point, second, b, corner)
    return nodes


def _own_nodes(path: LinePath, marks: Sequence[float]) -> Iterator[tuple[Point, float]]:
    points = path.path
    if not path.closed:
        yield points[0], 0.0
        yield points[-1], marks[-1]
    if not (path.closed or path.kind in _CORNERED):
        return
    for i in range(1, len(points) - 1):
        (x0, y0), (x1, y1), (x2, y2) = points[i - 1 : i + 2]
        before, after = marks[i] - marks[i - 1], marks[i + 1] - marks[i]
        if (x1 - x0) * (x2 - x1) + (y1 - y0) * (y2 - y1) < _CORNER * before * after:
            yield points[i], marks[i]
