"""The packet's first page, the decision in numbers, and a page for each side of the body."""

from __future__ import annotations

from collections import Counter

from reportlab.pdfgen.canvas import Canvas

from nesting.documents.elevation import elevation
from nesting.documents.findings import all_warnings, seam_rivets, sides_in_order
from nesting.documents.paper.drawn import Lists, View, draw, fit_with_lists, scale_bar
from nesting.documents.paper.grid import Column, table_height
from nesting.documents.paper.sheet import Flow
from nesting.documents.paper.tables import span_text
from nesting.documents.paper.tradeoff import trade_section
from nesting.documents.wording import (
    counted,
    length_text,
    mass_text,
    money_text,
    price_text,
    proof_text,
    thin_text,
    total_text,
    unit_word,
    worth_text,
)
from nesting.job import CutMethod, SeamKind, Side, Stock
from nesting.outline import bounds
from nesting.plan import PlannedJob
from shared.units import format_length

_CUT_BY = {
    CutMethod.PROFILE: "cut to outline (laser, plasma or waterjet)",
    CutMethod.SHEAR: "sheared, every cut edge to edge",
    CutMethod.HAND: "cut by hand",
}
_BAR = 16.0
_LINE = 22.0
_LISTS_WIDTH, _GUTTER = 340.0, 16.0


def decision_page(flow: Flow, planned: PlannedJob) -> None:
    """The job in numbers, how far the plan is proved, the trade-off, the warnings."""
    job, plan, buying = planned.job, planned.plan, planned.buying
    units, unit = job.units, job.units.value
    flow.page(job.title or "Plan")
    flow.text(proof_text(job, plan), bold=True, after=6.0)
    flow.section("What to buy and make")
    rows = [("sheets", text) for text in sheets_to_buy(planned)]
    rows += [
        ("parts", _parts_text(planned)),
        ("seams", f"{len(plan.seams)} ({'lap' if job.seam.kind is SeamKind.LAP else 'butt'})"),
        ("rivets", f"{planned.fasteners.total} to set, {planned.fasteners.to_buy} to buy"),
        ("skin", f"{job.skin.material}, {_thickness(planned)}, {_CUT_BY[job.cutting.method]}"),
        ("finished skin", mass_text(buying.skin_mass, units)),
        ("sheets as delivered", mass_text(buying.sheet_mass, units)),
    ]
    if plan.backing:
        heights = ", ".join(
            f"{s.side} at {format_length(s.height, unit, with_unit=True)}" for s in plan.backing
        )
        rows.append(("backing strips to add", heights))
    flow.table((Column(""), Column("", whole=True)), rows, plain=True)
    if job.priced or buying.total:
        _money_table(flow, planned)
    flow.text(
        f"The choice was made on sheets {worth_text(job, plan.sheet_cost)} plus seams "
        f"{worth_text(job, plan.seam_cost)} = {worth_text(job, plan.objective)}; no plan can "
        f"{'cost' if job.priced else 'take'} less than {worth_text(job, plan.bound)}."
    )
    trade_section(flow, planned)
    warnings = all_warnings(planned)
    if warnings:
        flow.section("Warnings: read these before buying")
        flow.points(warnings)


def _money_table(flow: Flow, planned: PlannedJob) -> None:
    buying = planned.buying
    money = [
        ("sheets", buying.sheets),
        ("cutting", buying.cutting),
        ("rivets", buying.rivets),
        *(
            (word, amount)
            for word, amount in (
                ("framing", buying.framing),
                ("sealant", buying.sealant),
                ("paint", buying.paint),
            )
            if amount
        ),
        ("delivery", buying.delivery),
        ("tax", buying.tax),
        ("total to pay", buying.total),
    ]
    if not planned.job.priced:
        money = [*money[1:-1], (total_text(planned.job), buying.total)]
    flow.section("Money")
    flow.table(
        (Column(""), Column("", number=True)),
        [(name, money_text(amount)) for name, amount in money],
        plain=True,
    )


def _parts_text(planned: PlannedJob) -> str:
    counts = (
        (len(planned.plan.panels), "panel"),
        (len(sides_in_order(planned)), "side"),
        (sum(patch.quantity for patch in planned.job.patches), "patch"),
    )
    panels, sides, patches = (counted(number, noun) for number, noun in counts)
    there = [
        counted(number, noun)
        for number, noun in (
            (sum(panel.cut for panel in planned.plan.panels), "panel"),
            (sum(len(cut.copies) for cut in planned.job.fixed.patches), "patch"),
        )
        if number
    ]
    already = f"; of these {' and '.join(there)} cut already" if there else ""
    return f"{panels} on {sides}, {patches}{already}"


