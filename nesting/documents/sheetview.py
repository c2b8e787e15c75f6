"""One sheet as it is cut, in sheet coordinates, or all sheets side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import chain

from shapely import union_all
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from nesting.documents.corners import circle, odd_outlines
from nesting.documents.cutlines import cut_paths, trim_paths
from nesting.documents.dimensions import fitted, level_dimension, upright_dimension
from nesting.documents.drawing import Dot, Drawing, Label, Layer, Path, one_line
from nesting.documents.findings import doubts
from nesting.documents.lettering import extents_of, label_area, text_width
from nesting.documents.marking import (
    Stroke,
    crossed_lines,
    drill_points,
    hole_diameter,
    levels_of,
    patch_points,
    seam_lines,
)
from nesting.documents.partlabel import PartWords, part_label
from nesting.documents.partsizes import part_sizes
from nesting.documents.placement import (
    Placement,
    forward_angle,
    own_outline,
    placement,
    up_angle,
)
from nesting.documents.shearcuts import shear_cuts
from nesting.documents.trimming import trim_word
from nesting.job import Units
from nesting.outline import as_polygon, bounds, rectangle
from nesting.plan import Offcut, Panel, PlacedPart, PlannedJob, SheetLayout
from shared.units import format_length

MEASURE_AGAIN = "MEASURE AGAIN"
"""On a part cut from a doubtful reading."""

CORNER_WORDS = "At a corner: its number, then how far it lies from the left and from the bottom of its part."
"""How the words at the corners of what is no rectangle are read."""

TRIM_WORDS = "Trim along the chain lines marked trim when the cuts have freed the rectangle."
"""What to do with the outlines of a sheet that is cut from edge to edge."""

_SIZES = 0.46
"""Letters of the sizes on a part, as a share of a name's."""

_FARTHEST = 12.0
"""How far from a part words about it can reach, in letter heights."""


def sheet_view(planned: PlannedJob, index: int, drill: bool = False) -> Drawing:
    """The sheet with this index (from 0): its outline, the cuts, what to scribe, words, offcuts, sizes.

    Sheet coordinates in mm.  ``drill`` adds the rivet holes, only in the sheet that lies on top of a lap.
    Sizes stand on the DIMENSION layer, which the cut file leaves out.
    """
    sheet = planned.plan.sheets[index]
    letter = _letter(sheet)
    paths = [Path(rectangle(0, 0, sheet.stock.length, sheet.stock.width), closed=True, layer=Layer.SHEET)]
    dots: list[Dot] = []
    labels: list[Label] = []
    paths += cut_paths(sheet)
    offcuts = [_offcut(offcut, planned.job.units, letter) for offcut in sheet.offcuts]
    labels += [label for _, label in offcuts]
    beside = _free_metal(sheet)
    for part in sheet.parts:
        marks, holes = _marks(planned, part, drill)
        paths += marks
        dots += holes
        lines = _obstacles([*marks, *trim_paths(sheet, part)], holes)
        words, arrows = part_label(part, _words(planned, part), lines, letter)
        labels += words
        paths += arrows
        trim = trim_word(sheet, part, words, 0.5 * letter)
        labels += trim
        obstacles = union_all([lines, *(LineString([v[:2] for v in arrow.vertices]) for arrow in arrows)])
        said = _near(labels, part, letter)
        sizes = part_sizes(sheet, part, planned.job.units, _SIZES * letter, obstacles, said, beside)
        paths += sizes.paths
        labels += sizes.labels
    paths += [path for path, _ in offcuts]
    order_paths, order_dots, order_labels = shear_cuts(sheet, labels, 0.6 * letter)
    paths += order_paths
    dots += order_dots
    labels += order_labels
    size_paths, size_labels = _sheet_size(sheet, planned.job.units, letter, clear=bool(sheet.cuts))
    paths += size_paths
    labels += size_labels
    return Drawing(
        name=f"sheet-{index + 1:02d}",
        title=sheet_title(planned, index),
        extents=extents_of(paths, dots, labels),
        paths=tuple(paths),
        dots=tuple(dots),
        labels=tuple(labels),
    )


