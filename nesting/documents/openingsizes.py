"""Sizes of the openings of a side that is no row of equal rectangles: heights, leans, slopes, arcs, odd corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from nesting.documents.corners import Corner, corners
from nesting.documents.cornerwords import (
    DOT,
    Rooms,
    Taken,
    about_point,
    along_slope,
    beside_arc,
    corner_ring,
    leader_to,
    set_label,
)
from nesting.documents.dimensions import stroke
from nesting.documents.drawing import Label, Layer, Path
from nesting.documents.lettering import text_width
from nesting.documents.wording import length_text
from nesting.job import Units
from nesting.outline import Vertex, as_polygon
from nesting.skin.openings import Opening, corner_numbers

_LEAN = 0.05
"""mm: a post that leans by less stands plumb to a tape."""


def opening_sizes(
    openings: Sequence[Opening], units: Units, letter: float, lines: BaseGeometry, holes: BaseGeometry
) -> tuple[list[Path], list[Label]]:
    """Paths and words inside the openings, off the windows (``holes``) and off ``lines`` where there is room.

    None where all openings are rectangles of one height that stand level with one another.
    """
    level = {(round(o.y0, 2), round(o.y1, 2)) for o in openings}
    if len(level) == 1 and all(opening.is_rectangle for opening in openings):
        return [], []
    paths: list[Path] = []
    labels: list[Label] = []
    for opening in openings:
        rooms = (prep(as_polygon(opening.ring, tolerance=0.1).difference(holes)),)
        more_paths, more_labels = _one(opening, rooms, units, letter, Taken(lines))
        about = f"bay {opening.bay}"
        paths += [replace(path, about=about) for path in more_paths]
        labels += [replace(label, about=about) for label in more_labels]
    return paths, labels


def _one(
    opening: Opening, rooms: Rooms, units: Units, letter: float, taken: Taken
) -> tuple[list[Path], list[Label]]:
    ring = opening.ring
    low_left, low_right, high_right, high_left = (ring[i] for i in corner_numbers(ring))
    paths: list[Path] = []
    labels: list[Label] = []
    ends = [(low_left, high_left, 1.0)]
    if not opening.is_rectangle:
        ends.append((low_right, high_right, -1.0))
    for low, high, inward in ends:
        label = set_label(_along_post(low, high, inward, units, letter), rooms, taken)
        labels += [label] if label is not None else []
    if opening.is_rectangle:
        return paths, labels
    main = {low_left[:2], low_right[:2], high_right[:2], high_left[:2]}
    found = corners(ring, opening.origin)
    for corner in found:
        if corner.start[:2] in main:
            continue
        x, y = (length_text(value, units) for value in corner.place)
        label = set_label(about_point(*corner.start[:2], f"{x}, {y}", letter), rooms, taken, corner.start[:2])
        if label is not None:
            labels.append(label)
            leader = leader_to(corner.start[:2], label)
            paths += [stroke(list(leader.coords))] if leader is not None else []
        paths.append(corner_ring(corner.start, DOT * letter / 2))
    posts = ({low_left[:2], high_left[:2]}, {low_right[:2], high_right[:2]})
    for corner in found:
        label = set_label(_onward(corner, posts, units, letter), rooms, taken)
        labels += [label] if label is not None else []
    return paths, labels


def _onward(
    corner: Corner, posts: Sequence[set[tuple[float, float]]], units: Units, letter: float
) -> list[Label]:
    """Words for a slope or an arc; none for the edge along a post, whose height and lean are told."""
    if corner.radius:
        return beside_arc(corner, f"R {length_text(corner.radius, units)}", letter)
    if corner.is_slope and {corner.start[:2], corner.end[:2]} not in posts:
        return along_slope(corner, length_text(corner.length, units), letter)
    return []


def _along_post(low: Vertex, high: Vertex, inward: float, units: Units, letter: float) -> list[Label]:
    """The height of a post's edge, and how far its top leans, read from the right beside the edge."""
    tall, lean = high[1] - low[1], high[0] - low[0]
    text = f"{length_text(tall, units)} high"
    if abs(lean) > _LEAN:
        text += f", top {length_text(abs(lean), units)} to the {'right' if lean > 0 else 'left'}"
    found = []
    for share in (1.0, 0.8, 0.64):
        size = share * letter
        if text_width(text, size) > tall:
            continue
        for away in (0.8, 1.6, 2.6):
            for along in (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78):
                x, y = low[0] + along * lean, low[1] + along * tall
                x += inward * (away + 0.5) * size
                found.append(Label(x, y, text, size, Layer.DIMENSION, turn=90.0))
    return found
