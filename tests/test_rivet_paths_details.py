"""Which lines a wall has, what they are called, and what is counted and bought, in detail and by hand."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians, sin

import pytest

from nesting.job import Patch, SeamKind, SeamRules, Window
from nesting.outline import polygon_ring, rectangle
from nesting.rivets.paths import LinePath, patch_paths, side_paths
from tests.hand_plans import DRIVER, base_job
from tests.riveted_walls import Wall, on_wall, wall

WINDOW = Window(1, 60.0, 40.0, 180.0, 100.0, 20.0, riveted=True)


def paths_of(made: Wall) -> list[LinePath]:
    return side_paths(made.job, made.job.sides[0], made.panels, made.seams)


def ends(path: LinePath) -> tuple[float, float, float, float]:
    (x0, y0), (x1, y1) = path.path[0], path.path[-1]
    return x0, y0, x1, y1


def test_lines_come_in_the_order_in_which_they_count() -> None:
    # bays of 300, 300 and 300 from 0; posts' centres at 325 and 675; the last column parts at the rail at 200
    made = wall([[300.0, 300.0], [300.0]], 400.0, rail=200.0, split=[False, True], windows=(WINDOW,))
    found = [(path.kind, path.where, path.panels, path.pitch, ends(path)) for path in paths_of(made)]
    assert found == [
        ("seam", "post 2, D1 over D2", ("D1", "D2"), 40, (675, -10, 675, 200)),
        ("seam", "post 2, D1 over D3", ("D1", "D3"), 40, (675, 200, 675, 410)),
        ("seam", "rail 1, D3 over D2", ("D3", "D2"), 40, (675, 200, 1010, 200)),
        ("edge", "bottom edge of D1", ("D1",), 50, (-10, -10, 675, -10)),
        ("edge", "top edge of D1", ("D1",), 50, (-10, 410, 675, 410)),
        ("edge", "left edge of D1", ("D1",), 50, (-10, -10, -10, 410)),
        ("edge", "bottom edge of D2", ("D2",), 50, (675, -10, 1010, -10)),
        ("edge", "right edge of D2", ("D2",), 50, (1010, -10, 1010, 200)),
        ("edge", "top edge of D3", ("D3",), 50, (675, 410, 1010, 410)),
        ("edge", "right edge of D3", ("D3",), 50, (1010, 200, 1010, 410)),
        ("post", "post 1 in D1", ("D1",), 100, (325, -10, 325, 410)),
        ("rail", "rail 1 in D1", ("D1",), 100, (-10, 200, 675, 200)),
        ("window", "window in bay 1", ("D1",), 50, (150, 25, 150, 25)),
    ]
    assert {path.side for path in paths_of(made)} == {DRIVER}
    assert [path.closed for path in paths_of(made)] == [False] * 12 + [True]


def test_rivets_on_that_wall_counted_with_a_pencil() -> None:
    made = wall([[300.0, 300.0], [300.0]], 400.0, rail=200.0, split=[False, True])
    counts = [(len(line.points), line.counted) for line in on_wall(made).lines]
    # seams: 210 at 40 is 6 spaces twice, one rivet shared; 335 at 40 is 9 spaces from that same rivet
    # D1's edges: 335 and 350 at 50 are 7 spaces each, ends on the seam; 420 cut at the rail into 2 x 5 spaces
    # D2 and D3: 335 is 7 spaces from the seam, 210 is 5 spaces between rivets counted before
    # the post: 210 twice at 100 is 2 x 3 spaces, its ends and the crossing with the rail: the rail: 335 and 350, 2 x 4
    assert counts == [
        (7, 7), (7, 6), (10, 9),
        (15, 14), (15, 14), (11, 9), (8, 7), (6, 4), (8, 7), (6, 4),
        (7, 5), (9, 6),
    ]  # fmt: skip


def test_two_rows_run_on_to_the_farther_row_of_the_seam_that_crosses() -> None:
    rules = SeamRules(edge_distance=15.0, rows=2, row_spacing=20.0)
    made = wall([[300.0], [300.0]], 400.0, rail=200.0, split=[True, True], rules=rules)
    rows = {path.where: path for path in paths_of(made) if path.kind == "seam"}
    assert {where: ends(path) for where, path in rows.items()} == {
        "rail 1, D2 over D1, row 1 of 2": (-10, 190, 335, 190),
        "rail 1, D2 over D1, row 2 of 2": (-10, 210, 335, 210),
        "post 1, D1 over D3, row 1 of 2": (335, -10, 335, 210),
        "post 1, D1 over D3, row 2 of 2": (315, -10, 315, 210),
        "post 1, D2 over D4, row 1 of 2": (335, 190, 335, 410),
        "post 1, D2 over D4, row 2 of 2": (315, 190, 315, 410),
        "rail 1, D4 over D3, row 1 of 2": (315, 190, 660, 190),
        "rail 1, D4 over D3, row 2 of 2": (315, 210, 660, 210),
    }
    # the hidden row keeps 15 from the ends, and where seams cross 15 and twice the diameter
    assert {path.stagger_from for where, path in rows.items() if "row 1" in where} == {None}
    assert {path.stagger_from for where, path in rows.items() if "row 2" in where} == {25.0}
    alone = wall([[300.0], [300.0]], 400.0, rules=rules)
    assert [path.stagger_from for path in paths_of(alone) if path.kind == "seam"] == [None, 15.0]


def test_butt_rows_are_named_by_their_panel() -> None:
    made = wall([[300.0], [300.0]], 400.0, rules=SeamRules(SeamKind.BUTT, 15.0, butt_gap=4.0))
    rows = [(path.where, path.panels, ends(path)) for path in paths_of(made) if path.kind == "seam"]
    assert rows == [
        ("post 1, D1 at its butt seam", ("D1",), (308, -10, 308, 410)),
        ("post 1, D2 at its butt seam", ("D2",), (342, -10, 342, 410)),
    ]


@pytest.mark.parametrize(
    ("rail", "there"),
    [(2.0, True), (5.1, True), (200.0, True), (394.9, True), (0.0, False), (400.0, False), (-9.0, False)],
)
def test_a_rail_has_a_line_where_it_passes_behind_an_opening(rail: float, there: bool) -> None:
    made = wall([[300.0]], 400.0, rail=rail)
    whole = replace(made.panels[0], last_row=1)
    found = [path for path in side_paths(made.job, made.job.sides[0], [whole], []) if path.kind == "rail"]
    assert bool(found) is there


def test_a_post_between_panels_has_no_line_of_its_own() -> None:
    assert [path.where for path in paths_of(wall([[300.0], [300.0]])) if path.kind == "post"] == []
    posts = [path.where for path in paths_of(wall([[300.0, 300.0, 300.0]])) if path.kind == "post"]
    assert posts == ["post 1 in D1", "post 2 in D1"]


def test_windows_without_rivets_only_cut_lines_short() -> None:
    bare = replace(WINDOW, riveted=False)
    made = wall([[300.0]], 400.0, rail=90.0, windows=(bare,))
    # the window lies from (60, 40) to (240, 140): a rail at 90 stops 15 beside it
    rails = [path for path in paths_of(made) if path.kind == "rail"]
    assert [path.where for path in rails] == ["rail 1 in D1, stretch 1 of 2", "rail 1 in D1, stretch 2 of 2"]
    assert [*ends(rails[0]), *ends(rails[1])] == pytest.approx([-10, 90, 45, 90, 255, 90, 310, 90], abs=1e-3)
    assert [path for path in paths_of(made) if path.kind == "window"] == []


def test_a_window_that_no_panel_holds_has_no_line() -> None:
    made = wall([[300.0]], 400.0, windows=(WINDOW,))
    closed = replace(made.panels[0], holes=())
    assert [path.kind for path in side_paths(made.job, made.job.sides[0], [closed], [])] == ["edge"] * 4


def test_a_window_near_the_edge_of_its_panel_has_an_open_line() -> None:
    low = replace(WINDOW, from_bottom=-15.0)
    made = wall([[300.0]], 400.0, windows=(low,))
    (line,) = [path for path in paths_of(made) if path.kind == "window"]
    # its lowest edge at -15 - 15 is outside the inset outline, which ends at -10
    assert not line.closed
    assert line.path[0][1] == pytest.approx(-10, abs=1e-3)
    assert line.path[-1][1] == pytest.approx(-10, abs=1e-3)
    assert max(y for _, y in line.path) == pytest.approx(100, abs=0.01)


# Patches


def test_a_patch_with_a_narrow_neck_has_a_line_in_each_half() -> None:
    lower = [(0, 0), (150, 0), (150, 85), (250, 85), (250, 0), (400, 0)]
    outline = polygon_ring([*lower, *((x, 200 - y) for x, y in reversed(lower))])
    lid = Patch("lid", 400.0, 200.0, outline=outline, riveted=True)
    left, right = patch_paths(base_job(), lid, "lid#1")
    assert (left.where, right.where) == ("edge of lid#1, stretch 1 of 2", "edge of lid#1, stretch 2 of 2")
    assert (left.kind, left.side, left.panels, left.pitch) == ("patch", "", ("lid#1",), 50.0)
    assert ends(left) == (75, 15, 75, 15)
    assert ends(right) == (325, 15, 325, 15)


def test_a_line_round_a_patch_is_opened_by_a_hole_beside_it() -> None:
    lid = Patch("lid", 400.0, 200.0, holes=(rectangle(20, 80, 40, 120),), riveted=True)
    (line,) = patch_paths(base_job(), lid, "lid#1")
    assert not line.closed
    assert line.where == "edge of lid#1"
    # the line at x = 15 passes 5 beside the hole's corners at 80 and 120: 15 from them at 14.142 below and above
    assert ends(line) == pytest.approx((15, 80 - 200**0.5, 15, 120 + 200**0.5), abs=0.01)
    far = Patch("lid", 400.0, 200.0, holes=(rectangle(30, 80, 50, 120),), riveted=True)
    assert patch_paths(base_job(), far, "lid#1")[0].closed


def test_a_patch_drawn_askew_begins_with_its_lowest_edge() -> None:
    outline = polygon_ring([(0, 60), (100, 0), (300, 0), (300, 160), (0, 160)])
    (line,) = patch_paths(base_job(), Patch("lid", 300.0, 160.0, outline=outline, riveted=True), "lid#1")
    assert line.path[0][1] == pytest.approx(15)
    assert 100 < line.path[0][0] < 285


def test_of_two_feet_equally_low_a_line_begins_on_the_left_one() -> None:
    # the outline is told from its right foot on
    legs = polygon_ring([(260, 0), (360, 0), (360, 200), (0, 200), (0, 0), (100, 0), (100, 100), (260, 100)])
    (line,) = patch_paths(base_job(), Patch("stool", 360.0, 200.0, outline=legs, riveted=True), "stool#1")
    assert ends(line) == (50, 15, 50, 15)


def test_a_line_opened_in_two_places_is_two_lines() -> None:
    holes = (rectangle(20, 80, 40, 120), rectangle(360, 80, 380, 120))
    lid = Patch("lid", 400.0, 200.0, holes=holes, riveted=True)
    below, above = patch_paths(base_job(), lid, "lid#1")
    assert (below.where, above.where) == ("edge of lid#1, stretch 1 of 2", "edge of lid#1, stretch 2 of 2")
    side_rise = 80 - 200**0.5
    low_ends, high_ends = sorted((ends(below), ends(above)), key=lambda four: four[1])
    assert low_ends == pytest.approx((15, side_rise, 385, side_rise), abs=0.01)
    assert high_ends == pytest.approx((385, 200 - side_rise, 15, 200 - side_rise), abs=0.01)


@pytest.mark.parametrize(
    ("before", "after", "parts"),
    [
        # from nearer level to nearer upright the hand changes at 45 degrees
        (35.0, 54.5, False),
        (35.0, 55.5, True),
        (-30.0, 29.0, False),
        (-30.0, 31.0, True),
        (-10.0, 15.0, False),
    ],
)
def test_a_line_ends_where_the_hand_changes_sharply_and_runs_on_in_a_curve(
    before: float, after: float, parts: bool
) -> None:
    # an outline whose lower right corner is a bend from one slope to another
    turn, last = radians(before), radians(after)
    bend = (400 * cos(turn), 400 * sin(turn))
    end = (bend[0] + 400 * cos(last), bend[1] + 400 * sin(last))
    outline = polygon_ring([(0, 0), bend, end, (end[0], 900), (-10, 900)])
    made = wall([[300.0]])
    drawn = replace(made.panels[0], outline=outline)
    found = [path for path in side_paths(made.job, made.job.sides[0], [drawn], []) if path.kind == "edge"]
    # a corner of the line lies inside one path if it runs on there, or ends two of them
    inner = [point for path in found for point in path.path[1:-1]]
    near = [point for point in inner if hypot(point[0] - bend[0], point[1] - bend[1]) < 40]
    assert (near == []) is parts


def test_a_rail_has_a_line_where_it_passes_behind_one_of_several_bays() -> None:
    made = wall([[300.0, 300.0]], 400.0, rail=250.0)
    tall, low = made.job.sides[0].bays
    side = replace(made.job.sides[0], bays=(tall, replace(low, height=150.0)))
    found = [path.where for path in side_paths(made.job, side, made.panels, []) if path.kind == "rail"]
    assert found == ["rail 1 in D1"]


def test_a_window_is_held_by_its_own_panel_alone() -> None:
    windows = (WINDOW, replace(WINDOW, bay=2))
    made = wall([[300.0], [300.0]], 400.0, windows=windows)
    found = [(path.where, path.panels) for path in paths_of(made) if path.kind == "window"]
    assert found == [("window in bay 1", ("D1",)), ("window in bay 2", ("D2",))]
