"""The files of a table of raises, as texts by their names."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.documents.raises.list import raise_list
from nesting.documents.raises.page import raise_page
from nesting.documents.raises.plot import raise_plot
from nesting.documents.raises.words import Headroom
from nesting.documents.svg import svg_text
from nesting.job import Job
from nesting.raisetable import RaiseRow


def raise_files(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None = None) -> dict[str, str]:
    """raise.csv, raise.svg and raise.html; the same rows give the same texts."""
    plot = svg_text(raise_plot(job, rows, headroom))
    return {
        "raise.csv": raise_list(job, rows, headroom),
        "raise.svg": f'<?xml version="1.0" encoding="utf-8"?>\n{plot}\n',
        "raise.html": raise_page(job, rows, headroom),
    }
