"""The job planned at one raise after another: what each takes, as rows; the runs know nothing of one another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from nesting.job import Job
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob, Status
from nesting.planning import plan_job
from nesting.skin.nothingfits import none_found
from nesting.skin.raising import raised_job
from shared.errors import NothingFits, PlannerError
from shared.units import SNAP_MM

MOST_ROWS = 200
"""More raises than this are a slip of the pen: an inch and a half in sixteenths is 24."""
SECONDS_BETWEEN_LOOKS = 0.2


class Outcome(Enum):
    """What became of one raise."""

    PLANNED = "planned"
    NOTHING_FITS = "nothing fits"
    NOT_FOUND = "no plan found in time"
    IMPOSSIBLE = "no such body"


@dataclass(frozen=True)
class Taken:
    """What a plan takes; money as in the job (sheet area where no sheet has a price), masses in kg.

    ``stock`` has every size in use with its number of sheets, in the order of the job.  ``total`` is all that is
    to pay.  ``gap`` is how far the plan may be from the best, as a fraction, 0 when ``proved``.  ``strips`` counts
    the backing strips that have to be added.
    """

    stock: tuple[tuple[str, int], ...]
    post_seams: int
    level_seams: int
    sheet_cost: float
    seam_cost: float
    total: float
    rivets: int
    rivets_to_buy: int
    skin_mass: float
    proved: bool
    gap: float
    strips: int = 0

    @property
    def sheets(self) -> int:
        return sum(count for _, count in self.stock)

    @property
    def seams(self) -> int:
        return self.post_seams + self.level_seams


@dataclass(frozen=True)
class RaiseRow:
    """One raise in mm and what it takes; ``taken`` is None and ``why`` says the reason where there is no plan."""

    raise_height: float
    outcome: Outcome
    taken: Taken | None = None
    why: str = ""


def raises_between(first: float, last: float, step: float) -> tuple[float, ...]:
    """The raises from the first to the last in mm, both included where the step hits the last.

    Raises PlannerError where there is none, or where there are more than `MOST_ROWS`.
    """
    if step <= SNAP_MM:
        raise PlannerError("the step between two raises must be more than nothing")
    if last < first - SNAP_MM:
        raise PlannerError("the last raise lies below the first")
    # readings are exact fractions of a mm: adding them up as floats would drift off the marks of the tape
    start, stride = Fraction(repr(first)), Fraction(repr(step))
    count = int((Fraction(repr(last)) - start + Fraction(SNAP_MM)) / stride) + 1
    if count > MOST_ROWS:
        raise PlannerError(f"{count} raises are more than {MOST_ROWS}; take a longer step")
    return tuple(float(start + i * stride) for i in range(count))


def check_can_be_raised(job: Job) -> None:
    """Raise PlannerError for a job whose roof height cannot be asked about any more."""
    if not job.sides:
        raise PlannerError("the job has no [[side]], so there is nothing that a raise would change")
    if job.fixed.panels or job.fixed.strips:
        raise PlannerError(
            "panels of this job are decided already ([[fixed]]), so its roof stays where it is; "
            "ask with a job file without them"
        )


def sweep(
    job: Job,
    raises: Iterable[float],
    limits: SolveLimits,
    executor: Executor,
    on_row: Callable[[RaiseRow], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> tuple[RaiseRow, ...]:
    """A row for each raise, lowest first, planned by any executor; ``limits`` hold for each run by itself.

    When ``should_stop`` says so no further run begins; those that run are waited for, and the rows so far returned.
    Only time limit and seed of ``limits`` travel to the runs, since they may be in other processes.
    """
    check_can_be_raised(job)
    plain = SolveLimits(limits.time_limit, limits.seed)
    waiting: set[Future[RaiseRow]] = {
        executor.submit(plan_raise, job, height, plain) for height in sorted(set(raises))
    }
    rows: list[RaiseRow] = []
    while waiting:
        done, waiting = wait(waiting, timeout=SECONDS_BETWEEN_LOOKS, return_when=FIRST_COMPLETED)
        for future in done:
            rows.append(future.result())
            if on_row is not None:
                on_row(rows[-1])
        if should_stop is not None and should_stop():
            waiting = {future for future in waiting if not future.cancel()}
    return tuple(sorted(rows, key=lambda row: row.raise_height))


def plan_raise(job: Job, raise_height: float, limits: SolveLimits) -> RaiseRow:
    """The row of one raise; that nothing fits, or that there is no such body, is a row too."""
    try:
        planned = plan_job(raised_job(job, raise_height), limits)
    except NothingFits as error:
        in_time = str(error) == none_found(job, proved=False)
        outcome = Outcome.NOT_FOUND if in_time else Outcome.NOTHING_FITS
        return RaiseRow(raise_height, outcome, why=str(error))
    except PlannerError as error:
        return RaiseRow(raise_height, Outcome.IMPOSSIBLE, why=str(error))
    return RaiseRow(raise_height, Outcome.PLANNED, taken(planned))


def taken(planned: PlannedJob) -> Taken:
    """What a plan takes, in a row's numbers."""
    plan, buying, job = planned.plan, planned.buying, planned.job
    counts = Counter(sheet.stock.name for sheet in plan.sheets)
    names = dict.fromkeys(stock.name for stock in job.stock)
    post_seams = sum(seam.after_bay is not None for seam in plan.seams)
    return Taken(
        stock=tuple((name, counts[name]) for name in names if counts[name]),
        post_seams=post_seams,
        level_seams=len(plan.seams) - post_seams,
        sheet_cost=plan.sheet_cost,
        seam_cost=plan.seam_cost,
        total=buying.total,
        rivets=planned.fasteners.total,
        rivets_to_buy=planned.fasteners.to_buy,
        skin_mass=buying.skin_mass,
        proved=plan.status is Status.OPTIMAL,
        gap=plan.optimality_gap,
        strips=len(plan.backing),
    )
