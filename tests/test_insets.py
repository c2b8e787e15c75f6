"""Outlines set inwards: corners where the moved edges meet, short edges gone, necks parted."""

from __future__ import annotations

import pytest
from shapely.geometry import Polygon

from nesting.outline import polygon_ring, rectangle, reversed_ring
from nesting.rivets.insets import chords, inset
from tests.hand_plans import stepped


def test_a_rectangle_shrinks_by_the_distance_on_every_side() -> None:
    (ring,) = inset(rectangle(-25, -25, 640, 525), 15)
    assert set(ring) == {(-10, -10), (625, -10), (625, 510), (-10, 510)}


def test_the_way_an_outline_runs_does_not_matter() -> None:
    outline = rectangle(0, 0, 100, 50)
    assert set(inset(outline, 5)[0]) == set(inset(reversed_ring(outline), 5)[0])


def test_mitred_corners_of_a_slope_move_by_the_tangent_of_half_its_angle() -> None:
    # A 3-4-5 slope: tan of half the angle is 1/3, so 15 inwards moves its corners by 5 and its ends by 15.
    _, plan = stepped()
    (ring,) = inset(plan.panels[0].outline, 15)
    assert any(point == pytest.approx((600 - 10 / 3, 410)) for point in ring)
    assert any(point == pytest.approx((640 - 10 / 3, 440)) for point in ring)


def test_an_edge_shorter_than_its_corners_take_up_vanishes() -> None:
    # The corner cut off is 5 x 5; 20 inwards the upright and the level edge meet in a plain corner.
    (ring,) = inset(polygon_ring([(0, 0), (100, 0), (100, 95), (95, 100), (0, 100)]), 20)
    assert len(ring) == 4
    assert any(point == pytest.approx((80, 80)) for point in ring)


def test_a_narrow_neck_parts_the_inset() -> None:
    lower = [(0, 0), (100, 0), (100, 40), (200, 40), (200, 0), (300, 0)]
    upper = [(x, 100 - y) for x, y in reversed(lower)]
    rings = inset(polygon_ring([*lower, *upper]), 15)
    assert sorted(Polygon(ring).area for ring in rings) == pytest.approx([70 * 70, 70 * 70])


def test_nothing_is_left_of_a_strip_narrower_than_twice_the_distance() -> None:
    assert inset(rectangle(0, 0, 500, 29), 15) == ()


def test_a_straight_edge_in_two_pieces_stays_straight() -> None:
    (ring,) = inset(polygon_ring([(0, 0), (40, 0), (100, 0), (100, 50), (0, 50)]), 5)
    assert Polygon(ring).area == pytest.approx(90 * 40)


def test_chords_skip_what_lies_outside() -> None:
    # A U of 100 x 100 with a slot from x = 40 to 60, open at the top.
    u = [
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 100.0),
        (60.0, 100.0),
        (60.0, 20.0),
        (40.0, 20.0),
        (40.0, 100.0),
        (0.0, 100.0),
    ]
    assert chords(u, 1, 50.0) == [(0.0, 40.0), (60.0, 100.0)]
    assert chords(u, 0, 50.0) == [(0.0, 20.0)]
    assert chords(u, 0, 150.0) == []
