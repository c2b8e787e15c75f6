"""New job files with comments: from the answers to a few questions, from readings, or as a form to fill in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from unicodedata import category

from nesting.job import Hand, Units
from nesting.jobfile import job_from_text
from nesting.starting.jobwriting import job_text

USUAL_SIZES: dict[Units, tuple[tuple[float, float], ...]] = {
    Units.INCH: ((48, 96), (48, 120), (48, 144), (60, 120), (60, 144)),
    Units.MILLIMETRE: ((1000, 2000), (1250, 2500), (1250, 3000), (1500, 3000), (2000, 4000)),
}
"""Width and length of sheets that many suppliers stock, in the unit itself (c)."""


@dataclass(frozen=True)
class Section:
    """A part of a job file: a comment above it, its tables, and lines below that are commented out."""

    comment: str
    tables: Mapping[str, object] = field(default_factory=dict)
    below: str = ""


@dataclass(frozen=True)
class NewSheet:
    """A sheet size as answered; lengths as they were said, ``price`` None where it is not known."""

    name: str
    width: str
    length: str
    price: float | None = None


@dataclass(frozen=True)
class NewSide:
    """A side as answered: bays as (width, height), ``posts`` one width for all or one for each."""

    name: str
    forward: Hand
    bays: tuple[tuple[str, str], ...]
    posts: tuple[str, ...] = ()
    overall: str = ""


@dataclass(frozen=True)
class NewJob:
    """All answers."""

    title: str
    units: Units
    stock: tuple[NewSheet, ...]
    sides: tuple[NewSide, ...]
    seam_cost: float = 0.0


def sections_text(sections: Iterable[Section]) -> str:
    """The sections as the text of a job file, each under its comment."""
    blocks = []
    for section in sections:
        # a comment of TOML holds no control characters, and names of files may
        plain = ("".join(c for c in line if category(c) != "Cc") for line in section.comment.splitlines())
        lines = [f"# {line}".rstrip() for line in plain]
        body = job_text(section.tables).strip("\n") if section.tables else ""
        below = [f"# {line}" for line in section.below.splitlines()]
        blocks.append("\n".join([*lines, *([body] if body else []), *below]))
    return "\n\n".join(blocks) + "\n"


def size_label(width: float, length: float, units: Units) -> str:
    """What a usual size is called: by feet as the trade does, or by mm."""
    if units is Units.INCH:
        return f"{width / 12:g}x{length / 12:g}"
    return f"{width:g}x{length:g}"


def usual_sheets(units: Units) -> tuple[NewSheet, ...]:
    """The usual sizes without prices."""
    return tuple(
        NewSheet(size_label(width, length, units), f"{width:g}", f"{length:g}")
        for width, length in USUAL_SIZES[units]
    )


def stock_sections(stock: Sequence[NewSheet], comment: str) -> list[Section]:
    """A section for each sheet size, the comment above the first; without a price one to fill in stands below."""
    sections = []
    for number, sheet in enumerate(stock):
        entry: dict[str, object] = {"name": sheet.name, "width": sheet.width, "length": sheet.length}
        if sheet.price is not None:
            entry["price"] = sheet.price
        below = "price =" if sheet.price is None else ""
        sections.append(Section("" if number else comment, {"stock": [entry]}, below))
    return sections


def new_job_text(job: NewJob) -> str:
    """The job file for the answers, checked: raises `JobMistakes` where they do not go together."""
    priced = any(sheet.price is not None for sheet in job.stock)
    sections = [
        Section(
            "Written from answers at the terminal. Lengths may be written as the tape reads: 28 3/8, 2' 4 3/8\", "
            "721 mm.\nREADME.md explains every key; reskin check reads the file back.",
            {"title": job.title, "units": job.units.value},
        ),
        *stock_sections(
            job.stock,
            "Sheets that can be bought, and their prices."
            if priced
            else "Sheets that can be bought. Without prices the plan saves sheet area; a price is for all or for none.",
        ),
        Section(
            "What one seam is worth avoiding: rivets, sealant, an hour, a leak to come.",
            {"seam": {"cost": job.seam_cost}},
        ),
        *(Section(_side_comment(side), {"side": [_side_table(side)]}) for side in job.sides),
        Section("Loose pieces, to be cut from what is left over:", {}, _PATCH_FORM),
    ]
    text = sections_text(sections)
    job_from_text(text, "the answers")
    return text


_PATCH_FORM = '[[patch]]\nname = "roof hatch cover"\nwidth = 28\nheight = 28\nquantity = 1'


def _side_comment(side: NewSide) -> str:
    return f"{len(side.bays)} bay{'' if len(side.bays) == 1 else 's'}, from the left as seen from outside."


def _side_table(side: NewSide) -> dict[str, object]:
    table: dict[str, object] = {"name": side.name, "forward": side.forward.value}
    if len(side.posts) == 1:
        table["post_width"] = side.posts[0]
    elif side.posts:
        table["posts"] = list(side.posts)
    if side.overall:
        table["overall"] = side.overall
    table["bay"] = [{"width": width, "height": height} for width, height in side.bays]
    return table
