"""The plan check finds every damage to rivets and to the buy list."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.checking.check import plan_faults
from nesting.job import Patch
from nesting.plan import PanelRivets, PlannedJob
from tests import hand_plans
from tests.damages import (
    Damaged,
    assert_found,
    buying_changed,
    cases,
    item,
    line_changed,
    one_rivet_moved,
    rivets_changed,
)
from tests.hand_plans import planned_two_panels, row_of


@pytest.mark.parametrize(
    ("damage", "told"),
    cases(
        (
            "rivet too near the edge",
            one_rivet_moved(0.01, 0),
            "the rivet at (625.01, 110.00) is 14.990 from the edge of D1",
        ),
        (
            "rivet beside its panel",
            one_rivet_moved(20, 0),
            "the rivet at (645.00, 110.00) is not in the metal of D1",
        ),
        (
            "rivets too wide apart",
            line_changed(0, points=row_of((625, -10), (625, 510), 12)),
            "post after bay 1: rivets 43.333 apart",
        ),
        (
            "rivets too close",
            line_changed(0, points=row_of((625, -10), (625, 510), 52)),
            "are 10.00 apart, less than 15.00 (3 D), and so are 51 more pairs",
        ),
        ("line without rivets", line_changed(0, points=(), counted=0), "post after bay 1: it has no rivets"),
        ("line of an unknown panel", line_changed(1, panels=("D9",)), "there is no part D9"),
        (
            "panel not riveted",
            lambda p: rivets_changed(lines=p.fasteners.lines[1:4])(p),
            "panel D2: no rivet line holds it",
        ),
        (
            "seam not riveted",
            lambda p: rivets_changed(lines=p.fasteners.lines[1:])(p),
            "seam D1 over D2: no rivet line holds both",
        ),
        (
            "seam rivets hold one panel only",
            line_changed(0, panels=("D1",)),
            "seam D1 over D2: no rivet line holds both",
        ),
        (
            "patch not riveted",
            lambda p: (replace(p.job, patches=(Patch("lid", 200, 200, riveted=True),)), p.plan, p.fasteners),
            "part lid#1: it is riveted, and has no rivet line",
        ),
        ("wrong total", rivets_changed(total=87), "rivets in all: 87 are given, 86 are on the lines"),
        (
            "corner counted twice",
            line_changed(1, counted=14),
            "rivets in all: 86 are given, the lines count 87",
        ),
        ("more counted than there are", line_changed(1, counted=15), "bottom of D1: it counts 15 of its 14"),
        (
            "shared wrong",
            rivets_changed(panels=(PanelRivets("D1", 50, 13), PanelRivets("D2", 50, 14))),
            "rivets of D1: 50 are given, 13 of them shared",
        ),
        (
            "panel without a count",
            rivets_changed(panels=(PanelRivets("D1", 50, 14),)),
            "rivets of D2: 50 hold it, none are given",
        ),
        ("too few bought", rivets_changed(to_buy=94), "rivets to buy: 94 do not cover 86"),
        ("too few boxes", rivets_changed(packs=((100, 0, 20.0),)), "boxes of rivets: they hold 0"),
        (
            "box at another price",
            rivets_changed(packs=((100, 1, 19.0),)),
            "boxes of 100 rivets: no such box at 19.00",
        ),
        ("sheets wrong", buying_changed(sheets=56.0), "buy list, sheets: 56.00 is given"),
        ("cutting wrong", buying_changed(cutting=0.0), "buy list, cutting: 0.00 is given, it comes to 5.00"),
        ("rivets wrong", buying_changed(rivets=40.0), "buy list, rivets: 40.00 is given"),
        ("delivery wrong", buying_changed(delivery=0.0), "buy list, delivery: 0.00 is given"),
        ("tax wrong", buying_changed(tax=10.0), "buy list, tax: 10.00 is given, it comes to 12.00"),
        ("total wrong", buying_changed(total=120.0), "buy list, total: 120.00 is given, it comes to 132.00"),
        (
            "line wrong",
            lambda p: buying_changed(lines=item(p.buying.lines, 0, quantity=2))(p),
            "buy list, sheet small: 2 at 55.00 do not cost 55.00",
        ),
        (
            "skin mass wrong",
            buying_changed(skin_mass=7.4),
            "buy list, mass of the parts: 7.400 kg is given, it comes to 7.315",
        ),
        (
            "sheet mass wrong",
            buying_changed(sheet_mass=19.0),
            "buy list, mass of the sheets: 19.000 kg is given",
        ),
    ),
)
def test_damage_to_rivets_or_buy_list_is_found(damage: Callable[[PlannedJob], Damaged], told: str) -> None:
    assert_found(told, damage(planned_two_panels()))


def test_crowded_rivets_pass_when_warned_of() -> None:
    whole = hand_plans.planned_two_panels()
    job, plan, fasteners = line_changed(0, points=row_of((625, -10), (625, 510), 52))(whole)
    warned = replace(
        fasteners, warnings=("side 'driver side', seam lines: rivets sit nearer than 3 D = 15 mm to others",)
    )
    assert not any("3 D" in fault for fault in plan_faults(job, plan, warned))


@pytest.mark.parametrize(
    ("named", "honoured"),
    [
        ("side 'driver side', post after bay 1: rivets were left out", True),
        ("side 'driver side', rail 1; post after bay 1; rail 2: rivets were left out", True),
        ("side 'driver side', rail 1; rail 2; rail 3; rail 4 and 3 more lines: rivets were left out", True),
        ("side 'driver side', post after bay 1: rivets sit too near", False),
        ("side 'driver side', post after bay 12: rivets were left out", False),
        ("side 'driver side', post after bay 1, row 2 of 2: rivets were left out", False),
        ("side 'passenger side', post after bay 1: rivets were left out", False),
    ],
)
def test_a_space_too_wide_passes_only_when_its_own_line_is_warned_of(named: str, honoured: bool) -> None:
    job, plan, fasteners = line_changed(0, points=row_of((625, -10), (625, 510), 12))(planned_two_panels())
    warned = replace(fasteners, warnings=(named,))
    assert any("rivets 43.333 apart" in fault for fault in plan_faults(job, plan, warned)) is not honoured


@pytest.mark.parametrize(("more", "told"), [(0, 2), (1, 1), (2, 0), (7, 0)])
def test_a_warning_of_more_lines_excuses_as_many_as_it_says(more: int, told: int) -> None:
    """The seam and the bottom of D1 are spaced too wide, and the warning names other lines and some more."""
    whole = planned_two_panels()
    _, _, fasteners = line_changed(0, points=row_of((625, -10), (625, 510), 12))(whole)
    bottom = replace(fasteners.lines[1], points=row_of((-10, -10), (625, -10), 12))
    named = f"side 'driver side', rail 1; rail 2; rail 3; rail 4 and {more} more lines: rivets were left out"
    lines = (fasteners.lines[0], bottom, *fasteners.lines[2:])
    wide = replace(fasteners, lines=lines, warnings=(named,))
    faults = [fault for fault in plan_faults(whole.job, whole.plan, wide) if "apart" in fault]
    assert len(faults) == told


def test_a_warning_of_more_lines_excuses_no_other_side() -> None:
    job, plan, fasteners = line_changed(0, points=row_of((625, -10), (625, 510), 12))(planned_two_panels())
    named = "side 'passenger side', rail 1; rail 2; rail 3; rail 4 and 3 more lines: rivets were left out"
    faults = plan_faults(job, plan, replace(fasteners, warnings=(named,)))
    assert any("rivets 43.333 apart" in fault for fault in faults)
