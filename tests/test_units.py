"""Lengths: what a tape reading may look like, how lengths are printed, and the solver's whole units."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.errors import LengthError, PlannerError
from shared.units import (
    LONGEST_MM,
    SNAP_MM,
    UNITS_PER_MM,
    Direction,
    format_feet,
    format_length,
    from_solver,
    parse_length,
    round_length,
    to_solver_down,
    to_solver_up,
)

INCH = 25.4
DIRECTIONS: tuple[Direction, ...] = ("nearest", "down", "up")

sixty_fourths = st.integers(0, 64 * 1000)
lengths = st.floats(0, 20_000, allow_nan=False)


@pytest.mark.parametrize(
    "reading",
    [
        "28 3/8",
        '28-3/8"',
        "28 3/8 in",
        "28 3/8in.",
        "28 3/8 inches",
        "28.375",
        "28,375",
        "2' 4 3/8\"",
        "2'-4 3/8\"",
        "2' - 4 3/8''",
        "2'4 3/8",
        "2ft 4.375in",
        "2 FT, 4.375 IN",
        "2 feet 4 3/8 inches",
        "28\u215c",
        "28 \u215c\u2033",
        "2\u2032 4\u215c\u2033",
        "2\u2019 4 3/8\u201d",
        "28\u20093/8",
        "28\u202f3\u20448 in",
        "28\u00a03\u22158",
        "28\u00b3\u2044\u2088",
        "28\u20113/8",
        "  28   3 / 8  ",
        "720.725mm",
        "72.0725 cm",
        "0.720725 m",
        28.375,
    ],
)
def test_every_way_to_write_a_reading_gives_the_same_length(reading: str | float) -> None:
    assert parse_length(reading, "in") == 720.725


@pytest.mark.parametrize(
    ("reading", "unit", "mm"),
    [
        (28, "in", 711.2),
        ("28", "mm", 28.0),
        ("721mm", "in", 721.0),
        ("0.721 m", "in", 721.0),
        ("72.1 cm", "mm", 721.0),
        ("721,5", "mm", 721.5),
        ("0,721 m", "mm", 721.0),
        ("1/4", "in", 6.35),
        ("\u00bd", "in", 12.7),
        ("17/16", "in", 26.9875),
        (".5", "in", 12.7),
        ("28.", "mm", 28.0),
        ("6'", "in", 1828.8),
        ("2.5 ft", "mm", 762.0),
        ("0' 3/8\"", "mm", 9.525),
        ("1/2 in", "mm", 12.7),
        (0, "in", 0.0),
        (0.1, "mm", 0.1),
        (1e-3, "mm", 0.001),
        ("1 mm", "in", 1.0),
    ],
)
def test_a_bare_number_is_in_the_units_of_the_job(reading: str | float, unit: str, mm: float) -> None:
    assert parse_length(reading, unit) == mm


@pytest.mark.parametrize(
    ("reading", "says"),
    [
        ("28 3/8 ft", "340 1/2 in; write 28 3/8 in or 28' 4 1/2\""),
        ("1/2 ft", "6 in"),
        ("28 1/0", "zero"),
        ("28 11/8", "29 3/8"),
        ("28 8/8", "write 29 if"),
        ("2' 14\"", "3' 2\" or 38 in"),
        ("2.5' 3\"", "whole number"),
        ("1/2' 3\"", "whole number"),
        ("1m 20cm", "one unit"),
        ("2' 4'", "one unit"),
        ('3" 4"', "no length"),
        ("1 200 mm", "side by side"),
        ("28 375", "side by side"),
        ("28\u00b2", "side by side"),
        ("28 - 3/8", "28-3/8"),
        ("1,200", "1.200 or 1200"),
        ("28,375 mm", "28.375 or 28375"),
        ("1,200.5", "two ways"),
        ("28 3/8 mm", "28 3/8 in or 28.375 mm"),
        ("28 3/8 cm", "inches"),
        ("5 yd", "'yd' is no unit"),
        ("1e3", "'e' is no unit"),
        ("nan", "measure again"),
        ("-inf", "measure again"),
        (nan, "measure again"),
        (inf, "measure again"),
        (True, "no length"),
        ("", "no length"),
        ("   ", "no length"),
        ("about 28", "no length"),
        ("28 3/8 x 40", "'x' is no unit"),
        ("+28", "no length"),
        ("\u0662\u0668 3//8", "no length"),
        ("28/", "no length"),
        ("9" * 500, "no length"),
        (-1, "negative"),
        ("-3/8", "negative"),
        (63361, "mile"),
        ("2 000 000mm", "side by side"),
        ("2000 m", "mile"),
        (10**400, "mile"),
    ],
)
def test_what_is_no_sensible_reading_is_refused_with_what_to_write(reading: str | float, says: str) -> None:
    with pytest.raises(LengthError) as refused:
        parse_length(reading, "in")
    assert says in refused.value.remedy
    assert refused.value.read in str(refused.value)
    assert isinstance(refused.value, PlannerError)


def test_a_fraction_in_a_metric_job_needs_its_inch_mark() -> None:
    with pytest.raises(LengthError, match=r"28 3/8 in or 28\.375 mm"):
        parse_length("28 3/8", "mm")
    assert parse_length('28 3/8"', "mm") == 720.725


def test_negative_lengths_need_leave() -> None:
    assert parse_length("-28 3/8", "in", negative=True) == -720.725
    assert parse_length("\u22123", "mm", negative=True) == -3.0
    with pytest.raises(LengthError, match="mile"):
        parse_length(-2 * LONGEST_MM, "mm", negative=True)


def test_a_mile_is_the_longest_length() -> None:
    assert parse_length("5280 ft", "in") == LONGEST_MM


def test_the_default_unit_is_one_of_two() -> None:
    with pytest.raises(ValueError, match="'in' or 'mm'"):
        parse_length(1, "cm")


@given(sixty_fourths)
def test_every_64th_of_an_inch_is_read_exactly(count: int) -> None:
    exact = float(Fraction(count, 64) * Fraction(127, 5))
    whole, rest = divmod(count, 64)
    assert parse_length(f"{whole} {rest}/64", "in") == exact
    assert parse_length(count / 64, "in") == exact
    assert parse_length(f"{count / 64}", "in") == exact
    assert parse_length(f"{whole // 12}' {whole % 12} {rest}/64\"", "in") == exact


@given(st.text(max_size=30) | st.text("0123456789 /-.,'\"infmc\u00bd\u2032\u2009", max_size=14))
@settings(max_examples=400)
def test_any_text_is_a_length_or_refused(text: str) -> None:
    with suppress(LengthError):
        assert 0 <= parse_length(text, "in") <= LONGEST_MM


@pytest.mark.parametrize(
    ("mm", "inches", "metric"),
    [
        (720.725, "28 3/8", "720.5"),
        (721.26, "28 3/8", "721.5"),
        (721.0, "28 3/8", "721"),
        (12.7, "1/2", "12.5"),
        (0.0, "0", "0"),
        (-0.1, "0", "0"),
        (-720.725, "-28 3/8", "-720.5"),
        (-12.7, "-1/2", "-12.5"),
        (3048.0, "120", "3048"),
        (0.79375, "1/16", "1"),
        (0.25, "0", "0.5"),
    ],
)
def test_lengths_are_printed_to_a_sixteenth_or_half_a_millimetre(mm: float, inches: str, metric: str) -> None:
    assert format_length(mm, "in") == inches
    assert format_length(mm, "mm") == metric
    assert format_length(mm, "in", with_unit=True) == f"{inches} in"
    assert format_length(mm, "mm", with_unit=True) == f"{metric} mm"


def test_feet_and_inches_are_printed_as_on_a_tape() -> None:
    assert format_feet(720.725) == "2' 4 3/8\""
    assert format_feet(609.6) == "2' 0\""
    assert format_feet(12.7) == '1/2"'
    assert format_feet(-720.725) == "-2' 4 3/8\""
    assert format_feet(609.5, "down") == "1' 11 15/16\""


@given(lengths, st.sampled_from(["in", "mm"]), st.sampled_from(DIRECTIONS))
def test_what_is_printed_reads_back_as_the_rounded_length(
    mm: float, units: str, direction: Direction
) -> None:
    printed = format_length(mm, units, with_unit=True, direction=direction)
    assert parse_length(printed, "mm") == round_length(mm, units, direction)
    assert parse_length(format_length(mm, units, direction=direction), units) == round_length(
        mm, units, direction
    )
    assert parse_length(format_feet(mm), "mm") == round_length(mm, "in")


@given(lengths, st.sampled_from(["in", "mm"]))
def test_rounding_down_never_grows_and_rounding_up_never_shrinks(mm: float, units: str) -> None:
    step = INCH / 16 if units == "in" else 0.5
    down, near, up = (round_length(mm, units, direction) for direction in ("down", "nearest", "up"))
    assert mm - step < down <= mm + SNAP_MM
    assert mm - SNAP_MM <= up < mm + step
    assert abs(near - mm) <= step / 2 + SNAP_MM
    assert near in (down, up)


@given(st.integers(0, 16 * 400), st.floats(-5e-7, 5e-7))
def test_noise_below_the_snap_never_moves_a_printed_length(count: int, noise: float) -> None:
    mm = count * INCH / 16
    assert {format_length(mm + noise, "in", direction=way) for way in DIRECTIONS} == {format_length(mm, "in")}


@given(sixty_fourths)
def test_every_64th_and_every_tenth_is_whole_in_solver_units(count: int) -> None:
    assert to_solver_up(count * INCH / 64) == to_solver_down(count * INCH / 64) == 635 * count
    assert to_solver_up(count / 10) == to_solver_down(count / 10) == 160 * count
    assert parse_length(f"{count}/64 in", "mm") == from_solver(635 * count)


@given(st.integers(-(10**9), 10**9))
def test_solver_units_survive_the_way_there_and_back(units: int) -> None:
    assert to_solver_up(from_solver(units)) == to_solver_down(from_solver(units)) == units


@given(st.floats(-1e6, 1e6))
def test_parts_never_shrink_and_sheets_never_grow(mm: float) -> None:
    down, up = to_solver_down(mm), to_solver_up(mm)
    assert from_solver(up) >= mm - SNAP_MM * 1.001
    assert from_solver(down) <= mm + SNAP_MM * 1.001
    assert 0 <= up - down <= 1
    assert abs(from_solver(up) - mm) < 1 / UNITS_PER_MM + SNAP_MM


@given(lengths, lengths)
def test_solver_units_keep_the_order_of_lengths(one: float, other: float) -> None:
    short, long = sorted((one, other))
    assert to_solver_up(short) <= to_solver_up(long)
    assert to_solver_down(short) <= to_solver_down(long)


def test_anything_finer_than_a_unit_goes_up_for_parts_and_down_for_sheets() -> None:
    assert (to_solver_down(1.0003), to_solver_up(1.0003)) == (1600, 1601)
    assert (to_solver_down(1.0000005), to_solver_up(0.9999995)) == (1600, 1600)
    assert (to_solver_down(-1.0003), to_solver_up(-1.0003)) == (-1601, -1600)


@given(st.lists(st.integers(1, 64 * 40), min_size=1, max_size=8))
def test_parts_that_fill_a_sheet_exactly_still_fit(parts: list[int]) -> None:
    sheet = sum(parts) * INCH / 64
    assert sum(to_solver_up(part * INCH / 64) for part in parts) == to_solver_down(sheet)
