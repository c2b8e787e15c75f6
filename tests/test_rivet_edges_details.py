"""Outlines set inwards and cut into rows and edges, in detail: measured against shapely, and by hand on small walls."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from nesting.job import SeamKind, SeamRules, Window
from nesting.outline import CORNER_BULGE, Ring, polygon_ring, rectangle, reversed_ring
from nesting.plan import Point
from nesting.rivets.edges import (
    InsetEdge,
    RivetSheet,
    around,
    from_below,
    hole_zone,
    rivet_sheet,
    seam_axis,
    seam_rows,
    window_box,
)
from nesting.rivets.insets import ARC_TOLERANCE, chords, hugged, inset
from tests.hand_plans import side
from tests.riveted_walls import Wall, wall

CIRCLE: Ring = ((-100.0, 0.0, 1.0), (100.0, 0.0, 1.0))
BITTEN: Ring = (
    (0.0, 0.0, 0.0), (400.0, 0.0, 0.0), (400.0, 300.0, 0.0),
    (300.0, 300.0, -1.0), (100.0, 300.0, 0.0), (0.0, 300.0, 0.0),
)  # fmt: skip
"""A rectangle of 400 x 300 with half a circle of radius 100 bitten out of its top."""


# Outlines


@pytest.mark.parametrize("ring", [CIRCLE, BITTEN, rectangle(0, 0, 200, 100, 30)])
def test_a_hugged_ring_lies_all_on_one_hand_of_the_true_one(ring: Ring) -> None:
    inner, outer = Polygon(hugged(ring)), Polygon(hugged(ring, inside=False))
    true_area = {CIRCLE: pi * 100**2, BITTEN: 120000 - pi * 5000}.get(ring, 20000 - (4 - pi) * 900)
    assert true_area - ARC_TOLERANCE * inner.length <= inner.area < true_area < outer.area
    assert outer.area <= true_area + ARC_TOLERANCE * outer.length
    assert outer.buffer(1e-9).covers(inner)
    # near enough with no more points than that takes: 2 acos(1 - 0.004 / 100) is 1.02 degrees
    assert len(inner.exterior.coords) < 2 * len(outer.exterior.coords) < 1500


def test_a_circle_set_inwards_is_a_smaller_circle() -> None:
    (ring,) = inset(CIRCLE, 15.0)
    distances = [hypot(x, y) for x, y in ring]
    assert min(distances) >= 85 - 2 * ARC_TOLERANCE
    assert max(distances) <= 85 + 1e-6
    assert Polygon(ring).exterior.is_ccw


def test_a_line_beside_a_bite_keeps_its_distance_from_the_true_arc() -> None:
    (ring,) = inset(BITTEN, 15.0)
    line = LineString([*ring, ring[0]])
    assert 115 - 1e-9 <= line.distance(Spot(200.0, 300.0)) <= 115 + 2 * ARC_TOLERANCE
    assert line.bounds == pytest.approx((15, 15, 385, 285))


@st.composite
def convex_polygons(draw: st.DrawFn) -> list[Point]:
    angles = draw(st.lists(st.integers(0, 71), min_size=3, max_size=8, unique=True))
    return [(100 * cos(pi / 36 * angle), 100 * sin(pi / 36 * angle)) for angle in sorted(angles)]


@given(convex_polygons(), st.sampled_from([1.0, 5.0, 15.0, 30.0]))
def test_a_convex_outline_set_inwards_is_what_lies_beyond_all_its_edges(
    points: list[Point], distance: float
) -> None:
    whole = Polygon(points)
    left = whole
    for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True):
        length = hypot(bx - ax, by - ay)
        nx, ny = -(by - ay) / length, (bx - ax) / length
        far = 1000.0
        start = (ax + nx * distance - (bx - ax) / length * far, ay + ny * distance - (by - ay) / length * far)
        end = (start[0] + (bx - ax) / length * 2 * far, start[1] + (by - ay) / length * 2 * far)
        beyond = Polygon(
            [start, end, (end[0] + nx * far, end[1] + ny * far), (start[0] + nx * far, start[1] + ny * far)]
        )
        left = left.intersection(beyond)
    rings = inset(polygon_ring(points), distance)
    assert sum(Polygon(ring).area for ring in rings) == pytest.approx(left.area, abs=1e-3)
    turned = inset(reversed_ring(polygon_ring(points)), distance)
    assert sum(Polygon(ring).area for ring in turned) == pytest.approx(left.area, abs=1e-3)
    for ring in rings:
        assert Polygon(ring).exterior.distance(whole.exterior) >= distance - 1e-5


def test_an_edge_that_shrinks_to_a_point_goes_before_its_neighbours_are_met() -> None:
    # edges of 8 and 20 between long ones: 15 inwards both are gone, and the rest is one corner
    corner = polygon_ring([(0, 0), (200, 0), (200, 150), (180, 170), (172, 178), (150, 200), (0, 200)])
    (ring,) = inset(corner, 15.0)
    expected = Polygon([(x, y) for x, y, _ in corner]).buffer(-15, join_style="mitre", mitre_limit=20)
    assert Polygon(ring).symmetric_difference(expected).area < 1e-3


def test_a_spike_too_narrow_for_a_line_is_left_out() -> None:
    spiked = polygon_ring(
        [(0, 0), (200, 0), (200, 100), (110, 100), (110, 300), (90, 300), (90, 100), (0, 100)]
    )
    (ring,) = inset(spiked, 15.0)
    assert max(y for _, y in ring) <= 100
    assert Polygon(ring).area == pytest.approx(170 * 70, abs=1)


def test_a_point_told_twice_changes_nothing() -> None:
    twice: Ring = (
        (0.0, 0.0, 0.0),
        (100.0, 0.0, 0.0),
        (100.0, 1e-8, 0.0),
        (100.0, 60.0, 0.0),
        (0.0, 60.0, 0.0),
    )
    (ring,) = inset(twice, 10.0)
    assert {(round(x, 6), round(y, 6)) for x, y in ring} == {(10, 10), (90, 10), (90, 50), (10, 50)}


def test_chords_are_cut_at_slopes_where_these_are_crossed() -> None:
    slope = [(0.0, 0.0), (100.0, 0.0), (60.0, 80.0), (20.0, 80.0)]
    assert chords(slope, 1, 40.0) == [(10, 80)]
    assert chords(slope, 0, 80.0) == [(0, 40)]
    assert chords(slope, 0, 10.0) == [(0, 40)]


# Hands and turns


@pytest.mark.parametrize(
    ("end", "hand"),
    [
        ((10.0, 0.0), "bottom"),
        ((-10.0, 0.0), "top"),
        ((0.0, 10.0), "right"),
        ((0.0, -10.0), "left"),
        ((10.0, 10.0), "bottom"),
        ((-10.0, 10.0), "top"),
        ((10.0, 10.1), "right"),
        ((10.0, -10.1), "left"),
    ],
)
def test_an_edge_run_counter_clockwise_is_named_by_its_hand(end: Point, hand: str) -> None:
    assert InsetEdge((0.0, 0.0), end, None).hand == hand


def test_a_turn_is_told_in_degrees_to_either_hand() -> None:
    along = InsetEdge((5.0, 5.0), (15.0, 5.0), None)
    for end, turn in (
        ((25.0, 5.0), 0),
        ((15.0, 9.0), 90),
        ((15.0, -9.0), 90),
        ((20.0, 10.0), 45),
        ((5.0, 5.0), 180),
    ):
        assert along.turn_to(InsetEdge((15.0, 5.0), end, None)) == pytest.approx(turn)


# Windows and holes


def test_a_window_is_measured_from_the_corner_of_its_bay() -> None:
    window = Window(2, 100.0, 30.0, 400.0, 300.0)
    assert list(window_box(side(), window)) == [750, 30, 1150, 330]


def test_a_line_around_a_window_begins_below_and_comes_back() -> None:
    path = around((100.0, 100.0, 200.0, 160.0), 0.0, 15.0)
    assert [*path[0], *path[-1]] == [150, 85, 150, 85]
    line = LineString(path)
    assert line.bounds == pytest.approx((85, 85, 215, 175), abs=1e-3)
    assert Polygon(path).area == pytest.approx(130 * 90 - (4 - pi) * 15**2, rel=1e-4)
    large = around((100.0, 100.0, 200.0, 160.0), 500.0, 15.0)
    # a radius of no more than half the height: two half circles of 45 and 40 of straight edge on either hand
    assert Polygon(large).area == pytest.approx(40 * 90 + pi * 45**2, rel=1e-4)


def test_a_closed_path_is_begun_in_the_middle_of_its_first_edge() -> None:
    path = from_below([(0.0, 0.0), (10.0, 2.0), (10.0, 8.0), (0.0, 8.0)])
    assert list(path) == [(5.0, 1.0), (10.0, 2.0), (10.0, 8.0), (0.0, 8.0), (0.0, 0.0), (5.0, 1.0)]


def test_a_rivet_may_stand_just_the_distance_from_a_hole() -> None:
    zone = hole_zone(((0.0, 0.0, 1.0), (10.0, 0.0, 1.0)), 15.0)
    assert not zone.contains(Spot(5.0, 20.0))
    assert zone.contains(Spot(5.0, 19.99))
    corner = hole_zone(rectangle(0, 0, 10, 10), 15.0)
    assert not corner.contains(Spot(19.0, 22.0))
    assert corner.contains(Spot(18.9, 21.9))


# Rows of seams, on a wall of two bays of 300 x 200 with a post of 50: its centre at 325


def sheets_of(made: Wall) -> list[RivetSheet]:
    return [rivet_sheet(made.job, made.job.sides[0], panel, made.seams) for panel in made.panels]


@pytest.mark.parametrize(
    ("rules", "xs"),
    [
        (SeamRules(edge_distance=15.0), (325.0, 325.0)),
        (SeamRules(edge_distance=15.0, rows=2, row_spacing=20.0), (335.0, 315.0)),
        (SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=4.0), (308.0, 342.0)),
    ],
    ids=["lap", "two rows", "butt"],
)
def test_a_panels_own_edge_on_a_seam_is_its_row(rules: SeamRules, xs: tuple[float, float]) -> None:
    made = wall([[300.0], [300.0]], 200.0, rules=rules)
    (seam,) = made.seams
    for sheet, x in zip(sheets_of(made), xs, strict=True):
        edges = [edge for ring in sheet.edges for edge in ring]
        assert len(edges) == 4
        assert [edge.seam is seam for edge in edges].count(True) == 1
        (own,) = [edge for edge in edges if edge.seam is seam]
        assert {own.start, own.end} == {(x, -10.0), (x, 210.0)}
        assert own.hand == ("right" if sheet.panel.name == "D1" else "left")
    left, right = sheets_of(made)
    assert seam_axis(seam) == 0
    other = None if rules.kind is SeamKind.BUTT else right
    assert seam_rows(seam, left, other) == [((xs[0], -10), (xs[0], 210))]


def test_a_row_runs_as_far_as_the_other_panel_reaches() -> None:
    # the right column parts at a rail at 120: each of its panels meets the left one on its own height
    made = wall([[300.0], [300.0]], 200.0, rail=120.0, split=[False, True])
    left, low, high = sheets_of(made)
    lower, upper = [seam for seam in made.seams if seam.after_bay is not None]
    level = next(seam for seam in made.seams if seam.after_bay is None)
    assert seam_rows(lower, left, low) == [((325, -10), (325, 120))]
    assert seam_rows(upper, left, high) == [((325, 120), (325, 210))]
    assert seam_rows(level, high, low) == [((325, 120), (660, 120))]
    assert seam_axis(level) == 1
    edges = [edge for ring in left.edges for edge in ring]
    assert [edge.seam for edge in edges].count(lower) == [edge.seam for edge in edges].count(upper) == 1
    assert sum(edge.seam is None for edge in edges) == 3
    rows = [(edge.start, edge.end) for edge in edges if edge.seam is not None]
    assert rows == [((325, -10), (325, 120)), ((325, 120), (325, 210))]


def test_zones_keep_the_distance_from_every_hole() -> None:
    window = Window(1, 100.0, 50.0, 80.0, 60.0, 10.0)
    made = wall([[300.0]], 200.0, windows=(window,))
    (sheet,) = sheets_of(made)
    (zone,) = sheet.zones
    assert zone.bounds == pytest.approx((85, 35, 195, 125), abs=1e-4)
    round_hole: Ring = ((100.0, 80.0, 1.0), (120.0, 80.0, 1.0))
    drilled = replace(made.panels[0], holes=(round_hole,))
    (other,) = rivet_sheet(made.job, made.job.sides[0], drilled, ()).zones
    assert other.bounds == pytest.approx((85, 55, 135, 105), abs=0.01)


def test_a_quarter_arc_is_followed_by_chords_inside_and_tangents_outside() -> None:
    ring: Ring = (
        (0.0, 0.0, 0.0),
        (50.0, 0.0, CORNER_BULGE),
        (100.0, 50.0, 0.0),
        (100.0, 100.0, 0.0),
        (0.0, 100.0, 0.0),
    )
    on_arc = [hypot(x - 50, y - 50) for x, y in hugged(ring) if x > 50 and y < 50]
    outside = [hypot(x - 50, y - 50) for x, y in hugged(ring, inside=False) if x > 50 and y < 50]
    assert on_arc == pytest.approx([50.0] * len(on_arc))
    assert all(50 < r <= 50 + ARC_TOLERANCE for r in outside)
    # chords of at most 2 sqrt(2 x 0.004 / 50) of an angle: 63 of them, and as many tangents
    assert len(on_arc) + 1 == len(outside) == 63
