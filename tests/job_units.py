"""A job's file in inches and the same in mm, every length times 25.4 exactly."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from nesting.job import Job
from nesting.jobfile import job_from_text
from nesting.starting.jobwriting import job_text
from shared.errors import JobMistakes

INCH = Decimal("25.4")

NO_LENGTHS = {
    *(
        "density",
        "cost",
        "cost_per_length",
        "price",
        "count",
        "quantity",
        "available",
        "on_hand",
        "bay",
        "rows",
    ),
    *("name", "title", "units", "material", "method", "turn", "flip", "kind", "forward", "riveted"),
}
"""Keys of a job file whose values are no lengths."""


def as_read(tables: Mapping[str, object]) -> Job | None:
    """The job of these tables, None where the reader refuses it."""
    try:
        return job_from_text(job_text(tables), "drawn.toml")
    except JobMistakes:
        return None


def in_inches(tables: Mapping[str, object]) -> dict[str, object]:
    """Tables in mm as those of a job in inches, each length a decimal fraction of an inch."""
    seam = tables["seam"]
    assert isinstance(seam, Mapping)
    told = {**tables, "seam": {**seam, "cost_per_length": 0.0}}
    return {**_scaled(told, lambda mm: round(mm / 25.4, 6)), "units": "in"}


def in_millimetres(tables: Mapping[str, object]) -> dict[str, object]:
    """The same times 25.4, exactly."""
    return {**_scaled(tables, lambda inches: float(Decimal(repr(inches)) * INCH)), "units": "mm"}


def _scaled(table: Mapping[str, object], scale: Callable[[float], float]) -> dict[str, object]:
    return {
        key: value if key in NO_LENGTHS and key != "bay" else _value(value, scale)
        for key, value in table.items()
    }


def _value(value: object, scale: Callable[[float], float]) -> object:
    if isinstance(value, Mapping):
        return _scaled(value, scale)
    if isinstance(value, list):
        return [_value(entry, scale) for entry in value]
    return scale(value) if isinstance(value, float) else value
