"""The plan check on real shapes: sound plans pass, and damage of a tenth of a millimetre or less is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from nesting.checking.check import check_plan, plan_faults
from nesting.job import Bay, Job, Window
from nesting.ordering.buylist import buy_list
from nesting.outline import Ring, polygon_ring, rectangle
from nesting.plan import BackingStrip
from nesting.rivets.fasteners import place_fasteners
from nesting.skin.panels import Block
from tests import shaped_plans
from tests.damages import (
    Damage,
    Damaged,
    assert_found,
    cases,
    item,
    seam_changed,
)
from tests.hand_plans import HandPlan, side
from tests.shaped_plans import (
    ARCHED,
    LEANING,
    QUARTER,
    ROUNDED,
    SLOPED,
    UPRIGHT,
    arch_under_rail,
    bay_of,
    laid,
    laid_ring,
    leaning_posts,
    leaning_with_window,
    planned,
    rounded_rear,
    rounded_under_rail,
    shaped_job,
    sloped_front,
    wheel_arch,
    with_parts,
)


@pytest.mark.parametrize("build", shaped_plans.ALL, ids=lambda build: build.__name__)
def test_sound_plan_passes_with_its_rivets_and_buy_list(build: Callable[[], HandPlan]) -> None:
    job, plan = build()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    check_plan(job, plan, fasteners, buy_list(job, plan, fasteners))


def made_for(change: Callable[[Job], Job]) -> Damage:
    """Panels, seams and parts as they would be for another job: only the structure can tell."""

    def damage(hand: HandPlan) -> Damaged:
        blocks = [Block(p.first_bay, p.last_bay, p.first_row, p.last_row) for p in hand.plan.panels]
        return hand.job, planned(change(hand.job), blocks).plan

    return damage


def land(**changes: float) -> Damage:
    return made_for(lambda job: replace(job, land=replace(job.land, **changes)))


def bay_outline(number: int, outline: Ring) -> Damage:
    """The planner took a bay to be of another shape."""

    def change(job: Job) -> Job:
        shaped = job.sides[0]
        bays = item(shaped.bays, number, outline=outline)
        return replace(job, sides=(replace(shaped, bays=bays),))

    return made_for(change)


def side_like(**changes: Any) -> Damage:
    return made_for(lambda job: replace(job, sides=(replace(job.sides[0], **changes),)))


def recut(index: int, change: Callable[[Ring], Ring]) -> Damage:
    """A panel of another outline, and the part on the sheet to match."""

    def damage(hand: HandPlan) -> Damaged:
        own = replace(hand.plan.panels[index], outline=change(hand.plan.panels[index].outline))
        part = hand.plan.sheets[0].parts[index]
        parts = item(hand.plan.sheets[0].parts, index, outline=laid(part.part, own, part.x, part.y).outline)
        panels = (*hand.plan.panels[:index], own, *hand.plan.panels[index + 1 :])
        return hand.job, with_parts(replace(hand.plan, panels=panels), parts)

    return damage


def chorded(ring: Ring) -> Ring:
    return tuple((x, y, 0.0) for x, y, _ in ring)


def without(corner: tuple[float, float]) -> Callable[[Ring], Ring]:
    return lambda ring: tuple(v for v in ring if v[:2] != pytest.approx(corner))


def arch_moved(dx: float) -> Callable[[Ring], Ring]:
    return lambda ring: tuple((x + dx * (300 < x < 700), y, bulge) for x, y, bulge in ring)


def top_land_on_arc(_: Ring) -> Ring:
    """The rounded corner pushed out by 25 like the top, with the step at its foot."""
    return (
        (-30.0, -20.0, 0.0),
        (1580.0, -20.0, 0.0),
        (1580.0, 700.0, 0.0),
        (1575.0, 700.0, QUARTER),
        (1250.0, 1025.0, 0.0),
        (-30.0, 1025.0, 0.0),
    )


def arch(radius: float, bulge: float = -1.0) -> Ring:
    return (ARCHED[0], (500.0 - radius, 0.0, bulge), (500.0 + radius, 0.0, 0.0), *ARCHED[3:])


def fillet(radius: float) -> Ring:
    return (*ROUNDED[:2], (900.0, 1000.0 - radius, QUARTER), (900.0 - radius, 1000.0, 0.0), ROUNDED[4])


WRONG = "the outline is wrong"


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        ("land at the foot short", sloped_front, land(bottom=24.9), f"panel D2: {WRONG}: bottom -24.900"),
        ("land on the slope short", sloped_front, land(top=24.9), f"panel D2: {WRONG}: top 1024.900"),
        (
            "slope a tenth lower",
            sloped_front,
            bay_outline(1, (*SLOPED[:2], (700.0, 899.9, 0.0), *SLOPED[3:])),
            f"panel D2: {WRONG}",
        ),
        (
            "slope on the other hand",
            sloped_front,
            bay_outline(1, polygon_ring([(0, 0), (700, 0), (700, 1000), (250, 1000), (0, 900)])),
            f"panel D2: {WRONG}",
        ),
        ("slope left out", sloped_front, bay_outline(1, rectangle(0, 0, 700, 1000)), f"panel D2: {WRONG}"),
        ("posts a fifth wider", sloped_front, side_like(posts=(50.2,)), f"panel D1: {WRONG}: right 640.100"),
        ("radius of the arch too great", wheel_arch, bay_outline(0, arch(200.1)), f"panel D1: {WRONG}"),
        ("radius of the arch too small", wheel_arch, bay_outline(0, arch(199.9)), f"panel D1: {WRONG}"),
        ("arch too flat", wheel_arch, bay_outline(0, arch(200.0, -0.9995)), f"panel D1: {WRONG}"),
        ("land in the arch short", wheel_arch, land(bottom=24.9), f"panel D1: {WRONG}"),
        ("arch cut as a chord", wheel_arch, recut(0, chorded), f"panel D1: {WRONG}"),
        ("arch closed", wheel_arch, bay_outline(0, rectangle(0, 0, 1000, 1000)), f"panel D1: {WRONG}"),
        ("arch beside its place", wheel_arch, recut(0, arch_moved(0.1)), f"panel D1: {WRONG}"),
        ("arch in one of four", arch_under_rail, bay_outline(0, arch(200.1)), f"panel D1: {WRONG}"),
        (
            "lap on the rail short",
            arch_under_rail,
            made_for(lambda job: replace(job, seam=replace(job.seam, edge_distance=14.9))),
            f"panel D1: {WRONG}: right 1039.900 instead of 1040.000, top 514.900",
        ),
        ("rounded corner too round", rounded_rear, bay_outline(1, fillet(300.1)), f"panel D1: {WRONG}"),
        ("rounded corner too sharp", rounded_rear, bay_outline(1, fillet(299.9)), f"panel D1: {WRONG}"),
        ("land of the end short", rounded_rear, land(ends=29.9), f"panel D1: {WRONG}: left -29.900"),
        ("land of the top on the arc", rounded_rear, recut(0, top_land_on_arc), f"panel D1: {WRONG}"),
        ("step left out", rounded_rear, recut(0, without((1250.0, 1025.0))), f"panel D1: {WRONG}"),
        (
            "rounded corner under the rail",
            rounded_under_rail,
            bay_outline(0, fillet(300.1)),
            f"panel D2: {WRONG}",
        ),
        (
            "post taken to be plumb",
            leaning_posts,
            bay_outline(0, rectangle(0, 0, 600, 800)),
            f"panel D1: {WRONG}",
        ),
        (
            "post leaning a tenth less",
            leaning_posts,
            bay_outline(0, (*LEANING[:2], (619.8, 800.0, 0.0), LEANING[3])),
            f"panel D1: {WRONG}: right 654.900",
        ),
        (
            "top corner a tenth lower",
            leaning_posts,
            bay_outline(1, (*UPRIGHT[:2], (590.0, 809.9, 0.0), UPRIGHT[3])),
            f"panel D2: {WRONG}",
        ),
        (
            "sill forgotten",
            leaning_posts,
            side_like(bays=(bay_of(LEANING), bay_of(UPRIGHT))),
            f"panel D2: {WRONG}",
        ),
        (
            "window measured from the extent",
            leaning_with_window,
            side_like(windows=(Window(1, 135.0, 300.0, 300.0, 200.0, 40.0),)),
            "window 1 in bay 1 is a hole in 0 panels",
        ),
        (
            "window a tenth lower",
            leaning_with_window,
            side_like(windows=(Window(1, 150.0, 299.9, 300.0, 200.0, 40.0),)),
            "window 1 in bay 1 is a hole in 0 panels",
        ),
        (
            "window corners a tenth sharper",
            leaning_with_window,
            side_like(windows=(Window(1, 150.0, 300.0, 300.0, 200.0, 39.9),)),
            "window 1 in bay 1 is a hole in 0 panels",
        ),
        (
            "window left out",
            leaning_with_window,
            side_like(windows=()),
            "panel D1: it closes window 1 in bay 1",
        ),
    ),
)
def test_damage_to_a_shaped_panel_is_found(build: Callable[[], HandPlan], damage: Damage, told: str) -> None:
    assert_found(told, damage(build()))


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        (
            "seam on the post as told",
            leaning_posts,
            seam_changed(0, start=(630.0, -16.0), end=(630.0, 830.0)),
            "it runs at 630.000, the centre line at 640.000",
        ),
        (
            "seam up to the height of the bay",
            leaning_posts,
            seam_changed(0, end=(640.0, 845.0)),
            "it ends at 845.000 instead of 834.",
        ),
        (
            "post wide enough only where it leans",
            leaning_posts,
            lambda h: (replace(h.job, seam=replace(h.job.seam, edge_distance=20.1)), h.plan),
            "the post after bay 1 is 40.00 wide, a seam of D1 over D2 needs 40.20",
        ),
        (
            "post told narrower than it measures",
            leaning_posts,
            lambda h: (with_side(h.job, posts=(29.0,)), h.plan),
            "the post after bay 1 is 9.00 wide",
        ),
        (
            "level seam up to the extent",
            rounded_under_rail,
            seam_changed(0, end=(925.0, 850.0)),
            "it ends at 925.000 instead of 888.314",
        ),
        (
            "level seam a fiftieth short",
            rounded_under_rail,
            seam_changed(0, end=(888.294, 850.0)),
            "it ends at 888.294 instead of 888.314",
        ),
        (
            "level seam across the arch",
            lambda: under_rail(Bay(1000.0, 1000.0)),
            lambda h: (with_side(h.job, bays=(bay_of(ARCHED),)), h.plan),
            "on rail 1 crosses bay 1 in 2 stretches",
        ),
    ),
)
def test_damage_to_a_seam_between_shaped_panels_is_found(
    build: Callable[[], HandPlan], damage: Damage, told: str
) -> None:
    assert_found(told, damage(build()))


def with_side(job: Job, **changes: Any) -> Job:
    return replace(job, sides=(replace(job.sides[0], **changes),))


def under_rail(bay: Bay) -> HandPlan:
    """One bay with a rail of 60 at 150."""
    shaped = side(bays=(bay,), posts=(), rails=(150.0,), rail_width=60.0)
    return planned(shaped_job(shaped), [Block(1, 1, 1, 1), Block(1, 1, 2, 2)])


def test_seam_on_a_level_just_over_the_arch_passes() -> None:
    shaped = side(bays=(bay_of(ARCHED),), posts=(), rails=(200.0,), rail_width=60.0)
    check_plan(*planned(shaped_job(shaped), [Block(1, 1, 1, 1), Block(1, 1, 2, 2)]))


def backed(length: float) -> HandPlan:
    """The rounded bay with a backing strip 30 wide at 850 in place of its rail, cut from the same sheet."""
    job, plan = rounded_under_rail()
    strip = laid_ring("strip", rectangle(0, 0, length, 30), 10.0, 1400.0)
    plan = with_parts(plan, (*plan.sheets[0].parts, strip))
    plan = replace(plan, backing=(BackingStrip("driver side", 850.0, "strip", bay=1),))
    return HandPlan(with_side(job, rails=()), plan)


def test_backing_strip_must_reach_as_far_as_the_seam_on_the_arc() -> None:
    """The seam runs from the land at -25 to the arc at 600 + sqrt(325^2 - 150^2): 913.31."""
    check_plan(*backed(913.32))
    assert list(plan_faults(*backed(913.0))) == [
        "side 'driver side': the backing strips at 850.00 are 913.00 long together, the seams over them 913.31"
    ]


def test_panel_too_low_for_rivets_on_a_post_needs_none() -> None:
    """Below a rail at 4 a panel reaches from -25 to 19: 44, and its edge lines lie 14 apart, less than 3 D."""
    shaped = side(bays=(Bay(600.0, 500.0), bay_of(SLOPED)), rails=(4.0,), rail_width=60.0)
    job, plan = planned(shaped_job(shaped), [Block(1, 2, 1, 1), Block(1, 2, 2, 2)])
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    bare = replace(fasteners, lines=tuple(line for line in fasteners.lines if line.kind != "post"))
    faults = [fault for fault in plan_faults(job, plan, bare) if "line of rivets on the post" in fault]
    assert faults == ["panel D2: it has no line of rivets on the post after bay 1"]
