"""One label of labels.pdf: what is said of a part, and where each line of it stands.

Lengths are points (1/72 in) on the page.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.lib.colors import black, white
from reportlab.pdfgen.canvas import Canvas

from nesting.documents.drawing import one_line
from nesting.documents.findings import doubts
from nesting.documents.paper.tables import span_text
from nesting.documents.paper.type import BOLD, FONT, printable, shortened, text_length
from nesting.documents.placement import own_outline
from nesting.documents.sheetview import MEASURE_AGAIN
from nesting.documents.wording import mass_text
from nesting.job import Hand
from nesting.ordering.buylist import lifting_note
from nesting.outline import bounds
from nesting.plan import PlacedPart, PlannedJob
from shared.units import format_length

_LARGEST, _UNBROKEN, _SMALLEST = 22.0, 7.0, 5.0
"""Letters of a name: at most, as small as they get before words are broken, and at least."""
_REST, _LEAST_REST = 11.0, 5.8
"""Letters of everything else, at most and at least."""
_STEP = 0.5
_LEADING = 1.16
"""From line to line, in letter sizes."""
_ASCENT = 0.78
"""From the base line to the top of the letters, in letter sizes."""
_GUTTER = 4.0
_PUT_ON = "OUTSIDE FACE"


@dataclass(frozen=True)
class Cell:
    """A rectangle on the page by its lower left corner."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class LabelWords:
    """What is said of a part; ``forward`` is the hand of the front as seen from outside, None for a patch.

    ``where`` may be cut short, ``bays`` never is.
    """

    name: str
    where: str
    bays: str
    size: str
    mass: str
    sheet: str
    forward: Hand | None
    doubtful: bool


@dataclass(frozen=True)
class Line:
    """A line of words: left end of its base line, letter size; ``light`` is white on black."""

    text: str
    x: float
    y: float
    size: float
    font: str = FONT
    light: bool = False


def label_words(planned: PlannedJob) -> tuple[LabelWords, ...]:
    """A label for every part that is cut, sheet by sheet."""
    count = len(planned.plan.sheets)
    return tuple(
        _say(planned, part, f"sheet {number} of {count}")
        for number, sheet in enumerate(planned.plan.sheets, start=1)
        for part in sheet.parts
    )


def _say(planned: PlannedJob, part: PlacedPart, sheet: str) -> LabelWords:
    units = planned.job.units
    x0, y0, x1, y1 = bounds(own_outline(planned, part))
    # a part is never printed larger than it is, so that it still fits
    wide, high = (format_length(length, units.value, direction="down") for length in (x1 - x0, y1 - y0))
    panel = next((panel for panel in planned.plan.panels if panel.name == part.part), None)
    strip = next((strip for strip in planned.plan.backing if strip.patch == part.part), None)
    where, bays = "patch", ""
    if panel is not None:
        where = panel.side
        bays = f", {'bay' if panel.first_bay == panel.last_bay else 'bays'} "
        bays += span_text(panel.first_bay, panel.last_bay)
        if any(other.last_row > 1 for other in planned.plan.panels if other.side == panel.side):
            rows = "row" if panel.first_row == panel.last_row else "rows"
            bays += f", {rows} {span_text(panel.first_row, panel.last_row)}"
    elif strip is not None:
        where, bays = f"backing strip, {strip.side}", f", bay {strip.bay}" if strip.bay else ""
    mass = planned.masses.get(part.part, 0.0)
    hands = lifting_note(mass)
    return LabelWords(
        name=one_line(part.part),
        where=one_line(where),
        bays=bays,
        size=f"{wide} x {high} {units.value}",
        mass=mass_text(mass, units) + (f", {hands}" if hands else ""),
        sheet=f"{sheet}, {'FACE DOWN: turn over' if part.flipped else 'face up'}",
        forward=panel.forward if panel is not None else None,
        doubtful=bool(doubts(planned, part.part)),
    )


def draw_label(canvas: Canvas, area: Cell, say: LabelWords) -> None:
    """Put the words and the arrows of a label on the page, within ``area``."""
    for line in label_lines(area, say):
        if line.light:
            canvas.setFillColor(black)
            wide = text_length(line.text, line.size, line.font)
            canvas.rect(line.x - 2.0, line.y - 1.6, wide + 4.0, 0.72 * line.size + 3.2, stroke=0, fill=1)
        canvas.setFillColor(white if line.light else black)
        canvas.setFont(line.font, line.size)
        canvas.drawString(line.x, line.y, line.text)
    canvas.setFillColor(black)
    canvas.setStrokeColor(black)
    for x0, y0, x1, y1 in arrows(area, say):
        _arrow(canvas, x0, y0, x1, y1)


