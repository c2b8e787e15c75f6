"""Sheets for parts of any shape: sheets without waste first where that can be, others filled, then fewer or cheaper."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from nesting.budget import Budget
from nesting.shaping.shapefilling import Filling, Laid, ShapeSet, filled_without_waste

HAIR = 1e-9

JIGSAW_SHARE = 0.8
"""Share of the time for sheets without waste."""

JIGSAW_STEPS = 400_000
"""Most steps for one sheet without waste: about half a minute."""

JIGSAW_TRIES = 40
"""How often the puzzle is begun again."""

FILL_ROUNDS = 30
"""Rounds for one sheet of a first plan."""

GOAL_ROUNDS = 600
"""Rounds for one list of sheets in the first turn; twice as many in each turn after it."""

TURNS = 6
MOST_LISTS = 12
"""Lists of sheets that are tried in a turn."""


@dataclass(frozen=True)
class Stock:
    """A sheet size, grown by the gap; ``available`` None means as many as wanted."""

    length: float
    width: float
    price: float
    available: int | None

    @property
    def size(self) -> tuple[float, float]:
        return self.length, self.width

    @property
    def area(self) -> float:
        return self.length * self.width


@dataclass(frozen=True)
class Plan:
    """Sheets by their sizes, and every part on one of them."""

    sizes: tuple[int, ...]
    laid: tuple[Laid, ...]

    def cost(self, stock: Sequence[Stock]) -> float:
        return sum(stock[size].price for size in self.sizes)


def cheapest_plan(
    shapes: ShapeSet, stock: Sequence[Stock], left: Sequence[int], bound: float, budget: Budget, seed: int
) -> Plan | None:
    """The cheapest plan found for ``left`` parts of each kind; None where none was found."""
    if _may_be_without_waste(shapes, stock, left, bound):
        best = _jigsaws(shapes, stock, left, budget, seed)
    else:
        best = _first_plan(shapes, stock, left, budget, seed)
    _tell(best, stock, bound, budget)
    if best is not None and best.cost(stock) <= bound * (1 + HAIR):
        return best
    return _improved(shapes, stock, left, best, bound, budget, seed)


def _tell(best: Plan | None, stock: Sequence[Stock], bound: float, budget: Budget) -> None:
    budget.tell(None if best is None else best.cost(stock), bound, "shapes")


def _parts(left: Sequence[int]) -> list[int]:
    return [kind for kind, number in enumerate(left) for _ in range(number)]


def _may_be_without_waste(
    shapes: ShapeSet, stock: Sequence[Stock], left: Sequence[int], bound: float
) -> bool:
    """Whether one sheet size is all there is, and its sheets would be filled to the brim at the bound."""
    if len(stock) != 1 or stock[0].price <= 0:
        return False
    metal = float(shapes.areas @ np.array(left))
    return metal >= stock[0].area * round(bound / stock[0].price) * (1 - HAIR)


def _first_plan(
    shapes: ShapeSet, stock: Sequence[Stock], left: Sequence[int], budget: Budget, seed: int
) -> Plan | None:
    """Sheet after sheet, each of the size that gives most metal for its price."""
    left = list(left)
    sizes: list[int] = []
    laid: list[Laid] = []
    while sum(left):
        used = Counter(sizes)
        best: tuple[float, int, tuple[Laid, ...]] | None = None
        for number, own in enumerate(stock):
            if own.available is not None and used[number] >= own.available:
                continue
            filling = Filling(shapes, [own.size], _parts(left), seed + len(sizes))
            filling.fill(0)
            whole = filling.waits <= 0
            if not whole and not budget.over:
                whole = filling.search(FILL_ROUNDS, budget)
            metal = sum(float(shapes.areas[one.kind]) for one in filling.laid)
            worth = metal / max(own.price, HAIR)
            if metal > 0 and (best is None or worth > best[0]):
                best = worth, number, filling.laid
        if best is None:
            return None
        laid += [one._replace(sheet=len(sizes)) for one in best[2]]
        sizes.append(best[1])
        for one in best[2]:
            left[one.kind] -= 1
    return Plan(tuple(sizes), tuple(laid))


def _jigsaws(
    shapes: ShapeSet, stock: Sequence[Stock], left: Sequence[int], budget: Budget, seed: int
) -> Plan | None:
    """One sheet size: sheets without waste as long as there are any, the rest filled as well as may be.

    What comes out differs from try to try; the one with the most sheets without waste is kept.
    """
    goal = round(float(shapes.areas @ np.array(left)) / stock[0].area)
    share = budget.share(JIGSAW_SHARE)
    whole: list[tuple[Laid, ...]] = []
    for attempt in range(JIGSAW_TRIES):
        rest = list(left)
        found: list[tuple[Laid, ...]] = []
        while sum(rest):
            sheet = filled_without_waste(
                shapes, stock[0].size, rest, share, seed + 1000 * attempt + len(found), JIGSAW_STEPS
            )
            if sheet is None:
                break
            found.append(sheet)
            for one in sheet:
                rest[one.kind] -= 1
        whole = max(whole, found, key=len)
        if len(whole) == goal or share.over:
            break
    return _completed(shapes, stock, left, whole, budget, seed)


def _completed(
    shapes: ShapeSet,
    stock: Sequence[Stock],
    left: Sequence[int],
    whole: Sequence[tuple[Laid, ...]],
    budget: Budget,
    seed: int,
) -> Plan | None:
    """Sheets without waste, and a plan for the rest; None where there are too few sheets."""
    rest = list(left)
    laid = [one._replace(sheet=number) for number, sheet in enumerate(whole) for one in sheet]
    for one in laid:
        rest[one.kind] -= 1
    available = stock[0].available
    if available is not None:
        available -= len(whole)
    more = _first_plan(shapes, [replace(stock[0], available=available)], rest, budget, seed)
    if more is None:
        return None
    moved = [one._replace(sheet=one.sheet + len(whole)) for one in more.laid]
    return Plan((0,) * len(whole) + more.sizes, (*laid, *moved))


def _improved(
    shapes: ShapeSet,
    stock: Sequence[Stock],
    left: Sequence[int],
    best: Plan | None,
    bound: float,
    budget: Budget,
    seed: int,
) -> Plan | None:
    """Cheaper lists of sheets are tried, the dearest of them first, with more and more rounds."""
    metal = float(shapes.areas @ np.array(left))
    for turn in range(TURNS):
        found = best is not None
        while found and best is not None and not budget.over and best.cost(stock) > bound * (1 + HAIR):
            found = False
            for sizes, start in _cheaper_lists(stock, best, metal, bound):
                filling = Filling(
                    shapes, [stock[size].size for size in sizes], _parts(left), seed + turn, start
                )
                if filling.search(GOAL_ROUNDS << turn, budget):
                    best, found = Plan(sizes, filling.laid), True
                    _tell(best, stock, bound, budget)
                    break
        if budget.over:
            break
    return best


def _cheaper_lists(
    stock: Sequence[Stock], plan: Plan, metal: float, bound: float
) -> Iterator[tuple[tuple[int, ...], tuple[Laid, ...]]]:
    """Lists of sheets that cost less than the plan, with what can stay where it lies; the dearest first.

    One sheet less, one of another size in place of one or of two.
    """
    used, cost = Counter(plan.sizes), plan.cost(stock)
    filled = [0.0] * len(plan.sizes)
    for one in plan.laid:
        filled[one.sheet] += 1
    free = [k for k, own in enumerate(stock) if own.available is None or used[k] < own.available]
    emptiest = sorted(range(len(plan.sizes)), key=lambda number: filled[number])
    lists: dict[tuple[int, ...], tuple[float, tuple[int, ...], tuple[int, ...]]] = {}
    gone: list[tuple[int, ...]] = [(number,) for number in emptiest]
    gone += [(a, b) for i, a in enumerate(emptiest) for b in emptiest[:i]]
    for out in gone:
        kept = tuple(size for number, size in enumerate(plan.sizes) if number not in out)
        for more in [(), *((k,) for k in free)] if len(out) == 1 else [(k,) for k in free]:
            sizes = (*kept, *more)
            price = sum(stock[size].price for size in sizes)
            room = sum(stock[size].area for size in sizes)
            if price < cost * (1 - HAIR) and price >= bound * (1 - HAIR) and metal <= room * (1 + HAIR):
                lists.setdefault(tuple(sorted(sizes)), (price, sizes, out))
    for _, sizes, out in sorted(lists.values(), key=lambda one: -one[0])[:MOST_LISTS]:
        number = {old: new for new, old in enumerate(n for n in range(len(plan.sizes)) if n not in out)}
        yield sizes, tuple(one._replace(sheet=number[one.sheet]) for one in plan.laid if one.sheet in number)
