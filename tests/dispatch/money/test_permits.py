"""Permit fees by rows: published examples, every way of charging, and what has no fee."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.fee_bands import AxleGroup, Band, Measure, PermitLoad, measured
from dispatch.money.permits import FeeRow, NoPermitFee, PermitFee, fee_row_fault, permit_fee
from tests.data.permit_fee_tables import ARKANSAS, COLORADO_OLD, ILLINOIS_AXLES, MINNESOTA

LOAD = PermitLoad(gross_lb=95_000, axles=6, tenths=1200, width_in=132, height_in=160, length_in=900)


def cents(table: tuple[FeeRow, ...], permit: str, load: PermitLoad) -> int:
    fee = permit_fee(table, permit, load)
    assert isinstance(fee, PermitFee)
    assert fee.cents == sum(part.cents for part in fee.parts)
    return fee.cents


def test_colorado_six_axles() -> None:
    """45 USD for six axles by the old table: seen. That it is 15 USD and 5 USD an axle: from memory."""
    assert cents(COLORADO_OLD, "Colorado single trip overweight", LOAD) == 4_500


def test_arkansas_by_ton_and_distance() -> None:
    """97 USD for 95,000 lb and 120 mi: derived. 17 USD, and 10 USD for each of 8 started tons from 101 mi on."""
    fee = permit_fee(ARKANSAS, "arkansas single trip", LOAD)
    assert isinstance(fee, PermitFee)
    assert fee.cents == 9_700
    assert [part.working for part in fee.parts] == ["17.00 USD", "10.00 USD x 8 started tons over"]
    assert cents(ARKANSAS, "Arkansas single trip", replace(LOAD, tenths=1000)) == 1_700 + 8 * 800
    assert cents(ARKANSAS, "Arkansas single trip", replace(LOAD, gross_lb=80_000)) == 1_700


def test_minnesota_by_axle_group_and_mile() -> None:
    """37.20 USD over 120 mi: derived. 0.21 USD/mi for a tandem 7,000 lb over, 0.10 for a tridem 9,000 lb over."""
    load = replace(LOAD, groups=(AxleGroup(2, 7_000), AxleGroup(3, 9_000)))
    fee = permit_fee(MINNESOTA, "Minnesota overweight", load)
    assert isinstance(fee, PermitFee)
    assert fee.cents == 3_720
    assert fee.parts[0].working == "0.21 USD, 2 axles 7,000 lb over x 120 miles"


@pytest.mark.parametrize(
    ("group", "tenths", "usd"),
    [
        (AxleGroup(1, 6_000), 450, 5),
        (AxleGroup(1, 6_001), 450, 8),
        (AxleGroup(1, 6_001), 451, 16),
        (AxleGroup(2, 11_000), 900, 14),
        (AxleGroup(2, 17_000), 100, 8),
        (AxleGroup(3, 29_000), 1351, 44),
    ],
)
def test_illinois_by_started_45_miles(group: AxleGroup, tenths: int, usd: int) -> None:
    """625 ILCS 5/15-306, schedule of fees for overweight axle loads, P.A. 96-34: seen."""
    load = replace(LOAD, groups=(group,), tenths=tenths)
    assert cents(ILLINOIS_AXLES, "Illinois overweight axles", load) == 100 * usd


@pytest.mark.parametrize("group", [AxleGroup(1, 11_001), AxleGroup(2, 17_001), AxleGroup(3, 29_001)])
def test_not_permitted_has_no_fee(group: AxleGroup) -> None:
    fee = permit_fee(ILLINOIS_AXLES, "Illinois overweight axles", replace(LOAD, groups=(group,)))
    assert isinstance(fee, NoPermitFee)
    assert "10 rows of fees" in fee.reason
    assert "none holds for 95,000 lb on 6 axles" in fee.reason


def test_one_group_beyond_the_table_leaves_the_permit_without_a_fee() -> None:
    """Two groups, of which the table has a fee for one: the fee of that one would be too little."""
    load = replace(LOAD, groups=(AxleGroup(2, 5_000), AxleGroup(1, 12_000), AxleGroup(3, 0)))
    fee = permit_fee(ILLINOIS_AXLES, "Illinois overweight axles", load)
    assert isinstance(fee, NoPermitFee)
    assert fee.reason.endswith("have no row for 1 axle 12,000 lb over")
    assert cents(ILLINOIS_AXLES, "Illinois overweight axles", replace(load, groups=load.groups[::2])) == 1_500


def test_size_triggers() -> None:
    rows = (
        FeeRow("oversize", Decimal(20), bands=(Band(Measure.WIDTH, over=102, up_to=144),)),
        FeeRow("oversize", Decimal(60), bands=(Band(Measure.WIDTH, over=144),)),
        FeeRow("oversize", Decimal(15), bands=(Band(Measure.HEIGHT, over=162), Band(Measure.LENGTH, over=900))),
        FeeRow("", Decimal("1.50")),
    )
    assert cents(rows, "oversize", LOAD) == 2_150
    assert cents(rows, "oversize", replace(LOAD, width_in=144)) == 2_150
    assert cents(rows, "oversize", replace(LOAD, width_in=144.5)) == 6_150
    assert cents(rows, "oversize", replace(LOAD, height_in=163, length_in=901)) == 3_650
    assert cents(rows, "oversize", replace(LOAD, height_in=163)) == 2_150


def test_a_permit_without_rows_has_no_fee() -> None:
    fee = permit_fee(ARKANSAS, "Ohio", LOAD)
    assert fee == NoPermitFee("no row of fees for the permit 'Ohio'")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (FeeRow("a", Decimal(-1)), "not negative"),
        (FeeRow("a", Decimal(1), per_miles=Decimal(0)), "more than 0"),
        (FeeRow("a", Decimal(1), bands=(Band(Measure.GROUP_OVER, over=0),)), "charge it by axle group"),
        (FeeRow("a", Decimal(1), bands=(Band(Measure.GROSS, over=90_000, up_to=80_000),)), "holds for nothing"),
    ],
)
def test_rows_that_cannot_be(row: FeeRow, said: str) -> None:
    assert said in fee_row_fault(row)


def test_published_rows_can_be() -> None:
    assert [fee_row_fault(row) for row in (*COLORADO_OLD, *ARKANSAS, *MINNESOTA, *ILLINOIS_AXLES)] == [""] * 30


def test_a_groups_measure_needs_a_group() -> None:
    with pytest.raises(KeyError):
        measured(LOAD, Measure.GROUP_OVER, None)


@given(st.integers(60_000, 200_000), st.integers(0, 4000), st.integers(0, 5000), st.integers(0, 300))
def test_more_weight_or_miles_never_cost_less(gross: int, tenths: int, more_lb: int, more_tenths: int) -> None:
    """With a table whose bands grow, as the published ones do; a table of the user's may do anything."""
    now = replace(LOAD, gross_lb=gross, tenths=tenths)
    then = replace(LOAD, gross_lb=gross + more_lb, tenths=tenths + more_tenths)
    name = "Arkansas single trip"
    assert cents(ARKANSAS, name, then) >= cents(ARKANSAS, name, now)
