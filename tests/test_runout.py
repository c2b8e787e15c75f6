"""Lands on slanted and curved edges: square to the edge, corners mitred, arcs about their own centres."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.job import Bay, Hand, Land, Side
from nesting.outline import CORNER_BULGE, Ring, arc_centre, as_polygon, bounds, edges
from nesting.skin.openings import (
    closed_side,
    corner_numbers,
    outline_openings,
    post_centres,
    post_faces,
    skin_outline,
)
from nesting.skin.runout import run_out

EVEN = Land(20.0, 20.0, 20.0)
SLOPED: Ring = ((0, 0, 0), (700, 0, 0), (700, 900, 0), (450, 1000, 0), (0, 1000, 0))
ARCH: Ring = ((0, 0, 0), (150, 0, -1.0), (550, 0, 0), (700, 0, 0), (700, 1000, 0), (0, 1000, 0))
ROUNDED: Ring = ((0, 0, 0), (700, 0, 0), (700, 700, CORNER_BULGE), (400, 1000, 0), (0, 1000, 0))


def test_an_arch_gets_a_smaller_radius_by_its_land() -> None:
    skin = run_out(ARCH, EVEN)
    assert skin is not None
    (arc,) = [(start, end) for start, end in edges(skin) if start[2]]
    x, y, radius = arc_centre(*arc)
    assert [x, y, radius] == pytest.approx([350, 0, 180])
    # the level land 20 below meets the circle of 180 about (350, 0)
    assert list(arc[0][:2]) == pytest.approx([350 - (180**2 - 20**2) ** 0.5, -20.0])


def test_a_rounded_corner_gets_a_larger_radius_and_no_corner() -> None:
    skin = run_out(ROUNDED, EVEN)
    assert skin is not None
    assert list(bounds(skin)) == pytest.approx([-20, -20, 720, 1020])
    (arc,) = [(start, end) for start, end in edges(skin) if start[2]]
    assert list(arc_centre(*arc)) == pytest.approx([400, 700, 320])
    assert arc[0][2] == pytest.approx(CORNER_BULGE)
    assert len(skin) == 5


def test_an_edge_that_goes_straight_on_with_another_land_makes_a_step() -> None:
    # the quarter arc's chord rises as much as it runs, so the arc takes the land of the ends
    skin = run_out(ROUNDED, Land(top=25.0, bottom=20.0, ends=30.0))
    assert skin is not None
    at = next(i for i, vertex in enumerate(skin) if vertex[2])
    (x1, y1, _), (x2, y2, _) = skin[at + 1], skin[at + 2]
    assert [x1, y1, x2, y2] == pytest.approx([400, 1030, 400, 1025])


def test_an_arch_tighter_than_its_land_cannot_be_run_out() -> None:
    tight: Ring = ((0, 0, 0), (335, 0, -1.0), (365, 0, 0), (700, 0, 0), (700, 1000, 0), (0, 1000, 0))
    assert run_out(tight, EVEN) is None
    assert skin_outline(outline_openings(Side("s", Hand.LEFT, (Bay(700, 1000, 0, tight),), ())), EVEN) == ()


def test_corners_are_those_farthest_to_each_corner_and_a_round_one_belongs_to_the_upper_edge() -> None:
    assert corner_numbers(SLOPED) == (0, 1, 2, 4)
    assert corner_numbers(ROUNDED) == (0, 1, 2, 4)


def test_over_a_post_beside_a_sloped_bay_the_edge_runs_from_corner_to_corner() -> None:
    side = Side("s", Hand.LEFT, (Bay(700, 1000, 0, SLOPED), Bay(700, 1000)), (50.0,))
    closed = closed_side(outline_openings(side))
    assert closed.index((750.0, 1000.0, 0.0)) + 1 == closed.index((700, 900, 0.0))


def test_a_leaning_post_leaves_the_face_that_is_metal_over_its_whole_height() -> None:
    leaning: Ring = ((0, 0, 0), (700, 0, 0), (712, 1000, 0), (8, 1000, 0))
    openings = outline_openings(Side("s", Hand.LEFT, (Bay(700, 1000, 0, leaning),) * 2, (50.0,)))
    assert post_faces(openings) == (38.0,)
    assert post_centres(openings) == (731.0,)


BAYS = st.lists(st.sampled_from([SLOPED, ARCH, ROUNDED, None]), min_size=1, max_size=5)
LANDS = st.builds(Land, *[st.integers(5, 40).map(float)] * 3)


@given(BAYS, LANDS)
def test_the_skin_is_one_sound_outline_that_holds_every_opening_with_its_land(
    outlines: list[Ring | None], land: Land
) -> None:
    side = Side("s", Hand.LEFT, tuple(Bay(700, 1000, 0, o) for o in outlines), (60.0,) * (len(outlines) - 1))
    openings = outline_openings(side)
    skin = as_polygon(skin_outline(openings, land), tolerance=1e-4)
    assert skin.is_valid
    least = min(land.top, land.bottom, land.ends)
    for opening in openings:
        assert skin.buffer(1e-6).contains(as_polygon(opening.ring))
    # the land is never less than the least of the three: checked square to edges, so corners are cut off round
    closed = as_polygon(closed_side(openings), tolerance=1e-4)
    assert closed.buffer(least - 0.01).difference(skin).area < 0.5
