"""The tables of the page as HTML; every word of the user is escaped here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from html import escape
from unicodedata import bidirectional

from nesting.documents.corners import corners, odd_rings, onward_text, place_texts
from nesting.documents.drawing import one_line
from nesting.documents.findings import kerf_note, stop_words
from nesting.documents.measured import HEADS, agreement, has_measured, measured_rows
from nesting.documents.placement import own_outline
from nesting.documents.screen.places import Places
from nesting.documents.wording import (
    length_text,
    line_money,
    mass_text,
    money_text,
    thin_text,
    total_text,
    worth_text,
)
from nesting.job import Side
from nesting.outline import Ring, bounds
from nesting.plan import Panel, PanelRivets, PlannedJob, RivetLine, SheetLayout, TradePoint
from nesting.skin.patches import patch_ring


def safe(text: str) -> str:
    """Words as they may stand in the page; right-to-left ones are kept from turning what is beside them."""
    line = one_line(text)
    backwards = any(bidirectional(character) in ("R", "AL", "AN") for character in line)
    return f"&#x2068;{escape(line)}&#x2069;" if backwards else escape(line)


@dataclass(frozen=True)
class Row:
    """Cells (already safe), the class of the row, the part it is about and its mark on the page.

    A row of a ``kind`` of `_LAST` stays below the others however they are sorted.
    """

    cells: Sequence[str]
    kind: str = ""
    part: str = ""
    mark: str = ""


_LAST = frozenset({"sum", "tax"})


def table(
    heads: Sequence[str], rows: Iterable[Row], caption: str = "", numbers: str = "", sorts: bool = False
) -> str:
    """A table; ``numbers`` has an n for each column of numbers and any other letter for one of words.

    ``sorts`` lets the page's script put the rows in the order of any column.
    """
    columns = [f'<th scope="col"{_class(n)}>{head}</th>' for head, n in _paired(heads, numbers)]
    body: list[str] = []
    foot: list[str] = []
    for row in rows:
        mark = f' id="{row.mark}" tabindex="-1"' if row.mark else ""
        about = f' data-part="{escape(one_line(row.part))}"' if row.part else ""
        kind = f' class="{row.kind}"' if row.kind else ""
        cells = "".join(f"<td{_class(n)}>{cell}</td>" for cell, n in _paired(row.cells, numbers))
        (foot if row.kind in _LAST else body).append(f"<tr{kind}{mark}{about}>{cells}</tr>")
    said = f"<caption>{caption}</caption>" if caption else ""
    last = f"<tfoot>{''.join(foot)}</tfoot>" if foot else ""
    return (
        f'<div class="table"><table{_SORTS if sorts else ""}>{said}<thead><tr>{"".join(columns)}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody>{last}</table></div>"
    )


_SORTS = ' class="sorts"'


def _paired(cells: Sequence[str], numbers: str) -> list[tuple[str, bool]]:
    return [(cell, numbers[i : i + 1] == "n") for i, cell in enumerate(cells)]


def _class(is_number: bool) -> str:
    return ' class="n"' if is_number else ""


def tradeoff_table(planned: PlannedJob) -> str:
    """Fewest sheets against fewest seams, the row of this plan marked."""
    plan = planned.plan
    rows = []
    for point in plan.tradeoff:
        chosen = is_chosen(planned, point)
        proved = point.sheet_cost - point.bound < _SAME_MONEY
        note = "proved" if proved else f"not below {worth_text(planned.job, point.bound)}"
        said = f"{note}; this plan" if chosen else note
        worth = worth_text(planned.job, point.sheet_cost)
        rows.append(Row([str(point.seams), worth, said], "chosen" if chosen else ""))
    heads = ["Seams", "Sheets cost" if planned.job.priced else "Sheet area", "Proof"]
    return table(heads, rows, numbers="nnw")


def is_chosen(planned: PlannedJob, point: TradePoint) -> bool:
    """Whether a point of the trade-off is this plan."""
    plan = planned.plan
    return point.seams == len(plan.seams) and abs(point.sheet_cost - plan.sheet_cost) < _SAME_MONEY


_SAME_MONEY = 0.005
"""Sums that print alike."""


def measured_table(planned: PlannedJob, side: Side) -> str:
    """The readings of a side's four-sided bays; nothing where there are none."""
    if not has_measured(side):
        return ""
    unit = planned.job.units.value
    heads = [f"{head} {unit}" if head in ("Read", "Taken as") else head for head in HEADS]
    said = [
        f"<p>Bay {number}: {agreement(bay.measured)}.</p>"
        for number, bay in enumerate(side.bays, start=1)
        if bay.measured is not None
    ]
    rows = [Row(cells) for cells in measured_rows(side, planned.job.units)]
    return "".join(said) + table(heads, rows, caption="Measured bays", numbers="nwnnn")


