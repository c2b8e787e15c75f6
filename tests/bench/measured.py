"""Measures a planning run from outside: a fresh process, with the kernels compiled before or not."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from tests.bench.jobs import ROOT


@dataclass(frozen=True)
class Measured:
    """One run; seconds count from the start of the process, so they hold the loading of the libraries."""

    seconds: float
    inside: float
    """Seconds of planning alone: the libraries loaded, the job read, nothing written yet."""
    memory: float
    """Bytes at the most."""
    branches: int
    status: str
    cost: float
    bound: float
    gap: float
    sheets: int
    seams: int
    first: float = float("nan")
    first_cost: float = float("nan")
    proof: float = float("nan")


def measure(name: str, limit: float, stop_after: float = 0.0, cache: Path | None = None) -> Measured:
    """Plans the named job (tests.bench.jobs) in a fresh process; ``cache`` is another place for compiled kernels."""
    command = [sys.executable, "-m", "tests.bench.one", name]
    started = time.time()
    done = subprocess.run(
        [*command, str(started), str(limit), str(stop_after)],
        cwd=ROOT,
        env={**os.environ, **({} if cache is None else {"NUMBA_CACHE_DIR": str(cache)})},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return Measured(**json.loads(done.stdout.splitlines()[-1]))


def command_seconds(*arguments: str) -> float:
    """Seconds that `reskin` takes with these arguments in a fresh process, everything written."""
    started = time.time()
    subprocess.run(
        [sys.executable, "-c", "from cli.main import main; main()", *arguments],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=True,
    )
    return time.time() - started
