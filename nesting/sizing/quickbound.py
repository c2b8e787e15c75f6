"""A bound at once on what sheets for a list of parts cost, and the steps that such costs come in."""

from __future__ import annotations

from math import ceil, gcd

import numpy as np
from numpy.typing import NDArray

from nesting.sizing.problem import Problem, SheetSize
from nesting.sizing.sheetbounds import dual_functions

HAIR = 1e-6


def price_step(problem: Problem) -> float:
    """All costs of sheets are whole multiples of this; 0 where prices are not in cents."""
    cents = [round(sheet.price * 100) for sheet in problem.sheets]
    if any(abs(c - sheet.price * 100) > 1e-7 for c, sheet in zip(cents, problem.sheets, strict=True)):
        return 0.0
    return gcd(*cents) / 100


def quick_bound(problem: Problem) -> float:
    """What sheets for the parts demanded cost at least, by dual feasible functions (sheetbounds).

    A part is worth the least, over the sizes it may come from, of its share of a sheet by some function times the
    price: then nothing that fits on a sheet is worth more than that sheet.
    """
    numbers = np.array(problem.demand, float)
    sizes = [s for s in problem.sheets if s.available != 0]
    by_area = np.array([_worth(problem, sheet, only_area=True)[0] for sheet in sizes])
    bound = float(by_area.min(axis=0, initial=np.inf) @ numbers)
    for s, sheet in enumerate(sizes):
        elsewhere = np.delete(by_area, s, axis=0).min(axis=0, initial=np.inf)
        worth = np.minimum(_worth(problem, sheet, only_area=False), elsewhere)
        bound = max(bound, float((worth @ numbers).max()))
    step = price_step(problem)
    return ceil(bound / step - HAIR) * step if step else bound * (1 - 1e-9)


def area_bound(problem: Problem) -> float:
    """What any plan costs at least by the area of its parts alone, seams that panels make by themselves included.

    A part costs no less than its area on the sheet that is cheapest for it by area.  A choice shares its cost evenly
    among the cells that it closes, and each cell is closed by one: none costs less than the least share there is.
    """
    there = [sheet for sheet in problem.sheets if sheet.available != 0]
    least = [
        part.area * min((s.price / (s.length * s.width) for s in there if part.placings(s)), default=0.0)
        for part in problem.classes
    ]
    shares = [float("inf")] * problem.cells
    for choice in problem.choices:
        cost = choice.seam_cost + problem.seam_cost * choice.seams + sum(least[k] for k in choice.parts)
        for cell in choice.cells:
            shares[cell] = min(shares[cell], cost / len(choice.cells))
    loose = sum(cost * count for cost, count in zip(least, problem.demand, strict=True))
    return (loose + sum(share for share in shares if share < float("inf"))) * (1 - 1e-9)


def _worth(problem: Problem, sheet: SheetSize, *, only_area: bool) -> NDArray[np.float64]:
    """Price times share of a sheet: [pair of functions, class]; infinite where a class does not fit at all."""
    length = np.array([part.length for part in problem.classes], np.int64)
    width = np.array([part.width for part in problem.classes], np.int64)
    turnable = np.array([part.turnable for part in problem.classes])
    n = len(length)
    both = np.concatenate([length, width])
    along, across = (
        np.array(([each / total] if only_area else dual_functions(total, each)), float)
        for total, each in ((sheet.length, both), (sheet.width, both))
    )
    fits = (length <= sheet.length) & (width <= sheet.width)
    fits_turned = turnable & (width <= sheet.length) & (length <= sheet.width)
    rows = [
        np.minimum(
            np.where(fits, along[:, :n] * g[n:], np.inf), np.where(fits_turned, along[:, n:] * g[:n], np.inf)
        )
        for g in across
    ]
    return sheet.price * np.concatenate(rows)
