"""Rivets at real positions along seams, edges, posts, rails, windows and patches, and the boxes to buy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, gcd

import numpy as np
import shapely
from numpy.typing import NDArray

from nesting.job import Job, Pack, Side
from nesting.outline import as_polygon
from nesting.plan import Fasteners, Panel, PanelRivets, Point, RivetLength, Seam
from nesting.rivets.grips import length_notes, rivet_line, side_grips
from nesting.rivets.griptable import SAME_LENGTH, closed_by, rivet_lengths
from nesting.rivets.lines import SetLine, rivets_expected, set_rivets
from nesting.rivets.paths import LinePath, patch_paths, side_paths
from nesting.rivets.polylines import MEET
from nesting.rivets.rules import (
    bare_seam_warnings,
    edge_warning,
    has_two_rows,
    line_warnings,
    narrow_patch_warnings,
    narrow_warnings,
    pile_warning,
    rule_warnings,
)
from shared.errors import PlannerError
from shared.tables import PITCH_LEAST

MOST_RIVETS = 1_000_000
"""More than this on one body is a slip in the job, and would take minutes to set."""

_NOISE = 1e-6


def place_fasteners(job: Job, panels: Sequence[Panel], seams: Sequence[Seam]) -> Fasteners:
    """Every rivet of the panels and of the riveted patches, and the boxes that hold enough of them.

    Positions are in mm: in side coordinates on a side, from the lower left corner of the patch round a patch
    (its lines have the side "").  A line's ``pitch`` is the widest spacing on it, its ``grip`` what most of its
    rivets close: every sheet that they go through, and the post.  Lines that cross share a rivet, counted by the
    first of seam, edge, post, rail, window.  A panel's rivets are all that go through its sheet.  Raises
    PlannerError when there would be more than a million rivets, and where no length closes what a line closes.
    """
    least = PITCH_LEAST.value * job.rivets.diameter
    sides = []
    narrow: list[str] = []
    for side in job.sides:
        own = [panel for panel in panels if panel.side == side.name]
        meeting = [seam for seam in seams if seam.side == side.name]
        paths = side_paths(job, side, own, meeting)
        narrow += narrow_warnings(side.name, own, paths) + bare_seam_warnings(side.name, meeting, paths)
        sides.append((side, own, meeting, paths))
    patches = _riveted_patches(job)
    _refuse_too_many([*(paths for *_, paths in sides), *patches], least)
    narrow += narrow_patch_warnings(job)
    riveted = [_on_side(job, *each) for each in sides] + [_on_patch(job, paths) for paths in patches]
    lines = [line for each in riveted for line in each.lines]
    grips = [grip for each in riveted for grip in each.grips.values()]
    total = sum(line.counted for line in lines)
    lengths = with_boxes(rivet_lengths(job.rivets, grips), job.rivets.packs)
    to_buy, packs = ceil(total * (1 + job.rivets.spare) - _NOISE), job.rivets.packs
    by_length = bool(lengths) and any(pack.length is not None for pack in packs)
    if by_length:
        to_buy = sum(length.to_buy for length in lengths)
    return Fasteners(
        lines=tuple(
            rivet_line(job, line, each.grips) for each in riveted for line in each.lines if line.points
        ),
        panels=tuple(held for each in riveted for held in each.held),
        total=total,
        to_buy=to_buy,
        packs=tuple(box for length in lengths for box in length.packs)
        if by_length
        else cheapest_boxes(to_buy, packs),
        warnings=(
            *narrow,
            *rule_warnings(job, [line.path for line in lines]),
            *line_warnings(job, lines),
            *(text for each in riveted for text in each.warnings),
            *length_notes(job, grips),
        ),
        lengths=lengths,
    )


@dataclass(frozen=True)
class _Riveted:
    """The lines of a side or of one copy of a patch, and what each of their rivets closes in mm."""

    lines: list[SetLine]
    grips: dict[Point, float]
    held: list[PanelRivets]
    warnings: list[str]


def _on_side(
    job: Job, side: Side, panels: Sequence[Panel], seams: Sequence[Seam], paths: Sequence[LinePath]
) -> _Riveted:
    least = PITCH_LEAST.value * job.rivets.diameter
    lines = set_rivets(paths, least, _least_apart(job, least))
    points = _single(lines)
    through = _sheets_through(panels, points)
    sheets = through.sum(axis=0).tolist()
    warnings = edge_warning(job, side.name, panels, lines, points) + pile_warning(job, side.name, sheets)
    return _Riveted(lines, side_grips(job, side, seams, points, sheets), _held(panels, through), warnings)


def _on_patch(job: Job, paths: Sequence[LinePath]) -> _Riveted:
    least = PITCH_LEAST.value * job.rivets.diameter
    lines = set_rivets(paths, least, least)
    points = _single(lines)
    held = [PanelRivets(name, len(points), 0) for name in paths[0].panels]
    return _Riveted(lines, dict.fromkeys(points, closed_by(1, job.skin, job.rivets)), held, [])


def _single(lines: Iterable[SetLine]) -> list[Point]:
    """Every rivet once, however many lines it is on."""
    return list(dict.fromkeys(point for line in lines for point in line.points))


def with_boxes(lengths: Iterable[RivetLength], packs: Sequence[Pack]) -> tuple[RivetLength, ...]:
    """The lengths with the cheapest boxes of each, where some pack of the job names a length.

    A length that no pack names is filled from those without one; packs without any length are for all together.
    """
    if all(pack.length is None for pack in packs):
        return tuple(lengths)
    unnamed = [pack for pack in packs if pack.length is None]
    return tuple(
        replace(each, packs=cheapest_boxes(each.to_buy, own or unnamed))
        for each in lengths
        for own in ([pack for pack in packs if is_length(pack, each.length)],)
    )


def is_length(pack: Pack, length: float) -> bool:
    """Whether a box holds rivets of a length in mm."""
    return pack.length is not None and abs(pack.length - length) <= SAME_LENGTH


def cheapest_boxes(needed: int, packs: Iterable[Pack]) -> tuple[tuple[int, int, float], ...]:
    """The cheapest mix of boxes that holds ``needed`` rivets: (rivets in a box, boxes, price of a box).

    Of equally cheap mixes the one with fewer boxes; big boxes first.  Empty without packs or without need.
    """
    prices: dict[int, float] = {}
    for pack in packs:
        if pack.count > 0:
            prices[pack.count] = min(pack.price, prices.get(pack.count, pack.price))
    if needed <= 0 or not prices:
        return ()
    # Any ``best`` boxes of other sizes hold some that add up to a multiple of ``best``, which boxes of the
    # size cheapest for each rivet replace at no higher price: so others never hold more than this, and all
    # above it comes in such boxes.
    best = min(prices, key=lambda count: (round(prices[count] / count, 9), -count))
    whole = max(0, (needed - best * max(prices)) // best)
    unit = gcd(*prices)
    rest = -(-(needed - whole * best) // unit)
    steps = sorted(((count // unit, price) for count, price in prices.items()), reverse=True)
    least: list[tuple[float, int]] = [(0.0, 0)]
    chosen = [0]
    for covered in range(1, rest + 1):
        value, boxes, step = min(
            (round(least[max(0, covered - step)][0] + price, 6), least[max(0, covered - step)][1] + 1, -step)
            for step, price in steps
        )
        least.append((value, boxes))
        chosen.append(-step)
    boxes_of = dict.fromkeys(sorted(prices, reverse=True), 0)
    boxes_of[best] += whole
    while rest > 0:
        boxes_of[chosen[rest] * unit] += 1
        rest -= chosen[rest]
    return tuple((count, boxes, prices[count]) for count, boxes in boxes_of.items() if boxes)


def _riveted_patches(job: Job) -> list[list[LinePath]]:
    """The lines of each copy that has room for any."""
    copies = (
        patch_paths(job, patch, f"{patch.name}#{copy}")
        for patch in job.patches
        if patch.riveted
        for copy in range(1, patch.quantity + 1)
    )
    return [paths for paths in copies if paths]


def _refuse_too_many(groups: Iterable[Sequence[LinePath]], least: float) -> None:
    expected = sum(rivets_expected(lines, least) for lines in groups)
    if expected > MOST_RIVETS:
        raise PlannerError(
            f"rivets: the pitches asked for would take about {floor(expected):,} rivets, and no more than "
            f"{MOST_RIVETS:,} are planned; check seam_pitch, edge_pitch, post_pitch and diameter"
        )


def _least_apart(job: Job, least: float) -> float:
    """Two rows may be nearer to one another than the rivets of a row, if the job says so."""
    return min(least, job.seam.row_spacing) if has_two_rows(job) else least


def _sheets_through(panels: Sequence[Panel], points: Sequence[Point]) -> NDArray[np.bool_]:
    """For each panel, which of the rivets go through its sheet; one on the very edge does not hold it."""
    cloud = shapely.points(np.array(points).reshape(-1, 2))
    through = np.zeros((len(panels), len(points)), dtype=np.bool_)
    for row, panel in enumerate(panels):
        through[row] = shapely.contains(as_polygon(panel.outline, panel.holes).buffer(-MEET), cloud)
    return through


def _held(panels: Sequence[Panel], through: NDArray[np.bool_]) -> list[PanelRivets]:
    with_others = through.sum(axis=0) > 1
    return [
        PanelRivets(panel.name, int(row.sum()), int((row & with_others).sum()))
        for panel, row in zip(panels, through, strict=True)
    ]
