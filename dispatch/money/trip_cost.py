"""What a trip of the own rigs costs: hours, miles, waiting, and the least that a trip is charged. Cents."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from dispatch.money.amounts import exact, exact_cents, percent_of, round_cents
from dispatch.money.rate_table import Rate
from dispatch.money.rates import RateBook
from dispatch.units import MIN_PER_H, TENTHS_PER_MI


@dataclass(frozen=True, slots=True)
class HaulCosts:
    """What an hour and a mile of a rig cost, cents, unrounded, and where each comes from."""

    hour_cents: Fraction
    mile_cents: Fraction
    hour_basis: str
    mile_basis: str


def haul_costs(book: RateBook, rig_hour_usd: float, rig_mile_usd: float) -> HaulCosts:
    """Costs of an hour and a mile: the book's where it has them, else the rig's own.

    Hour = hourly cost + wage x (1 + burden). Mile = mileage cost + fuel price / fuel use. Worked: 60 USD/h for
    the rig, wage 30 USD/h with 20 % burden: 96 USD/h; 1.10 USD/mi, fuel 4.00 USD/gal at 5 mi/gal: 1.90 USD/mi.
    Raises KeyError for a wage without an hourly cost or fuel without a mileage cost (see ``missing_rates``).
    """
    hour, hour_basis = _base(book, Rate.HOURLY, rig_hour_usd, "cost per hour")
    if book.has(Rate.WAGE):
        wage, burden = exact_cents(book.need(Rate.WAGE)), book.need(Rate.WAGE_BURDEN)
        hour = exact_cents(book.need(Rate.HOURLY)) + wage + percent_of(wage, burden)
        hour_basis += f" + wage {book.need(Rate.WAGE)} USD/h with {burden} % burden"
    mile, mile_basis = _base(book, Rate.MILEAGE, rig_mile_usd, "cost per mile")
    if book.has(Rate.FUEL_PRICE):
        price, use = book.need(Rate.FUEL_PRICE), book.need(Rate.FUEL_USE)
        mile = exact_cents(book.need(Rate.MILEAGE)) + exact_cents(price) / Fraction(use)
        mile_basis += f" + fuel {price} USD/gal at {use} mi/gal"
    return HaulCosts(hour, mile, hour_basis, mile_basis)


def _base(book: RateBook, rate: Rate, rig_usd: float, name: str) -> tuple[Fraction, str]:
    if book.has(rate):
        return exact_cents(book.need(rate)), f"{rate} {book.need(rate)} of the sheet Rates"
    return 100 * exact(rig_usd), f"the rig's own {name}"


@dataclass(frozen=True, slots=True)
class TripWork:
    """What a trip takes: minutes on the road, loaded and empty; minutes loading and unloading; tenths of miles.

    Its share of the ways from and to the yard is in it. ``overtime_min``: minutes of it past the overtime limit,
    paid at ``overtime_factor``. ``waits_min``: minutes waited, one figure a stop; the free time holds for each.
    """

    road_min: int
    site_min: int
    tenths: int
    overtime_min: int = 0
    overtime_factor: float = 1.0
    waits_min: tuple[int, ...] = ()
    per_trip_usd: float = 0.0


@dataclass(frozen=True, slots=True)
class TripCost:
    """A trip's cost in whole cents: the haul (with what the minimum adds), loading and unloading."""

    haul_cents: int
    load_cents: int
    minimum_added_cents: int

    @property
    def cents(self) -> int:
        """The whole."""
        return self.haul_cents + self.load_cents


def trip_cost(book: RateBook, costs: HaulCosts, work: TripWork) -> TripCost:
    """What a trip costs, each part rounded once, half up, to the cent; topped up to the minimum per trip.

    Haul: minutes on the road, the extra for overtime, miles, cost per trip and waiting. Load: minutes at the
    sites. What the minimum adds is part of the haul.
    """
    extra = work.overtime_min * (exact(work.overtime_factor) - 1)
    haul = round_cents(
        costs.hour_cents * (work.road_min + extra) / MIN_PER_H
        + costs.mile_cents * work.tenths / TENTHS_PER_MI
        + 100 * exact(work.per_trip_usd)
        + sum((waiting_cents(book, wait) for wait in work.waits_min), Fraction(0))
    )
    load = round_cents(costs.hour_cents * work.site_min / MIN_PER_H)
    least = round_cents(exact_cents(book.need(Rate.MINIMUM_PER_TRIP)))
    added = max(0, least - haul - load)
    return TripCost(haul + added, load, added)


def waiting_cents(book: RateBook, minutes: int) -> Fraction:
    """What waiting at one stop costs, cents, unrounded: past the free minutes, by every started step.

    Worked (a hire schedule of the United Kingdom: 30 min free, then hourly): 31 to 90 min are one hour. Raises
    KeyError where waiting is charged and the book has no such rate.
    """
    over = Fraction(minutes) - Fraction(book.need(Rate.WAITING_FREE))
    if over <= 0:
        return Fraction(0)
    step = Fraction(book.need(Rate.WAITING_STEP))
    return exact_cents(book.need(Rate.WAITING)) * -(-over // step) * step / MIN_PER_H


def standby_cents(book: RateBook, days: Decimal) -> int:
    """What a machine's standby days cost, whole cents. Raises KeyError without a standby rate, unless no days."""
    return round_cents(exact_cents(book.need(Rate.STANDBY)) * Fraction(days)) if days else 0
