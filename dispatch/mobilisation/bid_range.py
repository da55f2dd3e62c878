"""How far the price of a bid may lie from the stated one: hours, miles of estimated roads, weights.

A trip's hours move with one tolerance, the miles of every trip that drives an estimated road with another, and
the fee of a permit with the weight of what it carries. Measured roads, escorts, standby and an outside haulier's
prices are taken as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from dispatch.items import WeightBasis
from dispatch.mobilisation.bid_price import PricedBid, rules_of
from dispatch.mobilisation.job_price import BidTrip, Haulier
from dispatch.mobilisation.trip_facts import TripFacts
from dispatch.mobilisation.trip_price import OwnPrice, permit_cents, trip_work
from dispatch.money.amounts import round_cents
from dispatch.money.mark_ups import price_cents
from dispatch.money.price_range import PricePart, PriceRange, Spread, Swing, price_range, swings
from dispatch.money.trip_cost import trip_cost
from dispatch.units import TENTHS_PER_MI

HOURS, MILES, WEIGHT = "Hours of the own rigs", "Miles of estimated roads", "Weights"
STEPS_PCT = Decimal("0.5")
"""Where a part jumps, or stops at a minimum, it is worked out at every so many per cent."""


@dataclass(frozen=True, slots=True)
class BidRange:
    """Low, likely and high price, what each tolerance does by itself, and the tolerances."""

    span: PriceRange
    swings: tuple[Swing, ...]
    spreads: tuple[Spread, ...]


def bid_range(priced: PricedBid, seed: int) -> BidRange:
    """The range of the price of everything that has a price."""
    rules = rules_of(priced.terms)

    def price_of(direct_cents: int) -> int:
        return price_cents(direct_cents, rules)

    parts = tuple(price_parts(priced))
    spreads = tuple({part.spread.name: part.spread for part in parts if part.spread is not None}.values())
    span = price_range(parts, price_of, seed, priced.terms.rules.draws)
    return BidRange(span, swings(parts, price_of), spreads)


def price_parts(priced: PricedBid) -> Iterator[PricePart]:
    """The direct cost of the bid in parts; they add up to it."""
    standby = sum(line.amounts.standby_cents for line in priced.price.lines)
    yield PricePart("standby", standby)
    for trip in priced.trips:
        name = f"trip {trip.number}"
        if trip.haulier is Haulier.OUTSIDE:
            yield PricePart(f"{name}, outside", trip.cents)
        elif trip.haulier is Haulier.OWN and trip.own is not None and trip.facts is not None:
            yield from _own_parts(priced, name, trip, trip.facts, trip.own)


def _own_parts(
    priced: PricedBid, name: str, trip: BidTrip, facts: TripFacts, own: OwnPrice
) -> Iterator[PricePart]:
    rules = priced.terms.rules
    hours = Spread(HOURS, _pct(rules.time_under_pct), _pct(rules.time_over_pct))
    miles_cents = round_cents(own.rates.mile_cents * facts.tenths / TENTHS_PER_MI)
    rest = own.cost.cents - miles_cents

    def with_hours(factor: Fraction) -> int:
        return _cost_cents(priced, facts, own, factor) - miles_cents

    yield PricePart(f"{name}, hours", rest, hours, _steps(hours, with_hours, rest))
    by_miles = Spread(MILES, _pct(rules.distance_under_pct), _pct(rules.distance_over_pct))
    yield PricePart(f"{name}, miles", miles_cents, by_miles if facts.estimated else None)
    yield PricePart(f"{name}, escorts", own.escort_cents)
    if own.permit_cents:
        weight = _weight_spread(priced, trip)

        def with_weight(factor: Fraction) -> int:
            carried = sum(one.weight_lb for one in facts.carried)
            heavier = replace(facts, gross_lb=facts.gross_lb + carried * (float(factor) - 1))
            return permit_cents(heavier, priced.terms)

        yield PricePart(f"{name}, permit", own.permit_cents, weight, _steps(weight, with_weight, own.permit_cents))


def _cost_cents(priced: PricedBid, facts: TripFacts, own: OwnPrice, factor: Fraction) -> int:
    """The trip's cost, minimum included, when all its hours are so many times the planned ones."""
    work = trip_work(facts, priced.terms)
    longer = replace(
        work,
        road_min=round(work.road_min * factor),
        site_min=round(work.site_min * factor),
        overtime_min=round(work.overtime_min * factor),
    )
    return trip_cost(priced.terms.rates, own.rates, longer).cents


def _steps(
    spread: Spread, cents_at: Callable[[Fraction], int], stated_cents: int
) -> tuple[tuple[Decimal, int], ...]:
    """What a part costs from each factor on, ascending; exactly the stated cents at the stated figure."""
    grid = [Decimal(0), 1 - spread.under_pct / 100]
    percent = -spread.under_pct + STEPS_PCT
    while percent <= spread.over_pct:
        grid.append(1 + percent / 100)
        percent += STEPS_PCT
    grid = sorted({*grid, Decimal(1)})
    found: list[tuple[Decimal, int]] = []
    for factor in grid:
        at = max(factor, 1 - spread.under_pct / 100)
        cents = stated_cents if factor == 1 else cents_at(Fraction(at))
        if not found or found[-1][1] != cents:
            found.append((factor, cents))
    return tuple(found)


def _weight_spread(priced: PricedBid, trip: BidTrip) -> Spread:
    """The tolerance of the weight of what the trip carries: the widest of its machines'."""
    bases = {machine.line.item.weight.basis for machine in priced.machines if machine.name in trip.machines}
    basis = max(bases, key=lambda one: _width(priced, one))
    tolerance = priced.fleet.settings.tolerances[basis]
    return Spread(f"{WEIGHT}: {basis.value}", _pct(tolerance.under_pct), _pct(tolerance.over_pct))


def _width(priced: PricedBid, basis: WeightBasis) -> float:
    tolerance = priced.fleet.settings.tolerances[basis]
    return tolerance.over_pct + tolerance.under_pct


def _pct(percent: float) -> Decimal:
    return Decimal(f"{percent:.10g}")
