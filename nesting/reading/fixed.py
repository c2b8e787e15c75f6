"""What is decided already, as the job file tells it: read, and checked against the sides and patches it is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from math import isfinite, isnan

from nesting.job import Fixed, FixedPanel, FixedPatch, FixedState, FixedStrip, Job, Patch, Side
from nesting.outline import bounds
from nesting.reading.reader import Fields, JobReader
from nesting.sizing.sizes import fits_some_stock, quarter_turns
from nesting.skin.fixing import fixed_block, strip_heights
from nesting.skin.panels import Block, block_candidate, may_end_on_level, may_end_on_post
from nesting.skin.seams import SeamLines, face_needed, seam_lines, window_zone
from shared.units import SNAP_MM, format_length

SAME_RAIL_MM = 0.01
"""A rail's height may be written in another unit the second time."""

_NOT_OF = {
    "patch": ("side", "first_bay", "last_bay", "from_rail", "to_rail", "strip", "name"),
    "strip": ("from_rail", "to_rail", "quantity", "copies"),
    "panel": ("quantity", "copies"),
}
"""Keys that say nothing of one kind of entry."""


@dataclass
class FixedEntries:
    """Entries by what they are about, each kept with its value for checks that need the whole job."""

    panels: list[tuple[Fields, FixedPanel]] = field(default_factory=list)
    strips: list[tuple[Fields, FixedStrip]] = field(default_factory=list)
    patches: list[FixedPatch] = field(default_factory=list)

    @property
    def fixed(self) -> Fixed:
        return Fixed(
            tuple(panel for _, panel in self.panels),
            tuple(self.patches),
            tuple(strip for _, strip in self.strips),
        )


def read_fixed(
    entries: Sequence[Fields],
    sides: Sequence[Side],
    sure: Sequence[Side],
    patches: Sequence[Patch],
    reader: JobReader,
) -> FixedEntries:
    """Everything in ``[[fixed]]``; what contradicts the sides, the patches or another entry is noted.

    ``sure`` are the sides whose bays could be counted; about the others nothing can be said.
    """
    found = FixedEntries()
    by_name = {side.name: side if side in sure else None for side in sides}
    kinds = [(entry, _kind(entry, reader)) for entry in entries]
    for entry, kind in kinds:
        # strips first: panels may end on them
        side = _side(entry, by_name, reader) if kind == "strip" else None
        if side and (strip := _strip(entry, side, reader)):
            _check_strip(entry, strip, found.strips, reader)
            found.strips.append((entry, strip))
    for entry, kind in kinds:
        side = _side(entry, by_name, reader) if kind == "panel" else None
        if side and (panel := _panel(entry, side, found.strips, reader)):
            _check_panel(entry, panel, side, found.panels, reader)
            found.panels.append((entry, panel))
    found.patches = _patches([entry for entry, kind in kinds if kind == "patch"], patches, reader)
    _check_names(found, patches, reader)
    return found


def check_against_job(found: FixedEntries, job: Job, reader: JobReader) -> None:
    """Decided panels end where a seam may lie, and those still to be cut fit some sheet.

    For a job without mistakes so far: this works out the panels.
    """
    for entry, panel in found.panels:
        side = next(side for side in job.sides if side.name == panel.side)
        lines = seam_lines(job, side, strip_heights(job, side))
        block = fixed_block(panel, lines)
        candidate = block_candidate(job, side, lines, block) if block else None
        if block is None or candidate is None:
            reader.reject(entry.place, "", "this panel closes nothing; look at its bays and rails")
            continue
        face = reader.length(face_needed(job.seam, job.rivets))
        for key, post in (("first_bay", block.first_bay - 1), ("last_bay", block.last_bay)):
            if not may_end_on_post(lines, post, block):
                remedy = f"no seam can lie on the post after bay {post}: its face is narrower than {face}"
                reader.reject(entry.at(key), entry.written(key), f"{remedy}; end the panel on another post")
        for key, level in (("from_rail", block.first_row - 1), ("to_rail", block.last_row)):
            if not may_end_on_level(lines, level, block):
                remedy = _why_no_level_seam(job, side, lines, block, level, reader)
                reader.reject(entry.at(key), entry.written(key), remedy)
        x0, y0, x1, y1 = bounds(candidate.panel.outline)
        if panel.state is FixedState.DECIDED and not fits_some_stock(job, x1 - x0, y1 - y0):
            size = " x ".join(format_length(mm, reader.units, direction="up") for mm in (x1 - x0, y1 - y0))
            reader.reject(entry.place, f"{size} {reader.units}", _sheet_needed(job, x1 - x0, y1 - y0, reader))


