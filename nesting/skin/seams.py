"""Where a seam may lie on a side, how far it runs there, and the seams of a chosen set of panels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from nesting.job import Hand, Job, RivetRules, SeamKind, SeamRules, Side, Window
from nesting.outline import Ring, bounds
from nesting.plan import Panel, Seam
from nesting.skin.openings import (
    Opening,
    heights_on,
    outline_openings,
    post_centres,
    post_faces,
    skin_outline,
    window_hole,
)
from nesting.skin.ringcuts import crossings, inner_stretches

SAME_HEIGHT = 1e-6
"""mm: heights nearer than this are one height."""

Span = tuple[float, float]


@dataclass(frozen=True)
class Level:
    """A height at which rows meet: a rail of the side, or a backing strip that would have to be added."""

    height: float
    backing: bool = False


@dataclass(frozen=True)
class SeamLines:
    """Every line on a side where panels could meet: posts from the left, levels from below.

    Cells are named by bay and row, both from 1; posts and levels count from 1 too.  No seam may lie on a post
    in ``barred_posts``, nor on a level in a bay where (level, bay) is in ``barred_levels``: the face is too
    narrow, or a window is in the way.
    """

    openings: tuple[Opening, ...]
    posts: tuple[float, ...]
    levels: tuple[Level, ...]
    barred_posts: frozenset[int]
    barred_levels: frozenset[tuple[int, int]]
    skin: Ring
    """The side closed in one piece."""
    post_heights: tuple[Span, ...]
    """Lower and upper edge of the skin on each post's centre line."""

    def span(self, bay: int, row: int) -> Span | None:
        """Lower and upper edge of a cell, None where there is none."""
        opening = self.openings[bay - 1]
        low = self.levels[row - 2].height if row > 1 else opening.y0
        high = self.levels[row - 1].height if row <= len(self.levels) else opening.y1
        low, high = max(low, opening.y0), min(high, opening.y1)
        return (low, high) if high > low + SAME_HEIGHT else None

    def meets(self, post: int, row: int) -> bool:
        """True where a row has cells on both hands of a post."""
        return self.span(post, row) is not None and self.span(post + 1, row) is not None

    def parts(self, level: int, bay: int) -> bool:
        """True where a level divides a bay; the top row has no level over it."""
        return (
            level <= len(self.levels)
            and self.span(bay, level) is not None
            and self.span(bay, level + 1) is not None
        )

    def post_run(self, post: int, row: int) -> Span:
        """How far a seam over a post runs in a row that has cells on both hands of it.

        It ends on a level where skin goes on beyond, else where the centre line meets the skin's outer edge.
        """
        low, high = self.post_heights[post - 1]
        if row > 1 and any(self.span(bay, row - 1) for bay in (post, post + 1)):
            level = self.levels[row - 2].height
            low = level if self.meets(post, row - 1) else max(low, level)
        if row <= len(self.levels) and any(self.span(bay, row + 1) for bay in (post, post + 1)):
            level = self.levels[row - 1].height
            high = level if self.meets(post, row + 1) else min(high, level)
        return low, high

    def level_run(self, height: float, bay: int) -> Span:
        """How far a level seam at a height runs in a bay that it divides: between post centres, or to the land."""
        left = self.posts[bay - 2] if bay > 1 else None
        right = self.posts[bay - 1] if bay <= len(self.posts) else None
        if left is None or right is None:
            ends = crossings(self.skin, 1, height) or [bounds(self.skin)[0], bounds(self.skin)[2]]
            left, right = ends[0] if left is None else left, ends[-1] if right is None else right
        return left, right


