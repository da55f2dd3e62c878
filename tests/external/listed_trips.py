"""Rig-days put together from listed trips, and HiGHS choosing among them: an exact run built differently.

Shared with the optimiser: the ``Placer``, the travel table and the figures of the domain (through ``trip_list``);
nothing else. Two ways to use it:

- ``every_day``: all rig-days of a small day, nothing cut; HiGHS settles left out, trips, cost one by one.
- ``confirm``: of a larger day, whether a given plan can be beaten. A linear programme over rig-days gives a floor;
  a rig-day whose reduced cost is above the gap between that floor and a better value is in no better plan; all
  others are listed, and HiGHS says whether a better choice is among them. No cuts, no branching of ours.

Of partial days with the same trips counted, the same units and the same place, one is dropped when another is no
worse in every figure that later clocks and costs grow with. Days with shared gear, machines moved twice and shifts
longer than the duty window are refused (``Unfit``); so are more than 63 units.
"""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from itertools import combinations

import highspy
import numpy as np
from numpy.typing import NDArray

from dispatch.costs import exact, rig_day_cents
from dispatch.driver_hours import hours_rule
from dispatch.fleet import Rig
from dispatch.placement import Placer
from dispatch.plan import Plan
from dispatch.problem import Problem, shares_gear
from dispatch.travel import Travel
from tests.external.trip_list import ALWAYS, ListedTrip, Unfit, Yardmaster

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
LEVELS = ("left out", "trips", "cost")
NOISE = 1e-4
PAIRS = 4_000_000
"""Pairs of partial day and trip looked at together."""


class TooMany(RuntimeError):
    """More partial days or rig-days than allowed: nothing is decided."""


@dataclass(frozen=True)
class RigDays:
    """Rig-days of one class: units as a bit mask, trips, whole cents; the cheapest of each mask and count."""

    units: NDArray[np.uint64]
    trips: Ints
    cents: Ints


@dataclass(frozen=True)
class Prices:
    """What a unit earns, what a trip, a cent and a day of the class cost, by the linear programme."""

    unit: Floats
    trip: float
    cent: float
    day: float


@dataclass(frozen=True)
class Labels:
    """Partial days, one a row. The run that is out: over at max(start + ``run``, ``over``), start <= ``latest``.

    ``closed``: paid minutes of the runs before it; ``lin``: price without hours; ``fixed``: parts of a cent.
    """

    units: NDArray[np.uint64]
    site: Ints
    run: Ints
    over: Ints
    latest: Ints
    closed: Ints
    drive: Ints
    fixed: Ints
    lin: Floats

    def __len__(self) -> int:
        return len(self.site)

    def take(self, rows: NDArray[np.generic]) -> Labels:
        return Labels(*(getattr(self, one.name)[rows] for one in fields(self)))

    @property
    def paid(self) -> Ints:
        """Paid minutes when the yard is left as late as it may be."""
        return self.closed + np.maximum(self.run, self.over - self.latest)


