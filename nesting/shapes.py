"""Shapes to be placed: outlines with arcs and holes as polygons that cover them, in convex parts, in every turn.

A polygon that stands for a shape is never smaller than it: arcs that bulge outwards are replaced by tangents, arcs
that bulge inwards (and so the arcs of holes) by chords.  Where polygons do not overlap, the true outlines do not.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan, atan2, ceil, cos, pi, sin

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from nesting.outline import Ring, arc_centre, counter_clockwise, edges, reversed_ring

ARC_TOLERANCE = 0.1
"""How far a polygon may stand off a true arc, in mm; a finer one costs much time and hardly saves metal."""

HOLLOW_STEP = pi / 16
"""Arcs that bulge inwards have no shorter chords than this angle, for each one costs a convex part: a round hole
counts as smaller than it is by up to half a hundredth of its radius."""

MITRE = 1.5
"""How far a corner may grow, in times of the growth: right angles stay right, sharper ones are cut off."""

FLAT = 1e-9
"""Corners whose sine is less than this do not count as corners."""

Points = NDArray[np.float64]

Looks = tuple[tuple[tuple[float, float], tuple[float, float]], ...]
"""Sides from corner to corner, rounded."""


@dataclass(frozen=True)
class ShapePiece:
    """A shape to cut ``quantity`` times: ``turns`` are the degrees counter-clockwise in which it may lie.

    With ``flip`` it may also be turned over: mirrored left for right about x = 0, before it is turned about (0, 0).
    """

    outline: Ring
    holes: tuple[Ring, ...] = ()
    quantity: int = 1
    turns: tuple[float, ...] = (0.0, 90.0, 180.0, 270.0)
    flip: bool = False
    name: str = ""


@dataclass(frozen=True)
class Pose:
    """A shape in one turn, the lower left corner of its grown polygon at (0, 0).

    The piece comes to lie there when it is mirrored (where ``flip``), turned by ``degrees`` and moved by ``shift``.
    ``rings`` have metal on their left; ``parts`` are convex and counter-clockwise.
    """

    degrees: float
    flip: bool
    shift: tuple[float, float]
    size: tuple[float, float]
    parts: tuple[Points, ...]
    rings: tuple[Points, ...]


def covering_points(
    ring: Ring, tolerance: float, hollow_step: float = HOLLOW_STEP
) -> list[tuple[float, float]]:
    """Corners of a polygon around the metal on the left of the ring, at most ``tolerance`` off it.

    Chords of arcs that bulge inwards span ``hollow_step`` or more all the same.
    """
    points: list[tuple[float, float]] = []
    for start, end in edges(ring):
        points.append((start[0], start[1]))
        if start[2] == 0.0:
            continue
        cx, cy, radius = arc_centre(start, end)
        first, sweep = atan2(start[1] - cy, start[0] - cx), 4 * atan(start[2])
        stops = _stops(first, sweep, radius, tolerance, hollow_step)
        if sweep > 0:
            for a, b in pairwise(stops):
                out = radius / cos((b - a) / 2)
                points.append((cx + out * cos((a + b) / 2), cy + out * sin((a + b) / 2)))
        else:
            points += [(cx + radius * cos(a), cy + radius * sin(a)) for a in stops[1:-1]]
    return points


def _stops(first: float, sweep: float, radius: float, tolerance: float, hollow_step: float) -> list[float]:
    """Angles that part an arc finely enough, among them those where it is leftmost, lowest and so on."""
    step = min(2 * (2 * tolerance / radius) ** 0.5 if radius > tolerance else pi / 4, pi / 4)
    if sweep < 0:
        step = max(step, hollow_step)
    way = 1 if sweep > 0 else -1
    quarter = pi / 2
    number = first / quarter * way
    marks, k = [0.0], ceil(number + 1e-9)
    while (k - number) * quarter < abs(sweep) - 1e-9:
        marks.append((k - number) * quarter)
        k += 1
    marks.append(abs(sweep))
    stops = [first]
    for a, b in pairwise(marks):
        count = max(1, ceil((b - a) / step - 1e-9))
        stops += [first + way * (a + (b - a) * i / count) for i in range(1, count + 1)]
    return stops


def covering_polygon(outline: Ring, holes: Iterable[Ring], spacing: float, tolerance: float) -> Polygon:
    """A polygon that covers the shape grown by half of ``spacing`` all around; its holes shrink by as much."""
    outer = Polygon(covering_points(counter_clockwise(outline), tolerance))
    polygon = outer if outer.is_valid else outer.buffer(0)
    for hole in holes:
        gone = Polygon(covering_points(reversed_ring(counter_clockwise(hole)), tolerance))
        polygon = polygon.difference(gone if gone.is_valid else gone.buffer(0))
    if spacing > 0:
        polygon = polygon.buffer(spacing / 2, join_style="mitre", mitre_limit=MITRE)
    if isinstance(polygon, MultiPolygon):
        polygon = max(polygon.geoms, key=lambda one: one.area)
    return orient(polygon)


def inner_polygon(outline: Ring, holes: Iterable[Ring], tolerance: float) -> Polygon:
    """A polygon that the metal of the shape covers: chords for arcs that bulge outwards, tangents for others."""
    around = Polygon(covering_points(reversed_ring(counter_clockwise(outline)), tolerance, 0.0))
    polygon = around if around.is_valid else around.buffer(0)
    for hole in holes:
        gone = Polygon(covering_points(counter_clockwise(hole), tolerance, 0.0))
        polygon = polygon.difference(gone if gone.is_valid else gone.buffer(0))
    return polygon


def convex_parts(polygon: Polygon) -> tuple[Points, ...]:
    """The polygon cut into few convex parts along diagonals, each counter-clockwise.

    A triangulation whose diagonals are taken out again, the longest first, where both corners stay convex
    (after Hertel and Mehlhorn: never more than four times the fewest parts).
    """
    triangles = shapely.constrained_delaunay_triangles(polygon)
    parts: dict[int, list[tuple[float, float]]] = {}
    sides: dict[tuple[tuple[float, float], tuple[float, float]], int] = {}
    for number, triangle in enumerate(triangles.geoms):
        corners = [(x, y) for x, y in orient(triangle).exterior.coords[:-1]]
        parts[number] = corners
        sides.update(dict.fromkeys(zip(corners, corners[1:] + corners[:1], strict=True), number))
    inner = sorted(
        (side for side in sides if side[::-1] in sides and side < side[::-1]),
        key=lambda side: ((side[0][0] - side[1][0]) ** 2 + (side[0][1] - side[1][1]) ** 2, side),
        reverse=True,
    )
    for start, end in inner:
        a, b = sides[start, end], sides[end, start]
        if a == b:
            continue
        joined = _joined(parts[a], parts[b], start, end)
        if joined is None:
            continue
        parts[a] = joined
        del parts[b]
        sides.update(dict.fromkeys(zip(joined, joined[1:] + joined[:1], strict=True), a))
    return tuple(np.array(_without_flat(corners)) for corners in parts.values())


def _joined(
    one: list[tuple[float, float]],
    other: list[tuple[float, float]],
    start: tuple[float, float],
    end: tuple[float, float],
) -> list[tuple[float, float]] | None:
    """Two parts as one across their common side, None where that is not convex."""
    i, j = one.index(end), other.index(start)
    # from the end of the common side round the first part to its start, then round the other one
    corners = one[i:] + one[:i] + (other[j:] + other[:j])[1:-1]
    count = len(corners)
    for k in (0, len(one) - 1):
        if _sine(corners[k - 1], corners[k], corners[(k + 1) % count]) < 0:
            return None
    return corners


def _sine(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> float:
    """Sine of the turn to the left at b; turns that are too small to tell count as 0."""
    ax, ay, bx, by = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    lengths = ((ax * ax + ay * ay) * (bx * bx + by * by)) ** 0.5
    sine = (ax * by - ay * bx) / lengths if lengths else 0.0
    return 0.0 if abs(sine) < FLAT else sine


def _without_flat(corners: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The corners without those where nothing turns."""
    count = len(corners)
    kept = [c for k, c in enumerate(corners) if _sine(corners[k - 1], c, corners[(k + 1) % count]) != 0]
    return kept if len(kept) >= 3 else corners


