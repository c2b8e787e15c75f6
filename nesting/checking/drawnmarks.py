"""The check of cut files, what is not cut out: lines to scribe and to trim to, holes to drill, cuts of a shear."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist

import shapely
from shapely import STRtree

from nesting.checking.linework import (
    CRUMB,
    FLUSH,
    SAME,
    Drawn,
    Line,
    Piece,
    Round,
    at,
    doubled,
    overlap,
    pieces_of,
    uncovered,
)
from nesting.checking.onsheet import Drill, OnSheet
from nesting.checking.shapes import Edge

SCRIBED = 3.0
"""mm by which the ends of a scribe line may differ: where it leaves a shallow arc, a hair makes a millimetre."""

PLACED = 1e-3
"""mm by which a hole may stand off: positions of rivets are given to a millionth."""

RING = 1.5
"""The number of a cut stands no farther from its line than so many radii of the ring around it."""


def mark_faults(lines: Sequence[Line], sheet: OnSheet) -> Iterator[str]:
    """Scribe lines and lines to trim to: those wanted, and no other."""
    edges = [edge for line in lines for edge in pieces_of(line)]
    told: set[str] = set()
    for wanted, crumb in ((sheet.trims, CRUMB), (sheet.scribes, SCRIBED)):
        for piece, start, end in uncovered(wanted, edges, FLUSH, crumb):
            if piece.what not in told:
                told.add(piece.what)
                yield f"{piece.what} is not drawn from {at(start)} to {at(end)}"
    asked = [piece.edge for piece in (*sheet.trims, *sheet.scribes)]
    stray = next(uncovered([Piece("", edge) for edge in edges], asked, FLUSH, SCRIBED), None)
    if stray is not None:
        start, end = stray[0].edge.start, stray[0].edge.end
        yield f"layer MARK: a line from {at(start)} to {at(end)} belongs to nothing"
    twice = next(doubled(edges, edges, SAME), None)
    if twice is not None:
        yield f"layer MARK: a line is drawn twice, at {at(twice[0].start)}"


def drill_faults(holes: Sequence[Round], wanted: Sequence[Drill], rivet: float) -> Iterator[str]:
    """Holes that are missing, beside their place, of a wrong size, or too many."""
    for each in holes:
        # a hole is drilled a little wider than its rivet: 0.1 mm and more with size (facts: hole ranges, a and b)
        if not 0 < each.diameter - rivet <= max(0.25, 0.05 * rivet):
            where = at((each.x, each.y))
            yield f"hole at {where}: {each.diameter:.3f} wide, for a rivet of {rivet:.3f}"
            break
    drilled: dict[int, int] = {}
    left = set(range(len(holes)))
    if holes and wanted:
        tree = STRtree(shapely.points([(each.x, each.y) for each in holes]))
        spots = shapely.points([drill.at for drill in wanted])
        for want, hole in tree.query(spots, predicate="dwithin", distance=PLACED).T.tolist():
            if hole in left and want not in drilled:
                drilled[want] = hole
                left.remove(hole)
    by_part: dict[str, list[Drill]] = {}
    for number, drill in enumerate(wanted):
        if drill.sure and number not in drilled:
            by_part.setdefault(drill.part, []).append(drill)
    for part, drills in by_part.items():
        count = f" and {len(drills) - 1} more" if len(drills) > 1 else ""
        yield f"part {part}: the hole at {at(drills[0].at)}{count} is not drilled"
    if left:
        first = holes[min(left)]
        yield f"layer DRILL: {len(left)} holes too many, the first at {at((first.x, first.y))}"


def shear_faults(drawn: Drawn, lines: Sequence[Line], sheet: OnSheet, words: bool) -> Iterator[str]:
    """A line for each cut over the whole of its piece, a ring, and in it the cut's own number."""
    rings = [each for each in drawn.rounds if each.layer == "SHEAR"]
    if len(lines) != len(sheet.shears) or len(rings) != len(sheet.shears):
        told = f"{len(lines)} lines and {len(rings)} rings"
        yield f"layer SHEAR: {told} are drawn for {len(sheet.shears)} cuts"
        return
    numbers = [each for each in drawn.words if each.layer == "SHEAR"]
    edges = [edge for line in lines for edge in pieces_of(line)]
    for cut in sheet.shears:
        x0, y0, x1, y1 = cut.piece
        ends = ((cut.at, y0), (cut.at, y1)) if cut.axis == "x" else ((x0, cut.at), (x1, cut.at))
        whole = Edge(*ends)
        length = dist(*ends)
        spans = [span for edge in edges if (span := overlap(whole, edge, SAME))]
        if not any(low <= SAME and high >= length - SAME for low, high in spans):
            yield f"cut {cut.order}: it is not drawn from {at(ends[0])} to {at(ends[1])}"
        if not words:
            continue
        own = [each for each in numbers if each.text == str(cut.order)]
        if len(own) != 1:
            yield f"cut {cut.order}: its number is written {len(own)} times"
            continue
        ring = next((r for r in rings if dist((r.x, r.y), (own[0].x, own[0].y)) <= SAME), None)
        off = abs((own[0].x if cut.axis == "x" else own[0].y) - cut.at)
        if ring is None or off > RING * ring.diameter / 2:
            yield f"cut {cut.order}: its number does not stand in a ring beside its line"
