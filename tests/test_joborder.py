"""The rest of the order in a job file: every key read into mm, kg and fractions, and what cannot be right is told."""

from __future__ import annotations

import pytest

from nesting.barstock import BarPiece, BarStock
from nesting.job import Costs
from nesting.orderrules import CoatKind, OrderRules
from tests.job_texts import BAYS, LEAST, METRIC, SIDE, job, mistakes

ORDERED = (
    LEAST
    + """
[[bar]]
name = "sill"
section = "1x1 tube"
length = 20
quantity = 8

[[bar_stock]]
section = "1x1 tube"
length = "20 ft"
price = 31.0
available = 4
mass_per_length = 0.88

[framing]
kerf = "1/16"

[sealant]
bead = "3/16"
cartridge = 310
price = 9.5
waste = 20

[[paint]]
name = "primer"
kind = "primer"
solids = 55
film = 1.5
coats = 2
transfer = 90
waste = 5
tin = 2
price = 60
inside = true

[vehicle]
scale_weight = 2204.622621848776
weight_rating = 4409.245243697552

[costs]
labour_rate = 40
hours_per_seam = 1.5
hours_per_panel = 2
"""
)


def test_every_key_of_the_order_is_read() -> None:
    read = job(ORDERED)
    framing, sealant = read.order.framing, read.order.sealant
    assert framing.pieces == (BarPiece("sill", "1x1 tube", 508.0, 8),)
    assert framing.stocks == (BarStock("1x1 tube", 6096.0, 31.0, 4),)
    assert framing.kerf == 1.5875
    ((section, per_mm),) = framing.masses
    # 0.88 lb/ft x 0.45359237 kg/lb / 304.8 mm
    assert (section, per_mm) == ("1x1 tube", pytest.approx(0.88 * 0.45359237 / 304.8))
    assert (sealant.bead, sealant.cartridge, sealant.price, sealant.waste) == (4.7625, 310_000.0, 9.5, 0.2)
    assert sealant.told
    (paint,) = read.order.paints
    assert (paint.name, paint.kind, paint.coats, paint.inside) == ("primer", CoatKind.PRIMER, 2, True)
    assert (paint.solids, paint.transfer, paint.waste, paint.price) == (0.55, 0.9, 0.05, 60.0)
    assert paint.film == pytest.approx(0.0381)
    assert paint.tin == pytest.approx(2 * 3_785_411.784)
    assert read.order.vehicle.scale_weight == pytest.approx(1000.0)
    assert read.order.vehicle.weight_rating == pytest.approx(2000.0)
    assert read.costs == Costs(0.0, 0.0, 0.0, 40.0, 1.5, 2.0)
    assert read.warnings == job(LEAST).warnings


def test_a_job_that_says_nothing_of_it_has_the_usual_sealant_and_no_prices() -> None:
    assert job(LEAST).order == OrderRules()
    assert job(LEAST).order.sealant.price is None


def test_a_metric_job_reads_litres_micrometres_and_kilograms() -> None:
    read = job(
        METRIC
        + """
[[bar]]
name = "sill"
section = "tube"
length = 500

[[bar_stock]]
section = "tube"
length = 6000
mass_per_length = 1.4

[[paint]]
name = "enamel"
solids = 45
film = 30

[vehicle]
scale_weight = 3500
"""
    )
    assert read.order.framing.masses == (("tube", 0.0014),)
    assert (read.order.paints[0].film, read.order.paints[0].tin) == (0.03, 1e6)
    assert read.order.vehicle.scale_weight == 3500.0
    assert read.order.sealant.bead == 6.0


@pytest.mark.parametrize(
    ("old", "new", "place", "says"),
    [
        (
            'section = "1x1 tube"\nlength = 20\n',
            'section = "angle"\nlength = 20\n',
            "bar 'sill', section",
            "1x1 tube",
        ),
        ("length = 20\n", "length = 250\n", "bar 'sill', length", "the longest bar is 240 in"),
        ("available = 4", "available = 0", "bar 'sill', length", "no bar is available"),
        (
            'kerf = "1/16"',
            'post_section = "hat"',
            "framing, post_section",
            "no [[bar_stock]] of this section",
        ),
        ("solids = 55", "solids = 0", "paint 'primer', solids", "more than zero"),
        ("film = 1.5\n", "", "paint 'primer', film", "is missing"),
        ("bead =", "beed =", "sealant, beed", "did you mean bead?"),
        ("hours_per_seam = 1.5", "hours_per_seam = -1", "costs, hours_per_seam", "hours for one seam"),
        (
            "quantity = 8",
            "quantity = 10000\n[[bar]]\nname='b'\nsection='1x1 tube'\nlength=1",
            "bar",
            "look at the quantities",
        ),
    ],
)
def test_what_cannot_be_right_is_told_with_its_place(old: str, new: str, place: str, says: str) -> None:
    assert old in ORDERED
    (found,) = mistakes(ORDERED.replace(old, new, 1))
    assert found.place == place
    assert says in found.remedy


def test_bars_of_one_section_have_a_price_or_none() -> None:
    second = "\n[[bar_stock]]\nsection = '1x1 tube'\nlength = 120\n"
    (found,) = mistakes(ORDERED + second)
    assert found.place == "bar_stock 2, price"
    other_section = "\n[[bar_stock]]\nsection = 'angle'\nlength = 120\n"
    assert any("nothing is cut from 'angle'" in text for text in job(ORDERED + other_section).warnings)


RAISED = SIDE + "raise = 12\ncut_height = 14\n" + BAYS


def test_a_post_extension_longer_than_every_bar_is_told_before_anything_is_planned() -> None:
    bars = "[framing]\npost_section = 'hat'\n[[bar_stock]]\nsection = 'hat'\nlength = 10\n"
    (found,) = mistakes(bars + RAISED)
    assert found.place == "framing, post_section"
    assert "'post extension, left' is 12 in long and the longest bar is 10 in" in found.remedy


def test_framing_that_follows_from_nothing_is_doubtful() -> None:
    bars = "[framing]\npost_section = 'hat'\nframe_section = 'hat'\n[[bar_stock]]\nsection = 'hat'\nlength = 120\n"
    doubts = [text for text in job(bars + RAISED).warnings if text.startswith("framing")]
    assert doubts == ["framing, frame_section: no side has a window, so there is nothing to frame"]
    flat = job(bars + SIDE + BAYS).warnings
    assert any("no post is lengthened" in text for text in flat)
    assert any("nothing is cut from 'hat'" in text for text in flat)


def test_a_rate_without_hours_and_a_vehicle_too_heavy_already_are_doubtful() -> None:
    warned = job(
        LEAST + "[costs]\nlabour_rate = 30\n[vehicle]\nscale_weight = 9000\nweight_rating = 8000\n"
    ).warnings
    assert any(text.startswith("costs, labour_rate") for text in warned)
    assert any(text.startswith("vehicle, scale_weight") for text in warned)
