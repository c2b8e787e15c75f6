"""How a run of the benches is set: long or quick, on how many processes, with what limits."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from tests.bench.table import Cell

T = TypeVar("T")

PACKING_SECONDS = {False: 12.0, True: 1.0}
JOB_SECONDS = {False: 60.0, True: 8.0}
"""Limits for one set of rectangles and for one job, by whether the run is quick; most sets are proved far sooner."""


@dataclass(frozen=True)
class Setting:
    """``limit`` and ``job_limit`` in seconds, None for the usual ones; ``out`` takes the files, None for none."""

    quick: bool = False
    jobs: int = 2
    limit: float | None = None
    job_limit: float | None = None
    out: Path | None = None

    @property
    def packing_seconds(self) -> float:
        return PACKING_SECONDS[self.quick] if self.limit is None else self.limit

    @property
    def job_seconds(self) -> float:
        return JOB_SECONDS[self.quick] if self.job_limit is None else self.job_limit

    def pick(self, quick: T, full: T) -> T:
        """What a quick run takes, or a full one."""
        return quick if self.quick else full

    def told(self) -> dict[str, Cell]:
        """For the files: what the figures depend on."""
        return {
            "part of the sets": "a fixed part" if self.quick else "all",
            "processes": self.jobs,
            "seconds for a set of rectangles": self.packing_seconds,
            "seconds for a job": self.job_seconds,
        }
