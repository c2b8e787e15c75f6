"""The measures of the check: arcs known from school geometry, and distances beside those of very many points."""

from __future__ import annotations

from math import atan, cos, hypot, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from nesting.checking.shapes import (
    Edge,
    area_with_sign,
    covers,
    crossings,
    edge_to_edge,
    extent,
    level_stretches,
    metal,
    metal_area,
    point_to_edge,
    point_to_ring,
    ring_edges,
    rings_apart,
    same_shape,
    traced,
    traced_edge,
    turning_left,
)
from nesting.outline import Ring

CIRCLE: Ring = ((-10.0, 0.0, 1.0), (10.0, 0.0, 1.0))
"""Of radius 10 about (0, 0), counter-clockwise from the left."""

DOME: Ring = ((0.0, 0.0, 0.0), (20.0, 0.0, 0.0), (20.0, 10.0, 1.0), (0.0, 10.0, 0.0))
"""A rectangle of 20 x 10 under half a circle of radius 10."""

BITE: Ring = (
    (0.0, 0.0, 0.0),
    (20.0, 0.0, 0.0),
    (20.0, 20.0, 0.0),
    (15.0, 20.0, -1.0),
    (5.0, 20.0, 0.0),
    (0.0, 20.0, 0.0),
)
"""A square of 20 with half a circle of radius 5 bitten out of its top."""

U_SHAPE: Ring = tuple(
    (x, y, 0.0) for x, y in ((0.0, 0.0), (9, 0), (9, 6), (6, 6), (6, 2), (4, 2), (4, 8), (0, 8))
)

SOME = st.integers(-40, 40).map(float)
BULGES = st.sampled_from([0.0, 0.0, 1.0, -1.0, 0.5, -0.5, 0.2, -0.2, 2.0, -2.0])


@st.composite
def some_edges(draw: st.DrawFn) -> Edge:
    start = draw(st.tuples(SOME, SOME))
    end = draw(st.tuples(SOME, SOME).filter(lambda point: point != start))
    return ring_edges(((*start, draw(BULGES)), (*end, 0.0)))[0]


def many_points(edge: Edge, count: int = 600) -> NDArray[np.float64]:
    """Points all along an edge, from its own two ends and the angle that it turns by."""
    shares = np.linspace(0.0, 1.0, count)
    if not edge.radius:
        steps: NDArray[np.float64] = shares[:, None] * (np.array(edge.end) - np.array(edge.start))
        return np.array(edge.start) + steps
    angles = edge.first + shares * edge.sweep
    round_about: NDArray[np.float64] = np.column_stack((np.cos(angles), np.sin(angles)))
    return np.array(edge.centre) + edge.radius * round_about


def step_of(edge: Edge, count: int = 600) -> float:
    length = (
        edge.radius * abs(edge.sweep)
        if edge.radius
        else hypot(edge.end[0] - edge.start[0], edge.end[1] - edge.start[1])
    )
    return length / (count - 1)


@given(some_edges())
def test_an_arc_begins_and_ends_where_its_edge_does(edge: Edge) -> None:
    points = many_points(edge)
    assert points[0] == pytest.approx(edge.start, abs=1e-9)
    assert points[-1] == pytest.approx(edge.end, abs=1e-9)


def test_a_half_circle_has_its_centre_on_its_chord() -> None:
    left, right = ring_edges(CIRCLE)
    assert left.centre == pytest.approx((0, 0))
    assert (left.radius, left.first, left.sweep) == pytest.approx((10, pi, pi))
    assert (right.radius, right.first, right.sweep) == pytest.approx((10, 0, pi))
    clockwise = ring_edges(((-10.0, 0.0, -1.0), (10.0, 0.0, -1.0)))[0]
    assert (clockwise.radius, clockwise.sweep) == pytest.approx((10, -pi))


