"""What one entity of a DXF drawing draws, in mm: straight edges and true arcs as they are, curves as arcs near them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin, tan
from typing import Any, TypeAlias

from nesting.reading.arcfitting import arcs_along
from nesting.reading.chains import JOIN_MM, Stroke
from nesting.reading.edgegaps import Point

KINDS = frozenset(("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE"))
"""Kinds of entity that outlines are made of, as DXF names them."""

CURVE_MM = 0.05
"""How far arcs may stray from an ellipse or a spline: far less than any method of cutting does."""

_CONTROL_POINT = 16
"""Flag of a vertex that a curved polyline is only drawn towards."""

_Place: TypeAlias = tuple[float, float, float]


class OutOfPlane(Exception):
    """The entity does not lie level in the drawing's plane."""


def strokes_of(entity: Any, kind: str, scale: float) -> Iterator[tuple[Stroke, bool]]:
    """What an entity of ezdxf draws, each with whether it is closed; ``scale`` is mm in a unit of the drawing.

    A closed stroke does not repeat its first vertex.  Nothing comes of meshes, which DXF keeps as polylines
    too.  Raises `OutOfPlane`.
    """
    match kind:
        case "LINE":
            start, end = entity.dxf.start, entity.dxf.end
            yield _level([(start.x, start.y, start.z), (end.x, end.y, end.z)], (0.0, 0.0), scale), False
        case "ARC" | "CIRCLE":
            yield _circular(entity, kind, scale)
        case "LWPOLYLINE" | "POLYLINE":
            yield from _polyline(entity, kind, scale)
        case "ELLIPSE":
            yield _ellipse(entity, scale), False
        case "SPLINE":
            yield _spline(entity, scale), False


def _level(places: Sequence[_Place], bulges: Sequence[float], scale: float) -> Stroke:
    _check_level([z for _, _, z in places], scale)
    return tuple((x * scale, y * scale, bulge) for (x, y, _), bulge in zip(places, bulges, strict=True))


def _check_level(heights: Sequence[float], scale: float) -> None:
    if heights and (max(heights) - min(heights)) * scale > JOIN_MM:
        raise OutOfPlane


def _hand(entity: Any) -> float:
    """1 for an entity drawn from above, -1 for one from below: there x and the sense of arcs are mirrored."""
    up = entity.dxf.extrusion.normalize()
    if abs(up.x) > 1e-6 or abs(up.y) > 1e-6:
        raise OutOfPlane
    return 1.0 if up.z > 0 else -1.0


def _circular(entity: Any, kind: str, scale: float) -> tuple[Stroke, bool]:
    """An arc as one edge, or two halves where it is more than a half circle: no bulge is above 1."""
    hand, radius, centre = _hand(entity), entity.dxf.radius, entity.dxf.center
    first, sweep = 0.0, 360.0
    if kind == "ARC":
        first = entity.dxf.start_angle
        sweep = (entity.dxf.end_angle - first) % 360 or 360.0
    pieces = 1 if sweep <= 180 + 1e-9 else 2
    directions = [_direction(first + sweep * i / pieces) for i in range(pieces + 1)]
    places = [(hand * (centre.x + radius * x), centre.y + radius * y, 0.0) for x, y in directions]
    # The tangent of 45 degrees comes out a hair below 1, and a half circle should be one.
    bulge = hand * round(tan(radians(sweep) / pieces / 4), 15)
    stroke = _level(places, [bulge] * pieces + [0.0], scale)
    closed = sweep == 360
    return (stroke[:-1] if closed else stroke), closed


def _direction(degrees: float) -> Point:
    """Cosine and sine, quarter turns exact."""
    quarter, rest = divmod(degrees % 360, 90)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    return cos(radians(degrees)), sin(radians(degrees))


def _polyline(entity: Any, kind: str, scale: float) -> Iterator[tuple[Stroke, bool]]:
    if kind == "LWPOLYLINE":
        hand = _hand(entity)
        yield from _run(
            [
                ((hand * float(x), float(y), 0.0), hand * float(bulge))
                for x, y, bulge in entity.get_points("xyb")
            ],
            entity.closed,
            scale,
        )
        return
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        return
    hand = _hand(entity) if entity.is_2d_polyline else 1.0
    vertices = [vertex.dxf for vertex in entity.vertices if not vertex.dxf.flags & _CONTROL_POINT]
    bulges = [hand * vertex.bulge if entity.is_2d_polyline else 0.0 for vertex in vertices]
    places = [(hand * v.location.x, v.location.y, v.location.z) for v in vertices]
    yield from _run(list(zip(places, bulges, strict=True)), entity.is_closed, scale)


def _run(given: Sequence[tuple[_Place, float]], closed: bool, scale: float) -> Iterator[tuple[Stroke, bool]]:
    if len(given) > 1:
        yield _level([place for place, _ in given], [bulge for _, bulge in given], scale), closed


def _ellipse(entity: Any, scale: float) -> Stroke:
    ellipse = entity.construction_tool()
    _check_level([0.0, ellipse.major_axis.z, ellipse.minor_axis.z], scale)

    def point_at(parameter: float) -> Point:
        (point,) = ellipse.vertices((parameter,))
        return point.x * scale, point.y * scale

    return arcs_along(point_at, (ellipse.start_param, ellipse.start_param + ellipse.param_span), CURVE_MM)


def _spline(entity: Any, scale: float) -> Stroke:
    spline = entity.construction_tool()
    _check_level([point.z for point in spline.control_points], scale)

    def point_at(parameter: float) -> Point:
        point = spline.point(parameter)
        return point.x * scale, point.y * scale

    knots, order = spline.knots(), spline.order
    # Between these parameters the curve is smooth.
    return arcs_along(point_at, sorted(set(knots[order - 1 : len(knots) - order + 1])), CURVE_MM)
