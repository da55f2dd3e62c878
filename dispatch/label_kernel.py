"""The inner loops of pricing for a group of one rig, compiled: partial days in order of the time they are ready.

A partial day is dropped when even the cheapest rest of the day leaves it above the cut-off, or when one that is
ready no later, at the same place, is no worse in everything that can still matter. While pricing, a day that has
hauled fewer of the same units is no worse; while listing, only one with the same units in as many trips.
Method: label setting for the elementary shortest path with resources (Feillet, Dejax, Gendreau, Gueguen, Networks
44 (2004)), with floors under the rest of the day (Lozano, Duque, Medaglia, Transportation Science 50 (2016)).

Times are whole minutes after midnight; money is what the linear programme counts in: cents at a price of one.
Sites and trips are numbers; sets of units are rows of 64-bit words. Compiled code sees no index out of range.
"""

from __future__ import annotations

from typing import NamedTuple, TypeVar

import numpy as np

from dispatch.compiled import inlined, inner, outer
from dispatch.trip_arrays import Floats, Ints, Words

HOME = 1
DROPPED = -1
NO_LABEL = -1
EPSILON = 1e-9
LARGE = 1e18
FIRST_SIZE = 4096
HASH_BITS = 18
LIMITLESS_MIN = 10**6
"""Driving or overtime limits of so many minutes or more are none."""

# Columns of the label table, and of the money beside it. Those that comparing labels asks for stand together, and
# a row is two lines of the processor's cache.
NEXT_AT, DRIVE, CLOSED, DURATION, LATEST, SITE, KIND, DEPTH = range(8)
PARENT, TRIP, READY, NEXT_IN, HELD = range(8, 13)
COLUMNS = 16
COST, FLAT = range(2)


Rows = TypeVar("Rows", Ints, Words, Floats)


class Relaxed(NamedTuple):
    """Trips as the floors see them: rows ``ptr[f]`` to ``ptr[f + 1]`` begin at site f.

    ``earliest`` and ``latest``: to begin; ``price``: with the hours of the trip; ``critical``: bits of the
    critical units that it hauls.
    """

    ptr: Ints
    last: Ints
    duration: Ints
    earliest: Ints
    latest: Ints
    price: Floats
    critical: Ints


class Roads(NamedTuple):
    """What the roads cost at the prices in hand, and where and when the rig is.

    ``empty``: (from, to), minutes; ``road``: (from, to), money of the miles; ``minute``: money of a paid minute.
    """

    empty: Ints
    road: Floats
    yard: int
    home: int
    start: int
    end_by: int
    minute: float


class Trips(NamedTuple):
    """Trips as the labels see them, in the rows of ``Relaxed``; ``price``: without hours.

    ``drive``: minutes at the wheel; ``mask``: the units; ``blocked``: those that must not have been hauled before.
    """

    ptr: Ints
    last: Ints
    duration: Ints
    earliest: Ints
    latest: Ints
    price: Floats
    critical: Ints
    drive: Ints
    mask: Words
    blocked: Words


class Cuts(NamedTuple):
    """Bit c is cut c. ``toggle``: a trip has an odd number of its units; ``pays``: it has two or three."""

    toggle: Words
    pays: Words
    price: Floats


class Floors(NamedTuple):
    """(critical units hauled, site, time step): least further cost from a place, and from the start of a trip."""

    place: Floats
    begun: Floats
    step_min: int


class Terms(NamedTuple):
    """What else the search is held to.

    ``over``: money of a minute past ``over_after`` paid minutes, besides; ``driving``: most minutes at the wheel.
    ``cutoff``: without the group's price. ``listing``: only equal sets of units stand for each other;
    ``keep_all``: nothing does. ``costs``: money counts. ``crowd``: 0, or a partial day is dropped once so many
    others are no worse whatever they hauled (no longer exact). ``most``, ``most_work``: labels, and trips and
    labels looked at. ``halt``: one number; the search ends once somebody makes it another than 0.
    """

    over: float
    over_after: int
    driving: int
    cutoff: float
    listing: bool
    keep_all: bool
    may_go_home: bool
    costs: bool
    crowd: int
    most: int
    most_work: int
    halt: Ints


