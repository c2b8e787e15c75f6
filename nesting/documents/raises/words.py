"""A table of raises in words: the answer first, then what to mind; and how its cells are said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from nesting.documents.drawing import one_line
from nesting.documents.wording import counted, length_text, worth_text
from nesting.job import Job
from nesting.raisetable import Outcome, RaiseRow, Taken
from nesting.skin.raising import Reach, one_piece_reaches, raise_notes
from shared.units import SNAP_MM, format_feet, format_length

COMMON_RAISE = 304.8
"""mm: 12 in is common.  Common practice, no source."""
ADVISED_MOST = 406.4
"""mm: more than 16 in is advised against whatever the length.  Common practice, no source."""
OVER_LIMIT, ADVISED_AGAINST, WITH_STRIPS = (
    "over the limit of height",
    "advised against",
    "backing strips added",
)
_MOST_SENTENCES = 8
_NO_MONEY = 0.005
"""Amounts that would print as 0.00."""


@dataclass(frozen=True)
class Headroom:
    """The vehicle's overall height in mm with the roof where it was built, and what it may be at most."""

    now: float
    most: float | None = None

    def at(self, raise_height: float) -> float:
        return self.now + raise_height

    def too_high(self, raise_height: float) -> bool:
        """Whether the vehicle would be over its limit."""
        return self.most is not None and self.at(raise_height) > self.most + SNAP_MM


def raise_text(job: Job, mm: float) -> str:
    """A raise with its unit."""
    return format_length(mm, job.units.value, with_unit=True)


def height_text(job: Job, mm: float, *, up: bool = False) -> str:
    """An overall height: feet and inches, or mm."""
    if job.units.value == "in":
        return format_feet(mm, "up" if up else "nearest")
    return format_length(mm, "mm", with_unit=True, direction="up" if up else "nearest")


def stock_text(taken: Taken) -> str:
    """``3 x 4x8, 2 x 4x10``."""
    return ", ".join(f"{count} x {one_line(name)}" for name, count in taken.stock) or "none"


def proof_word(taken: Taken) -> str:
    """``proved``, or how far the plan may be from the best."""
    return "proved" if taken.proved else f"gap {100 * taken.gap:.1f} %"


def reach_text(job: Job, reach: Reach) -> str:
    """Up to which raise sheets of one width close the whole height in one piece."""
    names = ", ".join(one_line(name) for name in reach.names)
    sheets = f"{raise_text(job, reach.width)} sheets ({names})"
    if reach.most is None:
        return f"{sheets}: too narrow at any raise"
    most = format_length(reach.most, job.units.value, with_unit=True, direction="down")
    return f"{sheets}: in one piece up to {most}"


def marks(row: RaiseRow, headroom: Headroom | None) -> tuple[str, ...]:
    """What is against a raise, apart from its cost."""
    said = []
    if headroom is not None and headroom.too_high(row.raise_height):
        said.append(OVER_LIMIT)
    if row.raise_height > ADVISED_MOST + SNAP_MM:
        said.append(ADVISED_AGAINST)
    if row.taken is not None and row.taken.strips:
        said.append(WITH_STRIPS)
    return tuple(said)


def answer(job: Job, rows: Sequence[RaiseRow]) -> tuple[str, ...]:
    """What a raise costs, in sentences: one for each stretch of raises that take the same sheets' price and seams."""
    stretches = _stretches(rows)
    said = [_sentence(job, stretches, number) for number in range(min(len(stretches), _MOST_SENTENCES))]
    if len(stretches) > _MOST_SENTENCES:
        more = len(stretches) - _MOST_SENTENCES
        said.append(f"{counted(more, 'more change')} above that stand in the table.")
    return (*said, *_dearest_step(job, stretches))


def _stretches(rows: Sequence[RaiseRow]) -> list[list[RaiseRow]]:
    """Neighbouring rows that come to the same: outcome, price of sheets, seams of either kind."""
    stretches: list[list[RaiseRow]] = []
    for row in rows:
        if stretches and _same(stretches[-1][-1], row):
            stretches[-1].append(row)
        else:
            stretches.append([row])
    return stretches


def _same(one: RaiseRow, other: RaiseRow) -> bool:
    if one.taken is None or other.taken is None:
        return one.outcome is other.outcome
    return (
        abs(one.taken.sheet_cost - other.taken.sheet_cost) < _NO_MONEY
        and one.taken.post_seams == other.taken.post_seams
        and one.taken.level_seams == other.taken.level_seams
    )


def _sentence(job: Job, stretches: Sequence[Sequence[RaiseRow]], number: int) -> str:
    stretch = stretches[number]
    taken = stretch[0].taken
    opening = _range(job, stretch, number, len(stretches))
    if taken is None:
        return f"{opening}: {stretch[0].outcome.value}."
    sheets = f"sheets {'for ' if job.priced else ''}{worth_text(job, taken.sheet_cost)}"
    seams = seams_text(taken)
    if not all(row.taken.proved for row in stretch if row.taken):
        seams += "; not proved"
    before = next((s[-1].taken for s in reversed(stretches[:number]) if s[-1].taken is not None), None)
    if before is None:
        return f"{opening}: {sheets}, {seams}."
    return f"{opening}: {_change(job, before, taken)} ({sheets}, {seams})."


def _range(job: Job, stretch: Sequence[RaiseRow], number: int, count: int) -> str:
    first, last = stretch[0].raise_height, stretch[-1].raise_height
    low, high = raise_text(job, first), raise_text(job, last)
    if len(stretch) == 1:
        return f"At {low}"
    if number == 0:
        return f"Up to {high}"
    short = length_text(first, job.units)
    return f"From {low} on" if number == count - 1 else f"From {short} to {high}"


