"""Placing: what fits is placed, places are sound, and 'does not fit' is said only when it is so."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.job import Cutting, Stock
from nesting.outline import Box
from nesting.placing.fitting import Fitter, Spot
from nesting.plans.cutorder import cut_order
from nesting.sizing.problem import PartClass, Pattern, SheetSize
from nesting.sizing.sizes import part_class, sheet_size
from tests.hand_plans import base_job
from tests.real_layouts import RealLayout, real_layouts
from tests.small_problems import cuts_by_trying, fits_by_trying, part, ways

INCH = 25.4
SIXTY_FOURTH = 635
"""Solver units in 1/64 in."""


def fitter(
    sheet: SheetSize, *classes: PartClass, edge_to_edge: bool = False, longest: int | None = None
) -> Fitter:
    return Fitter((sheet,), classes, edge_to_edge, longest)


def boxes_of(spots: tuple[Spot, ...], classes: tuple[PartClass, ...]) -> list[Box]:
    found: list[Box] = []
    for k, x, y, turned in spots:
        a, b = classes[k].length, classes[k].width
        a, b = (b, a) if turned else (a, b)
        found.append((x, y, x + a, y + b))
    return found


def assert_sound(
    sheet: SheetSize, classes: tuple[PartClass, ...], pattern: Pattern, spots: tuple[Spot, ...]
) -> None:
    """Every part is there, on the sheet, turned only where it may be, and apart from every other."""
    assert Counter(spot[0] for spot in spots) == dict(pattern)
    assert not any(turned and not classes[k].turnable for k, _, _, turned in spots)
    boxes = boxes_of(spots, classes)
    for i, (x0, y0, x1, y1) in enumerate(boxes):
        assert min(x0, y0) >= 0
        assert x1 <= sheet.length
        assert y1 <= sheet.width
        for u0, v0, u1, v1 in boxes[:i]:
            assert x1 <= u0 or u1 <= x0 or y1 <= v0 or v1 <= y0


@pytest.mark.parametrize("pieces", [1, 2, 3, 4, 6, 8, 12])
def test_exact_fit_fits_and_one_unit_more_does_not(pieces: int) -> None:
    sheet = SheetSize(96 * 64 * SIXTY_FOURTH, 48 * 64 * SIXTY_FOURTH, 1.0)
    exact = part(sheet.length // pieces, sheet.width)
    assert fitter(sheet, exact).places(0, ((0, pieces),))
    more = part(sheet.length // pieces + 1, sheet.width)
    assert fitter(sheet, more).places(0, ((0, pieces),)) is False


@pytest.mark.parametrize("gap", [0.0, INCH / 4])
@pytest.mark.parametrize("margin", [0.0, INCH / 4])
def test_last_sixty_fourth_of_an_inch_decides(gap: float, margin: float) -> None:
    """Two parts, the gap between them and a margin at each end take the sheet's 96 in exactly."""
    stock = Stock("4x8", width=48 * INCH, length=96 * INCH, price=1.0)
    job = base_job(stock=(stock,), cutting=Cutting(gap=gap, edge_margin=margin))
    half = (96 * INCH - 2 * margin - gap) / 2
    across = 48 * INCH - 2 * margin
    sheet = sheet_size(job, stock)
    assert fitter(sheet, part_class(job, half, across)).places(0, ((0, 2),))
    assert fitter(sheet, part_class(job, half + INCH / 64, across)).places(0, ((0, 2),)) is False


def test_part_as_large_as_the_sheet_lies_in_its_corner() -> None:
    sheet = SheetSize(120, 48, 1.0)
    assert fitter(sheet, part(120, 48, True)).places(0, ((0, 1),)) == ((0, 0, 0, False),)


def test_part_that_fits_only_turned_is_turned() -> None:
    sheet = SheetSize(48, 120, 1.0)
    assert fitter(sheet, part(100, 40, True)).places(0, ((0, 1),)) == ((0, 0, 0, True),)
    assert fitter(sheet, part(100, 40)).places(0, ((0, 1),)) is False


def test_parts_of_which_some_must_turn_fit_together() -> None:
    # 60 x 48 beside two of 60 x 24, one of them upright: 60 + 24 of 96
    sheet, kind = SheetSize(84, 60, 1.0), part(60, 24, True)
    spots = fitter(sheet, kind).places(0, ((0, 3),))
    assert spots
    assert_sound(sheet, (kind,), ((0, 3),), spots)
    assert {turned for *_, turned in spots} == {True, False}


def test_pinwheel_fits_but_cannot_be_cut_edge_to_edge() -> None:
    # four 3 x 2 round a hole of 1 x 1 on 5 x 5
    sheet, kind, pattern = SheetSize(5, 5, 1.0), part(3, 2, True), ((0, 4),)
    spots = fitter(sheet, kind).places(0, pattern)
    assert spots
    assert_sound(sheet, (kind,), pattern, spots)
    assert not fitter(sheet, kind, edge_to_edge=True).places(0, pattern)
    assert not fitter(sheet, kind, edge_to_edge=True).settled(0, pattern)


def test_cut_longer_than_the_shear_is_no_way_to_free_a_part() -> None:
    # two strips of 10 x 3 on 10 x 6 part along the whole sheet
    sheet, strip = SheetSize(10, 6, 1.0), part(10, 3)
    assert fitter(sheet, strip, edge_to_edge=True, longest=10).places(0, ((0, 2),))
    assert not fitter(sheet, strip, edge_to_edge=True, longest=9).places(0, ((0, 2),))


