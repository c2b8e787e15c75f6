"""Each side with its seam lines and the panels to choose among, backing strips where nothing else helps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.job import Job, Side
from nesting.skin.backing import Bare, backing_heights, uncovered_cells
from nesting.skin.fixing import candidates_around, strip_heights
from nesting.skin.nothingfits import too_big, too_little
from nesting.skin.panels import Candidate, candidate_panels
from nesting.skin.seams import SeamLines, seam_lines
from shared.errors import NothingFits


@dataclass(frozen=True)
class SidePlan:
    """A side with its seam lines and candidate panels."""

    side: Side
    lines: SeamLines
    candidates: tuple[Candidate, ...]

    def uncovered(self) -> list[Bare]:
        """Every cell that no candidate closes."""
        return uncovered_cells(self.lines, self.candidates)


def plain_side_plan(job: Job, side: Side, more_heights: Sequence[float] = ()) -> SidePlan:
    """A side on its rails, on the backing strips that are there, and on those at ``more_heights``."""
    lines = seam_lines(job, side, (*strip_heights(job, side), *more_heights))
    return SidePlan(side, lines, candidates_around(job, side, lines, candidate_panels(job, side, lines)))


def side_plans(job: Job) -> tuple[SidePlan, ...]:
    """Every side made ready for the programme.

    Raises NothingFits where some bay or patch fits no sheet and no seam helps, naming the sheet that would
    do, and where the sheets that are available are too few by their area alone.
    """
    plans = []
    bare = []
    for side in job.sides:
        plan = plain_side_plan(job, side)
        cells = plan.uncovered()
        if cells:
            lines = plan.lines
            plan = plain_side_plan(job, side, backing_heights(job, side, lines, cells))
            still_bare = {bay for bay, _ in plan.uncovered()}
            bare += [(side, lines, cell) for cell in cells if cell[0] in still_bare]
        plans.append(plan)
    cut = [candidate.panel for plan in plans for candidate in plan.candidates if candidate.panel.cut]
    message = too_big(job, bare) or too_little(job, cut)
    if message:
        raise NothingFits(message)
    return tuple(plans)
