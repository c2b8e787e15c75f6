"""Sizes on a part as it lies on its sheet: where its corners are, how long its slopes, its arcs and its holes.

A corner's words are its number and how far it lies from the left and the lower edge of the part's extent.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from shapely.geometry import Point as Spot
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from nesting.documents.corners import Corner, circle, corner_radius, corners, datum_of, place_texts
from nesting.documents.cornerwords import (
    DOT,
    Rooms,
    Taken,
    about_point,
    along_slope,
    beside_arc,
    corner_ring,
    cross_at,
    leader_to,
    set_label,
)
from nesting.documents.dimensions import stroke
from nesting.documents.drawing import Label, Layer, Path
from nesting.documents.lettering import Room, label_area, words
from nesting.documents.wording import length_text
from nesting.job import Units
from nesting.outline import Ring, as_polygon, bounds
from nesting.plan import PlacedPart, Point, SheetLayout

_NUMBER_SHARES = (1.0, 0.8, 0.64, 0.5, 0.4)
"""Letter heights to try for a bare number, as shares of the wanted one."""

_CLEAR = 0.35
"""How far sizes stay from the words on a part, in letter heights."""


class Sizes(NamedTuple):
    """What is drawn for the sizes of one part."""

    paths: tuple[Path, ...] = ()
    labels: tuple[Label, ...] = ()


def part_sizes(
    sheet: SheetLayout,
    part: PlacedPart,
    units: Units,
    letter: float,
    lines: BaseGeometry,
    said: Iterable[Label],
    beside: BaseGeometry,
) -> Sizes:
    """The sizes of a part, clear of the words that are ``said`` already; the lists on paper have them all.

    A plain rectangle without holes has none: its label says all.  What finds no room on a part stands in ``beside``,
    the free metal of the sheet.
    """
    round_part, is_odd = circle(part.outline), corner_radius(part.outline) is None
    if not (part.holes or round_part or is_odd):
        return Sizes()
    taken = Taken(lines, [label_area(label).buffer(_CLEAR * letter) for label in said])
    inner = [
        as_polygon(other.outline) for other in sheet.parts if other is not part and _may_lie_in(other, part)
    ]
    found = [_hole_sizes(part, hole, inner, units, letter, taken) for hole in part.holes]
    rooms = (prep(as_polygon(part.outline, part.holes, tolerance=0.1)), prep(beside))
    if round_part:
        found.append(_circle_sizes(round_part, rooms, units, letter, taken))
    elif is_odd:
        found.append(_outline_sizes(part, part.outline, rooms, units, letter, taken))
    about = f"sizes of {part.part}"
    return Sizes(
        tuple(replace(path, about=about) for sizes in found for path in sizes.paths),
        tuple(replace(label, about=about) for sizes in found for label in sizes.labels),
    )


def _may_lie_in(inner: PlacedPart, outer: PlacedPart) -> bool:
    a, b = bounds(inner.outline), bounds(outer.outline)
    return bool(outer.holes) and a[0] > b[0] and a[1] > b[1] and a[2] < b[2] and a[3] < b[3]


def _hole_sizes(
    part: PlacedPart, hole: Ring, inner: Sequence[Polygon], units: Units, letter: float, taken: Taken
) -> Sizes:
    """Size, radius and place of a hole, in what of it no other part fills."""
    room = as_polygon(hole, tolerance=0.1)
    for other in inner:
        if other.intersects(room):
            room = room.difference(other.buffer(0.3 * letter))
    if corner_radius(hole) is None and circle(hole) is None:
        return _outline_sizes(part, hole, (prep(room),), units, letter, taken)
    place = Room(room.buffer(-0.45 * letter))
    for share in (1.0, 0.8, 0.64, 0.5, 0.4):
        for lines in _hole_words(part, hole, units):
            block = words([(line, share * letter) for line in lines], Layer.DIMENSION)
            spot = place.place(block, (0.0, 90.0))
            if spot is not None:
                labels = spot.labels(block)
                for label in labels:
                    taken.take(label, None)
                return Sizes(labels=labels)
    return Sizes()


def _hole_words(part: PlacedPart, hole: Ring, units: Units) -> Iterator[tuple[str, ...]]:
    """What to say of a hole, in several lines, or in one where it is low."""
    left, low = datum_of(part)
    x0, y0, x1, y1 = bounds(hole)
    round_hole = circle(hole)
    if round_hole is not None:
        (x, y), radius = round_hole
        size = f"diameter {length_text(2 * radius, units)}"
        place = f"centre {length_text(x - left, units)}, {length_text(y - low, units)}"
        said: tuple[str, ...] = (f"hole, {size}", place)
    else:
        corner = corner_radius(hole)
        size = f"hole {length_text(x1 - x0, units)} x {length_text(y1 - y0, units)}"
        place = f"at {length_text(x0 - left, units)}, {length_text(y0 - low, units)}"
        said = (size, *((f"corners R {length_text(corner, units)}",) if corner else ()), place)
    yield said
    yield (", ".join(said),)


def _circle_sizes(
    round_part: tuple[Point, float],
    rooms: Rooms,
    units: Units,
    letter: float,
    taken: Taken,
) -> Sizes:
    """The diameter of a part that is a circle, and a cross at its centre."""
    (x, y), radius = round_part
    text = f"diameter {length_text(2 * radius, units, 'down')}"
    label = set_label(about_point(x, y, text, letter), rooms, taken)
    return Sizes(tuple(cross_at(x, y, letter)), (label,) if label is not None else ())


def _outline_sizes(
    part: PlacedPart, ring: Ring, rooms: Rooms, units: Units, letter: float, taken: Taken
) -> Sizes:
    """Corners, slopes and arcs of an outline; words stand in the first of the rooms that has a place."""
    found = corners(ring, datum_of(part))
    paths: list[Path] = []
    labels: list[Label] = []
    for corner in found:
        taken.corners.append(Spot(corner.start[:2]).buffer(DOT * letter / 2))
        paths.append(corner_ring(corner.start, DOT * letter / 2))
    for corner in found:
        at = corner.start[:2]
        words_there = about_point(*at, f"{corner.number}: {', '.join(place_texts(corner, units))}", letter)
        number = about_point(*at, str(corner.number), letter, _NUMBER_SHARES)
        # a bare number outside its part could be another part's
        label = set_label(words_there, rooms, taken, at) or set_label(number, rooms[:1], taken, at)
        if label is not None:
            labels.append(label)
            leader = leader_to(at, label)
            paths += [stroke(list(leader.coords))] if leader is not None else []
    for corner in found:
        if corner.is_slope:
            label = set_label(along_slope(corner, length_text(corner.length, units), letter), rooms, taken)
            labels += [label] if label is not None else []
        elif corner.radius:
            x, y = (length_text(value, units) for value in corner.centre)
            radius = f"R {length_text(corner.radius, units)}"
            for text in (f"{radius}, centre {x}, {y}", radius):
                label = set_label(beside_arc(corner, text, letter), rooms, taken)
                if label is not None:
                    labels.append(label)
                    break
            paths += _centre_mark(part, corner, letter)
    return Sizes(tuple(paths), tuple(labels))


def _centre_mark(part: PlacedPart, corner: Corner, letter: float) -> list[Path]:
    """A cross at the centre of an arc, where that lies on the part's extent."""
    x = corner.start[0] - corner.place[0] + corner.centre[0]
    y = corner.start[1] - corner.place[1] + corner.centre[1]
    x0, y0, x1, y1 = bounds(part.outline)
    return cross_at(x, y, letter) if x0 <= x <= x1 and y0 <= y <= y1 else []