def test_a_quarter_circle_has_its_centre_on_the_left_of_its_chord() -> None:
    # from (10, 0) round (0, 0) to (0, 10); bulge is the tangent of a quarter of the angle
    edge = ring_edges(((10.0, 0.0, sqrt(2) - 1), (0.0, 10.0, 0.0)))[0]
    assert edge.centre == pytest.approx((0, 0), abs=1e-9)
    assert (edge.radius, edge.first, edge.sweep) == pytest.approx((10, 0, pi / 2), abs=1e-9)


def test_areas_are_those_of_circles_and_rectangles() -> None:
    assert area_with_sign(CIRCLE) == pytest.approx(100 * pi)
    assert area_with_sign(DOME) == pytest.approx(200 + 50 * pi)
    assert area_with_sign(BITE) == pytest.approx(400 - 12.5 * pi)
    assert area_with_sign(tuple((x, y, -bulge) for x, y, bulge in CIRCLE)) == pytest.approx(-100 * pi)
    assert metal_area(BITE, (CIRCLE, CIRCLE)) == pytest.approx(400 - 212.5 * pi)


@pytest.mark.parametrize("ring", [DOME, BITE, U_SHAPE])
def test_a_ring_turned_round_is_the_same_line(ring: Ring) -> None:
    count = len(ring)
    backwards: Ring = tuple((ring[-i][0], ring[-i][1], -ring[-i - 1][2]) for i in range(count))
    assert area_with_sign(backwards) == pytest.approx(-area_with_sign(ring))
    again = turning_left(backwards)
    assert area_with_sign(again) == pytest.approx(area_with_sign(ring))
    assert set(again) == set(ring)
    assert turning_left(ring) == ring


def test_extents_reach_to_where_arcs_turn_back() -> None:
    assert extent(CIRCLE) == pytest.approx((-10, -10, 10, 10))
    assert extent(DOME) == pytest.approx((0, 0, 20, 20))
    assert extent(BITE) == pytest.approx((0, 0, 20, 20))
    side: Ring = ((10.0, -10.0, 1.0), (10.0, 10.0, 0.0), (-5.0, 0.0, 0.0))
    assert extent(side) == pytest.approx((-5, -10, 20, 10))
    other_side: Ring = ((-10.0, 10.0, 1.0), (-10.0, -10.0, 0.0), (5.0, 0.0, 0.0))
    assert extent(other_side) == pytest.approx((-20, -10, 5, 10))
    below: Ring = ((-10.0, 0.0, 1.0), (10.0, 0.0, 0.0), (0.0, 3.0, 0.0))
    assert extent(below) == pytest.approx((-10, -10, 10, 3))


@given(some_edges())
def test_no_point_of_an_edge_lies_outside_its_extent(edge: Edge) -> None:
    x0, y0, x1, y1 = extent(((*edge.start, _bulge(edge)), (*edge.end, 0.0)))
    points = many_points(edge)
    assert (points.min(axis=0) >= np.array([x0, y0]) - 1e-9).all()
    assert (points.max(axis=0) <= np.array([x1, y1]) + 1e-9).all()
    slack = step_of(edge) + 1e-9
    ends = np.vstack((points, [edge.end, edge.start]))
    assert ends.min(axis=0) == pytest.approx((x0, y0), abs=slack)
    assert ends.max(axis=0) == pytest.approx((x1, y1), abs=slack)


def _bulge(edge: Edge) -> float:
    return sin(edge.sweep / 4) / cos(edge.sweep / 4) if edge.radius else 0.0


@pytest.mark.parametrize("ring", [CIRCLE, DOME, BITE])
@pytest.mark.parametrize("tolerance", [0.5, 0.01])
def test_traced_rings_lie_all_outside_or_all_inside_and_near(ring: Ring, tolerance: float) -> None:
    large, small = Polygon(traced(ring, True, tolerance)), Polygon(traced(ring, False, tolerance))
    area, length = abs(area_with_sign(ring)), small.length
    assert area < large.area <= area + tolerance * length
    assert area > small.area >= area - tolerance * length
    assert large.buffer(1e-9).covers(small)
    assert len(large.exterior.coords) < 40 / sqrt(tolerance)
    round_about = [point for edge in ring_edges(ring) for point in traced_edge(edge, tolerance)]
    assert Polygon(round_about).exterior.hausdorff_distance(large.exterior) <= 2 * tolerance


