"""Shapes in a job file: four measured sides, outlines as points, drawings; each fault told with its place."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from nesting.job import Bay, Job
from nesting.jobfile import job_from_text
from nesting.outline import Ring, bounds, signed_area
from shared.errors import JobMistakes, Mistake
from tests.job_texts import SIDE

MM = 'units = "mm"\n[[stock]]\nname = "large"\nwidth = 1250\nlength = 3000\nprice = 80\n'
METRIC_SIDE = MM + '[[side]]\nname = "left"\nforward = "left"\npost_width = 50\n'
SQUARE = "top = 700\nbottom = 700\nleft = 1000\nright = 1000\n"
ARCH = "outline = [[0, 0], [150, 0, -1.0], [550, 0], [700, 0], [700, 1000], [0, 1000]]\n"


def bay(text: str) -> str:
    return "[[side.bay]]\n" + text


def read(text: str, folder: Path | None = None) -> Job:
    return job_from_text(text, "job.toml", folder)


def told(text: str, folder: Path | None = None) -> tuple[Mistake, ...]:
    with pytest.raises(JobMistakes) as found:
        read(text, folder)
    return found.value.mistakes


def test_four_sides_and_both_diagonals_give_the_measured_shape() -> None:
    # a parallelogram leaning 30 to the right: diagonals sqrt(730^2 + 1000^2) and sqrt(670^2 + 1000^2)
    text = "top = 700\nbottom = 700\nleft = 1000.45\nright = 1000.45\n"
    job = read(METRIC_SIDE + bay(text + "diagonal_rising = 1238.11\ndiagonal_falling = 1203.70\n"))
    (made,) = job.sides[0].bays
    assert made.outline is not None
    assert [round(x) for x, _, _ in made.outline] == [0, 700, 730, 30]
    assert made.width == pytest.approx(700, abs=0.1)
    assert not job.warnings


def test_a_diagonal_an_inch_off_is_a_warning_that_names_it() -> None:
    # 700 x 1000 has diagonals of 1220.66
    job = read(METRIC_SIDE + bay(SQUARE + "diagonal_rising = 1246\ndiagonal_falling = 1220.7\n"))
    (warning,) = job.warnings
    assert warning.startswith("side 'left', bay 1: ")
    assert "diagonal_rising, 1246 mm (about 1220.5 mm by the others)" in warning
    assert "measure" in warning


def test_without_a_diagonal_the_assumption_is_stated() -> None:
    job = read(METRIC_SIDE + bay(SQUARE))
    (warning,) = job.warnings
    assert "no diagonal was measured" in warning
    assert bounds(job.sides[0].bays[0].outline or ()) == (0, 0, 700, 1000)


def test_a_diagonal_longer_than_the_two_sides_together_is_a_mistake() -> None:
    (only,) = told(METRIC_SIDE + bay(SQUARE + "diagonal_rising = 1800\ndiagonal_falling = 1220\n"))
    assert only.place == "side 'left', bay 1, diagonal_rising"
    assert only.read == "1800"
    assert "too long" in only.remedy


def test_an_outline_may_be_told_clockwise_and_with_its_first_corner_again() -> None:
    job = read(
        METRIC_SIDE + bay("outline = [[0, 0], [0, 1000], [600, 1000], [700, 900], [700, 0], [0, 0]]\n")
    )
    outline = job.sides[0].bays[0].outline
    assert outline is not None
    assert signed_area(outline) == 695_000


def test_an_outline_that_is_a_rectangle_is_a_plain_bay() -> None:
    (made,) = read(METRIC_SIDE + bay("outline = [[5, 5], [705, 5], [705, 1005], [5, 1005]]\n")).sides[0].bays
    assert made == Bay(700.0, 1000.0)


def test_an_outline_takes_tape_readings_and_bulges() -> None:
    text = 'outline = [["0", 0], ["27 1/2", 0], ["27 1/2", 20, 0.41421356], [20, "27 1/2"], [0, "27 1/2"]]\n'
    job = read(SIDE + bay(text))
    made = job.sides[0].bays[0]
    assert (made.width, made.height) == (pytest.approx(698.5), pytest.approx(698.5))
    assert [round(bulge, 4) for _, _, bulge in made.outline or ()] == [0, 0, 0.4142, 0, 0]


@pytest.mark.parametrize(
    ("outline", "says"),
    [
        ("[[0, 0], [700, 1000], [700, 0], [0, 1000]]", "crosses itself"),
        ("[[0, 0], [700, 0], [700, 1000], [0, 1000], [0, 500], [-300, 500], [0, 500]]", ""),
        ("[[0, 0], [700, 0]]", "corner"),
        ("[[0, 0], [700, 0, 500], [700, 1000]]", "bulge"),
    ],
)
def test_a_bad_outline_is_told_with_its_place(outline: str, says: str) -> None:
    found = told(METRIC_SIDE + bay(f"outline = {outline}\n"))
    assert {mistake.place for mistake in found} == {"side 'left', bay 1, outline"}
    assert all(says in mistake.remedy for mistake in found[:1])


def test_a_corner_that_is_none_is_told_by_its_number() -> None:
    (only,) = told(METRIC_SIDE + bay("outline = [[0, 0], [700], [700, 1000]]\n"))
    assert only.place == "side 'left', bay 1, outline, item 2"


def test_a_shape_told_twice_is_a_mistake() -> None:
    (only,) = told(METRIC_SIDE + bay("width = 700\nheight = 1000\noutline = [[0, 0], [7, 0], [0, 7]]\n"))
    assert only.place == "side 'left', bay 1, outline"
    assert "width" in only.remedy


def test_a_bay_without_any_shape_lacks_its_width_and_height() -> None:
    assert [mistake.place for mistake in told(METRIC_SIDE + bay("sill = 3\n"))] == [
        "side 'left', bay 1, width",
        "side 'left', bay 1, height",
    ]


def test_a_side_needs_bays_or_a_drawing() -> None:
    (only,) = told(METRIC_SIDE)
    assert only.place == "side 'left', bay"


def test_a_line_over_a_post_that_cuts_off_a_corner_is_a_mistake_though_the_land_would_reach_over_it() -> None:
    # from the upper corner (569, 686) to that of the next bay at (812, 233) the line is 326 high over x = 762
    first = bay("outline = [[0, 0], [762, 0], [762, 361], [569, 686], [0, 686]]\n")
    (only,) = told(
        METRIC_SIDE + first + bay("outline = [[0, 0], [700, 0], [700, 686], [453, 686], [0, 233]]\n")
    )
    assert only.place == "side 'left'"
    assert "over the post beside bay 1 would cut off part of its outline" in only.remedy
    lower = first.replace("[762, 361]", "[762, 320]")
    assert read(METRIC_SIDE + lower + bay("outline = [[0, 0], [700, 0], [700, 686], [453, 686], [0, 233]]\n"))


def test_an_arch_tighter_than_the_land_is_a_mistake() -> None:
    text = "outline = [[0, 0], [340, 0, -1.0], [360, 0], [700, 0], [700, 1000], [0, 1000]]\n"
    (only,) = told(METRIC_SIDE + bay(text))
    assert only.place == "side 'left'"
    assert "tighter than the land" in only.remedy


def test_bays_that_lean_into_one_another_are_a_mistake() -> None:
    # 60 to the right over 1000: diagonals sqrt(760^2 + 1000^2) and sqrt(640^2 + 1000^2)
    leaning = "top = 700\nbottom = 700\nleft = 1001.8\nright = 1001.8\ndiagonal_rising = 1256\n"
    upright = "width = 700\nheight = 1000\n"
    found = told(METRIC_SIDE + bay(leaning) + bay(upright))
    assert ["bays 1 and 2 would run into one another" in one.remedy for one in found] == [True]


def test_a_window_must_lie_inside_the_outline() -> None:
    window = "[[side.window]]\nbay = 1\nfrom_left = 200\nfrom_bottom = {}\nwidth = 300\nheight = 300\n"
    assert read(METRIC_SIDE + bay(ARCH) + window.format(300)).sides[0].windows
    (only,) = told(METRIC_SIDE + bay(ARCH) + window.format(100))
    assert only.place == "side 'left', window 1"


def test_a_patch_may_have_an_outline_and_holes() -> None:
    text = MM + '[[patch]]\nname = "ring"\noutline = [[10, 10], [210, 10], [110, 210]]\n'
    patch = read(text + "holes = [[[100, 50], [120, 50], [110, 70]]]\n").patches[0]
    assert (patch.width, patch.height) == (200, 200)
    assert patch.outline == ((0, 0, 0), (200, 0, 0), (100, 200, 0))
    assert bounds(patch.holes[0]) == (90, 40, 110, 60)
    (only,) = told(text + "holes = [[[100, 50], [120, 50], [110, 270]]]\n")
    assert only.place == "patch 'ring', holes"


def drawing(path: Path, *rings: Ring, units: int = 4) -> Path:
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = units
    for ring in rings:
        document.modelspace().add_lwpolyline(ring, format="xyb", close=True, dxfattribs={"layer": "OPENING"})
    document.saveas(path)
    return path


ROUND: Ring = ((0, 0, 0), (700, 0, 0), (700, 700, 0.41421356237), (400, 1000, 0), (0, 1000, 0))
PLAIN: Ring = ((0, 0, 0), (700, 0, 0), (700, 1000, 0), (0, 1000, 0))


def placed(ring: Ring, dx: float, dy: float = 0.0) -> Ring:
    return tuple((x + dx, y + dy, bulge) for x, y, bulge in ring)


def test_a_bay_may_lie_in_a_drawing_beside_the_job_file(tmp_path: Path) -> None:
    drawing(tmp_path / "bay.dxf", placed(ROUND, 5000, 300))
    job = read(METRIC_SIDE + bay('drawing = "bay.dxf"\nlayer = "OPENING"\n'), tmp_path)
    made = job.sides[0].bays[0]
    assert (made.width, made.height) == (pytest.approx(700), pytest.approx(1000))
    assert bounds(made.outline or ()) == pytest.approx((0, 0, 700, 1000))


def test_a_drawing_can_make_a_whole_side(tmp_path: Path) -> None:
    drawing(tmp_path / "side.dxf", placed(PLAIN, 100), placed(PLAIN, 850, 20), placed(ROUND, 1610))
    text = MM + '[[side]]\nname = "left"\nforward = "left"\ndrawing = "side.dxf"\n'
    side = read(text, tmp_path).sides[0]
    assert [round(bay.width) for bay in side.bays] == [700, 700, 700]
    assert [round(post) for post in side.posts] == [50, 60]
    assert [round(bay.sill) for bay in side.bays] == [0, 20, 0]


def test_every_fault_of_a_drawing_is_told_with_the_entry_that_names_it(tmp_path: Path) -> None:
    (missing,) = told(METRIC_SIDE + bay('drawing = "none.dxf"\n'), tmp_path)
    assert missing.place == "side 'left', bay 1, drawing"
    drawing(tmp_path / "bay.dxf", tuple((x / 25, y / 25, b) for x, y, b in PLAIN))
    (small,) = told(METRIC_SIDE + bay('drawing = "bay.dxf"\n'), tmp_path)
    assert "drawing_units" in small.remedy


def test_a_contour_inside_a_drawn_opening_is_no_opening(tmp_path: Path) -> None:
    window: Ring = ((100, 100, 0), (300, 100, 0), (300, 300, 0), (100, 300, 0))
    drawing(tmp_path / "bay.dxf", PLAIN, window)
    (only,) = told(METRIC_SIDE + bay('drawing = "bay.dxf"\n'), tmp_path)
    assert "[[side.window]]" in only.remedy


def test_a_drawn_patch_takes_its_holes_along(tmp_path: Path) -> None:
    hole: Ring = ((100, 100, 0), (300, 100, 0), (300, 300, 0), (100, 300, 0))
    drawing(tmp_path / "cover.dxf", PLAIN, hole)
    patch = read(MM + '[[patch]]\nname = "cover"\ndrawing = "cover.dxf"\n', tmp_path).patches[0]
    assert [bounds(ring) for ring in patch.holes] == [(100, 100, 300, 300)]
