"""Tape readings of four-sided bays: the shape they give, what they contradict, what a sum may be off by."""

from __future__ import annotations

from dataclasses import replace
from math import acos, dist, hypot, pi
from random import Random

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from nesting.readings import SPANS, Beside, Corners, TapeReadings, length_of
from nesting.taping.accuracy import TapeClass, closing, reading_error, tape_error
from nesting.taping.adjusting import ASSUMED, UNCHECKED, adjust
from nesting.taping.faults import doubt_text, impossible
from nesting.taping.quadrilaterals import is_convex, nearest_to_square
from shared.units import round_length
from tests.taped_bays import (
    INCH,
    SQUARE,
    changed,
    convex_shapes,
    corners_apart,
    even_bays,
    readings_of,
    taped,
)

# The shape


def test_exact_readings_of_a_rectangle_give_it_without_a_remark() -> None:
    found = adjust(SQUARE)
    assert corners_apart(found.corners, ((0, 0), (400, 0), (400, 300), (0, 300))) == 0
    assert [fit.residual for fit in found.fits] == [0] * 6
    assert (found.redundancy, found.excess, found.exceeds) == (1, 0, False)
    assert (found.assumption, found.unchecked, doubt_text(found)) == (None, None, None)


@given(convex_shapes())
def test_exact_readings_give_the_shape_back(corners: Corners) -> None:
    readings = readings_of(corners)
    assert impossible(readings) == ()
    found = adjust(readings)
    assert corners_apart(found.corners, corners) < 1e-6
    assert found.doubt is None


@given(convex_shapes(), st.sampled_from(["diagonal_rising", "diagonal_falling"]))
def test_one_diagonal_gives_the_shape_and_no_check(corners: Corners, left_out: str) -> None:
    exact = readings_of(corners).lengths()
    readings = TapeReadings(**{key: length for key, length in exact.items() if key != left_out}, units="in")
    assert impossible(readings) == ()
    found = adjust(readings)
    assert corners_apart(found.corners, corners) < 1e-6
    assert (found.redundancy, found.doubt, found.unchecked) == (0, None, UNCHECKED)
    assert [fit.shows_from for fit in found.fits] == [None] * 5


@given(taped(convex_shapes(), 0.5))
def test_no_shape_nearby_agrees_better_with_the_readings(readings: TapeReadings) -> None:
    assume(not impossible(readings))
    found = adjust(readings)
    least = misfit(readings, found.corners)
    for corner in range(1, 4):
        for dx, dy in ((1e-3, 0), (-1e-3, 0), (0, 1e-3), (0, -1e-3)):
            moved = list(found.corners)
            moved[corner] = (moved[corner][0] + dx, moved[corner][1] + dy)
            assert misfit(readings, (moved[0], moved[1], moved[2], moved[3])) >= least - 1e-12


def misfit(readings: TapeReadings, corners: Corners) -> float:
    """Sum of squared differences, each in units of its reading's largest error."""
    return sum(
        ((length_of(key, corners) - length) / reading_error(length, readings.units)) ** 2
        for key, length in readings.lengths().items()
    )


def test_what_is_left_over_is_shared_by_all_six_readings() -> None:
    # 3-4-5 with both diagonals 1 mm long: all readings weigh alike, and the check is
    # 400 (top + bottom) + 300 (left + right) - 500 (both diagonals) = 1000 too little, squares 10^6 in all.
    found = adjust(replace(SQUARE, diagonal_rising=501, diagonal_falling=501))
    for fit in found.fits:
        share = {400: 0.4, 300: 0.3, 501: -0.5}[round(fit.read)]
        assert fit.residual == pytest.approx(share, abs=2e-3)
        assert abs(fit.standardised) == pytest.approx(found.excess, rel=1e-3)
    error = hypot(0.5, 1.0)
    assert found.excess == pytest.approx(1 / error, rel=2e-3)
    assert not found.exceeds


# Without a diagonal


def test_four_sides_alone_are_taken_as_near_to_square_as_they_allow() -> None:
    rectangle = adjust(TapeReadings(711.2, 711.2, 1003.3, 1003.3))
    assert corners_apart(rectangle.corners, ((0, 0), (711.2, 0), (711.2, 1003.3), (0, 1003.3))) == 0
    assert rectangle.assumption == ASSUMED
    assert rectangle.lean_errors is None
    trapezium = adjust(TapeReadings(340, 400, 300, 300, units="mm"))
    height = (300**2 - 30**2) ** 0.5
    assert corners_apart(trapezium.corners, ((0, 0), (400, 0), (370, height), (30, height))) < 1e-5


