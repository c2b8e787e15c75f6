"""A job gone on with after some sheets are cut: the job file that says what is there and what is still to do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import count

from nesting.job import FixedState, Job, Side
from nesting.jobfile import job_from_text
from nesting.outline import bounds
from nesting.reading.keys import MAX_TITLE
from nesting.reading.planrecord import PlanRecord, RecordedPanel
from nesting.reading.stock import size_name
from nesting.reading.text import parsed
from nesting.skin.fixing import fixed_block, strip_heights
from nesting.skin.panels import block_outline
from nesting.skin.seams import seam_lines
from nesting.starting.jobwriting import exact_length, job_text
from shared.errors import JobMistakes, PlannerError
from shared.units import format_length, parse_length, round_length

SAME_MM = 0.05
"""A panel as cut and as the job has it now differ by no more than this: about what a pencil line is wide."""

MOST_TOLD = 8
"""A plan of another job altogether would be told part by part."""

Entry = dict[str, object]


@dataclass(frozen=True)
class Continued:
    """The new job file, the parts that it takes as cut, and what it takes as on hand (how many, of what)."""

    text: str
    cut: tuple[str, ...]
    spoiled: tuple[str, ...]
    on_hand: tuple[tuple[int, str], ...]


def continued(
    text: str, source: str, job: Job, plan: PlanRecord, sheets: Iterable[int], spoiled: Sequence[str]
) -> Continued:
    """The job file to go on with when these sheets of the plan (from 1) are cut and these parts are spoiled.

    ``text`` is the job file that was planned, ``source`` what messages call it, ``job`` what it says.
    Raises `PlannerError` where the sheets, the parts or the job do not go with the plan, all at once.
    """
    numbers = sorted(set(sheets))
    faults = [
        f"there is no sheet {number} in the plan; it has sheets 1 to {len(plan.sheets)}"
        for number in numbers
        if not 1 <= number <= len(plan.sheets)
    ]
    faults += _other_job(job, plan)
    _refuse(faults)
    there = [part for number in numbers for part in plan.sheets[number - 1].parts] + _cut_before(plan)
    lost, faults = _spoiled(spoiled, there, plan)
    _refuse(faults)
    done = [name for name in there if name not in lost]
    raw = dict(parsed(text, source))
    raw["title"] = _title(job.title)
    raw["stock"], on_hand = _stock(raw, job, plan, numbers)
    if not raw["stock"]:
        _refuse(["no sheet is left and none can be bought: raise available in the job file, or add a stock"])
    raw.pop("offcuts", None)
    fixed = [*_panels(job, plan, done), *_patches(job, done), *_strips(job, plan, done)]
    raw.pop("fixed", None)
    if fixed:
        raw["fixed"] = fixed
    said = f"sheets cut: {', '.join(map(str, numbers)) or 'none'}"
    heading = f"Goes on from {source} after its plan: {said}, spoiled: {', '.join(lost) or 'nothing'}."
    result = job_text(raw, heading)
    try:
        again = job_from_text(result, source)
    except JobMistakes as found:
        raise PlannerError(f"the job cannot go on so:\n{found}") from found
    _refuse(_changed_panels(again, plan, done))
    return Continued(result, tuple(done), tuple(lost), on_hand)


def _refuse(faults: Sequence[str]) -> None:
    if faults:
        raise PlannerError("\n".join(faults))


def _title(title: str) -> str:
    """The title of an earlier plan, marked so that the two packets are not mixed up."""
    stem, found, number = title.rpartition(", continued")
    if found and (not number or number.strip().isdigit()):
        return f"{stem}, continued {int(number or 1) + 1}"
    return f"{title[: MAX_TITLE - 20]}, continued"


def _other_job(job: Job, plan: PlanRecord) -> list[str]:
    """What shows that the plan was not made for this job."""
    sides = {side.name: side for side in job.sides}
    patches = {patch.name for patch in job.patches}
    faults = []
    for panel in plan.panels:
        if panel.side not in sides:
            faults.append(f"panel {panel.name} is on side '{panel.side}', which the job does not have")
        elif panel.last_bay > (bays := len(sides[panel.side].bays)):
            faults.append(
                f"panel {panel.name} ends on bay {panel.last_bay}, and side '{panel.side}' has {bays} bays"
            )
    own = {panel.name for panel in plan.panels} | {strip.name for strip in plan.strips}
    pieces = [part for sheet in plan.sheets for part in sheet.parts] + list(plan.patches_cut)
    loose = dict.fromkeys(part.rpartition("#")[0] or part for part in pieces if part not in own)
    faults += [f"the job has no patch '{name}', which the plan cuts" for name in loose if name not in patches]
    names = {stock.name for stock in job.stock}
    faults += [
        f"stock '{name}' of the plan is not in the job"
        for name in dict.fromkeys(sheet.stock for sheet in plan.sheets)
        if name not in names
    ]
    if faults:
        faults = [*faults[:MOST_TOLD], "..."] if len(faults) > MOST_TOLD else faults
        faults.append("continue with the job file and the lists of offcuts from which the plan was made")
    return faults


def _cut_before(plan: PlanRecord) -> list[str]:
    """Parts that were there before this plan was made."""
    before = [panel.name for panel in plan.panels if panel.cut]
    return before + list(plan.patches_cut) + [strip.name for strip in plan.strips if strip.cut]


def _spoiled(names: Sequence[str], there: Sequence[str], plan: PlanRecord) -> tuple[list[str], list[str]]:
    """The spoiled parts as the plan writes them, and what is wrong with those asked for."""
    known = {name.casefold(): name for name in there}
    sheet_of = {part.casefold(): number for number, s in enumerate(plan.sheets, 1) for part in s.parts}
    lost: dict[str, None] = {}
    faults = []
    for name in names:
        folded = name.strip().casefold()
        if folded in known:
            lost[known[folded]] = None
        elif folded in sheet_of:
            number = sheet_of[folded]
            faults.append(f"'{name}' is on sheet {number}, which is not cut: name sheet {number} as cut too")
        else:
            near = get_close_matches(folded, [*known, *sheet_of], n=1)
            hint = (
                f"; did you mean '{near[0]}'?"
                if near
                else "; part names stand on the sheets and in the cut list"
            )
            faults.append(f"there is no part '{name}' in the plan{hint}")
    return list(lost), faults


def _stock(
    raw: Mapping[str, object], job: Job, plan: PlanRecord, numbers: Sequence[int]
) -> tuple[list[Entry], tuple[tuple[int, str], ...]]:
    """The stock that is left: sheets bought and not cut, offcuts, and what more can be bought."""
    units = job.units.value
    cut = Counter(plan.sheets[number - 1].stock for number in numbers)
    bought = Counter(sheet.stock for sheet in plan.sheets if not sheet.on_hand)
    there = Counter({stock.name: stock.available or 0 for stock in job.stock if stock.on_hand})
    left = Counter({name: there[name] + bought[name] - cut[name] for name in {s.name for s in job.stock}})
    entries: list[Entry] = []
    names: set[str] = set()
    given = raw.get("stock")
    for given_entry in given if isinstance(given, list) else []:
        entry = dict(given_entry)
        width, length = (parse_length(entry[key], units) for key in ("width", "length"))
        name = str(entry.get("name") or size_name(width, length, job.units)).strip()
        entry = {"name": name, **entry}
        names.add(name.casefold())
        if "available" in entry:
            free = entry.get("price") == 0 and "on_hand" not in entry
            entry["available"] = 0 if free else max(0, int(entry["available"]) - bought[name])
        entry.pop("on_hand", None)
        if left[name] > 0:
            entry["on_hand"] = left[name]
        if left[name] > 0 or entry.get("available") != 0:
            entries.append(entry)
    entries += [
        _piece(stock.name, stock.width, stock.length, left[stock.name], units)
        for stock in job.stock
        if stock.on_hand and stock.name.casefold() not in names and left[stock.name] > 0
    ]
    names |= {stock.name.casefold() for stock in job.stock}
    pieces = Counter(
        (round_length(width, units, "down"), round_length(length, units, "down"))
        for number in numbers
        for length, width in plan.sheets[number - 1].offcuts
    )
    for (width, length), pieces_left in pieces.items():
        plain = f"offcut {size_name(width, length, job.units)}"
        name = next(
            name for n in count(1) if (name := plain if n == 1 else f"{plain} ({n})").casefold() not in names
        )
        names.add(name.casefold())
        entries.append(_piece(name, width, length, pieces_left, units))
    on_hand = [(entry["on_hand"], str(entry["name"])) for entry in entries if "on_hand" in entry]
    return entries, tuple((number, name) for number, name in on_hand if isinstance(number, int))


def _piece(name: str, width: float, length: float, number: int, units: str) -> Entry:
    """A size on hand of which no more can be bought."""
    return {
        "name": name,
        "width": exact_length(width, units),
        "length": exact_length(length, units),
        "on_hand": number,
        "available": 0,
    }


def _panels(job: Job, plan: PlanRecord, done: Sequence[str]) -> list[Entry]:
    """Panels that are cut, and those that the job had decided and that are still to be cut."""
    entries = []
    for panel in plan.panels:
        side = next(side for side in job.sides if side.name == panel.side)
        low, high = _ends(side, plan, panel)
        decided = any(
            (fixed.side, fixed.first_bay, fixed.last_bay) == (panel.side, panel.first_bay, panel.last_bay)
            and fixed.state is FixedState.DECIDED
            and fixed.name in ("", panel.name)
            and _same(fixed.from_rail, low)
            and _same(fixed.to_rail, high)
            for fixed in job.fixed.panels
        )
        if panel.name not in done and not decided:
            continue
        entry: Entry = {"side": panel.side, "first_bay": panel.first_bay, "last_bay": panel.last_bay}
        for key, height in (("from_rail", low), ("to_rail", high)):
            if height is not None:
                entry[key] = exact_length(height, job.units.value)
        state = FixedState.CUT if panel.name in done else FixedState.DECIDED
        entries.append({**entry, "name": panel.name, "state": state.value})
    return entries


def _ends(side: Side, plan: PlanRecord, panel: RecordedPanel) -> tuple[float | None, float | None]:
    """Heights of the rails or strips on which a panel ends; None at an edge of the side."""
    strips = [strip.height for strip in plan.strips if strip.side == side.name]
    # heights in plan.json are rounded to a millionth: a rail is taken from the job itself
    added = [height for height in strips if not any(_same(height, rail) for rail in side.rails)]
    levels = sorted({*side.rails, *added})
    low = levels[panel.first_row - 2] if 2 <= panel.first_row <= len(levels) + 1 else None
    return low, levels[panel.last_row - 1] if panel.last_row <= len(levels) else None


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= 1e-3


def _patches(job: Job, done: Sequence[str]) -> list[Entry]:
    entries: list[Entry] = []
    for patch in job.patches:
        copies = [copy for copy in range(1, patch.quantity + 1) if f"{patch.name}#{copy}" in done]
        if copies:
            entries.append({"patch": patch.name, "copies": copies, "state": FixedState.CUT.value})
    return entries


def _strips(job: Job, plan: PlanRecord, done: Sequence[str]) -> list[Entry]:
    """Backing strips: those cut, and those that panels already cut still wait for."""
    entries = []
    waited = {panel.side for panel in plan.panels if panel.name in done}
    for strip in plan.strips:
        state = FixedState.CUT if strip.name in done else FixedState.DECIDED
        if state is FixedState.CUT or strip.side in waited:
            entries.append(_strip(job, strip.side, strip.height, strip.bay, state, strip.name))
    told = {(strip.side, strip.bay, round(strip.height, 3)) for strip in plan.strips}
    for fixed in job.fixed.strips:
        for bay in range(fixed.first_bay, fixed.last_bay + 1):
            # a strip that is there although the plan had no use for it
            if fixed.state is FixedState.CUT and (fixed.side, bay, round(fixed.height, 3)) not in told:
                entries.append(_strip(job, fixed.side, fixed.height, bay, fixed.state, fixed.name))
    return entries


def _strip(job: Job, side: str, height: float, bay: int, state: FixedState, name: str) -> Entry:
    entry: Entry = {"side": side, "first_bay": bay, "strip": exact_length(height, job.units.value)}
    return {**entry, **({"name": name} if name else {}), "state": state.value}


def _changed_panels(job: Job, plan: PlanRecord, done: Sequence[str]) -> list[str]:
    """Panels that are cut and that the job, measured otherwise now, would have another size."""
    sizes = {panel.name: panel.size for panel in plan.panels}
    faults = []
    for fixed in job.fixed.panels:
        side = next(side for side in job.sides if side.name == fixed.side)
        lines = seam_lines(job, side, strip_heights(job, side))
        block = fixed_block(fixed, lines)
        if fixed.name not in done or block is None:
            continue
        x0, y0, x1, y1 = bounds(block_outline(job, lines, block))
        now, was = (x1 - x0, y1 - y0), sizes[fixed.name]
        if any(abs(a - b) > SAME_MM for a, b in zip(now, was, strict=True)):
            cut, asked = (_size(size, job.units.value) for size in (was, now))
            faults.append(
                f"panel {fixed.name} is cut {cut}, and by the job file it would be {asked} now: undo the change"
                " in the job file, or name the panel as spoiled"
            )
    return faults


def _size(size: tuple[float, float], units: str) -> str:
    return f"{' x '.join(format_length(mm, units) for mm in size)} {units}"
