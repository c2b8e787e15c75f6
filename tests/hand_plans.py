"""Small jobs and plans made by hand, in round millimetres, so that every answer can be checked on paper.

Shared dimensions unless a function says otherwise: bays 600 wide and 500 high, posts 50, land 25 all round,
edge distance 15, so a lap panel runs 25 + 15 = 40 past the opening at a seam.  Seam 12, big sheet 90.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

from nesting.job import (
    Bay,
    Costs,
    CutMethod,
    Cutting,
    Hand,
    Job,
    Land,
    Pack,
    Patch,
    RivetRules,
    SeamKind,
    SeamRules,
    Side,
    Skin,
    Stock,
    Turn,
    Units,
    Window,
)
from nesting.outline import Ring, mirrored, moved, polygon_ring, rectangle, turned
from nesting.plan import (
    BuyLine,
    BuyList,
    Cut,
    Fasteners,
    Offcut,
    Panel,
    PanelRivets,
    PlacedPart,
    Plan,
    PlannedJob,
    Point,
    RivetLine,
    Seam,
    SheetLayout,
    Status,
    TradePoint,
)

BIG = Stock("big", width=1250.0, length=2500.0, price=90.0)
SMALL = Stock("small", width=1000.0, length=2000.0, price=55.0, available=2)

DRIVER = "driver side"


class HandPlan(NamedTuple):
    """A job and a plan for it."""

    job: Job
    plan: Plan


def base_job(**changes: Any) -> Job:
    """Two equal bays on the driver side, the front on the left hand; no patches."""
    job = Job(
        title="hand job",
        units=Units.MILLIMETRE,
        skin=Skin(material="steel", thickness=1.2, mass_per_area=10.0),
        cutting=Cutting(gap=10.0, kerf=2.0, edge_margin=10.0),
        seam=SeamRules(edge_distance=15.0, cost=12.0),
        land=Land(top=25.0, bottom=25.0, ends=25.0),
        rivets=RivetRules(
            diameter=5.0,
            seam_pitch=40.0,
            edge_pitch=50.0,
            post_pitch=100.0,
            packs=(Pack(100, 20.0),),
            post_thickness=2.0,
        ),
        stock=(BIG, SMALL),
        sides=(side(),),
        costs=Costs(cut_per_sheet=5.0, delivery=40.0, tax=0.1),
    )
    return replace(job, **changes)


def side(**changes: Any) -> Side:
    """The driver side: two bays of 600 x 500 and a post of 50, from x = 0 to 1250."""
    plain = Side(name=DRIVER, forward=Hand.LEFT, bays=(Bay(600.0, 500.0), Bay(600.0, 500.0)), posts=(50.0,))
    return replace(plain, **changes)


def panel(
    name: str, bays: tuple[int, int], outline: Ring, rows: tuple[int, int] = (1, 1), **more: Any
) -> Panel:
    """A panel of the driver side."""
    return Panel(name, DRIVER, Hand.LEFT, bays[0], bays[1], rows[0], rows[1], outline, **more)


def placed(
    name: str,
    outline: Ring,
    x: float,
    y: float,
    *,
    turn: float = 0.0,
    flipped: bool = False,
    holes: tuple[Ring, ...] = (),
) -> PlacedPart:
    """The outline flipped, turned, and moved until its least vertex coordinates are (x, y)."""

    def laid(ring: Ring) -> Ring:
        return turned(mirrored(ring) if flipped else ring, turn)

    around = laid(outline)
    dx, dy = x - min(v[0] for v in around), y - min(v[1] for v in around)
    return PlacedPart(
        name, moved(around, dx, dy), tuple(moved(laid(h), dx, dy) for h in holes), turn, flipped
    )


def one_panel() -> HandPlan:
    """Both bays under one panel of 1300 x 550 on one big sheet, the only stock: 90, nothing is cheaper."""
    job = base_job(stock=(BIG,))
    whole = panel("D1", (1, 2), rectangle(-25, -25, 1275, 525))
    sheet = SheetLayout(
        BIG,
        (placed("D1", whole.outline, 10, 10),),
        offcuts=(Offcut(10, 570, 2480, 670), Offcut(1320, 10, 1170, 550)),
    )
    plan = Plan(Status.OPTIMAL, 90.0, (whole,), (), (sheet,), 0.0, (TradePoint(0, 90.0, 90.0),))
    return HandPlan(job, plan)


def two_panels() -> HandPlan:
    """A lap seam of 550 over the post at x = 625: two panels of 665 x 550 on one small sheet, 55 + 12 = 67.

    D1 lies towards the front, so it goes over D2.
    """
    job = base_job()
    d1 = panel("D1", (1, 1), rectangle(-25, -25, 640, 525))
    d2 = panel("D2", (2, 2), rectangle(610, -25, 1275, 525))
    seam = Seam(DRIVER, 1, None, (625.0, -25.0), (625.0, 525.0), over="D1", under="D2")
    sheet = SheetLayout(
        SMALL,
        (placed("D1", d1.outline, 10, 10), placed("D2", d2.outline, 685, 10)),
        offcuts=(Offcut(10, 570, 1980, 420), Offcut(1360, 10, 630, 550)),
    )
    trade = (TradePoint(0, 90.0, 90.0), TradePoint(1, 55.0, 55.0))
    return HandPlan(job, Plan(Status.OPTIMAL, 67.0, (d1, d2), (seam,), (sheet,), 12.0, trade))


def butted() -> HandPlan:
    """`two_panels` butt-jointed with a gap of 2 over a post of 50: both panels are 649 wide."""
    job, plan = two_panels()
    job = replace(job, seam=SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=2.0, cost=12.0))
    d1 = panel("D1", (1, 1), rectangle(-25, -25, 624, 525))
    d2 = panel("D2", (2, 2), rectangle(626, -25, 1275, 525))
    sheet = SheetLayout(SMALL, (placed("D1", d1.outline, 10, 10), placed("D2", d2.outline, 685, 10)))
    return HandPlan(job, replace(plan, panels=(d1, d2), sheets=(sheet,)))


def railed() -> HandPlan:
    """One bay of 600 x 1200 with a rail of 60 at 500: panels of 650 x 540 (below) and 650 x 740 (above).

    The seam along the rail is 650 long, from land to land; the upper panel goes over.
    """
    tall = side(bays=(Bay(600.0, 1200.0),), posts=(), rails=(500.0,), rail_width=60.0)
    job = base_job(sides=(tall,))
    lower = panel("D1", (1, 1), rectangle(-25, -25, 625, 515), rows=(1, 1))
    upper = panel("D2", (1, 1), rectangle(-25, 485, 625, 1225), rows=(2, 2))
    seam = Seam(DRIVER, None, 1, (-25.0, 500.0), (625.0, 500.0), over="D2", under="D1")
    sheet = SheetLayout(SMALL, (placed("D1", lower.outline, 10, 10), placed("D2", upper.outline, 670, 10)))
    return HandPlan(job, Plan(Status.FEASIBLE, 55.0, (lower, upper), (seam,), (sheet,), 12.0))


def four_corners() -> HandPlan:
    """Two bays of 600 x 1000, a rail of 60 at 500: four panels, and four seams that meet in one point.

    Post seams 525 each (from land to rail), rail seams 650 each (from land to post).
    """
    tall = side(bays=(Bay(600.0, 1000.0), Bay(600.0, 1000.0)), rails=(500.0,), rail_width=60.0)
    job = base_job(sides=(tall,))
    d1 = panel("D1", (1, 1), rectangle(-25, -25, 640, 515), rows=(1, 1))
    d2 = panel("D2", (2, 2), rectangle(610, -25, 1275, 515), rows=(1, 1))
    d3 = panel("D3", (1, 1), rectangle(-25, 485, 640, 1025), rows=(2, 2))
    d4 = panel("D4", (2, 2), rectangle(610, 485, 1275, 1025), rows=(2, 2))
    seams = (
        Seam(DRIVER, 1, None, (625.0, -25.0), (625.0, 500.0), over="D1", under="D2"),
        Seam(DRIVER, 1, None, (625.0, 500.0), (625.0, 1025.0), over="D3", under="D4"),
        Seam(DRIVER, None, 1, (-25.0, 500.0), (625.0, 500.0), over="D3", under="D1"),
        Seam(DRIVER, None, 1, (625.0, 500.0), (1275.0, 500.0), over="D4", under="D2"),
    )
    sheet = SheetLayout(
        BIG,
        (
            placed("D1", d1.outline, 10, 10),
            placed("D2", d2.outline, 685, 10),
            placed("D3", d3.outline, 10, 560, turn=180),
            placed("D4", d4.outline, 685, 560),
        ),
    )
    return HandPlan(job, Plan(Status.FEASIBLE, 90.0, (d1, d2, d3, d4), seams, (sheet,), 48.0))


def stepped() -> HandPlan:
    """Bays 600 x 400 and 600 x 430 with a post of 40: over the post the top edge climbs 30 in 40.

    That is a 3-4-5 slope.  The land of 25 square to both edges moves each corner back by 25 x tan(half the
    slope) = 25 / 3.
    """
    uneven = side(bays=(Bay(600.0, 400.0), Bay(600.0, 430.0)), posts=(40.0,))
    job = base_job(sides=(uneven,), stock=(BIG,))
    back = 25.0 / 3
    outline = polygon_ring(
        [(-25, -25), (1265, -25), (1265, 455), (640 - back, 455), (600 - back, 425), (-25, 425)]
    )
    whole = panel("D1", (1, 2), outline)
    sheet = SheetLayout(BIG, (placed("D1", outline, 10, 10),))
    return HandPlan(job, Plan(Status.OPTIMAL, 90.0, (whole,), (), (sheet,), 0.0))


def stepped_seam() -> HandPlan:
    """`stepped` with a seam over the post at x = 620, where the climbing edge has reached 446.25.

    Both panels run 15 past it, to 635 and 605; at 605 the edge has reached 435.
    """
    job, _ = stepped()
    back = 25.0 / 3
    left = [(-25, -25), (635, -25), (635, 455), (640 - back, 455), (600 - back, 425), (-25, 425)]
    right = [(605, -25), (1265, -25), (1265, 455), (640 - back, 455), (605, 435)]
    d1, d2 = panel("D1", (1, 1), polygon_ring(left)), panel("D2", (2, 2), polygon_ring(right))
    seam = Seam(DRIVER, 1, None, (620.0, -25.0), (620.0, 446.25), over="D1", under="D2")
    sheet = SheetLayout(BIG, (placed("D1", d1.outline, 10, 10), placed("D2", d2.outline, 680, 10)))
    return HandPlan(job, Plan(Status.FEASIBLE, 90.0, (d1, d2), (seam,), (sheet,), 12.0))


def windowed() -> HandPlan:
    """`one_panel` with a window of 400 x 300 (corners 50) in bay 2, and a patch of 200 x 200 from its waste.

    Bay 2 starts at x = 650, so the window lies from (750, 100) to (1150, 400).
    """
    window = Window(bay=2, from_left=100.0, from_bottom=100.0, width=400.0, height=300.0, corner_radius=50.0)
    lamp = Patch("lamp cover", 200.0, 200.0, corner_radius=20.0)
    job = base_job(sides=(side(windows=(window,)),), stock=(BIG,), patches=(lamp,))
    hole = rectangle(750, 100, 1150, 400, 50)
    whole = panel("D1", (1, 2), rectangle(-25, -25, 1275, 525), holes=(hole,))
    sheet = SheetLayout(
        BIG,
        (
            placed("D1", whole.outline, 10, 10, holes=(hole,)),
            placed("lamp cover#1", rectangle(0, 0, 200, 200, 20), 885, 185),
        ),
    )
    return HandPlan(job, Plan(Status.OPTIMAL, 90.0, (whole,), (), (sheet,), 0.0))


def flipped_step() -> HandPlan:
    """`stepped` cut face down and turned by 90 degrees; the panel is 480 x 1290 on the sheet."""
    job, plan = stepped()
    job = replace(job, cutting=replace(job.cutting, flip=True), stock=(replace(BIG, width=1310.0),))
    sheet = SheetLayout(
        job.stock[0], (placed("D1", plan.panels[0].outline, 10, 10, turn=90.0, flipped=True),)
    )
    return HandPlan(job, replace(plan, sheets=(sheet,)))


def sheared() -> HandPlan:
    """Three loose pieces cut edge to edge from one small sheet, without gap or margin.

    Two covers of 800 x 400 stacked at the lower left, a lid of 300 x 1000 cut from the rest; four cuts.
    """
    job = base_job(
        cutting=Cutting(method=CutMethod.SHEAR, turn=Turn.QUARTER, shear_length=1500.0),
        sides=(),
        stock=(SMALL,),
        patches=(Patch("cover", 800.0, 400.0, quantity=2), Patch("lid", 1000.0, 300.0)),
    )
    sheet = SheetLayout(
        SMALL,
        (
            placed("cover#1", rectangle(0, 0, 800, 400), 0, 0),
            placed("cover#2", rectangle(0, 0, 800, 400), 0, 400),
            placed("lid#1", rectangle(0, 0, 1000, 300), 800, 0, turn=90.0),
        ),
        cuts=(
            Cut(1, "x", 800.0, (0.0, 0.0, 2000.0, 1000.0)),
            Cut(2, "y", 400.0, (0.0, 0.0, 800.0, 1000.0)),
            Cut(3, "y", 800.0, (0.0, 400.0, 800.0, 1000.0)),
            Cut(4, "x", 1100.0, (800.0, 0.0, 2000.0, 1000.0)),
        ),
        offcuts=(Offcut(1100, 0, 900, 1000),),
    )
    return HandPlan(job, Plan(Status.OPTIMAL, 55.0, (), (), (sheet,), 0.0))


def row_of(start: Point, end: Point, intervals: int) -> tuple[Point, ...]:
    """``intervals`` + 1 points at equal distances."""
    (x0, y0), (x1, y1) = start, end
    return tuple(
        (x0 + (x1 - x0) * i / intervals, y0 + (y1 - y0) * i / intervals) for i in range(intervals + 1)
    )


def two_panels_fasteners() -> Fasteners:
    """Rivets of `two_panels`: 14 on the seam and 36 more round each panel, 86 in all, 95 with the spares.

    The seam line is 520 long (13 x 40), the upright edges 520 (11 intervals), the level ones 635 (13).
    Each corner is counted by the line named first.
    """

    def edge(where: str, name: str, start: Point, end: Point, intervals: int, counted: int) -> RivetLine:
        points = row_of(start, end, intervals)
        pitch = 520 / 11 if start[0] == end[0] else 635 / 13
        return RivetLine("edge", DRIVER, where, (name,), points, counted, pitch, 3.2)

    lines = (
        RivetLine(
            "seam",
            DRIVER,
            "post after bay 1",
            ("D1", "D2"),
            row_of((625, -10), (625, 510), 13),
            14,
            40.0,
            4.4,
        ),
        edge("bottom of D1", "D1", (-10, -10), (625, -10), 13, 13),
        edge("top of D1", "D1", (-10, 510), (625, 510), 13, 13),
        edge("left end of D1", "D1", (-10, -10), (-10, 510), 11, 10),
        edge("bottom of D2", "D2", (625, -10), (1260, -10), 13, 13),
        edge("top of D2", "D2", (625, 510), (1260, 510), 13, 13),
        edge("right end of D2", "D2", (1260, -10), (1260, 510), 11, 10),
    )
    held = (PanelRivets("D1", 50, 14), PanelRivets("D2", 50, 14))
    return Fasteners(lines, held, total=86, to_buy=95, packs=((100, 1, 20.0),))


def two_panels_buying() -> BuyList:
    """Money and mass of `two_panels`: 55 + 5 cutting + 20 rivets + 40 delivery = 120, and 12 tax.

    Two panels of 665 x 550 at 10 kg/m2 weigh 7.315 kg, the sheet of 2 m2 weighs 20 kg.
    """
    return BuyList(
        lines=(
            BuyLine("sheet small", 1, "sheets", 55.0, 55.0),
            BuyLine("cutting", 1, "sheets", 5.0, 5.0),
            BuyLine("rivets, box of 100", 1, "boxes", 20.0, 20.0),
            BuyLine("delivery", 1, "trip", 40.0, 40.0),
            BuyLine("tax, 10 per cent", 1, "sum", 12.0, 12.0),
        ),
        sheets=55.0,
        cutting=5.0,
        rivets=20.0,
        delivery=40.0,
        tax=12.0,
        total=132.0,
        skin_mass=7.315,
        sheet_mass=20.0,
    )


def planned_two_panels() -> PlannedJob:
    """`two_panels` with its rivets, buy list and masses: a whole `PlannedJob` for the documents."""
    job, plan = two_panels()
    masses = {"D1": 3.6575, "D2": 3.6575}
    return PlannedJob(job, plan, two_panels_fasteners(), two_panels_buying(), masses)


ALL = (
    one_panel,
    two_panels,
    butted,
    railed,
    four_corners,
    stepped,
    stepped_seam,
    windowed,
    flipped_step,
    sheared,
)
"""Every hand plan, for tests that must hold for all."""
