"""The drawings of the page: each side as it hangs, each sheet as it is cut, with what is said beside them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from nesting.documents.corners import odd_outlines
from nesting.documents.cutlines import is_trimmed
from nesting.documents.drawing import Drawing
from nesting.documents.elevation import elevation
from nesting.documents.findings import (
    INSIDE_CORNERS,
    doubts,
    hanging_order,
    has_inside_corners,
    joined,
    sides_in_order,
)
from nesting.documents.screen.places import Places
from nesting.documents.screen.tables import corners_table, cuts_table, measured_table, safe
from nesting.documents.sheetview import CORNER_WORDS, TRIM_WORDS, sheet_title
from nesting.documents.svg import svg_text
from nesting.outline import net_area
from nesting.plan import PlannedJob, SheetLayout

_LONG = 4.0
"""Views this many times longer than high are kept wide and scroll sideways on a small screen."""


def section(name: str, heading: str, *content: str) -> str:
    """A part of the page under its own heading, both already safe."""
    return (
        f'<section id="{name}" aria-labelledby="{name}-head">\n<h2 id="{name}-head">{heading}</h2>\n'
        f"{''.join(content)}\n</section>"
    )


def side_views(planned: PlannedJob, places: Places) -> Iterable[str]:
    """One elevation for each side, with the order in which to hang its panels."""
    for number, side in enumerate(sides_in_order(planned), start=1):
        order = hanging_order(planned, side.name)
        view = elevation(planned, side)
        x0, y0, x1, y1 = view.extents
        areas = [(panel.name, panel.outline) for panel in order]
        drawn = svg_text(view, areas, places.on_side(name for name, _ in areas))
        hang = joined(safe(panel.name) for panel in order)
        caption = (
            "Seen from outside. Wide lines are sheet edges, long dashes edges that lie under another sheet, "
            "short dashes openings, grey the faces of posts and rails, dots rivets."
        )
        yield section(
            f"side-{number}",
            safe(side.name),
            _figure(drawn, caption, side.name, long=x1 - x0 > _LONG * (y1 - y0), rivets=bool(view.dots)),
            f"<p>Hang in this order, each sheet over the one before it where they lap: {hang}.</p>"
            if len(order) > 1
            else "",
            measured_table(planned, side),
        )


def sheet_articles(planned: PlannedJob, views: Sequence[Drawing], places: Places) -> Iterable[str]:
    """One layout for each sheet."""
    figures = []
    for index, sheet in enumerate(planned.plan.sheets):
        parts = sorted(sheet.parts, key=lambda part: -net_area(part.outline))
        areas = [(part.part, part.outline) for part in parts]
        drawn = svg_text(views[index], areas, places.on_sheet(name for name, _ in areas))
        again = [text for part in sheet.parts for text in doubts(planned, part.part)]
        warned = "".join(
            f'<p class="again">Doubtful reading: {safe(text)}</p>' for text in dict.fromkeys(again)
        )
        if has_inside_corners(planned, sheet):
            warned += f'<p class="again">{safe(INSIDE_CORNERS[0].upper() + INSIDE_CORNERS[1:])}.</p>'
        cuts = cuts_table(sheet, planned) if sheet.cuts else ""
        figures.append(
            f'<article id="sheet-{index + 1}"><h3>{safe(sheet_title(planned, index))}</h3>{warned}'
            f"{_figure(drawn, _read_sizes(sheet), f'sheet {index + 1}')}{cuts}{corners_table(sheet, planned)}</article>"
        )
    if figures:
        note = (
            '<p class="quiet">UP points to the edge towards the roof, FWD to the front of the vehicle; '
            "an arrow without a word points up. Chain lines are centre lines of posts, rails and "
            'seam rivets: scribe them. <span class="screen">Touch a part to find it on its side and in '
            "the table.</span></p>"
        )
        yield section("sheets", "Sheets", note, *figures)


def _read_sizes(sheet: SheetLayout) -> str:
    """How to read the words at corners and the lines to trim along, where there are any."""
    said = [CORNER_WORDS] if odd_outlines(sheet) else []
    if any(is_trimmed(sheet, part) for part in sheet.parts):
        said.append(TRIM_WORDS)
    return safe(" ".join(said))


def _figure(drawn: str, caption: str, name: str, long: bool = False, rivets: bool = False) -> str:
    """A drawing in a box that scrolls, with buttons that the script brings out."""
    said = f"<figcaption>{caption}</figcaption>" if caption else ""
    kind = ' class="long"' if long else ""
    shown = '<button type="button" data-rivets aria-pressed="true">Rivets</button>' if rivets else ""
    return (
        f'<figure{kind}><div class="tools" role="group" aria-label="{safe(f"View of {name}")}" hidden>'
        '<button type="button" data-zoom="-" title="key -">Smaller</button>'
        '<button type="button" data-zoom="+" title="key +">Bigger</button>'
        f'<button type="button" data-zoom="0" title="key 0">Whole</button>{shown}<output class="unseen"></output></div>'
        f'<div class="view" tabindex="0" role="group" aria-label="{safe(f"Drawing of {name}, scrolls")}">'
        f"{drawn}</div>{said}</figure>"
    )