@given(some_edges(), st.sampled_from([1.0, 0.1, 0.01]))
def test_chords_of_an_arc_stay_near_it(edge: Edge, tolerance: float) -> None:
    chords = LineString([*traced_edge(edge, tolerance), edge.end])
    assert all(point_to_edge(point, edge) < 1e-9 for point in chords.coords)
    line = LineString(many_points(edge, 300))
    assert line.hausdorff_distance(chords) <= max(tolerance, edge.radius * (1 - cos(pi / 16))) + 1e-6


def test_metal_is_drawn_large_with_small_holes_or_small_with_large_ones() -> None:
    hole: Ring = tuple((x / 5 + 10, y / 5 + 8, bulge) for x, y, bulge in CIRCLE)
    exact = metal_area(DOME, (hole,))
    small, large = metal(DOME, (hole,), tolerance=0.1), metal(DOME, (hole,), grow=True, tolerance=0.1)
    assert small.area < exact < large.area
    assert small.interiors[0].envelope.area > 16 - 1e-9
    assert Polygon(small.interiors[0]).area > 4 * pi > Polygon(large.interiors[0]).area


@settings(max_examples=150)
@given(st.tuples(SOME, SOME), some_edges())
def test_a_point_is_as_far_from_an_edge_as_from_the_nearest_of_its_points(
    point: tuple[float, float], edge: Edge
) -> None:
    nearest = float(np.hypot(*(many_points(edge) - np.array(point)).T).min())
    exact = point_to_edge(point, edge)
    assert exact <= nearest + 1e-9
    assert nearest <= exact + step_of(edge)


@settings(max_examples=150)
@given(some_edges(), some_edges())
def test_two_edges_are_as_far_apart_as_the_nearest_of_their_points(one: Edge, other: Edge) -> None:
    a, b = many_points(one, 200), many_points(other, 200)
    nearest = float(np.hypot(*(a[:, None] - b[None]).reshape(-1, 2).T).min())
    exact = edge_to_edge(one, other)
    assert exact == pytest.approx(edge_to_edge(other, one), abs=1e-9)
    assert exact <= nearest + 1e-9
    assert nearest <= exact + (step_of(one, 200) + step_of(other, 200)) / 2 + 1e-9


def test_distances_worked_out_by_hand() -> None:
    level, arc = Edge((0.0, 0.0), (10.0, 0.0)), ring_edges(CIRCLE)[0]
    assert point_to_edge((4.0, 3.0), level) == 3
    assert point_to_edge((13.0, 4.0), level) == 5
    assert point_to_edge((-3.0, -4.0), level) == 5
    assert point_to_edge((0.0, -4.0), arc) == pytest.approx(6)
    assert point_to_edge((0.0, 4.0), arc) == pytest.approx(hypot(10, 4))
    assert point_to_edge((5.0, 5.0), Edge((2.0, 1.0), (2.0, 1.0))) == 5
    assert point_to_ring((0.0, 4.0), CIRCLE) == pytest.approx(6)
    assert edge_to_edge(level, Edge((5.0, -5.0), (5.0, 5.0))) == 0
    assert edge_to_edge(level, Edge((12.0, -5.0), (12.0, 5.0))) == 2
    far: Ring = tuple((x + 30, y, bulge) for x, y, bulge in CIRCLE)
    within: Ring = tuple((x / 2 + 1, y / 2, bulge) for x, y, bulge in CIRCLE)
    assert rings_apart([CIRCLE], [far]) == pytest.approx(10)
    assert rings_apart([CIRCLE], [within]) == pytest.approx(4)
    assert rings_apart([CIRCLE, U_SHAPE], [far, DOME]) == pytest.approx(0, abs=1e-9)
    same: Ring = tuple((x / 2, y / 2, bulge) for x, y, bulge in CIRCLE)
    assert rings_apart([CIRCLE], [same]) == pytest.approx(5)


