"""How far an answer is proved: the one word that plans of sheets and of bars share."""

from __future__ import annotations

from enum import Enum


class Status(Enum):
    """How far a plan is proved."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
