"""packet.pdf: what is handed over, on letter paper for inch jobs and on A4 for metric ones."""

from __future__ import annotations

from pathlib import Path

from nesting.documents.paper.decision import decision_page, side_pages
from nesting.documents.paper.framing import framing_pages
from nesting.documents.paper.hanging import hanging_pages, strength_pages
from nesting.documents.paper.layouts import sheet_pages
from nesting.documents.paper.sheet import Flow, write_pages
from nesting.documents.paper.tables import (
    buy_pages,
    caution_pages,
    cut_list_pages,
    measured_pages,
    rivet_pages,
)
from nesting.plan import PlannedJob


def write_packet(planned: PlannedJob, path: Path) -> None:
    """Write the packet: the decision, each side, each sheet, then lists and cautions.

    The same bytes for the same plan.  Drawings are to the scale stated beside them.
    """
    flow = Flow(planned.job.units)
    decision_page(flow, planned)
    side_pages(flow, planned)
    sheet_pages(flow, planned)
    cut_list_pages(flow, planned)
    rivet_pages(flow, planned)
    buy_pages(flow, planned)
    framing_pages(flow, planned)
    hanging_pages(flow, planned)
    strength_pages(flow, planned)
    measured_pages(flow, planned)
    caution_pages(flow)
    write_pages(flow.pages(), footer=planned.job.title, title=planned.job.title, path=path)