@outer
def worthwhile(trips: Relaxed, by_price: Ints) -> tuple[Ints, Ints]:
    """(rows, their ptr): trips that no other with the same ends can stand for in the relaxation of the floors.

    ``by_price``: all rows, by first site and then by price.
    """
    sites = len(trips.ptr) - 1
    rows = np.empty(len(trips.last), np.int64)
    kept_ptr = np.zeros(sites + 1, np.int64)
    count = kept_ptr[0]
    for f in range(sites):
        begin = count
        for place in range(trips.ptr[f], trips.ptr[f + 1]):
            k = by_price[place]
            if not _stood_for(trips, k, rows, begin, count):
                rows[count] = k
                count += 1
        kept_ptr[f + 1] = count
    return rows[:count], kept_ptr


@inner
def _stood_for(trips: Relaxed, k: int, rows: Ints, begin: int, count: int) -> bool:
    """Whether one of ``rows[begin:count]``, all no dearer, ends as well as trip k whenever that may begin."""
    for place in range(begin, count):
        j = rows[place]
        if (
            trips.last[j] == trips.last[k]
            and trips.duration[j] <= trips.duration[k]
            and trips.earliest[j] + trips.duration[j] <= trips.earliest[k] + trips.duration[k]
            and trips.latest[j] >= trips.latest[k]
            and trips.critical[j] & ~trips.critical[k] == 0
        ):
            return True
    return False


@outer
def floors_to_go(trips: Relaxed, roads: Roads, sets: int, steps: int, step_min: int) -> tuple[Floats, Floats]:
    """(from a place, from the start of a trip): least further cost at each time step; home included.

    First index: the set of critical units already hauled (``sets`` of them), which are not hauled again; any other
    unit may be hauled twice, and waiting costs nothing. A relaxation, so the figures are true floors. No trip may
    be shorter than ``step_min``.
    Method: decremental state space relaxation (Righini, Salani, Networks 51 (2008)).
    """
    sites = len(trips.ptr) - 1
    place = np.full((sets, sites, steps), LARGE)
    begun = np.full((sets, sites, steps), LARGE)
    way, toll = _least_ways(roads)
    ends_here = np.zeros(sites, np.bool_)
    ends_here[roads.yard] = True
    for k in range(len(trips.last)):
        ends_here[trips.last[k]] = True
    for step in range(steps - 1, -1, -1):
        for held in range(sets):
            for f in range(sites):
                begun[held, f, step] = _least_of_trips(trips, place, held, f, step * step_min, step_min)
            for s in range(sites):
                if ends_here[s]:
                    place[held, s, step] = _least_from(trips, roads, way, toll, begun, held, s, step, step_min)
    return place, begun


@inner
def _least_ways(roads: Roads) -> tuple[Ints, Floats]:
    """(minutes, money) from site to site, each the less of the direct road and that by the yard."""
    empty, road, yard, minute = roads.empty, roads.road, roads.yard, roads.minute
    sites = len(empty)
    way = np.empty((sites, sites), np.int64)
    toll = np.empty((sites, sites))
    for s in range(sites):
        for f in range(sites):
            by_yard = empty[s, yard] + empty[yard, f]
            way[s, f] = min(empty[s, f], by_yard)
            toll[s, f] = min(road[s, yard] + road[yard, f] + minute * by_yard, road[s, f] + minute * empty[s, f])
    return way, toll


