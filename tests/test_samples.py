"""The samples: each plans end to end, passes the independent check on the way, and is no worse than common sense."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from nesting.jobfile import read_job
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob, Status
from nesting.planning import plan_job

SAMPLES = Path(__file__).resolve().parent.parent / "samples"
JOB_FILES = sorted(SAMPLES.glob("*.toml"))

LIMIT = 10.0
"""Seconds: the small ones are proved in one; the full body is planned, and perhaps not proved."""


@cache
def planned(name: str) -> PlannedJob:
    """The plan of a sample; plan_job raises PlanRejected where its check finds a mistake."""
    return plan_job(read_job(SAMPLES / f"{name}.toml"), SolveLimits(time_limit=LIMIT))


def test_there_are_the_samples_that_the_documents_name() -> None:
    assert {"full-body", "metric-van", "short-body"} <= {path.stem for path in JOB_FILES}


@pytest.mark.parametrize("path", JOB_FILES, ids=lambda path: path.stem)
def test_first_line_says_what_the_sample_shows(path: Path) -> None:
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# ")
    assert first.endswith(".")
    assert len(first.split()) >= 8


@pytest.mark.parametrize("path", JOB_FILES, ids=lambda path: path.stem)
def test_sample_is_planned_with_every_bay_and_patch(path: Path) -> None:
    whole = planned(path.stem)
    job, plan = whole.job, whole.plan
    bays = [(panel.side, bay) for panel in plan.panels for bay in range(panel.first_bay, panel.last_bay + 1)]
    assert set(bays) == {(side.name, bay) for side in job.sides for bay in range(1, len(side.bays) + 1)}
    cut = [part.part for sheet in plan.sheets for part in sheet.parts]
    assert len(cut) == len(plan.panels) + len(plan.backing) + sum(patch.quantity for patch in job.patches)
    assert len(set(cut)) == len(cut)
    assert plan.bound <= plan.objective + 1e-6
    assert whole.fasteners.total > 0


@pytest.mark.parametrize("name", ["metric-van", "short-body"])
def test_small_samples_are_proved_best(name: str) -> None:
    plan = planned(name).plan
    assert plan.status is Status.OPTIMAL
    assert plan.bound == pytest.approx(plan.objective)


def test_stock_of_the_samples_is_not_overdrawn() -> None:
    for name in ("metric-van", "short-body"):
        whole = planned(name)
        for stock in whole.job.stock:
            used = sum(sheet.stock.name == stock.name for sheet in whole.plan.sheets)
            assert stock.available is None or used <= stock.available


def test_full_body_takes_no_more_sheets_than_a_shop_would_expect() -> None:
    """Source (c), common practice: two sides of 33 ft and twenty patches come out of 15 sheets or fewer."""
    assert len(planned("full-body").plan.sheets) <= 15


def test_trade_off_of_a_sample_contains_the_plan_or_better() -> None:
    plan = planned("short-body").plan
    within = [point.sheet_cost for point in plan.tradeoff if point.seams <= len(plan.seams)]
    assert min(within) <= sum(sheet.stock.price for sheet in plan.sheets) + 1e-6
    assert all(point.bound <= point.sheet_cost + 1e-6 for point in plan.tradeoff)
