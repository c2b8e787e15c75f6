"""The results of a plan as files: which documents there are, and what each is called."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import partial
from pathlib import Path

from nesting.checking.drawn import Asked, file_faults
from nesting.checking.drawnfile import read_drawn
from nesting.checking.onsheet import OnSheet, on_sheets
from nesting.documents import framinglist, lists
from nesting.documents.drawing import Drawing
from nesting.documents.dxf import DxfStyle, write_dxf
from nesting.documents.elevation import elevation
from nesting.documents.findings import sides_in_order
from nesting.documents.paper.labels import write_labels
from nesting.documents.paper.packet import write_packet
from nesting.documents.planfile import plan_text
from nesting.documents.screen.page import page_html
from nesting.documents.sheetview import all_sheets, sheet_views
from nesting.documents.svg import write_svg
from nesting.filefolder import Writer, text_file, write_files
from nesting.plan import PlannedJob
from shared.errors import PlanRejected

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$")
"""Names that one family of systems keeps for devices."""
_SLUG_LENGTH = 60


def write_results(
    planned: PlannedJob, folder: Path, *, drill: bool = False, dxf: DxfStyle | None = None
) -> tuple[Path, ...]:
    """Write every document of a plan into ``folder`` and name the files; ``drill`` adds rivet holes.

    ``dxf`` says for which readers the DXF files are made, release 2000 unless told.
    An earlier results folder is replaced as a whole; on any failure it stays as it was.
    Raises OutputRefused when the folder holds anything else, or when the system does not let us write, and
    PlanRejected when a cut file, read back, does not show what the plan says.
    """
    return write_files(_documents(planned, drill, dxf or DxfStyle()), folder)


def file_names(titles: Iterable[str]) -> tuple[str, ...]:
    """A safe file name without ending for each title: small letters, digits, hyphens, no two alike."""
    taken: set[str] = set()
    names: list[str] = []
    for title in titles:
        plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_SLUG_LENGTH].strip("-") or "side"
        if _RESERVED.match(stem):
            stem = f"side-{stem}"
        name, count = stem, 1
        while name in taken:
            count += 1
            name = f"{stem}-{count}"
        taken.add(name)
        names.append(name)
    return tuple(names)


def _documents(planned: PlannedJob, drill: bool, dxf: DxfStyle) -> dict[str, Writer]:
    """Every file by its path in the folder, with what writes it."""
    units = planned.job.units
    # many small parts make a sheet slow to letter: each is drawn once for all documents
    views = sheet_views(planned, drill)
    files: dict[str, Writer] = {
        "plan.json": text_file(plan_text(planned)),
        "index.html": text_file(page_html(planned, None if drill else views)),
        "packet.pdf": partial(write_packet, planned),
        "labels.pdf": partial(write_labels, planned),
        "cut-list.csv": text_file(lists.cut_list(planned)),
        "rivets.csv": text_file(lists.rivets(planned)),
        "buy-list.csv": text_file(lists.buy_list(planned)),
        "offcuts.csv": text_file(lists.offcuts(planned)),
    }
    if planned.order is not None and planned.order.sections:
        files["framing.csv"] = text_file(framinglist.bar_cut_list(planned))
    asked = on_sheets(planned.job, planned.plan, planned.fasteners, drill)
    digits = max(2, len(str(len(planned.plan.sheets))))
    for number, (view, sheet) in enumerate(zip(views, asked, strict=True), start=1):
        name = f"sheets/sheet-{number:0{digits}d}"
        files[f"{name}.svg"] = partial(write_svg, view)
        files[f"{name}.dxf"] = partial(_write_cut_file, planned, view, (sheet,), dxf)
    sides = sides_in_order(planned)
    for side, name in zip(sides, file_names(side.name for side in sides), strict=True):
        drawing = elevation(planned, side)
        files[f"elevations/{name}.svg"] = partial(write_svg, drawing)
        files[f"elevations/{name}.dxf"] = partial(write_dxf, drawing, units=units, style=dxf)
    files["all-sheets.dxf"] = partial(_write_cut_file, planned, all_sheets(planned, drill, views), asked, dxf)
    return files


def _write_cut_file(
    planned: PlannedJob, drawing: Drawing, sheets: tuple[OnSheet, ...], style: DxfStyle, path: Path
) -> None:
    """Write a drawing of sheets and read it back: what is cut from it must be what was planned."""
    job = planned.job
    write_dxf(drawing, path, job.units, style)
    faults = list(file_faults(read_drawn(path), sheets, Asked(job, style.words)))
    if faults:
        raise PlanRejected(f"{path.name}: {fault}" for fault in faults)