@given(convex_shapes())
def test_no_other_diagonal_brings_the_corners_nearer_to_square(corners: Corners) -> None:
    sides = {key: length_of(key, corners) for key in ("top", "bottom", "left", "right")}
    found = nearest_to_square(sides)
    assert found is not None
    for key, length in sides.items():
        assert length_of(key, found) == pytest.approx(length, abs=1e-6)
    assert leaning(found) <= leaning(corners) + 1e-9


def leaning(corners: Corners) -> float:
    """Sum of squared deviations from right angles, from the corners alone."""
    total = 0.0
    for i in range(4):
        (x0, y0), (x, y), (x1, y1) = corners[i - 1], corners[i], corners[(i + 1) % 4]
        cosine = ((x0 - x) * (x1 - x) + (y0 - y) * (y1 - y)) / dist((x0, y0), (x, y)) / dist((x1, y1), (x, y))
        total += (pi / 2 - acos(max(-1.0, min(1.0, cosine)))) ** 2
    return total


# Doubts


@given(taped(even_bays(), 0.4))
def test_errors_within_the_tapes_class_raise_no_doubt(readings: TapeReadings) -> None:
    # six errors of 0.4 of the largest add up to 0.98 of what their squares add up to, at worst
    assert adjust(readings).doubt is None


def test_bays_read_to_the_sixteenth_with_any_error_the_class_allows_are_seldom_doubted() -> None:
    chance = Random(1)
    doubted = 0
    for _ in range(300):
        width, height = chance.uniform(500, 1000), chance.uniform(600, 1900)
        a, b, c, d = (chance.uniform(-6, 6) for _ in range(4))
        exact = readings_of(((0, 0), (width, 0), (width + a, height + b), (c, height + d))).lengths()
        off = {key: length + chance.uniform(-1, 1) * tape_error(length) for key, length in exact.items()}
        readings = TapeReadings(
            **{key: round_length(length, "in") for key, length in off.items()}, units="in"
        )
        doubted += adjust(readings).exceeds
    assert doubted <= 6


@given(taped(even_bays(), 0.3), st.sampled_from(sorted(SPANS)), st.sampled_from([INCH, -INCH]))
def test_a_reading_an_inch_off_is_always_noticed_and_doubted(
    readings: TapeReadings, key: str, slip: float
) -> None:
    found = adjust(changed(readings, key, slip))
    assert found.doubt is not None
    (suspect,) = [suspect for suspect in found.doubt.suspects if suspect.key == key]
    assert suspect.should_read == pytest.approx(readings.lengths()[key], abs=10)


@given(convex_shapes(), st.sampled_from(sorted(SPANS)), st.floats(-0.2, 0.2))
def test_a_wrong_reading_is_among_the_candidates_with_its_true_length(
    corners: Corners, key: str, share: float
) -> None:
    wrong = changed(readings_of(corners), key, share * length_of(key, corners))
    assume(not impossible(wrong))
    found = adjust(wrong)
    assume(found.doubt is not None)
    assert found.doubt is not None
    true = {suspect.key: suspect.should_read for suspect in found.doubt.candidates}[key]
    assert true == pytest.approx(length_of(key, corners), abs=1e-6)


@pytest.mark.parametrize("key", sorted(SPANS))
def test_in_an_even_bay_the_wrong_reading_is_named_with_what_it_should_be(key: str) -> None:
    found = adjust(changed(SQUARE, key, 25))
    assert found.doubt is not None
    assert found.doubt.named is not None
    assert found.doubt.named.key == key
    text = doubt_text(found)
    right = SQUARE.lengths()[key]
    assert text is not None
    assert f"most likely wrong is {key}, {right + 25:g} mm (about {right:g} mm by the others)" in text
    assert "measure it again before cutting" in text


def test_where_it_cannot_be_told_which_reading_is_wrong_all_suspects_are_listed() -> None:
    # 28 and 28 1/4, 39 1/2 and 39, 48 3/8 and 48 1/2 in: the diagonals of such sides are about 48 1/4 in
    read = zip(SPANS, (28, 28.25, 39.5, 39, 48.375, 48.5), strict=True)
    found = adjust(TapeReadings(**{key: inches * INCH for key, inches in read}, units="in"))
    assert found.doubt is not None
    assert found.doubt.named is None
    assert len(found.doubt.suspects) > 1
    text = doubt_text(found)
    assert text is not None
    for suspect in found.doubt.suspects:
        assert suspect.key in text
    assert "cannot be told which" in text


@pytest.mark.parametrize("key", sorted(SPANS))
def test_a_slip_no_greater_than_what_bays_are_uneven_by_names_no_single_reading(key: str) -> None:
    found = adjust(changed(SQUARE, key, 5))
    assert found.doubt is not None
    assert found.doubt.named is None
    assert found.doubt.candidates[0].key == key


