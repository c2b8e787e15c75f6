"""Outlines that somebody typed or drew: made into clean rings, or told what is wrong with them, all at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import atan, cos, degrees, hypot, isfinite, radians, sin

from shapely import Polygon, prepare
from shapely.geometry import Point as ShapelyPoint

from nesting.outline import Ring, Vertex, as_polygon, bounds, counter_clockwise, edges
from nesting.reading.edgegaps import TOUCH_MM, Meeting, Point, meetings, tangents
from shared.units import LONGEST_MM, format_length

MAX_CORNERS = 1000
"""More than any outline that is typed, and enough for a curve in chords; the planner stays quick."""

LONGEST_OUTLINE_MM = 20_000.0
"""No opening is longer than 65 ft (20 m), which is also the bound for sheets."""

MAX_BULGE = 10.0
"""An arc of 337 degrees: a fuller one is no edge that anybody meant, and two ends so near do not fix its centre."""

FLAT_ARC_MM = 0.001
"""An arc that rises less than this over its chord is a straight edge."""

SPIKE_DEGREES = 0.1
"""A corner sharper than this is an edge doubling back: 1.7 mm wide after a metre."""

MAX_PROBLEMS = 10
"""Nobody mends more of one outline at a time."""

_FLATTENING_MM = TOUCH_MM / 4
"""Fine enough to tell inside from outside for whatever keeps more than `TOUCH_MM` away from the edge."""


@dataclass(frozen=True)
class OutlineProblem:
    """One thing that is wrong with an outline.

    ``what`` is said of the outline ("crosses itself"), ``remedy`` what to do.  ``corner`` is the corner where
    the trouble starts, from 1 as written (0: the outline as a whole), ``where`` tells it in corners, and
    ``at`` is the place in mm if there is one.
    """

    what: str
    remedy: str
    corner: int = 0
    where: str = ""
    at: Point | None = None

    def __str__(self) -> str:
        where = f": {self.where}" if self.where else ""
        return f"the outline {self.what}{where}; {self.remedy}"


@dataclass(frozen=True)
class _Corner:
    """A corner and its number as written, from 1."""

    number: int
    vertex: Vertex


def checked_ring(points: Sequence[object], units: str = "mm") -> Ring | list[OutlineProblem]:
    """The closed outline through ``points``, counter-clockwise, or everything that is wrong with it.

    A point is ``[x, y]`` or ``[x, y, bulge]`` in mm, the bulge that of the edge which starts there; ``units``
    ("in" or "mm") is only what messages are told in.  A closing point that repeats the first is dropped, and
    so are points within `TOUCH_MM` of the one before; corners in a straight line are kept, and so is the first
    corner.  At least three corners are needed, or two with a curved edge (a circle is two half arcs).
    Refused: what is no number, bulges above `MAX_BULGE`, corners sharper than `SPIKE_DEGREES`, edges that
    cross or touch (worked out with true arcs), outlines above `LONGEST_OUTLINE_MM` or `MAX_CORNERS`.
    """
    unreadable = list(_unreadable(points))
    if unreadable:
        return unreadable[:MAX_PROBLEMS]
    corners = _distinct([_Corner(i, _vertex(point)) for i, point in enumerate(points, 1)])
    ring = tuple(corner.vertex for corner in corners)
    if len(ring) < 3 and not (len(ring) == 2 and any(bulge for _, _, bulge in ring)):
        return [_too_few(len(ring), len(points))]
    corners = [
        _Corner(corner.number, _straightened(start, end))
        for corner, (start, end) in zip(corners, edges(ring), strict=True)
    ]
    ring = tuple(corner.vertex for corner in corners)
    too_large = _too_large(ring, units)
    if too_large:
        return [too_large]
    numbers = [corner.number for corner in corners]
    spikes = _spikes(ring)
    problems = [_spike(ring, i, numbers) for i in spikes]
    found = (m for m in meetings((ring,)) if not _belongs_to_spike(m, spikes, len(ring)))
    problems += [_crossing(meeting, ring, numbers, units) for meeting in _each_place_once(found)]
    if problems:
        return sorted(problems, key=lambda problem: problem.corner)[:MAX_PROBLEMS]
    # Adding nothing turns the minus zero of a reversed straight edge into a zero.
    return tuple((x + 0.0, y + 0.0, bulge + 0.0) for x, y, bulge in counter_clockwise(ring))


def holes_inside(outline: Ring, holes: Sequence[Ring]) -> list[OutlineProblem]:
    """What is wrong with holes in an outline: none may touch or leave it, or touch or hold another.

    All are rings as `checked_ring` gives them; ``corner`` of a problem is the number of the hole, from 1.
    """
    if not holes:
        return []
    problems: dict[tuple[int, int], OutlineProblem] = {}
    for meeting in meetings((outline, *holes)):
        one, other = meeting.one[0], meeting.other[0]
        if one != other and (one, other) not in problems:
            problems[one, other] = _touching_hole(one, other, meeting)
        if len(problems) == MAX_PROBLEMS:
            # The same hole written forty times meets itself at each corner of each.
            return [problems[pair] for pair in sorted(problems)]
    whole, *areas = (_prepared(ring) for ring in (outline, *holes))
    for inner, hole in enumerate(holes, 1):
        corner = ShapelyPoint(hole[0][:2])
        if (0, inner) not in problems and not whole.contains(corner):
            problems[0, inner] = OutlineProblem(
                f"does not hold hole {inner}", "holes must lie inside the outline", inner
            )
        for outer, around in enumerate(areas, 1):
            pair = (min(inner, outer), max(inner, outer))
            if inner != outer and pair not in problems and around.contains(corner):
                what = f"has hole {inner} inside hole {outer}"
                problems[pair] = OutlineProblem(what, "leave out one of them", inner)
    return [problems[pair] for pair in sorted(problems)]


def inside(inner: Ring, outer: Ring) -> bool:
    """Whether a ring lies inside another, for rings that do not touch."""
    return bool(_prepared(outer).contains(ShapelyPoint(inner[0][:2])))


def _prepared(ring: Ring) -> Polygon:
    """The area of a ring, for asking about many points that do not touch its edge."""
    area = as_polygon(ring, tolerance=_FLATTENING_MM)
    prepare(area)
    return area


def _unreadable(points: Sequence[object]) -> Iterator[OutlineProblem]:
    """Points that are none, and numbers that no outline has."""
    if len(points) > MAX_CORNERS:
        what = f"has {len(points)} corners, and {MAX_CORNERS} are the most"
        yield OutlineProblem(what, "draw curves as arcs instead of many short edges")
        return
    for i, point in enumerate(points, 1):
        remedy = _why_no_point(point)
        if remedy:
            yield OutlineProblem("cannot be read", remedy, i, f"corner {i}")


def _why_no_point(point: object) -> str:
    if not isinstance(point, list | tuple) or len(point) not in (2, 3):
        return "write a corner as [x, y] or [x, y, bulge]"
    if any(isinstance(value, bool) or not isinstance(value, int | float) for value in point):
        return "write a corner as two or three numbers"
    # Whole numbers of TOML have no end, so they are compared before anything makes floats of them.
    if any(isinstance(value, float) and not isfinite(value) for value in point):
        return "write numbers with an end"
    if any(abs(value) > LONGEST_MM for value in point[:2]):
        return "it lies more than a mile away; check the numbers and units"
    if len(point) == 3 and abs(point[2]) > MAX_BULGE:
        shown = f"{point[2]:.6g}" if abs(point[2]) < 1e15 else "so large"
        return (
            f"a bulge of {shown} makes {_almost_a_circle(point[2])}; a half circle has 1, a quarter circle 0.4142, "
            f"and an arc of more than {degrees(4 * atan(MAX_BULGE)):.0f} degrees is written as two edges"
        )
    return ""


def _almost_a_circle(bulge: float) -> str:
    turn = degrees(4 * atan(min(abs(bulge), 1e6)))
    return f"an arc of {turn:.1f} degrees, almost a full circle"


def _vertex(point: object) -> Vertex:
    assert isinstance(point, list | tuple)
    return float(point[0]), float(point[1]), float(point[2]) if len(point) == 3 else 0.0


def _distinct(corners: list[_Corner]) -> list[_Corner]:
    """The corners without repeats: each run of them becomes its first point with the last one's edge."""
    kept: list[_Corner] = []
    for corner in corners:
        x, y, bulge = corner.vertex
        if kept and hypot(x - kept[-1].vertex[0], y - kept[-1].vertex[1]) <= TOUCH_MM:
            before = kept[-1]
            kept[-1] = _Corner(before.number, (*before.vertex[:2], bulge))
        else:
            kept.append(corner)
    while len(kept) > 1 and _distance(kept[-1].vertex, kept[0].vertex) <= TOUCH_MM:
        kept.pop()
    return kept


