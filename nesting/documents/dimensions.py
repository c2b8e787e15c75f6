"""Dimension lines: a line with ticks at its ends, lines out to what is measured, and the length in words."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.documents.drawing import Label, Layer, Path
from nesting.documents.lettering import text_width

_TICK = 0.35
"""Half of a tick, as a share of the letter height."""


def stroke(points: Sequence[tuple[float, float]], layer: Layer = Layer.DIMENSION, about: str = "") -> Path:
    """An open line through points."""
    return Path(tuple((x, y, 0.0) for x, y in points), closed=False, layer=layer, about=about)


def level_dimension(
    x0: float, x1: float, y: float, text: str, height: float, reach: float
) -> tuple[tuple[Path, ...], Label]:
    """A dimension from x0 to x1 drawn at height y, the words under its line.

    ``reach`` is how far the extension lines run up from the dimension line (towards what is measured).
    Words that would be longer than the dimension are made smaller.
    """
    tick = height * _TICK
    lines = [stroke([(x0, y), (x1, y)])]
    for x in (x0, x1):
        lines.append(stroke([(x - tick, y - tick), (x + tick, y + tick)]))
        if reach > 0:
            lines.append(stroke([(x, y - tick), (x, y + reach)]))
    size = fitted(text, height, x1 - x0)
    return tuple(lines), Label((x0 + x1) / 2, y - height * 0.35 - size / 2, text, size, Layer.DIMENSION)


def upright_dimension(
    y0: float, y1: float, x: float, text: str, height: float, reach: float
) -> tuple[tuple[Path, ...], Label]:
    """A dimension from y0 to y1 drawn at x, the words left of its line and read from the right.

    ``reach`` is how far the extension lines run right from the dimension line.
    """
    tick = height * _TICK
    lines = [stroke([(x, y0), (x, y1)])]
    for y in (y0, y1):
        lines.append(stroke([(x - tick, y - tick), (x + tick, y + tick)]))
        if reach > 0:
            lines.append(stroke([(x - tick, y), (x + reach, y)]))
    size = fitted(text, height, y1 - y0)
    label = Label(x - height * 0.35 - size / 2, (y0 + y1) / 2, text, size, Layer.DIMENSION, turn=90.0)
    return tuple(lines), label


def fitted(text: str, height: float, room: float) -> float:
    """The letter height, made smaller where the words are longer than the room."""
    width = text_width(text, 1.0)
    return min(height, 0.94 * room / width) if width > 0 else height


def arrow(x: float, y: float, along: tuple[float, float], length: float, layer: Layer) -> tuple[Path, Path]:
    """An arrow from (x, y) in the direction of the unit vector ``along``: its shaft and its head."""
    ux, uy = along
    tip = (x + ux * length, y + uy * length)
    back, half = 0.3 * length, 0.14 * length
    left = (tip[0] - ux * back - uy * half, tip[1] - uy * back + ux * half)
    right = (tip[0] - ux * back + uy * half, tip[1] - uy * back - ux * half)
    return stroke([(x, y), tip], layer), stroke([left, tip, right], layer)
