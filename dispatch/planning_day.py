"""Everything that the search needs of a day, worked out once: units, groups, candidate trips, pricers."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace

from dispatch.construct import Offer
from dispatch.master import Shape
from dispatch.placement import Placer
from dispatch.pricing import Pricer
from dispatch.problem import Problem
from dispatch.rig_days import Day, DayRules, Sketch
from dispatch.rig_groups import Grouping, RigGroup, group_rigs, trip_class
from dispatch.site_table import far_from_mi, site_table
from dispatch.timing import NEVER_MIN
from dispatch.travel import Travel
from dispatch.trip_arrays import group_arrays, trip_arrays
from dispatch.trip_stock import TripStock
from dispatch.trips import Candidate, OrderBook, TripBudget, Unit, units_of


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
    """The stocks of candidate trips by group and rig of the group; rigs with the same trips share one."""

    by_group: tuple[tuple[TripStock, ...], ...]

    @property
    def stocks(self) -> list[TripStock]:
        """Every stock once."""
        return list({id(stock): stock for by_rig in self.by_group for stock in by_rig}.values())

    @property
    def complete(self) -> bool:
        """Whether no trip is missing."""
        return all(stock.complete for stock in self.stocks)

    def offers(self) -> list[Offer]:
        """Every trip with the rig that could make it."""
        return [
            Offer(group, rig, trip, stock)
            for group, by_rig in enumerate(self.by_group)
            for rig, stock in enumerate(by_rig)
            for trip in stock.trips()
        ]

    def masks(self) -> list[int]:
        """The sets of units that some rig may carry on one trip, as far as is known."""
        return sorted({mask for stock in self.stocks for mask in stock.masks()})

    def rides(self, mask: int) -> bool:
        """Whether some rig may legally carry exactly these units on one trip."""
        return any(stock.rides(mask) for stock in self.stocks)


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


def groups_with_breaks(day: PlanningDay) -> dict[int, frozenset[str]]:
    """Groups whose driver could drive long and far enough to owe a break, each with the sites near its yard."""
    found = {}
    for group in day.groups:
        near = frozenset.intersection(*(_near(day, group, place) for place in range(len(group.rigs))))
        if _drives_long(group) and not set(day.rules.table.names) <= near:
            found[group.number] = near
    return found


def _drives_long(group: RigGroup) -> bool:
    """Whether shifts and driving limit leave room for more driving than needs no break."""
    for own, hours in enumerate(group.hours):
        shifts = [
            rig.shift_end_min - rig.shift_start_min
            for rig, driver in zip(group.rigs, group.driver, strict=True)
            if driver == own
        ]
        most = min(sum(shifts), NEVER_MIN if hours.driving_min is None else hours.driving_min)
        if hours.break_after_min is not None and most > hours.break_after_min:
            return True
    return False


def _near(day: PlanningDay, group: RigGroup, place: int) -> frozenset[str]:
    """The sites within the short-haul radius of a rig's yard."""
    radius_mi = group.hours[group.driver[place]].short_haul_mi
    yard = group.rigs[place].yard
    return frozenset(
        site
        for site in day.rules.table.names
        if radius_mi is not None and far_from_mi(day.problem, day.travel, yard, site) <= radius_mi + 1e-9
    )


def find_trips(day: PlanningDay, budget: TripBudget) -> DayTrips:
    """The candidate trips of every group; rigs with the same trips, or the same hours, share the work."""
    books: dict[Hashable, OrderBook] = {}
    stocks: dict[Hashable, TripStock] = {}
    by_group = []
    for group in day.groups:
        by_rig = []
        for rig in group.rigs:
            hours = rig.yard, rig.end, rig.shift_start_min, rig.shift_end_min
            if hours not in books:
                books[hours] = OrderBook(day.problem, day.rules.table, rig)
            key = trip_class(day.problem, day.placer, rig)
            if key not in stocks:
                stocks[key] = TripStock(books[hours], day.placer, rig, day.shape.units, budget)
            by_rig.append(stocks[key])
        by_group.append(tuple(by_rig))
    return DayTrips(tuple(by_group))


class PricerShelf:
    """The pricers of the groups, made anew when a stock of trips has changed."""

    def __init__(self, day: PlanningDay, trips: DayTrips) -> None:
        self._day, self._trips = day, trips
        self._made: dict[int, tuple[tuple[int, ...], Pricer]] = {}

    def pricer(self, group: int) -> Pricer:
        """The group's pricer with the trips as they are now."""
        stocks = self._trips.by_group[group]
        version = tuple(stock.version for stock in stocks)
        if group not in self._made or self._made[group][0] != version:
            self._made[group] = version, self.pricer_of(group, lambda _: True)
        return self._made[group][1]

    def pricer_of(self, group: int, wanted: Callable[[Candidate], bool]) -> Pricer:
        """A pricer with the wanted trips only."""
        rules, units, rigs = self._day.rules, len(self._day.shape.units), self._day.groups[group]
        by_rig = [[trip for trip in stock.trips() if wanted(trip)] for stock in self._trips.by_group[group]]
        trips = trip_arrays(rules, rigs, by_rig, units, self._day.after)
        return Pricer(group_arrays(rules, rigs, trips))

    def judged(self, column: Day) -> Day | None:
        """The day with a legal load for every trip; ``None`` when one has none, or other hours than assumed."""
        if isinstance(column, Sketch):
            return self._judged_sketch(column)
        runs = []
        for run in column.runs:
            stock = self._trips.by_group[column.group][run.rig]
            trips = [stock.judge(trip) for trip in run.trips]
            good = [new for new, old in zip(trips, run.trips, strict=True) if new and new.block == old.block]
            if len(good) < len(trips):
                return None
            runs.append(replace(run, trips=tuple(good)))
        return replace(column, runs=tuple(runs))

    def _judged_sketch(self, day: Sketch) -> Sketch | None:
        if all(step.trip.load is not None for step in day.steps):
            return day
        stocks, steps = self._trips.by_group[day.group], []
        for step in day.steps:
            trip = stocks[step.rig].judge(step.trip)
            if trip is None or trip.block != step.trip.block:
                return None
            steps.append(step if trip is step.trip else replace(step, trip=trip))
        return replace(day, steps=tuple(steps))


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
