"""Edge-to-edge cutting answered exactly: against trying everything, with and without a longest cut."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.outline import Box
from nesting.placing.edgefitting import edge_places, roomiest
from nesting.placing.fitting import Fitter
from nesting.plans.cutorder import cut_order
from nesting.sizing.problem import PartClass, Pattern, Problem, SheetSize, Spot
from tests.real_layouts import RealLayout, real_layouts
from tests.small_problems import cuts_by_trying, part, ways

PLENTY = 10**6


def boxes_of(spots: Sequence[Spot], classes: Sequence[PartClass]) -> list[Box]:
    found: list[Box] = []
    for k, x, y, turned in spots:
        a, b = classes[k].length, classes[k].width
        a, b = (b, a) if turned else (a, b)
        found.append((x, y, x + a, y + b))
    return found


def assert_sound(
    sheet: SheetSize, classes: Sequence[PartClass], pattern: Pattern, spots: Sequence[Spot]
) -> None:
    """All parts are there, turned only where they may be, apart, and freed by cuts that are not too long."""
    assert sorted(spot[0] for spot in spots) == [k for k, count in pattern for _ in range(count)]
    assert not any(turned and not classes[k].turnable for k, _, _, turned in spots)
    boxes = boxes_of(spots, classes)
    assert all(x0 >= 0 and y0 >= 0 and x1 <= sheet.length and y1 <= sheet.width for x0, y0, x1, y1 in boxes)
    assert cut_order(sheet.length, sheet.width, boxes, sheet.longest_cut) is not None


def test_pinwheel_round_a_hole_is_refused() -> None:
    sheet, kind = SheetSize(5, 5, 1.0), part(3, 2, True)
    assert edge_places(sheet, [kind], ((0, 4),), PLENTY) is False
    assert edge_places(sheet, [kind], ((0, 3),), PLENTY)


def test_layout_that_no_simple_rule_finds_is_found() -> None:
    # 100 x 60 without a unit to spare: a column of three, a row of two over a row of three
    sheet = SheetSize(100, 60, 1.0)
    kinds = [part(30, 20), part(35, 25), part(30, 35), part(20, 35)]
    pattern = ((0, 3), (1, 2), (2, 1), (3, 2))
    spots = edge_places(sheet, kinds, pattern, PLENTY)
    assert spots
    assert_sound(sheet, kinds, pattern, spots)


def test_question_too_large_for_the_work_allowed_stays_open() -> None:
    kinds = [part(10 + k, 9 + k) for k in range(12)]
    pattern = tuple((k, 1) for k in range(12))
    assert edge_places(SheetSize(60, 50, 1.0), kinds, pattern, 1000) is None


def test_parts_larger_than_the_sheet_together_need_no_search() -> None:
    kinds = [part(10 + k, 9 + k) for k in range(12)]
    assert edge_places(SheetSize(40, 40, 1.0), kinds, tuple((k, 1) for k in range(12)), 1) is False


@pytest.mark.parametrize(
    ("length", "width", "longest", "a", "b", "freed"),
    [
        (12, 4, 10, 10, 3, True),
        # along its upper side an 11 long cut would be needed
        (12, 4, 10, 11, 3, False),
        # from edge to edge of the sheet's width only its end is cut
        (12, 4, 10, 11, 4, True),
        # no cut at all
        (12, 11, 10, 12, 11, True),
        (12, 11, 10, 5, 5, False),
        # the other way round
        (4, 12, 10, 4, 11, True),
        (4, 12, 10, 3, 11, False),
    ],
)
def test_part_longer_than_the_shear_must_reach_from_edge_to_edge(
    length: int, width: int, longest: int, a: int, b: int, freed: bool
) -> None:
    sheet, kind = SheetSize(length, width, 1.0, longest_cut=longest), part(a, b)
    assert bool(kind.placings(sheet)) is freed
    assert bool(edge_places(sheet, [kind], ((0, 1),), PLENTY)) is freed
    assert cuts_by_trying(sheet, ways([kind], ((0, 1),)) or (((a, b),),), longest) is freed


@pytest.mark.parametrize("rim", [0, 1])
def test_rim_that_must_come_off_leaves_no_part_longer_than_the_shear(rim: int) -> None:
    sheet = SheetSize(12, 4, 1.0, longest_cut=10, rim=rim)
    assert sheet.frees(11, 4) is (rim == 0)
    assert sheet.frees(10, 4)
    assert SheetSize(12, 9, 1.0, longest_cut=10, rim=rim).can_be_cut is (rim == 0)


def test_problem_tells_its_sheets_how_long_a_cut_may_be() -> None:
    sheets = (SheetSize(12, 4, 1.0),)
    straight = Problem(sheets, (part(11, 3),), (1,), edge_to_edge=True, longest_cut=10)
    assert straight.sheets[0].longest_cut == 10
    assert Problem(sheets, (part(11, 3),), (1,), longest_cut=10).sheets[0].longest_cut is None


def test_fitter_knows_a_part_that_the_shear_cannot_free() -> None:
    fitter = Fitter((SheetSize(12, 4, 1.0),), [part(11, 3), part(11, 4)], True, 10)
    assert fitter.places(0, ((0, 1),)) is False
    assert fitter.places(0, ((1, 1),))


@st.composite
def questions(draw: st.DrawFn) -> tuple[SheetSize, list[PartClass], Pattern]:
    """A sheet of at most 9 x 7, up to five parts that are not larger than it, and perhaps a longest cut."""
    longest = draw(st.sampled_from([None, None, 4, 5, 6, 7]))
    sheet = SheetSize(draw(st.integers(3, 9)), draw(st.integers(2, 7)), 1.0, longest_cut=longest)
    classes: list[PartClass] = []
    counts: list[int] = []
    area = sheet.length * sheet.width
    for _ in range(draw(st.integers(1, 5))):
        whole_length, whole_width = draw(st.booleans()), draw(st.booleans())
        kind = part(
            sheet.length if whole_length else draw(st.integers(1, 6)),
            sheet.width if whole_width else draw(st.integers(1, 5)),
            draw(st.booleans()),
        )
        area -= kind.length * kind.width
        if area < 0:
            break
        if kind in classes:
            counts[classes.index(kind)] += 1
        else:
            classes.append(kind)
            counts.append(1)
    assume(classes)
    return sheet, classes, tuple(enumerate(counts))


def sizes(classes: Sequence[PartClass], pattern: Pattern) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Every turn of every part, whatever the sheet says of it."""
    free = SheetSize(10**6, 10**6, 1.0)
    return tuple(classes[k].placings(free) for k, count in pattern for _ in range(count))


