"""The plan check lets sound plans pass and finds every damage to panels, seams, windows, cost and bound."""

from __future__ import annotations

import ast
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from nesting.checking import check
from nesting.checking.check import check_plan, plan_faults
from nesting.job import Bay, Hand
from nesting.outline import polygon_ring, rectangle
from nesting.plan import BackingStrip, Status
from shared.errors import PlanRejected
from tests import hand_plans
from tests.damages import (
    Damage,
    Damaged,
    assert_found,
    cases,
    panel_changed,
    plan_changed,
    rail_through_window,
    recut,
    seam_changed,
    side_changed,
    trade,
)
from tests.full_body import full_body, full_body_fasteners
from tests.hand_plans import (
    HandPlan,
    butted,
    four_corners,
    one_panel,
    placed,
    railed,
    stepped,
    stepped_seam,
    two_panels,
    windowed,
)

STEP_WITHOUT_MITRE = polygon_ring([(-25, -25), (1265, -25), (1265, 455), (640, 455), (600, 425), (-25, 425)])


def backed(hand: HandPlan, length: float, width: float, height: float = 500.0) -> Damaged:
    """A backing strip in place of any rail, cut from the free end of the sheet."""
    strip = placed("strip", rectangle(0, 0, width, length), hand.plan.sheets[0].stock.length - 60, 10)
    sheet = replace(hand.plan.sheets[0], parts=(*hand.plan.sheets[0].parts, strip), offcuts=())
    side = replace(hand.job.sides[0], rails=())
    plan = replace(hand.plan, sheets=(sheet,), backing=(BackingStrip("driver side", height, "strip"),))
    return replace(hand.job, sides=(side,)), plan


@pytest.mark.parametrize("build", hand_plans.ALL, ids=lambda build: build.__name__)
def test_sound_plan_passes(build: Callable[[], HandPlan]) -> None:
    check_plan(*build())


def test_sound_rivets_and_buy_list_pass() -> None:
    whole = hand_plans.planned_two_panels()
    check_plan(whole.job, whole.plan, whole.fasteners, whole.buying)


