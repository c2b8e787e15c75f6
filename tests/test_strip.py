"""Irregular parts on a strip: layouts that hold, known shortest lengths, mistakes told."""

from __future__ import annotations

from math import cos, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from nesting.limits import SolveLimits
from nesting.outline import rectangle
from nesting.strip import StripPart, StripPlace, StripPlacing, place_on_strip
from shared.errors import JobMistakes, NothingFits
from tests.strip_layouts import laid, strip_faults

SQUARE = ((0, 0), (2, 0), (2, 2), (0, 2))
ELL = ((0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2))
HALF = ((0, 0), (3, 0), (0, 3))
FRAME = ((0, 0), (6, 0), (6, 6), (0, 6))
QUARTERS = (0.0, 90.0, 180.0, 270.0)


def placed(
    width: float, *parts: StripPart, gap: float = 0.0, rounds: int = 200, seed: int = 0
) -> StripPlacing:
    """A placing after a fixed number of rounds, judged."""
    placing = place_on_strip(width, parts, gap=gap, limits=SolveLimits(seed=seed), rounds=rounds)
    assert list(strip_faults(width, parts, placing, gap)) == []
    return placing


def star(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """A star-shaped outline by (share of the way to the next corner's angle, distance from the middle)."""
    count = len(points)
    turns = [2 * pi * (k + 0.8 * share) / count for k, (share, _) in enumerate(points)]
    return tuple((r * cos(t), r * sin(t)) for t, (_, r) in zip(turns, points, strict=True))


OUTLINES = st.lists(st.tuples(st.floats(0, 1), st.floats(1, 4)), min_size=4, max_size=8).map(star)
PARTS = st.builds(
    StripPart,
    outline=OUTLINES,
    quantity=st.integers(1, 2),
    turns=st.sampled_from([(0.0,), (0.0, 180.0), QUARTERS, (15.0, 77.5)]),
    flip=st.booleans(),
)


@settings(max_examples=8, deadline=None)
@given(st.lists(PARTS, min_size=1, max_size=3), st.floats(8.5, 14))
def test_no_part_lies_on_another_nor_leaves_the_strip(parts: list[StripPart], width: float) -> None:
    placed(width, *parts, rounds=25)


@settings(max_examples=8, deadline=None)
@given(st.lists(PARTS, min_size=2, max_size=3), st.floats(0.05, 2))
def test_parts_keep_the_gap(parts: list[StripPart], gap: float) -> None:
    placed(9.0, *parts, gap=gap, rounds=25)


@settings(max_examples=8, deadline=None)
@given(st.lists(PARTS, min_size=1, max_size=3))
def test_no_strip_is_shorter_than_its_area_asks_for(parts: list[StripPart]) -> None:
    placing = placed(9.0, *parts, rounds=20)
    area = sum(Polygon(part.outline).area * part.quantity for part in parts)
    assert placing.length >= area / 9.0 * (1 - 1e-9)
    assert placing.bound >= area / 9.0 * (1 - 1e-9)


def test_squares_fill_the_strip_and_that_is_proved() -> None:
    placing = placed(4, StripPart(SQUARE, quantity=4))
    assert placing.length == 4.0
    assert placing.bound == 4.0


def test_two_ells_hook_into_each_other() -> None:
    assert placed(3, StripPart(ELL, quantity=2, turns=(0.0, 180.0))).length == 2.0


def test_an_ell_that_must_not_turn_does_not() -> None:
    """Unturned, one ell fits the other's corner only a step aside: 1 along and 1 across, width 3."""
    placing = placed(3, StripPart(ELL, quantity=2))
    assert placing.length == 3.0
    assert {place.turn for place in placing.places} == {0.0}


def test_two_right_triangles_make_a_square() -> None:
    assert placed(3, StripPart(HALF, quantity=2, turns=(0.0, 180.0))).length == 3.0


def test_a_flip_helps_where_turning_does_not() -> None:
    """A trapezium of area 6 and a triangle of area 2 make 2 x 4, the right angle in the upper left corner."""
    trapezium = StripPart(((0, 0), (4, 0), (4, 2), (2, 2)))
    mirrored = ((2, 0), (2, 2), (0, 2))
    assert placed(2, trapezium, StripPart(((0, 0), (2, 2), (0, 2)))).length == 4.0
    assert placed(2, trapezium, StripPart(mirrored)).length > 4.5
    flipped = placed(2, trapezium, StripPart(mirrored, flip=True))
    assert flipped.length == 4.0
    assert [place.flipped for place in flipped.places if place.part == 1] == [True]


def test_a_small_part_lies_in_the_hole_of_a_large_one() -> None:
    hole = ((1, 1), (5, 1), (5, 5), (1, 5))
    assert placed(6, StripPart(FRAME, holes=(hole,)), StripPart(SQUARE, quantity=4)).length == 6.0


def test_a_gap_of_one_holds_between_squares_but_not_at_the_edge() -> None:
    assert placed(5, StripPart(SQUARE, quantity=4), gap=1.0).length == 5.0


def test_round_parts_do_not_touch_where_their_arcs_bulge() -> None:
    disc = tuple((x, y, b) for x, y, b in rectangle(0, 0, 4, 4, corner_radius=2))
    placing = placed(4, StripPart(disc, quantity=3))
    # flattened outwards by two thousandths of the size at the most
    assert 12.0 <= placing.length <= 12.0 + 6 * 0.008
    assert len(laid([StripPart(disc)], placing)) == 3


def test_a_hollow_arc_lets_nothing_in_beyond_it() -> None:
    """A square of side 2 fits a bay of width 2 whose bottom is hollow by a quarter: it goes in as far as the chord."""
    bay = ((0, 0), (4, 0), (4, 4), (3, 4), (3, 2, -0.4), (1, 2), (1, 4), (0, 4))
    placed(4, StripPart(bay), StripPart(SQUARE))


def test_equal_seeds_and_rounds_give_equal_layouts() -> None:
    parts = (StripPart(ELL, quantity=3, turns=QUARTERS), StripPart(HALF, quantity=2, turns=QUARTERS))
    assert placed(4, *parts, seed=3, rounds=60) == placed(4, *parts, seed=3, rounds=60)


def test_more_rounds_are_never_worse() -> None:
    parts = (StripPart(ELL, quantity=5, turns=QUARTERS), StripPart(HALF, quantity=4, turns=QUARTERS))
    lengths = [placed(5, *parts, rounds=rounds).length for rounds in (0, 25, 150)]
    assert lengths == sorted(lengths, reverse=True)


def test_no_time_at_all_still_gives_a_layout() -> None:
    parts = [StripPart(SQUARE, quantity=3)]
    placing = place_on_strip(4, parts, limits=SolveLimits(time_limit=0.0))
    assert placing.length == 6.0
    assert list(strip_faults(4, parts, placing)) == []


def test_nothing_to_place_needs_no_strip() -> None:
    assert placed(4) == StripPlacing(0.0, (), 0.0)
    assert placed(4, StripPart(SQUARE, quantity=0)).places == ()


def test_one_part_lies_where_its_place_says() -> None:
    outline = ((5, 5), (7, 5), (7, 6), (5, 6))
    assert placed(2, StripPart(outline, turns=(90.0,))).places == (StripPlace(0, 90.0, False, 6.0, -5.0),)


def test_news_tell_shorter_and_shorter_strips() -> None:
    told: list[float] = []
    limits = SolveLimits(on_progress=lambda news: told.append(news.best or 0.0))
    placing = place_on_strip(4, [StripPart(SQUARE, quantity=4)], limits=limits, rounds=100)
    assert told == sorted(told, reverse=True)
    assert told[-1] == placing.length


def test_a_part_wider_than_the_strip_is_refused_by_name() -> None:
    with pytest.raises(NothingFits, match="part 2 'door' is wider than the strip"):
        placed(4, StripPart(SQUARE), StripPart(((0, 0), (1, 0), (1, 5), (0, 5)), name="door"))


def test_the_same_part_fits_where_it_may_turn() -> None:
    assert placed(4, StripPart(((0, 0), (1, 0), (1, 5), (0, 5)), turns=(0.0, 90.0))).length == 5.0


@pytest.mark.parametrize(
    ("width", "part", "told"),
    [
        (0.0, StripPart(SQUARE), "strip, width"),
        (4.0, StripPart(SQUARE, quantity=-1), "part 1, quantity"),
        (4.0, StripPart(SQUARE, turns=()), "part 1, turns"),
        (4.0, StripPart(((0, 0), (1, 0))), "three corners"),
        (4.0, StripPart(((0, 0), (2, 2), (2, 0), (0, 2))), "cross itself"),
        (4.0, StripPart(((0, 0), (2, 0), (float("nan"), 2))), "plain numbers"),
        (4.0, StripPart(SQUARE, quantity=100_000), "in all"),
    ],
)
def test_mistakes_are_told_with_their_place(width: float, part: StripPart, told: str) -> None:
    with pytest.raises(JobMistakes, match=told):
        placed(width, part)


def test_all_mistakes_are_told_at_once() -> None:
    with pytest.raises(JobMistakes) as caught:
        placed(-1.0, StripPart(SQUARE, quantity=-1), gap=-2.0)
    assert len(caught.value.mistakes) == 3
