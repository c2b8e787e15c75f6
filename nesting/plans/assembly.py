"""A job and its candidate panels as the programme's problem, and the way back from its answer to parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from nesting.job import CutMethod, Job
from nesting.outline import rectangle
from nesting.plan import Panel
from nesting.plans.layout import Part
from nesting.sizing.cores import Size
from nesting.sizing.partshapes import class_and_orientation
from nesting.sizing.problem import CellEdge, Choice, PartClass, Problem, SeamRun
from nesting.sizing.sizes import longest_cut, sheet_size
from nesting.skin.fixing import strips_cut
from nesting.skin.panels import Candidate
from nesting.skin.patches import patch_ring
from nesting.skin.seams import SeamLines, strip_size
from nesting.skin.sideplans import SidePlan


@dataclass(frozen=True)
class Assembled:
    """The problem with the names behind its numbers; ``candidates[p]`` is choice p.

    ``least`` is the smallest width and length of any part, in mm.
    """

    problem: Problem
    sides: tuple[SidePlan, ...]
    candidates: tuple[Candidate, ...]
    patches: tuple[tuple[Part, int], ...]
    """Every copy of every patch that is to be cut, with its class."""
    least: Size | None


@dataclass
class _Classes:
    """Part classes by number, made as parts turn up."""

    job: Job
    least: Size | None
    numbers: dict[PartClass, int] = field(default_factory=dict)

    def number(self, part: Part) -> int:
        kind, _ = class_and_orientation(self.job, part.outline, part.holes, self.least)
        return self.numbers.setdefault(kind, len(self.numbers))


def assemble(job: Job, sides: Sequence[SidePlan]) -> Assembled:
    """The whole job as one problem: all sides' panels and all patches on the same sheets."""
    least = _least_size(job, sides)
    classes = _Classes(job, least)
    patches = tuple((part, classes.number(part)) for part in patch_parts(job))
    cells: dict[object, int] = {}
    choices: list[Choice] = []
    candidates: list[Candidate] = []
    runs: list[SeamRun] = []
    edges: list[CellEdge] = []
    for plan in sides:
        first = len(choices)
        without_levels = not plan.lines.levels
        for candidate in plan.candidates:
            choices.append(_choice(job, plan, candidate, classes, cells, without_levels))
            candidates.append(candidate)
        numbered = list(enumerate(plan.candidates, start=first))
        if not without_levels:
            runs.extend(_runs(plan.lines, numbered))
        edges.extend(_edges(numbered))
    demand = [0] * len(classes.numbers)
    for _, k in patches:
        demand[k] += 1
    problem = Problem(
        sheets=tuple(sheet_size(job, stock) for stock in job.stock),
        classes=tuple(classes.numbers),
        demand=tuple(demand),
        cells=len(cells),
        choices=tuple(choices),
        runs=tuple(runs),
        edges=tuple(edges),
        seam_cost=job.seam.cost,
        edge_to_edge=job.cutting.method is CutMethod.SHEAR,
        longest_cut=longest_cut(job),
        most=_most(demand, choices),
        spacing=job.cutting.spacing,
    )
    return Assembled(problem, tuple(sides), tuple(candidates), patches, least)


def _choice(
    job: Job,
    plan: SidePlan,
    candidate: Candidate,
    classes: _Classes,
    cells: dict[object, int],
    without_levels: bool,
) -> Choice:
    parts = [] if candidate.panel.cut else [classes.number(panel_part(candidate.panel))]
    there = strips_cut(job, plan.side.name)
    parts += [
        classes.number(strip_part(job, plan.lines, plan.lines.levels[level - 1].height, bay))
        for level, bay in candidate.strips
        if (plan.lines.levels[level - 1].height, bay) not in there
    ]
    return Choice(
        cells=tuple(cells.setdefault(cell, len(cells)) for cell in candidate.cells),
        parts=tuple(parts),
        seams=len(candidate.post_seams) if without_levels else 0,
        seam_cost=job.seam.cost_per_length * _seam_length(plan.lines, candidate),
    )


def _least_size(job: Job, sides: Sequence[SidePlan]) -> Size | None:
    """The smallest width and the smallest length of any part in mm, None where there is no part."""
    sizes = [part.size for part in patch_parts(job)]
    for plan in sides:
        for candidate in plan.candidates:
            sizes.append(panel_part(candidate.panel).size)
            heights = ((plan.lines.levels[level - 1].height, bay) for level, bay in candidate.strips)
            sizes += [strip_part(job, plan.lines, height, bay).size for height, bay in heights]
    if not sizes:
        return None
    return min(min(size) for size in sizes), min(max(size) for size in sizes)


