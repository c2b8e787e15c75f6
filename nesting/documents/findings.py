"""What several documents say of a plan: warnings, doubts about a part, rivets of a seam, hanging order."""

from __future__ import annotations

import re
from collections.abc import Iterable
from graphlib import TopologicalSorter

from nesting.job import CutMethod, Hand, SeamKind, Side
from nesting.plan import Panel, PlannedJob, Point, Seam, SheetLayout
from shared.units import format_length

INSIDE_CORNERS = (
    "cuts from edge to edge do not free all its parts; stop each other cut short of its inside corner and "
    "finish it there with snips or a file, so that it does not run on into a part"
)

_BAY = re.compile(r"\bbays? (\d+)(?: (?:to|and) (\d+))?")
_ASKED = re.compile(r"\bmeasure\b[^;.]*\bagain\b")
"""A doubt about readings asks for them once more."""
_EDGE = 0.01
"""mm: a rivet counts as on the seam when it lies this much past its end, which only rounding explains."""


def all_warnings(planned: PlannedJob) -> tuple[str, ...]:
    """Every warning once: those of the plan first, then of the measurements, the rivets and the sheets."""
    sheets = (
        f"sheet {number}: {INSIDE_CORNERS}"
        for number, sheet in enumerate(planned.plan.sheets, start=1)
        if has_inside_corners(planned, sheet)
    )
    said = (*planned.warnings, *planned.job.warnings, *planned.fasteners.warnings, *sheets)
    return tuple(dict.fromkeys(said))


def has_inside_corners(planned: PlannedJob, sheet: SheetLayout) -> bool:
    """True where a sheet cut by hand has parts that cuts from edge to edge alone do not free."""
    by_hand = planned.job.cutting.method is CutMethod.HAND
    return by_hand and not sheet.cuts and len(sheet.parts) > 1


def kerf_note(planned: PlannedJob) -> str:
    """On which side of its line a cut from edge to edge runs; empty where cutting removes nothing."""
    kerf, unit = planned.job.cutting.kerf, planned.job.units.value
    if kerf <= 0:
        return ""
    printed = format_length(kerf, unit)
    wide = "" if printed == "0" else f", {printed} {unit} wide,"
    return f"Each line follows the edge of a part: let the cut{wide} run beside the line, outside the part."


def stop_words(planned: PlannedJob) -> str:
    """What to do with the distance of a cut from the edge of its piece."""
    return "set the stop at" if planned.job.cutting.method is CutMethod.SHEAR else "measure"


def doubts(planned: PlannedJob, part: str) -> tuple[str, ...]:
    """The warnings that ask to measure again what this part is cut from.

    A warning names its place as ``side 'driver side', bay 4``; one that names no bay is about the whole side.
    """
    panel = next((panel for panel in planned.plan.panels if panel.name == part), None)
    if panel is None:
        return ()
    about = f"side '{panel.side}'"
    asked = (text for text in planned.job.warnings if _ASKED.search(text) and about in text)
    return tuple(text for text in asked if _touches(text, panel))


def _touches(text: str, panel: Panel) -> bool:
    spans = [(int(first), int(last or first)) for first, last in _BAY.findall(text)]
    return not spans or any(first <= panel.last_bay and last >= panel.first_bay for first, last in spans)


def seam_rivets(planned: PlannedJob, seam: Seam) -> int:
    """How many rivets lie on this seam, those that it shares with crossing lines included.

    A butt seam has its own rows in either panel: all are counted.
    """
    pair = {seam.over, seam.under}
    lines = [line for line in planned.fasteners.lines if line.kind == "seam" and line.side == seam.side]
    if planned.job.seam.kind is SeamKind.LAP:
        return sum(len(line.points) for line in lines if set(line.panels) == pair)
    return sum(
        _on_butt_seam(planned, seam, point)
        for line in lines
        if pair.issuperset(line.panels)
        for point in line.points
    )


def _on_butt_seam(planned: PlannedJob, seam: Seam, point: Point) -> bool:
    """A panel may have rows along several butt seams: these rows lie beside this one."""
    rules = planned.job.seam
    second_row = rules.row_spacing if rules.rows == 2 else 0.0
    farthest = rules.butt_gap / 2 + rules.edge_distance + second_row + _EDGE
    across, along = (0, 1) if seam.after_bay is not None else (1, 0)
    beside = abs(point[across] - seam.start[across]) <= farthest
    return beside and seam.start[along] - _EDGE <= point[along] <= seam.end[along] + _EDGE


def hanging_order(planned: PlannedJob, side: str) -> tuple[Panel, ...]:
    """The panels of a side in the order to hang them: whatever is lapped over goes up first.

    Where no lap decides, lower before upper, then from the rear forward.
    """
    panels = {panel.name: panel for panel in planned.plan.panels if panel.side == side}
    waits: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(panels, ()))
    for seam in planned.plan.seams:
        if seam.side == side:
            waits.add(seam.over, seam.under)
    waits.prepare()
    order: list[Panel] = []
    ready: set[str] = set()
    while waits.is_active():
        ready.update(waits.get_ready())
        chosen = min(ready, key=lambda name: _rank(panels[name]))
        ready.remove(chosen)
        waits.done(chosen)
        order.append(panels[chosen])
    return tuple(order)


def _rank(panel: Panel) -> tuple[int, int]:
    aft_first = -panel.first_bay if panel.forward is Hand.LEFT else panel.first_bay
    return panel.first_row, aft_first


def sides_in_order(planned: PlannedJob) -> tuple[Side, ...]:
    """The sides that carry panels, as the job lists them."""
    carried = {panel.side for panel in planned.plan.panels}
    return tuple(side for side in planned.job.sides if side.name in carried)


def part_side(planned: PlannedJob, part: str) -> str:
    """The side a part belongs to; empty for a patch."""
    return next((panel.side for panel in planned.plan.panels if panel.name == part), "")


def patch_name(part: str) -> str:
    """The patch that a part is a copy of: its name without #1, #2 ...; of anything else the name itself."""
    stem, hash_sign, number = part.rpartition("#")
    return stem if hash_sign and number.isdigit() else part


def joined(names: Iterable[str]) -> str:
    """Names as a list in words: ``a``, ``a and b``, ``a, b and c``."""
    *first, last = tuple(names) or ("",)
    return f"{', '.join(first)} and {last}" if first else last
