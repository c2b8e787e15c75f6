"""Rivets of openings that are no rectangles: along slopes and curves, past wheel arches, round odd patches."""

from __future__ import annotations

from dataclasses import replace
from math import dist, hypot, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.checking.rivets import rivet_faults
from nesting.checking.shapes import point_to_ring
from nesting.job import Patch, SeamKind, SeamRules
from nesting.outline import Ring, polygon_ring, rectangle
from nesting.plan import Fasteners, Panel
from nesting.rivets.fasteners import place_fasteners
from nesting.skin.panels import Block
from tests.hand_plans import base_job, two_panels
from tests.odd_sides import (
    ARCHED,
    LEANING,
    ROUNDED,
    SLOPED,
    odd_bays,
    odd_job,
    odd_plan,
    odd_side,
    panels_of,
)
from tests.riveted_walls import lines_of

ROUNDING = 1e-5
"""mm: positions are rounded to a millionth, and moved edges are met in floats."""


def riveted(*rings: Ring, **side: object) -> tuple[Fasteners, tuple[Panel, ...]]:
    """The rivets of one panel over bays with these outlines."""
    job = odd_job(odd_side(rings, **side))
    rows = len(job.sides[0].rails) + 1
    panels, seams, _ = panels_of(job, [Block(1, len(rings), 1, rows)])
    return place_fasteners(job, panels, seams), panels


def from_edges(panel: Panel, point: tuple[float, float]) -> float:
    """How far a point lies from the nearest true edge of a panel."""
    return min(point_to_ring(point, ring) for ring in (panel.outline, *panel.holes))


def test_a_wheel_arch_is_one_line_on_the_circle_inside_it() -> None:
    fasteners, _ = riveted(ARCHED)
    (arch,) = [line for line in fasteners.lines if line.where == "bottom edge of D1, stretch 2 of 3"]
    # the arch of 350 less the land of 25 more the edge distance of 15, about (550, 0)
    away = [hypot(x - 550, y) - 340 for x, y in arch.points]
    assert max(away) < 0.01
    assert min(away) > -ROUNDING
    # it ends where it meets the lines along the foot, 15 above the edge of the land at -25
    assert [y for _, y in (arch.points[0], arch.points[-1])] == pytest.approx([-10, -10], abs=1e-5)


def test_an_edge_runs_on_round_a_corner_as_one_line() -> None:
    fasteners, _ = riveted(ROUNDED)
    (left,) = [line for line in fasteners.lines if line.where == "left edge of D1"]
    # most of it lies on the left hand: from the lower left corner up, round 300 + 25 - 15 = 310 about (300, 700),
    # and along the top
    assert left.points[0] == pytest.approx((-10, -10), abs=1e-5)
    assert left.points[-1] == pytest.approx((710, 1010), abs=1e-5)
    on_arc = [hypot(x - 300, y - 700) for x, y in left.points if x < 300 and y > 700]
    assert len(on_arc) == pytest.approx(310 * pi / 2 / left.pitch, abs=1)
    assert all(310 - 0.01 < radius < 310 + ROUNDING for radius in on_arc)
    assert {line.where for line in lines_of(fasteners, "edge")} == {
        f"{hand} edge of D1" for hand in ("bottom", "left", "right")
    }


def test_a_panel_that_is_round_all_over_has_one_closed_line() -> None:
    round_bay: Ring = ((0.0, 300.0, 1.0), (600.0, 300.0, 1.0))
    fasteners, _ = riveted(round_bay)
    (line,) = lines_of(fasteners, "edge")
    assert line.where == "whole edge of D1"
    # 300 + 25 - 15 = 310
    assert all(310 - 0.01 < dist(point, (300, 300)) < 310 + ROUNDING for point in line.points)
    assert line.counted == len(line.points) == 39  # 2 pi 310 = 1947.8 at 50


def test_lines_along_leaning_posts_meet_in_the_corners() -> None:
    fasteners, (panel,) = riveted(LEANING)
    edges = lines_of(fasteners, "edge")
    assert [line.where for line in edges] == [
        f"{hand} edge of D1" for hand in ("bottom", "top", "left", "right")
    ]
    ends = sorted(point for line in edges for point in (line.points[0], line.points[-1]))
    # every corner is the end of two lines
    assert ends[::2] == ends[1::2]
    assert all(
        from_edges(panel, point) == pytest.approx(15, abs=1e-5) for line in edges for point in line.points
    )


def test_a_rail_stops_at_a_wheel_arch() -> None:
    fasteners, _ = riveted(ARCHED, rails=(200.0,), rail_width=60.0)
    left, right = lines_of(fasteners, "rail")
    assert left.where.endswith("stretch 1 of 2")
    # the edge distance inside the arch: half a chord of 340 at 200 is 274.95
    assert left.points[-1][0] == pytest.approx(550 - (340**2 - 200**2) ** 0.5, abs=0.01)
    assert right.points[0][0] == pytest.approx(550 + (340**2 - 200**2) ** 0.5, abs=0.01)


