"""The trade-off on the packet's first page: a table, and beside it the plot where there is one to look at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Table

from nesting.documents.drawing import Drawing
from nesting.documents.paper import sheet as paper_sheet
from nesting.documents.paper import tradeoff as paper_tradeoff
from nesting.documents.paper.decision import decision_page
from nesting.documents.paper.drawn import View
from nesting.documents.paper.sheet import FOOT, MARGIN, Flow, write_pages
from nesting.documents.tradeplot import tradeoff_plot
from nesting.plan import PlannedJob, TradePoint
from tests.drawn import overlapping
from tests.long_plan import long_plan
from tests.test_printed import pages_of

Area = tuple[float, float, float, float]


def traded(count: int, cheapest: float = 300.0, ruled_out: float = 5.0) -> PlannedJob:
    """The long plan, which has two seams and sheets of 384, with points for 2, 3 ... seams, cheaper by 10 each."""
    plan = long_plan()
    points = [TradePoint(2, 384.0, 384.0)]
    for n in range(1, count):
        cost = cheapest + 10.0 * (count - 1 - n)
        points.append(TradePoint(2 + n, cost, cost - ruled_out))
    return replace(plan, plan=replace(plan.plan, tradeoff=tuple(points)))


def printed(plan: PlannedJob, path: Path) -> None:
    """The decision of the packet alone."""
    flow = Flow(plan.job.units)
    decision_page(flow, plan)
    write_pages(flow.pages(), footer="", title="", path=path)


MANY = [traded(2), traded(6), traded(22), traded(5, cheapest=1.4e7), traded(3, ruled_out=300.0), traded(60)]
NAMES = ["2", "6", "22", "large money", "nothing proved", "60"]


@pytest.fixture
def areas(monkeypatch: pytest.MonkeyPatch) -> Callable[[PlannedJob, Path], tuple[list[Area], list[Area]]]:
    """Where the blocks of words and tables lie on the first page, and where the plot does."""
    blocks: list[Area] = []
    plots: list[Area] = []

    def drawn_at(block: Any, x: float, y: float) -> Callable[[Canvas], None]:
        # tables keep the size that they were given under another name
        wide, high = (
            (block._width, block._height) if isinstance(block, Table) else (block.width, block.height)
        )

        def mark(canvas: Canvas) -> None:
            if canvas.getPageNumber() == 1:
                blocks.append((x, y, x + wide, y + high))
            block.drawOn(canvas, x, y)

        return mark

    def draw(canvas: Canvas, drawing: Drawing, view: View) -> None:
        assert canvas.getPageNumber() == 1
        plots.append((view.x, view.y, view.x + view.width, view.y + view.height))

    def found(plan: PlannedJob, folder: Path) -> tuple[list[Area], list[Area]]:
        printed(plan, folder / "p.pdf")
        return blocks, plots

    monkeypatch.setattr(paper_sheet, "_drawn_at", drawn_at)
    monkeypatch.setattr(paper_tradeoff, "draw", draw)
    return found


def overlap(one: Area, other: Area) -> bool:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return wide > 0.1 and high > 0.1


@pytest.mark.parametrize("plan", MANY, ids=NAMES)
def test_the_plot_lies_inside_the_margins_clear_of_words_and_tables(
    plan: PlannedJob, tmp_path: Path, areas: Callable[[PlannedJob, Path], tuple[list[Area], list[Area]]]
) -> None:
    blocks, (plot,) = areas(plan, tmp_path)
    assert len(blocks) > 5
    assert [block for block in blocks if overlap(block, plot)] == []
    assert plot[0] >= MARGIN - 0.1
    assert plot[2] <= 612 - MARGIN + 0.1
    assert plot[1] >= MARGIN + FOOT - 6.0


def test_the_plot_stands_beside_a_table_of_usual_width(
    tmp_path: Path, areas: Callable[[PlannedJob, Path], tuple[list[Area], list[Area]]]
) -> None:
    blocks, (plot,) = areas(traded(4), tmp_path)
    assert [block for block in blocks if block[2] < plot[0] and plot[1] < block[1] < plot[3]]


@pytest.mark.parametrize("plan", MANY, ids=NAMES)
def test_words_of_the_plot_keep_apart(plan: PlannedJob) -> None:
    assert overlapping(tradeoff_plot(plan)) == []


def first_page(plan: PlannedJob, folder: Path) -> list[str]:
    printed(plan, folder / "p.pdf")
    return pages_of(folder / "p.pdf")[0].split("\n")


def test_a_single_point_is_a_table_without_a_plot(tmp_path: Path) -> None:
    said = first_page(traded(1), tmp_path)
    assert "less is possible?" in said
    assert "Seams" not in said
    assert "Seams" in first_page(traded(2), tmp_path)


def test_a_plan_without_a_trade_off_has_neither(tmp_path: Path) -> None:
    plan = long_plan()
    said = first_page(replace(plan, plan=replace(plan.plan, tradeoff=())), tmp_path)
    assert not {"less is possible?", "Seams"} & set(said)


def test_this_plan_is_marked_and_what_is_proved_is_told(tmp_path: Path) -> None:
    said = first_page(traded(3), tmp_path)
    place = said.index("this plan")
    # two seams: sheets, these with the seams at 12 each, and the proof
    assert said[place - 4 : place] == ["2", "384.00", "408.00", "no: proved"]
    assert "not below 305.00" in said


def test_rows_that_do_not_fit_run_on_to_the_next_page(tmp_path: Path) -> None:
    printed(traded(60), tmp_path / "p.pdf")
    first, second, *_ = pages_of(tmp_path / "p.pdf")
    assert "(continued)" in second
    counts = [line for page in (first, second) for line in page.split("\n") if line.isdigit()]
    assert {str(n) for n in range(2, 62)} <= set(counts)
