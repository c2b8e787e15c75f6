"""The packet's page for each sheet: layout to scale, where every part lies, cut order, offcuts.

Everything is measured from one corner, the lower left of the sheet, so that errors do not add up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from reportlab.pdfgen.canvas import Canvas

from nesting.documents.corners import (
    circle,
    corner_radius,
    corners,
    odd_outlines,
    odd_rings,
    onward_text,
    place_texts,
)
from nesting.documents.cutlines import is_trimmed
from nesting.documents.drawing import Drawing, Layer
from nesting.documents.findings import (
    INSIDE_CORNERS,
    doubts,
    has_inside_corners,
    kerf_note,
    patch_name,
    stop_words,
)
from nesting.documents.lists import part_note
from nesting.documents.paper.drawn import Lists, View, draw, fit_with_lists, scale_bar
from nesting.documents.paper.grid import Column, table_height
from nesting.documents.paper.ordinates import draw_ordinates
from nesting.documents.paper.sheet import Flow
from nesting.documents.sheetview import CORNER_WORDS, TRIM_WORDS, sheet_title, sheet_view
from nesting.documents.wording import length_text, mass_text, unit_word
from nesting.job import Units
from nesting.outline import Ring, bounds
from nesting.plan import Cut, PlacedPart, PlannedJob, SheetLayout
from shared.units import Direction, format_length

_STRIP = 42.0
"""Points kept free under and left of the sheet for these numbers."""
_LISTS_WIDTH, _GUTTER = 350.0, 16.0
"""Points for lists beside a drawing, and between them and it."""
_LINE, _BAR, _SECTION, _HEADROOM = 22.0, 14.0, 26.0, 7.0
"""Points for a line of words, for the scale bar, for a heading within the page, for the topmost number."""


def sheet_pages(flow: Flow, planned: PlannedJob) -> None:
    """A landscape page for each sheet; sheets that differ only in the names of their parts share one."""
    for indices in alike(planned):
        _sheet_page(flow, planned, indices)


def alike(planned: PlannedJob) -> tuple[tuple[int, ...], ...]:
    """Indices of sheets with the same cuts and the same marks on them, in order of the first."""
    groups: dict[object, list[int]] = {}
    for index, sheet in enumerate(planned.plan.sheets):
        groups.setdefault(_likeness(planned, sheet), []).append(index)
    return tuple(tuple(indices) for indices in groups.values())


def _likeness(planned: PlannedJob, sheet: SheetLayout) -> object:
    """What must agree for one drawing to serve two sheets: a panel is scribed for its own place, so its
    name must agree; copies of a patch are one and the same."""
    parts = tuple(
        (patch_name(part.part), part.outline, part.holes, part.turn, part.flipped) for part in sheet.parts
    )
    return sheet.stock, parts, sheet.cuts, sheet.offcuts


def _sheet_page(flow: Flow, planned: PlannedJob, indices: tuple[int, ...]) -> None:
    index = indices[0]
    sheet = planned.plan.sheets[index]
    units = planned.job.units
    drawing = _on_paper(sheet_view(planned, index), sheet)
    flow.page(sheet_title(planned, index), landscape=True)
    if len(indices) > 1:
        others = ", ".join(str(i + 1) for i in indices)
        flow.text(f"Make {len(indices)} alike: sheets {others}.", bold=True)
    ordinates = not sheet.cuts
    strip = _STRIP if ordinates else 0.0
    around = strip + _BAR + _HEADROOM
    lists = _lists(planned, sheet)
    fit = fit_with_lists(drawing.extents, flow.width - strip, flow.room - _LINE - around, lists)
    view = View(drawing.extents, fit.scale)
    measured = (
        "Measure everything from the lower left corner (0)." if ordinates else "Cut in the order of the list."
    )
    if odd_outlines(sheet):
        measured += f" {CORNER_WORDS}"
    if any(is_trimmed(sheet, part) for part in sheet.parts):
        measured += f" {TRIM_WORDS}"
    flow.text(f"Scale 1:{fit.scale}. Lengths in {unit_word(units)}. {measured}", after=3.0)

    def mark(canvas: Canvas, x: float, y: float) -> None:
        placed = view.at(x + strip, y + _BAR + strip)
        draw(canvas, drawing, placed)
        if ordinates:
            draw_ordinates(canvas, sheet, placed, units)
        scale_bar(canvas, x + strip, y, placed, units)

    flow.picture(view.height + around, mark, beside=view.width + strip + _GUTTER if fit.beside else None)
    for part in doubtful(planned, sheet.parts):
        for text in doubts(planned, part):
            flow.text(f"{part}: {text}", bold=True)
    if has_inside_corners(planned, sheet):
        flow.text(f"{INSIDE_CORNERS[0].upper()}{INSIDE_CORNERS[1:]}.", bold=True)
    _cut_table(flow, planned, sheet)
    _part_table(flow, planned, [planned.plan.sheets[i] for i in indices])
    _offcut_table(flow, planned, sheet)
    _corner_table(flow, planned, sheet)


def _lists(planned: PlannedJob, sheet: SheetLayout) -> Lists:
    rows = len(sheet.parts) + sum(len(part.holes) for part in sheet.parts)
    notes = (
        len(doubtful(planned, sheet.parts)) + has_inside_corners(planned, sheet) + bool(kerf_note(planned))
    )
    parts = table_height(rows) + 2 * _LINE * notes
    corners = sum(len(ring) for _, ring in odd_outlines(sheet))
    cuts, others = (
        sum(_SECTION + table_height(count) for count in counts if count)
        for counts in ((len(sheet.cuts),), (len(sheet.offcuts), corners))
    )
    first, height = cuts or parts, cuts + parts + others
    return Lists(_LISTS_WIDTH, first, height)


def doubtful(planned: PlannedJob, parts: Iterable[PlacedPart]) -> tuple[str, ...]:
    """Names of the parts whose measurements are in doubt."""
    return tuple(part.part for part in parts if doubts(planned, part.part))


def _on_paper(drawing: Drawing, sheet: SheetLayout) -> Drawing:
    """The drawing with the numbers along the edges in place of the sheet's own sizes; a shear keeps these."""
    if sheet.cuts:
        return drawing
    return replace(
        drawing,
        extents=(0.0, 0.0, sheet.stock.length, sheet.stock.width),
        paths=tuple(path for path in drawing.paths if path.about or path.layer is not Layer.DIMENSION),
        labels=tuple(label for label in drawing.labels if label.about or label.layer is not Layer.DIMENSION),
    )


