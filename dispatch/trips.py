"""Candidate trips: which items may ride together, in which order, and how long that takes.

Sets of units (groups that ride together) are grown one unit at a time. A set is given up only for what can never
recover: deck length and weight that no position mends, windows with the fastest travel, most items a trip. A
subset of a legal load may be illegal (axle balance is not monotone), so legality prunes no set, only candidates.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from dispatch.costs import permits_cents
from dispatch.fleet import Rig
from dispatch.items import LoadsBy
from dispatch.legality import rig_length_in
from dispatch.moves import Status
from dispatch.placement import DeckState, Load, Placer
from dispatch.plan import Task
from dispatch.problem import Problem
from dispatch.rig_groups import allowed
from dispatch.site_table import SiteTable
from dispatch.timing import Block, join, latest, no_worse, soonest, window
from dispatch.trip_orders import (
    Clock,
    OrderSearch,
    load_request,
    site_of,
    task_block,
    visits,
)
from dispatch.units import SLACK_IN

NO_CENTS = Fraction(0)


@dataclass(frozen=True, slots=True)
class Unit:
    """Hauls that ride on one trip, and what leaving them out costs: the sum of their moves' priorities."""

    number: int
    hauls: tuple[int, ...]
    priority: Fraction

    @property
    def bit(self) -> int:
        """The unit's place in a set of units kept as a bit mask."""
        return 1 << self.number


@dataclass(frozen=True, slots=True)
class Candidate:
    """A timely trip of one class of rigs. ``units`` is a bit mask; ``tenths`` of a mile are loaded ones.

    ``block``: from the start of work at ``first`` to the end of work at ``last``. ``load``: a legal placement,
    ``None`` while legality has not been asked.
    """

    units: int
    tasks: tuple[Task, ...]
    first: str
    last: str
    block: Block
    drive_min: int
    tenths: int
    permit_cents: Fraction
    places: tuple[str, ...]
    load: Load | None = None

    @property
    def count(self) -> int:
        """How many units ride."""
        return self.units.bit_count()

    @property
    def permit_legs(self) -> tuple[bool, ...]:
        """Which legs keep to a permit's hours; none is known before legality has been asked."""
        return () if self.load is None else self.load.permit_legs


@dataclass(frozen=True, slots=True)
class TripBudget:
    """What enumeration may spend, in counts; ``stop`` is the outer stop by clock or by hand.

    ``together``: units on one trip, at most.
    """

    sets: int = 60_000
    together: int = 1_000
    stop: Callable[[], bool] = lambda: False


def units_of(problem: Problem) -> tuple[Unit, ...]:
    """What there is to plan: the groups that ride together, without what is already done."""
    done = {move.name for move in problem.moves if move.status is Status.DONE}
    units: list[Unit] = []
    for group in problem.together:
        hauls = tuple(haul for haul in group if problem.hauls[haul].move not in done)
        own = [problem.moves[haul] for haul in hauls if haul < len(problem.moves)]
        if own:
            priority = sum((Fraction(str(move.priority)) for move in own), Fraction(0))
            units.append(Unit(len(units), hauls, priority))
    return tuple(units)


def may_ride(problem: Problem, rig: Rig, unit: Unit) -> bool:
    """Whether Only rigs, Not rigs and the lifts on site let the rig carry the unit at all."""
    moves = {move.name: move for move in problem.moves}
    followed = set(problem.successors)
    if any((first, second) in followed for first in unit.hauls for second in unit.hauls):
        return False
    for number in unit.hauls:
        haul = problem.hauls[number]
        if not allowed(problem, rig, moves[haul.move]):
            return False
        places = (haul.origin, haul.destination)
        if haul.how is LoadsBy.LIFTED and not all(problem.sites[place].lift_on_site for place in places):
            return False
        if not all(fits_site(problem, rig, place) for place in (*places, rig.yard, rig.end)):
            return False
    return True


def fits_site(problem: Problem, rig: Rig, place: str) -> bool:
    """Whether the empty rig is short enough for the site."""
    longest = problem.sites[place].longest_rig_in
    return longest is None or rig_length_in(rig) <= longest + SLACK_IN


