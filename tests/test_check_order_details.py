"""The check of the rest of the order in detail: bars, proofs, sealant and paint, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.barstock import BarPiece, BarPlan, BarStock, CutBar
from nesting.checking.order import _area, _around, _bar_faults, _need_faults, _paint_volume
from nesting.job import Job, Window
from nesting.orderneeds import Order, SectionPlan
from nesting.orderrules import CoatKind, FramingRules, OrderRules, PaintRules
from nesting.plan import BuyLine, Point, RivetLine
from nesting.status import Status
from tests.hand_plans import DRIVER, base_job, side

TUBE = BarStock("tube", 1000.0, 30.0)
RUNG = BarPiece("rung", "tube", 300.0, 2)


def job_with(framing: FramingRules, **changes: object) -> Job:
    own = replace(side(), **changes)  # type: ignore[arg-type]
    return base_job(sides=(own,), order=replace(OrderRules(), framing=framing))


def bar(*cuts: tuple[BarPiece, float], left_over: float = 0.0, stock: BarStock = TUBE) -> CutBar:
    return CutBar(stock, cuts, left_over)


def order_of(
    *bars: CutBar, cost: float = 30.0, bound: float = 30.0, status: Status = Status.OPTIMAL
) -> Order:
    section = SectionPlan("tube", BarPlan(status, bars, cost, bound), priced=True)
    return replace(Order(), sections=(section,))


RULES = FramingRules(pieces=(RUNG,), stocks=(TUBE,), kerf=2.0)
SOUND = bar((RUNG, 0.0), (RUNG, 302.0), left_over=1000.0 - 604.0)


def told(order: Order, rules: FramingRules = RULES, **changes: object) -> list[str]:
    return list(_bar_faults(job_with(rules, **changes), order))


def test_two_rungs_on_a_bar_are_sound() -> None:
    assert told(order_of(SOUND)) == []


@pytest.mark.parametrize(
    ("wrong", "fault"),
    [
        (
            bar((RUNG, 0.0), left_over=698.0),
            "bars of tube: rung, 300.0 mm, is asked for 2 times and cut 1 times",
        ),
        (
            bar((RUNG, 0.0), (RUNG, 301.9), left_over=396.1),
            "bar 1 of tube: rung begins at 301.900 mm, before 302.000 mm where the cut ends",
        ),
        (
            bar((RUNG, -0.1), (RUNG, 302.0), left_over=396.0),
            "bar 1 of tube: rung begins at -0.100 mm, before 0.000 mm",
        ),
        (
            bar((RUNG, 0.0), (RUNG, 302.0), left_over=398.0),
            "bar 1 of tube: 398.000 mm are said to be left over",
        ),
        (
            bar((RUNG, 0.0), (RUNG, 700.1), left_over=0.0),
            "bar 1 of tube: the last piece ends at 1000.100 mm, the bar at 1000.000 mm",
        ),
    ],
)
def test_a_bar_that_cannot_be_cut_so_is_told(wrong: CutBar, fault: str) -> None:
    assert any(fault in each for each in told(order_of(wrong)))


def test_the_last_cut_may_fall_off_the_end_and_then_nothing_is_left_over() -> None:
    assert told(order_of(bar((RUNG, 0.0), (RUNG, 700.0), left_over=0.0))) == []
    assert told(order_of(bar((RUNG, 0.0), (RUNG, 699.0), left_over=0.0))) == []


@pytest.mark.parametrize(
    ("available", "offers", "sound"),
    [(None, 1, True), (1, 1, False), (2, 1, True), (1, 2, True), (1, 3, True)],
)
def test_no_more_bars_are_used_than_there_are(available: int | None, offers: int, sound: bool) -> None:
    stock = replace(TUBE, available=available)
    rules = replace(RULES, stocks=(stock,) * offers)
    each = bar((RUNG, 0.0), left_over=698.0, stock=stock)
    assert (told(order_of(each, each, cost=60.0, bound=60.0), rules) == []) is sound


def test_a_bar_that_is_not_offered_is_told() -> None:
    other = replace(TUBE, price=29.0)
    faults = told(order_of(replace(SOUND, stock=other), cost=29.0, bound=29.0))
    assert faults == ["bars of tube: no bar_stock of the job has this length and price"]


@pytest.mark.parametrize(
    ("cost", "bound", "status", "fault"),
    [
        (31.0, 30.0, Status.OPTIMAL, "a cost of 31.0000 is given, they come to 30.0000"),
        (30.0, 31.0, Status.FEASIBLE, "the bound 31.0000 is more than they cost, 30.0000"),
        (30.0, 29.0, Status.OPTIMAL, "called optimal with a bound of 29.0000 for a cost of 30.0000"),
        (30.0, 29.0, Status.FEASIBLE, ""),
        (30.00001, 29.99999, Status.OPTIMAL, ""),
        (30.0001, 30.0, Status.OPTIMAL, "a cost of 30.0001 is given"),
    ],
)
def test_a_proof_of_bars_contradicts_nothing(cost: float, bound: float, status: Status, fault: str) -> None:
    faults = told(order_of(SOUND, cost=cost, bound=bound, status=status))
    assert len(faults) == bool(fault)
    assert all(fault in each for each in faults)


def test_bars_without_a_price_are_counted() -> None:
    free = replace(TUBE, price=None)
    rules = replace(RULES, stocks=(free,))
    assert told(order_of(replace(SOUND, stock=free), cost=1.0, bound=1.0), rules) == []
    assert told(order_of(replace(SOUND, stock=free), cost=0.0, bound=0.0), rules) != []


def pieces_missing(rules: FramingRules, **changes: object) -> list[str]:
    """What the job asks for, as the check tells it where nothing is cut."""
    return [
        fault.removesuffix(" times and cut 0 times")
        for fault in told(order_of(cost=0.0, bound=0.0), rules, **changes)
    ]


@pytest.mark.parametrize(("end_posts", "count"), [(False, 1), (True, 3)])
def test_every_post_is_extended_by_the_raise(end_posts: bool, count: int) -> None:
    rules = FramingRules(stocks=(TUBE,), post_section="tube", end_posts=end_posts)
    asked = pieces_missing(rules, raise_height=254.1234, cut_height=100.0)
    assert asked == [f"bars of tube: post extension, {DRIVER}, 254.123 mm, is asked for {count}"]
    assert pieces_missing(rules, raise_height=0.0, cut_height=100.0) == []
    assert pieces_missing(rules, raise_height=254.0) == []
    assert pieces_missing(replace(rules, post_section=""), raise_height=254.0, cut_height=100.0) == []


def test_a_frame_is_mitred_above_and_below_and_upright_between() -> None:
    windows = (Window(2, 100.0, 100.0, 400.0, 300.0),)
    rules = FramingRules(stocks=(TUBE,), frame_section="tube", frame_face=30.0)
    where = f"window 1 in bay 2, {DRIVER}"
    assert pieces_missing(rules, windows=windows) == [
        f"bars of tube: frame above and below, {where}, 460.0 mm, is asked for 2",
        f"bars of tube: frame upright, {where}, 300.0 mm, is asked for 2",
    ]


# Sealant and paint


def line_of(*points: Point, pitch: float = 50.0) -> RivetLine:
    return RivetLine("edge", DRIVER, "edge", ("D1",), points, len(points), pitch, 3.2)


def test_a_line_is_sealed_along_its_rivets_and_round_where_it_closes() -> None:
    assert _around(line_of((0.0, 0.0), (40.0, 0.0), (40.0, 30.0))) == 70 + 50
    assert _around(line_of((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), pitch=49.0)) == 70
    assert _around(line_of((0.0, 0.0), (40.0, 0.0))) == 40
    assert _around(line_of((0.0, 0.0))) == 0


@pytest.mark.parametrize(
    ("kind", "inside", "area"),
    [
        # 1000 of parts, 100 of strips, 40 of laps
        (CoatKind.PRIMER, False, 1140),
        (CoatKind.PRIMER, True, 2200),
        (CoatKind.TOPCOAT, False, 960),
        (CoatKind.TOPCOAT, True, 1920),
    ],
)
def test_primer_goes_between_the_sheets_and_topcoat_on_what_is_seen(
    kind: CoatKind, inside: bool, area: float
) -> None:
    assert _area(PaintRules("paint", kind, inside=inside), 1000.0, 100.0, 40.0) == area


def test_paint_is_thinned_by_solids_and_lost_by_transfer_and_waste() -> None:
    # 0.05 of dry film from half of solids is 0.1 of wet; two coats; half of it lands; a quarter more
    rules = PaintRules("paint", solids=0.5, film=0.05, coats=2, transfer=0.5, waste=0.25)
    assert _paint_volume(rules, 1000.0) == pytest.approx(1000 * 2 * 0.1 / 0.5 * 1.25)


@pytest.mark.parametrize(
    ("packs", "count", "sound"),
    [(1.2, 2, True), (1.2, 1, False), (1.2, 3, False), (2.0, 2, True), (0.0, 0, True), (0.0, 1, False)],
)
def test_whole_packs_are_bought_and_none_too_many(packs: float, count: int, sound: bool) -> None:
    lines = [BuyLine("paint", count, "tin", 9.0, 9.0 * count)] if count else []
    faults = list(_need_faults("paint", packs, 9.0, lines, 9.0 * count))
    assert (faults == []) is sound


def test_packs_have_the_price_of_the_job_or_none() -> None:
    line = BuyLine("paint", 2, "tin", 9.0, 18.0)
    assert list(_need_faults("paint", 1.5, 9.5, [line], 19.0)) == [
        "buy list, paint: 9.00 is not the price of the job"
    ]
    assert list(_need_faults("paint", 1.5, 9.0, [line], 17.0)) == [
        "buy list, paint: 17.00 is given, it comes to 18.00"
    ]
    free = replace(line, unit_price=0.0, price=0.0, priced=False)
    assert list(_need_faults("paint", 1.5, None, [free], 0.0)) == []
    assert len(list(_need_faults("paint", 1.5, None, [line], 18.0))) == 2
    assert len(list(_need_faults("paint", 1.5, 9.0, [free], 18.0))) == 1
