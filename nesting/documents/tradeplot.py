"""The trade-off of a plan as a neutral drawing: what sheets cost for each number of seams, and what is proved of it."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from nesting.documents.drawing import Anchor, Dot, Drawing, Layer
from nesting.documents.plotscale import Drawn, money_scale
from nesting.documents.wording import worth_text
from nesting.outline import rectangle
from nesting.plan import PlannedJob

_WIDE = 120.0
_LEFT, _RIGHT = 20.0, 119.0
_FOOT, _TOP = 16.0, 60.0
"""The frame on the paper, in mm."""
_KEY = 6.5
"""From one line of the key to the next."""
_WORDS = 3.0
"""Cap height."""
_MOST_NUMBERS = 12
"""Along the foot; more would run into one another."""


def tradeoff_plot(planned: PlannedJob) -> Drawing:
    """Each number of seams is a step: the least that was found as a solid line, the proved bound dashed.

    What lies between the two, where it can still be cheaper, is grey.  The plan itself is a dot with its words.
    Drawn in mm of paper, nothing told apart by colour alone.  Raises ValueError for a plan without a trade-off.
    """
    plan, job = planned.plan, planned.job
    points = sorted(plan.tradeoff, key=lambda point: point.seams)
    if not points:
        raise ValueError("this plan has no trade-off to draw")
    seams = [len(plan.seams), *(point.seams for point in points)]
    first, last = min(seams), max(seams)
    if first == last:
        # a single step has a neighbour on either side to be seen against
        first, last = first - 1, last + 1
    worths = [plan.sheet_cost]
    worths += [worth for point in points for worth in (point.sheet_cost, point.bound)]
    low, high, tick = money_scale(min(worths), max(worths))

    def x(count: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (count - first + 0.5) / (last - first + 1)

    def y(worth: float) -> float:
        return _FOOT + (_TOP - _FOOT) * (worth - low) / (high - low)

    drawn = Drawn()
    drawn.line(Layer.DIMENSION, (_LEFT, _TOP), (_LEFT, _FOOT), (_RIGHT, _FOOT))
    for count in range(round((high - low) / tick) + 1):
        at = low + count * tick
        drawn.line(Layer.DIMENSION, (_LEFT - 1.2, y(at)), (_LEFT, y(at)))
        drawn.words(_LEFT - 2.2, y(at), f"{at:,.10g}", _WORDS, Anchor.END, layer=Layer.DIMENSION)
    for count in range(max(0, first), last + 1, ceil((last - first + 1) / _MOST_NUMBERS)):
        drawn.line(Layer.DIMENSION, (x(count), _FOOT), (x(count), _FOOT - 1.2))
        drawn.words(x(count), _FOOT - 4.0, str(count), _WORDS, layer=Layer.DIMENSION)
    drawn.words((_LEFT + _RIGHT) / 2, _FOOT - 10.5, "Seams", _WORDS, layer=Layer.DIMENSION)
    for point in points:
        if y(point.sheet_cost) - y(point.bound) > _HARDLY:
            between = rectangle(
                x(point.seams - 0.5), y(point.bound), x(point.seams + 0.5), y(point.sheet_cost)
            )
            drawn.area(Layer.STRUCTURE, between)
    for layer, values in (
        (Layer.UNDERLAP, [(point.seams, point.bound) for point in points]),
        (Layer.CUT, [(point.seams, point.sheet_cost) for point in points]),
    ):
        for run in _runs(values):
            drawn.line(layer, *((x(n + side), y(worth)) for n, worth in run for side in (-0.5, 0.5)))
    _draw_key(drawn, _unit(planned), low)
    foot = _TOP + 1.3 * _KEY
    count = len(plan.seams)
    said = f"this plan: {count} {'seam' if count == 1 else 'seams'}, {worth_text(job, plan.sheet_cost)}"
    drawn.words(15.0, foot, said, _WORDS, Anchor.START)
    dots = tuple(
        Dot(at_x, at_y, 4.0, Layer.RIVET) for at_x, at_y in ((x(count), y(plan.sheet_cost)), (7.0, foot))
    )
    title = f"{'Cost' if job.priced else 'Area'} of the sheets for each number of seams"
    return Drawing(
        "tradeoff", title, (0.0, 2.0, _WIDE, _TOP + 3.8 * _KEY), tuple(drawn.paths), dots, tuple(drawn.labels)
    )


_HARDLY = 0.2
"""mm: two lines nearer than this are one to the eye."""


def _unit(planned: PlannedJob) -> str:
    if planned.job.priced:
        return "Sheets cost"
    return f"Sheet area, {'sq ft' if planned.job.units.value == 'in' else 'm2'}"


def _draw_key(drawn: Drawn, what: str, low: float) -> None:
    """What the scale counts and which line is which, over the frame."""
    begins = f" (the scale begins at {low:,.10g})" if low > 0 else ""
    drawn.words(1.0, _TOP + 3.3 * _KEY, what + begins, _WORDS, Anchor.START)
    for at, layer, text in (
        (1.0, Layer.CUT, "least found"),
        (46.0, Layer.UNDERLAP, "proved: never below this"),
    ):
        drawn.line(layer, (at, _TOP + 2.3 * _KEY), (at + 12.0, _TOP + 2.3 * _KEY))
        drawn.words(at + 14.0, _TOP + 2.3 * _KEY, text, _WORDS, Anchor.START)


def _runs(values: Sequence[tuple[int, float]]) -> list[list[tuple[int, float]]]:
    """Stretches of neighbouring numbers of seams; a number that was not asked leaves a gap."""
    runs: list[list[tuple[int, float]]] = []
    for value in values:
        if runs and value[0] == runs[-1][-1][0] + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return runs
