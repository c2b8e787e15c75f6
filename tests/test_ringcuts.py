"""Outlines cut along plumb and level lines: areas add up, arcs stay arcs, corners on the line are exact."""

from __future__ import annotations

from math import pi, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import union_all

from nesting.outline import CORNER_BULGE, Ring, as_polygon, rectangle, signed_area
from nesting.skin.ringcuts import FAR, Line, clipped, crossings, cut_along, inner_stretches
from nesting.skin.ringunion import united

ARCH: Ring = ((0, 0, 0), (150, 0, -1.0), (550, 0, 0), (700, 0, 0), (700, 1000, 0), (0, 1000, 0))
"""A bay of 700 x 1000 with a half-circle of radius 200 taken out of its foot, centre at x = 350."""

ROUNDED: Ring = ((0, 0, 0), (700, 0, 0), (700, 700, CORNER_BULGE), (400, 1000, 0), (0, 1000, 0))
"""700 x 1000, its upper right corner rounded with radius 300."""

RINGS = st.sampled_from([ARCH, ROUNDED, rectangle(0, 0, 700, 1000), rectangle(0, 0, 700, 1000, 90)])
LINES = st.builds(Line, st.sampled_from([0, 1]), st.integers(-50, 1050).map(float), st.sampled_from([1, -1]))


def test_a_line_over_the_arch_leaves_its_upper_half_in_one_piece() -> None:
    upper = clipped(ARCH, (-FAR, 200.0, FAR, FAR))
    assert signed_area(upper) == pytest.approx(700 * 800, abs=1e-6)


def test_a_line_through_the_arch_leaves_two_feet() -> None:
    feet = cut_along(ARCH, Line(1, 100.0, -1))
    assert len(feet) == 2
    assert clipped(ARCH, (-FAR, -FAR, FAR, 100.0)) == ()
    assert [[bulge for _, _, bulge in foot if bulge] for foot in feet] != [[], []]


def test_a_rounded_corner_cut_in_half_keeps_an_eighth_of_its_circle() -> None:
    # the line x = 400 + 300 cos 45 meets the arc in its middle
    x = 400 + 300 * 0.5**0.5
    left = clipped(ROUNDED, (-FAR, -FAR, x, FAR))
    (bulge,) = [bulge for _, _, bulge in left if bulge]
    assert bulge == pytest.approx(tan(pi / 16), abs=1e-9)
    assert max(vertex[0] for vertex in left) == x


def test_a_level_line_through_the_arch_has_two_inner_stretches() -> None:
    # at height 120 the half-circle of radius 200 is 2 x 160 wide
    assert inner_stretches(ARCH, 1, 120.0) == [
        (0.0, pytest.approx(190.0)),
        (pytest.approx(510.0), 700.0),
    ]
    assert inner_stretches(ARCH, 1, 300.0) == [(0.0, 700.0)]


def test_a_line_along_an_edge_meets_it_at_both_ends() -> None:
    assert crossings(rectangle(0, 0, 700, 1000), 1, 1000.0) == [0.0, 700.0]


@given(RINGS, LINES)
def test_the_two_halves_of_a_cut_have_the_area_of_the_whole(ring: Ring, line: Line) -> None:
    halves = [*cut_along(ring, line), *cut_along(ring, Line(line.axis, line.at, -line.keep))]
    assert sum(signed_area(half) for half in halves) == pytest.approx(signed_area(ring), abs=1e-5)
    assert all(as_polygon(half).is_valid and signed_area(half) > 0 for half in halves)


@given(RINGS, LINES)
def test_a_piece_lies_on_the_side_that_is_kept(ring: Ring, line: Line) -> None:
    for piece in cut_along(ring, line):
        assert min(line.height(vertex) for vertex in piece) >= 0


@given(RINGS, st.integers(1, 699), st.integers(0, 200))
def test_overlapping_pieces_united_are_the_whole_again(ring: Ring, at: int, lap: int) -> None:
    pieces = [clipped(ring, (-FAR, -FAR, at + lap, FAR)), clipped(ring, (at, -FAR, FAR, FAR))]
    if all(pieces):
        whole = united(pieces)
        assert signed_area(whole) == pytest.approx(signed_area(ring), abs=0.5)
        assert sum(1 for vertex in whole if vertex[2]) <= 2 * sum(1 for vertex in ring if vertex[2])


def test_a_union_without_arcs_is_exact() -> None:
    assert set(united([rectangle(0, 0, 10, 5), rectangle(10, 0, 20, 5)])) >= {
        (0.0, 0.0, 0.0),
        (20.0, 5.0, 0.0),
    }
    areas = [as_polygon(rectangle(0, 0, 10, 5)), as_polygon(rectangle(10, 0, 20, 5))]
    assert union_all(areas).area == 100


def test_a_united_arc_is_one_arc_with_its_own_radius() -> None:
    whole = united([ROUNDED, rectangle(-100, 0, 300, 500)])
    (bulge,) = [bulge for _, _, bulge in whole if bulge]
    assert bulge == pytest.approx(CORNER_BULGE, abs=1e-6)
    assert signed_area(whole) == pytest.approx(signed_area(ROUNDED) + 100 * 500, abs=0.01)
    assert signed_area(ROUNDED) == pytest.approx(700 * 1000 - (1 - pi / 4) * 300**2)
