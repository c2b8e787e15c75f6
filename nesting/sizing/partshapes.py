"""Parts as classes for the packer: plain rectangles by their size, all others by their true shape.

A part may come to a class turned or flipped: its `Orientation` brings it from where it was drawn to how the class lies.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import floor

from nesting.job import CutMethod, Job, Turn
from nesting.outline import (
    Ring,
    arc_centre,
    bounds,
    counter_clockwise,
    edges,
    mirrored,
    moved,
    rectangle,
    turned,
)
from nesting.shapes import inner_polygon
from nesting.sizing.cores import FLATTENING, Size, inner_rectangles, slabs
from nesting.sizing.problem import Cores, PartClass, PartShape
from nesting.sizing.sizes import part_class
from shared.units import UNITS_PER_MM

DISC = 1 - 0.5**0.5
"""Share of the spacing by which true shapes grow all around for bounds.

Rectangles keep the spacing square to their edges, so a rectangle grown by half of it reaches sqrt(1/2) of it past its
corner; a true shape keeps its distance as the crow flies and may have no more than the rest, lest the two overlap.
"""

CORE = 2**0.5 - 1
"""Share of the spacing by which the sides of a core grow: then its corners reach no farther than `DISC`."""

TURNS = {
    Turn.NONE: (0.0,),
    Turn.HALF: (0.0, 180.0),
    Turn.QUARTER: (0.0, 90.0, 180.0, 270.0),
    Turn.ANY: (0.0, 90.0, 180.0, 270.0),
}
"""Degrees in which parts are tried; for ``any`` too, since all bounds are for upright rectangles."""

ROUND = 0.25
"""Corners rounded by no more than this share of the shorter side are planned as square: little is lost by it."""

SAME = 1e-6
"""mm: outlines this near are one and the same."""


@dataclass(frozen=True)
class Orientation:
    """Mirrored left for right where ``flipped``, then turned counter-clockwise by ``degrees``."""

    degrees: float = 0.0
    flipped: bool = False

    def then(self, degrees: float, flipped: bool) -> Orientation:
        """This orientation, and after it another one: a flip turns the other way round what was turned before."""
        before = -self.degrees if flipped else self.degrees
        return Orientation((before + degrees) % 360, self.flipped != flipped)

    def of(self, ring: Ring) -> Ring:
        """The ring in this orientation, about (0, 0)."""
        return turned(mirrored(ring) if self.flipped else ring, self.degrees)


AS_DRAWN = Orientation()


def is_plain(outline: Ring, holes: Sequence[Ring]) -> bool:
    """True for an upright rectangle without holes; small round corners count as square ones."""
    if holes:
        return False
    box = bounds(outline)
    if set(outline) == set(rectangle(*box)):
        return True
    radii = [arc_centre(start, end)[2] for start, end in edges(outline) if start[2]]
    if not radii or radii[0] > ROUND * min(box[2] - box[0], box[3] - box[1]):
        return False
    rounded = rectangle(*box, radii[0])
    return len(outline) == len(rounded) and set(_noiseless(outline)) == set(_noiseless(rounded))


def class_and_orientation(
    job: Job, outline: Ring, holes: Sequence[Ring] = (), least: Size | None = None
) -> tuple[PartClass, Orientation]:
    """The class of a part and how it comes to lie as the class does.

    ``least`` is the smallest length and width that any part of the job has: a hole in which nothing can lie counts
    as metal.  Parts that are cut edge to edge or by hand are the rectangles around them.
    """
    x0, y0, x1, y1 = bounds(outline)
    room = _useful(job, holes, least)
    if job.cutting.method is not CutMethod.PROFILE or is_plain(outline, room):
        kind = part_class(job, x1 - x0, y1 - y0)
        stands = kind.turnable and x1 - x0 < y1 - y0
        return kind, Orientation(90.0 if stands else 0.0)
    return _shape_class(job, outline, tuple(room))


def _useful(job: Job, holes: Sequence[Ring], least: Size | None) -> list[Ring]:
    """The holes in which some part of the job might lie."""
    if least is None or job.cutting.method is not CutMethod.PROFILE:
        return []
    useful = []
    for hole in holes:
        x0, y0, x1, y1 = bounds(hole)
        longer, shorter = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        if max(least) <= longer - 2 * job.cutting.spacing and min(least) <= shorter - 2 * job.cutting.spacing:
            useful.append(hole)
    return useful


@lru_cache(maxsize=4000)
def _shape_class(job: Job, outline: Ring, holes: tuple[Ring, ...]) -> tuple[PartClass, Orientation]:
    turns = TURNS[job.cutting.turn]
    orientations = [
        Orientation(degrees, flip)
        for flip in ((False, True) if job.cutting.flip else (False,))
        for degrees in turns
    ]
    lying = [(orientation, _laid(orientation, outline, holes)) for orientation in orientations]
    upright = (
        [(orientation, rings) for orientation, rings in lying if not _stands(rings[0])]
        if len(turns) == 4
        else lying
    )
    orientation, rings = min(upright or lying, key=lambda entry: _key(entry[1]))
    x0, y0, x1, y1 = bounds(rings[0])
    whole = part_class(job, x1 - x0, y1 - y0)
    cores = _cores_taken(rings[0], rings[1:], job.cutting.spacing)
    filled = _cores_taken(rings[0], (), job.cutting.spacing) if holes else cores
    if len(turns) == 4 and whole.length == whole.width:
        # such a class lies one way only by its extent, its cores either way
        cores, filled = _squares(cores), _squares(filled)
    shape = PartShape(
        outline=rings[0],
        holes=tuple(rings[1:]),
        turns=turns,
        flip=job.cutting.flip,
        area=_area_taken(rings[0], rings[1:], job.cutting.spacing),
        cores=cores,
        filled=filled,
    )
    return PartClass(whole.length, whole.width, whole.turnable, shape), orientation


def _laid(orientation: Orientation, outline: Ring, holes: Iterable[Ring]) -> list[Ring]:
    """The rings so oriented, the extent's lower left corner at (0, 0), each begun at its lowest, leftmost vertex."""
    rings = [orientation.of(counter_clockwise(ring)) for ring in (outline, *holes)]
    x0, y0, _, _ = bounds(rings[0])
    laid = [_begun(_noiseless(moved(ring, -x0, -y0))) for ring in rings]
    return [laid[0], *sorted(laid[1:])]


