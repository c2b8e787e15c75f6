"""The check of the benches accepts sound layouts and refuses each kind of damage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.packer import PackedSheet, Packing, Piece, Place, Sheet
from nesting.plan import Status
from tests.bench.layout_check import comes_apart, packing_faults

SHEETS = (Sheet(100, 50, price=10.0, available=2), Sheet(60, 40, price=6.0))
PIECES = (Piece(40, 30, 2, turn=False), Piece(20, 30))
SOUND = Packing(
    Status.OPTIMAL,
    (
        PackedSheet(0, (Place(0, 2, 2, False), Place(0, 44, 2, False))),
        PackedSheet(1, (Place(1, 2, 2, True),)),
    ),
    16.0,
    16.0,
)
"""Two pieces beside one another 2 apart, and one turned on a sheet of its own; everything 2 from the edges."""


def faults(packing: Packing[Place]) -> str:
    return "\n".join(packing_faults(SHEETS, PIECES, packing, edge_to_edge=True, gap=2.0, edge_margin=2.0))


def first_sheet(*places: Place) -> Packing[Place]:
    return replace(SOUND, sheets=(PackedSheet(0, places), SOUND.sheets[1]))


def test_a_sound_packing_has_no_faults() -> None:
    assert faults(SOUND) == ""


DAMAGES: dict[str, tuple[Callable[[], Packing[Place]], str]] = {
    "a piece beyond the sheet": (
        lambda: first_sheet(Place(0, 2, 2, False), Place(0, 61, 2, False)),
        "from the edge of the sheet",
    ),
    "a piece nearer to the edge than the margin": (
        lambda: first_sheet(Place(0, 1.5, 2, False), Place(0, 44, 2, False)),
        "piece 0 lies 1.5 from the edge of the sheet, 2 is the least",
    ),
    "two pieces on one another": (
        lambda: first_sheet(Place(0, 2, 2, False), Place(0, 41, 10, False)),
        "lie on one another",
    ),
    "two pieces too near": (
        lambda: first_sheet(Place(0, 2, 2, False), Place(0, 43.5, 2, False)),
        "lie nearer than the gap of 2",
    ),
    "a piece turned that may not be": (
        lambda: first_sheet(Place(0, 2, 2, True), Place(0, 44, 2, False)),
        "piece 0 may not be turned",
    ),
    "a piece left out": (lambda: first_sheet(Place(0, 2, 2, False)), "cut 1 times, 2 are wanted"),
    "a piece cut twice": (
        lambda: replace(SOUND, sheets=(*SOUND.sheets, SOUND.sheets[1])),
        "piece 1 is cut 2 times, 1 are wanted",
    ),
    "a piece that nobody asked for": (
        lambda: first_sheet(Place(0, 2, 2, False), Place(0, 44, 2, False), Place(7, 2, 2, False)),
        "there is no piece 7",
    ),
    "a sheet size that is not on offer": (
        lambda: replace(SOUND, sheets=(SOUND.sheets[0], replace(SOUND.sheets[1], sheet=2))),
        "there is no sheet size 2",
    ),
    "more sheets than there are": (
        lambda: replace(
            SOUND,
            sheets=(
                PackedSheet(0, (Place(0, 2, 2, False),)),
                PackedSheet(0, (Place(0, 2, 2, False),)),
                PackedSheet(0, (Place(1, 2, 2, False),)),
            ),
        ),
        "sheet size 0 is used 3 times, there are 2",
    ),
    "a cost that does not add up": (lambda: replace(SOUND, cost=15.0, bound=15.0), "cost 16.0, not 15.0"),
    "a bound above the cost": (lambda: replace(SOUND, bound=17.0), "lies above the cost"),
    "a proof that is none": (lambda: replace(SOUND, bound=15.0), "called the best"),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_damage_is_refused(damage: str) -> None:
    make, words = DAMAGES[damage]
    assert words in faults(make())


def test_without_a_price_a_sheet_costs_its_area() -> None:
    packing = Packing(Status.OPTIMAL, (PackedSheet(0, (Place(0, 0, 0, False),)),), 200.0, 200.0)
    assert packing_faults((Sheet(20, 10),), (Piece(20, 10),), packing) == ()
    assert packing_faults((Sheet(20, 10),), (Piece(20, 10),), replace(packing, cost=1.0, bound=1.0)) != ()


PINWHEEL = ((0.0, 0.0, 3.0, 1.0), (3.0, 0.0, 4.0, 3.0), (1.0, 3.0, 4.0, 4.0), (0.0, 1.0, 1.0, 4.0))
WHOLE = (0.0, 0.0, 4.0, 4.0)


def test_a_pinwheel_does_not_come_apart_edge_to_edge() -> None:
    assert not comes_apart(WHOLE, PINWHEEL)
    assert comes_apart(WHOLE, PINWHEEL[:3])


def test_a_pinwheel_is_a_fault_only_where_cuts_run_edge_to_edge() -> None:
    pieces = [Piece(x1 - x0, y1 - y0, turn=False) for x0, y0, x1, y1 in PINWHEEL]
    places = tuple(Place(i, x0, y0, False) for i, (x0, y0, _, _) in enumerate(PINWHEEL))
    packing = Packing(Status.OPTIMAL, (PackedSheet(0, places),), 16.0, 16.0)
    assert packing_faults([Sheet(4, 4)], pieces, packing) == ()
    (fault,) = packing_faults([Sheet(4, 4)], pieces, packing, edge_to_edge=True)
    assert "cannot be cut edge to edge" in fault


def test_a_cut_longer_than_the_shear_is_no_cut() -> None:
    halves = ((0.0, 0.0, 4.0, 2.0), (0.0, 2.0, 4.0, 4.0))
    assert comes_apart(WHOLE, halves, 4.0)
    assert not comes_apart(WHOLE, halves, 3.0)


def test_a_long_cut_may_follow_once_the_piece_is_shorter() -> None:
    """On 4 x 2 nothing longer than 3 can be cut; across at 3, the halves of what is left are 3 long."""
    parts = ((0.0, 0.0, 3.0, 1.0), (0.0, 1.0, 3.0, 2.0))
    assert comes_apart((0.0, 0.0, 4.0, 2.0), parts, 3.0)
    assert not comes_apart((0.0, 0.0, 4.0, 2.0), parts, 2.0)