def seam_lines(job: Job, side: Side, backing_heights: Sequence[float] = ()) -> SeamLines:
    """The posts, rails and backing heights of a side, and where on them a seam of the job's kind may lie."""
    needed = face_needed(job.seam, job.rivets) - SAME_HEIGHT
    openings = outline_openings(side)
    posts = post_centres(openings)
    # the least of what was told and of what leaning posts leave: a sum of lengths may be a hair off
    faces = [min(pair) for pair in zip(side.posts, post_faces(openings), strict=False)]
    skin = skin_outline(openings, job.land)
    levels = [Level(height) for height in side.rails]
    levels += [Level(height, backing=True) for height in backing_heights]
    levels.sort(key=lambda level: level.height)
    barred = [
        (low, high, window.bay) for window in side.windows for low, high in [window_zone(job, side, window)]
    ]
    # a rail without a width of its own is as wide as the posts
    narrow = (side.rail_width or min(side.posts, default=0.0)) < needed
    return SeamLines(
        openings,
        posts,
        tuple(levels),
        barred_posts=frozenset(post for post, width in enumerate(faces, start=1) if width < needed),
        barred_levels=frozenset(
            (number, bay)
            for number, level in enumerate(levels, start=1)
            for bay in range(1, len(openings) + 1)
            if (narrow and not level.backing)
            or any(low < level.height < high and bay == own for low, high, own in barred)
            or len(inner_stretches(openings[bay - 1].ring, 1, level.height)) > 1
        ),
        skin=skin,
        post_heights=tuple(heights_on(skin, x) for x in posts),
    )


def window_zone(job: Job, side: Side, window: Window) -> Span:
    """Heights between which no seam may lie in a window's bay: the hole, and what the seam needs beside it.

    A lap must not reach under the hole; at a butt seam some metal must be left between its edge and the hole.
    """
    _, low, _, high = bounds(window_hole(window, outline_openings(side)))
    clear = job.seam.reach
    if job.seam.kind is SeamKind.BUTT:
        clear = job.seam.edge_distance - job.seam.reach
    return low - clear, high + clear


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


def strip_size(rules: SeamRules, lines: SeamLines, height: float, bay: int) -> tuple[float, float]:
    """Length and width of the backing strip at a height across a bay, from the middle of one post to the next."""
    left, right = lines.level_run(height, bay)
    return right - left, strip_width(rules)


def seams_between(panels: Sequence[Panel], lines: SeamLines) -> tuple[Seam, ...]:
    """The seams of one side: each pair of its panels that meet over a post or on a level, left ones first."""
    seams: list[Seam] = []
    for panel, other in product(panels, repeat=2):
        if panel.last_bay + 1 == other.first_bay:
            seams.extend(_post_seams(panel, other, lines))
        if panel.last_row + 1 == other.first_row:
            seams.extend(_level_seams(panel, other, lines))
    return tuple(sorted(seams, key=lambda seam: (seam.after_bay or 0, seam.rail or 0, seam.start)))


def _post_seams(left: Panel, right: Panel, lines: SeamLines) -> list[Seam]:
    """The run along a post where two panels stand side by side; the one towards the front lies outside."""
    post, x = left.last_bay, lines.posts[left.last_bay - 1]
    rows = range(max(left.first_row, right.first_row), min(left.last_row, right.last_row) + 1)
    runs = [lines.post_run(post, row) for row in rows if lines.meets(post, row)]
    if not runs:
        return []
    over, under = (right, left) if left.forward is Hand.RIGHT else (left, right)
    return [Seam(left.side, post, None, (x, runs[0][0]), (x, runs[-1][1]), over.name, under.name)]


def _level_seams(lower: Panel, upper: Panel, lines: SeamLines) -> list[Seam]:
    """The runs along a level where one panel stands on another; a bay that the level misses parts them."""
    level = lower.last_row
    height = lines.levels[level - 1].height
    runs: list[Span] = []
    for bay in range(max(lower.first_bay, upper.first_bay), min(lower.last_bay, upper.last_bay) + 1):
        if not lines.parts(level, bay):
            continue
        left, right = lines.level_run(height, bay)
        if runs and runs[-1][1] == left:
            left = runs.pop()[0]
        runs.append((left, right))
    return [
        Seam(lower.side, None, level, (left, height), (right, height), upper.name, lower.name)
        for left, right in runs
    ]
