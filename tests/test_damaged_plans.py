"""A whole plan, damaged in one way after the other: the check finds each damage and names what is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.checking.check import check_plan, plan_faults
from nesting.job import Hand, Turn
from nesting.plan import Offcut
from tests.hand_plans import (
    ALL,
    SMALL,
    HandPlan,
    flipped_step,
    four_corners,
    one_panel,
    railed,
    sheared,
    stepped,
    stepped_seam,
    two_panels,
    windowed,
)
from tests.plan_damages import (
    INCH,
    NOBODY,
    TOO_CHEAP,
    TOO_FEW_HOURS,
    Damage,
    bent_the_other_way,
    box_short,
    buying,
    cut_again,
    cut_at,
    cuts,
    cutting,
    fasteners,
    fifth_moved,
    held_count_wrong,
    hole_moved,
    holes,
    in_inches,
    line_without,
    listed,
    lost,
    masses,
    mirrored_in_place,
    names_swapped,
    one_cartridge_more,
    one_more_cut,
    one_panel_only,
    order,
    panel,
    panels_swapped,
    part_drawn,
    part_lost,
    part_twice,
    plan,
    seam,
    sheet,
    shifted,
    shorter,
    skin_heavier,
    straight,
    three_sheets,
    through_the_window,
    trade,
    values,
    without_its_fifth,
    without_mass_of,
)
from tests.shaped_plans import wheel_arch
from tests.whole_plans import over_a_rail, riveted_window, two_lids, whole, with_labour


@pytest.mark.parametrize(
    "build",
    [*ALL, riveted_window, over_a_rail, with_labour, two_lids, wheel_arch],
    ids=lambda build: build.__name__,
)
def test_a_whole_plan_that_nobody_damaged_is_sound(build: Callable[[], HandPlan]) -> None:
    check_plan(*values(whole(build)))


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    [
        pytest.param(*row[1:], id=row[0])
        for row in (
            # panels and how they lie on the body
            ("panel mirrored on its side", stepped, cut_again(0, mirrored_in_place), "panel D1: the outline is wrong"),
            ("panel mirrored on its sheet", stepped, part_drawn(0, mirrored_in_place), "part D1: the outline is not"),
            ("left and right swapped", stepped_seam, panels_swapped, "panel D1: the outline is wrong"),
            ("front on the other hand", two_panels, panel(0, forward=Hand.RIGHT), "D1: its front is on the right"),
            ("panel an inch short", two_panels, cut_again(0, shorter(INCH)), "right 614.600 instead of 640.000"),
            ("panel in inches", one_panel, cut_again(0, in_inches), "panel D1: the outline is wrong: left -0.984"),
            ("arc made a chord", wheel_arch, cut_again(0, straight), "panel D1: the outline is wrong"),
            ("arc bent the other way", wheel_arch, cut_again(0, bent_the_other_way), "panel D1: the outline"),
            ("window closed", windowed, panel(0, holes=()), "panel D1: it closes window 1 in bay 2"),
            ("bay left open", two_panels, one_panel_only, "bay 2, row 1 is not covered"),
            # seams
            ("seam off its post", two_panels, seam(start=(626.0, -25.0), end=(626.0, 525.0)), "it runs at 626.000"),
            ("seam on no post", two_panels, seam(after_bay=2), "on the post after bay 2, where these do not meet"),
            ("seam through a window", windowed, through_the_window, "it cuts window 1 in bay 2"),
            ("lap turned", two_panels, seam(over="D2", under="D1"), "D2 lies over D1, it should lie under"),
            ("lap that lets water in", railed, seam(over="D1", under="D2"), "D1 lies over D2, it should lie under"),
            ("seam forgotten", two_panels, plan(seams=()), "D1 and D2 meet on the post after bay 1, and 0 seams"),
            # parts on their sheet
            ("part 1 mm short", two_panels, part_drawn(0, shorter(1.0)), "part D1: the outline is not"),
            ("hole missing", windowed, holes(0), "part D1: a hole is missing"),
            ("hole moved 1 mm", windowed, hole_moved, "part D1: a hole is missing or is not where it should be"),
            ("part off the sheet", two_panels, part_drawn(0, shifted(-50)), "part D1: -40.000 from the edge"),
            ("parts nearer than the gap", two_panels, part_drawn(1, shifted(-1)), "D1 and D2 are 9.0000 apart"),
            ("parts over one another", two_panels, part_drawn(1, shifted(-20)), "parts D1 and D2 overlap"),
            ("part lost", two_panels, part_lost, "part D2: it is on the sheets 0 times"),
            ("part twice", two_panels, part_twice, "part D1: it is on the sheets 2 times"),
            ("patches exchanged", two_lids, names_swapped, "part cap#1: the outline is not that of the part"),
            ("turned against the grain", four_corners, cutting(turn=Turn.NONE), "part D3: a turn of 180 degrees"),
            ("flipped though not allowed", flipped_step, cutting(flip=False), "part D1: it is cut face down"),
            ("offcut over a part", one_panel, sheet(offcuts=(Offcut(1300, 10, 1000, 500),)), "it overlaps part D1"),
            (
                "offcut of metal that the cut removes",
                one_panel,
                sheet(offcuts=(Offcut(1311, 10, 1100, 500),)),
                "sheet 1, offcut 1: it is 1.000 from part D1 instead of 10.000",
            ),
            # stock and cuts
            ("sheet of no such size", two_panels, sheet(stock=replace(SMALL, length=2100.0)), "small: no stock"),
            ("stock overdrawn", two_panels, three_sheets, "stock small: 3 sheets are used, 2 are available"),
            ("two cuts swapped", sheared, cuts(1, 0, 2, 3), "cut 1: there is no piece 800.0 x 1000.0"),
            ("cut forgotten", sheared, cuts(0, 1, 3), "part cover#2: the cuts do not free it"),
            ("cut through a part", sheared, cut_at(1, 390.0), "cut 2: it runs through part cover#1"),
            ("cut through an offcut", sheared, one_more_cut, "offcut 1: the cuts go through it"),
            # rivets
            ("rivet too few in a seam", two_panels, line_without("seam", without_its_fifth), "rivets 80.000 apart"),
            ("rivet too few on an edge", two_panels, line_without("edge", without_its_fifth), "from the nearest rivet"),
            ("rivet too near an edge", two_panels, line_without("seam", fifth_moved(2, 0)), "is 13.000 from the edge"),
            ("rivet in the open", two_panels, line_without("edge", fifth_moved(0, 15)), "1 rivets have nothing behind"),
            ("seam without rivets", two_panels, line_without("seam", lost), "D1 over D2: no rivet line holds both"),
            ("edge without rivets", one_panel, line_without("edge", lost), "panel D1: its edge at"),
            ("post without rivets", one_panel, line_without("post", lost), "no line of rivets on the post after bay 1"),
            ("window without rivets", riveted_window, line_without("window", lost), "is riveted, and has no"),
            ("rail without rivets", over_a_rail, line_without("rail", lost), "no line of rivets on rail 1"),
            ("count of rivets wrong", two_panels, fasteners(total=90), "rivets in all: 90 are given, 86 are"),
            ("count of a panel wrong", two_panels, held_count_wrong, "rivets of D1: 49 are given"),
            # money and mass
            ("mass of a part wrong", two_panels, masses(D1=3.7), "part D1: 3.7000 kg is given, it weighs 3.6575 kg"),
            ("mass of a part missing", two_panels, without_mass_of("D2"), "part D2: a mass is missing"),
            ("mass of the skin wrong", two_panels, buying(skin_mass=7.4), "mass of the parts: 7.400 kg is given"),
            ("cost of the seams wrong", two_panels, plan(seam_cost=11.0), "seam cost: 11.0000 is given"),
            ("bound above the cost", two_panels, plan(bound=68.0), "bound: 68.0000 is more than the plan costs"),
            ("bound below nothing", railed, plan(bound=-1.0), "bound: -1.0000 is less than nothing"),
            ("best without a proof", two_panels, plan(bound=60.0), "called optimal with a bound of 60.0000"),
            ("total wrong", two_panels, buying(total=120.0), "buy list, total: 120.00 is given"),
            ("buy list a box short", two_panels, box_short, "buy list, rivets: 1 boxes of 100 at 20.00 are not"),
            ("buy list a sheet short", two_panels, listed("sheet small", quantity=0.0, price=0.0), "0 at 55.00"),
            ("buy list at another price", two_panels, listed("sheet small", unit_price=50.0), "1 at 50.00 are listed"),
            ("sealant too much", two_panels, one_cartridge_more, "2 are given, 1 are on the buy list"),
            ("skin heavier than its parts", two_panels, skin_heavier, "mass of the skin: 9.000 kg is given"),
            ("part that nobody lifts", two_panels, order(hands=NOBODY), "part D1: it is lifted 0 times"),
            ("hours too few", with_labour, order(labour=TOO_FEW_HOURS), "labour: 3.000 hours are given"),
            ("hours too cheap", with_labour, order(labour=TOO_CHEAP), "labour: 120.0 is given, it comes to 140.00"),
            ("least that is not the least", two_panels, trade((1, 60.0, 55.0)), "60.0000 is said to be the least"),
            ("plan that beats the bound", railed, trade((0, 50.0, 50.0)), "50.0000, less than the bound"),
        )
    ],
)  # fmt: skip
def test_damage_is_found_and_named(build: Callable[[], HandPlan], damage: Damage, told: str) -> None:
    faults = list(plan_faults(*values(damage(whole(build)))))
    assert any(told in fault for fault in faults), faults