def seams_text(taken: Taken) -> str:
    """``no seam``, ``1 seam over a post``, ``4 seams over posts and 3 level seams``."""
    said = []
    if taken.post_seams:
        said.append("1 seam over a post" if taken.post_seams == 1 else f"{taken.post_seams} seams over posts")
    if taken.level_seams:
        said.append(counted(taken.level_seams, "level seam"))
    return " and ".join(said) or "no seam"


def _change(job: Job, before: Taken, after: Taken) -> str:
    """What a stretch takes more or less than the one before it."""
    changes = []
    more = after.sheet_cost - before.sheet_cost
    if abs(more) < _NO_MONEY:
        changes.append("sheets at the same price" if job.priced else "the same area of sheet")
    else:
        kinds = ("dearer", "cheaper") if job.priced else ("more sheet", "less sheet")
        changes.append(f"{worth_text(job, abs(more))} {kinds[more < 0]}")
    for noun, difference in (
        ("seam over a post", after.post_seams - before.post_seams),
        ("level seam", after.level_seams - before.level_seams),
    ):
        if difference:
            nouns = noun if abs(difference) == 1 else noun.replace("seam", "seams").replace("a post", "posts")
            changes.append(f"{abs(difference)} {nouns} {'more' if difference > 0 else 'fewer'}")
    return ", ".join(changes)


def _dearest_step(job: Job, stretches: Sequence[Sequence[RaiseRow]]) -> tuple[str, ...]:
    """The step up that costs most, sheets and seams together, where there are several stretches to choose from."""
    steps = []
    for low, high in pairwise(stretches):
        one, other = low[-1], high[0]
        if one.taken is not None and other.taken is not None:
            more = other.taken.sheet_cost + other.taken.seam_cost - one.taken.sheet_cost - one.taken.seam_cost
            steps.append((more, one.raise_height, other.raise_height))
    if len(steps) < 2 or max(steps)[0] < _NO_MONEY:
        return ()
    more, below, above = max(steps, key=lambda step: step[0])
    return (
        f"The dearest step is from {length_text(below, job.units)} to {raise_text(job, above)}: "
        f"{worth_text(job, more)} more, sheets and seams together.",
    )


def notes(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None) -> tuple[str, ...]:
    """What to mind: widths of sheet, the limit of height, what is common, what was assumed, what is not proved."""
    return (
        *_width_notes(job),
        *_height_notes(job, rows, headroom),
        *_usual_notes(job, rows),
        *raise_notes(job),
        *_row_notes(job, rows),
    )


def _width_notes(job: Job) -> tuple[str, ...]:
    said = "; ".join(reach_text(job, reach) for reach in one_piece_reaches(job))
    return (f"From land to land across the sheet: {said}.",) if said else ()


def _height_notes(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None) -> tuple[str, ...]:
    if headroom is None or headroom.most is None:
        return ()
    limit, room = height_text(job, headroom.most), headroom.most - headroom.now
    if room < -SNAP_MM:
        over = format_length(-room, job.units.value, with_unit=True, direction="up")
        return (f"The vehicle is {over} over the limit of {limit} before any raise.",)
    most = format_length(room, job.units.value, with_unit=True, direction="down")
    over_rows = sum(headroom.too_high(row.raise_height) for row in rows)
    marked = f"; {counted(over_rows, 'raise')} in this table are over it" if over_rows > 1 else ""
    marked = "; 1 raise in this table is over it" if over_rows == 1 else marked
    return (f"The limit of {limit} allows a raise of {most} at most{marked}.",)


def _usual_notes(job: Job, rows: Sequence[RaiseRow]) -> tuple[str, ...]:
    advised, common = raise_text(job, ADVISED_MOST), raise_text(job, COMMON_RAISE)
    said = f"A raise of {common} is common; more than {advised} is advised against whatever the length"
    beyond = any(row.raise_height > ADVISED_MOST + SNAP_MM for row in rows)
    here = " Raises above it are marked." if beyond else ""
    return (f"{said}, for side wind and the size of sheets (common practice, no published source).{here}",)


def _row_notes(job: Job, rows: Sequence[RaiseRow]) -> tuple[str, ...]:
    """What single rows have to say: not proved, strips to add, no plan and why."""
    said = []
    open_rows = [row for row in rows if row.taken is not None and not row.taken.proved]
    if open_rows:
        which = _heights(job, open_rows)
        said.append(f"Not proved at {which}: something cheaper may exist there; give more --time-limit.")
    stripped = [row for row in rows if row.taken is not None and row.taken.strips]
    if stripped:
        said.append(
            f"At {_heights(job, stripped)} level seams need backing strips added behind them; "
            "they are cut from the same sheets."
        )
    reasons: dict[str, list[RaiseRow]] = {}
    for row in rows:
        if row.taken is None:
            reasons.setdefault(_first_line(row), []).append(row)
    for reason, those in reasons.items():
        said.append(f"{_heights(job, those)}: {reason}")
    return tuple(said)


def _first_line(row: RaiseRow) -> str:
    """Why there is no plan, in one sentence: the first of the reasons, and the sheet that would do."""
    lines = row.why.splitlines() or [row.outcome.value]
    text = lines[0] if len(lines) == 1 else f"{lines[0]}; {lines[-1]}"
    known = row.outcome in (Outcome.NOTHING_FITS, Outcome.IMPOSSIBLE)
    return f"{row.outcome.value}: {one_line(text)}" if known else one_line(text)


def _heights(job: Job, rows: Sequence[RaiseRow]) -> str:
    """Raises one after another, with the unit at the end."""
    texts = [length_text(row.raise_height, job.units) for row in rows]
    return f"{', '.join(texts)} {job.units.value}"
