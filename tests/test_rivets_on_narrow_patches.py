"""Odd narrow patches: a rivet line where there is room for one, inside the metal, and else a warning."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from nesting.checking.rivets import rivet_faults
from nesting.job import Patch
from nesting.outline import Ring, as_polygon, bounds, counter_clockwise, moved, polygon_ring
from nesting.rivets.fasteners import place_fasteners
from nesting.rivets.insets import inset
from tests.hand_plans import base_job, two_panels


def faults_of(ring: Ring) -> list[str]:
    """What the check says of the rivets round a patch with this outline; edge distance 15."""
    x0, y0, x1, y1 = bounds(ring)
    patch = Patch("odd", x1 - x0, y1 - y0, riveted=True, outline=moved(ring, -x0, -y0))
    job = base_job(sides=(), patches=(patch,))
    plan = replace(two_panels().plan, panels=(), seams=(), sheets=())
    return list(rivet_faults(job, plan, place_fasteners(job, [], [])))


def test_edges_moved_past_one_another_leave_nothing_of_a_scrap() -> None:
    # 13.7 by 8: 15 from every edge there is nothing, though the moved edges meet in a ring of their own
    assert inset(polygon_ring([(0, 0), (13.7, 0), (0, 8), (1.37, 1), (0, 2)]), 15) == ()


def test_a_scrap_with_a_sharp_inward_corner_has_no_room_for_a_line() -> None:
    assert faults_of(counter_clockwise(polygon_ring([(49.32, 123), (23.29, 0), (9.59, 70), (0, 72)]))) == []


WIDTHS = st.integers(0, 60).map(lambda step: step * 1.37)


@given(st.lists(st.tuples(WIDTHS, st.integers(0, 300)), min_size=3, max_size=6, unique=True))
@settings(deadline=None, max_examples=120)
def test_rivets_round_any_narrow_patch_pass_the_check(corners: list[tuple[float, float]]) -> None:
    shape = Polygon(corners)
    if shape.is_valid and shape.area > 50:
        assert faults_of(counter_clockwise(polygon_ring(corners))) == []


BULGES = st.integers(-60, 100).map(lambda share: share / 100)


@given(st.integers(20, 60), st.integers(20, 300), st.tuples(BULGES, BULGES, BULGES, BULGES))
@settings(deadline=None, max_examples=60)
def test_rivets_round_any_patch_with_curved_edges_pass_the_check(
    width: int, height: int, bulges: tuple[float, float, float, float]
) -> None:
    corners = [(0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height))]
    ring = tuple((x, y, bulge) for (x, y), bulge in zip(corners, bulges, strict=True))
    if as_polygon(ring).is_valid:
        assert faults_of(ring) == []
