"""Who lifts a panel: its mass against the load constant, and the recommended weight limit of one person's lift.

The equation is that of NIOSH (a: an ergonomics handbook and rated explanation pages quote it): the load constant times
multipliers for reach, height, travel, twist, frequency and grip.  It is for one person: what two may lift is not twice
of it, and the rule for more hands here is common practice (c).  Lengths in mm, masses in kg, angles in degrees.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from shared.tables import LB_PER_KG, LIFTING_CONSTANT_KG, MM_PER_INCH


class Hands(Enum):
    """Who lifts it."""

    ONE = "one person"
    TWO = "two people"
    MORE = "more hands or lifting gear"


@dataclass(frozen=True)
class LiftForm:
    """The constants of the equation as printed for one system of units; the two differ by a little over 1 per cent."""

    constant: float
    """kg in the best posture."""
    reach: float
    """mm; hands no farther than this from the ankles cost nothing."""
    datum: float
    """mm; the height of the hands that costs nothing."""
    per_height: float
    """Share lost for each mm above or below it."""
    travel: float
    """mm; 0.82 + this / travel, at most 1."""


METRIC = LiftForm(LIFTING_CONSTANT_KG, 250.0, 750.0, 0.0003, 45.0)
"""23 kg; HM = 25/H, VM = 1 - 0.003 |V - 75|, DM = 0.82 + 4.5/D, in cm (a)."""

INCH = LiftForm(51 / LB_PER_KG, 10 * MM_PER_INCH, 30 * MM_PER_INCH, 0.0075 / MM_PER_INCH, 1.8 * MM_PER_INCH)
"""51 lb; HM = 10/H, VM = 1 - 0.0075 |V - 30|, DM = 0.82 + 1.8/D, in inches (a)."""

TRAVEL_SHARE = 0.82
TWIST_PER_DEGREE = 0.0032
"""(b) AM = 1 - 0.0032 A."""


@dataclass(frozen=True)
class Lift:
    """One person's lift, where it is hardest.

    ``reach`` is the level distance from the ankles to the hands, ``height`` of the hands above the floor, ``travel``
    up or down, ``twist`` of the body in degrees; ``frequency`` and ``grip`` are multipliers read from the tables of
    the equation (grip: 1.0 good, 0.95 or 1.0 fair, 0.90 poor; sheet metal without handles is poor).
    """

    reach: float
    height: float
    travel: float
    twist: float = 0.0
    frequency: float = 1.0
    grip: float = 0.9


@dataclass(frozen=True)
class PanelLift:
    """A piece to lift; ``index`` is its mass over the recommended limit, None where no lift was described.

    An index above 1 means a raised risk for one person, above 3 a high one (a).
    """

    name: str
    mass: float
    hands: Hands
    index: float | None = None


def recommended_limit(lift: Lift, form: LiftForm = METRIC) -> float:
    """The recommended weight limit, kg: what one person may lift in this way; never more than the constant."""
    reach = min(1.0, form.reach / lift.reach) if lift.reach > 0 else 1.0
    height = max(0.0, 1.0 - form.per_height * abs(lift.height - form.datum))
    travel = min(1.0, TRAVEL_SHARE + form.travel / lift.travel) if lift.travel > 0 else 1.0
    twist = max(0.0, 1.0 - TWIST_PER_DEGREE * abs(lift.twist))
    return form.constant * reach * height * travel * twist * lift.frequency * lift.grip


def lifting_index(mass: float, lift: Lift, form: LiftForm = METRIC) -> float:
    """How many times the recommended limit a mass is; infinite where the limit is nothing."""
    limit = recommended_limit(lift, form)
    return mass / limit if limit > 0 else float("inf")


def hands_for(mass: float, constant: float = LIFTING_CONSTANT_KG) -> Hands:
    """One person up to the load constant, two up to twice of it, more hands or lifting gear beyond.

    Over the constant no lift by one person is recommended in any posture (a); that two people may take what lies below
    twice of it, and nobody more by hand, is common practice without a source (c).
    """
    if mass <= constant:
        return Hands.ONE
    return Hands.TWO if mass <= 2 * constant else Hands.MORE


def panel_lifts(
    masses: Mapping[str, float], lift: Lift | None = None, form: LiftForm = METRIC
) -> tuple[PanelLift, ...]:
    """Every piece (name to kg) with its hands, the heaviest first; with ``lift`` its lifting index as well."""
    heaviest_first = sorted(masses.items(), key=lambda entry: -entry[1])
    return tuple(
        PanelLift(name, mass, hands_for(mass), None if lift is None else lifting_index(mass, lift, form))
        for name, mass in heaviest_first
    )
