"""What one key alone cannot show about rivets, stock and patches: names used twice, parts too big.

Values that could not be read are ``nan`` here, and every check is phrased so that ``nan`` passes: the reader
has reported them already.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, sqrt

from nesting.job import (
    Cutting,
    Fixed,
    Land,
    Patch,
    RivetRules,
    SeamRules,
    Side,
    Stock,
    Turn,
    Window,
)
from nesting.reading import amounts
from nesting.reading.amounts import HEAD_DIAMETERS
from nesting.reading.reader import Fields, JobReader
from shared.units import SNAP_MM, format_length


def check_names(entries: Sequence[Fields], names: Sequence[str], what: str, reader: JobReader) -> None:
    """No two entries of a list have the same name."""
    taken: set[str] = set()
    for entry, name in zip(entries, names, strict=True):
        # Names become file names, and some file systems do not tell capitals apart.
        folded = name.casefold()
        if folded and folded in taken:
            remedy = f"two {what} have this name; give each a name of its own"
            reader.reject(entry.at("name"), entry.written("name") or f"'{name}'", remedy)
        taken.add(folded)


def check_land(fields: Fields, land: Land, seam: SeamRules, reader: JobReader) -> None:
    """The rivet line of an outer edge must lie on the structure."""
    table, rule = fields.table("land"), fields.table("seam")
    narrow = [key for key in ("top", "bottom", "ends") if getattr(land, key) < seam.edge_distance - SNAP_MM]
    for key in narrow:
        if table.has(key):
            distance = reader.length(seam.edge_distance)
            remedy = f"must be at least edge_distance, {distance}, or the edge rivets miss the structure"
            reader.reject(table.at(key), table.written(key), remedy)
    usual = [key for key in narrow if not table.has(key)]
    if usual:
        short = reader.length(getattr(land, usual[0]))
        remedy = f"is more than the usual land of {short}; write a wider {', '.join(usual)} in [land]"
        reader.reject(rule.at("edge_distance"), rule.written("edge_distance"), remedy)


def check_pitches(fields: Fields, rivets: RivetRules, reader: JobReader) -> None:
    """Rivets have room beside one another; whether a pitch is good practice is for the fasteners to say."""
    least = HEAD_DIAMETERS * rivets.diameter
    for key, pitch in (
        ("seam_pitch", rivets.seam_pitch),
        ("edge_pitch", rivets.edge_pitch),
        ("post_pitch", rivets.post_pitch),
    ):
        if pitch < least - SNAP_MM:
            remedy = f"rivet heads would touch; write {reader.length(least)} or more"
            reader.reject(fields.at(key), fields.written(key), remedy)


def check_patches(
    entries: Sequence[Fields],
    patches: Sequence[Patch],
    fixed: Fixed,
    stocks: Sequence[Stock],
    cutting: Cutting,
    reader: JobReader,
) -> None:
    """Names differ, corners are possible, and each patch that is still to be cut fits some sheet."""
    check_names(entries, [patch.name for patch in patches], "patches", reader)
    for entry, patch in zip(entries, patches, strict=True):
        check_radius(entry, patch, reader)
        sizes = [value for stock in stocks for value in (stock.width, stock.length)]
        all_cut = len(fixed.copies_cut(patch.name)) == patch.quantity
        if (
            all_cut
            or not stocks
            or not all(map(isfinite, (patch.width, patch.height, cutting.edge_margin, *sizes)))
        ):
            continue
        if not any(_fits(patch, stock, cutting) for stock in stocks):
            reader.reject(entry.at("width"), entry.written("width"), _sheet_needed(patch, cutting, reader))


def check_amounts(fields: Fields, sides: Sequence[Side], patches: Sequence[Patch], reader: JobReader) -> None:
    """There is something to plan, and no more than the limits of one job."""
    if all(fields.given.get(key, []) == [] for key in ("side", "patch")):
        reader.reject("job", "", "there is nothing to plan; write at least one [[side]] or one [[patch]]")
    check_names(fields.tables("side"), [side.name for side in sides], "sides", reader)
    amounts.check_amounts(fields, sides, patches, reader)


def check_radius(fields: Fields, piece: Patch | Window, reader: JobReader) -> None:
    """Two rounded corners have room on each side."""
    most = min(piece.width, piece.height) / 2
    if piece.corner_radius > most + SNAP_MM:
        remedy = f"must not be more than half of the shorter side, {reader.length(most)}"
        reader.reject(fields.at("corner_radius"), fields.written("corner_radius"), remedy)


def _fits(patch: Patch, stock: Stock, cutting: Cutting) -> bool:
    along = stock.length - 2 * cutting.edge_margin + SNAP_MM
    across = stock.width - 2 * cutting.edge_margin + SNAP_MM
    if patch.width <= along and patch.height <= across:
        return True
    if cutting.turn in (Turn.NONE, Turn.HALF):
        return False
    if patch.height <= along and patch.width <= across:
        return True
    return cutting.turn is Turn.ANY and _fits_askew(patch, max(along, across), min(along, across))


def _fits_askew(patch: Patch, long: float, short: float) -> bool:
    """Whether the patch fits when turned by some angle between; its corners are taken as sharp.

    A rectangle p x q, p above the long side, goes in when q is small enough.  Source: American
    Mathematical Monthly 64 (1957), solution of problem E 1225 (b).
    """
    p, q = max(patch.width, patch.height), min(patch.width, patch.height)
    if p <= long or q > short:
        return False
    square = p * p + q * q
    return short * square >= 2 * p * q * long + (p * p - q * q) * sqrt(square - long * long)


def _sheet_needed(patch: Patch, cutting: Cutting, reader: JobReader) -> str:
    width, length = (size + 2 * cutting.edge_margin for size in (patch.height, patch.width))
    if cutting.turn in (Turn.QUARTER, Turn.ANY):
        width, length = min(width, length), max(width, length)
    needed = [format_length(size, reader.units, with_unit=True, direction="up") for size in (width, length)]
    return (
        f"this patch fits no stock; with the edge margins it needs a sheet at least {needed[0]} wide and "
        f"{needed[1]} long; add such a stock or make the patch in pieces"
    )
