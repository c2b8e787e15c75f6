"""The sketches of a measuring sheet: bays with their readings numbered where they are taken, boxes below.

Nothing is to scale.  Lengths are points on the page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin

from reportlab.lib.colors import Color, black, white
from reportlab.pdfgen.canvas import Canvas

from nesting.documents.paper.type import BOLD, FONT, printable, shortened, text_length
from nesting.starting.sheet import BAY, POST, Reading

BOX = 25.0
"""Usual height of a box: room for a fraction in pencil, written with gloves on."""
LABELS = 74.0
"""Width of the words left of the boxes."""
OPENING = 80.0
"""Height of a bay in the sketch."""
WIDEST = 112.0
"""Width that a bay takes at most."""
_FACE = 9.0
_GROUND = 15.0
_HEAD = 15.0
_NUMBER = 8.0
_GREY = Color(0.82, 0.82, 0.82)

Key = tuple[str, int | None, str]
Numbered = Mapping[Key, Reading]
Line = tuple[float, float, float, float]


@dataclass(frozen=True)
class Opening:
    """A bay in the sketch: its corners lower left (x0, y0) and upper right (x1, y1)."""

    x0: float
    y0: float
    x1: float
    y1: float

    def line(self, name: str) -> Line:
        """Where a reading runs, a little inside of the edge that it measures."""
        x0, y0, x1, y1 = self.x0, self.y0, self.x1, self.y1
        inside = 9.0
        return {
            "width": (x0, y0 + inside, x1, y0 + inside),
            "bottom": (x0, y0 + inside, x1, y0 + inside),
            "top": (x0, y1 - inside, x1, y1 - inside),
            "height": (x0 + inside, y0, x0 + inside, y1),
            "left": (x0 + inside, y0, x0 + inside, y1),
            "right": (x1 - inside, y0, x1 - inside, y1),
            "diagonal rising": (x0, y0, x1, y1),
            "diagonal falling": (x1, y0, x0, y1),
        }[name]


STRIP = 298.0
"""Height of a strip of bays with its boxes: two of them share a page of either paper with their heading."""


def box_height(rows: int) -> float:
    """Height of a box where so many rows of them stand under the bays."""
    return (STRIP - _HEAD - OPENING - _GROUND - 6.0) / rows


def strips(bays: int, most: int) -> list[range]:
    """The bays in strips of at most so many, as even as can be."""
    count = -(-bays // most)
    ends = [bays * i // count for i in range(count + 1)]
    return [range(start + 1, end + 1) for start, end in pairwise(ends)]


def draw_strip(
    canvas: Canvas,
    x: float,
    y: float,
    room: float,
    bays: range,
    rows: Sequence[str],
    numbered: Numbered,
    ends: tuple[bool, bool],
) -> None:
    """Bays side by side over their boxes, the lower left corner at (x, y); ``ends``: is that the side's end?"""
    column = min((room - LABELS - _FACE) / len(bays), WIDEST)
    high = box_height(len(rows))
    foot = y + len(rows) * high + 6.0 + _GROUND
    for place, bay in enumerate(bays):
        left = x + LABELS + place * column
        opening = Opening(left + _FACE, foot, left + column, foot + OPENING)
        _post(canvas, left, foot, numbered.get((POST, bay - 1, "width")), end=ends[0] and place == 0)
        _bay(canvas, opening, bay, numbered)
        for row, name in enumerate(rows):
            key = (POST, bay, "width") if name == POST else (BAY, bay, name)
            if reading := numbered.get(key):
                bottom = y + (len(rows) - row - 1) * high + 3.0
                box(canvas, left + _FACE, bottom, column - _FACE, reading, high)
    _post(
        canvas,
        x + LABELS + len(bays) * column,
        foot,
        numbered.get((POST, bays[-1], "width")),
        end=ends[1],
    )
    level_line(canvas, x + LABELS, x + LABELS + len(bays) * column + _FACE, foot - _GROUND + 3.0)
    canvas.setFont(FONT, 8.5)
    for row, name in enumerate(rows):
        words = "post on its right" if name == POST else name
        canvas.drawRightString(x + LABELS + 3.0, y + (len(rows) - row - 0.5) * high - 2.0, words)


def box(canvas: Canvas, x: float, y: float, width: float, reading: Reading, height: float = BOX) -> None:
    """A box to write in, its number in the corner, and what is known already."""
    canvas.setStrokeColor(black)
    canvas.setLineWidth(0.7)
    canvas.setDash()
    canvas.rect(x, y, width, height - 4.0)
    canvas.setFillColor(black)
    canvas.setFont(BOLD, _NUMBER)
    canvas.drawString(x + 2.5, y + height - 4.0 - _NUMBER - 0.5, str(reading.number))
    if reading.value:
        canvas.setFont(FONT, 11)
        canvas.drawCentredString(x + width / 2, y + 5.0, printable(reading.value))