def test_all_faults_are_told_at_once() -> None:
    job, plan = two_panels()
    plan = replace(plan, seam_cost=13.0, seams=(), bound=500.0)
    with pytest.raises(PlanRejected) as rejected:
        check_plan(job, plan)
    assert len(rejected.value.faults) >= 3


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        (
            "bay left open",
            two_panels,
            lambda h: (h.job, replace(h.plan, panels=h.plan.panels[:1])),
            "bay 2, row 1 is not covered",
        ),
        ("bay closed twice", two_panels, panel_changed(1, first_bay=1), "bay 1, row 1 is covered 2 times"),
        ("bay that does not exist", two_panels, panel_changed(1, last_bay=3), "panel D2: bays 2 to 3"),
        ("row that does not exist", railed, panel_changed(1, last_row=3), "panel D2: rows 2 to 3"),
        ("row closed twice", railed, panel_changed(1, first_row=1), "bay 1, row 1 is covered 2 times"),
        ("unknown side", one_panel, panel_changed(0, side="roof"), "panel D1: there is no side 'roof'"),
        (
            "front on the wrong hand",
            one_panel,
            panel_changed(0, forward=Hand.RIGHT),
            "panel D1: its front is on the right",
        ),
        ("name used twice", two_panels, panel_changed(1, name="D1"), "panel D1: the name is used 2 times"),
        (
            "lap too short",
            two_panels,
            recut(0, rectangle(-25, -25, 639, 525)),
            "panel D1: the outline is wrong: right 639.000 instead of 640.000",
        ),
        (
            "land too short",
            one_panel,
            recut(0, rectangle(-25, -25, 1275, 524)),
            "panel D1: the outline is wrong: top 524.000",
        ),
        (
            "land too long",
            one_panel,
            recut(0, rectangle(-26, -25, 1275, 525)),
            "panel D1: the outline is wrong: left -26.000",
        ),
        (
            "rail lap too short",
            railed,
            recut(1, rectangle(-25, 486, 625, 1225)),
            "panel D2: the outline is wrong: bottom 486.000",
        ),
        (
            "butt gap closed",
            butted,
            recut(0, rectangle(-25, -25, 626, 525)),
            "panel D1: the outline is wrong: right 626.000",
        ),
        (
            "step without mitre",
            stepped,
            recut(0, STEP_WITHOUT_MITRE),
            "panel D1: the outline is wrong",
        ),
        (
            "outline that crosses itself",
            one_panel,
            panel_changed(0, outline=((0, 0, 0), (9, 9, 0), (9, 0, 0), (0, 9, 0))),
            "panel D1: the outline crosses itself",
        ),
        ("window closed", windowed, panel_changed(0, holes=()), "panel D1: it closes window 1"),
        (
            "window moved",
            windowed,
            panel_changed(0, holes=(rectangle(751, 100, 1151, 400, 50),)),
            "window 1 in bay 2 is a hole in 0 panels",
        ),
        (
            "window with other corners",
            windowed,
            panel_changed(0, holes=(rectangle(750, 100, 1150, 400, 49),)),
            "window 1 in bay 2 is a hole in 0 panels",
        ),
        (
            "hole without a window",
            one_panel,
            panel_changed(0, holes=(rectangle(100, 100, 200, 200),)),
            "panel D1: hole 1 belongs to no window",
        ),
        (
            "seam through a window",
            windowed,
            rail_through_window,
            "seam D2 over D1: it cuts window 1 in bay 2",
        ),
        (
            "seam forgotten",
            two_panels,
            plan_changed(seams=()),
            "D1 and D2 meet on the post after bay 1, and 0 seams say so",
        ),
        (
            "seam told twice",
            two_panels,
            lambda h: (h.job, replace(h.plan, seams=h.plan.seams * 2)),
            "and 2 seams say so",
        ),
        (
            "seam on the wrong post",
            two_panels,
            seam_changed(0, after_bay=2),
            "seam D1 over D2 on the post after bay 2, where these do not meet",
        ),
        (
            "seam beside the centre line",
            two_panels,
            seam_changed(0, start=(626.0, -25.0)),
            "it runs at 626.000",
        ),
        (
            "seam too short",
            two_panels,
            seam_changed(0, end=(625.0, 500.0)),
            "it ends at 500.000 instead of 525.000",
        ),
        (
            "seam as high as the taller bay",
            stepped_seam,
            seam_changed(0, end=(620.0, 455.0)),
            "it ends at 455.000 instead of 446.250",
        ),
        (
            "panel as high as the taller bay",
            stepped_seam,
            recut(1, rectangle(605, -25, 1265, 455)),
            "panel D2: the outline is wrong",
        ),
        (
            "backing strip shorter than its seam",
            railed,
            lambda h: backed(h, 600.0, 30.0),
            "the backing strips at 500.00 are 600.00 long together, the seams over them 650.00",
        ),
        (
            "backing strip too narrow",
            railed,
            lambda h: backed(h, 650.0, 29.0),
            "rail 1 is 29.00 wide",
        ),
        (
            "backing strip without a seam",
            windowed,
            lambda h: backed(h, 1200.0, 30.0, 300.0),
            "no seam lies on the backing strip at 300.00",
        ),
        (
            "seam past the rail",
            four_corners,
            seam_changed(0, end=(625.0, 515.0)),
            "it ends at 515.000 instead of 500.000",
        ),
        (
            "rail seam past the post",
            four_corners,
            seam_changed(2, end=(640.0, 500.0)),
            "it ends at 640.000 instead of 625.000",
        ),
        (
            "aft panel over forward",
            two_panels,
            seam_changed(0, over="D2", under="D1"),
            "D2 lies over D1, it should lie under",
        ),
        (
            "lower panel over upper",
            railed,
            seam_changed(0, over="D1", under="D2"),
            "D1 lies over D2, it should lie under",
        ),
        (
            "post too narrow",
            two_panels,
            lambda h: (replace(h.job, seam=replace(h.job.seam, edge_distance=25.5)), h.plan),
            "the post after bay 1 is 50.00 wide",
        ),
        (
            "post too narrow for a butt seam",
            butted,
            lambda h: (replace(h.job, seam=replace(h.job.seam, edge_distance=22.0)), h.plan),
            "the post after bay 1 is 50.00 wide, a seam of D1 over D2 needs 51.00",
        ),
        ("rail too narrow", railed, side_changed(rail_width=29.0), "rail 1 is 29.00 wide"),
        ("seam without a rail", railed, side_changed(rails=()), "panel D2: rows 2 to 2 are not among 1 to 1"),
        (
            "seam cost",
            two_panels,
            plan_changed(seam_cost=11.0),
            "seam cost: 11.0000 is given, 1 seams come to 12.0000",
        ),
        (
            "seam cost by length",
            two_panels,
            lambda h: (replace(h.job, seam=replace(h.job.seam, cost_per_length=0.01)), h.plan),
            "seam cost: 12.0000 is given, 1 seams come to 17.5000",
        ),
    ),
)
def test_damage_is_found(build: Callable[[], HandPlan], damage: Damage, told: str) -> None:
    assert_found(told, damage(build()))


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        (
            "bound above the cost",
            two_panels,
            plan_changed(bound=67.1),
            "bound: 67.1000 is more than the plan costs",
        ),
        ("bound that is no number", two_panels, plan_changed(bound=float("nan")), "bound: nan is more than"),
        (
            "optimal without proof",
            two_panels,
            plan_changed(bound=66.9),
            "status: called optimal with a bound of 66.9000",
        ),
        ("feasible called optimal", railed, plan_changed(status=Status.OPTIMAL), "status: called optimal"),
        (
            "trade-off out of order",
            two_panels,
            trade((1, 55.0, 55.0), (0, 90.0, 90.0)),
            "trade-off: 0 seams come after 1",
        ),
        (
            "trade-off that rises",
            two_panels,
            trade((1, 55.0, 55.0), (2, 56.0, 55.0)),
            "trade-off at 2 seams: the sheets cost more",
        ),
        (
            "trade-off bound too high",
            two_panels,
            trade((0, 90.0, 91.0), (1, 55.0, 55.0)),
            "trade-off at 0 seams: the bound 91.0000",
        ),
        (
            "trade-off beats the plan",
            two_panels,
            trade((0, 66.0, 66.0), (1, 55.0, 55.0)),
            "trade-off at 0 seams: it costs 66.0000",
        ),
        (
            "plan beats a trade-off bound",
            two_panels,
            trade((1, 60.0, 56.0)),
            "the bound 56.0000 is beaten by the plan",
        ),
    ),
)
def test_damage_to_cost_or_bound_is_found(build: Callable[[], HandPlan], damage: Damage, told: str) -> None:
    assert_found(told, damage(build()))


