"""How long planning may take, and how the caller looks on and stops it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Progress:
    """What is known at one moment: the best cost so far (None before the first plan), and a proved bound."""

    best: float | None
    bound: float
    stage: str


@dataclass(frozen=True)
class SolveLimits:
    """``time_limit`` in seconds for the whole search (None: until proved); equal seeds give equal plans.

    ``on_progress`` is called with news, ``should_stop`` is asked often and ends the search with the best plan
    found.
    """

    time_limit: float | None = None
    seed: int = 0
    on_progress: Callable[[Progress], None] | None = None
    should_stop: Callable[[], bool] | None = None
