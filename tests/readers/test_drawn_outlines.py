"""A second reader that knows nothing of us sees the same outlines in a drawing as we do (make readers)."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
import shapely
from shapely.geometry import Polygon

from nesting.outline import as_polygon
from nesting.reading.drawings import read_outlines

pytestmark = pytest.mark.reader


def seen(path: Path) -> list[Polygon]:
    """Closed lines of a drawing as the second reader sees them, arcs in steps of a twentieth of a degree."""
    # here, not above: only this target installs the second reader
    import pyogrio

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.05"})
    _, _, shapes, _ = pyogrio.raw.read(str(path))
    # It hands a block over as one collection.
    lines = [part for shape in shapes for part in shapely.get_parts(shapely.from_wkb(shape))]
    return [Polygon(shapely.force_2d(line).coords) for line in lines]


PLACED = [{}, {"rotation": 25}, {"xscale": -1, "rotation": 10}, {"xscale": 1.5, "yscale": 1.5}]


@pytest.mark.parametrize("placed", PLACED, ids=["as it is", "turned", "mirrored", "larger"])
def test_outlines_lie_where_the_second_reader_sees_them(tmp_path: Path, placed: dict[str, float]) -> None:
    # No spline: the second reader makes few and long chords of it.
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    block = document.blocks.new("BAY")
    block.add_lwpolyline(
        [(0, 0, 0), (700, 0, 0.3), (700, 900, 0), (350, 960, -0.2), (0, 900, 0)], format="xyb", close=True
    )
    block.add_circle((1300, 300), 250)
    block.add_ellipse((2200, 300), (400, 100), 0.6)
    document.modelspace().add_blockref("BAY", (50, 70), dxfattribs=placed)
    path = tmp_path / "bay.dxf"
    document.saveas(path)
    ours = [as_polygon(outline.ring) for outline in read_outlines(path)]
    theirs = seen(path)
    assert len(ours) == len(theirs) == 3
    for area in ours:
        other = min(theirs, key=lambda polygon: polygon.centroid.distance(area.centroid))
        assert area.symmetric_difference(other).area < 0.1 * other.length
