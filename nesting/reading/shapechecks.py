"""Whether bays of any shape can stand side by side and be skinned: posts between them, lands around, windows inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from math import isfinite

from shapely import prepare

from nesting.job import Bay, Land, Side
from nesting.outline import as_polygon
from nesting.reading.outlinechecks import holes_inside
from nesting.reading.reader import Fields, JobReader
from nesting.skin.openings import Opening, closed_side, outline_openings, skin_outline, window_hole
from nesting.taping.standing import lean_mismatch, mismatch_text, row

STEADY = 1e-6

ROUGH = 0.05
"""mm: more than flattened arcs are off."""


def check_shapes(fields: Fields, side: Side, land: Land, reader: JobReader) -> None:
    """One side's openings of other shapes than rectangles; what could not be read is told elsewhere."""
    _check_windows(fields, side, reader)
    known = [bay.outline is not None or isfinite(bay.width + bay.height) for bay in side.bays]
    lengths = (*side.posts, land.top, land.bottom, land.ends, *(bay.sill for bay in side.bays))
    if (
        not all(known)
        or not all(map(isfinite, lengths))
        or not any(bay.outline for bay in side.bays)
        or len(side.posts) != len(side.bays) - 1
    ):
        return
    openings = outline_openings(side)
    if _check_posts(fields, side, openings, reader):
        for fault in skin_faults(openings, land):
            reader.reject(fields.place, "", fault)


def _check_posts(fields: Fields, side: Side, openings: Sequence[Opening], reader: JobReader) -> bool:
    """A post whose faces do not run alike by the readings of the bays beside it; False where no post is left."""
    sound = True
    for (left, right), (one, other), post in zip(
        pairwise(side.bays), pairwise(openings), side.posts, strict=True
    ):
        if left.measured is None or right.measured is None:
            if other.x0 - one.x1 <= STEADY:
                text = f"bays {one.bay} and {other.bay} would run into one another; measure both again"
                reader.reject(fields.place, "", text)
                sound = False
            continue
        for mismatch in lean_mismatch(row([left.measured, right.measured], [post])):
            text = mismatch_text(replace(mismatch, bay=one.bay), reader.units)
            if mismatch.crosses:
                reader.reject(fields.place, "", text)
                sound = False
            else:
                reader.doubt(fields.place, text)
    return sound


def skin_faults(openings: Sequence[Opening], land: Land) -> Iterator[str]:
    """Why no skin can close these openings with these lands, in words."""
    skin = skin_outline(openings, land)
    if not skin:
        yield "an arc that curves inwards is tighter than the land beside it; write a smaller land or a wider arc"
        return
    whole = as_polygon(skin)
    if not whole.is_valid:
        yield "with its lands the skin would cross itself; write smaller lands, or a plainer outline"
        return
    # before any land is added: a line that cuts off part of an opening would take it out of the land there
    around = as_polygon(closed_side(openings)).buffer(ROUGH)
    # Each of hundreds of bays may have hundreds of corners.
    prepare(around)
    for opening in openings:
        if not around.covers(as_polygon(opening.ring)):
            text = (
                f"the straight line over the post beside bay {opening.bay} would cut off part of its outline"
            )
            yield f"{text}; measure where the skin ends there, and draw it so"


def _check_windows(fields: Fields, side: Side, reader: JobReader) -> None:
    """Windows in bays of other shapes lie inside them."""
    for entry, window in zip(fields.tables("window"), side.windows, strict=True):
        bay = side.bays[window.bay - 1] if 1 <= window.bay <= len(side.bays) else None
        sizes = (window.from_left, window.from_bottom, window.width, window.height, window.corner_radius)
        if bay is None or bay.outline is None or not all(map(isfinite, sizes)):
            continue
        hole = window_hole(replace(window, bay=1), outline_openings(_alone(side, bay)))
        if holes_inside(bay.outline, [hole]):
            text = f"the window does not lie inside the outline of bay {window.bay}; measure again"
            reader.reject(entry.place, "", text)


def _alone(side: Side, bay: Bay) -> Side:
    return replace(side, bays=(replace(bay, sill=0.0),), posts=())
