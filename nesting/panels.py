"""Candidate panels: every block of cells that one sheet can cover, with its outline as it would be cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.job import Job, Side, Window
from nesting.openings import Opening, skin_outline
from nesting.outline import Ring, bounds, rectangle, without_repeats
from nesting.plan import Panel
from nesting.seams import SeamLines
from nesting.sizes import fits_some_stock

Cell = tuple[str, int, int]
"""Side name, bay and row, both from 1."""


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


def candidate_panels(job: Job, side: Side, lines: SeamLines) -> tuple[Candidate, ...]:
    """Every panel of a side that fits some stock sheet in some allowed turn, named by its place."""
    skin = skin_outline(lines.openings, job.land)
    holes = [(window, _hole(window, lines.openings[window.bay - 1])) for window in side.windows]
    found = []
    for first, last, low, high in _blocks(lines):
        if not _clear_of_windows(job, lines, holes, (first, last, low, high)):
            continue
        outline = _clipped(skin, _limits(job, lines, first, last, low, high))
        x0, y0, x1, y1 = bounds(outline)
        if fits_some_stock(job, x1 - x0, y1 - y0):
            found.append(_candidate(side, lines, holes, (first, last, low, high), outline))
    return tuple(found)


def _blocks(lines: SeamLines) -> Iterator[tuple[int, int, int, int]]:
    """First and last bay, first and last row of each block whose edges are outer edges or usable seam lines."""
    bays, rows = len(lines.openings), len(lines.levels) + 1
    for low in range(1, rows + 1):
        for high in range(low, rows + 1):
            if low > 1 and not lines.levels[low - 2].usable:
                continue
            if high < rows and not lines.levels[high - 1].usable:
                continue
            yield from (
                (first, last, low, high)
                for first in range(1, bays + 1)
                for last in range(first, bays + 1)
                if _is_block(lines, first, last, low, high)
            )


def _is_block(lines: SeamLines, first: int, last: int, low: int, high: int) -> bool:
    cells = [[lines.span(bay, row) is not None for row in range(low, high + 1)] for bay in range(first, last + 1)]
    if not all(any(column) for column in cells):
        return False
    # a block is named by the rows it really has, so that one panel is not listed twice
    if not any(column[0] for column in cells) or not any(column[-1] for column in cells):
        return False
    left_free = first == 1 or lines.posts_usable[first - 2] or not _meet(lines, first - 1, low, high)
    right_free = last == len(lines.openings) or lines.posts_usable[last - 1] or not _meet(lines, last, low, high)
    return left_free and right_free


def _meet(lines: SeamLines, post: int, low: int, high: int) -> bool:
    """True where cells stand on both sides of a post in some of these rows."""
    return any(lines.span(post, row) and lines.span(post + 1, row) for row in range(low, high + 1))


def _limits(
    job: Job, lines: SeamLines, first: int, last: int, low: int, high: int
) -> tuple[float, float, float, float]:
    """How far the block's panel may run: to the seam line and past it by the reach, else without limit."""
    reach = job.seam.reach
    far = float("inf")
    x0 = lines.posts[first - 2] - reach if first > 1 else -far
    x1 = lines.posts[last - 1] + reach if last < len(lines.openings) else far
    y0 = lines.levels[low - 2].height - reach if low > 1 else -far
    y1 = lines.levels[high - 1].height + reach if high <= len(lines.levels) else far
    return x0, y0, x1, y1


def _clipped(ring: Ring, limits: tuple[float, float, float, float]) -> Ring:
    """The part of a straight-edged ring within limits, its corners on the limits exact."""
    points = [(x, y) for x, y, _ in ring]
    for axis, limit, keep in ((0, limits[0], 1), (0, limits[2], -1), (1, limits[1], 1), (1, limits[3], -1)):
        if abs(limit) == float("inf"):
            continue
        clipped = []
        for before, after in zip(points, points[1:] + points[:1], strict=True):
            inside, next_inside = (keep * (p[axis] - limit) >= 0 for p in (before, after))
            if inside:
                clipped.append(before)
            if inside != next_inside:
                share = (limit - before[axis]) / (after[axis] - before[axis])
                other = before[1 - axis] + share * (after[1 - axis] - before[1 - axis])
                if before[1 - axis] == after[1 - axis]:
                    other = before[1 - axis]
                clipped.append((limit, other) if axis == 0 else (other, limit))
        points = clipped
    return without_repeats(tuple((x, y, 0.0) for x, y in points))


def _hole(window: Window, opening: Opening) -> Ring:
    x, y = opening.x0 + window.from_left, opening.y0 + window.from_bottom
    return rectangle(x, y, x + window.width, y + window.height, window.corner_radius)


def _clear_of_windows(
    job: Job, lines: SeamLines, holes: list[tuple[Window, Ring]], block: tuple[int, int, int, int]
) -> bool:
    """True where no seam of the block runs through a window or laps under its edge."""
    first, last, low, high = block
    edges = ([low - 2] if low > 1 else []) + ([high - 1] if high <= len(lines.levels) else [])
    clear = max(job.seam.reach, 0.0)
    for window, hole in holes:
        _, y0, _, y1 = bounds(hole)
        for edge in edges:
            height = lines.levels[edge].height
            if first <= window.bay <= last and y0 - clear < height < y1 + clear:
                return False
    return True


def _candidate(
    side: Side, lines: SeamLines, holes: list[tuple[Window, Ring]], block: tuple[int, int, int, int], outline: Ring
) -> Candidate:
    first, last, low, high = block
    span = lines.span
    bays, rows = range(first, last + 1), range(low, high + 1)
    y_low = lines.levels[low - 2].height if low > 1 else float("-inf")
    y_high = lines.levels[high - 1].height if high <= len(lines.levels) else float("inf")
    own_holes = tuple(
        hole for window, hole in holes if first <= window.bay <= last and y_low < bounds(hole)[1] < y_high
    )
    name = f"{side.name} {first}-{last} row {low}-{high}"
    panel = Panel(name, side.name, side.forward, first, last, low, high, outline, own_holes)
    upper = [
        (high, bay) for bay in bays if high <= len(lines.levels) and span(bay, high) and span(bay, high + 1)
    ]
    return Candidate(
        panel,
        cells=tuple((side.name, bay, row) for bay in bays for row in rows if span(bay, row)),
        post_seams=tuple(
            (last, row) for row in rows if last < len(lines.openings) and span(last, row) and span(last + 1, row)
        ),
        level_seams=tuple(upper),
        strips=tuple(upper) if high <= len(lines.levels) and lines.levels[high - 1].backing else (),
    )