def sheets_to_buy(planned: PlannedJob) -> tuple[str, ...]:
    """Such as ``3 of 4x10 (48 x 120 in) at 128.00``, those on hand too, in the order of the job."""
    counts: Counter[Stock] = Counter(sheet.stock for sheet in planned.plan.sheets)
    unit = planned.job.units.value
    return tuple(
        f"{count} of {stock.name} ({format_length(stock.width, unit)} x "
        f"{format_length(stock.length, unit)} {unit}) {price_text(planned.job, stock)}".strip()
        for stock, count in sorted(counts.items(), key=lambda entry: _rank(planned, entry[0]))
    )


def _rank(planned: PlannedJob, stock: Stock) -> int:
    return planned.job.stock.index(stock) if stock in planned.job.stock else len(planned.job.stock)


def _thickness(planned: PlannedJob) -> str:
    skin = planned.job.skin
    gauge = f"{skin.gauge} gauge, " if skin.gauge is not None else ""
    return f"{gauge}{thin_text(skin.thickness, planned.job.units)} {planned.job.units.value} thick"


def side_pages(flow: Flow, planned: PlannedJob) -> None:
    """Each side to scale on a landscape page, with its panels and seams."""
    for side in sides_in_order(planned):
        _side_page(flow, planned, side)


def _side_page(flow: Flow, planned: PlannedJob, side: Side) -> None:
    drawing, units = elevation(planned, side), planned.job.units
    flow.page(drawing.title, landscape=True)
    panels = sum(panel.side == side.name for panel in planned.plan.panels)
    seams = sum(seam.side == side.name for seam in planned.plan.seams)
    first = table_height(panels)
    lists = Lists(_LISTS_WIDTH, first, first + (table_height(seams) + _LINE if seams else 0.0))
    fit = fit_with_lists(drawing.extents, flow.width, flow.room - _LINE - _BAR, lists)
    view = View(drawing.extents, fit.scale)
    flow.text(f"Scale 1:{fit.scale}. Seen from outside. Lengths in {unit_word(units)}.", after=3.0)

    def mark(canvas: Canvas, x: float, y: float) -> None:
        placed = view.at(x, y + _BAR)
        draw(canvas, drawing, placed)
        scale_bar(canvas, x, y, placed, units)

    flow.picture(view.height + _BAR, mark, beside=view.width + _GUTTER if fit.beside else None)
    _panel_table(flow, planned, side.name)
    _seam_table(flow, planned, side.name)


def _panel_table(flow: Flow, planned: PlannedJob, side: str) -> None:
    units = planned.job.units
    rivets = {count.panel: count for count in planned.fasteners.panels}
    columns = (
        Column("panel"),
        Column("bays"),
        Column("rows"),
        Column("width", number=True),
        Column("height", number=True),
        Column("mass", number=True),
        Column("rivets", number=True),
        Column("of these shared", number=True),
    )
    rows = []
    for panel in planned.plan.panels:
        if panel.side != side:
            continue
        x0, y0, x1, y1 = bounds(panel.outline)
        count = rivets.get(panel.name)
        rows.append(
            (
                panel.name,
                span_text(panel.first_bay, panel.last_bay),
                span_text(panel.first_row, panel.last_row),
                length_text(x1 - x0, units, "down"),
                length_text(y1 - y0, units, "down"),
                mass_text(planned.masses.get(panel.name, 0.0), units),
                str(count.rivets) if count else "",
                str(count.shared) if count else "",
            )
        )
    flow.table(columns, rows)


def _seam_table(flow: Flow, planned: PlannedJob, side: str) -> None:
    units = planned.job.units
    lap = planned.job.seam.kind is SeamKind.LAP
    columns = (
        Column("seam over"),
        Column("on top" if lap else "between"),
        Column("beneath" if lap else "and"),
        Column("length", number=True),
        Column("rivets", number=True),
    )
    rows = [
        (
            f"post {seam.after_bay}" if seam.after_bay is not None else f"rail {seam.rail}",
            seam.over,
            seam.under,
            length_text(seam.length, units),
            str(seam_rivets(planned, seam)),
        )
        for seam in planned.plan.seams
        if seam.side == side
    ]
    if rows:
        flow.section("Seams")
        flow.table(columns, rows)
