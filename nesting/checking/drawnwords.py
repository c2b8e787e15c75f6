"""The check of cut files, words: every part says its own name, and its arrows point up and to the front."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist, hypot

import shapely

from nesting.checking.linework import SAME, Drawn, Words
from nesting.checking.onsheet import OnSheet
from nesting.checking.shapes import Point, metal

ARROWS = {"UP": "up", "FWD": "forward"}
"""What stands at the tip of an arrow, and the direction that it tells."""

ASKEW = 1e-3
"""The sine of the angle by which an arrow may point wide."""


def word_faults(drawn: Drawn, sheet: OnSheet) -> Iterator[str]:
    """Parts without their name, and arrows that point the wrong way; the words of a cut file lie on LABEL."""
    labels = [word for word in drawn.words if word.layer == "LABEL"]
    shafts = [line.ring for line in drawn.lines if line.layer == "LABEL" and len(line.ring) == 2]
    heads = [line.ring for line in drawn.lines if line.layer == "LABEL" and len(line.ring) == 3]
    solids = [metal(part.outline, part.holes) for part in sheet.parts]
    said = _inside(solids, [(word.x, word.y) for word in labels])
    pointed = _inside(solids, [(shaft[0][0], shaft[0][1]) for shaft in shafts])
    for number, part in enumerate(sheet.parts):
        own = [labels[i] for i in said[number]]
        if _plain(part.part) not in _plain("".join(word.text for word in own)):
            yield f"part {part.part}: its name does not stand on it"
        for i in pointed[number]:
            start, tip = shafts[i][0][:2], shafts[i][1][:2]
            if not any(dist(head[1][:2], tip) <= SAME for head in heads):
                yield f"part {part.part}: an arrow on it has no head at ({tip[0]:.2f}, {tip[1]:.2f})"
            word = _beyond(start, tip, own)
            way = ARROWS[word.text] if word else "up"
            asked = sheet.forward[number] if way == "forward" else sheet.up[number]
            if asked is None:
                yield f"part {part.part}: an arrow tells its front, and it has none"
            elif not _points(start, tip, asked):
                yield f"part {part.part}: the arrow {way} points the wrong way"
    there = {i for each in pointed for i in each}
    for i in sorted(set(range(len(shafts))) - there):
        yield f"layer LABEL: an arrow at ({shafts[i][0][0]:.2f}, {shafts[i][0][1]:.2f}) lies on no part"


def _inside(solids: Sequence[shapely.Polygon], points: Sequence[Point]) -> list[list[int]]:
    """For each shape the numbers of the points that lie in it."""
    found: list[list[int]] = [[] for _ in solids]
    if points:
        pairs = shapely.STRtree(solids).query(shapely.points(points), predicate="intersects")
        for point, solid in sorted(pairs.T.tolist()):
            found[solid].append(point)
    return found


def _beyond(start: Point, tip: Point, words: Sequence[Words]) -> Words | None:
    """The word that an arrow points at, the nearest one beyond its tip."""
    length = dist(start, tip)
    ux, uy = (tip[0] - start[0]) / length, (tip[1] - start[1]) / length
    found = []
    for word in words:
        dx, dy = word.x - start[0], word.y - start[1]
        along, off = dx * ux + dy * uy, abs(dx * uy - dy * ux)
        if word.text in ARROWS and length < along < 3 * length and off <= ASKEW * length:
            found.append((along, word))
    return min(found)[1] if found else None


def _points(start: Point, tip: Point, asked: Point) -> bool:
    dx, dy = tip[0] - start[0], tip[1] - start[1]
    length = hypot(dx, dy)
    return dx * asked[0] + dy * asked[1] > 0 and abs(dx * asked[1] - dy * asked[0]) <= ASKEW * length


def _plain(text: str) -> str:
    """Letters and figures only: blanks and signs may be broken up or replaced in a drawing."""
    return "".join(c for c in text.casefold() if c.isalnum() and ord(c) <= 0xFFFF)