class RigClass:
    """The rig-days of rigs that are alike."""

    def __init__(self, yard: Yardmaster, rig: Rig, count: int) -> None:
        self.rig, self.count = rig, count
        trips = sorted(yard.trips(rig), key=lambda trip: trip.first)
        self.trips: Sequence[ListedTrip] = trips
        names = [rig.yard, rig.end, *(t.first for t in trips), *(t.last for t in trips)]
        sites = list(dict.fromkeys(names))
        number = {name: i for i, name in enumerate(sites)}
        self.road = np.array([[yard.minutes(a, b, loaded=False) for b in sites] for a in sites], dtype=np.int64)
        self.tenths = np.array([[yard.tenths(a, b) for b in sites] for a in sites], dtype=np.int64)
        self.yard, self.end = number[rig.yard], number[rig.end]
        self.opens, self.closes = rig.shift_start_min, rig.shift_end_min
        self.limit = yard.driving_limit(rig)
        self.units = np.array([trip.units for trip in trips], dtype=np.uint64)
        self.first = np.array([number[t.first] for t in trips], dtype=np.int64)
        self.last = np.array([number[t.last] for t in trips], dtype=np.int64)
        self.run = np.array([t.clock.run for t in trips], dtype=np.int64)
        self.over = np.array([t.clock.over for t in trips], dtype=np.int64)
        self.latest = np.array([t.clock.latest for t in trips], dtype=np.int64)
        self.drive = np.array([t.drive_min for t in trips], dtype=np.int64)
        self._money(rig, trips)
        count_units = len(yard.units)
        bits = np.array([1 << unit for unit in range(count_units)], dtype=np.uint64)
        self.member = ((self.units[:, None] & bits[None, :]) > 0).astype(np.float64)
        if len(self.run) and self.run.min() < 1:
            raise Unfit("a trip that takes no time")

    def _money(self, rig: Rig, trips: Sequence[ListedTrip]) -> None:
        """All prices in whole parts of a cent."""
        minute, mile = 100 * exact(rig.cost_per_hour_usd) / 60, 10 * exact(rig.cost_per_mile_usd)
        extra = minute * (exact(rig.overtime_factor) - 1)
        each = [100 * exact(rig.cost_per_trip_usd) + trip.permit_cents for trip in trips]
        self.parts = math.lcm(*(price.denominator for price in (minute, mile, extra, *each)))
        self.minute, self.mile, self.extra = (int(self.parts * price) for price in (minute, mile, extra))
        self.overtime_after = ALWAYS if rig.overtime_after_min is None else rig.overtime_after_min
        own = [int(self.parts * price) for price in each]
        self.fixed = np.array(own, dtype=np.int64) + self.mile * np.array(
            [t.tenths for t in trips], dtype=np.int64
        )
        if self.extra < 0:
            raise Unfit("overtime that is cheaper than time")

    # floors under the rest of a day

    def value_of(self, prices: Prices) -> Floats:
        """What each trip adds to the price of a day, hours and empty roads apart."""
        return prices.trip + prices.cent * self.fixed / self.parts - self.member @ prices.unit

    def onward(self, prices: Prices, own: Floats) -> Floats:
        """Least further price from each site (row) at each minute (column); waiting is free, units may repeat."""
        minute, mile = (prices.cent * amount / self.parts for amount in (self.minute, self.mile))
        sites, ends = len(self.road), self.closes + 2
        rest = np.full((sites, ends), np.inf)
        begun = np.full((sites, ends), np.inf)
        home, far = self.road[:, self.end], self.road
        by_yard = self.road[:, self.yard][:, None] + self.road[self.yard][None, :]
        price_home = minute * home + mile * self.tenths[:, self.end]
        price_far = minute * far + mile * self.tenths
        price_yard = minute * by_yard + mile * (
            self.tenths[:, self.yard][:, None] + self.tenths[self.yard][None, :]
        )
        own = own + minute * self.run
        groups, place = np.unique(self.first, return_index=True)
        column = np.arange(sites)[None, :]
        for now in range(self.closes, self.opens - 1, -1):
            over = np.minimum(np.maximum(now + self.run, self.over), ends - 1)
            value = np.where(now <= self.latest, own + rest[self.last, over], np.inf)
            if len(value):
                begun[groups, now] = np.minimum.reduceat(value, place)
            best = np.where(now + home <= self.closes, price_home, np.inf)
            for ahead, price in ((far, price_far), (by_yard, price_yard)):
                then = np.minimum(now + ahead, ends - 1)
                best = np.minimum(best, (begun[column, then] + price).min(axis=1))
            rest[:, now] = np.minimum(best, rest[:, now + 1])
        return rest

    # partial days

    def days(
        self, prices: Prices, cutoff: float, *, beam: int | None = None, most: int = 2_000_000, every: bool = False
    ) -> RigDays:
        """All rig-days with a reduced cost up to ``cutoff`` (with a ``beam``: some). Raises TooMany.

        ``every``: no floors are asked, nothing is cut by price.
        """
        own = self.value_of(prices)
        rest = self.onward(prices, own) if not every else np.zeros((len(self.road), self.closes + 2))
        cutoff += prices.day + (0.5 + NOISE) * prices.cent + NOISE
        layer = self._first(prices, own, rest, cutoff)
        done: list[RigDays] = []
        count, total = 1, 0
        while len(layer):
            if beam is not None and len(layer) > beam:
                floors = self._floors(layer, prices, rest)
                layer = layer.take(np.sort(np.argsort(floors, kind="stable")[:beam]))
            total += len(layer)
            if total > most:
                raise TooMany(f"{total} partial days")
            done.append(self._finished(layer, count, prices, cutoff))
            parts: list[Labels] = []
            held = 0
            for part in self._longer(layer, prices, own, rest, cutoff):
                parts.append(self._undominated(part, prices))
                held += len(parts[-1])
                if held > 3 * most:
                    raise TooMany(f"{held} partial days")
            layer = self._undominated(_joined(parts, layer), prices)
            count += 1
        return _cheapest(done)

    def _idle(self, count: int) -> Labels:
        zeros = np.zeros(count, dtype=np.int64)
        yard, opens, latest = zeros + self.yard, zeros + self.opens, zeros + ALWAYS
        units, price = np.zeros(count, dtype=np.uint64), np.zeros(count)
        return Labels(units, yard, zeros, opens, latest, zeros, zeros, zeros, price)

    def _first(self, prices: Prices, own: Floats, rest: Floats, cutoff: float) -> Labels:
        begun = self._with(self._idle(len(self.trips)), np.arange(len(self.trips)), prices, own)
        return self._cut(begun, prices, rest, cutoff)

    def _longer(self, layer: Labels, prices: Prices, own: Floats, rest: Floats, cutoff: float) -> Iterator[Labels]:
        """The partial days with one more trip: straight on, or from the yard in a new run."""
        size = max(1, PAIRS // max(1, len(self.trips)))
        for begin in range(0, len(layer), size):
            part = layer.take(np.arange(begin, min(len(layer), begin + size)))
            for base in (part, self._at_yard(part)):
                free = (base.units[:, None] & self.units[None, :]) == 0
                arrive = base.over[:, None] + self.road[base.site][:, self.first]
                free &= arrive <= self.latest[None, :]
                row, trip = np.nonzero(free)
                over = np.maximum(arrive[row, trip] + self.run[trip], self.over[trip])
                good = over <= self.closes
                row, trip, over = row[good], trip[good], over[good]
                floors = base.lin[row] + own[trip] + rest[self.last[trip], over]
                floors += prices.cent * self.minute / self.parts * (base.paid[row] + self.run[trip])
                good = floors <= cutoff
                row, trip = row[good], trip[good]
                yield self._cut(self._with(base.take(row), trip, prices, own), prices, rest, cutoff)

    def _at_yard(self, part: Labels) -> Labels:
        """Back at the yard, in time for the shift; the run closed."""
        road, tenths = self.road[part.site, self.yard], self.tenths[part.site, self.yard]
        back = replace(
            part,
            run=part.run + road,
            over=part.over + road,
            latest=np.minimum(part.latest, self.closes - part.run - road),
        )
        zeros = np.zeros(len(part), dtype=np.int64)
        return replace(
            back,
            site=zeros + self.yard,
            run=zeros,
            latest=zeros + ALWAYS,
            closed=back.paid,
            drive=part.drive + road,
            fixed=part.fixed + self.mile * tenths,
            lin=part.lin + self._mile_price * tenths,
        ).take(back.over <= self.closes)

    def _with(self, base: Labels, trip: Ints, prices: Prices, own: Floats) -> Labels:
        self._mile_price = prices.cent * self.mile / self.parts
        road, tenths = self.road[base.site, self.first[trip]], self.tenths[base.site, self.first[trip]]
        longer = Labels(
            units=base.units | self.units[trip],
            site=self.last[trip],
            run=base.run + road + self.run[trip],
            over=np.maximum(base.over + road + self.run[trip], self.over[trip]),
            latest=np.minimum(base.latest, self.latest[trip] - base.run - road),
            closed=base.closed,
            drive=base.drive + road + self.drive[trip],
            fixed=base.fixed + self.mile * tenths + self.fixed[trip],
            lin=base.lin + self._mile_price * tenths + own[trip],
        )
        return longer.take(base.over + road <= self.latest[trip])

    def _cut(self, layer: Labels, prices: Prices, rest: Floats, cutoff: float) -> Labels:
        layer = layer.take((layer.over <= self.closes) & (layer.drive <= self.limit))
        return layer.take(self._floors(layer, prices, rest) <= cutoff)

    def _floors(self, layer: Labels, prices: Prices, rest: Floats) -> Floats:
        return layer.lin + self._hours(layer.paid, prices) + rest[layer.site, layer.over]

    def _hours(self, paid: Ints, prices: Prices) -> Floats:
        return prices.cent / self.parts * self._hour_parts(paid)

    def _hour_parts(self, paid: Ints) -> Ints:
        return self.minute * paid + self.extra * np.maximum(0, paid - self.overtime_after)

    def _undominated(self, layer: Labels, prices: Prices) -> Labels:
        """Without those that one of a few neighbours in sorted order is no worse than in everything."""
        if len(layer) < 2:
            return layer
        may_tire = layer.drive + self.closes - layer.over > self.limit
        figures = [layer.over, layer.lin, np.where(may_tire, layer.drive, 0)]
        if prices.cent:
            figures += [layer.run, -layer.latest, layer.closed, layer.fixed]
        order = np.lexsort((*figures[::-1], layer.site, layer.units))
        for back in (*range(1, 9), 16, 32, 64):
            if back >= len(order):
                break
            here, there = order[back:], order[:-back]
            worse = (layer.units[here] == layer.units[there]) & (layer.site[here] == layer.site[there])
            for figure in figures:
                worse &= figure[there] <= figure[here] + 1e-9
            order = order[np.concatenate([np.ones(back, dtype=bool), ~worse])]
        return layer.take(np.sort(order))

    def _finished(self, layer: Labels, count: int, prices: Prices, cutoff: float) -> RigDays:
        road, tenths = self.road[layer.site, self.end], self.tenths[layer.site, self.end]
        home = replace(
            layer,
            run=layer.run + road,
            over=layer.over + road,
            latest=np.minimum(layer.latest, self.closes - layer.run - road),
        )
        parts = self._hour_parts(home.paid) + layer.fixed + self.mile * tenths
        cents = (2 * parts + self.parts) // (2 * self.parts)
        price = layer.lin + self._mile_price * tenths + self._hours(home.paid, prices)
        good = (home.over <= self.closes) & (layer.drive + road <= self.limit) & (price <= cutoff)
        return RigDays(layer.units[good], np.full(int(good.sum()), count, dtype=np.int64), cents[good])


def _joined(parts: Sequence[Labels], like: Labels) -> Labels:
    if not parts:
        return like.take(np.zeros(0, dtype=np.int64))
    return Labels(*(np.concatenate([getattr(part, one.name) for part in parts]) for one in fields(like)))


def _cheapest(done: Sequence[RigDays]) -> RigDays:
    """Of days with the same units and as many trips the cheapest: they fill the same rows."""
    if not done:
        none = np.zeros(0, dtype=np.int64)
        return RigDays(none.astype(np.uint64), none, none)
    units, trips, cents = (
        np.concatenate([getattr(d, name) for d in done]) for name in ("units", "trips", "cents")
    )
    order = np.lexsort((cents, trips, units))
    units, trips, cents = units[order], trips[order], cents[order]
    new = np.ones(len(units), dtype=bool)
    new[1:] = (units[1:] != units[:-1]) | (trips[1:] != trips[:-1])
    return RigDays(units[new], trips[new], cents[new])


# The programme


class Choice:
    """Rig-days and units left out as a programme for HiGHS: each unit once, no more days than rigs, goals kept."""

    def __init__(self, yard: Yardmaster, classes: Sequence[RigClass], kept: dict[str, int], goal: str) -> None:
        self.goal, self.kept, self.units = goal, list(kept), len(yard.units)
        self.scale = math.lcm(1, *(p.denominator for p in yard.priorities))
        self.weights = [int(p * self.scale) for p in yard.priorities]
        self.classes = len(classes)
        self.known: set[tuple[int, int, int, int]] = set()
        self.h = _quiet()
        lower = [1.0] * self.units + [-highspy.kHighsInf] * (self.classes + len(kept))
        upper = [1.0] * self.units + [float(one.count) for one in classes] + [float(kept[k]) for k in self.kept]
        for low, high in zip(lower, upper, strict=True):
            self.h.addRow(low, high, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))
        for unit, weight in enumerate(self.weights):
            self._column({"left out": weight}, {unit: 1.0})

    def _column(self, worth: dict[str, int], entries: dict[int, float]) -> None:
        base = self.units + self.classes
        entries |= {base + i: float(worth[k]) for i, k in enumerate(self.kept) if worth.get(k)}
        index, value = np.array(list(entries), dtype=np.int32), np.array(list(entries.values()))
        self.h.addCol(float(worth.get(self.goal, 0)), 0.0, highspy.kHighsInf, len(index), index, value)

    def add(self, number: int, days: RigDays) -> int:
        """Adds a class's days; gives how many were new."""
        new = 0
        for units, trips, cents in zip(days.units.tolist(), days.trips.tolist(), days.cents.tolist(), strict=True):
            key = (number, units, trips, cents)
            if key in self.known:
                continue
            self.known.add(key)
            members = {unit: 1.0 for unit in range(self.units) if units >> unit & 1}
            self._column({"trips": trips, "cost": cents}, {**members, self.units + number: 1.0})
            new += 1
        return new

    def relaxed(self) -> tuple[float, list[Prices]]:
        """The floor of the mix and each class's prices."""
        self.h.run()
        if self.h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError(self.h.modelStatusToString(self.h.getModelStatus()))
        dual = np.array(self.h.getSolution().row_dual)
        price = {k: -float(dual[self.units + self.classes + i]) for i, k in enumerate(self.kept)}
        trip = price.get("trips", 0.0) + (self.goal == "trips")
        cent = price.get("cost", 0.0) + (self.goal == "cost")
        rewards = dual[: self.units]
        days = [float(dual[self.units + number]) for number in range(self.classes)]
        return float(self.h.getInfo().objective_function_value), [Prices(rewards, trip, cent, day) for day in days]

    def whole(self, below: int | None, seconds: float) -> int | None:
        """The least value of a choice (under ``below``); ``None``: there is none. Raises TooMany by the clock."""
        h, columns = self.h, self.h.getNumCol()
        costs = np.array(h.getLp().col_cost_)
        if below is not None:
            index = np.flatnonzero(costs).astype(np.int32)
            h.addRow(-highspy.kHighsInf, float(below - 1), len(index), index, costs[index])
        h.changeColsIntegrality(
            columns, np.arange(columns, dtype=np.int32), np.array([highspy.HighsVarType.kInteger] * columns)
        )
        for option, value in (("mip_rel_gap", 0.0), ("mip_abs_gap", 0.5), ("time_limit", seconds)):
            h.setOptionValue(option, value)
        h.run()
        status = h.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            raise TooMany(f"HiGHS: {h.modelStatusToString(status)}")
        return round(h.getInfo().objective_function_value)