@inner
def _least_of_trips(trips: Relaxed, place: Floats, held: int, f: int, now: int, step_min: int) -> float:
    """Least cost of a trip that begins at site f at a time or later, and of what follows it."""
    best = LARGE
    for k in range(trips.ptr[f], trips.ptr[f + 1]):
        if now > trips.latest[k] or trips.critical[k] & held:
            continue
        later = min((max(now, trips.earliest[k]) + trips.duration[k]) // step_min, place.shape[2] - 1)
        best = min(best, place[held | trips.critical[k], trips.last[k], later] + trips.price[k])
    return best


@inner
def _least_from(
    trips: Relaxed,
    roads: Roads,
    way: Ints,
    toll: Floats,
    begun: Floats,
    held: int,
    s: int,
    step: int,
    step_min: int,
) -> float:
    """Least cost from site s on: home, or to the start of a trip."""
    best = LARGE
    now = step * step_min
    if now + roads.empty[s, roads.home] <= roads.end_by:
        best = roads.road[s, roads.home] + roads.minute * roads.empty[s, roads.home]
    for f in range(len(way)):
        if trips.ptr[f] < trips.ptr[f + 1]:
            later = min((now + way[s, f]) // step_min, begun.shape[2] - 1)
            best = min(best, toll[s, f] + begun[held, f, later])
    return best


@outer
def reached(trips: Relaxed, roads: Roads, steps: int, step_min: int) -> Floats:
    """(site, time step): least cost of being there, ready to begin a trip, by the end of the step.

    The mirror of ``floors_to_go`` without critical units: times are rounded down, waiting costs nothing. No trip
    may be shorter than ``step_min``.
    """
    sites = len(trips.ptr) - 1
    found = np.full((sites, steps), LARGE)
    way, toll = _least_ways(roads)
    for f in range(sites):
        first = (roads.start + way[roads.yard, f]) // step_min
        if first < steps:
            found[f, first] = toll[roads.yard, f]
    for step in range(steps):
        for f in range(sites):
            if step and found[f, step - 1] <= found[f, step]:
                found[f, step] = found[f, step - 1]  # no cheaper, and later: the step before passed it on
            elif found[f, step] < LARGE:
                _pass_on(trips, found, way, toll, f, step, step_min)
    return found


@inner
def _pass_on(trips: Relaxed, found: Floats, way: Ints, toll: Floats, f: int, step: int, step_min: int) -> None:
    """From a site at a time step by each trip that begins there, and the road, to where the next may begin."""
    steps = found.shape[1]
    for k in range(trips.ptr[f], trips.ptr[f + 1]):
        if step * step_min > trips.latest[k]:
            continue
        ends = max(step * step_min, trips.earliest[k]) + trips.duration[k]
        cost = found[f, step] + trips.price[k]
        for g in range(len(way)):
            if trips.ptr[g] < trips.ptr[g + 1]:
                begins = max((ends + way[trips.last[k], g]) // step_min, step)
                if begins < steps:
                    found[g, begins] = min(found[g, begins], cost + toll[trips.last[k], g])


@outer
def promising(trips: Relaxed, reach: Floats, place: Floats, step_min: int, cutoff: float) -> Ints:
    """The trips of which some day, by the floors before and behind them, costs less than the cut-off."""
    steps = reach.shape[1]
    kept = np.empty(len(trips.last), np.int64)
    count = 0
    for f in range(len(trips.ptr) - 1):
        for k in range(trips.ptr[f], trips.ptr[f + 1]):
            last_step = min(trips.latest[k] // step_min, steps - 1)
            for step in range(min(trips.earliest[k] // step_min, last_step), last_step + 1):
                if reach[f, step] >= LARGE:
                    continue
                ends = max(step * step_min, trips.earliest[k]) + trips.duration[k]
                rest = place[0, trips.last[k], min(ends // step_min, steps - 1)]
                if reach[f, step] + trips.price[k] + rest < cutoff + EPSILON:
                    kept[count] = k
                    count += 1
                    break
    return kept[:count]


@outer
def cheapest_rest(trips: Relaxed, roads: Roads, floors: Floors) -> Ints:
    """The trips of the cheapest day of the relaxation, first to last: rows of the trips given."""
    step_min, steps = floors.step_min, floors.place.shape[2]
    way, toll = _least_ways(roads)
    found = np.empty(steps, np.int64)
    count = 0
    now, held, s = roads.start, 0, roads.yard
    while count < steps:
        best, best_f = LARGE, -1
        for f in range(len(way)):
            if trips.ptr[f] < trips.ptr[f + 1]:
                cost = toll[s, f] + floors.begun[held, f, min((now + way[s, f]) // step_min, steps - 1)]
                if cost < best:
                    best, best_f = cost, f
        if best_f < 0 or (count and best > floors.place[held, s, min(now // step_min, steps - 1)] + EPSILON):
            break
        step = min((now + way[s, best_f]) // step_min, steps - 1)
        chosen = _trip_taken(trips, floors, held, best_f, step)
        if chosen < 0:
            break
        found[count] = chosen
        count += 1
        now = max(step * step_min, trips.earliest[chosen]) + trips.duration[chosen]
        held |= trips.critical[chosen]
        s = trips.last[chosen]
    return found[:count]


@inner
def _trip_taken(trips: Relaxed, floors: Floors, held: int, f: int, step: int) -> int:
    """The trip from site f that the floor at a time step came from; -1: none."""
    step_min, steps = floors.step_min, floors.place.shape[2]
    for k in range(trips.ptr[f], trips.ptr[f + 1]):
        if step * step_min > trips.latest[k] or trips.critical[k] & held:
            continue
        later = min((max(step * step_min, trips.earliest[k]) + trips.duration[k]) // step_min, steps - 1)
        cost = floors.place[held | trips.critical[k], trips.last[k], later] + trips.price[k]
        if cost <= floors.begun[held, f, step] + EPSILON:
            return k
    return -1


@outer
def grow(trips: Trips, roads: Roads, cuts: Cuts, floors: Floors, terms: Terms) -> tuple[Ints, Words, Floats, bool]:
    """(labels, units, money, whole): every partial day not dropped.

    A label is a row of each; its columns are named above. The last word of ``units``: the cuts of whose units an
    odd number is hauled. ``money``: cost without hours, and with flat hours. ``whole`` is false when ``most``
    labels or ``most_work`` were not enough, or it was halted.
    """
    size = FIRST_SIZE + len(trips.last)
    table = np.empty((size, COLUMNS), np.int64)
    units = np.zeros((size, trips.mask.shape[1] + 1), np.uint64)
    money = np.empty((size, 2))
    if roads.start > roads.end_by:
        return table[:0], units[:0], money[:0], True
    buckets = np.full(roads.end_by + 1, NO_LABEL, np.int64)
    # A division by a number that is not known beforehand costs more than all else that is asked of a trip.
    step_of = np.empty(roads.end_by + 1, np.int64)
    for now in range(roads.end_by + 1):
        step_of[now] = min(now // floors.step_min, floors.place.shape[2] - 1)
    heads = np.full(1 << HASH_BITS if terms.listing else len(trips.ptr), NO_LABEL, np.int64)
    count, work = _idle(table, money, roads), 0
    buckets[roads.start] = 0
    for now in range(roads.start, roads.end_by + 1):
        label = buckets[now]
        # New labels of the same minute can appear only at the yard, with no road to it; they join this list.
        while label != NO_LABEL:
            if not terms.keep_all:
                dropped, looked = _stands_behind(table, units, money, heads, label, roads, cuts, terms)
                work += looked
                if dropped:
                    table[label, KIND] = DROPPED
                    label = table[label, NEXT_IN]
                    continue
            if work > terms.most_work or count >= terms.most or terms.halt[0] != 0:
                return table[:count], units[:count], money[:count], False
            # Room for all that can follow this label, so that nothing below asks again.
            if count + len(trips.last) + 1 > size:
                size = 2 * size + len(trips.last)
                table = _grown(table, count, size)
                units = _grown(units, count, size)
                money = _grown(money, count, size)
            if terms.may_go_home and table[label, KIND] != HOME:
                count = _go_home(table, units, money, buckets, count, label, trips, roads, floors, terms)
            count, looked = _go_on(
                table, units, money, buckets, step_of, count, label, trips, roads, cuts, floors, terms
            )
            work += looked
            label = table[label, NEXT_IN]
    return table[:count], units[:count], money[:count], True


@inner
def _grown(old: Rows, count: int, size: int) -> Rows:
    """The first ``count`` rows in a larger array, copied one by one: slices make the compiler build messages."""
    new: Rows = np.empty((size, old.shape[1]), old.dtype)
    for row in range(count):
        for column in range(old.shape[1]):
            new[row, column] = old[row, column]
    return new


@inner
def _idle(table: Ints, money: Floats, roads: Roads) -> int:
    """The first label, the idle rig at its yard; gives how many labels there are."""
    for column in range(table.shape[1]):
        table[0, column] = 0
    table[0, PARENT] = table[0, TRIP] = table[0, NEXT_AT] = table[0, NEXT_IN] = NO_LABEL
    table[0, KIND], table[0, SITE] = HOME, roads.yard
    table[0, READY], table[0, LATEST] = roads.start, roads.end_by
    money[0, COST], money[0, FLAT] = 0.0, 0.0
    # Not plainly 1: the compiler would then compile what counts on for the constant, too.
    return int(table[0, DEPTH]) + 1


@inlined
def _hours(roads: Roads, terms: Terms, paid: int) -> float:
    """Money of so many paid minutes."""
    return roads.minute * paid + terms.over * max(0, paid - terms.over_after)


@inlined
def _hash(site: int, depth: int, units: Words, label: int) -> int:
    """Where labels of the same place, number of trips and units are listed."""
    value = np.uint64(site * 1000003 + depth)
    for word in range(units.shape[1] - 1):
        value = (value ^ units[label, word]) * np.uint64(0x9E3779B97F4A7C15)
        value ^= value >> np.uint64(29)
    return int(np.int64(value & np.uint64((1 << HASH_BITS) - 1)))


@inlined
def _stands_behind(
    table: Ints, units: Words, money: Floats, heads: Ints, label: int, roads: Roads, cuts: Cuts, terms: Terms
) -> tuple[bool, int]:
    """(whether another label stands for this one, how many were looked at); if none does, it joins the list.

    All labels listed are ready no later. While pricing, a list holds a place's labels by flat cost.
    """
    site = table[label, SITE]
    at_yard = table[label, KIND] == HOME
    if terms.listing:
        node = _hash(site + (len(roads.empty) if at_yard else 0), table[label, DEPTH], units, label)
    else:
        node = len(roads.empty) if at_yard else site
    cost, flat, drive = money[label, COST], money[label, FLAT], table[label, DRIVE]
    if terms.driving >= LIMITLESS_MIN:
        drive = LIMITLESS_MIN
    begun, paid = table[label, CLOSED] - table[label, LATEST], table[label, CLOSED] + table[label, DURATION]
    by_cost = terms.costs and terms.crowd == 0
    looked, crowded = 0, 0
    before, other = NO_LABEL, heads[node]
    while other != NO_LABEL:
        looked += 1
        if money[other, FLAT] > flat + EPSILON:
            if not terms.listing:
                break
            other = table[other, NEXT_AT]
            continue
        within = _within(units, other, label, terms)
        if not within and terms.crowd == 0:
            before, other = other, table[other, NEXT_AT]
            continue
        spare = flat - money[other, FLAT]
        if by_cost:
            spare = _spare(table, other, begun, paid, spare, cost - money[other, COST], roads.minute, terms.over)
        no_worse = spare >= -EPSILON and table[other, DRIVE] <= drive
        if no_worse and (not terms.listing or _alike(table, other, label)):
            crowded += 1
            if terms.crowd > 0 and crowded >= terms.crowd:
                return True, looked
            if within and _pays_no_more(units, other, label, cuts, spare):
                return True, looked
        before, other = other, table[other, NEXT_AT]
    if terms.listing or before == NO_LABEL:
        table[label, NEXT_AT] = heads[node]
        heads[node] = label
    else:
        table[label, NEXT_AT] = other
        table[before, NEXT_AT] = label
    return False, looked


@inlined
def _spare(
    table: Ints, other: int, begun: int, paid: int, flat: float, cost: float, minute: float, over: float
) -> float:
    """How much less the other label pays at least, whether both wait or not, and for what overtime may add.

    ``begun``: this label's closed minutes less its latest start; ``paid``: its minutes so far; ``flat``, ``cost``:
    by how much more it costs with and without hours.
    """
    waited = begun - table[other, CLOSED] + table[other, LATEST]
    paid -= table[other, CLOSED] + table[other, DURATION]
    return float(min(flat, cost + minute * waited) - over * max(0, -waited, -paid))


@inlined
def _alike(table: Ints, other: int, label: int) -> bool:
    """Whether two labels are at the same place after as many trips."""
    return bool(
        table[other, SITE] == table[label, SITE]
        and table[other, KIND] == table[label, KIND]
        and table[other, DEPTH] == table[label, DEPTH]
    )


@inlined
def _within(units: Words, other: int, label: int, terms: Terms) -> bool:
    """Whether the other label has hauled no unit that this one has not; while listing, just the same ones."""
    for word in range(units.shape[1] - 1):
        mine, its = units[label, word], units[other, word]
        if its & ~mine or (terms.listing and its != mine):
            return False
    return True


@inlined
def _pays_no_more(units: Words, other: int, label: int, cuts: Cuts, spare: float) -> bool:
    """Whether the other label can spare the cuts that it may have to pay where this one does not."""
    last = units.shape[1] - 1
    ahead = units[other, last] & ~units[label, last]
    for cut in range(len(cuts.price)):
        if (ahead >> np.uint64(cut)) & np.uint64(1):
            spare -= cuts.price[cut]
    return spare >= -EPSILON


@inner
def _go_home(
    table: Ints,
    units: Words,
    money: Floats,
    buckets: Ints,
    count: int,
    label: int,
    trips: Trips,
    roads: Roads,
    floors: Floors,
    terms: Terms,
) -> int:
    """The label's rig at its yard, to begin anew, as one more label; gives how many there are."""
    site, yard = table[label, SITE], roads.yard
    way = roads.empty[site, yard]
    ready = table[label, READY] + way
    if ready > roads.end_by or table[label, DRIVE] + way > terms.driving:
        return count
    paid = table[label, CLOSED] + table[label, DURATION] + way
    cost = money[label, COST] + roads.road[site, yard]
    floor = LARGE
    for f in range(len(roads.empty)):
        if trips.ptr[f] < trips.ptr[f + 1]:
            step = min((ready + roads.empty[yard, f]) // floors.step_min, floors.begun.shape[2] - 1)
            further = floors.begun[table[label, HELD], f, step]
            floor = min(floor, further + roads.road[yard, f] + roads.minute * roads.empty[yard, f])
    if cost + _hours(roads, terms, paid) + floor >= terms.cutoff:
        return count
    for column in range(table.shape[1]):
        table[count, column] = table[label, column]
    for word in range(units.shape[1]):
        units[count, word] = units[label, word]
    table[count, PARENT], table[count, TRIP] = label, NO_LABEL
    table[count, KIND], table[count, SITE], table[count, READY] = HOME, yard, ready
    table[count, DURATION], table[count, LATEST], table[count, CLOSED] = 0, roads.end_by, paid
    table[count, DRIVE] += way
    money[count, COST], money[count, FLAT] = cost, cost + roads.minute * paid
    if way == 0:
        table[count, NEXT_IN], table[label, NEXT_IN] = table[label, NEXT_IN], count
    else:
        table[count, NEXT_IN], buckets[ready] = buckets[ready], count
    return count + 1


@inlined
def _go_on(
    table: Ints,
    units: Words,
    money: Floats,
    buckets: Ints,
    step_of: Ints,
    count: int,
    label: int,
    trips: Trips,
    roads: Roads,
    cuts: Cuts,
    floors: Floors,
    terms: Terms,
) -> tuple[int, int]:
    """The label with one more trip, wherever that may stay below the cut-off: (labels now, trips looked at)."""
    site, held, now = table[label, SITE], table[label, HELD], table[label, READY]
    before, closed = table[label, DURATION], table[label, CLOSED]
    last_word, looked = units.shape[1] - 1, 0
    for f in range(len(roads.empty)):
        way = roads.empty[site, f]
        begin = now + way
        if trips.ptr[f] == trips.ptr[f + 1] or begin > roads.end_by:
            continue
        base, ahead = money[label, COST] + roads.road[site, f], before + way
        spent = _hours(roads, terms, closed + ahead)
        if base + spent + floors.begun[held, f, step_of[begin]] >= terms.cutoff:
            continue
        driven = table[label, DRIVE] + way
        looked += trips.ptr[f + 1] - trips.ptr[f]
        for k in range(trips.ptr[f], trips.ptr[f + 1]):
            if begin > trips.latest[k] or driven + trips.drive[k] > terms.driving:
                continue
            end = max(begin, trips.earliest[k]) + trips.duration[k]
            if end > roads.end_by:
                continue
            cost = base + trips.price[k]
            rest = floors.place[held | trips.critical[k], trips.last[k], step_of[end]]
            if cost + spent + roads.minute * trips.duration[k] + rest >= terms.cutoff:
                continue
            if not _free(units, label, trips.blocked, k):
                continue
            cost += _cuts_paid(cuts, k, units[label, last_word])
            duration = ahead + max(0, trips.earliest[k] - ahead - table[label, LATEST]) + trips.duration[k]
            paid = closed + duration
            if cost + _hours(roads, terms, paid) + rest >= terms.cutoff:
                continue
            table[count, PARENT], table[count, TRIP], table[count, KIND] = label, k, 0
            table[count, SITE], table[count, READY], table[count, DURATION] = trips.last[k], end, duration
            table[count, LATEST] = min(trips.latest[k] - ahead, table[label, LATEST])
            table[count, CLOSED], table[count, DRIVE] = closed, driven + trips.drive[k]
            table[count, DEPTH], table[count, HELD] = table[label, DEPTH] + 1, held | trips.critical[k]
            for word in range(last_word):
                units[count, word] = units[label, word] | trips.mask[k, word]
            units[count, last_word] = units[label, last_word] ^ cuts.toggle[k]
            money[count, COST], money[count, FLAT] = cost, cost + roads.minute * paid
            table[count, NEXT_IN], buckets[end] = buckets[end], count
            count += 1
    return count, looked


@inlined
def _free(units: Words, label: int, blocked: Words, k: int) -> bool:
    """Whether the label has hauled nothing that must not come before trip k."""
    for word in range(blocked.shape[1]):  # noqa: SIM110 - a generator costs the compiler seconds
        if units[label, word] & blocked[k, word]:
            return False
    return True


@inlined
def _cuts_paid(cuts: Cuts, k: int, odd: int) -> float:
    """What trip k pays for cuts after trips with an ``odd`` number of the units of some of them."""
    total = 0.0
    paid = cuts.pays[k] | (cuts.toggle[k] & odd)
    for cut in range(len(cuts.price)):
        if (paid >> np.uint64(cut)) & np.uint64(1):
            total += cuts.price[cut]
    return total
