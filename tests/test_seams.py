"""Where seams may lie, how long they are, and that the programme and the plan count the same ones."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from nesting.job import Bay, Hand, Job, RivetRules, SeamKind, SeamRules, Window
from nesting.plan import Panel
from nesting.plans.assembly import assemble
from nesting.plans.naming import named
from nesting.skin.seams import face_needed, seam_lines, seams_between, strip_width, window_zone
from nesting.skin.sideplans import SidePlan
from tests.plain_sides import covered_sides, job_of, side_of


def panel(
    name: str, bays: tuple[int, int], rows: tuple[int, int] = (1, 1), forward: Hand = Hand.LEFT
) -> Panel:
    return Panel(name, "driver side", forward, *bays, *rows, outline=())


def test_seam_over_a_post_reaches_to_the_land_at_both_ends() -> None:
    job = job_of(side_of(2))
    (seam,) = seams_between([panel("D1", (1, 1)), panel("D2", (2, 2))], seam_lines(job, job.sides[0]))
    assert (seam.start, seam.end, seam.length) == ((625, -25), (625, 525), 550)


def test_seam_between_unequal_bays_ends_where_the_centre_line_leaves_the_skin() -> None:
    # the edge over the post of 40 falls by 30 and is 50 long: its land of 25 measures 25 * 50 / 40 upright
    job = job_of(side_of([Bay(600, 500), Bay(600, 470)], posts=(40.0,)))
    (seam,) = seams_between([panel("D1", (1, 1)), panel("D2", (2, 2))], seam_lines(job, job.sides[0]))
    assert seam.end == pytest.approx((620, 485 + 31.25))


def test_seam_over_a_post_ends_on_the_rail_where_skin_goes_on_beyond_it() -> None:
    job = job_of(side_of(2, rails=(300.0,), rail_width=50.0))
    lines = seam_lines(job, job.sides[0])
    panels = [panel("D1", (1, 1)), panel("D2", (1, 1), (2, 2)), panel("D3", (2, 2), (1, 2))]
    spans = {(s.over, s.under): (s.start, s.end) for s in seams_between(panels, lines)}
    assert spans["D1", "D3"] == ((625, -25), (625, 300))
    assert spans["D2", "D3"] == ((625, 300), (625, 525))
    assert spans["D2", "D1"] == ((-25, 300), (625, 300))


def test_through_seam_counts_once_on_each_side_of_a_crossing() -> None:
    job = job_of(side_of(2, rails=(300.0,), rail_width=50.0))
    cells = [panel(f"D{bay}{row}", (bay, bay), (row, row)) for bay in (1, 2) for row in (1, 2)]
    seams = seams_between(cells, seam_lines(job, job.sides[0]))
    assert sorted((s.after_bay or 0, s.rail or 0) for s in seams) == [(0, 1), (0, 1), (1, 0), (1, 0)]


def test_level_that_misses_a_bay_parts_the_seam_in_two() -> None:
    low = Bay(600, 250)
    job = job_of(side_of([Bay(600, 500), low, Bay(600, 500)], rails=(300.0,), rail_width=50.0))
    lines = seam_lines(job, job.sides[0])
    seams = seams_between([panel("D1", (1, 3)), panel("D2", (1, 3), (2, 2))], lines)
    assert [(s.start[0], s.end[0]) for s in seams] == [(-25, 625), (1275, 1925)]


@pytest.mark.parametrize(("forward", "over"), [(Hand.LEFT, "D1"), (Hand.RIGHT, "D2")])
def test_panel_nearer_the_front_lies_outside(forward: Hand, over: str) -> None:
    job = job_of(side_of(2))
    panels = [panel("D1", (1, 1), forward=forward), panel("D2", (2, 2), forward=forward)]
    (seam,) = seams_between(panels, seam_lines(job, job.sides[0]))
    assert seam.over == over


def test_post_narrower_than_the_lap_takes_no_seam() -> None:
    job = job_of(side_of(3, posts=(30.0, 29.9)))
    assert seam_lines(job, job.sides[0]).barred_posts == {2}


def test_narrow_rail_takes_no_seam_and_a_backing_strip_does() -> None:
    job = job_of(side_of(1, rails=(200.0,), rail_width=20.0))
    lines = seam_lines(job, job.sides[0], backing_heights=(350.0,))
    assert [(level.height, level.backing) for level in lines.levels] == [(200, False), (350, True)]
    assert lines.barred_levels == {(1, 1)}


@pytest.mark.parametrize(
    ("rail", "barred"), [(84.9, False), (85.1, True), (200.0, True), (314.9, True), (315.1, False)]
)
def test_no_seam_lies_in_a_window_nor_nearer_than_the_lap(rail: float, barred: bool) -> None:
    window = Window(1, 100, 100, 300, 200)
    job = job_of(side_of(2, rails=(rail,), rail_width=50.0, windows=(window,)))
    assert seam_lines(job, job.sides[0]).barred_levels == ({(1, 1)} if barred else set())


def test_butt_seam_leaves_metal_between_its_edge_and_a_window() -> None:
    rules = SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=2.0)
    job = job_of(side_of(1, windows=(Window(1, 100, 100, 300, 200),)), seam=rules)
    assert window_zone(job, job.sides[0], job.sides[0].windows[0]) == (84, 316)


def test_face_for_a_seam_is_as_wide_as_what_must_be_riveted_to_it() -> None:
    lap, rivets = SeamRules(edge_distance=15.0), RivetRules(diameter=5.0)
    assert face_needed(lap, rivets) == 30
    assert face_needed(replace(lap, rows=2, row_spacing=16.0), rivets) == 46
    butt = replace(lap, kind=SeamKind.BUTT, butt_gap=2.0)
    assert face_needed(butt, rivets) == 37
    assert strip_width(butt) == 62


@settings(deadline=None, max_examples=50, suppress_health_check=[HealthCheck.too_slow])
@given(covered_sides())
def test_programme_and_plan_agree_on_number_and_length_of_seams(
    covered: tuple[Job, SidePlan, tuple[int, ...]],
) -> None:
    job, plan, chosen = covered
    job = replace(job, seam=replace(job.seam, cost_per_length=1.0))
    problem = assemble(job, [plan]).problem
    begun = [run for run in problem.runs if not set(chosen).isdisjoint(run.one_hand + run.other_hand)]
    seams = seams_between(named([plan.candidates[p].panel for p in chosen], "D"), plan.lines)
    assert len(begun) + sum(problem.choices[p].seams for p in chosen) == len(seams)
    length = sum(problem.choices[p].seam_cost for p in chosen)
    assert length == pytest.approx(sum(seam.length for seam in seams), abs=1e-6)
