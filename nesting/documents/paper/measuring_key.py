"""The key of a measuring sheet: one bay with every reading by its name, and one with a window and a rail.

Nothing is to scale.  Lengths are points on the page.
"""

from __future__ import annotations

from reportlab.lib.colors import black, white
from reportlab.pdfgen.canvas import Canvas

from nesting.documents.paper.measuring_sketch import Line, Opening, draw_reading, frame, level_line, on_line
from nesting.documents.paper.type import BOLD, FONT
from nesting.starting.sheet import bay_readings

KEY = 178.0
"""Height of the key."""

_FOOT = 30.0
_HIGH = 128.0
_LABELS = 44.0
_POST = 14.0


def draw_key(canvas: Canvas, x: float, y: float, width: float, four_sided: bool) -> None:
    """Both bays side by side, the lower left corner at (x, y)."""
    each = (width - _LABELS - 3 * _POST) / 2
    left = Opening(x + _LABELS + _POST, y + _FOOT, x + _LABELS + _POST + each, y + _FOOT + _HIGH)
    right = Opening(left.x1 + _POST, left.y0 + 8.0, left.x1 + _POST + each, left.y1)
    for post in (left.x0 - _POST, left.x1, right.x1):
        frame(canvas, Opening(post, y + _FOOT, post + _POST, left.y1), face=True)
    frame(canvas, left)
    frame(canvas, right)
    level_line(canvas, x + _LABELS, right.x1 + _POST, y + _FOOT - 10.0)
    names = [name for name in bay_readings(four_sided) if name != "sill"]
    for name in sorted(names, key=lambda name: not name.startswith("diagonal")):
        draw_reading(canvas, left.line(name), dashed=name.startswith("diagonal"))
    for name in names:
        line = left.line(name)
        if line[0] != line[2]:
            on_line(canvas, line, name)
        else:
            _beside(canvas, line, name, inwards=-1 if name == "right" else 1)
    _post_width(canvas, left)
    _window_and_rail(canvas, right, y + _FOOT - 10.0)
    canvas.setFont(FONT, 8.5)
    canvas.drawCentredString((left.x0 + left.x1) / 2, left.y1 + 7.0, "bay 1, seen from outside")
    canvas.drawCentredString(
        (right.x0 + right.x1) / 2, left.y1 + 7.0, "bay 2, with a window, a rail and a sill"
    )
    overall = (left.x0, y + 6.0, right.x1, y + 6.0)
    draw_reading(canvas, overall)
    on_line(canvas, overall, "overall: first left edge to last right edge")


def _beside(canvas: Canvas, line: Line, words: str, inwards: int) -> None:
    """Words beside an upright line, towards the middle of the bay, so that they cover no edge."""
    canvas.setFillColor(black)
    canvas.setFont(BOLD, 8)
    draw = canvas.drawString if inwards > 0 else canvas.drawRightString
    draw(line[0] + 4.0 * inwards, (line[1] + line[3]) / 2 - 2.8, words)


def _post_width(canvas: Canvas, left: Opening) -> None:
    """The face of the post between the bays."""
    y = left.y0 + 58.0
    draw_reading(canvas, (left.x1, y, left.x1 + _POST, y))
    canvas.saveState()
    canvas.translate(left.x1 + _POST / 2 + 2.5, y + 8.0)
    canvas.rotate(90)
    canvas.setFont(FONT, 7.5)
    canvas.drawString(0, 0, "post width")
    canvas.restoreState()


def _window_and_rail(canvas: Canvas, bay: Opening, level: float) -> None:
    """A window by its distances from the bay's lower left corner; heights from the level line."""
    window = Opening(bay.x0 + 62.0, bay.y0 + 38.0, bay.x1 - 56.0, bay.y1 - 16.0)
    rail_x = bay.x1 - 12.0
    rail = bay.y0 + 74.0
    canvas.setLineWidth(0.5)
    canvas.setStrokeColor(black)
    canvas.setDash([8.0, 2.0, 1.5, 2.0])
    canvas.line(bay.x0, rail, bay.x1, rail)
    canvas.setDash()
    canvas.setFillColor(white)
    canvas.rect(window.x0, window.y0, window.x1 - window.x0, window.y1 - window.y0, stroke=0, fill=1)
    frame(canvas, window)
    for line, words in (
        ((window.x0, window.y1 - 11.0, window.x1, window.y1 - 11.0), "width"),
        ((window.x0 + 18.0, window.y0, window.x0 + 18.0, window.y1), "height"),
        ((bay.x0, window.y0, window.x0, window.y0), "from left"),
        ((window.x0 + 28.0, bay.y0, window.x0 + 28.0, window.y0), "from bottom"),
        ((rail_x, level, rail_x, rail), "rail"),
        ((bay.x0 + 20.0, level, bay.x0 + 20.0, bay.y0), ""),
    ):
        draw_reading(canvas, line)
        if words:
            on_line(canvas, line, words)
    canvas.setFillColor(black)
    canvas.setFont(FONT, 8)
    canvas.drawString(bay.x0 + 26.0, level + 6.0, "sill")
