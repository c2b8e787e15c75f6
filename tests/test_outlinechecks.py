"""Typed outlines: what is made right without a word, and what is told, by corner."""

from __future__ import annotations

from math import cos, inf, nan, pi, radians, sin, tan

import pytest
from ezdxf import math as other
from hypothesis import assume, example, given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from nesting.outline import Ring, arc_centre, bounds, edges, flattened, moved, rectangle, signed_area
from nesting.reading.edgegaps import TOUCH_MM, Edge, distance_to, edge_gap, middle, tangents
from nesting.reading.outlinechecks import (
    LONGEST_OUTLINE_MM,
    MAX_BULGE,
    MAX_CORNERS,
    OutlineProblem,
    checked_ring,
    holes_inside,
    inside,
)

SQUARE = [[0, 0], [100, 0], [100, 100], [0, 100]]


def ring(points: list[list[float]]) -> Ring:
    """The ring of an outline that has no problems."""
    found = checked_ring(points)
    assert not isinstance(found, list), [str(problem) for problem in found]
    return found


def problems(points: list[list[float]], units: str = "mm") -> list[OutlineProblem]:
    found = checked_ring(points, units)
    assert isinstance(found, list), found
    return found


def only_problem(points: list[list[float]]) -> OutlineProblem:
    (problem,) = problems(points)
    return problem


def square(x: float, y: float, size: float) -> Ring:
    return rectangle(x, y, x + size, y + size)


def test_a_square_stays_as_it_is() -> None:
    assert ring(SQUARE) == ((0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0))


def test_a_closing_point_is_dropped() -> None:
    assert ring([*SQUARE, [0, 0]]) == ring(SQUARE)


def test_a_clockwise_outline_is_turned_round_and_keeps_its_first_corner() -> None:
    found = ring([[0, 0], [0, 100], [100, 100, 0.5], [100, 0]])
    assert found == ((0, 0, 0), (100, 0, -0.5), (100, 100, 0), (0, 100, 0))
    assert signed_area(found) > 0


def test_repeated_points_are_dropped_and_the_edge_of_the_last_kept() -> None:
    found = ring([[0, 0], [100, 0], [100, 0.005, 0.5], [100, 100], [0, 100], [0, 0.001]])
    assert found == ((0, 0, 0), (100, 0, 0.5), (100, 100, 0), (0, 100, 0))


def test_a_corner_in_a_straight_line_is_kept() -> None:
    assert len(ring([[0, 0], [50, 0], [100, 0], [100, 100], [0, 100]])) == 5


def test_two_half_arcs_are_a_circle() -> None:
    assert signed_area(ring([[0, 0, 1], [100, 0, 1]])) == pytest.approx(pi * 50**2)


def test_a_half_disc_has_two_corners() -> None:
    assert signed_area(ring([[0, 0], [100, 0, 1]])) == pytest.approx(pi * 50**2 / 2)


def test_two_arcs_of_one_hand_that_lie_on_one_another_are_a_spike() -> None:
    assert {problem.what for problem in problems([[0, 0, 1], [100, 0, -1]])} == {"turns back on itself"}


@pytest.mark.parametrize("points", [[], [[0, 0]], [[0, 0], [1, 1]], [[0, 0], [9, 0], [9, 0], [0, 0]]])
def test_fewer_than_three_corners_are_no_outline(points: list[list[float]]) -> None:
    assert "at least three" in only_problem(points).remedy


def test_a_bow_tie_is_told_with_its_edges_and_place() -> None:
    problem = only_problem([[0, 0], [100, 100], [100, 0], [0, 100]])
    assert problem.corner == 1
    assert problem.at == pytest.approx((50, 50))
    assert str(problem) == (
        "the outline crosses itself: the edge from corner 1 to corner 2 crosses the edge from corner 3 to "
        "corner 4 near [50, 50]; check the order of the corners and their numbers"
    )


def test_places_are_told_in_the_units_of_the_job() -> None:
    inches = [[25.4 * x, 25.4 * y] for x, y in ((0, 0), (10, 10), (10, 0), (0, 10))]
    assert "near [5, 5]" in str(problems(inches, "in")[0])


