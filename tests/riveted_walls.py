"""Walls of rectangular panels built by rule, for rivet tests: columns of bays, some of them split at a rail.

The front is on the left hand, so the left panel goes over the right one, and the upper over the lower.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from nesting.job import Bay, Hand, Job, RivetRules, SeamRules, Side, Window
from nesting.outline import rectangle
from nesting.plan import Fasteners, Panel, Point, RivetLine, Seam
from nesting.rivets.fasteners import place_fasteners
from tests.hand_plans import DRIVER, HandPlan, base_job


class Wall(NamedTuple):
    """A job with one side, its panels and its seams."""

    job: Job
    panels: tuple[Panel, ...]
    seams: tuple[Seam, ...]


def wall(
    columns: Sequence[Sequence[float]],
    height: float = 1000.0,
    *,
    post: float = 50.0,
    rail: float | None = None,
    split: Sequence[bool] = (),
    rules: SeamRules | None = None,
    rivets: RivetRules | None = None,
    windows: tuple[Window, ...] = (),
    land: float = 25.0,
    forward: Hand = Hand.LEFT,
) -> Wall:
    """A wall whose columns are lists of bay widths; ``split`` says which columns part at the rail."""
    base = base_job()
    rules = rules or base.seam
    widths = [width for column in columns for width in column]
    side = Side(
        name=DRIVER,
        forward=forward,
        bays=tuple(Bay(width, height) for width in widths),
        posts=(post,) * (len(widths) - 1),
        rails=() if rail is None else (rail,),
        rail_width=post,
        windows=windows,
    )
    job = replace(base, seam=rules, rivets=rivets or base.rivets, sides=(side,))
    panels: list[Panel] = []
    seams: list[Seam] = []
    before: list[tuple[Panel, float, float]] = []
    first = 1
    for number, column in enumerate(columns):
        last = first + len(column) - 1
        left = -land if first == 1 else _post_centre(side, first - 1) - rules.reach
        right = side_width(side) + land if last == len(widths) else _post_centre(side, last) + rules.reach
        here = _column(job, (first, last), (left, right), rail if any(split[number : number + 1]) else None)
        named = [
            (replace(panel, name=f"D{len(panels) + i}"), a, b) for i, (panel, a, b) in enumerate(here, 1)
        ]
        panels += [panel for panel, _, _ in named]
        if number:
            seams += _upright(before, named, first - 1, _post_centre(side, first - 1), forward)
        if len(named) == 2:
            a = left if first == 1 else _post_centre(side, first - 1)
            b = right if last == len(widths) else _post_centre(side, last)
            lower, upper = named[0][0].name, named[1][0].name
            assert rail is not None
            seams.append(Seam(DRIVER, None, 1, (a, rail), (b, rail), over=upper, under=lower))
        before, first = named, last + 1
    windowed = tuple(_with_windows(panel, side) for panel in panels)
    return Wall(job, windowed, tuple(seams))


def on_wall(made: Wall) -> Fasteners:
    """The rivets of a wall."""
    return place_fasteners(made.job, made.panels, made.seams)


def placed(made: HandPlan) -> Fasteners:
    """The rivets of a hand plan."""
    return place_fasteners(made.job, made.plan.panels, made.plan.seams)


def lines_of(fasteners: Fasteners, kind: str) -> list[RivetLine]:
    return [line for line in fasteners.lines if line.kind == kind]


def every_rivet(fasteners: Fasteners) -> set[Point]:
    return {point for line in fasteners.lines for point in line.points}


def side_width(side: Side) -> float:
    """From the first bay's left edge to the last bay's right edge."""
    return sum(bay.width for bay in side.bays) + sum(side.posts)


def mirrored_wall(made: Wall) -> Wall:
    """The same wall on the other side of the vehicle: left for right, the front on the right hand."""
    side = made.job.sides[0]
    width, count = side_width(side), len(side.bays)
    windows = tuple(
        replace(
            window,
            bay=count + 1 - window.bay,
            from_left=side.bays[window.bay - 1].width - window.from_left - window.width,
        )
        for window in side.windows
    )
    turned = replace(side, bays=side.bays[::-1], posts=side.posts[::-1], windows=windows, forward=Hand.RIGHT)
    panels = []
    for panel in made.panels:
        xs = [x for x, _, _ in panel.outline]
        ys = [y for _, y, _ in panel.outline]
        outline = rectangle(width - max(xs), min(ys), width - min(xs), max(ys))
        bays = count + 1 - panel.last_bay, count + 1 - panel.first_bay
        plain = replace(panel, outline=outline, first_bay=bays[0], last_bay=bays[1], holes=())
        panels.append(_with_windows(replace(plain, forward=Hand.RIGHT), turned))
    seams = []
    for seam in made.seams:
        (x0, y0), (x1, y1) = seam.start, seam.end
        ends = sorted(((width - x0, y0), (width - x1, y1)))
        post = None if seam.after_bay is None else count - seam.after_bay
        seams.append(replace(seam, after_bay=post, start=ends[0], end=ends[1]))
    return Wall(replace(made.job, sides=(turned,)), tuple(panels), tuple(seams))


def _post_centre(side: Side, post: int) -> float:
    return sum(bay.width for bay in side.bays[:post]) + sum(side.posts[: post - 1]) + side.posts[post - 1] / 2


def _column(
    job: Job, bays: tuple[int, int], xs: tuple[float, float], rail: float | None
) -> list[tuple[Panel, float, float]]:
    """Panels of a column from below, each with the heights between which it can have seams at its sides."""
    side, reach = job.sides[0], job.seam.reach
    low, high = -25.0, side.bays[0].height + 25.0
    rows = 1 if not side.rails else 2

    def panel(y0: float, y1: float, first: int, last: int) -> Panel:
        outline = rectangle(xs[0], y0, xs[1], y1)
        return Panel("", side.name, side.forward, *bays, first, last, outline)

    if rail is None:
        return [(panel(low, high, 1, rows), low, high)]
    return [(panel(low, rail + reach, 1, 1), low, rail), (panel(rail - reach, high, 2, 2), rail, high)]


def _upright(
    left: Sequence[tuple[Panel, float, float]],
    right: Sequence[tuple[Panel, float, float]],
    post: int,
    x: float,
    forward: Hand,
) -> list[Seam]:
    seams = []
    for one, a0, a1 in left:
        for two, b0, b1 in right:
            low, high = max(a0, b0), min(a1, b1)
            if high > low:
                over, under = (one, two) if forward is Hand.LEFT else (two, one)
                seams.append(Seam(DRIVER, post, None, (x, low), (x, high), over.name, under.name))
    return seams


def _with_windows(panel: Panel, side: Side) -> Panel:
    holes = []
    for window in side.windows:
        left = sum(bay.width for bay in side.bays[: window.bay - 1]) + sum(side.posts[: window.bay - 1])
        x, y = left + window.from_left, side.bays[window.bay - 1].sill + window.from_bottom
        xs = [vertex[0] for vertex in panel.outline]
        ys = [vertex[1] for vertex in panel.outline]
        if min(xs) < x < max(xs) and min(ys) < y < max(ys):
            holes.append(rectangle(x, y, x + window.width, y + window.height, window.corner_radius))
    return replace(panel, holes=tuple(holes))
