"""Room on a rivet line, and lines as polylines, in detail: spans, fitted places, and where two lines meet."""

from __future__ import annotations

from itertools import pairwise
from math import dist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.plan import Point
from nesting.rivets.insets import Points
from nesting.rivets.polylines import extent, lie_apart, marks_along, meetings, point_at
from nesting.rivets.room import fitted, free_spans

LEAST = 15.0
SQUARE: Points = ((50.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0), (50.0, 0.0))
"""A closed line 400 long, begun in the middle of its lowest edge."""

COORDINATES = st.integers(-60, 60).map(lambda n: n / 2)
PLACES = st.tuples(COORDINATES, COORDINATES)


# Room


def test_spans_end_where_the_line_does_and_begin_within_what_is_asked() -> None:
    path: Points = ((0.0, 0.0), (100.0, 0.0))
    marks = marks_along(path)
    assert free_spans(path, marks, (10.0, 90.0), [], LEAST) == [(10, 90)]
    ((low, high),) = free_spans(path, marks, (10.0, 90.0), [(0.0, 0.0)], LEAST)
    assert (low, high) == pytest.approx((15, 90), abs=1e-5)
    # one on the line inside what is asked is a place of its own; one outside is none
    spans = free_spans(path, marks, (10.0, 90.0), [(100.0, 0.0), (50.0, 0.0)], LEAST)
    assert [x for span in spans for x in span] == pytest.approx([10, 35, 50, 50, 65, 85], abs=1e-5)
    assert free_spans(path, marks, (40.0, 60.0), [(50.0, 3.0)], LEAST) == []


def test_spans_run_on_past_the_start_of_a_closed_line() -> None:
    marks = marks_along(SQUARE)
    spans = free_spans(SQUARE, marks, (350.0, 450.0), [(50.0, 4.0)], LEAST)
    half = (15**2 - 4**2) ** 0.5
    assert [x for span in spans for x in span] == pytest.approx([350, 400 - half, 400 + half, 450], abs=1e-4)


def test_what_a_line_shares_after_its_start_is_found_on_the_next_round() -> None:
    marks = marks_along(SQUARE)
    spans = free_spans(SQUARE, marks, (350.0, 450.0), [(70.0, 0.0)], LEAST)
    assert [x for span in spans for x in span] == pytest.approx([350, 405, 420, 420, 435, 450], abs=1e-4)


def test_spans_are_measured_from_where_the_line_begins() -> None:
    upright: Points = ((30.0, 50.0), (30.0, 150.0))
    spans = free_spans(upright, marks_along(upright), (0.0, 100.0), [(42.0, 100.0)], LEAST)
    assert [x for span in spans for x in span] == pytest.approx([0, 41, 59, 100], abs=1e-5)


def test_places_are_fitted_nearest_to_equal_spaces() -> None:
    assert fitted((0.0, 90.0), [(0.0, 90.0)], LEAST, 31.0) == pytest.approx([30, 60])
    assert fitted((0.0, 90.0), [(0.0, 20.0), (40.0, 90.0)], LEAST, 40.0) == pytest.approx([20, 60])
    assert fitted((0.0, 90.0), [(0.0, 90.0)], LEAST, 90.0) == []
    assert fitted((0.0, 29.0), [(0.0, 29.0)], LEAST, 28.0) is None
    assert fitted((0.0, 29.0), [(0.0, 29.0)], LEAST, 28.0, held=(True, False)) == [15]
    assert fitted((0.0, 29.0), [(0.0, 29.0)], LEAST, 28.0, held=(False, True)) == [14]
    assert fitted((0.0, 29.0), [(0.0, 29.0)], LEAST, 28.0, held=(False, False)) == [14.5]


# Polylines


def test_points_lie_where_their_marks_say() -> None:
    marks = marks_along(SQUARE)
    assert marks == [0, 50, 150, 250, 350, 400]
    assert point_at(SQUARE, marks, 0.0) == (50, 0)
    assert point_at(SQUARE, marks, 50.0) == (100, 0)
    assert point_at(SQUARE, marks, 60.0) == (100, 10)
    assert point_at(SQUARE, marks, 390.0) == (40, 0)
    assert point_at(SQUARE, marks, 400.0) == (50, 0)


