"""Ownership, standby and break-even: a published worksheet, and figures worked by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.amounts import exact_cents, percent_of, round_cents, round_to_step, whole_cents
from dispatch.money.ownership import (
    Plant,
    average_value_factor,
    break_even,
    depreciation_per_hour,
    money_per_hour,
    payback_years,
    standby_per_hour,
    whole_trips,
    yearly_ownership,
)

PLANT = Plant(Decimal("1181907.00"), Decimal(20), Decimal("0.944"), Decimal("10560.00"), 20_000, 1_540)
"""EP 1110-1-8, volume 8, 31 July 2003, figure 2-1, page 2 of 6 (page 2-14): seen."""


def test_corps_worksheet_depreciation() -> None:
    """46.78 USD/h; life 20,000 / 1,540 = 12.99 years; tyre index 2,373 / 2,515 = 0.944. Page 2-14, seen."""
    assert round_cents(depreciation_per_hour(PLANT)) == 4_678
    assert round(float(PLANT.life_years), 2) == 12.99
    assert round(Fraction(2373, 2515), 3) == Fraction("0.944")


def test_corps_worksheet_value() -> None:
    """From list price to value, rounded to the dollar at each line. Page 2-14, seen."""
    price = whole_cents(Decimal(1_197_389))
    discount = round_to_step(percent_of(price, Decimal("7.5")), 100)
    tax = round_to_step(percent_of(price - discount, Decimal("5.80")), 100)
    freight = round_to_step(1913 * exact_cents(Decimal("5.27")), 100)
    assert (discount, price - discount) == (8_980_400, 110_758_500)
    assert (tax, freight) == (6_424_000, 1_008_200)
    assert price - discount + tax + freight == whole_cents(PLANT.value_usd)


def test_standby_is_half_depreciation_and_the_cost_of_money() -> None:
    """46.777 / 2 = 23.389; value x 0.6308 x 5 % / 1,540 = 24.206. The factor is from memory, the rest derived."""
    factor = average_value_factor(PLANT.life_years, PLANT.salvage_pct)
    assert round(float(factor), 4) == 0.6308
    assert round_cents(money_per_hour(PLANT, Decimal(5))) == 2_421
    assert round_cents(standby_per_hour(PLANT, Decimal(5))) == 4_759
    assert standby_per_hour(PLANT, Decimal(0)) == depreciation_per_hour(PLANT) / 2


@given(st.integers(1, 30), st.integers(0, 100))
def test_average_value_is_the_mean_of_the_years_first_values(years: int, salvage: int) -> None:
    """The factor is from memory; this is what it stands for: the mean of values that fall evenly to salvage."""
    fall = (1 - Fraction(salvage, 100)) / years
    mean = sum((1 - year * fall for year in range(years)), Fraction(0)) / years
    assert average_value_factor(Decimal(years), Decimal(salvage)) == mean


def test_a_year_of_ownership() -> None:
    """95,000 over 10 years to 20 %: 7,600; x 0.64 x 6 %: 3,648; fixed 2,400. By hand."""
    year = yearly_ownership(Decimal(95_000), Decimal(10), Decimal(20), Decimal(6), Decimal(2_400))
    assert (year.depreciation_cents, year.interest_cents, year.fixed_cents) == (760_000, 364_800, 240_000)
    assert year.cents == 1_364_800


def test_a_life_of_nought_is_refused_and_a_short_one_is_worth_its_price() -> None:
    assert average_value_factor(Decimal("0.5"), Decimal(0)) == 1
    with pytest.raises(ValueError, match="more than 0 years"):
        yearly_ownership(Decimal(1), Decimal(0), Decimal(0), Decimal(0), Decimal(0))


def test_break_even() -> None:
    """14,500 / (650 - 280) = 39.2, so 40 trips: an illustration of common practice, arithmetic derived."""
    trips = break_even(1_450_000, 65_000, 28_000)
    assert trips is not None
    assert round(float(trips), 1) == 39.2
    assert whole_trips(trips) == 40
    assert whole_trips(Fraction(40)) == 40
    assert break_even(1, 28_000, 28_000) is None


def test_payback() -> None:
    assert payback_years(9_500_000, 2_000_000) == Fraction("4.75")
    assert payback_years(1, 0) is None
    assert payback_years(1, -5) is None
