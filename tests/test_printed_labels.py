"""Labels for the parts: where they lie on their sheet, what stands on each, and that every name fits."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.documents.paper.labelcell import (
    Cell,
    LabelWords,
    Line,
    arrows,
    label_lines,
    label_words,
)
from nesting.documents.paper.labels import LABEL_SHEETS, cells, printed_area, write_labels
from nesting.documents.paper.sheet import page_size
from nesting.documents.paper.type import text_length
from nesting.job import Hand, Units
from nesting.plan import BackingStrip, PlannedJob, SheetLayout
from tests import hand_plans
from tests.drawn import planned
from tests.long_plan import long_plan, renamed
from tests.test_printed import ODD_NAMES, pages_of

POINTS = {Units.INCH: 72.0, Units.MILLIMETRE: 72.0 / 25.4}


def area_of(units: Units, number: int = 0) -> Cell:
    return printed_area(cells(LABEL_SHEETS[units], units)[number], units)


def about(plan: PlannedJob, name: str) -> LabelWords:
    return next(say for say in label_words(plan) if say.name == name)


# The sizes of both sheets of labels: common practice of stationers, without a source, kind (c).
@pytest.mark.parametrize(
    ("units", "count", "wide", "high", "across", "down"),
    [(Units.INCH, 30, 2.625, 1.0, 3, 10), (Units.MILLIMETRE, 24, 70.0, 37.0, 3, 8)],
)
def test_labels_are_as_large_and_as_many_as_the_sheet_says(
    units: Units, count: int, wide: float, high: float, across: int, down: int
) -> None:
    frames = cells(LABEL_SHEETS[units], units)
    assert len(frames) == count == LABEL_SHEETS[units].count
    assert len({round(cell.x, 3) for cell in frames}) == across
    assert len({round(cell.y, 3) for cell in frames}) == down
    for cell in frames:
        assert (cell.width, cell.height) == pytest.approx((wide * POINTS[units], high * POINTS[units]))


@pytest.mark.parametrize("units", Units)
def test_labels_lie_in_the_middle_of_the_paper_and_apart(units: Units) -> None:
    width, height = page_size(units)
    frames = cells(LABEL_SHEETS[units], units)
    left, right = min(cell.x for cell in frames), max(cell.x + cell.width for cell in frames)
    foot, top = min(cell.y for cell in frames), max(cell.y + cell.height for cell in frames)
    assert left == pytest.approx(width - right, abs=0.01)
    assert foot == pytest.approx(height - top, abs=0.01)
    for one, other in combinations(frames, 2):
        apart_x = max(one.x, other.x) - min(one.x + one.width, other.x + other.width)
        apart_y = max(one.y, other.y) - min(one.y + one.height, other.y + other.height)
        assert max(apart_x, apart_y) > -1e-6


@pytest.mark.parametrize("units", Units)
def test_words_stay_clear_of_the_edge_of_the_paper_that_no_printer_reaches(units: Units) -> None:
    width, height = page_size(units)
    for number in range(LABEL_SHEETS[units].count):
        area = area_of(units, number)
        assert min(area.x, area.y) > 14.0
        assert area.x + area.width < width - 14.0
        assert area.y + area.height < height - 14.0


def test_a_label_says_what_its_part_is_and_where_it_goes() -> None:
    say = about(long_plan(), "D1")
    assert (say.where, say.bays) == ("driver side", ", bays 1 to 4")
    assert say.size == "118 1/2 x 41 1/2 in"
    assert say.sheet == "sheet 1 of 3, face up"
    # 118.5 x 41.5 in at 10.528 kg/m2 is 33.4 kg: more than the 23 kg that one person lifts
    assert say.mass == "73.6 lb (33.4 kg), two people"
    assert say.forward is Hand.LEFT


def test_every_part_of_every_sheet_has_its_label_in_the_order_of_the_sheets() -> None:
    plan = long_plan()
    assert [say.name for say in label_words(plan)] == [p.part for s in plan.plan.sheets for p in s.parts]
    assert about(plan, "lamp cover#4").where == "patch"
    assert about(plan, "lamp cover#4").forward is None


def test_only_a_doubtful_panel_asks_to_be_measured_again() -> None:
    doubtful = [say.name for say in label_words(long_plan()) if say.doubtful]
    assert doubtful == ["D2"]
    said = [line.text for line in label_lines(area_of(Units.INCH), about(long_plan(), "D2"))]
    assert "MEASURE AGAIN" in said
    said = [line.text for line in label_lines(area_of(Units.INCH), about(long_plan(), "D1"))]
    assert "MEASURE AGAIN" not in said


def test_a_part_cut_face_down_has_to_be_turned_over() -> None:
    plan = planned(hand_plans.flipped_step())
    assert "FACE DOWN" in about(plan, "D1").sheet
    assert "OUTSIDE FACE" in [line.text for line in label_lines(area_of(Units.MILLIMETRE), about(plan, "D1"))]


def test_the_size_is_that_of_the_part_on_the_body_however_it_lies_on_the_sheet() -> None:
    hand = hand_plans.two_panels()
    plan = planned(hand)
    # 665 wide and 550 high, see the plan's own words; turned or not
    assert {say.size for say in label_words(plan)} == {"665 x 550 mm"}


def test_rows_are_told_where_a_side_has_several() -> None:
    plan = planned(hand_plans.railed())
    assert {say.bays for say in label_words(plan)} == {", bay 1, row 1", ", bay 1, row 2"}


def test_a_backing_strip_says_which_bay_it_is_for() -> None:
    plan = planned(hand_plans.sheared())
    name = plan.plan.sheets[0].parts[0].part
    strip = BackingStrip("driver side", 600.0, name, bay=2)
    plan = replace(plan, plan=replace(plan.plan, backing=(strip,)))
    assert (about(plan, name).where, about(plan, name).bays) == ("backing strip, driver side", ", bay 2")


@pytest.mark.parametrize("hand", Hand)
def test_arrows_point_up_and_to_the_hand_of_the_front(hand: Hand) -> None:
    say = replace(about(long_plan(), "D1"), forward=hand)
    (ux0, uy0, ux1, uy1), (fx0, fy0, fx1, fy1) = arrows(area_of(Units.INCH), say)
    assert ux0 == ux1
    assert uy1 > uy0
    assert fy0 == fy1
    assert (fx1 < fx0) is (hand is Hand.LEFT)


def test_a_patch_has_one_arrow_which_is_up() -> None:
    ((x0, y0, x1, y1),) = arrows(area_of(Units.INCH), about(long_plan(), "lamp cover#1"))
    assert x0 == x1
    assert y1 > y0


def box(line: Line) -> tuple[float, float, float, float]:
    """The room of a line, from a little below its base to the top of its letters."""
    wide = text_length(line.text, line.size, line.font)
    return line.x, line.y - 0.2 * line.size, line.x + wide, line.y + 0.74 * line.size


def apart(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return (
        one[2] <= other[0] + 0.01
        or other[2] <= one[0] + 0.01
        or one[3] <= other[1] + 0.01
        or other[3] <= one[1] + 0.01
    )


NAMES = st.one_of(st.text(max_size=300), st.sampled_from([*ODD_NAMES.values(), "W" * 400, "D1", "i l " * 99]))


@settings(deadline=None, max_examples=60)
@given(NAMES, NAMES, st.sampled_from(Units), st.sampled_from([None, *Hand]), st.booleans())
def test_whatever_the_names_nothing_leaves_the_label_or_runs_into_anything_else(
    name: str, side: str, units: Units, forward: Hand | None, doubtful: bool
) -> None:
    say = LabelWords(
        name=name,
        where=side,
        bays=", bays 10 to 13, rows 1 to 2",
        size="118 15/16 x 41 15/16 in",
        mass="1,073.6 lb (487.0 kg), two people",
        sheet="sheet 10 of 12, FACE DOWN: turn over",
        forward=forward,
        doubtful=doubtful,
    )
    area = area_of(units)
    boxes = [box(line) for line in label_lines(area, say) if line.text]
    shafts = [
        (min(x0, x1) - 1, min(y0, y1) - 1, max(x0, x1) + 1, max(y0, y1) + 1)
        for x0, y0, x1, y1 in arrows(area, say)
    ]
    for x0, y0, x1, y1 in boxes:
        assert area.x - 0.01 <= x0
        assert x1 <= area.x + area.width + 0.01
        assert area.y - 0.01 <= y0
        assert y1 <= area.y + area.height + 0.01
    assert all(apart(one, other) for one, other in combinations(boxes, 2))
    assert all(apart(one, shaft) for one in boxes for shaft in shafts)


def test_bays_are_told_however_long_the_name_of_the_side_is() -> None:
    say = replace(about(long_plan(), "D1"), where="a side with a very long name indeed " * 9)
    (line,) = [line for line in label_lines(area_of(Units.INCH), say) if "bays" in line.text]
    assert line.text.endswith("\u2026, bays 1 to 4")


def test_a_name_that_fits_is_printed_whole_and_large() -> None:
    first, *_ = label_lines(area_of(Units.INCH), about(long_plan(), "D1"))
    assert first.text == "D1"
    # points: a third of the label's height
    assert first.size > 20.0


def test_the_first_page_is_for_plain_paper_and_has_no_label(tmp_path: Path) -> None:
    write_labels(long_plan(), tmp_path / "labels.pdf")
    first, labels = pages_of(tmp_path / "labels.pdf")
    words = " ".join(first.split())
    assert "Print this page on plain paper first" in words
    assert "30 labels of 1 x 2 5/8 in" in words
    assert "Then print page 2" in words
    assert "sheet 1 of 3" not in words
    assert "lamp cover#4" in labels
    assert "plain paper" not in labels


def test_more_parts_than_labels_on_a_sheet_go_on_to_the_next(tmp_path: Path) -> None:
    plan = long_plan()
    (first, *_) = plan.plan.sheets
    parts = tuple(replace(first.parts[1], part=f"lamp cover#{n}") for n in range(1, 32))
    many = replace(plan, plan=replace(plan.plan, sheets=(SheetLayout(first.stock, parts),)))
    write_labels(many, tmp_path / "labels.pdf")
    pages = pages_of(tmp_path / "labels.pdf")
    assert len(pages) == 3
    assert "pages 2 to 3" in pages[0]
    assert "lamp cover#30" in pages[1]
    assert pages[2].startswith("lamp cover#31")


def test_labels_are_the_same_bytes_every_time_on_the_paper_of_the_job(tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        write_labels(long_plan(), tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert b"/MediaBox [ 0 0 612 792 ]" in (tmp_path / "one.pdf").read_bytes()
    write_labels(hand_plans.planned_two_panels(), tmp_path / "mm.pdf")
    assert b"/MediaBox [ 0 0 595.2756 841.8898 ]" in (tmp_path / "mm.pdf").read_bytes()


def test_odd_names_and_no_parts_are_still_a_file(tmp_path: Path) -> None:
    write_labels(renamed(long_plan(), ODD_NAMES), tmp_path / "odd.pdf")
    assert len(pages_of(tmp_path / "odd.pdf")) == 2
    plan = long_plan()
    write_labels(replace(plan, plan=replace(plan.plan, sheets=())), tmp_path / "none.pdf")
    (only,) = pages_of(tmp_path / "none.pdf")
    assert "There is no part to label." in only
