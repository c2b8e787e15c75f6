"""Numbers of sheets against a general-purpose rectangle packer.

Source (a): the library rectpack, version 0.2.2, run here on the same sets: the rules of 'A thousand ways to pack
the bin' (2010), in every combination of rule, order and choice among open sheets listed in tests/rectangle_sets.py.
"""

from __future__ import annotations

from importlib.metadata import version

import pytest

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.programme.program import solve
from nesting.programme.relaxation import Aim
from nesting.programme.search import Search
from tests.rectangle_sets import RectangleSet, as_problem, least_sheets_by_rectpack, random_set

SECONDS = 2.0


def our_sheets(rectangles: RectangleSet) -> tuple[int, float]:
    """Our number of sheets after a moment, and our bound."""
    search = Search.of(as_problem(rectangles))
    budget = Budget.of(SolveLimits(time_limit=SECONDS))
    outcome = solve(search, Aim(), search.first(budget), budget)
    assert outcome.best is not None
    assert all(search.fitter.placed(*load) for load in outcome.best.sheets)
    return sum(outcome.best.sheets.values()), outcome.bound


@pytest.mark.parametrize("seed", range(6))
def test_no_more_sheets_than_the_best_setting_takes(seed: int) -> None:
    rectangles = random_set(seed)
    theirs = least_sheets_by_rectpack(rectangles)
    ours, bound = our_sheets(rectangles)
    assert rectangles.area_bound <= ours <= theirs
    assert bound <= ours


def test_version_named_above_is_the_one_compared_with() -> None:
    assert version("rectpack").split(".")[:2] == ["0", "2"]
