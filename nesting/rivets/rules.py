"""What the rules of practice say against a set of rivet lines, each rule with its source."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

import shapely

from nesting.job import Job, SeamKind, Units
from nesting.outline import as_polygon
from nesting.plan import Panel, Point, Seam
from nesting.rivets.galvanic import pairing
from nesting.rivets.lines import SetLine
from nesting.rivets.paths import LinePath, patch_paths
from shared.tables import (
    CAB_EDGE_LEAST,
    CAB_PITCH_LEAST,
    CAB_PITCH_MOST,
    DIAMETER_LEAST,
    DIAMETER_MOST,
    EDGE_LEAST,
    LAP_LEAST,
    LAP_USUAL_LEAST,
    LAP_USUAL_MOST,
    MM_PER_INCH,
    PITCH_LEAST,
    ROW_SPACING_LEAST,
    TWO_ROW_PITCH_LEAST,
    RuleRow,
)

_NAMED = 4
"""So many lines are named in one warning, the rest counted: a long list hides the message."""

_NARROW = (
    "narrower than two edge distances, so it has no rivet line; "
    "choose a smaller edge distance or hold it some other way"
)

_NOISE = 1e-6

_CHORD = 0.02
"""mm: rivets round a curve stand on chords of it, and curves are measured as chords."""


def rule_warnings(job: Job, paths: Sequence[LinePath]) -> list[str]:
    """Where the job's own figures break a rule or leave usual practice, for the kinds of lines there are."""
    warnings: list[str] = []
    rivets, distance = job.rivets, job.seam.edge_distance
    if paths:
        warnings += _below(job, _places(paths), "edge distance", distance, EDGE_LEAST)
    pitches = (
        ("seam", ("seam",), rivets.seam_pitch),
        ("edge", ("edge", "window", "patch"), rivets.edge_pitch),
        ("post", ("post", "rail"), rivets.post_pitch),
    )
    for name, kinds, pitch in pitches:
        own = [path for path in paths if path.kind in kinds]
        if not own:
            continue
        too_close = _below(job, _places(own), f"{name} pitch", pitch, PITCH_LEAST)
        warnings += [f"{text}; spaced at that rule instead" for text in too_close]
        if name == "seam" and has_two_rows(job) and not too_close:
            warnings += _below(job, _places(own), "seam pitch", pitch, TWO_ROW_PITCH_LEAST)
            warnings += _row_spacing(job, _places(own))
        if name != "post" and not CAB_PITCH_LEAST.value - _NOISE <= pitch <= CAB_PITCH_MOST.value + _NOISE:
            most = f"to {fine(job, CAB_PITCH_MOST.value)}"
            warnings.append(
                f"{_places(own)}: for information: {name} pitch {fine(job, pitch)} is outside the usual "
                f"{fine(job, CAB_PITCH_LEAST.value)} {most} of cabs; {CAB_PITCH_LEAST.source}"
            )
    if paths and distance < CAB_EDGE_LEAST.value - _NOISE:
        warnings.append(
            f"{_places(paths)}: for information: edge distance {fine(job, distance)} is less than the usual "
            f"{fine(job, CAB_EDGE_LEAST.value)} of cabs; {CAB_EDGE_LEAST.source}"
        )
    return [*warnings, *_lap_width(job, paths), *_diameter(job, paths), *_metals(job, paths)]


def _metals(job: Job, paths: Sequence[LinePath]) -> list[str]:
    """Rivets of a metal that does not go with the skin's; nothing where the job does not tell the rivet's."""
    pair = pairing(job.skin.material, job.rivets.material) if job.rivets.material and paths else None
    if pair is None or pair.good:
        return []
    return [
        f"{_places(paths)}: for information: {pair.rivet} rivets in {pair.skin} lie {pair.verdict}; {pair.source}"
    ]


