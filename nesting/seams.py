"""Where a seam may lie on a side, and the seams of a chosen set of panels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.job import Hand, RivetRules, SeamKind, SeamRules, Side
from nesting.openings import Opening, outline_openings, post_centres
from nesting.outline import bounds
from nesting.plan import Panel, Seam


@dataclass(frozen=True)
class Level:
    """A height at which rows meet: a rail of the side, or a backing strip that would have to be added.

    ``usable`` is False for a rail too narrow to take a seam.
    """

    height: float
    usable: bool
    backing: bool = False


@dataclass(frozen=True)
class SeamLines:
    """Every line on a side where panels could meet: posts from the left, levels from below."""

    openings: tuple[Opening, ...]
    posts: tuple[float, ...]
    posts_usable: tuple[bool, ...]
    levels: tuple[Level, ...]

    def span(self, bay: int, row: int) -> tuple[float, float] | None:
        """Lower and upper edge of the cell in ``bay`` (from 1) and ``row`` (from 1), None where there is none."""
        opening = self.openings[bay - 1]
        low = self.levels[row - 2].height if row > 1 else opening.y0
        high = self.levels[row - 1].height if row <= len(self.levels) else opening.y1
        low, high = max(low, opening.y0), min(high, opening.y1)
        return (low, high) if high > low + 1e-6 else None


def seam_lines(
    side: Side, rules: SeamRules, rivets: RivetRules, backing_heights: Sequence[float] = ()
) -> SeamLines:
    """The posts and rails of a side, each marked whether its face can take a seam of this kind."""
    needed = face_needed(rules, rivets)
    openings = outline_openings(side)
    rails = [Level(height, side.rail_width >= needed - 1e-9) for height in side.rails]
    strips = [Level(height, True, backing=True) for height in backing_heights]
    levels = sorted(rails + strips, key=lambda level: level.height)
    return SeamLines(
        openings,
        post_centres(openings),
        tuple(width >= needed - 1e-9 for width in side.posts),
        tuple(levels),
    )


def face_needed(rules: SeamRules, rivets: RivetRules) -> float:
    """The width of metal in mm that a seam needs behind it.

    A lap needs its own width; a butt seam needs both rivet lines with their whole rivets.
    """
    if rules.kind is SeamKind.BUTT:
        return rules.butt_gap + 2 * rules.edge_distance + rivets.diameter
    return 2 * rules.reach


def strip_width(rules: SeamRules) -> float:
    """Height in mm of a backing strip: every rivet line keeps its edge distance in the strip too."""
    if rules.kind is SeamKind.BUTT:
        return rules.butt_gap + 4 * rules.edge_distance
    return 2 * rules.reach


def seams_between(panels: Sequence[Panel], lines: SeamLines) -> tuple[Seam, ...]:
    """The seams of one side: each pair of its panels that meet over a post or on a level."""
    seams = []
    for panel in panels:
        for other in panels:
            if panel.last_bay + 1 == other.first_bay:
                seam = _post_seam(panel, other, lines)
                if seam:
                    seams.append(seam)
            if panel.last_row + 1 == other.first_row:
                seams.extend(_level_seams(panel, other, lines))
    return tuple(sorted(seams, key=lambda s: (s.after_bay or 0, s.rail or 0, s.start)))


def _post_seam(left: Panel, right: Panel, lines: SeamLines) -> Seam | None:
    post = left.last_bay
    rows = [
        row
        for row in range(max(left.first_row, right.first_row), min(left.last_row, right.last_row) + 1)
        if lines.span(post, row) and lines.span(post + 1, row)
    ]
    if not rows:
        return None
    spans = [span for row in rows for bay in (post, post + 1) if (span := lines.span(bay, row))]
    low, high = min(s[0] for s in spans), max(s[1] for s in spans)
    # where neither panel ends on a level the seam runs out to the outer edge that both still reach
    foot = max(bounds(left.outline)[1], bounds(right.outline)[1])
    head = min(bounds(left.outline)[3], bounds(right.outline)[3])
    below = [level.height for level in lines.levels if abs(level.height - low) < 1e-6]
    above = [level.height for level in lines.levels if abs(level.height - high) < 1e-6]
    x = lines.posts[post - 1]
    forward_right = left.forward is Hand.RIGHT
    over, under = (right, left) if forward_right else (left, right)
    start = (x, below[0] if below else foot)
    end = (x, above[0] if above else head)
    return Seam(left.side, post, None, start, end, over.name, under.name)


def _level_seams(lower: Panel, upper: Panel, lines: SeamLines) -> list[Seam]:
    """The runs along one level where ``upper`` stands on ``lower``; a bay that the level misses parts them."""
    level = lower.last_row
    height = lines.levels[level - 1].height
    bays = [
        bay
        for bay in range(max(lower.first_bay, upper.first_bay), min(lower.last_bay, upper.last_bay) + 1)
        if lines.span(bay, level) and lines.span(bay, level + 1)
    ]
    runs: list[list[int]] = []
    for bay in bays:
        if runs and runs[-1][-1] == bay - 1:
            runs[-1].append(bay)
        else:
            runs.append([bay])
    seams = []
    for run in runs:
        left = lines.posts[run[0] - 2] if run[0] > 1 else bounds(lower.outline)[0]
        right = lines.posts[run[-1] - 1] if run[-1] <= len(lines.posts) else bounds(lower.outline)[2]
        seams.append(
            Seam(lower.side, None, level, (left, height), (right, height), upper.name, lower.name)
        )
    return seams
