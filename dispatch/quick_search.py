"""The best days of one rig at given prices, by the compiled label setting of ``label_kernel``.

Gives what ``pricing`` gives, for the common case: a group of one rig whose driver owes no break and whose duty
window cannot bind. Everything else goes through ``pricing``'s own layers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from fractions import Fraction

import numpy as np

from dispatch.costs import day_cents
from dispatch.label_kernel import (
    CLOSED,
    COST,
    DEPTH,
    DRIVE,
    DURATION,
    KIND,
    LARGE,
    LIMITLESS_MIN,
    PARENT,
    READY,
    SITE,
    TRIP,
    Cuts,
    Floors,
    Relaxed,
    Roads,
    Terms,
    Trips,
    cheapest_rest,
    floors_to_go,
    grow,
    promising,
    reached,
    worthwhile,
)
from dispatch.prices import Prices
from dispatch.rig_days import Sketch, Step
from dispatch.trip_arrays import WORD, Floats, GroupArrays, Ints, Words, words

COARSEST_STEP_MIN = 5
"""Minutes of a time step of the floors, where no trip is shorter."""
LABELS_A_CROWD = 100
MOST_SEEN = 20_000
FEW_TRIPS = 300
"""Of no more trips than these it is not asked beforehand which of them can matter."""


@dataclass(frozen=True, slots=True, eq=False)
class Sorted:
    """The trips of the rig by first site: rows ``ptr[f]`` to ``ptr[f + 1]`` begin at site f."""

    order: Ints
    ptr: Ints
    first: Ints
    last: Ints
    duration: Ints
    earliest: Ints
    latest: Ints
    drive: Ints
    mask: Words
    blocked: Words

    def take(self, rows: Ints) -> Sorted:
        """These rows only, in their order."""
        others = {f.name: getattr(self, f.name)[rows] for f in fields(self) if f.name != "ptr"}
        return Sorted(ptr=np.searchsorted(rows, self.ptr).astype(np.int64), **others)


def applies(arrays: GroupArrays) -> bool:
    """Whether the group is one that the compiled search is made for."""
    simple = len(arrays.group.rigs) == 1 and arrays.break_after is None and not arrays.strict_windows
    return simple and int(arrays.trips.duration.min(initial=1)) > 0


def by_first_site(arrays: GroupArrays) -> Sorted:
    """The group's trips in the order that the search wants."""
    t = arrays.trips
    order = np.argsort(t.first, kind="stable")
    ptr = np.searchsorted(t.first[order], np.arange(len(arrays.rules.table.names) + 1))
    end_by = int(arrays.end_by[0])
    return Sorted(
        order=order,
        ptr=ptr.astype(np.int64),
        first=t.first[order],
        last=t.last[order],
        duration=t.duration[order],
        earliest=t.earliest[order],
        latest=np.minimum(t.latest[order], end_by),
        drive=t.drive[order],
        mask=np.ascontiguousarray(t.mask[order]),
        blocked=np.ascontiguousarray(t.blocked[order]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """The labels of one search and the reduced cost of ending the day at each (large: it cannot end there).

    ``trips``: those that the search went through. ``floor``: 0, or if any day at all, found or not, may have a
    reduced cost below that, what none is below.
    """

    trips: Sorted
    table: Ints
    masks: Words
    reduced: Floats
    whole: bool
    floor: float


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to look for: see ``pricing.Search``."""

    cutoff: float
    listing: bool
    keep_all: bool
    may_go_home: bool
    crowd: int
    most_labels: int
    most_work: int
    critical: int
    halt: Ints


def roads_at(arrays: GroupArrays, money: float) -> Roads:
    """The rig's roads with a cent worth ``money``."""
    table = arrays.rules.table
    return Roads(
        empty=table.empty_min.astype(np.int64),
        road=money * float(arrays.mile_cents[0]) * table.tenths.astype(np.float64),
        yard=int(arrays.yard[0]),
        home=int(arrays.home[0]),
        start=int(arrays.start[0]),
        end_by=int(arrays.end_by[0]),
        minute=money * float(arrays.minute_cents[0]),
    )


def floors(trips: Sorted, lin: Floats, roads: Roads, most_critical: int) -> tuple[Floors, Ints]:
    """Floors that let no critical unit be hauled twice, and each trip's critical units as a bit mask.

    Critical are units that the cheapest day of the relaxation repeats, as many as ``most_critical``.
    """
    price = lin + roads.minute * trips.duration
    by_price = np.lexsort((price, trips.first))
    times = trips.duration, trips.earliest, trips.latest
    step_min = step_of(trips)
    steps = roads.end_by // step_min + 2
    units: list[int] = []
    while True:
        critical = critical_masks(trips.mask, units)
        whole = Relaxed(trips.ptr, trips.last, *times, price, critical)
        rows, ptr = worthwhile(whole, by_price)
        some = Relaxed(
            ptr,
            trips.last[rows],
            trips.duration[rows],
            trips.earliest[rows],
            trips.latest[rows],
            price[rows],
            critical[rows],
        )
        found = Floors(*floors_to_go(some, roads, 1 << len(units), steps, step_min), step_min)
        if len(units) >= most_critical:
            break
        path = cheapest_rest(some, roads, found)
        hauled = np.concatenate([units_in(trips.mask[rows[row]]) for row in path] or [np.zeros(0, dtype=np.int64)])
        numbers, often = np.unique(hauled, return_counts=True)
        repeated = numbers[often > 1]
        if not len(repeated):
            break
        order = np.argsort(-often[often > 1], kind="stable")
        units += [int(unit) for unit in repeated[order][: min(2, most_critical - len(units))]]
    return found, critical


def least_of_all(floor: Floors, roads: Roads) -> float:
    """What the cheapest day costs by the floors."""
    way = roads.empty[roads.yard]
    step = np.minimum((roads.start + way) // floor.step_min, floor.begun.shape[2] - 1)
    begun = floor.begun[0, np.arange(len(way)), step]
    return float((roads.road[roads.yard] + roads.minute * way + begun).min())


def step_of(trips: Sorted) -> int:
    """Minutes of a time step: no trip may be over within the step in which it begins."""
    return int(trips.duration.min(initial=COARSEST_STEP_MIN))


def worth_a_look(trips: Sorted, lin: Floats, roads: Roads, cutoff: float) -> Ints:
    """The rows of the trips that a day below the cut-off could hold, by floors before and behind each trip."""
    price = lin + roads.minute * trips.duration
    times = trips.duration, trips.earliest, trips.latest
    step_min = step_of(trips)
    steps = roads.end_by // step_min + 2
    whole = Relaxed(trips.ptr, trips.last, *times, price, np.zeros(len(price), np.int64))
    rows, ptr = worthwhile(whole, np.lexsort((price, trips.first)))
    duration, earliest, latest = (column[rows] for column in times)
    some = Relaxed(ptr, trips.last[rows], duration, earliest, latest, price[rows], whole.critical[rows])
    place, _ = floors_to_go(some, roads, 1, steps, step_min)
    return promising(whole, reached(some, roads, steps, step_min), place, step_min, cutoff)


def critical_masks(mask: Words, units: Sequence[int]) -> Ints:
    """Each trip's critical units: bit i where it hauls ``units[i]``."""
    found = np.zeros(len(mask), dtype=np.int64)
    for place, unit in enumerate(units):
        found |= ((mask[:, unit // WORD] >> np.uint64(unit % WORD)) & np.uint64(1)).astype(np.int64) << place
    return found


def units_in(mask: Words) -> Ints:
    """The numbers of the units in a mask."""
    found: Ints = np.nonzero(np.unpackbits(mask.view(np.uint8), bitorder="little"))[0]
    return found


def labels(arrays: GroupArrays, trips: Sorted, lin: Floats, prices: Prices, wanted: Wanted) -> Found:
    """All partial days that the search keeps. ``lin``: each trip's price without its hours, rows as in arrays."""
    money, group = prices.money, prices.group
    own = np.ascontiguousarray(lin[trips.order])
    if len(own) > FEW_TRIPS:
        rows = worth_a_look(trips, own, roads_at(arrays, money), wanted.cutoff + group)
        trips, own = trips.take(rows), own[rows]
    toggle, pays = cut_bits(trips, [mask for mask, _ in prices.cuts])
    roads = roads_at(arrays, money)
    floor, critical = floors(trips, own, roads, wanted.critical)
    times = trips.duration, trips.earliest, trips.latest
    terms = Terms(
        over=money * float(arrays.overtime_cents[0]),
        over_after=min(int(arrays.overtime_after[0]), LIMITLESS_MIN),
        driving=min(int(arrays.driving[0]), LIMITLESS_MIN),
        cutoff=wanted.cutoff + group,
        listing=wanted.listing,
        keep_all=wanted.keep_all,
        may_go_home=wanted.may_go_home,
        costs=money > 0,
        crowd=wanted.crowd,
        most=wanted.most_labels,
        most_work=wanted.most_work,
        halt=wanted.halt,
    )
    table, units, costs, whole = grow(
        Trips(trips.ptr, trips.last, *times, own, critical, trips.drive, trips.mask, trips.blocked),
        roads,
        Cuts(toggle, pays, np.array([price for _, price in prices.cuts], dtype=np.float64)),
        floor,
        terms,
    )
    reduced = ended(table, costs[:, COST], roads, terms) - group
    return Found(trips, table, units[:, :-1], reduced, bool(whole), min(0.0, least_of_all(floor, roads) - group))


def ended(table: Ints, cost: Floats, roads: Roads, terms: Terms) -> Floats:
    """What the day costs when the rig goes home for good after each label, at the prices; ``LARGE``: it cannot."""
    way = roads.empty[table[:, SITE], roads.home]
    paid = table[:, CLOSED] + table[:, DURATION] + way
    money = cost + roads.road[table[:, SITE], roads.home] + roads.minute * paid
    money += terms.over * np.maximum(0, paid - terms.over_after)
    loaded = (table[:, KIND] == 0) & (table[:, DEPTH] > 0)
    in_time = (table[:, READY] + way <= roads.end_by) & (table[:, DRIVE] + way <= terms.driving)
    return np.where(loaded & in_time, money, LARGE)


def cut_bits(trips: Sorted, cuts: Sequence[int]) -> tuple[Words, Words]:
    """For each trip the cuts (bit c for cut c) of whose units it has an odd number; those of which it has two."""
    toggles = np.zeros(len(trips.order), dtype=np.uint64)
    pays = np.zeros(len(trips.order), dtype=np.uint64)
    for place, cut in enumerate(cuts):
        mask = np.array(words(cut, trips.mask.shape[1]), dtype=np.uint64)
        count = np.bitwise_count(trips.mask & mask[None, :]).sum(axis=1)
        toggles |= (count & 1).astype(np.uint64) << np.uint64(place)
        pays |= (count > 1).astype(np.uint64) << np.uint64(place)
    return toggles, pays


def steps_of(arrays: GroupArrays, trips: Sorted, table: Ints, row: int) -> Sequence[Step]:
    """The day that ends with the label ``row``."""
    steps: list[Step] = []
    while row >= 0:
        trip, row = int(table[row, TRIP]), int(table[row, PARENT])
        if trip >= 0:
            before = row < 0 or int(table[row, TRIP]) < 0
            steps.append(Step(0, arrays.trips.trips[int(trips.order[trip])], before))
    return steps[::-1]


def day_of(arrays: GroupArrays, found: Found, row: int) -> Sketch:
    """The whole day that ends with the label ``row``."""
    group, table = arrays.group, arrays.rules.table
    steps = steps_of(arrays, found.trips, found.table, row)
    number, tenths = table.number, 0
    place = yard = int(arrays.yard[0])
    for step in steps:
        first = number[step.trip.first]
        if step.from_yard and place != yard:
            tenths += int(table.tenths[place, yard])
            place = yard
        tenths += int(table.tenths[place, first]) + step.trip.tenths
        place = number[step.trip.last]
    home = int(arrays.home[0])
    tenths += int(table.tenths[place, home])
    label = found.table[row]
    paid = int(label[CLOSED] + label[DURATION] + table.empty_min[place, home])
    permits = sum((step.trip.permit_cents for step in steps if step.trip.permit_cents), Fraction(0))
    cents = day_cents(group.rigs[0], paid, tenths, len(steps), permits)
    units = sum(step.trip.units for step in steps)
    return Sketch(group.number, tuple(steps), units, len(steps), cents)
