"""A yardstick for the strength of seams: what a lap holds beside the sheet itself.  Information, no approval.

Per mm of a seam, with the characteristic strengths of everything (no safety factor on either hand):

* rivet shear      Fv / pitch for each row
* bearing          Fb / pitch for each row, Fb = alpha fu d t, at most fu e1 t / 1.2 (EN 1993-1-3:2006 table 8.1, blind
                   rivets, from memory (b)); alpha = 3.6 sqrt(t / d), at most 2.1, where both sheets are equally thick,
                   2.1 where the thicker has 2.5 times the thinner, straight between
* net section      fu t (pitch - hole) / pitch
* the whole sheet  fu t

The joint is the least of the first three.  Beside it stands the 60 per cent of the school-bus joint rule (49 CFR
571.221 (a)), a rule for new buses and no duty for a conversion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist, sqrt

from nesting.job import Job, SeamKind
from nesting.plan import Fasteners, Plan, Point, RivetLine, Seam
from shared.rivettables import shear_load, sheet_strength

PARTIAL_FACTOR = 1.25
"""gamma M2 of EN 1993-1-3 (b): design values are characteristic ones divided by it."""

JOINT_RULE = 0.6
JOINT_RULE_SOURCE = "49 CFR 571.221 S5.1: 60 % of the weakest joined panel, for new school buses (a)"
EN_SOURCE = "EN 1993-1-3:2006 table 8.1, blind rivets, from memory (b)"

HOLE_MORE = 0.1
"""mm: a hole is as much wider than the rivet; rule of thumb of a trade guide (a)."""

TAKEN_MATERIAL = "steel"
"""What a rivet is taken to be of where the job does not tell; the figure is then shown as taken."""

NO_APPROVAL = (
    "For information only: a yardstick from standard formulas, no approval and no calculation of the structure. "
    "Take rivet loads from the maker's data sheet for the rivet in hand."
)

_SEAM_END = 0.01
"""mm: a rivet belongs to a seam when it lies this much past its end, which only rounding explains."""


@dataclass(frozen=True)
class StrengthInput:
    """A figure that goes in: its value and unit, where it comes from, and whether the job told it."""

    name: str
    value: float
    unit: str
    source: str
    told: bool


@dataclass(frozen=True)
class Strength:
    """What one seam holds, in N for each mm: ``shear`` of the rivets, ``bearing``, ``net`` section, whole ``sheet``.

    ``rivets`` lie on it in ``rows`` rows; ``pitch`` is the widest spacing in a row, ``narrowest`` the least (mm).
    On a butt seam the row of the weaker panel counts.
    """

    seam: Seam
    rivets: int
    rows: int
    pitch: float
    narrowest: float
    shear: float
    bearing: float
    net: float
    sheet: float

    @property
    def joint(self) -> float:
        """What the seam holds, N for each mm."""
        return min(self.shear, self.bearing, self.net)

    @property
    def governs(self) -> str:
        """What gives way first."""
        ways = {"rivet shear": self.shear, "bearing": self.bearing, "net section": self.net}
        return min(ways, key=lambda way: ways[way])

    @property
    def share(self) -> float:
        """The joint as a fraction of the whole sheet's strength."""
        return self.joint / self.sheet

    @property
    def bearing_first(self) -> bool:
        """Whether holes stretch well before rivets shear, as EN 1993-1-3 asks (b): shear at least 1.2 bearing."""
        return self.shear >= 1.2 * self.bearing - 1e-9

    @property
    def meets_joint_rule(self) -> bool:
        """Whether it reaches the 60 per cent of the rule for new school buses."""
        return self.share >= JOINT_RULE - 1e-9

    @property
    def pitch_for_rule(self) -> float:
        """The pitch in mm at which rivets and bearing would reach those 60 per cent."""
        return min(self.shear, self.bearing) * self.pitch / (JOINT_RULE * self.sheet)


def bearing_load(t: float, t1: float, d: float, fu: float, e1: float) -> float:
    """Characteristic bearing load of one blind rivet in N; lengths in mm, ``fu`` in MPa, ``t1`` the thicker sheet.

    EN 1993-1-3:2006 table 8.1, from memory (b); divide by `PARTIAL_FACTOR` for the design value.
    """
    alike = min(2.1, 3.6 * sqrt(t / d))
    share = min(1.0, max(0.0, (t1 / t - 1.0) / 1.5))
    alpha = alike + (2.1 - alike) * share
    return min(alpha * fu * d * t, fu * e1 * t / 1.2)


def net_load(pitch: float, hole: float, t: float, fu: float) -> float:
    """What the sheet holds between two holes, in N for one pitch."""
    return max(0.0, pitch - hole) * t * fu


def hole_diameter(diameter: float) -> float:
    """The hole for a rivet in mm."""
    return diameter + HOLE_MORE


