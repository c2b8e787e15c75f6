"""The plan check on sheets with real shapes: parts turned, flipped, in windows and arches, cut as rectangles."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.checking.check import check_plan, plan_faults
from nesting.job import CutMethod, Patch, Turn
from nesting.outline import Ring, bounds, polygon_ring, rectangle
from nesting.plan import PlacedPart, SheetLayout
from nesting.rivets.fasteners import place_fasteners
from tests import shaped_plans
from tests.damages import (
    Damage,
    Damaged,
    assert_found,
    cases,
    cut_changed,
    cutting_changed,
    part_changed,
    sheet_changed,
    shifted,
)
from tests.hand_plans import SMALL, HandPlan, base_job, windowed
from tests.shaped_plans import (
    EYE,
    GUSSET,
    LEANING,
    ROUNDED,
    SLOPED,
    laid,
    laid_ring,
    leaning_with_window,
    rounded_rear,
    sheared_gussets,
    sloped_front,
    wheel_arch,
    with_parts,
)


def chorded(ring: Ring) -> Ring:
    return tuple((x, y, 0.0) for x, y, _ in ring)


def part_laid(index: int, *, turn: float, flipped: bool = False, told: float | None = None) -> Damage:
    """One panel turned and flipped on the sheet, its lower left extent where it was."""

    def damage(hand: HandPlan) -> Damaged:
        parts = list(hand.plan.sheets[0].parts)
        part = parts[index]
        found = laid(part.part, hand.plan.panels[index], part.x, part.y, turn=turn, flipped=flipped)
        parts[index] = replace(found, turn=turn if told is None else told)
        return hand.job, with_parts(hand.plan, parts)

    return damage


def last_part(change: Callable[[PlacedPart], PlacedPart]) -> Damage:
    def damage(hand: HandPlan) -> Damaged:
        *parts, last = hand.plan.sheets[0].parts
        return hand.job, with_parts(hand.plan, (*parts, change(last)))

    return damage


def gusset_laid(dx: float, dy: float, turn: float = 90.0, flipped: bool = False) -> Damage:
    """The gusset so far from the lower left corner of the window's extent."""

    def damage(hand: HandPlan) -> Damaged:
        whole = hand.plan.sheets[0].parts[0]
        x, y, _, _ = bounds(whole.holes[0])
        gusset = laid_ring("gusset#1", GUSSET, x + dx, y + dy, holes=[EYE], turn=turn, flipped=flipped)
        return hand.job, with_parts(hand.plan, (whole, gusset))

    return damage


def told_flipped(hand: HandPlan) -> Damaged:
    job, plan = part_laid(1, turn=0.0, flipped=True)(hand)
    parts = plan.sheets[0].parts
    return job, with_parts(plan, (parts[0], replace(parts[1], flipped=False)))


