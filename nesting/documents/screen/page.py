"""The page to look at: one HTML file with everything in it, nothing fetched from elsewhere."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256

from nesting.documents.cautions import CAUTIONS, TWO_PERSON_MASS
from nesting.documents.drawing import Drawing
from nesting.documents.findings import all_warnings, joined, sides_in_order
from nesting.documents.screen.decision import decision
from nesting.documents.screen.places import places_of
from nesting.documents.screen.script import SCRIPT
from nesting.documents.screen.style import PART_STYLE, STYLE
from nesting.documents.screen.tables import buy_table, parts_table, rivets_table, safe
from nesting.documents.screen.views import section, sheet_articles, side_views
from nesting.documents.sheetview import sheet_views
from nesting.documents.wording import mass_text
from nesting.plan import PlannedJob

_LOOK = STYLE + PART_STYLE

_CHOSEN = (
    '<p class="unseen" role="status"><bdi class="name"></bdi></p>\n'
    '<div id="chosen" role="region" aria-label="The part you touched" hidden><p><bdi class="name"></bdi></p>'
    '<a data-to="on-side-" href="#top">On side</a><a data-to="on-sheet-" href="#top">On sheet</a>'
    '<a data-to="row-" href="#parts">In table</a><button type="button">Close</button></div>'
)
"""The bar that leads from one place of a part to the others; the script fills it and brings it out."""


def page_html(planned: PlannedJob, views: Sequence[Drawing] | None = None) -> str:
    """The whole page as text; the same plan gives the same bytes.

    ``views`` are the sheets without rivet holes where these are drawn already.
    """
    title = safe(planned.job.title) or "Skin plan"
    places = places_of(planned)
    parts = [
        '<a class="skip" href="#plan">To the plan</a>',
        f"<header>\n{decision(planned, title)}\n</header>",
        _contents(planned),
        '<main id="plan" tabindex="-1">',
        _warnings(planned),
        *side_views(planned, places),
        *sheet_articles(planned, sheet_views(planned) if views is None else views, places),
        section("parts", "Parts", parts_table(planned, places), _lifting(planned)),
        section("buy", "What to buy", buy_table(planned)),
        section("rivets", "Rivets", _rivet_words(planned), rivets_table(planned)),
        _cautions(),
        f"</main>\n{_CHOSEN}",
    ]
    policy = (
        f"default-src 'none'; style-src '{_digest(_LOOK)}'; script-src '{_digest(SCRIPT)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<title>{title}</title>\n<style>{_LOOK}</style>\n</head>\n<body id="top">\n'
        + "\n".join(part for part in parts if part)
        + f"\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    )


def _digest(text: str) -> str:
    return "sha256-" + b64encode(sha256(text.encode("utf-8")).digest()).decode("ascii")


def _contents(planned: PlannedJob) -> str:
    """Links to every section."""
    marks = [("warnings", "Warnings")] if all_warnings(planned) else []
    marks += [(f"side-{n}", safe(side.name)) for n, side in enumerate(sides_in_order(planned), start=1)]
    marks += [("sheets", "Sheets")] if planned.plan.sheets else []
    marks += [("parts", "Parts"), ("buy", "What to buy"), ("rivets", "Rivets"), ("cautions", "Cautions")]
    items = "".join(f'<li><a href="#{mark}">{words}</a></li>' for mark, words in marks)
    return f'<nav aria-label="On this page"><ul>{items}</ul></nav>'


def _warnings(planned: PlannedJob) -> str:
    said = all_warnings(planned)
    if not said:
        return ""
    items = "".join(f"<li>{safe(text)}</li>" for text in said)
    return f'<section class="warning" id="warnings"><h2>Warnings</h2><ul>{items}</ul></section>'


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
    return section("cautions", "Cautions", f'<dl class="cautions">{items}</dl>')
