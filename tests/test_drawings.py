"""Outlines from DXF drawings: everything that draws one, in any unit, and a whole side of them."""

from __future__ import annotations

from math import cos, pi, sin, tau
from pathlib import Path

import ezdxf
import pytest
from ezdxf.layouts.layout import Modelspace
from shapely.geometry import Polygon

from nesting.outline import as_polygon, bounds, signed_area
from nesting.reading.drawings import openings_in_drawing, outline_in_drawing, read_outlines
from nesting.reading.outlinechecks import checked_ring
from shared.errors import JobMistakes
from tests.dxf_files import BAY, BAY_RING, block_of, box, lines, one, polyline, refusal, saved, text


def test_a_closed_polyline_keeps_its_corners_and_bulges(tmp_path: Path) -> None:
    points = [(0, 0), (700, 0, 0.25), (700, 900), (0, 900, -0.1)]
    assert one(saved(tmp_path, lambda space: polyline(space, points))).ring == checked_ring(points)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2018"])
def test_old_and_new_polylines_are_read(tmp_path: Path, version: str) -> None:
    points = [(0, 0), (700, 0, 0.25), (700, 900), (0, 900)]
    path = saved(
        tmp_path, lambda space: space.add_polyline2d(points, format="xyb", close=True), version=version
    )
    assert one(path, "mm").ring == checked_ring(points)


