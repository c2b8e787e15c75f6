"""Rivets that others would crowd are moved along their line, and left out only where the pitch cannot hold."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.job import Bay, Hand, Land, RivetRules, SeamKind, SeamRules, Side, Stock
from nesting.limits import SolveLimits
from nesting.plan import Point
from nesting.planning import plan_job
from nesting.rivets.lines import SetLine, set_rivets
from nesting.rivets.paths import LinePath
from nesting.rivets.polylines import marks_along
from nesting.rivets.room import Span, fitted, free_spans
from tests.hand_plans import base_job

LEAST = 15.0


def row_and_others(length: float, pitch: float, others: list[Point], *, staggered: bool = False) -> SetLine:
    """A level row beside which rivets of other lines stand, each at the end of a short line of its own."""
    stubs = [
        LinePath("edge", "", f"stub {i}", ("D1",), ((x, y), (x, y + 500)), 100.0)
        for i, (x, y) in enumerate(others)
    ]
    stagger = LEAST if staggered else None
    row = LinePath("seam", "", "row", ("D1", "D2"), ((0.0, 0.0), (length, 0.0)), pitch, stagger)
    return set_rivets([row, *stubs], LEAST, LEAST)[0]


def test_a_span_that_others_block_is_cut_out_of_the_line() -> None:
    path = ((0.0, 0.0), (100.0, 0.0))
    (low, high) = free_spans(path, marks_along(path), (0.0, 100.0), [(50.0, 9.0)], LEAST)
    assert low == pytest.approx((0, 38), abs=1e-5)
    assert high == pytest.approx((62, 100), abs=1e-5)


def test_a_rivet_that_lies_on_the_line_can_be_shared() -> None:
    path = ((0.0, 0.0), (60.0, 0.0), (60.0, 60.0))
    spans = free_spans(path, marks_along(path), (0.0, 120.0), [(60.0, 30.0)], LEAST)
    assert [x for span in spans for x in span] == pytest.approx([0, 75, 90, 90, 105, 120], abs=1e-5)


@pytest.mark.parametrize(
    ("free", "widest", "places"),
    [
        ([(0.0, 100.0)], 40.0, [100 / 3, 200 / 3]),
        ([(0.0, 30.0), (60.0, 100.0)], 40.0, [30.0, 200 / 3]),
        ([(0.0, 30.0), (80.0, 100.0)], 40.0, None),
        ([(30.0, 30.0), (70.0, 70.0)], 40.0, [30.0, 70.0]),
        ([], 100.0, []),
    ],
)
def test_the_fewest_rivets_that_hold_the_pitch_are_fitted(
    free: list[Span], widest: float, places: list[float] | None
) -> None:
    found = fitted((0.0, 100.0), free, LEAST, widest)
    assert found == (None if places is None else pytest.approx(places))


def test_beside_an_end_without_a_rivet_there_is_room_up_to_the_end() -> None:
    free = [(0.0, 5.0), (40.0, 60.0)]
    assert fitted((0.0, 80.0), free, LEAST, 38.0) is None
    assert fitted((0.0, 80.0), free, LEAST, 40.0, held=(False, True)) == [40.0]


@st.composite
def spans(draw: st.DrawFn) -> list[Span]:
    marks = sorted(draw(st.sets(st.integers(0, 40), max_size=10)))
    return [(5.0 * a, 5.0 * b) for a, b in zip(marks[::2], marks[1::2], strict=False)]


@given(spans(), st.integers(3, 40), st.integers(1, 4), st.integers(4, 12))
@settings(deadline=None, max_examples=150)
def test_rivets_are_fitted_exactly_where_a_search_over_every_place_finds_them(
    free: list[Span], end: int, least: int, widest: int
) -> None:
    # spans, least and widest lie on a grid of 5, so that places on the grid are enough
    open_places = [i for i in range(1, end) if any(a <= 5 * i <= b for a, b in free)]
    fewest = {0: 0}
    for place in [*open_places, end]:
        before = [n for x, n in fewest.items() if least <= place - x <= widest]
        if before:
            fewest[place] = min(before) + 1
    found = fitted((0.0, 5.0 * end), free, 5.0 * least, 5.0 * widest)
    if end not in fewest:
        # an end nearer than the least pitch needs no rivet between
        assert found is None
        return
    assert found is not None
    assert len(found) == fewest[end] - 1
    assert all(any(a - 1e-6 <= x <= b + 1e-6 for a, b in free) for x in found)
    spaces = [b - a for a, b in pairwise([0.0, *found, 5.0 * end])]
    assert 5 * least - 1e-6 <= min(spaces)
    assert max(spaces) <= 5 * widest + 1e-6


def test_a_crowded_rivet_is_moved_and_its_neighbours_stay() -> None:
    # Wanted at 40, 80, 120, 160; a rivet 9 beside 85 leaves 40 to 73 and 97 to 120 free.
    line = row_and_others(200, 44, [(85.0, 9.0)])
    assert [x for x, _ in line.points] == pytest.approx([0, 40, 73, 97, 120, 160, 200], abs=20)
    assert {40, 120, 160} <= {x for x, _ in line.points}
    assert line.widest <= 44 + 1e-5
    assert line.left_out == 0


def test_a_staggered_row_keeps_its_pitch_beside_the_corner_of_another_line() -> None:
    # Half a space of 40 before the end at 200 the row's rivet would stand 12.2 from the rivet beside it.
    line = row_and_others(200, 44, [(185.0, 11.0)], staggered=True)
    assert line.where == "row, staggered"
    assert line.widest <= 44 + 1e-5
    assert line.left_out == 0


def test_a_rivet_without_room_is_left_out_and_the_space_is_kept_small() -> None:
    # Rivets 9 beside 80, 90 and 100 leave nothing between 68 and 112: 44 is the least space there is.
    line = row_and_others(180, 38, [(80.0, 9.0), (100.0, 9.0)])
    assert line.left_out == 1
    assert line.widest == pytest.approx(44, rel=0.06)


@given(
    st.integers(100, 900),
    st.integers(31, 70),
    st.lists(st.tuples(st.integers(20, 880), st.integers(1, 20)), max_size=6),
    st.booleans(),
)
@settings(deadline=None, max_examples=150)
def test_the_pitch_holds_or_the_line_says_that_a_rivet_is_left_out(
    length: int, pitch: int, beside: list[tuple[int, int]], staggered: bool
) -> None:
    line = row_and_others(length, pitch, [(float(x), float(y)) for x, y in beside], staggered=staggered)
    assert line.left_out or line.widest <= pitch + 1e-5
    assert all(b[0] - a[0] >= LEAST - 1e-5 for a, b in pairwise(line.points))


@pytest.mark.parametrize("sill", [0.0, 14.2875, 60.0])
def test_two_rows_over_a_post_between_unequal_bays_pass_the_check(sill: float) -> None:
    # The panel's edges slant over the post: its corner comes near the hidden row between two of its rivets.
    bays = (Bay(781.05, 739.775, sill), Bay(801.6875, 688.975))
    side = Side("driver side", Hand.RIGHT, bays, (50.8,))
    job = base_job(
        seam=SeamRules(SeamKind.LAP, 12.7, rows=2, row_spacing=14.2875, cost=12.0),
        rivets=RivetRules(diameter=4.7625, seam_pitch=38.1, edge_pitch=50.8, post_pitch=101.6),
        land=Land(top=38.1, bottom=30.1625, ends=19.05),
        sides=(side,),
        stock=(Stock("one bay", 900.0, 950.0, 50.0),),
    )
    planned = plan_job(job, SolveLimits(time_limit=5))
    (hidden,) = [line for line in planned.fasteners.lines if line.where.endswith("row 2 of 2, staggered")]
    assert hidden.pitch <= 38.1 + 1e-5
    assert not any("left out" in warning and hidden.where in warning for warning in planned.warnings)
