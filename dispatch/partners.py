"""Which units are worth putting on one trip, for days on which all that could ride together is too much to list.

Two units are good partners when a trip with both takes much less time than two trips, and the best where one of
them can go no other way. Nothing is proved with partners only: a plan may need others.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from dispatch.order_kernel import DURATION
from dispatch.planning_day import PlanningDay
from dispatch.trip_rows import Floats
from dispatch.trips import OrderBook, Wanted, wanted

AT_ONCE = 5_000


def best_partners(day: PlanningDay, most: int) -> tuple[int, ...]:
    """By unit, a mask of the units with which it saves most minutes, about ``most`` of them."""
    units = day.shape.units
    book = OrderBook(day.problem, day.rules.table, *day.problem.rigs)
    alone = _quickest(book, [wanted([unit]) for unit in units])
    pairs = list(combinations(range(len(units)), 2))
    saved = np.full((len(units), len(units)), -np.inf)
    for begin in range(0, len(pairs), AT_ONCE):
        part = pairs[begin : begin + AT_ONCE]
        both = _quickest(book, [wanted([units[a], units[b]]) for a, b in part])
        rides = np.isfinite(both)
        a, b = np.array(part).T[:, rides]
        saved[a, b] = saved[b, a] = alone[a] + alone[b] - both[rides]
    masks = [0] * len(units)
    for unit, row in enumerate(saved):
        for other in np.argsort(-row, kind="stable")[:most].tolist():
            if row[other] > -np.inf:
                masks[unit] |= 1 << other
                masks[other] |= 1 << unit
    return tuple(masks)


def _quickest(book: OrderBook, sets: list[Wanted]) -> Floats:
    """Minutes of the shortest trip of each set; infinite where there is none."""
    found = book.found(sets)
    least = np.full(len(sets), np.inf)
    np.minimum.at(least, np.repeat(np.arange(len(sets)), np.diff(found.at)), found.figures[:, DURATION])
    return least
