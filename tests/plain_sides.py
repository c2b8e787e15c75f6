"""Sides of plain numbers for geometry tests: bays 600 x 500, posts 50, land 25, edge distance 15."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random
from typing import Any

from hypothesis import strategies as st

from nesting.job import Bay, Cutting, Hand, Job, Side, Stock
from nesting.outline import Ring, bounds
from nesting.skin.sideplans import SidePlan, side_plans
from tests.hand_plans import DRIVER, base_job
from tests.strategies import jobs

HUGE = Stock("huge", width=20_000.0, length=20_000.0, price=500.0)


def side_of(bays: int | Sequence[Bay] = 2, **changes: Any) -> Side:
    """A driver side of so many equal bays, or of these, with posts 50 wide and the front on the left."""
    own = (Bay(600.0, 500.0),) * bays if isinstance(bays, int) else tuple(bays)
    given: dict[str, Any] = {"posts": (50.0,) * (len(own) - 1), **changes}
    return Side(name=DRIVER, forward=Hand.LEFT, bays=own, **given)


def job_of(*sides: Side, **changes: Any) -> Job:
    """The hand job with these sides, and one stock that carries every panel."""
    return base_job(**{"sides": sides, "stock": (HUGE,), **changes})


def size_of(ring: Ring) -> tuple[float, float]:
    """(width, height) of an outline over all."""
    x0, y0, x1, y1 = bounds(ring)
    return x1 - x0, y1 - y0


@st.composite
def covered_sides(draw: st.DrawFn) -> tuple[Job, SidePlan, tuple[int, ...]]:
    """A random job with one side and sheets of any size, and candidates that close every bay once."""
    drawn = draw(jobs(max_bays=5, max_patches=0, max_sides=1))
    job = replace(drawn, stock=(HUGE,), cutting=Cutting())
    (plan,) = side_plans(job)
    return job, plan, cover(plan, Random(draw(st.integers(0, 10_000))))


def cover(plan: SidePlan, random: Random) -> tuple[int, ...]:
    """Numbers of candidates that close every cell once, chosen blindly and taken back where they block."""
    cells = {cell: None for candidate in plan.candidates for cell in candidate.cells}

    def extended(chosen: tuple[int, ...], closed: frozenset[object]) -> tuple[int, ...] | None:
        left = next((cell for cell in cells if cell not in closed), None)
        if left is None:
            return chosen
        fitting = [
            (number, candidate.cells)
            for number, candidate in enumerate(plan.candidates)
            if left in candidate.cells and closed.isdisjoint(candidate.cells)
        ]
        random.shuffle(fitting)
        tries = (extended((*chosen, number), closed | set(own)) for number, own in fitting)
        return next((found for found in tries if found is not None), None)

    found = extended((), frozenset())
    assert found is not None, "all bays together are a candidate on a huge sheet"
    return found
