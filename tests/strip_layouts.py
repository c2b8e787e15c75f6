"""Layouts on a strip judged by shapely alone, from what was asked and what came back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations

from shapely import affinity
from shapely.geometry import Polygon

from nesting.outline import as_polygon
from nesting.strip import StripPart, StripPlacing, ring_of

HAIR = 1e-6
"""Share of the size of everything that counts as nothing."""


def laid(parts: Sequence[StripPart], placing: StripPlacing) -> list[Polygon]:
    """Each placed part as an area: mirrored about x = 0, turned about (0, 0), moved."""
    found = []
    for place in placing.places:
        part = parts[place.part]
        area = as_polygon(ring_of(part.outline), [ring_of(hole) for hole in part.holes], tolerance=1e-6)
        if place.flipped:
            area = affinity.scale(area, -1.0, 1.0, origin=(0, 0))
        area = affinity.rotate(area, place.turn, origin=(0, 0))
        found.append(affinity.translate(area, place.dx, place.dy))
    return found


def strip_faults(
    width: float, parts: Sequence[StripPart], placing: StripPlacing, gap: float = 0.0
) -> Iterator[str]:
    """What is wrong with a layout: parts missing or in a turn not allowed, outside, on one another, too near."""
    placed = Counter(place.part for place in placing.places)
    if placed != Counter({k: part.quantity for k, part in enumerate(parts) if part.quantity}):
        yield f"placed {dict(placed)}"
    for place in placing.places:
        part = parts[place.part]
        if place.turn not in part.turns or (place.flipped and not part.flip):
            yield f"part {place.part} lies turned by {place.turn:g}, flipped: {place.flipped}"
    areas = laid(parts, placing)
    size = max(width, placing.length)
    for area in areas:
        x0, y0, x1, y1 = area.bounds
        if min(x0, y0, placing.length - x1, width - y1) < -HAIR * size:
            yield f"part at {area.bounds} leaves the strip {placing.length:g} x {width:g}"
    for a, b in combinations(areas, 2):
        if a.intersection(b).area > HAIR * size * size:
            yield f"parts at {a.bounds} and {b.bounds} share {a.intersection(b).area:g}"
        if gap and a.distance(b) < gap - HAIR * size:
            yield f"parts at {a.bounds} and {b.bounds} are {a.distance(b):g} apart"
    if placing.bound > placing.length * (1 + HAIR):
        yield f"the bound {placing.bound:g} lies above the length {placing.length:g}"
