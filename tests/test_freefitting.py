"""Exact free placing: the roomiest layout is sound, and never less roomy than what cuts from edge to edge leave."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.placing.edgefitting import roomiest
from nesting.placing.fitting import parts_of
from nesting.placing.freefitting import STEP, roomiest_free
from nesting.sizing.problem import PartClass, Pattern, SheetSize, Spot
from tests.small_problems import part

EFFORT = 1.0


def free_corner(sheet: SheetSize, classes: Sequence[PartClass], spots: Sequence[Spot], least: int) -> int:
    """Area of the largest rectangle in the upper right corner, at least so large both ways, clear of all parts."""
    boxes = []
    for k, x, y, turned in spots:
        a, b = classes[k].length, classes[k].width
        a, b = (b, a) if turned else (a, b)
        assert min(x, y) >= 0
        assert x + a <= sheet.length
        assert y + b <= sheet.width
        assert all(x >= u1 or u0 >= x + a or y >= v1 or v0 >= y + b for u0, v0, u1, v1 in boxes)
        boxes.append((x, y, x + a, y + b))
    xs = [0, *(box[2] for box in boxes)]
    ys = [0, *(box[3] for box in boxes)]
    return max(
        (
            (sheet.length - x) * (sheet.width - y)
            for x in xs
            for y in ys
            if sheet.length - x >= least and sheet.width - y >= least
            if all(box[2] <= x or box[3] <= y for box in boxes)
        ),
        default=0,
    )


def test_four_round_a_hole_leave_the_rest_of_the_sheet() -> None:
    sheet, covers = SheetSize(10 * STEP, 5 * STEP, 1.0), part(3 * STEP, 2 * STEP, True)
    asked = {"least": 2 * STEP, "beyond": 0}
    spots = roomiest_free(sheet, [covers], [0] * 4, EFFORT, floor=24 * STEP**2, **asked)
    assert spots
    assert free_corner(sheet, [covers], spots, 2 * STEP) == 25 * STEP**2
    assert roomiest_free(sheet, [covers], [0] * 4, EFFORT, floor=25 * STEP**2, **asked) is None


def test_offcut_that_only_its_margin_makes_large_enough_counts() -> None:
    sheet, cover = SheetSize(10 * STEP, 5 * STEP, 1.0), part(8 * STEP, 5 * STEP)
    found = [
        roomiest_free(sheet, [cover], [0], EFFORT, least=3 * STEP, beyond=beyond, floor=0)
        for beyond in (0, STEP)
    ]
    assert found == [None, ((0, 0, 0, False),)]


@st.composite
def questions(draw: st.DrawFn) -> tuple[SheetSize, list[PartClass], Pattern]:
    """A sheet of millimetres with up to five parts that cover at most half of it."""
    sheet = SheetSize(draw(st.integers(6, 14)) * STEP, draw(st.integers(5, 9)) * STEP, 1.0)
    classes: list[PartClass] = []
    area = sheet.length * sheet.width // 2
    for _ in range(draw(st.integers(1, 5))):
        kind = part(draw(st.integers(1, 6)) * STEP, draw(st.integers(1, 5)) * STEP, draw(st.booleans()))
        area -= kind.length * kind.width
        if area >= 0 and kind not in classes:
            classes.append(kind)
    assume(classes)
    return sheet, classes, tuple((k, 1) for k in range(len(classes)))


@settings(deadline=None, max_examples=25)
@given(questions())
def test_free_places_leave_at_least_what_cuts_from_edge_to_edge_leave(
    question: tuple[SheetSize, list[PartClass], Pattern],
) -> None:
    sheet, classes, pattern = question
    least = 2 * STEP
    straight = roomiest(sheet, classes, pattern, 10**6, least=least)
    free = roomiest_free(sheet, classes, parts_of(pattern), EFFORT, least=least, beyond=0, floor=0)
    if straight:
        assert free
        left = free_corner(sheet, classes, straight[0], least)
        assert free_corner(sheet, classes, free, least) >= left
