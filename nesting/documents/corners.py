"""Outlines told by their corners: where each lies from a datum, and how the outline goes on from there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import hypot, sqrt

from nesting.documents.wording import length_text
from nesting.job import Units
from nesting.outline import Ring, Vertex, arc_centre, bounds, counter_clockwise, edge_length, edges, rectangle
from nesting.plan import PlacedPart, Point, SheetLayout

_SQUARE = 0.05
"""mm: an edge that leaves the level or the plumb by less than this over its length is no slope to a tape."""


_SAME = 1e-6
"""mm: a corner this near to the end of its outline lies on it."""


@dataclass(frozen=True)
class Corner:
    """A corner of an outline that runs counter-clockwise, numbered from 1; ``start`` and ``end`` as drawn.

    ``place`` is that of the corner from the datum.  ``length`` runs along the edge to the next corner, which is an arc
    where there is a ``radius``, about ``centre`` (from the datum), bulging ``outward`` or into the outline.
    """

    number: int
    start: Vertex
    end: Vertex
    place: Point
    length: float
    radius: float = 0.0
    centre: Point = (0.0, 0.0)
    outward: bool = False
    far: tuple[bool, bool] = (False, False)
    """Whether it lies on the right and on the upper end of the outline, whose size is printed rounded down."""

    @property
    def is_slope(self) -> bool:
        """True for a straight edge that is neither level nor plumb."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return not self.radius and min(abs(dx), abs(dy)) > _SQUARE


def corners(ring: Ring, datum: Point) -> tuple[Corner, ...]:
    """The corners of an outline, the one nearest its lower left first; mm from the datum, up and to the right."""
    ring = counter_clockwise(ring)
    first = min(range(len(ring)), key=lambda i: (round(ring[i][0] + ring[i][1], 3), ring[i][0]))
    ordered = (*ring[first:], *ring[:first])
    box = bounds(ring)
    # an outline is measured from its own corner; the far end of a hole is a place like any other
    own = abs(box[0] - datum[0]) < _SAME and abs(box[1] - datum[1]) < _SAME
    found = []
    for number, (start, end) in enumerate(edges(ordered), start=1):
        place = (start[0] - datum[0], start[1] - datum[1])
        far = (own and start[0] > box[2] - _SAME, own and start[1] > box[3] - _SAME)
        corner = Corner(number, start, end, place, edge_length(start, end), far=far)
        if start[2] != 0.0:
            x, y, radius = arc_centre(start, end)
            centre = (x - datum[0], y - datum[1])
            corner = replace(corner, radius=radius, centre=centre, outward=start[2] > 0)
        found.append(corner)
    return tuple(found)


def place_texts(corner: Corner, units: Units) -> tuple[str, str]:
    """How far a corner lies from the left and from the bottom, at the far ends as the size of its part is printed."""
    x, y = (
        length_text(at, units, "down" if far else "nearest")
        for at, far in zip(corner.place, corner.far, strict=True)
    )
    return x, y


def onward_text(corner: Corner, units: Units) -> str:
    """How the outline goes on to the next corner, in words."""
    if not corner.radius:
        return f"slope, {length_text(corner.length, units)} long" if corner.is_slope else "straight"
    x, y = (length_text(value, units) for value in corner.centre)
    bend = "outward" if corner.outward else "inward"
    return f"arc bulging {bend}, radius {length_text(corner.radius, units)}, centre at {x}, {y}"


def datum_of(part: PlacedPart) -> Point:
    """The lower left corner of a part's extent on the sheet: its corners are measured from there."""
    x0, y0, _, _ = bounds(part.outline)
    return x0, y0


def odd_outlines(sheet: SheetLayout) -> tuple[tuple[str, Ring], ...]:
    """Outlines of parts and of their holes that a length and a width do not describe, with a name."""
    return tuple((name, ring) for name, ring, _ in odd_rings(sheet))


def odd_rings(sheet: SheetLayout) -> tuple[tuple[str, Ring, Point], ...]:
    """`odd_outlines`, each with the datum of its part; circles are told by their centre and are not among them."""
    found = []
    for part in sheet.parts:
        datum = datum_of(part)
        found.append((part.part, part.outline, datum))
        found += [(f"hole in {part.part}", hole, datum) for hole in part.holes]
    return tuple(entry for entry in found if corner_radius(entry[1]) is None and circle(entry[1]) is None)


def corner_radius(ring: Ring) -> float | None:
    """The radius of a rectangle's corners, 0 where they are sharp; None for any other outline."""
    box = bounds(ring)
    sides = [hypot(end[0] - start[0], end[1] - start[1]) for start, end in edges(ring) if start[2] != 0.0]
    # the chord of a quarter circle is the square root of 2 times its radius
    radius = sides[0] / sqrt(2) if sides else 0.0
    model = set(_rounded(rectangle(*box, radius)))
    return radius if model == set(_rounded(counter_clockwise(ring))) else None


def _rounded(ring: Ring) -> Iterable[Vertex]:
    return ((round(x, 3) + 0.0, round(y, 3) + 0.0, round(bulge, 4) + 0.0) for x, y, bulge in ring)


def circle(ring: Ring) -> tuple[Point, float] | None:
    """Centre and radius of an outline that is a whole circle, else None."""
    arcs = [arc_centre(start, end) for start, end in edges(ring) if start[2] != 0.0]
    if len(arcs) != len(ring) or not arcs:
        return None
    x, y, radius = arcs[0]
    alike = all(max(abs(a - x), abs(b - y), abs(r - radius)) < 1e-3 for a, b, r in arcs)
    return ((x, y), radius) if alike else None
