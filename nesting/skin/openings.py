"""Measured bays as openings in one datum, and the outline of a side's whole skin with its lands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from nesting.job import Bay, Land, Side, Window
from nesting.outline import Ring, Vertex, bounds, moved, rectangle
from nesting.plan import Point
from nesting.skin.ringcuts import crossings
from nesting.skin.runout import run_out


@dataclass(frozen=True)
class Opening:
    """One bay in side coordinates (``bay`` from 1): its outline, counter-clockwise, and how far that reaches.

    ``origin`` is where windows are measured from, the bay's lower left corner.
    """

    bay: int
    x0: float
    x1: float
    y0: float
    y1: float
    ring: Ring
    origin: Point

    @property
    def is_rectangle(self) -> bool:
        """True for a plain rectangle that stands square."""
        return self.ring == rectangle(self.x0, self.y0, self.x1, self.y1)


def bay_ring(bay: Bay) -> Ring:
    """The outline of a bay from its lower left corner."""
    return bay.outline or rectangle(0.0, 0.0, bay.width, bay.height)


def outline_openings(side: Side) -> tuple[Opening, ...]:
    """The side's openings from left to right, posts between them, the first one's lower left corner at x = 0."""
    openings = []
    x = 0.0
    for number, bay in enumerate(side.bays, start=1):
        ring = moved(bay_ring(bay), x, bay.sill)
        box = bounds(ring)
        openings.append(Opening(number, box[0], box[2], box[1], box[3], ring, (x, bay.sill)))
        x += bay.width + (side.posts[number - 1] if number <= len(side.posts) else 0.0)
    return tuple(openings)


def post_centres(openings: Sequence[Opening]) -> tuple[float, ...]:
    """The plumb centre line of what metal there is between two openings over their whole height."""
    return tuple((left.x1 + right.x0) / 2 for left, right in pairwise(openings))


def post_faces(openings: Sequence[Opening]) -> tuple[float, ...]:
    """How wide the plumb strip of metal is between two openings: less than the post where it leans."""
    return tuple(right.x0 - left.x1 for left, right in pairwise(openings))


def window_hole(window: Window, openings: Sequence[Opening]) -> Ring:
    """The hole that a window needs."""
    left, low = openings[window.bay - 1].origin
    x, y = left + window.from_left, low + window.from_bottom
    return rectangle(x, y, x + window.width, y + window.height, window.corner_radius)


def skin_outline(openings: Sequence[Opening], land: Land) -> Ring:
    """The whole skin of a side in one piece: openings and posts run out by the land, corners mitred.

    Over a post the edge runs straight from corner to corner.  The land is measured square to each edge: an edge
    nearer to level than 45 degrees takes top or bottom, others ends.  Empty where an arc that curves inwards is
    tighter than its land.
    """
    return run_out(without_straight_corners(closed_side(openings)), land) or ()


def closed_side(openings: Sequence[Opening]) -> Ring:
    """The openings and the posts between them as one outline."""
    corners = [corner_numbers(opening.ring) for opening in openings]
    ring: list[Vertex] = []
    for opening, (low_left, low_right, _, _) in zip(openings, corners, strict=True):
        ring += _chain(opening.ring, low_left, low_right)
    last = len(openings) - 1
    ring.pop()
    ring += _chain(openings[last].ring, corners[last][1], corners[last][2])
    ring.pop()
    for opening, (_, _, high_right, high_left) in zip(reversed(openings), reversed(corners), strict=True):
        ring += _chain(opening.ring, high_right, high_left)
    ring.pop()
    ring += _chain(openings[0].ring, corners[0][3], corners[0][0])
    ring.pop()
    return tuple(ring)


def corner_numbers(ring: Ring) -> tuple[int, int, int, int]:
    """Which vertices are the lower left, lower right, upper right and upper left corner: those farthest that way.

    Of two equally far the one farther left or right, so that a rounded corner belongs to the upper or lower edge.
    """
    numbers = range(len(ring))
    return (
        min(numbers, key=lambda i: (round(ring[i][0] + ring[i][1], 6), ring[i][0])),
        max(numbers, key=lambda i: (round(ring[i][0] - ring[i][1], 6), ring[i][0])),
        max(numbers, key=lambda i: (round(ring[i][0] + ring[i][1], 6), ring[i][0])),
        min(numbers, key=lambda i: (round(ring[i][0] - ring[i][1], 6), ring[i][0])),
    )


def _chain(ring: Ring, first: int, last: int) -> list[Vertex]:
    """The vertices from one to another the way the ring runs, both included; nothing follows the last."""
    count = (last - first) % len(ring)
    run = [ring[(first + i) % len(ring)] for i in range(count + 1)]
    return [*run[:-1], (run[-1][0], run[-1][1], 0.0)]


def heights_on(ring: Ring, x: float) -> tuple[float, float]:
    """Least and greatest height of an outline on a plumb line that crosses it."""
    heights = crossings(ring, 0, x)
    return heights[0], heights[-1]


def without_straight_corners(ring: Ring) -> Ring:
    """The ring without corners between two straight edges at which it does not really turn."""
    kept = []
    for i, (x, y, bulge) in enumerate(ring):
        (x0, y0, arc), (x1, y1, _) = ring[i - 1], ring[(i + 1) % len(ring)]
        turn = abs((x - x0) * (y1 - y) - (y - y0) * (x1 - x))
        if bulge or arc or turn > 1e-9 * (hypot(x - x0, y - y0) + 1):
            kept.append((x, y, bulge))
    return tuple(kept)
