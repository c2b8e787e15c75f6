"""What each raise takes, as a neutral drawing: money, seams, and how far each width of sheet reaches.

Three pictures over one scale of raises.  A raise is a step as wide as the space between two raises, so that a change
shows as a riser.  Drawn in mm of paper, nothing told apart by colour alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil

from nesting.documents.drawing import Anchor, Drawing, Layer, one_line
from nesting.documents.plotscale import LEFT, RIGHT, Drawn, Frame, Scale, money_scale, round_step, unbroken
from nesting.documents.raises.words import ADVISED_MOST, Headroom, reach_text
from nesting.documents.wording import length_text
from nesting.job import Job
from nesting.outline import rectangle
from nesting.raisetable import Outcome, RaiseRow, Taken
from nesting.skin.raising import one_piece_reaches
from shared.units import SNAP_MM

_WIDE = 280.0
"""Width of the paper."""
_COSTS, _SEAMS, _STRIP = 70.0, 48.0, 9.0
"""Heights of the picture of money, of that of seams, and of one width of sheet."""
_ROOM = 16.0
"""Between two pictures: the words over the lower one."""
_BIG, _SMALL = 3.2, 2.1
"""Cap heights of the title and of numbers."""
_LIMIT_WORDS = 12.0
"""From the upper picture to its heading: room for the words of what should not be passed."""
_WORDS_ON_A_BAR = 110.0
"""Bars shorter than this have their words beside them."""
_FEW_SEAMS = 4


def raise_plot(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None = None) -> Drawing:
    """The plot of a table of raises; rows that are missing or have no plan leave a gap that says so."""
    scale = Scale.over(rows)
    reaches = one_piece_reaches(job)
    strips_top = _ROOM + _STRIP * len(reaches)
    seams = Frame(strips_top + _ROOM, _SEAMS)
    costs = Frame(seams.foot + _SEAMS + _ROOM, _COSTS)
    drawn = Drawn()
    _draw_gaps(drawn, scale, rows, (seams, costs))
    _draw_costs(drawn, scale, costs, job, rows)
    _draw_seams(drawn, scale, seams, rows)
    _draw_reaches(drawn, scale, job, strips_top)
    _draw_limits(drawn, scale, headroom, seams, costs)
    _draw_scale(drawn, scale, job, rows, (seams.foot, _ROOM))
    title = f"{one_line(job.title)}: what each raise takes"
    drawn.words(0.0, costs.top + _LIMIT_WORDS + 8.0, title, _BIG, Anchor.START)
    extents = (0.0, 0.0, _WIDE, costs.top + _LIMIT_WORDS + 12.0)
    return Drawing("raise", title, extents, tuple(drawn.paths), (), tuple(drawn.labels))


def _draw_costs(drawn: Drawn, scale: Scale, frame: Frame, job: Job, rows: Sequence[RaiseRow]) -> None:
    """All that is to pay as a solid line, the sheets alone as dashes; where nothing is priced, the area of sheet."""
    taken = [row.taken for row in rows if row.taken]
    _draw_frame(drawn, frame)
    if not taken:
        return
    lines: list[tuple[str, Callable[[Taken], float], Layer]] = [("", lambda t: t.sheet_cost, Layer.CUT)]
    if job.priced and any(t.total != t.sheet_cost for t in taken):
        lines = [
            ("sheets alone", lambda t: t.sheet_cost, Layer.UNDERLAP),
            ("all that is to pay", lambda t: t.total, Layer.CUT),
        ]
    values = [worth(t) for _, worth, _ in lines for t in taken]
    low, high, step = money_scale(min(values), max(values))
    area = f"Area of sheet, {'sq ft' if job.units.value == 'in' else 'm2'}"
    what = area if not job.priced else "Money" if len(lines) > 1 else "Price of the sheets"
    above_nothing = f" (the scale begins at {low:,.0f})" if low > 0 else ""
    heading = frame.top + _LIMIT_WORDS
    drawn.words(LEFT, heading, what + above_nothing, anchor=Anchor.START)
    _key(drawn, heading, LEFT + (60.0 if low > 0 else 18.0), [(text, layer) for text, _, layer in lines])

    def y(value: float) -> float:
        return frame.foot + frame.height * (value - low) / (high - low)

    for count in range(round((high - low) / step) + 1):
        at = low + count * step
        drawn.line(Layer.DIMENSION, (LEFT - 1.2, y(at)), (LEFT, y(at)))
        drawn.words(LEFT - 2.0, y(at), f"{at:,.10g}", anchor=Anchor.END, layer=Layer.DIMENSION)
    for _, worth, layer in lines:
        for stretch in unbroken(rows, scale):
            points = [(x, y(worth(t))) for row, t in stretch for x in scale.span(row)]
            drawn.line(layer, *points)


def _key(drawn: Drawn, y: float, x: float, lines: Sequence[tuple[str, Layer]]) -> None:
    """Which line is which, from ``x`` on; a single line needs no key."""
    for text, layer in reversed(lines) if len(lines) > 1 else ():
        drawn.line(layer, (x, y), (x + 10.0, y))
        drawn.words(x + 12.0, y, text, anchor=Anchor.START)
        x += 44.0


def _draw_seams(drawn: Drawn, scale: Scale, frame: Frame, rows: Sequence[RaiseRow]) -> None:
    """A bar for each raise: seams over posts below in grey, level ones on top in white, their sum over it."""
    taken = [row.taken for row in rows if row.taken]
    most = max((t.seams for t in taken), default=0)
    step = max(1, round(round_step(max(most, _FEW_SEAMS) / 4)))
    high = step * ceil(max(most, _FEW_SEAMS) * 1.08 / step)
    y = frame.top + 4.0
    drawn.words(LEFT, y, "Seams", anchor=Anchor.START)
    for x, text, layer in (
        (LEFT + 48.0, "level", Layer.SHEET),
        (LEFT + 18.0, "over posts", Layer.STRUCTURE),
    ):
        drawn.area(layer, rectangle(x, y - 1.6, x + 6.0, y + 1.6))
        drawn.words(x + 8.0, y, text, anchor=Anchor.START)
    for row in rows:
        if row.taken is None:
            continue
        left, right = scale.span(row)
        middle = frame.foot + frame.height * row.taken.post_seams / high
        top = frame.foot + frame.height * row.taken.seams / high
        if row.taken.post_seams:
            drawn.area(Layer.STRUCTURE, rectangle(left, frame.foot, right, middle))
        if row.taken.level_seams:
            drawn.area(Layer.SHEET, rectangle(left, middle, right, top))
    for stretch in unbroken(rows, scale):
        points = [
            (x, frame.foot + frame.height * t.seams / high) for row, t in stretch for x in scale.span(row)
        ]
        drawn.line(Layer.CUT, *points)
    for row in rows[:: scale.stride]:
        if row.taken is not None:
            top = frame.foot + frame.height * row.taken.seams / high
            drawn.words(scale.x(row.raise_height), top + 2.6, str(row.taken.seams), _SMALL)
    for count in range(0, high + 1, step):
        at = frame.foot + frame.height * count / high
        drawn.line(Layer.DIMENSION, (LEFT - 1.2, at), (LEFT, at))
        drawn.words(LEFT - 2.0, at, str(count), anchor=Anchor.END, layer=Layer.DIMENSION)
    _draw_frame(drawn, frame)


def _draw_reaches(drawn: Drawn, scale: Scale, job: Job, top: float) -> None:
    """A bar for each width of sheet, as far as one piece covers the height, with words on it."""
    drawn.words(
        LEFT, top + 4.0, "One piece from land to land, across the width of the sheet", anchor=Anchor.START
    )
    for number, reach in enumerate(one_piece_reaches(job)):
        foot = top - _STRIP * (number + 1)
        end = LEFT
        if reach.most is not None and reach.most >= scale.first + scale.step / 2 - SNAP_MM:
            end = scale.after(reach.most)
            drawn.area(Layer.STRUCTURE, rectangle(LEFT, foot + 1.2, end, foot + _STRIP - 1.2))
            if scale.holds(reach.most):
                drawn.line(Layer.CUT, (end, foot + 0.4), (end, foot + _STRIP - 0.4))
        beside = end + 2.0 if end < LEFT + _WORDS_ON_A_BAR else LEFT + 1.5
        drawn.words(beside, foot + _STRIP / 2, reach_text(job, reach), anchor=Anchor.START)
    drawn.line(Layer.DIMENSION, (LEFT, _ROOM), (RIGHT, _ROOM))


def _draw_gaps(drawn: Drawn, scale: Scale, rows: Sequence[RaiseRow], frames: Sequence[Frame]) -> None:
    """Where there is no plan: an area over the pictures with the reason, said once for neighbours alike."""
    runs: list[tuple[Outcome, float, float]] = []
    for row in rows:
        if row.taken is not None:
            continue
        left, right = scale.span(row)
        if runs and runs[-1][0] is row.outcome and abs(runs[-1][2] - left) < SNAP_MM:
            left = runs.pop()[1]
        runs.append((row.outcome, left, right))
    for outcome, left, right in runs:
        for frame in frames:
            drawn.area(Layer.OFFCUT, rectangle(left, frame.foot, right, frame.top))
            drawn.words((left + right) / 2, frame.foot + frame.height / 2, outcome.value, turn=90.0)


def _draw_limits(drawn: Drawn, scale: Scale, headroom: Headroom | None, seams: Frame, costs: Frame) -> None:
    """What should not be passed, with its words over the upper picture: a raise of 16 in, the limit of height."""
    limits = [(ADVISED_MOST, "more is advised against")]
    if headroom is not None and headroom.most is not None:
        limits.append((headroom.most - headroom.now, "limit of height"))
    for row, (raise_height, text) in enumerate(limits):
        if scale.holds(raise_height):
            x, y = scale.after(raise_height), costs.top + 6.2 - 3.8 * row
            drawn.line(Layer.MARK, (x, seams.foot), (x, seams.top))
            drawn.line(Layer.MARK, (x, costs.foot), (x, y + 1.0))
            on_the_left = x > RIGHT - 50.0
            anchor = Anchor.END if on_the_left else Anchor.START
            drawn.words(x + (-1.5 if on_the_left else 1.5), y, text, anchor=anchor)


def _draw_scale(
    drawn: Drawn, scale: Scale, job: Job, rows: Sequence[RaiseRow], feet: Sequence[float]
) -> None:
    """The raises along the foot of each picture."""
    for foot in feet:
        for row in rows[:: scale.stride]:
            x = scale.x(row.raise_height)
            drawn.line(Layer.DIMENSION, (x, foot), (x, foot - 1.2))
            text = length_text(row.raise_height, job.units)
            drawn.words(x, foot - 3.6, text, _SMALL, layer=Layer.DIMENSION)
    drawn.words((LEFT + RIGHT) / 2, feet[-1] - 9.5, f"Raise, {job.units.value}", layer=Layer.DIMENSION)


def _draw_frame(drawn: Drawn, frame: Frame) -> None:
    drawn.line(Layer.DIMENSION, (LEFT, frame.top), (LEFT, frame.foot), (RIGHT, frame.foot))
