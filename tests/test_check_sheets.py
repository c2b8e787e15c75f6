"""The plan check finds every damage to the sheets: parts, spacing, stock, offcuts and the cuts of a shear."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.checking.check import check_plan, plan_faults
from nesting.checking.shapes import metal_area, rings_apart, traced
from nesting.job import CutMethod, Patch, Turn
from nesting.outline import moved, rectangle, turned
from nesting.plan import BackingStrip, Offcut, SheetLayout
from tests import hand_plans
from tests.damages import (
    Damage,
    as_it_was,
    assert_found,
    cases,
    cut_changed,
    cutting_changed,
    first_part_twice,
    item,
    mirrored_silently,
    one_more_part,
    part_changed,
    sheet_changed,
    shifted,
    turned_by_ten,
)
from tests.hand_plans import (
    SMALL,
    HandPlan,
    flipped_step,
    four_corners,
    one_panel,
    railed,
    sheared,
    stepped,
    two_panels,
    windowed,
)


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        (
            "part forgotten",
            two_panels,
            lambda h: sheet_changed(parts=h.plan.sheets[0].parts[:1])(h),
            "part D2: it is on the sheets 0 times",
        ),
        ("part cut twice", two_panels, first_part_twice, "part D1: it is on the sheets 2 times"),
        (
            "part that nobody asked for",
            two_panels,
            one_more_part,
            "part no such thing: nothing of that name is needed",
        ),
        (
            "patch copy forgotten",
            sheared,
            lambda h: sheet_changed(parts=h.plan.sheets[0].parts[1:])(h),
            "part cover#1: it is on the sheets 0 times",
        ),
        (
            "one copy more asked for",
            sheared,
            lambda h: (replace(h.job, patches=item(h.job.patches, 0, quantity=3)), h.plan),
            "part cover#3: it is on the sheets 0 times",
        ),
        (
            "part shrunk",
            two_panels,
            part_changed(0, lambda r: tuple((x * 0.999, y, b) for x, y, b in r)),
            "part D1: the outline is not that of the part",
        ),
        (
            "part with a corner more",
            two_panels,
            part_changed(0, lambda r: (*r, (10.0, 300.0, 0.0))),
            "part D1: the outline has 5 corners instead of 4",
        ),
        (
            "arc made straight",
            windowed,
            part_changed(1, lambda r: tuple((x, y, 0.0) for x, y, _ in r)),
            "part lamp cover#1: the outline is not that of the part",
        ),
        (
            "hole forgotten on the sheet",
            windowed,
            part_changed(0, as_it_was, holes=()),
            "part D1: a hole is missing",
        ),
        (
            "hole moved on the sheet",
            windowed,
            part_changed(0, as_it_was, holes=(rectangle(786, 135, 1186, 435, 50),)),
            "part D1: a hole is missing or is not where it should be",
        ),
        (
            "hole too many on the sheet",
            one_panel,
            part_changed(0, as_it_was, holes=(rectangle(100, 100, 200, 200),)),
            "part D1: it has a hole too many",
        ),
        (
            "turn not as told",
            stepped,
            part_changed(0, as_it_was, turn=180.0),
            "part D1: the outline is not that of the part",
        ),
        ("turn not allowed", one_panel, turned_by_ten, "part D1: a turn of 10 degrees is not allowed"),
        (
            "half turn not allowed",
            four_corners,
            cutting_changed(turn=Turn.NONE),
            "part D3: a turn of 180 degrees is not allowed",
        ),
        (
            "quarter turn not allowed",
            flipped_step,
            cutting_changed(turn=Turn.HALF),
            "part D1: a turn of 90 degrees is not allowed",
        ),
        ("flip not allowed", flipped_step, cutting_changed(flip=False), "part D1: it is cut face down"),
        ("mirrored but not told", stepped, mirrored_silently, "part D1: the outline is not that of the part"),
        (
            "flip not done",
            stepped,
            part_changed(0, as_it_was, flipped=True),
            "part D1: the outline is not that of the part",
        ),
        (
            "over the edge",
            two_panels,
            part_changed(0, shifted(-0.001, 0)),
            "part D1: 9.999 from the edge instead of 10.000",
        ),
        (
            "too close",
            two_panels,
            part_changed(1, shifted(-0.5, 0)),
            "parts D1 and D2 are 9.5000 apart instead of 10.0000",
        ),
        ("overlapping", two_panels, part_changed(1, shifted(-50, 0)), "parts D1 and D2 overlap"),
        (
            "one inside the other",
            windowed,
            part_changed(1, shifted(-600, 0)),
            "parts D1 and lamp cover#1 overlap",
        ),
        (
            "too close in a window",
            windowed,
            part_changed(1, shifted(-99, 0)),
            "parts D1 and lamp cover#1 are 1.0000 apart",
        ),
        (
            "kerf wider than the gap",
            two_panels,
            cutting_changed(kerf=11.0),
            "parts D1 and D2 are 10.0000 apart instead of 11.0000",
        ),
        (
            "stock at another price",
            two_panels,
            sheet_changed(stock=replace(SMALL, price=54.0)),
            "stock small: no stock of the job",
        ),
        (
            "sheet without parts",
            two_panels,
            lambda h: (h.job, replace(h.plan, sheets=(*h.plan.sheets, SheetLayout(SMALL, ())))),
            "sheet 2: it carries no part",
        ),
        (
            "more sheets than there are",
            two_panels,
            lambda h: (
                h.job,
                replace(
                    h.plan, sheets=h.plan.sheets + (replace(h.plan.sheets[0], parts=(), offcuts=()),) * 2
                ),
            ),
            "stock small: 3 sheets are used, 2 are available",
        ),
        (
            "backing strip not cut",
            railed,
            lambda h: (
                replace(h.job, sides=item(h.job.sides, 0, rails=())),
                replace(h.plan, backing=(BackingStrip("driver side", 500.0, "strip"),)),
            ),
            "part strip: the backing strip is on no sheet",
        ),
        (
            "offcut over a part",
            one_panel,
            sheet_changed(offcuts=(Offcut(1300, 10, 1000, 500),)),
            "sheet 1, offcut 1: it overlaps part D1",
        ),
        (
            "offcuts that overlap",
            one_panel,
            sheet_changed(offcuts=(Offcut(10, 570, 2480, 670), Offcut(1320, 10, 1170, 561))),
            "sheet 1, offcut 2: it overlaps offcut 1",
        ),
        (
            "offcut past the edge",
            one_panel,
            sheet_changed(offcuts=(Offcut(10, 570, 2491, 670),)),
            "sheet 1, offcut 1: it runs over the edge",
        ),
        (
            "offcut too small",
            one_panel,
            sheet_changed(offcuts=(Offcut(10, 570, 2480, 304),)),
            "sheet 1, offcut 1: 2480.0 x 304.0 is too small",
        ),
        (
            "cut forgotten",
            sheared,
            lambda h: sheet_changed(cuts=h.plan.sheets[0].cuts[:3])(h),
            "part lid#1: the cuts do not free it",
        ),
        ("cut through a part", sheared, cut_changed(1, at=399.0), "cut 2: it runs through part cover#1"),
        (
            "cut of a piece that is not there",
            sheared,
            cut_changed(2, piece=(0.0, 0.0, 800.0, 1000.0)),
            "cut 3: there is no piece",
        ),
        (
            "cuts out of order",
            sheared,
            lambda h: sheet_changed(cuts=h.plan.sheets[0].cuts[::-1])(h),
            "cut 4: it comes as number 1",
        ),
        (
            "cut that divides nothing",
            sheared,
            cut_changed(3, at=800.0),
            "cut 4: at x = 800.00 it does not divide",
        ),
        (
            "cut longer than the shear",
            sheared,
            cutting_changed(shear_length=900.0),
            "cut 1: 1000.0 long, the shear takes 900.0",
        ),
        ("kerf not left", sheared, cutting_changed(kerf=3.0), "cut 1: it runs through part"),
        (
            "cut through an offcut",
            sheared,
            sheet_changed(offcuts=(Offcut(800, 0, 1200, 1000),)),
            "offcut 1: the cuts go through it",
        ),
        (
            "shear without cuts",
            two_panels,
            cutting_changed(method=CutMethod.SHEAR),
            "part D1: the cuts do not free it",
        ),
    ),
)
def test_damage_to_sheets_is_found(build: Callable[[], HandPlan], damage: Damage, told: str) -> None:
    assert_found(told, damage(build()))


def test_part_may_be_listed_from_any_corner_and_either_way_round() -> None:
    job, plan = hand_plans.stepped()
    ring = plan.sheets[0].parts[0].outline
    for other in (ring[2:] + ring[:2], tuple((x, y, 0.0) for x, y, _ in reversed(ring))):
        check_plan(*part_changed(0, lambda _, other=other: other)(HandPlan(job, plan)))


def test_rounded_corners_may_nestle() -> None:
    """Two discs of 200 side by side at 45 degrees: centres 210 apart leave exactly 10 between the arcs."""
    job, _ = hand_plans.sheared()
    disc = Patch("disc", 200.0, 200.0, corner_radius=100.0, quantity=2)
    job = replace(job, patches=(disc,), cutting=hand_plans.base_job().cutting)
    step = 210.0 / 2**0.5
    round_part = rectangle(0, 0, 200, 200, 100)

    def laid(apart: float) -> HandPlan:
        parts = (
            hand_plans.placed("disc#1", round_part, 10, 10),
            hand_plans.placed("disc#2", round_part, 10 + apart, 10 + apart),
        )
        plan = hand_plans.sheared().plan
        return HandPlan(
            job, replace(plan, sheets=(replace(plan.sheets[0], parts=parts, cuts=(), offcuts=()),))
        )

    check_plan(*laid(step))
    faults = list(plan_faults(*laid(step - 0.001)))
    assert faults == ["sheet 1: parts disc#1 and disc#2 are 9.9986 apart instead of 10.0000"]


def test_area_of_a_disc_is_exact() -> None:
    assert metal_area(rectangle(0, 0, 200, 200, 100), ()) == pytest.approx(100**2 * 3.141592653589793)


def test_grown_trace_holds_the_disc_and_the_other_does_not() -> None:
    disc = rectangle(-100, -100, 100, 100, 100)
    assert min((x * x + y * y) ** 0.5 for x, y in traced(disc, grow=False)) == pytest.approx(100)
    assert max((x * x + y * y) ** 0.5 for x, y in traced(disc, grow=True)) <= 100.03


@pytest.mark.parametrize("turn", [0, 17, 45, 90])
def test_distance_between_arcs_is_exact(turn: float) -> None:
    """Two discs of radius 50 with centres 150 apart, in any direction, are 50 apart."""
    disc = rectangle(-50, -50, 50, 50, 50)
    away = turned(((150.0, 0.0, 0.0),), turn)[0]
    assert rings_apart([disc], [moved(disc, away[0], away[1])]) == pytest.approx(50.0, abs=1e-9)
