"""Irregular parts on a strip against published sets, where the data lie beside the repository (tests/bench/data.py).

Sources, each with its kind.  (a) published and seen: best densities in Gardeyn, Vanden Berghe & Wauters 2025, table 3
(fu 92.41 %, albano 89.82 %); jigsaw dighe2 has length 100 by its area.  (c) computed, no paper: least lengths of the
small sets on whole-number places, proved by an exact run of our own and stored with the data.
"""

from __future__ import annotations

import pytest

from nesting.limits import SolveLimits
from nesting.strip import StripPlacing, place_on_strip
from tests.bench.data import DataMissing
from tests.bench.strips import StripSet, strip_set
from tests.strip_layouts import strip_faults


def found(folder: str, name: str) -> StripSet:
    try:
        return strip_set(folder, name)
    except DataMissing as missing:
        pytest.skip(str(missing))


def placed(one: StripSet, rounds: int) -> StripPlacing:
    placing = place_on_strip(one.width, one.parts, limits=SolveLimits(), rounds=rounds)
    assert list(strip_faults(one.width, one.parts, placing)) == []
    return placing


@pytest.mark.parametrize(("name", "published", "least"), [("fu", 92.41, 84.0), ("albano", 89.82, 80.0)])
def test_a_short_run_comes_near_the_published_density_and_not_beyond(
    name: str, published: float, least: float
) -> None:
    one = found("strip", name)
    assert one.density == published
    density = 100 * one.area / (one.width * placed(one, rounds=300).length)
    assert least <= density <= published


@pytest.mark.parametrize(("name", "length"), [("three", 6), ("shapes2x", 14), ("shirts1_2", 13)])
def test_small_sets_reach_the_least_length_on_whole_numbers(name: str, length: float) -> None:
    one = found("strip_small", name)
    assert one.length == length
    assert placed(one, rounds=600).length <= length


def test_no_layout_of_a_jigsaw_is_shorter_than_its_area() -> None:
    one = found("strip", "dighe2")
    placing = placed(one, rounds=100)
    assert placing.bound >= 100.0 * (1 - 1e-9)
    assert placing.length >= 100.0 * (1 - 1e-9)
