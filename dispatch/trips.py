"""Candidate trips: which items may ride together, in which order, and how long that takes.

Sets of units (groups that ride together) are grown one unit at a time. A set is given up only for what can never
recover: deck length and weight that no position mends, windows with the fastest travel, most items a trip. A
subset of a legal load may be illegal (axle balance is not monotone), so legality prunes no set, only candidates.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import reduce
from itertools import groupby, islice

from dispatch.costs import permits_cents
from dispatch.fleet import Rig
from dispatch.items import LoadsBy
from dispatch.legality import rig_length_in
from dispatch.moves import Status
from dispatch.order_kernel import DRIVE, DURATION, EARLIEST, LATEST, TENTHS, Found, Ints
from dispatch.order_search import NONE, Asked, OrderSearch
from dispatch.placement import DeckState, Load, Placer
from dispatch.plan import Task
from dispatch.problem import Problem
from dispatch.rig_groups import allowed
from dispatch.site_table import SiteTable
from dispatch.timing import Block, join, latest, no_worse, soonest, window
from dispatch.trip_orders import Clock, Hours, load_request, task_block, visits
from dispatch.units import SLACK_IN

NO_CENTS = Fraction(0)
AT_ONCE = 1_000
"""Sets of units that are looked at together."""


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

    ``together``: units on one trip, at most. ``partners``: by unit, a mask of those that it may ride with; all
    of them where it is empty.
    """

    sets: int = 120_000
    together: int = 1_000
    partners: tuple[int, ...] = ()
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
    return riders(problem, rig, [unit])[0]


def riders(problem: Problem, rig: Rig, units: Sequence[Unit]) -> tuple[bool, ...]:
    """The same for many units."""
    moves = {move.name: allowed(problem, rig, move) for move in problem.moves}
    fits = {place: fits_site(problem, rig, place) for place in problem.sites}
    followed = set(problem.successors)

    def rides(number: int) -> bool:
        haul = problem.hauls[number]
        places = (haul.origin, haul.destination)
        if haul.how is LoadsBy.LIFTED and not all(problem.sites[place].lift_on_site for place in places):
            return False
        return moves[haul.move] and all(fits[place] for place in (*places, rig.yard, rig.end))

    return tuple(
        all(rides(number) for number in unit.hauls)
        and not any((first, second) in followed for first in unit.hauls for second in unit.hauls)
        for unit in units
    )


def fits_site(problem: Problem, rig: Rig, place: str) -> bool:
    """Whether the empty rig is short enough for the site."""
    longest = problem.sites[place].longest_rig_in
    return longest is None or rig_length_in(rig) <= longest + SLACK_IN


@dataclass(frozen=True, slots=True)
class Wanted:
    """A set of units, as a bit mask and as hauls in the order of the units, whose trips are wanted.

    ``stand`` and ``refused`` as in ``order_search.Asked``.
    """

    mask: int
    hauls: tuple[int, ...]
    stand: frozenset[tuple[int, ...]] | None = None
    refused: tuple[tuple[Task, ...], ...] = ()


def wanted(members: Sequence[Unit], stand: frozenset[tuple[int, ...]] | None = None) -> Wanted:
    """The set of these units."""
    return Wanted(mask_of(members), hauls_of(members), stand)


def hauls_of(members: Iterable[Unit]) -> tuple[int, ...]:
    """The hauls of units, in their order."""
    return tuple([haul for unit in members for haul in unit.hauls])


def mask_of(members: Iterable[Unit]) -> int:
    """The units as a bit mask."""
    mask = 0
    for unit in members:
        mask |= 1 << unit.number
    return mask


