"""Lengths, bearing and the joint rule against published figures.

Sources: EN 1993-1-3:2006 table 8.1, blind rivets, from memory (b), the figures worked out by hand from it;
49 CFR 571.221 S5.1, school bus body joint strength (a), with IFI-114 and ISO 15979 loads from memory (b);
TM 10-5410-221-14 table 4-3, inch blind rivets (a); ISO 15981:2002 (a).
"""

from __future__ import annotations

import pytest

from nesting.rivets.griptable import row_for
from nesting.rivets.strength import JOINT_RULE, PARTIAL_FACTOR, bearing_load, hole_diameter, net_load
from shared.rivettables import MPA_PER_KSI, N_PER_LBF, grip_rows, shear_load

INCH = 25.4


def design_bearing(t1: float, e1: float) -> float:
    """A 4.8 rivet through 1.2 of 330 MPa."""
    return bearing_load(1.2, t1, 4.8, 330, e1) / PARTIAL_FACTOR


@pytest.mark.parametrize(
    ("t1", "e1", "newtons"),
    [
        # alpha = 3.6 x root of 0.25 = 1.80
        (1.2, 12.0, 2737),
        # the end distance governs: 330 x 10 x 1.2 / 1.5
        (1.2, 10.0, 2640),
        # 1.75 times as thick, halfway from 1.80 to 2.1: 1.95
        (2.1, 14.0, 2965),
        # 2.5 times as thick, 2.1
        (3.0, 14.0, 3193),
    ],
)
def test_bearing_of_a_blind_rivet(t1: float, e1: float, newtons: float) -> None:
    """EN 1993-1-3 table 8.1 (b)."""
    assert design_bearing(t1, e1) == pytest.approx(newtons, abs=1)


def test_net_section_for_one_pitch() -> None:
    """EN 1993-1-3 table 8.1 (b): (25 - 4.9) x 1.2 x 330 / 1.25."""
    assert hole_diameter(4.8) == pytest.approx(4.9)
    assert net_load(25, 4.9, 1.2, 330) / PARTIAL_FACTOR == pytest.approx(6368, abs=1)


@pytest.mark.parametrize(("diameter", "inches"), [(3 / 16, 0.42), (1 / 4, 0.77)])
def test_pitch_at_which_one_row_in_18_gauge_reaches_the_joint_rule(diameter: float, inches: float) -> None:
    """49 CFR 571.221: 60 % of 45 ksi x 0.0478 in = 1291 lbf/in, by 540 and 1000 lbf for a steel rivet."""
    row = shear_load("steel", diameter * INCH)
    assert row is not None
    asked = JOINT_RULE * 45 * MPA_PER_KSI * 0.0478 * INCH
    assert asked * INCH / N_PER_LBF == pytest.approx(1291, abs=1)
    assert row.shear / asked / INCH == pytest.approx(inches, abs=0.006)


def test_pitch_at_which_one_row_in_1_2_mm_reaches_the_joint_rule() -> None:
    """49 CFR 571.221: 60 % of 300 MPa x 1.2 = 216 N/mm, by 2900 N."""
    row = shear_load("steel", 4.8)
    assert row is not None
    assert row.shear / (JOINT_RULE * 300 * 1.2) == pytest.approx(13.4, abs=0.03)


@pytest.mark.parametrize(
    ("grip", "code", "length"),
    [
        (0.182, "43", 0.294),
        (0.062, "41", 0.170),
        (0.100, "42", 0.232),
        (0.250, "44", 0.357),
        (0.5, "48", 0.628),
    ],
)
def test_inch_rivets_by_grip(grip: float, code: str, length: float) -> None:
    """TM 10-5410-221-14 table 4-3, 1/8 in: 43 closes 0.126 to 0.187 in and is 0.294 long."""
    row = row_for(grip_rows(INCH / 8), grip * INCH)
    assert row is not None
    assert row.name == code
    assert row.length / INCH == pytest.approx(length)


@pytest.mark.parametrize(
    ("diameter", "share"), [(1 / 8, 0.86), (5 / 32, 0.83), (3 / 16, 0.81), (1 / 4, 0.79)]
)
def test_a_length_is_the_greatest_grip_and_about_four_fifths_of_the_diameter(
    diameter: float, share: float
) -> None:
    """Worked out from TM 10-5410-221-14 table 4-3, constant along each series; 3/16 in between its neighbours."""
    for row in grip_rows(diameter * INCH)[:5]:
        assert (row.length - row.grip_max) / (diameter * INCH) == pytest.approx(share, abs=0.02)


@pytest.mark.parametrize(
    ("diameter", "grip", "length"),
    [(4.8, 3.2, 8), (4.8, 4.4, 10), (3.2, 3.2, 6), (4.0, 6.8, 12), (6.4, 6.0, 12)],
)
def test_metric_rivets_by_grip(diameter: float, grip: float, length: float) -> None:
    """ISO 15981:2002 (a)."""
    row = row_for(grip_rows(diameter), grip)
    assert row is not None
    assert row.length == length
