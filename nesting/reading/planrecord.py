"""An earlier plan read back from its plan.json: what its sheets carry, its panels, what was cut before it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Any

from shared.errors import PlannerError

MAX_BYTES = 200_000_000
"""No plan is longer: this is some other file."""


@dataclass(frozen=True)
class RecordedSheet:
    """A sheet of the plan: its stock, the names of its parts, and (length, width) of its offcuts in mm."""

    stock: str
    on_hand: bool
    parts: tuple[str, ...]
    offcuts: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class RecordedPanel:
    """A panel of the plan with its place on its side (from 1) and the size of its outline in mm."""

    name: str
    side: str
    first_bay: int
    last_bay: int
    first_row: int
    last_row: int
    cut: bool
    size: tuple[float, float]


@dataclass(frozen=True)
class RecordedStrip:
    """A backing strip of the plan, ``height`` in mm."""

    name: str
    side: str
    height: float
    bay: int
    cut: bool


@dataclass(frozen=True)
class PlanRecord:
    """What an earlier plan decided."""

    sheets: tuple[RecordedSheet, ...]
    panels: tuple[RecordedPanel, ...]
    strips: tuple[RecordedStrip, ...]
    patches_cut: tuple[str, ...]


def read_plan(folder: Path) -> PlanRecord:
    """The plan in a results folder.  Raises `PlannerError` where there is none that this version wrote."""
    path = folder / "plan.json"
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError) as error:
        raise PlannerError(f"{folder}: no plan.json lies here; name the folder of an earlier plan") from error
    except OSError as error:
        raise PlannerError(f"{path}: the file cannot be read: {error.strerror}") from error
    try:
        return plan_record(json.loads(data) if len(data) <= MAX_BYTES else None)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        remedy = "this is no plan of this version; plan the job again and continue from that"
        raise PlannerError(f"{path}: {remedy}") from error


def plan_record(document: Any) -> PlanRecord:
    """The values of a plan.json.  Raises ValueError, KeyError, TypeError or AttributeError where it is none."""
    return PlanRecord(
        sheets=tuple(_sheet(sheet) for sheet in document["sheets"]),
        panels=tuple(_panel(panel) for panel in document["panels"]),
        strips=tuple(_strip(strip) for strip in document["backing"]),
        patches_cut=tuple(_text(name) for name in document["patches_cut_already"]),
    )


def _sheet(sheet: Mapping[str, Any]) -> RecordedSheet:
    return RecordedSheet(
        _text(sheet["stock"]),
        _flag(sheet["on_hand"]),
        tuple(_text(part["part"]) for part in sheet["parts"]),
        tuple((_number(piece["length"]), _number(piece["width"])) for piece in sheet["offcuts"]),
    )


def _panel(panel: Mapping[str, Any]) -> RecordedPanel:
    xs, ys = zip(*((_number(point[0]), _number(point[1])) for point in panel["outline"]), strict=True)
    return RecordedPanel(
        name=_text(panel["name"]),
        side=_text(panel["side"]),
        first_bay=_whole(panel["first_bay"]),
        last_bay=_whole(panel["last_bay"]),
        first_row=_whole(panel["first_row"]),
        last_row=_whole(panel["last_row"]),
        cut=_flag(panel["cut_already"]),
        size=(max(xs) - min(xs), max(ys) - min(ys)),
    )


def _strip(strip: Mapping[str, Any]) -> RecordedStrip:
    return RecordedStrip(
        _text(strip["patch"]),
        _text(strip["side"]),
        _number(strip["height"]),
        _whole(strip["bay"]),
        _flag(strip["cut_already"]),
    )


def _text(value: object) -> str:
    if isinstance(value, str) and value.isprintable():
        return value
    raise ValueError("must be text")


def _number(value: object) -> float:
    if isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value):
        return float(value)
    raise ValueError("must be a number")


def _whole(value: object) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and value >= 1:
        return value
    raise ValueError("must be a whole number from 1")


def _flag(value: object) -> bool:
    if isinstance(value, bool):
        return value
    raise ValueError("must be true or false")
