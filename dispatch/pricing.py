"""The best days of a group of rigs at given prices, by labels: partial days grown trip by trip, all at once.

Layer n holds the partial days of n trips as arrays. A partial day is dropped when even the cheapest rest of the
day (see ``cost_to_go``) leaves it above the cut-off, or when another one with the same units, at the same place,
is no worse in everything that can still matter. Nothing else is dropped unless a cap is hit, and then the
answer says that it is not complete.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from dispatch.cost_to_go import CostToGo, cost_to_go
from dispatch.label_kernel import DEPTH
from dispatch.labels import Layer, first_of_their_kind, stacked, with_changes
from dispatch.prices import Prices as Prices
from dispatch.quick_search import (
    LABELS_A_CROWD,
    Found,
    Sorted,
    Wanted,
    applies,
    by_first_site,
    day_of,
    labels,
    roads_at,
    units_in,
    worth_a_look,
)
from dispatch.rig_days import Column, Day, Step, work_out
from dispatch.side_by_side import Halt, no_halt
from dispatch.trip_arrays import Bools, Floats, GroupArrays, Ints, Words
from dispatch.trips import Candidate

PAIRS_AT_ONCE = 2_000_000
EPSILON = 1e-6
BEAM_SURPLUS = 8
MOST_CRITICAL = 8
HASTY_WORK = 3_000_000
OFTEN = 4
"""Days given that hold a unit, unless they all are to be listed: variety, not many alike."""
LOOKED_AT = 30
"""Days looked at for each that is given, when not all are wanted."""
TOO_LATE = 30_000
"""Minutes past any day, and small enough for 16 bits: the widest arrays hold nothing larger."""


@dataclass(frozen=True, slots=True)
class Search:
    """How far to look. ``cutoff``: only days below this reduced cost; ``beam``: partial days kept a layer.

    ``caps`` are counts of labels and of columns. ``keep_all``: no dominance (where the clock of other rigs
    matters too), and every day is given, not only the best of its units and trips. ``every``: the list must be
    whole, not only hold some days where there are any. ``stop`` is asked between steps; compiled loops look
    at ``halt`` (see ``side_by_side``).
    """

    cutoff: float = -EPSILON
    beam: int | None = None
    most_labels: int = 3_000_000
    most_columns: int = 200_000
    most_work: int = 60_000_000
    keep_all: bool = False
    may_go_home: bool = True
    every: bool = False
    stop: Callable[[], bool] = lambda: False
    halt: Halt = field(default_factory=no_halt)


@dataclass(frozen=True, slots=True)
class Priced:
    """Days found and the least reduced cost seen.

    ``exact``: no day is below both ``least`` and the cut-off. ``complete``: besides, every day below
    the cut-off is in the list. ``floor``: no day at all is below both it and the cut-off, exact or not.
    ``looked_at``: the trips of a group of one rig that were not ruled out beforehand,
    those that earn most first.
    """

    columns: tuple[Day, ...]
    least: float
    exact: bool
    complete: bool
    floor: float = -math.inf
    looked_at: Sequence[Candidate] = ()


class Pricer:
    """Finds days of one group."""

    def __init__(self, arrays: GroupArrays, trips: Sorted | None = None) -> None:
        """``trips``: some of the arrays' trips, where days of those alone are looked for."""
        self.arrays = arrays
        self._sorted = trips if trips is not None else by_first_site(arrays) if applies(arrays) else None

    @property
    def takes_cuts(self) -> bool:
        """Whether prices may hold cuts."""
        return self._sorted is not None

    def within(self, units: Words) -> Pricer:
        """The pricer of the trips that carry none but these units."""
        trips = self.arrays.trips
        rows = np.nonzero(~(trips.mask & ~units[None, :]).any(axis=1))[0]
        return Pricer(replace(self.arrays, trips=trips.take(rows)))

    def promising(self, prices: Prices, cutoff: float) -> Pricer:
        """The pricer of the trips that a day below the cut-off could hold, and of some more."""
        if self._sorted is None or not len(self._sorted.order):
            return self
        own = np.ascontiguousarray(self._paid(prices)[self._sorted.order])
        rows = worth_a_look(self._sorted, own, roads_at(self.arrays, prices.money), cutoff + prices.group)
        return Pricer(self.arrays, self._sorted.take(rows))

    def _paid(self, prices: Prices) -> Floats:
        """What each trip costs at the prices, but for its hours."""
        trips = self.arrays.trips
        return prices.money * trips.lin_cents + prices.per_trip - trips.rewards(prices.unit)

    def search(self, prices: Prices, how: Search) -> Priced:
        """All days below the cut-off (or, with a beam, some of them), best first."""
        trips = self.arrays.trips
        if not len(trips.trips):
            return Priced((), 0.0, exact=True, complete=True, floor=0.0)
        lin = self._paid(prices)
        if self._sorted is not None:
            return self._quickly(self._sorted, prices, how, lin)
        if prices.cuts:
            raise ValueError("cuts are for groups of one rig only")
        run = _Run(self.arrays, prices, how, lin, cost_to_go(self.arrays, lin, prices.money))
        return run.all_days()

    def _quickly(self, trips: Sorted, prices: Prices, how: Search, lin: Floats) -> Priced:
        """The same by the compiled search."""
        wanted = Wanted(
            cutoff=how.cutoff,
            listing=how.every or how.keep_all,
            keep_all=how.keep_all,
            may_go_home=how.may_go_home,
            crowd=0 if how.beam is None else max(1, how.beam // LABELS_A_CROWD),
            most_labels=how.most_labels,
            most_work=how.most_work if how.beam is None else HASTY_WORK,
            critical=MOST_CRITICAL if how.beam is None else 0,
            halt=how.halt,
        )
        found = labels(self.arrays, trips, lin, prices, wanted)
        rows = np.nonzero(found.reduced < how.cutoff)[0]
        rows = rows[np.argsort(found.reduced[rows], kind="stable")]
        least = min(0.0, float(found.reduced[rows[0]])) if len(rows) else 0.0
        if not wanted.listing:
            rows = rows[: LOOKED_AT * how.most_columns]
        if not how.keep_all:
            rows = rows[np.sort(_first_of_each(found, rows))]
        exact = how.beam is None and found.whole
        floor = least if exact else found.floor
        by_gain = found.trips.order[np.argsort(lin[found.trips.order], kind="stable")]
        looked_at = self.arrays.trips.trips.take(by_gain)
        if not wanted.listing:
            columns = [day_of(self.arrays, found, int(row)) for row in _varied(found, rows, how.most_columns)]
            return Priced(tuple(columns), least, exact, False, floor, looked_at)
        if len(rows) > how.most_columns:
            return Priced((), least, exact, False, floor, looked_at)
        days = tuple(day_of(self.arrays, found, int(row)) for row in rows)
        return Priced(days, least, exact, exact, floor, looked_at)


def _first_of_each(found: Found, rows: Ints) -> Ints:
    """Positions in ``rows`` of the first of each number of trips and set of units."""
    depth = found.table[rows, DEPTH].astype(np.uint64)
    keys = np.ascontiguousarray(np.column_stack([depth, found.masks[rows]]))
    data, width = keys.tobytes(), keys.shape[1] * keys.itemsize
    first: dict[bytes, int] = {}
    for place in range(len(rows)):
        first.setdefault(data[place * width : (place + 1) * width], place)
    return np.array(list(first.values()), np.int64)


def _varied(found: Found, rows: Ints, most: int) -> list[int]:
    """The best of the rows such that no unit is on more than a few of them."""
    chosen: list[int] = []
    often: dict[int, int] = {}
    for row in rows:
        own = [int(unit) for unit in units_in(found.masks[row])]
        if min(often.get(unit, 0) for unit in own) >= OFTEN:
            continue
        for unit in own:
            often[unit] = often.get(unit, 0) + 1
        chosen.append(int(row))
        if len(chosen) >= most:
            break
    return chosen


class _Run:
    """One search: prices, cut-off and the layers so far."""

    def __init__(self, arrays: GroupArrays, prices: Prices, how: Search, lin: Floats, floor: CostToGo) -> None:
        self.a = arrays
        self.prices = prices
        self.how = how
        self.lin = lin
        self.floor = floor
        self.layers: list[Layer] = []
        self.exact = how.beam is None
        self.complete = True
        self.labels = 0
        sites = len(arrays.rules.table.names)
        keys, self.start_of = np.unique(arrays.trips.rig * sites + arrays.trips.first, return_inverse=True)
        self.start_rig, self.start_site = keys // sites, keys % sites
        self.latest = arrays.trips.latest.clip(max=TOO_LATE - 1).astype(np.int16)

    def all_days(self) -> Priced:
        layer = self._kept(self._first())
        while len(layer):
            self.layers.append(layer)
            self.labels += len(layer)
            if self.labels > self.how.most_labels or self.how.stop():
                self.exact = False
                break
            layer = self._kept(stacked(list(self._pieces(layer)), layer))
        return self._finished()

    def _pieces(self, layer: Layer) -> Iterator[Layer]:
        """The layer's extensions, as far as the cap on labels allows."""
        held = 0
        for part in self._extended(layer):
            kept = self._kept(part)
            held += len(kept)
            yield kept
            if self.labels + held > self.how.most_labels:
                self.exact = False
                return

    # -- growing ------------------------------------------------------------------------------------------

    def _first(self) -> Layer:
        """Every trip as the first of the day."""
        a, t = self.a, self.a.trips
        count = len(t.trips)
        rigs, drivers = len(a.group.rigs), len(a.group.hours)
        zeros = np.zeros(count, dtype=np.int64)
        idle = Layer(
            parent=zeros - 1,
            trip=zeros,
            from_yard=np.ones(count, dtype=np.bool_),
            mask=np.zeros_like(t.mask),
            rig=t.rig,
            site=a.yard[t.rig],
            duration=zeros,
            earliest=a.start[t.rig],
            latest=a.end_by[t.rig],
            closed=np.zeros((count, rigs), dtype=np.int64),
            drive=np.zeros((count, drivers), dtype=np.int64),
            since=np.zeros((count, drivers), dtype=np.int64),
            lin=np.zeros(count),
        )
        return self._append(idle, np.arange(count), np.arange(count) * 0 - 1, from_yard=True)

    def _extended(self, layer: Layer) -> Iterator[Layer]:
        """The layer with one more trip each, in pieces of bounded size."""
        trips = len(self.a.trips.trips)
        size = max(1, PAIRS_AT_ONCE // trips)
        for begin in range(0, len(layer), size):
            if self.how.stop():
                self.exact = False
                return
            rows = np.arange(begin, min(begin + size, len(layer)))
            part = layer.take(rows)
            free = np.ones((len(rows), trips), dtype=np.bool_)
            for word in range(part.mask.shape[1]):
                free &= (part.mask[:, word, None] & self.a.trips.blocked[None, :, word]) == 0
            yield self._grow(part, rows, free, home=False)
            if self.how.may_go_home or len(self.a.group.rigs) > 1:
                yield self._grow(part, rows, free, home=True)

    def _grow(self, part: Layer, rows: Ints, free: Bools, *, home: bool) -> Layer:
        a, t = self.a, self.a.trips
        ready, at = self._home(part) if home else (part.earliest + part.duration, part)
        begin = self._begins(part, ready, home=home)
        in_time = begin.astype(np.int16)[:, self.start_of] <= self.latest[None, :]
        row, trip = np.nonzero(in_time & free)
        row, trip = self._promising(at, row, trip, begin[row, self.start_of[trip]], home=home)
        base = at.take(row)
        if home:
            changed = np.where(part.rig[row] == t.rig[trip], 0, a.rules.hook_min)
            start = np.maximum(ready[row] + changed, a.start[t.rig[trip]])
            base = with_changes(
                base,
                rig=t.rig[trip],
                site=a.yard[t.rig[trip]],
                duration=np.zeros(len(row), dtype=np.int64),
                earliest=start,
                latest=a.end_by[t.rig[trip]],
            )
        return self._append(base, trip, rows[row], from_yard=home)

    def _begins(self, part: Layer, ready: Ints, *, home: bool) -> Ints:
        """When each partial day could begin a trip of each rig at each first site; TOO_LATE where it cannot."""
        a, table = self.a, self.a.rules.table
        same = part.rig[:, None] == self.start_rig[None, :]
        if not home:
            begin = ready[:, None] + table.empty_min[part.site][:, self.start_site]
            return np.where(same, begin, TOO_LATE).clip(max=TOO_LATE)
        road = table.empty_min[a.yard[self.start_rig], self.start_site]
        hooked = ready[:, None] + np.where(same, 0, a.rules.hook_min)
        begin = np.maximum(hooked, a.start[self.start_rig][None, :]) + road[None, :]
        barred = (ready > a.end_by[part.rig])[:, None] | (same if not self.how.may_go_home else False)
        return np.where(barred, TOO_LATE, begin).clip(max=TOO_LATE)

    def _promising(self, at: Layer, row: Ints, trip: Ints, begin: Ints, *, home: bool) -> tuple[Ints, Ints]:
        """The pairs of partial day and next trip that may stay below the cut-off; waiting counted as free."""
        a, t = self.a, self.a.trips
        end = np.maximum(begin, t.earliest[trip]) + t.duration[trip]
        floors = at.lin[row] + self.lin[trip] + self.floor.at(t.rig[trip], t.last[trip], end)
        floors -= self.prices.group
        if self.prices.money:
            site = a.yard[t.rig[trip]] if home else at.site[row]
            road = a.rules.table.empty_min[site, t.first[trip]]
            miles = a.mile_cents[t.rig[trip]] * a.rules.table.tenths[site, t.first[trip]]
            open_min = 0 if home else at.duration[row]
            hours = a.minute_cents[t.rig[trip]] * (open_min + road + t.duration[trip])
            closed = (at.closed @ a.minute_cents)[row]
            floors += self.prices.money * (miles + hours + closed)
        good = np.nonzero(floors < self.how.cutoff)[0]
        if self.how.beam is not None and len(good) > BEAM_SURPLUS * self.how.beam:
            best = np.argpartition(floors[good], BEAM_SURPLUS * self.how.beam)[: BEAM_SURPLUS * self.how.beam]
            good = good[np.sort(best)]
        return row[good], trip[good]

    def _home(self, part: Layer) -> tuple[Ints, Layer]:
        """Everyone driven home to the yard: when they are there, and the partial days with the run closed."""
        a, table = self.a, self.a.rules.table
        yard = a.yard[part.rig]
        road, gap, since = self._road(part, part.site, yard, np.zeros(len(part), dtype=np.int64))
        everyone = np.arange(len(part))
        closed, drive = part.closed.copy(), part.drive.copy()
        closed[everyone, part.rig] += part.duration + gap
        drive[everyone, a.driver[part.rig]] += road
        lin = part.lin + self.prices.money * a.mile_cents[part.rig] * table.tenths[part.site, yard]
        ready = part.earliest + part.duration + gap
        return ready, with_changes(part, closed=closed, drive=drive, lin=lin, since=since)

    def _append(self, base: Layer, trip: Ints, parent: Ints, *, from_yard: bool) -> Layer:
        """The trips done after the partial days given, row by row; those that come too late are dropped."""
        a, t = self.a, self.a.trips
        target = t.first[trip]
        road, gap, since = self._road(base, base.site, target, t.drive[trip])
        ahead = base.duration + gap
        wait = np.maximum(0, t.earliest[trip] - ahead - base.latest)
        drive = base.drive.copy()
        everyone = np.arange(len(base))
        drive[everyone, a.driver[base.rig]] += road + t.drive[trip]
        miles = a.mile_cents[base.rig] * a.rules.table.tenths[base.site, target]
        grown = Layer(
            parent=parent,
            trip=trip,
            from_yard=np.full(len(base), from_yard),
            mask=base.mask | t.mask[trip],
            rig=base.rig,
            site=t.last[trip],
            duration=ahead + wait + t.duration[trip],
            earliest=np.maximum(t.earliest[trip] - ahead, base.earliest) - wait,
            latest=np.minimum(t.latest[trip] - ahead, base.latest),
            closed=base.closed,
            drive=drive,
            since=since,
            lin=base.lin + self.prices.money * miles + self.lin[trip],
        )
        in_time = (base.earliest + ahead <= t.latest[trip]) & (drive <= a.driving[None, :]).all(axis=1)
        return grown.take(in_time)

    def _road(self, base: Layer, site: Ints, target: Ints, loaded: Ints) -> tuple[Ints, Ints, Ints]:
        """Minutes driven empty, minutes it takes with breaks, and minutes since the last break afterwards."""
        a = self.a
        road = a.rules.table.empty_min[site, target]
        if a.break_after is None:
            return road, road, base.since
        own = a.driver[base.rig]
        everyone = np.arange(len(base))
        before = base.since[everyone, own]
        stops = np.maximum(0, -(-(before + road) // a.break_after) - 1)
        driven = before + road - stops * a.break_after
        more = (loaded > 0) & (driven + loaded > a.break_after)
        since = base.since.copy()
        since[everyone, own] = np.where(more, loaded, driven + loaded)
        too_long = np.where(loaded > a.break_after, 10**6, 0)
        return road, road + (stops + more) * a.group.hours[0].break_min + too_long, since

    # -- dropping -----------------------------------------------------------------------------------------

    def _kept(self, layer: Layer) -> Layer:
        floors = self._floors(layer)
        good = floors < self.how.cutoff
        layer, floors = layer.take(good), floors[good]
        if self.how.beam is not None and len(layer) > BEAM_SURPLUS * self.how.beam:
            rows = np.sort(np.argpartition(floors, BEAM_SURPLUS * self.how.beam)[: BEAM_SURPLUS * self.how.beam])
            layer, floors = layer.take(rows), floors[rows]
        if not self.how.keep_all and len(layer) > 1:
            alive = ~self._dominated(layer)
            layer, floors = layer.take(alive), floors[alive]
        if self.how.beam is not None and len(layer) > self.how.beam:
            best = np.sort(np.argsort(floors, kind="stable")[: self.how.beam])
            layer = layer.take(best)
        return layer

    def _floors(self, layer: Layer) -> Floats:
        """Least reduced cost that any completion of the partial days can have."""
        spent = self._hours_cost(layer, layer.duration)
        rest = self.floor.at(layer.rig, layer.site, layer.earliest + layer.duration)
        total: Floats = layer.lin + spent + rest - self.prices.group
        return total

    def _hours_cost(self, layer: Layer, duration: Ints) -> Floats:
        a = self.a
        paid = layer.closed.copy()
        paid[np.arange(len(layer)), layer.rig] += duration
        over = np.maximum(0, paid - a.overtime_after[None, :])
        cost: Floats = self.prices.money * (paid @ a.minute_cents + over @ a.overtime_cents)
        return cost

    def _criteria(self, layer: Layer) -> Floats:
        """What must be no greater, column by column, for one partial day to stand for another."""
        parts = [layer.earliest + layer.duration, layer.lin]
        parts += list(layer.drive.T)
        if self.prices.money or self.a.strict_windows:
            parts += [layer.duration, -layer.latest]
        if self.prices.money or self.a.far_ends:
            parts += list(layer.closed.T)
        if self.a.break_after is not None:
            parts += list(layer.since.T)
        return np.stack([np.asarray(part, dtype=np.float64) for part in parts], axis=1)

    def _dominated(self, layer: Layer) -> Bools:
        """Partial days that another one, with the same units and at the same place, is no worse than."""
        if self.a.strict_windows and bool(layer.closed.any()):
            return np.zeros(len(layer), dtype=np.bool_)
        criteria = self._criteria(layer)
        keys = [layer.mask[:, word] for word in range(layer.mask.shape[1])]
        key = np.stack([*keys, layer.rig.astype(np.uint64), layer.site.astype(np.uint64)], axis=1)
        order = np.lexsort((*(column for column in criteria.T[::-1]), *(column for column in key.T)))
        key, criteria = key[order], criteria[order]
        new = np.ones(len(layer), dtype=np.bool_)
        new[1:] = (key[1:] != key[:-1]).any(axis=1)
        found = np.ones(len(layer), dtype=np.bool_)
        found[order[first_of_their_kind(np.cumsum(new) - 1, criteria)]] = False
        return found

    # -- finishing ----------------------------------------------------------------------------------------

    def _finished(self) -> Priced:
        """The partial days that can go home now, as whole days, cheapest first."""
        picked: list[tuple[float, int, int]] = []
        for depth, layer in enumerate(self.layers):
            reduced = self._closed_cost(layer)
            picked += [(float(reduced[row]), depth, int(row)) for row in np.nonzero(reduced < self.how.cutoff)[0]]
        picked.sort()
        columns: dict[object, Column] = {}
        for _, depth, row in picked:
            steps = self._steps(depth, row)
            key = self._key(depth, row)
            if key in columns:
                continue
            if len(columns) >= self.how.most_columns or (not len(columns) % 256 and self.how.stop()):
                self.complete = False
                break
            column = work_out(self.a.rules, self.a.group, steps)
            if column is not None:
                columns[key] = column
        least = min(0.0, picked[0][0]) if picked else 0.0
        floor = least if self.exact else -math.inf
        return Priced(tuple(columns.values()), least, self.exact, self.exact and self.complete, floor)

    def _key(self, depth: int, row: int) -> object:
        if self.how.keep_all:
            return depth, row
        return depth, tuple(int(word) for word in self.layers[depth].mask[row])

    def _closed_cost(self, layer: Layer) -> Floats:
        """Reduced cost of going home now; infinite where that is too late or too far."""
        a, table = self.a, self.a.rules.table
        home = a.home[layer.rig]
        road, gap, _ = self._road(layer, layer.site, home, np.zeros(len(layer), dtype=np.int64))
        duration = layer.duration + gap
        miles = self.prices.money * a.mile_cents[layer.rig] * table.tenths[layer.site, home]
        cost = layer.lin + miles + self._hours_cost(layer, duration) - self.prices.group
        own = layer.drive[np.arange(len(layer)), a.driver[layer.rig]] + road
        late = layer.earliest + duration > a.end_by[layer.rig]
        cost[late | (own > a.driving[a.driver[layer.rig]])] = np.inf
        return cost

    def _steps(self, depth: int, row: int) -> Sequence[Step]:
        steps: list[Step] = []
        while depth >= 0:
            layer = self.layers[depth]
            trip = int(layer.trip[row])
            steps.append(Step(int(layer.rig[row]), self.a.trips.trips[trip], bool(layer.from_yard[row])))
            row, depth = int(layer.parent[row]), depth - 1
        return steps[::-1]
