"""Tape classes and diagonals against outside values; the kind of each source stands beside it."""

from __future__ import annotations

from math import hypot

import pytest

from nesting.readings import TapeReadings, length_of
from nesting.taping.accuracy import TapeClass, tape_error
from nesting.taping.adjusting import adjust

INCH = 25.4


@pytest.mark.parametrize(
    ("metres", "first", "second", "third"),
    [(2, 0.3, 0.7, 1.4), (3, 0.4, 0.9, 1.8), (5, 0.6, 1.3, 2.6), (8, 0.9, 1.9, 3.8), (10, 1.1, 2.3, 4.6)],
)
def test_each_class_errs_by_as_much_as_published(
    metres: int, first: float, second: float, third: float
) -> None:
    """A distributor's table of the classes of Directive 2004/22/EC (now 2014/32/EU) annex MI-008 (a)."""
    found = [tape_error(1000 * metres, tape) for tape in TapeClass]
    assert found == [pytest.approx(first), pytest.approx(second), pytest.approx(third)]


def test_a_length_is_rounded_up_to_whole_metres_first() -> None:
    """The directive's words, as quoted in the trade (a); the figure is worked out: 0.3 + 0.2 x 5, not 1.14."""
    assert tape_error(4200) == pytest.approx(1.3)


def test_a_hook_adds_its_own_error() -> None:
    """Directive 2004/22/EC annex MI-008: 0.1, 0.2, 0.3 mm where one end is a hook or a face (a)."""
    added = [tape_error(1000, tape, hook=True) - tape_error(1000, tape) for tape in TapeClass]
    assert added == [pytest.approx(0.1), pytest.approx(0.2), pytest.approx(0.3)]


def test_twelve_bays_read_one_by_one_err_by_more_than_one_long_pull() -> None:
    """Class II, worked out from the published class: 12 x 0.5 = 6.0 mm at worst against 2.1 mm over 8.4 m."""
    assert 12 * tape_error(700) == pytest.approx(6.0)
    assert tape_error(8400) == pytest.approx(2.1)


@pytest.mark.parametrize(
    ("long", "short", "diagonal"),
    [(120 * INCH, 48 * INCH, 129.244 * INCH), (2500, 1250, 2795.085), (48 * INCH, 36 * INCH, 60 * INCH)],
)
def test_the_diagonals_of_a_rectangle(long: float, short: float, diagonal: float) -> None:
    """Pythagoras, worked out (no published example of diagonals was found); 36-48-60 is the 3-4-5 triangle."""
    found = adjust(TapeReadings(long, long, short, short))
    assert found.length("diagonal_rising") == pytest.approx(diagonal, abs=0.0005 * INCH)
    assert found.length("diagonal_falling") == pytest.approx(diagonal, abs=0.0005 * INCH)


@pytest.mark.parametrize(
    ("long", "short", "racked", "difference"),
    [(120 * INCH, 48 * INCH, 0.5 * INCH, 0.928 * INCH), (2500, 1250, 12.5, 22.36)],
)
def test_a_racked_frame_shows_in_its_diagonals(
    long: float, short: float, racked: float, difference: float
) -> None:
    """sqrt((L + s)^2 + W^2) - sqrt((L - s)^2 + W^2), worked out; the posts then lean by s (no published example)."""
    rising, falling = hypot(long + racked, short), hypot(long - racked, short)
    assert rising - falling == pytest.approx(difference, abs=0.0005 * INCH)
    post = hypot(racked, short)
    found = adjust(TapeReadings(long, long, post, post, rising, falling))
    assert found.corners[3] == pytest.approx((racked, short))
    assert found.corners[2] == pytest.approx((long + racked, short))
    assert found.doubt is None


def test_equal_diagonals_prove_no_rectangle_by_themselves() -> None:
    """Geometry: a trapezium of equal legs has equal diagonals too."""
    diagonal = hypot(370, 400)
    leg = hypot(30, 400)
    found = adjust(TapeReadings(340, 400, leg, leg, diagonal, diagonal, units="mm"))
    assert found.doubt is None
    assert found.corners[3] == pytest.approx((30, 400))
    assert length_of("diagonal_rising", found.corners) == pytest.approx(diagonal)
