"""Sides with openings that are no rectangles, and plans for them laid out by hand.

The upper left corner of the side is round, a wheel arch is cut out of the second bay, the third leans, and the last
ends in a slope.  Posts 60, land 25 all round, edge distance 15, the front on the right hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi, tan
from typing import Any

from hypothesis import strategies as st

from nesting.job import Bay, CutMethod, Cutting, Hand, Job, Patch, Side, Stock, Window
from nesting.outline import Ring, bounds, mirrored, moved, polygon_ring, rectangle, turned
from nesting.plan import Cut, Panel, PlacedPart, Plan, Seam, SheetLayout, Status
from nesting.skin.panels import Block, block_candidate
from nesting.skin.seams import SeamLines, seam_lines, seams_between
from tests.hand_plans import HandPlan, base_job, placed

ROUNDED: Ring = (
    (0.0, 0.0, 0.0),
    (700.0, 0.0, 0.0),
    (700.0, 1000.0, 0.0),
    (300.0, 1000.0, tan(pi / 8)),
    (0.0, 700.0, 0.0),
)
"""700 x 1000, the upper left corner of radius 300."""

ARCHED: Ring = (
    (0.0, 0.0, 0.0),
    (200.0, 0.0, -1.0),
    (900.0, 0.0, 0.0),
    (1100.0, 0.0, 0.0),
    (1100.0, 1000.0, 0.0),
    (0.0, 1000.0, 0.0),
)
"""1100 x 1000, a half circle of radius 350 cut out of its foot about (550, 0)."""

LEANING: Ring = polygon_ring([(0, 0), (700, 0), (712, 1000), (8, 984)])
"""Left 984 high, leaning in by 8; right 1000 high, leaning out by 12; the top edge slopes."""

SLOPED: Ring = polygon_ring([(0, 0), (700, 0), (700, 900), (450, 1000), (0, 1000)])
"""700 x 1000, the upper right corner cut from (700, 900) to (450, 1000)."""

WINDOW = Window(bay=4, from_left=120.0, from_bottom=300.0, width=350.0, height=400.0, corner_radius=60.0)

GUSSET: Ring = polygon_ring([(0, 0), (200, 0), (0, 150)])
"""A right-angled triangle; its long edge is 250."""

LID: Ring = ((0.0, 100.0, 1.0), (200.0, 100.0, 1.0))
"""A circle of radius 100."""

SHEET = Stock("5x10", width=1524.0, length=3048.0, price=100.0)


def odd_side(rings: Sequence[Ring] = (ROUNDED, ARCHED, LEANING, SLOPED), **more: Any) -> Side:
    """Bays with these outlines, posts of 60 between them."""
    widths = [max((x for x, y, _ in ring if y == 0.0), default=bounds(ring)[2]) for ring in rings]
    bays = tuple(Bay(width, bounds(ring)[3], outline=ring) for width, ring in zip(widths, rings, strict=True))
    plain = Side("driver side", Hand.RIGHT, bays, posts=(60.0,) * (len(bays) - 1))
    return replace(plain, **more)


def odd_job(side: Side | None = None, **changes: Any) -> Job:
    """A job with one such side and a stock of one size."""
    side = odd_side(windows=(WINDOW,)) if side is None else side
    return base_job(**{"sides": (side,), "stock": (SHEET,), **changes})


def panels_of(job: Job, blocks: Sequence[Block]) -> tuple[tuple[Panel, ...], tuple[Seam, ...], SeamLines]:
    """The panels D1, D2 ... of the job's only side for these blocks, and the seams between them."""
    side = job.sides[0]
    lines = seam_lines(job, side)
    panels = []
    for number, block in enumerate(blocks, start=1):
        candidate = block_candidate(job, side, lines, block)
        assert candidate is not None
        panels.append(replace(candidate.panel, name=f"D{number}"))
    return tuple(panels), seams_between(panels, lines), lines


