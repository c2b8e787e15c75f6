"""The public packer: what it gives back can be cut as asked, and is proved best where that can be seen by hand."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.limits import Progress, SolveLimits
from nesting.packer import PackedSheet, Packing, Piece, Place, Sheet, pack_rectangles
from nesting.plan import Status
from shared.errors import JobMistakes, NothingFits
from tests.bench.layout_check import packing_faults

BRIEF = SolveLimits(time_limit=1.0)


@st.composite
def requests(draw: st.DrawFn) -> dict[str, object]:
    """Sheets, pieces and rules of every kind, such that every piece fits the first sheet."""
    first = Sheet(draw(st.integers(40, 120)), draw(st.integers(40, 60)), 10.0)
    more = draw(
        st.lists(st.builds(Sheet, st.integers(20, 90), st.integers(20, 60), st.integers(3, 9)), max_size=2)
    )
    gap = draw(st.sampled_from([0.0, 0.25, 1.0]))
    pieces = draw(
        st.lists(
            st.builds(
                Piece, st.integers(3, 36), st.integers(3, 36), quantity=st.integers(1, 4), turn=st.booleans()
            ),
            min_size=1,
            max_size=8,
        )
    )
    return {
        "sheets": [first, *more],
        "pieces": pieces,
        "edge_to_edge": draw(st.booleans()),
        "longest_cut": draw(st.sampled_from([None, 130.0])),
        "gap": gap,
        "edge_margin": draw(st.sampled_from([0.0, 0.5])),
    }


@settings(max_examples=25, deadline=None)
@given(requests())
def test_every_packing_can_be_cut_as_asked(request: dict[str, object]) -> None:
    packing = pack_rectangles(**request, limits=SolveLimits(time_limit=0.3))  # type: ignore[arg-type]
    assert packing_faults(packing=packing, **request) == ()  # type: ignore[arg-type]


def test_pieces_that_fill_the_sheet_to_the_last_sixty_fourth_fit() -> None:
    # three times 40 1/64 and two gaps of 1/8 fill 120 19/64 exactly
    sheets = [Sheet(120 + 19 / 64, 48 + 1 / 64)]
    pieces = [Piece(40 + 1 / 64, 48 + 1 / 64, quantity=3, turn=False)]
    packing = pack_rectangles(sheets, pieces, gap=1 / 8)
    assert len(packing.sheets) == 1
    assert packing_faults(sheets, pieces, packing, gap=1 / 8) == ()


def test_a_sheet_that_the_margins_take_whole_is_no_hindrance() -> None:
    packing = pack_rectangles([Sheet(2, 2), Sheet(12, 12)], [Piece(5, 5, quantity=4)], edge_margin=1)
    assert [own.sheet for own in packing.sheets] == [1]


def test_pieces_that_fill_the_sheet_to_the_last_tenth_fit() -> None:
    sheets = [Sheet(1000.2, 500.1)]
    pieces = [Piece(333.4, 500.1, quantity=3)]
    assert len(pack_rectangles(sheets, pieces).sheets) == 1
    assert len(pack_rectangles(sheets, [Piece(333.5, 500.1, quantity=3)]).sheets) == 2


def test_turning_is_told_by_the_piece_as_given() -> None:
    packing = pack_rectangles([Sheet(120, 48)], [Piece(40, 110)])
    assert packing.sheets == (PackedSheet(0, (Place(0, 0.0, 0.0, turned=True),)),)
    packing = pack_rectangles([Sheet(120, 48)], [Piece(110, 40)])
    assert packing.sheets[0].places[0].turned is False


def test_the_dearer_sheet_that_carries_all_beats_two_cheap_ones() -> None:
    sheets = [Sheet(96, 48, 80.0), Sheet(120, 48, 110.0)]
    packing = pack_rectangles(sheets, [Piece(60, 48, quantity=2)])
    assert (packing.cost, packing.bound, packing.status) == (110.0, 110.0, Status.OPTIMAL)
    assert packing.gap == 0.0


def test_without_prices_the_least_area_is_cut_up() -> None:
    packing = pack_rectangles([Sheet(120, 48), Sheet(60, 48)], [Piece(60, 48)])
    assert [own.sheet for own in packing.sheets] == [1]
    assert packing.cost == 60 * 48


def test_pinwheel_needs_a_second_sheet_only_on_a_shear() -> None:
    # four 3 x 2 round a free square in the middle of 5 x 5: no cut runs through
    sheets, pieces = [Sheet(5, 5, 1.0)], [Piece(3, 2, quantity=4)]
    assert pack_rectangles(sheets, pieces).cost == 1
    sheared = pack_rectangles(sheets, pieces, edge_to_edge=True, limits=BRIEF)
    assert sheared.cost == 2
    assert packing_faults(sheets, pieces, sheared, edge_to_edge=True) == ()


def test_a_short_shear_cannot_cut_a_long_piece_free() -> None:
    sheets, pieces = [Sheet(120, 48)], [Piece(60, 24)]
    with pytest.raises(NothingFits, match="60 x 24"):
        pack_rectangles(sheets, pieces, edge_to_edge=True, longest_cut=50)
    assert pack_rectangles(sheets, pieces, edge_to_edge=True, longest_cut=60).cost == 120 * 48


def test_margins_do_not_count_against_the_longest_cut() -> None:
    # the sheet is cut across at 60, 50 long, and freed of its margins before the cuts of 59 between the pieces
    sheets, pieces = [Sheet(120, 50)], [Piece(59, 24, quantity=4, turn=False)]
    packing = pack_rectangles(sheets, pieces, edge_to_edge=True, longest_cut=59, edge_margin=1)
    assert len(packing.sheets) == 1
    assert packing_faults(sheets, pieces, packing, edge_to_edge=True, longest_cut=59, edge_margin=1) == ()


def test_a_sheet_with_margins_that_no_cut_goes_across_is_of_no_use() -> None:
    # 48 of 50 may be used, but the margins cannot be cut off a sheet 50 wide
    with pytest.raises(NothingFits, match="20 x 20"):
        pack_rectangles([Sheet(120, 50)], [Piece(20, 20)], edge_to_edge=True, longest_cut=49, edge_margin=1)
    sheets, pieces = [Sheet(120, 50), Sheet(80, 49)], [Piece(20, 20, quantity=4)]
    packing = pack_rectangles(sheets, pieces, edge_to_edge=True, longest_cut=49, edge_margin=1)
    assert [own.sheet for own in packing.sheets] == [1]


def test_only_the_sheets_available_are_used() -> None:
    sheets = [Sheet(10, 10, 1.0, available=1), Sheet(11, 10, 5.0)]
    packing = pack_rectangles(sheets, [Piece(6, 6, quantity=3)])
    assert sorted(own.sheet for own in packing.sheets) == [0, 1, 1]
    assert packing.cost == 11


def test_too_few_sheets_are_refused_with_what_there_is() -> None:
    with pytest.raises(NothingFits, match="sheet 'left over': 1"):
        pack_rectangles([Sheet(10, 10, available=1, name="left over")], [Piece(6, 6, quantity=2)])


def test_every_piece_that_fits_nowhere_is_told_at_once() -> None:
    pieces = [Piece(11, 2, name="rail"), Piece(2, 2), Piece(2, 12, turn=False)]
    with pytest.raises(NothingFits) as raised:
        pack_rectangles([Sheet(10, 10)], pieces)
    lines = str(raised.value).splitlines()
    assert [line.split(":")[0] for line in lines] == ["piece 'rail'", "piece 3"]


def test_every_mistake_is_told_at_once() -> None:
    sheets = [Sheet(0, 10, 4.0), Sheet(10, float("nan"), available=-1), Sheet(5, 5, float("inf"))]
    with pytest.raises(JobMistakes) as raised:
        pack_rectangles(sheets, [Piece(-1, 2, 0)], longest_cut=0, gap=-1, edge_margin=float("inf"))
    places = [mistake.place for mistake in raised.value.mistakes]
    assert places == [
        "sheet 1, length",
        "sheet 2, width",
        "sheet 2, price",
        "sheet 2, available",
        "sheet 3, price",
        "piece 1, length",
        "piece 1, quantity",
        "longest_cut",
        "gap",
        "edge_margin",
    ]


def test_no_pieces_need_no_sheets() -> None:
    assert pack_rectangles([Sheet(10, 10)], []) == Packing(Status.OPTIMAL, (), 0.0, 0.0)


def test_equal_requests_get_equal_packings() -> None:
    random = Random(5)
    pieces = [Piece(random.randint(8, 70), random.randint(6, 40)) for _ in range(25)]
    first, second = (pack_rectangles([Sheet(120, 60)], pieces) for _ in range(2))
    assert first == second


def test_news_are_in_the_money_of_the_caller() -> None:
    heard: list[Progress] = []
    limits = SolveLimits(time_limit=2.0, on_progress=heard.append)
    packing = pack_rectangles([Sheet(120, 48)], [Piece(60, 24, quantity=9)], limits=limits)
    costs = [news.best for news in heard if news.best is not None]
    assert costs[-1] == packing.cost == 3 * 120 * 48
    assert all(later <= earlier for earlier, later in pairwise(costs))


def test_a_stop_still_gives_a_packing() -> None:
    random = Random(7)
    sheets = [Sheet(120, 60, 3.0), Sheet(96, 48, 2.0)]
    pieces = [Piece(random.randint(8, 50), random.randint(6, 40)) for _ in range(40)]
    packing = pack_rectangles(sheets, pieces, limits=SolveLimits(should_stop=lambda: True))
    assert packing.status is Status.FEASIBLE
    assert packing_faults(sheets, pieces, packing) == ()
