"""No-fit polygons: where two shapes touch and no more, judged by shapely."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point, Polygon

from nesting.outline import Ring, as_polygon, moved, polygon_ring, rectangle
from nesting.shapes import Pose, ShapePiece, convex_parts, covering_polygon, poses
from nesting.shaping.nofit import NoFits, inner_fit

SQUARE = ShapePiece(rectangle(0, 0, 10, 10))
ELL = polygon_ring([(0, 0), (100, 0), (100, 40), (60, 40), (60, 30), (40, 30), (40, 100), (0, 100)])
ARCH: Ring = ((0, 0, 0.0), (50, 0, -1.0), (150, 0, 0.0), (200, 0, 0.0), (200, 120, 0.0), (0, 120, 0.0))
FRAME = ShapePiece(rectangle(0, 0, 100, 80, 10), (rectangle(20, 20, 70, 60),))
CIRCLE: Ring = ((-10, 0, 1.0), (10, 0, 1.0))


def polygon(pose: Pose) -> Polygon:
    return Polygon(pose.rings[0], list(pose.rings[1:]))


@st.composite
def stars(draw: st.DrawFn) -> Ring:
    """Outlines of 3 to 9 corners around (0, 0), most of them not convex."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.integers(5, 60), min_size=count, max_size=count))
    return polygon_ring(
        [(r * cos(2 * pi * k / count), r * sin(2 * pi * k / count)) for k, r in enumerate(radii)]
    )


def test_two_squares_touch_along_a_square_twice_as_large() -> None:
    nofits = NoFits(poses(SQUARE, 0.0))
    one = nofits.between(0, 0)
    (corners,) = one.polygons
    assert {tuple(c) for c in corners.tolist()} == {(-10, -10), (10, -10), (10, 10), (-10, 10)}
    assert len(one.segments) == 4
    assert nofits.overlap(0, 0, 9.999, 0.0)
    assert not nofits.overlap(0, 0, 10.0, 3.0)


def test_spacing_moves_them_apart_by_as_much() -> None:
    nofits = NoFits(poses(SQUARE, 3.0))
    assert nofits.overlap(0, 0, 12.999, 0.0)
    assert not nofits.overlap(0, 0, 13.0, 0.0)


def test_a_slot_that_is_filled_exactly_is_a_place() -> None:
    """A part as wide as the slot of a U can only lie in it on one line, and touches it there."""
    u = ShapePiece(
        polygon_ring([(0, 0), (30, 0), (30, 20), (20, 20), (20, 5), (10, 5), (10, 20), (0, 20)]), turns=(0,)
    )
    slider = ShapePiece(rectangle(0, 0, 10, 15), turns=(0,))
    nofits = NoFits([*poses(u, 0.0), *poses(slider, 0.0)])
    assert not nofits.overlap(0, 1, 10.0, 5.0)
    assert nofits.overlap(0, 1, 10.01, 5.0)
    segments = nofits.between(0, 1).segments
    ends = np.concatenate([segments[:, :2], segments[:, 2:]])
    assert (np.abs(ends - (10.0, 5.0)).max(axis=1) < 1e-9).any()


def test_a_small_part_may_lie_in_the_hole_of_a_larger_one() -> None:
    nofits = NoFits([*poses(FRAME, 0.0), *poses(SQUARE, 0.0)])
    last = len(nofits.poses) - 1
    assert not nofits.overlap(0, last, 20.0, 20.0)
    assert not nofits.overlap(0, last, 60.0, 50.0)
    assert nofits.overlap(0, last, 60.1, 50.0)


def test_the_inner_fit_of_a_sheet_is_what_the_part_leaves_of_it() -> None:
    (pose,) = poses(SQUARE, 0.0)
    assert inner_fit(30, 10, pose) == (0.0, 0.0, 20.0, 0.0)
    assert inner_fit(30, 9.9, pose) is None


