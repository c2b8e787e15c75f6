"""Random rectangle sets: our numbers of sheets beside those of the library rectpack."""

from __future__ import annotations

import time

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.master import Aim
from nesting.program import solve
from nesting.search import Search
from tests.bench.table import print_table
from tests.rectangle_sets import as_problem, least_sheets_by_rectpack, random_set


def print_rectangles(sets: int, limit: float) -> None:
    """One row for each set and a row of sums."""
    rows: list[list[object]] = []
    for seed in range(sets):
        rectangles = random_set(seed)
        started = time.perf_counter()
        theirs = least_sheets_by_rectpack(rectangles)
        their_seconds = time.perf_counter() - started
        started = time.perf_counter()
        search = Search.of(as_problem(rectangles))
        first = search.first()
        outcome = solve(search, Aim(), first, Budget.of(SolveLimits(time_limit=limit)))
        assert first is not None
        assert outcome.best is not None
        numbers = [rectangles.area_bound, outcome.bound, theirs, first.cost, outcome.best.cost]
        seconds = [their_seconds, time.perf_counter() - started]
        rows.append([seed, len(rectangles.sizes), *map(round, numbers), *seconds, int(outcome.proved)])
    rows.append(["all", *(sum(row[i] for row in rows) for i in range(1, 10))])  # type: ignore[misc]
    print_table(
        f"Sheets for random rectangles on 120 x 60, gap 1, turning allowed, limit {limit:.0f} s",
        ["set", "parts", "area", "our bound", "rectpack", "our first", "ours", "their s", "our s", "proved"],
        rows,
    )