@settings(deadline=None, max_examples=250)
@given(questions())
def test_answers_are_those_of_trying_every_cut(
    question: tuple[SheetSize, list[PartClass], Pattern],
) -> None:
    sheet, classes, pattern = question
    answer = edge_places(sheet, classes, pattern, PLENTY)
    assert answer is not None
    assert bool(answer) is cuts_by_trying(sheet, sizes(classes, pattern), sheet.longest_cut)
    if answer:
        assert_sound(sheet, classes, pattern, answer)


@settings(deadline=None, max_examples=80)
@given(real_layouts(most_side=400, depth=3, edge_to_edge=True))
def test_what_was_cut_from_the_sheet_is_found_again(layout: RealLayout) -> None:
    answer = edge_places(layout.sheet, layout.classes, layout.pattern, 10**7)
    assert answer is not False
    if answer:
        assert_sound(layout.sheet, layout.classes, layout.pattern, answer)


@settings(deadline=None, max_examples=40)
@given(questions(), st.sampled_from([0, 6, 12]))
def test_first_of_the_roomiest_layouts_leaves_the_largest_piece_there_is(
    question: tuple[SheetSize, list[PartClass], Pattern], floor: int
) -> None:
    sheet, classes, pattern = question
    assume(sum(count for _, count in pattern) <= 3)
    least = 2
    own = sizes(classes, pattern)
    best = max(
        (
            a * b
            for a, b in product(range(least, sheet.length + 1), range(least, sheet.width + 1))
            if a * b > floor and cuts_by_trying(sheet, (*own, ((a, b),)), sheet.longest_cut)
        ),
        default=0,
    )
    layouts = roomiest(sheet, classes, pattern, PLENTY, least=least, floor=floor, wanted=3)
    assert bool(layouts) is bool(best)
    if layouts:
        assert_sound(sheet, classes, pattern, layouts[0])
        assert largest_left_over(sheet, boxes_of(layouts[0], classes), least) == best


def largest_left_over(sheet: SheetSize, boxes: Sequence[Box], least: int) -> int:
    """Area of the largest piece, at least so large both ways, when the cuts are made as if a unit were a metre."""
    metres: list[Box] = [(1e3 * x0, 1e3 * y0, 1e3 * x1, 1e3 * y1) for x0, y0, x1, y1 in boxes]
    longest = None if sheet.longest_cut is None else 1e3 * sheet.longest_cut
    found = cut_order(1e3 * sheet.length, 1e3 * sheet.width, metres, longest, keep=1e3 * least)
    assert found is not None
    kept = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in found.left_over]
    return max((round(a * b / 1e6) for a, b in kept if min(a, b) >= 1e3 * least - 1e-6), default=0)
