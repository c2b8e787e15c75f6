"""Four-sided shapes from the lengths between their corners.

Corners stand in the order lower left, lower right, upper right, upper left (counter-clockwise), in mm, x to the
right and y up.  A shape on its own has its lower left corner at (0, 0) and its lower edge along x.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import acos, hypot, pi, sin, sqrt, tan

from nesting.readings import SPANS, Corners, Point, length_of
from shared.units import SNAP_MM

OPPOSITE = {
    "top": "bottom",
    "bottom": "top",
    "left": "right",
    "right": "left",
    "diagonal_rising": "diagonal_falling",
    "diagonal_falling": "diagonal_rising",
}
"""The length between the two other corners."""

CORNER_NAMES = ("lower left", "lower right", "upper right", "upper left")

FLAT = 1e-3
"""Sine of a turn that counts as none: a tape cannot tell three corners in a line from 1 mm off in a metre."""

_STEPS = 50
"""Diagonals tried before the best of them is closed in on."""


def is_convex(corners: Corners) -> bool:
    """Whether every corner turns left, so that the shape neither crosses itself nor points inwards."""
    return not inward_corners(corners)


def inward_corners(corners: Corners) -> tuple[str, ...]:
    """Names of the corners that point inwards or are flat."""
    found = []
    for i, name in enumerate(CORNER_NAMES):
        (x0, y0), (x, y), (x1, y1) = corners[i - 1], corners[i], corners[(i + 1) % 4]
        turn = (x - x0) * (y1 - y) - (y - y0) * (x1 - x)
        if turn <= FLAT * hypot(x - x0, y - y0) * hypot(x1 - x, y1 - y):
            found.append(name)
    return tuple(found)


def shape_without(key: str, lengths: Mapping[str, float]) -> Corners | None:
    """The shape that the five other lengths give exactly; None where they do not close.

    The length between the two corners that ``key`` does not touch is laid down first; each of the two others
    is then the tip of a triangle on it.  The shape may still point inwards (`is_convex`).
    """
    base = OPPOSITE[key]
    start, end = SPANS[base]
    placed: dict[int, Point] = {start: (0.0, 0.0), end: (lengths[base], 0.0)}
    for corner in SPANS[key]:
        tip = _tip(lengths[base], lengths[_between(start, corner)], lengths[_between(end, corner)])
        if tip is None:
            return None
        # The sides run counter-clockwise, so all lies to their left; a diagonal has a corner to either hand.
        below = corner == (1 if base == "diagonal_rising" else 0) and base.startswith("diagonal")
        placed[corner] = (tip[0], -tip[1]) if below else tip
    corners = placed[0], placed[1], placed[2], placed[3]
    return on_its_lower_edge(corners) if length_of(key, corners) > SNAP_MM else None


def nearest_to_square(lengths: Mapping[str, float]) -> Corners | None:
    """The shape of four sides whose corners deviate least from 90 degrees, by the sum of squares.

    None where the sides do not close.  Equal opposite sides give the rectangle.
    """
    top, bottom, left, right = (lengths[key] for key in ("top", "bottom", "left", "right"))
    if top == bottom and left == right:
        return (0.0, 0.0), (bottom, 0.0), (bottom, left), (0.0, left)
    least = max(abs(bottom - right), abs(top - left))
    most = min(bottom + right, top + left)
    if most <= least:
        return None
    step = (most - least) / _STEPS
    best = min((least + step * k for k in range(1, _STEPS)), key=lambda rising: _lean(lengths, rising)[0])
    rising = _lowest(lengths, max(best - step, least), min(best + step, most))
    return shape_without("diagonal_falling", {**lengths, "diagonal_rising": rising})


def on_its_lower_edge(corners: Corners) -> Corners:
    """The shape moved and turned so that its lower left corner is (0, 0) and its lower edge lies along x."""
    (x0, y0), (x1, y1) = corners[0], corners[1]
    length = hypot(x1 - x0, y1 - y0)
    c, s = (x1 - x0) / length, (y1 - y0) / length
    _, _, upper_right, upper_left = (
        (tidy((x - x0) * c + (y - y0) * s), tidy((y - y0) * c - (x - x0) * s)) for x, y in corners
    )
    return (0.0, 0.0), (tidy(length), 0.0), upper_right, upper_left


def tidy(value: float) -> float:
    """Without the last digits, which float arithmetic left there: a plumb edge stays plumb."""
    return round(value, 9) + 0.0


def _between(a: int, b: int) -> str:
    return next(key for key, span in SPANS.items() if set(span) == {a, b})


def _tip(base: float, from_start: float, from_end: float) -> Point | None:
    """The third corner of a triangle that stands on ``base``; None where its sides do not meet."""
    if not abs(from_start - from_end) < base < from_start + from_end:
        return None
    along = (base + (from_start - from_end) * (from_start + from_end) / base) / 2
    height = sqrt(max(0.0, (from_start - along) * (from_start + along)))
    return (along, height) if height > 0 else None


def _lean(lengths: Mapping[str, float], rising: float) -> tuple[float, float]:
    """Sum of squared deviations of the corners from 90 degrees (radians), and its slope over the diagonal.

    In a triangle whose sides u and v are fixed and whose third side p grows, the angle between u and v grows
    by p / (u v sin), and the one between u and p by -cot(angle between v and p) / p.
    """
    angles, slopes = [0.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0]
    for corner, at_lower, at_upper in ((1, "bottom", "right"), (3, "left", "top")):
        u, v = lengths[at_lower], lengths[at_upper]
        apex, low, high = _angle(u, v, rising), _angle(u, rising, v), _angle(v, rising, u)
        angles[corner], slopes[corner] = apex, rising / (u * v * sin(apex))
        angles[0] += low
        angles[2] += high
        slopes[0] -= 1 / (tan(high) * rising)
        slopes[2] -= 1 / (tan(low) * rising)
    off = [angle - pi / 2 for angle in angles]
    return sum(o * o for o in off), 2 * sum(o * slope for o, slope in zip(off, slopes, strict=True))


def _angle(u: float, v: float, opposite: float) -> float:
    """The angle of a triangle between two sides."""
    return acos(max(-1.0, min(1.0, (u * u + v * v - opposite * opposite) / (2 * u * v))))


def _lowest(lengths: Mapping[str, float], low: float, high: float) -> float:
    """Where the slope of the lean changes its sign, halved down to the last digit."""
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if _lean(lengths, middle)[1] > 0.0:
            high = middle
        else:
            low = middle
    return (low + high) / 2
