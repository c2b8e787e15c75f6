"""The face of a post as it is seen between two openings."""

from __future__ import annotations

from nesting.outline import Ring, Vertex
from nesting.skin.openings import Opening, corner_numbers


def post_ring(left: Opening, right: Opening) -> Ring:
    """The metal between two openings, counter-clockwise: their true edges from corner to corner, straight across."""
    _, low, high, _ = corner_numbers(left.ring)
    inner = _run(left.ring, low, high)
    low_left, _, _, high_left = corner_numbers(right.ring)
    outer = _run(right.ring, high_left, low_left)
    return (*_backwards(outer), *_backwards(inner))


def _run(ring: Ring, first: int, last: int) -> list[Vertex]:
    """The vertices from one to another the way the ring runs, both included."""
    count = (last - first) % len(ring)
    return [ring[(first + i) % len(ring)] for i in range(count + 1)]


def _backwards(run: list[Vertex]) -> list[Vertex]:
    """A run the other way: each arc belongs to the corner at its other end then."""
    bulges = [0.0, *(-bulge for _, _, bulge in run[:-1])]
    return [(x, y, bulge) for (x, y, _), bulge in zip(reversed(run), reversed(bulges), strict=True)]
