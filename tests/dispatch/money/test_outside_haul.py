"""The outside haulier's table: which row prices a trip, and why none does."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.outside_haul import (
    NoOutsidePrice,
    OutsidePrice,
    OutsideRow,
    outside_price,
    price_text,
    row_text,
)

TABLE = (
    OutsideRow(2, up_to_weight_lb=20_000, up_to_tenths=500, per_trip_usd=Decimal(350)),
    OutsideRow(3, up_to_weight_lb=48_000, per_mile_usd=Decimal("6.25"), minimum_usd=Decimal(450)),
    OutsideRow(4, up_to_weight_lb=48_000, up_to_tenths=1000, per_trip_usd=Decimal(300), per_mile_usd=Decimal(2)),
)
"""Invented prices."""

MONEY = st.none() | st.decimals(0, 2000, places=2)
ROWS = st.builds(
    OutsideRow,
    row=st.integers(2, 40),
    up_to_weight_lb=st.none() | st.integers(1_000, 90_000),
    up_to_tenths=st.none() | st.integers(10, 3000),
    per_trip_usd=MONEY,
    per_mile_usd=MONEY,
    minimum_usd=MONEY,
)


@pytest.mark.parametrize(
    ("weight_lb", "tenths", "row", "cents"),
    [
        (18_000, 400, 2, 35_000),  # 350 a trip against 450 at least and 300 + 80
        (18_000, 501, 4, 40_020),  # past 50 mi: 300 + 50.1 x 2 against the minimum of 450
        (18_000, 200, 4, 34_000),  # 300 + 40
        (48_000, 1001, 3, 62_563),  # 100.1 x 6.25 = 625.625, halves up
        (48_000, 100, 4, 32_000),
    ],
)
def test_the_cheapest_row_that_holds_prices_the_trip(weight_lb: int, tenths: int, row: int, cents: int) -> None:
    price = outside_price(TABLE, weight_lb, tenths)
    assert isinstance(price, OutsidePrice)
    assert (price.row, price.cents) == (row, cents)


def test_the_minimum_is_charged_where_the_miles_give_less() -> None:
    price = outside_price(TABLE[1:2], 10_000, 400)
    assert price == OutsidePrice(45_000, 3, "40.0 mi x 6.25 USD/mi, at least 450.00 USD")
    assert (
        price_text(price) == "450.00 USD (sheet Outside haul, row 3: 40.0 mi x 6.25 USD/mi, at least 450.00 USD)"
    )


@pytest.mark.parametrize(
    ("table", "weight_lb", "tenths", "said"),
    [
        ((), 1, 1, "has no rows"),
        ((OutsideRow(2),), 1, 1, "names a price"),
        (TABLE, 48_001, 1, "weighs 48,001 lb; the sheet Outside haul goes up to 48,000 lb"),
        (TABLE[:1], 20_000, 501, "50.1 mi with 20,000 lb; .* go up to 50.0 mi"),
    ],
)
def test_no_row_says_why(table: tuple[OutsideRow, ...], weight_lb: int, tenths: int, said: str) -> None:
    price = outside_price(table, weight_lb, tenths)
    assert isinstance(price, NoOutsidePrice)
    assert re.search(said, price_text(price))


@pytest.mark.parametrize(
    ("row", "text"),
    [
        (OutsideRow(2, per_trip_usd=Decimal("270.0"), per_mile_usd=Decimal(4)), "270.00 USD a trip + 4.00 USD/mi"),
        (OutsideRow(2, per_mile_usd=Decimal(4), minimum_usd=Decimal(410)), "4.00 USD/mi, at least 410.00 USD"),
        (OutsideRow(2, minimum_usd=Decimal(410)), "at least 410.00 USD"),
    ],
)
def test_what_a_row_asks_in_words(row: OutsideRow, text: str) -> None:
    assert row_text(row) == text


def test_equal_prices_take_the_earlier_row() -> None:
    same = [OutsideRow(row, per_trip_usd=Decimal(500)) for row in (5, 6)]
    price = outside_price(same, 1, 1)
    assert isinstance(price, OutsidePrice)
    assert price.row == 5


def test_a_price_of_nought_must_be_typed() -> None:
    """A row whose price is 0 is the user's word; a row without a price is none."""
    assert outside_price([OutsideRow(2, per_trip_usd=Decimal(0))], 1, 1) == OutsidePrice(0, 2, "0.00 USD a trip")


@given(
    st.lists(ROWS, max_size=6),
    st.integers(0, 95_000),
    st.integers(0, 3100),
    st.integers(0, 9000),
    st.integers(0, 500),
)
def test_a_pound_or_a_mile_more_never_costs_less(
    table: list[OutsideRow], weight_lb: int, tenths: int, more_lb: int, more_tenths: int
) -> None:
    now = outside_price(table, weight_lb, tenths)
    then = outside_price(table, weight_lb + more_lb, tenths + more_tenths)
    if isinstance(now, NoOutsidePrice):
        assert isinstance(then, NoOutsidePrice)
    elif isinstance(then, OutsidePrice):
        assert then.cents >= now.cents
