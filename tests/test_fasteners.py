"""Rivets counted with a pencil on small walls, the rules said aloud, and the boxes to buy."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from math import dist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.job import Hand, Pack, Patch, RivetRules, SeamRules
from nesting.outline import polygon_ring
from nesting.plan import Fasteners, Panel
from nesting.rivets.fasteners import MOST_RIVETS, cheapest_boxes, place_fasteners
from nesting.rivets.lines import spaces_between, whole_spaces
from shared.errors import PlannerError
from tests.hand_plans import (
    ALL,
    DRIVER,
    base_job,
    butted,
    four_corners,
    railed,
    two_panels,
)
from tests.riveted_walls import every_rivet, lines_of, on_wall, placed, wall

TWO_ROWS = SeamRules(edge_distance=15.0, rows=2, row_spacing=15.0)


def serious(fasteners: Fasteners) -> list[str]:
    return [text for text in fasteners.warnings if "for information" not in text]


# Counted with a pencil


def test_two_short_panels_take_43_rivets() -> None:
    # Bays of 300 x 200, post 50, land 25, edge distance 15; pitches 40 on the seam, 50 on the edges.
    # Each panel reaches from 25 past its bay's end to 15 past the post's centre.
    # Seam: 200 + 2 x (25 - 15) = 220 long, 5.5 pitches, so 6 spaces:                            7
    # Top and bottom of each panel: 10 + 300 + 25 = 335 long, 6.7 pitches, 7 spaces, 8 rivets,
    # the one at the seam already counted:                                          4 x 7 =    28
    # End of each panel: 220 long, 4.4 pitches, 5 spaces, 6 rivets, both corners counted: 2 x 4 = 8
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0))
    assert [len(line.points) for line in lines_of(fasteners, "seam")] == [7]
    assert fasteners.total == 7 + 28 + 8
    # a tenth to spare: 47.3
    assert fasteners.to_buy == 48
    # round each panel: 8 + 8 + 6 + 7 less four corners counted twice
    assert [(held.rivets, held.shared) for held in fasteners.panels] == [(25, 7), (25, 7)]


def test_a_post_inside_a_panel_shares_the_rivets_of_its_ends() -> None:
    # The same wall in one piece: edges 670 long in two stretches of 335 (7 spaces each, 15 rivets), ends of
    # 6, and the post 220 long at 100: 3 spaces, 4 rivets, of which the two ends stand in the edges.
    fasteners = on_wall(wall([[300.0, 300.0]], 200.0))
    (post,) = lines_of(fasteners, "post")
    assert [y for _, y in post.points] == pytest.approx([-10, -10 + 220 / 3, -10 + 440 / 3, 210])
    assert post.counted == 2
    assert fasteners.total == 15 + 15 + 4 + 4 + 2


def test_seam_rivets_are_counted_once_and_shown_for_both_panels() -> None:
    fasteners = placed(two_panels())
    (seam,) = lines_of(fasteners, "seam")
    assert seam.panels == ("D1", "D2")
    assert len(seam.points) == seam.counted == 14
    assert [(held.rivets, held.shared) for held in fasteners.panels] == [(50, 14), (50, 14)]
    assert fasteners.total == len(every_rivet(fasteners)) == 86


def test_a_butt_seam_has_a_line_in_each_panel_and_shares_nothing() -> None:
    fasteners = placed(butted())
    rows = lines_of(fasteners, "seam")
    # Each panel ends 1 short of the post's centre at 625; its line is 15 further in.
    assert [{x for x, _ in row.points} for row in rows] == [{609.0}, {641.0}]
    assert [row.panels for row in rows] == [("D1",), ("D2",)]
    assert all(held.shared == 0 for held in fasteners.panels)


def test_a_corner_of_four_sheets_is_one_rivet_through_all_of_them() -> None:
    fasteners = placed(four_corners())
    corner = (625.0, 500.0)
    assert sum(corner in line.points for line in fasteners.lines) == 4
    assert sum(line.counted for line in fasteners.lines) == fasteners.total == len(every_rivet(fasteners))
    # Seams of 14 and 17 rivets, the corner once: 30 of each panel's rivets hold another panel too.
    assert [held.shared for held in fasteners.panels] == [30] * 4
    (warning,) = serious(fasteners)
    # four skins of 1.2 and the post's 2
    assert "up to 4 sheets" in warning
    assert "6.8 mm" in warning


def test_grip_is_one_skin_at_edges_and_two_on_a_lap() -> None:
    fasteners = placed(railed())
    assert all(line.grip == pytest.approx(1.2 + 2.0) for line in lines_of(fasteners, "edge"))
    assert [line.grip for line in lines_of(fasteners, "seam")] == pytest.approx([2 * 1.2 + 2.0])


def test_an_exact_fit_takes_no_extra_rivet() -> None:
    # 520 / 40 = 13 spaces; in inches 37 1/2 at 1 1/2 is 25 spaces although the floats divide to a hair more.
    assert len(lines_of(placed(two_panels()), "seam")[0].points) == 14
    assert whole_spaces(37.5 * 25.4 + 1e-9, 1.5 * 25.4) == 25
    assert whole_spaces(37.5 * 25.4 + 0.01, 1.5 * 25.4) == 26


def test_a_short_stretch_gives_up_the_pitch_before_the_least_pitch() -> None:
    # 20 at a pitch of 16 would be two spaces of 10; with a least pitch of 15 it is one of 20.
    assert whole_spaces(20, 16) == 2
    assert spaces_between(20, 16, 15) == 1
    assert spaces_between(100, 16, 15) == 6


# Rules and refusals


def test_an_ordinary_wall_draws_information_only() -> None:
    fasteners = placed(two_panels())
    assert not serious(fasteners)
    assert all("TM 9-2320-303-24-2" in text for text in fasteners.warnings)


def test_a_wall_within_usual_practice_is_silent() -> None:
    rivets = RivetRules(diameter=5.0, seam_pitch=38.0, edge_pitch=38.0, post_pitch=100.0)
    assert on_wall(wall([[300.0], [300.0]], 200.0, rivets=rivets)).warnings == ()


def test_a_pitch_under_three_diameters_is_named_and_set_at_three() -> None:
    rivets = RivetRules(diameter=10.0, seam_pitch=20.0, edge_pitch=50.0)
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=SeamRules(edge_distance=25.0), rivets=rivets))
    (seam,) = lines_of(fasteners, "seam")
    # 200 long: six spaces of 33.3 rather than ten of 20
    assert len(seam.points) == 7
    (text,) = [text for text in fasteners.warnings if "seam pitch" in text and "3 D" in text]
    assert text.startswith("side 'driver side', seam lines: seam pitch 20 mm is less than 3 D = 30 mm")


def test_two_rows_nearer_than_three_diameters_are_named_but_kept() -> None:
    close = replace(TWO_ROWS, row_spacing=13.0)
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=close))
    assert len(lines_of(fasteners, "seam")[1].points) == 8
    assert any("row spacing 13 mm is under 3 D = 15 mm" in text for text in fasteners.warnings)
    closer = on_wall(wall([[300.0], [300.0]], 200.0, rules=replace(TWO_ROWS, row_spacing=12.0)))
    assert any("row spacing 12 mm is less than 2.5 D = 12.5 mm" in text for text in closer.warnings)


def test_a_rail_next_to_an_edge_keeps_its_pitch_between_the_rivets_of_the_edge() -> None:
    # The rail's line runs 12 above the bottom line, nearer than 3 x 5.
    fasteners = on_wall(wall([[300.0]], 400.0, rail=2.0))
    (rail,) = lines_of(fasteners, "rail")
    (bottom,) = [line for line in fasteners.lines if line.where == "bottom edge of D1"]
    assert len(bottom.points) == 8
    assert all(dist(a, b) >= 15 - 1e-5 for a in rail.points for b in bottom.points)
    assert max(dist(a, b) for a, b in pairwise(rail.points)) <= 100
    assert serious(fasteners) == []


def test_rivets_beside_the_hidden_edge_of_a_lap_are_named() -> None:
    # The edge rivets are at most 20 apart, and the hidden edge lies 15 from the seam: 5 apart is under 2 x 5.
    rivets = RivetRules(diameter=5.0, seam_pitch=40.0, edge_pitch=20.0)
    (text,) = serious(on_wall(wall([[300.0], [300.0]], 200.0, rivets=rivets)))
    assert "edge of D1" in text
    assert "within 2 D = 10 mm of the hidden edge" in text


@pytest.mark.parametrize(
    ("distance", "told"),
    [
        (15.0, ""),
        (11.0, "for information: lap width 22 mm is outside the usual 25 mm to 51 mm"),
        # under twice the least edge distance it breaks a rule
        (9.5, "lap width 19 mm is less than 4 D = 20 mm"),
    ],
)
def test_a_lap_narrower_than_usual_is_told(distance: float, told: str) -> None:
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0, rules=SeamRules(edge_distance=distance)))
    about = [text for text in fasteners.warnings if "lap width" in text]
    assert len(about) == bool(told)
    assert all(told in text for text in about)


@pytest.mark.parametrize(("post", "told"), [(2.0, False), (1.6, True), (5.5, True)])
def test_a_rivet_is_as_thick_as_the_thickest_metal_and_at_most_three_times_that(
    post: float, told: bool
) -> None:
    # a rivet of 5 goes with 1.67 to 5
    job, plan = two_panels()
    other = replace(job, rivets=replace(job.rivets, post_thickness=post))
    warnings = place_fasteners(other, plan.panels, plan.seams).warnings
    assert any("diameter 5 mm is outside 1 to 3 times" in text for text in warnings) is told


def test_inches_are_told_as_fractions() -> None:
    job, plan = two_panels()
    inches = type(job.units)("in")
    rivets = RivetRules(diameter=25.4 / 4, seam_pitch=25.4 / 2, edge_pitch=25.4)
    told = place_fasteners(replace(job, units=inches, rivets=rivets), plan.panels, plan.seams).warnings
    assert any("seam pitch 1/2 in is less than 3 D = 3/4 in" in text for text in told)


def test_more_than_a_million_rivets_are_refused_before_they_are_set() -> None:
    tiny = RivetRules(diameter=0.0001, seam_pitch=0.001, edge_pitch=0.001, post_pitch=0.001)
    with pytest.raises(PlannerError, match=rf"no more than {MOST_RIVETS:,}"):
        on_wall(wall([[300.0], [300.0]], 200.0, rivets=tiny))


# Boxes


def test_boxes_are_the_cheapest_mix() -> None:
    packs = (Pack(100, 24.0), Pack(500, 98.0))
    assert cheapest_boxes(0, packs) == ()
    assert cheapest_boxes(95, ()) == ()
    assert cheapest_boxes(95, packs) == ((100, 1, 24.0),)
    # 4 x 24 = 96 < 98 for 400; 5 x 24 = 120 > 98 for 401
    assert cheapest_boxes(400, packs) == ((100, 4, 24.0),)
    assert cheapest_boxes(401, packs) == ((500, 1, 98.0),)
    assert cheapest_boxes(601, packs) == ((500, 1, 98.0), (100, 2, 24.0))


def test_of_equally_cheap_mixes_the_fewer_boxes_win() -> None:
    assert cheapest_boxes(1000, (Pack(100, 10.0), Pack(500, 50.0))) == ((500, 2, 50.0),)


def test_of_two_boxes_of_one_size_the_cheaper_is_bought() -> None:
    assert cheapest_boxes(150, (Pack(100, 12.0), Pack(100, 9.0))) == ((100, 2, 9.0),)


@given(
    needed=st.integers(1, 400),
    packs=st.lists(
        st.builds(Pack, st.integers(1, 60), st.integers(0, 40).map(float)), min_size=1, max_size=3
    ),
)
@settings(deadline=None, max_examples=60)
def test_no_other_mix_of_boxes_is_cheaper(needed: int, packs: list[Pack]) -> None:
    bought = cheapest_boxes(needed, packs)
    assert sum(count * boxes for count, boxes, _ in bought) >= needed
    # the cheapest price of holding at least n, and with the fewest boxes, worked up one rivet at a time
    best = [(0.0, 0)]
    for n in range(1, needed + 1):
        best.append(
            min((best[max(0, n - p.count)][0] + p.price, best[max(0, n - p.count)][1] + 1) for p in packs)
        )
    assert (sum(b * p for _, b, p in bought), sum(b for _, b, _ in bought)) == best[needed]


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_lines_that_cross_share_a_rivet_on_every_hand_plan(make: object) -> None:
    assert callable(make)
    fasteners = placed(make())
    for one, other in combinations(fasteners.lines, 2):
        if {one.kind, other.kind} == {"post", "edge"} and set(one.panels) & set(other.panels):
            post, edge = (one, other) if one.kind == "post" else (other, one)
            if edge.where.startswith(("top", "bottom")):
                assert set(post.points) & set(edge.points)


def test_the_front_on_the_other_hand_changes_names_only() -> None:
    left, right = (on_wall(wall([[300.0], [300.0]], forward=hand)) for hand in (Hand.LEFT, Hand.RIGHT))
    assert left.total == right.total
    assert lines_of(left, "seam")[0].where == "post 1, D1 over D2"
    assert lines_of(right, "seam")[0].where == "post 1, D2 over D1"


def test_a_panel_too_narrow_for_a_line_is_named() -> None:
    sliver = Panel("D1", DRIVER, Hand.LEFT, 1, 1, 1, 1, polygon_ring([(0, 0), (20, 0), (20, 500), (0, 500)]))
    fasteners = place_fasteners(base_job(), [sliver], [])
    assert fasteners.lines == ()
    assert [(held.panel, held.rivets) for held in fasteners.panels] == [("D1", 0)]
    (text,) = fasteners.warnings
    assert text.startswith("side 'driver side', panel D1: narrower than two edge distances")


def test_a_riveted_patch_too_small_for_a_line_is_named() -> None:
    tiny = Patch("tiny", 200.0, 30.0, riveted=True)
    fasteners = place_fasteners(base_job(sides=(), patches=(tiny,)), [], [])
    assert fasteners.total == 0
    assert fasteners.warnings[0].startswith("patch 'tiny': narrower than two edge distances")