class OrderBook:
    """The orders that the clock allows, for all rigs of one yard, end and shift; each set is worked out once."""

    def __init__(self, problem: Problem, table: SiteTable, rig: Rig) -> None:
        self.problem = problem
        self.table = table
        ends = (rig.yard, rig.end)
        self.clock = Clock(
            problem, table, table.loaded_min, rig.yard, rig.shift_start_min, rig.shift_end_min, ends
        )
        self._search = OrderSearch(self.clock)
        self._fast = OrderSearch(replace(self.clock, minutes=table.fastest_min), free_stops=True)
        self._minutes: list[list[int]] = table.loaded_min.tolist()
        self._tenths: list[list[int]] = table.tenths.tolist()
        self._permit = [haul.permit is not None for haul in problem.hauls]
        self._drafts: dict[tuple[int, ...], tuple[Candidate, ...]] = {}
        self._timely: dict[tuple[int, ...], bool] = {}

    def timely(self, members: Sequence[Unit]) -> bool:
        """Whether some trip with these units, and perhaps others, may be possible by the clock."""
        hauls = tuple(haul for unit in members for haul in unit.hauls)
        if hauls not in self._timely:
            direct = next(self._search.orders(hauls), None) is not None
            self._timely[hauls] = direct or next(self._fast.orders(hauls), None) is not None
        return self._timely[hauls]

    def drafts(self, members: Sequence[Unit]) -> tuple[Candidate, ...]:
        """The trips with exactly these units, the best first, without regard to legality."""
        hauls = tuple(haul for unit in members for haul in unit.hauls)
        if hauls not in self._drafts:
            mask = sum(unit.bit for unit in members)
            found = [self._draft(mask, tasks, block) for tasks, block in self._search.orders(hauls)]
            self._drafts[hauls] = tuple(sorted(found, key=quality))
        return self._drafts[hauls]

    def _permits(self, loads: Sequence[Task]) -> Fraction:
        if not any(self._permit[task.haul] for task in loads):
            return NO_CENTS
        return permits_cents(self.problem.hauls[task.haul] for task in loads)

    def _draft(self, mask: int, tasks: tuple[Task, ...], block: Block) -> Candidate:
        sites = [site_of(self.problem, task) for task in tasks]
        number = [self.table.number[site] for site in sites]
        return Candidate(
            units=mask,
            tasks=tasks,
            first=sites[0],
            last=sites[-1],
            block=block,
            drive_min=sum([self._minutes[a][b] for a, b in pairwise(number)]),
            tenths=sum([self._tenths[a][b] for a, b in pairwise(number)]),
            permit_cents=self._permits(tasks[: len(tasks) // 2]),
            places=tuple(dict.fromkeys(sites)),
        )


def sets_of_units(
    book: OrderBook, placer: Placer, rig: Rig, units: Sequence[Unit], budget: TripBudget
) -> Iterator[tuple[Unit, ...]]:
    """The sets of units that may ride together on a rig, the small ones first, as far as the budget goes.

    Whoever takes fewer sets than ``budget.sets`` and was not stopped has seen all.
    """
    able = [unit for unit in units if may_ride(book.problem, rig, unit)]
    layer: list[tuple[Unit, ...]] = [(unit,) for unit in able if _viable(book, placer, rig, (unit,))]
    seen = 0
    while layer:
        for members in layer:
            if seen >= budget.sets or budget.stop():
                return
            seen += 1
            yield members
        if seen >= budget.sets or len(layer[0]) >= budget.together:
            return
        layer = list(_grown(book, placer, rig, layer, able))


def _grown(
    book: OrderBook, placer: Placer, rig: Rig, layer: Sequence[tuple[Unit, ...]], able: Sequence[Unit]
) -> Iterator[tuple[Unit, ...]]:
    """Sets with one more unit, all of whose subsets of the old size can still grow."""
    known = {frozenset(unit.number for unit in members) for members in layer}
    for members in layer:
        for unit in able:
            if unit.number <= members[-1].number:
                continue
            longer = (*members, unit)
            numbers = frozenset(one.number for one in longer)
            if all(numbers - {one} in known for one in numbers) and _viable(book, placer, rig, longer):
                yield longer


def _viable(book: OrderBook, placer: Placer, rig: Rig, members: Sequence[Unit]) -> bool:
    """Whether a trip with these units, and perhaps others, may still be possible."""
    problem = book.problem
    hauls = [haul for unit in members for haul in unit.hauls]
    if len(hauls) > problem.settings.most_items_per_trip and len(members) > 1:
        return False
    if any(first in hauls and second in hauls for first, second in problem.successors):
        return False
    return not placer.hopeless(rig, hauls) and book.timely(members)


def timed(clock: Clock, tasks: Sequence[Task], permit_legs: Sequence[bool]) -> Block | None:
    """The trip's block when the legs marked keep to their permit's hours, from departure to arrival."""
    problem, number = clock.problem, clock.table.number
    states = load_request(problem, tasks).states
    block: Block | None = Block(0)
    for place, stop in enumerate(visits(problem, tasks)):
        for position, task in enumerate(stop.tasks):
            work = task_block(problem, task, opens_stop=position == 0)
            block = None if block is None or work is None else join(block, 0, work)
        if block is None or place == len(states):
            return block
        state = states[place]
        drive = int(clock.minutes[number[state.origin], number[state.destination]])
        road = permit_road(clock, state, drive) if any(permit_legs) and permit_legs[place] else Block(drive)
        block = None if road is None else join(block, 0, road)
    return block


def permit_road(clock: Clock, state: DeckState, drive: int) -> Block | None:
    """A leg under a permit: begun within its hours and before the site closes, over within its hours."""
    permits = [clock.problem.hauls[haul].permit for haul in state.aboard]
    hours = [permit for permit in permits if permit is not None]
    closes = None if state.origin == clock.yard else clock.problem.sites[state.origin].closes_min
    leave_by = None if closes is None else closes + drive
    opens = latest(*(permit.from_min for permit in hours))
    return window(drive, opens, soonest(leave_by, *(permit.to_min for permit in hours)))


def quality(trip: Candidate) -> tuple[int, int, int, int, tuple[int, ...]]:
    """A sort key: what dominates another trip never comes after it."""
    order = tuple(task.haul for task in trip.tasks)
    return trip.block.duration, trip.tenths, -trip.block.latest, trip.block.earliest, order


def dominates(better: Candidate, trip: Candidate) -> bool:
    """Whether the one trip can stand for the other wherever that is used."""
    return (
        better.first == trip.first
        and better.last == trip.last
        and better.drive_min <= trip.drive_min
        and better.tenths <= trip.tenths
        and no_worse(better.block, trip.block)
    )
