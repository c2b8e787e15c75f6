"""A job told back in words, so that a slip of the tape or the pen shows before anything is planned."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from textwrap import wrap

from cli.summary import WIDTH, titled, warning_lines
from nesting.documents.wording import length_text, money_text
from nesting.framing.pieces import asked_pieces
from nesting.job import Bay, Cutting, Job, Patch, Side, Stock, Window
from nesting.readings import Adjusted
from nesting.skin.sideplans import plain_side_plan


def job_description(job: Job) -> list[str]:
    """Lines on the sides, the stock and the patches, then the doubts about the measurements."""
    lines = titled(job.title)
    for side in job.sides:
        lines += [*_side(job, side), ""]
    lines += _stock(job)
    if job.patches:
        lines += ["", f"Patches: {sum(patch.quantity for patch in job.patches)}"]
        lines += [f"  {_patch(job, patch)}" for patch in job.patches]
    lines += _order(job)
    lines += _fixed(job)
    return [*lines, *warning_lines(job.warnings)]


def _entry(label: str, text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent=f"  {label:14}", subsequent_indent=" " * 16)


def _side(job: Job, side: Side) -> list[str]:
    width = sum(bay.width for bay in side.bays) + sum(side.posts)
    lines = [f"{side.name}: {_count(len(side.bays), 'bay')}, {_count(len(side.posts), 'post')}"]
    lines += _entry("front", f"on the {side.forward.value}, as seen from outside")
    lines += _entry("overall", f"{_length(job, width)} over bays and posts")
    for run, text in _runs([_bay(job, bay) for bay in side.bays]):
        lines += _entry(f"bay{run}", text)
    for run, text in _runs([f"{_length(job, post)} wide" for post in side.posts]):
        lines += _entry(f"post{run}", text)
    if side.rails:
        heights = ", ".join(length_text(rail, job.units) for rail in side.rails)
        lines += _entry("rails at", f"{heights} {job.units.value}, {_length(job, side.rail_width)} wide")
    for window in side.windows:
        lines += _entry("window", _window(job, window))
    if side.raise_height:
        lines += _entry("raise", f"{_length(job, side.raise_height)}, contained in the heights above")
    lines += _entry("full height", _headroom(job, side))
    return lines + _entry("panels", _candidates(job, side))


def _candidates(job: Job, side: Side) -> str:
    """How many panels the planner may choose among, and the bays that none of them closes."""
    plan = plain_side_plan(job, side)
    left = sorted({bay for bay, _ in plan.uncovered()})
    decided = sum(fixed.side == side.name for fixed in job.fixed.panels)
    said = f"{len(plan.candidates) - decided} that some sheet can carry"
    said += f" beside {_count(decided, 'panel')} decided already" if decided else ""
    if left:
        said += f"; none closes bay {', '.join(map(str, left))} without a backing strip or a larger sheet"
    return said


def _headroom(job: Job, side: Side) -> str:
    """What the tallest panel needs against what the widest sheet gives."""
    needs = max(bay.height for bay in side.bays) + job.land.top + job.land.bottom
    widest = max((min(_usable(job.cutting, stock)) for stock in job.stock), default=0.0)
    spare = widest - needs
    said = f"{_length(job, spare)} to spare" if spare >= 0 else f"{_length(job, -spare)} too little"
    if spare < 0 and side.rails:
        said += ", so seams go on rails or panels stand on end"
    elif spare < 0:
        said += ", so panels must stand on end or be backed by a strip"
    return f"{_length(job, needs)} with both lands; the widest sheet gives {_length(job, widest)}: {said}"


def _usable(cutting: Cutting, stock: Stock) -> tuple[float, float]:
    """Width and length inside the edge margins."""
    return stock.width - 2 * cutting.edge_margin, stock.length - 2 * cutting.edge_margin


def _stock(job: Job) -> list[str]:
    lines = [
        f"Stock: {_count(len(job.stock), 'size')}, less {_length(job, job.cutting.edge_margin)} at each edge"
    ]
    name_width = max((len(stock.name) for stock in job.stock), default=0)
    for stock in job.stock:
        width, length = (length_text(size, job.units) for size in _usable(job.cutting, stock))
        available = "as many as wanted" if stock.available is None else f"{stock.available} available"
        usable = f"{width} x {length} {job.units.value} usable"
        price = "on hand" if stock.on_hand else money_text(stock.price) if job.priced else ""
        if stock.on_hand:
            available = f"{stock.available} there"
        lines.append(f"  {stock.name:{name_width}}  {usable:28}  {price:>10}  {available}")
    return lines


def _bay(job: Job, bay: Bay) -> str:
    lower = f", lower edge at {length_text(bay.sill, job.units)}" if bay.sill else ""
    size = f"{length_text(bay.width, job.units)} wide, {length_text(bay.height, job.units)} high"
    if bay.measured is not None:
        return f"{_measured(job, bay.measured)}{lower} ({job.units.value})"
    if bay.outline is not None:
        arcs = sum(1 for _, _, bulge in bay.outline if bulge)
        curved = f", {_count(arcs, 'arc')} among them" if arcs else ""
        size += f"; an outline of {_count(len(bay.outline), 'edge')}{curved}"
    return f"{size}{lower} ({job.units.value})"


def _measured(job: Job, measured: Adjusted) -> str:
    """A four-sided bay: its adjusted sizes, how its posts lean, and how well its readings agree."""
    low_left, low_right, high_right, high_left = measured.corners
    foot, left, right = (length_text(measured.length(key), job.units) for key in ("bottom", "left", "right"))
    text = f"{foot} wide at its foot, {left} high on the left, {right} on the right"
    leans = ((high_left[0] - low_left[0], "left"), (high_right[0] - low_right[0], "right"))
    for lean, hand in leans:
        if shown := length_text(abs(lean), job.units).lstrip("0"):
            text += f"; its {hand} edge leans {shown} to the {'right' if lean > 0 else 'left'}"
    if measured.redundancy:
        off = max(abs(fit.residual) for fit in measured.fits)
        text += f"; its readings agree within {length_text(off, job.units)}"
    return text


def _window(job: Job, window: Window) -> str:
    size = f"{length_text(window.width, job.units)} x {length_text(window.height, job.units)}"
    place = (
        f"{length_text(window.from_left, job.units)} from the left, "
        f"{length_text(window.from_bottom, job.units)} from below"
    )
    return f"{size} in bay {window.bay}, {place} ({job.units.value})"


def _patch(job: Job, patch: Patch) -> str:
    size = f"{length_text(patch.width, job.units)} x {length_text(patch.height, job.units)} {job.units.value}"
    return f"{patch.quantity:3} of {patch.name}, {size}"


def _order(job: Job) -> list[str]:
    """Framing to cut and paint, where the job asks for them."""
    lines: list[str] = []
    pieces = asked_pieces(job)
    if pieces:
        count = sum(piece.quantity for piece in pieces)
        lines += ["", f"Framing: {_count(count, 'piece')}"]
    for piece in pieces:
        text = f"{piece.quantity} of {piece.name}, {_length(job, piece.length)}, from {piece.section}"
        lines += wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
    if job.order.paints:
        paints = ", ".join(f"{paint.name} ({paint.kind.value})" for paint in job.order.paints)
        lines += ["", *wrap(f"Paint: {paints}", WIDTH, subsequent_indent="  ")]
    return lines


def _fixed(job: Job) -> list[str]:
    """What is decided already: panels, copies of patches and strips."""
    lines = []
    for panel in job.fixed.panels:
        name = f" {panel.name}" if panel.name else ""
        rails = [
            f"{word} the rail at {_length(job, height)}"
            for word, height in (("from", panel.from_rail), ("to", panel.to_rail))
            if height is not None
        ]
        where = " ".join([f"{panel.side}, {_bays(panel.first_bay, panel.last_bay)}", *rails])
        lines.append(f"  panel{name}: {where}: {panel.state.value}")
    for cut in job.fixed.patches:
        copies = ", ".join(f"#{copy}" for copy in cut.copies)
        lines += wrap(f"{cut.patch} {copies}: cut", WIDTH, initial_indent="  ", subsequent_indent="    ")
    for strip in job.fixed.strips:
        where = f"{strip.side}, {_bays(strip.first_bay, strip.last_bay)} at {_length(job, strip.height)}"
        lines.append(f"  backing strip: {where}: {strip.state.value}")
    return ["", "Decided already", *lines] if lines else []


def _bays(first: int, last: int) -> str:
    return f"bay {first}" if first == last else f"bays {first} to {last}"


def _length(job: Job, length: float) -> str:
    return f"{length_text(length, job.units)} {job.units.value}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _runs(texts: Sequence[str]) -> list[tuple[str, str]]:
    """Equal neighbours told once: (' 2' or 's 2 to 5', text)."""
    runs = []
    for text, group in groupby(enumerate(texts, 1), key=lambda pair: pair[1]):
        numbers = [number for number, _ in group]
        first, last = numbers[0], numbers[-1]
        runs.append((f" {first}" if first == last else f"s {first} to {last}", text))
    return runs
