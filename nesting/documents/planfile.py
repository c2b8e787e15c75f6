"""plan.json: the whole plan for other programs, every length in mm, the same bytes for the same plan.

The field names are fixed: other programs read them.  Nothing here depends on the clock or the machine.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from nesting.documents.findings import all_warnings, seam_rivets
from nesting.documents.orderfields import order_fields
from nesting.job import Stock, Units
from nesting.outline import Ring
from nesting.plan import Cut, Fasteners, Panel, PlacedPart, PlannedJob, RivetLine, Seam, SheetLayout

DECIMALS = 6
"""1e-6 of a mm: far below any tool, and coarse enough that the last bits of a float never show."""

AREA_NAMES = {Units.INCH: "square feet", Units.MILLIMETRE: "square metres"}
"""What `sheet_cost`, `objective` and `bound` count in where no sheet has a price."""

BULGE_DECIMALS = 9
"""A bulge is a ratio: on a long arc the sixth decimal would be seen."""


def plan_document(planned: PlannedJob) -> dict[str, Any]:
    """The plan as plain values ready for JSON, keys in reading order.

    Lengths in mm, masses in kg, money as in the job, angles in degrees; numbers rounded to 1e-6, bulges to
    1e-9.  Outlines are rings of [x, y], or [x, y, bulge] where the edge that starts there is an arc, the first point
    not repeated: panels and seams in side coordinates, parts in sheet coordinates.
    """
    job, plan, buying = planned.job, planned.plan, planned.buying
    return {
        "title": job.title,
        "units": job.units.value,
        "status": plan.status.value,
        "objective": number(plan.objective),
        "bound": number(plan.bound),
        "optimality_gap": number(plan.optimality_gap),
        "sheet_cost": number(plan.sheet_cost),
        "seam_cost": number(plan.seam_cost),
        "seam_count": len(plan.seams),
        "cost_unit": "money" if job.priced else AREA_NAMES[job.units],
        "mass_kg": number(buying.skin_mass),
        "cost": {
            "sheets": number(buying.sheets),
            "cutting": number(buying.cutting),
            "rivets": number(buying.rivets),
            "framing": number(buying.framing),
            "sealant": number(buying.sealant),
            "paint": number(buying.paint),
            "delivery": number(buying.delivery),
            "tax": number(buying.tax),
            "total": number(buying.total),
        },
        "warnings": list(all_warnings(planned)),
        "tradeoff": [
            {"seams": point.seams, "sheet_cost": number(point.sheet_cost), "bound": number(point.bound)}
            for point in plan.tradeoff
        ],
        "sheets": [_sheet(sheet, planned.masses) for sheet in plan.sheets],
        "panels": [_panel(panel, planned) for panel in plan.panels],
        "seams": [_seam(seam, planned) for seam in plan.seams],
        "backing": [
            {
                "side": strip.side,
                "height": number(strip.height),
                "bay": strip.bay,
                "patch": strip.patch,
                "cut_already": strip.cut,
            }
            for strip in plan.backing
        ],
        "patches_cut_already": [
            f"{patch.name}#{copy}"
            for patch in job.patches
            for copy in sorted(job.fixed.copies_cut(patch.name))
        ],
        "rivets": _rivets(planned.fasteners),
        "buy": [
            {
                "item": line.item,
                "quantity": number(line.quantity),
                "unit": line.unit,
                "unit_price": number(line.unit_price),
                "price": number(line.price),
                "note": line.note,
                "priced": line.priced,
            }
            for line in buying.lines
        ],
        "order": order_fields(planned.order),
    }


def plan_text(planned: PlannedJob) -> str:
    """plan.json as text, ending with a newline; a list of plain values stays on one line."""
    return json_text(plan_document(planned)) + "\n"


def json_text(value: Any, depth: int = 0) -> str:
    """JSON with one space of indent a level, but a vertex on one line: a plan has thousands of them."""
    if isinstance(value, dict) and value:
        entries = [
            f"{json.dumps(key, ensure_ascii=False)}: {json_text(entry, depth + 1)}"
            for key, entry in value.items()
        ]
        return _block("{", entries, "}", depth)
    if isinstance(value, list) and any(isinstance(entry, (dict, list)) for entry in value):
        return _block("[", [json_text(entry, depth + 1) for entry in value], "]", depth)
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def number(value: float) -> float:
    """The value to 1e-6, without a negative zero."""
    return round(float(value), DECIMALS) + 0.0


def ring_points(ring: Ring) -> list[list[float]]:
    """The ring as [x, y] and [x, y, bulge] points."""
    return [
        [number(x), number(y), round(bulge, BULGE_DECIMALS)]
        if round(bulge, BULGE_DECIMALS)
        else [number(x), number(y)]
        for x, y, bulge in ring
    ]


def _sheet(sheet: SheetLayout, masses: dict[str, float]) -> dict[str, Any]:
    stock: Stock = sheet.stock
    return {
        "stock": stock.name,
        "width": number(stock.width),
        "length": number(stock.length),
        "price": number(stock.price),
        "on_hand": stock.on_hand,
        "parts": [_part(part, masses) for part in sheet.parts],
        "cuts": [_cut(cut) for cut in sheet.cuts],
        "offcuts": [
            {name: number(getattr(piece, name)) for name in ("x", "y", "length", "width")}
            for piece in sheet.offcuts
        ],
    }


def _part(part: PlacedPart, masses: dict[str, float]) -> dict[str, Any]:
    return {
        "part": part.part,
        "x": number(part.x),
        "y": number(part.y),
        "turn": number(part.turn),
        "flipped": part.flipped,
        "mass_kg": number(masses.get(part.part, 0.0)),
        "outline": ring_points(part.outline),
        "holes": _rings(part.holes),
    }


def _cut(cut: Cut) -> dict[str, Any]:
    return {
        "order": cut.order,
        "axis": cut.axis,
        "at": number(cut.at),
        "from_datum": number(cut.from_datum),
        "piece": [number(value) for value in cut.piece],
    }


def _panel(panel: Panel, planned: PlannedJob) -> dict[str, Any]:
    rivets = next((count for count in planned.fasteners.panels if count.panel == panel.name), None)
    return {
        "name": panel.name,
        "side": panel.side,
        "forward": panel.forward.value,
        "first_bay": panel.first_bay,
        "last_bay": panel.last_bay,
        "first_row": panel.first_row,
        "last_row": panel.last_row,
        "cut_already": panel.cut,
        "mass_kg": number(planned.masses.get(panel.name, 0.0)),
        "rivets": rivets.rivets if rivets else 0,
        "rivets_shared": rivets.shared if rivets else 0,
        "outline": ring_points(panel.outline),
        "holes": _rings(panel.holes),
    }


def _seam(seam: Seam, planned: PlannedJob) -> dict[str, Any]:
    # a seam has one place only: the key that does not apply is left out
    place = {"after_bay": seam.after_bay} if seam.after_bay is not None else {"rail": seam.rail}
    return {
        "side": seam.side,
        **place,
        "length": number(seam.length),
        "start": [number(value) for value in seam.start],
        "end": [number(value) for value in seam.end],
        "over": seam.over,
        "under": seam.under,
        "rivets": seam_rivets(planned, seam),
    }


def _rivets(fasteners: Fasteners) -> dict[str, Any]:
    return {
        "total": fasteners.total,
        "to_buy": fasteners.to_buy,
        "packs": [
            {"count": count, "boxes": boxes, "price": number(price)}
            for count, boxes, price in fasteners.packs
        ],
        "by_line": [_rivet_line(line) for line in fasteners.lines],
    }


def _rivet_line(line: RivetLine) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "side": line.side,
        "where": line.where,
        "panels": list(line.panels),
        "rivets": len(line.points),
        "counted": line.counted,
        "pitch": number(line.pitch),
        "grip": number(line.grip),
        "points": [[number(x), number(y)] for x, y in line.points],
    }


def _rings(rings: Iterable[Ring]) -> list[list[list[float]]]:
    return [ring_points(ring) for ring in rings]


def _block(opening: str, entries: Iterable[str], closing: str, depth: int) -> str:
    indent = "\n" + " " * (depth + 1)
    return opening + indent + ("," + indent).join(entries) + "\n" + " " * depth + closing