NOT_THE_PART = "the outline is not that of the part"


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        ("mirrored but not told", sloped_front, told_flipped, f"part D2: {NOT_THE_PART}"),
        (
            "flipped where not allowed",
            sloped_front,
            part_laid(1, turn=0.0, flipped=True),
            "part D2: it is cut face down, which is not allowed",
        ),
        (
            "turned by an angle not allowed",
            sloped_front,
            part_laid(1, turn=30.0),
            "part D2: a turn of 30 degrees is not allowed",
        ),
        ("turned otherwise than told", sloped_front, part_laid(1, turn=180.0, told=0.0), NOT_THE_PART),
        (
            "turned a thousandth of a degree too far",
            lambda: with_turns(sloped_front(), Turn.ANY),
            part_laid(1, turn=30.001, told=30.0),
            NOT_THE_PART,
        ),
        ("arch cut as a chord", wheel_arch, part_changed(0, chorded), NOT_THE_PART),
        ("arch beside its place", wheel_arch, part_changed(0, lambda r: nudged(r, 1, 0.001)), NOT_THE_PART),
        (
            "arc over the edge of the sheet",
            rounded_rear,
            part_changed(0, shifted(0, -0.001)),
            "part D1: 9.999 from the edge instead of 10.000",
        ),
        (
            "window of a part forgotten",
            leaning_with_window,
            lambda h: (
                h.job,
                with_parts(
                    h.plan, (replace(h.plan.sheets[0].parts[0], holes=()), *h.plan.sheets[0].parts[1:])
                ),
            ),
            "part D1: a hole is missing",
        ),
        (
            "hole of a patch forgotten",
            leaning_with_window,
            last_part(lambda part: replace(part, holes=())),
            "part gusset#1: a hole is missing",
        ),
        (
            "hole of a patch a tenth wider",
            leaning_with_window,
            last_part(lambda part: replace(part, holes=tuple(widened(hole, 1.01) for hole in part.holes))),
            "part gusset#1: a hole is missing or is not where it should be",
        ),
        (
            "patch cut as its extent",
            leaning_with_window,
            last_part(lambda part: replace(part, outline=rectangle(*bounds(part.outline)))),
            "part gusset#1: the outline has 4 corners instead of 3",
        ),
        (
            "patch mirrored but not told",
            leaning_with_window,
            lambda h: last_part(lambda part: replace(part, flipped=False))(
                HandPlan(*gusset_laid(20.0, 20.0, flipped=True)(h))
            ),
            f"part gusset#1: {NOT_THE_PART}",
        ),
        (
            "too near the window it lies in",
            leaning_with_window,
            gusset_laid(9.999, 50.0, turn=0.0),
            "parts D1 and gusset#1 are 9.9990 apart instead of 10.0000",
        ),
        (
            "through the window it lies in",
            leaning_with_window,
            gusset_laid(-5.0, 50.0, turn=0.0),
            "parts D1 and gusset#1 overlap",
        ),
        (
            "in a window that is not cut by profile",
            leaning_with_window,
            cutting_changed(method=CutMethod.HAND),
            "part gusset#1: it lies in a hole of D1, which is not allowed",
        ),
        (
            "in a window that is sheared",
            windowed,
            cutting_changed(method=CutMethod.SHEAR),
            "part lamp cover#1: it lies in a hole of D1",
        ),
        (
            "nestled rectangles on a shear",
            sheared_gussets,
            part_changed(1, shifted(-40, 0)),
            "parts gusset#1 and gusset#2 overlap",
        ),
        (
            "cut along the true outline",
            sheared_gussets,
            cut_changed(1, at=149.0),
            "cut 2: it runs through part gusset#1",
        ),
        (
            "rectangle not freed",
            sheared_gussets,
            lambda h: sheet_changed(cuts=h.plan.sheets[0].cuts[:2])(h),
            "part gusset#2: the cuts do not free it",
        ),
        (
            "rectangles nearer than the gap",
            sheared_gussets,
            cutting_changed(gap=5.0),
            "parts gusset#1 and gusset#2 are 0.0000 apart instead of 5.0000",
        ),
    ),
)
def test_damage_to_a_shaped_part_on_its_sheet_is_found(
    build: Callable[[], HandPlan], damage: Damage, told: str
) -> None:
    assert_found(told, damage(build()))


def with_turns(hand: HandPlan, turn: Turn, *, flip: bool = False) -> HandPlan:
    cutting = replace(hand.job.cutting, turn=turn, flip=flip)
    return HandPlan(replace(hand.job, cutting=cutting), hand.plan)


def nudged(ring: Ring, index: int, dx: float) -> Ring:
    return tuple((x + dx * (i == index), y, bulge) for i, (x, y, bulge) in enumerate(ring))


def widened(ring: Ring, times: float) -> Ring:
    x0, y0, x1, y1 = bounds(ring)
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    return tuple((cx + (x - cx) * times, cy + (y - cy) * times, bulge) for x, y, bulge in ring)


@pytest.mark.parametrize(
    ("turn", "degrees"),
    [(Turn.NONE, 0.0), (Turn.HALF, 180.0), (Turn.QUARTER, 270.0), (Turn.ANY, 17.3), (Turn.ANY, -123.456)],
)
@pytest.mark.parametrize("flipped", [False, True])
def test_part_may_be_turned_and_flipped_as_the_job_allows(turn: Turn, degrees: float, flipped: bool) -> None:
    stock = replace(shaped_plans.LONG, width=3000.0)
    hand = with_turns(wheel_arch(), turn, flip=flipped)
    sheet = replace(hand.plan.sheets[0], stock=stock)
    hand = HandPlan(replace(hand.job, stock=(stock,)), replace(hand.plan, sheets=(sheet,)))
    check_plan(*part_laid(0, turn=degrees, flipped=flipped)(hand))


def disc_in_arch(radius: float) -> HandPlan:
    """A disc about the centre of the arch, whose radius is 175 with the land; the panel turned upside down."""
    hand = wheel_arch()
    disc = Patch("disc", 2 * radius, 2 * radius, corner_radius=radius)
    panel = laid("D1", hand.plan.panels[0], 10.0, 10.0, turn=180.0)
    # the foot lies 25 over the centre in the panel, so the centre lies 25 under the foot's edge on the sheet
    _, _, right, top = bounds(panel.outline)
    x, y = right - 525.0 - radius, top - 25.0 - radius
    part = laid_ring("disc#1", rectangle(0, 0, 2 * radius, 2 * radius, radius), x, y)
    return HandPlan(replace(hand.job, patches=(disc,)), with_parts(hand.plan, (panel, part)))


