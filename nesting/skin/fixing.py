"""What is decided already, on the grid of a side: blocks that are taken, and the panels left to choose."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from nesting.job import FixedPanel, FixedState, FixedStrip, Job, Side
from nesting.skin.panels import Block, Candidate, block_candidate, can_be_cut
from nesting.skin.seams import SAME_HEIGHT, SeamLines


def strip_heights(job: Job, side: Side) -> tuple[float, ...]:
    """Heights of the side's backing strips that are decided already, lowest first."""
    return tuple(sorted({strip.height for strip in job.fixed.strips if strip.side == side.name}))


def decided_strips(job: Job, side: str) -> Mapping[tuple[float, int], FixedStrip]:
    """The side's backing strips that are decided already, by height and bay."""
    return {
        (strip.height, bay): strip
        for strip in job.fixed.strips
        if strip.side == side
        for bay in range(strip.first_bay, strip.last_bay + 1)
    }


def fixed_block(fixed: FixedPanel, lines: SeamLines) -> Block | None:
    """The block of cells that a decided panel closes; None where it closes nothing.

    A block is named by the rows in which its bays really have cells.
    """
    rows = range(1, len(lines.levels) + 2)
    if fixed.from_rail is not None:
        rows = range(_level(lines, fixed.from_rail) + 1, rows.stop)
    if fixed.to_rail is not None:
        rows = range(rows.start, _level(lines, fixed.to_rail) + 1)
    bays = range(fixed.first_bay, fixed.last_bay + 1)
    there = [row for row in rows if any(lines.span(bay, row) for bay in bays)]
    return Block(bays[0], bays[-1], there[0], there[-1]) if there else None


def candidates_around(
    job: Job, side: Side, lines: SeamLines, candidates: Sequence[Candidate]
) -> tuple[Candidate, ...]:
    """The candidates that leave decided panels alone, and these panels themselves.

    A panel that is cut need fit no sheet; one that is only decided is left out where it fits none.
    """
    decided = []
    for fixed in job.fixed.panels:
        block = fixed_block(fixed, lines) if fixed.side == side.name else None
        candidate = block_candidate(job, side, lines, block) if block else None
        if candidate is None:
            continue
        cut = fixed.state is FixedState.CUT
        panel = replace(candidate.panel, cut=cut)
        if cut or can_be_cut(job, lines, candidate):
            decided.append(replace(candidate, panel=panel, kept_name=fixed.name))
    if not decided:
        return tuple(candidates)
    taken = {cell for candidate in decided for cell in candidate.cells}
    free = [candidate for candidate in candidates if taken.isdisjoint(candidate.cells)]
    return (*free, *decided)


def strips_cut(job: Job, side: str) -> frozenset[tuple[float, int]]:
    """Height and bay of each backing strip of the side that needs no metal any more."""
    decided = decided_strips(job, side)
    return frozenset(place for place, strip in decided.items() if strip.state is FixedState.CUT)


def _level(lines: SeamLines, height: float) -> int:
    """The number of the level at a height, from 1."""
    return next(
        number
        for number, level in enumerate(lines.levels, start=1)
        if abs(level.height - height) <= SAME_HEIGHT
    )