def test_corners_are_numbered_as_written_after_repeats() -> None:
    (problem,) = problems([[0, 0], [0, 0], [100, 100], [100, 0], [0, 100]])
    assert "the edge from corner 1 to corner 3 crosses the edge from corner 4 to corner 5" in str(problem)


def test_a_spike_is_told_once_with_its_corner() -> None:
    problem = only_problem([[0, 0], [100, 0], [100, 300], [100, 90], [0, 90]])
    assert (problem.corner, problem.what) == (3, "turns back on itself")


def test_a_sharp_corner_is_no_spike() -> None:
    ring([[0, 0], [1000, 0], [1000, 10]])
    assert only_problem([[0, 0], [1000, 0], [1000, 1]]).corner == 1


def test_a_corner_on_an_edge_touches_it() -> None:
    problem = only_problem([[0, 0], [100, 0], [100, 50], [50, 0], [0, 50]])
    assert problem.what == "touches itself"
    assert problem.at == pytest.approx((50, 0))


@pytest.mark.parametrize(("lift", "good"), [(0.009, False), (0.011, True)])
def test_nearer_than_a_hundredth_of_a_millimetre_is_touching(lift: float, good: bool) -> None:
    found = checked_ring([[0, 0], [100, 0], [100, 50], [50, lift], [0, 50]])
    assert isinstance(found, list) != good


def test_an_arc_that_bulges_through_the_opposite_edge_crosses_it() -> None:
    # A half circle of radius 50 dips 50 into a strip 40 high, and 30 into one that is 60 high less.
    dipping = [[0, 0], [200, 0], [200, 40], [150, 40, -1], [50, 40], [0, 40]]
    found = problems(dipping)
    assert {problem.what for problem in found} == {"crosses itself"}
    assert sorted(round(problem.at[0], 3) for problem in found if problem.at) == [70.0]
    ring([[x, 60 if y == 40 else y, *bulge] for x, y, *bulge in dipping])


def test_an_arc_that_just_reaches_the_opposite_edge_touches_it() -> None:
    problem = only_problem([[0, 0], [200, 0], [200, 50.005], [150, 50.005, -1], [50, 50.005], [0, 50.005]])
    assert problem.what == "touches itself"
    assert problem.at == pytest.approx((100, 0), abs=0.01)


def test_an_arc_may_leave_its_edge_and_may_not_come_back_through_it() -> None:
    # A circle of radius 35 about (75, 75), three quarters of it from (100, 50) round to (50, 50).
    ring([[0, 0], [100, 0], [100, 50, tan(radians(270) / 4)], [50, 50], [0, 70]])
    # One of radius 40 about (65.4, 70), five sixths of it, through the upper side that starts where it ends.
    (problem,) = problems([[0, 0], [100, 0], [100, 50, -tan(radians(300) / 4)], [100, 90], [0, 90]])
    assert problem.what == "crosses itself"
    assert problem.at == pytest.approx((100 - 40 * 3**0.5, 90))


def test_a_fillet_runs_smoothly_into_its_edges() -> None:
    # Rounded to a thousandth as drawing programs do, so that arc and edge cross a hair beside the corner.
    for radius in (3, 50, 2000):
        found = rectangle(0, 0, 5000, 5000, radius)
        ring([[round(x, 3), round(y, 3), bulge] for x, y, bulge in found])


@pytest.mark.parametrize("value", [nan, inf, -inf, 1e300, 10**400, 2e6])
def test_numbers_without_end_or_a_mile_away_are_refused(value: float) -> None:
    assert only_problem([[0, 0], [100, value], [0, 100]]).corner == 2


@pytest.mark.parametrize("point", [[], [1], [1, 2, 3, 4], "12", 5, None, ["1", "2"], [True, False]])
def test_what_is_no_point_is_refused_with_its_corner(point: object) -> None:
    found = checked_ring([[0, 0], [100, 0], point])
    assert isinstance(found, list)
    assert found[0].corner == 3
    assert "write a corner as" in found[0].remedy


