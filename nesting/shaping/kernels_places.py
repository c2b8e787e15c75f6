"""Where a shape can lie on a sheet that carries others, compiled: every place where it touches in two directions.

``load`` is what lies on the sheets: (number of parts on each sheet, their numbers, pose of each part or -1, places of
the parts, sheet of each part).  Shapes and tables: see nesting.shaping.kernels_nofit.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.shaping.kernels_nofit import EPS, overlaps, with_pair
from nesting.sizing.kernels_chance import share

COUNT, MEMBERS, POSE, PLACE, SHEET = range(5)
"""Of the load."""

FAR, LOW, TOUCHING = range(3)
"""Rules for the best place: least far along the sheet, least far across, or most of the outline touching."""

NO_PLACE = 1e300
PARALLEL = 1e-9
MOST_SEEN = 64
TIE = 1e-3
"""What the place weighs beside the share that touches."""


@njit(cache=True)
def apart(shapes: Any, load: Any, m: int, q: int, x: float, y: float) -> bool:
    """Whether the boxes around part m and pose q at (x, y) share no area."""
    p, px, py = load[POSE][m], load[PLACE][m, 0], load[PLACE][m, 1]
    sizes = shapes[3]
    if x > px + sizes[p, 0] - EPS or x + sizes[q, 0] < px + EPS:
        return True
    return bool(y > py + sizes[p, 1] - EPS or y + sizes[q, 1] < py + EPS)


@njit(cache=True)
def is_clear(shapes: Any, tables: Any, load: Any, s: int, q: int, x: float, y: float) -> bool:
    """Whether pose q at (x, y) overlaps nothing on sheet s; every pair must be in the tables."""
    for i in range(load[COUNT][s]):
        m = load[MEMBERS][s, i]
        if apart(shapes, load, m, q, x, y):
            continue
        number = tables[0][load[POSE][m], q]
        if overlaps(tables, number, x - load[PLACE][m, 0], y - load[PLACE][m, 1]):
            return False
    return True


@njit(cache=True)
def touching(
    shapes: Any, load: Any, s: int, length: float, width: float, q: int, x: float, y: float
) -> float:
    """How much of the outline of pose q touches the edges of the sheet and other outlines, as a share of it."""
    sizes, starts, sides = shapes[3], shapes[4], shapes[5]
    touched, around = 0.0, 0.0
    for e in range(starts[q], starts[q + 1]):
        ax, ay, bx, by = sides[e, 0] + x, sides[e, 1] + y, sides[e, 2] + x, sides[e, 3] + y
        side = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        around += side
        if (abs(ax) < EPS and abs(bx) < EPS) or (abs(ax - length) < EPS and abs(bx - length) < EPS):
            touched += side
        if (abs(ay) < EPS and abs(by) < EPS) or (abs(ay - width) < EPS and abs(by - width) < EPS):
            touched += side
    for i in range(load[COUNT][s]):
        m = load[MEMBERS][s, i]
        p, px, py = load[POSE][m], load[PLACE][m, 0], load[PLACE][m, 1]
        if px > x + sizes[q, 0] + EPS or px + sizes[p, 0] < x - EPS:
            continue
        if py > y + sizes[q, 1] + EPS or py + sizes[p, 1] < y - EPS:
            continue
        for e in range(starts[q], starts[q + 1]):
            ax, ay, bx, by = sides[e, 0] + x, sides[e, 1] + y, sides[e, 2] + x, sides[e, 3] + y
            dx, dy = bx - ax, by - ay
            side = (dx * dx + dy * dy) ** 0.5
            dx, dy = dx / side, dy / side
            for f in range(starts[p], starts[p + 1]):
                cx, cy = sides[f, 0] + px - ax, sides[f, 1] + py - ay
                if abs(dx * cy - dy * cx) > EPS:
                    continue
                ex, ey = sides[f, 2] + px - ax, sides[f, 3] + py - ay
                if abs(dx * ey - dy * ex) > EPS:
                    continue
                near, far = dx * ex + dy * ey, dx * cx + dy * cy
                if far > near:
                    touched += max(0.0, min(far, side) - max(near, 0.0))
    return touched / around


@njit(cache=True)
def is_among(points: Any, count: int, x: float, y: float) -> bool:
    """Whether a point is one of those that are known."""
    for i in range(count):  # noqa: SIM110
        if abs(points[i, 0] - x) < EPS and abs(points[i, 1] - y) < EPS:
            return True
    return False


@njit(cache=True)
def _clipped(line: Any, x1: float, y1: float) -> bool:
    """Cuts a line down to the box from (0, 0) to (x1, y1), in place; False where it lies outside."""
    for axis in range(2):
        top = x1 if axis == 0 else y1
        for end in range(2):
            i, j = 2 * end, 2 - 2 * end
            at, other = line[i + axis], line[j + axis]
            for bound in range(2):
                limit = 0.0 if bound == 0 else top
                beyond = at < limit - EPS if bound == 0 else at > limit + EPS
                if not beyond:
                    continue
                if (other < limit - EPS) if bound == 0 else (other > limit + EPS):
                    return False
                share = (limit - at) / (other - at)
                line[i + 1 - axis] += share * (line[j + 1 - axis] - line[i + 1 - axis])
                line[i + axis] = limit
                at = limit
    return True


@njit(cache=True)
def _lines(tables: Any, load: Any, s: int, q: int, x1: float, y1: float) -> Any:
    """Where pose q touches what lies on the sheet, within the box for its corner: lines, and the part of each."""
    _, heads, boxes, _, _, _, segments, _ = tables
    most = 0
    for i in range(load[COUNT][s]):
        number = tables[0][load[POSE][load[MEMBERS][s, i]], q]
        most += heads[number, 3] - heads[number, 2]
    lines, owners = np.empty((most, 4)), np.empty(most, np.int64)
    n = 0
    for i in range(load[COUNT][s]):
        m = load[MEMBERS][s, i]
        number = tables[0][load[POSE][m], q]
        px, py = load[PLACE][m, 0], load[PLACE][m, 1]
        if boxes[number, 0] + px > x1 + EPS or boxes[number, 2] + px < -EPS:
            continue
        if boxes[number, 1] + py > y1 + EPS or boxes[number, 3] + py < -EPS:
            continue
        for k in range(heads[number, 2], heads[number, 3]):
            lines[n, 0], lines[n, 1] = segments[k, 0] + px, segments[k, 1] + py
            lines[n, 2], lines[n, 3] = segments[k, 2] + px, segments[k, 3] + py
            if _clipped(lines[n], x1, y1):
                owners[n] = i
                n += 1
    return lines[:n], owners[:n]


@njit(cache=True)
def candidates(tables: Any, load: Any, s: int, q: int, x1: float, y1: float) -> Any:
    """Places worth a look for pose q, whose corner must lie in the box from (0, 0) to (x1, y1): not all are clear."""
    lines, owners = _lines(tables, load, s, q, x1, y1)
    n = lines.shape[0]
    places = np.empty((4 + 4 * n + 64, 2))
    for i in range(4):
        places[i, 0], places[i, 1] = x1 * (i % 2), y1 * (i // 2)
    held = 4
    for i in range(n):
        places[held, 0], places[held, 1] = lines[i, 0], lines[i, 1]
        held += 1
        # most lines end where the next one of the same part begins
        if (
            i + 1 == n
            or owners[i + 1] != owners[i]
            or lines[i + 1, 0] != lines[i, 2]
            or lines[i + 1, 1] != lines[i, 3]
        ):
            places[held, 0], places[held, 1] = lines[i, 2], lines[i, 3]
            held += 1
        ax, ay, bx, by = lines[i, 0], lines[i, 1], lines[i, 2], lines[i, 3]
        left, right, low, high = min(ax, bx), max(ax, bx), min(ay, by), max(ay, by)
        for j in range(i + 1, n):
            if owners[j] == owners[i]:
                continue
            cx, cy, dx, dy = lines[j, 0], lines[j, 1], lines[j, 2], lines[j, 3]
            if min(cx, dx) > right or max(cx, dx) < left or min(cy, dy) > high or max(cy, dy) < low:
                continue
            cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
            sizes = (abs(bx - ax) + abs(by - ay)) * (abs(dx - cx) + abs(dy - cy))
            if abs(cross) <= PARALLEL * sizes:
                continue
            t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross
            u = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / cross
            if 0.0 < t < 1.0 and 0.0 < u < 1.0:
                if held + 3 > places.shape[0]:
                    more = np.empty((2 * places.shape[0] + 4, 2))
                    more[:held] = places[:held]
                    places = more
                places[held, 0], places[held, 1] = ax + t * (bx - ax), ay + t * (by - ay)
                held += 1
        if held + 3 > places.shape[0]:
            more = np.empty((2 * places.shape[0] + 4, 2))
            more[:held] = places[:held]
            places = more
    return places[:held]


@njit(cache=True)
def best_place(
    shapes: Any, tables: Any, load: Any, s: int, size: Any, poses: Any, rule: int, blink: float, rng: Any
) -> Any:
    """The tables, then score, pose and place of the best place for a part in one of its poses.

    Now and then (``blink``) a place is passed over by chance.  The score is NO_PLACE where there is none.
    """
    best, found, best_x, best_y = NO_PLACE, -1, 0.0, 0.0
    length, width = size[0], size[1]
    seen = np.empty((MOST_SEEN, 2))
    for q in range(poses[0], poses[1]):
        x1, y1 = length - shapes[3][q, 0], width - shapes[3][q, 1]
        if x1 < -EPS or y1 < -EPS:
            continue
        x1, y1 = max(0.0, x1), max(0.0, y1)
        for i in range(load[COUNT][s]):
            tables = with_pair(shapes, tables, load[POSE][load[MEMBERS][s, i]], q)
        places = candidates(tables, load, s, q, x1, y1)
        looked = 0
        for i in range(places.shape[0]):
            x, y = min(max(places[i, 0], 0.0), x1), min(max(places[i, 1], 0.0), y1)
            across, along = (y + shapes[3][q, 1]) / width, (x + shapes[3][q, 0]) / length
            score = along + TIE * across if rule == FAR else across + TIE * along
            if rule == TOUCHING:
                score = TIE * (along + across) - 2.0
            if score >= best or not is_clear(shapes, tables, load, s, q, x, y):
                continue
            if rule == TOUCHING:
                # the same place comes up several times, and telling what touches there takes long
                if is_among(seen, looked, x, y):
                    continue
                if looked < seen.shape[0]:
                    seen[looked, 0], seen[looked, 1] = x, y
                    looked += 1
                score += 2.0 - touching(shapes, load, s, length, width, q, x, y)
            if score < best and (blink <= 0.0 or share(rng) >= blink):
                best, found, best_x, best_y = score, q, x, y
    return tables, best, found, best_x, best_y


@njit(cache=True)
def put(load: Any, s: int, part: int, q: int, x: float, y: float) -> None:
    """Lays a part on a sheet."""
    count, members, pose, place, sheet = load
    members[s, count[s]] = part
    count[s] += 1
    pose[part], place[part, 0], place[part, 1], sheet[part] = q, x, y, s


@njit(cache=True)
def take(load: Any, part: int) -> None:
    """Takes a part off its sheet."""
    count, members, pose, _, sheet = load
    s = sheet[part]
    kept = 0
    for i in range(count[s]):
        if members[s, i] != part:
            members[s, kept] = members[s, i]
            kept += 1
    count[s] = kept
    pose[part], sheet[part] = -1, -1
