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
    """The floors for one set of prices; ``lin``: each trip's price but for its hours; ``money``: price of a cent."""
    trips = arrays.trips
    sites = len(arrays.rules.table.names)
    keys = np.unique(trips.rig * sites + trips.last)
    node_of = np.full((len(arrays.group.rigs), sites), -1, dtype=np.int64)
    node_of[keys // sites, keys % sites] = np.arange(len(keys))
    rig, site = keys // sites, keys % sites
    gap, road = _edges(arrays, rig, site, money)
    step_cost = road + (lin + money * arrays.minute_cents[trips.rig] * trips.duration)[None, :]
    home_min, home_cost = _home(arrays, rig, site, money)
    quickest = int(trips.duration.min(initial=COARSEST_STEP_MIN))
    step_min = min(COARSEST_STEP_MIN, max(1, quickest))
    steps = int(arrays.end_by.max()) // step_min + 2
    floor = np.full((len(keys), steps), np.inf if quickest else -np.inf)
    if not quickest:
        return CostToGo(node_of, floor, step_min)
    target = node_of[trips.rig, trips.last]
    by_node = arrays.end_by[rig]
    for step in range(steps - 1, -1, -1):
        now = step * step_min
        best = np.where(now + home_min <= by_node, home_cost, np.inf)
        if len(trips.trips):
            begin = now + gap
            done = np.maximum(begin, trips.earliest) + trips.duration
            later = np.minimum(done // step_min, steps - 1)
            further = floor[target[None, :], later] + step_cost
            further[begin > trips.latest] = np.inf
            np.minimum(best, further.min(axis=1), out=best)
        floor[:, step] = best
    return CostToGo(node_of, floor, step_min)


def _edges(arrays: GroupArrays, rig: Ints, site: Ints, money: float) -> tuple[Ints, Floats]:
    """Least minutes and least cost from each node to each trip, directly or by the yard."""
    trips, table = arrays.trips, arrays.rules.table
    empty, tenths = table.empty_min, table.tenths
    yard, first = arrays.yard[rig], trips.first
    to_yard, from_yard = empty[site, yard], empty[arrays.yard[trips.rig], first]
    other = rig[:, None] != trips.rig[None, :]
    by_yard = to_yard[:, None] + from_yard[None, :] + np.where(other, arrays.rules.hook_min, 0)
    direct = empty[site[:, None], first[None, :]]
    gap = np.where(other, by_yard, np.minimum(direct, by_yard))
    rate, mile = money * arrays.minute_cents, money * arrays.mile_cents
    yard_road = rate[rig] * to_yard + mile[rig] * tenths[site, yard]
    out_road = rate[trips.rig] * from_yard + mile[trips.rig] * tenths[arrays.yard[trips.rig], first]
    by_yard_cost = yard_road[:, None] + out_road[None, :]
    direct_cost = rate[rig][:, None] * direct + mile[rig][:, None] * tenths[site[:, None], first[None, :]]
    return gap, np.where(other, by_yard_cost, np.minimum(direct_cost, by_yard_cost))


def _home(arrays: GroupArrays, rig: Ints, site: Ints, money: float) -> tuple[Ints, Floats]:
    table = arrays.rules.table
    home = arrays.home[rig]
    minutes = table.empty_min[site, home]
    rate, mile = money * arrays.minute_cents[rig], money * arrays.mile_cents[rig]
    return minutes, rate * minutes + mile * table.tenths[site, home]