def met(first: Points, second: Points) -> list[tuple[Point, float, float]]:
    return list(meetings(first, marks_along(first), second, marks_along(second)))


def test_lines_meet_where_they_cross_touch_or_run_together() -> None:
    level: Points = ((0.0, 0.0), (40.0, 0.0), (100.0, 0.0))
    assert met(level, ((60.0, -10.0), (60.0, 30.0))) == [((60, 0), 60, 10)]
    ((point, a, b),) = met(level, ((70.0, 0.0005), (70.0, 30.0)))
    assert (*point, a, b) == pytest.approx((70, 0.0005, 70, 0))
    assert met(level, ((70.0, 0.002), (70.0, 30.0))) == []
    assert met(level, ((101.0, -10.0), (101.0, 10.0))) == []
    assert met(level, ((0.0, 5.0), (100.0, 5.0))) == []
    along = met(level, ((60.0, 0.0), (160.0, 0.0)))
    assert set(along) == {((100, 0), 100, 40), ((60, 0), 60, 0)}
    assert met(((0.0, 0.0), (10.0, 10.0)), ((0.0, 8.0), (4.0, 12.0))) == []
    ((point, a, b),) = met(((0.0, 0.0), (30.0, 40.0)), ((30.0, 0.0), (0.0, 40.0)))
    assert (*point, a, b) == pytest.approx((15, 20, 25, 25))


def test_lines_meet_on_a_stretch_that_turns_back() -> None:
    back: Points = ((0.0, 0.0), (50.0, 0.0), (0.0, 50.0))
    short: Points = ((35.0, 5.0), (45.0, 15.0))
    ((point, a, b),) = met(back, short)
    assert (*point, a, b) == pytest.approx((40, 10, 50 + 200**0.5, 50**0.5))
    ((point, a, b),) = met(short, back)
    assert (*point, a, b) == pytest.approx((40, 10, 50**0.5, 50 + 200**0.5))


@given(
    st.lists(PLACES, min_size=2, max_size=4, unique=True),
    st.lists(PLACES, min_size=2, max_size=4, unique=True),
)
def test_what_two_lines_share_lies_on_both(first: list[Point], second: list[Point]) -> None:
    one, other = tuple(first), tuple(second)
    marks, others = marks_along(one), marks_along(other)
    found = met(one, other)
    for point, a, b in found:
        assert dist(point_at(one, marks, min(a, marks[-1])), point) < 2e-3
        assert dist(point_at(other, others, min(b, others[-1])), point) < 2e-3
    assert bool(met(other, one)) is bool(found)
    if lie_apart(extent(one), extent(other)):
        assert found == []
    crossing = any(
        _sides_differ(a, b, c, d) and _sides_differ(c, d, a, b)
        for a, b in pairwise(one)
        for c, d in pairwise(other)
    )
    assert found or not crossing


def _sides_differ(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point) -> float:
        return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])

    return side(c) * side(d) < 0


def test_boxes_lie_apart_only_where_nothing_can_meet() -> None:
    box = extent([(0.0, 0.0), (10.0, 5.0), (4.0, 7.0)])
    assert list(box) == [0, 0, 10, 7]
    for other, apart in (
        ((10.0005, 0.0, 20.0, 7.0), False),
        ((10.002, 0.0, 20.0, 7.0), True),
        ((-9.0, 0.0, -0.0005, 7.0), False),
        ((-9.0, 0.0, -0.002, 7.0), True),
        ((0.0, 7.0005, 9.0, 9.0), False),
        ((0.0, 7.002, 9.0, 9.0), True),
        ((0.0, -9.0, 9.0, -0.0005), False),
        ((0.0, -9.0, 9.0, -0.002), True),
    ):
        assert lie_apart(box, other) is apart
        assert lie_apart(other, box) is apart