def test_disc_may_lie_in_the_wheel_arch_exactly_a_gap_off() -> None:
    check_plan(*disc_in_arch(165.0))
    assert list(plan_faults(*disc_in_arch(165.001))) == [
        "sheet 1: parts D1 and disc#1 are 9.9990 apart instead of 10.0000"
    ]


def test_arcs_that_overlap_by_a_hair_are_found_where_no_gap_is_asked_for() -> None:
    def discs(apart: float) -> HandPlan:
        job, plan = sheared_gussets()
        disc = Patch("disc", 200.0, 200.0, corner_radius=100.0, quantity=2)
        job = replace(job, cutting=base_job().cutting, patches=(disc,))
        job = replace(job, cutting=replace(job.cutting, gap=0.0, kerf=0.0, edge_margin=0.0))
        ring = rectangle(0, 0, 200, 200, 100)
        parts = (
            laid_ring("disc#1", ring, 10, 10),
            laid_ring("disc#2", ring, 10 + apart * 0.6, 10 + apart * 0.8),
        )
        return HandPlan(
            job, with_parts(replace(plan, sheets=(replace(plan.sheets[0], cuts=(), offcuts=()),)), parts)
        )

    check_plan(*discs(200.0))
    assert list(plan_faults(*discs(199.999))) == ["sheet 1: parts disc#1 and disc#2 overlap"]


def test_gusset_may_touch_the_least_distance_to_its_window() -> None:
    check_plan(*gusset_laid(10.0, 50.0, turn=0.0)(leaning_with_window()))


def test_rivet_too_near_the_arch_is_found() -> None:
    """The arch has the radius 175 about (500, 0): 190 is as near as a rivet may be."""
    job, plan = wheel_arch()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    near = replace(fasteners.lines[0], points=((500.0, 189.9),), kind="edge")
    faults = list(plan_faults(job, plan, replace(fasteners, lines=(near, *fasteners.lines[1:]))))
    assert any("the rivet at (500.00, 189.90) is 14.900 from the edge of D1, not 15.000" in f for f in faults)


def test_drawn_patch_without_room_for_rivets_needs_none() -> None:
    """A triangle of 150 x 30 is 150 wide, and nowhere 15 from all its edges."""
    thin = polygon_ring([(0, 0), (150, 0), (0, 30)])
    job = base_job(
        sides=(), stock=(SMALL,), patches=(Patch("sliver", 150.0, 30.0, riveted=True, outline=thin),)
    )
    wide = replace(job, patches=(replace(job.patches[0], outline=GUSSET, height=100.0),))
    _, plan = sheared_gussets()
    empty = replace(place_fasteners(base_job(sides=()), (), ()), lines=())
    assert not any("no rivet line" in fault for fault in plan_faults(job, plan, empty))
    assert any("no rivet line" in fault for fault in plan_faults(wide, plan, empty))


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from([GUSSET, ROUNDED, SLOPED, LEANING]),
    st.integers(-36000, 36000).map(lambda hundredths: hundredths / 100),
    st.booleans(),
    st.tuples(st.floats(10, 100), st.floats(10, 100)),
    st.integers(0, 4),
)
def test_any_turn_and_flip_is_known_again_and_no_other(
    ring: Ring, turn: float, flipped: bool, at: tuple[float, float], first: int
) -> None:
    """The outline may be listed from any corner; told to be flipped otherwise, it is another part."""
    patch = Patch("odd", 1.0, 1.0, outline=ring, holes=(EYE,))
    stock = replace(shaped_plans.LONG, width=2000.0)
    job = base_job(sides=(), stock=(stock,), patches=(patch,))
    part = laid_ring("odd#1", ring, *at, holes=[EYE], turn=turn, flipped=flipped)
    k = first % len(ring)
    part = replace(part, outline=part.outline[k:] + part.outline[:k])
    plan = replace(sheared_gussets().plan, sheets=(SheetLayout(stock, (part,)),))
    hand = with_turns(HandPlan(job, plan), Turn.ANY, flip=True)
    assert not list(plan_faults(*hand))
    other = with_parts(plan, (replace(part, flipped=not flipped),))
    assert any(NOT_THE_PART in fault for fault in plan_faults(hand.job, other))
