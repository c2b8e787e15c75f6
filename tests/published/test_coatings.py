"""Sealant and paint against printed figures.

Sources and kinds.  (a) published and seen: 18.3 in3 for a 10.1 oz cartridge, a sealant distributor's yield page; one
bead of 6 mm or two of 4 mm in a lap of 25 mm, a New Zealand code of practice for metal roofs and cladding; 1604 ft2/gal
at 1 mil and 167 ft2/gal (52 % solids, 30 % transfer, 1.5 mil), paintcenter.org rj/oct03e; 208.5 ft2/gal (65 %, 5 mil)
and 5.2 m2/l (65 %, 125 micrometres), a note on spreading rates.  Calculated: lengths of bead, volume over area.  One
page on the web prints 50 to 55 ft for a 1/4 in square bead from such a cartridge; its volume allows 24.3 ft.
"""

from __future__ import annotations

import pytest

from nesting.ordering.coatings import Coat, spread, square_feet_per_gallon
from nesting.ordering.sealing import (
    MILLILITRES_300,
    OUNCES_10_1,
    Bead,
    BeadShape,
    lap_bead,
    length_per_cartridge,
)

INCH = 25.4
FOOT = 12 * INCH
MIL = 0.0254


def test_the_cartridge_of_10_1_ounces() -> None:
    cubic_inches = OUNCES_10_1 / INCH**3
    assert cubic_inches == pytest.approx(18.23, abs=0.005)
    assert cubic_inches == pytest.approx(18.3, abs=0.1)


@pytest.mark.parametrize(
    ("size", "round_feet", "square_feet", "fillet_feet"),
    [
        (1 / 8, 123.8, 97.2, 194.4),
        (3 / 16, 55.0, 43.2, 86.4),
        (1 / 4, 30.9, 24.3, 48.6),
        (5 / 16, 19.8, 15.6, 31.1),
        (3 / 8, 13.8, 10.8, 21.6),
    ],
)
def test_feet_of_bead_from_an_inch_cartridge(
    size: float, round_feet: float, square_feet: float, fillet_feet: float
) -> None:
    feet = [length_per_cartridge(Bead(shape, size * INCH), OUNCES_10_1) / FOOT for shape in BeadShape]
    assert feet == pytest.approx([round_feet, square_feet, fillet_feet], abs=0.06)


@pytest.mark.parametrize(
    ("size", "round_metres", "square_metres", "fillet_metres"),
    [
        (3, 42.44, 33.33, 66.67),
        (4, 23.87, 18.75, 37.50),
        (5, 15.28, 12.00, 24.00),
        (6, 10.61, 8.33, 16.67),
        (8, 5.97, 4.69, 9.38),
        (10, 3.82, 3.00, 6.00),
    ],
)
def test_metres_of_bead_from_300_millilitres(
    size: float, round_metres: float, square_metres: float, fillet_metres: float
) -> None:
    metres = [length_per_cartridge(Bead(shape, size), MILLILITRES_300) / 1000 for shape in BeadShape]
    assert metres == pytest.approx([round_metres, square_metres, fillet_metres], abs=0.006)


def test_two_beads_of_4_mm_are_nearly_one_of_6_mm() -> None:
    assert Bead(BeadShape.ROUND, 4.0, lines=2).area == pytest.approx(25.1, abs=0.05)
    assert lap_bead(25.0).area == pytest.approx(28.3, abs=0.05)


def test_a_gallon_without_loss_covers_1604_square_feet_a_mil_thick() -> None:
    assert square_feet_per_gallon(Coat("all solids", 1.0, MIL)) == pytest.approx(1604.2, abs=0.1)


def test_sprayed_primer_goes_167_square_feet_a_gallon() -> None:
    coat = Coat("primer", solids=0.52, film=1.5 * MIL, transfer=0.30)
    assert round(square_feet_per_gallon(coat)) == 167


def test_65_per_cent_solids_at_5_mil_go_208_and_a_half_square_feet_a_gallon() -> None:
    assert square_feet_per_gallon(Coat("coating", 0.65, 5 * MIL)) == pytest.approx(208.5, abs=0.1)


def test_65_per_cent_solids_at_125_micrometres_go_5_2_square_metres_a_litre() -> None:
    assert spread(Coat("coating", 0.65, 0.125)) == pytest.approx(5.2)
