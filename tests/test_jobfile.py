"""The job file: what is read, what is taken where nothing stands, and how every mistake is told."""

from __future__ import annotations

import random
from collections import Counter
from contextlib import suppress
from math import ceil

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from nesting.job import (
    Bay,
    Costs,
    CutMethod,
    Cutting,
    Fixed,
    FixedPanel,
    FixedPatch,
    FixedState,
    FixedStrip,
    Hand,
    Job,
    Land,
    Pack,
    Patch,
    RivetRules,
    SeamKind,
    SeamRules,
    Side,
    Skin,
    Stock,
    Turn,
    Units,
    Window,
)
from shared.errors import PlannerError
from shared.tables import skin_row
from tests.job_texts import (
    BAYS,
    EVERY_KEY,
    EVERYTHING_WRONG,
    LEAST,
    METRIC,
    SIDE,
    WRONG_PLACES,
    job,
    mistakes,
    the_mistake,
)

INCH = 25.4


def test_every_key_is_read() -> None:
    skin = skin_row("galvannealed steel", 18, None)
    assert job(EVERY_KEY) == Job(
        title="Body with a raised roof",
        units=Units.INCH,
        skin=Skin(skin.material, skin.thickness_mm, skin.mass_per_area, 18, skin.source),
        cutting=Cutting(CutMethod.SHEAR, 1.5875, 3.175, 4.7625, Turn.HALF, True, 3048.0),
        seam=SeamRules(SeamKind.LAP, 15.875, 2, 19.05, 3.175, 12.0, 0.01),
        land=Land(31.75, 25.4, 22.225),
        rivets=RivetRules(
            3.96875, 38.1, 63.5, 127.0, 0.125, packs=(Pack(100, 24.0), Pack(500, 98.0)), post_thickness=2.0
        ),
        stock=(
            Stock("4x10", 1219.2, 3048.0, 0.0, 2, on_hand=True),
            Stock("4x10", 1219.2, 3048.0, 128.0, 6),
            Stock("60 x 144", 1524.0, 3657.6, 205.0),
        ),
        sides=(
            Side(
                "driver side",
                Hand.RIGHT,
                bays=(
                    Bay(717.55, 1003.3),
                    Bay(717.55, 1003.3),
                    Bay(720.725, 914.4, 76.2),
                    Bay(711.2, 1003.3),
                ),
                posts=(50.8, 63.5, 50.8),
                rails=(609.6, 762.0),
                rail_width=38.1,
                raise_height=304.8,
                cut_height=508.0,
                windows=(Window(3, 101.6, 304.8, 508.0, 457.2, 50.8, True),),
                overall=3035.3,
            ),
        ),
        patches=(Patch("roof hatch cover", 711.2, 698.5, 76.2, 2, True),),
        costs=Costs(8.0, 60.0, 0.06),
        fixed=Fixed(
            panels=(FixedPanel("driver side", 1, 2, FixedState.DECIDED, name="D7"),),
            patches=(FixedPatch("roof hatch cover", (2,)),),
            strips=(FixedStrip("driver side", 4, 4, 304.8, FixedState.CUT, "lower strip"),),
        ),
    )


def test_the_least_job_takes_the_usual_values_in_inches() -> None:
    read = job(LEAST)
    assert read.title == "test"
    assert read.units is Units.INCH
    assert (read.skin.material, read.skin.gauge) == ("galvannealed steel", 18)
    assert read.cutting == Cutting(gap=6.35, edge_margin=6.35)
    assert read.seam == SeamRules(row_spacing=3 * 4.7625)
    assert read.land == Land()
    assert read.rivets == RivetRules()
    assert read.costs == Costs()
    assert read.patches == (Patch("lamp cover", 152.4, 127.0),)


def test_a_metric_job_takes_round_metric_values() -> None:
    read = job(METRIC)
    assert read.cutting == Cutting(gap=6.0, edge_margin=6.0)
    assert read.seam == SeamRules(
        edge_distance=12.5, row_spacing=4.8 * 3, butt_gap=1.5, cost_per_length=5 / 1000
    )
    assert read.land == Land(25.0, 25.0, 25.0)
    assert read.rivets == RivetRules(4.8, 40.0, 50.0, 100.0, post_thickness=2.0)
    assert read.skin.thickness == 1.2
    assert read.sides[0].bays == (Bay(715.0, 1003.5),) * 4
    assert read.sides[0].posts == (50.0,) * 3
    assert read.sides[0].rail_width == 50.0
    assert read.warnings == ()


@pytest.mark.parametrize(
    ("cutting", "gap", "margin"),
    [
        ('method = "shear"', 0.0, 0.0),
        ('method = "hand"\nkerf = "1/8"', 3.175, 6.35),
        ('method = "profile"\nkerf = "1/8"', 6.35, 6.35),
        ('method = "shear"\ngap = "1/8"\nedge_margin = 1', 3.175, 25.4),
    ],
)
def test_gap_and_margin_follow_the_way_of_cutting(cutting: str, gap: float, margin: float) -> None:
    read = job(f"[cutting]\n{cutting}\n{LEAST}").cutting
    assert (read.gap, read.edge_margin) == (gap, margin)


def test_cost_per_length_is_per_foot_or_per_metre() -> None:
    assert job("[seam]\ncost_per_length = 3.048\n" + LEAST).seam.cost_per_length == pytest.approx(0.01)
    assert job(METRIC).seam.cost_per_length == pytest.approx(0.005)


