"""Outlines made of convex pieces: arcs flattened so that nothing is lost, holes left open, few pieces.

Points are ``(x, y)`` tuples; a piece runs counter-clockwise and has no vertex on the line of its neighbours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import acos, atan, atan2, ceil, cos, pi, sin
from random import Random
from typing import TypeAlias

import shapely
from shapely.geometry import Polygon

from nesting.outline import Ring, arc_centre, counter_clockwise, edges, reversed_ring

Point: TypeAlias = tuple[float, float]
Piece: TypeAlias = tuple[Point, ...]

STRAIGHT = 1e-10
"""Sine of a corner that counts as none."""

ORDERS = 40
"""Orders of taking out diagonals that are tried for the fewest pieces."""

LONGEST_STEP = pi / 4
"""Most of an arc that one straight edge stands for."""


def convex_pieces(outline: Ring, holes: Iterable[Ring] = (), tolerance: float = 0.01) -> tuple[Piece, ...]:
    """Convex pieces that together cover the metal and reach at most ``tolerance`` beyond a true arc."""
    area = Polygon(
        flattened_outwards(counter_clockwise(outline), tolerance),
        [flattened_outwards(reversed_ring(counter_clockwise(hole)), tolerance) for hole in holes],
    )
    if not area.is_valid:
        area = area.buffer(0.0)
    triangles = [
        _turning_left(list(triangle.exterior.coords)[:-1])
        for polygon in shapely.get_parts(area)
        for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    ]
    return _merged([triangle for triangle in triangles if len(triangle) == 3])


def flattened_outwards(ring: Ring, tolerance: float) -> list[Point]:
    """The ring as points with the metal on its left: chords where it is hollow, tangents where it is round."""
    points: list[Point] = []
    for start, end in edges(ring):
        points.append((start[0], start[1]))
        if start[2] == 0.0:
            continue
        cx, cy, radius = arc_centre(start, end)
        sweep = 4 * atan(start[2])
        share = min(1.0, tolerance / radius)
        # the sagitta of a chord is r (1 - cos h), a tangent stands off by r (1 / cos h - 1), h half of the step
        half = acos(1 - share) if sweep < 0 else acos(1 / (1 + share))
        count = max(1, ceil(abs(sweep) / min(2 * half, LONGEST_STEP)))
        first, step = atan2(start[1] - cy, start[0] - cx), sweep / count
        if sweep < 0:
            ways = [(first + step * i, radius) for i in range(1, count)]
        else:
            ways = [(first + step * (i + 0.5), radius / cos(step / 2)) for i in range(count)]
        points += [(cx + away * cos(angle), cy + away * sin(angle)) for angle, away in ways]
    return points


def hull(points: Iterable[Point]) -> Piece:
    """The smallest convex piece round the points."""
    return _turning_left(list(shapely.MultiPoint(list(points)).convex_hull.exterior.coords)[:-1])


def _turning_left(points: Sequence[Sequence[float]]) -> Piece:
    """The points counter-clockwise, those on a straight line left out."""
    own = [(float(p[0]), float(p[1])) for p in points]
    if sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(own, own[1:] + own[:1], strict=True)) < 0:
        own.reverse()
    return _without_straight(own)


def _without_straight(points: Sequence[Point]) -> Piece:
    count = len(points)
    return tuple(
        p for k, p in enumerate(points) if _sine(points[k - 1], p, points[(k + 1) % count]) > STRAIGHT
    )


def _sine(a: Point, b: Point, c: Point) -> float:
    """Sine of the corner at b, positive to the left."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    size = ((ux * ux + uy * uy) * (vx * vx + vy * vy)) ** 0.5
    return (ux * vy - uy * vx) / size if size > 0 else 0.0


def _merged(triangles: Sequence[Piece]) -> tuple[Piece, ...]:
    """The fewest convex pieces found by taking out diagonals in several orders."""
    owners = {edge for triangle in triangles for edge in _edges(triangle)}
    diagonals = sorted(edge for edge in owners if edge < edge[::-1] and edge[::-1] in owners)
    best: list[list[Point]] | None = None
    for turn in range(ORDERS if len(diagonals) > 1 else 1):
        Random(turn).shuffle(diagonals)
        pieces = _taken_out(triangles, diagonals)
        if best is None or len(pieces) < len(best):
            best = pieces
    return tuple(_without_straight(piece) for piece in best or ())


def _taken_out(triangles: Sequence[Piece], diagonals: Iterable[tuple[Point, Point]]) -> list[list[Point]]:
    pieces: dict[int, list[Point]] = {k: list(triangle) for k, triangle in enumerate(triangles)}
    owner = {edge: k for k, triangle in pieces.items() for edge in _edges(triangle)}
    for a, b in diagonals:
        k, other = owner[a, b], owner[b, a]
        if k == other:
            continue
        # one piece from b round to a, the other from a round to b
        one, two = _from(pieces[k], b), _from(pieces[other], a)
        if _sine(one[-2], a, two[1]) < -STRAIGHT or _sine(two[-2], b, one[1]) < -STRAIGHT:
            continue
        pieces[k] = one + two[1:-1]
        del pieces[other]
        owner.update(dict.fromkeys(_edges(pieces[k]), k))
    return list(pieces.values())


def _edges(piece: Sequence[Point]) -> list[tuple[Point, Point]]:
    return list(zip(piece, [*piece[1:], piece[0]], strict=True))


def _from(piece: list[Point], start: Point) -> list[Point]:
    at = piece.index(start)
    return piece[at:] + piece[:at]
