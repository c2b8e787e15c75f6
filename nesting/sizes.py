"""Parts and sheets in whole solver units: where lengths become integers, and spacing becomes size.

Two outlines that keep a distance s are two rectangles grown by s that only touch; the sheet grows by s too,
so the last part needs no spacing beside it.  Parts round up and sheets down, so what fits here fits in steel.
"""

from __future__ import annotations

from nesting.job import Job, Stock, Turn
from nesting.problem import PartClass, SheetSize
from shared.units import to_solver_down, to_solver_up


def quarter_turns(job: Job) -> bool:
    """True where a part may lie across the sheet as well as along it."""
    return job.cutting.turn in (Turn.QUARTER, Turn.ANY)


def sheet_size(job: Job, stock: Stock) -> SheetSize:
    """The usable sheet in solver units, one spacing added."""
    margins = 2 * job.cutting.edge_margin
    spacing = to_solver_up(job.cutting.spacing)
    return SheetSize(
        to_solver_down(stock.length - margins) + spacing,
        to_solver_down(stock.width - margins) + spacing,
        stock.price,
        stock.available,
    )


def part_class(job: Job, along: float, across: float) -> PartClass:
    """A part's enclosing rectangle in solver units, one spacing added; congruent parts give equal classes."""
    spacing = to_solver_up(job.cutting.spacing)
    length, width = to_solver_up(along) + spacing, to_solver_up(across) + spacing
    turnable = quarter_turns(job)
    if turnable and length < width:
        length, width = width, length
    return PartClass(length, width, turnable and length != width)


def fits_some_stock(job: Job, along: float, across: float) -> bool:
    """True where a part of this size, alone, fits some stock sheet in some allowed turn."""
    part = part_class(job, along, across)
    return any(part.placings(sheet_size(job, stock)) for stock in job.stock if stock.available != 0)
