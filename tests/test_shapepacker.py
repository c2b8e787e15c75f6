"""The public packer for shapes: sound layouts, honest bounds, mistakes told all at once."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.limits import SolveLimits
from nesting.outline import Ring, polygon_ring, rectangle
from nesting.packer import Sheet
from nesting.packers.shapebounds import inner_rectangle, least_cost, room_taken
from nesting.plan import Status
from nesting.shapepacker import pack_shapes
from nesting.shapes import ShapePiece
from shared.errors import JobMistakes, NothingFits
from tests.bench.shape_check import shape_faults

HALF = polygon_ring([(0, 0), (1200, 0), (0, 800)])
DISC: Ring = ((-100, 0, 1.0), (100, 0, 1.0))


def test_halves_of_a_sheet_are_paired_and_proved() -> None:
    pieces = [ShapePiece(HALF, quantity=4)]
    packing = pack_shapes([Sheet(1200, 800, price=50.0)], pieces)
    assert (len(packing.sheets), packing.cost, packing.status) == (2, 100.0, Status.OPTIMAL)
    assert shape_faults([Sheet(1200, 800, price=50.0)], pieces, packing) == ()


def test_a_jigsaw_of_one_sheet_is_put_together() -> None:
    """A square cut by lines from its corners and sides to (40, 30): seven parts, no waste."""
    ways = [(0, 0), (55, 0), (100, 0), (100, 70), (100, 100), (20, 100), (0, 100)]
    parts = [polygon_ring([(40, 30), a, b]) for a, b in zip(ways, ways[1:] + ways[:1], strict=True)]
    pieces = [ShapePiece(part) for part in parts]
    packing = pack_shapes([Sheet(100, 100)], pieces)
    assert (len(packing.sheets), packing.status) == (1, Status.OPTIMAL)
    assert shape_faults([Sheet(100, 100)], pieces, packing) == ()


def test_a_part_that_fills_its_sheet_needs_one() -> None:
    pieces = [ShapePiece(rectangle(0, 0, 500, 300, 20), quantity=2)]
    packing = pack_shapes([Sheet(510, 310)], pieces, gap=3.0, edge_margin=5.0)
    assert (len(packing.sheets), packing.status) == (2, Status.OPTIMAL)
    assert shape_faults([Sheet(510, 310)], pieces, packing, gap=3.0, edge_margin=5.0) == ()


def test_small_parts_are_cut_from_the_windows_of_large_ones() -> None:
    window = ShapePiece(rectangle(0, 0, 900, 700), (rectangle(100, 100, 800, 600),))
    pieces = [window, ShapePiece(rectangle(0, 0, 340, 240, 30), quantity=4)]
    packing = pack_shapes([Sheet(900, 700)], pieces, gap=2.0)
    assert (len(packing.sheets), packing.status) == (1, Status.OPTIMAL)
    assert shape_faults([Sheet(900, 700)], pieces, packing, gap=2.0) == ()


def test_the_cheaper_of_two_sheets_is_taken() -> None:
    sheets = [Sheet(1200, 800, price=50.0), Sheet(600, 500, price=10.0)]
    packing = pack_shapes(sheets, [ShapePiece(DISC)])
    assert [own.sheet for own in packing.sheets] == [1]
    assert (packing.cost, packing.status) == (10.0, Status.OPTIMAL)


def test_sheets_on_hand_are_not_used_twice() -> None:
    sheets = [Sheet(210, 210, price=1.0, available=1), Sheet(210, 210, price=5.0)]
    pieces = [ShapePiece(DISC, quantity=3)]
    packing = pack_shapes(sheets, pieces, gap=5.0, edge_margin=5.0)
    assert sorted(own.sheet for own in packing.sheets) == [0, 1, 1]
    assert packing.cost == 11.0
    assert shape_faults(sheets, pieces, packing, gap=5.0, edge_margin=5.0) == ()


def test_rectangles_are_packed_as_such_and_keep_their_own_origin() -> None:
    sheets = [Sheet(300, 200)]
    pieces = [
        ShapePiece(rectangle(10, 20, 110, 220), turns=(90.0,)),
        ShapePiece(rectangle(-50, -50, 50, 50), quantity=4, turns=(0.0, 180.0)),
    ]
    packing = pack_shapes(sheets, pieces)
    assert (len(packing.sheets), packing.status) == (1, Status.OPTIMAL)
    assert shape_faults(sheets, pieces, packing) == ()


def test_no_pieces_need_no_sheets() -> None:
    assert pack_shapes([Sheet(10, 10)], []).cost == 0.0


def test_mistakes_are_told_all_at_once_with_their_places() -> None:
    bow = polygon_ring([(0, 0), (10, 10), (10, 0), (0, 10)])
    with pytest.raises(JobMistakes) as caught:
        pack_shapes(
            [Sheet(0, 10)],
            [
                ShapePiece(bow, name="bow"),
                ShapePiece(HALF, (rectangle(-5, -5, 5, 5),), quantity=0),
                ShapePiece(HALF, turns=()),
            ],
            gap=-1.0,
        )
    places = [mistake.place for mistake in caught.value.mistakes]
    assert places == [
        "sheet 1, length",
        "piece 'bow', outline" if "'bow'" in str(caught.value) else "piece bow, outline",
        "piece 2, holes",
        "piece 2, quantity",
        "piece 3, turns",
        "gap",
    ]


def test_a_piece_that_no_sheet_carries_is_named_with_its_size() -> None:
    with pytest.raises(NothingFits, match=r"piece 1: it is 1200 x 800 over all.*longer or wider"):
        pack_shapes([Sheet(1000, 700)], [ShapePiece(HALF)])


def test_too_few_sheets_are_told() -> None:
    with pytest.raises(NothingFits, match="available"):
        pack_shapes([Sheet(210, 210, available=1)], [ShapePiece(DISC, quantity=2)])


def test_the_metal_of_a_disc_is_no_more_than_it_is() -> None:
    area = pi * 100 * 100
    assert area * 0.999 < room_taken(ShapePiece(DISC), 0.0) <= area
    assert pi * 102**2 * 0.995 < room_taken(ShapePiece(DISC), 4.0) <= pi * 102**2


def test_the_rectangle_inside_a_house_is_its_lower_part() -> None:
    house = ShapePiece(polygon_ring([(0, 0), (100, 0), (100, 60), (50, 90), (0, 60)]))
    assert inner_rectangle(house) == pytest.approx((100, 60), abs=1e-4)


def test_rectangles_inside_prove_more_than_the_metal_does() -> None:
    """Parts with a core of more than half a sheet each way need a sheet each, though their metal would fit on two."""
    house = ShapePiece(polygon_ring([(0, 0), (60, 0), (60, 52), (30, 60), (0, 52)]), quantity=4)
    assert least_cost([(100, 100, 1.0, None)], [house], 0.0) == 4.0


@settings(max_examples=6, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            [HALF, rectangle(0, 0, 500, 300, 60), polygon_ring([(0, 0), (700, 0), (600, 300), (100, 300)])]
        ),
        min_size=1,
        max_size=5,
    ),
    st.sampled_from([0.0, 3.0]),
)
def test_packings_are_sound_and_bounds_lie_below(rings: list[Ring], gap: float) -> None:
    sheets = [Sheet(2000, 1000, price=20.0), Sheet(1300, 900, price=13.0)]
    pieces = [ShapePiece(ring) for ring in rings]
    packing = pack_shapes(sheets, pieces, gap=gap, edge_margin=4.0, limits=SolveLimits(time_limit=0.3))
    assert shape_faults(sheets, pieces, packing, gap=gap, edge_margin=4.0) == ()
