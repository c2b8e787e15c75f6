"""The page to look at: one HTML file with everything in it, nothing fetched from elsewhere."""

from __future__ import annotations

from base64 import b64encode
from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import sha256

from nesting.documents.cautions import CAUTIONS, TWO_PERSON_MASS
from nesting.documents.corners import odd_outlines
from nesting.documents.cutlines import is_trimmed
from nesting.documents.drawing import Drawing
from nesting.documents.elevation import elevation
from nesting.documents.findings import (
    INSIDE_CORNERS,
    all_warnings,
    doubts,
    hanging_order,
    has_inside_corners,
    joined,
    sides_in_order,
)
from nesting.documents.pagestyle import SCRIPT, STYLE
from nesting.documents.pagetables import (
    buy_table,
    corners_table,
    cuts_table,
    measured_table,
    parts_table,
    rivets_table,
    safe,
    tradeoff_table,
)
from nesting.documents.sheetview import CORNER_WORDS, TRIM_WORDS, sheet_title, sheet_views
from nesting.documents.svg import svg_text
from nesting.documents.wording import (
    length_text,
    mass_text,
    money_text,
    proof_text,
    thin_text,
    worth_text,
)
from nesting.job import Job, Stock
from nesting.outline import net_area
from nesting.plan import PlannedJob, SheetLayout

_LONG = 4.0
"""Views this many times longer than high are kept wide and scroll sideways on a small screen."""


def page_html(planned: PlannedJob, views: Sequence[Drawing] | None = None) -> str:
    """The whole page as text; the same plan gives the same bytes.

    ``views`` are the sheets without rivet holes where these are drawn already.
    """
    title = safe(planned.job.title) or "Skin plan"
    parts = [
        _decision(planned, title),
        _warnings(planned),
        *_sides(planned),
        *_sheets(planned, sheet_views(planned) if views is None else views),
        _section("parts", "Parts", parts_table(planned), _lifting(planned)),
        _section("buy", "What to buy", buy_table(planned)),
        _section("rivets", "Rivets", _rivet_words(planned), rivets_table(planned)),
        _cautions(),
    ]
    policy = (
        f"default-src 'none'; style-src '{_digest(STYLE)}'; script-src '{_digest(SCRIPT)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(part for part in parts if part)
        + f"\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    )


def _digest(text: str) -> str:
    return "sha256-" + b64encode(sha256(text.encode("utf-8")).digest()).decode("ascii")


def _section(name: str, heading: str, *content: str) -> str:
    return f'<section id="{name}">\n<h2>{heading}</h2>\n{"".join(content)}\n</section>'


def _decision(planned: PlannedJob, title: str) -> str:
    """What to do and what it costs, before anything else."""
    plan, buying, job = planned.plan, planned.buying, planned.job
    seams, there = len(plan.seams), sum(sheet.stock.on_hand for sheet in plan.sheets)
    sheets = len(plan.sheets) - there
    stocks = Counter(sheet.stock for sheet in plan.sheets)
    rows = "".join(
        f"<li>{count} x {safe(stock.name)}, {length_text(stock.width, job.units)} x "
        f"{length_text(stock.length, job.units)} {job.units.value}{_each(job, stock)}</li>"
        for stock, count in stocks.items()
    )
    facts = (
        ("sheets to buy", str(sheets)),
        ("seams", str(seams)),
        ("rivets to buy", str(planned.fasteners.to_buy)),
        _cost_fact(planned),
        ("mass of the skin", mass_text(buying.skin_mass, job.units)),
        ("plan", plan.status.value),
    )
    cells = "".join(f"<div><dt>{name}</dt><dd>{value}</dd></div>" for name, value in facts)
    trade = ""
    if plan.tradeoff:
        trade = (
            f"<h3>Fewer seams or {'cheaper sheets' if job.priced else 'less sheet'}</h3>"
            f"<p>The least {'cost' if job.priced else 'area'} of sheets for each number of seams; "
            f"the seams of this plan cost {worth_text(job, plan.seam_cost)}.</p>{tradeoff_table(planned)}"
        )
    on_hand = f", use {there} on hand" if there else ""
    gauge = f", gauge {job.skin.gauge}" if job.skin.gauge is not None else ""
    skin = f"{job.skin.material}{gauge}, {thin_text(job.skin.thickness, job.units)} {job.units.value} thick"
    return (
        f"<header>\n<h1>{title}</h1>\n"
        f'<p class="lead">Buy {_count(sheets, "sheet")}{on_hand}, make {_count(seams, "seam")}.</p>\n'
        f'<dl class="facts">{cells}</dl>\n<ul>{rows}</ul>\n'
        f"<p>Skin: {safe(skin)}. Sheets {worth_text(job, plan.sheet_cost)} and seams "
        f"{worth_text(job, plan.seam_cost)} make {worth_text(job, plan.objective)}; the proved bound is "
        f"{worth_text(job, plan.bound)}, the gap {100 * plan.optimality_gap:.2f} %. "
        f"{proof_text(job, plan)}</p>\n{trade}\n</header>"
    )


def _each(job: Job, stock: Stock) -> str:
    if stock.on_hand:
        return ", on hand"
    return f", {money_text(stock.price)} each" if job.priced else ""


def _cost_fact(planned: PlannedJob) -> tuple[str, str]:
    """What is to pay; where no sheet has a price, the area of sheet to buy."""
    job, plan = planned.job, planned.plan
    if job.priced:
        return "cost in all", money_text(planned.buying.total)
    return "sheet area to buy", worth_text(job, plan.sheet_cost)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number or 'no'} {noun}s"


