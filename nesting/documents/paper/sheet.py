"""Paper: page sizes, and a flow that fills pages from the top and begins a new one when full.

Lengths here are points (1/72 in) on the page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.pagesizes import A4, letter
from reportlab.pdfgen.canvas import Canvas

from nesting.documents.paper.grid import Column, table_block
from nesting.documents.paper.type import (
    BODY,
    BOLD,
    CELL,
    FONT,
    LONGEST_HEADING,
    SECTION,
    TITLE,
    clipped,
    paragraph,
    printable,
    shortened,
    text_length,
)
from nesting.job import Units

MARGIN = 42.0
FOOT = 24.0
"""Height of the strip for the footer, above the lower margin's edge."""

Mark = Callable[[Canvas], None]


@dataclass(frozen=True)
class Page:
    """One page: its size and what is put on it."""

    width: float
    height: float
    marks: tuple[Mark, ...]


def page_size(units: Units) -> tuple[float, float]:
    """Width and height of an upright page: letter for inch jobs, A4 for metric ones."""
    width, height = letter if units is Units.INCH else A4
    return float(width), float(height)


class Flow:
    """Pages in the making.  Nothing is drawn yet: the last page must be known to number the first."""

    def __init__(self, units: Units) -> None:
        self._upright = page_size(units)
        self._pages: list[Page] = []
        self._marks: list[Mark] = []
        self._heading = ""
        self._landscape = False
        self._left = MARGIN
        self._top = 0.0

    @property
    def width(self) -> float:
        """Room from margin to margin, or to the right of a picture that words stand beside."""
        return self._size[0] - self._left - MARGIN

    @property
    def room(self) -> float:
        """Height that is left on the page."""
        return self._top - MARGIN - FOOT

    @property
    def _size(self) -> tuple[float, float]:
        width, height = self._upright
        return (height, width) if self._landscape else (width, height)

    def page(self, heading: str, landscape: bool = False) -> None:
        """Begin a page under a heading."""
        self._close()
        self._heading, self._landscape = printable(heading), landscape
        self._left = MARGIN
        self._top = self._size[1] - MARGIN
        self._put(paragraph(clipped(self._heading, LONGEST_HEADING), TITLE, BOLD), after=8.0)

    def pages(self) -> tuple[Page, ...]:
        """All pages, the open one included."""
        self._close()
        return tuple(self._pages)

    def section(self, text: str, needs: float = 60.0) -> None:
        """A heading within the page; with less than ``needs`` left below it, it moves to a new one."""
        if self.room < needs:
            self._turn_over()
        self._put(paragraph(clipped(text), SECTION, BOLD), before=7.0, after=4.0)

    def text(self, text: str, bold: bool = False, after: float = 4.0) -> None:
        """A paragraph."""
        self._put(paragraph(printable(text), BODY, BOLD if bold else FONT), after=after)

    def points(self, texts: Iterable[str]) -> None:
        """A numbered list."""
        for number, text in enumerate(texts, start=1):
            self._put(paragraph(printable(text), BODY, bullet=f"{number}."), after=3.0)

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]], plain: bool = False) -> None:
        """A table, its heading line repeated on every page; ``plain`` has neither heading line nor rules."""
        if rows:
            self._put(table_block(columns, rows, self.width, plain), after=7.0)

    def picture(
        self, height: float, mark: Callable[[Canvas, float, float], None], beside: float | None = None
    ) -> None:
        """Room of this height across the page; ``mark`` gets the canvas and its lower left corner.

        What follows stands under the picture, or with ``beside`` that far from the margin, to the page's end.
        """
        if height > self.room:
            self._turn_over()
        x, y = self._left, self._top - height
        self._marks.append(lambda canvas: mark(canvas, x, y))
        if beside is None:
            self._top = y - 6.0
        else:
            self._left += beside

    def _turn_over(self) -> None:
        self.page(self._heading.removesuffix(" (continued)") + " (continued)", self._landscape)

    def _close(self) -> None:
        if self._marks:
            self._pages.append(Page(*self._size, tuple(self._marks)))
            self._marks = []

    def _put(self, block: Any, before: float = 0.0, after: float = 0.0) -> None:
        """Draw a block where the flow stands, in pieces over several pages where it must be."""
        self._top -= before
        waiting = [block]
        fresh = False
        while waiting:
            first = waiting.pop(0)
            _, height = first.wrap(self.width, self.room)
            if height <= self.room + 1e-6:
                self._top -= height
                self._marks.append(_drawn_at(first, self._left, self._top))
                fresh = False
                continue
            pieces = first.split(self.width, self.room)
            if len(pieces) > 1:
                waiting = [*pieces, *waiting]
            elif fresh:
                raise ValueError("a block is taller than a page and cannot be split")
            else:
                self._turn_over()
                fresh = True
                waiting.insert(0, first)
        self._top -= after


def write_pages(pages: Sequence[Page], footer: str, title: str, path: Path) -> None:
    """Write the pages as PDF, numbered, with ``footer`` at the foot of each; no date goes into the file."""
    canvas = Canvas(str(path), invariant=1, pageCompression=1)
    canvas.setTitle(printable(title))
    canvas.setAuthor("")
    canvas.setCreator("reskin")
    canvas.setProducer("reskin")
    canvas.setSubject("Plan, drawings and lists")
    for number, page in enumerate(pages, start=1):
        canvas.setPageSize((page.width, page.height))
        for mark in page.marks:
            mark(canvas)
        _foot(canvas, page, footer, f"page {number} of {len(pages)}")
        canvas.showPage()
    canvas.save()


def _foot(canvas: Canvas, page: Page, footer: str, counted: str) -> None:
    size = CELL
    counted_length = text_length(counted, size)
    canvas.setStrokeColor(black)
    canvas.setFillColor(black)
    canvas.setLineWidth(0.4)
    canvas.line(MARGIN, MARGIN + 12, page.width - MARGIN, MARGIN + 12)
    canvas.setFont(FONT, size)
    canvas.drawRightString(page.width - MARGIN, MARGIN, counted)
    canvas.drawString(MARGIN, MARGIN, shortened(footer, page.width - 2 * MARGIN - counted_length - 20, size))


def _drawn_at(block: Any, x: float, y: float) -> Mark:
    return lambda canvas: block.drawOn(canvas, x, y)
