"""What is on hand costs nothing, and is not cut into without need all the same."""

from __future__ import annotations

from nesting.budget import Budget
from nesting.job import Job, Patch, Stock
from nesting.limits import SolveLimits
from nesting.planning import decide
from nesting.plans.assembly import assemble
from nesting.programme.search import Decision, Search
from nesting.programme.sparing import spare_on_hand
from nesting.skin.sideplans import side_plans
from tests.plain_sides import job_of

WHOLE = Stock("whole", 1250.0, 2500.0, 0.0, 2, on_hand=True)
OFFCUT = Stock("offcut", 500.0, 1000.0, 0.0, 2, on_hand=True)
TO_BUY = Stock("whole", 1250.0, 2500.0, 90.0)


def spared(job: Job) -> tuple[dict[str, int], Decision, Decision]:
    """Pieces of each kind on hand that are cut into, and the decision before and after."""
    assembled = assemble(job, side_plans(job))
    search = Search.of(assembled.problem)
    best = decide(search, Budget.of(SolveLimits(5.0))).best
    assert best is not None
    after = spare_on_hand(search, best, Budget.of(SolveLimits(5.0)))
    counts: dict[str, int] = {}
    for (size, _), count in after.sheets.items():
        if job.stock[size].on_hand:
            counts[job.stock[size].name] = counts.get(job.stock[size].name, 0) + count
    return counts, best, after


def test_an_offcut_is_cut_into_before_a_whole_sheet() -> None:
    patches = (Patch("hatch", 450.0, 450.0, quantity=2),)
    counts, _, _ = spared(job_of(stock=(WHOLE, OFFCUT, TO_BUY), patches=patches))
    assert counts == {"offcut": 1}


def test_no_more_pieces_are_cut_into_than_before() -> None:
    patches = (Patch("hatch", 450.0, 450.0, quantity=4),)
    counts, best, after = spared(job_of(stock=(WHOLE, OFFCUT, TO_BUY), patches=patches))
    assert sum(counts.values()) <= sum(best.sheets.values())
    assert sum(after.sheets.values()) <= sum(best.sheets.values())


def test_what_is_bought_and_what_it_costs_stay_as_they_are() -> None:
    patches = (Patch("door", 1200.0, 2400.0, quantity=3), Patch("hatch", 300.0, 300.0))
    counts, best, after = spared(job_of(stock=(WHOLE, OFFCUT, TO_BUY), patches=patches))
    assert counts == {"whole": 2, "offcut": 1}
    assert after.cost == best.cost == 90.0


def test_a_job_with_nothing_on_hand_is_left_as_it_is() -> None:
    _, best, after = spared(job_of(stock=(TO_BUY,), patches=(Patch("hatch", 300.0, 300.0),)))
    assert after is best
