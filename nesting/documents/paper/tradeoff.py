"""Fewer seams or cheaper sheets, on the packet's first page: a table with its plot beside it."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from nesting.documents.paper.drawn import View, draw
from nesting.documents.paper.grid import Column, table_block
from nesting.documents.paper.sheet import Flow
from nesting.documents.tradeplot import tradeoff_plot
from nesting.documents.wording import worth_text
from nesting.job import Job
from nesting.plan import PlannedJob, TradePoint

_SCALE = 1.75
"""The plot is drawn for a screen: so many times smaller, its words are as large as those of the table."""
_GUTTER = 16.0
_HEADING = 26.0
"""Points for the heading of the table."""
_PICTURE_GAP = 6.0
"""Points that the flow leaves under a picture."""
_SAME_MONEY = 0.005


def trade_section(flow: Flow, planned: PlannedJob) -> None:
    """The least cost of sheets for each number of seams; nothing where the plan has no trade-off."""
    points = planned.plan.tradeoff
    if not points:
        return
    job = planned.job
    columns, rows = _columns(job), [_row(planned, point) for point in points]
    drawing = tradeoff_plot(planned)
    plot = View(drawing.extents, _SCALE)
    table_width, _ = table_block(columns, rows, flow.width, plain=False).wrap(flow.width, flow.room)
    # one point alone is no trade to look at
    plotted = len(points) > 1
    beside = plotted and table_width + _GUTTER + plot.width <= flow.width
    heading = (
        "Fewer seams or cheaper sheets: what each would cost" if job.priced else "Fewer seams or less sheet"
    )
    flow.section(heading, needs=plot.height + _HEADING if beside else 60.0)

    def mark(canvas: Canvas, x: float, y: float) -> None:
        draw(canvas, drawing, plot.at(x, y))

    if not beside:
        flow.table(columns, rows)
        if plotted:
            flow.picture(plot.height, mark)
        return
    left = flow.width - plot.width
    flow.picture(0.0, lambda canvas, x, y: mark(canvas, x + left, y - plot.height))
    before = flow.room
    flow.table(columns, rows)
    # a table that ran on to another page has left the plot behind
    used = before - flow.room
    if 0.0 <= used < plot.height:
        flow.picture(max(0.0, plot.height - used - _PICTURE_GAP), lambda canvas, x, y: None)


def _columns(job: Job) -> Sequence[Column]:
    return (
        Column("seams", number=True),
        Column("sheets cost" if job.priced else "sheet area", number=True),
        *((Column("with the seams", number=True),) if job.seam.cost_per_length == 0 else ()),
        Column("less is possible?"),
        Column(""),
    )


def _row(planned: PlannedJob, point: TradePoint) -> tuple[str, ...]:
    job, seams = planned.job, point.seams
    row = [str(seams), worth_text(job, point.sheet_cost)]
    if job.seam.cost_per_length == 0:
        row.append(worth_text(job, point.sheet_cost + job.seam.cost * seams))
    proved = point.bound >= point.sheet_cost - _SAME_MONEY
    ruled_out = "no: proved" if proved else f"not below {worth_text(job, point.bound)}"
    return (*row, ruled_out, "this plan" if seams == len(planned.plan.seams) else "")
