"""The independent check: every plan is judged again from the job alone before anything is written.

Nothing here is shared with the optimiser or with the builders of panels, seams, layouts, rivets and lists, so
that a mistake of theirs does not hide itself.  The parts are `cover` (bays and panels), `seams`, `fixed` (what was
decided before), `sheets`, `cuts` (edge to edge), `money`, `rivets`, `lengths` and `held` (all of rivets), and `order`.
Files are judged when they are written: `drawn` is the check of cut files.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nesting.checking.cover import cover_faults
from nesting.checking.cuts import cut_faults
from nesting.checking.fixed import fixed_faults
from nesting.checking.held import held_faults
from nesting.checking.money import buying_faults, cost_faults, part_mass_faults
from nesting.checking.order import order_faults
from nesting.checking.rivets import rivet_faults
from nesting.checking.seams import seam_faults
from nesting.checking.sheets import sheet_faults
from nesting.checking.structure import frame_of
from nesting.job import Job
from nesting.orderneeds import Order
from nesting.plan import BuyList, Fasteners, Plan
from shared.errors import PlanRejected


def check_plan(
    job: Job,
    plan: Plan,
    fasteners: Fasteners | None = None,
    buying: BuyList | None = None,
    order: Order | None = None,
    masses: Mapping[str, float] | None = None,
) -> None:
    """Nothing, if the plan does what the job asks for; `PlanRejected` with every fault found if it does not.

    Rivets, the buy list, the rest of the order and the mass of each part are judged where they are given.  Each
    fault names the panel, seam, sheet or line that it is about; lengths in mm.
    """
    faults = list(plan_faults(job, plan, fasteners, buying, order, masses))
    if faults:
        raise PlanRejected(faults)


def plan_faults(
    job: Job,
    plan: Plan,
    fasteners: Fasteners | None = None,
    buying: BuyList | None = None,
    order: Order | None = None,
    masses: Mapping[str, float] | None = None,
) -> Iterator[str]:
    """Each fault of the plan in words, none if it is sound."""
    frames = {side.name: frame_of(job, side, plan) for side in job.sides}
    yield from cover_faults(job, plan, frames)
    yield from seam_faults(job, plan, frames)
    yield from fixed_faults(job, plan, frames)
    yield from sheet_faults(job, plan)
    yield from cut_faults(job, plan)
    yield from cost_faults(job, plan)
    if fasteners is not None:
        yield from rivet_faults(job, plan, fasteners)
        yield from held_faults(job, plan, fasteners)
    if buying is not None:
        yield from buying_faults(job, plan, fasteners, buying)
        if order is not None and fasteners is not None:
            yield from order_faults(job, plan, fasteners, buying, order)
    if masses is not None:
        yield from part_mass_faults(job, plan, masses)
