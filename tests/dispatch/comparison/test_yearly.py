"""A year's money, worked by hand; the published illustration of the break-even."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from dispatch.comparison.history import Purchase, Variant
from dispatch.comparison.outcomes import DayOutcome, Goal, OutsideHaul, OwnCost
from dispatch.comparison.yearly import Yearly, ownership_of, yearly
from dispatch.money.outside_haul import NoOutsidePrice, OutsidePrice

BASE = Variant("today")
HAUL = OutsideHaul(("1",), 9_000, 100, OutsidePrice(65_000, 2, "650 USD a trip"))


def outcome(name: str, hauls: int = 0, hours: int = 0, miles: int = 0, other: int = 0, **more: Any) -> DayOutcome:
    """A day with so many outside hauls of 650 USD and so many own cents."""
    values = {
        "day": name,
        "variant": "",
        "left_out": Goal(hauls, hauls),
        "trips": Goal(1, 1),
        "cost": Goal(0, 0),
        "moves_left_out": (),
        "moves": 3,
        "outside": (HAUL,) * hauls,
        "loaded_tenths": 0,
        "empty_tenths": 0,
        "paid_min": 0,
        "overtime_min": 0,
        "own": OwnCost(hours + miles + other, hours, miles, other, 0),
        "use": (),
    }
    return DayOutcome(**(values | more))


def year(variant: Variant, theirs: list[DayOutcome], ours: list[DayOutcome]) -> Yearly:
    return yearly(variant, BASE, ours, theirs, seed=1)


def test_the_illustration_of_the_break_even_comes_out() -> None:
    """14,500 a year; a trip outside 650, an own one 280: 39.2 trips, so 40. Common practice, no source."""
    found = year(
        Variant("more", ownership_usd=Decimal(14_500), days_per_year=Decimal(100)),
        [outcome("1", hauls=1), outcome("2", hauls=0)],
        [outcome("1", hours=28_000), outcome("2")],
    )
    assert (found.hauls_avoided, found.trip_saving_cents, found.break_even_trips) == (1, 37_000, 40)
    assert found.saving_cents == 37_000 * 100 // 2
    assert found.net_cents == 1_850_000 - 1_450_000
    assert found.break_even_days == 79  # 14,500 / 185 = 78.4
    assert found.pays


def test_ownership_comes_from_the_price_or_is_given() -> None:
    """95,000 over 10 years to 20 %, 6 %, 2,400 fixed: 7,600 + 3,648 + 2,400 = 13,648 (worked in ``ownership``)."""
    bought = Purchase(Decimal(95_000), Decimal(10), Decimal(20), Decimal(6))
    assert ownership_of(Variant("a", purchase=bought, fixed_usd=Decimal(2_400)))[0] == 1_364_800
    assert ownership_of(Variant("a", ownership_usd=Decimal(9_000), purchase=bought))[0] == 900_000
    given = Variant("a", ownership_usd=Decimal(9_000), purchase=bought, fixed_usd=Decimal(2_400))
    assert ownership_of(given)[0] == 900_000, "insurance is in it already"
    assert ownership_of(Variant("a", fixed_usd=Decimal(500)))[0] == 50_000


def test_payback_is_the_price_by_the_saving_less_what_a_year_costs_anyway() -> None:
    bought = Purchase(Decimal(90_000), Decimal(10))
    more = Variant("more", purchase=bought, fixed_usd=Decimal(2_000), days_per_year=Decimal(100))
    found = year(more, [outcome("1", hauls=1)], [outcome("1", hours=45_000)])
    assert found.saving_cents == 2_000_000
    assert found.payback_years == Fraction(90_000, 18_000)
    assert year(Variant("more"), [outcome("1")], [outcome("1")]).payback_years is None


def test_the_base_may_cost_too() -> None:
    base = Variant("today", ownership_usd=Decimal(5_000))
    found = yearly(Variant("less", ownership_usd=Decimal(0)), base, [outcome("1")], [outcome("1")], seed=1)
    assert (found.ownership_cents, found.net_cents) == (-500_000, 500_000)
    assert found.break_even_trips is None


def test_the_tornado_moves_one_figure_at_a_time() -> None:
    """Outside 650 saved, 200 of hours and 80 of miles more: 370 a day, 100 days: 37,000 less 14,500."""
    found = year(
        Variant("more", ownership_usd=Decimal(14_500), days_per_year=Decimal(100)),
        [outcome("1", hauls=1)],
        [outcome("1", hours=20_000, miles=8_000)],
    )
    usd = {one.figure: (one.low_cents // 100, one.high_cents // 100) for one in found.tornado}
    assert usd == {
        "outside price": (22_500 - 13_000, 22_500 + 13_000),
        "days a year": (22_500 - 7_400, 22_500 + 7_400),
        "cost per hour": (22_500 + 4_000, 22_500 - 4_000),
        "cost per mile": (22_500 + 1_600, 22_500 - 1_600),
        "ownership a year": (22_500 + 2_900, 22_500 - 2_900),
    }
    assert [one.figure for one in found.tornado][:2] == ["outside price", "days a year"]


def test_confidence_is_seeded_and_as_wide_as_the_days_differ() -> None:
    more = Variant("more", ownership_usd=Decimal(0), days_per_year=Decimal(100))
    alike = year(more, [outcome(str(n), hauls=1) for n in range(10)], [outcome(str(n)) for n in range(10)])
    assert (alike.confidence.low_cents, alike.confidence.high_cents) == (6_500_000, 6_500_000)
    assert alike.confidence.share_positive == 1
    days = [outcome(str(n), hauls=n % 2) for n in range(10)]
    mixed = year(more, days, [outcome(str(n)) for n in range(10)])
    again = year(more, days, [outcome(str(n)) for n in range(10)])
    assert mixed.confidence == again.confidence
    assert mixed.confidence.low_cents < mixed.saving_cents < mixed.confidence.high_cents
    assert mixed.confidence != yearly(more, BASE, [outcome(str(n)) for n in range(10)], days, seed=2).confidence


def test_hauls_without_a_price_are_told_and_never_nought_in_silence() -> None:
    lost = OutsideHaul(("1",), 9_000, 100, NoOutsidePrice("the sheet Outside haul has no rows"))
    found = year(Variant("more"), [outcome("1", outside=(lost,))], [outcome("1")])
    assert not found.priced
    assert year(Variant("more"), [outcome("1", hauls=1)], [outcome("1")]).priced


@pytest.mark.parametrize("cents", [0, 12_345])
def test_a_fleet_that_changes_nothing_loses_what_it_costs(cents: int) -> None:
    more = Variant("more", ownership_usd=Decimal(cents) / 100)
    found = year(more, [outcome("1", hours=700)], [outcome("1", hours=700)])
    assert (found.net_cents, found.trip_saving_cents, found.break_even_days) == (-cents, None, None)