def _free_metal(sheet: SheetLayout) -> BaseGeometry:
    """What of a sheet no part covers, where words about odd parts may stand; empty where there are none."""
    if not odd_outlines(sheet) and all(circle(part.outline) is None for part in sheet.parts):
        return Polygon()
    parts = union_all([as_polygon(part.outline, tolerance=0.1).buffer(1.0) for part in sheet.parts])
    return box(0.0, 0.0, sheet.stock.length, sheet.stock.width).difference(parts)


def _near(labels: Iterable[Label], part: PlacedPart, letter: float) -> list[Label]:
    """The words that words about a part could run into: no others need be looked at."""
    x0, y0, x1, y1 = bounds(part.outline)
    reach = _FARTHEST * letter
    near = box(x0 - reach, y0 - reach, x1 + reach, y1 + reach)
    return [label for label in labels if label_area(label).intersects(near)]


def sheet_title(planned: PlannedJob, index: int) -> str:
    """Such as ``Sheet 1 of 9: 4x10, 48 x 120 in``, and whether it is on hand."""
    stock = planned.plan.sheets[index].stock
    unit = planned.job.units.value
    width, length = format_length(stock.width, unit), format_length(stock.length, unit)
    count = len(planned.plan.sheets)
    title = f"Sheet {index + 1} of {count}: {one_line(stock.name)}, {width} x {length} {unit}"
    return f"{title}, on hand" if stock.on_hand else title


def sheet_views(planned: PlannedJob, drill: bool = False) -> tuple[Drawing, ...]:
    """Every sheet of the plan in its order."""
    return tuple(sheet_view(planned, index, drill) for index in range(len(planned.plan.sheets)))


def all_sheets(planned: PlannedJob, drill: bool = False, views: Sequence[Drawing] | None = None) -> Drawing:
    """All sheets side by side, in rows where there are many, each with its title above it.

    ``views`` are the single sheets where these are drawn already.
    """
    views = sheet_views(planned, drill) if views is None else views
    per_row = max(1, round((1.6 * len(views)) ** 0.5)) if len(views) > 4 else max(1, len(views))
    moved: list[Drawing] = []
    y = 0.0
    for start in range(0, len(views), per_row):
        row = views[start : start + per_row]
        letters = [_letter(planned.plan.sheets[start + i]) for i in range(len(row))]
        y -= max(v.extents[3] + 4 * h for v, h in zip(row, letters, strict=True)) if start else 0.0
        x = 0.0
        for i, (view, letter) in enumerate(zip(row, letters, strict=True)):
            stock = planned.plan.sheets[start + i].stock
            top = max(stock.width, view.extents[3]) + 1.6 * letter
            size = fitted(view.title, letter, max(stock.length, 1.0))
            heading = Label(stock.length / 2, top, view.title, size)
            x -= view.extents[0] if i else 0.0
            moved.append(_moved(replace(view, labels=(*view.labels, heading)), x, y))
            x += view.extents[2] + 2 * letter
        y += min(view.extents[1] for view in row) - letter
    paths = tuple(chain.from_iterable(view.paths for view in moved))
    dots = tuple(chain.from_iterable(view.dots for view in moved))
    labels = tuple(chain.from_iterable(view.labels for view in moved))
    title = f"All sheets: {one_line(planned.job.title)}"
    return Drawing("all-sheets", title, extents_of(paths, dots, labels), paths, dots, labels)


def _letter(sheet: SheetLayout) -> float:
    """Letter height of a name: as large as can be read when the sheet is printed across a page."""
    return max(sheet.stock.length, sheet.stock.width) / 60


def _words(planned: PlannedJob, part: PlacedPart) -> PartWords:
    panel = _panel(planned, part)
    x0, y0, x1, y1 = bounds(own_outline(planned, part))
    unit = planned.job.units.value
    # a part is never printed larger than it is, so that it still fits
    wide, high = (format_length(length, unit, direction="down") for length in (x1 - x0, y1 - y0))
    return PartWords(
        name=part.part,
        size=f"{wide} x {high}",
        face_down=part.flipped,
        up=up_angle(part),
        forward=forward_angle(part, panel.forward) if panel is not None else None,
        warning=MEASURE_AGAIN if doubts(planned, part.part) else "",
    )


