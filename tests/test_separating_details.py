"""Overlap of shapes on a strip, measured: how far one part has to move to be clear of another, and what parts them."""

from __future__ import annotations

from math import cos, hypot, pi, sin
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from nesting.outline import Ring, polygon_ring, rectangle
from nesting.packers.kernels_overlap import deepest, measured, pair_depth, weighed
from nesting.packers.kernels_separating import nearby_rows
from nesting.packers.stripshapes import gathered, shapes_of

SQUARE = rectangle(0, 0, 10, 10)
L_SHAPE = polygon_ring([(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)])


def given_of(*outlines: Ring, gap: float = 0.0) -> Any:
    """The arrays of some parts, one of each, all counted alike whatever their size."""
    own = [shapes_of(outline, (), (0.0,), False, 1000.0) for outline in outlines]
    return gathered(own, [1] * len(own), [100.0] * len(own), gap).given


def places_of(arrays: Any, *corners: tuple[float, float]) -> Any:
    xs, ys = np.array([x for x, _ in corners]), np.array([y for _, y in corners])
    sizes = arrays[0]
    return np.arange(len(corners)), xs, ys, xs + sizes[: len(corners), 0], ys + sizes[: len(corners), 1]


@pytest.mark.parametrize(
    ("gap", "dx", "dy", "depth"),
    [
        (0.0, 10.0, 0.0, 0.0),
        (0.0, 7.0, 0.0, 3.0),
        (0.0, 7.0, 8.0, 2.0),
        (0.0, -6.0, 1.0, 4.0),
        (0.0, 1.0, -9.5, 0.5),
        (0.0, 0.0, 0.0, 10.0),
        (2.0, 10.0, 0.0, 2.0),
        (2.0, 11.5, 3.0, 0.5),
        (2.0, 12.0, 0.0, 0.0),
        (2.0, 3.0, -13.0, 0.0),
    ],
)
def test_two_squares_overlap_by_the_shortest_way_out(gap: float, dx: float, dy: float, depth: float) -> None:
    arrays = given_of(SQUARE, SQUARE, gap=gap)
    assert pair_depth(arrays, 0, dx, dy, 1, 0.0, 0.0) == pytest.approx(depth, abs=1e-9)
    assert pair_depth(arrays, 1, 0.0, 0.0, 0, dx, dy) == pytest.approx(depth, abs=1e-9)


def test_a_gap_is_kept_round_a_corner_too() -> None:
    arrays = given_of(SQUARE, SQUARE, gap=5.0)
    # corner to corner 3 across and 4 up is just 5 apart; it is kept within the rounding of corners, 20 degrees a step
    assert pair_depth(arrays, 0, 13.0 * 0.99, 14.0 * 0.99, 1, 0.0, 0.0) > 0
    assert pair_depth(arrays, 0, 10 + 3.1, 10 + 4.1, 1, 0.0, 0.0) == 0


def test_what_lies_in_the_corner_of_an_l_is_clear_of_it() -> None:
    arrays = given_of(L_SHAPE, rectangle(0, 0, 6, 6))
    assert pair_depth(arrays, 1, 4.0, 4.0, 0, 0.0, 0.0) == 0
    assert pair_depth(arrays, 1, 3.0, 4.0, 0, 0.0, 0.0) == pytest.approx(1)
    assert pair_depth(arrays, 1, 4.0, 3.0, 0, 0.0, 0.0) > 0


@st.composite
def convex(draw: st.DrawFn) -> list[tuple[float, float]]:
    angles = sorted(draw(st.lists(st.integers(0, 35), min_size=3, max_size=6, unique=True)))
    return [(50 * cos(pi / 18 * angle), 50 * sin(pi / 18 * angle)) for angle in angles]


