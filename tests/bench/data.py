"""Published sets of rectangles, read from beside the repository: nothing of them is copied into it.

They are looked for in the folder that RESKIN_BENCH_DATA names, else in ../shared/data seen from the repository.
The README there tells published values from computed ones; `known` below keeps them apart by where they are used.
"""

from __future__ import annotations

import csv
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from nesting.packer import Piece, Sheet

ROOT = Path(__file__).resolve().parent.parent.parent
VARIABLE = "RESKIN_BENCH_DATA"
USUAL = Path("..") / "shared" / "data"
"""Seen from the repository."""


class DataMissing(Exception):
    """A set that is not there; says where it was looked for and how to point to it."""


@dataclass(frozen=True)
class Known:
    """What is known of one instance: a number or price that some layout reaches, and a bound none can beat."""

    value: float | None
    bound: float | None
    proved: bool


@dataclass(frozen=True)
class Instance:
    """One set of rectangles with the sheets on offer; ``known`` by variant (OF where there is but one).

    O: as given, R: may be turned by a quarter; F: placed freely, G: cut edge to edge.
    """

    name: str
    group: str
    size: int
    sheets: tuple[Sheet, ...]
    pieces: tuple[Piece, ...]
    known: Mapping[str, Known]

    @property
    def area(self) -> float:
        return sum(piece.length * piece.width * piece.quantity for piece in self.pieces)


def data_file(name: str) -> Path:
    """A file of the rectangle sets; raises DataMissing."""
    given = os.environ.get(VARIABLE)
    base = Path(given) if given else ROOT / USUAL
    for path in (base / "rectangles" / name, base / name):
        if path.is_file():
            return path
    where = f"{given} (from {VARIABLE})" if given else f"{USUAL.as_posix()} beside the repository"
    raise DataMissing(
        f"{name} is missing: looked in {where}. Set {VARIABLE} to the folder that holds {name}."
    )


@cache
def instances(name: str) -> tuple[Instance, ...]:
    """Every instance of a file, in its order."""
    told = json.loads(data_file(name).read_text(encoding="utf-8"))["instances"]
    return tuple(_instance(one) for one in told)


def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a table of published values, by the heads of its columns."""
    with data_file(name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def _instance(told: Mapping[str, Any]) -> Instance:
    known = {"OF": told["best_known"], **told.get("best_known_by_variant", {})}
    return Instance(
        name=told["name"],
        group=f"class {told['class']}" if "class" in told else told["set"],
        size=sum(part["qty"] for part in told["parts"]),
        sheets=tuple(
            Sheet(sheet["w"], sheet["h"], price=float(sheet["cost"]), available=sheet["qty"])
            for sheet in told["sheets"]
        ),
        pieces=tuple(
            Piece(part["w"], part["h"], part["qty"], turn=bool(told["rotate"])) for part in told["parts"]
        ),
        known={
            variant: Known(one["value"], one.get("lb", one.get("lb_cost_area")), bool(one["proved"]))
            for variant, one in known.items()
        },
    )