def _seam_length(lines: SeamLines, candidate: Candidate) -> float:
    """Length of the seams on a panel's right and upper edge."""
    runs = [lines.post_run(post, row) for post, row in candidate.post_seams]
    runs += [lines.level_run(lines.levels[level - 1].height, bay) for level, bay in candidate.level_seams]
    return sum(high - low for low, high in runs)


def _runs(lines: SeamLines, numbered: Sequence[tuple[int, Candidate]]) -> list[SeamRun]:
    """Where a seam between two panels may begin: from below along a post, from the left on a level."""
    runs = []
    rows, bays = range(1, len(lines.levels) + 2), range(1, len(lines.openings) + 1)
    for post in range(1, len(lines.openings)):
        left = [(p, _first_row(lines, c, post)) for p, c in numbered if c.panel.last_bay == post]
        right = [(p, _first_row(lines, c, post)) for p, c in numbered if c.panel.first_bay == post + 1]
        for row in rows:
            if lines.meets(post, row):
                runs.append(
                    SeamRun(
                        tuple(p for p, first in left if first == row),
                        tuple(p for p, first in right if first == row),
                    )
                )
    for level in range(1, len(lines.levels) + 1):
        below = [(p, c.panel) for p, c in numbered if c.panel.last_row == level]
        above = [(p, c.panel) for p, c in numbered if c.panel.first_row == level + 1]
        for bay in bays:
            if lines.parts(level, bay):
                fresh = bay == 1 or not lines.parts(level, bay - 1)
                runs.append(
                    SeamRun(
                        tuple(p for p, panel in below if _begins(panel, bay, fresh)),
                        tuple(p for p, panel in above if _begins(panel, bay, fresh)),
                    )
                )
    return runs


def _first_row(lines: SeamLines, candidate: Candidate, post: int) -> int | None:
    """The lowest row in which the panel and its neighbour over the post both have a cell."""
    rows = range(candidate.panel.first_row, candidate.panel.last_row + 1)
    return next((row for row in rows if lines.meets(post, row)), None)


def _begins(panel: Panel, bay: int, fresh: bool) -> bool:
    """True where a seam along the panel begins in a bay: at its own end, or where the level comes back."""
    return panel.first_bay == bay or (fresh and panel.first_bay <= bay <= panel.last_bay)


def _edges(numbered: Sequence[tuple[int, Candidate]]) -> list[CellEdge]:
    """Every edge between two cells, for branching on a single piece of seam."""
    sides: dict[tuple[object, object], tuple[list[int], list[int], list[int]]] = {}
    for p, candidate in numbered:
        own = set(candidate.cells)
        for side, bay, row in candidate.cells:
            for other in ((side, bay + 1, row), (side, bay, row + 1)):
                edge = sides.setdefault(((side, bay, row), other), ([], [], []))
                edge[0 if other in own else 1].append(p)
            for other in ((side, bay - 1, row), (side, bay, row - 1)):
                if other not in own:
                    sides.setdefault((other, (side, bay, row)), ([], [], []))[2].append(p)
    return [
        CellEdge(tuple(across), tuple(ending), tuple(starting))
        for across, ending, starting in sides.values()
        if across and ending and starting
    ]


def _most(demand: Sequence[int], choices: Sequence[Choice]) -> tuple[int, ...]:
    """The most parts of each class that any plan can need: one choice for each cell at the most."""
    most = list(demand)
    per_class: dict[int, dict[int, set[int]]] = {}
    for p, choice in enumerate(choices):
        for k in choice.parts:
            per_class.setdefault(k, {}).setdefault(p, set()).update(choice.cells)
    for k, users in per_class.items():
        needs = {p: choices[p].parts.count(k) for p in users}
        most[k] += min(sum(needs.values()), _packing_bound(users, needs))
    return tuple(most)


def _packing_bound(users: Mapping[int, set[int]], needs: Mapping[int, int]) -> int:
    """Choices that need a class close different cells, so no more of them than the cells allow."""
    cells = set().union(*users.values())
    least = min(len(own) for own in users.values())
    return (len(cells) // least) * max(needs.values())


def patch_parts(job: Job) -> Iterable[Part]:
    """Every copy of every patch that is still to be cut, named ``name#1`` and on."""
    for patch in job.patches:
        outline = patch_ring(patch)
        cut = job.fixed.copies_cut(patch.name)
        for copy in range(1, patch.quantity + 1):
            if copy not in cut:
                yield Part(f"{patch.name}#{copy}", outline, patch.holes)


def strip_part(job: Job, lines: SeamLines, height: float, bay: int, name: str = "") -> Part:
    """The backing strip at a height across a bay as it is cut."""
    return Part(name, rectangle(0.0, 0.0, *strip_size(job.seam, lines, height, bay)))


def panel_part(panel: Panel) -> Part:
    """A panel as it is cut."""
    return Part(panel.name, panel.outline, panel.holes)