def label_lines(area: Cell, say: LabelWords) -> tuple[Line, ...]:
    """The words of a label: a column at the left, the words of the arrows at the right."""
    room = area.width - _arrow_width(area) - _GUTTER
    small = min(_REST, area.height / 8.2)
    rest = [_fitted(text, room, small) for text in (say.size, say.mass, say.sheet)]
    rest.insert(0, _with_end(say.where, say.bays, room, small))
    if say.doubtful:
        text, size = _fitted(MEASURE_AGAIN, room - 4.0, small, BOLD)
        rest.append((text, size))
    lines: list[Line] = []
    name_room = area.height - (len(rest) * _LEADING + 0.3) * small
    name, size = _name_lines(say.name, room, name_room)
    y = area.y + area.height
    for text in name:
        lines.append(Line(text, area.x, y - _ASCENT * size, size, BOLD))
        y -= _LEADING * size
    for number, (text, letters) in enumerate(rest):
        light = say.doubtful and number == len(rest) - 1
        y -= _LEADING * small
        base = y + (_LEADING - _ASCENT) * small
        lines.append(
            Line(text, area.x + (2.0 if light else 0.0), base, letters, BOLD if light else FONT, light)
        )
    return (*lines, *_arrow_words(area, say))


def arrows(area: Cell, say: LabelWords) -> tuple[tuple[float, float, float, float], ...]:
    """The arrows from foot to tip: up, and forward on a panel, from one corner."""
    wide, (x0, y0, x1, y1) = _arrow_width(area), _arrow_box(area)
    if say.forward is None:
        return ((x0 + wide / 2, y0, x0 + wide / 2, y1),)
    corner, tip = (x1 - 3.0, x0) if say.forward is Hand.LEFT else (x0 + 3.0, x1)
    return ((corner, y0 + 3.0, corner, y1), (corner, y0 + 3.0, tip, y0 + 3.0))


def _arrow_width(area: Cell) -> float:
    return min(0.25 * area.width, 0.75 * area.height)


def _arrow_box(area: Cell) -> tuple[float, float, float, float]:
    """Where arrows lie: at the right, over the line that says which face they are for."""
    wide = _arrow_width(area)
    x1, foot = area.x + area.width, area.y + 0.16 * area.height
    return x1 - wide, foot, x1, min(area.y + area.height, foot + wide)


def _arrow_words(area: Cell, say: LabelWords) -> Iterator[Line]:
    wide, (x0, y0, x1, y1) = _arrow_width(area), _arrow_box(area)
    size = 0.2 * wide
    text, face = _fitted(_PUT_ON, wide, size, BOLD)
    yield Line(text, x1 - text_length(text, face, BOLD), area.y + (_LEADING - _ASCENT) * face, face, BOLD)
    up = text_length("UP", size, BOLD)
    if say.forward is None:
        yield Line("UP", x0 + wide / 2 + 5.0, y1 - _ASCENT * size, size, BOLD)
        return
    left = say.forward is Hand.LEFT
    yield Line("UP", x1 - 9.0 - up if left else x0 + 9.0, y1 - _ASCENT * size, size, BOLD)
    forward = text_length("FWD", size, BOLD)
    yield Line("FWD", x0 if left else x1 - forward, y0 + 3.0 + 6.0, size, BOLD)


def _arrow(canvas: Canvas, x0: float, y0: float, x1: float, y1: float) -> None:
    """A thick shaft with a filled head, level or upright."""
    long = abs(x1 - x0) + abs(y1 - y0)
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    back, half = 8.0, 3.5
    canvas.setLineWidth(1.8)
    canvas.line(x0, y0, x1 - ux * back, y1 - uy * back)
    head = canvas.beginPath()
    head.moveTo(x1, y1)
    head.lineTo(x1 - ux * back - uy * half, y1 - uy * back + ux * half)
    head.lineTo(x1 - ux * back + uy * half, y1 - uy * back - ux * half)
    head.close()
    canvas.drawPath(head, stroke=0, fill=1)


def _fitted(text: str, room: float, size: float, font: str = FONT) -> tuple[str, float]:
    """The text in smaller letters where it is longer than the room, cut off where even these are."""
    text = printable(text)
    wide = text_length(text, size, font)
    if wide > room:
        size = max(_LEAST_REST, size * room / wide)
    return shortened(text, room + 1e-6, size, font), size


def _with_end(start: str, end: str, room: float, size: float) -> tuple[str, float]:
    """Both in one line; the start is cut off where there is no room for all of it."""
    _, size = _fitted(start + end, room, size)
    return shortened(start, room + 1e-6 - text_length(end, size), size) + end, size


def _name_lines(name: str, width: float, height: float) -> tuple[tuple[str, ...], float]:
    """The name in letters as large as there is room for, over several lines if these can be larger so."""
    name = printable(name)
    size = _LARGEST
    while True:
        lines = tuple(_wrapped(name, width, size, broken=size < _UNBROKEN))
        fits = all(text_length(line, size, BOLD) <= width for line in lines)
        if fits and len(lines) * _LEADING * size <= height:
            return lines, size
        if size <= _SMALLEST:
            break
        size -= _STEP
    kept = max(1, int(height / (_LEADING * size)))
    rest = " ".join(lines[kept - 1 :])
    return (*lines[: kept - 1], shortened(rest, width, size, BOLD)), size


def _wrapped(text: str, width: float, size: float, broken: bool) -> Iterator[str]:
    """Lines that fill the width; a word longer than that is broken only if it may be."""
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if text_length(longer, size, BOLD) <= width:
            line = longer
            continue
        if line:
            yield line
        while broken and text_length(word, size, BOLD) > width:
            kept = next(
                n for n in range(len(word), 0, -1) if n == 1 or text_length(word[:n], size, BOLD) <= width
            )
            yield word[:kept]
            word = word[kept:]
        line = word
    if line:
        yield line
