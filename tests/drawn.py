"""Hand plans with their rivets set, and a plain reading of drawings that shares nothing with their making."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from math import atan2, degrees

from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box

from nesting.documents.drawing import Anchor, Drawing, Label, Layer, Path
from nesting.outline import net_area
from nesting.plan import BuyLine, BuyList, PlannedJob
from nesting.rivets.fasteners import place_fasteners
from tests.hand_plans import HandPlan

NO_MONEY = BuyList((BuyLine("sheet", 1, "sheets", 90.0, 90.0),), 90.0, 0, 0, 0, 0, 90.0, 10.0, 20.0)


def planned(hand: HandPlan) -> PlannedJob:
    """The hand plan with rivets and the mass of every part."""
    job, plan = hand
    masses = {
        part.part: net_area(part.outline, part.holes) * job.skin.mass_per_area / 1e6
        for sheet in plan.sheets
        for part in sheet.parts
    }
    return PlannedJob(job, plan, place_fasteners(job, plan.panels, plan.seams), NO_MONEY, masses)


def words_area(label: Label, per_character: float = 0.62) -> Polygon:
    """The room a label takes when every character is this wide, in letter heights."""
    width = per_character * label.height * len(label.text)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[label.anchor]
    area = box(start, -label.height / 2, start + width, label.height / 2)
    return translate(rotate(area, label.turn, origin=(0, 0)), label.x, label.y)


def overlapping(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of words that run into one another."""
    areas = [(label.text, words_area(label)) for label in drawing.labels]
    return [(a, b) for (a, one), (b, other) in combinations(areas, 2) if one.intersection(other).area > 1e-6]


def on_layer(drawing: Drawing, layer: Layer, about: str | None = None) -> list[Path]:
    """The paths of one layer, of one part if asked."""
    return [p for p in drawing.paths if p.layer is layer and about in (None, p.about)]


def texts(drawing: Drawing, about: str | None = None) -> list[str]:
    """What is written, about one part if asked."""
    return [label.text for label in drawing.labels if about in (None, label.about)]


def ends(path: Path) -> tuple[tuple[float, float], tuple[float, float]]:
    """Both ends of a path of two vertices, rounded, the lesser first."""
    points = sorted((round(x, 3), round(y, 3)) for x, y, _ in path.vertices)
    assert len(points) == 2
    return points[0], points[1]


def all_ends(paths: Iterable[Path]) -> set[tuple[tuple[float, float], tuple[float, float]]]:
    """The ends of each of some paths."""
    return {ends(path) for path in paths}


def arrow_angle(view: Drawing, text: str) -> float:
    """The angle at which the shaft that ends nearest to a word runs."""
    word = next(label for label in view.labels if label.text == text)
    shafts = [path for path in on_layer(view, Layer.LABEL) if len(path.vertices) == 2]
    near = min(shafts, key=lambda p: (p.vertices[1][0] - word.x) ** 2 + (p.vertices[1][1] - word.y) ** 2)
    (x0, y0, _), (x1, y1, _) = near.vertices
    return round(degrees(atan2(y1 - y0, x1 - x0)), 6) % 360
