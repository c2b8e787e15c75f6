"""Sheets cut up at random come together again: the packer finds the plan that wastes nothing, and proves it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.limits import SolveLimits
from nesting.packer import Packing, Piece, Place, Sheet, pack_rectangles
from nesting.plan import Status
from tests.bench.layout_check import packing_faults
from tests.zero_waste import LEAST, SIZES, ZeroWaste, zero_waste

SECONDS = 10.0
"""Far more than any of these takes; without it a set that is not solved would hang the tests."""

small_sets = st.builds(
    zero_waste,
    st.integers(0, 10_000),
    st.integers(2, 12),
    sheets=st.integers(1, 3),
    kinds=st.integers(1, 2),
    turn=st.just(False),
)


def packed(made: ZeroWaste, *, edge_to_edge: bool, turn: bool = False) -> Packing[Place]:
    """The packing of a set, judged."""
    sheets = [Sheet(length, width) for length, width in made.sizes]
    pieces = [Piece(length, width, turn=turn) for length, width in made.pieces]
    limits = SolveLimits(time_limit=SECONDS)
    packing = pack_rectangles(sheets, pieces, edge_to_edge=edge_to_edge, limits=limits)
    assert packing_faults(sheets, pieces, packing, edge_to_edge=edge_to_edge) == ()
    return packing


@settings(deadline=None, max_examples=12)
@given(small_sets)
def test_small_sets_placed_freely_come_out_without_waste(made: ZeroWaste) -> None:
    packing = packed(made, edge_to_edge=False)
    assert packing.cost == pytest.approx(made.area)
    assert packing.status is Status.OPTIMAL


@settings(deadline=None, max_examples=12)
@given(small_sets)
def test_small_sets_cut_edge_to_edge_come_out_without_waste(made: ZeroWaste) -> None:
    packing = packed(made, edge_to_edge=True)
    assert packing.cost == pytest.approx(made.area)
    assert packing.status is Status.OPTIMAL


@pytest.mark.parametrize("seed", range(3))
def test_parts_told_turned_are_turned_back(seed: int) -> None:
    made = zero_waste(seed, 8, sheets=2, turn=True)
    packing = packed(made, edge_to_edge=True, turn=True)
    assert packing.cost == pytest.approx(made.area)


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 10_000), st.integers(1, 60), st.integers(1, 4), st.integers(1, 3), st.booleans())
def test_parts_have_the_area_of_the_sheets_that_were_cut(
    seed: int, parts: int, sheets: int, kinds: int, turn: bool
) -> None:
    made = zero_waste(seed, parts, sheets=sheets, kinds=kinds, turn=turn)
    assert sum(a * b for a, b in made.pieces) == made.area
    assert len(made.pieces) == parts
    assert len(made.cut_up) == min(sheets, parts)
    assert min(min(piece) for piece in made.pieces) >= LEAST
    assert set(made.cut_up) <= set(made.sizes) <= set(SIZES)


def test_equal_seeds_make_equal_sets_and_others_do_not() -> None:
    assert zero_waste(1, 20, sheets=2) == zero_waste(1, 20, sheets=2)
    assert zero_waste(1, 20, sheets=2).pieces != zero_waste(2, 20, sheets=2).pieces
