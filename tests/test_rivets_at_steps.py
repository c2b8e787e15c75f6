"""Sides whose upper edge steps near a rail: a panel may have a sliver far past its seam, and the seam its rivets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from nesting.checking.rivets import rivet_faults
from nesting.job import Bay, Cutting, Hand, Job, Land, SeamKind, SeamRules, Side
from nesting.outline import bounds, polygon_ring, rectangle
from nesting.plan import Fasteners, Panel, Plan, Seam
from nesting.rivets.fasteners import place_fasteners
from nesting.skin.panels import Block
from nesting.skin.seams import seams_between
from nesting.skin.sideplans import SidePlan, side_plans
from shared.errors import NothingFits
from tests.hand_plans import DRIVER, base_job, two_panels
from tests.odd_sides import odd_job, odd_side, panels_of
from tests.plain_sides import HUGE, cover, covered_sides
from tests.riveted_walls import lines_of

LAP = SeamRules(edge_distance=15.0)
TWO_ROWS = SeamRules(edge_distance=15.0, rows=2, row_spacing=15.0)
BUTT = SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=2.0)


def riveted(job: Job, panels: tuple[Panel, ...], seams: tuple[Seam, ...]) -> tuple[Plan, Fasteners]:
    """A plan of these panels without sheets, and its rivets."""
    plan = replace(two_panels().plan, panels=panels, seams=seams, sheets=())
    return plan, place_fasteners(job, panels, seams)


def stepped_job(land: float = 25.0, rules: SeamRules = LAP) -> Job:
    """Three bays; the middle one ends 5 below the upper rail, so the skin climbs over both posts beside it."""
    bays = (Bay(900.5, 800.0), Bay(900.5, 500.0), Bay(400.0, 1000.25, sill=300.0))
    side = Side(DRIVER, Hand.LEFT, bays, posts=(50.0, 90.0), rails=(150.0, 505.0), rail_width=60.0)
    return odd_job(side, seam=rules, land=Land(land, land, land))


@pytest.mark.parametrize("land", [15.0, 25.0, 40.0])
@pytest.mark.parametrize("rules", [LAP, TWO_ROWS])
def test_a_panel_that_spikes_up_past_its_seam_is_still_riveted_to_those_above(
    land: float, rules: SeamRules
) -> None:
    job = stepped_job(land, rules)
    panels, seams, _ = panels_of(job, [Block(1, 3, 1, 2), Block(1, 1, 3, 3), Block(3, 3, 3, 3)])
    # the spike over the second post makes the lower panel reach farther above the rail than below it
    _, low, _, high = bounds(panels[0].outline)
    assert high - 505 > 505 - low
    plan, fasteners = riveted(job, panels, seams)
    assert {line.panels for line in lines_of(fasteners, "seam")} >= {("D2", "D1"), ("D3", "D1")}
    assert list(rivet_faults(job, plan, fasteners)) == []


def test_the_row_of_a_seam_lies_on_the_rail_in_spite_of_the_spike() -> None:
    job = stepped_job()
    panels, seams, _ = panels_of(job, [Block(1, 3, 1, 2), Block(1, 1, 3, 3), Block(3, 3, 3, 3)])
    _, fasteners = riveted(job, panels, seams)
    assert {y for line in lines_of(fasteners, "seam") for _, y in line.points} == {505.0}


def short_seam() -> tuple[Job, tuple[Panel, ...], tuple[Seam, ...]]:
    """Two panels that meet over 20 of a post only: the end of one is 20 high there."""
    low = Panel("D1", DRIVER, Hand.LEFT, 1, 1, 1, 1, rectangle(0, 0, 315, 300))
    tail = polygon_ring([(285, 280), (600, 0), (600, 300), (285, 300)])
    high = Panel("D2", DRIVER, Hand.LEFT, 2, 2, 1, 1, tail)
    seam = Seam(DRIVER, 1, None, (300.0, 280.0), (300.0, 300.0), over="D1", under="D2")
    return base_job(), (low, high), (seam,)


def test_a_seam_too_short_for_a_rivet_is_told_and_is_no_fault() -> None:
    job, panels, seams = short_seam()
    plan, fasteners = riveted(job, panels, seams)
    assert lines_of(fasteners, "seam") == []
    assert any("seam of D1 over D2: too short for a rivet line" in text for text in fasteners.warnings)
    assert [fault for fault in rivet_faults(job, plan, fasteners) if "seam" in fault] == []


def test_a_panel_without_room_for_any_rivet_is_no_fault_but_one_with_room_is() -> None:
    job, _ = two_panels()
    for width, faulty in ((29.0, False), (31.0, True)):
        sliver = Panel("D1", DRIVER, Hand.LEFT, 1, 1, 1, 1, rectangle(0, 0, width, 500))
        plan, _ = riveted(job, (sliver,), ())
        faults = list(rivet_faults(job, plan, Fasteners()))
        assert any("no rivet line holds it" in fault for fault in faults) is faulty


Tall = tuple[int, int, int, int, int]
"""Width and height of a bay, its sill, and by how much its upper corners lean out."""

TALL = st.tuples(
    st.integers(300, 1000),
    st.integers(400, 1300),
    st.sampled_from([0, 0, 3, 8, 100, 300]),
    st.integers(-25, 25),
    st.integers(-25, 25),
)


@st.composite
def stepped_sides(draw: st.DrawFn) -> tuple[Job, SidePlan, int]:
    """Leaning bays of any heights and sills; one rail passes within a few mm of the edge of some bay."""
    bays: Sequence[Tall] = draw(st.lists(TALL, min_size=2, max_size=4))
    near = draw(st.sampled_from(bays))
    rails = {float(near[1] + near[2] + draw(st.integers(-20, 20)))}
    other = float(draw(st.integers(80, 1200)))
    if all(abs(other - rail) > 70 for rail in rails):
        rails.add(other)
    rings = [polygon_ring([(0, 0), (w, 0), (w + right, h), (left, h)]) for w, h, _, right, left in bays]
    side = odd_side(rings, rails=tuple(sorted(rails)), rail_width=120.0, posts=(120.0,) * (len(rings) - 1))
    raised = tuple(replace(bay, sill=float(own[2])) for bay, own in zip(side.bays, bays, strict=True))
    land = float(draw(st.sampled_from([15, 16, 25, 40])))
    job = odd_job(
        replace(side, bays=raised),
        seam=draw(st.sampled_from([LAP, TWO_ROWS, BUTT])),
        stock=(HUGE,),
        cutting=Cutting(),
        land=Land(land, land, land),
    )
    try:
        (plan,) = side_plans(job)
    except NothingFits:
        reject()  # two rails may lie too near for a seam of this kind
    return job, plan, draw(st.integers(0, 1000))


def assert_sound(job: Job, plan: SidePlan, chosen: Sequence[int]) -> None:
    """The rivets of these candidates pass the check."""
    panels = tuple(
        replace(plan.candidates[number].panel, name=f"D{place}") for place, number in enumerate(chosen, 1)
    )
    whole, fasteners = riveted(job, panels, seams_between(panels, plan.lines))
    assert list(rivet_faults(replace(job, patches=()), whole, fasteners)) == []


@given(stepped_sides())
@settings(deadline=None, max_examples=60)
def test_rivets_of_any_stepped_side_pass_the_check(drawn: tuple[Job, SidePlan, int]) -> None:
    job, plan, seed = drawn
    assert_sound(job, plan, cover(plan, Random(seed)))


@given(covered_sides())
@settings(deadline=None, max_examples=40)
def test_rivets_of_any_plain_side_pass_the_check(drawn: tuple[Job, SidePlan, tuple[int, ...]]) -> None:
    job, plan, chosen = drawn
    assert_sound(replace(job, patches=()), plan, chosen)
