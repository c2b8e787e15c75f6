"""Refilling: cheaper loads that can really be cut, never dearer ones, and a quick bound that no plan beats."""

from __future__ import annotations

from collections import Counter
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.placing.kernels_trees import (
    FREE,
    KIND,
    LENGTH,
    NODE_FIELDS,
    ROOMS,
    WIDTH,
    cut_in,
    plant,
    take_back,
)
from nesting.placing.refilling import Refilled, refilled
from nesting.plans.cutorder import cut_order
from nesting.sizing.problem import PartClass, Problem, SheetSize
from nesting.sizing.quickbound import price_step, quick_bound
from tests.small_problems import fits_of, least_cost, packing, part

FREELY = Budget.of(SolveLimits())


def wanted(problem: Problem) -> Counter[int]:
    return Counter({k: count for k, count in enumerate(problem.demand) if count})


def run(problem: Problem, rounds: int = 2000, **more: float) -> Refilled:
    return refilled(problem, wanted(problem), {}, FREELY, rounds=rounds, lowest=quick_bound(problem), **more)  # type: ignore[arg-type]


def faults(problem: Problem, found: Refilled) -> list[str]:
    """Everything wrong with loads and places, judged from the problem alone."""
    wrong = []
    carried: Counter[int] = Counter()
    used: Counter[int] = Counter()
    for (size, pattern), count in found.loads.items():
        spots, sheet = found.spots[size, pattern], problem.sheets[size]
        used[size] += count
        for k, n in pattern:
            carried[k] += n * count
        if Counter(dict(pattern)) != Counter(spot[0] for spot in spots):
            wrong.append(f"{pattern} is placed as {spots}")
        boxes = []
        for k, x, y, turned in spots:
            kind = problem.classes[k]
            a, b = (kind.width, kind.length) if turned else (kind.length, kind.width)
            if turned and not kind.turnable:
                wrong.append(f"class {k} lies turned")
            if x < 0 or y < 0 or x + a > sheet.length or y + b > sheet.width:
                wrong.append(f"class {k} at {x}, {y} reaches over the edge")
            for x0, y0, x1, y1 in boxes:
                if x < x1 and x0 < x + a and y < y1 and y0 < y + b:
                    wrong.append(f"class {k} at {x}, {y} lies on another part")
            boxes.append((x, y, x + a, y + b))
        if problem.edge_to_edge and cut_order(sheet.length, sheet.width, boxes, problem.longest_cut) is None:
            wrong.append(f"{spots} cannot be cut edge to edge")
    if carried != wanted(problem):
        wrong.append(f"carried {carried}, wanted {wanted(problem)}")
    wrong += [
        f"{used[s]} sheets of size {s}"
        for s, sheet in enumerate(problem.sheets)
        if sheet.available is not None and used[s] > sheet.available
    ]
    if abs(found.cost - sum(problem.sheets[s].price * n for s, n in used.items())) > 1e-9:
        wrong.append(f"the cost is not {found.cost}")
    return wrong


