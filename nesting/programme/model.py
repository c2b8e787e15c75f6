"""The model of a run: the master with its patterns, those that pricing adds, and those that turn out not to fit."""

from __future__ import annotations

from collections.abc import Iterable

from nesting.budget import Budget
from nesting.programme.duals import Duals, Excess, proved_bound
from nesting.programme.master import Master, carries_parts
from nesting.programme.relaxation import HAIR, Bounds, Relaxed
from nesting.programme.search import Search
from nesting.sizing.problem import Column

MOST_TRIED = 900
"""Patterns looked at in one whole-number choice, those that cost least by the duals."""


class Model:
    """Begins with all patterns that are known of the problem and may still fit."""

    def __init__(self, search: Search, master: Master) -> None:
        self._search, self._problem = search, search.problem
        self.master = master
        self._heeded = [len(misfits) for misfits in search.pricer.misfits]
        for column in search.pool:
            if not search.pricer.is_misfit(*column):
                master.add(column)

    def thin(self, columns: Iterable[Column]) -> None:
        """Keeps these patterns only."""
        self.master = self.master.thinned(columns)

    def price(
        self, duals: Duals, bounds: Bounds, nodes: int, hurry: int, spend: float
    ) -> tuple[float, list[Column]]:
        """The bound that some duals prove, and patterns new to the model that are worth more than their sheet.

        ``spend``: what no decision of use costs more than; ``nodes`` and ``hurry`` as in `Pricer.price`.
        """
        excesses: list[Excess] = []
        fresh: list[Column] = []
        for size, sheet in enumerate(self._problem.sheets):
            most = min(bounds.sheets[size][1], bounds.total[1])
            if most <= 0:
                continue
            price = sheet.price - duals.size_dual[size]
            # what is worth no more than the price changes nothing, so the search may pass it by
            start = max(0.0, price + 1e-9 * max(1.0, abs(price)))
            priced = self._search.pricer.price(size, duals.worth[size], start, nodes, hurry)
            excesses.append(Excess(max(0.0, priced.bound - price), sheet.price, most))
            # where more sheets are asked for than have anything of worth to carry, they stay empty
            patterns = priced.patterns if priced.patterns or price >= 0 else ((),)
            for pattern in patterns:
                if self.master.add((size, pattern)):
                    fresh.append((size, pattern))
        self._search.pool.update(dict.fromkeys(filter(carries_parts, fresh)))
        return proved_bound(duals.value, excesses, spend), fresh

    def cut_misfits(self, columns: Iterable[Column], relaxed: Relaxed, budget: Budget) -> bool:
        """Places the patterns in use for real; True when some did not fit and were cut off.

        What could not be placed leaves the most of it that can be as a pattern to use instead.
        """
        search = self._search
        cut = False
        for size, pattern in filter(carries_parts, columns):
            if budget.over:
                break
            answer = search.answer(size, pattern)
            if answer:
                continue
            if answer is False:
                self._drop((size, pattern))
                cut = True
            instead = (size, search.fitter.repaired(size, pattern, relaxed.worth[size]))
            if instead[1]:
                search.pool[instead] = None
                self.master.add(instead)
        if cut:
            self.drop_misfits()
        return cut

    def _drop(self, column: Column) -> None:
        if column in self.master.columns:
            self.master.drop(column)
        self._search.pool.pop(column, None)

    def drop_misfits(self) -> None:
        """Takes out the patterns that the cuts learnt since the last time forbid."""
        pricer = self._search.pricer
        for size, pattern in list(self.master.columns):
            if pricer.is_misfit(size, pattern, self._heeded[size]):
                self._drop((size, pattern))
        self._heeded = [len(misfits) for misfits in pricer.misfits]

    def worth_trying(self, relaxed: Relaxed, gap: float) -> list[Column]:
        """Known patterns by their reduced cost: none that costs more than the gap can be in a better decision."""
        costed = []
        for size, pattern in filter(carries_parts, self.master.columns):
            price = self._problem.sheets[size].price - relaxed.size_dual[size]
            reduced = price - sum(relaxed.worth[size][k] * n for k, n in pattern)
            if reduced <= gap + HAIR:
                costed.append((reduced, (size, pattern)))
        costed.sort()
        return [column for _, column in costed[:MOST_TRIED]]
