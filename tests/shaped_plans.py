"""Plans for sides that are no rows of rectangles: panels and seams from the planner, laid on sheets by hand.

Dimensions as in `hand_plans`: land 25 all round unless said otherwise, edge distance 15, posts 50, gap and margin 10.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi, tan
from typing import Any

from nesting.job import Bay, CutMethod, Cutting, Job, Land, Patch, Side, Stock, Window
from nesting.outline import Ring, bounds, mirrored, moved, rectangle, turned
from nesting.plan import Cut, Offcut, Panel, PlacedPart, Plan, SheetLayout, Status
from nesting.skin.panels import Block, block_candidate
from nesting.skin.seams import seam_lines, seams_between
from tests.hand_plans import SMALL, HandPlan, base_job, panel, side

QUARTER = tan(pi / 8)
LONG = Stock("long", width=1500.0, length=6000.0, price=200.0)

SLOPED = ((0.0, 0.0, 0.0), (700.0, 0.0, 0.0), (700.0, 900.0, 0.0), (450.0, 1000.0, 0.0), (0.0, 1000.0, 0.0))
ARCHED = (
    (0.0, 0.0, 0.0),
    (300.0, 0.0, -1.0),
    (700.0, 0.0, 0.0),
    (1000.0, 0.0, 0.0),
    (1000.0, 1000.0, 0.0),
    (0.0, 1000.0, 0.0),
)
ROUNDED = (
    (0.0, 0.0, 0.0),
    (900.0, 0.0, 0.0),
    (900.0, 700.0, QUARTER),
    (600.0, 1000.0, 0.0),
    (0.0, 1000.0, 0.0),
)
LEANING = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (620.0, 800.0, 0.0), (-15.0, 790.0, 0.0))
UPRIGHT = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (590.0, 810.0, 0.0), (12.0, 800.0, 0.0))
GUSSET = ((0.0, 0.0, 0.0), (150.0, 0.0, 0.0), (0.0, 100.0, 0.0))
"""A right-angled triangle, no mirror image of itself however it is turned."""

EYE = rectangle(30.0, 30.0, 50.0, 50.0, 10.0)
"""A round hole of radius 10 in the gusset."""


def bay_of(outline: Ring, sill: float = 0.0) -> Bay:
    """A bay of this shape, as wide as its lower edge."""
    foot = max(x for x, y, _ in outline if y == 0)
    return Bay(foot, bounds(outline)[3], sill, outline)


def laid(
    name: str, panel: Panel, x: float, y: float, *, turn: float = 0.0, flipped: bool = False
) -> PlacedPart:
    """The panel on a sheet, its lower left extent (arcs and all) at (x, y)."""
    return laid_ring(name, panel.outline, x, y, holes=panel.holes, turn=turn, flipped=flipped)


def laid_ring(
    name: str,
    outline: Ring,
    x: float,
    y: float,
    *,
    holes: Sequence[Ring] = (),
    turn: float = 0.0,
    flipped: bool = False,
) -> PlacedPart:
    """An outline flipped, turned and moved until its extent begins at (x, y)."""
    around, *inner = (turned(mirrored(ring) if flipped else ring, turn) for ring in (outline, *holes))
    x0, y0, _, _ = bounds(around)
    rings = [moved(ring, x - x0, y - y0) for ring in (around, *inner)]
    return PlacedPart(name, rings[0], tuple(rings[1:]), turn, flipped)


def planned(job: Job, blocks: Sequence[Block]) -> HandPlan:
    """The planner's panels for these blocks of the only side, side by side on one long sheet, and their seams."""
    lines = seam_lines(job, job.sides[0])
    found = [block_candidate(job, job.sides[0], lines, block) for block in blocks]
    panels = []
    for number, candidate in enumerate(found, start=1):
        assert candidate is not None, blocks[number - 1]
        p = candidate.panel
        rows, bays = (p.first_row, p.last_row), (p.first_bay, p.last_bay)
        panels.append(panel(f"D{number}", bays, p.outline, rows, holes=p.holes))
    seams = seams_between(panels, lines)
    parts, x = [], 10.0
    for own in panels:
        parts.append(laid(own.name, own, x, 10.0))
        x = bounds(parts[-1].outline)[2] + 10.0
    cost = job.seam.cost * len(seams)
    plan = Plan(Status.FEASIBLE, 0.0, tuple(panels), seams, (SheetLayout(LONG, tuple(parts)),), cost)
    return HandPlan(job, plan)


def shaped_job(shaped: Side, **changes: Any) -> Job:
    return base_job(sides=(shaped,), stock=(LONG,), **changes)


def sloped_front() -> HandPlan:
    """A rectangle of 600 x 1000 and a bay whose upper corner slopes away; a seam over the post at x = 625."""
    job = shaped_job(side(bays=(Bay(600.0, 1000.0), bay_of(SLOPED))))
    return planned(job, [Block(1, 1, 1, 1), Block(2, 2, 1, 1)])


