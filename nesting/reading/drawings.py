"""Outlines out of a DXF drawing: closed contours with what lies inside them, or everything wrong with the drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan, tan
from pathlib import Path

import shapely

from nesting.outline import Ring, as_polygon, bounds, edges, moved, without_repeats
from nesting.reading.chains import joined
from nesting.reading.drawingfile import UNIT_MM, DrawingContent, drawing_content, refused
from nesting.reading.edgegaps import TOUCH_MM, meetings, middle
from nesting.reading.outlinechecks import LONGEST_OUTLINE_MM, MAX_PROBLEMS, OutlineProblem, checked_ring
from shared.errors import as_written
from shared.units import format_length

MAX_CONTOURS = 1000
"""More outlines than this on one layer are a drawing of something else."""

SMALL_OUTLINE_MM = 50.0
"""A drawing whose largest outline is smaller than 2 in is more likely in another unit than it says."""

_USUAL_MM = (150.0, 15_000.0)
"""Between these lies the largest outline of nearly every drawing of a body: for advice on units only."""

_FULL_BULGE = 2.0
"""Arcs of more than 254 degrees are made two edges: ends that lie near one another fix a centre badly."""

_MOST_NAMES = 12
"""Layers or kinds of entity that a message lists."""

_INSIDE_MM = TOUCH_MM / 4


@dataclass(frozen=True)
class DrawnOutline:
    """A closed outline in mm, counter-clockwise, arcs as bulges, with the contours that lie inside it."""

    ring: Ring
    layer: str
    holes: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class DrawnSide:
    """Openings of a side from left to right, and the width of the post after each but the last, in mm.

    The leftmost point lies at x = 0, the lowest at y = 0.  A post is as wide as the distance between the
    extents of its two openings.
    """

    openings: tuple[DrawnOutline, ...]
    posts: tuple[float, ...]


def read_outlines(path: Path, layer: str | None = None, units: str | None = None) -> tuple[DrawnOutline, ...]:
    """The outlines drawn on a layer of model space, in mm where they were drawn, from left to right.

    Closed polylines, circles, ellipses and splines, blocks that are put in, and lines and arcs whose ends come
    within 0.01 mm of one another.  Ellipses and splines become arcs within 0.05 mm.  Texts, dimensions,
    points, hatches and images are passed over, and no other file is opened.  Without ``layer`` all lines that
    are shown must lie on one layer.  ``units`` ("in", "ft", "mm", "cm", "m") stands above the unit that the
    drawing says it is in, and must be given where it says none.
    Raises `JobMistakes` with everything that keeps the drawing from being read, each with the name of the file
    and the place in the unit of the drawing.
    """
    return _read(path, layer, units)[0]


def outline_in_drawing(path: Path, layer: str | None = None, units: str | None = None) -> DrawnOutline:
    """The one outline on a layer, with its holes; as `read_outlines`, and several outlines are a mistake."""
    outlines = read_outlines(path, layer, units)
    if len(outlines) > 1:
        text = f"holds {len(outlines)} outlines side by side, and one is wanted; leave only that on its layer"
        raise refused(path, text)
    return outlines[0]


def openings_in_drawing(path: Path, layer: str | None = None, units: str | None = None) -> DrawnSide:
    """All openings of a side drawn as they stand beside one another, seen from outside; see `read_outlines`.

    Raises `JobMistakes` also where two openings leave no post between them.
    """
    outlines, unit = _read(path, layer, units)
    boxes = [bounds(outline.ring) for outline in outlines]
    posts = tuple(after[0] - before[2] for before, after in pairwise(boxes))
    overlaps = [_no_post(i, _in_unit(unit)(-post)) for i, post in enumerate(posts, 1) if post <= TOUCH_MM]
    if overlaps:
        raise refused(path, *overlaps[:MAX_PROBLEMS])
    left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
    placed = tuple(
        DrawnOutline(
            moved(outline.ring, -left, -low),
            outline.layer,
            tuple(moved(hole, -left, -low) for hole in outline.holes),
        )
        for outline in outlines
    )
    return DrawnSide(placed, posts)


def _no_post(number: int, overlap: str) -> str:
    return (
        f"opening {number + 1} from the left starts {overlap} before opening {number} ends, so there is no post "
        "between them; draw openings side by side with their posts free"
    )


def _read(path: Path, layer: str | None, units: str | None) -> tuple[tuple[DrawnOutline, ...], str]:
    """What `read_outlines` gives, and the unit of the drawing."""
    if units is not None and units not in UNIT_MM:
        raise ValueError(f"units must be one of {', '.join(UNIT_MM)}, not {units!r}")
    content = drawing_content(path, layer, units)
    wrong_layer = _wrong_layer(content, layer)
    if wrong_layer:
        raise refused(path, wrong_layer)
    outlines, texts = _outlines(content, units is not None)
    if not outlines and not texts:
        texts = [_nothing_found(content, layer)]
    if len(texts) > MAX_PROBLEMS:
        rest = len(texts) - MAX_PROBLEMS
        texts = [*texts[:MAX_PROBLEMS], f"{rest} more problems are not told here; mend these first"]
    if texts:
        raise refused(path, *texts)
    return outlines, content.unit


def _outlines(content: DrawingContent, sure: bool) -> tuple[tuple[DrawnOutline, ...], list[str]]:
    """The outlines of one layer, or what is wrong with them; ``sure`` where the user has said the unit."""
    closed = [line.stroke for line in content.lines if line.closed]
    chained = joined([line.stroke for line in content.lines if not line.closed], _in_unit(content.unit))
    contours = [_halved(without_repeats(contour) or contour[:1]) for contour in (*closed, *chained.contours)]
    problems = [*content.problems, *chained.problems]
    if len(contours) > MAX_CONTOURS:
        remedy = "leave only those of openings or patches on the layer"
        return (), [f"holds {len(contours)} outlines, and {MAX_CONTOURS} are the most; {remedy}"]
    wrong_unit = _wrong_unit(contours, content.unit, sure)
    if wrong_unit:
        return (), [wrong_unit, *_told(problems, content.unit)]
    rings = []
    for contour in contours:
        found = checked_ring(contour, _shown_in(content.unit))
        if isinstance(found, list):
            problems += [_placed(problem, contour) for problem in found]
        else:
            rings.append(found)
    different = _without_copies(rings, problems)
    problems += _meeting_outlines(different)
    outlines: tuple[DrawnOutline, ...] = ()
    if different and not problems:
        outlines = tuple(_nested(different, content.lines[0].layer, problems))
    return outlines, _told(problems, content.unit)


def _halved(contour: Ring) -> Ring:
    """The contour with very full arcs as two edges each."""
    parts: list[Ring] = []
    for start, end in edges(contour):
        if abs(start[2]) > _FULL_BULGE and start[:2] != end[:2]:
            bulge = tan(atan(start[2]) / 2)
            parts.append(((start[0], start[1], bulge), (*middle((start, end)), bulge)))
        else:
            parts.append((start,))
    return tuple(vertex for part in parts for vertex in part)


def _placed(problem: OutlineProblem, contour: Ring) -> OutlineProblem:
    """The problem with a place to look for it: corners have no numbers in a drawing."""
    at = problem.at or contour[0][:2]
    # Corner numbers mean something to who typed them only.
    remedy = problem.remedy if problem.at is None else "draw it again there"
    return OutlineProblem(problem.what, remedy, at=at)


def _without_copies(rings: Sequence[Ring], problems: list[OutlineProblem]) -> list[Ring]:
    kept: dict[tuple[tuple[float, float], ...], Ring] = {}
    for ring in rings:
        key = tuple(sorted((round(x, 2) + 0.0, round(y, 2) + 0.0) for x, y, _ in ring))
        if key in kept and abs(as_polygon(ring).area - as_polygon(kept[key]).area) < 1.0:
            problems.append(OutlineProblem("is drawn twice", "delete one of the two", at=ring[0][:2]))
        kept.setdefault(key, ring)
    return list(kept.values())


def _meeting_outlines(rings: Sequence[Ring]) -> Iterator[OutlineProblem]:
    pairs: set[tuple[int, int]] = set()
    for meeting in meetings(rings):
        if len(pairs) > MAX_PROBLEMS:
            return
        pair = meeting.one[0], meeting.other[0]
        if pair[0] != pair[1] and pair not in pairs:
            pairs.add(pair)
            verb = "crosses" if meeting.gap.crosses else "touches"
            remedy = "keep them apart, or delete one where the same outline is drawn twice"
            yield OutlineProblem(f"{verb} another outline", remedy, at=meeting.gap.at)


def _nested(rings: Sequence[Ring], layer: str, problems: list[OutlineProblem]) -> Iterator[DrawnOutline]:
    """Outlines with the contours inside them as holes, both from left to right."""
    rings = sorted(rings, key=lambda ring: bounds(ring))
    areas = [as_polygon(ring, tolerance=_INSIDE_MM) for ring in rings]
    corners = shapely.points([ring[0][:2] for ring in rings])
    around: dict[int, set[int]] = {i: set() for i in range(len(rings))}
    for inner, outer in zip(*shapely.STRtree(areas).query(corners, predicate="within"), strict=True):
        if inner != outer:
            around[int(inner)].add(int(outer))
    for i, ring in enumerate(rings):
        if len(around[i]) > 1:
            remedy = "a hole cannot hold metal again; move it to a layer of its own"
            problems.append(OutlineProblem("lies inside a hole", remedy, at=ring[0][:2]))
        if not around[i]:
            holes = tuple(rings[j] for j in range(len(rings)) if around[j] == {i})
            yield DrawnOutline(ring, layer, holes)


def _wrong_layer(content: DrawingContent, layer: str | None) -> str:
    """Why the layer will not do; empty where it does, or where there are no lines at all."""
    if layer is not None and content.layers and not content.lines and not content.problems:
        return f"has no lines on layer {as_written(layer)}; there are lines on {_listed(content.layers)}"
    drawn_on = list(dict.fromkeys(line.layer for line in content.lines))
    if layer is None and len(drawn_on) > 1:
        return f"has lines on {len(drawn_on)} layers; write layer, one of {_listed(drawn_on)}"
    return ""


def _listed(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
    return ", ".join(as_written(name) for name in names[:_MOST_NAMES]) + more


def _nothing_found(content: DrawingContent, layer: str | None) -> str:
    where = f" on layer {as_written(layer)}" if layer is not None else ""
    counted = [f"{count} {kind}" for kind, count in content.ignored[:_MOST_NAMES] if kind.isprintable()]
    but = f" (passed over: {', '.join(counted)})" if counted else ""
    return f"has no outline{where}{but}; draw it as a closed polyline, or as lines and arcs that meet"


def _wrong_unit(contours: Sequence[Ring], unit: str, sure: bool) -> str:
    """Whether the largest outline is no size for a body, and which unit would make it one; empty where all is well."""
    if not contours:
        return ""
    boxes = [bounds(contour) for contour in contours if len(contour) > 1]
    longest = max((max(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes), default=0.0)
    least = TOUCH_MM if sure else SMALL_OUTLINE_MM
    if not longest or least <= longest <= LONGEST_OUTLINE_MM:
        return ""
    sizes = {word: longest * mm / UNIT_MM[unit] for word, mm in UNIT_MM.items() if word != unit}
    likely = [
        f'"{word}" ({format_length(size, _shown_in(word), with_unit=True)})'
        for word, size in sizes.items()
        if _USUAL_MM[0] <= size <= _USUAL_MM[1]
    ]
    says = "drawing_units" if sure else "the drawing"
    size = _in_unit(unit)(longest)
    remedy = f"write drawing_units = {' or '.join(likely)}" if likely else "check its scale"
    if not sure and longest < SMALL_OUTLINE_MM:
        remedy += f', or drawing_units = "{unit}" if it is so small'
    return f"the largest outline is {size} long by the unit that {says} names; {remedy}"


def _shown_in(unit: str) -> str:
    return "in" if unit in ("in", "ft") else "mm"


def _in_unit(unit: str) -> Callable[[float], str]:
    """What writes a length given in mm in the unit of a drawing."""
    return lambda mm: f"{mm / UNIT_MM[unit]:.6g} {unit}"


def _told(problems: Sequence[OutlineProblem], unit: str) -> list[str]:
    """Each problem with its place in the unit of the drawing, none twice."""
    texts = []
    for problem in problems:
        place = ""
        if problem.at is not None:
            x, y = (f"{round(value / UNIT_MM[unit], 4) + 0.0:.7g}" for value in problem.at)
            place = f" at x {x}, y {y} of the drawing"
        texts.append(f"the outline {problem.what}{place}; {problem.remedy}")
    return list(dict.fromkeys(texts))