def _noiseless(ring: Ring) -> Ring:
    """Coordinates free of the noise of sums, so that equal parts are equal."""
    return tuple((round(x, 7) + 0.0, round(y, 7) + 0.0, round(bulge, 10) + 0.0) for x, y, bulge in ring)


def _begun(ring: Ring) -> Ring:
    first = min(range(len(ring)), key=lambda i: (ring[i][1], ring[i][0]))
    return ring[first:] + ring[:first]


def _stands(outline: Ring) -> bool:
    """True where the extent is taller than long."""
    x0, y0, x1, y1 = bounds(outline)
    return x1 - x0 < y1 - y0 - SAME


def _key(rings: Sequence[Ring]) -> tuple[Ring, ...]:
    return tuple(tuple((round(x, 5), round(y, 5), round(bulge, 7)) for x, y, bulge in ring) for ring in rings)


def _area_taken(outline: Ring, holes: Sequence[Ring], spacing: float) -> int:
    """Area in square solver units of the part grown all around by its share of the spacing, rounded down."""
    # the polygon lies inside the metal, and the chords of a round corner inside what has grown
    polygon = inner_polygon(outline, holes, FLATTENING)
    grown = polygon.buffer(DISC * spacing, quad_segs=4).area if spacing else polygon.area
    return floor(float(grown) * UNITS_PER_MM**2 * (1 - 1e-12))


def _cores_taken(outline: Ring, holes: Sequence[Ring], spacing: float) -> tuple[Cores, ...]:
    """Rectangles inside the part: the largest ones, those beside one another, those on one another."""
    return tuple(
        _in_units(cores, spacing) for cores in (inner_rectangles(outline, holes), *slabs(outline, holes))
    )


def _in_units(cores: Sequence[Size], spacing: float) -> Cores:
    """Sizes in solver units, rounded down.

    One alone grows by its share of the spacing; several would grow into one another.
    """
    more = CORE * spacing if len(cores) == 1 else 0.0
    sizes = [[floor((side + more) * UNITS_PER_MM + 1e-6) for side in core] for core in cores]
    return tuple((a, b) for a, b in sizes) or ((1, 1),)


def _squares(sets: Sequence[Cores]) -> tuple[Cores, ...]:
    """The largest squares in the rectangles of each set."""
    return tuple(tuple((min(core), min(core)) for core in cores) for cores in sets)
