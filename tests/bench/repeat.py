"""The same job again: with more time a plan never costs more, and the same seed gives the same plan."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from itertools import count as numbers
from itertools import islice, pairwise

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import seed as drawn_from

from nesting.documents.planfile import plan_document
from nesting.job import Job
from nesting.limits import SolveLimits
from nesting.plan import Status
from nesting.planning import plan_job
from nesting.skin.sideplans import side_plans
from shared.errors import NothingFits
from tests.bench.jobs import SAMPLES, job_named
from tests.bench.packing_runs import BREAKS, in_order
from tests.bench.setting import Setting
from tests.bench.table import Cell, Table, milliseconds
from tests.strategies import jobs

SECONDS = (1.0, 3.0, 10.0)
QUICK_SECONDS = (1.0, 3.0)

LEAST_BAYS = 6
"""Smaller jobs are proved before any limit, and show nothing."""

DRAWS = 10

HAIR = 1e-6


@dataclass(frozen=True)
class Planned:
    """What came of one run; ``print`` is the same for the same plan.json, empty where nothing was found in time."""

    seconds: float
    cost: float = float("inf")
    proved: bool = False
    print: str = ""
    broken: str = ""
    """What went wrong, where something did that must not."""


def table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """A row for each job: its cost at each limit, and whether the longest limit twice gave the same plan."""
    limits = setting.pick(QUICK_SECONDS, SECONDS)
    asked = [(name, job_named(name)) for name in SAMPLES]
    asked += [(f"random job {i + 1}", job) for i, job in enumerate(random_jobs(setting.pick(4, 20)))]
    each = (*limits, limits[-1])
    tasks = [(job, seconds) for _, job in asked for seconds in each]
    found = in_order(pool, "repeated plans", plan_once, tasks)
    rows = []
    for i, (name, _) in enumerate(asked):
        runs = found[i * len(each) : (i + 1) * len(each)]
        rows.append((name, *repeat_row(runs)))
        faults += [f"repeated plans, {name}: {fault}" for fault in repeat_faults(runs)]
    yield Table(
        "repeat",
        "The same jobs with more and more time, and with the longest time again",
        (
            "job",
            *(f"cost {seconds:g} s" for seconds in limits),
            "again",
            "proved",
            "never dearer",
            "same again",
            "ms",
        ),
        tuple(rows),
        (
            "same again: the same plan.json, byte for byte, promised where a plan is proved: the others are cut off"
            " by the clock wherever they are.  ms: the longest run.  -: no plan in that time",
        ),
    )


def plan_once(asked: tuple[Job, float]) -> Planned:
    """One run, in this process."""
    job, seconds = asked
    started = time.perf_counter()
    try:
        planned = plan_job(job, SolveLimits(time_limit=seconds))
    except NothingFits:
        return Planned(time.perf_counter() - started)
    except BREAKS as error:
        return Planned(time.perf_counter() - started, broken=f"{type(error).__name__}: {error}")
    text = json.dumps(plan_document(planned), ensure_ascii=False)
    return Planned(
        time.perf_counter() - started,
        planned.plan.objective,
        planned.plan.status is Status.OPTIMAL,
        hashlib.sha256(text.encode()).hexdigest(),
    )


def repeat_row(runs: Sequence[Planned]) -> tuple[Cell, ...]:
    """Costs in the order of the limits, the last limit twice, and what they tell."""
    *ladder, again = runs
    return (
        *(run.cost if run.print else None for run in runs),
        again.proved,
        not any(is_dearer(low, high) for low, high in pairwise(ladder)),
        ladder[-1].print == again.print,
        milliseconds(max(run.seconds for run in runs)),
    )


def repeat_faults(runs: Sequence[Planned]) -> Iterator[str]:
    """Promises that these runs break."""
    *ladder, again = runs
    yield from dict.fromkeys(run.broken for run in runs if run.broken)
    for low, high in pairwise(ladder):
        if is_dearer(low, high):
            yield f"with more time the plan costs {high.cost:.2f} after {low.cost:.2f}"
    proved = [run for run in runs if run.proved]
    if ladder[-1].proved and again.proved and ladder[-1].print != again.print:
        yield "proved twice, but the two plans differ"
    if any(abs(run.cost - proved[0].cost) > HAIR * max(1.0, proved[0].cost) for run in proved):
        yield "proved twice at different costs"


def is_dearer(low: Planned, high: Planned) -> bool:
    """True where the run with more time costs more."""
    return high.cost > low.cost + HAIR * max(1.0, low.cost)


def random_jobs(count: int) -> list[Job]:
    """Jobs of some size that tests.strategies draws from the seeds 0, 1, 2 ..., one for each where there is any."""
    return list(islice(filter(None, map(_random_job, numbers())), count))


def _random_job(number: int) -> Job | None:
    """The last of a few: the first that are drawn are always the simplest."""
    found: list[Job] = []

    @drawn_from(number)
    @settings(
        max_examples=DRAWS,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(jobs(max_bays=13, max_patches=8))
    def draw(job: Job) -> None:
        if sum(len(side.bays) for side in job.sides) >= LEAST_BAYS:
            with suppress(NothingFits):
                side_plans(job)
                found.append(job)

    draw()
    return found[-1] if found else None
