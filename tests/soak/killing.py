"""`reskin plan` killed without warning, over and over: what its results folder holds afterwards."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

from nesting.filefolder import LEFTOVER, check_output_folder
from nesting.jobfile import read_job
from nesting.limits import SolveLimits
from nesting.output import write_results
from nesting.planning import plan_job
from tests.hand_plans import planned_two_panels

_COMMAND = (sys.executable, "-c", "from cli.main import main; main()", "plan")
_ROOT = Path(__file__).parents[2]
_LONGEST_SECONDS = 120.0
_WRITING_SECONDS = 0.6
"""About how long the files of a small job take to write."""

Files = dict[str, bytes]


@dataclass(frozen=True)
class Killed:
    """One run: whether it had begun to write, what the folder then held, and after the next run looked at it."""

    writing: bool
    found: str
    mended: str
    litter: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Whether the results were whole, or aside and put back whole, and nothing was left over."""
        kept = self.found == self.mended or (self.found == "nothing" and self.mended == "old")
        return kept and self.mended in ("old", "new") and not self.litter


def killed_runs(job_file: Path, place: Path, times: int, random: Random) -> Iterator[Killed]:
    """Runs of a job into a folder under ``place`` that holds results of another, each killed at random.

    Three of four are killed while they write or soon after, the others before.  The job must be one that is
    proved at once, so that each plan of it has the same bytes.
    """
    old, new, folder = place / "kept" / "old", place / "kept" / "new", place / "out" / "results"
    write_results(planned_two_panels(), old)
    write_results(plan_job(read_job(job_file), SolveLimits(time_limit=60.0)), new)
    whole = {"old": files_in(old), "new": files_in(new)}
    for i in range(times):
        shutil.rmtree(folder.parent, ignore_errors=True)
        shutil.copytree(old, folder)
        writing = _killed(job_file, folder, i % 4 != 0, random)
        found = _held(folder, whole)
        check_output_folder(folder)
        litter = tuple(path.name for path in folder.parent.iterdir() if path != folder)
        yield Killed(writing, found, _held(folder, whole), litter)


def files_in(folder: Path) -> Files:
    """Every file under a folder with its bytes."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _held(folder: Path, whole: dict[str, Files]) -> str:
    """What lies there: old, new, nothing, or a mix."""
    if not folder.exists():
        return "nothing"
    files = files_in(folder)
    return next((name for name, those in whole.items() if files == those), f"a mix: {sorted(files)}")


def _killed(job_file: Path, folder: Path, late: bool, random: Random) -> bool:
    """Start a run and kill it; whether it had a workshop by then."""
    command = [*_COMMAND, str(job_file), "--out", str(folder), "--time-limit", "60"]
    run = subprocess.Popen(command, cwd=_ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        ends = time.monotonic() + _LONGEST_SECONDS
        while late and run.poll() is None and not _workshops(folder) and time.monotonic() < ends:
            time.sleep(0.002)
        time.sleep(random.uniform(0.0, _WRITING_SECONDS))
    finally:
        run.kill()
        run.wait()
    return late


def _workshops(folder: Path) -> list[Path]:
    return list(folder.parent.glob(f"{LEFTOVER}*"))