def _straightened(start: Vertex, end: Vertex) -> Vertex:
    """The start of an edge, its bulge taken away where the arc cannot be told from its chord."""
    rise = abs(start[2]) * _distance(start, end) / 2
    return start if rise > FLAT_ARC_MM else (start[0], start[1], 0.0)


def _distance(p: Vertex, q: Vertex) -> float:
    return hypot(q[0] - p[0], q[1] - p[1])


def _too_few(distinct: int, written: int) -> OutlineProblem:
    repeated = f" that differ, of {written} written" if distinct < written else ""
    corners = {0: "no corners", 1: "only one corner"}.get(distinct, f"only {distinct} corners")
    remedy = "write at least three, or two joined by arcs for a circle"
    return OutlineProblem(f"has {corners}{repeated}", remedy)


def _too_large(ring: Ring, units: str) -> OutlineProblem | None:
    x0, y0, x1, y1 = bounds(ring)
    longest = max(x1 - x0, y1 - y0)
    if longest <= LONGEST_OUTLINE_MM:
        return None
    size = format_length(longest, units, with_unit=True)
    return OutlineProblem(
        f"is {size} long", "no opening is longer than 65 ft (20 m); check the numbers, bulges and units"
    )


def _spikes(ring: Ring) -> list[int]:
    """Numbers, from 0, of the corners where the outline turns back on itself."""
    directions = [tangents(edge) for edge in edges(ring)]
    least = radians(SPIKE_DEGREES)
    found = []
    for i, (leaving, _) in enumerate(directions):
        turn = leaving - directions[i - 1][1]
        if cos(turn) < 0 and abs(sin(turn)) < sin(least):
            found.append(i)
    return found