@pytest.mark.parametrize("degrees", [337.5, 359.9])
def test_an_arc_of_almost_a_full_circle_is_refused(degrees: float) -> None:
    bulge = tan(radians(degrees) / 4)
    assert bulge > MAX_BULGE
    problem = only_problem([[0, 0], [100, 0, -bulge], [100, 100]])
    assert problem.corner == 2
    assert f"{degrees} degrees" in problem.remedy


def test_a_bulge_without_end_is_refused() -> None:
    for bulge in (nan, inf, 1e300, 10**400):
        assert only_problem([[0, 0, bulge], [100, 0], [100, 100]]).corner == 1


def test_an_arc_that_cannot_be_told_from_its_chord_is_straight() -> None:
    assert ring([[0, 0, 1e-9], [100, 0], [0, 100]])[0] == (0, 0, 0)


def test_an_outline_longer_than_any_opening_is_refused() -> None:
    long = LONGEST_OUTLINE_MM
    ring([[0, 0], [long, 0], [long, 10], [0, 10]])
    assert "20001 mm long" in str(only_problem([[0, 0], [long + 1, 0], [0, 100]]))
    # With a bulge of 9 the circle is 82 / 18 of its chord across: 20.5 m.
    assert "20500 mm long" in str(only_problem([[0, 0, 9], [4500, 0], [4500, 100]]))


def test_too_many_corners_are_refused_and_the_most_are_read() -> None:
    count = MAX_CORNERS
    points = [[1000 * cos(2 * pi * i / count), 1000 * sin(2 * pi * i / count)] for i in range(count)]
    assert len(ring(points)) == count
    assert str(count + 1) in str(only_problem([*points, [1, 1]]))


def test_everything_wrong_is_told_at_once() -> None:
    found = problems([[0, nan], [1, 2, 3, 4], [5, 6, 99], [7, 8]])
    assert [problem.corner for problem in found] == [1, 2, 3]


def test_holes_apart_from_edge_and_one_another_are_good() -> None:
    assert holes_inside(square(0, 0, 100), [square(10, 10, 10), square(30, 10, 10)]) == []


@pytest.mark.parametrize(
    ("holes", "what"),
    [
        ([square(95, 10, 10)], "has hole 1, which crosses its edge"),
        ([square(0, 10, 10)], "has hole 1, which touches its edge"),
        ([square(200, 10, 10)], "does not hold hole 1"),
        ([square(-50, -50, 500)], "does not hold hole 1"),
        ([square(10, 10, 10), square(15, 15, 10)], "has hole 1, which crosses hole 2"),
        ([square(10, 10, 10), square(20, 10, 10)], "has hole 1, which touches hole 2"),
        ([square(10, 10, 30), square(15, 15, 10)], "has hole 2 inside hole 1"),
    ],
)
def test_holes_that_touch_leave_or_hold_one_another_are_told(holes: list[Ring], what: str) -> None:
    (problem,) = holes_inside(square(0, 0, 100), holes)
    assert problem.what == what


def test_a_round_hole_that_chords_would_let_pass_is_told() -> None:
    # Its arc comes within a hundredth of the edge; its two corners stay 50 mm away.
    hole = ring([[50, 10, 1], [50, 99.995, 1]])
    assert holes_inside(square(0, 0, 100), [hole]) != []
    assert holes_inside(square(0, 0, 100), [moved(hole, 0, -1)]) == []


# Bulges beside ezdxf's own arithmetic (kind a: ezdxf.math, seen).

BULGES = st.floats(0.01, 5) | st.floats(-5, -0.01)
COORDINATES = st.integers(-200, 200)


@st.composite
def some_edges(draw: st.DrawFn) -> Edge:
    x0, y0, x1, y1 = (draw(COORDINATES) for _ in range(4))
    assume((x0, y0) != (x1, y1))
    return (float(x0), float(y0), draw(BULGES | st.just(0.0))), (float(x1), float(y1), 0.0)