def parts_table(planned: PlannedJob, places: Places) -> str:
    """Every panel and patch: size, mass, rivets and its sheet, with links to where it is drawn."""
    panels = {panel.name: panel for panel in planned.plan.panels}
    strips = {strip.patch for strip in planned.plan.backing}
    rows = []
    cut = set()
    for index, sheet in enumerate(planned.plan.sheets, start=1):
        for part in sheet.parts:
            cut.add(part.part)
            where = "backing strip" if {part.part, part.part.rpartition("#")[0]} & strips else "patch"
            if part.part in panels:
                where = _where(planned, panels[part.part], places)
            link = _link(places.sheet(part.part), f"sheet {index}")
            row = _part_row(planned, part.part, own_outline(planned, part), where, link)
            rows.append(replace(row, mark=places.row(part.part)))
    there = [
        (name, panel.outline, _where(planned, panel, places))
        for name, panel in panels.items()
        if name not in cut
    ]
    there += [
        (f"{patch.name}#{copy}", patch_ring(patch), "patch")
        for patch in planned.job.patches
        for copy in sorted(planned.job.fixed.copies_cut(patch.name))
    ]
    for name, own, where in there:
        row = _part_row(planned, name, own, where, "no sheet: cut already")
        rows.append(replace(row, mark=places.row(name)))
    unit = planned.job.units.value
    heads = ["Part", "Where", f"Width {unit}", f"Height {unit}", "Mass", "Rivets (shared)", "Cut from"]
    return table(heads, _in_plan_order(planned, rows), numbers="wwnnnnw", sorts=True)


def _link(mark: str, words: str) -> str:
    """Safe words that lead to a mark, where there is one."""
    return f'<a href="#{mark}">{words}</a>' if mark else words


def _part_row(planned: PlannedJob, name: str, own: Ring, where: str, sheet: str) -> Row:
    unit = planned.job.units
    x0, y0, x1, y1 = bounds(own)
    size = [length_text(length, unit, "down") for length in (x1 - x0, y1 - y0)]
    mass = planned.masses.get(name)
    weight = mass_text(mass, unit) if mass is not None else ""
    held = next((held for held in planned.fasteners.panels if held.panel == name), None)
    return Row([safe(name), where, *size, weight, _held(held), sheet], part=name)


def _where(planned: PlannedJob, panel: Panel, places: Places) -> str:
    """Side and bays, and the rows where the side has more than one, with a link to the drawing."""
    where = f"{safe(panel.side)}, {_span_of('bay', panel.first_bay, panel.last_bay)}"
    if any(other.last_row > 1 for other in planned.plan.panels if other.side == panel.side):
        where += f", {_span_of('row', panel.first_row, panel.last_row)} from below"
    return _link(places.side(panel.name), where)


def _span_of(noun: str, first: int, last: int) -> str:
    return f"{noun} {first}" if first == last else f"{noun}s {first} to {last}"


def _held(held: PanelRivets | None) -> str:
    if held is None:
        return ""
    return f"{held.rivets} ({held.shared})" if held.shared else str(held.rivets)


def _in_plan_order(planned: PlannedJob, rows: Iterable[Row]) -> list[Row]:
    """Panels as the plan lists them, then patches by sheet."""
    order = {panel.name: i for i, panel in enumerate(planned.plan.panels)}
    return sorted(rows, key=lambda row: order.get(row.part, len(order)))