@settings(max_examples=150)
@given(some_edges(), st.sampled_from([0, 1]), st.integers(-40, 40))
def test_crossings_are_on_the_edge_and_on_the_line(edge: Edge, axis: int, number: int) -> None:
    at = number + 0.37
    found = crossings(edge, axis, at)
    for value in found:
        assert point_to_edge((at, value) if axis == 0 else (value, at), edge) < 1e-6
    along = many_points(edge, 3000)[:, axis]
    assert len(found) == int(np.count_nonzero(np.diff(along > at)))


def test_crossings_at_ends_and_along_a_line() -> None:
    level = Edge((2.0, 5.0), (8.0, 5.0))
    assert crossings(level, 1, 5.0) == [2, 8]
    assert crossings(level, 1, 5.1) == crossings(level, 1, 4.9) == []
    assert crossings(level, 0, 2.0) == crossings(level, 0, 8.0) == [5]
    assert crossings(level, 0, 1.9) == crossings(level, 0, 8.1) == []
    slope = Edge((0.0, 0.0), (10.0, 20.0))
    assert crossings(slope, 0, 5.0) == [10]
    assert crossings(slope, 1, 5.0) == [2.5]
    assert crossings(slope, 0, 0.0) == [0]
    assert crossings(slope, 0, 10.0) == [20]
    arc = ring_edges(CIRCLE)[0]
    assert crossings(arc, 0, 6.0) == [pytest.approx(-8)]
    assert sorted(crossings(arc, 1, -6.0)) == pytest.approx([-8, 8])
    assert crossings(arc, 1, 6.0) == []
    assert crossings(arc, 1, -10.1) == []


def test_level_stretches_are_what_lies_inside() -> None:
    assert level_stretches(U_SHAPE, 1.0) == [(0, 9)]
    assert level_stretches(U_SHAPE, 4.0) == [(0, 4), (6, 9)]
    assert level_stretches(U_SHAPE, 7.0) == [(0, 4)]
    assert level_stretches(U_SHAPE, 9.0) == []
    ((left, right),) = level_stretches(DOME, 16.0)
    assert (left, right) == pytest.approx((2, 18))
    bitten = level_stretches(BITE, 17.0)
    assert [end for stretch in bitten for end in stretch] == pytest.approx([0, 6, 14, 20])


def test_a_stretch_goes_on_through_a_corner_that_touches_the_line() -> None:
    dented: Ring = tuple((x, y, 0.0) for x, y in ((0.0, 0.0), (10, 0), (10, 8), (5, 4), (0, 8)))
    assert level_stretches(dented, 4.0) == [(0, 10)]


def test_shapes_agree_within_a_tolerance_and_no_further() -> None:
    one, more = (
        Polygon([(0, 0), (10, 0), (10, 10), (0, 10)]),
        Polygon([(0, 0), (10.05, 0), (10.05, 10), (0, 10)]),
    )
    assert same_shape(one, more, 0.06)
    assert not same_shape(one, more, 0.04)
    assert covers(more, one, 0.0)
    assert not covers(one, more, 0.04)
    assert not same_shape(more, one, 0.04)


def test_a_quarter_of_the_angle_is_what_a_bulge_tells() -> None:
    edge = ring_edges(((0.0, 0.0, 0.3), (7.0, 1.0, 0.0)))[0]
    assert edge.sweep == pytest.approx(4 * atan(0.3))
    assert 2 * edge.radius * sin(edge.sweep / 2) == pytest.approx(hypot(7, 1))
