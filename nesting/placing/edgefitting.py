"""Edge-to-edge cutting, answered exactly: can these parts be cut from this sheet, and what is the most left over?

Every cut runs through the whole of a piece, and none is longer than the longest cut.  For every set S of the
parts the tables below hold the smallest boxes, (along, across), that S can be cut from.  A part alone is its own
box; the boxes of S come from two boxes of sets that make up S, side by side or one above the other, where the cut
that parts them, as long as their common side, is not too long.  The parts can be cut from the sheet exactly if
some box of all of them fits it:

1. Without a longest cut.  Take any way of cutting a piece with the parts S.  If its first cut leaves no part on
   one side, the other piece is smaller and holds the same.  Else the cut leaves S1 and S2, by induction both pieces
   are at least as large as boxes of these sets, and joining these gives a box of S that fits the piece.  The other
   way round, a box is cut up by its joins, and what its piece has more than the box is trimmed off.
2. With a longest cut, no shorter than the sheet is wide.  A cut across is never longer than the sheet is wide, so
   it is always allowed; a cut along is as long as its piece.  From cuts to boxes: a cut along parts a piece at least
   as long as either box, so if it was allowed, so is the join.  From boxes to cuts, let a box lie in a larger piece.
   If it is no longer than the longest cut, cuts across trim its ends first, then cuts along its sides are allowed.
   If it is longer, joins side by side make it of boxes that are not, and parting cuts across need no trimming
   before them.  Only a part alone that is longer than the longest cut can never be trimmed along its sides, so it
   must reach over the whole width of its piece; that is the width of the sheet, since no cut along was allowed on
   the way to it (`SheetSize.frees`).
3. The same with length and width exchanged.  A longest cut shorter than both ways of the sheet makes no first cut.

Left out are, besides boxes too large for the sheet, those which waste more than the sheet has to waste, with what
no part can fill beside and above them (nesting.placing.kernels_edges).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import prod
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nesting.placing.kernels_edges import best_peelings, smallest_boxes
from nesting.sizing.problem import Answer, PartClass, Pattern, SheetSize, Spot

SUMS_MOST = 1000
"""Most lengths of rows of parts that are told apart."""

ANY_CUT = 2**62
"""Longest cut where there is no limit: longer than any sheet."""


@dataclass(frozen=True)
class _Table:
    """The smallest boxes of every set of a pattern's parts; ``ways`` are (along, across, turned) of each placing."""

    kinds: tuple[int, ...]
    counts: NDArray[np.int64]
    owner: NDArray[np.int64]
    ways: tuple[tuple[int, int, bool], ...]
    boxes: NDArray[np.int64]
    first: NDArray[np.int64]

    def spots(self, box: int, x: int, y: int) -> Iterator[Spot]:
        """Places of the parts of a box whose lower left corner is at (x, y)."""
        waiting = [(box, x, y)]
        while waiting:
            number, left, low = waiting.pop()
            _, _, how, one, other = (int(value) for value in self.boxes[number])
            if how < 0:
                yield self.kinds[self.owner[one]], left, low, self.ways[one][2]
                continue
            a, b = (int(value) for value in self.boxes[one, :2])
            waiting.append((one, left, low))
            waiting.append((other, left + a, low) if how == 0 else (other, left, low + b))


def edge_places(sheet: SheetSize, classes: Sequence[PartClass], pattern: Pattern, work: int) -> Answer:
    """Places from which cuts from edge to edge free all parts; False when proved that there are none.

    None where the answer would take more than ``work`` steps (some millions a second).
    """
    if not pattern:
        return ()
    table = _table(sheet, classes, pattern, work)
    if table is False or table is None:
        return table
    start, end = table.first[-2:]
    return tuple(table.spots(int(start), 0, 0)) if end > start else False