def test_lines_and_arcs_join_in_any_order_and_sense(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        lines(space, (700, 900), (700, 0))
        lines(space, (0, 0), (700, 0))
        space.add_arc((350, 900), 350, 0, 180)
        lines(space, (0, 0), (0, 900))

    assert one(saved(tmp_path, build)).ring == pytest.approx(
        [pytest.approx(v) for v in checked_ring([(700, 900, 1), (0, 900), (0, 0), (700, 0)])]
    )


def test_a_circle_is_two_half_arcs(tmp_path: Path) -> None:
    ring = one(saved(tmp_path, lambda space: space.add_circle((100, 50), 300))).ring
    assert ring == ((400, 50, 1), (-200, 50, 1))


def test_an_arc_of_three_quarters_closed_by_lines_is_read(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        space.add_arc((0, 0), 200, 0, 270)
        lines(space, (0, -200), (0, 0), (200, 0))

    assert signed_area(one(saved(tmp_path, build)).ring) == pytest.approx(pi * 200**2 * 3 / 4)


def test_a_circle_with_a_flat_is_read_however_full_its_arc(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        space.add_arc((0, 0), 200, 5, 355)
        lines(
            space,
            (200 * cos(pi / 36), 200 * sin(pi / 36)),
            (200 * cos(pi / 36), -200 * sin(pi / 36)),
        )

    sweep = 350 * pi / 180
    assert signed_area(one(saved(tmp_path, build)).ring) == pytest.approx(200**2 * (sweep - sin(sweep)) / 2)


def test_the_same_full_arc_in_a_polyline_is_read(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: polyline(space, [(200, 10, 20), (200, -10), (199, 0)]))
    assert len(one(path).ring) == 4


@pytest.mark.parametrize("ratio", [0.2, 0.5, 1.0])
def test_an_ellipse_stays_within_a_tenth_of_a_millimetre(tmp_path: Path, ratio: float) -> None:
    ring = one(saved(tmp_path, lambda space: space.add_ellipse((10, 20), (600, 0), ratio))).ring
    fine = Polygon(
        [(10 + 600 * cos(tau * i / 4000), 20 + 600 * ratio * sin(tau * i / 4000)) for i in range(4000)]
    )
    assert fine.buffer(0.1).contains(as_polygon(ring))
    assert as_polygon(ring).buffer(0.1).contains(fine)
    assert len(ring) < 60


def test_part_of_an_ellipse_joins_its_chord(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        space.add_ellipse((0, 0), (400, 0), 0.5, 0, pi)
        lines(space, (-400, 0), (400, 0))

    assert signed_area(one(saved(tmp_path, build)).ring) == pytest.approx(pi * 400 * 200 / 2, abs=40)


def test_a_spline_stays_within_a_tenth_of_a_millimetre(tmp_path: Path) -> None:
    points = [(0, 0), (200, 100), (400, 0), (300, 300), (0, 0)]
    path = saved(tmp_path, lambda space: space.add_spline(points))
    (entity,) = ezdxf.readfile(path).modelspace()
    fine = Polygon([(p.x, p.y) for p in entity.flattening(0.001)])  # type: ignore[attr-defined]
    area = as_polygon(one(path).ring)
    assert fine.buffer(0.1).contains(area)
    assert area.buffer(0.1).contains(fine)


def test_a_spline_of_straight_pieces_keeps_its_corners(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        spline = space.add_open_spline([*BAY, BAY[0]], degree=1)
        assert spline.dxf.degree == 1

    assert signed_area(one(saved(tmp_path, build)).ring) == pytest.approx(700 * 900)


HALF_ROUND = 100 * 50 + pi * 25**2 / 2


@pytest.mark.parametrize(
    ("placed", "area"),
    [
        ({}, HALF_ROUND),
        ({"rotation": 30}, HALF_ROUND),
        ({"xscale": 2, "yscale": 2}, 4 * HALF_ROUND),
        ({"xscale": -1}, HALF_ROUND),
        ({"xscale": 2}, 2 * HALF_ROUND),
        ({"extrusion": (0, 0, -1)}, HALF_ROUND),
    ],
)
def test_blocks_are_read_where_they_are_put(tmp_path: Path, placed: dict[str, object], area: float) -> None:
    def build(space: Modelspace) -> None:
        block_of(space)
        space.add_blockref("BAY", (1000, 0), dxfattribs=placed)

    ring = one(saved(tmp_path, build)).ring
    assert signed_area(ring) == pytest.approx(area, rel=1e-4)
    assert ring != checked_ring([(0, 0), (100, 0, 1), (100, 50), (0, 50)])


def test_a_grid_of_blocks_and_blocks_in_blocks_are_read(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        block_of(space)
        outer = space.doc.blocks.new("ROW")
        outer.add_blockref(
            "BAY",
            (0, 0),
            dxfattribs={"row_count": 2, "row_spacing": 80, "column_count": 3, "column_spacing": 200},
        )
        space.add_blockref("ROW", (0, 0), dxfattribs={"layer": "OPENING"})

    found = read_outlines(saved(tmp_path, build), "opening")
    assert len(found) == 6
    assert {outline.layer for outline in found} == {"OPENING"}


def test_an_outline_drawn_from_below_is_mirrored_as_it_is_seen(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        below = {"extrusion": (0, 0, -1)}
        space.add_lwpolyline(
            [(0, 0, 0), (100, 0, 0.5), (100, 70, 0)], format="xyb", close=True, dxfattribs=below
        )
        space.add_circle((300, 0), 40, dxfattribs=below)

    # The other library's own idea of where they are (kind a: ezdxf.path, seen).
    path = saved(tmp_path, build)
    wanted = []
    for entity in ezdxf.readfile(path).modelspace():
        wanted.append(Polygon([(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.001)]))
    found = sorted(read_outlines(path), key=lambda outline: -bounds(outline.ring)[0])
    for outline, area in zip(found, wanted, strict=True):
        assert as_polygon(outline.ring).symmetric_difference(area).area < 5


def test_contours_inside_are_holes(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        polyline(space, BAY)
        box(space, 400, 100, 50)
        space.add_circle((200, 200), 50)
        box(space, 1000, 0, 100)

    bay, other = read_outlines(saved(tmp_path, build))
    assert bay.ring == BAY_RING
    assert bay.holes == (
        ((250, 200, 1), (150, 200, 1)),
        checked_ring([(400, 100), (450, 100), (450, 150), (400, 150)]),
    )
    assert other.holes == ()


def test_texts_and_dimensions_are_passed_over(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        polyline(space, BAY)
        space.add_text("700")
        space.add_point((1, 1))
        space.add_linear_dim((0, -50), (0, 0), (700, 0)).render()
        space.add_hatch().paths.add_polyline_path(BAY)

    assert one(saved(tmp_path, build)).ring == BAY_RING


def test_other_files_are_never_opened(tmp_path: Path) -> None:
    box_file = tmp_path / "other.dxf"

    def build(space: Modelspace) -> None:
        polyline(space, BAY)
        space.doc.add_xref_def(str(box_file), "OTHER")
        space.add_blockref("OTHER", (0, 0))
        image = space.doc.add_image_def(str(tmp_path / "photo.png"), (10, 10))
        space.add_image(image, (0, 0), (100, 100))

    assert one(saved(tmp_path, build)).ring == BAY_RING


def test_what_is_hidden_is_not_read_unless_its_layer_is_named(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        polyline(space, BAY)
        space.doc.layers.add("OLD").off()
        box(space, 2000, 0, 300, "OLD")
        space.add_line((0, 0), (50, 50), dxfattribs={"invisible": 1})

    path = saved(tmp_path, build)
    assert one(path).ring == BAY_RING
    assert outline_in_drawing(path, "OLD").ring[0] == (2000, 0, 0)


@pytest.mark.parametrize(
    ("code", "mm"), [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000)], ids=["in", "ft", "mm", "cm", "m"]
)
def test_a_drawing_in_any_unit_comes_out_in_millimetres(tmp_path: Path, code: int, mm: float) -> None:
    points = [(0, 0), (762 / mm, 0), (762 / mm, 914.4 / mm), (0, 914.4 / mm)]
    path = saved(tmp_path, lambda space: polyline(space, points), code)
    assert bounds(one(path).ring) == pytest.approx((0, 0, 762, 914.4))


def test_a_drawing_without_a_unit_asks_for_one(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: polyline(space, BAY), 0)
    assert "write drawing_units" in refusal(path)
    assert one(path, "mm").ring == BAY_RING


def test_a_unit_that_nobody_uses_asks_for_another(tmp_path: Path) -> None:
    assert "a unit that is not read here" in refusal(saved(tmp_path, lambda space: polyline(space, BAY), 19))


def test_units_that_are_given_stand_above_those_of_the_drawing(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: box(space, 0, 0, 28), 6)
    assert bounds(one(path, "in").ring) == pytest.approx((0, 0, 711.2, 711.2))


def test_an_opening_of_28_mm_is_told_with_the_unit_that_would_do(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: box(space, 0, 0, 28))
    found = text(path)
    assert "the largest outline is 28 mm long" in found
    assert 'drawing_units = "in" (28 in)' in found
    assert bounds(one(path, "mm").ring) == (0, 0, 28, 28)


def test_an_opening_of_700_m_is_told_with_the_unit_that_would_do(tmp_path: Path) -> None:
    found = text(saved(tmp_path, lambda space: box(space, 0, 0, 700), 6))
    assert "the largest outline is 700 m long" in found
    assert 'write drawing_units = "mm" (700 mm)' in found
    assert '"in" (700 in)' not in found


def test_openings_stand_from_left_to_right_with_their_posts(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 1560, 250, 700)
        polyline(space, [(100, 200), (800, 200), (780, 900), (120, 900)])
        box(space, 850, 200, 650)
        box(space, 900, 300, 50)

    side = openings_in_drawing(saved(tmp_path, build))
    assert side.posts == (50, 60)
    assert [bounds(opening.ring) for opening in side.openings] == [
        (0, 0, 700, 700),
        (750, 0, 1400, 650),
        (1460, 50, 2160, 750),
    ]
    assert [bounds(hole) for hole in side.openings[1].holes] == [(800, 100, 850, 150)]


def test_openings_without_a_post_between_are_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 0, 0, 300)
        box(space, 280, 400, 300)

    with pytest.raises(JobMistakes, match="opening 2 from the left starts 20 mm before opening 1 ends"):
        openings_in_drawing(saved(tmp_path, build))
