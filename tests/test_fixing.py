"""Plans around what is decided already: the rest follows, names stay, metal is asked for once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.job import (
    Fixed,
    FixedPanel,
    FixedPatch,
    FixedState,
    FixedStrip,
    Job,
    Patch,
    Stock,
)
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob, Status
from nesting.planning import plan_job
from nesting.skin.sideplans import side_plans
from shared.errors import NothingFits
from tests.hand_plans import BIG, DRIVER, SMALL
from tests.plain_sides import job_of, side_of
from tests.test_backing import tall_job

CUT, DECIDED = FixedState.CUT, FixedState.DECIDED


def planned(job: Job) -> PlannedJob:
    """A plan that has passed its check, since plan_job raises PlanRejected where it has not."""
    return plan_job(job, SolveLimits(time_limit=2.0))


def bays_of(whole: PlannedJob) -> dict[str, tuple[int, int]]:
    return {panel.name: (panel.first_bay, panel.last_bay) for panel in whole.plan.panels}


def on_sheets(whole: PlannedJob) -> set[str]:
    return {part.part for sheet in whole.plan.sheets for part in sheet.parts}


def test_a_panel_that_is_cut_is_in_the_plan_and_on_no_sheet() -> None:
    fixed = Fixed((FixedPanel(DRIVER, 2, 2, CUT, name="D2"),))
    whole = planned(job_of(side_of(4), stock=(BIG, SMALL), fixed=fixed))
    (cut,) = [panel for panel in whole.plan.panels if panel.cut]
    assert (cut.name, cut.first_bay, cut.last_bay) == ("D2", 2, 2)
    assert on_sheets(whole) == set(bays_of(whole)) - {"D2"}
    assert whole.masses["D2"] > 0
    assert any("D2" in (seam.over, seam.under) for seam in whole.plan.seams)
    assert any(held.panel == "D2" and held.rivets for held in whole.fasteners.panels)


def test_neighbours_meet_a_decided_panel_on_its_posts() -> None:
    fixed = Fixed((FixedPanel(DRIVER, 2, 3, DECIDED),))
    whole = planned(job_of(side_of(4), stock=(BIG,), fixed=fixed))
    assert sorted(bays_of(whole).values()) == [(1, 1), (2, 3), (4, 4)]
    assert on_sheets(whole) == set(bays_of(whole))


def test_a_decided_panel_between_rails_leaves_the_rest_of_its_bays() -> None:
    tall = replace(side_of(2), rails=(250.0,), rail_width=60.0)
    fixed = Fixed((FixedPanel(DRIVER, 1, 1, CUT, from_rail=250.0, name="top"),))
    whole = planned(job_of(tall, stock=(BIG,), fixed=fixed))
    cut = next(panel for panel in whole.plan.panels if panel.cut)
    assert (cut.first_row, cut.last_row) == (2, 2)
    assert min(y for _, y, _ in cut.outline) == 250.0 - 15.0


def test_a_panel_that_is_cut_may_be_larger_than_every_sheet() -> None:
    fixed = Fixed((FixedPanel(DRIVER, 1, 5, CUT),))
    whole = planned(job_of(side_of(6), stock=(SMALL,), fixed=fixed))
    assert sorted(bays_of(whole).values()) == [(1, 5), (6, 6)]


def test_names_that_are_kept_are_given_to_nobody_else() -> None:
    fixed = Fixed((FixedPanel(DRIVER, 3, 3, CUT, name="D1"), FixedPanel(DRIVER, 4, 4, CUT, name="d3")))
    whole = planned(job_of(side_of(4), stock=(SMALL,), fixed=fixed))
    assert bays_of(whole)["D1"] == (3, 3)
    assert bays_of(whole)["d3"] == (4, 4)
    assert sorted(set(bays_of(whole)) - {"D1", "d3"}) in (["D2"], ["D2", "D4"])


def test_a_spoiled_panel_gets_its_old_name_when_it_comes_out_the_same() -> None:
    first = planned(job_of(side_of(4), stock=(SMALL,)))
    names = bays_of(first)
    spoiled = sorted(names)[1]
    kept = tuple(FixedPanel(DRIVER, *bays, CUT, name=name) for name, bays in names.items() if name != spoiled)
    again = planned(job_of(side_of(4), stock=(SMALL,), fixed=Fixed(kept)))
    assert bays_of(again) == names
    assert on_sheets(again) == {spoiled}


def test_copies_that_are_cut_are_on_no_sheet() -> None:
    job = job_of(patches=(Patch("hatch", 300, 300, quantity=3),), stock=(BIG,))
    whole = planned(replace(job, fixed=Fixed(patches=(FixedPatch("hatch", (1, 3)),))))
    assert on_sheets(whole) == {"hatch#2"}
    assert set(whole.masses) == {"hatch#1", "hatch#2", "hatch#3"}


def test_a_job_in_which_all_is_cut_needs_no_sheet() -> None:
    fixed = Fixed((FixedPanel(DRIVER, 1, 2, CUT),), (FixedPatch("hatch", (1,)),))
    whole = planned(job_of(side_of(2), patches=(Patch("hatch", 300, 300),), stock=(BIG,), fixed=fixed))
    assert whole.plan.sheets == ()
    assert (whole.plan.status, whole.plan.objective) == (Status.OPTIMAL, 0.0)


def test_sheets_on_hand_are_used_before_any_is_bought() -> None:
    there = Stock("small", SMALL.width, SMALL.length, 0.0, 1, on_hand=True)
    whole = planned(job_of(side_of(4), stock=(there, SMALL)))
    assert sum(sheet.stock.on_hand for sheet in whole.plan.sheets) == 1
    assert whole.plan.sheet_cost == sum(SMALL.price for sheet in whole.plan.sheets) - SMALL.price


def test_area_that_is_cut_already_is_not_asked_of_the_stock() -> None:
    few = replace(SMALL, available=1)
    with pytest.raises(NothingFits, match="available"):
        planned(job_of(side_of(6), stock=(few,)))
    fixed = Fixed((FixedPanel(DRIVER, 1, 4, CUT),))
    assert len(planned(job_of(side_of(6), stock=(few,), fixed=fixed)).plan.sheets) == 1


def test_a_strip_that_is_cut_is_there_for_the_seam_and_on_no_sheet() -> None:
    job = tall_job((62.0,))
    first = planned(job)
    assert len(first.plan.backing) == 1
    (strip,) = first.plan.backing
    lower = min(first.plan.panels, key=lambda panel: panel.first_row)
    fixed = Fixed(
        (FixedPanel(DRIVER, 1, 1, CUT, to_rail=strip.height, name=lower.name),),
        strips=(FixedStrip(DRIVER, 1, 1, strip.height, CUT, strip.patch),),
    )
    again = planned(replace(job, fixed=fixed))
    assert [(s.patch, s.height, s.cut) for s in again.plan.backing] == [(strip.patch, strip.height, True)]
    assert on_sheets(again) == {panel.name for panel in again.plan.panels} - {lower.name}


def test_a_panel_that_waits_for_its_strip_still_asks_for_it() -> None:
    job = tall_job((62.0,))
    (strip,) = planned(job).plan.backing
    fixed = Fixed(
        (FixedPanel(DRIVER, 1, 1, CUT, to_rail=strip.height),),
        strips=(FixedStrip(DRIVER, 1, 1, strip.height, DECIDED, "my strip"),),
    )
    again = planned(replace(job, fixed=fixed))
    assert "my strip" in on_sheets(again)


def test_no_candidate_shares_a_bay_with_a_decided_panel() -> None:
    fixed = Fixed((FixedPanel(DRIVER, 2, 3, CUT),))
    (plan,) = side_plans(job_of(side_of(5), fixed=fixed))
    (kept,) = [candidate for candidate in plan.candidates if candidate.panel.cut]
    assert all(
        set(candidate.cells).isdisjoint(kept.cells) for candidate in plan.candidates if candidate is not kept
    )
