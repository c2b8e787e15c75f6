"""How much metal each rivet closes: the sheets that it goes through and what lies behind; lengths for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from nesting.job import Job, Side
from nesting.outline import as_polygon
from nesting.plan import Point, RivetLine, Seam
from nesting.rivets.edges import ON_LINE
from nesting.rivets.griptable import NEAR_THE_END, row_for
from nesting.rivets.lines import SetLine
from nesting.rivets.rules import fine, place_of
from nesting.skin.openings import outline_openings
from nesting.skin.seams import strip_width
from shared.errors import PlannerError


def side_grips(
    job: Job, side: Side, seams: Sequence[Seam], points: Sequence[Point], sheets: Sequence[int]
) -> dict[Point, float]:
    """The metal in mm that each rivet of a side closes; ``sheets`` says how many sheets each goes through.

    Behind the skin lies the post or rail.  Behind a seam on a backing strip lies the strip, which is of the skin's
    metal; only over the posts there is a post behind it as well.
    """
    cloud = shapely.points(np.array(points).reshape(-1, 2))
    strips = [_strip(job, seam) for seam in seams if _on_strip(side, seam)]
    on_strip = _within(strips, cloud)
    openings = [as_polygon(opening.ring) for opening in outline_openings(side)] if strips else []
    between_posts = on_strip & _within(openings, cloud)
    layers = np.array(sheets) + on_strip
    # rounded so that equal stacks compare equal
    grips = np.round(layers * job.skin.thickness + ~between_posts * job.rivets.post_thickness, 9)
    return dict(zip(points, grips.tolist(), strict=True))


def _on_strip(side: Side, seam: Seam) -> bool:
    return seam.after_bay is None and all(abs(rail - seam.start[1]) > ON_LINE for rail in side.rails)


def _strip(job: Job, seam: Seam) -> Polygon:
    half = strip_width(job.seam) / 2
    return box(seam.start[0], seam.start[1] - half, seam.end[0], seam.end[1] + half)


def _within(shapes: Sequence[Polygon], cloud: NDArray[np.object_]) -> NDArray[np.bool_]:
    found = np.zeros(len(cloud), dtype=np.bool_)
    for shape in shapes:
        found |= shapely.intersects(shape, cloud)
    return found


def rivet_line(job: Job, line: SetLine, grips: dict[Point, float]) -> RivetLine:
    """A line with what its rivets close and how long they are.

    Raises PlannerError where rivets of it close a thickness that is not in the table of lengths.
    """
    own = tuple(grips[point] for point in line.points)
    rows = job.rivets.length_table
    if rows:
        _refuse_outside(job, line, {grip for grip in set(own) if row_for(rows, grip) is None})
    usual = min(Counter(own).items(), key=lambda found: (-found[1], found[0]))[0]
    row = row_for(rows, usual)
    path = line.path
    return RivetLine(
        kind=path.kind,
        side=path.side,
        where=line.where,
        panels=path.panels,
        points=line.points,
        counted=line.counted,
        pitch=line.widest or path.pitch,
        grip=usual,
        grips=own,
        length=row.length if row else 0.0,
    )


def _refuse_outside(job: Job, line: SetLine, missing: set[float]) -> None:
    if not missing:
        return
    rows = job.rivets.length_table
    reach = (
        f"{fine(job, min(row.grip_min for row in rows))} to {fine(job, max(row.grip_max for row in rows))}"
    )
    table = "lengths in [rivets]" if job.rivets.lengths else "the built-in table of rivet lengths"
    raise PlannerError(
        f"{place_of(line.path.side)}, {line.where}: its rivets close {fine(job, max(missing))} of metal, and no row of "
        f"{table} does (they go from {reach}); add a row for it to lengths in [rivets], or check post_thickness"
    )


def length_notes(job: Job, grips: Iterable[float]) -> list[str]:
    """What to mind about lengths: none known for the diameter, or a row of the table that is only just enough."""
    rows = job.rivets.length_table
    counts = Counter(grips)
    if not rows and counts:
        return [
            f"for information: no lengths are known for rivets of {fine(job, job.rivets.diameter)}; "
            "write lengths in [rivets] from the maker's table"
        ]
    notes = []
    for grip, count in sorted(counts.items()):
        row = row_for(rows, grip)
        if row is None or grip <= row.grip_max - NEAR_THE_END:
            continue
        longer = [other for other in rows if other.grip_max > row.grip_max]
        if longer:
            after = min(longer, key=lambda other: other.grip_max)
            notes.append(
                f"for information: {count} rivets close {fine(job, grip)}, and a length of {fine(job, row.length)} "
                f"closes {fine(job, row.grip_max)} at most: sealant or a burr may ask for {fine(job, after.length)}"
            )
    return notes
