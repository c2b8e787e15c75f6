"""raise.html: what each raise takes, to look at: the answer in words, the plot, the table, what to mind."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256

from nesting.documents.raises.plot import raise_plot
from nesting.documents.raises.words import (
    Headroom,
    answer,
    height_text,
    marks,
    notes,
    proof_word,
    stock_text,
)
from nesting.documents.screen.style import STYLE
from nesting.documents.screen.tables import Row, safe, table
from nesting.documents.svg import svg_text
from nesting.documents.wording import length_text, mass_text, money_text, worth_text
from nesting.job import Job
from nesting.raisetable import RaiseRow

_LOOK = STYLE + "#table td { overflow-wrap: normal; }\n#table td:not(.n) { min-width: 8rem; }\n"


def raise_page(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None = None) -> str:
    """The whole page as text, nothing fetched from elsewhere; the same rows give the same bytes."""
    title = safe(job.title) or "Raise"
    said = answer(job, rows)
    lead = f'<p class="lead">{safe(said[0])}</p>' if said else ""
    more = "".join(f"<li>{safe(text)}</li>" for text in said[1:])
    mind = "".join(f"<li>{safe(text)}</li>" for text in notes(job, rows, headroom))
    plot = svg_text(raise_plot(job, rows, headroom))
    digest = b64encode(sha256(_LOOK.encode("utf-8")).digest()).decode("ascii")
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>How high: {title}</title>\n<style>{_LOOK}</style>\n</head>\n<body>\n"
        f"<header>\n<h1>How high: {title}</h1>\n{lead}\n{f'<ul>{more}</ul>' if more else ''}\n</header>\n"
        f'<section id="plot">\n<h2>What each raise takes</h2>\n<figure><div class="view">{plot}</div></figure>\n'
        f'</section>\n<section id="table">\n<h2>Raise by raise</h2>\n{_table(job, rows, headroom)}\n</section>\n'
        f'<section id="mind">\n<h2>What to mind</h2>\n<ul>{mind}</ul>\n</section>\n</body>\n</html>\n'
    )


def _table(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None) -> str:
    heads = [f"Raise {job.units.value}"]
    heads += ["Overall height"] if headroom else []
    heads += ["Sheets", "Which", "Over posts", "Level", "Sheets cost" if job.priced else "Sheet area"]
    heads += ["To pay"] if job.priced else []
    heads += ["Rivets", "Skin", "Proof", "Mind"]
    body = [_row(job, row, headroom) for row in rows]
    numbers = "n" + ("n" if headroom else "") + "nwnnn" + ("n" if job.priced else "") + "nnnw"
    caption = "Seams over posts and level ones; rivets set; mass of the finished skin"
    return table(heads, body, caption=caption, numbers=numbers)


def _row(job: Job, row: RaiseRow, headroom: Headroom | None) -> Row:
    cells = [length_text(row.raise_height, job.units)]
    if headroom:
        cells.append(safe(height_text(job, headroom.at(row.raise_height), up=True)))
    taken = row.taken
    if taken is None:
        empty = ["", safe(row.outcome.value), "", "", ""] + ([""] if job.priced else []) + ["", "", ""]
        return Row([*cells, *empty, safe("; ".join([*marks(row, headroom)]))])
    cells += [
        str(taken.sheets),
        safe(stock_text(taken)).replace(" x ", "&nbsp;x&nbsp;"),
        str(taken.post_seams),
        str(taken.level_seams),
    ]
    cells += [worth_text(job, taken.sheet_cost)] + ([money_text(taken.total)] if job.priced else [])
    cells += [f"{taken.rivets:,}", mass_text(taken.skin_mass, job.units), proof_word(taken)]
    return Row([*cells, safe("; ".join(marks(row, headroom)))])
