"""Sealant, primer and paint: amounts by hand."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.ordering.coatings import Coat, coated_areas, paint_needed, spread
from nesting.ordering.sealing import Bead, BeadShape, Sealed, lap_bead, length_per_cartridge, sealant_needed

M2 = 1e6


def test_a_square_bead_of_10_mm_takes_a_hundred_cubic_millimetres_for_each_millimetre() -> None:
    assert Bead(BeadShape.SQUARE, 10.0).area == 100.0
    assert Bead(BeadShape.FILLET, 10.0).area == 50.0
    assert Bead(BeadShape.ROUND, 10.0).area == pytest.approx(25 * pi)
    assert Bead(BeadShape.SQUARE, 10.0, lines=2).area == 200.0


def test_thirty_metres_of_a_10_mm_square_bead_are_ten_cartridges_and_with_waste_eleven() -> None:
    run = Sealed(30_000.0, Bead(BeadShape.SQUARE, 10.0))
    assert sealant_needed([run], waste=0.0).cartridges == 10
    need = sealant_needed([run], waste=0.1)
    assert need.volume == pytest.approx(3_300_000.0)
    assert need.cartridges == 11


def test_runs_with_different_beads_share_cartridges() -> None:
    # 100 cm3 and 150 cm3: one cartridge of 300 cm3, not two
    runs = [
        Sealed(1000.0, Bead(BeadShape.SQUARE, 10.0)),
        Sealed(3000.0, Bead(BeadShape.FILLET, 10.0)),
    ]
    assert sealant_needed(runs, waste=0.0).cartridges == 1


def test_nothing_to_seal_needs_no_cartridge() -> None:
    assert sealant_needed([]).cartridges == 0


def test_a_wide_lap_is_sealed_along_both_edges() -> None:
    assert lap_bead(25.0).lines == 1
    assert lap_bead(25.4).lines == 2


@given(st.floats(1.0, 20.0), st.floats(1e5, 1e6), st.sampled_from(BeadShape))
def test_the_length_of_a_cartridge_uses_it_up(size: float, cartridge: float, shape: BeadShape) -> None:
    bead = Bead(shape, size)
    run = Sealed(length_per_cartridge(bead, cartridge), bead)
    assert sealant_needed([run], cartridge=cartridge, waste=0.0).cartridges == 1
    longer = Sealed(1.001 * run.length, bead)
    assert sealant_needed([longer], cartridge=cartridge, waste=0.0).cartridges == 2


def test_half_solids_at_half_a_tenth_of_a_millimetre_go_ten_square_metres_a_litre() -> None:
    assert spread(Coat("primer", solids=0.5, film=0.05)) == pytest.approx(10.0)
    assert spread(Coat("primer", solids=0.5, film=0.05, transfer=0.6)) == pytest.approx(6.0)


def test_two_coats_and_waste_add_up_to_whole_tins() -> None:
    # 30 m2 at 10 m2/l are 3 l a coat, 6 l for two, 7.5 l with a quarter wasted: eight tins of a litre, two of 5 l
    coat = Coat("topcoat", solids=0.5, film=0.05, coats=2, waste=0.25)
    need = paint_needed(30 * M2, coat)
    assert need.litres == pytest.approx(7.5)
    assert need.tins == 8
    assert paint_needed(30 * M2, coat, tin=5e6).tins == 2


def test_a_lap_is_primed_on_both_faces_and_painted_once() -> None:
    # two parts of 2 m2 that overlap by 0.1 m2: the outer faces and the hidden face of the sheet on top
    areas = coated_areas(4 * M2, 0.1 * M2, inside=False)
    assert areas.primer == pytest.approx(4.1 * M2)
    assert areas.topcoat == pytest.approx(3.9 * M2)


def test_priming_the_inside_covers_both_faces_of_every_part() -> None:
    assert coated_areas(4 * M2, 0.1 * M2, inside=True).primer == pytest.approx(8 * M2)
