"""The plot of the trade-off: a step for each number of seams, its bound under it, and a dot for the plan."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from nesting.documents.drawing import Drawing, Layer
from nesting.documents.svg import svg_text
from nesting.documents.tradeplot import tradeoff_plot
from nesting.plan import PlannedJob, TradePoint
from tests.drawn import on_layer, overlapping, texts
from tests.long_plan import long_plan

POINTS = (TradePoint(2, 384.0, 300.0), TradePoint(3, 200.0, 200.0), TradePoint(4, 100.0, 0.0))
"""The hand-made plan has 2 seams and sheets for 384; the scale of these runs from 0 to 400."""


def traded(*points: TradePoint) -> PlannedJob:
    plan = long_plan()
    return replace(plan, plan=replace(plan.plan, tradeoff=points))


def steps(view: Drawing, layer: Layer) -> list[tuple[float, float, float]]:
    """Left, right and height of every level run of a line, the key left out."""
    foot = max(path.vertices[0][1] for path in on_layer(view, Layer.DIMENSION))
    return [
        (a[0], b[0], a[1])
        for path in on_layer(view, layer)
        if path.vertices[0][1] <= foot
        for a, b in pairwise(path.vertices)
        if a[1] == b[1]
    ]


def test_steps_are_as_high_as_what_the_sheets_cost() -> None:
    view = tradeoff_plot(traded(*POINTS))
    heights = [y for _, _, y in steps(view, Layer.CUT)]
    low = min(y for _, _, y in steps(view, Layer.UNDERLAP))
    # the bound of the last is nothing, the foot of the scale: heights over it go as 384 : 200 : 100
    assert [(y - low) / (heights[2] - low) for y in heights] == pytest.approx([3.84, 2.0, 1.0])


def test_bounds_are_dashed_below_and_the_room_between_is_grey() -> None:
    view = tradeoff_plot(traded(*POINTS))
    solid, dashed = steps(view, Layer.CUT), steps(view, Layer.UNDERLAP)
    assert [a[:2] for a in solid] == [b[:2] for b in dashed]
    assert [a[2] - b[2] > 0.1 for a, b in zip(solid, dashed, strict=True)] == [True, False, True]
    assert len(on_layer(view, Layer.STRUCTURE)) == 2


def test_the_plan_is_a_dot_in_the_middle_of_its_step_and_in_the_key() -> None:
    view = tradeoff_plot(traded(*POINTS))
    left, right, height = steps(view, Layer.CUT)[0]
    assert (view.dots[0].x, view.dots[0].y) == pytest.approx(((left + right) / 2, height))
    assert "this plan: 2 seams, 384.00" in texts(view)


def test_a_number_of_seams_that_was_not_asked_leaves_a_gap() -> None:
    view = tradeoff_plot(traded(POINTS[0], POINTS[2]))
    first, last = steps(view, Layer.CUT)
    assert last[0] - first[1] == pytest.approx(first[1] - first[0])


def test_a_single_number_of_seams_is_seen_between_its_neighbours() -> None:
    view = tradeoff_plot(traded(POINTS[0]))
    assert {"1", "2", "3"} <= set(texts(view))
    assert len(steps(view, Layer.CUT)) == 1


def test_where_nothing_is_priced_the_scale_counts_area() -> None:
    plan = traded(*POINTS)
    view = tradeoff_plot(replace(plan, job=replace(plan.job, priced=False)))
    assert any(text.startswith("Sheet area, sq ft") for text in texts(view))


def test_a_scale_that_does_not_begin_at_nothing_says_so() -> None:
    view = tradeoff_plot(traded(TradePoint(2, 384.0, 384.0), TradePoint(3, 380.0, 380.0)))
    assert any("(the scale begins at 3" in text for text in texts(view))


@pytest.mark.parametrize("most", [3, 9, 40])
def test_words_do_not_run_into_one_another(most: int) -> None:
    points = [TradePoint(n, 12345.0 + 100 * (most - n), 12000.0) for n in range(2, most + 1)]
    assert overlapping(tradeoff_plot(traded(*points))) == []


def test_the_plot_has_words_for_a_screen_reader() -> None:
    svg = svg_text(tradeoff_plot(traded(*POINTS)))
    assert "<title>Cost of the sheets for each number of seams</title>" in svg
    assert 'role="img"' in svg


def test_without_a_trade_off_there_is_nothing_to_draw() -> None:
    with pytest.raises(ValueError, match="no trade-off"):
        tradeoff_plot(traded())
