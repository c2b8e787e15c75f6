"""Openings that no sheet closes in one piece: where a strip goes, and what the message says where none helps."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from nesting.job import Bay, CutMethod, Cutting, Hand, Job, Patch, Side, Stock, Turn, Window
from nesting.skin.backing import backing_heights, uncovered_cells
from nesting.skin.panels import candidate_panels
from nesting.skin.seams import seam_lines, strip_width, window_zone
from nesting.skin.sideplans import side_plans
from shared.errors import NothingFits
from shared.units import parse_length, round_length
from tests.plain_sides import job_of, side_of

INCH = 25.4
FOUR_BY_EIGHT = Stock("4x8", 48 * INCH, 96 * INCH, 96.0)
FIVE_BY_TEN = Stock("5x10", 60 * INCH, 120 * INCH, 171.5)


def tall_job(
    heights: Sequence[float] = (62.0, 62.0, 62.0),
    turn: Turn = Turn.NONE,
    width: float = 28.0,
    **changes: Any,
) -> Job:
    """Bays in inches, taller than the sheets are wide unless these are stood on end."""
    bays = tuple(Bay(width * INCH, height * INCH) for height in heights)
    side = replace(side_of(bays), posts=(2 * INCH,) * (len(bays) - 1), **changes)
    return job_of(side, stock=(FOUR_BY_EIGHT, FIVE_BY_TEN), cutting=Cutting(turn=turn))


def heights_tried(job: Job) -> tuple[float, ...]:
    (plan,) = side_plans(job)
    return tuple(level.height for level in plan.lines.levels if level.backing)


def test_no_strip_is_offered_where_panels_can_stand_on_end() -> None:
    assert heights_tried(tall_job(turn=Turn.QUARTER)) == ()


def test_opening_taller_than_every_sheet_is_offered_a_strip_that_closes_it() -> None:
    job = tall_job()
    (plan,) = side_plans(job)
    assert heights_tried(job) != ()
    assert uncovered_cells(plan.lines, plan.candidates) == []


def test_highest_and_lowest_strip_leave_the_whole_width_of_a_sheet_to_one_piece() -> None:
    # 60 less the land and the edge distance, from below; from above the same from the top
    heights = heights_tried(tall_job())
    land, lap = 25.0, 15.0
    lowest, highest = min(heights), max(heights)
    assert highest == pytest.approx(60 * INCH - land - lap, abs=INCH / 16)
    assert 62 * INCH - lowest == pytest.approx(60 * INCH - land - lap, abs=INCH / 16)


def test_strips_lie_at_heights_that_a_tape_shows() -> None:
    for height in heights_tried(tall_job()):
        assert height == round_length(height, "mm")


def test_strip_runs_through_bays_that_differ_a_little() -> None:
    side_by_side = heights_tried(tall_job((62.0, 62.0625, 61.9375)))
    assert len(side_by_side) <= len(heights_tried(tall_job()))


def test_strips_keep_more_than_their_own_height_apart() -> None:
    job = tall_job((150.0, 151.0, 149.0))
    heights = heights_tried(job)
    assert min(b - a for a, b in pairwise(heights)) > strip_width(job.seam)


def test_strip_stays_clear_of_a_window() -> None:
    # the window stands where the strip would lie if pieces were as tall as the sheet
    window = Window(1, 100.0, 1400.0, 300.0, 120.0)
    job = tall_job((62.0,), windows=(window,))
    low, high = window_zone(job, job.sides[0], window)
    heights = heights_tried(job)
    assert heights != ()
    assert all(not low < height < high for height in heights)


def test_strip_stays_clear_of_a_rail_too_narrow_for_a_seam() -> None:
    job = tall_job((62.0,), rails=(1480.0,), rail_width=20.0)
    assert all(abs(height - 1480.0) >= strip_width(job.seam) for height in heights_tried(job))


def test_no_height_helps_a_bay_wider_than_every_sheet_is_long() -> None:
    job = tall_job((62.0,), width=130.0)
    (side,) = job.sides
    lines = seam_lines(job, side)
    bare = uncovered_cells(lines, candidate_panels(job, side, lines))
    assert bare == [(1, 1)]
    assert backing_heights(job, side, lines, bare) == ()


def sheet_named(job: Job) -> tuple[str, Stock, float | None]:
    """The message where nothing fits, the sheet it names and the shear it asks for."""
    with pytest.raises(NothingFits) as caught:
        side_plans(job)
    found = re.search(
        r"a stock size (.+) wide and (.+) long would do(?:, cut on a shear that takes (.+) \()?",
        str(caught.value),
    )
    assert found
    width, length = (parse_length(found[i], "mm") for i in (1, 2))
    shear = parse_length(found[3], "mm") if found[3] else None
    return str(caught.value), Stock("named", width, length, 300.0), shear


WIDE = Side("rear", Hand.LEFT, (Bay(130 * INCH, 30.03 * INCH), Bay(131 * INCH, 29 * INCH)), (2 * INCH,))
MARGINS = Cutting(gap=6.35, edge_margin=6.35, turn=Turn.NONE)


@pytest.mark.parametrize(
    "job",
    [
        tall_job((62.0,), width=130.0),
        tall_job((62.0,), width=130.0, turn=Turn.QUARTER),
        job_of(WIDE, stock=(FOUR_BY_EIGHT,), cutting=MARGINS),
        job_of(WIDE, side_of(2), stock=(FOUR_BY_EIGHT,), patches=(Patch("long", 4000, 100),)),
        job_of(patches=(Patch("long", 200, 4000),), stock=(FOUR_BY_EIGHT,), cutting=MARGINS),
        job_of(WIDE, stock=(FOUR_BY_EIGHT,), cutting=Cutting(CutMethod.SHEAR, shear_length=100 * INCH)),
        job_of(side_of(3, posts=(20.0, 20.0)), stock=(Stock("short", 1000, 1000, 9.0),)),
        job_of(side_of(2), stock=(Stock("gone", 2000, 2000, 9.0, available=0),)),
    ],
)
def test_sheet_that_the_message_names_really_does(job: Job) -> None:
    _, stock, shear = sheet_named(job)
    cutting = job.cutting if shear is None else replace(job.cutting, shear_length=shear)
    for plan in side_plans(replace(job, stock=(*job.stock, stock), cutting=cutting)):
        assert uncovered_cells(plan.lines, plan.candidates) == []


def test_message_names_every_bay_and_patch_that_fits_nothing() -> None:
    job = job_of(WIDE, side_of(1), stock=(FOUR_BY_EIGHT,), patches=(Patch("long strip", 4000, 100),))
    message, _, _ = sheet_named(job)
    *faults, _ = message.splitlines()
    assert [fault.split(":")[0] for fault in faults] == [
        "side 'rear', bay 1", "side 'rear', bay 2", "patch 'long strip'"
    ]  # fmt: skip


def test_message_says_that_narrow_posts_force_bays_together() -> None:
    message, _, _ = sheet_named(
        job_of(side_of(3, posts=(20.0, 20.0)), stock=(Stock("short", 1000, 1000, 9.0),))
    )
    assert message.startswith("side 'driver side', bays 1 to 3 (no seam can lie on the posts between): ")


def test_too_few_sheets_for_the_area_are_told_at_once() -> None:
    job = job_of(side_of(9), stock=(Stock("few", 1250, 2500, 90.0, available=1),))
    with pytest.raises(NothingFits, match=r"hold 3\.12 m2 and the parts need at least .* few: 1"):
        side_plans(job)