def buy_table(planned: PlannedJob) -> str:
    """The buy list with its total, and the tax where it is not a line of its own."""
    buying = planned.buying
    rows = [
        Row(
            [
                safe(line.item),
                f"{line.quantity:g} {safe(line.unit)}".strip(),
                *line_money(line),
                safe(line.note),
            ]
        )
        for line in buying.lines
    ]
    listed = sum(line.price for line in buying.lines)
    if buying.tax and listed < buying.total - 0.005:
        rows.append(Row(["tax", "", "", money_text(buying.tax), ""], "tax"))
    if planned.job.priced or buying.total:
        rows.append(Row([total_text(planned.job, buying.lines), "", "", money_text(buying.total), ""], "sum"))
    return table(["Item", "Quantity", "Each", "Price", "Note"], rows, numbers="wnnnw", sorts=True)


def rivets_table(planned: PlannedJob) -> str:
    """Rivets by side and kind of line: how many lines, rivets counted once, pitch and grip."""
    unit = planned.job.units
    groups: dict[tuple[str, str], list[RivetLine]] = {}
    for line in planned.fasteners.lines:
        groups.setdefault((line.side, line.kind), []).append(line)
    rows = [
        Row(
            [
                safe(side) or "patches",
                safe(kind),
                str(len(lines)),
                str(sum(line.counted for line in lines)),
                _span([length_text(line.pitch, unit) for line in lines], [line.pitch for line in lines]),
                _span([thin_text(line.grip, unit) for line in lines], [line.grip for line in lines]),
            ]
        )
        for (side, kind), lines in groups.items()
    ]
    rows.append(Row(["all", "", "", str(planned.fasteners.total), "", ""], "sum"))
    heads = ["Side", "Lines along", "Lines", "Rivets", f"Pitch {unit.value}", f"Grip {unit.value}"]
    return table(heads, rows, numbers="wwnnnn", sorts=True)


def _span(texts: Sequence[str], values: Sequence[float]) -> str:
    """The least and the greatest, or the one when they print alike."""
    least = texts[min(range(len(values)), key=values.__getitem__)]
    most = texts[max(range(len(values)), key=values.__getitem__)]
    return least if least == most else f"{least} to {most}"


def cuts_table(sheet: SheetLayout, planned: PlannedJob) -> str:
    """The order of the cuts and what to set on the stop, or to measure."""
    unit = planned.job.units
    rows = []
    for cut in sorted(sheet.cuts, key=lambda cut: cut.order):
        x0, y0, x1, y1 = cut.piece
        wide, high = length_text(x1 - x0, unit), length_text(y1 - y0, unit)
        edge, run = ("left", "across the length") if cut.axis == "x" else ("lower", "along the length")
        place = f"{length_text(cut.from_datum, unit)} from its {edge} edge"
        rows.append(Row([str(cut.order), f"{wide} x {high}", place, run]))
    stop = stop_words(planned)
    heads = ["Cut", f"Piece {unit.value}", f"{stop[0].upper()}{stop[1:]} {unit.value}", "Direction"]
    caption = "Cuts in their order, edge to edge of the piece"
    if note := kerf_note(planned):
        caption += f". {safe(note)}"
    return table(heads, rows, caption=caption, numbers="nwww")


def corners_table(sheet: SheetLayout, planned: PlannedJob) -> str:
    """The corners of what is no rectangle on a sheet, each from its part's own lower left; empty without any."""
    unit = planned.job.units
    rows = [
        Row(
            [
                safe(name),
                str(corner.number),
                *place_texts(corner, unit),
                onward_text(corner, unit),
            ]
        )
        for name, ring, datum in odd_rings(sheet)
        for corner in corners(ring, datum)
    ]
    if not rows:
        return ""
    heads = [
        "Outline",
        "Corner",
        f"From left {unit.value}",
        f"From bottom {unit.value}",
        "To the next corner",
    ]
    caption = "Corners of what is not a rectangle, counter-clockwise, from the part's own lower left corner"
    return table(heads, rows, caption=caption, numbers="wnnnw")
