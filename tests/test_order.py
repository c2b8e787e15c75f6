"""The rest of the order of small plans, worked out by hand; its lines on the buy list; what the check makes of both."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from math import ceil, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.barcutting import cut_bars
from nesting.barstock import BarPiece, BarStock
from nesting.checking.check import plan_faults
from nesting.framing.pieces import asked_pieces
from nesting.job import Job
from nesting.jobfile import job_from_text
from nesting.ordering.buylist import buy_list
from nesting.ordering.order import order_for, section_plans
from nesting.orderneeds import Order
from nesting.orderrules import (
    CoatKind,
    FramingRules,
    OrderRules,
    PaintRules,
    SealantRules,
    VehicleRules,
)
from nesting.plan import BuyList, Fasteners, RivetLength
from nesting.rivets.fasteners import place_fasteners
from nesting.skin.raising import raised_job
from nesting.starting.jobwriting import job_text
from shared.errors import NothingFits
from tests import hand_plans
from tests.job_texts import LEAST

TUBE = BarStock("tube", 6000.0, 30.0)
HAT = BarStock("hat", 3000.0, 45.0)
FRAMING = FramingRules(
    pieces=(BarPiece("sill", "tube", 1400.0, 5),),
    stocks=(TUBE, HAT),
    kerf=2.0,
    post_section="hat",
    end_posts=True,
    masses=(("tube", 0.001), ("hat", 0.002)),
)
PRIMER = PaintRules(
    "primer",
    CoatKind.PRIMER,
    solids=0.5,
    film=0.05,
    coats=1,
    transfer=0.5,
    waste=0.0,
    tin=50_000.0,
    price=9.0,
)
RULES = OrderRules(
    FRAMING,
    SealantRules(bead=4.0, cartridge=10_000.0, price=7.0, waste=0.0, told=True),
    (PRIMER, replace(PRIMER, name="enamel", kind=CoatKind.TOPCOAT, coats=2, price=None)),
    VehicleRules(3000.0, 3500.0),
)


class Ordered:
    """A hand plan with everything that follows from it."""

    def __init__(self, hand: hand_plans.HandPlan, rules: OrderRules = RULES) -> None:
        sides = tuple(replace(side, raise_height=300.0, cut_height=200.0) for side in hand.job.sides)
        costs = replace(hand.job.costs, labour_rate=40.0, hours_per_seam=1.0, hours_per_panel=2.5)
        self.job: Job = replace(hand.job, order=rules, sides=sides, costs=costs)
        self.plan = hand.plan
        self.fasteners: Fasteners = place_fasteners(self.job, self.plan.panels, self.plan.seams)
        self.order: Order = order_for(self.job, self.plan, self.fasteners)
        self.buying: BuyList = buy_list(self.job, self.plan, self.fasteners, self.order)

    def faults(self, buying: BuyList | None = None, order: Order | None = None) -> list[str]:
        return [*plan_faults(self.job, self.plan, self.fasteners, buying or self.buying, order or self.order)]


@pytest.fixture(scope="module")
def two() -> Ordered:
    return Ordered(hand_plans.two_panels())


def test_bars_hold_what_the_job_lists_and_what_follows_from_its_body(two: Ordered) -> None:
    tube, hat = two.order.sections
    # 4 x 1400 + 3 x 2 = 5606 on one bar of 6000, so five pieces take two; three posts of 300 fit one bar of 3000
    assert (tube.section, len(tube.plan.bars), tube.plan.cost, tube.plan.bound) == ("tube", 2, 60.0, 60.0)
    assert (hat.section, len(hat.plan.bars), hat.plan.cost) == ("hat", 1, 45.0)
    assert [at for _, at in hat.plan.bars[0].cuts] == [0.0, 302.0, 604.0]
    assert two.buying.framing == 105.0


def test_sealant_follows_the_seam_once_and_every_edge_line(two: Ordered) -> None:
    need = two.order.sealing
    assert need is not None
    # the lap is 30 wide, more than one bead seals: two along it; edge lines run 10 outside the openings, all round
    assert need.laps == 550.0
    assert need.lands == pytest.approx(2 * (1270.0 + 520.0))
    assert need.volume == pytest.approx((2 * 550 + 3580) * pi * 4)
    assert need.cartridges == 6
    assert two.buying.sealant == 42.0


def test_primer_takes_laps_twice_and_topcoat_what_is_seen(two: Ordered) -> None:
    primer, enamel = two.order.paints
    parts, laps = 2 * 665 * 550, 30 * 550
    assert primer.area == pytest.approx(parts + laps)
    assert enamel.area == pytest.approx(parts - laps)
    # a wet 0.1 mm, half of it lost: 0.2 mm over the area
    assert primer.volume == pytest.approx(0.2 * (parts + laps))
    assert primer.tins == 3
    assert enamel.tins == ceil(0.4 * (parts - laps) / 50_000)
    assert two.buying.paint == 27.0


def test_what_has_no_price_says_so_and_adds_nothing(two: Ordered) -> None:
    (enamel,) = [line for line in two.buying.lines if line.item.startswith("enamel")]
    assert not enamel.priced
    assert enamel.note.startswith("no price given")
    unpriced = [line for line in two.buying.lines if not line.priced]
    assert sum(line.price for line in unpriced) == 0.0


def test_the_total_adds_everything_and_tax_is_on_all_of_it(two: Ordered) -> None:
    buying = two.buying
    net = buying.sheets + buying.cutting + buying.rivets + buying.delivery + 105.0 + 42.0 + 27.0
    assert buying.tax == pytest.approx(0.1 * net)
    assert buying.total == pytest.approx(1.1 * net)


def test_mass_labour_and_hands(two: Ordered) -> None:
    mass, labour = two.order.mass, two.order.labour
    assert mass.skin == pytest.approx(2 * 0.665 * 0.55 * 10)
    assert mass.framing == pytest.approx(5 * 1.4 + 3 * 0.3 * 2)
    assert mass.left == pytest.approx(3500 - 3000 - mass.added)
    assert labour is not None
    # one seam and two panels at 2.5 hours
    assert (labour.hours, labour.money) == (6.0, 240.0)
    assert two.order.hands.one == ("D1", "D2")
    assert two.order.holders > 0


def test_the_mass_of_rivets_is_that_of_solid_pins_with_heads(two: Ordered) -> None:
    ten = RivetLength(10.0, "", 1.0, 6.0, 3.0, 3.0, rivets=10, to_buy=11)
    fasteners = replace(two.fasteners, total=10, lengths=(ten,))
    # ten pins 5 thick, 10 long and 1.2 x 5 more for each head, of steel
    expected = 10 * pi / 4 * 25 * 16 * 7850e-9
    assert order_for(two.job, two.plan, fasteners).mass.rivets == pytest.approx(expected)


def test_what_may_be_there_already_is_told_where_panels_were_cut_before(two: Ordered) -> None:
    plan = replace(two.plan, panels=tuple(replace(panel, cut=True) for panel in two.plan.panels))
    buying = buy_list(two.job, plan, two.fasteners, two.order)
    told = [line.unit for line in buying.lines if "less what you have" in line.note]
    assert set(told) >= {"bar", "cartridge", "tin"}


def test_too_few_bars_are_told_before_anything_is_planned(two: Ordered) -> None:
    scarce = replace(FRAMING, stocks=(replace(TUBE, available=1), HAT))
    job = replace(two.job, order=replace(RULES, framing=scarce))
    with pytest.raises(NothingFits, match="bar_stock 'tube': the bars available are not enough"):
        section_plans(job)


def test_no_framing_no_paint_and_no_price_leave_the_sealant_only() -> None:
    plain = Ordered(hand_plans.two_panels(), OrderRules())
    assert plain.order.sections == plain.order.paints == ()
    assert plain.order.sealing is not None
    (line,) = [line for line in plain.buying.lines if line.unit == "cartridge"]
    assert not line.priced
    assert (plain.buying.framing, plain.buying.sealant, plain.buying.paint) == (0.0, 0.0, 0.0)
    assert plain.order.mass.framing == 0.0
    assert plain.order.cautions == ()


def test_a_rating_that_is_passed_is_a_caution() -> None:
    heavy = replace(RULES, vehicle=VehicleRules(3499.0, 3500.0))
    (caution,) = Ordered(hand_plans.two_panels(), heavy).order.cautions
    assert "over its weight rating" in caution


def test_framing_without_a_mass_is_not_taken_as_nothing() -> None:
    rules = replace(RULES, framing=replace(FRAMING, masses=(("tube", 0.001),)))
    order = Ordered(hand_plans.two_panels(), rules).order
    assert order.mass.framing is None
    assert any("mass_per_length" in caution for caution in order.cautions)


def test_post_extensions_follow_the_raise_that_is_asked_about(two: Ordered) -> None:
    def lengths(job: Job) -> list[float]:
        return [piece.length for piece in asked_pieces(job) if piece.section == "hat"]

    assert lengths(two.job) == [300.0]
    assert lengths(raised_job(two.job, 120.0)) == [120.0]
    assert lengths(raised_job(two.job, 0.0)) == []


def test_a_job_gone_on_with_keeps_its_framing() -> None:
    text = (
        LEAST
        + "[framing]\nkerf = '1/16'\n[[bar]]\nname = 'sill'\nsection = 'tube'\nlength = '20 1/2'\n"
        + "[[bar_stock]]\nsection = 'tube'\nlength = 240\nprice = 31.5\n"
    )
    again = job_from_text(job_text(tomllib.loads(text)), "again.toml")
    assert again.order == job_from_text(text, "again.toml").order
    assert again.order.framing.pieces == (BarPiece("sill", "tube", 520.7, 1),)


PLANS = (
    hand_plans.two_panels,
    hand_plans.butted,
    hand_plans.railed,
    hand_plans.four_corners,
    hand_plans.stepped_seam,
    hand_plans.windowed,
)


@pytest.mark.parametrize("hand", PLANS, ids=lambda plan: plan.__name__)
def test_the_check_agrees_with_every_sound_order(hand: object) -> None:
    assert callable(hand)
    found = Ordered(hand())
    about = ("bars", "bar ", "buy list")
    assert [fault for fault in found.faults() if fault.startswith(about)] == []


def test_the_check_sees_a_bar_too_few_on_the_buy_list(two: Ordered) -> None:
    lines = tuple(
        replace(line, quantity=1, price=30.0) if line.item.startswith("tube") else line
        for line in two.buying.lines
    )
    assert any("bars of tube" in fault for fault in two.faults(buying=replace(two.buying, lines=lines)))


@pytest.mark.parametrize("unit", ["cartridge", "tin"])
@pytest.mark.parametrize("more", [-1, 1])
def test_the_check_sees_a_pack_too_few_or_too_many(two: Ordered, unit: str, more: int) -> None:
    first = next(line for line in two.buying.lines if line.unit == unit)
    changed = replace(first, quantity=first.quantity + more, price=(first.quantity + more) * first.unit_price)
    lines = tuple(changed if line is first else line for line in two.buying.lines)
    faults = two.faults(buying=replace(two.buying, lines=lines))
    assert any("it takes" in fault for fault in faults)


def test_the_check_sees_a_price_that_the_job_does_not_give(two: Ordered) -> None:
    lines = tuple(
        replace(line, priced=True) if line.item.startswith("enamel") else line for line in two.buying.lines
    )
    faults = two.faults(buying=replace(two.buying, lines=lines))
    assert any("enamel" in fault and "not the price" in fault for fault in faults)


def test_the_check_sees_a_piece_left_out_and_a_kerf_forgotten(two: Ordered) -> None:
    tube, hat = two.order.sections
    bar = hat.plan.bars[0]
    for cuts, said in (
        (bar.cuts[:-1], "is asked for 3 times and cut 2 times"),
        (tuple((piece, i * 300.0) for i, (piece, _) in enumerate(bar.cuts)), "where the cut ends"),
        (tuple((piece, at + 2200.0) for piece, at in bar.cuts), "the last piece ends at"),
    ):
        wrong = replace(hat, plan=replace(hat.plan, bars=(replace(bar, cuts=cuts),)))
        faults = two.faults(order=replace(two.order, sections=(tube, wrong)))
        assert any(said in fault for fault in faults), said


def test_the_check_sees_a_proof_that_is_none(two: Ordered) -> None:
    tube, hat = two.order.sections
    wrong = replace(tube, plan=replace(tube.plan, bound=30.0))
    faults = two.faults(order=replace(two.order, sections=(wrong, hat)))
    assert any("called optimal with a bound of 30" in fault for fault in faults)


@settings(max_examples=40)
@given(lengths=st.lists(st.integers(50, 2900), min_size=1, max_size=8), kerf=st.integers(0, 5))
def test_the_check_agrees_with_bars_cut_at_random(lengths: list[int], kerf: int) -> None:
    pieces = tuple(BarPiece(f"piece {n}", "tube", float(length), 1) for n, length in enumerate(lengths))
    stock = BarStock("tube", 3000.0, 20.0)
    rules = OrderRules(FramingRules(pieces, (stock,), float(kerf)))
    found = Ordered(hand_plans.one_panel(), rules)
    assert [fault for fault in found.faults() if fault.startswith(("bar", "buy list"))] == []
    assert found.buying.framing == cut_bars(pieces, [stock], kerf=float(kerf)).cost