def cut_up(random: Random, length: int, width: int, pieces: int) -> list[tuple[int, int]]:
    """A sheet cut edge to edge into so many pieces, with nothing left over."""
    parts = [(length, width)]
    while len(parts) < pieces:
        parts.sort(key=lambda p: p[0] * p[1])
        a, b = parts.pop()
        if a >= b:
            at = random.randint(a // 4, a - a // 4)
            parts += [(at, b), (a - at, b)]
        else:
            at = random.randint(b // 4, b - b // 4)
            parts += [(a, at), (a, b - at)]
    return parts


def without_waste(seed: int, sheets: int, pieces: int, *, turn: bool, edge_to_edge: bool) -> Problem:
    random = Random(seed)
    parts = [size for _ in range(sheets) for size in cut_up(random, 120, 60, pieces)]
    return packing([SheetSize(120, 60, 1.0)], [(part(a, b, turn), 1) for a, b in parts], edge_to_edge)


@pytest.mark.parametrize("edge_to_edge", [False, True])
@pytest.mark.parametrize("turn", [False, True])
def test_sheets_that_were_cut_up_come_together_again(turn: bool, edge_to_edge: bool) -> None:
    problem = without_waste(3, 2, 6, turn=turn, edge_to_edge=edge_to_edge)
    found = run(problem, 60_000)
    assert faults(problem, found) == []
    assert found.cost == 2


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Parts that fit the first sheet, some in numbers, and one more sheet that may be scarce."""
    second = SheetSize(draw(st.integers(8, 20)), draw(st.integers(6, 12)), 2.5, draw(st.integers(0, 2)))
    kinds = st.builds(part, st.integers(1, 9), st.integers(1, 9), st.booleans())
    parts = draw(st.lists(st.tuples(kinds, st.integers(1, 6)), min_size=1, max_size=6))
    return packing(
        [SheetSize(draw(st.integers(9, 20)), draw(st.integers(9, 12)), 4.0), second],
        parts,
        edge_to_edge=draw(st.booleans()),
        longest_cut=draw(st.sampled_from([None, 20])),
    )


@settings(max_examples=60, deadline=None)
@given(problems())
def test_all_that_is_found_can_be_cut(problem: Problem) -> None:
    found = run(problem, 300)
    assert faults(problem, found) == []
    assert found.cost >= quick_bound(problem) - 1e-9


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5), st.booleans()), min_size=1, max_size=4),
    st.booleans(),
)
def test_no_plan_costs_less_than_the_quick_bound(
    sizes: list[tuple[int, int, bool]], edge_to_edge: bool
) -> None:
    problem = packing(
        [SheetSize(6, 5, 3.0), SheetSize(5, 5, 2.0)],
        [(part(a, b, turn), 1) for a, b, turn in sizes],
        edge_to_edge,
    )
    least = least_cost(problem, fits_of(problem))
    assert least is not None
    assert quick_bound(problem) <= least
    # so few parts leave nothing to chance
    assert run(problem).cost == least


def test_short_shear_is_obeyed() -> None:
    # 60 of 120 is the longest cut: strips of 50 across the sheet can be cut, strips along it cannot
    problem = packing(
        [SheetSize(120, 60, 1.0)], [(part(50, 20, True), 11)], edge_to_edge=True, longest_cut=60
    )
    found = run(problem)
    assert faults(problem, found) == []
    assert found.cost == 2


def test_bound_knows_that_parts_over_half_both_ways_lie_alone() -> None:
    problem = packing([SheetSize(10, 10, 7.0)], [(part(6, 6), 3)])
    assert quick_bound(problem) == 21.0


def test_bound_takes_the_cheaper_of_two_sheets_for_each_part() -> None:
    # the large part fits only the large sheet, whatever the small one costs
    sheets = [SheetSize(20, 10, 9.0), SheetSize(10, 10, 1.0)]
    assert quick_bound(packing(sheets, [(part(20, 10), 1), (part(10, 10), 2)])) == 11.0


def test_prices_not_in_cents_have_no_step() -> None:
    kinds = [(part(1, 1), 1)]
    assert price_step(packing([SheetSize(2, 2, 1.25), SheetSize(2, 3, 1.5)], kinds)) == 0.25
    assert price_step(packing([SheetSize(2, 2, 1 / 3)], kinds)) == 0.0


def test_loads_that_nothing_beats_are_given_back() -> None:
    problem = packing([SheetSize(10, 10, 1.0)], [(part(6, 6), 2)])
    loads = {(0, ((0, 1),)): 2}
    assert refilled(problem, wanted(problem), loads, FREELY, step=1.0, rounds=500) == Refilled(loads, {}, 2.0)


def test_dear_loads_are_bettered() -> None:
    problem = packing([SheetSize(10, 10, 1.0)], [(part(5, 5), 8)])
    found = refilled(problem, wanted(problem), {(0, ((0, 1),)): 8}, FREELY, step=1.0, rounds=500)
    assert found.cost == 2
    assert faults(problem, found) == []


def test_prices_that_no_float_holds_exactly_are_bettered_to_the_last_step() -> None:
    problem = packing([SheetSize(10, 10, 0.1), SheetSize(10, 5, 0.07)], [(part(5, 5), 12)])
    found = run(problem, 3000, step=0.01)
    assert faults(problem, found) == []
    assert found.cost == pytest.approx(0.3)


def test_without_enough_sheets_there_is_no_answer() -> None:
    problem = packing([SheetSize(10, 10, 1.0, available=1)], [(part(6, 6), 2)])
    assert run(problem, 200) == Refilled({}, {}, float("inf"))


def test_more_rounds_never_cost_more_and_equal_ones_change_nothing() -> None:
    problem = without_waste(5, 6, 7, turn=True, edge_to_edge=True)
    costs = [run(problem, rounds).cost for rounds in (1, 500, 4000)]
    assert costs == sorted(costs, reverse=True)
    assert run(problem, 4000) == run(problem, 4000)


def test_a_stop_gives_what_was_given() -> None:
    problem = packing([SheetSize(10, 10, 1.0)], [(part(5, 5), 4)])
    loads = {(0, ((0, 1),)): 4}
    stopped = Budget.of(SolveLimits(should_stop=lambda: True))
    assert refilled(problem, wanted(problem), loads, stopped).loads == loads


def test_a_tree_of_cuts_gives_all_its_room_back() -> None:
    random = Random(1)
    tree, leaves, head = (
        np.zeros((4000, NODE_FIELDS), np.int64),
        np.zeros(4000, np.int64),
        np.zeros(5, np.int64),
    )
    plant(tree, leaves, head, 120, 60)
    placed: list[tuple[int, int]] = []
    for _ in range(500):
        free = [int(leaves[i]) for i in range(head[ROOMS])]
        assert all(tree[leaf, KIND] == FREE for leaf in free)
        room = sum(int(tree[leaf, LENGTH] * tree[leaf, WIDTH]) for leaf in free)
        assert room + sum(area for _, area in placed) == 120 * 60
        if placed and random.random() < 0.5:
            take_back(tree, leaves, head, placed.pop(random.randrange(len(placed)))[0])
        elif free:
            leaf = random.choice(free)
            a, b = random.randint(1, int(tree[leaf, LENGTH])), random.randint(1, int(tree[leaf, WIDTH]))
            placed.append((cut_in(tree, leaves, head, leaf, a, b, random.randrange(2), 0), a * b))
    for node, _ in placed:
        take_back(tree, leaves, head, node)
    assert head[ROOMS] == 1
    assert tuple(tree[leaves[0], LENGTH : WIDTH + 1]) == (120, 60)


def test_classes_that_are_alike_may_wait_in_any_number() -> None:
    problem = Problem((SheetSize(12, 12, 1.0),), (PartClass(4, 3, True), PartClass(2, 2, False)), (24, 36))
    found = run(problem, 3000)
    assert faults(problem, found) == []
    assert found.cost == 3
