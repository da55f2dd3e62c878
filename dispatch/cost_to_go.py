"""A floor under what the rest of a rig's day can still cost, for cutting a search short without error.

From a place and a time on, the cheapest further trips are followed backwards in time, allowing a unit to be
hauled twice and waiting to cost nothing: a relaxation, so the figure is a true lower bound.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dispatch.trip_arrays import Floats, GroupArrays, Ints

COARSEST_STEP_MIN = 5


@dataclass(frozen=True, slots=True, eq=False)
class CostToGo:
    """``floor[node, step]``: least further reduced cost for a rig idle at a node at a time, home included."""

    node_of: Ints
    floor: Floats
    step_min: int

    def at(self, rig: Ints, site: Ints, time: Ints) -> Floats:
        """The floor for rigs standing at sites at times (minutes); infinite when they cannot get home."""
        step = np.minimum(time // self.step_min, self.floor.shape[1] - 1)
        floors: Floats = self.floor[self.node_of[rig, site], step]
        return floors


def cost_to_go(arrays: GroupArrays, lin: Floats, money: float) -> CostToGo:
    """The floors for one set of prices; ``lin``: each trip's price without its hours; ``money``: of a cent."""
    trips = arrays.trips
    sites = len(arrays.rules.table.names)
    keys = np.unique(trips.rig * sites + trips.last)
    node_of = np.full((len(arrays.group.rigs), sites), -1, dtype=np.int64)
    node_of[keys // sites, keys % sites] = np.arange(len(keys))
    rig, site = keys // sites, keys % sites
    quickest = int(trips.duration.min(initial=COARSEST_STEP_MIN))
    step_min = min(COARSEST_STEP_MIN, max(1, quickest))
    steps = int(arrays.end_by.max()) // step_min + 2
    floor = np.full((len(keys), steps), np.inf if quickest else -np.inf)
    if not quickest:
        return CostToGo(node_of, floor, step_min)
    # From a place to the start of a trip, from the start of a trip to its end, in turn, latest step first.
    starts = _Starts(arrays, lin + money * arrays.minute_cents[trips.rig] * trips.duration, node_of)
    gap, road = _edges(arrays, (rig, site), (starts.rig, starts.site), money)
    home_min, home_cost = _home(arrays, rig, site, money)
    begun = np.full((len(starts.rig), steps), np.inf)
    column = np.arange(len(starts.rig))[None, :]
    for step in range(steps - 1, -1, -1):
        now = step * step_min
        begun[:, step] = starts.best(now, floor, step_min)
        best = np.where(now + home_min <= arrays.end_by[rig], home_cost, np.inf)
        later = np.minimum((now + gap) // step_min, steps - 1)
        floor[:, step] = np.minimum(best, (begun[column, later] + road).min(axis=1))
    return CostToGo(node_of, floor, step_min)


class _Starts:
    """The trips by where they start (rig and first site)."""

    def __init__(self, arrays: GroupArrays, cost: Floats, node_of: Ints) -> None:
        trips = arrays.trips
        sites = len(arrays.rules.table.names)
        key = trips.rig * sites + trips.first
        order = np.argsort(key, kind="stable")
        keys, self._bounds = np.unique(key[order], return_index=True)
        self.rig, self.site = keys // sites, keys % sites
        self._earliest, self._latest = trips.earliest[order], trips.latest[order]
        self._duration, self._cost = trips.duration[order], cost[order]
        self._target = node_of[trips.rig, trips.last][order]

    def best(self, now: int, floor: Floats, step_min: int) -> Floats:
        """Least cost from each start at a time on."""
        done = np.maximum(now, self._earliest) + self._duration
        later = np.minimum(done // step_min, floor.shape[1] - 1)
        further = np.where(now <= self._latest, floor[self._target, later] + self._cost, np.inf)
        best: Floats = np.minimum.reduceat(further, self._bounds)
        return best


def _edges(
    arrays: GroupArrays, nodes: tuple[Ints, Ints], starts: tuple[Ints, Ints], money: float
) -> tuple[Ints, Floats]:
    """Least minutes and least cost from each place to the start of each trip, directly or by the yard."""
    table = arrays.rules.table
    empty, tenths = table.empty_min, table.tenths
    (rig, site), (next_rig, first) = nodes, starts
    yard, next_yard = arrays.yard[rig], arrays.yard[next_rig]
    to_yard, from_yard = empty[site, yard], empty[next_yard, first]
    other = rig[:, None] != next_rig[None, :]
    by_yard = to_yard[:, None] + from_yard[None, :] + np.where(other, arrays.rules.hook_min, 0)
    direct = empty[site[:, None], first[None, :]]
    rate, mile = money * arrays.minute_cents, money * arrays.mile_cents
    yard_road = rate[rig] * to_yard + mile[rig] * tenths[site, yard]
    out_road = rate[next_rig] * from_yard + mile[next_rig] * tenths[next_yard, first]
    by_yard_cost = yard_road[:, None] + out_road[None, :]
    direct_cost = rate[rig][:, None] * direct + mile[rig][:, None] * tenths[site[:, None], first[None, :]]
    gap = np.where(other, by_yard, np.minimum(direct, by_yard))
    return gap, np.where(other, by_yard_cost, np.minimum(direct_cost, by_yard_cost))


def _home(arrays: GroupArrays, rig: Ints, site: Ints, money: float) -> tuple[Ints, Floats]:
    """Minutes and cost of the way home."""
    table = arrays.rules.table
    home = arrays.home[rig]
    minutes = table.empty_min[site, home]
    rate, mile = money * arrays.minute_cents[rig], money * arrays.mile_cents[rig]
    return minutes, rate * minutes + mile * table.tenths[site, home]
