"""Everything that the search needs of a day, worked out once: units, groups, candidate trips, pricers."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import islice

from dispatch.construct import Offer
from dispatch.fleet import Rig
from dispatch.master import Shape
from dispatch.placement import Placer
from dispatch.prices import Prices
from dispatch.pricing import Pricer
from dispatch.problem import Problem
from dispatch.rig_days import Day, DayRules, Sketch
from dispatch.rig_groups import Grouping, RigGroup, group_rigs, trip_class
from dispatch.rig_trips import RigTrips
from dispatch.second_process import SecondProcess, may_have_one
from dispatch.site_table import far_from_mi, site_table
from dispatch.timing import NEVER_MIN
from dispatch.travel import Travel
from dispatch.trip_arrays import group_arrays, trip_arrays
from dispatch.trip_listing import Listed, list_sets
from dispatch.trip_orders import Hours
from dispatch.trip_stock import TripStock
from dispatch.trips import Candidate, OrderBook, TripBudget, Unit, riders, units_of

ListedAhead = SecondProcess[Listed]
MOST_OFFERED = 2_000
"""Trips of a stock that the first plan may be made of, unless every set has but one."""


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
    """The candidate trips by group and rig of the group; rigs with the same trips share one."""

    by_group: tuple[tuple[RigTrips, ...], ...]

    @property
    def by_rig(self) -> list[RigTrips]:
        """The trips of every class of rigs once."""
        return list({id(trips): trips for by_rig in self.by_group for trips in by_rig}.values())

    @property
    def stocks(self) -> list[TripStock]:
        """Every stock once."""
        return list({id(trips.stock): trips.stock for trips in self.by_rig}.values())

    @property
    def complete(self) -> bool:
        """Whether no trip is missing."""
        return all(stock.complete for stock in self.stocks)

    def offers(self) -> list[Offer]:
        """Every trip with the rig that could make it; of many trips, the best of each set of units."""
        return [
            Offer(group, rig, trip, trips)
            for group, by_rig in enumerate(self.by_group)
            for rig, trips in enumerate(by_rig)
            for trip in trips.offered(MOST_OFFERED)
        ]

    def masks(self) -> list[int]:
        """The sets of units that some rig may carry on one trip, as far as is known."""
        return sorted({mask for trips in self.by_rig for mask in trips.masks()})

    def rides(self, mask: int) -> bool:
        """Whether some rig may legally carry exactly these units on one trip."""
        return any(trips.rides(mask) for trips in self.by_rig)


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


def find_trips(day: PlanningDay, budget: TripBudget, ahead: ListedAhead | None = None) -> DayTrips:
    """The candidate trips of every group; rigs that may carry the same in the same way share the work.

    ``ahead``: a second process that lists them without a stop already. Then it is all trips or none: once those of
    some rigs are too many to list, here or there, the others are left alone.
    """
    problem, table = day.problem, day.rules.table
    kinds = _rigs_by_kind(day)

    lists: list[Listed] = []

    def in_vain() -> bool:
        return budget.stop() or any(not one.complete for one in (*lists, *(ahead.so_far if ahead else ())))

    def listed_here(rigs: Sequence[Rig]) -> Listed:
        lists.append(_listed(day, rigs, budget if ahead is None else replace(budget, stop=in_vain)))
        return lists[-1]

    own = [partial(listed_here, rigs) for rigs in kinds.values()]
    listed = [job() for job in own] if ahead is None else ahead.answers(own, in_vain)
    stocks: dict[str, TripStock] = {}
    for rigs, found in zip(kinds.values(), listed, strict=True):
        stock = TripStock(OrderBook(problem, table, *rigs), day.placer, rigs[0], found)
        stocks |= {rig.name: stock for rig in rigs}
    views: dict[Hashable, RigTrips] = {}
    for rig in problem.rigs:
        view = RigTrips(stocks[rig.name], Hours.of(table, rig))
        views.setdefault(trip_class(problem, day.placer, rig), view)
    return DayTrips(
        tuple(tuple(views[trip_class(problem, day.placer, rig)] for rig in group.rigs) for group in day.groups)
    )


@contextmanager
def listed_ahead(day: PlanningDay) -> Iterator[ListedAhead | None]:
    """All trips of the day, listed and worked out by a second process from now on; ``None``: there is none."""
    too_many = threading.Event()
    jobs = [partial(_worked_out, day, rigs, too_many) for rigs in _rigs_by_kind(day).values()]
    try:
        process = SecondProcess(jobs) if may_have_one() else None
    except OSError:
        process = None
    try:
        yield process
    finally:
        if process is not None:
            process.close()


def _worked_out(day: PlanningDay, rigs: Sequence[Rig], too_many: threading.Event) -> Listed:
    """The sets that rigs of one kind may carry, and their trips; none where there are ``too_many``."""
    found = _listed(day, rigs, TripBudget(stop=too_many.is_set))
    if not found.complete:
        too_many.set()
        return replace(found, sets=())
    book = OrderBook(day.problem, day.rules.table, *rigs)
    return replace(found, rows=TripStock(book, day.placer, rigs[0], found).worked_out())


def _listed(day: PlanningDay, rigs: Sequence[Rig], budget: TripBudget) -> Listed:
    """The sets that rigs of one kind may carry."""
    book = OrderBook(day.problem, day.rules.table, *rigs)
    return list_sets(book, day.placer, rigs[0], day.shape.units, budget)


def _rigs_by_kind(day: PlanningDay) -> dict[Hashable, list[Rig]]:
    kinds: dict[Hashable, list[Rig]] = {}
    for rig in day.problem.rigs:
        kinds.setdefault(_load_kind(day, rig), []).append(rig)
    return kinds


def _load_kind(day: PlanningDay, rig: Rig) -> Hashable:
    """Equal for rigs that may carry the same units in the same way; permits' hours look at the yard as well."""
    permits = any(haul.permit is not None for haul in day.problem.hauls)
    may = riders(day.problem, rig, day.shape.units)
    return day.placer.load_class(rig), may, rig.yard if permits else None


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
            self._made[group] = version, self._new(group)
        return self._made[group][1]

    def _new(self, number: int) -> Pricer:
        group, units = self._day.groups[number], len(self._day.shape.units)
        by_rig = [stock.rows() for stock in self._trips.by_group[number]]
        return Pricer(group_arrays(self._day.rules, group, trip_arrays(group, by_rig, units, self._day.after)))

    def judge_together(self, columns: Iterable[Day]) -> None:
        """Asks the legality of all trips of days at once, so that ``judged`` knows them."""
        asked: dict[RigTrips, list[Candidate]] = {}
        for column in columns:
            stocks = self._trips.by_group[column.group]
            for rig, trip in _trips_of(column):
                asked.setdefault(stocks[rig], []).append(trip)
        for stock, trips in asked.items():
            stock.judge_many(trips)

    def judge_first(self, group: int, trips: Iterable[Candidate], most: int) -> None:
        """Asks the legality of the first so many trips of which it is not known; the group has one rig."""
        new = islice((trip for trip in trips if trip.load is None), most)
        self._trips.by_group[group][0].judge_many(new)

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


