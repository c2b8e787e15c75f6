"""A drawing on paper: to a round scale, line widths and dashes by layer, readable in black and white."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan, atan2, ceil, degrees

from reportlab.lib.colors import Color, black
from reportlab.pdfgen.canvas import Canvas

from nesting.documents.drawing import Anchor, Dot, Drawing, Label, Layer, Path
from nesting.documents.paper.type import FONT, printable, text_length
from nesting.job import Units
from nesting.outline import Box, arc_centre, edges
from shared.tables import MM_PER_INCH

POINTS_PER_MM = 72 / MM_PER_INCH
_CAP_HEIGHT = 0.718
"""Height of capitals of the printed face, as a share of its size."""
_LEAST_DOT = 1.1
"""Points: a rivet true to scale would vanish."""
_LEAST_TYPE = 2.5
"""Points: smaller words are left out, nobody could read them; the lists beside the drawing say the same."""

_MUCH = 1.35
"""Times smaller than it could be: then the lists make way for the drawing."""
_SHORT = 0.4
"""Share of the page's height up to which a list is short."""
_BESIDE = 1.4
"""In a narrow column the words of lists wrap, and the lists grow so much longer."""
_SCALES = (*range(1, 13), *range(14, 32, 2), *range(32, 64, 4), *range(64, 104, 8), 100, 125, 150, 200, 250)
"""Whole numbers, close enough together that a drawing fills its page; never larger than life."""


@dataclass(frozen=True)
class Pen:
    """How a layer is drawn: width and dashes in points, grey from 0 (black) to 1."""

    width: float
    dashes: tuple[float, ...] = ()
    grey: float = 0.0
    filled: bool = False


PENS = {
    Layer.SHEET: Pen(0.9),
    Layer.CUT: Pen(1.1),
    Layer.PANEL: Pen(1.1),
    Layer.UNDERLAP: Pen(0.5, (3.0, 1.8)),
    Layer.SEAM: Pen(0.5, (8.0, 2.0, 1.5, 2.0)),
    Layer.MARK: Pen(0.35, (6.0, 1.5, 1.0, 1.5)),
    Layer.DRILL: Pen(0.4),
    Layer.LABEL: Pen(0.5),
    Layer.OPENING: Pen(0.35, grey=0.45),
    Layer.STRUCTURE: Pen(0.35, grey=0.6),
    Layer.RIVET: Pen(0.3, filled=True),
    Layer.DIMENSION: Pen(0.35),
    Layer.OFFCUT: Pen(0.4, (1.2, 1.8)),
    Layer.SHEAR: Pen(0.7),
}
"""Wide lines for what is cut or seen, narrow ones for the rest, dashes for what is hidden; no colour."""


@dataclass(frozen=True)
class View:
    """A part of a drawing on the page: 1 : ``scale``, the lower left corner of ``extents`` at (x, y)."""

    extents: Box
    scale: float
    x: float = 0.0
    y: float = 0.0

    @property
    def factor(self) -> float:
        """Points on the page for a millimetre of the drawing."""
        return POINTS_PER_MM / self.scale

    @property
    def width(self) -> float:
        return (self.extents[2] - self.extents[0]) * self.factor

    @property
    def height(self) -> float:
        return (self.extents[3] - self.extents[1]) * self.factor

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the drawing lies on the page."""
        return self.x + (x - self.extents[0]) * self.factor, self.y + (y - self.extents[1]) * self.factor

    def at(self, x: float, y: float) -> View:
        """The same view with its lower left corner elsewhere on the page."""
        return View(self.extents, self.scale, x, y)


def fitting_scale(extents: Box, width: float, height: float) -> int:
    """The n of the largest scale 1 : n (a whole number) at which the extents fit width by height (points)."""
    least = max(
        (extents[2] - extents[0]) * POINTS_PER_MM / width,
        (extents[3] - extents[1]) * POINTS_PER_MM / height,
    )
    return next((scale for scale in sorted(_SCALES) if scale >= least - 1e-9), 100 * ceil(least / 100))


@dataclass(frozen=True)
class Lists:
    """About how wide the lists of a drawing are, and how high: the first one, and all of them (points)."""

    width: float
    first: float
    height: float


@dataclass(frozen=True)
class Fit:
    """The scale 1 : ``scale`` of a drawing on its page, and whether its lists stand beside it or after it."""

    scale: int
    beside: bool


def fit_with_lists(extents: Box, width: float, height: float, lists: Lists) -> Fit:
    """How a drawing shares a page of width by height points with its lists.

    Under or beside, whichever leaves the drawing larger; where either would cost it much, only the first list
    keeps its place under the drawing, if it is short, and the others go on overleaf.
    """
    first = lists.first if lists.first < _SHORT * height else 0.0
    large = fitting_scale(extents, width, height - first)
    under = fitting_scale(extents, width, max(height - lists.height, 1.0))
    fits_beside = _BESIDE * lists.height <= height
    beside = fitting_scale(extents, width - lists.width, height) if fits_beside else under
    if min(under, beside) > _MUCH * large:
        return Fit(large, beside=False)
    return Fit(min(under, beside), beside=beside < under)


def draw(canvas: Canvas, drawing: Drawing, view: View) -> None:
    """Put the drawing on the page; what lies outside the view's extents is not drawn."""
    canvas.saveState()
    clip = canvas.beginPath()
    # half a wide line more, so that the outermost outline keeps its width
    clip.rect(view.x - 1, view.y - 1, view.width + 2, view.height + 2)
    canvas.clipPath(clip, stroke=0, fill=0)
    for path in sorted(drawing.paths, key=lambda path: -PENS[path.layer].grey):
        _draw_path(canvas, path, view)
    _draw_dots(canvas, drawing.dots, view)
    for label in drawing.labels:
        _draw_label(canvas, label, view)
    canvas.restoreState()