def test_the_widest_post_gives_the_rail_width() -> None:
    text = SIDE.replace("post_width = 2", "posts = [2, 3]\nrails = [20]") + BAYS
    assert job(text).sides[0].rail_width == 76.2


def test_a_side_of_one_bay_needs_no_posts() -> None:
    text = SIDE.replace("post_width = 2", "posts = []") + BAYS.replace("count = 3", "")
    assert job(text).sides[0].posts == ()
    assert job(text.replace("posts = []", "")).sides[0].posts == ()


def test_rails_need_a_width_from_somewhere() -> None:
    text = SIDE.replace("post_width = 2", "rails = [20]") + BAYS.replace("count = 3", "")
    assert the_mistake(text).place == "side 'left', rail_width"
    assert job(text.replace("rails = [20]", "rails = [20]\npost_width = 2")).sides[0].rail_width == 50.8


@pytest.mark.parametrize("remedy", ["left", "left "])
def test_names_lose_outer_spaces(remedy: str) -> None:
    assert job((SIDE + BAYS).replace('name = "left"', f'name = "{remedy}"')).sides[0].name == "left"


def test_a_density_of_ones_own_gives_the_mass() -> None:
    skin = job('[skin]\nmaterial = "titanium"\nthickness = "1 mm"\ndensity = 4500\n' + LEAST).skin
    assert (skin.material, skin.thickness, skin.mass_per_area, skin.gauge) == ("titanium", 1.0, 4.5, None)
    assert "4500" in skin.source
    by_gauge = job('[skin]\nmaterial = "aluminium"\ngauge = 14\ndensity = 2660\n' + LEAST).skin
    assert by_gauge.mass_per_area == pytest.approx(0.0641 * INCH / 1000 * 2660)


@pytest.mark.parametrize(
    ("skin", "place", "says"),
    [
        ('material = "unobtainium"\ngauge = 18', "skin, material", "galvannealed steel"),
        ("gauge = 9", "skin, gauge", "18"),
        ('gauge = 18\nthickness = "1 mm"', "skin, thickness", "not both"),
        ('material = "aluminium"', "skin, thickness", "is missing"),
        ("density = 7850", "skin, thickness", "is missing"),
        ('thickness = "1.2"', "skin, thickness", "1.2 mm"),
        ('thickness = "x"', "skin, thickness", "no length"),
        ("thickness = 0", "skin, thickness", "more than zero"),
        ('thickness = "1 mm"\ndensity = 0.2836', "skin, density", "7850"),
        ("gauge = 17.5", "skin, gauge", "whole number"),
        ("material = 3", "skin, material", "quotes"),
    ],
)
def test_a_skin_that_cannot_be_is_one_mistake(skin: str, place: str, says: str) -> None:
    found = the_mistake(f"[skin]\n{skin}\n{LEAST}")
    assert found.place == place
    assert says in found.remedy


def test_everything_wrong_at_once_is_told_each_thing_once() -> None:
    found = Counter(mistake.place for mistake in mistakes(EVERYTHING_WRONG))
    assert found == Counter(WRONG_PLACES)


def test_every_mistake_says_what_to_do_on_one_line() -> None:
    for mistake in mistakes(EVERYTHING_WRONG):
        assert len(mistake.remedy) > 10
        assert "\n" not in str(mistake)


SNIPPETS = st.sampled_from(
    [
        "0",
        "-1",
        "nan",
        "inf",
        "true",
        "[]",
        "{}",
        '"28 1/0"',
        '"x"',
        "1e99",
        "'2 ft'",
        "[[1]]",
        "1979-05-27",
        "",
    ]
)
TEXTS = st.sampled_from([EVERY_KEY, METRIC, LEAST, EVERYTHING_WRONG])


@given(TEXTS, st.lists(st.tuples(st.integers(0, 10**6), SNIPPETS), min_size=1, max_size=4))
@settings(deadline=None, max_examples=150)
def test_other_values_give_a_job_or_mistakes(text: str, changes: list[tuple[int, str]]) -> None:
    lines = text.splitlines()
    for where, value in changes:
        row = where % len(lines)
        key, equals, _ = lines[row].partition(" = ")
        lines[row] = f"{key} = {value}" if equals else value
    with suppress(PlannerError):
        assert isinstance(job("\n".join(lines)), Job)


@given(TEXTS, st.integers(0, 2**32))
@settings(deadline=None, max_examples=100)
@example(EVERY_KEY, 0)
def test_lines_lost_doubled_or_swapped_give_a_job_or_mistakes(text: str, seed: int) -> None:
    chance = random.Random(seed)
    lines = text.splitlines()
    for _ in range(chance.randint(1, ceil(len(lines) / 8))):
        row, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        what = chance.randrange(3)
        if what == 0 and len(lines) > 1:
            del lines[row]
        elif what == 1:
            lines.insert(other, lines[row])
        else:
            lines[row], lines[other] = lines[other], lines[row]
    with suppress(PlannerError):
        assert isinstance(job("\n".join(lines)), Job)


@given(st.text(max_size=200) | st.binary(max_size=200))
@settings(deadline=None, max_examples=100)
def test_any_text_is_a_job_or_mistakes(text: str | bytes) -> None:
    with suppress(PlannerError):
        job(text if isinstance(text, str) else text.decode("latin-1"))
