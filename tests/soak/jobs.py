"""Random whole jobs: those with shapes are planned, small ones planned twice for the claims that hold for all jobs.

What is wrong is told with the number that draws the job again.
"""

from __future__ import annotations

import time
import traceback
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from os import cpu_count
from random import Random

from nesting.limits import SolveLimits
from nesting.planning import plan_job
from shared.errors import NothingFits
from tests.claims import CLAIMS, job_number
from tests.shaped_jobs import shaped_job

FIRST_SEED = 300
"""The ordinary tests plan the jobs before this one."""

SECONDS = 1.5
"""Enough for a plan of any of them, proved or not."""


CLAIMED_JOBS = 10_000
"""Jobs that one long run makes claims of: the numbers from 0 on, each with one claim after the other in turn."""

BATCH = 8
"""Jobs handed to each process between two looks at the clock."""


@dataclass(frozen=True)
class JobTried:
    """How one job ended: ``fault`` is empty where it was planned, passed its check and kept to its claim."""

    seed: int
    seconds: float
    fault: str
    trace: str = ""


def jobs_tried(until: float, first: int = FIRST_SEED) -> Iterator[JobTried]:
    """Jobs from seed ``first`` on, planned until the clock of `time.monotonic` says ``until``."""
    seed = first
    while time.monotonic() < until:
        yield _tried(seed)
        seed += 1


def claims_tried(until: float, first: int = 0, most: int = CLAIMED_JOBS) -> Iterator[JobTried]:
    """The claims of ``most`` jobs from number ``first`` on, on all processors, or as many as there is time for."""
    workers = cpu_count() or 1
    with ProcessPoolExecutor(workers) as pool:
        for start in range(first, first + most, BATCH * workers):
            if time.monotonic() >= until:
                return
            yield from pool.map(claim_tried, range(start, min(first + most, start + BATCH * workers)))


def claim_tried(number: int) -> JobTried:
    """The job of a number, with the claim that is its turn."""
    started = time.monotonic()
    name = list(CLAIMS)[number % len(CLAIMS)]
    fault = trace = ""
    try:
        fault = "; ".join(CLAIMS[name](job_number(number), Random(f"{name} {number}")))
    except Exception as error:
        # whatever it is, it is what is looked for
        fault, trace = f"{type(error).__name__}: {error}", traceback.format_exc()
    return JobTried(number, time.monotonic() - started, f"{name}: {fault}" if fault else "", trace)


def _tried(seed: int) -> JobTried:
    started = time.monotonic()
    fault = trace = ""
    try:
        plan_job(shaped_job(seed), SolveLimits(time_limit=SECONDS))
    except NothingFits:
        pass
    except Exception as error:
        # whatever it is, it is what is looked for
        fault, trace = f"{type(error).__name__}: {error}", traceback.format_exc()
    return JobTried(seed, time.monotonic() - started, fault, trace)
