"""labels.pdf: a label to stick on each part, on ordinary sheets of labels; a page to try them comes first.

Lengths on the page are points (1/72 in).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from nesting.documents.paper.labelcell import Cell, LabelWords, draw_label, label_words
from nesting.documents.paper.sheet import page_size
from nesting.documents.paper.type import (
    BODY,
    BOLD,
    FONT,
    LONGEST_HEADING,
    TITLE,
    clipped,
    paragraph,
    printable,
)
from nesting.job import Units
from nesting.plan import PlannedJob
from shared.tables import MM_PER_INCH

_INCH = 72.0
_MM = _INCH / MM_PER_INCH
_SAFE = 5.0 * _MM
"""Most printers leave this much of the paper blank at its edges."""
_INSIDE = 1.5 * _MM
"""From the edge of a label to its words: sheets are fed a little askew."""

_APART = 6.0
"""Between paragraphs."""


@dataclass(frozen=True)
class LabelSheet:
    """A sheet of labels: how many columns and rows, the size of one, the first one's place, the steps.

    ``left`` and ``top`` are measured from the upper left corner of the paper to that of the first label.
    """

    name: str
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    step_x: float
    step_y: float

    @property
    def count(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows


# common practice of stationers, without a source: hence the page to try it on
LABEL_SHEETS = {
    Units.INCH: LabelSheet(
        "letter paper, 30 labels of 1 x 2 5/8 in",
        columns=3,
        rows=10,
        width=2.625 * _INCH,
        height=1.0 * _INCH,
        left=0.1875 * _INCH,
        top=0.5 * _INCH,
        step_x=2.75 * _INCH,
        step_y=1.0 * _INCH,
    ),
    Units.MILLIMETRE: LabelSheet(
        "A4, 24 labels of 70 x 37 mm",
        columns=3,
        rows=8,
        width=70.0 * _MM,
        height=37.0 * _MM,
        left=0.0,
        top=0.5 * _MM,
        step_x=70.0 * _MM,
        step_y=37.0 * _MM,
    ),
}
"""By the units of the job, as its paper is."""


def write_labels(planned: PlannedJob, path: Path) -> None:
    """Write a page to try, then a label for each part on every sheet, in the order in which they are cut.

    The same bytes for the same plan.
    """
    units = planned.job.units
    sheet = LABEL_SHEETS[units]
    words = label_words(planned)
    pages = [words[start : start + sheet.count] for start in range(0, len(words), sheet.count)]
    canvas = Canvas(str(path), pagesize=page_size(units), invariant=1, pageCompression=1)
    canvas.setTitle(printable(f"Labels: {planned.job.title}"))
    canvas.setAuthor("")
    canvas.setCreator("reskin")
    canvas.setProducer("reskin")
    canvas.setSubject("A label for each part")
    _test_page(canvas, sheet, units, planned, len(pages))
    for page in pages:
        _label_page(canvas, sheet, units, page)
    canvas.save()


def cells(sheet: LabelSheet, units: Units) -> tuple[Cell, ...]:
    """The labels of a page, row by row from the upper left one."""
    _, height = page_size(units)
    return tuple(
        Cell(
            sheet.left + column * sheet.step_x,
            height - sheet.top - row * sheet.step_y - sheet.height,
            sheet.width,
            sheet.height,
        )
        for row in range(sheet.rows)
        for column in range(sheet.columns)
    )


def printed_area(cell: Cell, units: Units) -> Cell:
    """What of a label words may stand on: clear of its edges, and of the edges of the paper."""
    width, height = page_size(units)
    x0, y0 = max(cell.x + _INSIDE, _SAFE), max(cell.y + _INSIDE, _SAFE)
    x1 = min(cell.x + cell.width - _INSIDE, width - _SAFE)
    y1 = min(cell.y + cell.height - _INSIDE, height - _SAFE)
    return Cell(x0, y0, x1 - x0, y1 - y0)


def _label_page(canvas: Canvas, sheet: LabelSheet, units: Units, words: Sequence[LabelWords]) -> None:
    for cell, say in zip(cells(sheet, units), words, strict=False):
        draw_label(canvas, printed_area(cell, units), say)
    canvas.showPage()


def _test_page(canvas: Canvas, sheet: LabelSheet, units: Units, planned: PlannedJob, pages: int) -> None:
    """Where the labels lie, but for some rows in which what to do is written."""
    frames = cells(sheet, units)
    left, wide = _SAFE + 12.0, page_size(units)[0] - 2 * (_SAFE + 12.0)
    blocks = [paragraph(text, size, font) for text, size, font in _instructions(sheet, planned, pages)]
    heights = [block.wrap(wide, page_size(units)[1])[1] + _APART for block in blocks]
    rows = ceil((sum(heights) + 2 * _APART) / sheet.step_y)
    y = frames[sheet.columns].y + sheet.height - _APART
    canvas.setLineWidth(0.4)
    for cell in (*frames[: sheet.columns], *frames[(1 + rows) * sheet.columns :]):
        canvas.rect(cell.x, cell.y, cell.width, cell.height)
    for block, height in zip(blocks, heights, strict=True):
        y -= height
        block.drawOn(canvas, left, y)
    canvas.showPage()


def _instructions(sheet: LabelSheet, planned: PlannedJob, pages: int) -> tuple[tuple[str, float, str], ...]:
    """Paragraphs with the size and face of their letters."""
    then = "There is no part to label."
    if pages:
        printed = f"pages 2 to {pages + 1}" if pages > 1 else "page 2"
        then = (
            f"Then print {printed} on labels, in the same way. They stand in the order of the sheets that "
            "the parts are cut from."
        )
    return (
        (clipped(f"Labels: {planned.job.title}", LONGEST_HEADING), TITLE, BOLD),
        (f"For {sheet.name}.", BODY, BOLD),
        (
            "Print this page on plain paper first, at its actual size (100 %, not fitted to the page). Hold it "
            "against a sheet of labels and both to the light: every frame must lie on a label; lines at the "
            "very edge of the paper may be missing. If a frame lies beside its label, the labels are of another "
            "kind or the printer scales or shifts: print no labels then.",
            BODY,
            FONT,
        ),
        (then, BODY, FONT),
        (
            "Stick each label on the face that will be outside, with its arrow UP towards the roof; on a panel "
            "FWD then points to the front of the vehicle. On a part marked FACE DOWN the outside lies against "
            "the table: turn it over first. A label can come off: write the name on the inside too.",
            BODY,
            FONT,
        ),
    )
