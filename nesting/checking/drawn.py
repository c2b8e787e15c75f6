"""The check of cut files: what stands in one is what the plan asks for, nothing missing, too many or twice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import dist

import numpy as np
from shapely.geometry import box

from nesting.checking.drawnmarks import drill_faults, mark_faults, shear_faults
from nesting.checking.drawnwords import word_faults
from nesting.checking.linework import (
    CRUMB,
    FLUSH,
    SAME,
    Drawn,
    Line,
    Piece,
    Rings,
    Round,
    Wanted,
    Words,
    at,
    doubled,
    match_rings,
    pieces_of,
    same_ring,
    sharing,
    uncovered,
    without_dust,
)
from nesting.checking.onsheet import OnSheet
from nesting.checking.shapes import Point, extent, ring_edges, turning_left
from nesting.job import Job, Units
from nesting.outline import Ring

MM_PER_UNIT = {Units.INCH: 25.4, Units.MILLIMETRE: 1.0}

LAYERS = frozenset({"SHEET", "CUT", "MARK", "DRILL", "OFFCUT", "SHEAR"})
"""What a cut file may hold; and LABEL where it has words."""

ASIDE = 1e7
"""mm: farther than any sheet; nothing of a sheet stands to the right of it or below."""


@dataclass(frozen=True)
class Asked:
    """How a cut file was asked for: the job, and whether words go in."""

    job: Job
    words: bool

    @property
    def units(self) -> Units:
        return self.job.units

    @property
    def rivet(self) -> float:
        """The diameter of a rivet in mm."""
        return self.job.rivets.diameter

    @property
    def touching(self) -> bool:
        """Whether parts may lie so near to one another that they share a cut."""
        return max(self.job.cutting.gap, self.job.cutting.kerf) <= 2 * FLUSH


def file_faults(drawn: Drawn, sheets: Sequence[OnSheet], asked: Asked) -> Iterator[str]:
    """What is wrong in a cut file that shows these sheets, one or all side by side; none if it is sound."""
    if drawn.unit != MM_PER_UNIT[asked.units]:
        said = {25.4: "inches", 1.0: "millimetres"}.get(drawn.unit or 0.0, "no unit")
        yield f"units: the file says {said}, the job is in {asked.units.value}"
    for kind, layer in drawn.others:
        yield f"layer {layer}: a {kind}, which has no place in a cut file"
    outlines = [line.ring for line in drawn.lines if line.layer == "SHEET"]
    if not sheets and (drawn.lines or drawn.rounds):
        yield "sheets: there are none, and something is drawn"
    wrong = list(_size_faults(outlines, sheets))
    yield from wrong
    if wrong or not sheets:
        # nothing in the file can be told a sheet to lie on
        return
    yield from _place_faults(outlines, sheets)
    corners = [extent(ring)[:2] for ring in outlines]
    for sheet, own in zip(sheets, _parted(drawn, sheets, corners), strict=True):
        where = f"sheet {sheet.number}, " if len(sheets) > 1 else ""
        yield from (f"{where}{fault}" for fault in _sheet_faults(own, sheet, asked))


def _size_faults(outlines: Sequence[Ring], sheets: Sequence[OnSheet]) -> Iterator[str]:
    """Sheets that are missing, too many, or of a wrong size."""
    if len(outlines) != len(sheets):
        yield f"sheets: {len(outlines)} outlines are drawn, there are {len(sheets)}"
        return
    for ring, sheet in zip(outlines, sheets, strict=True):
        x0, y0, x1, y1 = extent(ring)
        wanted = _box(x0, y0, x0 + sheet.length, y0 + sheet.width)
        if not same_ring(wanted, turning_left(ring), near=SAME):
            size = f"{x1 - x0:.3f} x {y1 - y0:.3f}"
            yield f"sheet {sheet.number}: it is drawn {size}, it measures {sheet.length:.3f} x {sheet.width:.3f}"


def _place_faults(outlines: Sequence[Ring], sheets: Sequence[OnSheet]) -> Iterator[str]:
    """A single sheet beside its place, or one of several over another."""
    areas = [box(*extent(ring)) for ring in outlines]
    for number, (area, sheet) in enumerate(zip(areas, sheets, strict=True)):
        if any(area.intersects(other) for other in areas[:number]):
            yield f"sheet {sheet.number}: it is drawn over another one"
    if len(sheets) == 1 and dist(corner := extent(outlines[0])[:2], (0.0, 0.0)) > SAME:
        yield f"sheet {sheets[0].number}: its corner is drawn at {at(corner)}, not at (0, 0)"


def _parted(drawn: Drawn, sheets: Sequence[OnSheet], corners: Sequence[Point]) -> Iterator[Drawn]:
    """What belongs to each sheet, in its own coordinates: each thing to the sheet that it lies on or nearest to.

    Numbers of cuts stand to the left of their sheet or above it, perhaps nearer to another one.
    """
    boxes = np.array([(x, y, x + s.length, y + s.width) for s, (x, y) in zip(sheets, corners, strict=True)])

    def owners(points: list[Point]) -> list[int]:
        if len(boxes) == 1 or not points:
            return [0] * len(points)
        spots = np.array(points)[:, None, :]
        before, past = boxes[None, :, :2] - spots, spots - boxes[None, :, 2:]
        off = np.hypot(*np.maximum(0.0, np.maximum(before, past)).transpose(2, 0, 1))
        off = np.where((past[..., 0] > 0) | (before[..., 1] > 0), off + ASIDE, off)
        nearest: list[int] = np.argmin(off, axis=1).tolist()
        return nearest

    of_line = owners([_middle(line.ring) for line in drawn.lines])
    of_round = owners([(each.x, each.y) for each in drawn.rounds])
    of_word = owners([(each.x, each.y) for each in drawn.words])
    for number, (dx, dy) in enumerate(corners):
        yield Drawn(
            drawn.unit,
            tuple(
                _moved(line, dx, dy) for line, own in zip(drawn.lines, of_line, strict=True) if own == number
            ),
            tuple(
                Round(each.layer, each.x - dx, each.y - dy, each.diameter)
                for each, own in zip(drawn.rounds, of_round, strict=True)
                if own == number
            ),
            tuple(
                Words(each.layer, each.x - dx, each.y - dy, each.text)
                for each, own in zip(drawn.words, of_word, strict=True)
                if own == number
            ),
        )


def _middle(ring: Ring) -> Point:
    return sum(v[0] for v in ring) / len(ring), sum(v[1] for v in ring) / len(ring)


def _moved(line: Line, dx: float, dy: float) -> Line:
    if not dx and not dy:
        return line
    return Line(line.layer, tuple((x - dx, y - dy, bulge) for x, y, bulge in line.ring), line.closed)


def _sheet_faults(drawn: Drawn, sheet: OnSheet, asked: Asked) -> Iterator[str]:
    allowed = LAYERS | {"LABEL"} if asked.words else LAYERS
    things: Iterable[Line | Round | Words] = (*drawn.lines, *drawn.rounds, *drawn.words)
    for layer in sorted({thing.layer for thing in things} - allowed):
        yield f"layer {layer}: it has no place in this file"
    if not asked.words and drawn.words:
        yield f"words: {drawn.words[0].text!r} is written, the file was asked for without words"
    for each in drawn.rounds:
        if each.layer not in ("DRILL", "SHEAR"):
            yield f"layer {each.layer}: a circle at {at((each.x, each.y))} belongs to nothing"
    on = _by_layer(drawn)
    if len(on("SHEET")) != 1:
        yield f"sheet {sheet.number}: its outline is drawn {len(on('SHEET'))} times"
    yield from _ring_faults(on("CUT"), sheet.cuts, "CUT", asked.touching)
    # offcuts may share an edge: nobody cuts along it
    yield from _ring_faults(on("OFFCUT"), sheet.offcuts, "OFFCUT", touching=False)
    yield from mark_faults(on("MARK"), sheet)
    yield from drill_faults(
        [each for each in drawn.rounds if each.layer == "DRILL"], sheet.drills, asked.rivet
    )
    yield from (f"layer DRILL: a line at {at(_middle(line.ring))} is no hole" for line in on("DRILL"))
    yield from shear_faults(drawn, on("SHEAR"), sheet, asked.words)
    if asked.words:
        yield from word_faults(drawn, sheet)


def _by_layer(drawn: Drawn) -> Callable[[str], list[Line]]:
    return lambda layer: [line for line in drawn.lines if line.layer == layer]


def _ring_faults(
    lines: Sequence[Line], wanted: Sequence[Wanted], layer: str, touching: bool
) -> Iterator[str]:
    """Rings that are not drawn, not closed or drawn twice, and lines that belong to none.

    Where outlines touch, the line they share is drawn once, and one of them is open there.
    """
    missing, extra = match_rings(wanted, lines)
    if not (missing or extra or touching):
        return
    edges = [edge for line in lines for edge in pieces_of(line)]
    rings = [Piece(want.what, edge) for want in missing for edge in ring_edges(want.ring)]
    told: set[str] = set()
    for piece, start, end in uncovered(rings, edges, FLUSH, CRUMB):
        if piece.what not in told:
            told.add(piece.what)
            yield f"{piece.what} is not drawn from {at(start)} to {at(end)}"
    shared = sharing(missing, wanted)
    yield from (f"{want.what} is not one closed line" for want in missing if want.what not in told | shared)
    yield from _extra_faults(extra, wanted, missing, layer)
    if layer == "CUT" and (twice := next(doubled(edges, edges, SAME), None)):
        yield f"layer {layer}: a line is drawn twice, at {at(twice[0].start)}"


def _extra_faults(
    extra: Sequence[Line], wanted: Sequence[Wanted], missing: Sequence[Wanted], layer: str
) -> Iterator[str]:
    """Lines that are one ring once more, and lines that belong to nothing, each told once."""
    index = Rings()
    for want in wanted:
        index.add(without_dust(want.ring))
    pieces: list[Piece] = []
    for number, line in enumerate(extra):
        again = next(index.like(line.ring), None) if line.closed else None
        if again is not None:
            yield f"{wanted[again].what} is drawn twice"
        else:
            pieces += [Piece(str(number), edge) for edge in pieces_of(line)]
    edges = [edge for want in missing for edge in ring_edges(want.ring)]
    told: set[str] = set()
    for piece, _, _ in uncovered(pieces, edges, FLUSH, CRUMB):
        if piece.what not in told:
            told.add(piece.what)
            start, end = piece.edge.start, piece.edge.end
            yield f"layer {layer}: a line from {at(start)} to {at(end)} belongs to nothing"


def _box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
