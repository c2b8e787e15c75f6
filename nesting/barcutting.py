"""Bars cut into pieces: the fewest bars, or the cheapest, with a proof.

>>> tube = BarStock("1x1 tube", 6000.0)
>>> plan = cut_bars([BarPiece("upright", "1x1 tube", 1500.0, 5)], [tube])
>>> len(plan.bars), plan.status.value
(2, 'optimal')

Lengths are in millimetres.  Each section is cut for itself: one section's piece never comes from another's bar.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import gcd

from nesting.barstock import BarPiece, BarPlan, BarStock, CutBar
from nesting.budget import Budget
from nesting.framing.barmistakes import bar_mistakes, too_long
from nesting.framing.barproblem import Bar, BarProblem, Load
from nesting.framing.barsearch import solve_bars
from nesting.limits import SolveLimits
from nesting.plan import Status
from shared.errors import JobMistakes, NothingFits
from shared.units import from_solver, to_solver_down, to_solver_up

WITHOUT_LIMITS = SolveLimits()


def cut_bars(
    pieces: Sequence[BarPiece],
    stocks: Sequence[BarStock],
    *,
    kerf: float = 0.0,
    limits: SolveLimits = WITHOUT_LIMITS,
    units: str = "mm",
) -> BarPlan:
    """The cheapest way found to cut all pieces, with a proved bound; where no bar has a price, the fewest bars.

    Two pieces on a bar lie a kerf apart; what is left over may be less than a kerf.  Lengths finer than 1/1600 mm round
    so that all still fits.  Of bars at one price the shortest that will do is taken.  Without a time limit it goes on
    until the answer is proved or every effort is spent.  ``units`` ("in" or "mm") is for messages only.
    Raises JobMistakes for values that make no sense (all at once), NothingFits where a piece is longer than every bar,
    the bars available do not do, or the time is over before any plan was found.
    """
    if mistakes := [*bar_mistakes(pieces, stocks, kerf)]:
        raise JobMistakes(mistakes)
    if longer := [*too_long(pieces, stocks, units)]:
        raise NothingFits("\n".join(longer))
    budget = Budget.of(limits)
    tasks = [*_sections(pieces, stocks, kerf)]
    cut: list[CutBar] = []
    cost = bound = 0.0
    proved = True
    for number, task in enumerate(tasks):
        share = budget.share(1 / (len(tasks) - number))
        found = solve_bars(task.problem, share, limits.seed)
        if found.loads is None:
            raise NothingFits(_none_found(task, found.proved))
        cut += task.cut_bars(found.loads)
        cost += task.money * found.cost
        bound += task.money * max(found.bound, min(found.cost, task.problem.by_length))
        proved = proved and (found.proved or task.money == 0)
    return BarPlan(Status.OPTIMAL if proved else Status.FEASIBLE, tuple(cut), cost, cost if proved else bound)


def _none_found(task: _Task, proved: bool) -> str:
    place = f"bar_stock '{task.stocks[0].section}'"
    if proved:
        return f"{place}: the bars available are not enough for all pieces; raise available, or add a length"
    return f"{place}: no way was found to cut all pieces from the bars available; give more time or more bars"


@dataclass(frozen=True)
class _Task:
    """One section: what was asked, and the same in whole numbers.

    A piece and a bar are both grown by a kerf, so that n pieces on a bar need n - 1 kerfs.
    """

    stocks: tuple[BarStock, ...]
    kinds: tuple[tuple[BarPiece, ...], ...]
    """Pieces that are equally long in whole units, the longest first, each as often as it is wanted."""
    kerf: float
    problem: BarProblem
    money: float
    """What a unit of the problem's prices is: the price of a bar where all have the same, so that bars are counted."""

    def cut_bars(self, loads: Sequence[Load]) -> Iterator[CutBar]:
        """The bars in order of stock, equal ones one after another, the longest pieces first on each."""
        waiting = [list(reversed(kind)) for kind in self.kinds]
        # counted from the longest piece down, so that the bars with the longest come first
        for load in sorted(self._shortest(loads), key=lambda load: (load.bar, [-n for n in load.counts])):
            stock = self.stocks[load.bar]
            cuts: list[tuple[BarPiece, float]] = []
            at = 0.0
            for kind, count in enumerate(load.counts):
                for _ in range(count):
                    piece = waiting[kind].pop()
                    cuts.append((piece, at))
                    at += piece.length + self.kerf
            yield CutBar(stock, tuple(cuts), max(0.0, stock.length - at))
        assert not any(waiting), "every piece is on a bar"

    def _shortest(self, loads: Sequence[Load]) -> list[Load]:
        """The same loads on shorter bars where these cost no more and there are enough."""
        bars = self.problem.bars
        left = [bar.available for bar in bars]
        for load in loads:
            own = left[load.bar]
            left[load.bar] = None if own is None else own - 1
        moved = []
        for load in loads:
            length = sum(n * size for n, size in zip(load.counts, self.problem.sizes, strict=True))
            choices = [
                number
                for number, bar in enumerate(bars)
                if number == load.bar
                or (bar.capacity >= length and bar.price <= bars[load.bar].price and left[number] != 0)
            ]
            number = min(choices, key=lambda number: (bars[number].capacity, number != load.bar, number))
            if number != load.bar:
                for bar, change in ((number, -1), (load.bar, 1)):
                    own = left[bar]
                    left[bar] = None if own is None else own + change
            moved.append(Load(number, load.counts))
        return moved


def _sections(pieces: Sequence[BarPiece], stocks: Sequence[BarStock], kerf: float) -> Iterator[_Task]:
    for section in dict.fromkeys(piece.section for piece in pieces):
        own = tuple(stock for stock in stocks if stock.section == section and stock.available != 0)
        yield _task([piece for piece in pieces if piece.section == section], own, kerf)


def _task(pieces: Sequence[BarPiece], stocks: tuple[BarStock, ...], kerf: float) -> _Task:
    grown = to_solver_up(kerf)
    kinds: dict[int, list[BarPiece]] = {}
    for piece in pieces:
        kinds.setdefault(to_solver_up(piece.length) + grown, []).extend([piece] * piece.quantity)
    sizes = sorted(kinds, reverse=True)
    capacities = [to_solver_down(stock.length) + grown for stock in stocks]
    # only sums of pieces matter: what a bar has beyond the last multiple of their common divisor is of no use
    unit = gcd(*sizes)
    prices = [1.0 if stock.price is None else stock.price for stock in stocks]
    money = 1.0
    if len(set(prices)) == 1:
        money, prices = prices[0], [1.0] * len(prices)
    return _Task(
        stocks,
        tuple(tuple(kinds[size]) for size in sizes),
        from_solver(grown),
        BarProblem(
            tuple(size // unit for size in sizes),
            tuple(len(kinds[size]) for size in sizes),
            tuple(
                Bar(capacity // unit, price, stock.available)
                for capacity, price, stock in zip(capacities, prices, stocks, strict=True)
            ),
        ),
        money,
    )