def odd_plan(**changes: Any) -> HandPlan:
    """Three panels of full height: bays 1 and 2 (round corner, wheel arch), 3 (leaning), 4 (slope and window).

    D1 lies turned by half; D3 lies face down with a round lid, which has a square hole, in its window.
    """
    hole = rectangle(70, 70, 130, 130, 10)
    gusset = Patch("gusset", 200.0, 150.0, riveted=True, outline=GUSSET)
    lid = Patch("lid", 200.0, 200.0, riveted=True, outline=LID, holes=(hole,))
    job = odd_job(patches=(gusset, lid), **changes)
    panels, seams, _ = panels_of(job, [Block(1, 2, 1, 1), Block(3, 3, 1, 1), Block(4, 4, 1, 1)])
    first = SheetLayout(
        SHEET, (laid(panels[0], 10, 10, turn=180.0), placed("gusset#1", GUSSET, 2100, 20, turn=0.0))
    )
    d3 = laid(panels[2], 900, 10, flipped=True)
    x, y, _, _ = bounds(d3.holes[0])
    inner = PlacedPart(
        "lid#1", moved(LID, x + 80, y + 100), (moved(hole, x + 80, y + 100),), turn=0.0, flipped=False
    )
    second = SheetLayout(SHEET, (laid(panels[1], 10, 10), d3, inner))
    plan = Plan(Status.FEASIBLE, 100.0, panels, seams, (first, second), 24.0)
    return HandPlan(job, plan)


def trimmed_plan() -> HandPlan:
    """Bay 4 alone and the gusset, sheared edge to edge without gap or margin: 764 x 1050 beside 200 x 150."""
    gusset = Patch("gusset", 200.0, 150.0, outline=GUSSET)
    side = odd_side((SLOPED,))
    cutting = Cutting(method=CutMethod.SHEAR, shear_length=4000.0)
    job = odd_job(side, patches=(gusset,), cutting=cutting)
    panels, seams, _ = panels_of(job, [Block(1, 1, 1, 1)])
    sheet = SheetLayout(
        SHEET,
        (laid(panels[0], 0, 0), placed("gusset#1", GUSSET, 750, 0)),
        cuts=(
            Cut(1, "x", 950.0, (0.0, 0.0, 3048.0, 1524.0)),
            Cut(2, "y", 1050.0, (0.0, 0.0, 950.0, 1524.0)),
            Cut(3, "x", 750.0, (0.0, 0.0, 950.0, 1050.0)),
            Cut(4, "y", 150.0, (750.0, 0.0, 950.0, 1050.0)),
        ),
    )
    return HandPlan(job, Plan(Status.FEASIBLE, 100.0, panels, seams, (sheet,), 0.0))


def laid(panel: Panel, x: float, y: float, *, turn: float = 0.0, flipped: bool = False) -> PlacedPart:
    """A panel placed with the lower left corner of its true extent at (x, y)."""
    outline, *holes = (
        turned(mirrored(ring) if flipped else ring, turn) for ring in (panel.outline, *panel.holes)
    )
    x0, y0, _, _ = bounds(outline)
    around, *inner = (moved(ring, x - x0, y - y0) for ring in (outline, *holes))
    return PlacedPart(panel.name, around, tuple(inner), turn, flipped)


@st.composite
def odd_bays(draw: st.DrawFn) -> Ring:
    """Bays about 800 x 900: leaning, with a slope, a round corner, or an arch in the foot."""
    lean = [draw(st.integers(-30, 30)) for _ in range(2)]
    high = [draw(st.integers(850, 950)) for _ in range(2)]
    radius = float(draw(st.integers(30, 300)))
    kind = draw(st.sampled_from(["leaning", "sloped", "round", "arched"]))
    if kind == "leaning":
        return polygon_ring([(0, 0), (800, 0), (800 + lean[0], high[0]), (lean[1], high[1])])
    if kind == "sloped":
        return polygon_ring(
            [(0, 0), (800, 0), (800, high[0] - radius), (800 - radius, high[0]), (0, high[0])]
        )
    if kind == "round":
        corner = (800 - radius, high[0], 0.0)
        return (
            (0.0, 0.0, 0.0),
            (800.0, 0.0, 0.0),
            (800.0, high[0] - radius, tan(pi / 8)),
            corner,
            (0.0, high[0], 0.0),
        )
    bulge = -draw(st.floats(0.3, 1.0))
    return (
        (0.0, 0.0, 0.0),
        (380.0 - radius, 0.0, bulge),
        (420.0 + radius, 0.0, 0.0),
        (800.0, 0.0, 0.0),
        (800.0, high[0], 0.0),
        (0.0, high[0], 0.0),
    )
