"""Plans with few trips, found the other way round: first which units ride together, then who drives when."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dispatch.bounds import cheapest_partition
from dispatch.choices import choose
from dispatch.master import Goal, Settled
from dispatch.pricing import Prices, Search
from dispatch.rig_days import Column
from dispatch.trips import Candidate
from dispatch.workshop import Result, Workshop, better_of


def from_partitions(shop: Workshop, settled: Settled, best: Result) -> Result:
    """The plan with fewer trips that a partition into short trips gives, if one of a few can be driven."""
    left_out = settled.most.get(Goal.LEFT_OUT, sum(shop.day.shape.weights))
    refused: list[tuple[int, ...]] = []
    count = best.bound
    for _ in range(shop.budget.partitions):
        if best.proved or shop.limits.over() or count >= best.value:
            break
        minutes = _least_minutes(shop)
        partition = cheapest_partition(shop.day.shape, minutes, left_out, count, refused)
        if partition is None:
            count, refused = count + 1, []
            continue
        if not all(shop.trips.rides(mask) for mask in partition):
            continue
        columns = [column for group in shop.day.groups for column in _days_with(shop, group.number, partition)]
        shop.remember(columns)
        _, plan = choose(shop, Goal.TRIPS, settled, columns, best, ())
        best = better_of(shop.day, Goal.TRIPS, best, plan)
        refused.append(partition)
    return best


def _least_minutes(shop: Workshop) -> dict[int, int]:
    """For every set of units the shortest trip that some rig could make with it."""
    least: dict[int, int] = {}
    for stock in shop.trips.stocks:
        for trip in stock.trips():
            least[trip.units] = min(trip.block.duration, least.get(trip.units, trip.block.duration))
    return least


def _days_with(shop: Workshop, group: int, partition: Sequence[int]) -> list[Column]:
    """The group's days made of trips that carry the sets of the partition, legal ones only."""
    wanted = set(partition)
    prices = Prices(np.zeros(len(shop.day.shape.units)), 0.0, 0.0, 0.0)
    how = Search(
        cutoff=1.0,
        most_labels=shop.budget.labels // 10,
        may_go_home=not shop.day.rules.table.direct_is_fastest,
        stop=shop.limits.over,
    )

    def among(trip: Candidate) -> bool:
        return trip.units in wanted

    while True:
        found = shop.shelf.pricer_of(group, among).search(prices, how)
        judged = [shop.shelf.judged(column) for column in found.columns]
        legal = [column for column in judged if column is not None]
        if len(legal) == len(judged) or shop.limits.over():
            return legal
