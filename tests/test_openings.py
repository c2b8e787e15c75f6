"""Openings side by side, and the outline of the whole skin over them."""

from __future__ import annotations

from math import hypot

import pytest

from nesting.job import Bay, Land, Window
from nesting.outline import bounds
from nesting.skin.openings import heights_on, outline_openings, post_centres, skin_outline, window_hole
from tests.plain_sides import side_of

LAND = Land(top=25.0, bottom=25.0, ends=25.0)


def test_bays_stand_side_by_side_with_their_posts_between() -> None:
    openings = outline_openings(side_of([Bay(600, 500), Bay(700, 450, sill=20)], posts=(40.0,)))
    assert [(o.x0, o.x1, o.y0, o.y1) for o in openings] == [(0, 600, 0, 500), (640, 1340, 20, 470)]
    assert post_centres(openings) == (620.0,)


def test_skin_over_equal_bays_is_a_rectangle_with_four_corners() -> None:
    skin = skin_outline(outline_openings(side_of(3)), LAND)
    assert sorted((x, y) for x, y, _ in skin) == [(-25, -25), (-25, 525), (1925, -25), (1925, 525)]


def test_edge_over_a_post_runs_straight_between_unequal_bays() -> None:
    # the post is 40 wide and the edge falls by 30: it is 50 long, so 25 square to it is 25 * 50 / 40 upwards
    openings = outline_openings(side_of([Bay(600, 500), Bay(600, 470)], posts=(40.0,)))
    low, high = heights_on(skin_outline(openings, LAND), 620.0)
    assert low == -25
    assert high == pytest.approx(485 + 25 * 50 / 40)


def test_edge_steeper_than_half_a_right_angle_takes_the_land_of_the_ends() -> None:
    openings = outline_openings(side_of([Bay(600, 500), Bay(600, 440)], posts=(40.0,)))
    land = Land(top=20.0, bottom=20.0, ends=30.0)
    _, high = heights_on(skin_outline(openings, land), 640.0)
    assert high == pytest.approx(440 + 30 * hypot(40, 60) / 40)


def test_window_is_placed_from_the_lower_left_corner_of_its_bay() -> None:
    openings = outline_openings(side_of([Bay(600, 500), Bay(600, 450, sill=30)]))
    hole = window_hole(Window(2, 100, 50, 200, 150, 20), openings)
    assert bounds(hole) == pytest.approx((750, 80, 950, 230))
