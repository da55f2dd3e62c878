"""Hours, miles, waiting and minimum of a trip: published worksheets and hand-worked figures."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.rate_table import Rate
from dispatch.money.rates import RateBook, RateRow, rate_book
from dispatch.money.trip_cost import HaulCosts, TripWork, haul_costs, standby_cents, trip_cost, waiting_cents


def book(**rates: str) -> RateBook:
    return rate_book(RateRow(Rate[name.upper()], Decimal(value)) for name, value in rates.items())


def test_colorado_worksheet() -> None:
    """Colorado Department of Transportation, worksheet for moving equipment in: 30 mi at 35 mph, 2.5 h a trip,
    two trips, 89.06 USD/h, 445.30 USD. The digits were recovered by arithmetic from a poor copy.

    The road alone, 30 mi and back at 35 mph, is 103 min of the 150.
    """
    costs = haul_costs(book(hourly="89.06", mileage="0"), 0, 0)
    road = -(-2 * 30 * 60 // 35)
    assert road == 103
    one = trip_cost(book(), costs, TripWork(road_min=road, site_min=150 - road, tenths=600))
    assert 2 * one.cents == 44_530


def test_hour_and_mile_from_their_lines() -> None:
    """60 + 30 x 1.2 = 96 USD/h; 1.10 + 4.00/5 = 1.90 USD/mi."""
    rates = book(hourly="60", wage="30", wage_burden="20", mileage="1.10", fuel_price="4.00", fuel_use="5")
    costs = haul_costs(rates, 111, 9)
    assert (costs.hour_cents, costs.mile_cents) == (9600, 190)
    assert "wage 30 USD/h with 20 % burden" in costs.hour_basis
    assert "fuel 4.00 USD/gal at 5 mi/gal" in costs.mile_basis


def test_rigs_own_costs_where_the_sheet_has_none() -> None:
    assert haul_costs(book(), 0.1, 2.25) == HaulCosts(
        Fraction(10), Fraction(225), "the rig's own cost per hour", "the rig's own cost per mile"
    )


@pytest.mark.parametrize("rates", [{"wage": "30"}, {"fuel_price": "4", "fuel_use": "5"}])
def test_wage_or_fuel_are_not_added_to_what_may_hold_them_already(rates: dict[str, str]) -> None:
    with pytest.raises(KeyError):
        haul_costs(book(**rates), 90, 2)


COSTS = HaulCosts(Fraction(9000), Fraction(225), "", "")


def test_parts_of_a_trip() -> None:
    """60 min and 12.3 mi: 90 + 27.675 = 117.68; 35 min of overtime at 1.5: 26.25 more; 25 a trip; 35 min load."""
    work = TripWork(60, 35, 123, overtime_min=35, overtime_factor=1.5, per_trip_usd=25.0)
    cost = trip_cost(book(), COSTS, work)
    assert cost.haul_cents == 9000 + 2768 + 2625 + 2500
    assert (cost.load_cents, cost.minimum_added_cents) == (5250, 0)


def test_minimum_tops_up_the_haul() -> None:
    cost = trip_cost(book(minimum_per_trip="250"), COSTS, TripWork(60, 30, 100))
    assert (cost.cents, cost.haul_cents, cost.load_cents, cost.minimum_added_cents) == (
        25_000,
        20_500,
        4_500,
        9_250,
    )


@pytest.mark.parametrize(
    ("minutes", "step", "charged_min"),
    [(30, "60", 0), (31, "60", 60), (90, "60", 60), (91, "60", 120), (31, "1", 1), (75, "15", 45), (76, "15", 60)],
)
def test_waiting_past_the_free_time(minutes: int, step: str, charged_min: int) -> None:
    """A hire schedule of the United Kingdom: 30 min free, then by the hour. Other steps: by hand."""
    rates = book(waiting="80", waiting_step=step)
    assert waiting_cents(rates, minutes) == Fraction(8000 * charged_min, 60)


def test_free_time_holds_for_every_stop() -> None:
    rates = book(waiting="80")
    assert trip_cost(rates, COSTS, TripWork(0, 0, 0, waits_min=(30, 30))).cents == 0
    assert trip_cost(rates, COSTS, TripWork(0, 0, 0, waits_min=(60, 0))).cents == 8000
    with pytest.raises(KeyError, match="Waiting"):
        trip_cost(book(), COSTS, TripWork(0, 0, 0, waits_min=(31,)))


def test_standby_days() -> None:
    assert standby_cents(book(standby="412.50"), Decimal("2.5")) == 103_125
    assert standby_cents(book(), Decimal(0)) == 0
    with pytest.raises(KeyError):
        standby_cents(book(), Decimal(1))


WORK = st.builds(
    TripWork,
    road_min=st.integers(0, 900),
    site_min=st.integers(0, 300),
    tenths=st.integers(0, 5000),
    overtime_min=st.integers(0, 300),
    overtime_factor=st.sampled_from([1.0, 1.5, 2.0]),
    waits_min=st.tuples(st.integers(0, 200)),
)


@given(WORK, st.integers(0, 60), st.integers(0, 60), st.integers(0, 300), st.integers(0, 90))
def test_more_work_never_costs_less(work: TripWork, road: int, site: int, tenths: int, wait: int) -> None:
    rates = book(waiting="80", minimum_per_trip="300")
    more = TripWork(
        work.road_min + road,
        work.site_min + site,
        work.tenths + tenths,
        work.overtime_min,
        work.overtime_factor,
        (work.waits_min[0] + wait,),
    )
    assert trip_cost(rates, COSTS, more).cents >= trip_cost(rates, COSTS, work).cents >= 30_000
