"""The plain reference: the library rectpack's best of fifteen settings, its layouts judged like ours.

Fifteen settings are five rules times three orders; for edge-to-edge cutting the rules are five of those that
split a sheet by straight cuts only.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import rectpack

from nesting.packer import Piece, Sheet
from tests.bench.layout_check import Rectangle, comes_apart

FREE = (
    rectpack.MaxRectsBssf,
    rectpack.MaxRectsBaf,
    rectpack.MaxRectsBlsf,
    rectpack.MaxRectsBl,
    rectpack.GuillotineBssfSas,
)
EDGE_TO_EDGE = (
    rectpack.GuillotineBssfSas,
    rectpack.GuillotineBssfMaxas,
    rectpack.GuillotineBafSas,
    rectpack.GuillotineBafMinas,
    rectpack.GuillotineBlsfSas,
)
ORDERS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)


@dataclass(frozen=True)
class Ask:
    """One sheet size, as many sheets as wanted."""

    sheet: Sheet
    pieces: tuple[Piece, ...]
    turn: bool
    edge_to_edge: bool


@dataclass(frozen=True)
class Answer:
    """The least number of sheets over all settings, and the seconds that all of them took."""

    sheets: int
    seconds: float


def least_sheets(ask: Ask) -> Answer:
    """The best of fifteen settings; what is meant to be cut edge to edge and cannot be does not count."""
    started = time.perf_counter()
    rules = EDGE_TO_EDGE if ask.edge_to_edge else FREE
    best = sum(piece.quantity for piece in ask.pieces)
    for rule, order in product(rules, ORDERS):
        sheets = _sheets(ask, rule, order)
        if len(sheets) >= best:
            continue
        whole = (0.0, 0.0, ask.sheet.length, ask.sheet.width)
        if not ask.edge_to_edge or all(comes_apart(whole, own) for own in sheets):
            best = len(sheets)
    return Answer(best, time.perf_counter() - started)


def _sheets(ask: Ask, rule: object, order: object) -> Sequence[Sequence[Rectangle]]:
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=rule, sort_algo=order, rotation=ask.turn
    )
    for piece in ask.pieces:
        for _ in range(piece.quantity):
            packer.add_rect(piece.length, piece.width)
    packer.add_bin(ask.sheet.length, ask.sheet.width, count=float("inf"))
    packer.pack()
    assert len(packer.rect_list()) == sum(piece.quantity for piece in ask.pieces)
    return [[(r.x, r.y, r.x + r.width, r.y + r.height) for r in own] for own in packer]
