"""A body of full size made by arithmetic, for tests of speed: 26 bays, 14 panels, 20 patches, 1500 rivets."""

from __future__ import annotations

from itertools import pairwise
from math import ceil

from nesting.job import Bay, Hand, Patch, Side
from nesting.outline import Ring, rectangle
from nesting.plan import Fasteners, Panel, PanelRivets, Plan, Point, RivetLine, Seam, SheetLayout, Status
from tests.hand_plans import BIG, HandPlan, base_job, placed, row_of

BAY, POST, HEIGHT, REACH, LAND = 600.0, 50.0, 1000.0, 15.0, 25.0
BLOCKS = ((1, 2), (3, 4), (5, 6), (7, 8), (9, 10), (11, 12), (13, 13))


def full_body() -> HandPlan:
    """Two sides of 13 bays of 600 x 1000; each panel lies on a big sheet of its own, patches beside it."""
    bays = tuple(Bay(BAY, HEIGHT) for _ in range(13))
    names = ("driver side", "passenger side")
    sides = tuple(Side(name, Hand.LEFT, bays, (POST,) * 12) for name in names)
    job = base_job(
        sides=sides, stock=(BIG,), patches=(Patch("cover", 300.0, 300.0, corner_radius=40.0, quantity=20),)
    )
    panels = tuple(
        Panel(f"{name[0].upper()}{number}", name, Hand.LEFT, first, last, 1, 1, _block(first, last))
        for name in names
        for number, (first, last) in enumerate(BLOCKS, start=1)
    )
    seams = tuple(
        Seam(one.side, one.last_bay, None, *_seam_line(one), over=one.name, under=after.name)
        for one, after in pairwise(panels)
        if one.side == after.side
    )
    lid = rectangle(0, 0, 300, 300, 40)
    sheets = []
    for i, panel in enumerate(panels):
        parts = [placed(panel.name, panel.outline, 10, 10)]
        parts += [
            placed(f"cover#{2 * i + k + 1}", lid, 1500, 10 + 310 * k) for k in range(2) if 2 * i + k < 20
        ]
        sheets.append(SheetLayout(BIG, tuple(parts)))
    cost = 12.0 * len(seams)
    return HandPlan(job, Plan(Status.FEASIBLE, 0.0, panels, seams, tuple(sheets), cost))


def full_body_fasteners(body: HandPlan) -> Fasteners:
    """Seam, edge and post lines of `full_body`, shared rivets counted by the first line that has them."""
    rows: list[tuple[str, str, tuple[str, ...], Point, Point, float]] = []
    for seam in body.plan.seams:
        x = seam.start[0]
        rows.append(("seam", seam.side, (seam.over, seam.under), (x, -10.0), (x, HEIGHT + 10), 28.0))
    for panel in body.plan.panels:
        xs = [v[0] for v in panel.outline]
        left, right = min(xs) + REACH, max(xs) - REACH
        for y in (-10.0, HEIGHT + 10):
            rows.append(("edge", panel.side, (panel.name,), (left, y), (right, y), 35.0))
        for x, outer in ((left, panel.first_bay == 1), (right, panel.last_bay == 13)):
            if outer:
                rows.append(("edge", panel.side, (panel.name,), (x, -10.0), (x, HEIGHT + 10), 35.0))
        for post in range(panel.first_bay, panel.last_bay):
            x = _post(post)
            rows.append(("post", panel.side, (panel.name,), (x, 40.0), (x, HEIGHT - 40), 100.0))
    lines, seen = [], set()
    held: dict[str, dict[tuple[float, float], int]] = {panel.name: {} for panel in body.plan.panels}
    for kind, side, names, start, end, pitch in rows:
        run = abs(end[0] - start[0]) + abs(end[1] - start[1])
        points = row_of(start, end, ceil(run / pitch))
        keys = [(side, round(x, 3), round(y, 3)) for x, y in points]
        fresh = [key for key in keys if key not in seen]
        seen.update(fresh)
        for name in names:
            for _, x, y in keys:
                held[name][x, y] = max(held[name].get((x, y), 0), len(names))
        lines.append(
            RivetLine(kind, side, f"{kind} of {names[0]}", names, points, len(fresh), run / len(points), 4.0)
        )
    counts = tuple(
        PanelRivets(name, len(own), sum(several > 1 for several in own.values()))
        for name, own in held.items()
    )
    total = len(seen)
    return Fasteners(tuple(lines), counts, total, ceil(total * 1.1), ((100, ceil(total * 1.1 / 100), 20.0),))


def _block(first: int, last: int) -> Ring:
    left = -LAND if first == 1 else _post(first - 1) - REACH
    right = 13 * BAY + 12 * POST + LAND if last == 13 else _post(last) + REACH
    return rectangle(left, -LAND, right, HEIGHT + LAND)


def _post(number: int) -> float:
    return number * (BAY + POST) - POST / 2


def _seam_line(panel: Panel) -> tuple[Point, Point]:
    x = _post(panel.last_bay)
    return (x, -LAND), (x, HEIGHT + LAND)
