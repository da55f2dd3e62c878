"""What owning a machine costs a year or an hour, what standing by costs, and when owning pays. Cents."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from dispatch.money.amounts import exact_cents, round_cents


@dataclass(frozen=True, slots=True)
class Ownership:
    """What owning costs a year, whole cents, by its parts; the sum is of the rounded parts."""

    depreciation_cents: int
    interest_cents: int
    fixed_cents: int

    @property
    def cents(self) -> int:
        """The whole year."""
        return self.depreciation_cents + self.interest_cents + self.fixed_cents


def yearly_ownership(
    price_usd: Decimal, life_years: Decimal, salvage_pct: Decimal, interest_pct: Decimal, fixed_usd: Decimal
) -> Ownership:
    """Ownership of a year: depreciation, cost of money, and licence, insurance and tax as one fixed sum.

    Depreciation = price x (1 - salvage) / life; cost of money = price x average-value factor x interest. Raises
    ValueError for a life of nought. Worked: 95,000 over 10 years to 20 %, 6 % interest, 2,400 fixed: 7,600 +
    95,000 x 0.64 x 0.06 = 3,648, + 2,400 = 13,648.
    """
    price, life, salvage = exact_cents(price_usd), Fraction(life_years), _share(salvage_pct)
    factor = average_value_factor(life_years, salvage_pct)
    return Ownership(
        round_cents(price * (1 - salvage) / life),
        round_cents(price * factor * _share(interest_pct)),
        round_cents(exact_cents(fixed_usd)),
    )


def average_value_factor(life_years: Decimal | Fraction, salvage_pct: Decimal) -> Fraction:
    """The mean of a machine's values at the start of each year of its life, as a share of its price.

    [(N - 1)(1 + salvage) + 2] / 2N, from memory of EP 1110-1-8; it is that mean when the value falls evenly to
    the salvage value. At most 1. Raises ValueError for a life of nought.
    """
    life = Fraction(life_years)
    if life <= 0:
        raise ValueError(f"a life is more than 0 years, not {life_years}")
    return min(Fraction(1), ((life - 1) * (1 + _share(salvage_pct)) + 2) / (2 * life))


@dataclass(frozen=True, slots=True)
class Plant:
    """A machine as the rate book of the US Army Corps of Engineers sees it (EP 1110-1-8, 2003).

    ``tyre_index``: the price index of tyres of the year of manufacture over that of the year of use; tyres are
    worn as an operating cost and so taken out of depreciation.
    """

    value_usd: Decimal
    salvage_pct: Decimal
    tyre_index: Decimal
    tyre_usd: Decimal
    life_h: int
    hours_per_year: int

    @property
    def life_years(self) -> Fraction:
        """Life in years of work."""
        return Fraction(self.life_h, self.hours_per_year)


def depreciation_per_hour(plant: Plant) -> Fraction:
    """Cents an hour, unrounded: [value x (1 - salvage) - tyre index x tyre cost] / life hours. EP 1110-1-8."""
    tyres = Fraction(plant.tyre_index) * exact_cents(plant.tyre_usd)
    return (exact_cents(plant.value_usd) * (1 - _share(plant.salvage_pct)) - tyres) / plant.life_h


def money_per_hour(plant: Plant, interest_pct: Decimal) -> Fraction:
    """Cost of money, cents an hour, unrounded: value x average-value factor x interest / hours a year.

    The average-value factor is from memory; see there.
    """
    factor = average_value_factor(plant.life_years, plant.salvage_pct)
    return exact_cents(plant.value_usd) * factor * _share(interest_pct) / plant.hours_per_year


def standby_per_hour(plant: Plant, interest_pct: Decimal) -> Fraction:
    """Standing by, cents an hour, unrounded: half of depreciation, and the cost of money. EP 1110-1-8."""
    return depreciation_per_hour(plant) / 2 + money_per_hour(plant, interest_pct)


def break_even(ownership_cents: int, outside_cents: int, own_cents: int) -> Fraction | None:
    """Trips a year from which owning pays, unrounded; ``None`` where a trip outside costs no more than an own one.

    Yearly ownership / (outside price - own variable cost), of one trip. Common practice, no source.
    """
    saved = outside_cents - own_cents
    return Fraction(ownership_cents, saved) if saved > 0 else None


def whole_trips(trips: Fraction) -> int:
    """The first whole number of trips that is enough: 39.2 -> 40."""
    return -(-trips.numerator // trips.denominator)


def payback_years(price_cents: int, saved_per_year_cents: int) -> Fraction | None:
    """Years until the price has come back; ``None``: never.

    ``saved_per_year_cents``: what it saves a year, less licence, insurance and tax, but before depreciation and
    cost of money: the price is what these stand for. Common practice, no source.
    """
    return Fraction(price_cents, saved_per_year_cents) if saved_per_year_cents > 0 else None


def _share(percent: Decimal) -> Fraction:
    return Fraction(percent) / 100
