"""A job and its candidate panels as the programme's problem, and the way back from its answer to parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from nesting.job import CutMethod, Job, Side
from nesting.layout import Part
from nesting.outline import bounds, rectangle
from nesting.panels import Candidate
from nesting.plan import Panel
from nesting.problem import CellEdge, Choice, PartClass, Problem, SeamRun
from nesting.seams import SeamLines, strip_width
from nesting.sizes import part_class, sheet_size
from shared.units import to_solver_down


@dataclass(frozen=True)
class SidePlan:
    """A side with its seam lines and candidate panels."""

    side: Side
    lines: SeamLines
    candidates: tuple[Candidate, ...]


@dataclass(frozen=True)
class Assembled:
    """The problem with the names behind its numbers; ``candidates[p]`` is choice p."""

    problem: Problem
    candidates: tuple[Candidate, ...]
    patches: tuple[tuple[Part, int], ...]
    """Every copy of every patch with its class."""


@dataclass
class _Classes:
    """Part classes by number, made as parts turn up."""

    job: Job
    numbers: dict[PartClass, int] = field(default_factory=dict)

    def number(self, along: float, across: float) -> int:
        return self.numbers.setdefault(part_class(self.job, along, across), len(self.numbers))


def assemble(job: Job, sides: Sequence[SidePlan]) -> Assembled:
    """The whole job as one problem: all sides' panels and all patches on the same sheets."""
    classes = _Classes(job)
    patches = tuple((part, classes.number(*part.size)) for part in patch_parts(job))
    cells: dict[object, int] = {}
    choices: list[Choice] = []
    candidates: list[Candidate] = []
    runs: list[SeamRun] = []
    edges: list[CellEdge] = []
    for plan in sides:
        first = len(choices)
        simple = not plan.lines.levels
        for candidate in plan.candidates:
            choices.append(_choice(job, plan, candidate, classes, cells, simple))
            candidates.append(candidate)
        numbered = list(enumerate(plan.candidates, start=first))
        if not simple:
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
        longest_cut=_longest_cut(job),
        most=_most(demand, choices),
    )
    return Assembled(problem, tuple(candidates), patches)


def _longest_cut(job: Job) -> int | None:
    if job.cutting.method is CutMethod.SHEAR and job.cutting.shear_length is not None:
        return to_solver_down(job.cutting.shear_length)
    return None


def _choice(
    job: Job, plan: SidePlan, candidate: Candidate, classes: _Classes, cells: dict[object, int], simple: bool
) -> Choice:
    x0, y0, x1, y1 = bounds(candidate.panel.outline)
    parts = [classes.number(x1 - x0, y1 - y0)]
    parts += [classes.number(*strip_part(job, plan, bay).size) for _, bay in candidate.strips]
    return Choice(
        cells=tuple(cells.setdefault(cell, len(cells)) for cell in candidate.cells),
        parts=tuple(parts),
        seams=len(candidate.post_seams) if simple else 0,
        seam_cost=job.seam.cost_per_length * _seam_length(job, plan.lines, candidate),
    )


def _seam_length(job: Job, lines: SeamLines, candidate: Candidate) -> float:
    """Length of the seams on a panel's right and upper edge, the lands included."""
    total = 0.0
    for post, row in candidate.post_seams:
        spans = [span for bay in (post, post + 1) if (span := lines.span(bay, row))]
        low, high = min(s[0] for s in spans), max(s[1] for s in spans)
        low_land = 0.0 if _on_level(lines, low) else job.land.bottom
        high_land = 0.0 if _on_level(lines, high) else job.land.top
        # a seam ends where the lower of two unequal bays ends
        if not _on_level(lines, high):
            high = min(s[1] for s in spans)
        if not _on_level(lines, low):
            low = max(s[0] for s in spans)
        total += high - low + low_land + high_land
    for _, bay in candidate.level_seams:
        left = lines.posts[bay - 2] if bay > 1 else lines.openings[0].x0 - job.land.ends
        right = lines.posts[bay - 1] if bay <= len(lines.posts) else lines.openings[-1].x1 + job.land.ends
        total += right - left
    return total


def _on_level(lines: SeamLines, height: float) -> bool:
    return any(abs(level.height - height) < 1e-6 for level in lines.levels)


def _runs(lines: SeamLines, numbered: Sequence[tuple[int, Candidate]]) -> list[SeamRun]:
    """Every place where a seam between two panels may begin: from below along a post, from the left on a level."""
    runs = []
    bays, levels = len(lines.openings), len(lines.levels)
    for post in range(1, bays):
        for row in range(1, levels + 2):
            if not (lines.span(post, row) and lines.span(post + 1, row)):
                continue
            ending = tuple(p for p, c in numbered if c.panel.last_bay == post and _first_row(lines, c, post) == row)
            starting = tuple(
                p for p, c in numbered if c.panel.first_bay == post + 1 and _first_row(lines, c, post) == row
            )
            runs.append(SeamRun(ending, starting))
    for level in range(1, levels + 1):
        for bay in range(1, bays + 1):
            if not (lines.span(bay, level) and lines.span(bay, level + 1)):
                continue
            broken = bay == 1 or not (lines.span(bay - 1, level) and lines.span(bay - 1, level + 1))
            below = tuple(p for p, c in numbered if c.panel.last_row == level and _begins(c, bay, broken))
            above = tuple(p for p, c in numbered if c.panel.first_row == level + 1 and _begins(c, bay, broken))
            runs.append(SeamRun(below, above))
    return runs


def _first_row(lines: SeamLines, candidate: Candidate, post: int) -> int | None:
    """The lowest row in which the panel and its neighbour over the post both have a cell."""
    for row in range(candidate.panel.first_row, candidate.panel.last_row + 1):
        if lines.span(post, row) and lines.span(post + 1, row):
            return row
    return None


def _begins(candidate: Candidate, bay: int, broken: bool) -> bool:
    panel = candidate.panel
    return panel.first_bay == bay or (broken and panel.first_bay <= bay <= panel.last_bay)


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
    """Every copy of every patch, named ``name#1`` and on."""
    for patch in job.patches:
        outline = rectangle(0.0, 0.0, patch.width, patch.height, patch.corner_radius)
        for copy in range(1, patch.quantity + 1):
            yield Part(f"{patch.name}#{copy}", outline)


def strip_part(job: Job, plan: SidePlan, bay: int, name: str = "") -> Part:
    """The backing strip that closes one bay: from the middle of one post to the middle of the next."""
    opening = plan.lines.openings[bay - 1]
    left = plan.lines.posts[bay - 2] if bay > 1 else opening.x0 - job.land.ends
    right = plan.lines.posts[bay - 1] if bay <= len(plan.lines.posts) else opening.x1 + job.land.ends
    return Part(name, rectangle(0.0, 0.0, right - left, strip_width(job.seam)))


def panel_part(panel: Panel) -> Part:
    """A panel as it is cut."""
    return Part(panel.name, panel.outline, panel.holes)
