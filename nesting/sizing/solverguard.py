"""Solvers at arm's length: one that breaks down gives no answer, and numbers count only where they are numbers.

What an answer is worth is judged where it is used, in exact numbers; here is only what all of these places share.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import isfinite
from typing import TypeVar

T = TypeVar("T")

WHOLE = 1e-4
"""How near to a whole number a solver's value must be to be meant as one."""


def answered(ask: Callable[[], T], otherwise: T) -> T:
    """What the solver says, or ``otherwise`` where it breaks down with an error of any kind.

    What the bindings raise depends on the solver and on the version, so that nothing narrower can be named.
    """
    try:
        return ask()
    except Exception:
        return otherwise


def all_finite(values: Iterable[float]) -> bool:
    """True where every value is a number."""
    return all(isfinite(value) for value in values)


def whole_numbers(values: Iterable[float], most: Iterable[float]) -> tuple[int, ...] | None:
    """The values as whole numbers; None where one is none, is less than 0, or is more than its ``most``."""
    found = []
    for value, largest in zip(values, most, strict=True):
        if not isfinite(value) or abs(value - round(value)) > WHOLE or not 0 <= round(value) <= largest:
            return None
        found.append(round(value))
    return tuple(found)
