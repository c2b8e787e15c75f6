"""The check counts again what each rivet closes, and finds wrong grips, lengths and boxes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.checking.rivets import rivet_faults
from nesting.job import Job, Pack
from nesting.plan import Fasteners, Plan, RivetLength, RivetLine
from nesting.rivets.fasteners import place_fasteners
from tests.damages import item
from tests.hand_plans import ALL, two_panels

PACKS = (Pack(100, 20.0, 8.0), Pack(50, 12.0, 10.0))


def riveted() -> tuple[Job, Plan, Fasteners]:
    """Two panels: 72 rivets close 3.2 and take 8 mm, 14 close 4.4 and take 10 mm; boxes of each length."""
    job, plan = two_panels()
    job = replace(job, rivets=replace(job.rivets, packs=PACKS))
    return job, plan, place_fasteners(job, plan.panels, plan.seams)


def faults_of(job: Job, plan: Plan, fasteners: Fasteners) -> list[str]:
    return list(rivet_faults(job, plan, fasteners))


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_lengths_of_every_hand_plan_are_sound(make: object) -> None:
    assert callable(make)
    job, plan = make()
    assert faults_of(job, plan, place_fasteners(job, plan.panels, plan.seams)) == []


def test_boxes_of_each_length_are_sound() -> None:
    job, plan, fasteners = riveted()
    assert faults_of(job, plan, fasteners) == []
    assert [(each.rivets, each.packs) for each in fasteners.lengths] == [
        (72, ((100, 1, 20.0),)),
        (14, ((50, 1, 12.0),)),
    ]


def line_changed(**changes: object) -> Callable[[Fasteners], Fasteners]:
    """The first line, which is the seam's, with something wrong."""
    return lambda made: replace(made, lines=item(made.lines, 0, **changes))


def length_changed(index: int, **changes: object) -> Callable[[Fasteners], Fasteners]:
    return lambda made: replace(made, lengths=item(made.lengths, index, **changes))


def thinner(made: Fasteners) -> Fasteners:
    line: RivetLine = made.lines[0]
    return line_changed(grips=(3.2, *line.grips[1:]))(made)


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        (thinner, "a grip of 3.200 is given, the rivet closes 4.400"),
        (line_changed(grips=(4.4,)), "1 grips are given for 14 rivets"),
        (line_changed(length=8.0), "a length of 8.00 is given for a grip of 4.400"),
        (length_changed(0, rivets=71), "rivets of length 8.00: 71 are given, 72 are on the lines"),
        (length_changed(0, to_buy=79), "79 to buy do not cover 72 and the spare ones, 80"),
        (length_changed(0, packs=((100, 0, 20.0),)), "the boxes hold 0, 80 are to be bought"),
        (length_changed(1, packs=((100, 1, 20.0),)), "no such box of 100 at 20.00"),
        (lambda made: replace(made, lengths=made.lengths[:1]), "rivets of length 10.00: 0 are given, 14 are"),
        (
            lambda made: replace(
                made, lengths=(*made.lengths, RivetLength(20.0, "", 12.0, 15.0, 13.0, 13.0, 1, 2))
            ),
            "rivets of length 20.00: none are on the lines",
        ),
    ],
)
def test_what_is_wrong_with_lengths_is_found(damage: Callable[[Fasteners], Fasteners], told: str) -> None:
    job, plan, fasteners = riveted()
    faults = faults_of(job, plan, damage(fasteners))
    assert any(told in fault for fault in faults), faults
