"""Money and miles of a rig's day: paid hours with overtime, miles, cost per trip, permits. Cents."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import lcm

from dispatch.fleet import Rig
from dispatch.money.amounts import exact as exact
from dispatch.money.amounts import round_cents as round_cents
from dispatch.moves import Haul
from dispatch.plan import Plan, RigDay
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.units import MIN_PER_H, TENTHS_PER_MI


def hours_cents(rig: Rig, paid_min: int) -> Fraction:
    """What the paid minutes of a rig's day cost, cents, unrounded; past the overtime limit at the factor.

    Worked: 600 min at 90 USD/h, overtime after 480 min at 1.5: 480 + 120 x 1.5 = 660 min, 990 USD.
    """
    over = 0 if rig.overtime_after_min is None else max(0, paid_min - rig.overtime_after_min)
    weighted = paid_min - over + over * exact(rig.overtime_factor)
    return 100 * exact(rig.cost_per_hour_usd) * weighted / MIN_PER_H


def miles_cents(rig: Rig, tenths: int) -> Fraction:
    """What the road costs, cents, unrounded; ``tenths`` of a mile, loaded and empty together."""
    return 100 * exact(rig.cost_per_mile_usd) * tenths / TENTHS_PER_MI


def permits_cents(hauls: Iterable[Haul]) -> Fraction:
    """What the permits of the hauled moves cost, cents, unrounded."""
    permits = [haul.permit for haul in hauls]
    return 100 * sum((exact(permit.cost_usd) for permit in permits if permit is not None), Fraction(0))


def day_cents(rig: Rig, paid_min: int, tenths: int, trips: int, permit_cents: Fraction) -> int:
    """Cost of a rig's day in whole cents, rounded once, half up."""
    over = 0 if rig.overtime_after_min is None else max(0, paid_min - rig.overtime_after_min)
    rates = (rig.cost_per_hour_usd, rig.overtime_factor, rig.cost_per_mile_usd, rig.cost_per_trip_usd)
    minute, more, tenth, trip, scale = _whole_rates(*rates)
    scaled = minute * paid_min + more * over + tenth * tenths + trip * trips
    return round_cents(Fraction(scaled, scale) + permit_cents) if permit_cents else _half_up(scaled, scale)


@lru_cache(maxsize=256)
def _whole_rates(
    hour_usd: float, factor: float, mile_usd: float, trip_usd: float
) -> tuple[int, int, int, int, int]:
    """Cents a minute, of overtime besides, a tenth of a mile and a trip, as whole numbers over the last."""
    minute = 100 * exact(hour_usd) / MIN_PER_H
    rates = (minute, minute * (exact(factor) - 1), 100 * exact(mile_usd) / TENTHS_PER_MI, 100 * exact(trip_usd))
    scale = lcm(*(rate.denominator for rate in rates))
    one, two, three, four = (rate.numerator * (scale // rate.denominator) for rate in rates)
    return one, two, three, four, scale


def _half_up(number: int, scale: int) -> int:
    return (2 * number + scale) // (2 * scale)


def paid_minutes(day: RigDay) -> int:
    """Paid minutes of a rig's day: each outing from leaving to returning."""
    return sum(outing.return_min - outing.leave_min for outing in day.outings)


def loaded_tenths(travel: Travel, day: RigDay) -> int:
    """Tenths of a mile with something on deck."""
    return sum(
        travel.tenths(stop.site, following.site)
        for outing in day.outings
        for trip in outing.trips
        for stop, following in pairwise(trip.stops)
    )


def empty_tenths(travel: Travel, rig: Rig, day: RigDay) -> int:
    """Tenths of a mile with an empty deck, ways home included; the last outing ends at the rig's End."""
    total = 0
    for outing in day.outings:
        place = rig.yard
        for trip in outing.trips:
            total += travel.tenths(place, trip.stops[0].site)
            place = trip.stops[-1].site
        total += travel.tenths(place, rig.end if outing is day.outings[-1] else rig.yard)
    return total


def rig_day_cents(problem: Problem, travel: Travel, day: RigDay) -> int:
    """Cost of a planned rig's day in whole cents, computed from the plan alone."""
    rig = problem.rig(day.rig)
    trips = [trip for outing in day.outings for trip in outing.trips]
    permits = permits_cents(problem.hauls[haul] for trip in trips for haul in trip.hauls())
    tenths = loaded_tenths(travel, day) + empty_tenths(travel, rig, day)
    return day_cents(rig, paid_minutes(day), tenths, len(trips), permits)


def plan_cents(problem: Problem, travel: Travel, plan: Plan) -> int:
    """Cost of the whole plan: the sum of its rigs' days, each rounded to the cent."""
    return sum(rig_day_cents(problem, travel, day) for day in plan.rig_days)
