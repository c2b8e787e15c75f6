"""A cut file is read back before it is handed over: whatever is damaged in it is found, and named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from nesting import output
from nesting.checking.drawnfile import read_drawn
from nesting.documents.drawing import Drawing
from nesting.documents.dxf import DxfStyle, Release, write_dxf
from nesting.job import Units
from nesting.output import write_results
from shared.errors import PlanRejected
from tests.drawing_damages import (
    Damage,
    added,
    again,
    arrow_words_swapped,
    bent_the_other_way,
    changed_places,
    ended_where_it_began,
    faults_after,
    lost,
    mirrored_in_place,
    nothing,
    numbers_swapped,
    redrawn,
    reworded,
    said_to_be,
    seen_from_behind,
    shifted,
    shorter,
    straightened,
    turned_round,
    wider_hole,
    without_its_head,
)
from tests.hand_plans import ALL, HandPlan, planned_two_panels, sheared, two_panels, windowed
from tests.long_plan import long_plan
from tests.odd_sides import odd_plan, trimmed_plan
from tests.shaped_plans import ALL as SHAPED

INCH = 25.4
R12 = DxfStyle(Release.R12)
SILENT = DxfStyle(words=False)

BUILDS = (*ALL, *SHAPED, odd_plan, trimmed_plan, long_plan)


@pytest.mark.parametrize("build", BUILDS, ids=lambda build: f"{build.__module__}-{build.__name__}")
def test_a_file_as_it_is_written_is_sound(build: Callable[[], Any], tmp_path: Path) -> None:
    assert faults_after(nothing, build, tmp_path) == []


def sheared_twice() -> HandPlan:
    """Two sheets cut alike: the number of a cut stands left of its sheet, next to the sheet before."""
    job, plan = sheared()
    return HandPlan(job, replace(plan, sheets=plan.sheets * 2))


def test_the_number_of_a_cut_belongs_to_the_sheet_on_its_right(tmp_path: Path) -> None:
    assert faults_after(nothing, sheared_twice, tmp_path, sheet=None) == []


@pytest.mark.parametrize("sheet", [0, 1, None])
@pytest.mark.parametrize("style", [DxfStyle(), SILENT, R12, DxfStyle(Release.R12, words=False)])
def test_a_drilled_file_is_sound_in_every_style(style: DxfStyle, sheet: int | None, tmp_path: Path) -> None:
    assert faults_after(nothing, odd_plan, tmp_path, sheet=sheet, style=style, drill=True) == []


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        pytest.param(redrawn("CUT", 0, mirrored_in_place), "part D1: its outline is not", id="panel mirrored"),
        pytest.param(redrawn("CUT", 0, shorter), "part D1: its outline is not", id="panel 1 mm short"),
        pytest.param(redrawn("CUT", 0, straightened), "part D1: its outline is not", id="arc made a chord"),
        pytest.param(
            redrawn("CUT", 0, bent_the_other_way), "part D1: its outline is not", id="arc bent the other way"
        ),
        pytest.param(
            shifted("CUT", 0, 3000, 0), "part D1: its outline is not", id="panel moved off the sheet"
        ),
        pytest.param(shifted("CUT", 1, 0, 1), "part gusset#1: its outline is", id="patch 1 mm beside its place"),
        pytest.param(lost("CUT", 1), "part gusset#1: its outline is not drawn", id="patch not drawn"),
        pytest.param(again("CUT", 1), "part gusset#1: its outline is drawn twice", id="patch drawn twice"),
        pytest.param(changed_places, "part D1: its outline is not", id="two parts changed places"),
        pytest.param(
            redrawn("CUT", 1, lambda ring: ring, closed=False),
            "part gusset#1: its outline is not drawn from",
            id="last edge left open",
        ),
        pytest.param(
            redrawn("CUT", 1, ended_where_it_began, closed=False),
            "part gusset#1: its outline is not one closed line",
            id="outline drawn but not closed",
        ),
        pytest.param(
            added("lwpolyline", "CUT", [(2900, 1400), (3000, 1400)]),
            "layer CUT: a line from (2900.00, 1400.00) to (3000.00, 1400.00) belongs to nothing",
            id="cut across the waste",
        ),
        pytest.param(
            added("lwpolyline", "CUT", [(2110, 20), (2210, 20)]), "CUT: a line is drawn twice", id="edge cut twice"
        ),
        pytest.param(
            added("circle", "CUT", (2500, 500), 20),
            "layer CUT: a circle at (2500.00, 500.00) belongs to nothing",
            id="circle that nobody asked for",
        ),
        pytest.param(
            added("line", "CUT", (0, 0), (10, 10)), "layer CUT: a LINE, which has no place", id="line of another kind"
        ),
        pytest.param(
            added("mtext", "LABEL", "sheet 1"), "layer LABEL: a MTEXT, which has no place", id="title block"
        ),
        pytest.param(
            added("lwpolyline", "DIMENSION", [(0, -9), (100, -9)]),
            "layer DIMENSION: it has no place in this file",
            id="dimension lines",
        ),
        pytest.param(seen_from_behind, "layer CUT: a LWPOLYLINE that is mirrored", id="outline seen from behind"),
        pytest.param(
            added("lwpolyline", "CUT", [(5, 5)]), "layer CUT: a LWPOLYLINE without length", id="line without length"
        ),
        pytest.param(lost("SHEET", 0), "sheets: 0 outlines are drawn, there are 1", id="sheet not drawn"),
        pytest.param(again("SHEET", 0), "sheets: 2 outlines are drawn, there are 1", id="sheet drawn twice"),
        pytest.param(
            redrawn("SHEET", 0, shorter),
            "sheet 1: it is drawn 3047.000 x 1524.000, it measures 3048.000 x 1524.000",
            id="sheet 1 mm short",
        ),
        pytest.param(
            shifted("SHEET", 0, 1, 0), "sheet 1: its corner is drawn at (1.00, 0.00)", id="sheet beside its place"
        ),
        pytest.param(lost("MARK", 0), "part D1: its scribe line is not drawn", id="scribe line missing"),
        pytest.param(shifted("MARK", 0, 1, 0), "part D1: its scribe line is not drawn", id="scribe line 1 mm off"),
        pytest.param(again("MARK", 0), "layer MARK: a line is drawn twice", id="scribe line twice"),
        pytest.param(lost("DRILL", 0, "CIRCLE"), "part D1: the hole at", id="hole missing"),
        pytest.param(shifted("DRILL", 0, 1, 0, "CIRCLE"), "part D1: the hole at", id="hole moved 1 mm"),
        pytest.param(again("DRILL", 0, "CIRCLE"), "layer DRILL: 1 holes too many", id="hole drilled twice"),
        pytest.param(wider_hole, "7.748 wide, for a rivet of 5.000", id="hole too wide for its rivet"),
        pytest.param(turned_round("FWD"), "part D1: the arrow forward points the wrong way", id="front and back"),
        pytest.param(turned_round("UP"), "part D1: the arrow up points the wrong way", id="up and down"),
        pytest.param(arrow_words_swapped, "part D1: the arrow forward points", id="words of arrows swapped"),
        pytest.param(without_its_head, "part D1: an arrow on it has no head", id="arrow without a head"),
        pytest.param(reworded("D1", "D3"), "part D1: its name does not stand on it", id="name of another part"),
        pytest.param(said_to_be(1), "units: the file says inches, the job is in mm", id="mm said to be inches"),
        pytest.param(said_to_be(0), "units: the file says no unit, the job is in mm", id="no unit said"),
    ],
)  # fmt: skip
def test_damage_to_a_cut_file_is_found(damage: Damage, told: str, tmp_path: Path) -> None:
    """The first sheet of `odd_plan`: D1 with a round corner and an arch, turned by half, and a triangle."""
    faults = faults_after(damage, odd_plan, tmp_path, drill=True)
    assert any(told in fault for fault in faults), faults


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        pytest.param(redrawn("CUT", 1, mirrored_in_place), "part D3: its outline is not", id="flip taken back"),
        pytest.param(lost("CUT", 2), "part D3: its hole 1 is not drawn", id="window missing"),
        pytest.param(shifted("CUT", 2, 1, 0), "part D3: its hole 1 is not drawn", id="window moved 1 mm"),
        pytest.param(
            redrawn("CUT", 2, straightened), "part D3: its hole 1 is not", id="corner of the window straight"
        ),
        pytest.param(lost("CUT", 4), "part lid#1: its hole 1 is not drawn", id="hole of the lid missing"),
        pytest.param(
            redrawn("CUT", 3, lambda ring: (ring[0], (ring[1][0], ring[1][1], 0.0))),
            "part lid#1: its outline is not drawn",
            id="half of the disc",
        ),
        pytest.param(turned_round("FWD"), "the arrow forward points the wrong way", id="front of a flipped panel"),
    ],
)  # fmt: skip
def test_damage_to_flipped_and_holed_parts_is_found(damage: Damage, told: str, tmp_path: Path) -> None:
    """The second sheet: D3 lies face down with a window, and in it a round lid with a square hole."""
    faults = faults_after(damage, odd_plan, tmp_path, sheet=1, drill=True)
    assert any(told in fault for fault in faults), faults


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        pytest.param(lost("SHEAR", 0), "layer SHEAR: 3 lines and 4 rings are drawn for 4 cuts", id="cut missing"),
        pytest.param(shifted("SHEAR", 0, 1, 0), "cut 1: it is not drawn from", id="cut moved 1 mm"),
        pytest.param(numbers_swapped, "cut 1: its number does not stand", id="numbers of two cuts swapped"),
        pytest.param(
            reworded("2", "3", "SHEAR"), "cut 2: its number is written 0 times", id="number of a cut twice"
        ),
        pytest.param(lost("MARK", 0), "part D1: the line to trim it to is not drawn", id="trim line missing"),
        pytest.param(
            lost("CUT", 1), "part gusset#1: its outline is not drawn", id="part that shares a line missing"
        ),
        pytest.param(
            lost("CUT", 0), "part gusset#1: its outline is not drawn", id="part that draws the shared line missing"
        ),
    ],
)  # fmt: skip
def test_damage_to_a_sheared_sheet_is_found(damage: Damage, told: str, tmp_path: Path) -> None:
    """A panel sheared as a rectangle and trimmed along its slope; the gusset touches it, so one line is there once."""
    faults = faults_after(damage, trimmed_plan, tmp_path)
    assert any(told in fault for fault in faults), faults


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        pytest.param(lost("SHEET", 1), "sheets: 2 outlines are drawn, there are 3", id="sheet lost"),
        pytest.param(
            shifted("CUT", 0, 1, 0), "sheet 1, part D1: its outline is not drawn", id="panel moved 1 mm"
        ),
        pytest.param(
            shifted("SHEET", 1, -20, 0), "sheet 2: it is drawn over another one", id="sheets over one another"
        ),
        pytest.param(lost("OFFCUT", 2), "sheet 3, offcut 1: its outline is not drawn", id="offcut missing"),
        pytest.param(reworded("D2", "D1"), "sheet 2, part D2: its name does not", id="name used twice"),
    ],
)  # fmt: skip
def test_damage_to_the_file_of_all_sheets_is_found(damage: Damage, told: str, tmp_path: Path) -> None:
    faults = faults_after(damage, long_plan, tmp_path, sheet=None)
    assert any(told in fault for fault in faults), faults


def test_an_inch_file_that_says_millimetres_is_found(tmp_path: Path) -> None:
    faults = faults_after(said_to_be(4), long_plan, tmp_path)
    assert faults[0] == "units: the file says millimetres, the job is in in"
    assert faults[1] == "sheet 1: it is drawn 120.000 x 48.000, it measures 3048.000 x 1219.200"


def test_a_file_in_other_units_than_the_jobs_is_found_though_it_is_full_size(tmp_path: Path) -> None:
    faults = faults_after(nothing, two_panels, tmp_path, written_in=Units.INCH)
    assert faults == ["units: the file says inches, the job is in mm"]


def test_release_12_without_its_comment_says_no_unit(tmp_path: Path) -> None:
    assert faults_after(nothing, two_panels, tmp_path, style=R12) == []
    path = tmp_path / "sheet.dxf"
    assert read_drawn(path).unit == 1.0
    path.write_text(path.read_text(encoding="ascii").partition("full size\n")[2], encoding="ascii")
    assert read_drawn(path).unit is None


def test_holes_that_nobody_asked_for_are_found(tmp_path: Path) -> None:
    damage = added("circle", "DRILL", (100, 100), 2.6)
    faults = faults_after(damage, two_panels, tmp_path)
    assert faults == ["layer DRILL: 1 holes too many, the first at (100.00, 100.00)"]


def test_a_hole_in_the_sheet_that_lies_under_the_lap_is_found(tmp_path: Path) -> None:
    """D2 lies under D1 at the seam: its lap, which begins at x = 685 on the sheet, is drilled in place."""
    damage = added("circle", "DRILL", (700, 25), 2.6)
    faults = faults_after(damage, two_panels, tmp_path, drill=True)
    assert faults == ["layer DRILL: 1 holes too many, the first at (700.00, 25.00)"]


def test_words_in_a_file_asked_for_without_are_found(tmp_path: Path) -> None:
    faults = faults_after(added("text", "CUT", "D1"), windowed, tmp_path, style=SILENT)
    assert faults == ["words: 'D1' is written, the file was asked for without words"]


def test_parts_that_touch_share_a_line_that_is_drawn_once(tmp_path: Path) -> None:
    assert faults_after(nothing, sheared, tmp_path) == []
    faults = faults_after(added("lwpolyline", "CUT", [(0, 400), (800, 400)]), sheared, tmp_path)
    assert any("layer CUT: a line is drawn twice" in fault for fault in faults), faults


def test_nothing_is_written_when_a_cut_file_shows_another_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The writer makes D1, from x = 10 to 675, 1 mm shorter."""

    def shortened(drawing: Drawing, path: Path, units: Units, style: DxfStyle | None = None) -> None:
        write_dxf(drawing, path, units, style)
        text = path.read_text(encoding="ascii")
        path.write_text(text.replace("\n675.0\n", "\n674.0\n"), encoding="ascii")

    monkeypatch.setattr(output, "write_dxf", shortened)
    monkeypatch.setattr(output, "write_packet", lambda planned, path: None)
    with pytest.raises(PlanRejected, match=r"sheet-01\.dxf: part D1: its outline is not drawn"):
        write_results(planned_two_panels(), tmp_path / "results")
    assert list(tmp_path.iterdir()) == []


def test_a_drilled_plan_in_release_12_without_words_is_written(tmp_path: Path) -> None:
    style = DxfStyle(Release.R12, words=False)
    files = write_results(planned_two_panels(), tmp_path / "results", drill=True, dxf=style)
    assert all(path.is_file() for path in files)
