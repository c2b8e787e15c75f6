"""What the terminal says of a plan and of a job; answers from the hand-made plans."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click
import pytest

from cli.description import job_description
from cli.look import Look
from cli.summary import plan_summary
from nesting.job import Bay, Stock
from nesting.plan import Status
from tests.drawn import planned
from tests.hand_plans import (
    ALL,
    HandPlan,
    base_job,
    planned_two_panels,
    sheared,
    side,
    two_panels,
    windowed,
)
from tests.long_plan import long_plan

WARNING = (
    "side 'driver side', bay 1: the two diagonals disagree by more than the tape explains; "
    "measure diagonal_rising again before cutting"
)


def summary() -> str:
    doubtful = replace(planned_two_panels(), warnings=(WARNING,))
    return "\n".join(plan_summary(doubtful, Path("out"), [Path("out/plan.json")] * 9, 1.5))


@pytest.mark.parametrize(
    "words",
    [
        "1 of small  1000 x 2000 mm",
        "1 in 2 panels, costing 12.00",
        "67.00, sheets and seams together",
        "132.00: sheets 55.00, cutting 5.00",
        "86 on the plan, 95 to buy",
        "7.3 kg",
        "optimal",
        "9 files in out",
        "out/index.html",
        "out/labels.pdf",
        "driver side, front on the left",
    ],
)
def test_summary_says(words: str) -> None:
    assert words in summary()


def test_summary_marks_this_plan_in_the_trade_off() -> None:
    marked = [line for line in summary().splitlines() if "<- this plan" in line]
    assert [line.split()[:2] for line in marked] == [["1", "55.00"]]


def test_summary_repeats_every_warning() -> None:
    assert WARNING in " ".join(summary().split())


def test_summary_fits_a_terminal_of_80_columns() -> None:
    assert max(map(len, summary().splitlines())) < 80


@pytest.mark.parametrize("look", [Look(), Look("ascii")], ids=["utf-8", "ascii"])
def test_summary_of_a_long_side_fits_a_terminal_of_80_columns(look: Look) -> None:
    lines = plan_summary(long_plan(), Path("out"), [], 1.5, look)
    assert max(map(len, lines)) < 80


@pytest.mark.parametrize("made", ALL, ids=lambda made: made.__name__)
def test_summary_draws_every_panel(made: type[HandPlan]) -> None:
    plan = planned(made())
    lines = plan_summary(plan, Path("out"), [], 1.5, Look("ascii"))
    drawn = " ".join(line for line in lines if line.startswith("  |"))
    assert [panel.name for panel in plan.plan.panels if panel.name not in drawn] == []


def test_patches_alone_have_no_side_to_draw() -> None:
    assert "Seen from outside" not in "\n".join(plan_summary(planned(sheared()), Path("out"), [], 1.5))


def test_summary_for_a_terminal_without_utf_8_is_plain_ascii() -> None:
    planned_job = replace(planned_two_panels(), warnings=("bay 1: Höhe",))
    look = Look("ascii")
    text = look.shown("\n".join(plan_summary(planned_job, Path("out"), [], 1.5, look)))
    assert text.isascii()
    assert "+-----------+-----------+" in text
    assert "bay 1: H?he" in text


def test_colours_change_no_word_of_the_summary() -> None:
    coloured = plan_summary(long_plan(), Path("out"), [], 1.5, Look(colours=True))
    assert "\x1b[" in "".join(coloured)
    assert [click.unstyle(line) for line in coloured] == plan_summary(long_plan(), Path("out"), [], 1.5)


def test_an_unproved_plan_is_not_called_optimal() -> None:
    whole = planned_two_panels()
    plan = replace(whole.plan, status=Status.FEASIBLE, bound=60.0)
    text = "\n".join(plan_summary(replace(whole, plan=plan), Path("out"), [], 1.5))
    assert "feasible" in text
    assert "optimal" not in text
    assert "10.45 %" in text  # (67 - 60) / 67


@pytest.mark.parametrize("made", ALL, ids=lambda made: made.__name__)
def test_description_fits_a_terminal_of_80_columns(made: type[HandPlan]) -> None:
    assert max(map(len, job_description(made().job))) < 80


def test_description_tells_equal_bays_once_with_their_size() -> None:
    lines = job_description(two_panels().job)
    assert "  bays 1 to 2   600 wide, 500 high (mm)" in lines
    assert "  overall       1250 mm over bays and posts" in lines


def test_description_counts_the_edge_margin_out_of_the_stock() -> None:
    text = "\n".join(job_description(two_panels().job))
    assert "1230 x 2480 mm usable" in text  # 1250 x 2500 less 10 at each edge


def test_description_names_windows_and_patches() -> None:
    text = "\n".join(job_description(windowed().job))
    assert "400 x 300 in bay 2" in text
    assert "1 of lamp cover, 200 x 200 mm" in text


def test_description_says_when_no_sheet_is_wide_enough() -> None:
    tall = side(bays=(Bay(600.0, 1000.0),), posts=())
    job = base_job(sides=(tall,), stock=(Stock("low", width=1000.0, length=2000.0, price=1.0),))
    text = " ".join("\n".join(job_description(job)).split())
    assert "1050 mm with both lands; the widest sheet gives 980 mm: 70 mm too little" in text
