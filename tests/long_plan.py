"""A long side in inches with its plan made by hand: what the printed packet has to cope with.

Twelve bays of 27 1/2 x 39 1/2 with posts of 2 and a land of 1: three panels of four bays, 118 1/2, 119 and
118 1/2 wide and 41 1/2 high, each on its own sheet of 48 x 120, with patches beside the first two.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.job import (
    Bay,
    Costs,
    Cutting,
    Hand,
    Job,
    Land,
    Pack,
    Patch,
    RivetRules,
    SeamRules,
    Side,
    Skin,
    Stock,
    Units,
)
from nesting.ordering.buylist import buy_list, part_masses
from nesting.outline import Ring, moved, rectangle
from nesting.plan import (
    Offcut,
    Panel,
    PlacedPart,
    Plan,
    PlannedJob,
    Seam,
    SheetLayout,
    Status,
    TradePoint,
)
from nesting.rivets.fasteners import place_fasteners

INCH = 25.4
FOUR_BY_TEN = Stock("4x10", 48 * INCH, 120 * INCH, 128.0)
SIDE = "driver side"


def long_job() -> Job:
    """The job: doubtful readings in bay 6, a lamp cover in four copies."""
    side = Side(SIDE, Hand.LEFT, (Bay(27.5 * INCH, 39.5 * INCH),) * 12, (2 * INCH,) * 11)
    return Job(
        title="Forty-foot body, driver side",
        units=Units.INCH,
        skin=Skin("galvannealed steel", 1.311, 10.528, gauge=18),
        cutting=Cutting(kerf=INCH / 16, gap=INCH / 4, edge_margin=INCH / 4),
        seam=SeamRules(edge_distance=INCH / 2, cost=12.0),
        land=Land(INCH, INCH, INCH),
        rivets=RivetRules(packs=(Pack(500, 98.0),)),
        stock=(FOUR_BY_TEN,),
        sides=(side,),
        patches=(Patch("lamp cover", 5 * INCH, 4 * INCH, corner_radius=INCH, quantity=4, riveted=True),),
        costs=Costs(cut_per_sheet=8.0, delivery=60.0, tax=0.06),
        warnings=("side 'driver side', bay 6: heights differ by 3/8 in: measure again before cutting",),
    )


def long_plan() -> PlannedJob:
    """The plan with its rivets, masses and money."""
    job = long_job()
    panels, x = [], -INCH
    for number, (wide, first) in enumerate(((118.5, 1), (119.0, 5), (118.5, 9)), start=1):
        outline = rectangle(x, -INCH, x + wide * INCH, 40.5 * INCH)
        panels.append(Panel(f"D{number}", SIDE, Hand.LEFT, first, first + 3, 1, 1, outline))
        x += (wide - 1) * INCH
    seams = tuple(
        Seam(SIDE, bay, None, (y, -INCH), (y, 40.5 * INCH), over=f"D{i}", under=f"D{i + 1}")
        for i, bay, y in ((1, 4, 117 * INCH), (2, 8, 235 * INCH))
    )
    edge = INCH / 4
    cover = rectangle(0, 0, 5 * INCH, 4 * INCH, INCH)
    sheets = []
    for index, panel in enumerate(panels):
        parts = [PlacedPart(panel.name, _laid(panel.outline, edge, edge), (), 0.0, False)]
        for copy in (1, 2):
            if index < 2:
                name, at = f"lamp cover#{2 * index + copy}", edge + (copy - 1) * 5.25 * INCH
                parts.append(PlacedPart(name, _laid(cover, at, 42 * INCH), (), 0.0, False))
        left = edge + (10.5 * INCH if index < 2 else 0.0)
        offcut = Offcut(left, 42 * INCH, 120 * INCH - edge - left, 5.75 * INCH)
        sheets.append(SheetLayout(FOUR_BY_TEN, tuple(parts), offcuts=(offcut,)))
    trade = (TradePoint(2, 384.0, 384.0), TradePoint(3, 384.0, 380.0))
    plan = Plan(Status.FEASIBLE, 400.0, tuple(panels), seams, tuple(sheets), 24.0, trade)
    fasteners = place_fasteners(job, panels, seams)
    return PlannedJob(job, plan, fasteners, buy_list(job, plan, fasteners), part_masses(job, plan))


def renamed(planned: PlannedJob, names: dict[str, str]) -> PlannedJob:
    """The same plan with panels, side (and title) called differently."""

    def new(name: str) -> str:
        return names.get(name, name)

    plan, job, rivets = planned.plan, planned.job, planned.fasteners
    return replace(
        planned,
        job=replace(
            job, title=new(job.title), sides=tuple(replace(side, name=new(side.name)) for side in job.sides)
        ),
        plan=replace(
            plan,
            panels=tuple(replace(p, name=new(p.name), side=new(p.side)) for p in plan.panels),
            seams=tuple(
                replace(s, side=new(s.side), over=new(s.over), under=new(s.under)) for s in plan.seams
            ),
            sheets=tuple(
                replace(s, parts=tuple(replace(p, part=new(p.part)) for p in s.parts)) for s in plan.sheets
            ),
        ),
        fasteners=replace(
            rivets,
            lines=tuple(
                replace(line, side=new(line.side), panels=tuple(map(new, line.panels)))
                for line in rivets.lines
            ),
            panels=tuple(replace(p, panel=new(p.panel)) for p in rivets.panels),
        ),
        masses={new(name): mass for name, mass in planned.masses.items()},
    )


def _laid(ring: Ring, x: float, y: float) -> Ring:
    return moved(ring, x - min(v[0] for v in ring), y - min(v[1] for v in ring))
