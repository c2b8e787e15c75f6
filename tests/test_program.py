"""The programme solved: the best plan there is, a bound that holds at every moment, and odd problems."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.budget import Budget
from nesting.limits import Progress, SolveLimits
from nesting.placing.fitting import Fitter
from nesting.plans.assembly import assemble
from nesting.programme import program
from nesting.programme.pricing import Pricer
from nesting.programme.program import Outcome, solve
from nesting.programme.relaxation import Aim
from nesting.programme.search import Decision, Search
from nesting.sizing.problem import Pattern, Problem, SheetSize
from nesting.sizing.quickbound import area_bound
from nesting.skin.sideplans import side_plans
from shared.errors import NothingFits
from tests.small_problems import (
    Fits,
    fits_of,
    least_cost,
    packing,
    part,
    parts_of_plan,
    rows_of_bays,
    seams_of,
)
from tests.strategies import jobs

SECONDS = 30.0
CLOSE = 1e-6


def solved(problem: Problem, aim: Aim | None = None, limits: SolveLimits | None = None) -> Outcome:
    """The answer from the first plan on, as the planner asks for it."""
    search = Search.of(problem)
    aim = aim or Aim()
    first = search.first(Budget.of(limits or SolveLimits(time_limit=SECONDS)))
    if first is not None:
        first = replace(first, cost=search.cost(aim, first.choices, first.sheets))
        if aim.seam_cap is not None and search.seams(first.choices) > aim.seam_cap:
            first = None
    return solve(search, aim, first, Budget.of(limits or SolveLimits(time_limit=SECONDS)))


def assert_sound(problem: Problem, aim: Aim, best: Decision, fits: Fits) -> None:
    """Every cell closed once, exactly the parts needed, sheets that there are and that carry them, costs re-added."""
    closed = Counter(cell for p in best.choices for cell in problem.choices[p].cells)
    assert closed == Counter(range(problem.cells))
    carried: Counter[int] = Counter()
    used: Counter[int] = Counter()
    for (size, pattern), number in best.sheets.items():
        assert fits(size, pattern)
        used[size] += number
        for k, n in pattern:
            carried[k] += n * number
    assert carried == parts_of_plan(problem, best.choices)
    assert all(s.available is None or used[i] <= s.available for i, s in enumerate(problem.sheets))
    cost = sum(problem.sheets[size].price * number for size, number in used.items())
    seams = seams_of(problem, best.choices)
    assert aim.seam_cap is None or seams <= aim.seam_cap
    if aim.seams_count:
        cost += problem.seam_cost * seams + sum(problem.choices[p].seam_cost for p in best.choices)
    assert best.cost == pytest.approx(cost)


def stopped_after(looks: int) -> SolveLimits:
    """Limits that end the search at the given look at the clock: the same moment on every machine."""
    clock = count()
    return SolveLimits(time_limit=SECONDS, should_stop=lambda: next(clock) >= looks)


@st.composite
def sheet_sizes(draw: st.DrawFn, width: int) -> list[SheetSize]:
    """One or two sizes, the first as many as wanted; prices with and without a common step."""
    prices = st.sampled_from([0.0, 1.0, 4.0, 6.0, 7.5, 9.99, 12.0, 10.0 / 3.0])
    sheets = [SheetSize(draw(st.integers(9, 13)), width, draw(prices))]
    if draw(st.booleans()):
        available = draw(st.sampled_from([None, 1, 2]))
        sheets.append(SheetSize(draw(st.integers(6, 13)), draw(st.integers(5, 8)), draw(prices), available))
    return sheets


@st.composite
def bodies(draw: st.DrawFn) -> Problem:
    """One or two sides of two to five bays in all, with up to three patches."""
    height = draw(st.integers(4, 6))
    sheets = draw(sheet_sizes(draw(st.integers(height, 8))))
    widths = draw(st.lists(st.integers(3, 6), min_size=2, max_size=5))
    at = draw(st.integers(1, len(widths)))
    patches = [
        (part(draw(st.integers(1, 4)), draw(st.integers(1, 4)), True), 1)
        for _ in range(draw(st.integers(0, 3)))
    ]
    return rows_of_bays(
        [side for side in (widths[:at], widths[at:]) if side],
        height,
        sheets,
        patches,
        seam_cost=draw(st.sampled_from([0.0, 1.0, 2.0, 1.37])),
        cost_by_length=draw(st.sampled_from([0.0, 0.0, 1.0 / 3.0])),
        turnable=draw(st.booleans()),
        reach=draw(st.integers(0, 1)),
    )


@st.composite
def packings(draw: st.DrawFn) -> Problem:
    """Up to six loose parts, none larger than the first sheet."""
    sheets = draw(sheet_sizes(draw(st.integers(5, 8))))
    sizes = st.tuples(st.integers(2, 9), st.integers(2, 5), st.booleans(), st.integers(1, 2))
    chosen = draw(st.lists(sizes, min_size=1, max_size=4))
    return packing(sheets, [(part(a, b, turn), n) for a, b, turn, n in chosen])


AIMS = st.sampled_from(
    [Aim(), Aim(), Aim(seams_count=False), Aim(seams_count=False, seam_cap=1), Aim(seam_cap=1)]
)


@settings(deadline=None, max_examples=50)
@given(bodies(), AIMS)
def test_plan_costs_what_the_best_of_all_plans_costs(problem: Problem, aim: Aim) -> None:
    fits = fits_of(problem)
    least = least_cost(problem, fits, aim.seams_count, aim.seam_cap)
    outcome = solved(problem, aim)
    assert outcome.proved
    if least is None:
        assert outcome.best is None
        return
    assert outcome.best is not None
    assert outcome.best.cost == pytest.approx(least)
    assert outcome.bound == pytest.approx(least)
    assert not aim.seams_count or area_bound(problem) <= least
    assert_sound(problem, aim, outcome.best, fits)


@settings(deadline=None, max_examples=50)
@given(packings())
def test_loose_parts_take_the_cheapest_sheets_there_are(problem: Problem) -> None:
    fits = fits_of(problem)
    outcome = solved(problem)
    assert outcome.proved
    assert outcome.best is not None
    assert outcome.best.cost == pytest.approx(least_cost(problem, fits))
    assert_sound(problem, Aim(), outcome.best, fits)


@settings(deadline=None, max_examples=40)
@given(bodies() | packings(), st.integers(0, 60))
def test_stop_at_any_moment_leaves_an_honest_bound(problem: Problem, looks: int) -> None:
    fits = fits_of(problem)
    least = least_cost(problem, fits)
    news: list[Progress] = []
    outcome = solved(problem, limits=replace(stopped_after(looks), on_progress=news.append))
    assert least is None or outcome.bound <= least + CLOSE
    if outcome.best is not None:
        assert least is not None
        assert outcome.best.cost >= least - CLOSE
        assert outcome.bound <= outcome.best.cost + CLOSE
        assert not outcome.proved or outcome.best.cost <= least + CLOSE
        assert_sound(problem, Aim(), outcome.best, fits)
    for told in news:
        assert least is None or told.bound <= least + CLOSE
        assert told.best is None or (least is not None and told.best >= least - CLOSE)


@settings(deadline=None, max_examples=30)
@given(bodies(), st.lists(st.integers(0, 60), min_size=2, max_size=3))
def test_more_time_is_never_worse(problem: Problem, looks: list[int]) -> None:
    costs = []
    for moment in sorted(looks):
        best = solved(problem, limits=stopped_after(moment)).best
        costs.append(float("inf") if best is None else best.cost)
    assert costs == sorted(costs, reverse=True)


@settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(bodies() | packings(), st.integers(2, 40))
def test_bound_is_honest_where_pricing_is_cut_short(
    monkeypatch: pytest.MonkeyPatch, problem: Problem, nodes: int
) -> None:
    monkeypatch.setattr(program, "QUICK_NODES", nodes)
    monkeypatch.setattr(program, "NODE_LIMIT", nodes)
    least = least_cost(problem, fits_of(problem))
    outcome = solved(problem, limits=stopped_after(400))
    assert least is None or outcome.bound <= least + CLOSE
    if outcome.best is not None and outcome.proved:
        assert outcome.best.cost == pytest.approx(least)


def test_plan_is_not_called_best_where_pricing_was_cut_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Panels of 4, 6 and 6 take three sheets of 9; of 4, 9 and 3 only two, for 4 and 3 share one."""
    problem = rows_of_bays([(4,), (6, 3, 3)], 4, [SheetSize(9, 4, 1.0)], turnable=False)
    assert least_cost(problem, fits_of(problem)) == 2.0
    monkeypatch.setattr(program, "QUICK_NODES", 2)
    monkeypatch.setattr(program, "NODE_LIMIT", 2)
    assert solved(problem, limits=stopped_after(400)).bound <= 2.0


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(jobs(max_bays=3, max_patches=2))
def test_jobs_at_random_are_planned_at_least_cost(job) -> None:  # type: ignore[no-untyped-def]
    try:
        problem = assemble(job, side_plans(job)).problem
    except NothingFits:
        return
    if sum(problem.demand) + problem.cells > 8:
        return
    fitter = Fitter(problem.sheets, problem.classes, problem.edge_to_edge, problem.longest_cut)

    def fits(size: int, pattern: Pattern) -> bool:
        return bool(fitter.places(size, pattern) or fitter.settled(size, pattern))

    least = least_cost(problem, fits)
    outcome = solved(problem)
    if outcome.best is None:
        assert least is None
        return
    assert least is not None
    assert outcome.bound <= least + CLOSE
    if outcome.proved:
        assert outcome.best.cost == pytest.approx(least)
    assert outcome.proved or problem.edge_to_edge
    assert_sound(problem, Aim(), outcome.best, lambda size, pattern: bool(fitter.placed(size, pattern)))


