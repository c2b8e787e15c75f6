"""Solvers that fail, raise or lie where parts are placed, shared out, cut from bars and pushed together."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate, product
from typing import Literal

import pytest
from ortools.sat.python import cp_model

from nesting.budget import Budget
from nesting.framing.barchoice import knows_small_choices, pick_whole
from nesting.framing.barproblem import Bar, BarProblem, Load
from nesting.framing.barsearch import FoundLoads, solve_bars
from nesting.limits import SolveLimits
from nesting.placing.fitting import Fitter
from nesting.placing.freefitting import STEP, free_places, knows_small_answers, lies_well, roomiest_free
from nesting.programme import sharingout
from nesting.programme.assigning import assign
from nesting.programme.pricing import Pricer
from nesting.sizing.problem import Answer, Column, PartClass, Problem, SheetSize, Spot
from nesting.strip import StripPart, place_on_strip
from tests.broken_solvers import (
    CP_FAULTS,
    FAULTS,
    LINEAR_FAULTS,
    WHOLE_FAULTS,
    Fault,
    cp_ends,
    every,
    whole_values,
)
from tests.small_problems import packing, part
from tests.strip_layouts import strip_faults


@pytest.fixture(autouse=True)
def _asked_anew() -> Iterator[None]:
    for asked in (knows_small_answers, knows_small_choices):
        asked.cache_clear()
    yield
    for asked in (knows_small_answers, knows_small_choices):
        asked.cache_clear()


# -- placing -------------------------------------------------------------------------------------------------

SQUARE = SheetSize(5, 5, 1.0)
PINWHEEL = ([part(3, 2, True)], [0, 0, 0, 0])
"""Round a hole of 1 x 1, as no cut from edge to edge frees them."""

TWO_SQUARES = ([part(3, 3)], [0, 0])


def placed(kinds_and_parts: tuple[list[PartClass], list[int]]) -> Answer:
    kinds, parts = kinds_and_parts
    return free_places(SQUARE, kinds, parts, 1000, count_areas=True)


def test_a_pinwheel_is_placed_and_two_squares_are_refused() -> None:
    found = placed(PINWHEEL)
    assert found
    assert lies_well(found, SQUARE, *PINWHEEL)
    assert placed(TWO_SQUARES) is False


@every(CP_FAULTS)
def test_no_broken_answer_says_where_a_pinwheel_goes_or_that_it_does_not(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    assert placed(PINWHEEL) is None


def test_three_parts_that_can_be_cut_apart_are_placed_whatever_the_solver_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    cp_ends(cp_model.INFEASIBLE)(monkeypatch)
    rows = ([part(5, 1)], [0, 0, 0])
    found = placed(rows)
    assert found
    assert lies_well(found, SQUARE, *rows)


def test_two_parts_that_no_cut_frees_are_refused_without_the_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    cp_ends(cp_model.INFEASIBLE)(monkeypatch)
    assert not knows_small_answers()
    assert placed(TWO_SQUARES) is False


@every(CP_FAULTS)
def test_small_answers_show_a_broken_solver(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    fault(monkeypatch)
    assert not knows_small_answers()


@every(CP_FAULTS)
def test_no_broken_answer_is_a_roomy_layout(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet, kind = SheetSize(10 * STEP, 5 * STEP, 1.0), part(3 * STEP, 2 * STEP, True)
    fault(monkeypatch)
    spots = roomiest_free(sheet, [kind], [0] * 4, 1.0, least=2 * STEP, beyond=0, floor=0)
    assert spots is None


@pytest.mark.parametrize(
    "spots",
    [
        ((0, 0, 0, False),),
        ((0, 0, 0, False), (0, 1, 0, False)),
        ((0, 0, 0, False), (0, 4, 0, False)),
        ((0, 0, 0, False), (0, -1, 1, False)),
        ((0, 0, 0, False), (0, 0, 1, True)),
        ((0, 0, 0, False), (1, 0, 1, False)),
    ],
    ids=["one is missing", "they overlap", "past the end", "before the start", "turned", "of another kind"],
)
def test_places_that_do_not_lie_well_are_seen(spots: tuple[Spot, ...]) -> None:
    kinds = [part(2, 1), part(2, 1, True)]
    assert lies_well(((0, 0, 0, False), (0, 0, 1, False)), SQUARE, kinds, [0, 0])
    assert not lies_well(spots, SQUARE, kinds, [0, 0])


# -- sharing out ---------------------------------------------------------------------------------------------

TWO_SHEETS = packing([SheetSize(10, 8, 1.0)], [(part(n, 8), 1) for n in (6, 4, 7, 3)])
"""10 = 6 + 4 = 7 + 3, and no other way."""

TOO_MANY = packing([SheetSize(10, 8, 1.0)], [(part(n, 8), 1) for n in (6, 4, 7, 4)])

BOTH: dict[Column, int] = {(0, ((0, 1), (1, 1))): 1, (0, ((2, 1), (3, 1))): 1}


def shared(problem: Problem) -> dict[Column, int] | Literal[False] | None:
    fitter = Fitter(problem.sheets, problem.classes)
    return assign(Pricer(problem), fitter, dict(enumerate(problem.demand)), (2,), Budget.of(SolveLimits()))


@every(CP_FAULTS)
def test_sharing_out_by_a_broken_solver_is_right_or_left_open(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    assert shared(TWO_SHEETS) in (BOTH, None)
    assert shared(TOO_MANY) in (False, None)


def test_what_can_be_shared_out_is_whatever_the_solver_says(monkeypatch: pytest.MonkeyPatch) -> None:
    cp_ends(cp_model.INFEASIBLE)(monkeypatch)
    assert shared(TWO_SHEETS) == BOTH
    # gone through part by part, this is a proof without the solver
    assert shared(TOO_MANY) is False


def test_a_question_too_long_to_go_through_is_left_open_with_a_solver_that_fails_small_ones(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sharingout, "STEPS", 1)
    assert shared(TOO_MANY) is False
    cp_ends(cp_model.INFEASIBLE)(monkeypatch)
    knows_small_answers.cache_clear()
    assert shared(TOO_MANY) is None


# -- bars ----------------------------------------------------------------------------------------------------

THREE_BARS = BarProblem((44, 33, 12), (2, 3, 6), (Bar(132, 1.0),))
"""Two bars by the relaxation, three in truth."""

TWO_KINDS = BarProblem((37, 26, 21, 14), (3, 4, 5, 3), (Bar(100, 7.25), Bar(60, 4.5, 4)))


@every(FAULTS)
@pytest.mark.parametrize("problem", [THREE_BARS, TWO_KINDS], ids=["one kind", "two kinds"])
def test_bars_are_cut_soundly_and_told_honestly(
    problem: BarProblem, fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = cut(problem)
    assert true.proved
    fault(monkeypatch)
    found = cut(problem)
    assert found.loads is not None
    carried = [sum(load.counts[kind] for load in found.loads) for kind in range(len(problem.sizes))]
    assert carried == list(problem.demand)
    for load in found.loads:
        length = sum(size * count for size, count in zip(problem.sizes, load.counts, strict=True))
        assert length <= problem.bars[load.bar].capacity
    assert found.bound <= true.cost + 1e-6 <= found.cost + 2e-6
    assert found.cost == pytest.approx(true.cost) or not found.proved


def every_load(problem: BarProblem) -> list[Load]:
    """Every way to cut each bar."""
    return [
        Load(number, counts)
        for number, bar in enumerate(problem.bars)
        for counts in product(*(range(n + 1) for n in problem.demand))
        if any(counts) and sum(s * n for s, n in zip(problem.sizes, counts, strict=True)) <= bar.capacity
    ]


@every(WHOLE_FAULTS)
@pytest.mark.parametrize(("ceiling", "there_is_one"), [(3.0, True), (2.0, False)])
def test_a_choice_among_all_loads_is_counted_over_and_proved_by_two_solvers(
    ceiling: float, there_is_one: bool, fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    choice = pick_whole(THREE_BARS, every_load(THREE_BARS), ceiling, 10.0, 1000, 0, True)
    assert not choice.proved or not there_is_one
    if choice.loads is not None:
        assert there_is_one
        assert len(choice.loads) <= ceiling
        # a place may carry any shorter piece: counted from the longest down there are enough
        places = list(accumulate(sum(load.counts[k] for load in choice.loads) for k in range(3)))
        assert all(have >= need for have, need in zip(places, accumulate(THREE_BARS.demand), strict=True))


def test_a_false_best_among_several_prices_is_not_called_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    # one long bar for 9 carries both pieces, yet two bars of 5 each are told as the best
    problem = BarProblem((40, 30), (1, 1), (Bar(70, 9.0), Bar(40, 5.0)))
    loads = [Load(0, (1, 1)), Load(1, (1, 0)), Load(1, (0, 1))]
    true = pick_whole(problem, loads, 20.0, 10.0, 1000, 0, False)
    assert (true.loads, true.proved) == ((loads[0],), True)
    told = iter([0.0, 1.0, 1.0])
    whole_values(lambda _: next(told))(monkeypatch)
    choice = pick_whole(problem, loads, 20.0, 10.0, 1000, 0, False)
    assert not choice.proved
    assert choice.loads == (loads[0],)


@every({name: fault for name, fault in WHOLE_FAULTS.items() if "proves" not in name})
def test_small_choices_show_a_broken_solver(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    # what it claims to have proved is not looked at there: only what it finds, or that it finds nothing
    assert knows_small_choices()
    knows_small_choices.cache_clear()
    fault(monkeypatch)
    assert not knows_small_choices()


def cut(problem: BarProblem) -> FoundLoads:
    return solve_bars(problem, Budget.of(SolveLimits(time_limit=10.0)), 0)


# -- strips --------------------------------------------------------------------------------------------------


@every(LINEAR_FAULTS)
def test_a_strip_pushed_together_by_a_broken_solver_has_no_parts_on_one_another(
    fault: Fault, monkeypatch: pytest.MonkeyPatch
) -> None:
    fault(monkeypatch)
    wedge = [(0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (0.0, 40.0)]
    parts = [StripPart(wedge, 4, (0, 180))]
    placing = place_on_strip(62, parts, limits=SolveLimits(), rounds=20)
    assert list(strip_faults(62, parts, placing)) == []