def _lap_width(job: Job, paths: Sequence[LinePath]) -> list[str]:
    """Laps narrower than two edge distances or outside of what is usual."""
    own = [path for path in paths if path.kind == "seam"]
    if not own or job.seam.kind is not SeamKind.LAP:
        return []
    lap = 2 * job.seam.reach
    if not has_two_rows(job) and (below := _below(job, _places(own), "lap width", lap, LAP_LEAST)):
        return below
    if LAP_USUAL_LEAST.value - _NOISE <= lap <= LAP_USUAL_MOST.value + _NOISE:
        return []
    usual = f"{fine(job, LAP_USUAL_LEAST.value)} to {fine(job, LAP_USUAL_MOST.value)}"
    return [
        f"{_places(own)}: for information: lap width {fine(job, lap)} is outside the usual {usual}; "
        f"{LAP_USUAL_LEAST.source}"
    ]


def _diameter(job: Job, paths: Sequence[LinePath]) -> list[str]:
    """A rivet too thin or too thick for what it closes."""
    thickest = max(job.skin.thickness, job.rivets.post_thickness)
    least, most = DIAMETER_LEAST.value * thickest, DIAMETER_MOST.value * thickest
    diameter = job.rivets.diameter
    if not paths or least - _NOISE <= diameter <= most + _NOISE:
        return []
    return [
        f"{_places(paths)}: for information: diameter {fine(job, diameter)} is outside "
        f"{DIAMETER_LEAST.value:g} to {DIAMETER_MOST.value:g} times the thickest sheet, {fine(job, least)} to "
        f"{fine(job, most)}; {DIAMETER_LEAST.source}"
    ]


def has_two_rows(job: Job) -> bool:
    """Whether seams have two rows; on a butt seam each panel has its one row."""
    return job.seam.kind is SeamKind.LAP and job.seam.rows == 2 and job.seam.row_spacing > 0


def line_warnings(job: Job, lines: Sequence[SetLine]) -> list[str]:
    """Where the geometry left no room to keep pitch and least pitch both."""
    least = f"{PITCH_LEAST.value:g} D = {fine(job, PITCH_LEAST.value * job.rivets.diameter)}"
    warnings: list[str] = []
    checks: tuple[tuple[Callable[[SetLine], int], str], ...] = (
        (
            lambda line: line.left_out,
            f"rivets that would sit nearer than {least} to others were left out; {PITCH_LEAST.source}",
        ),
        (
            lambda line: line.crowded,
            f"rivets where lines meet sit nearer than {least} to others; {PITCH_LEAST.source}",
        ),
        (
            # a pitch that breaks the rule itself has been named already
            lambda line: (
                line.stretched and line.path.pitch >= PITCH_LEAST.value * job.rivets.diameter - _NOISE
            ),
            f"a short stretch is spaced wider than the pitch, since one rivet more would break {least}; "
            f"{PITCH_LEAST.source}",
        ),
    )
    for found, text in checks:
        for side in dict.fromkeys(line.path.side for line in lines):
            named = [line.where for line in lines if line.path.side == side and found(line)]
            if named:
                warnings.append(f"{place_of(side)}, {_several(named)}: {text}")
    return warnings


def narrow_warnings(side: str, panels: Iterable[Panel], paths: Iterable[LinePath]) -> list[str]:
    """A warning for each panel that no line holds."""
    held = {name for path in paths for name in path.panels}
    return [f"{place_of(side)}, panel {panel.name}: {_NARROW}" for panel in panels if panel.name not in held]


def bare_seam_warnings(side: str, seams: Iterable[Seam], paths: Iterable[LinePath]) -> list[str]:
    """A warning for each seam so short that no line holds both its panels (on a butt seam, each of them)."""
    lines = [set(path.panels) for path in paths if path.kind == "seam"]
    held = [
        (
            seam,
            any(pair <= line for line in lines) or all(any(line == {one} for line in lines) for one in pair),
        )
        for seam in seams
        for pair in ({seam.over, seam.under},)
    ]
    return [
        f"{place_of(side)}, seam of {seam.over} over {seam.under}: too short for a rivet line that keeps the edge "
        "distance in both; the lines beside it hold them"
        for seam, is_held in held
        if not is_held
    ]


def narrow_patch_warnings(job: Job) -> list[str]:
    """A warning for each patch that should be riveted and has no room for it."""
    return [
        f"patch {patch.name!r}: {_NARROW}"
        for patch in job.patches
        if patch.riveted and not patch_paths(job, patch, patch.name)
    ]