def test_a_post_over_a_sloping_edge_stops_where_the_edge_line_runs() -> None:
    fasteners, _ = riveted(SLOPED, ROUNDED)
    (post,) = lines_of(fasteners, "post")
    assert post.points[0] in lines_of(fasteners, "edge")[0].points
    assert any(post.points[-1] in line.points for line in lines_of(fasteners, "edge")[1:])


def test_rivets_of_an_odd_patch_follow_its_outline_and_keep_off_its_hole() -> None:
    outline = polygon_ring([(0, 0), (400, 0), (400, 100), (150, 300), (0, 300)])
    hole = rectangle(180, 20, 260, 90)
    patch = Patch("gusset", 400.0, 300.0, riveted=True, outline=outline, holes=(hole,))
    fasteners = place_fasteners(base_job(sides=(), patches=(patch,)), [], [])
    (line,) = fasteners.lines
    # the hole comes within 15 of the line along the foot, so that line is open there
    assert line.where == "edge of gusset#1"
    for point in line.points:
        assert point_to_ring(point, outline) >= 15 - ROUNDING
        assert point_to_ring(point, hole) >= 15 - 0.01
    assert (15.0, 15.0) in line.points
    assert [held.rivets for held in fasteners.panels] == [line.counted]


def test_a_patch_with_a_neck_has_a_line_on_either_side_of_it() -> None:
    waist = [(0, 0), (100, 0), (100, 40), (200, 40), (200, 0), (300, 0)]
    outline = polygon_ring([*waist, *((x, 100 - y) for x, y in reversed(waist))])
    patch = Patch("bow", 300.0, 100.0, riveted=True, outline=outline)
    fasteners = place_fasteners(base_job(sides=(), patches=(patch,)), [], [])
    assert [line.where for line in fasteners.lines] == [f"edge of bow#1, stretch {i} of 2" for i in (1, 2)]
    assert fasteners.panels[0].rivets == fasteners.total


def test_a_patch_too_narrow_for_a_line_is_warned_of() -> None:
    sliver = Patch("sliver", 200.0, 20.0, riveted=True, outline=polygon_ring([(0, 0), (200, 0), (0, 20)]))
    fasteners = place_fasteners(base_job(sides=(), patches=(sliver,)), [], [])
    assert fasteners.lines == ()
    assert any("patch 'sliver': narrower" in text for text in fasteners.warnings)


def test_a_window_line_on_a_sloped_bay_keeps_off_the_slope() -> None:
    made = odd_plan()
    windows = tuple(
        type(w)(w.bay, w.from_left, w.from_bottom + 160, w.width + 150, w.height, w.corner_radius, True)
        for w in made.job.sides[0].windows
    )
    job = odd_job(odd_side(windows=windows))
    panels, seams, _ = panels_of(job, [Block(1, 3, 1, 1), Block(4, 4, 1, 1)])
    fasteners = place_fasteners(job, panels, seams)
    around = lines_of(fasteners, "window")
    assert around
    assert all(from_edges(panels[1], point) >= 15 - ROUNDING for line in around for point in line.points)


RULES = (
    SeamRules(edge_distance=15.0),
    SeamRules(edge_distance=15.0, rows=2, row_spacing=15.0),
    SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=2.0),
)


@given(
    st.lists(odd_bays(), min_size=1, max_size=3),
    st.sampled_from(["whole", "at posts", "at the rail", "at both"]),
    st.sampled_from(RULES),
)
@settings(deadline=None, max_examples=60)
def test_every_rivet_keeps_the_edge_distance_from_every_true_edge(
    rings: list[Ring], split: str, rules: SeamRules
) -> None:
    side = odd_side(rings, rails=(500.0,), rail_width=120.0, posts=(120.0,) * (len(rings) - 1))
    job = odd_job(side, seam=rules)
    bays = (
        [(bay, bay) for bay in range(1, len(rings) + 1)]
        if split in ("at posts", "at both")
        else [(1, len(rings))]
    )
    rows = [(1, 1), (2, 2)] if split in ("at the rail", "at both") else [(1, 2)]
    panels, seams, _ = panels_of(job, [Block(*own, *level) for own in bays for level in rows])
    named = {panel.name: panel for panel in panels}
    fasteners = place_fasteners(job, panels, seams)
    for line in fasteners.lines:
        for panel in (named[name] for name in line.panels):
            assert all(from_edges(panel, point) >= 15 - ROUNDING for point in line.points)
    assert {name for line in fasteners.lines for name in line.panels} == set(named)
    for seam in seams:
        rows_on_it = [
            line for line in lines_of(fasteners, "seam") if {seam.over, seam.under} >= set(line.panels)
        ]
        assert rows_on_it
    # pitch, least pitch, counts and what holds what: as the plan check sees it
    plan = replace(two_panels().plan, panels=panels, seams=seams, sheets=())
    assert list(rivet_faults(job, plan, fasteners)) == []
