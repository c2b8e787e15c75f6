"""Sets of shapes on one sheet: every layout is judged from the true outlines."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.outline import Ring, polygon_ring, rectangle
from nesting.shapes import ShapePiece
from nesting.shaping.placeset import place_in, place_set
from nesting.shaping.shapefilling import ShapeSet
from tests.bench.shape_check import layout_faults

ARCH: Ring = ((0, 0, 0.0), (150, 0, -1.0), (750, 0, 0.0), (900, 0, 0.0), (900, 1100, 0.0), (0, 1100, 0.0))
WEDGE = polygon_ring([(0, 0), (1000, 0), (0, 600)])
TAPER = polygon_ring([(0, 0), (1000, 0), (900, 700), (100, 700)])
WINDOW = ShapePiece(rectangle(0, 0, 800, 600, 50), (rectangle(100, 100, 700, 500, 80),))


def test_a_part_as_large_as_the_sheet_fits() -> None:
    piece = ShapePiece(rectangle(3, 4, 303, 204), turns=(0.0,))
    (place,) = place_set(300, 200, [piece], spacing=5.0) or ()
    assert (place.x, place.y) == pytest.approx((-3.0, -4.0))


def test_a_part_larger_by_a_hair_does_not() -> None:
    assert place_set(300, 200, [ShapePiece(rectangle(0, 0, 300.01, 200))]) is None


def test_more_metal_than_sheet_is_refused() -> None:
    assert place_set(300, 200, [ShapePiece(rectangle(0, 0, 150, 110), quantity=4)]) is None


def test_two_wedges_make_up_a_sheet() -> None:
    pieces = [ShapePiece(WEDGE, quantity=2)]
    places = place_set(1000, 600, pieces)
    assert places is not None
    assert [*layout_faults(1000, 600, pieces, places)] == []


def test_a_part_whose_mirror_image_is_wanted_fits_only_where_it_may_be_turned_over() -> None:
    """The roof leaves room for a taper that falls to the right; the part rises to the right."""
    roof = ShapePiece(polygon_ring([(0, 60), (100, 30), (100, 90), (0, 90)]), turns=(0.0,))
    rising = polygon_ring([(0, 0), (100, 0), (100, 60), (0, 30)])
    pieces = [roof, ShapePiece(rising, turns=(0.0,), flip=True)]
    places = place_set(100, 90, pieces)
    assert places is not None
    assert [place.flip for place in sorted(places, key=lambda place: place.piece)] == [False, True]
    assert [*layout_faults(100, 90, pieces, places)] == []
    assert place_set(100, 90, [roof, ShapePiece(rising, turns=(0.0,))], rounds=50) is None


def test_a_part_lies_in_the_hole_of_another_where_there_is_no_other_room() -> None:
    pieces = [WINDOW, ShapePiece(rectangle(0, 0, 590, 390, 90))]
    places = place_set(800, 600, pieces, spacing=5.0)
    assert places is not None
    assert [*layout_faults(800, 600, pieces, places, gap=5.0)] == []
    assert (
        place_set(800, 600, [WINDOW, ShapePiece(rectangle(0, 0, 591, 391))], spacing=5.0, rounds=50) is None
    )


def test_a_part_lies_within_a_wheel_arch() -> None:
    pieces = [ShapePiece(ARCH, turns=(0.0,)), ShapePiece(rectangle(0, 0, 420, 200), turns=(0.0,))]
    places = place_set(900, 1100, pieces, spacing=3.0)
    assert places is not None
    assert [*layout_faults(900, 1100, pieces, places, gap=3.0)] == []


def test_a_mixed_set_fits_with_its_spacing() -> None:
    pieces = [
        ShapePiece(ARCH),
        ShapePiece(TAPER, quantity=2),
        *(ShapePiece(rectangle(0, 0, 300, w)) for w in (200, 500)),
    ]
    places = place_set(3000, 1250, pieces, spacing=3.0)
    assert places is not None
    assert [*layout_faults(3000, 1250, pieces, places, gap=3.0)] == []


def test_the_same_seed_gives_the_same_layout_whatever_was_asked_before() -> None:
    pieces = [ShapePiece(ARCH), ShapePiece(TAPER, quantity=2), ShapePiece(WEDGE)]
    fresh = place_set(3000, 1250, pieces, spacing=3.0, seed=4)
    shapes = ShapeSet(pieces, 3.0)
    place_in(shapes, 1500, 1250, (1, 0, 1))
    assert place_in(shapes, 3000, 1250, seed=4) == fresh


def test_equal_pieces_of_other_origin_are_one_kind_and_keep_their_own_places() -> None:
    pieces = [ShapePiece(rectangle(0, 0, 100, 50)), ShapePiece(rectangle(500, 700, 550, 800))]
    assert len(ShapeSet(pieces).areas) == 1
    places = place_set(100, 100, pieces)
    assert places is not None
    assert [*layout_faults(100, 100, pieces, places)] == []


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.sampled_from([ARCH, WEDGE, TAPER, rectangle(0, 0, 700, 300, 40)]), min_size=1, max_size=5),
    st.sampled_from([0.0, 2.5]),
    st.booleans(),
    st.sampled_from([(0.0, 90.0, 180.0, 270.0), (0.0,), (10.0, 100.0)]),
)
def test_layouts_are_sound_whatever_is_asked(
    rings: list[Ring], spacing: float, flip: bool, turns: tuple[float, ...]
) -> None:
    pieces = [ShapePiece(ring, turns=turns, flip=flip) for ring in rings]
    places = place_set(2500, 1250, pieces, spacing=spacing, rounds=20)
    assert places is not None or len(rings) > 1
    assert [*layout_faults(2500, 1250, pieces, places or (), gap=spacing)] == []
    assert places is None or sorted(place.piece for place in places) == list(range(len(rings)))
