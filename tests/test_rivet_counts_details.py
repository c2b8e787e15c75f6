"""Rivets counted, boxed and measured by what they close, in detail: what just passes and what just does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.job import Pack, RivetRules, SeamKind, SeamRules, Side
from nesting.plan import RivetLength
from nesting.rivets.fasteners import MOST_RIVETS, cheapest_boxes, is_length, place_fasteners, with_boxes
from shared.errors import PlannerError
from shared.rivettables import GripRow
from tests.hand_plans import two_panels
from tests.riveted_walls import lines_of, on_wall, wall

# Counts and boxes


def test_no_rivet_more_than_a_million() -> None:
    assert MOST_RIVETS == 1_000_000
    tiny = RivetRules(diameter=0.0001, seam_pitch=0.001, edge_pitch=0.001, post_pitch=0.001)
    with pytest.raises(PlannerError) as refused:
        on_wall(wall([[300.0]], 200.0, rivets=tiny))
    # round 320 x 220, inset by 15: 1080 mm at a thousandth, and an end of each of the four lines
    assert "about 1,080,004 rivets, and no more than 1,000,000 are planned" in str(refused.value)
    at_most = replace(tiny, edge_pitch=0.0011)
    with pytest.raises(PlannerError, match="length"):
        on_wall(
            wall(
                [[300.0]], 200.0, rivets=replace(at_most, edge_pitch=50.0, lengths=(GripRow(0.1, 0.2, 1.0),))
            )
        )


def test_boxes_of_a_length_are_those_within_half_a_millimetre() -> None:
    assert [is_length(Pack(100, 9.0, told), 8.0) for told in (None, 7.4, 7.5, 8.0, 8.5, 8.6)] == [
        False, False, True, True, True, False,
    ]  # fmt: skip


def test_boxes_are_filled_length_by_length() -> None:
    def bought(length: float, to_buy: int) -> RivetLength:
        return RivetLength(length, "", 1.0, 2.0, 1.0, 2.0, to_buy, to_buy)

    lengths = (bought(8.0, 30), bought(10.0, 5))
    assert [each.packs for each in with_boxes(lengths, (Pack(10, 1.0),))] == [(), ()]
    packs = (Pack(10, 1.0), Pack(20, 3.0, 8.2))
    assert [each.packs for each in with_boxes(lengths, packs)] == [((20, 2, 3.0),), ((10, 1, 1.0),)]


@pytest.mark.parametrize(
    ("needed", "bought"),
    [
        (-1, ()),
        (0, ()),
        (1, ((100, 1, 10.0),)),
        (10_000_000, ((700, 14286, 63.0),)),
        (10_000_700 - 100, ((700, 14286, 63.0), (100, 4, 10.0))),
    ],
)
def test_any_number_of_rivets_is_boxed_at_once(
    needed: int, bought: tuple[tuple[int, int, float], ...]
) -> None:
    found = cheapest_boxes(needed, (Pack(100, 10.0), Pack(700, 63.0), Pack(0, 1.0)))
    assert sum(count * boxes for count, boxes, _ in found) >= needed
    assert sum(boxes * price for _, boxes, price in found) <= sum(boxes * price for _, boxes, price in bought)
    assert found == () if needed <= 0 else len(found) > 0


def test_spare_rivets_are_bought_and_not_counted() -> None:
    made = wall([[300.0]], 200.0)
    # 320 x 220 round at 50: 7 and 5 spaces twice
    for spare, to_buy in ((0.0, 24), (0.25, 30), (0.26, 31)):
        rivets = replace(made.job.rivets, spare=spare)
        fasteners = on_wall(made._replace(job=replace(made.job, rivets=rivets)))
        assert (fasteners.total, fasteners.to_buy) == (24, to_buy)


def test_a_rivet_on_the_very_edge_of_a_sheet_does_not_hold_it() -> None:
    # butt-jointed without a gap the left panel ends at 325, and the right one's row stands at 340
    made = wall([[300.0], [300.0]], 200.0, rules=SeamRules(SeamKind.BUTT, 15.0, butt_gap=0.0))
    touching = tuple(
        replace(panel, outline=tuple((340.0 if x == 325.0 else x, y, bulge) for x, y, bulge in panel.outline))
        if panel.name == "D1"
        else panel
        for panel in made.panels
    )
    fasteners = place_fasteners(made.job, touching, made.seams)
    on_row = [point for line in lines_of(fasteners, "seam") for point in line.points if point[0] == 340.0]
    assert on_row
    d1, d2 = fasteners.panels
    assert d1.shared == d2.shared
    assert all(
        grip == pytest.approx(3.2)
        for line in lines_of(fasteners, "seam")
        if "D2" in line.where
        for grip in line.grips
    )


# Grips


def test_a_line_closes_what_most_of_its_rivets_do_and_the_less_of_two() -> None:
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0))
    (bottom, *_) = lines_of(fasteners, "edge")
    assert (bottom.grip, bottom.length) == pytest.approx((3.2, 8.0))
    assert len(bottom.grips) == len(bottom.points)


def test_a_seam_within_a_hundredth_of_a_rail_is_on_it() -> None:
    made = wall([[400.0]], 600.0, rail=300.0, split=[True])
    for off, grip in ((0.0, 4.4), (0.009, 4.4), (0.02, 3.6)):
        side: Side = replace(made.job.sides[0], rails=(300.0 + off,))
        fasteners = on_wall(made._replace(job=replace(made.job, sides=(side,))))
        inside = [
            closed
            for line in lines_of(fasteners, "seam")
            for (x, _), closed in zip(line.points, line.grips, strict=True)
            if 0 < x < 400
        ]
        assert set(inside) == {grip}


def test_what_no_length_closes_is_told_with_what_the_table_holds() -> None:
    job, plan = two_panels()
    for rows, reach in (
        ((GripRow(1.0, 4.0, 8.0),), "1 mm to 4 mm"),
        ((GripRow(1.0, 2.0, 6.0), GripRow(2.0, 4.0, 8.0)), "1 mm to 4 mm"),
    ):
        short = replace(job, rivets=replace(job.rivets, lengths=rows))
        with pytest.raises(PlannerError) as refused:
            place_fasteners(short, plan.panels, plan.seams)
        assert f"close 4.4 mm of metal, and no row of lengths in [rivets] does (they go from {reach})" in str(
            refused.value
        )


def test_of_a_length_that_is_only_just_enough_the_next_one_is_told() -> None:
    job, plan = two_panels()
    rows = (GripRow(1.0, 3.3, 7.0), GripRow(3.3, 5.0, 9.0), GripRow(5.0, 9.0, 12.0))
    found = place_fasteners(replace(job, rivets=replace(job.rivets, lengths=rows)), plan.panels, plan.seams)
    assert [text for text in found.warnings if "sealant or a burr" in text] == [
        "for information: 72 rivets close 3.2 mm, and a length of 7 mm closes 3.3 mm at most: "
        "sealant or a burr may ask for 9 mm"
    ]
    last = (GripRow(1.0, 3.5, 7.0), GripRow(3.5, 4.45, 9.0))
    none = place_fasteners(replace(job, rivets=replace(job.rivets, lengths=last)), plan.panels, plan.seams)
    assert not [text for text in none.warnings if "sealant or a burr" in text]


def test_a_strip_is_behind_the_rivets_of_its_own_height_only() -> None:
    # the seam at 300 needs a strip from 285 to 315; rivets of the left edge stand less than 20 apart
    made = wall([[400.0]], 600.0, rail=300.0, split=[True])
    rivets = replace(made.job.rivets, edge_pitch=20.0)
    bare = replace(made.job, rivets=rivets, sides=(replace(made.job.sides[0], rails=()),))
    fasteners = on_wall(made._replace(job=bare))
    closed = {
        y: grip
        for line in lines_of(fasteners, "edge")
        for (x, y), grip in zip(line.points, line.grips, strict=True)
        if x == -10.0
    }
    # there the post lies behind all of them: 2 and one sheet of 1.2, on the seam two sheets and the strip
    assert closed.pop(300.0) == pytest.approx(2 + 3 * 1.2)
    assert min(abs(y - 300) for y in closed) < 20
    assert set(closed.values()) == {3.2}
