"""The tables for spreadsheets: right numbers, one heading line, and nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.documents.lists import buy_list, cut_list, offcuts, rivets, words
from nesting.job import Units
from nesting.plan import BuyLine, Fasteners, PlannedJob
from tests import hand_plans
from tests.long_plan import INCH, SIDE, long_plan, renamed


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


@pytest.mark.parametrize("table", [cut_list, rivets, buy_list, offcuts])
def test_every_row_has_a_cell_for_every_heading(table) -> None:
    for planned in (long_plan(), hand_plans.planned_two_panels()):
        text = table(planned)
        heading, *rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert len(set(heading)) == len(heading)
        assert rows
        assert {len(row) for row in rows} == {len(heading)}
        assert text.count("\n") == text.count("\r\n")


def test_the_cut_list_shows_inches_as_a_tape_does_and_millimetres_beside_them() -> None:
    rows = read(cut_list(long_plan()))
    assert [row["part"] for row in rows][:3] == ["D1", "lamp cover#1", "lamp cover#2"]
    first = rows[0]
    assert (first["sheet"], first["stock"], first["side"]) == ("1", "4x10", SIDE)
    assert (first["length (in)"], first["width (in)"]) == ("118 1/2", "41 1/2")
    # a bare 1/4 would become a date
    assert (first["x (in)"], first["y (in)"]) == ("0 1/4", "0 1/4")
    assert float(first["length (mm)"]) == pytest.approx(118.5 * INCH)
    assert float(first["mass (lb)"]) == pytest.approx(118.5 * 41.5 / 144 * 2.15625, abs=0.02)
    assert (first["turn (deg)"], first["flipped"]) == ("0", "no")


def test_a_metric_cut_list_has_each_length_once() -> None:
    (first, _) = read(cut_list(hand_plans.planned_two_panels()))
    assert [key for key in first if "length" in key] == ["length (mm)"]
    assert (first["length (mm)"], first["x (mm)"]) == ("665", "10")


def test_sizes_in_the_cut_list_are_rounded_down_so_that_parts_fit() -> None:
    job, plan = hand_plans.one_panel()
    inches = replace(job, units=Units.INCH)
    planned = PlannedJob(inches, plan, Fasteners(), hand_plans.two_panels_buying())
    (row,) = read(cut_list(planned))
    # 1300 mm is 51.18 in: 51 2/16 fits, the nearest sixteenth 51 3/16 would not
    assert row["length (in)"] == "51 1/8"


def test_notes_name_doubt_hands_and_the_face() -> None:
    notes = {row["part"]: row["note"] for row in read(cut_list(long_plan()))}
    assert "measure again before cutting" in notes["D2"]
    assert "measure again" not in notes["D1"]
    assert "two people" in notes["D1"]
    assert notes["lamp cover#1"] == ""
    flipped = hand_plans.flipped_step()
    planned = PlannedJob(flipped.job, flipped.plan, Fasteners(), hand_plans.two_panels_buying())
    (row,) = read(cut_list(planned))
    assert row["flipped"] == "yes"
    assert "outside face down" in row["note"]


def test_rivets_counted_by_line_add_up_to_the_total_row() -> None:
    rows = read(rivets(long_plan()))
    lines = [row for row in rows if row["kind"] not in ("panel", "total", "to buy")]
    (total,) = [row for row in rows if row["kind"] == "total"]
    assert sum(int(row["counted"]) for row in lines) == int(total["counted"]) == long_plan().fasteners.total
    assert {row["kind"] for row in lines} == {"seam", "edge", "post", "patch"}


def test_a_panel_row_says_how_many_rivets_it_shares() -> None:
    rows = [row for row in read(rivets(hand_plans.planned_two_panels())) if row["kind"] == "panel"]
    assert [(row["panels"], row["rivets"], row["shared"]) for row in rows] == [
        ("D1", "50", "14"),
        ("D2", "50", "14"),
    ]


def test_the_buy_list_adds_up_to_its_total() -> None:
    rows = read(buy_list(hand_plans.planned_two_panels()))
    *lines, total = rows
    assert sum(float(row["price"]) for row in lines) == float(total["price"]) == 132.0


def test_offcuts_are_never_listed_larger_than_they_are() -> None:
    for row in read(offcuts(long_plan())):
        whole, _, fraction = row["length (in)"].partition(" ")
        above, below = map(int, fraction.split("/")) if fraction else (0, 1)
        assert (int(whole) + above / below) * INCH <= float(row["length (mm)"]) + 1e-6


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1"])
def test_a_name_that_looks_like_a_formula_is_disarmed_everywhere(name: str) -> None:
    planned = renamed(long_plan(), {"D1": name, SIDE: name})
    planned = replace(
        planned, buying=replace(planned.buying, lines=(BuyLine(name, 1, name, 1.0, 1.0, name),))
    )
    for table in (cut_list, rivets, buy_list, offcuts):
        for row in csv.reader(io.StringIO(table(planned), newline="")):
            assert not [cell for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


def test_negative_numbers_of_our_own_stay_numbers() -> None:
    planned = long_plan()
    refund = BuyLine("sheets handed back", -1, "sheets", 128.0, -128.0)
    planned = replace(planned, buying=replace(planned.buying, lines=(refund,)))
    assert read(buy_list(planned))[0]["price"] == "-128.00"


@settings(deadline=None, max_examples=80)
@given(st.text())
def test_any_name_comes_back_as_one_cell_on_one_line(name: str) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerow((words(name), "next"))
    cell, after = next(csv.reader(io.StringIO(out.getvalue(), newline=""), strict=True))
    assert after == "next"
    assert "\n" not in cell
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_names_in_any_script_are_kept() -> None:
    assert "Борт 左" in cut_list(renamed(long_plan(), {"D1": "Борт 左"}))
