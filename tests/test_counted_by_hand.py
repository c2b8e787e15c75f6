"""A whole job small enough to count with a pencil: two bays, one seam, one riveted cover.

Each bay is 300 wide and 200 high, the post between them 50.  Skin 1.2 over posts of 2.0, land 25 all round, edge
distance 15; rivets of 5, at most 40 apart on the seam and 50 on edges; a sheet holds one panel, not two.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.job import Bay, Costs, Cutting, Pack, Patch, Stock
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.planning import plan_job
from nesting.rivets.holders import panel_holders
from nesting.rivets.strength import seam_strengths
from tests.hand_plans import base_job, side


@pytest.fixture(scope="module")
def planned() -> PlannedJob:
    plain = base_job()
    job = base_job(
        cutting=Cutting(),
        stock=(Stock("small", width=250.0, length=600.0, price=10.0),),
        sides=(side(bays=(Bay(300.0, 200.0), Bay(300.0, 200.0))),),
        patches=(Patch("cover", 130.0, 130.0, riveted=True),),
        rivets=replace(plain.rivets, packs=(Pack(25, 3.0, 8.0), Pack(10, 2.0, 10.0)), shear_strength=3000.0),
        skin=replace(plain.skin, tensile=300.0),
        costs=Costs(),
    )
    return plan_job(job, SolveLimits(time_limit=20.0))


def test_there_are_two_panels_and_one_seam(planned: PlannedJob) -> None:
    # 25 + 300 + 25 + 15 = 365 by 250: two in a row would be 730 long, the sheet is 600
    assert len(planned.plan.panels) == 2
    assert len(planned.plan.seams) == 1
    assert len(planned.plan.sheets) == 2


def test_51_rivets_go_in(planned: PlannedJob) -> None:
    # Seam: from 10 below to 10 above the bay, 220 long; 220 / 40 = 5.5, so 6 spaces:                  7
    # Top and bottom of each panel: 10 + 300 + 25 = 335; / 50 = 6.7, 7 spaces, 8 rivets; the one at the
    # seam is counted:                                                                    4 x 7 =     28
    # Outer end of each panel: 220 / 50 = 4.4, 5 spaces, 6 rivets; both corners counted:  2 x 4 =      8
    # Cover: a square of 100, 15 inside its edge; two spaces of 50 on each side:                       8
    assert planned.fasteners.total == 7 + 28 + 8 + 8


def test_7_of_them_close_two_sheets(planned: PlannedJob) -> None:
    # One sheet and the post: 1.2 + 2.0 = 3.2, which 8 mm closes (2.5 to 4); on the lap 4.4, 10 mm (4 to 6).
    # With a tenth to spare: 44 + 4.4, so 49 and two boxes of 25; 7 + 0.7, so 8 and one box of 10.
    assert [(each.length, each.rivets, each.to_buy, each.packs) for each in planned.fasteners.lengths] == [
        (8.0, 44, 49, ((25, 2, 3.0),)),
        (10.0, 7, 8, ((10, 1, 2.0),)),
    ]
    rivets = [line for line in planned.buying.lines if line.item.startswith("rivets")]
    assert [(line.item, line.quantity, line.price) for line in rivets] == [
        ("rivets 5 mm of 8 mm (5 x 8), box of 25", 2, 6.0),
        ("rivets 5 mm of 10 mm (5 x 10), box of 10", 1, 2.0),
    ]
    assert planned.buying.rivets == 8.0


def test_each_panel_is_held_by_25_rivets_of_which_7_hold_both(planned: PlannedJob) -> None:
    # Round one panel: 8 below, 8 above, 6 at the end, 7 on the seam, less four corners counted twice.
    assert [(held.rivets, held.shared) for held in planned.fasteners.panels] == [(25, 7), (25, 7), (8, 0)]


def test_10_holders_hang_one_panel(planned: PlannedJob) -> None:
    # Holes 1, 4, 7, 8 below and above, 1, 4, 6 at the end, 1, 4, 7 on the seam, less four corners; the cover
    # in its four corners.
    assert [each.holders for each in panel_holders(planned.fasteners)] == [10, 10, 4]


def test_the_seam_holds_23_per_cent_of_the_sheet(planned: PlannedJob) -> None:
    # 7 rivets at 220 / 6 = 36.7 apart, 3000 N each: 81.8 N/mm; the sheet 1.2 x 300 = 360 N/mm.
    (seam,) = seam_strengths(planned.job, planned.plan, planned.fasteners)
    assert seam.governs == "rivet shear"
    assert seam.joint == pytest.approx(81.8, abs=0.05)
    assert seam.share == pytest.approx(0.227, abs=0.001)
