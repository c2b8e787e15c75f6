"""The plan check, rivet lengths: what each rivet closes counted again sheet by sheet, a length for it, enough boxes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from math import ceil, inf

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry import box

from nesting.checking.shapes import HAIR, metal
from nesting.checking.structure import frame_of, reach_of
from nesting.job import Job, SeamKind, Side
from nesting.plan import Fasteners, Plan, Point, RivetLength, RivetLine

Row = tuple[float, float, float]
"""A length, and from what thickness to what it closes."""

SAME = 1e-3
"""mm: a rivet this near to a sheet's edge does not hold it."""

_THIN = 1e-6
"""mm: two thicknesses this near are one."""

_PRINTED = 0.02
"""mm: rows of a printed table may lie this far from one another."""

_SAME_LENGTH = 0.5
"""mm: lengths of a table lie farther apart than this."""


def length_faults(
    job: Job, plan: Plan, fasteners: Fasteners, places: Mapping[tuple[str, str], Sequence[Point]]
) -> Iterator[str]:
    """What is wrong with grips, lengths, and boxes of each length; ``places`` holds every rivet once."""
    if not any(line.grips for line in fasteners.lines):
        return
    rows = sorted((row.length, row.grip_min, row.grip_max) for row in job.rivets.length_table)
    sides = {side.name: side for side in job.sides}
    counted: Counter[float] = Counter()
    for (name, copy), points in places.items():
        if copy:
            closed = [job.skin.thickness + job.rivets.post_thickness] * len(points)
        else:
            closed = _closed(job, plan, sides[name], points)
        lines = [line for line in fasteners.lines if line.side == name and (not copy or copy in line.panels)]
        yield from _line_faults(rows, lines, points, closed)
        counted.update(_length(rows, grip) for grip in closed)
    if rows:
        yield from _count_faults(job, fasteners.lengths, counted)


def _closed(job: Job, plan: Plan, side: Side, points: Sequence[Point]) -> list[float]:
    """The metal that each rivet of a side closes: its sheets, a backing strip, and the post where there is one."""
    cloud = shapely.points(points)
    layers = np.zeros(len(points))
    for panel in plan.panels:
        if panel.side == side.name:
            layers += shapely.contains(metal(panel.outline, panel.holes).buffer(-SAME), cloud)
    on_strip = np.zeros(len(points), dtype=bool)
    for seam in plan.seams:
        # a level seam that lies on no rail has a strip of the skin's metal behind it
        if seam.side != side.name or seam.rail is None or seam.start[1] in side.rails:
            continue
        half = reach_of(job.seam)
        if job.seam.kind is SeamKind.BUTT:
            half = 2 * job.seam.edge_distance - half
        strip = box(seam.start[0], seam.start[1] - half, seam.end[0], seam.end[1] + half)
        on_strip |= shapely.intersects(strip, cloud)
    in_bay = np.zeros(len(points), dtype=bool)
    for opening in frame_of(job, side, plan).openings if on_strip.any() else ():
        in_bay |= shapely.intersects(metal(opening.ring), cloud)
    behind = np.where(on_strip & in_bay, 0.0, job.rivets.post_thickness)
    return [float(grip) for grip in (layers + on_strip) * job.skin.thickness + behind]


def _length(rows: Sequence[Row], grip: float) -> float:
    """The shortest length that closes a thickness, 0 where none does."""
    for slack in (_THIN, _PRINTED):
        for length, low, high in rows:
            if low - _PRINTED <= grip <= high + slack:
                return length
    return 0.0


def _line_faults(
    rows: Sequence[Row], lines: Sequence[RivetLine], points: Sequence[Point], closed: Sequence[float]
) -> Iterator[str]:
    tree = STRtree(shapely.points(points))
    for line in lines:
        where = f"rivet line {line.where}"
        if len(line.grips) != len(line.points):
            yield f"{where}: {len(line.grips)} grips are given for {len(line.points)} rivets"
            continue
        own = [closed[at] for at in tree.nearest(shapely.points(line.points)).tolist()]
        wrong = [(told, grip) for told, grip in zip(line.grips, own, strict=True) if abs(told - grip) > _THIN]
        if wrong:
            yield f"{where}: a grip of {wrong[0][0]:.3f} is given, the rivet closes {wrong[0][1]:.3f}"
        if abs(line.length - _length(rows, line.grip)) > _THIN:
            yield f"{where}: a length of {line.length:.2f} is given for a grip of {line.grip:.3f}"
        missing = [grip for grip in own if rows and not _length(rows, grip)]
        if missing:
            yield f"{where}: no length closes {max(missing):.3f}"


def _count_faults(job: Job, lengths: Sequence[RivetLength], counted: Counter[float]) -> Iterator[str]:
    told = {round(each.length, 6): each for each in lengths}
    for length, count in sorted(counted.items()):
        each = told.pop(round(length, 6), None)
        given = each.rivets if each else 0
        if given != count:
            yield f"rivets of length {length:.2f}: {given} are given, {count} are on the lines"
        if each:
            yield from _bought_faults(job, each)
    for length in told:
        yield f"rivets of length {length:.2f}: none are on the lines"


def _bought_faults(job: Job, each: RivetLength) -> Iterator[str]:
    where = f"rivets of length {each.length:.2f}"
    needed = ceil(each.rivets * (1 + job.rivets.spare) - HAIR)
    if each.to_buy < needed:
        yield f"{where}: {each.to_buy} to buy do not cover {each.rivets} and the spare ones, {needed}"
    if all(pack.length is None for pack in job.rivets.packs):
        if each.packs:
            yield f"{where}: boxes are given, and no box of the job has a length"
        return
    own = [pack for pack in job.rivets.packs if abs((pack.length or inf) - each.length) <= _SAME_LENGTH]
    offered = own or [pack for pack in job.rivets.packs if pack.length is None]
    for count, boxes, price in each.packs:
        if (count, price) not in {(pack.count, pack.price) for pack in offered}:
            yield f"{where}: no such box of {count} at {price:.2f} in the job"
        if boxes < 1:
            yield f"{where}: {boxes} boxes of {count}"
    held = sum(count * boxes for count, boxes, _ in each.packs)
    if offered and held < each.to_buy:
        yield f"{where}: the boxes hold {held}, {each.to_buy} are to be bought"
