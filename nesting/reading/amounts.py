"""How much one job may ask for: what each key allows by itself can still be too much in all.

Values that could not be read are ``nan`` here, and every check is phrased so that ``nan`` passes.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.job import Patch, Side
from nesting.outline import Ring
from nesting.reading.keys import (
    MAX_ALL_CORNERS,
    MAX_BAYS,
    MAX_BLOCKS,
    MAX_HIGH_MM,
    MAX_PATCH_PIECES,
    MAX_RIVETS,
    MAX_SIDE_MM,
    MAX_WINDOWS,
)
from nesting.reading.reader import Fields, JobReader

HEAD_DIAMETERS = 2.0
"""A domed head is about two rivet diameters wide: 0.356 to 0.394 in for 3/16 in (IFI-114 (a))."""

_SPLIT = "split it into several jobs"


def check_amounts(fields: Fields, sides: Sequence[Side], patches: Sequence[Patch], reader: JobReader) -> None:
    """No more than the limits of one job, and no side longer or higher than any vehicle."""
    for place, count, most, what in (
        ("side", sum(len(side.bays) for side in sides), MAX_BAYS, "bays"),
        ("side", sum(len(side.windows) for side in sides), MAX_WINDOWS, "windows"),
        ("patch", sum(patch.quantity for patch in patches), MAX_PATCH_PIECES, "patch pieces"),
        ("job", _corners(sides, patches), MAX_ALL_CORNERS, "corners of outlines in all bays and patches"),
    ):
        if count > most:
            reader.reject(place, f"{count} {what}", f"one job may hold {most}; {_SPLIT}")
    blocks = sum(_blocks(side) for side in sides)
    if blocks > MAX_BLOCKS:
        remedy = (
            f"bays times pairs of rails and edges may be {MAX_BLOCKS} in one job; leave out rails on which no "
            f"seam should lie, or {_SPLIT}"
        )
        reader.reject("side", f"rails that divide {blocks} stretches of bays", remedy)
    for entry, side in zip(fields.tables("side"), sides, strict=True):
        _check_size(entry, side, reader)
    rivets = _rivets(fields, sides, patches)
    if rivets > MAX_RIVETS:
        remedy = f"one job may hold {MAX_RIVETS}; write larger pitches, or {_SPLIT}"
        reader.reject("rivets", f"pitches that make about {rivets:.0f} rivets", remedy)


def _check_size(entry: Fields, side: Side, reader: JobReader) -> None:
    length, height = _length(side), _height(side)
    for what, mm, most in (("long", length, MAX_SIDE_MM), ("high", height, MAX_HIGH_MM)):
        if mm > most:
            remedy = f"no side is more than {reader.length(most)} {what}; check the numbers and their unit"
            reader.reject(entry.place, f"bays that are {reader.length(mm)} {what}", remedy)


def _length(side: Side) -> float:
    return sum(bay.width for bay in side.bays) + sum(side.posts)


def _height(side: Side) -> float:
    return max((bay.sill + bay.height for bay in side.bays), default=0.0)


def _corners(sides: Sequence[Side], patches: Sequence[Patch]) -> int:
    bays = sum(_length_of(bay.outline) for side in sides for bay in side.bays)
    return bays + sum(
        patch.quantity * (_length_of(patch.outline) + sum(map(len, patch.holes))) for patch in patches
    )


def _length_of(ring: Ring | None) -> int:
    return 4 if ring is None else len(ring)


def _blocks(side: Side) -> int:
    """How many stretches from one rail or edge up to another there are, over all bays."""
    rows = len(side.rails) + 1
    return len(side.bays) * rows * (rows + 1) // 2


def _rivets(fields: Fields, sides: Sequence[Side], patches: Sequence[Patch]) -> float:
    """About how many rivets the pitches make, each post, rail and edge taken as one line."""
    given = fields.table("rivets")
    # a pitch at which heads would touch has been told, and is no reason to tell more
    least = HEAD_DIAMETERS * given.number("diameter")
    seam, edge, post = (max(given.number(f"{line}_pitch"), least) for line in ("seam", "edge", "post"))
    inner = min(seam, post)
    rows = fields.table("seam").whole("rows") or 1
    count = 0.0
    for side in sides:
        length, height = _length(side), _height(side)
        count += 2 * (length + height) / edge
        count += rows * (len(side.posts) * height + len(side.rails) * length) / inner
        count += sum(2 * (window.width + window.height) / edge for window in side.windows if window.riveted)
    return count + sum(
        patch.quantity * 2 * (patch.width + patch.height) / edge for patch in patches if patch.riveted
    )