def _spike(ring: Ring, i: int, numbers: Sequence[int]) -> OutlineProblem:
    number = numbers[i]
    before, after = numbers[i - 1], numbers[(i + 1) % len(ring)]
    where = f"the edge from corner {number} to corner {after} runs back along the one from corner {before}"
    remedy = f"take corner {number} out or move it"
    return OutlineProblem("turns back on itself", remedy, number, where, ring[i][:2])


def _belongs_to_spike(meeting: Meeting, spikes: Sequence[int], count: int) -> bool:
    """Whether one of the edges ends in a spike: that is told once, and every edge near it would be told again."""
    at_spikes = {edge for i in spikes for edge in (i, (i - 1) % count)}
    return meeting.one[1] in at_spikes or meeting.other[1] in at_spikes


def _each_place_once(found: Iterable[Meeting]) -> list[Meeting]:
    """A corner that touches an edge is an end of two edges: the first of them is enough."""
    kept: list[Meeting] = []
    for meeting in found:
        x, y = meeting.gap.at
        if all(hypot(x - m.gap.at[0], y - m.gap.at[1]) > 2 * TOUCH_MM for m in kept):
            kept.append(meeting)
        if len(kept) == MAX_PROBLEMS:
            break
    return kept


def _crossing(meeting: Meeting, ring: Ring, numbers: Sequence[int], units: str) -> OutlineProblem:
    first, second = meeting.one[1], meeting.other[1]
    ends = [numbers[i % len(ring)] for i in (first, first + 1, second, second + 1)]
    x, y = (format_length(value, units) for value in meeting.gap.at)
    verb = "crosses" if meeting.gap.crosses else "touches"
    where = (
        f"the edge from corner {ends[0]} to corner {ends[1]} {verb} the edge from corner {ends[2]} "
        f"to corner {ends[3]} near [{x}, {y}]"
    )
    remedy = "check the order of the corners and their numbers"
    return OutlineProblem(f"{verb} itself", remedy, ends[0], where, meeting.gap.at)


def _touching_hole(one: int, other: int, meeting: Meeting) -> OutlineProblem:
    """``one`` is 0 for the outline itself."""
    verb = "crosses" if meeting.gap.crosses else "touches"
    if one == 0:
        what = f"has hole {other}, which {verb} its edge"
        return OutlineProblem(what, "holes must lie inside the outline", other, at=meeting.gap.at)
    what = f"has hole {one}, which {verb} hole {other}"
    return OutlineProblem(what, "keep them apart or make them one", one, at=meeting.gap.at)
