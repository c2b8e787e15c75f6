"""The tables as CSV text: cut list, rivets, buy list, offcuts; for spreadsheets and for other programs.

Each has one heading line.  Lengths stand in mm, and before that as a tape shows them where the job is in
inches: parts and offcuts rounded down so that they fit what is drawn, positions to the nearest mark.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from nesting.documents.corners import circle, corner_radius
from nesting.documents.cutlines import is_trimmed
from nesting.documents.drawing import one_line
from nesting.documents.findings import doubts, part_side
from nesting.documents.wording import thin_text, total_text
from nesting.job import Units
from nesting.ordering.buylist import lifting_note
from nesting.outline import bounds
from nesting.plan import PlacedPart, PlannedJob, RivetLine, SheetLayout
from shared.tables import LB_PER_KG
from shared.units import Direction, format_length

_FORMULA = ("=", "+", "-", "@")
MEASURE_AGAIN = "measure again before cutting"


def cut_list(planned: PlannedJob) -> str:
    """cut-list.csv: every part, its sheet, where it lies from the sheet's lower left corner, its mass."""
    units = planned.job.units
    heading = (
        "sheet",
        "stock",
        "part",
        "side",
        *length_headings(units, "length", "width", "x", "y"),
        "turn (deg)",
        "flipped",
        "mass (kg)",
        "mass (lb)",
        "note",
    )
    rows = []
    for number, sheet in enumerate(planned.plan.sheets, start=1):
        for part in sheet.parts:
            x0, y0, x1, y1 = bounds(part.outline)
            mass = planned.masses.get(part.part, 0.0)
            rows.append(
                (
                    number,
                    words(sheet.stock.name),
                    words(part.part),
                    words(part_side(planned, part.part)),
                    *lengths(units, sizes=(x1 - x0, y1 - y0), places=(x0, y0)),
                    _plain(part.turn, 2),
                    "yes" if part.flipped else "no",
                    _plain(mass, 3),
                    _plain(mass * LB_PER_KG, 2),
                    words(cut_note(planned, sheet, part)),
                )
            )
    return written(heading, rows)


def cut_note(planned: PlannedJob, sheet: SheetLayout, part: PlacedPart) -> str:
    """`part_note`, and whether length and width are only those of the rectangle around the part."""
    odd = corner_radius(part.outline) is None and circle(part.outline) is None
    shape = "not a rectangle" if odd else ""
    return "; ".join(note for note in (shape, part_note(planned, sheet, part)) if note)


def part_note(planned: PlannedJob, sheet: SheetLayout, part: PlacedPart) -> str:
    """What to mind about a part: cut face down, trimmed, doubtful measurements, a lift for two."""
    notes = []
    if doubts(planned, part.part):
        notes.append(MEASURE_AGAIN)
    if part.flipped:
        notes.append("cut with the outside face down")
    if is_trimmed(sheet, part):
        notes.append("trim to its outline when its rectangle is cut")
    notes.append(lifting_note(planned.masses.get(part.part, 0.0)))
    return "; ".join(note for note in notes if note)


def rivets(planned: PlannedJob) -> str:
    """rivets.csv: a row for each rivet line, then one for each panel, then the total.

    ``rivets`` are all on the line or through the panel, ``counted`` those that the total counts here (a rivet
    where two lines cross counts once), ``shared`` those of a panel that also hold another panel.
    """
    units = planned.job.units
    heading = (
        *("kind", "side", "where", "panels", "rivets", "counted", "shared"),
        *length_headings(units, "pitch", "grip"),
    )
    fasteners = planned.fasteners
    rows: list[tuple[object, ...]] = [
        (
            line.kind,
            words(line.side),
            words(line.where),
            words(", ".join(line.panels)),
            len(line.points),
            line.counted,
            "",
            *_pitch_and_grip(line, units),
        )
        for line in fasteners.lines
    ]
    for panel in fasteners.panels:
        side = words(part_side(planned, panel.panel))
        rows.append(("panel", side, "", words(panel.panel), panel.rivets, "", panel.shared))
    rows.append(("total", "", "", "", "", fasteners.total))
    rows.append(("to buy", "", "with the spares", "", "", fasteners.to_buy))
    return written(heading, rows)