class PromisingShelf(PricerShelf):
    """A shelf's pricers with the trips alone that days below a reduced cost, at given prices, could hold."""

    def __init__(self, shelf: PricerShelf, prices: Sequence[Prices], cutoff: float) -> None:
        super().__init__(shelf._day, shelf._trips)
        self._shelf, self._prices, self._cutoff = shelf, prices, cutoff
        self._narrowed: dict[int, tuple[Pricer, Pricer]] = {}

    def pricer(self, group: int) -> Pricer:
        """The group's pricer with the trips as they are now."""
        whole = self._shelf.pricer(group)
        if group not in self._narrowed or self._narrowed[group][0] is not whole:
            self._narrowed[group] = whole, whole.promising(self._prices[group], self._cutoff)
        return self._narrowed[group][1]


def _trips_of(column: Day) -> list[tuple[int, Candidate]]:
    """The trips of a day, each with its rig within the group."""
    if isinstance(column, Sketch):
        return [(step.rig, step.trip) for step in column.steps]
    return [(run.rig, trip) for run in column.runs for trip in run.trips]


def urgency(day: PlanningDay) -> Callable[[int], int]:
    """A sort key for sets of units: earliest Deliver by, then the highest priority."""
    units = day.shape.units
    due = []
    for unit in units:
        times = [day.problem.hauls[haul].due_min for haul in unit.hauls]
        due.append(min((time for time in times if time is not None), default=24 * 60))

    @cache
    def key(mask: int) -> int:
        return min(time for unit, time in enumerate(due) if mask >> unit & 1)

    return key