def roomiest(
    sheet: SheetSize,
    classes: Sequence[PartClass],
    pattern: Pattern,
    work: int,
    *,
    least: int,
    beyond: int = 0,
    floor: int = 0,
    wanted: int = 1,
) -> tuple[tuple[Spot, ...], ...]:
    """Layouts that leave more than ``floor`` in one piece, cut edge to edge, the largest piece first.

    The piece lies in the upper right corner and measures at least ``least`` both ways; it goes on by ``beyond`` past
    the usable sheet, and lengths are in solver units.  At most ``wanted`` layouts; the first is the best there is,
    unless more than ``work`` steps were needed: then there may be fewer and worse ones, or none.
    """
    if not pattern:
        return ()
    spread = max(0, beyond) * (sheet.length + sheet.width + beyond)
    table = _table(sheet, classes, pattern, work, least=least - beyond, offcut=max(0, floor - spread))
    if table is False or table is None:
        return ()
    areas = _areas(table.counts, [classes[k].length * classes[k].width for k in table.kinds])
    _, left, paths, depths = best_peelings(
        table.counts,
        table.boxes,
        table.first,
        areas,
        sheet.length,
        sheet.width,
        _longest(sheet),
        least,
        beyond,
        wanted,
        floor,
        work,
    )
    found = []
    for i in sorted(range(wanted), key=lambda i: -left[i]):
        if depths[i]:
            x = y = 0
            spots: list[Spot] = []
            for box, axis in paths[i, : depths[i]].tolist():
                spots += table.spots(box, x, y)
                x, y = (x + int(table.boxes[box, 0]), y) if axis == 0 else (x, y + int(table.boxes[box, 1]))
            found.append(tuple(spots))
    return tuple(found)


def _table(
    sheet: SheetSize,
    classes: Sequence[PartClass],
    pattern: Pattern,
    work: int,
    least: int = 0,
    offcut: int = 0,
) -> _Table | Literal[False] | None:
    """The table, False where the parts cannot fit for a plain reason, None where it would take too much work.

    Only boxes that may lie in a layout with an offcut of this area, at least ``least`` both ways, are in it.
    """
    kinds, numbers = tuple(k for k, _ in pattern), tuple(n for _, n in pattern)
    ways: list[tuple[int, int, bool]] = []
    owner: list[int] = []
    for own, k in enumerate(kinds):
        part = classes[k]
        lying = part.placings(sheet)
        if not lying:
            return False
        ways += [(a, b, (a, b) != (part.length, part.width)) for a, b in lying]
        owner += [own] * len(lying)
    covered = sum(classes[k].length * classes[k].width * n for k, n in pattern)
    waste = sheet.length * sheet.width - covered - offcut
    if waste < 0:
        return False
    # each set is looked at with each set in it
    if prod((n + 1) * (n + 2) // 2 for n in numbers) > 2 * work:
        return None
    along = np.array([a for a, _, _ in ways], np.int64)
    across = np.array([b for _, b, _ in ways], np.int64)
    counts, owners = np.array(numbers, np.int64), np.array(owner, np.int64)
    copies = counts[owners]
    finished, boxes, first = smallest_boxes(
        counts,
        owners,
        along,
        across,
        sheet.length,
        sheet.width,
        _longest(sheet),
        waste,
        least,
        _sums(along, copies, sheet.length),
        _sums(across, copies, sheet.width),
        work,
    )
    return _Table(kinds, counts, owners, tuple(ways), boxes, first) if finished else None


def _longest(sheet: SheetSize) -> int:
    return ANY_CUT if sheet.longest_cut is None else sheet.longest_cut


def _sums(sizes: NDArray[np.int64], copies: NDArray[np.int64], most: int) -> NDArray[np.int64]:
    """All lengths up to ``most`` that parts in a row can make up, ascending; every length where these are too many."""
    sums = np.zeros(1, np.int64)
    for size, count in zip(sizes.tolist(), copies.tolist(), strict=True):
        fitting = min(count, most // size)
        sums = np.unique((sums[:, None] + size * np.arange(fitting + 1)).ravel())
        sums = sums[sums <= most]
        if len(sums) > SUMS_MOST:
            return np.arange(0)
    return sums


def _areas(counts: NDArray[np.int64], areas: Sequence[int]) -> NDArray[np.int64]:
    """The area of every set of parts, by its number."""
    total = np.zeros(1, np.int64)
    for count, area in zip(counts.tolist(), areas, strict=True):
        total = (area * np.arange(count + 1)[:, None] + total).ravel()
    return total