@settings(max_examples=40)
@given(convex(), convex(), st.integers(-100, 100), st.integers(-100, 100))
def test_convex_parts_overlap_where_they_share_an_area_and_are_clear_after_moving_so_far(
    one: list[tuple[float, float]], other: list[tuple[float, float]], dx: int, dy: int
) -> None:
    arrays = given_of(polygon_ring(one), polygon_ring(other))
    depth = pair_depth(arrays, 0, dx, dy, 1, 0.0, 0.0)

    def laid(points: list[tuple[float, float]], x: float, y: float) -> Polygon:
        left, low = min(p[0] for p in points), min(p[1] for p in points)
        return affinity.translate(Polygon(points), x - left, y - low)

    moving, standing = laid(one, dx, dy), laid(other, 0.0, 0.0)
    assert (depth > 1e-6) == (moving.intersection(standing).area > 1e-6 * max(1.0, depth))
    ways = [(cos(pi / 90 * k), sin(pi / 90 * k)) for k in range(180)]
    clear = [affinity.translate(moving, x * depth * 1.01, y * depth * 1.01) for x, y in ways]
    assert min(each.intersection(standing).area for each in clear) < 1e-2
    nearer = [affinity.translate(moving, x * depth * 0.97, y * depth * 0.97) for x, y in ways]
    assert depth < 1e-6 or min(each.intersection(standing).area for each in nearer) > 0


def test_overlaps_of_all_parts_are_measured_weighed_and_the_deepest_told() -> None:
    arrays = given_of(SQUARE, SQUARE, SQUARE)
    places = places_of(arrays, (0.0, 0.0), (7.0, 0.0), (40.0, 0.0))
    assert deepest(arrays, places) == pytest.approx(3)
    depths = np.zeros((3, 3))
    measured(arrays, places, depths, 1)
    assert depths.tolist() == [[0, pytest.approx(3), 0], [pytest.approx(3), 0, 0], [0, 0, 0]]
    weights = np.full((3, 3), 2.0)
    costs = (weights, depths)
    assert weighed(arrays, places, costs, 1, 1, 7.0, 0.0, 1e9) == pytest.approx(6)
    # between the two others, 4 deep in either: beyond what is asked it need not go on
    assert weighed(arrays, places, costs, 1, 1, 34.0, 0.0, 1e9) == pytest.approx(8)
    assert weighed(arrays, places, costs, 1, 1, 20.0, 0.0, 1e9) == 0


def test_parts_near_one_another_are_parted_by_the_line_that_parts_them_best() -> None:
    arrays = given_of(SQUARE, SQUARE, SQUARE, gap=1.0)
    places = places_of(arrays, (0.0, 0.0), (14.0, 2.0), (60.0, 0.0))
    pairs, lines = np.empty((8, 2), np.int64), np.empty((8, 3))
    assert nearby_rows(arrays, places, 5.0, pairs, lines) == 1
    assert pairs[0].tolist() == [1, 0]
    # part 1 lies to the right of part 0: its x is at least 10 and the gap of 1 more
    assert lines[0].tolist() == pytest.approx([1, 0, 11], abs=1e-9)
    assert nearby_rows(arrays, places, 2.0, pairs, lines) == 0
    assert nearby_rows(arrays, places, 500.0, pairs, lines) == 3
    assert nearby_rows(arrays, places, 500.0, pairs[:1], lines[:1]) == 3


def test_a_line_between_pieces_is_told_for_the_parts_that_they_belong_to() -> None:
    arrays = given_of(L_SHAPE, rectangle(0, 0, 5, 5))
    places = places_of(arrays, (0.0, 0.0), (5.0, 5.0))
    pairs, lines = np.empty((8, 2), np.int64), np.empty((8, 3))
    count = nearby_rows(arrays, places, 100.0, pairs, lines)
    assert count == 2
    for nx, ny, least in lines[:count]:
        assert hypot(nx, ny) == pytest.approx(1)
        assert nx * 5.0 + ny * 5.0 >= least - 1e-9
    assert {(round(nx), round(ny), round(least, 6)) for nx, ny, least in lines[:count]} == {
        (1, 0, 4),
        (0, 1, 4),
    }
