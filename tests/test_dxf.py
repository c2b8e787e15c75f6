"""DXF files are what a cutting shop asks for: full size, closed outlines, true arcs, nothing twice."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path as File

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from shapely import union_all
from shapely.geometry import LineString

from nesting.documents.drawing import Anchor, Dot, Drawing, Label, Layer, Path
from nesting.documents.dxf import DxfStyle, Release, plain_words, write_dxf
from nesting.documents.elevation import elevation
from nesting.documents.sheetview import all_sheets, sheet_view
from nesting.job import Units
from nesting.outline import net_area, rectangle
from nesting.plan import PlannedJob
from tests.drawn import planned
from tests.hand_plans import ALL, HandPlan, planned_two_panels, sheared, windowed
from tests.long_plan import long_plan, renamed
from tests.odd_sides import odd_plan, trimmed_plan

R12 = DxfStyle(Release.R12)


def written(
    drawing: Drawing, folder: File, units: Units = Units.MILLIMETRE, style: DxfStyle | None = None
) -> Document:
    path = folder / "drawing.dxf"
    write_dxf(drawing, path, units, style)
    return ezdxf.readfile(path)


def loops(document: Document, layer: str) -> list[tuple[tuple[float, float, float], ...]]:
    """Closed outlines of a layer as (x, y, bulge)."""
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [tuple((x, y, b) for x, y, b in line.get_points("xyb")) for line in found if line.closed]


@pytest.mark.parametrize(("units", "code", "metric"), [(Units.INCH, 1, 0), (Units.MILLIMETRE, 4, 1)])
def test_units_are_said_in_the_header(tmp_path: File, units: Units, code: int, metric: int) -> None:
    document = written(sheet_view(planned_two_panels(), 0), tmp_path, units)
    assert document.dxfversion == "AC1015"
    # codes of $INSUNITS: 1 inch, 4 millimetre: facts 12, kind (a)
    assert document.header["$INSUNITS"] == code
    assert document.header["$MEASUREMENT"] == metric


def test_inch_file_is_full_size_in_inches(tmp_path: File) -> None:
    document = written(sheet_view(long_plan(), 0), tmp_path, Units.INCH)
    (sheet,) = loops(document, "SHEET")
    assert {(x, y) for x, y, _ in sheet} == {(0, 0), (120, 0), (120, 48), (0, 48)}
    panel = max(loops(document, "CUT"), key=net_area)
    assert net_area(panel) == pytest.approx(118.5 * 41.5, abs=1e-6)


@pytest.mark.parametrize("hand", [hand for hand in ALL if hand is not sheared] + [odd_plan])
def test_every_outline_is_closed_with_its_true_area(hand: Callable[[], HandPlan], tmp_path: File) -> None:
    plan = planned(hand())
    document = written(sheet_view(plan, 0, drill=True), tmp_path)
    rings = [ring for part in plan.plan.sheets[0].parts for ring in (part.outline, *part.holes)]
    areas = [net_area(ring) for ring in loops(document, "CUT")]
    assert areas == pytest.approx([net_area(ring) for ring in rings], abs=1e-4)
    assert len(document.modelspace().query('*[layer=="CUT"]')) == len(rings)


def test_no_two_lines_to_cut_lie_on_one_another(tmp_path: File) -> None:
    # two covers of 800 x 400 and a lid of 300 x 1000 that touch: the lines they share are there once
    document = written(sheet_view(planned(sheared()), 0), tmp_path)
    lines = [
        LineString([*points, *points[: int(entity.closed)]])
        for entity in document.modelspace().query('*[layer=="CUT"]')
        for points in [list(entity.get_points("xy"))]
    ]
    assert sum(line.length for line in lines) == pytest.approx(union_all(lines).length)
    assert sum(line.length for line in lines) == pytest.approx(2400 + 1600 + 1800)


def test_a_trimmed_part_is_cut_as_a_rectangle_and_marked_along_its_slope(tmp_path: File) -> None:
    document = written(sheet_view(planned(trimmed_plan()), 0), tmp_path)
    freed = next(ring for ring in loops(document, "CUT"))
    assert net_area(freed) == pytest.approx(750 * 1050)
    words = [entity.dxf.text for entity in document.modelspace().query('TEXT[layer=="MARK"]')]
    assert words == ["trim", "trim"]


def test_a_line_without_length_is_not_written(tmp_path: File) -> None:
    dust = ((0.0, 0.0, 0.0), (1e-12, 0.0, 0.5), (100.0, 0.0, 0.0), (100.0, 50.0, 0.0))
    point = ((5.0, 5.0, 0.0), (5.0, 5.0, 0.0))
    drawing = Drawing(
        "d", "d", (0.0, 0.0, 100.0, 50.0), (Path(dust, True, Layer.CUT), Path(point, False, Layer.MARK))
    )
    (entity,) = written(drawing, tmp_path).modelspace().query("LWPOLYLINE")
    assert [tuple(point) for point in entity.get_points("xyb")] == [(0, 0, 0.5), (100, 0, 0), (100, 50, 0)]


def test_round_corners_are_true_bulges(tmp_path: File) -> None:
    document = written(sheet_view(planned(windowed()), 0), tmp_path)
    hole = sorted(loops(document, "CUT"), key=net_area)[1]
    assert [round(b, 6) for _, _, b in hole if b] == [0.414214] * 4


def test_auditor_finds_nothing_wrong(tmp_path: File) -> None:
    plan = long_plan()
    for drawing in (sheet_view(plan, 0, drill=True), all_sheets(plan), elevation(plan, plan.job.sides[0])):
        audit = written(drawing, tmp_path, Units.INCH).audit()
        assert audit.errors == []
        assert audit.fixes == []


def entities(plan: PlannedJob, folder: File) -> list[tuple[str, ...]]:
    found = []
    for number, drawing in enumerate(
        (
            *(sheet_view(plan, i, drill=True) for i in range(len(plan.plan.sheets))),
            *(elevation(plan, side) for side in plan.job.sides),
        )
    ):
        for entity in written(drawing, folder).modelspace():
            if entity.dxftype() == "LWPOLYLINE":
                points = [tuple(round(v, 3) for v in p) for p in entity.get_points("xy")]
                what = str(sorted(points))
            elif entity.dxftype() == "CIRCLE":
                what = str((entity.dxf.center.round(3), entity.dxf.radius))
            else:
                what = str((entity.dxf.text, entity.dxf.align_point.round(3)))
            found.append((str(number), entity.dxf.layer, what))
    return found


@pytest.mark.parametrize("hand", ALL)
def test_nothing_is_drawn_twice(hand: Callable[[], HandPlan], tmp_path: File) -> None:
    counted = Counter(entities(planned(hand()), tmp_path))
    assert [what for what, count in counted.items() if count > 1] == []


def test_cut_file_holds_no_dimensions_title_or_frame(tmp_path: File) -> None:
    document = written(sheet_view(planned(sheared()), 0), tmp_path)
    layers = {entity.dxf.layer for entity in document.modelspace()}
    assert layers <= {"SHEET", "CUT", "MARK", "DRILL", "LABEL", "OFFCUT", "SHEAR"}
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert not [text for text in texts if "Sheet" in text or text in ("2000", "1000")]
    assert len(loops(document, "SHEET")) == 1


def test_elevation_keeps_its_dimensions(tmp_path: File) -> None:
    plan = planned_two_panels()
    document = written(elevation(plan, plan.job.sides[0]), tmp_path)
    assert {"DIMENSION", "PANEL", "UNDERLAP", "SEAM", "RIVET", "OPENING", "STRUCTURE"} <= {
        entity.dxf.layer for entity in document.modelspace()
    }


def test_layers_exist_only_where_used_and_differ_in_colour(tmp_path: File) -> None:
    document = written(sheet_view(planned_two_panels(), 0, drill=True), tmp_path)
    named = {layer.dxf.name: layer.dxf.color for layer in document.layers if layer.dxf.name.isupper()}
    assert {"SHEET", "CUT", "MARK", "DRILL", "LABEL"} <= set(named)
    assert "DIMENSION" not in named
    assert len(set(named.values())) == len(named)


def test_same_drawing_gives_the_same_bytes_a_second_later(tmp_path: File) -> None:
    drawing = sheet_view(long_plan(), 0, drill=True)
    write_dxf(drawing, tmp_path / "a.dxf", Units.INCH)
    time.sleep(1.1)
    write_dxf(drawing, tmp_path / "b.dxf", Units.INCH)
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()


def test_writing_leaves_the_settings_of_the_library_alone(tmp_path: File) -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_dxf(sheet_view(long_plan(), 0), tmp_path / "a.dxf", Units.INCH)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_holes_are_circles_of_their_size(tmp_path: File) -> None:
    drawing = Drawing("d", "d", (0, 0, 50, 50), dots=(Dot(25.4, 50.8, 5.08, Layer.DRILL),))
    (circle,) = written(drawing, tmp_path, Units.INCH).modelspace().query("CIRCLE")
    assert (circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == pytest.approx((1, 2, 0.1))


def test_labels_keep_place_height_turn_and_anchor(tmp_path: File) -> None:
    labels = tuple(Label(25.4, 50.8, anchor.value, 12.7, anchor=anchor, turn=90.0) for anchor in Anchor)
    document = written(Drawing("d", "d", (0, 0, 50, 60), labels=labels), tmp_path, Units.INCH)
    texts = document.modelspace().query("TEXT")
    assert [text.dxf.halign for text in texts] == [0, 1, 2]
    for text in texts:
        assert text.dxf.valign == 2
        assert text.dxf.height == 0.5
        assert text.dxf.rotation == 90
        assert (text.dxf.align_point.x, text.dxf.align_point.y) == pytest.approx((1, 2))


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("roof\nhatch\x00 \x1b[1m", "roof hatch [1m"),
        ("100 %%d", "100 % %d"),
        ("%%%%u", "% % % %u"),
        ("^J", "^ J"),
        ("\\U+0041", "\\ U+0041"),
        ('Dach 1/2" Ü', 'Dach 1/2" Ü'),
        ("\n \t", ""),
        ("bus \U0001f68c", "bus ?"),
    ],
)
def test_names_hold_no_control_codes(name: str, shown: str) -> None:
    assert plain_words(name) == shown


def test_any_name_survives_the_way_through_a_file(tmp_path: File) -> None:
    name = "屋根 Ü\n0\nEOF\n%%c^I"
    plan = renamed(long_plan(), {"D1": name})
    document = written(sheet_view(plan, 0), tmp_path, Units.INCH)
    assert document.audit().errors == []
    said = " ".join(text.plain_text() for text in document.modelspace().query("TEXT"))
    # a caret and a blank is how a reader is told of a caret
    assert "屋根 Ü 0 EOF % %c^I" in ezdxf.decode_dxf_unicode(said)


def test_label_without_words_is_left_out(tmp_path: File) -> None:
    drawing = Drawing("d", "d", (0, 0, 1, 1), labels=(Label(0, 0, "\n", 1.0),))
    assert len(written(drawing, tmp_path).modelspace()) == 0


def test_open_lines_stay_open(tmp_path: File) -> None:
    path = Path(((0.0, 0.0, 0.0), (10.0, 0.0, 0.0)), closed=False, layer=Layer.MARK)
    (line,) = written(Drawing("d", "d", (0, 0, 10, 0), paths=(path,)), tmp_path).modelspace()
    assert not line.closed


def test_dashes_belong_to_hidden_edges_and_never_to_what_is_cut(tmp_path: File) -> None:
    plan = planned_two_panels()
    side = written(elevation(plan, plan.job.sides[0]), tmp_path)
    assert side.layers.get("UNDERLAP").dxf.linetype == "UNDERLAP_DASH"
    sheet = written(sheet_view(plan, 0, drill=True), tmp_path)
    assert {layer.dxf.linetype.upper() for layer in sheet.layers} == {"CONTINUOUS"}


def test_extents_say_where_the_drawing_lies(tmp_path: File) -> None:
    drawing = replace(
        Drawing("d", "d", (0, 0, 254, 127)), paths=(Path(rectangle(0, 0, 254, 127), True, Layer.SHEET),)
    )
    document = written(drawing, tmp_path, Units.INCH)
    assert tuple(document.header["$EXTMAX"])[:2] == (10, 5)


def test_drawing_of_no_sheets_is_still_a_file(tmp_path: File) -> None:
    plan = planned_two_panels()
    empty = all_sheets(replace(plan, plan=replace(plan.plan, sheets=())))
    assert written(empty, tmp_path).audit().errors == []


@pytest.mark.parametrize("hand", [hand for hand in ALL if hand is not sheared] + [odd_plan])
def test_release_12_holds_the_same_closed_outlines_with_their_arcs(
    hand: Callable[[], HandPlan], tmp_path: File
) -> None:
    drawing = sheet_view(planned(hand()), 0, drill=True)
    light = written(drawing, tmp_path)
    old = written(drawing, tmp_path, style=R12)
    assert old.dxfversion == "AC1009"
    assert {entity.dxftype() for entity in old.modelspace()} <= {"POLYLINE", "CIRCLE", "TEXT"}
    lines = old.modelspace().query('POLYLINE[layer=="CUT"]')
    assert all(line.is_2d_polyline and line.is_closed for line in lines)
    rings = [
        tuple((v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in line.vertices) for line in lines
    ]
    assert rings == loops(light, "CUT")
    assert {vertex.dxf.layer for line in lines for vertex in line.vertices} == {"CUT"}


@pytest.mark.parametrize(("units", "word"), [(Units.INCH, "inches"), (Units.MILLIMETRE, "millimetres")])
def test_release_12_says_its_units_in_a_comment_at_its_head(tmp_path: File, units: Units, word: str) -> None:
    write_dxf(sheet_view(planned_two_panels(), 0), tmp_path / "a.dxf", units, R12)
    code, text = (tmp_path / "a.dxf").read_text(encoding="cp1252").split("\n")[:2]
    # 999 is a comment, which every reader passes over: DXF reference, kind (b)
    assert code == "999"
    assert word in text
    write_dxf(sheet_view(planned_two_panels(), 0), tmp_path / "b.dxf", units)
    assert (tmp_path / "b.dxf").read_text(encoding="cp1252").startswith("  0\nSECTION\n")


def test_release_12_says_nothing_on_the_terminal(tmp_path: File, caplog: pytest.LogCaptureFixture) -> None:
    write_dxf(sheet_view(long_plan(), 0), tmp_path / "a.dxf", Units.INCH, R12)
    assert caplog.messages == []


def test_auditor_finds_nothing_wrong_with_release_12(tmp_path: File) -> None:
    plan = long_plan()
    for drawing in (sheet_view(plan, 0, drill=True), all_sheets(plan), elevation(plan, plan.job.sides[0])):
        audit = written(drawing, tmp_path, Units.INCH, R12).audit()
        assert audit.errors == []
        assert audit.fixes == []


def test_release_12_of_a_drawing_is_the_same_bytes_every_time(tmp_path: File) -> None:
    drawing = sheet_view(long_plan(), 0)
    write_dxf(drawing, tmp_path / "a.dxf", Units.INCH, R12)
    write_dxf(drawing, tmp_path / "b.dxf", Units.INCH, R12)
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()


@pytest.mark.parametrize("release", Release)
@pytest.mark.parametrize("hand", [sheared, trimmed_plan, windowed])
def test_a_sheet_without_words_has_no_label_layer_and_every_line_to_cut(
    hand: Callable[[], HandPlan], release: Release, tmp_path: File
) -> None:
    drawing = sheet_view(planned(hand()), 0, drill=True)
    said = written(drawing, tmp_path, style=DxfStyle(release))
    silent = written(drawing, tmp_path, style=DxfStyle(release, words=False))
    assert "LABEL" not in {layer.dxf.name for layer in silent.layers}
    assert len(silent.modelspace().query("TEXT")) == 0
    for layer in ("SHEET", "CUT", "DRILL"):
        query = f'*[layer=="{layer}"]'
        assert len(silent.modelspace().query(query)) == len(said.modelspace().query(query))


def test_a_side_keeps_its_words_whatever_is_asked_of_cut_files(tmp_path: File) -> None:
    plan = planned_two_panels()
    side = written(elevation(plan, plan.job.sides[0]), tmp_path, style=DxfStyle(words=False))
    assert {"D1", "D2"} <= {text.dxf.text for text in side.modelspace().query("TEXT")}