def _pitch_and_grip(line: RivetLine, units: Units) -> tuple[str, ...]:
    millimetres = (_plain(line.pitch, 2), _plain(line.grip, 3))
    if units is Units.MILLIMETRE:
        return millimetres
    return _tape(line.pitch, "down"), thin_text(line.grip, units), *millimetres


def buy_list(planned: PlannedJob) -> str:
    """buy-list.csv: what to order with its money, tax among it, then the total."""
    buying = planned.buying
    rows: list[tuple[object, ...]] = [
        (
            words(line.item),
            _plain(line.quantity, 3),
            words(line.unit),
            _plain(line.unit_price, 4) if line.priced else "",
            f"{line.price:.2f}" if line.priced else "",
            words(line.note),
        )
        for line in buying.lines
    ]
    if planned.job.priced or buying.total:
        rows.append((total_text(planned.job, buying.lines), "", "", "", f"{buying.total:.2f}", ""))
    return written(("item", "quantity", "unit", "unit price", "price", "note"), rows)


def offcuts(planned: PlannedJob) -> str:
    """offcuts.csv: the pieces worth keeping, by the lower left corner of each on its sheet."""
    units = planned.job.units
    heading = ("sheet", "stock", *length_headings(units, "length", "width", "x", "y"))
    rows = [
        (
            number,
            words(sheet.stock.name),
            *lengths(units, sizes=(piece.length, piece.width), places=(piece.x, piece.y)),
        )
        for number, sheet in enumerate(planned.plan.sheets, start=1)
        for piece in sheet.offcuts
    ]
    return written(heading, rows)


def length_headings(units: Units, *names: str) -> tuple[str, ...]:
    """A column for each length in mm, before them the same in inches where the job is in inches."""
    millimetres = tuple(f"{name} (mm)" for name in names)
    return millimetres if units is Units.MILLIMETRE else (*(f"{name} (in)" for name in names), *millimetres)


def lengths(units: Units, sizes: Iterable[float], places: Iterable[float]) -> tuple[str, ...]:
    """Cells for `length_headings`: to the thousandth of a mm; inches as a tape shows them, sizes down."""
    sizes, places = tuple(sizes), tuple(places)
    millimetres = tuple(_plain(value, 3) for value in (*sizes, *places))
    if units is Units.MILLIMETRE:
        return millimetres
    inches = [_tape(value, "down") for value in sizes]
    return *inches, *(_tape(value, "nearest") for value in places), *millimetres


def _tape(mm: float, direction: Direction) -> str:
    """Inches as ``28 3/8`` or ``0 3/16``: spreadsheets read a bare ``3/16`` as a day in March."""
    text = format_length(mm, "in", direction=direction)
    if "/" in text and " " not in text:
        return f"-0 {text[1:]}" if text.startswith("-") else f"0 {text}"
    return text


def words(text: str) -> str:
    """Text for a cell that a spreadsheet shows and never runs.

    A name that starts like a formula gets an apostrophe before it; line ends and the like become spaces.
    """
    line = one_line(text)
    return f"'{line}" if line.startswith(_FORMULA) or text.startswith(("\t", "\r")) else line


def _plain(value: float, decimals: int) -> str:
    """A number without needless zeros, never a negative zero."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}".rstrip("0").rstrip(".")


def written(heading: Iterable[object], rows: Iterable[Iterable[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    columns = tuple(heading)
    writer.writerow(columns)
    for row in rows:
        cells = tuple(row)
        writer.writerow(cells + ("",) * (len(columns) - len(cells)))
    return text.getvalue()
