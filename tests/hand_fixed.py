"""A hand plan that goes on from an earlier one: a panel and a patch are cut, a sheet is on hand."""

from __future__ import annotations

from dataclasses import replace

from nesting.job import Fixed, FixedPanel, FixedPatch, FixedState, FixedStrip, Patch
from nesting.outline import rectangle
from nesting.plan import BackingStrip, Plan, Seam, SheetLayout, Status
from tests.hand_plans import BIG, DRIVER, SMALL, HandPlan, base_job, panel, placed, two_panels
from tests.plain_sides import side_of

SMALL_ON_HAND = replace(SMALL, price=0.0, available=1, on_hand=True)


def gone_on() -> HandPlan:
    """`two_panels` when D1 and the first of two hatches of 200 are cut: D2 and the second hatch on a sheet on hand.

    The sheet costs nothing, so only the seam is left: 12.
    """
    _, plan = two_panels()
    fixed = Fixed((FixedPanel(DRIVER, 1, 1, FixedState.CUT, name="D1"),), (FixedPatch("hatch", (1,)),))
    job = base_job(
        stock=(SMALL_ON_HAND, BIG, SMALL), patches=(Patch("hatch", 200.0, 200.0, quantity=2),), fixed=fixed
    )
    d1, d2 = replace(plan.panels[0], cut=True), plan.panels[1]
    sheet = SheetLayout(
        SMALL_ON_HAND,
        (placed("D2", d2.outline, 10, 10), placed("hatch#2", rectangle(0, 0, 200, 200), 685, 10)),
    )
    return HandPlan(job, replace(plan, bound=12.0, panels=(d1, d2), sheets=(sheet,), tradeoff=()))


def strip_cut() -> HandPlan:
    """A bay of 600 x 1200 without a rail: the strip at 500 and the panel below it are cut, the upper one is not.

    The strip is 650 long, from land to land, and 30 high, as wide as the lap.
    """
    job = base_job(
        sides=(replace(side_of(1), bays=(replace(side_of(1).bays[0], height=1200.0),)),),
        stock=(SMALL,),
        fixed=Fixed(
            panels=(FixedPanel(DRIVER, 1, 1, FixedState.CUT, to_rail=500.0, name="D1"),),
            strips=(FixedStrip(DRIVER, 1, 1, 500.0, FixedState.CUT, "backing strip 1"),),
        ),
    )
    lower = panel("D1", (1, 1), rectangle(-25, -25, 625, 515), rows=(1, 1), cut=True)
    upper = panel("D2", (1, 1), rectangle(-25, 485, 625, 1225), rows=(2, 2))
    seam = Seam(DRIVER, None, 1, (-25.0, 500.0), (625.0, 500.0), over="D2", under="D1")
    sheet = SheetLayout(SMALL, (placed("D2", upper.outline, 10, 10),))
    strips = (BackingStrip(DRIVER, 500.0, "backing strip 1", 1, cut=True),)
    return HandPlan(job, Plan(Status.FEASIBLE, 55.0, (lower, upper), (seam,), (sheet,), 12.0, backing=strips))
