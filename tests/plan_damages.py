"""Ways to damage a whole plan, one thing at a time: panels, sheets, cuts, rivets, buy list and masses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import isclose
from typing import Any

from nesting.orderneeds import HandsNeeded, LabourNeed
from nesting.outline import Ring, bounds, mirrored, moved
from nesting.plan import Cut, PlannedJob, RivetLine, SheetLayout, TradePoint
from tests.damages import Damaged, item, rail_through_window
from tests.hand_plans import SMALL, HandPlan

Damage = Callable[[PlannedJob], PlannedJob]

INCH = 25.4


def values(p: PlannedJob) -> Damaged:
    return p.job, p.plan, p.fasteners, p.buying, p.order, p.masses


def job(**changes: Any) -> Damage:
    return lambda p: replace(p, job=replace(p.job, **changes))


def plan(**changes: Any) -> Damage:
    return lambda p: replace(p, plan=replace(p.plan, **changes))


def cutting(**changes: Any) -> Damage:
    return lambda p: replace(p, job=replace(p.job, cutting=replace(p.job.cutting, **changes)))


def panel(index: int, **changes: Any) -> Damage:
    return lambda p: plan(panels=item(p.plan.panels, index, **changes))(p)


def seam(**changes: Any) -> Damage:
    return lambda p: plan(seams=item(p.plan.seams, 0, **changes))(p)


def sheet(**changes: Any) -> Damage:
    return lambda p: plan(sheets=item(p.plan.sheets, 0, **changes))(p)


def part(index: int, **changes: Any) -> Damage:
    return lambda p: sheet(parts=item(p.plan.sheets[0].parts, index, **changes), offcuts=())(p)


def part_drawn(index: int, change: Callable[[Ring], Ring]) -> Damage:
    return lambda p: part(index, outline=change(p.plan.sheets[0].parts[index].outline))(p)


def fasteners(**changes: Any) -> Damage:
    return lambda p: replace(p, fasteners=replace(p.fasteners, **changes))


def buying(**changes: Any) -> Damage:
    return lambda p: replace(p, buying=replace(p.buying, **changes))


def order(**changes: Any) -> Damage:
    def damage(p: PlannedJob) -> PlannedJob:
        assert p.order is not None
        return replace(p, order=replace(p.order, **changes))

    return damage


def one_cartridge_more(p: PlannedJob) -> PlannedJob:
    assert p.order is not None
    assert p.order.sealing is not None
    return order(sealing=replace(p.order.sealing, cartridges=p.order.sealing.cartridges + 1))(p)


NOBODY = HandsNeeded()
TOO_FEW_HOURS = LabourNeed(3.0, 120.0)
TOO_CHEAP = LabourNeed(3.5, 120.0)


def skin_heavier(p: PlannedJob) -> PlannedJob:
    assert p.order is not None
    return order(mass=replace(p.order.mass, skin=9.0))(p)


def trade(*points: tuple[int, float, float]) -> Damage:
    return plan(tradeoff=tuple(TradePoint(*point) for point in points))


def mirrored_in_place(ring: Ring) -> Ring:
    turned_over = mirrored(ring)
    return moved(turned_over, bounds(ring)[0] - bounds(turned_over)[0], 0)


def cut_again(index: int, change: Callable[[Ring], Ring]) -> Damage:
    """A panel of another shape, and the part on its sheet to match: only the structure can tell."""

    def damage(p: PlannedJob) -> PlannedJob:
        own = p.plan.panels[index]
        laid = p.plan.sheets[0].parts[index]
        outline = change(own.outline)
        x, y = (low - new for low, new in zip((laid.x, laid.y), bounds(outline)[:2], strict=True))
        return part(index, outline=moved(outline, x, y))(panel(index, outline=outline)(p))

    return damage


def shorter(by: float) -> Callable[[Ring], Ring]:
    """The right end nearer."""

    def change(ring: Ring) -> Ring:
        right = bounds(ring)[2]
        return tuple((x - by if isclose(x, right) else x, y, bulge) for x, y, bulge in ring)

    return change


def shifted(by: float) -> Callable[[Ring], Ring]:
    """To the right."""
    return lambda ring: moved(ring, by, 0.0)


def in_inches(ring: Ring) -> Ring:
    return tuple((x / INCH, y / INCH, bulge) for x, y, bulge in ring)


def straight(ring: Ring) -> Ring:
    return tuple((x, y, 0.0) for x, y, _ in ring)


def bent_the_other_way(ring: Ring) -> Ring:
    return tuple((x, y, -bulge) for x, y, bulge in ring)


def panels_swapped(p: PlannedJob) -> PlannedJob:
    """Each panel with the bays of the other."""
    one, other = p.plan.panels[:2]
    left = replace(one, first_bay=other.first_bay, last_bay=other.last_bay)
    right = replace(other, first_bay=one.first_bay, last_bay=one.last_bay)
    return plan(panels=(left, right))(p)


def names_swapped(p: PlannedJob) -> PlannedJob:
    """Each of two parts on the sheet under the name of the other."""
    one, other, *more = p.plan.sheets[0].parts
    parts = (replace(one, part=other.part), replace(other, part=one.part), *more)
    return sheet(parts=parts)(p)


def holes(index: int, *rings: Ring) -> Damage:
    return part(index, holes=rings)


def hole_moved(p: PlannedJob) -> PlannedJob:
    return holes(0, *(moved(hole, 1.0, 0.0) for hole in p.plan.sheets[0].parts[0].holes))(p)


def part_lost(p: PlannedJob) -> PlannedJob:
    return sheet(parts=p.plan.sheets[0].parts[:1])(p)


def part_twice(p: PlannedJob) -> PlannedJob:
    first = p.plan.sheets[0].parts[0]
    return plan(sheets=(*p.plan.sheets, SheetLayout(SMALL, (first,))))(p)


def three_sheets(p: PlannedJob) -> PlannedJob:
    return plan(sheets=p.plan.sheets * 3)(p)


def cuts(*numbers: int) -> Damage:
    """The cuts in another order (from 0), numbered anew."""

    def damage(p: PlannedJob) -> PlannedJob:
        old = p.plan.sheets[0].cuts
        new = [replace(old[number], order=order) for order, number in enumerate(numbers, start=1)]
        return sheet(cuts=tuple(new))(p)

    return damage


def cut_at(number: int, at: float) -> Damage:
    return lambda p: sheet(cuts=item(p.plan.sheets[0].cuts, number, at=at))(p)


def one_more_cut(p: PlannedJob) -> PlannedJob:
    """The offcut that is to be kept, cut in two."""
    return sheet(cuts=(*p.plan.sheets[0].cuts, Cut(5, "x", 1500.0, (1100.0, 0.0, 2000.0, 1000.0))))(p)


def line_without(kind: str, dropped: Callable[[RivetLine], RivetLine | None]) -> Damage:
    """The first rivet line of a kind changed or lost, all counts made to match as far as they are sums."""

    def damage(p: PlannedJob) -> PlannedJob:
        lines = list(p.fasteners.lines)
        at = next(i for i, line in enumerate(lines) if line.kind == kind)
        changed = dropped(lines[at])
        lost = lines[at].counted - (changed.counted if changed else 0)
        lines[at : at + 1] = [changed] if changed else []
        return fasteners(lines=tuple(lines), total=p.fasteners.total - lost)(p)

    return damage


def without_its_fifth(line: RivetLine) -> RivetLine:
    points, grips = ((*kept[:4], *kept[5:]) for kept in (line.points, line.grips))
    return replace(line, points=points, grips=grips, counted=line.counted - 1)


def fifth_moved(dx: float, dy: float) -> Callable[[RivetLine], RivetLine]:
    def change(line: RivetLine) -> RivetLine:
        x, y = line.points[4]
        return replace(line, points=(*line.points[:4], (x + dx, y + dy), *line.points[5:]))

    return change


def lost(line: RivetLine) -> None:
    return None


def held_count_wrong(p: PlannedJob) -> PlannedJob:
    own = p.fasteners.panels[0]
    return fasteners(panels=item(p.fasteners.panels, 0, rivets=own.rivets - 1))(p)


def without_mass_of(name: str) -> Damage:
    return lambda p: replace(p, masses={part: mass for part, mass in p.masses.items() if part != name})


def one_panel_only(p: PlannedJob) -> PlannedJob:
    return plan(panels=p.plan.panels[:1])(p)


def listed(name: str, **changes: Any) -> Damage:
    """A line of the buy list with something wrong."""

    def damage(p: PlannedJob) -> PlannedJob:
        at = next(i for i, line in enumerate(p.buying.lines) if line.item.startswith(name))
        return buying(lines=item(p.buying.lines, at, **changes))(p)

    return damage


def box_short(p: PlannedJob) -> PlannedJob:
    """One box fewer on the list, and all sums as if that were so."""
    without = listed("rivets", quantity=0.0, price=0.0)(p)
    tax = (p.buying.total - p.buying.tax - 20.0) * p.job.costs.tax
    less = replace(without.buying, rivets=0.0, tax=tax, total=p.buying.total - p.buying.tax - 20.0 + tax)
    return listed("tax", unit_price=tax, price=tax)(replace(without, buying=less))


def masses(**changes: float) -> Damage:
    return lambda p: replace(p, masses={**p.masses, **changes})


def through_the_window(p: PlannedJob) -> PlannedJob:
    """A seam on a rail at the height of the window, from x = 750 to 1150."""
    damaged_job, damaged_plan, *_ = rail_through_window(HandPlan(p.job, p.plan))
    return replace(p, job=damaged_job, plan=damaged_plan)
