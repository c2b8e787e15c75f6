"""Where rivet lines run: over slopes, past windows, round patches, in two rows, and where they meet."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, pi

import pytest
from shapely.geometry import Point as Spot

from nesting.job import Patch, RivetRules, SeamKind, SeamRules, Window
from nesting.outline import as_polygon, polygon_ring
from nesting.plan import Seam
from nesting.rivets.fasteners import place_fasteners
from tests.hand_plans import (
    DRIVER,
    HandPlan,
    base_job,
    panel,
    stepped,
    windowed,
)
from tests.riveted_walls import lines_of, on_wall, placed, wall

TWO_ROWS = SeamRules(edge_distance=15.0, rows=2, row_spacing=15.0)


def test_edge_lines_over_a_slope_keep_the_edge_distance() -> None:
    made = stepped()
    fasteners = placed(made)
    outline = as_polygon(made.plan.panels[0].outline).exterior
    (top,) = [line for line in fasteners.lines if line.where == "top edge of D1"]
    assert all(outline.distance(Spot(point)) == pytest.approx(15, abs=1e-5) for point in top.points)
    (post,) = lines_of(fasteners, "post")
    assert post.points[-1] in top.points


def stepped_pair() -> HandPlan:
    """`stepped` in two panels that lap over the post at x = 620, where the top edge climbs 3 in 4."""
    job, plan = stepped()
    back = 25.0 / 3
    rise = 425 + (605 - (600 - back)) * 0.75
    d1 = panel(
        "D1",
        (1, 1),
        polygon_ring([(-25, -25), (635, -25), (635, 455), (640 - back, 455), (600 - back, 425), (-25, 425)]),
    )
    d2 = panel(
        "D2", (2, 2), polygon_ring([(605, -25), (1265, -25), (1265, 455), (640 - back, 455), (605, rise)])
    )
    seam = Seam(DRIVER, 1, None, (620.0, -25.0), (620.0, 446.25), over="D1", under="D2")
    return HandPlan(job, replace(plan, panels=(d1, d2), seams=(seam,)))


@pytest.mark.parametrize("rules", [SeamRules(edge_distance=15.0), TWO_ROWS], ids=["one row", "two rows"])
def test_on_a_slope_the_panels_and_the_seam_meet_in_one_rivet(rules: SeamRules) -> None:
    job, plan = stepped_pair()
    if rules.rows == 2:
        d1, d2 = plan.panels
        wider = [tuple((x + (7.5 if x == 635 else 0), y, b) for x, y, b in d1.outline)]
        # the second panel reaches 7.5 further down the slope, which is 5.625 lower
        wider.append(
            tuple(
                (x - 7.5, y - (5.625 if y > 0 else 0), b) if x == 605 else (x, y, b) for x, y, b in d2.outline
            )
        )
        plan = replace(plan, panels=(replace(d1, outline=wider[0]), replace(d2, outline=wider[1])))
    fasteners = place_fasteners(replace(job, seam=rules), plan.panels, plan.seams)
    tops = [line for line in fasteners.lines if line.where.startswith("top edge")]
    for row in lines_of(fasteners, "seam"):
        assert all(row.points[-1] in top.points for top in tops)
    # The edge line is 10 above the opening, square to a slope of 3 in 4: 12.5 above its middle at 415.
    if rules.rows == 1:
        assert lines_of(fasteners, "seam")[0].points[-1] == pytest.approx((620, 427.5))


def test_two_rows_lie_half_a_spacing_to_either_side_and_hold_both_panels() -> None:
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=TWO_ROWS))
    exposed, hidden = lines_of(fasteners, "seam")
    # The left panel is over: its own edge is the one to the right of the centre at 325.
    assert {x for x, _ in exposed.points} == {325 + 7.5}
    assert {x for x, _ in hidden.points} == {325 - 7.5}
    assert exposed.panels == hidden.panels == ("D1", "D2")


def test_the_hidden_row_is_staggered_by_half_a_space_between_its_end_rivets() -> None:
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=TWO_ROWS))
    exposed, hidden = lines_of(fasteners, "seam")
    space = 220 / 6
    assert [y for _, y in exposed.points] == pytest.approx([-10 + i * space for i in range(7)])
    middles = [-10 + (i + 0.5) * space for i in range(6)]
    assert [y for _, y in hidden.points] == pytest.approx([-10, *middles, 210])
    assert hidden.where.endswith("staggered")


def test_rows_stay_level_where_half_a_space_is_less_than_three_diameters() -> None:
    # 220 at 25: 9 spaces of 24.4, half of which is less than 3 x 5.
    rivets = RivetRules(diameter=5.0, seam_pitch=25.0, edge_pitch=50.0)
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=TWO_ROWS, rivets=rivets))
    exposed, hidden = lines_of(fasteners, "seam")
    assert [y for _, y in exposed.points] == [y for _, y in hidden.points]
    assert "staggered" not in hidden.where


def test_a_rail_seam_and_a_rail_inside_a_panel_meet_at_the_post() -> None:
    fasteners = on_wall(wall([[400.0], [400.0]], 600.0, rail=250.0, split=[False, True]))
    (inside,) = lines_of(fasteners, "rail")
    (on_rail,) = [line for line in lines_of(fasteners, "seam") if line.where.startswith("rail")]
    assert inside.points[-1] == on_rail.points[0] == (425.0, 250.0)


def test_a_post_line_stops_the_edge_distance_clear_of_a_window() -> None:
    made = windowed()
    hole = made.plan.panels[0].holes[0]
    lower = tuple((x - 300, y, b) for x, y, b in hole)
    crossed = replace(made.plan.panels[0], holes=(lower,))
    fasteners = place_fasteners(made.job, [crossed], [])
    below, above = lines_of(fasteners, "post")
    # The window from y = 100 to 400 lies over the post at x = 625: end rivets at 85 and 415.
    assert below.points[-1] == pytest.approx((625, 85), abs=0.01)
    assert above.points[0] == pytest.approx((625, 415), abs=0.01)


def test_a_riveted_window_has_a_closed_line_of_even_spaces_around_it() -> None:
    made = windowed()
    riveted = replace(made.job.sides[0], windows=(replace(made.job.sides[0].windows[0], riveted=True),))
    job = replace(made.job, sides=(riveted,))
    fasteners = place_fasteners(job, made.plan.panels, [])
    (line,) = lines_of(fasteners, "window")
    # Straight parts 2 x 300 + 2 x 200, corners rounded at 50 + 15.
    around = 1000 + 2 * pi * 65
    assert len(line.points) == line.counted == ceil(around / 50)
    assert line.pitch == pytest.approx(around / ceil(around / 50), rel=1e-4)
    hole = as_polygon(made.plan.panels[0].holes[0])
    assert all(hole.distance(Spot(point)) == pytest.approx(15, abs=0.02) for point in line.points)
    plain = place_fasteners(made.job, made.plan.panels, [])
    assert not lines_of(plain, "window")


def test_what_stops_at_a_riveted_window_shares_its_rivets() -> None:
    window = Window(1, 100.0, 100.0, 400.0, 300.0, 50.0, riveted=True)
    fasteners = on_wall(wall([[600.0]], 500.0, rail=250.0, windows=(window,)))
    (around,) = lines_of(fasteners, "window")
    left, right = lines_of(fasteners, "rail")
    assert left.points[-1] in around.points
    assert right.points[0] in around.points
    assert around.counted == len(around.points) - 2


def test_a_riveted_patch_has_rivets_in_its_corners_for_each_copy() -> None:
    # 230 x 130 with 15 inset: 200 x 100, at 50 that is 4 + 2 + 4 + 2 rivets.
    lid = Patch("lid", 230.0, 130.0, quantity=2, riveted=True)
    fasteners = place_fasteners(base_job(sides=(), patches=(lid, Patch("bare", 200.0, 100.0))), [], [])
    assert [line.panels for line in fasteners.lines] == [("lid#1",), ("lid#2",)]
    assert {(line.kind, line.side, line.counted) for line in fasteners.lines} == {("patch", "", 12)}
    assert {(15, 15), (215, 15), (215, 115), (15, 115)} <= set(fasteners.lines[0].points)
    assert fasteners.total == 24
    assert [(held.panel, held.rivets, held.shared) for held in fasteners.panels] == [
        ("lid#1", 12, 0),
        ("lid#2", 12, 0),
    ]


def test_a_round_cornered_patch_is_spaced_evenly_all_round() -> None:
    # Corners of 35 keep 20 of it 15 further in: 2 x 160 + 2 x 60 straight and a full circle of 20.
    lid = Patch("lid", 230.0, 130.0, corner_radius=35.0, riveted=True)
    (line,) = place_fasteners(base_job(sides=(), patches=(lid,)), [], []).lines
    assert line.counted == ceil((440 + 2 * pi * 20) / 50)


def test_a_seam_where_the_side_has_no_rail_is_named_by_its_strip() -> None:
    made = wall([[400.0]], 600.0, rail=250.0, split=[True])
    bare = replace(made.job, sides=(replace(made.job.sides[0], rails=()),))
    fasteners = place_fasteners(bare, made.panels, made.seams)
    assert [line.where for line in lines_of(fasteners, "seam")] == ["backing strip at 250 mm, D2 over D1"]
    assert lines_of(fasteners, "rail") == []


def test_a_rail_that_a_panel_ends_on_is_no_line_of_its_own() -> None:
    for rules in (SeamRules(edge_distance=15.0), TWO_ROWS, SeamRules(SeamKind.BUTT, 15.0, butt_gap=2.0)):
        fasteners = on_wall(wall([[400.0]], 600.0, rail=250.0, split=[True], rules=rules))
        assert lines_of(fasteners, "rail") == []


def test_a_butt_seam_has_one_row_in_each_panel_whatever_the_rows() -> None:
    rules = SeamRules(SeamKind.BUTT, edge_distance=15.0, rows=2, row_spacing=5.0, butt_gap=2.0)
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=rules))
    assert len(lines_of(fasteners, "seam")) == 2
    assert not any("row spacing" in text for text in fasteners.warnings)
