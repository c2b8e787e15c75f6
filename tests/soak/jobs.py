"""Random whole jobs with shapes, planned one after another: what raised, with the number that draws it again."""

from __future__ import annotations

import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass

from nesting.limits import SolveLimits
from nesting.planning import plan_job
from shared.errors import NothingFits
from tests.shaped_jobs import shaped_job

FIRST_SEED = 300
"""The ordinary tests plan the jobs before this one."""

SECONDS = 1.5
"""Enough for a plan of any of them, proved or not."""


@dataclass(frozen=True)
class JobTried:
    """How one job ended: ``fault`` is empty where it was planned and passed its check."""

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
