"""What is wrong with a drawing is told with its place, all of it at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from nesting.reading.drawingfile import MAX_ENTITIES, MAX_RECORDS
from nesting.reading.drawings import outline_in_drawing, read_outlines
from shared.errors import JobMistakes
from tests.dxf_files import BAY, BAY_RING, block_of, box, lines, one, polyline, refusal, saved, text, texts


def test_an_opening_in_an_outline_is_told_with_its_place_and_size(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: lines(space, *BAY, (0, 0.3)))
    assert text(path).startswith("the outline is open, with a gap of 0.3 mm, at x 0, y 0 of the drawing;")


@pytest.mark.parametrize(("gap", "closed"), [(0.009, True), (0.011, False)])
def test_ends_join_within_a_hundredth_of_a_millimetre(tmp_path: Path, gap: float, closed: bool) -> None:
    path = saved(tmp_path, lambda space: lines(space, *BAY, (0, gap)))
    if closed:
        assert one(path).ring == BAY_RING
    else:
        assert "with a gap of 0.011 mm" in text(path)


def test_places_are_told_in_the_unit_of_the_drawing(tmp_path: Path) -> None:
    inches = [(0, 0), (30, 0), (30, 40), (0, 40), (0, 0.25)]
    assert "a gap of 0.25 in, at x 0, y 0 " in text(saved(tmp_path, lambda space: lines(space, *inches), 1))


def test_four_near_misses_are_four_openings(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        for (x0, y0), (x1, y1) in zip(BAY, BAY[1:] + BAY[:1], strict=True):
            shift = 0.2 if y0 == y1 else 0.0
            space.add_line((x0, y0 + shift), (x1, y1 + shift))

    found = texts(saved(tmp_path, build))
    assert len(found) == 4
    assert all("a gap of 0.2 mm" in words for words in found)


def test_an_outline_that_crosses_itself_is_told_with_its_place(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: polyline(space, [(0, 0), (700, 900), (700, 0), (0, 900)]))
    assert text(path).startswith("the outline crosses itself at x 350, y 450 of the drawing;")


def test_an_outline_drawn_twice_is_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        polyline(space, BAY)
        polyline(space, BAY[2:] + BAY[:2])

    assert "drawn twice" in text(saved(tmp_path, build))


def test_a_line_drawn_twice_is_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        lines(space, *BAY, BAY[0])
        lines(space, BAY[1], BAY[0])

    assert "a line that is drawn twice at x 700, y 0" in text(saved(tmp_path, build))


def test_outlines_that_cross_or_touch_are_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 0, 0, 500)
        box(space, 400, 100, 300)
        box(space, 700, 200, 300)

    crossing, touching = texts(saved(tmp_path, build))
    assert crossing.startswith("the outline crosses another outline at x 500, y 100")
    assert touching.startswith("the outline touches another outline at x 700, y 200")


def test_an_outline_inside_a_hole_is_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        for i in range(3):
            box(space, 10 * i, 10 * i, 300 - 20 * i)

    assert "lies inside a hole at x 20, y 20" in text(saved(tmp_path, build))


def test_three_lines_in_a_corner_are_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        lines(space, *BAY, BAY[0])
        lines(space, BAY[2], (800, 1000))

    corner, end = texts(saved(tmp_path, build))
    assert corner.startswith("the outline has a corner where 3 lines meet at x 700, y 900")
    assert end.startswith("the outline has a line that ends in nothing at x 800, y 1000")


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        polyline(space, [(0, 0), (700, 900), (700, 0), (0, 900)])
        lines(space, (1000, 0), (1500, 0), (1500, 500))
        polyline(space, [(2000, 0), (2500, 0), (2000, 0), (2000, 500)])
        space.add_line((0, 0, 0), (1, 1, 100))

    found = " ".join(texts(saved(tmp_path, build)))
    for part in ("crosses itself", "is open", "turns back on itself", "does not lie flat"):
        assert part in found


def test_a_drawing_without_outlines_says_what_it_holds(tmp_path: Path) -> None:
    assert "(passed over: 1 TEXT)" in text(saved(tmp_path, lambda space: space.add_text("bay 1")))


def test_a_layer_that_is_not_there_is_told_with_those_that_are(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: box(space, 0, 0, 300, "CUT"))
    assert text(path, "OPENING") == "has no lines on layer 'OPENING'; there are lines on 'CUT'"


def test_lines_on_several_layers_ask_for_one(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 0, 0, 300, "CUT")
        box(space, -50, -50, 400, "FRAME")

    path = saved(tmp_path, build)
    assert text(path) == "has lines on 2 layers; write layer, one of 'CUT', 'FRAME'"
    assert [outline.holes for outline in read_outlines(path, "cut")] == [()]


def test_one_outline_is_asked_for_and_two_are_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 0, 0, 300)
        box(space, 400, 0, 300)

    with pytest.raises(JobMistakes, match="holds 2 outlines side by side"):
        outline_in_drawing(saved(tmp_path, build))


def test_a_block_that_holds_itself_is_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        block_of(space)
        space.doc.blocks.get("BAY").add_blockref("BAY", (10, 10))
        space.add_blockref("BAY", (0, 0))

    assert "deep; explode them" in refusal(saved(tmp_path, build))


def test_blocks_that_multiply_are_refused_before_they_fill_the_memory(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        block_of(space)
        grid = {"row_count": 30000, "row_spacing": 80, "column_count": 30000, "column_spacing": 200}
        space.add_blockref("BAY", (0, 0), dxfattribs=grid)

    assert f"more than {MAX_ENTITIES} lines" in refusal(saved(tmp_path, build))


def test_more_records_than_are_read_are_refused_before_they_are_loaded(tmp_path: Path) -> None:
    path = tmp_path / "bay.dxf"
    many = "0\nPOINT\n" * (MAX_RECORDS + 1)
    path.write_text(f"0\nSECTION\n2\nENTITIES\n{many}0\nENDSEC\n0\nEOF\n")
    assert "holds more than is read" in refusal(path)


def test_an_outline_of_no_size_is_told(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 0, 0, 300)
        polyline(space, [(900, 0), (900, 0), (900, 0)])

    assert text(saved(tmp_path, build)).startswith("the outline has only one corner at x 900, y 0")


def test_an_entity_that_no_drawing_has_is_told_rather_than_passed_over(tmp_path: Path) -> None:
    path = saved(tmp_path, lambda space: [box(space, 0, 0, 300), space.add_circle((900, 0), 100)])
    path.write_text(path.read_text().replace("\nCIRCLE\n", "\n100\n"))
    assert "has an entity '100' that no drawing has" in text(path)


def test_a_mile_away_is_told(tmp_path: Path) -> None:
    assert "more than a mile" in text(saved(tmp_path, lambda space: box(space, 1e8, 0, 300)))