def test_heights_next_door_show_which_height_is_wrong() -> None:
    # The upper edge really falls by 15 mm from left to right, the left height was read 12 mm short.  By itself
    # the bay is most even with another diagonal; the neighbours say that their upper edges fall likewise.
    bay: Corners = ((0, 0), (700, 0), (700, 1000), (0, 1015))
    wrong = changed(readings_of(bay, "mm"), "left", -12)
    alone, known = adjust(wrong).doubt, adjust(wrong, beside=Beside(left=1017, right=998)).doubt
    assert alone is not None
    assert alone.candidates[0].key == "diagonal_falling"
    assert known is not None
    assert known.named is not None
    assert known.named.key == "left"
    assert known.named.should_read == pytest.approx(1015)


def test_a_better_tape_explains_less() -> None:
    readings = replace(SQUARE, diagonal_rising=501.1, diagonal_falling=501.1)
    assert not adjust(readings, TapeClass.THIRD).exceeds
    assert adjust(readings, TapeClass.FIRST).exceeds


@pytest.mark.parametrize("key", sorted(SPANS))
def test_a_slip_shows_from_the_size_that_is_told(key: str) -> None:
    shows_from = {fit.key: fit.shows_from for fit in adjust(SQUARE).fits}[key]
    assert shows_from is not None
    assert not adjust(changed(SQUARE, key, 0.97 * shows_from)).exceeds
    assert adjust(changed(SQUARE, key, 1.03 * shows_from)).exceeds


# Readings that no opening has


@pytest.mark.parametrize(
    ("readings", "key", "says"),
    [
        (
            replace(SQUARE, diagonal_rising=700),
            "diagonal_rising",
            "bottom and right together reach only 700 mm",
        ),
        (replace(SQUARE, diagonal_falling=99), "diagonal_falling", "left and bottom alone differ by 100 mm"),
        (TapeReadings(400, 1000, 300, 300, units="mm"), "bottom", "together reach only 1000 mm"),
        (TapeReadings(300, 300, 700, 300, 390, units="mm"), "diagonal_rising", "left and top alone differ"),
        (TapeReadings(100, 400, 300, 300, 110, units="mm"), "diagonal_rising", "left and top alone differ"),
        (TapeReadings(200, 400, 300, 400, 110, units="mm"), "diagonal_rising", "upper right"),
        (
            TapeReadings(500, 500, 500, 300, 300, 300, units="mm"),
            "diagonal_rising",
            "make no opening together",
        ),
        (TapeReadings(500, 500, 500, 600, 500, 300, units="mm"), "diagonal_falling", "about 919.5 mm"),
    ],
)
def test_readings_that_no_opening_has_are_told(readings: TapeReadings, key: str, says: str) -> None:
    ((found, message),) = impossible(readings)
    assert found == key
    assert says in message
    assert "measure" in message


@pytest.mark.parametrize("longest", ["top", "bottom", "left", "right"])
def test_sides_that_do_not_close_cannot_be_adjusted(longest: str) -> None:
    sides = {"top": 300.0, "bottom": 300.0, "left": 300.0, "right": 300.0, longest: 900.0}
    readings = TapeReadings(**sides, units="mm")
    assert [key for key, _ in impossible(readings)] == [longest]
    with pytest.raises(ValueError, match="no four-sided opening"):
        adjust(readings)


def test_a_reading_that_is_missing_or_zero_is_told_elsewhere() -> None:
    assert impossible(replace(SQUARE, top=float("nan"))) == ()
    assert impossible(replace(SQUARE, diagonal_rising=0.0)) == ()


@given(*[st.floats(50, 1500)] * 4, *[st.none() | st.floats(50, 2000)] * 2)
@example(*[50.0] * 6)  # two triangles on the same edge: the corners that they give lie on one another
def test_any_readings_either_give_an_opening_or_are_impossible(
    top: float, bottom: float, left: float, right: float, rising: float | None, falling: float | None
) -> None:
    readings = TapeReadings(top, bottom, left, right, rising, falling)
    found = impossible(readings)
    if found:
        assert {key for key, _ in found} <= set(readings.lengths())
    else:
        assert is_convex(adjust(readings).corners)


# The sum


def test_bays_and_posts_are_added_up_against_the_overall_length() -> None:
    fits = closing([700, 700], [50], 1451, "mm")
    assert (fits.total, fits.off, fits.closes, fits.far_off) == (1450, 1, True, False)
    # three readings of 0.5 mm tape error, one of 0.7, each read to 1 mm
    assert fits.explained == pytest.approx((3 * (0.5**2 + 1) + 0.7**2 + 1) ** 0.5)
    less = closing([700, 700], [50], 1440, "mm")
    assert (less.off, less.closes, less.far_off) == (-10, False, False)
    assert closing([700, 700], [50], 1450 + 700, "mm").far_off
