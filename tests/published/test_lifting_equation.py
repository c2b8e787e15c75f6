"""The recommended weight limit against figures worked out by hand.

Sources and kinds.  (a) published and seen: the load constant 51 lb (23 kg), the product of multipliers and those of
reach, height and travel, an ergonomics handbook (section 46.2) and rated explanation pages of the NIOSH equation.
(b) from memory: the multiplier of twist, not used here.  Calculated: the two examples, from the inch form.
"""

from __future__ import annotations

import pytest

from nesting.ordering.lifting import INCH, METRIC, Hands, Lift, hands_for, lifting_index, recommended_limit

IN = 25.4
LB = 0.45359237


def inches(reach: float, height: float, travel: float) -> Lift:
    return Lift(reach * IN, height * IN, travel * IN, grip=0.9)


def test_a_reach_of_15_inches_leaves_27_8_pounds() -> None:
    assert recommended_limit(inches(15, 30, 20), INCH) / LB == pytest.approx(27.8, abs=0.05)


def test_a_reach_of_20_inches_leaves_20_5_pounds() -> None:
    assert recommended_limit(inches(20, 30, 25), INCH) / LB == pytest.approx(20.5, abs=0.05)


@pytest.mark.parametrize("lift", [inches(15, 30, 20), inches(20, 30, 25), inches(12, 45, 40)])
def test_the_two_forms_differ_by_less_than_three_per_cent(lift: Lift) -> None:
    assert recommended_limit(lift, METRIC) == pytest.approx(recommended_limit(lift, INCH), rel=0.03)


def test_an_86_pound_sheet_is_no_lift_for_one_and_its_index_is_over_three() -> None:
    sheet = 86.2 * LB
    assert hands_for(sheet) is Hands.TWO
    assert lifting_index(sheet, inches(15, 30, 20), INCH) == pytest.approx(86.2 / 27.8, abs=0.01)
    assert lifting_index(sheet, inches(15, 30, 20), INCH) > 3