def _part_table(flow: Flow, planned: PlannedJob, sheets: list[SheetLayout]) -> None:
    units = planned.job.units
    columns = (
        Column("part"),
        Column("from left", number=True),
        Column("from bottom", number=True),
        Column("along", number=True),
        Column("across", number=True),
        Column("turned", number=True),
        Column("outside face"),
        Column("mass", number=True),
        Column("note", whole=True),
    )
    rows: list[tuple[str, ...]] = []
    for copies in zip(*(sheet.parts for sheet in sheets), strict=True):
        part = copies[0]
        x0, y0, x1, y1 = bounds(part.outline)
        rows.append(
            (
                ", ".join(copy.part for copy in copies),
                length_text(x0, units),
                length_text(y0, units),
                length_text(x1 - x0, units, "down"),
                length_text(y1 - y0, units, "down"),
                f"{part.turn:g}\N{DEGREE SIGN}",
                "DOWN" if part.flipped else "up",
                mass_text(planned.masses.get(part.part, 0.0), units),
                _note(planned, sheets[0], part),
            )
        )
        rows += [_hole_row(part, hole, units) for hole in part.holes]
    flow.table(columns, rows)


def _hole_row(part: PlacedPart, hole: Ring, units: Units) -> tuple[str, ...]:
    x0, y0, x1, y1 = bounds(hole)
    place = (length_text(value, units) for value in (x0, y0, x1 - x0, y1 - y0))
    return (f"hole in {part.part}", *place, "", "", "", _shape_note(hole, units))


def _shape_note(ring: Ring, units: Units, direction: Direction = "nearest") -> str:
    radius = corner_radius(ring)
    if round_ring := circle(ring):
        return f"a circle, diameter {length_text(2 * round_ring[1], units, direction)}"
    if radius is None:
        return "not a rectangle: see its corners"
    return f"corners rounded {length_text(radius, units)}" if radius else ""


def _note(planned: PlannedJob, sheet: SheetLayout, part: PlacedPart) -> str:
    notes = (_shape_note(part.outline, planned.job.units, "down"), part_note(planned, sheet, part))
    return "; ".join(note for note in notes if note)


def _corner_table(flow: Flow, planned: PlannedJob, sheet: SheetLayout) -> None:
    """Corners of every outline and hole that is no rectangle, from the part's own lower left corner."""
    units = planned.job.units
    rows = [
        (
            name,
            str(corner.number),
            *place_texts(corner, units),
            onward_text(corner, units),
        )
        for name, ring, datum in odd_rings(sheet)
        for corner in corners(ring, datum)
    ]
    if not rows:
        return
    flow.section("Corners, counter-clockwise, each from its part's lower left corner")
    columns = (
        Column("outline"),
        Column("corner", number=True),
        Column("from left", number=True),
        Column("from bottom", number=True),
        Column("to the next corner", whole=True),
    )
    flow.table(columns, rows)


def _cut_table(flow: Flow, planned: PlannedJob, sheet: SheetLayout) -> None:
    if not sheet.cuts:
        return
    flow.section("Order of cuts, each from edge to edge of the piece in hand", needs=40.0)
    if note := kerf_note(planned):
        flow.text(note)
    columns = (
        Column("cut", number=True),
        Column(stop_words(planned), number=True),
        Column("what to do", whole=True),
    )
    rows = [
        (str(cut.order), length_text(cut.from_datum, planned.job.units), cut_text(planned, cut))
        for cut in sorted(sheet.cuts, key=lambda cut: cut.order)
    ]
    flow.table(columns, rows)


def cut_text(planned: PlannedJob, cut: Cut) -> str:
    """What to do for one cut: which piece to take and from which of its edges to measure."""
    unit = planned.job.units.value
    x0, y0, x1, y1 = cut.piece
    long, wide = format_length(x1 - x0, unit), format_length(y1 - y0, unit)
    x, y = format_length(x0, unit), format_length(y0, unit)
    edge, way = ("left", "across") if cut.axis == "x" else ("lower", "along")
    return f"from the {edge} edge of the piece {long} x {wide} that lies at {x}, {y}: cut {way} it"


def _offcut_table(flow: Flow, planned: PlannedJob, sheet: SheetLayout) -> None:
    if not sheet.offcuts:
        return
    units = planned.job.units
    flow.section("Offcuts to keep")
    columns = tuple(Column(title, number=True) for title in ("from left", "from bottom", "along", "across"))
    rows = [
        (
            length_text(piece.x, units),
            length_text(piece.y, units),
            length_text(piece.length, units, "down"),
            length_text(piece.width, units, "down"),
        )
        for piece in sheet.offcuts
    ]
    flow.table(columns, rows)