def strength_inputs(job: Job) -> tuple[StrengthInput, ...]:
    """The figures that `seam_strengths` takes, each with its source; those missing are left out."""
    rivets, skin = job.rivets, job.skin
    material = rivets.material or TAKEN_MATERIAL
    found = []
    load = shear_load(material, rivets.diameter)
    if rivets.shear_strength is not None:
        found.append(StrengthInput(_SHEAR, rivets.shear_strength, "N", "the job", told=True))
    elif load is not None:
        taken = "" if rivets.material else f", {material} taken since the job names no material"
        found.append(StrengthInput(_SHEAR, load.shear, "N", f"{load.source}{taken}", told=False))
    row = sheet_strength(skin.material)
    for name, own, usual in (
        (_TENSILE, skin.tensile, row.tensile if row else None),
        (_YIELD, skin.yield_strength, row.yield_strength if row else None),
    ):
        if own is not None:
            found.append(StrengthInput(name, own, "MPa", "the job", told=True))
        elif usual is not None and row is not None:
            found.append(StrengthInput(name, usual, "MPa", row.source, told=False))
    return tuple(found)


def missing_inputs(job: Job) -> tuple[str, ...]:
    """The job keys to write before strengths can be told; empty where all is known."""
    known = {given.name for given in strength_inputs(job)}
    keys = ((_SHEAR, "shear_strength in [rivets]"), (_TENSILE, "tensile_strength in [skin]"))
    return tuple(key for name, key in keys if name not in known)


def seam_strengths(job: Job, plan: Plan, fasteners: Fasteners) -> tuple[Strength, ...]:
    """The strength of each seam that has rivets, in the order of the plan; empty where `missing_inputs` names some."""
    known = {given.name: given.value for given in strength_inputs(job)}
    if missing_inputs(job):
        return ()
    lines = [line for line in fasteners.lines if line.kind == "seam" and len(line.points) > 1]
    found = (_strength(job, seam, lines, known[_SHEAR], known[_TENSILE]) for seam in plan.seams)
    return tuple(strength for strength in found if strength is not None)


def yardstick(strength: Strength) -> str:
    """One seam in a sentence: what it holds, what governs, and where the joint rule for new buses lies."""
    beside = "reaches" if strength.meets_joint_rule else "does not reach"
    return (
        f"{strength.joint:.0f} N/mm, {strength.share:.0%} of the sheet's {strength.sheet:.0f} N/mm; {strength.governs} "
        f"governs; {beside} the 60 % of the joint rule for new school buses"
    )


_SHEAR, _TENSILE, _YIELD = (
    "rivet shear strength",
    "tensile strength of the skin",
    "yield strength of the skin",
)


def _strength(job: Job, seam: Seam, lines: Sequence[RivetLine], shear: float, fu: float) -> Strength | None:
    rows = _rows(job, seam, lines)
    if not rows:
        return None
    if job.seam.kind is SeamKind.BUTT:
        # each panel hangs on its own row to the post behind: the weaker one gives way
        rows = [max(rows, key=lambda row: row.widest)]
    t, d, e1 = job.skin.thickness, job.rivets.diameter, job.seam.edge_distance
    behind = job.rivets.post_thickness if job.seam.kind is SeamKind.BUTT else t
    bearing = bearing_load(min(t, behind), max(t, behind), d, fu, e1)
    each_mm = sum(1 / row.widest for row in rows)
    narrowest = min(row.narrowest for row in rows)
    return Strength(
        seam=seam,
        rivets=sum(row.rivets for row in rows),
        rows=len(rows),
        pitch=max(row.widest for row in rows),
        narrowest=narrowest,
        shear=shear * each_mm,
        bearing=bearing * each_mm,
        net=net_load(narrowest, hole_diameter(d), t, fu) / narrowest,
        sheet=t * fu,
    )


@dataclass(frozen=True)
class _Row:
    """One row of a seam: a hole may leave it in several lines, between which there is no rivet to miss."""

    rivets: int
    widest: float
    narrowest: float


def _rows(job: Job, seam: Seam, lines: Sequence[RivetLine]) -> list[_Row]:
    across = 0 if seam.after_bay is not None else 1
    found: dict[float, list[Sequence[Point]]] = {}
    for line in lines:
        own = _on_seam(job, seam, line)
        if len(own) > 1:
            found.setdefault(round(own[0][across], 1), []).append(own)
    rows = []
    for pieces in found.values():
        spaces = [dist(a, b) for piece in pieces for a, b in pairwise(piece)]
        rows.append(_Row(sum(map(len, pieces)), max(spaces), min(spaces)))
    return rows


def _on_seam(job: Job, seam: Seam, line: RivetLine) -> tuple[Point, ...]:
    """The rivets of a line that hold this seam: a pair of panels may have seams along two posts or rails."""
    if line.side != seam.side or not {seam.over, seam.under} >= set(line.panels):
        return ()
    across = 0 if seam.after_bay is not None else 1
    past = abs(job.seam.reach - job.seam.edge_distance) + _SEAM_END
    farthest = past
    if job.seam.kind is SeamKind.BUTT:
        farthest = job.seam.butt_gap / 2 + job.seam.edge_distance + _SEAM_END
    low, high = seam.start[1 - across] - past, seam.end[1 - across] + past
    return tuple(
        point
        for point in line.points
        if abs(point[across] - seam.start[across]) <= farthest and low <= point[1 - across] <= high
    )
