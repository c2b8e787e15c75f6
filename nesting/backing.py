"""Heights at which a backing strip would let an opening be closed that no sheet can close in one piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nesting.job import Job, Side
from nesting.panels import Candidate
from nesting.plan import Point
from nesting.seams import SeamLines
from nesting.sizes import fits_some_stock

MOST_HEIGHTS = 8
"""Enough for four pieces above one another, tried from below and from above."""


def uncovered_cells(lines: SeamLines, candidates: Sequence[Candidate]) -> list[tuple[int, int]]:
    """(bay, row) of every cell that no candidate panel closes."""
    covered = {cell[1:] for candidate in candidates for cell in candidate.cells}
    return [
        (bay, row)
        for bay in range(1, len(lines.openings) + 1)
        for row in range(1, len(lines.levels) + 2)
        if lines.span(bay, row) and (bay, row) not in covered
    ]


def single_size(job: Job, side: Side, lines: SeamLines, cell: tuple[int, int]) -> Point:
    """(along, across) in mm of the least panel that closes one cell alone, laps and lands included."""
    bay, row = cell
    opening = lines.openings[bay - 1]
    reach = job.seam.reach
    left = lines.posts[bay - 2] - reach if bay > 1 else opening.x0 - job.land.ends
    right = lines.posts[bay - 1] + reach if bay <= len(lines.posts) else opening.x1 + job.land.ends
    span = lines.span(bay, row)
    assert span is not None
    low = span[0] - (job.land.bottom if span[0] <= opening.y0 + 1e-6 else reach)
    high = span[1] + (job.land.top if span[1] >= opening.y1 - 1e-6 else reach)
    return right - left, high - low


def backing_heights(job: Job, side: Side, lines: SeamLines, cells: Sequence[tuple[int, int]]) -> tuple[float, ...]:
    """Heights above the datum worth trying: pieces as tall as a sheet allows, stacked from below and from above.

    Empty where no height helps, because a piece as wide as the bay fits no sheet at any height.
    """
    heights: set[float] = set()
    for cell in cells:
        along, _ = single_size(job, side, lines, cell)
        for tall in _usable_heights(job, along):
            heights.update(_stacked(job, lines, cell, tall))
    known = [level.height for level in lines.levels]
    fresh = [h for h in sorted(heights) if all(abs(h - k) > 1e-6 for k in known)]
    return tuple(fresh[:MOST_HEIGHTS])


def _usable_heights(job: Job, along: float) -> list[float]:
    """How tall a piece of a given width may be on each stock size, the tallest first."""
    tall = set()
    margins = 2 * job.cutting.edge_margin
    for stock in job.stock:
        for across in (stock.width - margins, stock.length - margins):
            if fits_some_stock(job, along, across):
                tall.add(across)
    return sorted(tall, reverse=True)


def _stacked(job: Job, lines: SeamLines, cell: tuple[int, int], tall: float) -> Iterator[float]:
    """Seam heights of pieces ``tall`` stacked in one cell from its lower and from its upper edge."""
    bay, row = cell
    span = lines.span(bay, row)
    opening = lines.openings[bay - 1]
    reach = job.seam.reach
    if span is None or tall <= 2 * abs(reach) + 1:
        return
    low = span[0] - (job.land.bottom if span[0] <= opening.y0 + 1e-6 else reach)
    high = span[1] + (job.land.top if span[1] >= opening.y1 - 1e-6 else reach)
    edge = low
    while edge + tall < high - 1e-6:
        height = edge + tall - reach
        yield height
        edge = height - reach
    edge = high
    while edge - tall > low + 1e-6:
        height = edge - tall + reach
        yield height
        edge = height + reach
