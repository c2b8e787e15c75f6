"""Whether the readings of a side agree with one another, as far as two or more of them can show it.

Values that could not be read are ``nan`` here and pass every check, as in `nesting.reading.checks`.
"""

from __future__ import annotations

from math import isfinite

from nesting.job import RivetRules, SeamKind, SeamRules, Side, Window
from nesting.reading.bodykeys import BAY
from nesting.reading.checks import check_radius
from nesting.reading.reader import Fields, JobReader
from nesting.reading.words import repeats
from nesting.taping.accuracy import closing
from shared.units import SNAP_MM, format_length


def check_side(fields: Fields, side: Side, seam: SeamRules, rivets: RivetRules, reader: JobReader) -> None:
    """One side's readings agree with one another."""
    sure = bays_are_sure(fields)
    _check_posts(fields, side, sure, reader)
    _check_rails(fields, side, sure, reader)
    _check_windows(fields, side, sure, reader)
    if sure and len(side.posts) == len(side.bays) - 1:
        _check_overall(fields, side, reader)
    _check_raise(fields, side, reader)
    _check_faces(fields, side, seam, rivets, reader)


def _bay_names(fields: Fields, side: Side) -> list[str]:
    """What messages call each bay: its number from the left, and its entry where the two differ."""
    if fields.has("drawing"):
        return [f"bay {number}" for number in range(1, len(side.bays) + 1)]
    entries = [
        number
        for number, entry in enumerate(fields.tables("bay"), 1)
        for _ in range(repeats(entry.given, BAY))
    ]
    return [
        f"bay {bay}" if bay == entry else f"bay {bay} ({BAY.header} entry {entry})"
        for bay, entry in enumerate(entries, 1)
    ]


def bays_are_sure(fields: Fields) -> bool:
    """Whether bays can be counted: every entry could be read, and how often it stands."""
    if fields.has("drawing"):
        return True
    entries = fields.tables("bay")
    given = fields.given.get("bay")
    whole = isinstance(given, list) and len(given) == len(entries) > 0
    return whole and all(entry.whole("count") == repeats(entry.given, BAY) for entry in entries)


def _check_posts(fields: Fields, side: Side, sure: bool, reader: JobReader) -> None:
    between = len(side.bays) - 1
    if fields.has("drawing"):
        for key in ("posts", "post_width", "bay"):
            if fields.has(key):
                remedy = "the drawing of the side tells it already; leave this out"
                reader.reject(fields.at(key), fields.written(key), remedy)
        return
    if fields.has("posts") and fields.has("post_width"):
        remedy = "write post_width for all posts or posts for each, not both"
        reader.reject(fields.at("post_width"), fields.written("post_width"), remedy)
    elif fields.has("posts") and sure and fields.numbers("posts") is not None and len(side.posts) != between:
        remedy = f"{len(side.bays)} bays have {between} posts between them; write one width for each"
        reader.reject(fields.at("posts"), f"{len(side.posts)} widths", remedy)
    elif between > 0 and not fields.has("posts") and not fields.has("post_width"):
        remedy = "is missing; write it like post_width = 2, or one for each post: posts = [2, 2, 2.5]"
        reader.reject(fields.at("post_width"), "", remedy)
    elif (
        side.rails and side.rail_width == 0 and not (fields.has("posts") and fields.numbers("posts") is None)
    ):
        remedy = "is missing; this side has no posts to take it from"
        reader.reject(fields.at("rail_width"), "", remedy)


def _check_rails(fields: Fields, side: Side, sure: bool, reader: JobReader) -> None:
    seen: list[float] = []
    for number, rail in enumerate(fields.numbers("rails") or (), 1):
        at, shown = f"{fields.at('rails')}, item {number}", fields.written("rails", number)
        if any(abs(rail - other) <= SNAP_MM for other in seen):
            reader.reject(at, shown, "this height stands twice; write each rail once")
        elif (
            sure and side.bays and all(rail <= bay.sill or rail >= bay.sill + bay.height for bay in side.bays)
        ):
            remedy = "this rail crosses no bay; heights are measured above the datum, like the sills"
            reader.reject(at, shown, remedy)
        seen.append(rail)