def _why_no_level_seam(
    job: Job, side: Side, lines: SeamLines, block: Block, level: int, reader: JobReader
) -> str:
    """What is in the way of a seam on a rail along a panel, and the rails on which one could lie."""
    height = lines.levels[level - 1].height
    reasons = []
    for window in side.windows:
        low, high = window_zone(job, side, window)
        if window.bay in block.bays and low < height < high:
            reasons.append(
                f"the window in bay {window.bay} bars {reader.length(low)} to {reader.length(high)}"
            )
    if not reasons:
        face = reader.length(face_needed(job.seam, job.rivets))
        reasons.append(f"the rail is narrower than {face}, or crosses a wheel arch")
    free = [
        reader.length(other.height)
        for number, other in enumerate(lines.levels, 1)
        if may_end_on_level(lines, number, block) and any(lines.parts(number, bay) for bay in block.bays)
    ]
    instead = f"end it on the rail at {' or '.join(free)}" if free else "end it at the edge of the side"
    return f"no seam can lie on this rail all along the panel: {' and '.join(reasons)}; {instead}"


def _kind(entry: Fields, reader: JobReader) -> str:
    """What an entry is about: a patch, a strip or a panel; "" where it cannot be told."""
    kind = next((key for key in ("patch", "strip") if entry.has(key)), "panel")
    for key in _NOT_OF[kind]:
        if entry.has(key):
            reader.reject(entry.at(key), entry.written(key), f"says nothing of a {kind}; leave it out")
    if kind == "panel" and not entry.has("side"):
        remedy = "is missing; write side and first_bay for a panel, or patch for a patch"
        reader.reject(entry.at("side"), "", remedy)
        return ""
    return kind


def _side(entry: Fields, sides: dict[str, Side | None], reader: JobReader) -> Side | None:
    name = entry.text("side")
    if name in sides or name is None:
        if name is None and not entry.has("side"):
            reader.reject(entry.at("side"), "", "is missing; write the side on which the strips lie")
        return sides.get(name or "")
    reader.reject(entry.at("side"), entry.written("side"), _no_such("side", name, list(sides)))
    return None


def _no_such(what: str, name: str, known: Sequence[str]) -> str:
    near = get_close_matches(name, known, n=1)
    if near:
        return f"there is no such {what}; did you mean '{near[0]}'?"
    names = ", ".join(f"'{other}'" for other in known[:8])
    plural = "patches" if what == "patch" else f"{what}s"
    return f"there is no such {what}; {f'the {plural} are {names}' if known else f'the job has no {plural}'}"


def _bays(entry: Fields, side: Side, reader: JobReader) -> tuple[int, int] | None:
    """First and last bay; one bay where only the first is given."""
    first, last = entry.whole("first_bay"), entry.whole("last_bay")
    if not entry.has("first_bay"):
        reader.reject(entry.at("first_bay"), "", "is missing; write the first bay, counted from the left")
    if first is None or (entry.has("last_bay") and last is None):
        return None
    last = first if last is None else last
    for key, bay in (("first_bay", first), ("last_bay", last)):
        if bay > len(side.bays) and (key == "last_bay" or not entry.has("last_bay") or first != last):
            remedy = f"this side has bays 1 to {len(side.bays)}, counted from the left"
            reader.reject(entry.at(key), entry.written(key) or entry.written("first_bay"), remedy)
            return None
    if last < first:
        remedy = f"must not be less than first_bay, {first}; bays count from the left as seen from outside"
        reader.reject(entry.at("last_bay"), entry.written("last_bay"), remedy)
        return None
    return first, last


