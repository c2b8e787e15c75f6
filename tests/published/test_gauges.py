"""Sheet gauges against the published rule behind them.

Source (a): the Manufacturers' Standard Gauge rests on 41.82 lb/ft2 for each inch of thickness; the galvanised
sheet gauge adds 0.15625 lb/ft2 of coating to the uncoated weight.  Thicknesses from stockholders' tables.
"""

from __future__ import annotations

import pytest

from shared.tables import GALVANISED_GAUGES, KG_PER_M2_PER_LB_PER_FT2, STEEL_GAUGES, GaugeRow, skin_row

PRINTED = 0.00006
"""Inches: the tables print four decimals."""

KG_PER_LB = 0.45359237
M2_PER_FT2 = 0.3048**2


@pytest.mark.parametrize("row", STEEL_GAUGES, ids=lambda row: f"{row.gauge} ga")
def test_uncoated_gauge_is_weight_over_41_82(row: GaugeRow) -> None:
    assert row.weight is not None
    assert row.inches == pytest.approx(row.weight / 41.82, abs=PRINTED)


@pytest.mark.parametrize(
    ("coated", "bare"),
    list(zip(GALVANISED_GAUGES, STEEL_GAUGES, strict=True)),
    ids=lambda row: f"{row.gauge} ga",
)
def test_galvanised_gauge_adds_the_coating(coated: GaugeRow, bare: GaugeRow) -> None:
    assert coated.gauge == bare.gauge
    assert bare.weight is not None
    assert coated.inches == pytest.approx((bare.weight + 0.15625) / 41.82, abs=PRINTED)


def test_all_gauges_from_10_to_26_are_there() -> None:
    assert [row.gauge for row in STEEL_GAUGES] == list(range(10, 27))


@pytest.mark.parametrize(
    ("gauge", "thickness", "mass"),
    [(10, 3.510, 28.227), (14, 1.994, 16.020), (16, 1.613, 12.969), (18, 1.311, 10.528), (20, 1.006, 8.087)],
)
def test_galvanised_rows_in_metric(gauge: int, thickness: float, mass: float) -> None:
    """Calculated from the same tables: x 25.4, and lb/ft2 x 4.882428."""
    row = skin_row("galvanised steel", gauge, None)
    assert row.thickness_mm == pytest.approx(thickness, abs=6e-4)
    assert row.mass_per_area == pytest.approx(mass, abs=2e-3)


def test_pounds_for_each_square_foot_in_metric() -> None:
    assert pytest.approx(KG_PER_LB / M2_PER_FT2, abs=1e-6) == KG_PER_M2_PER_LB_PER_FT2


@pytest.mark.parametrize(
    ("gauge", "aluminium", "stainless"),
    [
        (14, 0.0641, 0.0781),
        (16, 0.0508, 0.0625),
        (18, 0.0403, 0.05),
        (20, 0.032, 0.0375),
        (22, 0.0253, 0.0312),
    ],
)
def test_other_metals_from_two_published_charts(gauge: int, aluminium: float, stainless: float) -> None:
    """Source (a): gauge charts with aluminium (American wire gauge) and stainless columns."""
    assert skin_row("aluminium", gauge, None).thickness_mm == pytest.approx(aluminium * 25.4)
    assert skin_row("stainless steel", gauge, None).thickness_mm == pytest.approx(stainless * 25.4)


@pytest.mark.parametrize("gauge", [14, 16, 18, 20, 22])
def test_aluminium_follows_the_wire_gauge_formula(gauge: int) -> None:
    """Source (b): ASTM B258, t = 0.005 x 92^((36 - n)/39) in, and independent of the chart."""
    expected = 0.005 * 92 ** ((36 - gauge) / 39)
    assert skin_row("aluminium", gauge, None).thickness_mm / 25.4 == pytest.approx(expected, abs=1e-4)