def pile_warning(job: Job, side: str, sheets: Iterable[int]) -> list[str]:
    """One warning if rivets of a side go through more than two sheets; ``sheets`` has a count for each."""
    piles = [count for count in sheets if count > 2]
    if not piles:
        return []
    most = max(piles)
    count = "1 rivet" if len(piles) == 1 else f"{len(piles)} rivets"
    grip = most * job.skin.thickness + job.rivets.post_thickness
    return [
        f"{place_of(side)}, corners where seams meet: up to {most} sheets lie on one another at {count}; "
        f"the grip there is {fine(job, grip)}: stagger or relieve the corners, or take longer rivets there"
    ]


def edge_warning(
    job: Job, side: str, panels: Sequence[Panel], lines: Sequence[SetLine], points: Sequence[Point]
) -> list[str]:
    """One warning if rivets of a side come down too near the edge of any sheet.

    Those of its own panel keep the edge distance; beside a lap they may meet the hidden edge of the other.
    """
    least = EDGE_LEAST.value * job.rivets.diameter
    if job.seam.edge_distance < least - _NOISE or not points:
        return []  # a small edge distance has been named already
    cloud = shapely.points(points)
    near: set[Point] = set()
    for panel in panels:
        edge = as_polygon(panel.outline, panel.holes).boundary
        close = shapely.dwithin(edge, cloud, least - _CHORD).tolist()
        near.update(point for point, is_close in zip(points, close, strict=True) if is_close)
    named = [line.where for line in lines if not near.isdisjoint(line.points)]
    if not named:
        return []
    limit = f"{EDGE_LEAST.value:g} D = {fine(job, least)}"
    return [
        f"{place_of(side)}, {_several(named)}: rivets come down within {limit} of the hidden edge of another "
        f"sheet: move them clear of it; {EDGE_LEAST.source}"
    ]


def _several(named: Sequence[str]) -> str:
    if len(named) <= _NAMED + 1:
        return "; ".join(named)
    return f"{'; '.join(named[:_NAMED])} and {len(named) - _NAMED} more lines"


def _row_spacing(job: Job, places: str) -> list[str]:
    spacing, three = job.seam.row_spacing, PITCH_LEAST.value * job.rivets.diameter
    if spacing >= three - _NOISE:
        return []
    return _below(job, places, "row spacing", spacing, ROW_SPACING_LEAST) or [
        f"{places}: for information: row spacing {fine(job, spacing)} is under 3 D = {fine(job, three)}; "
        f"rows may be so near down to {ROW_SPACING_LEAST.value:g} D; {ROW_SPACING_LEAST.source}"
    ]


def _below(job: Job, places: str, name: str, value: float, rule: RuleRow) -> list[str]:
    least = rule.value * job.rivets.diameter
    if value >= least - _NOISE:
        return []
    limit = f"{rule.value:g} D = {fine(job, least)}"
    return [f"{places}: {name} {fine(job, value)} is less than {limit}; {rule.source}"]


def _places(paths: Iterable[LinePath]) -> str:
    """The sides and the kinds of lines, in words."""
    sides = list(dict.fromkeys(path.side for path in paths))
    kinds = list(dict.fromkeys(path.kind for path in paths))
    return f"{', '.join(place_of(side) for side in sides)}, {' and '.join(kinds)} lines"


def place_of(side: str) -> str:
    """A side, or the patches, as messages call it."""
    return f"side {side!r}" if side else "patches"


def fine(job: Job, mm: float) -> str:
    """A small length in the job's units, finer than a tape: rules and grips need more than sixteenths."""
    if job.units is not Units.INCH:
        return f"{mm:.4g} mm"
    sixty_fourths = Fraction(round(mm / MM_PER_INCH * 64), 64)
    if abs(float(sixty_fourths) * MM_PER_INCH - mm) > _NOISE:
        return f"{mm / MM_PER_INCH:.4g} in"
    whole, rest = divmod(sixty_fourths, 1)
    return f"{' '.join(str(part) for part in (whole, rest) if part) or 0} in"