def uneven_body(bays: int = 8) -> Problem:
    """Two sides of unequal bays and patches, on a few sheet sizes: too much to be proved at the root."""
    widths = [[28 + (i * 7) % 5 for i in range(bays)], [27 + (i * 5) % 7 for i in range(bays)]]
    sheets = [SheetSize(96, 48, 92.0), SheetSize(120, 48, 118.0), SheetSize(144, 60, 192.0)]
    patches = [
        (part(28, 28, True), 2),
        (part(9, 9, True), 6),
        (part(24, 17, True), 2),
        (part(58, 8, True), 1),
    ]
    return rows_of_bays(widths, 41, sheets, patches, seam_cost=12.0, reach=1)


def test_no_time_at_all_still_gives_the_first_plan_and_a_bound_that_holds() -> None:
    search = Search.of(uneven_body())
    first = search.first(Budget.of(SolveLimits(time_limit=SECONDS)))
    assert first is not None
    outcome = solve(search, Aim(), first, Budget.of(SolveLimits(time_limit=0.0)))
    assert outcome.best == first
    assert not outcome.proved
    assert 0.0 <= outcome.bound < first.cost


def test_equal_questions_get_equal_plans() -> None:
    once, again = (solved(uneven_body(4)) for _ in range(2))
    assert once.best is not None
    assert once.proved
    assert once == again


