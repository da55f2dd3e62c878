"""The verifier's count of what a plan claims: priorities left out, trips, cost, bounds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from dispatch.fleet import Rig
from dispatch.plan import Level, Outcome, Plan, RigDay
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.units import MIN_PER_H, TENTHS_PER_MI
from dispatch.verify_findings import Violation, known

SLACK_PRIORITY = 1e-6


def level_violations(problem: Problem, plan: Plan) -> list[Violation]:
    """Claimed values against the plan's own; bounds no worse than values; proved only where they are equal."""
    found: list[Violation] = []
    for level in plan.levels:
        found += _value(problem, plan, level)
        found += _bound(level)
    if plan.outcome is Outcome.PROVED and not all(level.proved for level in plan.levels):
        open_levels = ", ".join(level.name for level in plan.levels if not level.proved)
        found.append(Violation("outcome", "plan", open_levels, "every level proved", "the plan says proved"))
    return found


def _value(problem: Problem, plan: Plan, level: Level) -> Iterator[Violation]:
    where = f"level {level.name}"
    if level.name == "left out":
        true, slack = left_out_priority(problem, plan), SLACK_PRIORITY
    elif level.name == "trips":
        true, slack = float(sum(1 for _ in plan.trips())), 0.0
    elif level.name == "cost":
        true, slack = float(cost_cents(problem, plan)), 0.0
    else:
        yield Violation("unknown level", where, level.name, "left out, trips, cost", "no such goal")
        return
    if abs(level.value - true) > slack + 1e-9:
        yield Violation(f"{level.name} misclaimed", where, level.value, true, "recomputed from the plan")


def _bound(level: Level) -> Iterator[Violation]:
    where = f"level {level.name}"
    if not level.bound <= level.value + SLACK_PRIORITY:
        yield Violation("bound above value", where, level.bound, level.value, "no plan can beat its bound")
    if level.proved and not abs(level.bound - level.value) <= SLACK_PRIORITY:
        yield Violation("proved without bound", where, level.bound, level.value, "proved only when they are equal")


def left_out_priority(problem: Problem, plan: Plan) -> float:
    """Sum of the priorities of the moves that the plan lists as left out."""
    left_out = set(plan.left_out)
    return sum(move.priority for move in problem.moves if move.name in left_out)


def cost_cents(problem: Problem, plan: Plan) -> int:
    """Cost of the plan in cents: every rig's paid hours, miles, trips and permits, rounded once a rig, half up."""
    travel = Travel(problem.sites, problem.roads, problem.settings)
    rigs = {rig.name: rig for rig in problem.rigs}
    days = [day for day in plan.rig_days if day.rig in rigs]
    exact = [_rig_day_cents(problem, travel, rigs[day.rig], day) for day in days]
    return sum(math.floor(cents + Fraction(1, 2)) for cents in exact)


def _rig_day_cents(problem: Problem, travel: Travel, rig: Rig, day: RigDay) -> Fraction:
    paid_min = sum(outing.return_min - outing.leave_min for outing in day.outings)
    over_min = 0 if rig.overtime_after_min is None else max(0, paid_min - rig.overtime_after_min)
    weighted_min = paid_min - over_min + over_min * _exact(rig.overtime_factor)
    hours = _exact(rig.cost_per_hour_usd) * weighted_min / MIN_PER_H
    miles = _exact(rig.cost_per_mile_usd) * _tenths(travel, rig, day) / TENTHS_PER_MI
    trips = [trip for outing in day.outings for trip in outing.trips]
    permits = Fraction(0)
    for trip in trips:
        for placed in trip.placements:
            permit = problem.hauls[placed.haul].permit if known(problem, placed.haul) else None
            permits += _exact(permit.cost_usd) if permit else 0
    return 100 * (hours + miles + _exact(rig.cost_per_trip_usd) * len(trips) + permits)


def _exact(amount: float) -> Fraction:
    """The decimal figure that a user typed, without binary noise."""
    return Fraction(str(amount))


def _tenths(travel: Travel, rig: Rig, day: RigDay) -> int:
    """Road driven by the rig, empty running and the ways home included, tenths of a mile."""
    tenths = 0
    for outing in day.outings:
        home = rig.end if outing is day.outings[-1] else rig.yard
        sites = [rig.yard, *(stop.site for trip in outing.trips for stop in trip.stops), home]
        tenths += sum(travel.tenths(a, b) for a, b in pairwise(sites))
    return tenths