def test_rail_outside_an_opening_does_not_divide_it() -> None:
    job, plan = hand_plans.one_panel()
    check_plan(*side_changed(rails=(500.0,), rail_width=50.0)(HandPlan(job, plan)))


def test_seam_on_a_backing_strip_passes() -> None:
    check_plan(*backed(railed(), 650.0, 30.0))


def test_bay_lower_than_the_rail_is_one_cell() -> None:
    """Bay 2 ends under the rail of bay 1: one panel above the rail, one below it and over bay 2."""
    job, _ = hand_plans.railed()
    side = replace(job.sides[0], bays=(Bay(600.0, 1200.0), Bay(600.0, 400.0)), posts=(50.0,))
    frame_job = replace(job, sides=(side,))
    upper = hand_plans.panel("D1", (1, 1), rectangle(-25, 485, 625, 1225), rows=(2, 2))
    lower_left = hand_plans.panel("D2", (1, 1), rectangle(-25, -25, 640, 515), rows=(1, 1))
    lower_right = hand_plans.panel("D3", (2, 2), rectangle(610, -25, 1275, 425), rows=(1, 1))
    _, plan = hand_plans.railed()
    faults = list(plan_faults(frame_job, replace(plan, panels=(upper, lower_left, lower_right))))
    assert not [fault for fault in faults if "covered" in fault]


def test_check_shares_no_code_with_the_builders() -> None:
    allowed = {
        "nesting.job",
        "nesting.plan",
        "nesting.outline",
        "nesting.status",
        "nesting.barstock",
        "nesting.orderrules",
        "nesting.orderneeds",
        "shared.errors",
    }
    for path in Path(check.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if (
                isinstance(node, ast.ImportFrom)
                and node.module
                and node.module.startswith(("nesting", "shared"))
            ):
                assert node.module in allowed or node.module.startswith("nesting.checking."), (
                    path.name,
                    node.module,
                )
                if node.module == "nesting.outline":
                    assert {alias.name for alias in node.names} <= {"Ring", "Vertex", "Box"}


def test_full_body_passes_its_check() -> None:
    body = full_body()
    fasteners = full_body_fasteners(body)
    assert len(body.plan.panels) == 14
    assert fasteners.total > 1500
    check_plan(body.job, body.plan, fasteners)