def poses(piece: ShapePiece, spacing: float, tolerance: float = ARC_TOLERANCE) -> tuple[Pose, ...]:
    """The piece in each turn and side that it may have, those that look the same only once."""
    polygon = covering_polygon(piece.outline, piece.holes, spacing, tolerance)
    parts = convex_parts(polygon)
    rings = tuple(
        np.array(_without_flat([(x, y) for x, y in ring.coords[:-1]]))
        for ring in (polygon.exterior, *polygon.interiors)
    )
    found: dict[Looks, Pose] = {}
    for flip in (False, True) if piece.flip else (False,):
        for degrees in dict.fromkeys(turn % 360 for turn in piece.turns):
            pose = _pose(parts, rings, degrees, flip)
            found.setdefault(looks(pose), pose)
    return tuple(found.values())


def looks(pose: Pose) -> Looks:
    """The sides of a pose in an order of their own: equal for poses that look the same."""
    sides: list[tuple[tuple[float, float], tuple[float, float]]] = []
    for ring in pose.rings:
        corners = [(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in ring.tolist()]
        sides += zip(corners, corners[1:] + corners[:1], strict=True)
    return tuple(sorted(sides))


def _pose(parts: Sequence[Points], rings: Sequence[Points], degrees: float, flip: bool) -> Pose:
    turned = [_turned(ring, degrees, flip) for ring in rings]
    low, high = turned[0].min(axis=0), turned[0].max(axis=0)
    return Pose(
        degrees,
        flip,
        (float(-low[0]), float(-low[1])),
        (float(high[0] - low[0]), float(high[1] - low[1])),
        tuple(_turned(part, degrees, flip) - low for part in parts),
        tuple(ring - low for ring in turned),
    )


def _turned(points: Points, degrees: float, flip: bool) -> Points:
    """Points mirrored (in the opposite order) and turned; quarter turns are exact."""
    if flip:
        points = points[::-1] * (-1.0, 1.0)
    quarter, rest = divmod(degrees % 360, 90)
    if rest == 0:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    else:
        c, s = cos(degrees * pi / 180), sin(degrees * pi / 180)
    x, y = points[:, 0], points[:, 1]
    return np.stack([x * c - y * s + 0.0, x * s + y * c + 0.0], axis=1)
