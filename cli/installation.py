"""The installation in plain values: versions, the machine's kind, and whether a tiny job is planned soundly."""

from __future__ import annotations

import os
import platform
import re
import sys
import traceback
from importlib import metadata
from pathlib import Path
from typing import Any

NAME = "reskin-planner"
UNKNOWN = "not known"

ROOT = Path(__file__).resolve().parent.parent

TINY = """
title = "tiny"
units = "mm"
[cutting]
gap = 6
[[stock]]
name = "sheet"
width = 1250
length = 2500
price = 90
[[side]]
name = "driver side"
forward = "left"
post_width = 50
  [[side.bay]]
  count = 3
  width = 600
  height = 500
[[patch]]
name = "cover"
width = 300
height = 200
"""
"""One panel over all bays and the cover, out of one sheet."""

TINY_COST = 90.0
TINY_SECONDS = 120.0
"""Far more than it takes, but that a first run compiles."""


def installation() -> dict[str, Any]:
    """The report by its labels, in reading order."""
    return {
        "reskin": version_of(NAME),
        "python": f"{platform.python_implementation()} {platform.python_version()}, {sys.maxsize.bit_length() + 1} bit",
        "platform": f"{platform.system()} {platform.release()}, {platform.machine()}",
        "processors": _processors(),
        "memory": _memory(),
        "packages": {name: version_of(name) for name in dependencies()},
        "compiled loops": _compiled(),
        "tiny job": tiny_job(),
    }


def version_of(package: str) -> str:
    """The installed version of a package."""
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return "not installed"


def dependencies() -> list[str]:
    """What the program cannot do without, by name."""
    try:
        required = metadata.requires(NAME) or []
    except metadata.PackageNotFoundError:
        return []
    return sorted(re.split(r"[^\w.-]", line)[0] for line in required if "extra ==" not in line)


def _processors() -> str:
    there = os.cpu_count() or 0
    if not hasattr(os, "sched_getaffinity"):
        return str(there or UNKNOWN)
    return f"{there}, of which this program may use {len(os.sched_getaffinity(0))}"


def _memory() -> str:
    try:
        return f"{os.sysconf('SC_PAGE_SIZE') * os.sysconf('SC_PHYS_PAGES') / 2**30:.1f} GiB"
    except (AttributeError, ValueError, OSError):
        return UNKNOWN


def _compiled() -> str:
    if os.environ.get("NUMBA_DISABLE_JIT", "0") != "0":
        return "not compiled: NUMBA_DISABLE_JIT is set"
    if os.environ.get("NUMBA_CACHE_DIR"):
        return "kept elsewhere: NUMBA_CACHE_DIR is set"
    modules = sorted((ROOT / "nesting").rglob("kernels*.py"))
    kept = [module for module in modules if any((module.parent / "__pycache__").glob(f"{module.stem}.*.nbi"))]
    writable = all(os.access(module.parent, os.W_OK) for module in modules)
    where = "" if writable else "; the program's folder cannot be written, so that they may be kept elsewhere"
    return f"kept for {len(kept)} of {len(modules)} modules{where}"


def tiny_job() -> str:
    """How a job of three bays and a patch is planned here; its one answer is known."""
    try:
        from nesting.jobfile import job_from_text
        from nesting.limits import SolveLimits
        from nesting.planning import plan_job
    except Exception as error:
        return f"cannot be planned: {where_raised(error)}"
    try:
        # a plan that fails its check is raised as PlanRejected
        plan = plan_job(job_from_text(TINY, "tiny"), SolveLimits(time_limit=TINY_SECONDS)).plan
    except Exception as error:
        return f"not planned: {where_raised(error)}"
    found = f"{plan.status.value} at {plan.objective:g}"
    expected = (
        "as it should be" if found == f"optimal at {TINY_COST:g}" else f"should be optimal at {TINY_COST:g}"
    )
    return f"planned and passed its check: {found}, {expected}"


def where_raised(error: BaseException) -> str:
    """The kind of an error and the lines of ours that it went through, without its message and without folders."""
    frames = [
        f"{Path(frame.filename).resolve().relative_to(ROOT).as_posix()}:{frame.lineno}"
        for frame in traceback.extract_tb(error.__traceback__)
        if Path(frame.filename).resolve().is_relative_to(ROOT)
    ]
    return f"{type(error).__name__} at {' > '.join(frames[-4:]) or 'a place not of ours'}"
