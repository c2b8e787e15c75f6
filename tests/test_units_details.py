"""Lengths in detail: limits met exactly, what a refusal says, superscripts, noise at a half."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import LengthError
from shared.units import SNAP_MM, format_feet, format_length, parse_length, to_solver_down, to_solver_up

INCH = 25.4
SUPERSCRIPTS = str.maketrans("0123456789", "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079")
SUBSCRIPTS = str.maketrans("0123456789", "\u2080\u2081\u2082\u2083\u2084\u2085\u2086\u2087\u2088\u2089")


def refusal(reading: str | float, default: str) -> str:
    with pytest.raises(LengthError) as refused:
        parse_length(reading, default)
    return refused.value.remedy


@given(st.integers(0, 99), st.integers(1, 63))
def test_a_fraction_in_small_figures_is_read_whatever_its_number_of_digits(whole: int, above: int) -> None:
    printed = f"{above}".translate(SUPERSCRIPTS) + "\u2044" + "64".translate(SUBSCRIPTS)
    assert parse_length(f"{printed} in", "mm") == parse_length(f"{above}/64 in", "mm")
    assert parse_length(f"{whole}{printed} in", "mm") == parse_length(f"{whole} {above}/64 in", "mm")


def test_a_printed_one_over_does_not_run_into_the_number_before_it() -> None:
    assert parse_length("28\u215f8", "in") == 714.375


def test_readings_of_eighty_characters_are_read_and_longer_ones_are_not() -> None:
    assert parse_length("28" + " " * 78, "in") == 711.2
    assert "no length" in refusal("28" + " " * 79, "in")


def test_a_comma_is_doubtful_as_long_as_either_meaning_is_a_vehicle() -> None:
    assert "100.000 or 100000" in refusal("100,000", "mm")
    assert parse_length("100,001", "mm") == 100.001


@pytest.mark.parametrize("reading", ["-0.5 mm", "-1/64 in", -0.5, "-0.001"])
def test_a_little_less_than_nothing_is_negative(reading: str | float) -> None:
    assert "negative" in refusal(reading, "mm")


def test_a_decimal_in_inches_is_the_one_that_was_written() -> None:
    # the float nearest to 0.7 is a little less than 0.7, and 25.4 times that is nearest to another float than 17.78
    assert parse_length(0.7, "in") == parse_length("0.7", "in") == 17.78


@pytest.mark.parametrize(
    ("reading", "default", "says"),
    [
        ("28 3/8", "mm", "a bare number is in mm here; write 28 3/8 in or 28.375 mm"),
        ("28 3/8 mm", "mm", "mm are read in decimals; write 28 3/8 in or 28.375 mm"),
        ("28 3/8 mm", "in", "mm are read in decimals; write 28 3/8 in or 28.375 mm"),
        ("28 3/8 cm", "mm", "cm are read in decimals; write 28 3/8 in or 28.375 cm"),
        ("3/8 mm", "mm", "write 3/8 in or 0.375 mm"),
        ("1/2 ft", "in", "it would be 6 in; write 1/2 in or 6 in"),
        ("3 ft 12 in", "in", "less than 12; write 4' 0\" or 48 in"),
        ("about 2.5", "in", "this is no length"),
        ("about 2,5", "in", "this is no length"),
    ],
)
def test_a_refusal_says_which_rule_and_what_to_write(reading: str, default: str, says: str) -> None:
    assert says in refusal(reading, default)


def test_a_half_but_for_float_noise_is_a_half() -> None:
    assert format_length(0.25 - 0.8 * SNAP_MM, "mm") == "0.5"
    assert format_length(0.25 - 1.5 * SNAP_MM, "mm") == "0"


def test_less_than_a_step_below_nothing_is_printed_with_its_sign() -> None:
    assert format_length(-0.4, "mm") == "-0.5"
    assert format_length(-INCH / 16, "in") == "-1/16"
    assert format_feet(-INCH) == '-1"'
    assert format_feet(-INCH / 16) == '-1/16"'


def test_nothing_has_no_sign() -> None:
    assert (format_length(0.0, "in"), format_feet(0.0)) == ("0", '0"')


def test_noise_of_just_the_snap_counts_as_nothing() -> None:
    assert (to_solver_up(SNAP_MM), to_solver_down(-SNAP_MM)) == (0, 0)
