"""The blank measuring sheet as PDF: how to measure, then each side as a sketch with boxes to write in."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from nesting.documents.paper.measuring_key import KEY, draw_key
from nesting.documents.paper.measuring_sketch import (
    BOX,
    STRIP,
    Numbered,
    box,
    draw_strip,
    labelled_box,
    strips,
)
from nesting.documents.paper.sheet import Flow, write_pages
from nesting.documents.paper.type import FONT
from nesting.documents.wording import unit_word
from nesting.job import Units
from nesting.starting.sheet import (
    PLACES,
    POST,
    RAIL,
    RAILS,
    SIDE,
    WINDOW,
    WINDOWS,
    Reading,
    SheetPlan,
    SideToMeasure,
    bay_readings,
    readings_in_order,
)

MOST_BAYS = 5
"""Bays side by side on upright paper, so that a box is wide enough for a glove."""

_GAP = 8.0


def write_measuring_sheet(plan: SheetPlan, on_a4: bool, path: Path) -> None:
    """Write the sheet, on A4 or on letter paper: the same bytes for the same plan."""
    # the flow takes its paper from the units
    flow = Flow(Units.MILLIMETRE if on_a4 else Units.INCH)
    _first_page(flow, plan)
    readings = readings_in_order(plan)
    for side in plan.sides:
        own = {(r.kind, r.index, r.asked.name): r for r in readings if r.side == side.name}
        _side_pages(flow, plan, side, own)
    names = ", ".join(side.name for side in plan.sides)
    write_pages(
        flow.pages(),
        f"Measuring sheet: {names}; readings in {unit_word(plan.units)}",
        "Measuring sheet",
        path,
    )


def _first_page(flow: Flow, plan: SheetPlan) -> None:
    flow.page("Measuring sheet")
    flow.text(
        f"All readings in {unit_word(plan.units)}, as the tape shows them: {_example(plan)}.", bold=True
    )
    flow.picture(30.0, lambda canvas, x, y: _lines(canvas, x, y, flow.width, ("vehicle", "by", "date")))
    flow.picture(KEY, partial(draw_key, width=flow.width, four_sided=plan.four_sided))
    flow.section("How to measure")
    flow.points(_how_to(plan))
    flow.section("Mind when measuring")
    flow.points(_cautions(plan))


def _example(plan: SheetPlan) -> str:
    return "28 3/8, not 28.4" if plan.units is Units.INCH else "721, or 721.5 between two marks"


def _how_to(plan: SheetPlan) -> list[str]:
    """How the readings are taken, for someone who has not done it before; all (c)."""
    bay = (
        "Each bay from corner to corner of its opening. Hook at the lower left corner: left side, rising diagonal, "
        "bottom. Hook at the lower right: falling diagonal, right side. Then the top. Where corners are rounded, "
        "lay straight edges along the sides and measure to where they cross."
        if plan.four_sided
        else "Width of each bay between its posts, low, half way up and high: write the largest. Height likewise. Both "
        "diagonals from corner to corner: equal ones show that the bay is square. If they differ, measure its four "
        "sides, and write them under the notes and as rows left, bottom, right, top into the table."
    )
    # what is less than an inch turns into a date in a spreadsheet
    dates = (
        " (0 1/2 for half an inch: a spreadsheet takes 1/2 for a date)" if plan.units is Units.INCH else ""
    )
    return [
        "Stand outside and face the side squarely. Bays are counted from the left, in the sketch and in the table.",
        "Follow the numbers. Each has its box on the next pages and its row in readings.csv. Leave a box "
        "empty where there is nothing to read.",
        "Circle on which hand the front of the vehicle is: a sheet towards the front goes over the one behind it.",
        bay,
        "Posts: the width of the face that a seam can be riveted to, without rounded corners.",
        "Level line: stretch a string, or mark a water level along the lower edges. A sill is how far a lower edge "
        "lies above it, with a minus sign below it, and stays empty where the edge lies on it. Rails and the cut "
        "height are measured from it too.",
        "Overall: one pull from the left edge of the first bay to the right edge of the last, two people, the tape "
        "tight and level. It checks all the others together, so do not add it up from them.",
        "Windows that stay: from the lower left corner of their bay to the lower left corner of the hole.",
        f"Then type the values into readings.csv{dates}, and run: reskin read readings.csv --out my-bus.toml",
    ]


def _cautions(plan: SheetPlan) -> list[str]:
    """What spoils readings or hurts; expansion calculated from 11.7e-6 per degree C of steel (b), all else (c)."""
    grows = "36 ft grow by 3/16 in" if plan.units is Units.INCH else "11 m grow by 5 mm"
    return [
        "Measure when the roof stands at its height and the posts are welded, not before: heights contain the raise.",
        "The vehicle stands level, on its wheels or on stands under the frame, as it will stand when it is skinned.",
        "One tape for everything. A bent or loose hook makes every reading wrong alike: check it against a rule. "
        "Pull the tape straight, and read it square on.",
        "Read each length twice, the second time by another person, who has not seen the first reading.",
        f"Steel in the sun is longer: {grows} for 40 C (72 F). Take the overall length when you take the bays.",
        "Cut edges are sharp: gloves and sleeves. A ladder on firm ground, nobody on the wheels. A long tape sails "
        "in wind, and a steel tape conducts: keep it off batteries and wires.",
        "Before a sheet is cut, its place on the body is measured once more.",
    ]


def _lines(canvas: Canvas, x: float, y: float, width: float, words: Sequence[str]) -> None:
    """Words with a line to write on behind each."""
    each = width / len(words)
    canvas.setFont(FONT, 9)
    canvas.setLineWidth(0.5)
    for i, word in enumerate(words):
        canvas.drawString(x + i * each, y + 6.0, word)
        canvas.line(x + i * each + 38.0, y + 4.0, x + (i + 1) * each - 10.0, y + 4.0)


def _side_pages(flow: Flow, plan: SheetPlan, side: SideToMeasure, own: Numbered) -> None:
    flow.page(side.name)
    flow.picture(BOX + 4.0, partial(_head_row, own=own, width=flow.width))
    rows = [*bay_readings(plan.four_sided)]
    if (POST, 1, "width") in own:
        rows.append(POST)
    parts = strips(side.bays, MOST_BAYS)
    for part in parts:
        ends = (part[0] == 1, part[-1] == side.bays)
        flow.picture(
            STRIP,
            partial(_strip, room=flow.width, bays=part, rows=rows, own=own, ends=ends),
        )
    _whole_side(flow, own)
    _windows(flow, own)
    flow.section("Notes, and what does not fit above", needs=90.0)
    _ruled(flow)


def _strip(
    canvas: Canvas,
    x: float,
    y: float,
    room: float,
    bays: range,
    rows: Sequence[str],
    own: Numbered,
    ends: tuple[bool, bool],
) -> None:
    draw_strip(canvas, x, y, room, bays, rows, own, ends)


def _head_row(canvas: Canvas, x: float, y: float, own: Numbered, width: float) -> None:
    """On which hand the front is, to be circled, and the one post width where there is but one."""
    canvas.setFont(FONT, 9)
    front = own[(SIDE, None, "front")]
    canvas.drawString(x, y + 7.0, "front of the vehicle (circle)")
    box(canvas, x + 118.0, y, 130.0, front)
    canvas.setFont(FONT, 11)
    canvas.drawCentredString(x + 118.0 + 68.0, y + 6.0, "left      right")
    if posts := own.get((SIDE, None, "posts")):
        labelled_box(canvas, x + 275.0, y, "every post", 62.0, width - 275.0 - 62.0, posts)


def _whole_side(flow: Flow, own: Numbered) -> None:
    words = {
        "overall": "overall, in one pull",
        "raise": "raise of the roof",
        "cut height": "cut height of the posts",
        "rail width": "face width of rails",
    }
    boxes = [(words[name], own[(SIDE, None, name)]) for name in ("overall", "raise", "cut height")]
    boxes += [(f"rail {i}, centre line", own[(RAIL, i, "height")]) for i in range(1, RAILS + 1)]
    boxes.append((words["rail width"], own[(SIDE, None, "rail width")]))
    flow.section("Along the whole side", needs=3 * BOX + 30.0)
    flow.picture(3 * BOX, partial(_two_columns, boxes=boxes, width=flow.width))


def _two_columns(
    canvas: Canvas, x: float, y: float, boxes: Sequence[tuple[str, Reading]], width: float
) -> None:
    half, rows = (width - 16.0) / 2, (len(boxes) + 1) // 2
    for i, (words, reading) in enumerate(boxes):
        left, row = x + (half + 16.0) * (i // rows), rows - 1 - i % rows
        labelled_box(canvas, left, y + row * BOX, words, 104.0, half - 104.0, reading)


def _windows(flow: Flow, own: Numbered) -> None:
    flow.section("Windows that stay or go in", needs=WINDOWS * BOX + 40.0)
    flow.picture(WINDOWS * BOX + 12.0, partial(_window_rows, own=own, width=flow.width))


def _window_rows(canvas: Canvas, x: float, y: float, own: Numbered, width: float) -> None:
    names = [asked.name for asked in PLACES[WINDOW]]
    left = 52.0
    each = (width - left + _GAP) / len(names)
    canvas.setFont(FONT, 9)
    for column, name in enumerate(names):
        canvas.drawString(x + left + column * each, y + WINDOWS * BOX + 1.0, name)
    for window in range(1, WINDOWS + 1):
        bottom = y + (WINDOWS - window) * BOX
        canvas.setFont(FONT, 9)
        canvas.drawString(x, bottom + 7.0, f"window {window}")
        for column, name in enumerate(names):
            box(canvas, x + left + column * each, bottom, each - _GAP, own[(WINDOW, window, name)])


def _ruled(flow: Flow) -> None:
    """Lines to write on, as many as the page has room for, at most eight."""
    step = 22.0
    lines = min(int(flow.room // step), 8)
    if lines:
        flow.picture(lines * step, partial(_rules, lines=lines, step=step, width=flow.width))


def _rules(canvas: Canvas, x: float, y: float, lines: int, step: float, width: float) -> None:
    canvas.setLineWidth(0.4)
    for line in range(lines):
        canvas.line(x, y + line * step + 2.0, x + width, y + line * step + 2.0)
