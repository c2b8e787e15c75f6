"""Sheets cut by hand: what the documents say of cuts from edge to edge, of the kerf, and of inside corners."""

from __future__ import annotations

import json

import pytest

from nesting.documents.findings import INSIDE_CORNERS, all_warnings, kerf_note
from nesting.documents.planfile import plan_text
from nesting.documents.screen.page import page_html
from nesting.job import CutMethod, Cutting, Patch, Stock
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.planning import plan_job
from tests.plain_sides import job_of


def planned_by_hand(*sizes: tuple[float, float], kerf: float = 0.0) -> PlannedJob:
    """Patches of these sizes, planned on sheets of 1000 x 1000."""
    return plan_job(
        job_of(
            stock=(Stock("sheet", width=1000.0, length=1000.0, price=90.0),),
            patches=tuple(Patch(f"patch {i}", a, b) for i, (a, b) in enumerate(sizes)),
            cutting=Cutting(CutMethod.HAND, kerf=kerf, gap=kerf),
        ),
        SolveLimits(time_limit=5.0),
    )


@pytest.fixture(scope="module")
def pinwheel() -> PlannedJob:
    """Four patches round a hole, on one sheet."""
    return planned_by_hand(*[(600, 400)] * 4)


def test_sheet_with_inside_corners_says_so_wherever_it_is_shown(pinwheel: PlannedJob) -> None:
    assert len(pinwheel.plan.sheets) == 1
    warning = f"sheet 1: {INSIDE_CORNERS}"
    assert all_warnings(pinwheel) == (warning,)
    assert json.loads(plan_text(pinwheel))["warnings"] == [warning]
    article = page_html(pinwheel).split('<article id="sheet-1">')[1]
    assert INSIDE_CORNERS[1:] in article


def test_sheet_cut_edge_to_edge_by_hand_gives_its_cuts_and_no_warning() -> None:
    planned = planned_by_hand((600, 400), (300, 400), (500, 500), kerf=3.0)
    (sheet,) = json.loads(plan_text(planned))["sheets"]
    assert len(sheet["cuts"]) >= 3
    assert all_warnings(planned) == ()
    page = page_html(planned)
    assert "Measure mm" in page
    assert "3 mm wide, run beside the line" in page


def test_kerf_too_small_to_print_is_not_called_nought(pinwheel: PlannedJob) -> None:
    assert kerf_note(pinwheel) == ""
    thin = planned_by_hand((600, 400), (300, 400), kerf=0.2)
    assert (
        kerf_note(thin)
        == "Each line follows the edge of a part: let the cut run beside the line, outside the part."
    )