@given(some_edges())
def test_arcs_are_those_of_another_library(edge: Edge) -> None:
    (x0, y0, bulge), (x1, y1, _) = edge
    assume(bulge)
    centre, start, end, radius = other.bulge_to_arc((x0, y0), (x1, y1), bulge)
    x, y, r = arc_centre(*edge)
    assert (x, y, r) == pytest.approx((centre.x, centre.y, radius), abs=1e-6)
    # ezdxf gives arcs counter-clockwise, ours keep their sense.
    halfway = start + ((end - start) % (2 * pi)) / 2
    assert middle(edge) == pytest.approx((x + r * cos(halfway), y + r * sin(halfway)), abs=1e-6)
    leaving, reaching = tangents(edge)
    square_to_radius = cos(leaving) * (x0 - x) + sin(leaving) * (y0 - y)
    assert square_to_radius == pytest.approx(0, abs=1e-6)
    assert cos(reaching) * (x1 - x) + sin(reaching) * (y1 - y) == pytest.approx(0, abs=1e-6)


def chords(edge: Edge) -> LineString:
    return LineString(flattened((edge[0], edge[1]), 1e-4) if edge[0][2] else [edge[0][:2], edge[1][:2]])


@given(some_edges(), some_edges())
@example(((0.0, 0.0, 1.0), (10.0, 0.0, 0.0)), ((0.0, -5.0, 0.0), (10.0, -5.0, 0.0)))
@example(((0.0, 0.0, 1.0), (10.0, 0.0, 0.0)), ((2.0, 0.0, 1.0), (8.0, 0.0, 0.0)))
def test_gaps_between_edges_are_those_of_fine_chords(a: Edge, b: Edge) -> None:
    assert edge_gap(a, b).distance == pytest.approx(chords(a).distance(chords(b)), abs=1e-3)
    assert edge_gap(a, b).distance == pytest.approx(edge_gap(b, a).distance, abs=1e-6)


@given(some_edges(), COORDINATES, COORDINATES)
def test_the_distance_of_a_point_is_that_of_fine_chords(edge: Edge, x: int, y: int) -> None:
    point = LineString([(x, y), (x, y)])
    assert distance_to(edge, (x, y)) == pytest.approx(chords(edge).distance(point), abs=1e-3)


FEW_BULGES = st.sampled_from([0.0, 0.0, 0.0, 0.2, -0.2, 0.5, -0.5, 1.0, -1.0, 2.0])
SHAPES = st.lists(st.tuples(COORDINATES, COORDINATES, FEW_BULGES), min_size=3, max_size=6)


@given(SHAPES)
def test_an_outline_is_taken_only_where_fine_chords_make_an_area(
    points: list[tuple[int, int, float]],
) -> None:
    found = checked_ring(points)
    if isinstance(found, list):
        crosses = [problem for problem in found if problem.what == "crosses itself"]
        if crosses:
            kept = tuple((float(x), float(y), bulge) for x, y, bulge in points)
            distinct = [v for v, w in zip(kept, kept[1:] + kept[:1], strict=True) if v[:2] != w[:2]]
            assert not Polygon(flattened(tuple(distinct), 1e-4)).is_valid
        return
    area = Polygon(flattened(found, 1e-4))
    assert area.is_valid
    assert signed_area(found) == pytest.approx(area.area, abs=0.2)
    assert bounds(found) == pytest.approx(area.bounds, abs=1e-3)


@given(SHAPES)
def test_an_outline_that_is_taken_is_taken_again_unchanged(points: list[tuple[int, int, float]]) -> None:
    found = checked_ring(points)
    if not isinstance(found, list):
        assert checked_ring(found) == found
        assert all(abs(end[0] - start[0]) + abs(end[1] - start[1]) > TOUCH_MM for start, end in edges(found))


@given(st.integers(-60, 160), st.integers(-60, 160))
def test_inside_is_told_for_arcs(x: int, y: int) -> None:
    circle = ring([[0, 50, 1], [100, 50, 1]])
    away = ((x - 50) ** 2 + (y - 50) ** 2) ** 0.5
    assume(abs(away - 50) > 0.1)
    assert inside(square(x, y, 1), circle) == (away < 50)