def wheel_arch() -> HandPlan:
    """One bay with a half circle of radius 200 cut out of its foot: with the land its radius is 175."""
    return planned(shaped_job(side(bays=(bay_of(ARCHED),), posts=())), [Block(1, 1, 1, 1)])


def arch_under_rail() -> HandPlan:
    """The wheel arch beside a plain bay, a rail of 60 at 500 over both: four panels."""
    shaped = side(bays=(bay_of(ARCHED), Bay(600.0, 1000.0)), rails=(500.0,), rail_width=60.0)
    blocks = [Block(bay, bay, row, row) for row in (1, 2) for bay in (1, 2)]
    return planned(shaped_job(shaped), blocks)


def rounded_rear() -> HandPlan:
    """A plain bay and one with an upper corner of radius 300, closed by one panel.

    The chord of the corner rises as much as it runs, so the arc takes the land of the ends, 30, and meets that
    of the top, 25, with a step of 5 at x = 1250.
    """
    job = shaped_job(
        side(bays=(Bay(600.0, 1000.0), bay_of(ROUNDED))), land=Land(top=25.0, bottom=20.0, ends=30.0)
    )
    return planned(job, [Block(1, 2, 1, 1)])


def rounded_under_rail() -> HandPlan:
    """The rounded bay alone with a rail of 60 at 850, which meets the corner on its arc."""
    shaped = side(bays=(bay_of(ROUNDED),), posts=(), rails=(850.0,), rail_width=60.0)
    return planned(shaped_job(shaped), [Block(1, 1, 1, 1), Block(1, 1, 2, 2)])


def leaning_posts() -> HandPlan:
    """Two bays between posts that lean: at the foot the post is 60 wide, plumb only 40, from 620 to 660."""
    shaped = side(bays=(bay_of(LEANING), bay_of(UPRIGHT, sill=20.0)), posts=(60.0,))
    return planned(shaped_job(shaped), [Block(1, 1, 1, 1), Block(2, 2, 1, 1)])


def leaning_with_window() -> HandPlan:
    """The leaning bays under one panel, a window of 300 x 200 in the first, and a drawn patch cut from its waste."""
    window = Window(bay=1, from_left=150.0, from_bottom=300.0, width=300.0, height=200.0, corner_radius=40.0)
    shaped = side(bays=(bay_of(LEANING), bay_of(UPRIGHT, sill=20.0)), posts=(60.0,), windows=(window,))
    patch = Patch("gusset", 150.0, 100.0, outline=GUSSET, holes=(EYE,))
    hand = planned(shaped_job(shaped, patches=(patch,)), [Block(1, 2, 1, 1)])
    sheet = hand.plan.sheets[0]
    x0, y0, _, _ = bounds(sheet.parts[0].holes[0])
    gusset = laid_ring("gusset#1", GUSSET, x0 + 20.0, y0 + 20.0, holes=patch.holes, turn=90.0)
    return HandPlan(hand.job, with_parts(hand.plan, (*sheet.parts, gusset)))


def with_parts(plan: Plan, parts: Sequence[PlacedPart]) -> Plan:
    """The plan with other parts on its only sheet."""
    return replace(plan, sheets=(replace(plan.sheets[0], parts=tuple(parts)),))


def sheared_gussets() -> HandPlan:
    """Two gussets cut edge to edge as rectangles of 150 x 100 from the foot of one sheet, trimmed afterwards."""
    job = base_job(
        cutting=Cutting(method=CutMethod.SHEAR),
        sides=(),
        stock=(SMALL,),
        patches=(Patch("gusset", 150.0, 100.0, quantity=2, outline=GUSSET),),
    )
    parts = (laid_ring("gusset#1", GUSSET, 0.0, 0.0), laid_ring("gusset#2", GUSSET, 150.0, 0.0, turn=180.0))
    cuts = (
        Cut(1, "y", 100.0, (0.0, 0.0, 2000.0, 1000.0)),
        Cut(2, "x", 150.0, (0.0, 0.0, 2000.0, 100.0)),
        Cut(3, "x", 300.0, (150.0, 0.0, 2000.0, 100.0)),
    )
    sheet = SheetLayout(SMALL, parts, cuts, (Offcut(0.0, 100.0, 2000.0, 900.0),))
    return HandPlan(job, Plan(Status.FEASIBLE, 0.0, (), (), (sheet,), 0.0))


ALL = (
    sloped_front,
    wheel_arch,
    arch_under_rail,
    rounded_rear,
    rounded_under_rail,
    leaning_posts,
    leaning_with_window,
    sheared_gussets,
)
"""Every plan of real shapes, for tests that must hold for all."""
