"""Heights at which a backing strip would let an opening be closed that no sheet can close in one piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.job import Job, Side
from nesting.outline import bounds
from nesting.plan import Point
from nesting.sizing.sizes import fits_some_stock, usable_length
from nesting.skin.panels import Candidate, block_outline, least_block
from nesting.skin.seams import SeamLines, Span, strip_width, window_zone
from shared.units import Direction, from_solver, round_length, to_solver_up

MOST_HEIGHTS = 6
"""Heights offered on one side, unless closing its bays takes more: each splits every bay once more."""

HAIR = 1e-6

Bare = tuple[int, int]
"""Bay and row, both from 1, of a cell that no panel closes."""


def uncovered_cells(lines: SeamLines, candidates: Sequence[Candidate]) -> list[Bare]:
    """Every cell that no candidate panel closes."""
    covered = {cell[1:] for candidate in candidates for cell in candidate.cells}
    return [
        (bay, row)
        for bay in range(1, len(lines.openings) + 1)
        for row in range(1, len(lines.levels) + 2)
        if lines.span(bay, row) and (bay, row) not in covered
    ]


def least_size(job: Job, lines: SeamLines, cell: Bare) -> Point:
    """(along, across) in mm of the least panel that closes a cell, laps and lands included."""
    x0, y0, x1, y1 = bounds(block_outline(job, lines, least_block(lines, *cell)))
    return x1 - x0, y1 - y0


@dataclass(frozen=True)
class Shaft:
    """An opening to close with pieces on one another: ``low`` to ``high``, with lands ``foot`` to ``head``.

    ``talls`` are the heights that pieces as wide as the opening may have, the tallest first; seams may lie
    nowhere inside ``barred``.  All in mm.
    """

    foot: float
    low: float
    high: float
    head: float
    talls: tuple[float, ...]
    barred: tuple[Span, ...]

    @property
    def hung(self) -> Shaft:
        """The same upside down."""
        barred = tuple((-high, -low) for low, high in self.barred)
        return Shaft(-self.head, -self.high, -self.low, -self.foot, self.talls, barred)


def backing_heights(job: Job, side: Side, lines: SeamLines, cells: Sequence[Bare]) -> tuple[float, ...]:
    """Heights above the datum worth trying: pieces as tall as a sheet allows, stacked from below or above.

    They are the same for all cells, so that strips run through.  The tallest pieces come first, since they
    make fewest seams.  Empty where no height helps: a piece as wide as the bay fits no sheet at any height.
    """
    shafts = [shaft for cell in cells if (shaft := _shaft(job, side, lines, cell)).talls]
    chosen: list[float] = []
    for rank in range(max((len(shaft.talls) for shaft in shafts), default=0)):
        ranked = [replace(shaft, talls=shaft.talls[rank:] or shaft.talls[-1:]) for shaft in shafts]
        for heights in (
            _stacked(job, ranked, "down"),
            tuple(-height for height in _stacked(job, [shaft.hung for shaft in ranked], "up")),
        ):
            fresh = [h for h in heights if all(abs(h - c) > 2 * strip_width(job.seam) for c in chosen)]
            if not chosen or len(chosen) + len(fresh) <= MOST_HEIGHTS:
                chosen += fresh
    return tuple(sorted(chosen))


def _shaft(job: Job, side: Side, lines: SeamLines, cell: Bare) -> Shaft:
    block = least_block(lines, *cell)
    x0, foot, x1, head = bounds(block_outline(job, lines, block))
    spans = [[span for row in block.rows if (span := lines.span(bay, row))] for bay in block.bays]
    # a strip needs its own height behind the skin, clear of rails and of the opening's ends
    strip = strip_width(job.seam)
    clear_of = {height for bay in spans for span in bay for height in span}
    barred = [(height - strip, height + strip) for height in clear_of]
    barred += [window_zone(job, side, window) for window in side.windows if window.bay in block.bays]
    low, high = max(bay[0][0] for bay in spans), min(bay[-1][1] for bay in spans)
    return Shaft(foot, low, high, head, _usable_heights(job, x1 - x0), tuple(barred))


def _usable_heights(job: Job, along: float) -> tuple[float, ...]:
    """How tall a piece of a given width may be on each stock size, the tallest first."""
    spacing = to_solver_up(job.cutting.spacing)
    heights = {
        from_solver(usable_length(job, size) - spacing)
        for stock in job.stock
        for size in (stock.width, stock.length)
    }
    return tuple(tall for tall in sorted(heights, reverse=True) if fits_some_stock(job, along, tall))


def _stacked(job: Job, shafts: Sequence[Shaft], direction: Direction) -> tuple[float, ...]:
    """Seam heights at which the tallest pieces fill all shafts from below; empty where they cannot.

    The heights are such as a tape shows, rounded down in the end, unless that takes one piece more.
    """
    exact = _climbed(job, shafts, None)
    shown = _climbed(job, shafts, direction)
    return shown if len(shown) == len(exact) else exact


def _climbed(job: Job, shafts: Sequence[Shaft], direction: Direction | None) -> tuple[float, ...]:
    reach = job.seam.reach
    barred = sorted({zone for shaft in shafts for zone in shaft.barred}, reverse=True)
    edges = {shaft: shaft.foot for shaft in shafts}
    heights: list[float] = []
    while rising := [shaft for shaft, edge in edges.items() if edge + shaft.talls[0] < shaft.head - HAIR]:
        height = min(edges[shaft] + shaft.talls[0] for shaft in rising) - reach
        if direction is not None:
            sign = 1 if direction == "down" else -1
            height = sign * round_length(sign * height, job.units.value, direction)
        for low, high in barred:
            if low < height < high:
                height = low
        before = dict(edges)
        edges |= {shaft: height - reach for shaft in rising if shaft.low < height < shaft.high}
        if any(edges[shaft] < edge for shaft, edge in before.items()) or edges == before:
            return ()
        heights.append(height)
    return tuple(heights)
