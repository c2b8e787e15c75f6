"""Parts and sheets in whole solver units: where lengths become integers, and spacing becomes size.

Two outlines that keep a distance s are two rectangles grown by s that only touch; the sheet grows by s too,
so the last part needs no spacing beside it.  Parts round up and sheets down, so what fits here fits in steel.
"""

from __future__ import annotations

from functools import lru_cache

from nesting.job import CutMethod, Job, Stock, Turn
from nesting.sizing.problem import PartClass, SheetSize
from shared.units import to_solver_down, to_solver_up

# the same few lengths are asked for once for each candidate panel, and are worked out in exact fractions
_down = lru_cache(maxsize=10_000)(to_solver_down)
_up = lru_cache(maxsize=10_000)(to_solver_up)


def quarter_turns(job: Job) -> bool:
    """True where a part may lie across the sheet as well as along it."""
    return job.cutting.turn in (Turn.QUARTER, Turn.ANY)


def usable_length(job: Job, length: float) -> int:
    """A length of a sheet in solver units: less the edge margins at its ends, and one spacing added."""
    return _down(length - 2 * job.cutting.edge_margin) + _up(job.cutting.spacing)


def sheet_size(job: Job, stock: Stock) -> SheetSize:
    """The usable sheet in solver units, one spacing added; a shear's longest cut and the rim come with it."""
    return SheetSize(
        usable_length(job, stock.length),
        usable_length(job, stock.width),
        stock.price,
        stock.available,
        longest_cut(job),
        _up(job.cutting.edge_margin),
    )


def longest_cut(job: Job) -> int | None:
    """The longest single cut a shear can make, measured on pieces in solver units; None for no limit.

    One spacing is added, as to all lengths.  Margins do not count: a piece is freed of them before a long cut, or
    the sheet cannot be cut at all (`SheetSize.can_be_cut`).
    """
    if job.cutting.method is CutMethod.SHEAR and job.cutting.shear_length is not None:
        return _down(job.cutting.shear_length) + _up(job.cutting.spacing)
    return None


def part_class(job: Job, along: float, across: float) -> PartClass:
    """A part's enclosing rectangle in solver units, one spacing added; congruent parts give equal classes."""
    spacing = _up(job.cutting.spacing)
    length, width = _up(along) + spacing, _up(across) + spacing
    turnable = quarter_turns(job)
    if turnable and length < width:
        length, width = width, length
    return PartClass(length, width, turnable and length != width)


def fits_some_stock(job: Job, along: float, across: float) -> bool:
    """True where a part of this size, alone, can be cut from some stock sheet in some allowed turn."""
    part = part_class(job, along, across)
    return any(part.placings(sheet_size(job, stock)) for stock in job.stock if stock.available != 0)
