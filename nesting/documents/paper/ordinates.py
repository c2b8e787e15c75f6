"""Numbers along a sheet's lower and left edge: how far each part's edges lie from the lower left corner.

A part that another one hides from the edge has no number there; the list beside the drawing has them all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import inf

from reportlab.pdfgen.canvas import Canvas

from nesting.documents.drawing import Layer
from nesting.documents.paper.drawn import View, set_pen
from nesting.documents.paper.type import FONT, text_length
from nesting.documents.wording import length_text
from nesting.job import Units
from nesting.outline import bounds
from nesting.plan import SheetLayout

_TYPE = 6.5
_APART = 7.6
"""Points from number to number."""
_START, _STRAIGHT, _SLANT, _END = 1.5, 3.0, 7.0, 2.0
"""Points: a leader leaves the sheet's edge, runs straight, slants to where its number has room, ends."""
_SAME = 0.05
"""mm: distances this close are one."""

Span = tuple[float, float, float]
"""From, to, and how far away from the edge a part begins."""


def draw_ordinates(canvas: Canvas, sheet: SheetLayout, view: View, units: Units) -> None:
    """Draw them in the 42 points under and left of the view."""
    boxes = [bounds(part.outline) for part in sheet.parts]
    stock = sheet.stock
    canvas.saveState()
    # the lower edge is drawn as the left one is, about a corner turned by a quarter
    _draw_edge(
        canvas, view, units, upright_marks([(b[1], b[3], b[0]) for b in boxes], stock.width, view.factor)
    )
    canvas.translate(view.x, view.y)
    canvas.rotate(90)
    canvas.scale(1, -1)
    level = upright_marks([(b[0], b[2], b[1]) for b in boxes], stock.length, view.factor)
    _draw_edge(canvas, View(view.extents, view.scale), units, level, mirrored=True)
    canvas.restoreState()


def upright_marks(spans: Sequence[Span], whole: float, factor: float) -> list[tuple[float, float]]:
    """(distance in mm, where its number stands in points), in rising order, numbers clear of one another.

    When there are more than the edge has room for, ends of parts go first, then their beginnings.
    """
    room = int(whole * factor / _APART) + 1
    ranked = sorted(set(_ranked(spans, whole)))
    kept: list[float] = []
    for _, at in ranked:
        if len(kept) < max(room, 2) and all(abs(at - other) > _SAME for other in kept):
            kept.append(at)
    kept.sort()
    # half a number past either end at most: the numbers of the other edge stand round the corner
    low, high = -_APART / 2, whole * factor + _APART / 2
    return list(zip(kept, spread([at * factor for at in kept], _APART, low, high), strict=True))


def _ranked(spans: Sequence[Span], whole: float) -> Iterator[tuple[int, float]]:
    yield 0, 0.0
    yield 0, whole
    for first, last, depth in spans:
        hidden = any(
            other_depth < depth and other_first < last and other_last > first
            for other_first, other_last, other_depth in spans
        )
        if not hidden:
            yield 1, first
            yield 2, last


def spread(wanted: Iterable[float], apart: float, low: float = -inf, high: float = inf) -> list[float]:
    """Places from ``low`` to ``high``, ``apart`` or more from each other, as near to the wanted as can be.

    Least squares: neighbours (rising) that would come too close form a block about their common middle.
    """
    blocks: list[tuple[float, int]] = []
    for number, value in enumerate(wanted):
        mean, count = value - number * apart, 1
        while blocks and blocks[-1][0] > mean:
            other, others = blocks.pop()
            mean = (mean * count + other * others) / (count + others)
            count += others
        blocks.append((mean, count))
    means = [mean for mean, count in blocks for _ in range(count)]
    last = high - (len(means) - 1) * apart
    return [max(min(mean, last), low) + number * apart for number, mean in enumerate(means)]


def _draw_edge(
    canvas: Canvas,
    view: View,
    units: Units,
    marks: Iterable[tuple[float, float]],
    mirrored: bool = False,
) -> None:
    """Leaders and numbers left of the upright edge at the view's corner."""
    set_pen(canvas, Layer.DIMENSION)
    canvas.setFont(FONT, _TYPE)
    for at, place in marks:
        x, y, level = view.x - _START, view.y + at * view.factor, view.y + place
        line = canvas.beginPath()
        line.moveTo(x, y)
        line.lineTo(x - _STRAIGHT, y)
        line.lineTo(x - _STRAIGHT - _SLANT, level)
        line.lineTo(x - _STRAIGHT - _SLANT - _END, level)
        canvas.drawPath(line, stroke=1, fill=0)
        text = length_text(at, units)
        end = x - _STRAIGHT - _SLANT - _END - 1.5
        canvas.saveState()
        canvas.translate(end, level)
        if mirrored:
            canvas.scale(1, -1)
        canvas.drawString(-text_length(text, _TYPE), -_TYPE * 0.36, text)
        canvas.restoreState()
