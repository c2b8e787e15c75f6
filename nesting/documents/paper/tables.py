"""The packet's pages of tables: cut list, rivets, buy list, cautions."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import groupby

from nesting.documents.cautions import CAUTIONS
from nesting.documents.findings import joined, part_side, patch_name
from nesting.documents.lists import cut_note
from nesting.documents.measured import HEADS, agreement, has_measured, measured_rows
from nesting.documents.paper.grid import Column
from nesting.documents.paper.order import order_sections
from nesting.documents.paper.sheet import Flow
from nesting.documents.wording import (
    length_text,
    line_money,
    mass_text,
    money_text,
    thin_text,
    total_text,
    unit_word,
)
from nesting.outline import bounds
from nesting.plan import PanelRivets, PlannedJob, RivetLine


def cut_list_pages(flow: Flow, planned: PlannedJob) -> None:
    """Every part by name, with its own size and the sheet it comes from."""
    units = planned.job.units
    flow.page("Cut list")
    flow.text(
        f"Sizes in {unit_word(units)} as the part lies on its sheet, rounded down. "
        "Mark each part with its name, up and forward before it leaves the sheet."
    )
    columns = (
        Column("part"),
        Column("side"),
        Column("sheet", number=True),
        Column("along", number=True),
        Column("across", number=True),
        Column("mass", number=True),
        Column("note", whole=True),
    )
    rows = []
    for number, sheet in enumerate(planned.plan.sheets, start=1):
        for part in sheet.parts:
            x0, y0, x1, y1 = bounds(part.outline)
            rows.append(
                (
                    part.part,
                    part_side(planned, part.part) or "patch",
                    str(number),
                    length_text(x1 - x0, units, "down"),
                    length_text(y1 - y0, units, "down"),
                    mass_text(planned.masses.get(part.part, 0.0), units),
                    cut_note(planned, sheet, part),
                )
            )
    flow.table(columns, sorted(rows, key=lambda row: (row[1] == "patch", row[1], _natural(row[0]))))


def _natural(name: str) -> tuple[tuple[str, int], ...]:
    """A key that sorts D2 before D10."""
    return tuple((words, int(digits or 0)) for words, digits in re.findall(r"([^0-9]*)([0-9]*)", name))


def rivet_pages(flow: Flow, planned: PlannedJob) -> None:
    """Totals, rivets through each panel, and every rivet line with its pitch."""
    fasteners, units = planned.fasteners, planned.job.units
    if not fasteners.lines:
        return
    rules = planned.job.rivets
    flow.page("Rivets")
    flow.text(
        f"{fasteners.total} rivets of {length_text(rules.diameter, units)} {units.value} go in; with "
        f"{100 * rules.spare:g} % spare, {fasteners.to_buy} are needed.",
        bold=True,
    )
    flow.text(
        "A rivet where two lines cross is counted once, on the line named first. A rivet of a lap seam holds "
        "two panels: it is counted once in the total and shown for both panels as shared."
    )
    flow.section("Through each panel")
    per_panel = (
        Column("panel"),
        Column("side"),
        Column("rivets", number=True),
        Column("of these shared", number=True),
    )
    groups: dict[object, list[PanelRivets]] = {}
    for count in fasteners.panels:
        groups.setdefault((patch_name(count.panel), count.rivets, count.shared), []).append(count)
    flow.table(per_panel, [_through_row(planned, copies) for copies in groups.values()])
    flow.section("Line by line")
    flow.text(
        f"Pitch (the widest on the line) and grip in {unit_word(units)}; end rivets sit at the ends of the "
        "line, the rest evenly between them or between the rivets shared with crossing lines."
    )
    columns = (
        Column("kind"),
        Column("where"),
        Column("panels"),
        Column("on the line", number=True),
        Column("counted", number=True),
        Column("pitch", number=True),
        Column("grip", number=True),
    )
    for side, lines in groupby(fasteners.lines, key=lambda line: line.side):
        flow.section(side or "Patches")
        flow.table(columns, [_rivet_row(copies, planned) for copies in _copies(lines)])


def _through_row(planned: PlannedJob, copies: list[PanelRivets]) -> tuple[str, ...]:
    first, number = copies[0], len(copies)
    name = first.panel if number == 1 else f"{patch_name(first.panel)}, {number} alike, each"
    return name, part_side(planned, first.panel) or "patch", str(first.rivets), str(first.shared)


def _copies(lines: Iterable[RivetLine]) -> list[list[RivetLine]]:
    """Lines together that are the same round every copy of a patch, each other line by itself."""
    groups: dict[object, list[RivetLine]] = {}
    for number, line in enumerate(lines):
        alike = (patch_name(line.panels[0]), line.points) if line.kind == "patch" else number
        groups.setdefault(alike, []).append(line)
    return list(groups.values())


def _rivet_row(copies: list[RivetLine], planned: PlannedJob) -> tuple[str, ...]:
    units, line = planned.job.units, copies[0]
    each = f", {len(copies)} alike" if len(copies) > 1 else ""
    names = [name for copy in copies for name in copy.panels]
    return (
        line.kind,
        (f"edge of {patch_name(line.panels[0])}" if each else line.where) + each,
        joined(names if len(names) < 4 else (f"{names[0]} to {names[-1]}",)),
        str(len(line.points)) + (" each" if each else ""),
        str(sum(copy.counted for copy in copies)),
        length_text(line.pitch, units, "down"),
        thin_text(line.grip, units),
    )


def buy_pages(flow: Flow, planned: PlannedJob) -> None:
    """What to order, with its money."""
    buying = planned.buying
    flow.page("Buy list")
    columns = (
        Column("item"),
        Column("quantity", number=True),
        Column("unit"),
        Column("each", number=True),
        Column("price", number=True),
        Column("note", whole=True),
    )
    rows = [
        (
            line.item,
            f"{line.quantity:.2f}".rstrip("0").rstrip("."),
            line.unit,
            *line_money(line),
            line.note,
        )
        for line in buying.lines
    ]
    if planned.job.priced or buying.total:
        rows.append((total_text(planned.job, buying.lines), "", "", "", money_text(buying.total), ""))
    flow.table(columns, rows)
    units = planned.job.units
    flow.text(
        f"Sheets as delivered weigh {mass_text(buying.sheet_mass, units)}, "
        f"the finished skin {mass_text(buying.skin_mass, units)}."
    )
    order_sections(flow, planned)


def measured_pages(flow: Flow, planned: PlannedJob) -> None:
    """Readings of four-sided bays, for whoever measures once more before cutting."""
    columns = [Column(head, number=head in ("Read", "Taken as", "Difference")) for head in HEADS]
    sides = [side for side in planned.job.sides if has_measured(side)]
    if not sides:
        return
    flow.page("Measured bays")
    flow.text(
        "Each reading beside the length that agrees best with all readings of its bay. "
        f"Lengths in {unit_word(planned.job.units)}.",
        after=3.0,
    )
    for side in sides:
        flow.section(side.name)
        for number, bay in enumerate(side.bays, start=1):
            if bay.measured is not None:
                flow.text(f"Bay {number}: {agreement(bay.measured)}.")
        flow.table(columns, list(measured_rows(side, planned.job.units)))


def caution_pages(flow: Flow) -> None:
    """What can hurt or cost dearly."""
    flow.page("Cautions")
    for heading, text in CAUTIONS:
        flow.section(heading)
        flow.text(text)


def span_text(first: int, last: int) -> str:
    """``3`` or ``3 to 5``."""
    return str(first) if first == last else f"{first} to {last}"
