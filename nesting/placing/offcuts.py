"""What is left of a sheet and worth keeping: free rectangles, or whole pieces of a sheet cut edge to edge."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.job import Stock
from nesting.outline import Box
from nesting.plan import Offcut

OFFCUT_LEAST = 304.8
"""mm: an offcut smaller than 12 in either way is not worth keeping (common practice, no source)."""

AREA_STEP = 100.0
"""mm2: offcuts that differ by less count as equal."""

HAIR = 1e-6


def free_offcuts(stock: Stock, occupied: Sequence[Box], spacing: float) -> tuple[Offcut, ...]:
    """Rectangles clear of all parts by the spacing, each the largest that the ones before it leave."""
    taken = [(x0 - spacing, y0 - spacing, x1 + spacing, y1 + spacing) for x0, y0, x1, y1 in occupied]
    found: list[Offcut] = []
    while (best := _largest_free(stock, taken)) is not None:
        found.append(best)
        taken.append((best.x, best.y, best.x + best.length, best.y + best.width))
    return tuple(found)


def left_over_offcuts(left_over: Sequence[Box]) -> tuple[Offcut, ...]:
    """The pieces left over by cuts from edge to edge that are worth keeping, largest first."""
    found = [
        Offcut(x0, y0, x1 - x0, y1 - y0)
        for x0, y0, x1, y1 in left_over
        if min(x1 - x0, y1 - y0) >= OFFCUT_LEAST - HAIR
    ]
    return tuple(sorted(found, key=lambda offcut: (-area(offcut), offcut.x, offcut.y)))


def area(offcut: Offcut) -> float:
    """Area in mm2."""
    return offcut.length * offcut.width


def _largest_free(stock: Stock, taken: Sequence[Box]) -> Offcut | None:
    """The largest rectangle of the sheet that overlaps nothing taken; None when none is worth keeping."""
    best: Offcut | None = None
    boxes = sorted(taken)
    lefts = sorted({0.0, *(box[2] for box in boxes if 0.0 < box[2] <= stock.length - OFFCUT_LEAST + HAIR)})
    for left in lefts:
        # gaps in the height of the sheet, narrowed by each box met on the way to the right
        gaps = [(0.0, stock.width)]
        for box in (*boxes, (stock.length, 0.0, stock.length, stock.width)):
            if box[2] <= left + HAIR and box[0] < stock.length:
                continue
            length = min(box[0], stock.length) - left
            if length >= OFFCUT_LEAST - HAIR:
                low, high = max(gaps, key=lambda gap: gap[1] - gap[0])
                if best is None or length * (high - low) > area(best) + 1e-6:
                    best = Offcut(left, low, length, high - low)
            gaps = [
                gap
                for low, high in gaps
                for gap in ((low, min(high, box[1])), (max(low, box[3]), high))
                if gap[1] - gap[0] >= OFFCUT_LEAST - HAIR
            ]
            if not gaps:
                break
    return best