def set_pen(canvas: Canvas, layer: Layer) -> None:
    """Line width, dashes and grey of a layer."""
    pen = PENS[layer]
    canvas.setLineWidth(pen.width)
    canvas.setDash(*((list(pen.dashes),) if pen.dashes else ()))
    canvas.setStrokeColor(Color(pen.grey, pen.grey, pen.grey))
    canvas.setFillColor(black)


def _draw_path(canvas: Canvas, path: Path, view: View) -> None:
    if len(path.vertices) < 2:
        return
    set_pen(canvas, path.layer)
    line = canvas.beginPath()
    line.moveTo(*view.point(path.vertices[0][0], path.vertices[0][1]))
    pieces = list(edges(path.vertices))
    for start, end in pieces if path.closed else pieces[:-1]:
        if start[2] == 0.0:
            line.lineTo(*view.point(end[0], end[1]))
            continue
        centre_x, centre_y, radius = arc_centre(start, end)
        x, y = view.point(centre_x, centre_y)
        r = radius * view.factor
        first = degrees(atan2(start[1] - centre_y, start[0] - centre_x))
        line.arcTo(x - r, y - r, x + r, y + r, startAng=first, extent=degrees(4 * atan(start[2])))
    if path.closed:
        line.close()
    canvas.drawPath(line, stroke=1, fill=0)


def _draw_dots(canvas: Canvas, dots: Iterable[Dot], view: View) -> None:
    for dot in dots:
        set_pen(canvas, dot.layer)
        x, y = view.point(dot.x, dot.y)
        diameter = max(dot.diameter * view.factor, _LEAST_DOT)
        canvas.circle(x, y, diameter / 2, stroke=1, fill=1 if PENS[dot.layer].filled else 0)


def _draw_label(canvas: Canvas, label: Label, view: View) -> None:
    size = label.height * view.factor / _CAP_HEIGHT
    if size < _LEAST_TYPE:
        return
    text = printable(label.text)
    width = text_length(text, size)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[label.anchor]
    canvas.saveState()
    canvas.translate(*view.point(label.x, label.y))
    canvas.rotate(label.turn)
    canvas.setFillColor(black)
    canvas.setFont(FONT, size)
    canvas.drawString(start, -size * _CAP_HEIGHT / 2, text)
    canvas.restoreState()


def scale_bar(canvas: Canvas, x: float, y: float, view: View, units: Units) -> None:
    """A bar of a round length at (x, y), with its words: it stays true however the page is printed."""
    unit = MM_PER_INCH if units is Units.INCH else 1.0
    lengths = (1, 2, 3, 6, 12, 24, 48, 96) if units is Units.INCH else (10, 20, 50, 100, 200, 500, 1000, 2000)
    length = max((n for n in lengths if n * unit * view.factor <= 150), default=lengths[0])
    end = x + length * unit * view.factor
    set_pen(canvas, Layer.DIMENSION)
    canvas.line(x, y + 3, end, y + 3)
    for tick in (x, (x + end) / 2, end):
        canvas.line(tick, y, tick, y + 6)
    canvas.setFont(FONT, 7)
    canvas.drawString(end + 5, y + 0.5, f"{length} {units.value} at the scale of the drawing")