def _panel(planned: PlannedJob, part: PlacedPart) -> Panel | None:
    return next((panel for panel in planned.plan.panels if panel.name == part.part), None)


def _marks(planned: PlannedJob, part: PlacedPart, drill: bool) -> tuple[list[Path], list[Dot]]:
    """Scribe lines and, if asked for, holes of one part, on the sheet."""
    onto = placement(own_outline(planned, part), part)
    panel = _panel(planned, part)
    strokes: tuple[Stroke, ...] = ()
    points: Iterable[tuple[float, float]] = ()
    if panel is not None:
        side = next(side for side in planned.job.sides if side.name == panel.side)
        strokes = crossed_lines(panel, side, levels_of(planned, side))
        strokes += seam_lines(panel, planned.plan.seams, planned.job.seam)
        points = drill_points(panel, planned) if drill else ()
    elif drill:
        points = patch_points(part.part, planned)
    hole = hole_diameter(planned.job.rivets.diameter)
    dots = [Dot(*onto.point(x, y), hole, Layer.DRILL, part.part) for x, y in points]
    return [_stroke(onto, line, part.part) for line in strokes], dots


def _stroke(onto: Placement, line: Stroke, about: str) -> Path:
    (x0, y0), (x1, y1) = onto.point(*line[0]), onto.point(*line[1])
    return Path(((x0, y0, 0.0), (x1, y1, 0.0)), closed=False, layer=Layer.MARK, about=about)


def _obstacles(marks: Sequence[Path], holes: Sequence[Dot]) -> BaseGeometry:
    """What words should not lie across."""
    lines = [LineString([(x, y) for x, y, _ in path.vertices]) for path in marks]
    dots = [LineString([(d.x - d.diameter / 2, d.y), (d.x + d.diameter / 2, d.y)]) for d in holes]
    return union_all([*lines, *dots])


def _offcut(offcut: Offcut, units: Units, letter: float) -> tuple[Path, Label]:
    """The rectangle to keep and its size; the label lies along its longer side."""
    x1, y1 = offcut.x + offcut.length, offcut.y + offcut.width
    unit = units.value
    sizes = [format_length(size, unit, direction="down") for size in (offcut.length, offcut.width)]
    text = f"offcut {sizes[0]} x {sizes[1]}"
    along, across = offcut.length, offcut.width
    turn = 0.0
    if text_width(text, 0.62 * letter) > 0.9 * along and across > along:
        along, across, turn = across, along, 90.0
    height = min(fitted(text, 0.62 * letter, 0.9 * along), 0.7 * across)
    label = Label(
        (offcut.x + x1) / 2, (offcut.y + y1) / 2, text, height, Layer.OFFCUT, turn=turn, about="offcut"
    )
    return Path(rectangle(offcut.x, offcut.y, x1, y1), True, Layer.OFFCUT, "offcut"), label


def _sheet_size(
    sheet: SheetLayout, units: Units, letter: float, clear: bool
) -> tuple[tuple[Path, ...], tuple[Label, ...]]:
    """Length under and width left of the sheet, farther off where the numbers of cuts stand between."""
    small = 0.62 * letter
    off = 4.2 * small if clear else 1.6 * small
    length, width = sheet.stock.length, sheet.stock.width
    unit = units.value
    under, length_label = level_dimension(0.0, length, -off, format_length(length, unit), small, reach=off)
    left, width_label = upright_dimension(0.0, width, -off, format_length(width, unit), small, reach=off)
    return (*under, *left), (length_label, width_label)


def _moved(view: Drawing, dx: float, dy: float) -> Drawing:
    x0, y0, x1, y1 = view.extents
    return replace(
        view,
        extents=(x0 + dx, y0 + dy, x1 + dx, y1 + dy),
        paths=tuple(
            replace(path, vertices=tuple((x + dx, y + dy, b) for x, y, b in path.vertices))
            for path in view.paths
        ),
        dots=tuple(replace(dot, x=dot.x + dx, y=dot.y + dy) for dot in view.dots),
        labels=tuple(replace(label, x=label.x + dx, y=label.y + dy) for label in view.labels),
    )