def _quiet() -> highspy.Highs:
    """HiGHS on one thread; its greeting kept off the standard output."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        h = highspy.Highs()
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
    for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 0)):
        h.setOptionValue(option, value)
    return h


# The two uses


@dataclass(frozen=True)
class Verdict:
    """One level: the value asked about, the floor found, and a better value if there is one.

    ``confirmed``: no plan is better, those before it kept; ``None``: not decided. ``how``: what decided.
    """

    value: int
    floor: int
    confirmed: bool | None
    better: int | None
    how: str


class Listed:
    """A day with all its trips listed."""

    def __init__(self, problem: Problem, placer: Placer | None = None) -> None:
        if problem.successors:
            raise Unfit("a machine that is moved twice")
        if any(shares_gear(a, b) for a, b in combinations(problem.rigs, 2)):
            raise Unfit("shared gear")
        window = hours_rule(problem.rules).window_min
        if any(window is not None and r.shift_end_min - r.shift_start_min > window for r in problem.rigs):
            raise Unfit("a shift longer than the duty window")
        self.problem = problem
        self.yard = Yardmaster(problem, placer or Placer(problem))
        if len(self.yard.units) > 63:
            raise Unfit("more than 63 units")
        alike: dict[object, list[Rig]] = {}
        for rig in problem.rigs:
            alike.setdefault(self.yard.class_of(rig), []).append(rig)
        self.classes = [RigClass(self.yard, rigs[0], len(rigs)) for rigs in alike.values()]
        self.scale = math.lcm(1, *(p.denominator for p in self.yard.priorities))

    def every_day(self, most: int = 2_000_000, seconds: float = 600) -> dict[str, float]:
        """The three levels' best values, from all rig-days. Raises TooMany."""
        free = Prices(np.zeros(len(self.yard.units)), 0.0, 1.0, math.inf)
        days = [one.days(free, 0.0, most=most, every=True) for one in self.classes]
        kept: dict[str, int] = {}
        for goal in LEVELS:
            choice = Choice(self.yard, self.classes, kept, goal)
            for number, own in enumerate(days):
                choice.add(number, own)
            value = choice.whole(None, seconds)
            assert value is not None
            kept[goal] = value
        return {"left out": kept["left out"] / self.scale, "trips": kept["trips"], "cost": kept["cost"]}

    def values(self, plan: Plan) -> dict[str, int]:
        """The plan's levels, counted from its trips: scaled priority, trips, cents."""
        travel = Travel(self.problem.sites, self.problem.roads, self.problem.settings)
        left = {h for h, move in enumerate(self.problem.moves) if move.name in plan.left_out}
        out = sum((p for unit, p in zip(self.yard.units, self.yard.priorities, strict=True) if left & set(unit)))
        cents = sum(rig_day_cents(self.problem, travel, day) for day in plan.rig_days)
        return {"left out": int(out * self.scale), "trips": len(list(plan.trips())), "cost": cents}

    def confirm(
        self, plan: Plan, levels: Sequence[str] = LEVELS, *, most: int = 1_500_000, seconds: float = 300
    ) -> dict[str, Verdict]:
        """Level by level whether a plan could be better than this one."""
        values, found, kept = self.values(plan), {}, dict[str, int]()
        for goal in LEVELS:
            if goal in levels:
                found[goal] = self._level(goal, kept, values, plan, most, seconds)
            kept[goal] = values[goal]
        return found

    def _level(
        self, goal: str, kept: dict[str, int], values: dict[str, int], plan: Plan, most: int, seconds: float
    ) -> Verdict:
        value = values[goal]
        if value == 0:
            return Verdict(0, 0, True, None, "nothing is below zero")
        floor = self._partition(values["left out"], seconds) if goal == "trips" else 0
        if floor >= value:
            return Verdict(value, floor, True, None, "partition into listed trips")
        choice = Choice(self.yard, self.classes, kept, goal)
        self._seed(choice, plan)
        try:
            mix, prices = self._generate(choice, most)
            floor = max(floor, math.ceil(mix - NOISE))
            if floor >= value:
                return Verdict(value, floor, True, None, "mix of rig-days")
            gap = value - 1 - mix
            days = [one.days(p, gap, most=most) for one, p in zip(self.classes, prices, strict=True)]
            listed = Choice(self.yard, self.classes, kept, goal)
            count = sum(listed.add(number, own) for number, own in enumerate(days))
            better = listed.whole(value, seconds)
        except TooMany as end:
            return Verdict(value, floor, None, None, str(end))
        how = f"{count} rig-days within {gap:.2f} of {mix:.2f}"
        return Verdict(value, value if better is None else floor, better is None, better, how)

    def _partition(self, left_out: int, seconds: float) -> int:
        """The least number of listed trips that haul everything but so much, whoever drives them when."""
        h = _quiet()
        units = len(self.yard.units)
        none = np.array([], dtype=np.int32), np.array([], dtype=np.float64)
        for _ in range(units):
            h.addRow(1.0, 1.0, 0, *none)
        h.addRow(-highspy.kHighsInf, float(left_out), 0, *none)
        weights = [int(p * self.scale) for p in self.yard.priorities]
        columns = [(0.0, {u: 1.0, units: float(w)}) for u, w in enumerate(weights)]
        masks = sorted({trip.units for one in self.classes for trip in one.trips})
        columns += [(1.0, {u: 1.0 for u in range(units) if mask >> u & 1}) for mask in masks]
        for cost, entries in columns:
            index = np.array(list(entries), dtype=np.int32)
            h.addCol(cost, 0.0, 1.0, len(index), index, np.array(list(entries.values())))
            h.changeColIntegrality(h.getNumCol() - 1, highspy.HighsVarType.kInteger)
        h.setOptionValue("time_limit", seconds)
        h.run()
        return max(0, math.ceil(h.getInfo().mip_dual_bound - NOISE))

    def _seed(self, choice: Choice, plan: Plan) -> None:
        """The plan's own rig-days, so that the programme has an answer from the start."""
        travel = Travel(self.problem.sites, self.problem.roads, self.problem.settings)
        numbers = {self.yard.class_of(one.rig): number for number, one in enumerate(self.classes)}
        for day in plan.rig_days:
            trips = [trip for outing in day.outings for trip in outing.trips]
            units = {self.yard.unit_of[haul] for trip in trips for haul in trip.hauls()}
            own = RigDays(
                np.array([sum(1 << unit for unit in units)], dtype=np.uint64),
                np.array([len(trips)]),
                np.array([rig_day_cents(self.problem, travel, day)]),
            )
            if trips:
                choice.add(numbers[self.yard.class_of(self.problem.rig(day.rig))], own)

    def _generate(self, choice: Choice, most: int) -> tuple[float, list[Prices]]:
        """The mix's floor: days are added while any would make it better; first those that a beam finds."""
        beams: tuple[int | None, ...] = (300, 3_000, None)
        while True:
            mix, prices = choice.relaxed()
            for beam in beams:
                new = 0
                for number, (one, price) in enumerate(zip(self.classes, prices, strict=True)):
                    days = one.days(price, -1e-3 if price.cent else -1e-6, beam=beam, most=most)
                    new += choice.add(number, _few(days, price, 200))
                if new:
                    break
            else:
                return mix, prices


def _few(days: RigDays, price: Prices, most: int) -> RigDays:
    """The days that promise most."""
    if len(days.units) <= most:
        return days
    bits = np.array([1 << unit for unit in range(len(price.unit))], dtype=np.uint64)
    member = ((days.units[:, None] & bits[None, :]) > 0).astype(np.float64)
    reduced = price.cent * days.cents + price.trip * days.trips - member @ price.unit
    rows = np.argsort(reduced, kind="stable")[:most]
    return RigDays(days.units[rows], days.trips[rows], days.cents[rows])