def test_settled_answers_what_a_quick_look_leaves_open() -> None:
    # 63 of 66 squares, in no arrangement
    sheet, kinds = SheetSize(11, 6, 1.0), (part(6, 1, True), part(5, 3, True), part(3, 2, True))
    pattern = ((0, 2), (1, 3), (2, 1))
    assert not fits_by_trying(sheet, ways(kinds, pattern))
    lazy = Fitter((sheet,), kinds, effort=0)
    assert lazy.places(0, pattern) is None
    assert lazy.settled(0, pattern) is False
    assert lazy.places(0, pattern) is False


def test_least_misfit_still_cannot_fit_and_less_of_it_does() -> None:
    # three of the large ones do not fit, whatever small ones lie beside them
    sheet, large, small = SheetSize(10, 10, 1.0), part(6, 5), part(2, 2)
    own = fitter(sheet, large, small)
    assert own.least_misfit(0, ((0, 3), (1, 4))) == ((0, 3),)
    assert own.places(0, ((0, 2),))


def test_repaired_pattern_keeps_what_is_worth_most() -> None:
    sheet = SheetSize(10, 10, 1.0)
    own = fitter(sheet, part(6, 5), part(5, 5))
    assert own.repaired(0, ((0, 3), (1, 1)), np.array([5.0, 1.0])) == ((0, 2),)
    assert own.repaired(0, ((0, 3), (1, 4)), np.array([1.0, 5.0])) == ((1, 4),)


def test_rest_of_a_placed_pattern_is_placed_too() -> None:
    sheet, kinds = SheetSize(10, 10, 1.0), (part(6, 5), part(4, 5))
    own = fitter(sheet, *kinds)
    assert own.places(0, ((0, 2), (1, 2)))
    own.known[0, ((0, 2), (1, 1))] = None
    spots = own.placed(0, ((0, 2), (1, 1)))
    assert_sound(sheet, kinds, ((0, 2), (1, 1)), spots)


def test_pattern_never_placed_is_our_own_mistake() -> None:
    with pytest.raises(LookupError):
        fitter(SheetSize(5, 5, 1.0), part(3, 3)).placed(0, ((0, 2),))


def test_equal_questions_get_equal_answers() -> None:
    sheet, kinds = SheetSize(97, 61, 1.0), (part(31, 17, True), part(23, 19, True), part(41, 11, True))
    pattern = ((0, 4), (1, 4), (2, 3))
    assert fitter(sheet, *kinds).places(0, pattern) == fitter(sheet, *kinds).places(0, pattern)


@st.composite
def questions(draw: st.DrawFn) -> tuple[SheetSize, tuple[PartClass, ...], Pattern]:
    """A sheet of at most 9 x 7 and up to five parts that together are not larger than it."""
    sheet = SheetSize(draw(st.integers(3, 9)), draw(st.integers(2, 7)), 1.0)
    classes: list[PartClass] = []
    counts: list[int] = []
    area = sheet.length * sheet.width
    for _ in range(draw(st.integers(2, 5))):
        kind = part(draw(st.integers(1, 6)), draw(st.integers(1, 5)), draw(st.booleans()))
        area -= kind.length * kind.width
        if area < 0:
            continue
        if kind in classes:
            counts[classes.index(kind)] += 1
        else:
            classes.append(kind)
            counts.append(1)
    assume(classes)
    return sheet, tuple(classes), tuple(enumerate(counts))


@settings(deadline=None, max_examples=120)
@given(questions())
def test_small_questions_are_answered_as_by_trying_everything(
    question: tuple[SheetSize, tuple[PartClass, ...], Pattern],
) -> None:
    sheet, classes, pattern = question
    own = fitter(sheet, *classes)
    answer = own.places(0, pattern)
    if answer is None:
        answer = own.settled(0, pattern)
    assert answer is not None
    assert bool(answer) is fits_by_trying(sheet, ways(classes, pattern))
    if answer:
        assert_sound(sheet, classes, pattern, answer)


@settings(deadline=None, max_examples=80)
@given(questions(), st.sampled_from([None, 4, 6]))
def test_edge_to_edge_answers_can_be_cut_and_refusals_cannot(
    question: tuple[SheetSize, tuple[PartClass, ...], Pattern], longest: int | None
) -> None:
    sheet, classes, pattern = question
    answer = fitter(sheet, *classes, edge_to_edge=True, longest=longest).places(0, pattern)
    if answer:
        assert_sound(sheet, classes, pattern, answer)
        assert cuts_by_trying(sheet, ways(classes, pattern), longest)
        assert cut_order(sheet.length, sheet.width, boxes_of(answer, classes), longest)
    if answer is False:
        assert not cuts_by_trying(sheet, ways(classes, pattern), longest)


@settings(deadline=None, max_examples=60)
@given(real_layouts(most_side=60, depth=2))
def test_layout_that_was_cut_is_never_said_not_to_fit(layout: RealLayout) -> None:
    own = fitter(layout.sheet, *layout.classes)
    answer = own.places(0, layout.pattern)
    if answer is None:
        answer = own.settled(0, layout.pattern)
    assert answer
    assert_sound(layout.sheet, layout.classes, layout.pattern, answer)


@settings(deadline=None, max_examples=60)
@given(real_layouts(most_side=60, depth=2, edge_to_edge=True))
def test_layout_that_was_cut_edge_to_edge_is_never_said_not_to_fit(layout: RealLayout) -> None:
    answer = fitter(layout.sheet, *layout.classes, edge_to_edge=True).places(0, layout.pattern)
    assert answer is not False
    if answer:
        assert_sound(layout.sheet, layout.classes, layout.pattern, answer)
