"""Temporary sheet holders: every third hole, every second round a bend, and every corner."""

from __future__ import annotations

from math import cos, pi, sin

import pytest

from nesting.job import Patch
from nesting.outline import Ring
from nesting.plan import Fasteners, Point, RivetLine
from nesting.rivets.fasteners import place_fasteners
from nesting.rivets.holders import holder_colour, holder_points, holders, holders_needed, panel_holders
from tests.hand_plans import base_job
from tests.riveted_walls import every_rivet, on_wall, wall


def line(points: list[Point], pitch: float = 50.0) -> RivetLine:
    return RivetLine(
        "edge", "driver side", "bottom edge of D1", ("D1",), tuple(points), len(points), pitch, 3.2
    )


@pytest.mark.parametrize(
    ("holes", "count"), [(1, 1), (2, 2), (3, 2), (4, 2), (5, 3), (7, 3), (8, 4), (25, 9)]
)
def test_a_straight_line_takes_every_third_hole_and_its_ends(holes: int, count: int) -> None:
    assert holders([line([(50.0 * at, 0.0) for at in range(holes)])]) == count


def test_a_curve_takes_every_second_hole() -> None:
    quarter = [(300 * cos(pi / 2 * at / 8), 300 * sin(pi / 2 * at / 8)) for at in range(9)]
    assert holders([line(quarter, 60.0)]) == 5


def test_every_corner_of_a_closed_line_takes_one() -> None:
    # a square of 100 with a rivet in each corner and in the middle of each side, begun at the foot's middle
    square = [(50, 0), (100, 0), (100, 50), (100, 100), (50, 100), (0, 100), (0, 50), (0, 0)]
    assert set(holder_points([line([(float(x), float(y)) for x, y in square])])) == {
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 100.0),
        (0.0, 100.0),
    }


def test_a_round_patch_takes_every_second_hole_all_round() -> None:
    lid: Ring = ((0.0, 100.0, 1.0), (200.0, 100.0, 1.0))
    patch = Patch("lid", 200.0, 200.0, riveted=True, outline=lid)
    fasteners = place_fasteners(base_job(sides=(), patches=(patch,)), [], [])
    # 85 round (100, 100): 534 at 50 take 11 rivets, and the first one is the twelfth of the round
    assert fasteners.total == 11
    assert [(each.panel, each.holders) for each in panel_holders(fasteners)] == [("lid#1", 6)]


def test_lines_that_share_a_corner_share_its_holder() -> None:
    # bottom and top of each panel 4 each (8 holes), end 3 (6), seam 3 (7), less four corners
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0))
    assert [(each.panel, each.holders) for each in panel_holders(fasteners)] == [("D1", 10), ("D2", 10)]
    assert holders_needed(fasteners) == 10
    assert set(holder_points(fasteners.lines)) <= every_rivet(fasteners)


def test_nothing_to_hang_needs_no_holders() -> None:
    assert holders_needed(Fasteners()) == 0


@pytest.mark.parametrize(
    ("diameter", "colour"), [(3.175, "copper"), (3.2, "copper"), (3.969, "black"), (4.8, "brass"), (5.5, "")]
)
def test_the_colour_tells_the_hole(diameter: float, colour: str) -> None:
    """US Navy manual 14315 (a): 1/8 copper, 5/32 black, 3/16 brass."""
    assert holder_colour(diameter) == colour
