"""A side as lines of text: the right bays, names and seams, never wider than asked."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.documents.textview import Tone, columns, marks_used, shortened, side_text
from nesting.job import Bay
from nesting.plan import PlannedJob
from tests import hand_plans
from tests.drawn import planned
from tests.hand_plans import ALL, DRIVER, HandPlan
from tests.long_plan import SIDE, long_plan, renamed
from tests.test_printed import ODD_NAMES


def drawn(plan: PlannedJob, width: int = 79, ascii_only: bool = True) -> list[str]:
    return [
        "".join(run.text for run in line)
        for side in plan.job.sides
        for line in side_text(plan, side, width, ascii_only)
    ]


def test_two_panels_side_by_side_have_one_line_between_them() -> None:
    assert drawn(planned(hand_plans.two_panels())) == [
        "driver side, front on the left",
        "        1           2",
        "  +-----------+-----------+",
        "  |    D1     |    D2     |",
        "  +-----------+-----------+",
    ]


def test_a_post_under_a_panel_is_dotted() -> None:
    first, *_ = side_text(planned(hand_plans.one_panel()), hand_plans.side(), 79, True)
    assert first[0].text == "driver side"
    lines = drawn(long_plan())
    assert lines[3] == "  |     :     D1     :     |      :    D2!    :      |     :     D3     :     |"


def test_four_corners_meet_in_a_cross_and_the_lower_row_stands_below() -> None:
    lines = drawn(planned(hand_plans.four_corners()), ascii_only=False)
    assert lines[2:] == [
        "  ┌───────────┬───────────┐",
        "  │    D3     │    D4     │",
        "  ├───────────┼───────────┤",
        "  │    D1     │    D2     │",
        "  └───────────┴───────────┘",
    ]


def staggered() -> PlannedJob:
    """Two panels above, one over both bays below."""
    plan = planned(hand_plans.four_corners())
    low, _, left, right = sorted(plan.plan.panels, key=lambda panel: panel.name)
    panels = (replace(low, last_bay=2), left, right)
    return replace(plan, plan=replace(plan.plan, panels=panels))


def test_a_seam_that_ends_on_another_is_a_branch() -> None:
    assert drawn(staggered(), ascii_only=False)[2:] == [
        "  ┌───────────┬───────────┐",
        "  │    D3     │    D4     │",
        "  ├───────────┴───────────┤",
        "  │          D1           │",
        "  └───────────────────────┘",
    ]
    assert drawn(staggered())[4] == "  +-----------+-----------+"


def test_a_panel_through_both_rows_has_its_name_in_the_middle() -> None:
    plan = planned(hand_plans.four_corners())
    low, right, left, _ = sorted(plan.plan.panels, key=lambda panel: panel.name)
    plan = replace(plan, plan=replace(plan.plan, panels=(low, left, replace(right, last_row=2))))
    assert drawn(plan)[2:] == [
        "  +-----------+-----------+",
        "  |    D3     |           |",
        "  +-----------+    D2     |",
        "  |    D1     |           |",
        "  +-----------+-----------+",
    ]


def test_rows_that_no_panel_tells_apart_are_one() -> None:
    plan = planned(hand_plans.one_panel())
    (whole,) = plan.plan.panels
    tall = replace(plan, plan=replace(plan.plan, panels=(replace(whole, last_row=3),)))
    assert drawn(tall) == drawn(plan)


def test_what_is_doubtful_or_cut_is_marked_and_the_marks_are_explained() -> None:
    plan = long_plan()
    assert marks_used(plan) == ("! measure again before cutting",)
    tones = {run.text: run.tone for line in side_text(plan, plan.job.sides[0]) for run in line}
    assert (tones["D2!"], tones["D1"]) == (Tone.DOUBT, Tone.NAME)
    panels = (replace(plan.plan.panels[0], cut=True), *plan.plan.panels[1:])
    cut = replace(plan, plan=replace(plan.plan, panels=panels))
    assert "(D1)" in drawn(cut)[3]
    assert marks_used(cut)[1:] == ("( ) cut already",)
    assert marks_used(planned(hand_plans.two_panels())) == ()


def test_wider_bays_take_more_columns() -> None:
    plan = planned(hand_plans.two_panels())
    wide = hand_plans.side(bays=(Bay(600.0, 500.0), Bay(1200.0, 500.0)))
    plan = replace(plan, job=replace(plan.job, sides=(wide,)))
    assert drawn(plan)[2] == "  +-------+---------------+"


def many(bays: int) -> PlannedJob:
    """One panel over all bays of a side."""
    plan = planned(hand_plans.one_panel())
    (whole,) = plan.plan.panels
    long = hand_plans.side(bays=(Bay(600.0, 500.0),) * bays, posts=(50.0,) * (bays - 1))
    return replace(
        plan,
        job=replace(plan.job, sides=(long,)),
        plan=replace(plan.plan, panels=(replace(whole, last_bay=bays),)),
    )


def test_more_bays_than_there_is_room_for_go_on_below_with_open_ends() -> None:
    lines = drawn(many(30))
    numbers = [line.split() for line in (lines[1], lines[5])]
    assert [int(n) for row in numbers for n in row] == list(range(1, 31))
    assert [line.count("|") for line in (lines[3], lines[7])] == [1, 1]
    assert lines[3].startswith("  |")
    assert lines[7].endswith("|")


@pytest.mark.parametrize("ascii_only", [True, False])
@pytest.mark.parametrize("hand", ALL, ids=lambda hand: hand.__name__)
def test_no_line_is_wider_than_asked(hand: type[HandPlan], ascii_only: bool) -> None:
    for width in (40, 79):
        assert all(columns(line) <= width for line in drawn(planned(hand()), width, ascii_only))


@pytest.mark.parametrize("bays", [1, 19, 20, 57, 120])
def test_any_number_of_bays_keeps_to_the_width(bays: int) -> None:
    assert max(map(len, drawn(many(bays)))) <= 79


@settings(deadline=None, max_examples=30)
@given(st.text(max_size=60), st.text(max_size=120), st.booleans())
def test_any_name_keeps_to_its_place(name: str, side: str, ascii_only: bool) -> None:
    plan = renamed(long_plan(), {"D2": name or "-", SIDE: side or "-"})
    head, _numbers, top, middle, foot = drawn(plan, 79, ascii_only)
    assert columns(head) <= 79
    assert columns(top) == columns(middle) == columns(foot)
    assert not ascii_only or (head + middle).isascii()


def test_odd_names_are_cut_off_and_keep_no_control_signs() -> None:
    text = "\n".join(drawn(renamed(long_plan(), {**ODD_NAMES, "D3": "D3\x1b[31m\n"}), 79, True))
    assert "Vorderes Paneel xxxxxxx~" in text
    assert "\x1b" not in text


def test_wide_signs_take_two_columns_and_marks_over_letters_none() -> None:
    assert [columns(text) for text in ("D1", "屋根", "e\u0301")] == [2, 4, 1]
    assert shortened("屋根屋根", 6, ascii_only=False) == "屋根…"
    assert shortened("abc", 3, ascii_only=True) == "abc"
    assert shortened("abcd", 3, ascii_only=True) == "ab~"


def test_a_side_without_panels_of_its_own_is_not_mixed_up_with_another() -> None:
    plan = planned(hand_plans.two_panels())
    other = replace(hand_plans.side(), name="passenger side")
    lines = ["".join(run.text for run in line) for line in side_text(plan, other, 79, True)]
    assert DRIVER not in "\n".join(lines)
    assert "D1" not in "\n".join(lines)
