"""Escorts by size: who comes along, what for, and what it costs. Invented prices."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.escorts import EscortRow, escorts
from dispatch.money.fee_bands import PermitLoad

LOAD = PermitLoad(gross_lb=95_000, axles=6, tenths=420, width_in=150, height_in=168, length_in=1000)
TABLE = (
    EscortRow("front", over_width_in=144, per_hour_usd=Decimal(70), minimum_usd=Decimal(250), row=2),
    EscortRow("front", over_width_in=168, per_hour_usd=Decimal(70), minimum_usd=Decimal(250), vehicles=2, row=3),
    EscortRow("rear", over_width_in=168, over_length_in=1080, per_mile_usd=Decimal("2.15"), row=4),
    EscortRow("height pole", over_height_in=174, per_hour_usd=Decimal(80), per_mile_usd=Decimal(1), row=5),
)


def test_nobody_for_a_load_within_all_sizes() -> None:
    assert escorts(TABLE, replace(LOAD, width_in=144, height_in=174), 100).costs == ()


def test_front_escort_at_its_minimum_and_past_it() -> None:
    short, long = escorts(TABLE, LOAD, 90), escorts(TABLE, LOAD, 240)
    assert (short.cents, long.cents) == (25_000, 28_000)
    assert short.costs[0].why == "150 in wide, over 144"
    assert short.costs[0].working == "90 min x 70.00 USD/h, at least 250.00 USD"


def test_any_size_calls_and_the_dearest_row_of_a_kind_counts() -> None:
    found = escorts(TABLE, replace(LOAD, width_in=170, height_in=175), 90)
    assert [(cost.escort, cost.vehicles, cost.row) for cost in found.costs] == [
        ("front", 2, 3),
        ("rear", 1, 4),
        ("height pole", 1, 5),
    ]
    assert [cost.cents for cost in found.costs] == [50_000, 9_030, 12_000 + 4_200]
    assert found.cents == 75_230
    assert [cost.escort for cost in escorts(TABLE, replace(LOAD, length_in=1081), 90).costs] == ["front", "rear"]


def test_a_row_without_a_size_never_calls() -> None:
    row = EscortRow("front", per_hour_usd=Decimal(70))
    assert not row.comes_by_size
    assert escorts([row], LOAD, 90).costs == ()


def test_an_escort_without_a_price_is_named() -> None:
    row = EscortRow("police", over_width_in=120, row=9)
    found = escorts([*TABLE, row], LOAD, 90)
    assert found.unpriced == (row,)
    assert (found.cents, found.costs) == (0, ())


SIZES = st.integers(90, 240)


@given(SIZES, SIZES, st.integers(600, 1400), st.integers(0, 600), st.integers(0, 60), st.integers(0, 100))
def test_a_bigger_load_or_a_longer_way_never_costs_less(
    width: int, height: int, length: int, minutes: int, more: int, more_min: int
) -> None:
    now = replace(LOAD, width_in=width, height_in=height, length_in=length)
    then = replace(now, width_in=width + more, height_in=height + more, tenths=now.tenths + more)
    assert escorts(TABLE, then, minutes + more_min).cents >= escorts(TABLE, now, minutes).cents


@pytest.mark.parametrize("vehicles", [1, 3])
def test_vehicles_cost_the_same_each(vehicles: int) -> None:
    row = replace(TABLE[0], vehicles=vehicles)
    assert escorts([row], LOAD, 300).cents == vehicles * 35_000
