"""Words and marks at corners, along slopes and beside arcs, each in a place that is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby, product
from math import atan, atan2, cos, degrees, hypot, sin

from shapely.geometry import LineString
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points
from shapely.prepared import PreparedGeometry

from nesting.documents.corners import Corner
from nesting.documents.dimensions import stroke
from nesting.documents.drawing import Label, Layer, Path
from nesting.documents.lettering import label_area, text_width
from nesting.outline import Vertex

Rooms = Sequence[PreparedGeometry]

_SHARES = (1.0, 0.8, 0.64)
"""Letter heights to try, as shares of the wanted one."""

_AWAY = (0.45, 1.1, 2.0, 3.2, 4.6)
"""How far words stand from what they are about, in letter heights."""

DOT = 0.5
"""A corner's dot, in letter heights."""


@dataclass
class Taken:
    """Where words and leaders stand already, and the lines and corners that words had better keep off."""

    lines: BaseGeometry
    areas: list[BaseGeometry] = field(default_factory=list)
    corners: list[BaseGeometry] = field(default_factory=list)

    def is_free(self, area: BaseGeometry, crossing: bool) -> bool:
        if any(area.intersects(other) for other in (*self.areas, *self.corners)):
            return False
        return crossing or not area.intersects(self.lines)

    def may_cross(self, leader: LineString | None) -> bool:
        return leader is None or not any(leader.intersects(other) for other in self.areas)

    def take(self, label: Label, leader: LineString | None) -> None:
        self.areas.append(label_area(label).buffer(0.15 * label.height))
        if leader is not None:
            self.areas.append(leader.buffer(0.1 * label.height))


def set_label(
    candidates: Sequence[Label], rooms: Rooms, taken: Taken, about: tuple[float, float] | None = None
) -> Label | None:
    """The largest label that stands free in a room, the first rooms first; across lines only where there is no other.

    A leader from ``about`` to words that stand away from it crosses no other words.
    """
    by_size = [tuple(group) for _, group in groupby(candidates, _height)]
    for crossing, of_one_size, inside in product((False, True), by_size, rooms):
        for label in of_one_size:
            area = label_area(label)
            if inside.covers(area) and taken.is_free(area, crossing):
                leader = leader_to(about, label) if about is not None else None
                if taken.may_cross(leader):
                    taken.take(label, leader)
                    return label
    return None


def _height(label: Label) -> float:
    return label.height


def leader_to(corner: tuple[float, float], label: Label) -> LineString | None:
    """The line from a corner to words about it, None where they stand near enough to need none."""
    area = label_area(label)
    spot = Spot(corner)
    if area.distance(spot) < 1.5 * label.height:
        return None
    end = nearest_points(area, spot)[0]
    return LineString([corner, (end.x, end.y)])


def corner_ring(corner: Vertex, radius: float) -> Path:
    """A small circle about a corner."""
    x, y, _ = corner
    return Path(((x - radius, y, 1.0), (x + radius, y, 1.0)), True, Layer.DIMENSION)


def about_point(
    x: float, y: float, text: str, letter: float, shares: Sequence[float] = _SHARES
) -> list[Label]:
    """Words level about a point, in each of the four quarters, nearer ones and larger ones first."""
    found = []
    for share in shares:
        high = share * letter
        wide = text_width(text, high)
        for away in _AWAY:
            for across, up in ((1, 1), (-1, 1), (-1, -1), (1, -1), (1, 0), (-1, 0), (0, 1), (0, -1)):
                gap = away * high
                place = x + across * (wide / 2 + gap), y + up * (high / 2 + gap)
                found.append(Label(*place, text, high, Layer.DIMENSION))
    return found


def along_slope(corner: Corner, text: str, letter: float) -> list[Label]:
    """Words along a slope, on its inner side, read from below or from the right."""
    (x0, y0, _), (x1, y1, _) = corner.start, corner.end
    length = hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    turn = degrees(atan2(uy, ux))
    turn = turn - 180.0 if turn > 90.0 + 1e-6 else turn + 180.0 if turn <= -90.0 + 1e-6 else turn
    found = []
    for share in _SHARES:
        high = share * letter
        if text_width(text, high) > length:
            continue
        for away in (0.5, 1.2, 2.0):
            for along in (0.5, 0.35, 0.65, 0.2, 0.8):
                off = (away + 0.5) * high
                x, y = x0 + along * (x1 - x0) - uy * off, y0 + along * (y1 - y0) + ux * off
                found.append(Label(x, y, text, high, Layer.DIMENSION, turn=turn))
    return found


def beside_arc(corner: Corner, text: str, letter: float) -> list[Label]:
    """Level words inside an arc, near its middle."""
    x0, y0, bulge = corner.start
    sweep = 4 * atan(bulge)
    # the centre as drawn: the corner's own is measured from the datum
    cx, cy = x0 - corner.place[0] + corner.centre[0], y0 - corner.place[1] + corner.centre[1]
    first = atan2(y0 - cy, x0 - cx)
    inward = -1.0 if corner.outward else 1.0
    found = []
    for share in _SHARES:
        high = share * letter
        wide = text_width(text, high)
        for away in _AWAY:
            for along in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
                angle = first + sweep * along
                out = (inward * cos(angle), inward * sin(angle))
                x, y = cx + corner.radius * cos(angle), cy + corner.radius * sin(angle)
                reach = away * high + abs(out[0]) * wide / 2 + abs(out[1]) * high / 2
                found.append(Label(x + out[0] * reach, y + out[1] * reach, text, high, Layer.DIMENSION))
    return found


def cross_at(x: float, y: float, letter: float) -> list[Path]:
    arm = 0.5 * letter
    return [stroke([(x - arm, y), (x + arm, y)]), stroke([(x, y - arm), (x, y + arm)])]
