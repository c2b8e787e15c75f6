"""Bars against published lists, where the data lie beside the repository (see tests/bench/data.py).

Source (a): the optima that Delorme, Iori & Martello 2018 give for lists of Falkenauer 1996, Scholl, Klein &
Juergens 1997, Waescher & Gau 1996 and Belov & Scheithauer 2006.  All 189 are measured by tests/bench/bar_sets.py.
"""

from __future__ import annotations

import pytest

from tests.bench.bar_sets import FILE, cut
from tests.bench.data import DataMissing, instances

EASY = (
    "Falkenauer_u120_00",
    "Falkenauer_u250_13",
    "Falkenauer_t60_00",
    "Scholl_N1C1W1_B",
    "Scholl_N2C3W4_B",
    "Waescher_TEST0049",
)

ABOVE_THE_RELAXATION = ("Waescher_TEST0022", "Hard28_BPP175")
"""Lists that need one bar more than the relaxation rounded up."""


@pytest.fixture(autouse=True)
def _there() -> None:
    try:
        instances(FILE)
    except DataMissing as missing:
        pytest.skip(str(missing))


@pytest.mark.parametrize("name", EASY + ABOVE_THE_RELAXATION)
def test_the_published_number_is_found_and_proved(name: str) -> None:
    run = cut(name, seconds=60.0)
    assert run.faults == ()
    assert run.bars == run.published
    assert run.proved


def test_all_published_numbers_are_at_least_the_length_over_that_of_a_bar() -> None:
    for one in instances(FILE):
        needed = sum(piece.length * piece.quantity for piece in one.pieces)
        value = one.known["OF"].value
        assert value is not None
        assert value * one.sheets[0].length >= needed
    assert len(instances(FILE)) == 189
