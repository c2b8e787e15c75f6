"""The check of rivets, lengths and money in detail: what just passes and what just fails, on two panels by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from nesting.checking.lengths import length_faults
from nesting.checking.rivets import rivet_faults, single_rivets
from nesting.job import Job, Pack, Patch, SeamRules
from nesting.outline import polygon_ring
from nesting.plan import Fasteners, PanelRivets, Plan, Point, RivetLine
from nesting.rivets.fasteners import place_fasteners
from shared.rivettables import GripRow
from tests.damages import item
from tests.hand_plans import DRIVER, one_panel, planned_two_panels, railed, row_of, two_panels

PACKS = (Pack(100, 20.0, 8.0), Pack(50, 12.0, 10.0))


def by_length(**changes: Any) -> tuple[Job, Plan, Fasteners]:
    """Two panels: 72 rivets close 3.2 and take 8 mm, 14 close 4.4 and take 10 mm; boxes of each length."""
    job, plan = two_panels()
    job = replace(job, rivets=replace(job.rivets, packs=PACKS))
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    return replace(job, rivets=replace(job.rivets, **changes)), plan, fasteners


def lengths_wrong(job: Job, plan: Plan, fasteners: Fasteners) -> list[str]:
    return list(length_faults(job, plan, fasteners, single_rivets(fasteners)))


# Lengths


def test_sound_lengths_have_no_fault() -> None:
    assert lengths_wrong(*by_length()) == []


def test_a_rivet_is_held_by_a_sheet_right_up_to_its_edge() -> None:
    job, plan, fasteners = by_length()
    seam = fasteners.lines[0]
    # D1 ends at 640: half a millimetre inside it closes both sheets still, half a millimetre outside only D2
    for x, told in ((639.5, 4.4), (640.5, 3.2)):
        points: tuple[Point, ...] = ((x, 250.0), *seam.points[1:])
        moved = replace(seam, points=points, grips=(told, *seam.grips[1:]))
        assert not [
            fault
            for fault in lengths_wrong(job, plan, replace(fasteners, lines=(moved,)))
            if "closes" in fault
        ]


def test_boxes_hold_their_own_length_only() -> None:
    job, plan, fasteners = by_length(packs=(Pack(100, 20.0, 9.0), Pack(50, 12.0, 10.4)))
    assert lengths_wrong(job, plan, fasteners) == [
        "rivets of length 8.00: no such box of 100 at 20.00 in the job",
    ]


def test_a_length_without_boxes_of_its_own_comes_in_boxes_of_no_length() -> None:
    job, plan, fasteners = by_length(packs=(Pack(100, 20.0), Pack(50, 12.0, 10.0)))
    assert lengths_wrong(job, plan, fasteners) == []


def test_boxes_by_length_where_the_job_has_none_are_told() -> None:
    job, plan, fasteners = by_length(packs=(Pack(100, 20.0),))
    assert lengths_wrong(job, plan, fasteners) == [
        f"rivets of length {length}: boxes are given, and no box of the job has a length"
        for length in ("8.00", "10.00")
    ]


def test_no_boxes_at_all_are_told_twice() -> None:
    job, plan, fasteners = by_length()
    none = replace(fasteners, lengths=item(fasteners.lengths, 0, packs=((100, 0, 20.0),)))
    assert lengths_wrong(job, plan, none) == [
        "rivets of length 8.00: 0 boxes of 100",
        "rivets of length 8.00: the boxes hold 0, 80 are to be bought",
    ]


def test_what_no_row_closes_is_told_with_the_thickest() -> None:
    job, plan, fasteners = by_length(lengths=(GripRow(1.0, 3.0, 8.0),))
    faults = lengths_wrong(job, plan, fasteners)
    assert "rivet line post 1, D1 over D2: no length closes 4.400" in faults
    # the bottom of D1 closes 3.2 all along and 4.4 where it meets the seam
    assert "rivet line bottom edge of D1: no length closes 4.400" in faults
    assert "rivet line left edge of D1: no length closes 3.200" in faults


@pytest.mark.parametrize(("most", "closes"), [(4.4, True), (4.385, True), (4.37, False)])
def test_a_row_may_end_a_printed_hair_below_what_it_closes(most: float, closes: bool) -> None:
    rows = (GripRow(1.0, 4.0, 8.0), GripRow(4.0, most, 10.0))
    job, plan, fasteners = by_length(lengths=rows)
    assert any("no length closes" in fault for fault in lengths_wrong(job, plan, fasteners)) is not closes


# Rivets


def rivets_wrong(**changes: Any) -> list[str]:
    whole = planned_two_panels()
    job = replace(
        whole.job, rivets=replace(whole.job.rivets, **changes.pop("rules", {})), **changes.pop("job", {})
    )
    return list(rivet_faults(job, whole.plan, replace(whole.fasteners, **changes)))


def test_a_pitch_under_three_diameters_gives_way_to_these() -> None:
    # 40 asked for, and rivets of 14 mean 42 at the least: 520 / 12 is 43.3, 520 / 13 is 40
    fault = "rivet line post after bay 1: rivets 43.333 apart, 42.000 is asked for"
    whole = planned_two_panels()
    seam = replace(whole.fasteners.lines[0], points=row_of((625, -10), (625, 510), 12))
    lines = (seam, *whole.fasteners.lines[1:])
    assert fault in rivets_wrong(lines=lines, rules={"diameter": 14.0})
    assert not [
        each
        for each in rivets_wrong(lines=lines, rules={"diameter": 14.5})
        if "post after bay 1: rivets" in each
    ]


@pytest.mark.parametrize(("size", "missing"), [(30.0, False), (30.03, False), (30.1, True), (200.0, True)])
@pytest.mark.parametrize("drawn", [False, True])
def test_a_riveted_patch_has_a_line_if_it_has_room_for_one(size: float, missing: bool, drawn: bool) -> None:
    outline = polygon_ring([(0, 0), (300, 0), (300, size), (0, size)]) if drawn else None
    patch = Patch("lid", 300.0, size, quantity=2, outline=outline, riveted=True)
    told = [fault for fault in rivets_wrong(job={"patches": (patch,)}) if "has no rivet line" in fault]
    assert told == [f"part lid#{copy}: it is riveted, and has no rivet line" for copy in (1, 2)] * missing


def test_a_seam_without_a_line_is_excused_only_where_a_row_has_no_room() -> None:
    whole = planned_two_panels()
    fasteners = replace(whole.fasteners, lines=whole.fasteners.lines[1:])

    def told(top: float) -> bool:
        """Both panels no higher than this: their common metal is 30 wide, and its row runs 15 from its ends."""
        panels = tuple(
            replace(each, outline=polygon_ring([(x0, -25), (x1, -25), (x1, top), (x0, top)]))
            for each, x0, x1 in zip(whole.plan.panels, (-25, 610), (640, 1275), strict=True)
        )
        faults = rivet_faults(whole.job, replace(whole.plan, panels=panels), fasteners)
        return any("seam D1 over D2: no rivet line holds both" in fault for fault in faults)

    assert told(525.0)
    # -25 + 15 to 25 - 15 is a row of 20, with what a bend may be off at both ends; three diameters are 15
    assert told(25.0)
    assert not told(18.0)


def test_rivets_of_two_lines_within_a_thousandth_are_one() -> None:
    def alone(*points: Point) -> RivetLine:
        return RivetLine("edge", DRIVER, "edge", ("D1",), points, len(points), 40.0, 3.2)

    lines = (
        alone((0.0, 0.0), (40.0, 0.0)),
        alone((40.0, 0.0009), (80.0, 0.0)),
        alone((80.0, 0.0011), (0.0, 0.0)),
    )
    found = single_rivets(replace(planned_two_panels().fasteners, lines=lines))
    assert found == {(DRIVER, ""): [(0.0, 0.0), (40.0, 0.0), (80.0, 0.0), (80.0, 0.0011)]}


def test_patches_are_told_apart_by_their_copies() -> None:
    lines = tuple(
        RivetLine("patch", "", f"edge of lid#{copy}", (f"lid#{copy}",), ((15.0, 15.0),), 1, 50.0, 3.2)
        for copy in (1, 2)
    )
    found = single_rivets(replace(planned_two_panels().fasteners, lines=lines))
    assert found == {("", "lid#1"): [(15.0, 15.0)], ("", "lid#2"): [(15.0, 15.0)]}


def test_an_empty_box_and_one_of_a_wrong_price_are_told() -> None:
    faults = rivets_wrong(packs=((100, 1, 20.0), (100, 0, 21.0)))
    assert "boxes of 100 rivets: no such box at 21.00 in the job" in faults
    assert "boxes of 100 rivets: 0 boxes" in faults
    assert not [fault for fault in faults if "at 20.00" in fault]


def test_just_enough_is_bought() -> None:
    # 86 and a tenth: 94.6
    assert not [fault for fault in rivets_wrong(to_buy=95) if "do not cover" in fault]
    assert "rivets to buy: 94 do not cover 86 and the spare ones, 95" in rivets_wrong(to_buy=94)
    assert not [fault for fault in rivets_wrong(to_buy=100) if "hold" in fault and "boxes" in fault]
    assert "boxes of rivets: they hold 100, 101 are to be bought" in rivets_wrong(to_buy=101)


def test_counts_of_a_line_are_from_none_to_all_of_its_rivets() -> None:
    whole = planned_two_panels()

    def told(counted: int) -> bool:
        lines = item(whole.fasteners.lines, 0, counted=counted)
        return any("it counts" in fault for fault in rivets_wrong(lines=lines))

    assert [told(counted) for counted in (-1, 0, 14, 15)] == [True, False, False, True]


def test_what_is_shared_is_told_with_what_is_there() -> None:
    wrong = (PanelRivets("D1", 50, 14), PanelRivets("D2", 49, 14))
    assert "rivets of D2: 49 are given, 14 of them shared; 50 hold it, 14 of them shared" in rivets_wrong(
        panels=wrong
    )


@pytest.mark.parametrize(
    ("rules", "least"),
    [
        (SeamRules(edge_distance=15.0), 160.0),
        (SeamRules(edge_distance=15.0, rows=2, row_spacing=20.0), 200.0),
    ],
)
def test_a_post_needs_a_line_where_the_panel_is_high_enough_for_one(rules: SeamRules, least: float) -> None:
    # twice 15 at the edges, six diameters of 5, a pitch of 100, and with two rows twice their spacing
    job, plan = one_panel()
    job = replace(job, seam=rules)
    none = replace(planned_two_panels().fasteners, lines=())
    for height, told in ((least - 1, False), (least + 1, True)):
        whole = replace(
            plan.panels[0], outline=polygon_ring([(0, 40), (1300, 40), (1300, 40 + height), (0, 40 + height)])
        )
        faults = list(rivet_faults(job, replace(plan, panels=(whole,)), none))
        assert ("panel D1: it has no line of rivets on the post after bay 1" in faults) is told


@pytest.mark.parametrize(("lap", "told"), [(25.0, True), (16.0, False)])
def test_both_rows_of_a_level_seam_need_room_across_it(lap: float, told: bool) -> None:
    # panels that reach 25 past the rail hold rows 10 to either side; those that reach 16 hold only its middle
    job, plan = railed()
    job = replace(job, seam=SeamRules(edge_distance=15.0, rows=2, row_spacing=20.0))
    lower, upper = plan.panels
    low = replace(lower, outline=polygon_ring([(-25, -25), (625, -25), (625, 500 + lap), (-25, 500 + lap)]))
    high = replace(
        upper, outline=polygon_ring([(-25, 500 - lap), (625, 500 - lap), (625, 1225), (-25, 1225)])
    )
    none = replace(planned_two_panels().fasteners, lines=())
    faults = list(rivet_faults(job, replace(plan, panels=(low, high)), none))
    assert ("seam D2 over D1: no rivet line holds both" in faults) is told