def labelled_box(
    canvas: Canvas, x: float, y: float, label: str, label_width: float, width: float, reading: Reading
) -> None:
    """A box with words on its left."""
    canvas.setFont(FONT, 9)
    canvas.setFillColor(black)
    canvas.drawString(x, y + 7.0, shortened(label, label_width - 4.0, 9))
    box(canvas, x + label_width, y, width, reading)


def _bay(canvas: Canvas, opening: Opening, bay: int, numbered: Numbered) -> None:
    frame(canvas, opening)
    middle = (opening.x0 + opening.x1) / 2
    canvas.setFillColor(black)
    canvas.setFont(BOLD, 11)
    canvas.drawCentredString(middle, opening.y1 + 4.0, f"bay {bay}")
    here = {name: reading for (kind, index, name), reading in numbered.items() if (kind, index) == (BAY, bay)}
    # the dashed diagonals first, so that no number is crossed by one
    for name in sorted(here, key=lambda name: not name.startswith("diagonal")):
        if name != "sill":
            draw_reading(canvas, opening.line(name), dashed=name.startswith("diagonal"))
    for name, reading in here.items():
        if name != "sill":
            on_line(canvas, opening.line(name), str(reading.number))
    if sill := here.get("sill"):
        canvas.setFont(BOLD, 7)
        x = opening.x1 - 12.0
        line = (x, opening.y0 - _GROUND + 3.0, x, opening.y0)
        draw_reading(canvas, line)
        canvas.drawRightString(x - 3.0, opening.y0 - 9.0, str(sill.number))


def draw_reading(canvas: Canvas, line: Line, dashed: bool = False) -> None:
    """A line between what the tape touches, with heads at both ends."""
    x0, y0, x1, y1 = line
    canvas.setStrokeColor(black)
    canvas.setFillColor(black)
    canvas.setLineWidth(0.5)
    canvas.setDash(*(([3.0, 2.0],) if dashed else ()))
    canvas.line(x0, y0, x1, y1)
    canvas.setDash()
    long = min(5.0, hypot(x1 - x0, y1 - y0) / 2.5)
    for tip, tail in (((x0, y0), (x1, y1)), ((x1, y1), (x0, y0))):
        _head(canvas, tip, degrees(atan2(tail[1] - tip[1], tail[0] - tip[0])), long)


def _head(canvas: Canvas, tip: tuple[float, float], turn: float, long: float) -> None:
    path = canvas.beginPath()
    path.moveTo(*tip)
    for apart in (-16, 16):
        angle = radians(turn + apart)
        path.lineTo(tip[0] + long * cos(angle), tip[1] + long * sin(angle))
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def on_line(canvas: Canvas, line: Line, words: str) -> None:
    """A number or words on their line, on white; on a diagonal towards its end, where the other is not."""
    x0, y0, x1, y1 = line
    share = 0.68 if x0 != x1 and y0 != y1 else 0.5
    x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
    wide = text_length(words, _NUMBER, BOLD)
    canvas.setFillColor(white)
    canvas.rect(x - wide / 2 - 1.5, y - 4.5, wide + 3.0, 9.0, stroke=0, fill=1)
    canvas.setFillColor(black)
    canvas.setFont(BOLD, _NUMBER)
    canvas.drawCentredString(x, y - 2.8, words)


def frame(canvas: Canvas, opening: Opening, face: bool = False) -> None:
    """An opening's edges, or a post's face."""
    canvas.setStrokeColor(black)
    canvas.setFillColor(_GREY)
    canvas.setLineWidth(0.4 if face else 1.2)
    canvas.setDash()
    wide, high = opening.x1 - opening.x0, opening.y1 - opening.y0
    canvas.rect(opening.x0, opening.y0, wide, high, stroke=1, fill=1 if face else 0)


def _post(canvas: Canvas, x: float, foot: float, reading: Reading | None, *, end: bool) -> None:
    """A post's face; at the end of the side its outer part is left open."""
    canvas.setFillColor(_GREY)
    canvas.setStrokeColor(black)
    canvas.setLineWidth(0.4)
    canvas.setDash()
    canvas.rect(x, foot, _FACE, OPENING, stroke=0 if end else 1, fill=1)
    if reading is not None:
        canvas.saveState()
        canvas.translate(x + _FACE / 2 + 2.6, foot + OPENING / 2)
        canvas.rotate(90)
        canvas.setFillColor(black)
        canvas.setFont(BOLD, 7.5)
        canvas.drawCentredString(0, 0, str(reading.number))
        canvas.restoreState()


def level_line(canvas: Canvas, x0: float, x1: float, y: float) -> None:
    canvas.setStrokeColor(black)
    canvas.setLineWidth(0.5)
    canvas.setDash([8.0, 2.0, 1.5, 2.0])
    canvas.line(x0, y, x1, y)
    canvas.setDash()
    canvas.setFillColor(black)
    canvas.setFont(FONT, 7)
    canvas.drawRightString(x0 - 3.0, y - 2.0, "level line")
