"""Solvers that fail, raise or lie: what is left is a sound plan, a bound that holds, and no proof that is none."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from ortools.math_opt.python import mathopt
from ortools.sat.python import cp_model

from nesting.budget import Budget
from nesting.job import Cutting, Job, Patch, Stock, Turn
from nesting.limits import SolveLimits
from nesting.placing.fitting import Fitter
from nesting.placing.freefitting import knows_small_answers
from nesting.plan import Status
from nesting.planning import plan_job
from nesting.programme.bars import refusing_rows
from nesting.programme.branching import WHOLE
from nesting.programme.duals import Excess, proved_bound
from nesting.programme.firstplan import fewest_seams, first_choices
from nesting.programme.knapsack import Knapsack
from nesting.programme.master import Master, pick_whole
from nesting.programme.program import solve
from nesting.programme.relaxation import Aim, Bounds, Relaxed
from nesting.programme.search import Search
from nesting.programme.wholechoice import closed_one_by_one, closes_all
from nesting.sizing.problem import Choice, Problem, SheetSize
from nesting.sizing.sheetbounds import sheet_rows
from tests.broken_solvers import FAULTS, INF, LINEAR_FAULTS, WHOLE_FAULTS, Fault, cp_ends, every, whole_raises
from tests.hand_plans import BIG
from tests.plain_sides import job_of, side_of
from tests.small_problems import packing, part, rows_of_bays

QUICK = SolveLimits(time_limit=0.5)


@pytest.fixture(autouse=True)
def _asked_anew() -> Iterator[None]:
    knows_small_answers.cache_clear()
    yield
    knows_small_answers.cache_clear()


# -- whole jobs ----------------------------------------------------------------------------------------------


def body() -> Job:
    """Five bays and two covers: two panels and the covers out of one big sheet, 90, with one seam, 12."""
    long = Stock("long", 600.0, 3300.0, 95.0)
    return job_of(side_of(5), stock=(BIG, long), patches=(Patch("hatch", 500, 400, quantity=2),))


def covers() -> Job:
    """Four of 600 x 300 round one of 300 x 300 fill a sheet of 900 x 900."""
    return job_of(
        patches=(Patch("blade", 600, 300, quantity=4), Patch("hub", 300, 300)),
        stock=(Stock("square", 900.0, 900.0, 50.0),),
        cutting=Cutting(turn=Turn.QUARTER),
    )


JOBS = {"body": (body, 102.0), "covers": (covers, 50.0)}


@pytest.mark.parametrize("name", JOBS)
def test_sound_solvers_prove_the_job(name: str) -> None:
    job, best = JOBS[name]
    plan = plan_job(job(), SolveLimits(time_limit=60.0)).plan
    assert plan.status is Status.OPTIMAL
    assert plan.objective == pytest.approx(best)


@every(FAULTS)
@pytest.mark.parametrize("name", JOBS)
def test_a_job_is_planned_soundly_and_told_honestly(
    name: str, fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    job, best = JOBS[name]
    # plan_job raises PlanRejected where the plan is unsound
    plan = plan_job(job(), QUICK).plan
    assert best <= plan.objective + 1e-6
    assert plan.bound <= best + 1e-6
    assert plan.status is Status.FEASIBLE or plan.objective == pytest.approx(best)


def test_a_false_refusal_makes_no_plan_of_more_sheets_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    # four of 3 x 2 lie on a sheet of 5 x 5 as a pinwheel only; without the quick rules one of them goes on each sheet
    problem = packing([SheetSize(5, 5, 10.0)], [(part(3, 2, True), 4)])
    rules = Fitter._try_rules
    monkeypatch.setattr(
        Fitter,
        "_try_rules",
        lambda self, sheet, parts, tries: rules(self, sheet, parts, tries) if len(parts) == 1 else None,
    )
    cp_ends(cp_model.INFEASIBLE)(monkeypatch)
    search, budget = Search.of(problem), Budget.of(SolveLimits(time_limit=1.0))
    outcome = solve(search, Aim(), search.first(budget), budget)
    assert outcome.bound <= 10.0
    assert not outcome.proved or (outcome.best is not None and outcome.best.cost == 10.0)


# -- relaxations ---------------------------------------------------------------------------------------------

MOST = 9

BAYS = rows_of_bays([[3, 3, 3]], 4, [SheetSize(10, 8, 12.0), SheetSize(7, 4, 5.0)], seam_cost=1.0)


def relaxed_over_singles(problem: Problem) -> Relaxed | None:
    """The relaxation that knows of sheets with one part only."""
    master = Master(problem, Aim(), 100.0)
    for size, k in singles(problem):
        master.add((size, ((k, 1),)))
    master.set_bounds(Bounds(((0, MOST),) * len(problem.sheets), (0, MOST), (0, MOST)))
    return master.relax()


def singles(problem: Problem) -> list[tuple[int, int]]:
    """(sheet size, class) of each part that fits a sheet alone."""
    return [
        (size, k)
        for size, sheet in enumerate(problem.sheets)
        for k, kind in enumerate(problem.classes)
        if kind.placings(sheet)
    ]


def proved_value(problem: Problem) -> float | None:
    """What the relaxation proves: its duals, less what a sheet is worth beyond its price by them."""
    relaxed = relaxed_over_singles(problem)
    if relaxed is None:
        return None
    excesses = []
    for size, sheet in enumerate(problem.sheets):
        worth = max(relaxed.worth[size][k] for s, k in singles(problem) if s == size)
        gain = max(0.0, worth + relaxed.size_dual[size] - sheet.price)
        excesses.append(Excess(gain, sheet.price, MOST))
    return proved_bound(relaxed.value, excesses, 1000.0)


@every(LINEAR_FAULTS)
def test_a_broken_relaxation_is_none_or_proves_no_more_than_the_true_one(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    # a panel over one bay and one over the other two, each on a sheet of 5, and a seam of 1
    assert proved_value(BAYS) == pytest.approx(11.0)
    fault(monkeypatch)
    told = proved_value(BAYS)
    assert told is None or told <= 11.0 + 1e-9


@every(LINEAR_FAULTS)
def test_a_broken_solution_is_none_or_misses_something_or_closes_and_carries_all(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    relaxed = relaxed_over_singles(BAYS)
    if relaxed is None or relaxed.missed > WHOLE:
        # nothing is made of a solution that says itself what it misses
        return
    for cell in range(BAYS.cells):
        closed = sum(relaxed.x[p] for p, choice in enumerate(BAYS.choices) if cell in choice.cells)
        assert closed == pytest.approx(1.0)
    for k in range(len(BAYS.classes)):
        carried = sum(amount for (_, pattern), amount in relaxed.y.items() if dict(pattern).get(k))
        assert carried >= sum(relaxed.x[p] for p, one in enumerate(BAYS.choices) if k in one.parts) - 1e-6


@every(LINEAR_FAULTS)
def test_no_pattern_is_worth_more_than_a_broken_bound_of_it(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    kinds = [part(5, 4), part(3, 8)]
    knapsack = Knapsack(sheet_rows(SheetSize(10, 8, 1.0), kinds), [4, 3])
    fault(monkeypatch)
    told = knapsack.solve(np.array([2.0, 3.0]))
    # four of the first fill the sheet, or three of the second
    assert 9.0 <= told.bound < INF
    assert np.isfinite(told.loss).all()


@every(LINEAR_FAULTS)
def test_no_broken_bars_refuse_what_fits(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = SheetSize(10, 8, 1.0)
    rows = sheet_rows(sheet, [part(5, 4), part(3, 8)])
    fault(monkeypatch)
    for fits in ([4, 0], [0, 3], [2, 1]):
        for row in refusing_rows(rows, sheet.length, sheet.width, np.array([5, 5])):
            assert row @ fits <= 1 + 1e-6


# -- whole-number choices ------------------------------------------------------------------------------------

SINGLES = [(0, ((k, 1),)) for k in range(len(BAYS.classes))]


@every(WHOLE_FAULTS)
def test_a_broken_choice_of_panels_and_sheets_is_none_or_counted_over(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = pick_whole(BAYS, Aim(), SINGLES, 10.0)
    assert true is not None
    fault(monkeypatch)
    picked = pick_whole(BAYS, Aim(), SINGLES, 10.0)
    if picked is not None:
        assert closes_all(BAYS, picked.choices)
        assert picked.cost >= true.cost


def test_where_one_solver_breaks_down_the_other_chooses(monkeypatch: pytest.MonkeyPatch) -> None:
    true = pick_whole(BAYS, Aim(), SINGLES, 10.0)
    assert true is not None
    whole_raises(mathopt.SolverType.GSCIP)(monkeypatch)
    picked = pick_whole(BAYS, Aim(), SINGLES, 10.0)
    assert picked is not None
    assert picked.cost == pytest.approx(true.cost)


@every(WHOLE_FAULTS)
def test_first_panels_close_every_cell_whatever_the_solver_says(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    choices = first_choices(BAYS)
    assert choices is not None
    assert closes_all(BAYS, choices)


@every(WHOLE_FAULTS)
def test_the_fewest_seams_are_never_told_too_many_but_by_a_false_proof(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    # three bays of 3 with panels of 10 at the most: one panel, no seam
    fault(monkeypatch)
    assert fewest_seams(BAYS, 10.0) == 0


def test_cells_are_closed_one_by_one_by_stepping_back() -> None:
    # the cheapest panel for the first cell takes the second, too, and then nothing closes the third
    choices = (Choice((0, 1), ()), Choice((0,), ()), Choice((1, 2), ()))
    problem = Problem((SheetSize(5, 5, 1.0),), (), (), 3, choices)
    assert closed_one_by_one(problem, [1.0, 5.0, 1.0]) == (1, 2)
    assert closed_one_by_one(Problem((SheetSize(5, 5, 1.0),), (), (), 3, choices[:2]), [1.0, 1.0]) is None
