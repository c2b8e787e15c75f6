"""Claims that must hold for all jobs: random ones, planned as they are and changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from nesting.job import Job
from tests.claims import CLAIMS, SMALL, Found, dearer, job_number, mirrored, unequal
from tests.job_tables import job_tables
from tests.job_units import as_read
from tests.soak.jobs import claim_tried

EACH = 11
"""Jobs for each claim: with their changed ones some two hundred are planned in all."""


@pytest.mark.parametrize("name", CLAIMS)
def test_claim_holds(name: str) -> None:
    claim = CLAIMS[name]

    @settings(
        max_examples=EACH,
        deadline=None,
        phases=[Phase.explicit, Phase.generate, Phase.shrink],
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    @given(SMALL, st.integers(0, 10**6))
    def holds(job: Job, number: int) -> None:
        faults: Sequence[str] = list(claim(job, Random(number)))
        assert faults == []

    holds()


def test_a_bound_above_what_must_do_is_a_fault() -> None:
    # the cheap job cannot cost less than 100, yet the dear one's plan of 90 would do for it
    cheap, dear = Found(110.0, 100.0), Found(90.0, 80.0)
    assert list(dearer(cheap, dear)) != []
    assert list(dearer(dear, cheap)) == []
    assert list(unequal(dear, cheap)) != []


def test_unproved_plans_of_different_cost_are_no_fault() -> None:
    assert list(unequal(Found(110.0, 85.0), Found(90.0, 80.0))) == []


def test_no_plan_at_all_is_dearer_than_any() -> None:
    none = Found(float("inf"), float("inf"))
    assert list(dearer(Found(90.0, 90.0), none)) == []
    assert list(dearer(none, Found(90.0, 90.0))) != []
    assert list(unequal(none, none)) == []


@pytest.mark.parametrize("number", range(6))
def test_a_mirror_of_a_mirror_is_the_job_itself(number: int) -> None:
    job = job_number(number)
    again = mirrored(mirrored(job))
    assert again == replace(job, sides=again.sides)
    for side, twice in zip(job.sides, again.sides, strict=True):
        assert twice == replace(side, windows=twice.windows)
        for window, back in zip(side.windows, twice.windows, strict=True):
            assert back.from_left == pytest.approx(window.from_left)


def test_the_same_number_is_the_same_job_and_most_jobs_can_be_read() -> None:
    drawn = [job_number(number) for number in range(8)]
    assert drawn == [job_number(number) for number in range(8)]
    assert len({repr(job) for job in drawn}) > 6
    assert sum(as_read(job_tables(job)) is not None for job in drawn) >= 6


def test_a_claim_of_the_long_run_is_repeated_by_its_number() -> None:
    assert claim_tried(4).fault == claim_tried(4).fault == ""
