"""Why there is no plan, in words: what is too big or too much, and the sheet that would do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.job import Job, Side, Stock
from nesting.outline import bounds, net_area
from nesting.plan import Panel, Point
from nesting.sizing.sizes import fits_some_stock, quarter_turns
from nesting.skin.backing import Bare, least_size
from nesting.skin.openings import outline_openings, skin_outline
from nesting.skin.panels import Block, least_block
from nesting.skin.patches import patch_ring
from nesting.skin.seams import SeamLines, window_zone
from shared.units import format_length, round_length

MM2_PER_M2 = 1e6


def too_big(job: Job, bare: Sequence[tuple[Side, SeamLines, Bare]]) -> str:
    """What fits no sheet, a line for each, and a sheet that would carry any of it; "" where all fits."""
    sizes: dict[str, Point] = {}
    barred: dict[str, str] = {}
    for side, lines, cell in bare:
        block = least_block(lines, *cell)
        place = f"side '{side.name}', {_place(lines, block)}"
        sizes[place] = least_size(job, lines, cell)
        barred[place] = _windows(job, side, block)
    said = [
        f"{place}: its panel is {_length(job, along)} wide and {_length(job, across)} high; it can be cut"
        f" from no sheet that can be had, and no seam can lie inside it{barred[place]}"
        for place, (along, across) in sizes.items()
    ]
    for patch in job.patches:
        wanted = patch.quantity - len(job.fixed.copies_cut(patch.name))
        if wanted and not fits_some_stock(job, patch.width, patch.height):
            sizes[f"patch '{patch.name}'"] = (patch.width, patch.height)
            size = f"{_length(job, patch.width)} x {_length(job, patch.height)}"
            said.append(f"patch '{patch.name}': it is {size}, which no sheet that can be had will carry")
    if not said:
        return ""
    remedy = _remedy(job, list(sizes.values()))
    return "\n".join([*said, f"{remedy}, or a post or rail there to carry a seam" if bare else remedy])


def _windows(job: Job, side: Side, block: Block) -> str:
    """The heights at which windows keep seams away."""
    zones = [(window, *window_zone(job, side, window)) for window in side.windows if window.bay in block.bays]
    said = [
        f"the window in bay {window.bay} keeps seams out from {_length(job, low)} to {_length(job, high)}"
        for window, low, high in zones
    ]
    return f" ({', '.join(said)})" if said else ""


def too_little(job: Job, cut: Sequence[Panel] = ()) -> str:
    """Why the sheets that are available cannot be enough, by their area alone; "" where they may be.

    ``cut`` are the panels that are there already.
    """
    if any(stock.available is None for stock in job.stock):
        return ""
    there = sum(stock.width * stock.length * (stock.available or 0) for stock in job.stock)
    needed = sum(_skin_area(job, side) for side in job.sides)
    needed -= sum(window.width * window.height for side in job.sides for window in side.windows)
    needed -= sum(net_area(panel.outline, panel.holes) for panel in cut)
    for patch in job.patches:
        each = net_area(patch_ring(patch), patch.holes)
        needed += (patch.quantity - len(job.fixed.copies_cut(patch.name))) * each
    if needed <= there:
        return ""
    return (
        f"the sheets that are available hold {there / MM2_PER_M2:.2f} m2 and the parts need at least"
        f" {needed / MM2_PER_M2:.2f} m2: raise 'available' or add a stock size ({_limits(job)})"
    )


def _skin_area(job: Job, side: Side) -> float:
    """The least metal that a side can take: its skin, less the gaps that butt seams may leave open."""
    skin = skin_outline(outline_openings(side), job.land)
    x0, y0, x1, y1 = bounds(skin)
    gaps = max(0.0, -2 * job.seam.reach)
    return net_area(skin) - gaps * (len(side.posts) * (y1 - y0) + len(side.rails) * (x1 - x0))


def none_found(job: Job, *, proved: bool) -> str:
    """Why the search came back without a plan."""
    if not proved:
        or_stock = f", or raise 'available' ({_limits(job)})" if _is_limited(job) else ""
        return f"stopped before any plan was found: give more time (--time-limit){or_stock}"
    return (
        "the sheets that are available cannot carry all parts:"
        f" raise 'available' or add a stock size ({_limits(job)})"
    )


def _is_limited(job: Job) -> bool:
    return any(stock.available is not None for stock in job.stock)


def _limits(job: Job) -> str:
    limited = [
        f"{stock.name}{' on hand' if stock.on_hand else ''}: {stock.available}"
        for stock in job.stock
        if stock.available is not None
    ]
    return f"available now: {', '.join(limited)}" if limited else "no stock size has a limit"


def _place(lines: SeamLines, block: Block) -> str:
    bays = f"bay {block.first_bay}"
    if block.last_bay > block.first_bay:
        bays = f"bays {block.first_bay} to {block.last_bay} (no seam can lie on the posts between)"
    if not lines.levels:
        return bays
    rows = f"row {block.first_row}"
    if block.last_row > block.first_row:
        rows = f"rows {block.first_row} to {block.last_row}"
    return f"{bays}, {rows} from below"


def _remedy(job: Job, sizes: Sequence[Point]) -> str:
    """One sheet that would carry any of these, tried before it is named."""
    if quarter_turns(job):
        sizes = [(max(size), min(size)) for size in sizes]
    margins, units = 2 * job.cutting.edge_margin, job.units.value
    length, width = (round_length(max(size[i] for size in sizes) + margins, units, "up") for i in (0, 1))
    with_it = replace(job, stock=(Stock("", width, length, 0.0),))
    said = f"a stock size {_length(job, width)} wide and {_length(job, length)} long would do"
    if all(fits_some_stock(with_it, *size) for size in sizes):
        return said
    return f"{said}, cut on a shear that takes {_length(job, max(width, length))} (shear_length)"


def _length(job: Job, mm: float) -> str:
    return format_length(mm, job.units.value, with_unit=True, direction="up")