def _warnings(planned: PlannedJob) -> str:
    said = all_warnings(planned)
    if not said:
        return ""
    items = "".join(f"<li>{safe(text)}</li>" for text in said)
    return f'<section class="warning" id="warnings"><h2>Warnings</h2><ul>{items}</ul></section>'


def _sides(planned: PlannedJob) -> Iterable[str]:
    """One elevation for each side, with the order in which to hang its panels."""
    for number, side in enumerate(sides_in_order(planned), start=1):
        order = hanging_order(planned, side.name)
        view = elevation(planned, side)
        x0, y0, x1, y1 = view.extents
        drawn = svg_text(view, [(panel.name, panel.outline) for panel in order])
        hang = joined(safe(panel.name) for panel in order)
        caption = (
            "Seen from outside. Wide lines are sheet edges, long dashes edges that lie under another sheet, "
            "short dashes openings, grey the faces of posts and rails, dots rivets."
        )
        yield _section(
            f"side-{number}",
            safe(side.name),
            _figure(drawn, caption, long=x1 - x0 > _LONG * (y1 - y0)),
            f"<p>Hang in this order, each sheet over the one before it where they lap: {hang}.</p>"
            if len(order) > 1
            else "",
            measured_table(planned, side),
        )


def _sheets(planned: PlannedJob, views: Sequence[Drawing]) -> Iterable[str]:
    """One layout for each sheet."""
    figures = []
    for index, sheet in enumerate(planned.plan.sheets):
        parts = sorted(sheet.parts, key=lambda part: -net_area(part.outline))
        drawn = svg_text(views[index], [(part.part, part.outline) for part in parts])
        again = [text for part in sheet.parts for text in doubts(planned, part.part)]
        warned = "".join(
            f'<p class="again">Doubtful reading: {safe(text)}</p>' for text in dict.fromkeys(again)
        )
        if has_inside_corners(planned, sheet):
            warned += f'<p class="again">{safe(INSIDE_CORNERS[0].upper() + INSIDE_CORNERS[1:])}.</p>'
        cuts = cuts_table(sheet, planned) if sheet.cuts else ""
        figures.append(
            f'<article id="sheet-{index + 1}"><h3>{safe(sheet_title(planned, index))}</h3>{warned}'
            f"{_figure(drawn, _read_sizes(sheet))}{cuts}{corners_table(sheet, planned)}</article>"
        )
    if figures:
        note = (
            '<p class="quiet">UP points to the edge towards the roof, FWD to the front of the vehicle; '
            "an arrow without a word points up. Chain lines are centre lines of posts, rails and "
            'seam rivets: scribe them. <span class="screen">Touch a part to find it on its side and in '
            "the table.</span></p>"
        )
        yield _section("sheets", "Sheets", note, *figures)


def _read_sizes(sheet: SheetLayout) -> str:
    """How to read the words at corners and the lines to trim along, where there are any."""
    said = [CORNER_WORDS] if odd_outlines(sheet) else []
    if any(is_trimmed(sheet, part) for part in sheet.parts):
        said.append(TRIM_WORDS)
    return safe(" ".join(said))


def _figure(drawn: str, caption: str, long: bool = False) -> str:
    said = f"<figcaption>{caption}</figcaption>" if caption else ""
    kind = ' class="long"' if long else ""
    return f'<figure{kind}><div class="view">{drawn}</div>{said}</figure>'


def _lifting(planned: PlannedJob) -> str:
    heavy = [name for name, mass in planned.masses.items() if mass > TWO_PERSON_MASS]
    if not heavy:
        return ""
    limit = mass_text(TWO_PERSON_MASS, planned.job.units)
    return f'<p class="again">Two people or lifting gear, over {limit}: {joined(map(safe, heavy))}.</p>'


def _rivet_words(planned: PlannedJob) -> str:
    fasteners = planned.fasteners
    boxes = joined(f"{boxes} x {count}" for count, boxes, _ in fasteners.packs)
    packed = f" ({boxes})" if fasteners.packs else ""
    return (
        f"<p>{fasteners.total} rivets sit in the skin, each counted once; buy {fasteners.to_buy}{packed}. "
        "Strength is not checked: take loads from the rivet maker's data sheet.</p>"
    )


def _cautions() -> str:
    items = "".join(f"<dt>{safe(heading)}</dt><dd>{safe(text)}</dd>" for heading, text in CAUTIONS)
    return _section("cautions", "Cautions", f'<dl class="cautions">{items}</dl>')
