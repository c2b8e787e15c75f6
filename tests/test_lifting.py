"""Who lifts a panel: the constant, twice of it, and the limit of one person's lift."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.ordering.buylist import lifting_note
from nesting.ordering.lifting import (
    INCH,
    METRIC,
    Hands,
    Lift,
    LiftForm,
    hands_for,
    lifting_index,
    panel_lifts,
    recommended_limit,
)

BEST = Lift(reach=250.0, height=750.0, travel=250.0, grip=1.0)


def test_one_person_up_to_the_constant_two_up_to_twice_of_it() -> None:
    assert hands_for(23.0) is Hands.ONE
    assert hands_for(23.1) is Hands.TWO
    assert hands_for(46.0) is Hands.TWO
    assert hands_for(46.1) is Hands.MORE


@given(st.floats(0.0, 200.0))
def test_the_buy_list_says_the_same(mass: float) -> None:
    note = lifting_note(mass)
    assert note == ("" if hands_for(mass) is Hands.ONE else hands_for(mass).value)


def test_the_best_posture_leaves_the_whole_constant() -> None:
    assert recommended_limit(BEST) == pytest.approx(23.0)
    nearer = Lift(reach=100.0, height=750.0, travel=50.0, grip=1.0)
    assert recommended_limit(nearer) == pytest.approx(23.0)


def test_each_multiplier_by_hand() -> None:
    # 23 kg x 25/50; x (1 - 0.003 x 25); x (0.82 + 4.5/90); x (1 - 0.0032 x 45)
    far = Lift(reach=500.0, height=750.0, travel=250.0, grip=1.0)
    assert recommended_limit(far) == pytest.approx(11.5)
    high = Lift(reach=250.0, height=1000.0, travel=250.0, grip=1.0)
    assert recommended_limit(high) == pytest.approx(21.275)
    long = Lift(reach=250.0, height=750.0, travel=900.0, grip=1.0)
    assert recommended_limit(long) == pytest.approx(20.01)
    twisted = Lift(reach=250.0, height=750.0, travel=250.0, twist=45.0, grip=1.0)
    assert recommended_limit(twisted) == pytest.approx(19.688)


def test_a_panel_twice_the_limit_has_an_index_of_two() -> None:
    far = Lift(reach=500.0, height=750.0, travel=250.0, grip=1.0)
    assert lifting_index(23.0, far) == pytest.approx(2.0)


def test_hands_too_high_to_lift_at_all_make_the_index_infinite() -> None:
    assert lifting_index(1.0, Lift(reach=250.0, height=5000.0, travel=250.0)) == float("inf")


@given(
    st.floats(0.0, 2000.0),
    st.floats(0.0, 4000.0),
    st.floats(0.0, 2000.0),
    st.floats(0.0, 135.0),
    st.sampled_from((METRIC, INCH)),
)
def test_no_lift_is_allowed_more_than_the_constant(
    reach: float, height: float, travel: float, twist: float, form: LiftForm
) -> None:
    limit = recommended_limit(Lift(reach, height, travel, twist), form)
    assert 0.0 <= limit <= 0.9 * form.constant + 1e-9


def test_panels_are_listed_the_heaviest_first() -> None:
    lifts = panel_lifts({"A": 12.0, "B": 50.0, "C": 30.0}, BEST)
    assert [(lift.name, lift.hands) for lift in lifts] == [
        ("B", Hands.MORE),
        ("C", Hands.TWO),
        ("A", Hands.ONE),
    ]
    assert lifts[2].index == pytest.approx(12 / 23)
    assert panel_lifts({"A": 12.0})[0].index is None
