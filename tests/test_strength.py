"""What a seam holds beside its sheet: the arithmetic by hand, what goes in, and metals side by side."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.job import Job, SeamKind, SeamRules
from nesting.plan import Fasteners, Plan
from nesting.rivets.fasteners import place_fasteners
from nesting.rivets.galvanic import pairing
from nesting.rivets.strength import (
    NO_APPROVAL,
    Strength,
    bearing_load,
    missing_inputs,
    net_load,
    seam_strengths,
    strength_inputs,
    yardstick,
)
from tests.hand_plans import two_panels
from tests.riveted_walls import Wall, wall

ONE_ROW = SeamRules(edge_distance=15.0)


def told(job: Job, shear: float = 3000.0, tensile: float = 300.0) -> Job:
    """The job with round figures of its own."""
    return replace(
        job,
        skin=replace(job.skin, tensile=tensile),
        rivets=replace(job.rivets, shear_strength=shear),
    )


def riveted(made: Wall) -> tuple[Plan, Fasteners]:
    plan = replace(two_panels().plan, panels=made.panels, seams=made.seams, sheets=())
    return plan, place_fasteners(made.job, made.panels, made.seams)


def strengths(made: Wall, job: Job | None = None) -> tuple[Strength, ...]:
    return seam_strengths(job or told(made.job), *riveted(made))


def test_a_lap_of_one_row_holds_what_a_pencil_says() -> None:
    # seam 220 long in 6 spaces of 36.667; sheet 1.2 of 300 MPa, rivets of 5 that shear at 3000 N, edge 15
    (seam,) = strengths(wall([[300.0], [300.0]], 200.0, rules=ONE_ROW))
    assert (seam.rivets, seam.rows) == (7, 1)
    assert seam.pitch == pytest.approx(220 / 6)
    assert seam.sheet == pytest.approx(360)
    assert seam.shear == pytest.approx(3000 / (220 / 6))  # 81.8
    # 3.6 x root of 1.2 / 5 = 1.7636; 1.7636 x 300 x 5 x 1.2 = 3174.5 N, less than 300 x 15 x 1.2 / 1.2 = 4500
    assert seam.bearing == pytest.approx(3174.5 / (220 / 6), abs=0.01)
    # 36.667 less a hole of 5.1
    assert seam.net == pytest.approx(360 * (220 / 6 - 5.1) / (220 / 6))
    assert seam.governs == "rivet shear"
    assert seam.share == pytest.approx(81.82 / 360, abs=1e-4)
    assert not seam.meets_joint_rule
    # 3000 N at 0.6 x 360 = 216 N/mm
    assert seam.pitch_for_rule == pytest.approx(3000 / 216)
    assert yardstick(seam).startswith(
        "82 N/mm, 23% of the sheet's 360 N/mm; rivet shear governs; does not reach"
    )


def test_weak_sheets_give_way_before_strong_rivets() -> None:
    made = wall([[300.0], [300.0]], 200.0, rules=ONE_ROW)
    (seam,) = strengths(made, told(made.job, shear=1e5))
    assert seam.governs == "bearing"
    assert seam.bearing_first
    (weak,) = strengths(made, told(made.job, shear=1000.0))
    assert not weak.bearing_first


def test_a_second_row_holds_as_much_again() -> None:
    rules = SeamRules(edge_distance=15.0, rows=2, row_spacing=15.0)
    (seam,) = strengths(wall([[300.0], [300.0]], 200.0, rules=rules))
    # the second row is staggered by half a space, so it has one rivet more; its spaces are no wider
    assert (seam.rows, seam.rivets) == (2, 7 + 8)
    assert seam.shear == pytest.approx(2 * 3000 / (220 / 6))


def test_a_butt_seam_holds_what_one_of_its_rows_holds() -> None:
    rules = SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=2.0)
    (seam,) = strengths(wall([[300.0], [300.0]], 200.0, rules=rules))
    assert seam.rows == 1
    assert seam.rivets == 7
    # the post of 2.0 is 1.67 times the sheet: alpha lies 0.444 of the way from 1.7636 to 2.1
    alpha = 1.7636 + (2.1 - 1.7636) * (2.0 / 1.2 - 1) / 1.5
    assert seam.bearing * seam.pitch == pytest.approx(alpha * 300 * 5 * 1.2, rel=1e-4)


def test_a_row_in_two_stretches_is_one_row() -> None:
    made = wall([[300.0], [300.0]], 200.0, rules=ONE_ROW)
    plan, fasteners = riveted(made)
    row, *others = fasteners.lines
    low, high = (replace(row, points=part, counted=len(part)) for part in (row.points[:3], row.points[4:]))
    cut = replace(fasteners, lines=(low, high, *others))
    (whole,), (parted,) = (seam_strengths(told(made.job), plan, each) for each in (fasteners, cut))
    # the rivet between the stretches is gone, and the row is no second one
    assert (parted.rows, parted.rivets) == (1, 6)
    assert parted.shear == pytest.approx(whole.shear)


def test_each_of_several_seams_has_its_strength_in_the_order_of_the_plan() -> None:
    made = wall([[400.0], [400.0]], 600.0, rail=300.0, split=[True, True], rules=ONE_ROW)
    found = strengths(made)
    assert [strength.seam for strength in found] == list(made.seams)


def test_what_the_job_tells_is_told_apart_from_what_is_taken() -> None:
    job, _ = two_panels()
    shear, tensile, _ = strength_inputs(job)
    assert not shear.told
    assert "steel taken since the job names no material" in shear.source
    assert "(c)" in tensile.source
    own = strength_inputs(told(job))
    assert [(given.value, given.source) for given in own if given.told] == [
        (3000.0, "the job"),
        (300.0, "the job"),
    ]


def test_a_material_of_the_rivet_changes_what_is_taken() -> None:
    job, _ = two_panels()
    soft = replace(job, rivets=replace(job.rivets, material="aluminium"))
    assert strength_inputs(soft)[0].value == 1200


def test_an_own_material_and_an_odd_rivet_ask_for_figures_instead_of_guessing() -> None:
    job, plan = two_panels()
    own = replace(job, skin=replace(job.skin, material="plywood"), rivets=replace(job.rivets, diameter=5.5))
    fasteners = place_fasteners(own, plan.panels, plan.seams)
    assert missing_inputs(own) == ("shear_strength in [rivets]", "tensile_strength in [skin]")
    assert seam_strengths(own, plan, fasteners) == ()
    assert missing_inputs(told(own)) == ()
    assert len(seam_strengths(told(own), plan, fasteners)) == 1


def test_the_text_beside_it_says_that_it_is_no_approval() -> None:
    assert "no approval" in NO_APPROVAL


@given(
    st.floats(0.5, 3.0), st.floats(1.0, 4.0), st.floats(2.6, 6.4), st.floats(200, 550), st.floats(5.0, 40.0)
)
def test_bearing_grows_with_the_thicker_sheet_and_never_past_its_caps(
    t: float, ratio: float, d: float, fu: float, e1: float
) -> None:
    alike, thicker = bearing_load(t, t, d, fu, e1), bearing_load(t, ratio * t, d, fu, e1)
    assert alike <= thicker + 1e-9
    assert thicker <= min(2.1 * fu * d * t, fu * e1 * t / 1.2) + 1e-6


def test_nothing_is_left_between_holes_that_touch() -> None:
    assert net_load(5.0, 5.1, 1.2, 300) == 0


# Metals side by side; anodic indices from memory of MIL-F-14072 (b), 0.15 V outdoors (a)


@pytest.mark.parametrize(
    ("skin", "rivet", "nobler", "says"),
    [
        ("galvannealed steel", "steel", 0.0, "good"),
        ("galvanised steel", "aluminium", 0.30, "the skin is eaten beside the rivet"),
        ("galvanised steel", "stainless steel", 0.70, "the skin is eaten beside the rivet"),
        ("steel", "aluminium", -0.05, "the small rivet is the one that is eaten"),
        ("steel", "stainless steel", 0.35, "the skin is eaten beside the rivet"),
        ("aluminium 5052", "aluminium", 0.0, "good"),
        ("aluminium", "steel", -0.30, "the small rivet is eaten on the large skin"),
    ],
)
def test_the_less_noble_metal_is_eaten(skin: str, rivet: str, nobler: float, says: str) -> None:
    found = pairing(skin, rivet)
    assert found is not None
    assert found.nobler == pytest.approx(nobler)
    assert says in found.verdict


def test_an_unknown_metal_has_no_verdict() -> None:
    assert pairing("plywood", "steel") is None


def test_a_bad_pair_is_warned_of_only_when_the_job_names_the_rivet() -> None:
    job, plan = two_panels()

    def said(material: str) -> list[str]:
        own = replace(job, rivets=replace(job.rivets, material=material))
        return [text for text in place_fasteners(own, plan.panels, plan.seams).warnings if " V apart" in text]

    assert said("") == []
    (text,) = said("stainless steel")
    assert "for information: stainless steel rivets in steel lie 0.35 V apart" in text