def _state(entry: Fields) -> FixedState | None:
    return FixedState(entry.text("state")) if entry.text("state") else None


def _strip(entry: Fields, side: Side, reader: JobReader) -> FixedStrip | None:
    bays, height, state = _bays(entry, side, reader), entry.number("strip"), _state(entry)
    if bays is None or isnan(height) or state is None:
        return None
    if any(abs(rail - height) <= SAME_RAIL_MM for rail in side.rails):
        remedy = "a rail lies at this height, which needs no strip"
        reader.reject(entry.at("strip"), entry.written("strip"), remedy)
        return None
    for number in range(bays[0], bays[1] + 1):
        bay = side.bays[number - 1]
        if not bay.sill < height < bay.sill + bay.height:
            remedy = (
                f"this height does not cross bay {number}; it is measured above the datum, like the rails"
            )
            reader.reject(entry.at("strip"), entry.written("strip"), remedy)
            return None
    return FixedStrip(side.name, *bays, height, state, entry.text("name") or "")


def _check_strip(
    entry: Fields, strip: FixedStrip, others: Sequence[tuple[Fields, FixedStrip]], reader: JobReader
) -> None:
    if strip.name and strip.first_bay != strip.last_bay:
        remedy = "a name is for one strip; write an entry for each bay, or no name"
        reader.reject(entry.at("name"), entry.written("name"), remedy)
    for earlier, other in others:
        near = other.side == strip.side and abs(other.height - strip.height) <= SAME_RAIL_MM
        if near and strip.first_bay <= other.last_bay and other.first_bay <= strip.last_bay:
            bay = max(strip.first_bay, other.first_bay)
            remedy = f"bay {bay} has this strip in {earlier.place} already; write it once"
            reader.reject(entry.at("first_bay"), entry.written("first_bay"), remedy)


def _panel(
    entry: Fields, side: Side, strips: Sequence[tuple[Fields, FixedStrip]], reader: JobReader
) -> FixedPanel | None:
    bays, state = _bays(entry, side, reader), _state(entry)
    heights = [rail for rail in side.rails if isfinite(rail)]
    heights += [strip.height for _, strip in strips if strip.side == side.name]
    ends: list[float | None] = []
    sound = bays is not None and state is not None
    for key in ("from_rail", "to_rail"):
        written = entry.optional(key)
        near = [height for height in heights if written is not None and abs(height - written) <= SAME_RAIL_MM]
        if written is not None and not isnan(written) and not near:
            rails = ", ".join(reader.length(height) for height in sorted(set(heights)))
            known = f"they lie at {rails}" if rails else "this side has none"
            reader.reject(entry.at(key), entry.written(key), f"no rail lies at this height; {known}")
        sound = sound and (written is None or bool(near))
        ends.append(near[0] if near else None)
    low, high = ends
    if low is not None and high is not None and high <= low:
        reader.reject(entry.at("to_rail"), entry.written("to_rail"), "must lie above from_rail")
        sound = False
    if not sound or bays is None or state is None:
        return None
    return FixedPanel(side.name, *bays, state, low, high, entry.text("name") or "")


def _check_panel(
    entry: Fields,
    panel: FixedPanel,
    side: Side,
    others: Sequence[tuple[Fields, FixedPanel]],
    reader: JobReader,
) -> None:
    for bay in range(panel.first_bay, panel.last_bay + 1):
        low, high = _span(panel, side, bay)
        if high <= low:
            remedy = f"between these rails there is nothing to close in bay {bay}; look at bays and rails"
            reader.reject(entry.place, "", remedy)
            return
    for earlier, other in others:
        for bay in range(max(panel.first_bay, other.first_bay), min(panel.last_bay, other.last_bay) + 1):
            spans = [_span(one, side, bay) for one in (panel, other) if one.side == side.name == other.side]
            if len(spans) == 2 and min(s[1] for s in spans) > max(s[0] for s in spans) + SNAP_MM:
                remedy = (
                    f"bay {bay} is covered by {earlier.place} already; two panels cannot share a bay there"
                )
                reader.reject(entry.at("first_bay"), entry.written("first_bay"), remedy)
                return


