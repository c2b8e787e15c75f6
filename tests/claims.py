"""Claims that must hold for all jobs: each plans a job as it is, and changed in a way whose effect is known.

Two plans are compared by what is proved of them: the cheaper job's bound is no more than the other one's cost.  That
holds whether or not the plans are proved best; where both are, two jobs that must cost the same do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import seed as drawn_from

from nesting.job import Hand, Job, Patch, Side, Stock, Turn, Window
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.planning import plan_job
from shared.errors import NothingFits
from tests.job_tables import job_tables
from tests.job_units import as_read, in_inches, in_millimetres
from tests.strategies import SIXTEENTH, jobs

SECONDS = 60.0
"""Jobs here are proved in a fraction of a second: a busy machine changes nothing."""

HAIR = 1e-6

SMALL = jobs(max_bays=3, max_patches=2, max_sides=1)
"""The jobs that these claims are made of."""


@dataclass(frozen=True)
class Found:
    """What is known of a job: its cost (endless where there is no plan), no plan costs less than ``bound``."""

    cost: float
    bound: float
    planned: PlannedJob | None = None

    @property
    def has_strips(self) -> bool:
        return self.planned is not None and bool(self.planned.plan.backing)


class TimeWithoutPlan(AssertionError):
    """A small job for which no plan was found in all that time, nor a proof that there is none."""


def found(job: Job) -> Found:
    """The job planned: PlanRejected, or whatever else is wrong, is raised as it is."""
    try:
        planned = plan_job(job, SolveLimits(time_limit=SECONDS))
    except NothingFits as none:
        if "before any plan" in str(none):
            raise TimeWithoutPlan(str(none)) from none
        return Found(float("inf"), float("inf"))
    return Found(planned.plan.objective, planned.plan.bound, planned)


def dearer(cheap: Found, dear: Found) -> Iterator[str]:
    """What is wrong where the first must cost no more than the second."""
    if not cheap.bound <= dear.cost + HAIR * max(1.0, min(dear.cost, 1e12)):
        yield f"no plan costs less than {cheap.bound}, yet the other job has one of {dear.cost}, which must do"


def unequal(one: Found, other: Found) -> Iterator[str]:
    """What is wrong where both must cost the same."""
    yield from dearer(one, other)
    yield from dearer(other, one)


Claim = Callable[[Job, Random], Iterator[str]]
"""What is wrong with a claim for a job, if anything; a claim that says nothing of a job says nothing."""


# -- the same job told otherwise -----------------------------------------------------------------------------


def mirrored_costs_the_same(job: Job, random: Random) -> Iterator[str]:
    """The body as seen in a mirror, the front on the other hand."""
    yield from unequal(found(job), found(mirrored(job)))


def mirrored(job: Job) -> Job:
    """Left and right exchanged."""
    bays = {side.name: len(side.bays) for side in job.sides}
    panels = tuple(
        replace(one, first_bay=bays[one.side] + 1 - one.last_bay, last_bay=bays[one.side] + 1 - one.first_bay)
        for one in job.fixed.panels
    )
    return replace(job, sides=tuple(map(_mirrored_side, job.sides)), fixed=replace(job.fixed, panels=panels))


def _mirrored_side(side: Side) -> Side:
    assert not any(bay.outline for bay in side.bays), "only rectangles are mirrored here"

    def window(one: Window) -> Window:
        left = side.bays[one.bay - 1].width - one.from_left - one.width
        return replace(one, bay=len(side.bays) + 1 - one.bay, from_left=left)

    return replace(
        side,
        forward=Hand.RIGHT if side.forward is Hand.LEFT else Hand.LEFT,
        bays=side.bays[::-1],
        posts=side.posts[::-1],
        windows=tuple(map(window, side.windows)),
    )


def order_in_the_file_costs_nothing(job: Job, random: Random) -> Iterator[str]:
    """Sides, sheet sizes and patches listed in another order."""
    shuffled = replace(
        job,
        sides=tuple(random.sample(job.sides, len(job.sides))),
        stock=tuple(random.sample(job.stock, len(job.stock))),
        patches=tuple(random.sample(job.patches, len(job.patches))),
    )
    yield from unequal(found(job), found(shuffled))


def units_change_nothing(job: Job, random: Random) -> Iterator[str]:
    """The job file in inches, and with every length times 25.4 in mm."""
    tables = job_tables(job)
    inch = as_read(in_inches(tables))
    metric = as_read(in_millimetres(in_inches(tables)))
    if inch is None or metric is None:
        if inch is not metric:
            yield "the reader takes one of the two files only"
        return
    one, other = found(inch), found(metric)
    yield from unequal(one, other)
    if _layouts(one) != _layouts(other):
        yield f"layouts differ: {_layouts(one)} in inches, {_layouts(other)} in mm"


def bays_counted_or_listed_are_the_same(job: Job, random: Random) -> Iterator[str]:
    """One bay entry for several equal bays, and two entries for them."""
    tables = job_tables(job)
    sides = tables["side"]
    assert isinstance(sides, list)
    if not sides:
        return
    count = random.randint(2, 4)
    part = random.randint(1, count - 1)
    bay, side = sides[0]["bay"][0], {k: v for k, v in sides[0].items() if k not in ("posts", "bay", "window")}
    side["post_width"] = 2 * 25.4
    whole = as_read({**tables, "side": [{**side, "bay": [{**bay, "count": count}]}]})
    split = as_read(
        {**tables, "side": [{**side, "bay": [{**bay, "count": part}, {**bay, "count": count - part}]}]}
    )
    if whole != split:
        yield f"{count} bays in one entry read otherwise than {part} and {count - part} in two"
    elif whole is not None:
        yield from unequal(found(whole), found(split or whole))


# -- a job with more or less to choose from ------------------------------------------------------------------


def a_cheaper_sheet_makes_nothing_dearer(job: Job, random: Random) -> Iterator[str]:
    """One price lowered."""
    number = random.randrange(len(job.stock))
    stock = job.stock[number]
    cheaper = replace(stock, price=round(stock.price * random.uniform(0.3, 0.95), 2))
    yield from dearer(found(_with_stock(job, number, cheaper)), found(job))


def _with_stock(job: Job, number: int, stock: Stock) -> Job:
    return replace(job, stock=(*job.stock[:number], stock, *job.stock[number + 1 :]))


def one_more_size_makes_nothing_dearer(job: Job, random: Random) -> Iterator[str]:
    """A sheet size more to choose from."""
    size = Stock(
        "one more",
        random.randint(30, 60) * 25.4,
        random.randint(60, 150) * 25.4,
        round(random.uniform(40, 250), 2),
        random.choice([None, None, 1]),
    )
    yield from without_strips(replace(job, stock=(*job.stock, size)), job)


def without_strips(cheap: Job, dear: Job) -> Iterator[str]:
    """As `dearer`; nothing is said of plans with backing strips, which are offered only where nothing else helps.

    What makes panels fit without them takes them away, and may so cost more.
    """
    most = found(dear)
    if not most.has_strips:
        yield from dearer(found(cheap), most)


def a_patch_more_makes_nothing_cheaper(job: Job, random: Random) -> Iterator[str]:
    """A loose piece more to cut."""
    more = Patch("one more", random.randint(64, 480) * SIXTEENTH, random.randint(64, 380) * SIXTEENTH)
    yield from dearer(found(job), found(replace(job, patches=(*job.patches, more))))


def a_wider_gap_makes_nothing_cheaper(job: Job, random: Random) -> Iterator[str]:
    """Parts farther from one another: a wider gap, or a wider kerf."""
    step = random.choice([1, 2, 8]) * SIXTEENTH
    cutting = job.cutting
    wider = random.choice(
        [replace(cutting, gap=cutting.gap + step), replace(cutting, kerf=cutting.kerf + step)]
    )
    yield from without_strips(job, replace(job, cutting=wider))


def quarter_turns_make_nothing_dearer(job: Job, random: Random) -> Iterator[str]:
    """Parts that may be turned by quarters too, where they may not be turned or only by halves."""
    fixed = replace(job.cutting, turn=random.choice([Turn.NONE, Turn.HALF]))
    turned = replace(job.cutting, turn=Turn.QUARTER)
    yield from without_strips(replace(job, cutting=turned), replace(job, cutting=fixed))


CLAIMS: Mapping[str, Claim] = {
    claim.__name__: claim
    for claim in (
        mirrored_costs_the_same,
        order_in_the_file_costs_nothing,
        units_change_nothing,
        bays_counted_or_listed_are_the_same,
        a_cheaper_sheet_makes_nothing_dearer,
        one_more_size_makes_nothing_dearer,
        a_patch_more_makes_nothing_cheaper,
        a_wider_gap_makes_nothing_cheaper,
        quarter_turns_make_nothing_dearer,
    )
}
"""Every claim by its name."""


def job_number(number: int) -> Job:
    """The random job of this number, the same on every run: the last of a few, for the first drawn are the simplest."""
    drawn: list[Job] = []

    @drawn_from(number)
    @settings(
        max_examples=4,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(SMALL)
    def draw(job: Job) -> None:
        drawn.append(job)

    draw()
    return drawn[-1]


def _layouts(plan: Found) -> Sequence[object]:
    """What lies where on each sheet, to a thousandth of a mm."""
    if plan.planned is None:
        return ()
    return [
        (
            sheet.stock.name,
            [(part.part, round(part.x, 3), round(part.y, 3), part.turn) for part in sheet.parts],
        )
        for sheet in plan.planned.plan.sheets
    ]
