"""A second reader that knows nothing of us finds the plan in the sheet drawings (make readers)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path as File

import pytest
import shapely
from shapely.geometry import LineString, Polygon

from nesting.documents.dxf import MM_PER_UNIT, DxfStyle, Release, write_dxf
from nesting.documents.sheetview import sheet_view
from nesting.job import Units
from nesting.outline import net_area, perimeter
from nesting.plan import PlannedJob
from tests.drawn import planned
from tests.hand_plans import ALL, HandPlan, sheared
from tests.long_plan import long_plan

pytestmark = pytest.mark.reader


def read(path: File, field: str) -> tuple[list[bytes], list[str | None]]:
    """Every shape of the file and one field of each."""
    # here, not above: only this target installs the second reader
    import pyogrio

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.05"})
    meta, _, shapes, fields = pyogrio.raw.read(str(path))
    return list(shapes), list(fields[list(meta["fields"]).index(field)])


def lines_on(path: File, layer: str) -> list[LineString]:
    """The lines of one layer as the second reader sees them, arcs in steps of a twentieth of a degree."""
    shapes, layers = read(path, "Layer")
    return [shapely.from_wkb(s) for s, name in zip(shapes, layers, strict=True) if name == layer]


def check_sheets(plan: PlannedJob, folder: File, release: Release) -> None:
    """Closed outlines as many as parts and holes, each with its area, none twice."""
    units = plan.job.units
    scale = MM_PER_UNIT[units]
    for index, sheet in enumerate(plan.plan.sheets):
        path = folder / f"{index}.dxf"
        write_dxf(sheet_view(plan, index, drill=True), path, units, DxfStyle(release))
        outlines = lines_on(path, "CUT")
        rings = [ring for part in sheet.parts for ring in (part.outline, *part.holes)]
        assert all(line.is_closed for line in outlines)
        assert len(outlines) == len(rings)
        found = sorted(Polygon(line).area * scale**2 for line in outlines)
        wanted = sorted((net_area(ring), perimeter(ring)) for ring in rings)
        for area, (true_area, around) in zip(found, wanted, strict=True):
            assert abs(area - true_area) <= 0.1 * around
        shapes = Counter(
            shapely.normalize(shapely.set_precision(Polygon(line), 1e-6)).wkb for line in outlines
        )
        assert set(shapes.values()) <= {1}
        (stock,) = lines_on(path, "SHEET")
        corners = [side * scale for side in stock.bounds]
        assert corners == pytest.approx([0, 0, sheet.stock.length, sheet.stock.width], abs=1e-6)


APART = [hand for hand in ALL if hand is not sheared]
"""Plans whose parts keep apart: where two touch, their common line is drawn once, and one outline stays open."""


@pytest.mark.parametrize("release", Release)
@pytest.mark.parametrize("hand", APART)
def test_second_reader_finds_every_part_and_hole_of_a_metric_sheet(
    hand: Callable[[], HandPlan], release: Release, tmp_path: File
) -> None:
    check_sheets(planned(hand()), tmp_path, release)


@pytest.mark.parametrize("release", Release)
def test_second_reader_finds_every_part_of_an_inch_job(release: Release, tmp_path: File) -> None:
    plan = long_plan()
    assert plan.job.units is Units.INCH
    check_sheets(plan, tmp_path, release)


def test_second_reader_sees_marks_inside_the_parts(tmp_path: File) -> None:
    plan = long_plan()
    path = tmp_path / "sheet.dxf"
    write_dxf(sheet_view(plan, 0), path, plan.job.units)
    parts = shapely.union_all([Polygon(line) for line in lines_on(path, "CUT")]).buffer(1e-6)
    marks = lines_on(path, "MARK")
    assert len(marks) == 4
    assert all(parts.covers(mark) for mark in marks)


@pytest.mark.parametrize("release", Release)
def test_second_reader_reads_the_words(release: Release, tmp_path: File) -> None:
    plan = long_plan()
    path = tmp_path / "sheet.dxf"
    write_dxf(sheet_view(plan, 0), path, plan.job.units, DxfStyle(release))
    _, said = read(path, "Text")
    assert {"D1", "outside face up", "UP", "FWD"} <= set(said)
