"""The story: from a measured job to a checked plan with everything that follows from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.assembly import Assembled, SidePlan, assemble, panel_part, strip_part
from nesting.backing import backing_heights, single_size, uncovered_cells
from nesting.budget import Budget
from nesting.buylist import buy_list, part_masses
from nesting.check import check_plan
from nesting.fasteners import place_fasteners
from nesting.job import Job
from nesting.layout import Part, lay_out
from nesting.limits import SolveLimits
from nesting.naming import named, renumbered, side_letters
from nesting.panels import candidate_panels
from nesting.plan import BackingStrip, Panel, Plan, PlannedJob, Seam, SheetLayout, Status
from nesting.program import Decision, Outcome, Search
from nesting.seams import SeamLines, seam_lines, seams_between
from nesting.tradeoff import trade_points
from shared.errors import NothingFits
from shared.units import format_length


def plan_job(job: Job, limits: SolveLimits | None = None) -> PlannedJob:
    """The best plan found for a job, checked, with rivets, masses and the buy list.

    Raises NothingFits when no plan exists or none was found in time, PlanRejected when our own check fails.
    """
    budget = Budget.of(limits or SolveLimits())
    sides = [side_plan(job, index) for index in range(len(job.sides))]
    assembled = assemble(job, sides)
    search = Search.of(assembled.problem)
    outcome = decide(search, budget)
    if outcome.best is None:
        raise NothingFits(_why_nothing(job, outcome))
    panels, kept_sides = chosen_panels(sides, assembled, outcome.best)
    seams = tuple(seam for plan, own in zip(kept_sides, panels, strict=True) for seam in seams_between(own, plan.lines))
    strips = backing_strips(job, kept_sides, panels)
    parts = _parts_by_class(job, assembled, panels, strips)
    plan = Plan(
        status=Status.OPTIMAL if outcome.proved else Status.FEASIBLE,
        bound=outcome.bound,
        panels=tuple(panel for own in panels for panel in own),
        seams=seams,
        sheets=_sheets(job, search, outcome.best, parts),
        seam_cost=_seam_cost(job, seams),
        tradeoff=trade_points(search, outcome, budget) if job.sides else (),
        backing=tuple(strip for strip, _ in strips),
    )
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    buying = buy_list(job, plan, fasteners)
    check_plan(job, plan, fasteners, buying)
    warnings = (*job.warnings, *fasteners.warnings)
    return PlannedJob(job, plan, fasteners, buying, part_masses(job, plan), warnings)


def side_plan(job: Job, index: int) -> SidePlan:
    """A side's seam lines and candidate panels; backing strips are added where an opening needs one.

    Raises NothingFits naming the sheet that would do where no seam helps.
    """
    side = job.sides[index]
    lines = seam_lines(side, job.seam, job.rivets)
    candidates = candidate_panels(job, side, lines)
    bare = uncovered_cells(lines, candidates)
    if bare:
        heights = backing_heights(job, side, lines, bare)
        stripped = seam_lines(side, job.seam, job.rivets, heights)
        candidates = candidate_panels(job, side, stripped)
        if not heights or uncovered_cells(stripped, candidates):
            raise NothingFits("\n".join(_needs(job, index, lines, cell) for cell in bare))
        lines = stripped
    return SidePlan(side, lines, candidates)


def decide(search: Search, budget: Budget) -> Outcome:
    """Panels, seams and sheets together: a plan in a moment, then better ones until one is proved best."""
    from nesting.master import Aim

    first = search.first()
    budget.tell(first.cost if first else None, 0.0, "first plan")
    whole = budget.seconds < 1e8
    return search.solve(Aim(), first, budget.share(0.75) if whole else budget)


def _needs(job: Job, index: int, lines: SeamLines, cell: tuple[int, int]) -> str:
    side = job.sides[index]
    along, across = single_size(job, side, lines, cell)
    margins = 2 * job.cutting.edge_margin
    shorter, longer = sorted((along + margins, across + margins))
    size = [format_length(x, job.units.value, with_unit=True, direction="up") for x in (shorter, longer)]
    piece = [format_length(x, job.units.value, with_unit=True, direction="up") for x in (along, across)]
    return (
        f"side '{side.name}', bay {cell[0]}: its panel is {piece[0]} wide and {piece[1]} high and fits no stock sheet,"
        f" and no seam can lie inside it; a sheet {size[0]} wide and {size[1]} long would do, or a post in the bay"
    )


def _why_nothing(job: Job, outcome: Outcome) -> str:
    if not outcome.proved:
        return "stopped before any plan was found: give more time (--time-limit)"
    limited = [f"{s.name} ({s.available})" for s in job.stock if s.available is not None]
    return (
        "the sheets that are available cannot carry all parts: "
        f"raise 'available' or add a stock size (limited now: {', '.join(limited) or 'none'})"
    )


def chosen_panels(
    sides: Sequence[SidePlan], assembled: Assembled, best: Decision
) -> tuple[list[tuple[Panel, ...]], list[SidePlan]]:
    """The chosen panels of each side, named, and the sides without the backing levels that nobody used."""
    marks = side_letters([plan.side.name for plan in sides])
    panels, kept_sides = [], []
    for plan in sides:
        chosen = [c for p in best.choices if (c := assembled.candidates[p]).panel.side == plan.side.name]
        used = {level for c in chosen for level, _ in c.strips}
        lines = replace(
            plan.lines,
            levels=tuple(
                level for n, level in enumerate(plan.lines.levels, start=1) if not level.backing or n in used
            ),
        )
        own = renumbered([c.panel for c in chosen], plan.lines, lines)
        panels.append(named(own, marks[plan.side.name]))
        kept_sides.append(replace(plan, lines=lines))
    return panels, kept_sides


def backing_strips(
    job: Job, sides: Sequence[SidePlan], panels: Sequence[tuple[Panel, ...]]
) -> list[tuple[BackingStrip, Part]]:
    """A strip for every bay behind every seam on a backing level, with the part to be cut."""
    strips = []
    for plan, own in zip(sides, panels, strict=True):
        for n, level in enumerate(plan.lines.levels, start=1):
            if not level.backing:
                continue
            for panel in own:
                for bay in range(panel.first_bay, panel.last_bay + 1):
                    if panel.last_row == n and plan.lines.span(bay, n) and plan.lines.span(bay, n + 1):
                        name = f"backing strip {len(strips) + 1}"
                        strips.append(
                            (BackingStrip(plan.side.name, level.height, name), strip_part(job, plan, bay, name))
                        )
    return strips


def _parts_by_class(
    job: Job,
    assembled: Assembled,
    panels: Sequence[tuple[Panel, ...]],
    strips: Sequence[tuple[BackingStrip, Part]],
) -> dict[int, list[Part]]:
    """The real parts of each class, in the order in which sheets take them."""
    from nesting.sizes import part_class

    numbers = {kind: k for k, kind in enumerate(assembled.problem.classes)}
    waiting: dict[int, list[Part]] = {}
    for part in [*(panel_part(panel) for own in panels for panel in own), *(part for _, part in strips)]:
        waiting.setdefault(numbers[part_class(job, *part.size)], []).append(part)
    for part, k in assembled.patches:
        waiting.setdefault(k, []).append(part)
    return waiting


def _sheets(
    job: Job, search: Search, best: Decision, parts: Mapping[int, list[Part]]
) -> tuple[SheetLayout, ...]:
    """The sheets with their real parts, the fullest use of panels first."""
    waiting = {k: list(own) for k, own in parts.items()}
    layouts = []
    order = sorted(best.sheets.items(), key=lambda load: (load[0][0], [(-n, k) for k, n in load[0][1]]))
    for (size, pattern), count in order:
        for _ in range(count):
            spots = search.fitter.placed(size, pattern)
            own = [waiting[spot[0]].pop(0) for spot in spots]
            layouts.append(lay_out(job, job.stock[size], spots, own, search.problem.classes))
    left = Counter({k: len(own) for k, own in waiting.items() if own})
    if left:
        raise AssertionError(f"parts left over after the last sheet: {left}")
    return tuple(layouts)


def _seam_cost(job: Job, seams: Sequence[Seam]) -> float:
    return job.seam.cost * len(seams) + job.seam.cost_per_length * sum(seam.length for seam in seams)
