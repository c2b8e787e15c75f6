"""The packet's pages of framing: every bar drawn with its pieces, then the pieces by name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from reportlab.lib.colors import black, lightgrey, white
from reportlab.pdfgen.canvas import Canvas

from nesting.barstock import BarPiece, CutBar
from nesting.documents.framinglist import alike_bars
from nesting.documents.paper.grid import Column, table_height
from nesting.documents.paper.sheet import Flow
from nesting.documents.paper.type import FONT, shortened, text_length
from nesting.documents.wording import counted, length_text, money_text, unit_word
from nesting.job import Job, Units
from nesting.orderneeds import SectionPlan
from nesting.plan import PlannedJob
from nesting.status import Status

_HIGH, _STRIP = 20.0, 12.0
"""Points: height of a drawn bar, and of the row of distances under it."""
_TYPE = 6.5
_APART = 3.0
_THINNEST = 0.7
"""Points: a cut is drawn at least this wide."""


def framing_pages(flow: Flow, planned: PlannedJob) -> None:
    """Nothing where the job has no framing."""
    order, job = planned.order, planned.job
    if order is None or not order.sections:
        return
    flow.page("Bar cut list")
    kerf = job.order.framing.kerf
    saw = (
        f"a cut removes {length_text(kerf, job.units)} {job.units.value} beyond it, away from that end"
        if kerf
        else "cut past it, away from that end"
    )
    flow.text(
        f"Lengths in {unit_word(job.units)}. All distances are from the left end of the bar, so that errors do not "
        f"add up: square that end first. Each mark is where a piece ends; {saw}. What is shaded is left over."
    )
    groups = alike_bars(order)
    for section in order.sections:
        flow.section(section.section, needs=110.0)
        flow.text(_section_words(section), after=3.0)
        longest = max(bar.stock.length for bar in section.plan.bars)
        for group in groups:
            if group[0][1] is section:
                _bars(flow, job, [number for number, _, _ in group], group[0][2], longest)
    _list(flow, planned)


def _section_words(section: SectionPlan) -> str:
    plan = section.plan
    bars = counted(len(plan.bars), "bar")
    cost = f" for {money_text(plan.cost)}" if section.priced else ", no price given"
    if plan.status is Status.OPTIMAL:
        proof = "no cheaper way exists" if section.priced else "fewer do not do"
    else:
        proof = f"a cheaper way may exist, by {100 * plan.gap:.1f} % at most"
    return f"{bars}{cost}; {proof}."


def _bars(flow: Flow, job: Job, numbers: Sequence[int], bar: CutBar, longest: float) -> None:
    """One drawing for bars that are cut alike, and its list under it."""
    units = job.units
    which = f"Bar {numbers[0]}" if len(numbers) == 1 else f"Bars {_spans(numbers)}, alike"
    rows = _rows(bar, units)
    needed = _HIGH + _STRIP + 24.0 + min(table_height(len(rows)), 120.0)
    if flow.room < needed:
        flow.page("Bar cut list (continued)")
    flow.text(f"{which}: {length_text(bar.stock.length, units)} long", bold=True, after=2.0)
    width = flow.width * bar.stock.length / longest
    flow.picture(_HIGH + _STRIP, lambda canvas, x, y: _draw(canvas, bar, job, (x, y), width))
    columns = (
        Column("piece"),
        *(Column(head, number=True) for head in ("how many", "length")),
        Column("marks from the left end", whole=True),
    )
    flow.table(columns, rows)


def _rows(bar: CutBar, units: Units) -> list[tuple[str, ...]]:
    """Pieces of one name and length that follow one another share a line; each mark is where one of them ends."""
    runs: list[tuple[BarPiece, list[float]]] = []
    for piece, at in bar.cuts:
        if not runs or (runs[-1][0].name, runs[-1][0].length) != (piece.name, piece.length):
            runs.append((piece, []))
        runs[-1][1].append(at + piece.length)
    rows = [
        (
            piece.name,
            str(len(ends)),
            length_text(piece.length, units, "down"),
            ",  ".join(length_text(end, units) for end in ends),
        )
        for piece, ends in runs
    ]
    return [*rows, ("left over", "", length_text(bar.left_over, units, "down"), "")]


def _draw(canvas: Canvas, bar: CutBar, job: Job, at: tuple[float, float], width: float) -> None:
    """The bar to scale: pieces in order, cuts black, what is left over shaded, distances under the cuts."""
    x, y = at[0], at[1] + _STRIP
    factor = width / bar.stock.length
    canvas.setStrokeColor(black)
    canvas.setLineWidth(0.6)
    canvas.setFillColor(lightgrey)
    canvas.rect(x, y, width, _HIGH, stroke=1, fill=1)
    free = -1e9
    for piece, start in bar.cuts:
        left, long = x + start * factor, piece.length * factor
        canvas.setFillColor(white)
        canvas.rect(left, y, long, _HIGH, stroke=1, fill=1)
        canvas.setFillColor(black)
        end = start + piece.length
        cut = min(job.order.framing.kerf, bar.stock.length - end)
        if cut > 0:
            canvas.rect(left + long, y, max(cut * factor, _THINNEST), _HIGH, stroke=0, fill=1)
        _words(canvas, piece, job.units, left, y, long)
        mark = length_text(end, job.units)
        size = text_length(mark, _TYPE)
        if left + long - size / 2 > free:
            canvas.setFont(FONT, _TYPE)
            canvas.drawCentredString(left + long, y - _TYPE - 2, mark)
            free = left + long + size / 2 + _APART


def _words(canvas: Canvas, piece: BarPiece, units: Units, left: float, y: float, long: float) -> None:
    """Length and name in the piece where they have room."""
    length = length_text(piece.length, units, "down")
    room = long - 4.0
    if text_length(length, _TYPE) > room:
        return
    canvas.setFont(FONT, _TYPE)
    canvas.drawCentredString(left + long / 2, y + _HIGH - _TYPE - 2, length)
    name = shortened(piece.name, room, _TYPE)
    if len(name) > 4:
        canvas.drawCentredString(left + long / 2, y + 3.5, name)


def _list(flow: Flow, planned: PlannedJob) -> None:
    flow.section("Framing list", needs=90.0)
    counts: Counter[tuple[str, str, float]] = Counter()
    for section in planned.order.sections if planned.order else ():
        for bar in section.plan.bars:
            counts.update((piece.name, piece.section, piece.length) for piece, _ in bar.cuts)
    columns = (
        Column("piece"),
        Column("section"),
        *(Column(head, number=True) for head in ("length", "how many")),
    )
    flow.table(
        columns,
        [
            (name, section, length_text(length, planned.job.units, "down"), str(count))
            for (name, section, length), count in counts.items()
        ],
    )


def _spans(numbers: Sequence[int]) -> str:
    """Numbers as ``3``, ``3 and 4``, ``1 to 4``."""
    if numbers[-1] - numbers[0] == len(numbers) - 1 and len(numbers) > 2:
        return f"{numbers[0]} to {numbers[-1]}"
    return " and ".join(map(str, numbers)) if len(numbers) < 3 else ", ".join(map(str, numbers))
