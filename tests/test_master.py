"""The master programme: its relaxation by hand, its branches, and the whole-number choice among known patterns."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.programme.master import Master, pick_whole
from nesting.programme.relaxation import Aim, Bounds
from nesting.sizing.problem import CellEdge, Choice, Column, PartClass, Pattern, Problem, SeamRun, SheetSize
from tests.small_problems import packing, part, rows_of_bays

MANY = 100
PENALTY = 1000.0
ALONE: Pattern = ((0, 1),)
PAIR: Pattern = ((0, 2),)


def equal_parts(count: int, *sheets: SheetSize) -> Problem:
    """So many parts of 5 x 8; two go on a sheet of 10 x 8."""
    return packing(sheets or [SheetSize(10, 8, 12.0)], [(part(5, 8), count)])


def open_bounds(problem: Problem) -> Bounds:
    return Bounds(tuple((0, MANY) for _ in problem.sheets), (0, MANY), (0, MANY))


def master_of(problem: Problem, *columns: Column, aim: Aim | None = None) -> Master:
    master = Master(problem, aim or Aim(), PENALTY)
    for column in columns:
        master.add(column)
    master.set_bounds(open_bounds(problem))
    return master


def value(master: Master) -> float:
    relaxed = master.relax()
    assert relaxed is not None
    return relaxed.value


def test_three_parts_two_to_a_sheet_relax_to_a_sheet_and_a_half() -> None:
    relaxed = master_of(equal_parts(3), (0, ALONE), (0, PAIR)).relax()
    assert relaxed is not None
    assert relaxed.value == pytest.approx(18.0)
    assert relaxed.y == pytest.approx({(0, PAIR): 1.5})
    # one part more would take half a sheet more
    assert relaxed.worth[0, 0] == pytest.approx(6.0)
    assert relaxed.missed == pytest.approx(0.0)


def test_part_that_nothing_carries_is_missed_at_a_price() -> None:
    relaxed = master_of(equal_parts(3)).relax()
    assert relaxed is not None
    assert relaxed.missed == pytest.approx(3.0)
    assert relaxed.value == pytest.approx(3 * PENALTY)


def test_pattern_is_added_once_and_can_be_dropped() -> None:
    master = master_of(equal_parts(2), (0, ALONE))
    assert master.add((0, PAIR))
    assert not master.add((0, PAIR))
    assert value(master) == pytest.approx(12.0)
    master.drop((0, PAIR))
    assert value(master) == pytest.approx(24.0)


def test_thinned_model_knows_the_kept_patterns_only() -> None:
    problem = equal_parts(2)
    thinned = master_of(problem, (0, ALONE), (0, PAIR)).thinned([(0, ALONE)])
    thinned.set_bounds(open_bounds(problem))
    assert list(thinned.columns) == [(0, ALONE)]
    assert value(thinned) == pytest.approx(24.0)


def test_a_pattern_gains_where_it_carries_more_than_its_sheet_costs() -> None:
    problem = equal_parts(3)
    relaxed = master_of(problem, (0, ALONE)).relax()
    assert relaxed is not None
    assert relaxed.gains(problem, (0, PAIR))
    assert not relaxed.gains(problem, (0, ALONE))


def test_branch_bounds_numbers_of_sheets() -> None:
    problem = equal_parts(4, SheetSize(10, 8, 12.0), SheetSize(5, 8, 8.0))
    master = master_of(problem, (0, PAIR), (1, ALONE))
    free = open_bounds(problem)
    assert value(master) == pytest.approx(24.0)
    master.set_bounds(replace(free, sheets=((0, 1), (0, MANY))))
    assert value(master) == pytest.approx(12.0 + 2 * 8.0)
    master.set_bounds(replace(free, sheets=((0, MANY), (1, MANY))))
    assert value(master) == pytest.approx(1.5 * 12.0 + 8.0)
    master.set_bounds(replace(free, total=(3, MANY)))
    assert value(master) == pytest.approx(12.0 + 2 * 8.0)
    master.set_bounds(free)
    assert value(master) == pytest.approx(24.0)


def test_branch_bounds_parts_from_one_sheet_size() -> None:
    problem = equal_parts(4, SheetSize(10, 8, 12.0), SheetSize(5, 8, 8.0))
    master = master_of(problem, (0, PAIR))
    free = open_bounds(problem)
    master.set_bounds(replace(free, on_sheet=(((0, 1), 1, MANY),)))
    # a pattern that comes after the branch counts in it too
    master.add((1, ALONE))
    relaxed = master.relax()
    assert relaxed is not None
    assert relaxed.value == pytest.approx(1.5 * 12.0 + 8.0)
    # on the small sheet a part is worth the whole of it, on the large one half
    assert relaxed.worth[:, 0] == pytest.approx([6.0, 8.0])
    master.set_bounds(replace(free, on_sheet=(((0, 0), 0, 1),)))
    assert value(master) == pytest.approx(0.5 * 12.0 + 3 * 8.0)
    master.set_bounds(free)
    assert value(master) == pytest.approx(24.0)


def test_raised_penalty_leaves_nothing_missed_that_can_be_had() -> None:
    # a cell whose panel takes three sheets: at a penalty of 1 it is cheaper to miss
    problem = Problem(
        (SheetSize(10, 8, 5.0),), (part(10, 8),), (0,), 1, (Choice((0,), (0, 0, 0)),), most=(3,)
    )
    master = Master(problem, Aim(), 1.0)
    master.add((0, ALONE))
    master.set_bounds(open_bounds(problem))
    assert value(master) == pytest.approx(1.0)
    while value(master) < 15.0 and master.raise_penalty(15.0):
        pass
    assert value(master) == pytest.approx(15.0)


def two_panels() -> Problem:
    """Two bays closed by one panel of 10 x 8 or by two of 5 x 8 with a seam at 3."""
    return rows_of_bays([(5, 5)], 8, [SheetSize(10, 8, 12.0), SheetSize(5, 8, 4.0)], seam_cost=3.0)


PANELS: tuple[Column, ...] = ((0, ((1, 1),)), (1, ((0, 1),)))


def test_cells_are_closed_and_seams_paid() -> None:
    problem = two_panels()
    assert problem.classes == (part(8, 5, True), part(10, 8, True))
    master = master_of(problem, *PANELS)
    assert value(master) == pytest.approx(2 * 4.0 + 3.0)
    assert value(master_of(problem, *PANELS, aim=Aim(seams_count=False))) == pytest.approx(8.0)
    master.set_bounds(replace(open_bounds(problem), seams=(0, 0)))
    assert value(master) == pytest.approx(12.0)
    whole = problem.choices.index(next(choice for choice in problem.choices if len(choice.cells) == 2))
    master.set_bounds(replace(open_bounds(problem), seams=(0, 0), shut=frozenset({whole})))
    assert value(master) >= PENALTY


def test_a_choice_costs_by_the_duals_no_more_than_it_adds_to_the_value() -> None:
    problem = two_panels()
    bounds = open_bounds(problem)
    master = master_of(problem, *[(0, ((k, 1),)) for k in range(len(problem.classes))])
    relaxed = master.relax()
    assert relaxed is not None
    for p in range(len(problem.choices)):
        others = frozenset(
            q
            for q, choice in enumerate(problem.choices)
            if q != p and set(choice.cells) & set(problem.choices[p].cells)
        )
        master.set_bounds(replace(bounds, shut=others))
        assert value(master) >= relaxed.value + relaxed.x_cost[p] - 1e-6


def test_picked_choice_is_the_cheapest_whole_one() -> None:
    problem = two_panels()
    picked = pick_whole(problem, Aim(), PANELS, 10.0)
    assert picked is not None
    assert picked.cost == pytest.approx(11.0)
    assert picked.sheets == {PANELS[1]: 2}
    assert [problem.choices[p].cells for p in picked.choices] == [(0,), (1,)]


def test_picked_choice_keeps_to_the_cap_of_seams() -> None:
    picked = pick_whole(two_panels(), Aim(seam_cap=0), PANELS, 10.0)
    assert picked is not None
    assert picked.sheets == {PANELS[0]: 1}


def test_nothing_is_picked_when_all_costs_more_than_asked() -> None:
    assert pick_whole(two_panels(), Aim(), PANELS, 10.0, below=10.9) is None
    assert pick_whole(two_panels(), Aim(), PANELS, 10.0, below=11.1) is not None


def test_no_more_sheets_are_picked_than_there_are() -> None:
    few = equal_parts(3, SheetSize(10, 8, 12.0, available=1), SheetSize(5, 8, 20.0))
    picked = pick_whole(few, Aim(), [(0, PAIR), (1, ALONE)], 10.0)
    assert picked is not None
    assert picked.sheets == {(0, PAIR): 1, (1, ALONE): 1}
    none = equal_parts(3, SheetSize(10, 8, 12.0, available=1))
    assert pick_whole(none, Aim(), [(0, PAIR)], 10.0) is None


def square_of_cells() -> Problem:
    """Four cells in two rows, closed by single cells or full rows; a seam is counted where it begins."""
    single, row = part(5, 5), part(10, 5)
    choices = (
        *(Choice((cell,), (0,)) for cell in range(4)),
        Choice((0, 1), (1,)),
        Choice((2, 3), (1,)),
    )
    runs = (
        SeamRun((0,), (1,)),
        SeamRun((2,), (3,)),
        # on the level: it begins at the left of either hand's panels
        SeamRun((0, 4), (2, 5)),
        SeamRun((1,), (3,)),
    )
    edges = (CellEdge((4,), (0,), (1,)), CellEdge((5,), (2,), (3,)))
    return Problem(
        (SheetSize(10, 10, 1.0),), (single, row), (0, 0), 4, choices, runs, edges, seam_cost=10.0, most=(4, 2)
    )


@pytest.mark.parametrize(
    ("shut", "seams"),
    [({0, 1, 2, 3}, 1), ({0, 1, 5}, 3), ({2, 3, 4}, 3), ({4, 5}, 4)],
    ids=["two rows", "row below", "row above", "four cells"],
)
def test_seams_on_a_level_are_counted_where_they_begin(shut: set[int], seams: int) -> None:
    problem = square_of_cells()
    columns: list[Column] = [(0, ((0, 4),)), (0, ((1, 2),)), (0, ((0, 2), (1, 1)))]
    master = master_of(problem, *columns)
    master.set_bounds(replace(open_bounds(problem), shut=frozenset(shut)))
    assert value(master) == pytest.approx(1.0 + 10.0 * seams)


@st.composite
def covered(draw: st.DrawFn) -> tuple[Problem, list[Column]]:
    """Bays with patches, and patterns from a hat: each class alone on the first sheet, and some mixtures."""
    widths = draw(st.lists(st.integers(2, 5), min_size=1, max_size=4))
    sheets = [
        SheetSize(40, 8, float(draw(st.integers(1, 9)))),
        SheetSize(20, 8, float(draw(st.integers(1, 9)))),
    ]
    patches: list[tuple[PartClass, int]] = [(part(2, 2), draw(st.integers(0, 3)))]
    problem = rows_of_bays(
        [widths], 8, sheets, patches, seam_cost=float(draw(st.integers(0, 3))), turnable=False
    )
    columns: dict[Column, None] = {(0, ((k, 1),)): None for k in range(len(problem.classes))}
    loads = st.dictionaries(
        st.integers(0, len(problem.classes) - 1), st.integers(1, 3), min_size=1, max_size=3
    )
    for load in draw(st.lists(loads, max_size=6)):
        columns[draw(st.integers(0, 1)), tuple(sorted(load.items()))] = None
    return problem, list(columns)


@settings(deadline=None, max_examples=60)
@given(covered(), st.sampled_from([None, 0, 1, 2]), st.booleans())
def test_relaxation_is_never_above_the_whole_number_choice(
    given_columns: tuple[Problem, list[Column]], seam_cap: int | None, seams_count: bool
) -> None:
    problem, columns = given_columns
    aim = Aim(seams_count, seam_cap)
    master = master_of(problem, *columns, aim=aim)
    if seam_cap is not None:
        master.set_bounds(replace(open_bounds(problem), seams=(0, seam_cap)))
    picked = pick_whole(problem, aim, columns, 10.0)
    assert picked is not None
    assert value(master) <= picked.cost + 1e-6
    assert picked.bound <= picked.cost + 1e-6
