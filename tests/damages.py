"""Ways to damage a sound hand plan, one thing at a time, for the tests of the plan check."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

import pytest

from nesting.checking.check import plan_faults
from nesting.job import Fixed
from nesting.outline import Ring, mirrored, moved, rectangle, turned
from nesting.plan import PlannedJob, Seam, TradePoint
from tests.hand_plans import HandPlan, placed

Damaged = tuple[Any, ...]
"""Job, plan, and where they matter rivets and buy list."""

Damage = Callable[[HandPlan], Damaged]

Case = tuple[str, Callable[[], HandPlan], Damage, str]
"""What is damaged, the sound plan, the damage, and words that the check must say."""


def cases(*table: tuple[Any, ...]) -> Iterable[Any]:
    """The rows of a table for pytest, each with its first value as its name."""
    return [pytest.param(*row[1:], id=row[0]) for row in table]


def assert_found(told: str, damaged: Damaged) -> None:
    """The check says these words about a damaged plan."""
    faults = list(plan_faults(*damaged))
    assert any(told in fault for fault in faults), faults


def item(values: tuple[Any, ...], index: int, **changes: Any) -> tuple[Any, ...]:
    """The tuple with one of its values changed."""
    return (*values[:index], replace(values[index], **changes), *values[index + 1 :])


def panel_changed(index: int, **changes: Any) -> Callable[[HandPlan], Damaged]:
    def damage(hand: HandPlan) -> Damaged:
        return hand.job, replace(hand.plan, panels=item(hand.plan.panels, index, **changes))

    return damage


def recut(index: int, outline: Ring) -> Callable[[HandPlan], Damaged]:
    """A panel of another shape, and the part on its sheet to match: only the structure can tell."""

    def damage(hand: HandPlan) -> Damaged:
        plan = hand.plan
        part = plan.sheets[0].parts[index]
        sheet = replace(
            plan.sheets[0],
            parts=item(
                plan.sheets[0].parts,
                index,
                outline=moved(
                    outline,
                    part.x - min(v[0] for v in outline),
                    part.y - min(v[1] for v in outline),
                ),
            ),
            offcuts=(),
        )
        return hand.job, replace(plan, panels=item(plan.panels, index, outline=outline), sheets=(sheet,))

    return damage


def seam_changed(index: int, **changes: Any) -> Callable[[HandPlan], Damaged]:
    def damage(hand: HandPlan) -> Damaged:
        return hand.job, replace(hand.plan, seams=item(hand.plan.seams, index, **changes))

    return damage


def sheet_changed(**changes: Any) -> Callable[[HandPlan], Damaged]:
    def damage(hand: HandPlan) -> Damaged:
        return hand.job, replace(hand.plan, sheets=item(hand.plan.sheets, 0, **changes))

    return damage


def part_changed(index: int, change: Callable[[Ring], Ring], **more: Any) -> Callable[[HandPlan], Damaged]:
    def damage(hand: HandPlan) -> Damaged:
        parts = hand.plan.sheets[0].parts
        outline = change(parts[index].outline)
        return sheet_changed(parts=item(parts, index, outline=outline, **more), offcuts=())(hand)

    return damage


def shifted(dx: float, dy: float) -> Callable[[Ring], Ring]:
    return lambda ring: moved(ring, dx, dy)


def as_it_was(ring: Ring) -> Ring:
    return ring


def plan_changed(**changes: Any) -> Callable[[HandPlan], Damaged]:
    return lambda hand: (hand.job, replace(hand.plan, **changes))


def job_changed(**changes: Any) -> Callable[[HandPlan], Damaged]:
    return lambda hand: (replace(hand.job, **changes), hand.plan)


def side_changed(**changes: Any) -> Callable[[HandPlan], Damaged]:
    return lambda hand: (replace(hand.job, sides=item(hand.job.sides, 0, **changes)), hand.plan)


def cutting_changed(**changes: Any) -> Callable[[HandPlan], Damaged]:
    return lambda hand: (replace(hand.job, cutting=replace(hand.job.cutting, **changes)), hand.plan)


def cut_changed(index: int, **changes: Any) -> Callable[[HandPlan], Damaged]:
    return lambda hand: sheet_changed(cuts=item(hand.plan.sheets[0].cuts, index, **changes))(hand)


def trade(*points: tuple[int, float, float]) -> Callable[[HandPlan], Damaged]:
    return plan_changed(tradeoff=tuple(TradePoint(*point) for point in points))


def fixed_changed(**changes: Any) -> Damage:
    """The job says something else of its first decided panel."""

    def damage(hand: HandPlan) -> Damaged:
        fixed = replace(hand.job.fixed, panels=item(hand.job.fixed.panels, 0, **changes))
        return replace(hand.job, fixed=fixed), hand.plan

    return damage


def nothing_fixed(hand: HandPlan) -> Damaged:
    return replace(hand.job, fixed=Fixed()), hand.plan


def cut_again(name: str, width: float, height: float) -> Damage:
    """A part that is there already, laid on the sheet once more."""

    def damage(hand: HandPlan) -> Damaged:
        sheet = hand.plan.sheets[0]
        more = placed(name, rectangle(0, 0, width, height), 10, 760 if width > 300 else 700)
        return sheet_changed(parts=(*sheet.parts, more), offcuts=())(hand)

    return damage


def one_more_part(hand: HandPlan) -> Damaged:
    parts = hand.plan.sheets[0].parts
    extra = replace(parts[0], part="no such thing", outline=moved(parts[0].outline, 0, 560))
    return sheet_changed(parts=(*parts, extra), offcuts=())(hand)


def first_part_twice(hand: HandPlan) -> Damaged:
    parts = hand.plan.sheets[0].parts
    return sheet_changed(
        parts=(*parts, replace(parts[0], outline=moved(parts[0].outline, 0, 560))), offcuts=()
    )(hand)


def turned_by_ten(hand: HandPlan) -> Damaged:
    """Turned to any angle within the sheet, where only quarters are allowed."""
    part = hand.plan.sheets[0].parts[0]
    leaning = turned(hand.plan.panels[0].outline, 10.0)
    x, y = min(v[0] for v in leaning), min(v[1] for v in leaning)
    return sheet_changed(
        parts=(replace(part, outline=moved(leaning, 20 - x, 20 - y), turn=10.0),), offcuts=()
    )(hand)


def mirrored_silently(hand: HandPlan) -> Damaged:
    outline = mirrored(hand.plan.panels[0].outline)
    return part_changed(0, lambda _: moved(outline, 10 - min(v[0] for v in outline), 35))(hand)


def rail_through_window(hand: HandPlan) -> Damaged:
    """A second panel under the rail that cuts the window in two."""
    d1 = replace(hand.plan.panels[0], last_row=1, outline=rectangle(-25, -25, 1275, 215), holes=())
    d2 = replace(d1, name="D2", first_row=2, last_row=2, outline=rectangle(-25, 185, 1275, 525))
    seam = Seam("driver side", None, 1, (-25.0, 200.0), (1275.0, 200.0), over="D2", under="D1")
    job = replace(hand.job, sides=item(hand.job.sides, 0, rails=(200.0,), rail_width=50.0))
    return job, replace(hand.plan, panels=(d1, d2), seams=(seam,))


def rivets_changed(**changes: Any) -> Callable[[PlannedJob], Damaged]:
    return lambda p: (p.job, p.plan, replace(p.fasteners, **changes))


def line_changed(index: int, **changes: Any) -> Callable[[PlannedJob], Damaged]:
    return lambda p: (p.job, p.plan, replace(p.fasteners, lines=item(p.fasteners.lines, index, **changes)))


def buying_changed(**changes: Any) -> Callable[[PlannedJob], Damaged]:
    return lambda p: (p.job, p.plan, p.fasteners, replace(p.buying, **changes))


def one_rivet_moved(dx: float, dy: float) -> Callable[[PlannedJob], Damaged]:
    """The fourth rivet of the seam is out of its row."""

    def damage(p: PlannedJob) -> Damaged:
        points = p.fasteners.lines[0].points
        x, y = points[3]
        return line_changed(0, points=(*points[:3], (x + dx, y + dy), *points[4:]))(p)

    return damage
