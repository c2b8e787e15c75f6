"""Rivet counts and least distances against published rules and worked examples.

Sources (a): AC 43.13-1B ch. 4 and its worked splices (pp. 4-27, 4-38, 4-41); TM 9-2320-303-24-2, vehicle cab
repair; TM 10-5410-229-13&P, row spacing.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.rivets.fasteners import place_fasteners
from nesting.rivets.lines import whole_spaces
from shared.tables import (
    CAB_EDGE_LEAST,
    CAB_PITCH_LEAST,
    CAB_PITCH_MOST,
    EDGE_LEAST,
    PITCH_LEAST,
    ROW_SPACING_LEAST,
    TWO_ROW_PITCH_LEAST,
)
from tests.hand_plans import two_panels

INCH = 25.4


@pytest.mark.parametrize(
    ("diameter", "edge", "pitch"),
    [(1 / 8, 0.25, 0.375), (5 / 32, 0.3125, 0.46875), (3 / 16, 0.375, 0.5625), (1 / 4, 0.5, 0.75)],
)
def test_least_edge_distance_and_pitch_for_each_diameter(diameter: float, edge: float, pitch: float) -> None:
    """AC 43.13-1B: edge at least 2 D, spacing at least 3 D; inches worked out (calc)."""
    assert (EDGE_LEAST.unit, EDGE_LEAST.value * diameter) == ("D", pytest.approx(edge))
    assert (PITCH_LEAST.unit, PITCH_LEAST.value * diameter) == ("D", pytest.approx(pitch))


def test_vehicle_cab_practice() -> None:
    """TM 9-2320-303-24-2: one row, 5/8 to 1 1/2 in pitch, edge at least 3/8 in; two rows, 4 D pitch."""
    assert CAB_PITCH_LEAST.value == pytest.approx(5 / 8 * INCH)
    assert CAB_PITCH_MOST.value == pytest.approx(1.5 * INCH)
    assert CAB_EDGE_LEAST.value == pytest.approx(3 / 8 * INCH)
    assert (TWO_ROW_PITCH_LEAST.value, TWO_ROW_PITCH_LEAST.unit) == (4.0, "D")


def test_rows_are_two_and_a_half_diameters_apart_at_least() -> None:
    """TM 10-5410-229-13&P (a sister manual misprints 1/2)."""
    assert ROW_SPACING_LEAST.value == 2.5


def test_splice_of_ten_inches_holds_40_in_a_double_row() -> None:
    """AC 43.13-1B p. 4-27: 10 in of 0.032 sheet, 1/8 rivets, double row at 4 D pitch and 2 D edges: 40."""
    diameter = 1 / 8
    between_end_rivets = 10 - 2 * EDGE_LEAST.value * diameter
    row = whole_spaces(between_end_rivets, TWO_ROW_PITCH_LEAST.value * diameter) + 1
    assert 2 * row == 40


def test_splice_of_ten_inches_needs_37() -> None:
    """AC 43.13-1B p. 4-38: 4.9 rivets for each inch, x 0.75 for a single lap: 37; two rows of 19 do."""
    assert whole_spaces(10, 1 / (4.9 * 0.75)) == 37
    widest = (10 - 0.5) / 18
    assert 2 * (whole_spaces(9.5, widest) + 1) == 38
    assert widest >= TWO_ROW_PITCH_LEAST.value / 8


@pytest.mark.parametrize(("width", "whole", "most"), [(0.6, 4, 3), (2.0, 13, 8)])
def test_counts_round_up_at_each_step(width: float, whole: int, most: int) -> None:
    """AC 43.13-1B p. 4-41: 6.2 for each inch of width, then 60 per cent of the whole number."""
    count = whole_spaces(width, 1 / 6.2)
    assert count == whole
    assert whole_spaces(count, 1 / 0.6) == most


def test_a_plan_that_breaks_a_rule_says_which_and_whose() -> None:
    """Rivets of 8 mm, 15 mm from the edge and 20 mm apart: under 2 D = 16 and 3 D = 24; edges 50 mm apart."""
    job, plan = two_panels()
    rivets = replace(job.rivets, diameter=8.0, seam_pitch=20.0)
    told = "\n".join(place_fasteners(replace(job, rivets=rivets), plan.panels, plan.seams).warnings)
    assert "edge distance 15 mm is less than 2 D = 16 mm; AC 43.13-1B" in told
    assert "seam pitch 20 mm is less than 3 D = 24 mm; AC 43.13-1B" in told
    assert "edge pitch 50 mm is outside the usual 15.88 mm to 38.1 mm of cabs; TM 9-2320-303-24-2" in told
