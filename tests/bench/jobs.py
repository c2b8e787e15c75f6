"""The jobs that are measured: the samples, parts of the full-size one, and bodies of so many unequal bays."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

from nesting.job import Bay, Hand, Job, Side
from nesting.jobfile import read_job

ROOT = Path(__file__).resolve().parent.parent.parent
FULL = "full-body"
INCH = 25.4


def job_named(name: str) -> Job:
    """A sample by its name, ``side:N`` or ``side:N:patches`` for one side of the full body, or ``bays:N``."""
    kind, *rest = name.split(":")
    if kind == "side":
        whole = job_named(FULL)
        patches = whole.patches if rest[1:] == ["patches"] else ()
        return replace(whole, sides=(whole.sides[int(rest[0])],), patches=patches)
    if kind == "bays":
        return uneven_body(int(rest[0]))
    return read_job(ROOT / "samples" / f"{name}.toml")


def uneven_body(bays: int) -> Job:
    """The full body's rules, stock and patches on sides of unequal bays: one of 13, or two of equal number."""
    whole = job_named(FULL)
    random = Random(bays)
    per_side = [bays] if bays <= 13 else [bays // 2, bays - bays // 2]
    sides = []
    for number, own in enumerate(per_side):
        widths = [(24 + random.randint(0, 7 * 16) / 16) * INCH for _ in range(own)]
        sides.append(
            Side(
                name=("driver side", "passenger side")[number],
                forward=(Hand.LEFT, Hand.RIGHT)[number],
                bays=tuple(Bay(width, 39.5 * INCH) for width in widths),
                posts=(2 * INCH,) * (own - 1),
            )
        )
    return replace(whole, title=f"{bays} unequal bays", sides=tuple(sides))