def test_stop_asked_for_is_honoured_before_anything_else_is_priced(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = uneven_body()
    stopped = False
    priced_after = 0
    price: Callable[..., object] = Pricer.price

    def counted(*args: object, **named: object) -> object:
        nonlocal priced_after
        priced_after += stopped
        return price(*args, **named)

    def hear(news: Progress) -> None:
        nonlocal stopped
        stopped = stopped or news.stage == "closing the gap"

    monkeypatch.setattr(Pricer, "price", counted)
    outcome = solved(problem, limits=SolveLimits(on_progress=hear, should_stop=lambda: stopped))
    assert stopped
    assert outcome.best is not None
    assert not outcome.proved
    assert priced_after == 0


def test_limited_stock_sends_the_rest_to_dearer_sheets() -> None:
    # three panels of 9 x 5, one to a sheet; of the cheap sheets there is one
    sheets = [SheetSize(10, 6, 5.0, available=1), SheetSize(10, 6, 8.0)]
    outcome = solved(packing(sheets, [(part(9, 5), 3)]))
    assert outcome.best is not None
    assert outcome.best.sheets == {(0, ((0, 1),)): 1, (1, ((0, 1),)): 2}
    assert outcome.best.cost == 21.0


def test_sheets_too_few_for_the_parts_are_proved_to_be() -> None:
    # by area both would go on one sheet
    outcome = solved(packing([SheetSize(10, 10, 5.0, available=1)], [(part(6, 6), 2)]))
    assert outcome.best is None
    assert outcome.proved


def test_sheets_on_hand_are_used_before_any_is_bought() -> None:
    # five 4 x 6 parts: two on each of the two sheets on hand, the last on a bought one
    sheets = [SheetSize(10, 6, 0.0, available=2), SheetSize(10, 6, 8.0)]
    outcome = solved(packing(sheets, [(part(4, 6), 5)]))
    assert outcome.proved
    assert outcome.best is not None
    assert outcome.best.cost == 8.0


def test_sheets_that_cost_nothing_and_suffice_make_a_plan_for_nothing() -> None:
    problem = rows_of_bays(
        [(5, 5)], 6, [SheetSize(10, 6, 0.0, available=1), SheetSize(10, 6, 8.0)], seam_cost=1.0
    )
    outcome = solved(problem)
    assert outcome.best is not None
    assert (outcome.best.cost, outcome.bound, outcome.proved) == (0.0, 0.0, True)


def test_prices_a_thousand_times_apart_are_weighed_against_one_another() -> None:
    # a dear sheet carries two parts, a cheap one one; the dear one is cut only if it must be
    sheets = [SheetSize(100, 50, 4000.0), SheetSize(50, 50, 4.0, available=3)]
    outcome = solved(packing(sheets, [(part(50, 50), 4)]))
    assert outcome.proved
    assert outcome.best is not None
    assert outcome.best.cost == 4008.0
    cheap = [SheetSize(100, 50, 4000.0), SheetSize(50, 50, 4.0)]
    outcome = solved(packing(cheap, [(part(50, 50), 4)]))
    assert outcome.best is not None
    assert (outcome.best.cost, outcome.proved) == (16.0, True)


def test_two_hundred_equal_parts_fill_whole_sheets() -> None:
    # 12 x 5 of 10 x 9 fill 120 x 48 but for a strip of 3: sixty to a sheet
    outcome = solved(packing([SheetSize(120, 48, 118.0)], [(part(10, 9, True), 200)]))
    assert outcome.proved
    assert outcome.best is not None
    assert sum(outcome.best.sheets.values()) == 4


def test_parts_as_large_as_the_sheet_take_one_each() -> None:
    outcome = solved(
        packing(
            [SheetSize(120, 48, 118.0), SheetSize(96, 48, 92.0)],
            [(part(120, 48, True), 3), (part(96, 48), 2)],
        )
    )
    assert outcome.proved
    assert outcome.best is not None
    assert outcome.best.cost == 3 * 118.0 + 2 * 92.0


def test_parts_that_fit_only_turned_are_turned() -> None:
    sheet = SheetSize(48, 120, 10.0)
    outcome = solved(packing([sheet], [(part(100, 24, True), 4)]))
    assert outcome.best is not None
    assert outcome.best.sheets == {(0, ((0, 2),)): 2}
    stiff = solved(packing([sheet, SheetSize(100, 24, 50.0)], [(part(100, 24), 1)]))
    assert stiff.best is not None
    assert stiff.best.cost == 50.0


def test_seam_is_made_only_where_it_saves_more_than_it_costs() -> None:
    # one panel of 10 needs the dear sheet; two of 5 go on cheap ones and make a seam
    sheets = [SheetSize(10, 6, 12.0), SheetSize(5, 6, 4.0)]
    for seam_cost, cost in ((3.0, 11.0), (5.0, 12.0)):
        outcome = solved(rows_of_bays([(5, 5)], 6, sheets, seam_cost=seam_cost))
        assert outcome.best is not None
        assert (outcome.best.cost, outcome.proved) == (cost, True)


def test_patches_come_out_of_what_the_panels_leave() -> None:
    # a panel of 10 x 6 on 12 x 8 leaves a strip of 2 all along and one of 2 behind it
    sheets = [SheetSize(12, 8, 9.0)]
    patches = [(part(10, 2, True), 1), (part(8, 2, True), 1)]
    outcome = solved(rows_of_bays([(10,)], 6, sheets, patches))
    assert outcome.best is not None
    assert (outcome.best.cost, outcome.proved) == (9.0, True)


def test_five_fit_where_the_area_and_every_row_allow_six() -> None:
    """A proof has to come from placing: 4 x 4 parts on 10 x 10 go four to a sheet, six by area."""
    outcome = solved(packing([SheetSize(10, 10, 7.0)], [(part(4, 4), 5)]))
    assert outcome.best is not None
    assert (outcome.best.cost, outcome.proved) == (14.0, True)


def test_sheet_that_carries_nothing_is_never_counted_on() -> None:
    long_and_dear = SheetSize(length=9, width=5, price=12.0)
    too_short = SheetSize(length=6, width=5, price=1.0)
    outcome = solved(packing((long_and_dear, too_short), ((part(9, 3), 1), (part(9, 2), 2))))
    assert outcome.proved
    assert outcome.bound == 24.0


def test_plan_that_costs_nothing_is_proved_at_once() -> None:
    outcome = solved(packing((SheetSize(length=9, width=5, price=0.0),), ((part(9, 3), 2),)))
    assert outcome.proved
    assert outcome.best is not None
    assert outcome.best.cost == 0.0


def test_a_plan_that_costs_what_is_known_to_be_least_is_proved_without_a_search() -> None:
    problem = packing([SheetSize(10, 8, 5.0)], [(part(6, 5, True), 2)])
    search = Search.of(problem)
    first = search.first(Budget.of(SolveLimits()))
    assert first is not None
    told: list[Progress] = []
    budget = Budget.of(SolveLimits(on_progress=told.append))
    outcome = solve(search, Aim(), first, budget, known=first.cost)
    assert (outcome.proved, outcome.best, outcome.bound, told) == (True, first, first.cost, [])


@settings(deadline=None, max_examples=25)
@given(bodies(), AIMS)
def test_without_a_split_the_bound_still_holds(problem: Problem, aim: Aim) -> None:
    least = least_cost(problem, fits_of(problem), aim.seams_count, aim.seam_cap)
    limits = Budget.of(SolveLimits(time_limit=SECONDS))
    outcome = solve(Search.of(problem), aim, None, limits, most_splits=0)
    assert outcome.bound <= (float("inf") if least is None else least + CLOSE)
