"""What is said of bays measured on four sides: each reading, the length taken, and how far the readings agree."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.documents.measured import agreement, has_measured, measured_rows
from nesting.documents.paper.packet import write_packet
from nesting.documents.screen.page import page_html
from nesting.job import Units
from nesting.plan import PlannedJob
from nesting.readings import Adjusted, TapeReadings
from nesting.taping.adjusting import adjust
from tests.hand_plans import planned_two_panels
from tests.test_printed import pages_of

SQUARE = TapeReadings(400, 400, 300, 300, 500, 500, units="mm")
"""Diagonals of 500 by the 3-4-5 triangle."""


def with_measured(*measured: Adjusted | None) -> PlannedJob:
    """Two bays, those given measured on four sides."""
    whole = planned_two_panels()
    side = whole.job.sides[0]
    bays = tuple(replace(bay, measured=own) for bay, own in zip(side.bays, measured, strict=True))
    return replace(whole, job=replace(whole.job, sides=(replace(side, bays=bays),)))


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        (SQUARE, "the readings agree as well as a tape lets them"),
        (
            replace(SQUARE, diagonal_rising=525),
            "the readings disagree by more than a tape explains: measure again",
        ),
        (replace(SQUARE, diagonal_falling=None), "one diagonal: nothing checks the readings"),
        (replace(SQUARE, diagonal_rising=None), "one diagonal: nothing checks the readings"),
        (
            replace(SQUARE, diagonal_rising=None, diagonal_falling=None),
            "no diagonal: taken as square as its sides allow",
        ),
    ],
)
def test_how_readings_agree_is_said_in_words(readings: TapeReadings, says: str) -> None:
    assert agreement(adjust(readings)) == says


def test_a_reading_that_fits_has_no_difference() -> None:
    side = with_measured(None, adjust(SQUARE)).job.sides[0]
    assert has_measured(side)
    assert list(measured_rows(side, Units.MILLIMETRE)) == [
        ("2", "top", "400", "400", "none"),
        ("2", "bottom", "400", "400", "none"),
        ("2", "left", "300", "300", "none"),
        ("2", "right", "300", "300", "none"),
        ("2", "rising diagonal", "500", "500", "none"),
        ("2", "falling diagonal", "500", "500", "none"),
    ]
    assert not has_measured(with_measured(None, None).job.sides[0])


def test_a_difference_is_told_with_its_sign_from_what_was_read_to_what_is_taken() -> None:
    adjusted = adjust(replace(SQUARE, diagonal_rising=506))
    rows = {
        row[1]: row[2:] for row in measured_rows(with_measured(adjusted, None).job.sides[0], Units.MILLIMETRE)
    }
    read, taken, off = rows["rising diagonal"]
    assert read == "506"
    assert float(taken) < 506
    assert off.startswith("-")
    # squares of the diagonals are together twice those of two sides: a diagonal too long makes the sides longer
    assert all(rows[side][2].startswith("+") for side in ("top", "bottom", "left", "right"))
    # the length that is taken is the one that was read and the difference, as near as it is printed
    assert float(taken) == pytest.approx(506 + float(off.removesuffix(" mm")), abs=0.3)


def test_the_page_shows_the_readings_of_each_measured_bay() -> None:
    page = page_html(with_measured(adjust(SQUARE), adjust(replace(SQUARE, diagonal_rising=525))))
    assert "Bay 1: the readings agree as well as a tape lets them." in page
    assert "Bay 2: the readings disagree by more than a tape explains: measure again." in page
    assert page.count("rising diagonal") == 2
    assert "Measured bays" not in page_html(with_measured(None, None))


def test_the_packet_has_a_page_for_measured_bays(tmp_path: Path) -> None:
    written = tmp_path / "packet.pdf"
    write_packet(with_measured(None, adjust(SQUARE)), written)
    (page,) = [text for text in pages_of(written) if "Bay 2: the readings agree" in text]
    for word in ("Measured bays", "Taken as", "falling diagonal", "Lengths in mm"):
        assert word in page
    write_packet(with_measured(None, None), written)
    assert not [text for text in pages_of(written) if "Measured bays" in text]
