"""The order of the readings, the blank table and the printed sheet: one list, the same numbers on all."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.documents.measuringtable import HEADING, measuring_table
from nesting.documents.paper.measuring import write_measuring_sheet
from nesting.documents.paper.measuring_sketch import strips
from nesting.job import Units
from nesting.reading.keys import MAX_BAYS
from nesting.starting.sheet import Posts, SheetPlan, SideToMeasure, readings_in_order
from shared.errors import PlannerError
from tests.filled_tables import NAME, NUMBER, PLACE, READING, VALUE, blank
from tests.test_printed import pages_of

ONE_SIDE = SheetPlan((SideToMeasure("driver side", 2),))


def order(plan: SheetPlan) -> list[str]:
    return [f"{reading.place}: {reading.asked.name}" for reading in readings_in_order(plan)]


def test_the_tape_goes_from_left_to_right_and_the_overall_pull_comes_after() -> None:
    assert order(ONE_SIDE)[:14] == [
        "side: front",
        "bay 1: width",
        "bay 1: height",
        "bay 1: diagonal rising",
        "bay 1: diagonal falling",
        "bay 1: sill",
        "post 1: width",
        "bay 2: width",
        "bay 2: height",
        "bay 2: diagonal rising",
        "bay 2: diagonal falling",
        "bay 2: sill",
        "side: overall",
        "side: raise",
    ]


def test_the_tape_swings_to_all_that_one_corner_reaches_before_it_is_moved() -> None:
    bay = order(SheetPlan((SideToMeasure("rear", 1),), four_sided=True))[1:8]
    assert [line.removeprefix("bay 1: ") for line in bay] == [
        *("left", "diagonal rising", "bottom"),
        *("diagonal falling", "right"),
        *("top", "sill"),
    ]


def test_posts_that_are_alike_are_read_once_and_a_known_width_stands_there() -> None:
    sides = (SideToMeasure("driver side", 3),)
    alike = readings_in_order(SheetPlan(sides, posts=Posts.ALIKE))
    known = readings_in_order(SheetPlan(sides, posts=Posts.ALIKE, post_width="2 1/2"))
    assert [(r.place, r.asked.name, r.value) for r in alike[:2]] == [
        ("side", "front", ""),
        ("side", "posts", ""),
    ]
    assert known[1].value == "2 1/2"
    assert not any(reading.kind == "post" for reading in (*alike, *known))


def test_a_side_of_one_bay_has_no_post_to_read() -> None:
    for posts in Posts:
        taken = order(SheetPlan((SideToMeasure("rear", 1),), posts=posts))
        assert not [line for line in taken if "post" in line]


@settings(max_examples=30)
@given(st.lists(st.integers(1, 12), min_size=1, max_size=4), st.booleans(), st.sampled_from(Posts))
def test_numbers_run_on_over_all_sides_and_no_reading_is_asked_twice(
    bays: list[int], four_sided: bool, posts: Posts
) -> None:
    sides = tuple(SideToMeasure(f"side {i}", n) for i, n in enumerate(bays))
    readings = readings_in_order(SheetPlan(sides, four_sided=four_sided, posts=posts))
    assert [reading.number for reading in readings] == list(range(1, len(readings) + 1))
    assert len({(r.side, r.place, r.asked.name) for r in readings}) == len(readings)


def test_sides_that_cannot_be_told_apart_are_refused() -> None:
    with pytest.raises(PlannerError, match="same name"):
        SheetPlan((SideToMeasure("Rear", 1), SideToMeasure("rear", 2)))
    with pytest.raises(PlannerError, match="at least one bay"):
        SheetPlan((SideToMeasure("rear", 0),))
    with pytest.raises(PlannerError, match="at most 80 characters"):
        SheetPlan((SideToMeasure("x" * 81, 1),))
    with pytest.raises(PlannerError, match="401 bays"):
        SheetPlan((SideToMeasure("long", MAX_BAYS + 1),))


def test_the_table_has_a_row_for_the_units_and_one_for_each_reading() -> None:
    rows = blank(2)
    assert tuple(rows[0]) == HEADING
    assert rows[1][PLACE : VALUE + 1] == ["sheet", "units", "in"]
    readings = readings_in_order(ONE_SIDE)
    assert [(row[NUMBER], row[NAME], row[PLACE], row[READING]) for row in rows[2:]] == [
        (str(r.number), r.side, r.place, r.asked.name) for r in readings
    ]


def test_a_side_named_like_a_formula_is_words_in_the_table() -> None:
    rows = blank(1, '=HYPERLINK("x")')
    assert {row[NAME] for row in rows[2:]} == {'\'=HYPERLINK("x")'}


def test_only_a_table_with_other_letters_bears_the_mark_that_spreadsheets_look_for() -> None:
    assert measuring_table(ONE_SIDE).isascii()
    assert measuring_table(SheetPlan((SideToMeasure("Fahrerseite links \u00fc", 1),))).startswith("\ufeff")


@pytest.mark.parametrize("four_sided", [False, True])
def test_every_number_of_the_table_is_printed_on_the_sheet(tmp_path: Path, four_sided: bool) -> None:
    plan = SheetPlan((SideToMeasure("driver side", 13), SideToMeasure("rear", 1)), four_sided=four_sided)
    write_measuring_sheet(plan, False, tmp_path / "sheet.pdf")
    pages = pages_of(tmp_path / "sheet.pdf")
    words = {word for page in pages[1:] for word in page.splitlines()}
    assert {str(reading.number) for reading in readings_in_order(plan)} <= words
    assert {f"bay {bay}" for bay in range(1, 14)} <= words


def test_the_first_page_says_how_to_measure_and_what_to_mind(tmp_path: Path) -> None:
    write_measuring_sheet(ONE_SIDE, False, tmp_path / "sheet.pdf")
    first = " ".join(pages_of(tmp_path / "sheet.pdf")[0].split())
    for words in (
        "in inches",
        "from outside",
        "diagonal rising",
        "Overall: one pull",
        "gloves",
        "reskin read",
    ):
        assert words in first


def test_each_side_has_room_for_all_that_is_asked_along_it(tmp_path: Path) -> None:
    plan = SheetPlan((SideToMeasure("driver side", 3),), Units.MILLIMETRE, posts=Posts.ALIKE, post_width="50")
    write_measuring_sheet(plan, True, tmp_path / "sheet.pdf")
    text = "\n".join(pages_of(tmp_path / "sheet.pdf")[1:])
    for words in (
        "front of the vehicle",
        "left      right",
        "every post",
        "50",
        "overall",
        "rail 2",
        "window 2",
    ):
        assert words in text
    assert "readings in mm" in text


@pytest.mark.parametrize(
    ("on_a4", "box"), [(False, b"[ 0 0 612 792 ]"), (True, b"[ 0 0 595.2756 841.8898 ]")]
)
def test_the_paper_is_the_one_asked_for(tmp_path: Path, on_a4: bool, box: bytes) -> None:
    write_measuring_sheet(ONE_SIDE, on_a4, tmp_path / "sheet.pdf")
    boxes = set(re.findall(rb"/MediaBox (\[.*?\])", (tmp_path / "sheet.pdf").read_bytes()))
    assert boxes == {box}


def test_the_same_plan_gives_the_same_sheet(tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        write_measuring_sheet(ONE_SIDE, True, tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


@settings(deadline=None, max_examples=10)
@given(
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=80).filter(str.strip),
    st.integers(1, 30),
)
def test_no_name_stops_the_printing(tmp_path_factory: pytest.TempPathFactory, name: str, bays: int) -> None:
    path = tmp_path_factory.mktemp("sheet") / "sheet.pdf"
    write_measuring_sheet(SheetPlan((SideToMeasure(name, bays),)), False, path)
    assert len(pages_of(path)) >= 2


@given(st.integers(1, 400), st.integers(1, 9))
def test_strips_hold_every_bay_once_and_are_even(bays: int, most: int) -> None:
    parts = strips(bays, most)
    assert [bay for part in parts for bay in part] == list(range(1, bays + 1))
    lengths = [len(part) for part in parts]
    assert max(lengths) <= most
    assert max(lengths) - min(lengths) <= 1
