"""The check of cuts in detail: sheets of a few rectangles cut edge to edge, each answer worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.checking.cuts import cut_faults
from nesting.job import CutMethod, Cutting
from nesting.outline import rectangle
from nesting.plan import Cut, Offcut, SheetLayout
from tests.hand_plans import SMALL, HandPlan, placed, sheared

WHOLE = (0.0, 0.0, 2000.0, 1000.0)
Rect = tuple[float, float, float, float]


def sheet_of(parts: dict[str, Rect], *cuts: tuple[str, float, Rect], **cutting: object) -> HandPlan:
    """A small sheet, 2000 x 1000, with parts from corner to corner, and its cuts in order; the shear takes 1500."""
    job, plan = sheared()
    rules: dict[str, object] = {"method": CutMethod.SHEAR, "shear_length": 1500.0, **cutting}
    laid = tuple(placed(name, rectangle(*rect), rect[0], rect[1]) for name, rect in parts.items())
    ordered = tuple(Cut(number, axis, at, piece) for number, (axis, at, piece) in enumerate(cuts, start=1))
    sheet = SheetLayout(SMALL, laid, cuts=ordered)
    return HandPlan(replace(job, cutting=Cutting(**rules)), replace(plan, sheets=(sheet,)))  # type: ignore[arg-type]


def faults(hand: HandPlan) -> list[str]:
    return list(cut_faults(*hand))


LOW_PAIR = {"a": (0.0, 0.0, 400.0, 400.0), "b": (400.0, 0.0, 800.0, 400.0), "c": (0.0, 400.0, 800.0, 1000.0)}
LOW_PAIR_CUTS = (
    ("x", 800.0, WHOLE),
    ("y", 400.0, (0.0, 0.0, 800.0, 1000.0)),
    ("x", 400.0, (0.0, 0.0, 800.0, 400.0)),
)
HIGH_PAIR = {
    "a": (0.0, 0.0, 800.0, 400.0),
    "b": (0.0, 400.0, 400.0, 1000.0),
    "c": (400.0, 400.0, 800.0, 1000.0),
}
HIGH_PAIR_CUTS = (*LOW_PAIR_CUTS[:2], ("x", 400.0, (0.0, 400.0, 800.0, 1000.0)))
LEFT_PAIR = {
    "a": (0.0, 0.0, 400.0, 400.0),
    "b": (0.0, 400.0, 400.0, 1000.0),
    "c": (400.0, 0.0, 1400.0, 1000.0),
}
LEFT_PAIR_CUTS = (
    ("x", 400.0, WHOLE),
    ("x", 1400.0, (400.0, 0.0, 2000.0, 1000.0)),
    ("y", 400.0, (0.0, 0.0, 400.0, 1000.0)),
)
RIGHT_PAIR = {
    "a": (0.0, 0.0, 800.0, 1000.0),
    "b": (800.0, 0.0, 2000.0, 400.0),
    "c": (800.0, 400.0, 2000.0, 1000.0),
}
RIGHT_PAIR_CUTS = (("x", 800.0, WHOLE), ("y", 400.0, (800.0, 0.0, 2000.0, 1000.0)))


@pytest.mark.parametrize(
    ("parts", "cuts"),
    [
        (LOW_PAIR, LOW_PAIR_CUTS),
        (HIGH_PAIR, HIGH_PAIR_CUTS),
        (LEFT_PAIR, LEFT_PAIR_CUTS),
        (RIGHT_PAIR, RIGHT_PAIR_CUTS),
    ],
    ids=["two below one", "two above one", "two left of one", "two right of one"],
)
def test_a_cut_strikes_nothing_outside_its_own_piece(
    parts: dict[str, Rect], cuts: tuple[tuple[str, float, Rect], ...]
) -> None:
    assert faults(sheet_of(parts, *cuts)) == []


@pytest.mark.parametrize("kerf", [0.0, 2.0])
@pytest.mark.parametrize(
    ("axis", "part", "at"),
    [("x", (300.0, 0.0, 500.0, 1000.0), 400.0), ("y", (0.0, 300.0, 2000.0, 500.0), 400.0)],
)
def test_a_cut_through_a_part_is_told_with_the_part(axis: str, part: Rect, at: float, kerf: float) -> None:
    told = faults(sheet_of({"a": part}, (axis, at, WHOLE), kerf=kerf, shear_length=None))
    assert told[0] == "sheet 1, cut 1: it runs through part a"
    assert told[1] == "sheet 1, part a: the cuts do not free it on all four sides"
    assert len(told) == 2


def test_every_part_that_a_cut_runs_through_is_told() -> None:
    parts = {
        "a": (300.0, 0.0, 500.0, 200.0),
        "b": (300.0, 200.0, 500.0, 400.0),
        "c": (500.0, 0.0, 900.0, 400.0),
    }
    told = faults(sheet_of(parts, ("x", 400.0, WHOLE)))
    assert [fault for fault in told if "through" in fault] == [
        "sheet 1, cut 1: it runs through part a",
        "sheet 1, cut 1: it runs through part b",
    ]


def test_a_fault_names_its_sheet() -> None:
    sound = sheet_of(RIGHT_PAIR, *RIGHT_PAIR_CUTS)
    wrong = sheet_of(RIGHT_PAIR, RIGHT_PAIR_CUTS[0])
    both = replace(sound.plan, sheets=(*sound.plan.sheets, *wrong.plan.sheets))
    assert faults(HandPlan(sound.job, both)) == [
        "sheet 2, part b: the cuts do not free it on all four sides",
        "sheet 2, part c: the cuts do not free it on all four sides",
    ]


def test_a_cut_out_of_order_of_a_piece_that_is_not_there_is_told_twice() -> None:
    job, plan = sheet_of({}, ("x", 800.0, WHOLE), ("y", 400.0, (0.0, 0.0, 900.0, 1000.0)))
    sheet = plan.sheets[0]
    late = replace(sheet, cuts=(sheet.cuts[0], replace(sheet.cuts[1], order=3)))
    assert faults(HandPlan(job, replace(plan, sheets=(late,)))) == [
        "sheet 1, cut 3: it comes as number 2",
        "sheet 1, cut 2: there is no piece 900.0 x 1000.0 at (0.0, 0.0) to cut",
    ]


def test_after_a_cut_that_cannot_be_made_the_next_ones_are_judged() -> None:
    hand = sheet_of(
        {}, ("x", 0.0, WHOLE), ("x", 2000.0, WHOLE), ("z", 500.0, WHOLE), ("y", 500.0, (0, 0, 9, 9))
    )
    assert faults(hand) == [
        "sheet 1, cut 1: at x = 0.00 it does not divide the piece 2000.0 x 1000.0 at (0.0, 0.0)",
        "sheet 1, cut 2: at x = 2000.00 it does not divide the piece 2000.0 x 1000.0 at (0.0, 0.0)",
        "sheet 1, cut 3: at z = 500.00 it does not divide the piece 2000.0 x 1000.0 at (0.0, 0.0)",
        "sheet 1, cut 4: there is no piece 9.0 x 9.0 at (0.0, 0.0) to cut",
    ]


@pytest.mark.parametrize(
    ("axis", "piece", "length"),
    [
        ("y", WHOLE, 2000.0),
        ("y", (800.0, 0.0, 2000.0, 1000.0), 1200.0),
        ("x", (0.0, 200.0, 2000.0, 1000.0), 800.0),
    ],
)
def test_a_cut_is_as_long_as_its_piece_is_wide_there(axis: str, piece: Rect, length: float) -> None:
    first = [] if piece == WHOLE else [("x", 800.0, WHOLE) if piece[0] else ("y", 200.0, WHOLE)]
    for longest, fault in ((length, False), (length - 0.01, True)):
        hand = sheet_of({}, *first, (axis, 600.0 if axis == "y" else 900.0, piece), shear_length=longest)
        told = [each for each in faults(hand) if f"cut {len(first) + 1}: {length:.1f} long" in each]
        assert bool(told) is fault


def test_only_a_shear_has_a_longest_cut() -> None:
    cuts = (("y", 400.0, WHOLE), ("x", 700.0, (0.0, 0.0, 2000.0, 400.0)))
    assert faults(sheet_of({}, *cuts, shear_length=100.0, method=CutMethod.HAND)) == []
    assert len(faults(sheet_of({}, *cuts, shear_length=100.0))) == 2


def test_a_sheet_cut_by_hand_in_no_order_is_not_judged() -> None:
    part = {"a": (10.0, 10.0, 90.0, 90.0)}
    assert faults(sheet_of(part, method=CutMethod.HAND)) == []
    assert len(faults(sheet_of(part))) == 1


def test_a_kerf_lies_past_its_line_and_before_it_where_a_part_begins_there() -> None:
    past = {"a": (0.0, 0.0, 800.0, 1000.0), "b": (805.0, 0.0, 2000.0, 1000.0)}
    assert faults(sheet_of(past, ("x", 800.0, WHOLE), kerf=5.0)) == []
    before = {"a": (0.0, 0.0, 795.0, 1000.0), "b": (800.0, 0.0, 2000.0, 1000.0)}
    assert faults(sheet_of(before, ("x", 800.0, WHOLE), kerf=5.0)) == []
    level = {"a": (0.0, 0.0, 2000.0, 395.0), "b": (0.0, 400.0, 2000.0, 1000.0)}
    assert faults(sheet_of(level, ("y", 400.0, WHOLE), kerf=5.0, shear_length=None)) == []
    # 4 mm between two parts are no room for a kerf of 5 on either side of the line: it is taken past it
    tight = {"a": (0.0, 0.0, 796.0, 1000.0), "b": (800.0, 0.0, 2000.0, 1000.0)}
    assert (
        faults(sheet_of(tight, ("x", 800.0, WHOLE), kerf=5.0))[0] == "sheet 1, cut 1: it runs through part b"
    )


def test_a_kerf_at_the_rim_removes_no_more_than_there_is() -> None:
    rim = {"a": (0.0, 0.0, 1997.0, 1000.0)}
    assert faults(sheet_of(rim, ("x", 1997.0, WHOLE), kerf=5.0)) == []
    low = {"a": (3.0, 0.0, 2000.0, 1000.0)}
    assert faults(sheet_of(low, ("x", 3.0, WHOLE), kerf=5.0)) == []
    top = {"a": (0.0, 0.0, 2000.0, 997.0)}
    assert faults(sheet_of(top, ("y", 997.0, WHOLE), kerf=5.0, shear_length=None)) == []


@pytest.mark.parametrize(
    ("offcut", "inside"),
    [
        (Offcut(800, 0, 1200, 400), True),
        (Offcut(900, 100, 200, 200), True),
        (Offcut(799, 0, 1200, 400), False),
        (Offcut(800, -1, 1200, 400), False),
        (Offcut(800, 0, 1201, 400), False),
        (Offcut(800, 0, 1200, 401), False),
        (Offcut(0, 0, 900, 300), False),
    ],
)
def test_an_offcut_lies_in_one_piece(offcut: Offcut, inside: bool) -> None:
    job, plan = sheet_of({}, *RIGHT_PAIR_CUTS)
    sheets = (replace(plan.sheets[0], offcuts=(Offcut(0, 0, 800, 1000), offcut)),)
    told = [] if inside else ["sheet 1, offcut 2: the cuts go through it"]
    assert faults(HandPlan(job, replace(plan, sheets=sheets))) == told
