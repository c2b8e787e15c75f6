"""Names of panels and strips: short, plain, and never twice."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from nesting.job import Hand
from nesting.plan import Panel
from nesting.plans.naming import named, side_marks, strip_names


def test_sides_are_marked_by_their_first_letter_where_that_is_enough() -> None:
    assert side_marks(["driver side", "passenger side", "rear"]) == {
        "driver side": "D",
        "passenger side": "P",
        "rear": "R",
    }


def test_sides_with_one_initial_are_marked_by_more_letters() -> None:
    assert side_marks(["driver side", "door side"]) == {"driver side": "DR", "door side": "DO"}
    assert side_marks(["rear left", "rear right"]) == {"rear left": "RL", "rear right": "RR"}


def test_names_without_letters_still_get_a_mark() -> None:
    assert side_marks(["  -  "]) == {"  -  ": "S"}
    assert side_marks(["1", "2"]) == {"1": "S2-", "2": "S3-"}


def test_marks_are_letters_that_every_font_has() -> None:
    assert side_marks(["Échelle", "左側"]) == {"Échelle": "E", "左側": "S"}


def test_panel_never_takes_the_name_of_a_patch() -> None:
    assert side_marks(["driver side"], ["d1"]) == {"driver side": "DS"}
    assert side_marks(["driver side"], ["D", "1"]) == {"driver side": "D"}


def test_strip_never_takes_the_name_of_a_patch() -> None:
    names = strip_names(["Backing strip 1", "hatch"])
    assert [next(names), next(names)] == ["backing strip 2", "backing strip 3"]


def test_panels_are_numbered_from_the_left_and_from_below() -> None:
    places = [(3, 1), (1, 2), (1, 1)]
    panels = [Panel("", "side", Hand.LEFT, bay, bay, row, row, outline=()) for bay, row in places]
    assert [(p.name, p.first_bay, p.first_row) for p in named(panels, "D")] == [
        ("D1", 1, 1), ("D2", 1, 2), ("D3", 3, 1)
    ]  # fmt: skip


NAMES = st.text(st.sampled_from("ab12 -#É"), max_size=6)


@given(
    st.lists(NAMES, unique_by=str.casefold, max_size=6),
    st.lists(NAMES | st.sampled_from(["A1", "s2-1", "ab12"])),
)
def test_no_two_panels_patches_or_copies_share_a_name(sides: list[str], patches: list[str]) -> None:
    marks = side_marks(sides, patches)
    panels = [f"{mark}{number}" for mark in marks.values() for number in range(1, 130)]
    assert len({name.casefold() for name in panels}) == len(panels)
    parts = {name.casefold() for patch in patches for name in (patch, f"{patch}#1")}
    assert parts.isdisjoint(name.casefold() for name in panels)
