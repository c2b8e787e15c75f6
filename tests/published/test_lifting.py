"""Sheets too heavy for one person.

Source (a): load constant of the NIOSH lifting equation, 51 lb (23 kg), for one person in the best posture.
Sheet mass calculated from the galvanised gauge (a).  Two and more hands: common practice (c).
"""

from __future__ import annotations

import pytest

from nesting.job import Skin, Stock, Units
from nesting.ordering.buylist import buy_list, lifting_note
from nesting.plan import Fasteners, Plan, SheetLayout, Status
from shared.tables import LIFTING_CONSTANT_KG, skin_row
from tests.hand_plans import base_job

LB = 0.45359237
INCH = 25.4


def test_the_constant_is_51_pounds() -> None:
    assert pytest.approx(51 * LB, abs=0.2) == LIFTING_CONSTANT_KG


def test_a_four_by_ten_of_18_gauge_galvanised_weighs_86_pounds_and_takes_two() -> None:
    row = skin_row("galvanised steel", 18, None)
    sheet = Stock("4x10", 48 * INCH, 120 * INCH, 128.0)
    skin = Skin(row.material, row.thickness_mm, row.mass_per_area, 18, row.source)
    job = base_job(units=Units.INCH, skin=skin, stock=(sheet,), sides=())
    plan = Plan(Status.OPTIMAL, 128.0, (), (), (SheetLayout(sheet, ()),), 0.0)
    bought = buy_list(job, plan, Fasteners())
    assert bought.sheet_mass / LB == pytest.approx(86.2, abs=0.1)
    assert bought.sheet_mass > 51 * LB
    assert bought.lines[0].note.endswith("; two people")


@pytest.mark.parametrize(
    ("size", "gauge", "pounds"),
    [((36, 96), 16, 63.8), ((48, 96), 20, 53.0), ((60, 120), 18, 107.8), ((72, 144), 16, 191.2)],
)
def test_sheet_weights_of_the_size_table(size: tuple[int, int], gauge: int, pounds: float) -> None:
    """Calculated: area x galvanised gauge weight (a)."""
    row = skin_row("galvannealed steel", gauge, None)
    kilograms = size[0] * size[1] * INCH**2 / 1e6 * row.mass_per_area
    assert kilograms / LB == pytest.approx(pounds, abs=0.1)


def test_hands_for_pieces_up_to_over_and_twice_over_the_constant() -> None:
    assert lifting_note(23.0) == ""
    assert lifting_note(23.1) == "two people"
    assert lifting_note(46.0) == "two people"
    assert lifting_note(46.1) == "more hands or lifting gear"