def _span(panel: FixedPanel, side: Side, bay: int) -> tuple[float, float]:
    """What the panel closes of a bay, from below to above."""
    opening = side.bays[bay - 1]
    low, high = opening.sill, opening.sill + opening.height
    return (
        low if panel.from_rail is None else max(low, panel.from_rail),
        high if panel.to_rail is None else min(high, panel.to_rail),
    )


def _patches(entries: Sequence[Fields], patches: Sequence[Patch], reader: JobReader) -> list[FixedPatch]:
    """Copies that are cut: those named by their number first, then as many of the others as were counted."""
    by_name = {patch.name: patch for patch in patches}
    taken: dict[str, dict[int, Fields]] = {name: {} for name in by_name}
    known = [entry for entry in entries if _patch_is_known(entry, by_name, reader)]
    for entry in known:
        patch = by_name[entry.text("patch") or ""]
        for copy in entry.wholes("copies") or ():
            if copy > patch.quantity:
                remedy = (
                    f"of this patch the job asks for {patch.quantity}; its copies are 1 to {patch.quantity}"
                )
                reader.reject(entry.at("copies"), str(copy), remedy)
            elif copy in taken[patch.name]:
                reader.reject(entry.at("copies"), str(copy), "this copy is told twice; write it once")
            else:
                taken[patch.name][copy] = entry
    for entry in known:
        patch = by_name[entry.text("patch") or ""]
        count = entry.whole("quantity")
        if entry.has("copies") or count is None:
            continue
        free = [copy for copy in range(1, patch.quantity + 1) if copy not in taken[patch.name]]
        if count > len(free):
            there = f"the job asks for {patch.quantity}"
            there += f" and {len(taken[patch.name])} are told already" if taken[patch.name] else ""
            remedy = f"{there}; raise the patch's quantity, or write how many of these are cut"
            reader.reject(entry.at("quantity"), entry.written("quantity") or "1", remedy)
        taken[patch.name] |= dict.fromkeys(free[:count], entry)
    return [FixedPatch(name, tuple(sorted(copies))) for name, copies in taken.items() if copies]


def _patch_is_known(entry: Fields, patches: dict[str, Patch], reader: JobReader) -> bool:
    name = entry.text("patch")
    if entry.has("quantity") and entry.has("copies"):
        remedy = "write how many are cut or which copies, not both"
        reader.reject(entry.at("quantity"), entry.written("quantity"), remedy)
        return False
    if _state(entry) is FixedState.DECIDED:
        remedy = 'a patch is always decided; write "cut" once it is cut, or leave the entry out'
        reader.reject(entry.at("state"), entry.written("state"), remedy)
        return False
    if name is not None and name not in patches:
        reader.reject(entry.at("patch"), entry.written("patch"), _no_such("patch", name, list(patches)))
    return name in patches


def _check_names(found: FixedEntries, patches: Sequence[Patch], reader: JobReader) -> None:
    """A kept name is nobody else's."""
    pieces = {f"{patch.name}#{copy}" for patch in patches for copy in range(1, patch.quantity + 1)}
    taken = {name.casefold() for name in (*pieces, *(patch.name for patch in patches))}
    named = [(entry, panel.name) for entry, panel in found.panels]
    named += [(entry, strip.name) for entry, strip in found.strips]
    for entry, name in named:
        if name and name.casefold() in taken:
            remedy = "another part has this name; each needs a name of its own"
            reader.reject(entry.at("name"), entry.written("name"), remedy)
        taken.add(name.casefold())


def _sheet_needed(job: Job, along: float, across: float, reader: JobReader) -> str:
    width, length = (size + 2 * job.cutting.edge_margin for size in (across, along))
    if quarter_turns(job):
        width, length = min(width, length), max(width, length)
    needed = [format_length(size, reader.units, with_unit=True, direction="up") for size in (width, length)]
    return (
        f"this panel fits no stock; with the edge margins it needs a sheet at least {needed[0]} wide and "
        f'{needed[1]} long; add such a stock, or write state = "cut" if the panel is there already'
    )
