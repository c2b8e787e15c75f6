"""Candidate panels: which blocks there are, and their outlines as cut."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from nesting.checking.cover import cover_faults
from nesting.checking.seams import seam_faults
from nesting.checking.structure import frame_of
from nesting.job import Bay, Cutting, Hand, Job, Land, SeamKind, SeamRules, Side, Stock, Turn, Window
from nesting.plan import Plan, Status
from nesting.plans.naming import named
from nesting.skin.openings import heights_on
from nesting.skin.panels import Block, Candidate, block_outline, candidate_panels, least_block
from nesting.skin.seams import seam_lines, seams_between
from nesting.skin.sideplans import SidePlan
from tests.plain_sides import covered_sides, job_of, side_of, size_of

INCH = 25.4


def candidates_of(job: Job) -> dict[tuple[int, int, int, int], Candidate]:
    """The candidates of a job's only side by (first bay, last bay, first row, last row)."""
    (side,) = job.sides
    found = candidate_panels(job, side, seam_lines(job, side))
    keys = [(c.panel.first_bay, c.panel.last_bay, c.panel.first_row, c.panel.last_row) for c in found]
    assert len(set(keys)) == len(keys), "no block is listed twice"
    return dict(zip(keys, found, strict=True))


def test_panels_of_the_worked_example_are_118_5_and_119_inches_wide() -> None:
    # bays 27.5, posts 2, land 1, edge distance 1/2: the worked example of the trade notes
    side = Side("side", Hand.LEFT, (Bay(27.5 * INCH, 40 * INCH),) * 12, (2 * INCH,) * 11)
    rules, land = SeamRules(edge_distance=0.5 * INCH), Land(INCH, INCH, INCH)
    panels = candidates_of(job_of(side, seam=rules, land=land))
    for bays, width in (((1, 4), 118.5), ((5, 8), 119.0)):
        size = size_of(panels[(*bays, 1, 1)].panel.outline)
        assert size == pytest.approx((width * INCH, 42 * INCH))


def test_lap_panel_runs_past_the_centre_line_and_butt_panel_ends_before_it() -> None:
    for rules, right in (
        (SeamRules(edge_distance=15.0), 640.0),
        (SeamRules(SeamKind.BUTT, butt_gap=2.0), 624.0),
    ):
        outline = candidates_of(job_of(side_of(2), seam=rules))[1, 1, 1, 1].panel.outline
        assert size_of(outline)[0] == right + 25


def test_panels_never_part_over_a_post_too_narrow_for_a_seam() -> None:
    job = job_of(side_of(3, posts=(50.0, 20.0)))
    assert set(candidates_of(job)) == {(1, 1, 1, 1), (2, 3, 1, 1), (1, 3, 1, 1)}
    assert least_block(seam_lines(job, job.sides[0]), 3, 1) == Block(2, 3, 1, 1)


def test_panels_never_part_on_a_rail_too_narrow_for_a_seam() -> None:
    # the low bay lies under the rail: it still has a panel of its own
    job = job_of(side_of([Bay(600, 500), Bay(600, 250)], rails=(300.0,), rail_width=20.0))
    assert set(candidates_of(job)) == {(1, 1, 1, 2), (2, 2, 1, 1), (1, 2, 1, 2)}


def test_rail_does_not_cut_the_land_of_a_bay_that_ends_short_of_it() -> None:
    # bay 2 ends 2 under the rail, so its land of 25 runs 8 past where the lap of bay 1 ends
    job = job_of(side_of([Bay(600, 500), Bay(600, 298)], rails=(300.0,), rail_width=50.0))
    lines = seam_lines(job, job.sides[0])
    outline = block_outline(job, lines, Block(1, 2, 1, 1))
    assert [heights_on(outline, x) for x in (300.0, 900.0)] == [(-25, 315), (-25, 323)]
    # the step lies on the post, an edge distance before its centre line: the panel above laps over it
    assert (610, 315) in {(x, y) for x, y, _ in outline}


def test_panel_over_the_rail_has_its_land_beside_it_where_nothing_else_stands() -> None:
    job = job_of(side_of([Bay(600, 500), Bay(600, 298)], rails=(300.0,), rail_width=50.0))
    upper = candidates_of(job)[1, 1, 2, 2]
    assert upper.post_seams == ()
    assert max(x for x, _, _ in upper.panel.outline) == 640


def test_window_is_a_hole_in_every_panel_that_closes_its_row() -> None:
    window = Window(1, 100, 350, 300, 100)
    panels = candidates_of(job_of(side_of(1, rails=(300.0,), rail_width=50.0, windows=(window,))))
    assert {rows[2:]: len(c.panel.holes) for rows, c in panels.items()} == {(1, 1): 0, (2, 2): 1, (1, 2): 1}


@pytest.mark.parametrize(("turn", "count"), [(Turn.NONE, 0), (Turn.HALF, 0), (Turn.QUARTER, 1)])
def test_panel_that_fits_no_sheet_in_an_allowed_turn_is_no_candidate(turn: Turn, count: int) -> None:
    standing = Stock("standing", width=650.0, length=550.0, price=1.0)
    job = job_of(side_of(1), stock=(standing,), cutting=Cutting(turn=turn))
    assert len(candidates_of(job)) == count


def test_sheet_that_cannot_be_had_carries_no_candidate() -> None:
    job = job_of(side_of(1), stock=(Stock("gone", 2000.0, 2000.0, 1.0, available=0),))
    assert candidates_of(job) == {}


@settings(deadline=None, max_examples=50, suppress_health_check=[HealthCheck.too_slow])
@given(covered_sides())
def test_check_finds_no_fault_with_panels_and_seams_chosen_blindly(
    covered: tuple[Job, SidePlan, tuple[int, ...]],
) -> None:
    job, side, chosen = covered
    panels = named([side.candidates[p].panel for p in chosen], "D")
    seams = seams_between(panels, side.lines)
    length = sum(seam.length for seam in seams)
    cost = job.seam.cost * len(seams) + job.seam.cost_per_length * length
    plan = Plan(Status.FEASIBLE, 0.0, panels, seams, sheets=(), seam_cost=cost)
    frames = {job.sides[0].name: frame_of(job, job.sides[0], plan)}
    assert list(cover_faults(job, plan, frames)) == []
    assert list(seam_faults(job, plan, frames)) == []
    assert {p.name for p in panels} == {f"D{n}" for n in range(1, len(chosen) + 1)}


def test_two_levels_nearer_than_a_butt_gap_leave_no_panel_between_them() -> None:
    rules = replace(SeamRules(SeamKind.BUTT, edge_distance=15.0), butt_gap=2.0)
    job = job_of(side_of(1, rails=(300.0, 301.0), rail_width=80.0), seam=rules)
    assert (1, 1, 2, 2) not in candidates_of(job)
