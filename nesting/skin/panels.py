"""Candidate panels: every block of cells that one sheet can cover, with its outline as it would be cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, groupby, product

from nesting.job import Job, Side
from nesting.outline import Box, Ring, bounds
from nesting.plan import Panel
from nesting.sizing.sizes import fits_some_stock
from nesting.skin.openings import window_hole, without_straight_corners
from nesting.skin.ringcuts import clipped
from nesting.skin.ringunion import united
from nesting.skin.seams import SeamLines, strip_size

FAR = float("inf")

Cell = tuple[str, int, int]
"""Side name, bay and row, both from 1."""


@dataclass(frozen=True)
class Block:
    """Consecutive bays and rows of a side, both from 1."""

    first_bay: int
    last_bay: int
    first_row: int
    last_row: int

    @property
    def bays(self) -> range:
        return range(self.first_bay, self.last_bay + 1)

    @property
    def rows(self) -> range:
        return range(self.first_row, self.last_row + 1)


@dataclass(frozen=True)
class Candidate:
    """A panel that could be cut, the cells it closes and the cell edges on which it would make a seam.

    ``post_seams`` are (post, row) and ``level_seams`` (level, bay) on its right and upper edge; the seams on
    its left and lower edge belong to its neighbours.
    """

    panel: Panel
    cells: tuple[Cell, ...]
    post_seams: tuple[tuple[int, int], ...]
    level_seams: tuple[tuple[int, int], ...]
    strips: tuple[tuple[int, int], ...]
    """(level, bay) of the backing strips that its upper edge needs."""
    kept_name: str = ""
    """The name that a panel decided already keeps."""


def candidate_panels(job: Job, side: Side, lines: SeamLines) -> tuple[Candidate, ...]:
    """Every panel of a side that fits some stock sheet in some allowed turn, as do the strips it needs."""
    holes = window_holes(side, lines)
    found = []
    for block in _blocks(job, lines):
        outline = block_outline(job, lines, block)
        # most blocks of a long side are too long for any sheet: nothing more is worked out for these
        if outline and _fits(job, outline):
            candidate = _candidate(side, lines, holes, block, outline)
            if can_be_cut(job, lines, candidate):
                found.append(candidate)
    return tuple(found)


def window_holes(side: Side, lines: SeamLines) -> list[tuple[int, Ring]]:
    """The holes that a side's windows need, with their bays."""
    return [(window.bay, window_hole(window, lines.openings)) for window in side.windows]


def _fits(job: Job, outline: Ring) -> bool:
    x0, y0, x1, y1 = bounds(outline)
    return fits_some_stock(job, x1 - x0, y1 - y0)


def block_candidate(job: Job, side: Side, lines: SeamLines, block: Block) -> Candidate | None:
    """A block as a panel, whether or not it fits a sheet; None where nothing of it would be left.

    That is so between two levels nearer to one another than the gap of a butt seam.
    """
    outline = block_outline(job, lines, block)
    if not outline:
        return None
    return _candidate(side, lines, window_holes(side, lines), block, outline)


def can_be_cut(job: Job, lines: SeamLines, candidate: Candidate) -> bool:
    """True where the panel and each strip that it needs fit some stock sheet in some allowed turn."""
    x0, y0, x1, y1 = bounds(candidate.panel.outline)
    sizes = [(x1 - x0, y1 - y0)] + [
        strip_size(job.seam, lines, lines.levels[level - 1].height, bay) for level, bay in candidate.strips
    ]
    return all(fits_some_stock(job, *size) for size in sizes)


def least_block(lines: SeamLines, bay: int, row: int) -> Block:
    """The least block that closes a cell: on past every post and level that can take no seam."""
    block = Block(bay, bay, row, row)
    while True:
        wider = Block(
            block.first_bay - (not may_end_on_post(lines, block.first_bay - 1, block)),
            block.last_bay + (not may_end_on_post(lines, block.last_bay, block)),
            block.first_row - (not may_end_on_level(lines, block.first_row - 1, block)),
            block.last_row + (not may_end_on_level(lines, block.last_row, block)),
        )
        if wider == block:
            return block
        block = wider


def block_outline(job: Job, lines: SeamLines, block: Block) -> Ring:
    """The cut contour of a block of cells: the side's skin, cut a seam's reach past its seam lines."""
    reach = job.seam.reach
    left, right = -FAR, FAR
    if block.first_bay > 1:
        left = lines.posts[block.first_bay - 2] - reach
        if not _meets(lines, block.first_bay - 1, block):
            left = min(left, lines.openings[block.first_bay - 1].x0 - job.land.ends)
    if block.last_bay < len(lines.openings):
        right = lines.posts[block.last_bay - 1] + reach
        if not _meets(lines, block.last_bay, block):
            right = max(right, lines.openings[block.last_bay - 1].x1 + job.land.ends)
    outline = clipped(lines.skin, (left, -FAR, right, FAR))
    if block.first_row > 1:
        height = lines.levels[block.first_row - 2].height - reach
        outline = _cut_on_level(outline, lines, block, block.first_row - 1, (-FAR, height, FAR, FAR), reach)
    if block.last_row <= len(lines.levels):
        height = lines.levels[block.last_row - 1].height + reach
        outline = _cut_on_level(outline, lines, block, block.last_row, (-FAR, -FAR, FAR, height), reach)
    return outline


