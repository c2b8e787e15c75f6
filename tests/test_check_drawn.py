"""The check of cut files, on the values read: nothing can be left out, doubled or nudged without being found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any, TypeVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.checking.drawn import Asked, file_faults
from nesting.checking.linework import Drawn, Line, Wanted, match_rings, overlap, same_arc
from nesting.checking.onsheet import on_sheets, onto_sheet
from nesting.checking.shapes import Edge, Point, ring_edges
from nesting.job import Cutting, Patch
from nesting.outline import mirrored, moved, rectangle, reversed_ring, turned
from nesting.plan import PlacedPart, PlannedJob, SheetLayout
from tests.drawing_damages import read_back, riveted
from tests.hand_plans import SMALL, HandPlan, placed, planned_two_panels, sheared
from tests.long_plan import renamed
from tests.odd_sides import GUSSET, odd_plan, trimmed_plan

Thing = TypeVar("Thing")

BUILDS = (odd_plan, trimmed_plan)


def faults_of(build: Callable[[], Any], drawn: Drawn) -> list[str]:
    """What the check says of such a drawing of the first sheet, drilled and with words."""
    plan = riveted(build)
    wanted = on_sheets(plan.job, plan.plan, plan.fasteners, True)
    return list(file_faults(drawn, wanted[:1], Asked(plan.job, True)))


@cache
def as_drawn(build: Callable[[], Any]) -> Drawn:
    return read_back(build)


def without(things: Sequence[Thing], number: int) -> tuple[Thing, ...]:
    return (*things[:number], *things[number + 1 :])


@pytest.mark.parametrize("build", BUILDS)
def test_a_line_or_a_hole_left_out_is_found_whichever_it_is(build: Callable[[], Any]) -> None:
    drawn = as_drawn(build)
    assert faults_of(build, drawn) == []
    told = [line.layer for line in drawn.lines]
    for number, layer in enumerate(told):
        if layer != "LABEL":
            assert faults_of(build, replace(drawn, lines=without(drawn.lines, number))), (layer, number)
    for number in range(0, len(drawn.rounds), 7):
        assert faults_of(build, replace(drawn, rounds=without(drawn.rounds, number))), number


@pytest.mark.parametrize("build", BUILDS)
def test_a_line_or_a_hole_drawn_twice_is_found_whichever_it_is(build: Callable[[], Any]) -> None:
    drawn = as_drawn(build)
    for line in drawn.lines:
        if line.layer != "LABEL":
            assert faults_of(build, replace(drawn, lines=(*drawn.lines, line))), line
    for hole in drawn.rounds[::7]:
        assert faults_of(build, replace(drawn, rounds=(*drawn.rounds, hole))), hole


@settings(deadline=None, max_examples=40)
@given(st.data())
def test_a_corner_moved_by_a_hundredth_is_found_whichever_it_is(data: st.DataObject) -> None:
    """A cut line that is off by 0.02 mm is no longer that of the plan; a bulge off by a ten thousandth neither."""
    drawn = as_drawn(odd_plan)
    cuts = [i for i, line in enumerate(drawn.lines) if line.layer == "CUT"]
    number = data.draw(st.sampled_from(cuts))
    ring = list(drawn.lines[number].ring)
    corner = data.draw(st.integers(0, len(ring) - 1))
    x, y, bulge = ring[corner]
    dx, dy, more = data.draw(st.sampled_from([(0.02, 0, 0), (0, 0.02, 0), (-0.02, 0, 0), (0, 0, 1e-4)]))
    ring[corner] = (x + dx, y + dy, bulge + more)
    line = drawn.lines[number]._replace(ring=tuple(ring))
    lines = (*drawn.lines[:number], line, *drawn.lines[number + 1 :])
    assert faults_of(odd_plan, replace(drawn, lines=lines))


@given(st.integers(0, 7), st.booleans())
def test_a_ring_is_known_again_from_any_corner_and_either_way_round(first: int, backwards: bool) -> None:
    ring = rectangle(0, 0, 300, 200, 40)
    drawn = reversed_ring(ring) if backwards else ring
    drawn = (*drawn[first:], *drawn[:first])
    assert match_rings([Wanted("lid", ring)], [Line("CUT", drawn, True)]) == ([], [])


def test_a_mirrored_ring_is_not_the_same() -> None:
    wanted = Wanted("gusset", GUSSET)
    other = Line("CUT", moved(mirrored(GUSSET), 200, 0), True)
    assert match_rings([wanted], [other]) == ([wanted], [other])


def test_an_arc_is_known_again_run_backwards_and_no_other_arc_is() -> None:
    arc = ring_edges(((0, 0, 0.5), (100, 0, 0.0)))[0]
    back = ring_edges(((100, 0, -0.5), (0, 0, 0.0)))[0]
    assert same_arc(arc, back)
    for vertices in (((0, 0, -0.5), (100, 0, 0)), ((0, 0, 0.501), (100, 0, 0)), ((0, 0, 0.0), (100, 0, 0))):
        assert not same_arc(arc, ring_edges(vertices)[0])


@pytest.mark.parametrize(
    ("other", "span"),
    [
        (((20.0, 0.0), (60.0, 0.0)), (20.0, 60.0)),
        (((60.0, 0.0), (20.0, 0.0)), (20.0, 60.0)),
        (((-50.0, 0.005), (30.0, 0.005)), (0.0, 30.0)),
        (((20.0, 0.02), (60.0, 0.02)), None),
        (((100.0, 0.0), (160.0, 0.0)), None),
        (((20.0, 0.0), (60.0, 1.0)), None),
    ],
)
def test_a_line_lies_on_another_from_here_to_there(
    other: tuple[Point, Point], span: tuple[float, float] | None
) -> None:
    found = overlap(Edge((0.0, 0.0), (100.0, 0.0)), Edge(*other), across=0.01)
    assert found == (pytest.approx(span) if span else None)


@given(st.floats(-2000, 2000), st.floats(-2000, 2000), st.sampled_from([0, 90, 180, 270, 33]), st.booleans())
def test_a_point_of_a_part_lies_on_the_sheet_where_its_corner_is(
    x: float, y: float, turn: float, flipped: bool
) -> None:
    """The triangle flipped, turned and shifted: each of its corners is where the outline on the sheet has it."""
    laid = moved(turned(mirrored(GUSSET) if flipped else GUSSET, turn), x, y)
    onto = onto_sheet(GUSSET, PlacedPart("gusset#1", laid, (), float(turn), flipped))
    found = sorted(onto((u, v)) for u, v, _ in GUSSET)
    for (u, v), (p, q) in zip(found, sorted((u, v) for u, v, _ in laid), strict=True):
        assert (u, v) == (pytest.approx(p, abs=1e-6), pytest.approx(q, abs=1e-6))


@pytest.mark.parametrize(
    "name", ["левый борт", "日本語", "Café ﬁ", "%%c lid", "\\U+0041 lid", "a\nb", "🚌 lid", "UP", "  "]
)
def test_a_name_in_any_letters_is_read_back(name: str) -> None:
    """Escapes, control codes and letters that the code page of a file lacks are no damage."""

    def called() -> PlannedJob:
        return renamed(planned_two_panels(), {"D1": name})

    assert faults_of(called, as_drawn(called)) == []


def test_parts_that_touch_may_share_a_line_and_none_may_be_left_open() -> None:
    """Two lids side by side without a gap: the second one is drawn open where it lies on the first."""

    def lids() -> HandPlan:
        job, plan = sheared()
        job = replace(job, cutting=Cutting(), patches=(Patch("lid", 300.0, 200.0, quantity=2),))
        parts = (
            placed("lid#1", rectangle(0, 0, 300, 200), 0, 0),
            placed("lid#2", rectangle(0, 0, 300, 200), 300, 0),
        )
        return HandPlan(job, replace(plan, sheets=(SheetLayout(SMALL, parts),)))

    drawn = as_drawn(lids)
    assert faults_of(lids, drawn) == []
    (number,) = [i for i, line in enumerate(drawn.lines) if line.layer == "CUT" and not line.closed]
    whole = Line("CUT", rectangle(300, 0, 600, 200), True)
    twice = replace(drawn, lines=(*without(drawn.lines, number), whole))
    assert any("a line is drawn twice" in fault for fault in faults_of(lids, twice))
    shorter = Line("CUT", ((300.0, 200.0, 0.0), (600.0, 200.0, 0.0), (600.0, 0.0, 0.0)), False)
    left_open = replace(drawn, lines=(*without(drawn.lines, number), shorter))
    assert any("part lid#2: its outline is not drawn from" in fault for fault in faults_of(lids, left_open))
