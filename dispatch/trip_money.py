"""Miles, paid time and money of a plan as its outputs show them: per trip and for the day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from dispatch import costs
from dispatch.fleet import Rig
from dispatch.plan import Outing, Plan
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.units import MIN_PER_H


@dataclass(frozen=True, slots=True)
class TripMoney:
    """One trip: tenths of a mile loaded, and empty from the yard or the previous trip's end; its cost, cents."""

    loaded_tenths: int
    empty_before_tenths: int
    cost_cents: int


@dataclass(frozen=True, slots=True)
class DayTotals:
    """The whole day, ways home included: tenths of miles, paid minutes, cents."""

    loaded_tenths: int
    empty_tenths: int
    paid_min: int
    cost_cents: int


def day_totals(problem: Problem, travel: Travel, plan: Plan) -> DayTotals:
    """Miles, paid time and cost of the whole plan."""
    return DayTotals(
        loaded_tenths=sum(costs.loaded_tenths(travel, day) for day in plan.rig_days),
        empty_tenths=sum(costs.empty_tenths(travel, problem.rig(day.rig), day) for day in plan.rig_days),
        paid_min=sum(costs.paid_minutes(day) for day in plan.rig_days),
        cost_cents=costs.plan_cents(problem, travel, plan),
    )


def trip_money(problem: Problem, travel: Travel, plan: Plan) -> tuple[TripMoney, ...]:
    """One record a trip, in the order of ``Plan.trips``.

    A trip costs its hours (from the end of the trip before it, or from leaving the yard, to its own end), its
    miles, the cost per trip and its permits. The way home and overtime belong to no trip: they are in the
    day's total only.
    """
    return tuple(
        money
        for day in plan.rig_days
        for outing in day.outings
        for money in _outing_money(problem, travel, problem.rig(day.rig), outing)
    )


def _outing_money(problem: Problem, travel: Travel, rig: Rig, outing: Outing) -> Iterator[TripMoney]:
    at, clock = rig.yard, outing.leave_min
    for trip in outing.trips:
        loaded = sum(travel.tenths(a.site, b.site) for a, b in pairwise(trip.stops))
        empty = travel.tenths(at, trip.stops[0].site)
        minutes = Fraction(trip.end_min - clock, MIN_PER_H)
        cents = (
            100 * costs.exact(rig.cost_per_hour_usd) * minutes
            + costs.miles_cents(rig, loaded + empty)
            + 100 * costs.exact(rig.cost_per_trip_usd)
            + costs.permits_cents(problem.hauls[haul] for haul in trip.hauls())
        )
        yield TripMoney(loaded, empty, costs.round_cents(cents))
        at, clock = trip.stops[-1].site, trip.end_min