class OrderBook:
    """The orders that the clock allows to any of some rigs; a permit's hours are those of the first one's yard."""

    def __init__(self, problem: Problem, table: SiteTable, *rigs: Rig) -> None:
        self.problem = problem
        self.table = table
        hours = reduce(Hours.or_of, [Hours.of(table, rig) for rig in rigs])
        self.clock = Clock(problem, table, table.loaded_min, rigs[0].yard)
        self._search = OrderSearch(self.clock, hours)
        self._fast = OrderSearch(replace(self.clock, minutes=table.fastest_min), hours, free_stops=True)
        self._permit = [haul.permit is not None for haul in problem.hauls]
        self._timely: dict[tuple[int, ...], bool] = {}

    @property
    def cut(self) -> bool:
        """Whether a set had too many orders for all to be looked at."""
        return self._search.cut or self._fast.cut

    def timely(self, sets: Sequence[tuple[int, ...]]) -> list[bool]:
        """Whether some trip with these hauls, and perhaps others, may be possible by the clock."""
        new = [hauls for hauls in sets if hauls not in self._timely]
        self._timely.update(zip(new, self._search.possible(new), strict=True))
        late = [hauls for hauls in new if not self._timely[hauls]]
        self._timely.update(zip(late, self._fast.possible(late), strict=True))
        return [self._timely[hauls] for hauls in sets]

    def loading(self, sets: Sequence[Sequence[Unit]], illegal: Ints) -> list[list[tuple[int, ...]]]:
        """In which orders what is driven can come on, of trips with exactly these units and no illegal deck."""
        return self._search.loading([hauls_of(members) for members in sets], illegal)

    def found(self, sets: Sequence[Wanted], illegal: Ints = NONE, *, every: bool = False) -> Found:
        """The trips with exactly these units that no other can stand for (or ``every``), legal or not."""
        asked = [Asked(one.hauls, one.stand, one.refused) for one in sets]
        return self._search.every(asked, illegal) if every else self._search.best(asked, illegal)

    def deck(self, driven: Sequence[int], lifted: Iterable[int]) -> int | None:
        """The number of a deck, as ``order_search`` has it."""
        return self._search.deck(driven, lifted)

    def candidate(self, of: Wanted, figures: Sequence[int], order: Sequence[int]) -> Candidate:
        """The trip of a set that has these figures and this order (by place in the set)."""
        tasks = self._search.tasks(of.hauls, order)
        sites = self._search.sites(of.hauls, order)
        return Candidate(
            units=of.mask,
            tasks=tasks,
            first=sites[0],
            last=sites[-1],
            block=Block(figures[DURATION], figures[EARLIEST], figures[LATEST]),
            drive_min=figures[DRIVE],
            tenths=figures[TENTHS],
            permit_cents=self.permits(of.hauls),
            places=tuple(dict.fromkeys(sites)),
        )

    def permits(self, hauls: Sequence[int]) -> Fraction:
        """What the permits of the hauls cost, cents."""
        if not any(self._permit[haul] for haul in hauls):
            return NO_CENTS
        return permits_cents(self.problem.hauls[haul] for haul in hauls)


def sets_of_units(
    book: OrderBook, placer: Placer, rig: Rig, units: Sequence[Unit], budget: TripBudget
) -> Iterator[tuple[Unit, ...]]:
    """The sets of units that may ride together on a rig, the small ones first, as far as the budget goes.

    Whoever takes fewer sets than ``budget.sets`` and was not stopped has seen all.
    """
    able = [(unit,) for unit, rides in zip(units, riders(book.problem, rig, units), strict=True) if rides]
    grown: Iterator[tuple[Unit, ...]] = iter(able)
    seen = 0
    while True:
        layer: list[tuple[Unit, ...]] = []
        while part := list(islice(grown, AT_ONCE)):
            for members in _viable(book, placer, rig, part):
                if seen >= budget.sets or budget.stop():
                    return
                seen += 1
                layer.append(members)
                yield members
        if not layer or seen >= budget.sets or len(layer[0]) >= budget.together:
            return
        grown = _grown(layer, budget.partners)


def _grown(layer: Sequence[tuple[Unit, ...]], partners: Sequence[int]) -> Iterator[tuple[Unit, ...]]:
    """Sets with one more unit, all of whose subsets of the old size are there."""
    known = {mask_of(members) for members in layer}
    for _, alike in groupby(layer, key=lambda members: members[:-1]):
        begun = list(alike)
        for place, members in enumerate(begun):
            own = mask_of(members)
            for other in begun[place + 1 :]:
                if partners and not partners[members[-1].number] >> other[-1].number & 1:
                    continue
                mask = own | other[-1].bit
                if all(mask ^ unit.bit in known for unit in members[:-1]):
                    yield (*members, other[-1])


def _viable(
    book: OrderBook, placer: Placer, rig: Rig, sets: Sequence[tuple[Unit, ...]]
) -> Iterator[tuple[Unit, ...]]:
    """The sets of which a trip with these units, and perhaps others, may still be possible."""
    problem = book.problem
    held: list[tuple[tuple[Unit, ...], tuple[int, ...]]] = []
    for members in sets:
        hauls = hauls_of(members)
        if len(hauls) > problem.settings.most_items_per_trip and len(members) > 1:
            continue
        if any(first in hauls and second in hauls for first, second in problem.successors):
            continue
        if not placer.hopeless(rig, hauls):
            held.append((members, hauls))
    timely = book.timely([hauls for _, hauls in held])
    return (members for (members, _), may in zip(held, timely, strict=True) if may)


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
