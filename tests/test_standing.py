"""How four-sided bays stand in a row, and posts that do not come out straight."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.outline import signed_area
from nesting.readings import SPANS, Adjusted, Corners, TapeReadings, length_of
from nesting.taping.accuracy import reading_error
from nesting.taping.adjusting import adjust
from nesting.taping.standing import lean_mismatch, mismatch_text, row, standing
from tests.taped_bays import corners_apart, even_bays, readings_of


def square_bay(lean: float = 0.0) -> Adjusted:
    """400 x 300, both posts leaning alike."""
    return adjust(readings_of(((0, 0), (400, 0), (400 + lean, 300), (lean, 300)), "mm"))


def test_a_bay_stands_on_a_level_lower_edge_unless_told_otherwise() -> None:
    stood = standing(square_bay(lean=6), x=1000, sill_left=50)
    expected = [(1000, 50, 0), (1400, 50, 0), (1406, 350, 0), (1006, 350, 0)]
    assert list(stood.ring) == expected
    assert stood.lean_left == stood.lean_right == pytest.approx(6)
    assert signed_area(stood.ring) > 0
    # 240 up over 320 along is the 3-4-5 triangle: the bay turns with its lower edge
    turned = standing(square_bay(), x=0, sill_left=0, sill_right=240)
    assert corners_apart(turned.corners, ((0, 0), (320, 240), (140, 480), (-180, 240))) < 1e-6


def test_the_next_bay_starts_a_post_to_the_right_of_the_lower_right_corner() -> None:
    stood = row([square_bay(6), square_bay(), square_bay()], posts=[50, 40])
    assert [bay.corners[0] for bay in stood] == [(0, 0), (450, 0), (890, 0)]


@given(st.lists(even_bays(), min_size=2, max_size=4))
def test_a_row_of_bays_keeps_every_length_and_every_post(bays: list[Corners]) -> None:
    posts = [50.0 + number for number in range(len(bays) - 1)]
    stood = row([adjust(readings_of(bay)) for bay in bays], posts, sills=[(10.0, 14.0)] * len(bays))
    for bay, exact in zip(stood, bays, strict=True):
        for key in SPANS:
            assert length_of(key, bay.corners) == pytest.approx(length_of(key, exact), abs=1e-6)
    for post, (left, right) in zip(posts, pairwise(stood), strict=True):
        assert right.corners[0][0] - left.corners[1][0] == pytest.approx(post)


def test_posts_that_lean_alike_match() -> None:
    assert lean_mismatch(row([square_bay(20), square_bay(20)], [50])) == ()


def test_a_post_that_would_taper_is_told_with_its_bays() -> None:
    (found,) = lean_mismatch(row([square_bay(), square_bay(), square_bay(12)], [50, 50]))
    assert (found.bay, found.foot) == (2, 50)
    assert found.head == pytest.approx(62)
    assert found.explained is not None
    assert 0 < found.explained < 12
    text = mismatch_text(found, "mm")
    start = "bays 2 and 3: by their readings the post between them, 50 mm wide at its foot, is 12 mm wider at its top"
    assert text.startswith(start)
    assert "measure both again" in text


def test_a_lean_that_was_only_assumed_is_not_held_against_a_post() -> None:
    assumed = adjust(TapeReadings(400, 400, 300, 300, units="mm"))
    assert lean_mismatch(row([assumed, square_bay(12)], [50])) == ()


def test_openings_that_run_into_one_another_are_told_in_any_case() -> None:
    assumed = adjust(TapeReadings(400, 400, 300, 300, units="mm"))
    (found,) = lean_mismatch(row([assumed, square_bay(-60)], [50]))
    assert found.crosses
    assert "bays 1 and 2 would run into one another" in mismatch_text(found, "mm")


def test_a_post_that_tapers_by_no_more_than_tape_and_level_leave_is_silent() -> None:
    # 3 mm in 400 out of level is 2.25 mm over 300 up, for each bay
    assert lean_mismatch(row([square_bay(), square_bay(3)], [50])) == ()
    narrower = lean_mismatch(row([square_bay(8), square_bay()], [50]))
    assert "is 8 mm narrower at its top" in mismatch_text(narrower[0], "mm")


def test_a_post_is_judged_only_where_both_bays_are_beside_it() -> None:
    # the second bay stands above the first: no height has both
    stood = row([square_bay(), square_bay(20)], [50], sills=[(0, 0), (300, 300)])
    assert lean_mismatch(stood) == ()


@pytest.mark.parametrize("left_out", [None, "diagonal_rising", "diagonal_falling"])
def test_the_lean_may_be_off_by_what_each_reading_s_error_does_to_it(left_out: str | None) -> None:
    exact = readings_of(((0, 0), (700, 0), (705, 1000), (-8, 990)))
    lengths = {key: length for key, length in exact.lengths().items() if key != left_out}
    found = adjust(TapeReadings(**lengths, units="in"))
    assert found.lean_errors is not None
    before, squares = standing(found), [0.0, 0.0]
    for key, length in lengths.items():
        tenth = reading_error(length, "in") / 10
        after = standing(adjust(TapeReadings(**{**lengths, key: length + tenth}, units="in")))
        squares[0] += (10 * (after.lean_left - before.lean_left)) ** 2
        squares[1] += (10 * (after.lean_right - before.lean_right)) ** 2
    assert found.lean_errors == pytest.approx([square**0.5 for square in squares], rel=1e-2)
