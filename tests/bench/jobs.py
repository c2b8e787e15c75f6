"""The jobs that are measured: the samples, parts of them, a large order, bodies of so many unequal bays."""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from pathlib import Path
from random import Random

from nesting.job import Bay, Hand, Job, Patch, Side
from nesting.jobfile import job_from_text, read_job
from tests.bench.orders import four_bodies

ROOT = Path(__file__).resolve().parent.parent.parent
FULL = "full-body"
ORDER = "four-bodies"
SAMPLES = (FULL, "short-body", "metric-van")
INCH = 25.4

BAYS_A_SIDE = 13
"""A longer row of bays is several sides: no body is longer."""

USUAL_BAYS = 26
"""Bays of the full-size sample, by which its patches are counted up or down."""


def job_named(name: str) -> Job:
    """A sample or the order by name, ``NAME/side:N`` or ``NAME/patches`` for a part of it, or ``bays:N``."""
    whole, _, piece = name.partition("/")
    kind, _, number = (piece or whole).partition(":")
    if piece:
        job = job_named(whole)
        if kind == "patches":
            return replace(job, sides=())
        return replace(job, sides=(job.sides[int(number)],), patches=())
    if kind == "bays":
        return uneven_bodies(int(number))
    if name == ORDER:
        return job_from_text(four_bodies(), f"{ORDER}.toml")
    return read_job(ROOT / "samples" / f"{name}.toml")


def uneven_bodies(bays: int) -> Job:
    """The full body's rules and stock on sides of up to 13 unequal bays, its patches in proportion."""
    whole = job_named(FULL)
    random = Random(bays)
    sides = []
    for number in range(ceil(bays / BAYS_A_SIDE)):
        own = min(BAYS_A_SIDE, bays - number * BAYS_A_SIDE)
        widths = [(24 + random.randint(0, 7 * 16) / 16) * INCH for _ in range(own)]
        sides.append(
            Side(
                name=f"body {number // 2 + 1}, {('driver side', 'passenger side')[number % 2]}",
                forward=(Hand.LEFT, Hand.RIGHT)[number % 2],
                bays=tuple(Bay(width, 39.5 * INCH) for width in widths),
                posts=(2 * INCH,) * (own - 1),
            )
        )
    return replace(
        whole,
        title=f"{bays} unequal bays",
        sides=tuple(sides),
        patches=tuple(_in_proportion(patch, bays) for patch in whole.patches),
    )


def _in_proportion(patch: Patch, bays: int) -> Patch:
    return replace(patch, quantity=max(1, round(patch.quantity * bays / USUAL_BAYS)))
