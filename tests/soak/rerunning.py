"""One job planned again in other circumstances: another order of hashes, other processors, another place and time."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from json import loads
from pathlib import Path

from tests.soak.killing import Files, files_in

_ROOT = Path(__file__).parents[2]

_PROGRAM = """\
import os, sys
if sys.argv[1] != "all":
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
from cli.main import main
main(sys.argv[2:])
"""


@dataclass(frozen=True)
class Circumstances:
    """What must make no difference: the order of sets and hashes, one processor or all, the time zone, the words."""

    hashes: int
    one_processor: bool
    zone: str = "UTC"
    language: str = "C.UTF-8"


HERE = Circumstances(0, one_processor=False)
ELSEWHERE = Circumstances(4321, one_processor=True, zone="Pacific/Auckland", language="C")


def planned_files(job: Path, out: Path, around: Circumstances, options: Sequence[str] = ()) -> Files:
    """Every file that `reskin plan` writes for a job, by a process of its own."""
    command = [sys.executable, "-c", _PROGRAM, "one" if around.one_processor else "all"]
    command += ["plan", str(job), "--out", str(out), *options]
    changed = {"PYTHONHASHSEED": str(around.hashes), "TZ": around.zone, "LC_ALL": around.language}
    ended = subprocess.run(
        command, cwd=_ROOT, env={**os.environ, **changed}, capture_output=True, text=True, check=False
    )
    if ended.returncode:
        raise AssertionError(f"{job.name}: status {ended.returncode}\n{ended.stdout}{ended.stderr}")
    return files_in(out)


def is_proved(files: Files) -> bool:
    """Whether the plan in these files says that it is the best there is."""
    return bool(loads(files["plan.json"])["status"] == "optimal")


def differing(one: Files, other: Files) -> tuple[str, ...]:
    """The names of files that are in one only, or not the same in both."""
    return tuple(sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name)))


def reruns(jobs: Sequence[Path], place: Path, seconds: float) -> Iterator[tuple[str, tuple[str, ...] | None]]:
    """Each job with the files that differ between two runs; None where it is not proved and may differ."""
    options = ("--time-limit", str(seconds), "--drill")
    for number, job in enumerate(jobs):
        runs = [
            planned_files(job, place / f"{number}-{i}" / "out", around, options)
            for i, around in enumerate((HERE, ELSEWHERE))
        ]
        yield job.name, differing(*runs) if all(map(is_proved, runs)) else None
