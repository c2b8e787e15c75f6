"""Random jobs with shapes through the whole planner and its independent check: no plan may be refused."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from nesting.limits import SolveLimits
from nesting.planning import plan_job
from shared.errors import NothingFits, PlanRejected
from tests.bench.packing_runs import BREAKS, in_order
from tests.bench.setting import Setting
from tests.bench.table import Table, mean
from tests.shaped_jobs import shaped_job

SECONDS = 2.0
"""Time limit of a job: enough for a plan, not for every proof."""


@dataclass(frozen=True)
class Outcome:
    """What came of one job; ``fault`` is empty where nothing was wrong."""

    seed: int
    kind: str
    gap: float
    seconds: float
    fault: str = ""


def table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """One row: how many jobs, proved, planned, without a plan, and refused by the check."""
    outcomes = in_order(pool, "shaped jobs", planned, range(setting.pick(20, 1000)))
    faults += [f"shaped job {one.seed}: {one.fault}" for one in outcomes if one.fault]
    kinds = Counter(one.kind for one in outcomes)
    gaps = [100 * one.gap for one in outcomes if one.kind in ("optimal", "feasible")]
    yield Table(
        "shaped-jobs",
        f"Random jobs with shapes, {SECONDS:g} s each at the most, every plan checked",
        ("jobs", "proved", "planned", "no plan", "refused", "mean gap %", "mean ms"),
        (
            (
                len(outcomes),
                kinds["optimal"],
                kinds["feasible"],
                kinds["nothing fits"],
                kinds["refused"] + kinds["broken"],
                mean(gaps),
                round(1000 * mean([one.seconds for one in outcomes])),
            ),
        ),
        ("tests/shaped_jobs.py makes them; refused: by the planner's own independent check, or broken off.",),
    )


def planned(seed: int) -> Outcome:
    """Plans one job."""
    began = time.perf_counter()
    kind, gap, fault = "", 0.0, ""
    try:
        plan = plan_job(shaped_job(seed), SolveLimits(time_limit=SECONDS)).plan
        kind, gap = plan.status.value, plan.optimality_gap
    except NothingFits:
        kind = "nothing fits"
    except PlanRejected as error:
        kind, fault = "refused", str(error)
    except BREAKS as error:
        kind, fault = "broken", repr(error)
    return Outcome(seed, kind, gap, time.perf_counter() - began, fault)
