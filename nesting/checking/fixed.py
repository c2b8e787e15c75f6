"""The plan check: what was decided before is kept, and what is cut or on hand already is asked for no more."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.checking.shapes import HAIR
from nesting.checking.structure import FAR, Cell, Frame
from nesting.job import FixedPanel, FixedState, Job
from nesting.plan import Panel, Plan


def fixed_faults(job: Job, plan: Plan, frames: dict[str, Frame]) -> Iterator[str]:
    """What is wrong with the panels, strips and sheets that the job says are there or decided."""
    matched: set[str] = set()
    for fixed in job.fixed.panels:
        where = f"decided panel {fixed.name or '?'} on bays {fixed.first_bay} to {fixed.last_bay}"
        where += f" of side {fixed.side!r}"
        if fixed.side not in frames:
            yield f"{where}: there is no such side"
            continue
        frame = frames[fixed.side]
        wanted = _cells(frame, fixed)
        own = [p for p in plan.panels if p.side == fixed.side and set(frame.cells_of(p)) == wanted]
        if not own:
            yield f"{where}: the plan has no such panel"
            continue
        panel = own[0]
        matched.add(panel.name)
        if fixed.name and panel.name != fixed.name:
            yield f"{where}: the plan calls it {panel.name}"
        if panel.cut is not (fixed.state is FixedState.CUT):
            yield f"{where}: it is {fixed.state.value}, the plan says {_state(panel)}"
    for panel in plan.panels:
        if panel.cut and panel.name not in matched:
            yield f"panel {panel.name}: the plan takes it as cut, the job does not"
    there = _strips_cut(job)
    for strip in plan.backing:
        if strip.cut is not ((strip.side, strip.height, strip.bay) in there):
            said = "cut" if strip.cut else "still to be cut"
            yield f"backing strip {strip.patch}: the plan takes it as {said}, the job does not"
    for number, sheet in enumerate(plan.sheets, start=1):
        if sheet.stock.on_hand and sheet.stock.price != 0:
            yield f"sheet {number}: it is on hand and has a price of {sheet.stock.price:.2f}"


def _state(panel: Panel) -> str:
    return "that it is cut" if panel.cut else "that it is to be cut"


def _cells(frame: Frame, fixed: FixedPanel) -> set[Cell]:
    """The cells between the rails that the panel ends on."""
    low = -FAR if fixed.from_rail is None else fixed.from_rail
    high = FAR if fixed.to_rail is None else fixed.to_rail
    return {
        (bay, row)
        for bay, row in frame.cells
        if fixed.first_bay <= bay <= fixed.last_bay
        and frame.rail_under(row) >= low - HAIR
        and frame.rail_over(row) <= high + HAIR
    }


def _strips_cut(job: Job) -> set[tuple[str, float, int]]:
    return {
        (strip.side, strip.height, bay)
        for strip in job.fixed.strips
        if strip.state is FixedState.CUT
        for bay in range(strip.first_bay, strip.last_bay + 1)
    }