def _blocks(job: Job, lines: SeamLines) -> Iterator[Block]:
    """Every block whose edges are outer edges or lie where a seam may lie, but for those too long for any sheet."""
    bays, rows = range(1, len(lines.openings) + 1), range(1, len(lines.levels) + 2)
    for (low, high), first in product(combinations_with_replacement(rows, 2), bays):
        for last in bays[first - 1 :]:
            block = Block(first, last, low, high)
            if not fits_some_stock(job, *_least_size(lines, block)):
                # one bay more makes it longer yet
                break
            if _is_block(lines, block):
                yield block


def _least_size(lines: SeamLines, block: Block) -> tuple[float, float]:
    """A width and a height that every panel over a block has at least: what lies between its outermost cells."""
    wide = lines.openings[block.last_bay - 1].x0 - lines.openings[block.first_bay - 1].x1
    high = 0.0
    if block.first_row < block.last_row:
        high = lines.levels[block.last_row - 2].height - lines.levels[block.first_row - 1].height
    return max(0.0, wide), high


def _is_block(lines: SeamLines, block: Block) -> bool:
    cells = [[lines.span(bay, row) is not None for row in block.rows] for bay in block.bays]
    if not all(any(column) for column in cells):
        return False
    # a block is named by the rows it really has, so that one panel is not listed twice
    if not any(column[0] for column in cells) or not any(column[-1] for column in cells):
        return False
    return all(may_end_on_post(lines, post, block) for post in (block.first_bay - 1, block.last_bay)) and all(
        may_end_on_level(lines, level, block) for level in (block.first_row - 1, block.last_row)
    )


def may_end_on_post(lines: SeamLines, post: int, block: Block) -> bool:
    """True where a block may end over a post: at an end of the side, at an outer edge, or on a seam."""
    return (
        not (1 <= post <= len(lines.posts))
        or post not in lines.barred_posts
        or not _meets(lines, post, block)
    )


def may_end_on_level(lines: SeamLines, level: int, block: Block) -> bool:
    """True where a block may end on a level: at a side's edge, where it divides no bay, or on a seam."""
    return not any((level, bay) in lines.barred_levels and lines.parts(level, bay) for bay in block.bays)


def _meets(lines: SeamLines, post: int, block: Block) -> bool:
    """True where cells stand on both hands of a post in some of the block's rows."""
    return any(lines.meets(post, row) for row in block.rows)


def _cut_on_level(
    outline: Ring, lines: SeamLines, block: Block, level: int, limits: Box, reach: float
) -> Ring:
    """The outline cut within limits past a level, but whole over bays that the level does not divide.

    Such a bay ends short of the level, and its land must stay as wide as that of any outer edge; the step
    lies on the post beside it, so that the two panels still lap there.
    """
    if not outline or not any(lines.parts(level, bay) for bay in block.bays):
        return outline
    cut = clipped(outline, limits)
    if not cut:
        return ()
    pieces = [cut]
    for divided, run in groupby(block.bays, key=lambda bay: lines.parts(level, bay)):
        bays = list(run)
        left, right = -FAR, FAR
        if bays[0] > block.first_bay:
            left = max(lines.posts[bays[0] - 2] - reach, lines.openings[bays[0] - 2].x1)
        if bays[-1] < block.last_bay:
            right = min(lines.posts[bays[-1] - 1] + reach, lines.openings[bays[-1]].x0)
        column = clipped(outline, (left, -FAR, right, FAR))
        if not divided and bounds(column) != bounds(clipped(column, limits)):
            pieces.append(column)
    return cut if len(pieces) == 1 else without_straight_corners(united(pieces))


def _candidate(
    side: Side, lines: SeamLines, holes: Sequence[tuple[int, Ring]], block: Block, outline: Ring
) -> Candidate:
    low = lines.levels[block.first_row - 2].height if block.first_row > 1 else -FAR
    high = lines.levels[block.last_row - 1].height if block.last_row <= len(lines.levels) else FAR
    level_seams = tuple((block.last_row, bay) for bay in block.bays if lines.parts(block.last_row, bay))
    panel = Panel(
        name=f"{side.name} {block.first_bay}-{block.last_bay} row {block.first_row}-{block.last_row}",
        side=side.name,
        forward=side.forward,
        first_bay=block.first_bay,
        last_bay=block.last_bay,
        first_row=block.first_row,
        last_row=block.last_row,
        outline=outline,
        holes=tuple(hole for bay, hole in holes if bay in block.bays and low < bounds(hole)[1] < high),
    )
    return Candidate(
        panel,
        cells=tuple(
            (side.name, bay, row) for bay, row in product(block.bays, block.rows) if lines.span(bay, row)
        ),
        post_seams=tuple(
            (block.last_bay, row)
            for row in block.rows
            if block.last_bay < len(lines.openings) and lines.meets(block.last_bay, row)
        ),
        level_seams=level_seams,
        strips=level_seams if level_seams and lines.levels[block.last_row - 1].backing else (),
    )