def _check_windows(fields: Fields, side: Side, sure: bool, reader: JobReader) -> None:
    names = _bay_names(fields, side)
    within: dict[int, list[tuple[int, Window]]] = {}
    for number, (entry, window) in enumerate(zip(fields.tables("window"), side.windows, strict=True), 1):
        check_radius(entry, window, reader)
        if not sure or window.bay == 0:
            continue
        if window.bay > len(side.bays):
            remedy = f"this side has bays 1 to {len(side.bays)}, counted from the left"
            reader.reject(entry.at("bay"), entry.written("bay"), remedy)
            continue
        bay, name = side.bays[window.bay - 1], names[window.bay - 1]
        for key, start, size, whole in (
            ()
            if bay.outline
            else (
                ("width", window.from_left, window.width, bay.width),
                ("height", window.from_bottom, window.height, bay.height),
            )
        ):
            if start + size > whole + SNAP_MM:
                over, has = reader.length(start + size - whole), reader.length(whole)
                remedy = f"the window runs {over} past {name}, whose {key} is {has}; measure again"
                reader.reject(entry.at(key), entry.written(key), remedy)
        others = within.setdefault(window.bay, [])
        for other_number, other in others:
            if _overlap(window, other):
                remedy = f"overlaps or touches window {other_number} in {name}; measure both again"
                reader.reject(entry.place, "", remedy)
        others.append((number, window))


def _overlap(one: Window, other: Window) -> bool:
    return (
        one.from_left <= other.from_left + other.width + SNAP_MM
        and other.from_left <= one.from_left + one.width + SNAP_MM
        and one.from_bottom <= other.from_bottom + other.height + SNAP_MM
        and other.from_bottom <= one.from_bottom + one.height + SNAP_MM
    )


def _check_overall(fields: Fields, side: Side, reader: JobReader) -> None:
    readings = [*(bay.width for bay in side.bays), *side.posts]
    if side.overall is None or not all(map(isfinite, (side.overall, *readings))):
        return
    sums = closing([bay.width for bay in side.bays], side.posts, side.overall, reader.units)
    if sums.closes:
        return
    added = f"bays and posts add up to {reader.length(sums.total)}, {reader.length(abs(sums.off))}"
    added += " less" if sums.off > 0 else " more"
    if sums.far_off:
        remedy = f"{added} than this; look for a bay or post left out or misread, and measure again"
        reader.reject(fields.at("overall"), fields.written("overall"), remedy)
    else:
        allowed = format_length(sums.explained, reader.units, with_unit=True, direction="down")
        text = f"{added} than overall, {reader.length(side.overall)}; the tape explains {allowed} at most"
        reader.doubt(fields.place, f"{text}: measure again before cutting")


def _check_raise(fields: Fields, side: Side, reader: JobReader) -> None:
    """The heights are those after the raise."""
    for name, bay in zip(_bay_names(fields, side), side.bays, strict=True):
        if 0 < bay.height <= side.raise_height:
            text = f"{name} is {reader.length(bay.height)} high, no more than the raise itself"
            reader.doubt(fields.place, f"{text}; write the heights as they are after the raise")
            return
    if side.cut_height is None or not side.bays:
        return
    if side.cut_height + side.raise_height > max(bay.sill + bay.height for bay in side.bays):
        text = "cut_height and raise together reach above every bay"
        reader.doubt(fields.place, f"{text}; cut_height is where the posts were cut, above the datum")


def _check_faces(fields: Fields, side: Side, seam: SeamRules, rivets: RivetRules, reader: JobReader) -> None:
    """Two lines of rivets need a post or rail wide enough for both."""
    if seam.kind is SeamKind.BUTT:
        apart = seam.butt_gap + 2 * seam.edge_distance
    elif seam.rows == 2:
        apart = seam.row_spacing
    else:
        return
    needed = apart + rivets.diameter
    narrow = [str(number) for number, post in enumerate(side.posts, 1) if post < needed - SNAP_MM]
    which = [f"post{'s' if len(narrow) > 1 else ''} {', '.join(narrow)}"] if narrow else []
    if side.rails and side.rail_width < needed - SNAP_MM:
        which.append("the rails")
    if which:
        text = f"{' and '.join(which)}: too narrow for the two rivet lines of a seam, which need"
        shown = format_length(needed, reader.units, with_unit=True, direction="up")
        reader.doubt(fields.place, f"{text} {shown} of metal behind them")
