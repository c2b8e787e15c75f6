"""What is proved not to go together does not, and what goes together is never refuted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.job import Cutting, Job, Stock, Turn
from nesting.outline import Ring
from nesting.shaping.shapefitting import ShapeFitter
from nesting.shaping.shapepairs import ShapePairs
from nesting.sizing.partshapes import class_and_orientation
from nesting.sizing.problem import PartClass, SheetSize
from nesting.sizing.sizes import sheet_size
from tests.hand_plans import base_job

WEDGE: Ring = ((0, 0, 0), (600, 0, 0), (600, 200, 0), (0, 400, 0))
ROUNDED: Ring = ((0, 0, 0), (500, 0, 0), (500, 200, 0.41421356237), (300, 400, 0), (0, 400, 0))
BOX: Ring = ((0, 0, 0), (500, 0, 0), (500, 300, 0), (0, 300, 0))


def job(**keys: object) -> Job:
    return replace(base_job(), cutting=replace(Cutting(), **keys))  # type: ignore[arg-type]


def sheet(of: Job, length: float, width: float) -> SheetSize:
    return sheet_size(of, Stock("", width, length, 1.0))


def kinds(of: Job, *rings: Ring) -> tuple[PartClass, ...]:
    return tuple(class_and_orientation(of, ring)[0] for ring in rings)


@pytest.mark.parametrize(("width", "refuted"), [(598.0, True), (599.0, False)])
def test_two_wedges_one_turned_by_half_are_as_high_as_both_ends_together(width: float, refuted: bool) -> None:
    # 400 + 200 at either end, less the third of the 5 mm by which one may lie farther along its slope
    of = job()
    pairs = ShapePairs(kinds(of, WEDGE), 0.0)
    assert pairs.refuted(sheet(of, 605.0, width), 0, 0) is refuted


def test_the_gap_counts_as_far_as_bounds_may_count_it() -> None:
    of = job(gap=10.0)
    pairs = ShapePairs(kinds(of, WEDGE), 10.0)
    assert pairs.refuted(sheet(of, 605.0, 603.0), 0, 0)
    assert not pairs.refuted(sheet(of, 605.0, 611.0), 0, 0)


def test_wedges_that_may_not_be_turned_cannot_share_a_sheet_that_turned_ones_share() -> None:
    of = job(turn=Turn.NONE)
    assert ShapePairs(kinds(of, WEDGE), 0.0).refuted(sheet(of, 605.0, 601.0), 0, 0)
    of = job(turn=Turn.HALF)
    assert not ShapePairs(kinds(of, WEDGE), 0.0).refuted(sheet(of, 605.0, 601.0), 0, 0)


@pytest.mark.parametrize(("length", "refuted"), [(1495.0, True), (1505.0, False)])
def test_three_rounded_parts_taller_than_half_the_sheet_take_their_whole_lengths(
    length: float, refuted: bool
) -> None:
    # back to back or turned, the round corners of two parts face a straight edge or one another: none goes under
    of = job()
    pairs = ShapePairs(kinds(of, ROUNDED), 0.0)
    assert pairs.row_refuted(sheet(of, length, 420.0), [0, 0, 0]) is refuted


CASES = st.tuples(
    st.lists(st.sampled_from([WEDGE, ROUNDED, BOX]), min_size=2, max_size=3),
    st.integers(6, 20).map(lambda n: 100.0 * n),
    st.integers(4, 12).map(lambda n: 100.0 * n),
    st.sampled_from([0.0, 6.0]),
)


@settings(max_examples=25)
@given(CASES)
def test_what_can_be_placed_is_never_refuted(case: tuple[list[Ring], float, float, float]) -> None:
    rings, length, width, gap = case
    of = job(gap=gap, flip=True)
    classes = tuple(dict.fromkeys(kinds(of, *rings)))
    numbers = [classes.index(kind) for kind in kinds(of, *rings)]
    size = sheet(of, length, width)
    pattern = tuple(sorted((k, numbers.count(k)) for k in set(numbers)))
    if ShapeFitter(classes, gap).places(size, pattern, 20) is not None:
        pairs = ShapePairs(classes, gap)
        assert not any(pairs.refuted(size, a, b) for a in numbers for b in numbers if a != b)
        assert not pairs.row_refuted(size, numbers)