@settings(max_examples=40, deadline=None)
@given(stars(), stars(), st.integers(-120, 120), st.integers(-120, 120))
def test_overlap_is_what_shapely_calls_shared_area(one: Ring, other: Ring, x: int, y: int) -> None:
    nofits = NoFits([*poses(ShapePiece(one, turns=(0,)), 0.0), *poses(ShapePiece(other, turns=(90,)), 0.0)])
    shared = polygon(nofits.poses[0]).intersection(affinity.translate(polygon(nofits.poses[1]), x, y))
    if shared.area > 1e-3:
        assert nofits.overlap(0, 1, x, y)
    elif shared.area == 0:
        assert not nofits.overlap(0, 1, x, y)


@settings(max_examples=25, deadline=None)
@given(stars(), stars(), st.floats(0, 1))
def test_shapes_touch_and_share_nothing_all_along_the_segments(one: Ring, other: Ring, share: float) -> None:
    nofits = NoFits([*poses(ShapePiece(one, turns=(0,)), 0.0), *poses(ShapePiece(other, turns=(0,)), 0.0)])
    fixed, moving = polygon(nofits.poses[0]), polygon(nofits.poses[1])
    segments = nofits.between(0, 1).segments
    assert len(segments) > 0
    for x0, y0, x1, y1 in segments.tolist():
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        there = affinity.translate(moving, x, y)
        assert fixed.distance(there) < 1e-5
        assert fixed.intersection(there).area < 1e-3
        assert not nofits.overlap(0, 1, x, y)


@pytest.mark.parametrize(
    ("outline", "holes"),
    [(ELL, ()), (ARCH, ()), (CIRCLE, ()), (rectangle(0, 0, 100, 80, 10), (moved(CIRCLE, 50, 40),))],
    ids=["ell", "arch", "circle", "ring"],
)
def test_a_covering_polygon_holds_the_grown_shape_and_little_more(
    outline: Ring, holes: tuple[Ring, ...]
) -> None:
    true = as_polygon(outline, holes, 1e-4)
    for spacing in (0.0, 4.0):
        cover = covering_polygon(outline, holes, spacing, 0.05)
        assert true.buffer(spacing / 2 - 1e-3).difference(cover).area < 1e-3
        # mitred corners and chords in hollows stand off by no more than this
        assert cover.difference(true.buffer(spacing / 2 * 1.5 + 0.5)).area == 0


def test_arcs_keep_their_true_extent() -> None:
    (pose, *_) = poses(ShapePiece(CIRCLE), 3.0)
    assert pose.size == pytest.approx((23.0, 23.0))


@pytest.mark.parametrize("ring", [ELL, ARCH], ids=["ell", "arch"])
def test_convex_parts_are_convex_and_make_up_the_whole(ring: Ring) -> None:
    cover = covering_polygon(ring, (moved(CIRCLE, 20, 80),), 0.0, 0.1)
    parts = [Polygon(part) for part in convex_parts(cover)]
    assert sum(part.area for part in parts) == pytest.approx(cover.area)
    assert all(part.convex_hull.area == pytest.approx(part.area) and part.exterior.is_ccw for part in parts)
    assert sum(cover.intersection(part).area for part in parts) == pytest.approx(cover.area)


def test_an_ell_needs_three_parts() -> None:
    assert len(convex_parts(Polygon([(x, y) for x, y, _ in ELL]))) == 3


def test_poses_that_look_the_same_are_told_once() -> None:
    assert len(poses(SQUARE, 0.0)) == 1
    assert len(poses(ShapePiece(rectangle(0, 0, 20, 10)), 0.0)) == 2
    assert len(poses(ShapePiece(ELL, flip=True), 0.0)) == 8
    # a square with a notch to its middle has the same corners in all turns, yet it does not look the same
    notched = ShapePiece(polygon_ring([(0, 0), (10, 0), (5, 5), (10, 10), (0, 10)]))
    assert len(poses(notched, 0.0)) == 4


def test_a_mirrored_pose_is_the_mirrored_area() -> None:
    half = ShapePiece(polygon_ring([(0, 0), (30, 0), (0, 10)]), turns=(0,), flip=True)
    plain, mirrored = poses(half, 0.0)
    assert (plain.flip, mirrored.flip) == (False, True)
    assert polygon(mirrored).contains(Point(28, 5))
    assert not polygon(plain).contains(Point(28, 5))
    assert mirrored.shift == (30.0, 0.0)
