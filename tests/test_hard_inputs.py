"""Jobs at the edges: no prices, prices far apart, exact fits, a second to plan in; each plan passes its check."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from cli.summary import plan_summary
from nesting.documents import lists
from nesting.documents.planfile import plan_document
from nesting.documents.screen.page import page_html
from nesting.job import (
    Bay,
    CutMethod,
    Cutting,
    Fixed,
    FixedPanel,
    FixedState,
    Hand,
    Job,
    Patch,
    SeamKind,
    SeamRules,
    Side,
    Stock,
    Turn,
)
from nesting.limits import SolveLimits
from nesting.output import write_results
from nesting.plan import PlannedJob, Status
from nesting.planning import plan_job
from tests.conftest import TWO_BAYS
from tests.hand_plans import BIG, DRIVER, SMALL, base_job
from tests.job_texts import job as read
from tests.plain_sides import job_of, side_of


def planned(job: Job, seconds: float = 2.0) -> PlannedJob:
    """A plan that has passed its check, since plan_job raises PlanRejected where it has not."""
    return plan_job(job, SolveLimits(time_limit=seconds))


@pytest.fixture(scope="module")
def unpriced() -> PlannedJob:
    return planned(read(TWO_BAYS.replace("price = 100.0\n", "").replace("cost = 12.0\n", "")))


def test_without_prices_the_least_area_is_bought(unpriced: PlannedJob) -> None:
    assert unpriced.plan.status is Status.OPTIMAL
    assert unpriced.plan.sheet_cost == pytest.approx(32.0)
    document = plan_document(unpriced)
    assert (document["cost_unit"], document["cost"]["total"]) == ("square feet", 0.0)


def test_without_prices_no_money_is_printed(unpriced: PlannedJob) -> None:
    said = "\n".join(plan_summary(unpriced, Path("out"), (), 1.0))
    page = re.sub(r"<(svg|style|script).*?</\1>", "", page_html(unpriced), flags=re.DOTALL)
    for text in (said, page, lists.buy_list(unpriced)):
        shown = re.sub(r"<[^>]*>", " ", text)
        assert "32.0 sq ft" in shown or "no price given" in shown
        assert not re.search(r"\b(32|0)\.00\b(?! %)", shown), shown
        assert "To pay" not in shown


def test_without_prices_a_total_says_that_sheets_are_not_in_it() -> None:
    text = TWO_BAYS.replace("price = 100.0\n", "") + "[costs]\ndelivery = 40\n"
    whole = planned(read(text))
    assert whole.buying.total == 40.0
    assert "total without the sheets,,,,40.00" in lists.buy_list(whole)
    assert "total without the sheets" in page_html(whole)


def test_prices_a_thousandfold_apart_still_give_the_cheapest_plan() -> None:
    cheap = Stock("cheap", 1000.0, 2000.0, 0.05, 2)
    whole = planned(job_of(side_of(4), stock=(BIG, cheap), seam=replace(base_job().seam, cost=0.01)))
    assert whole.plan.status is Status.OPTIMAL
    assert {sheet.stock.name for sheet in whole.plan.sheets} == {"cheap"}
    dear = Stock("dear", 1000.0, 2000.0, 90_000.0)
    whole = planned(job_of(side_of(4), stock=(BIG, dear)))
    assert {sheet.stock.name for sheet in whole.plan.sheets} == {"big"}


def test_a_part_that_fits_only_turned_is_turned() -> None:
    stock = Stock("narrow", 500.0, 2000.0, 50.0)
    whole = planned(job_of(patches=(Patch("tall", 450.0, 1900.0),), stock=(stock,)))
    assert [part.turn for sheet in whole.plan.sheets for part in sheet.parts] == [90.0]


@pytest.mark.parametrize("method", [CutMethod.PROFILE, CutMethod.SHEAR])
@pytest.mark.parametrize(("gap", "margin"), [(0.0, 0.0), (6.35, 6.35), (3.0, 0.1)])
def test_parts_as_large_as_the_usable_sheet_fit_one_each(
    method: CutMethod, gap: float, margin: float
) -> None:
    # 48 x 96 in, which no float of whole millimetres is
    stock = Stock("4x8", 48 * 25.4, 96 * 25.4, 98.0)
    part = Patch("lid", 96 * 25.4 - 2 * margin, 48 * 25.4 - 2 * margin, quantity=2)
    cutting = Cutting(method, gap=gap, edge_margin=margin, turn=Turn.NONE)
    whole = planned(job_of(patches=(part,), stock=(stock,), cutting=cutting))
    assert [len(sheet.parts) for sheet in whole.plan.sheets] == [1, 1]
    assert whole.plan.status is Status.OPTIMAL


def test_with_no_gap_sheets_are_filled_to_the_last() -> None:
    stock = Stock("4x8", 48 * 25.4, 96 * 25.4, 98.0)
    parts = (Patch("lid", 24 * 25.4, 16 * 25.4, quantity=24),)
    whole = planned(job_of(patches=parts, stock=(stock,), cutting=Cutting()))
    assert [len(sheet.parts) for sheet in whole.plan.sheets] == [12, 12]


def test_a_second_is_enough_for_a_sound_plan_of_many_bays() -> None:
    patches = tuple(Patch(f"lid {n}", 150.0 + 10 * n, 200.0, quantity=5) for n in range(8))
    whole = planned(job_of(side_of(40), stock=(BIG, SMALL), patches=patches), seconds=1.0)
    assert sum(panel.last_bay - panel.first_bay + 1 for panel in whole.plan.panels) == 40
    assert whole.plan.bound <= whole.plan.objective


def test_a_plan_without_sheets_is_written_whole(tmp_path: Path) -> None:
    fixed = Fixed((FixedPanel(DRIVER, 1, 2, FixedState.CUT, name="D1"),))
    whole = planned(job_of(side_of(2), stock=(BIG,), fixed=fixed))
    names = {path.name for path in write_results(whole, tmp_path / "out")}
    assert {"plan.json", "index.html", "packet.pdf", "all-sheets.dxf", "driver-side.svg"} <= names


def test_sheets_just_as_large_as_butted_panels_are_enough() -> None:
    # the gap of the seam is closed by nobody, so the sheets need not cover it
    butt = SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=2.0)
    stock = Stock("just", 550.0, 649.0, 40.0, 2)
    whole = planned(job_of(side_of(2), stock=(stock,), seam=butt, cutting=Cutting()))
    assert [len(sheet.parts) for sheet in whole.plan.sheets] == [1, 1]


def test_a_hundred_and_fifty_equal_bays_are_planned_within_their_time() -> None:
    # choices that are all alike once kept a solver in its preparations for minutes, past every time limit
    bays = tuple(Bay(700.0, 1000.0) for _ in range(150))
    side = Side("long side", Hand.LEFT, bays, (50.0,) * 149)
    job = base_job(sides=(side,), patches=(), stock=(Stock("large", 1250.0, 3000.0, 50.0),))
    plan = plan_job(job, SolveLimits(time_limit=3.0)).plan
    assert sum(panel.last_bay - panel.first_bay + 1 for panel in plan.panels) == 150
    assert plan.bound <= plan.objective
