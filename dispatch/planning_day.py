"""Everything that the search needs of a day, worked out once: units, groups, candidate trips, pricers."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

from dispatch.construct import Offer
from dispatch.master import Shape
from dispatch.placement import Placer
from dispatch.pricing import Pricer
from dispatch.problem import Problem
from dispatch.rig_days import DayRules
from dispatch.rig_groups import Grouping, RigGroup, group_rigs, trip_class
from dispatch.site_table import far_from_mi, site_table
from dispatch.travel import Travel
from dispatch.trip_arrays import group_arrays, trip_arrays
from dispatch.trips import Candidate, Candidates, TripBudget, TripFinder, Unit, units_of


@dataclass(frozen=True, slots=True, eq=False)
class PlanningDay:
    """A day ready to be planned. ``after[u]``: mask of units that must come later than unit u."""

    problem: Problem
    travel: Travel
    placer: Placer
    rules: DayRules
    shape: Shape
    grouping: Grouping
    scale: int
    after: tuple[int, ...]

    @property
    def groups(self) -> tuple[RigGroup, ...]:
        """The rigs in groups."""
        return self.grouping.groups

    @property
    def clock_is_shared(self) -> bool:
        """Whether days of different groups bind each other's times."""
        return bool(self.grouping.crossing or self.shape.pairs)


@dataclass(frozen=True, slots=True, eq=False)
class DayTrips:
    """Candidate trips by group and rig of the group. ``complete``: all of them are there."""

    by_group: tuple[tuple[tuple[Candidate, ...], ...], ...]
    complete: bool

    def offers(self) -> list[Offer]:
        """Every trip with the rig that could make it."""
        return [
            Offer(group, rig, trip)
            for group, by_rig in enumerate(self.by_group)
            for rig, trips in enumerate(by_rig)
            for trip in trips
        ]

    def masks(self) -> list[int]:
        """The sets of units that some rig may carry on one trip."""
        return sorted({offer.trip.units for offer in self.offers()})


def prepare(problem: Problem, placer: Placer) -> PlanningDay:
    """The day with everything but its trips."""
    travel = Travel(problem.sites, problem.roads, problem.settings)
    table = site_table(problem, travel)
    units = units_of(problem)
    grouping = group_rigs(problem, placer)
    scale = math.lcm(*(unit.priority.denominator for unit in units)) if units else 1
    weights = tuple(int(unit.priority * scale) for unit in units)
    pairs = unit_pairs(problem, units)
    return PlanningDay(
        problem=problem,
        travel=travel,
        placer=placer,
        rules=DayRules(table, problem.settings.hook_min),
        shape=Shape(units, weights, grouping.groups, pairs),
        grouping=grouping,
        scale=scale,
        after=_after(len(units), pairs),
    )


def unit_pairs(problem: Problem, units: Sequence[Unit]) -> tuple[tuple[int, int], ...]:
    """(first, second): units of which one machine is moved twice."""
    unit_of = {haul: unit.number for unit in units for haul in unit.hauls}
    pairs = {
        (unit_of[first], unit_of[second])
        for first, second in problem.successors
        if first in unit_of and second in unit_of and unit_of[first] != unit_of[second]
    }
    return tuple(sorted(pairs))


def _after(units: int, pairs: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    after = [0] * units
    for _ in range(units):
        for first, second in pairs:
            after[first] |= 1 << second | after[second]
    return tuple(after)


def groups_with_breaks(day: PlanningDay) -> frozenset[int]:
    """Groups whose driver could drive long enough, far enough from the yard, to owe a break."""
    return frozenset(group.number for group in day.groups if _may_owe_break(day, group))


def _may_owe_break(day: PlanningDay, group: RigGroup) -> bool:
    problem = day.problem
    for rig, driver in zip(group.rigs, group.driver, strict=True):
        hours = group.hours[driver]
        if hours.break_after_min is None:
            return False
        limit = rig.shift_end_min - rig.shift_start_min
        limit = limit if hours.driving_min is None else min(limit, hours.driving_min)
        places = {haul.origin for haul in problem.hauls} | {haul.destination for haul in problem.hauls}
        far = any(
            hours.short_haul_mi is None
            or far_from_mi(problem, day.travel, rig.yard, place) > hours.short_haul_mi
            for place in places | {rig.end}
        )
        if limit > hours.break_after_min and far:
            return True
    return False


def find_trips(day: PlanningDay, budget: TripBudget, *, alone: bool = False) -> DayTrips:
    """The candidate trips of every group; rigs with the same trips share the work."""
    known: dict[Hashable, Candidates] = {}
    by_group = []
    for group in day.groups:
        by_rig = []
        for rig in group.rigs:
            key = trip_class(day.problem, day.placer, rig)
            if key not in known:
                finder = TripFinder(day.problem, day.rules.table, day.placer, rig)
                known[key] = finder.find(day.shape.units, budget, alone=alone)
            by_rig.append(known[key].trips)
        by_group.append(tuple(by_rig))
    return DayTrips(tuple(by_group), all(found.complete for found in known.values()))


def pricers(day: PlanningDay, trips: DayTrips) -> tuple[Pricer, ...]:
    """One pricer a group."""
    units = len(day.shape.units)
    return tuple(
        Pricer(
            group_arrays(
                day.rules,
                group,
                trip_arrays(day.rules, group, trips.by_group[group.number], units, day.after),
            )
        )
        for group in day.groups
    )


def urgency(day: PlanningDay) -> Callable[[int], int]:
    """A sort key for sets of units: earliest Deliver by, then the highest priority."""
    units = day.shape.units
    due = []
    for unit in units:
        times = [day.problem.hauls[haul].due_min for haul in unit.hauls]
        due.append(min((time for time in times if time is not None), default=24 * 60))

    def key(mask: int) -> int:
        return min(due[unit] for unit in range(len(units)) if mask >> unit & 1)

    return key
