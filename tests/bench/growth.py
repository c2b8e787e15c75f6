"""How time and gap grow with the number of bays, patches in proportion: a table and a plot."""

from __future__ import annotations

from collections.abc import Iterator

from tests.bench.bodies import ANSWER, MIB, answer
from tests.bench.jobs import job_named
from tests.bench.measured import Measured, measure
from tests.bench.plot import Mark, Panel, Series, draw
from tests.bench.setting import Setting
from tests.bench.table import Table, milliseconds

SIZES = (13, 26, 52, 104, 208)
QUICK_SIZES = (13, 26)


def table(setting: Setting) -> Iterator[Table]:
    """One row for each number of bays; the plot is drawn into the folder of the setting as growth.svg."""
    sizes = setting.pick(QUICK_SIZES, SIZES)
    limit = setting.job_seconds
    runs = [(bays, measure(f"bays:{bays}", limit)) for bays in sizes]
    if setting.out is not None:
        setting.out.mkdir(parents=True, exist_ok=True)
        draw(*picture(runs, limit), setting.out / "growth.svg")
    yield Table(
        "growth",
        f"Unequal bays on sides of up to 13, the full body's patches in proportion, {limit:g} s at the most",
        ("bays", "patches", "first plan ms", "proof ms", "planning ms", "MiB", "branches", *ANSWER),
        tuple(
            (
                bays,
                sum(patch.quantity for patch in job_named(f"bays:{bays}").patches),
                milliseconds(run.first),
                milliseconds(run.proof),
                milliseconds(run.inside),
                round(run.memory / MIB),
                run.branches,
                *answer(run),
            )
            for bays, run in runs
        ),
        ("first plan and proof count from the start of the process",),
    )


def picture(runs: list[tuple[int, Measured]], limit: float) -> tuple[str, list[Panel]]:
    """Title and the two panels of the plot: seconds, and the gap that is left."""
    return (
        f"Planning so many bays, {limit:g} s at the most",
        [
            Panel(
                "bays",
                "seconds",
                [
                    Series("first plan", Mark.OPEN, [(bays, run.first) for bays, run in runs]),
                    Series("proved best", Mark.FULL, [(bays, run.proof) for bays, run in runs]),
                ],
            ),
            Panel(
                "bays",
                "gap left, %",
                [Series("gap when it ended", Mark.FULL, [(bays, 100 * run.gap) for bays, run in runs])],
            ),
        ],
    )
