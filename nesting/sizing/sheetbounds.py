"""Linear conditions that everything placed on one sheet must meet: dual feasible functions in both directions.

A dual feasible function f maps shares of a length so that shares which fit together still fit after it.  If parts
can be placed in an L x W sheet, then sum f(along/L) g(across/W) <= 1 for every pair of such functions: each pair is
one knapsack row, valid for free placement and so for edge-to-edge cutting too.  The families are those of Fekete and
Schepers (2001, Mathematical Programming 91:311; named from memory): the rounding function u_k and the threshold
function with a parameter; the identity gives the area.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

import numpy as np
from numpy.typing import NDArray

from nesting.sizing.problem import Cores, PartClass, SheetSize, small_classes

SCALE = 10**7
"""Rows are scaled to this capacity and their weights rounded down, which only widens them."""

ROUNDINGS = (1, 2, 3, 4, 5)

MOST_THRESHOLDS = 24
"""Threshold functions in one direction: with more sizes than that, every so many are passed over."""

MOST_ROWS = 100
"""Rows of one sheet size to begin with; what these miss is learnt on the way (nesting.programme.bars)."""


@dataclass(frozen=True)
class SheetRows:
    """Knapsack rows of one sheet size: ``weight[i, r]`` of placing i, capacity `SCALE` in each row, row 0 the area.

    ``along`` and ``across`` are those of the largest rectangle that the placing surely takes among those that are
    ``large``: too large to lie in a hole of another.
    """

    owner: NDArray[np.int64]
    along: NDArray[np.int64]
    across: NDArray[np.int64]
    large: NDArray[np.bool_]
    weight: NDArray[np.int64]


def sheet_rows(sheet: SheetSize, classes: Sequence[PartClass]) -> SheetRows:
    """The rows of a sheet size over every way a part of some class can lie on it."""
    placings = [(k, a, b) for k, part in enumerate(classes) for a, b in part.placings(sheet)]
    owner = np.array([k for k, _, _ in placings], np.int64)
    if not placings:
        return SheetRows(owner, owner, owner, owner > 0, np.zeros((0, 1), np.int64))
    small = small_classes(classes)
    large = np.array([k not in small for k in owner], np.bool_)
    area = np.array([classes[k].area / (sheet.length * sheet.width) for k in owner])
    filled = [classes[k].taken(a, b, filled=True) for k, a, b in placings]
    families = [_products(sheet, own) * large for own in _families(filled)]
    if small:
        # what lies in a hole of another part has no room of its own: either it does not count, or holes do not
        net = [classes[k].taken(a, b) for k, a, b in placings]
        families += [_products(sheet, own) for own in _families(net)]
    rows = _undominated(np.concatenate([area[None, :], *families]))[:MOST_ROWS]
    along, across = (np.array([sets[0][0][axis] for sets in filled], np.int64) for axis in (0, 1))
    return SheetRows(owner, along, across, large, _whole(rows))


def _families(taken: Sequence[Sequence[Cores]]) -> list[list[Cores]]:
    """The sets of rectangles by their number, each once: for plain rectangles they are all the same."""
    families = [list(sets) for sets in zip(*taken, strict=True)]
    return [own for i, own in enumerate(families) if own not in families[:i]]


def _products(sheet: SheetSize, taken: Sequence[Cores]) -> NDArray[np.float64]:
    """A row for each pair of functions.

    What fits on a sheet fits with all its rectangles, so a placing weighs what these do together.
    """
    first = np.cumsum([0, *(len(own) for own in taken[:-1])])
    along = np.array([a for own in taken for a, _ in own], np.int64)
    across = np.array([b for own in taken for _, b in own], np.int64)
    lengthwise = _undominated(np.array(dual_functions(sheet.length, along)))
    crosswise = _undominated(np.array(dual_functions(sheet.width, across)))
    return np.array([np.add.reduceat(f * g, first) for f in lengthwise for g in crosswise])


def with_rows(rows: SheetRows, more: NDArray[np.float64]) -> SheetRows:
    """The same with further rows, given as shares of 1 for every placing."""
    return replace(rows, weight=np.hstack([rows.weight, _whole(more)]))


def _whole(shares: NDArray[np.float64]) -> NDArray[np.int64]:
    return np.floor(shares.T * SCALE * (1 - 1e-12)).astype(np.int64)


def dual_functions(total: int, sizes: NDArray[np.int64]) -> list[NDArray[np.float64]]:
    """Each dual feasible function's value at every size, as a share of 1; the identity first."""
    values = [sizes / total]
    thresholds = sorted(
        {int(min(s, total - s + 1)) for s in sizes if 0 < min(s, total - s + 1) <= total // 2}
    )
    for threshold in thresholds[:: ceil(len(thresholds) / MOST_THRESHOLDS) or 1]:
        values.append(
            np.where(sizes > total - threshold, 1.0, np.where(sizes >= threshold, sizes / total, 0.0))
        )
    for k in ROUNDINGS:
        values.append(np.array([_rounded(int(s), total, k) for s in sizes]))
    return values


def _rounded(size: int, total: int, k: int) -> float:
    """u_k: whole multiples of 1/(k+1) keep their share, others round down to a multiple of 1/k."""
    share = Fraction((k + 1) * size, total)
    return size / total if share.denominator == 1 else (share.numerator // share.denominator) / k


def _undominated(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """The rows that no other row implies (one that is nowhere smaller), the first kept whatever happens."""
    rows = np.concatenate([rows[:1], np.unique(rows[1:].round(12), axis=0)]) if len(rows) > 1 else rows
    order = [0, *(1 + np.argsort(-rows[1:].sum(axis=1), kind="stable"))]
    kept: list[int] = []
    for i in order:
        # only a row with a larger sum can imply another, and those were looked at before
        if i == 0 or not (rows[kept] >= rows[i] - 1e-12).all(axis=1).any():
            kept.append(i)
    return rows[kept]
