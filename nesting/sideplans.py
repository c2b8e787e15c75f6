"""Each side with its seam lines and the panels to choose among, backing strips where nothing else helps."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.backing import backing_heights, uncovered_cells
from nesting.job import Job, Side
from nesting.nothingfits import too_big, too_little
from nesting.panels import Candidate, candidate_panels
from nesting.seams import SeamLines, seam_lines
from shared.errors import NothingFits


@dataclass(frozen=True)
class SidePlan:
    """A side with its seam lines and candidate panels."""

    side: Side
    lines: SeamLines
    candidates: tuple[Candidate, ...]


def side_plans(job: Job) -> tuple[SidePlan, ...]:
    """Every side made ready for the programme.

    Raises NothingFits where some bay or patch fits no sheet and no seam helps, naming the sheet that would
    do, and where the sheets that are available are too few by their area alone.
    """
    plans = []
    bare = []
    for side in job.sides:
        lines = seam_lines(job, side)
        plan = SidePlan(side, lines, candidate_panels(job, side, lines))
        cells = uncovered_cells(lines, plan.candidates)
        if cells:
            stripped = seam_lines(job, side, backing_heights(job, side, lines, cells))
            plan = SidePlan(side, stripped, candidate_panels(job, side, stripped))
            still_bare = {bay for bay, _ in uncovered_cells(stripped, plan.candidates)}
            bare += [(side, lines, cell) for cell in cells if cell[0] in still_bare]
        plans.append(plan)
    message = too_big(job, bare) or too_little(job)
    if message:
        raise NothingFits(message)
    return tuple(plans)
