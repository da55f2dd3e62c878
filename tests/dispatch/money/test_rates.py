"""Rates by name: units, defaults, what is missing, what is old."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from dispatch.money.rate_table import RATE_TABLE, Rate
from dispatch.money.rates import (
    Needs,
    RateRow,
    missing_rates,
    rate_assumptions,
    rate_book,
    rate_fault,
    stale_rates,
)

REQUIRED = (RateRow(Rate.OVERHEAD, Decimal(12), "books", date(2026, 9, 1), 4), RateRow(Rate.PROFIT, Decimal(0)))


def test_table_names_every_rate_once_in_plain_words() -> None:
    assert list(RATE_TABLE) == list(Rate)
    assert all(spec.unit and spec.meaning.endswith(".") for spec in RATE_TABLE.values())
    assert [spec.rate for spec in RATE_TABLE.values() if spec.required] == [Rate.OVERHEAD, Rate.PROFIT]


def test_other_units_by_exact_factors() -> None:
    """A mile is 1.609344 km, a US gallon 3.785411784 L, exactly (NIST SP 811, appendix B.8)."""
    assert RATE_TABLE[Rate.MILEAGE].in_own_unit(Decimal(1), "USD/km") == Decimal("1.609344")
    assert RATE_TABLE[Rate.FUEL_PRICE].in_own_unit(Decimal(2), "USD/L") == Decimal("7.570823568")
    assert RATE_TABLE[Rate.WAITING_FREE].in_own_unit(Decimal("0.5"), "h") == 30
    assert RATE_TABLE[Rate.PROFIT].in_own_unit(Decimal(5), "") == 5
    with pytest.raises(KeyError):
        RATE_TABLE[Rate.PROFIT].in_own_unit(Decimal(5), "USD")


def test_a_row_comes_before_the_default() -> None:
    book = rate_book([*REQUIRED, RateRow(Rate.WAITING_FREE, Decimal(15))])
    assert book.value(Rate.WAITING_FREE) == 15
    assert book.value(Rate.WAITING_STEP) == 60
    assert book.value(Rate.STANDBY) is None
    with pytest.raises(KeyError, match="Standby"):
        book.need(Rate.STANDBY)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (RateRow(Rate.PROFIT, Decimal(-1)), "not negative"),
        (RateRow(Rate.PROFIT, Decimal("NaN")), "not negative"),
        (RateRow(Rate.HOURLY, Decimal("1000000.01")), "at most 1,000,000"),
        (RateRow(Rate.FUEL_USE, Decimal(0)), "must be more"),
        (RateRow(Rate.WAITING_STEP, Decimal(0)), "must be more"),
    ],
)
def test_values_that_cannot_be(row: RateRow, said: str) -> None:
    assert said in rate_fault(row)
    with pytest.raises(ValueError, match=said):
        rate_book([row])


def test_a_rate_stands_once() -> None:
    assert rate_fault(REQUIRED[0]) == ""
    with pytest.raises(ValueError, match="Profit stands twice, in rows 0 and 9"):
        rate_book([*REQUIRED, RateRow(Rate.PROFIT, Decimal(5), row=9)])


def test_what_every_bid_needs() -> None:
    assert [missing.rate for missing in missing_rates(rate_book([]), Needs())] == [Rate.OVERHEAD, Rate.PROFIT]
    assert missing_rates(rate_book(REQUIRED), Needs()) == ()


@pytest.mark.parametrize(
    ("given", "needs", "missing"),
    [
        ([Rate.WAGE], Needs(), [Rate.HOURLY]),
        ([Rate.WAGE_BURDEN], Needs(), [Rate.HOURLY, Rate.WAGE]),
        ([Rate.FUEL_PRICE], Needs(), [Rate.MILEAGE, Rate.FUEL_USE]),
        ([Rate.FUEL_USE, Rate.MILEAGE], Needs(), [Rate.FUEL_PRICE]),
        ([], Needs(standby=True, waiting=True), [Rate.WAITING, Rate.STANDBY]),
    ],
)
def test_what_rates_need_of_each_other(given: list[Rate], needs: Needs, missing: list[Rate]) -> None:
    book = rate_book([*REQUIRED, *(RateRow(rate, Decimal(1)) for rate in given)])
    assert [found.rate for found in missing_rates(book, needs)] == missing


def test_old_rates_and_rates_without_a_date() -> None:
    book = rate_book(REQUIRED)
    stale = stale_rates(book, date(2026, 11, 25), 85)
    assert [(found.row.rate, found.age_days) for found in stale] == [(Rate.PROFIT, None)]
    stale = stale_rates(book, date(2026, 11, 26), 85)
    assert [(found.row.rate, found.age_days) for found in stale] == [(Rate.OVERHEAD, 86), (Rate.PROFIT, None)]


def test_assumptions_hold_every_rate_with_its_source() -> None:
    found = {assumption.rate: assumption for assumption in rate_assumptions(rate_book(REQUIRED))}
    assert (found[Rate.OVERHEAD].source, found[Rate.OVERHEAD].row) == ("books", 4)
    assert found[Rate.PROFIT].source == "no source"
    assert found[Rate.WAITING_FREE].source == "default, no row on the sheet Rates"
    assert Rate.STANDBY not in found
