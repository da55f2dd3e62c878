"""The fewest trips of a pickup-and-delivery instance by other means: trips listed here, partitioned by a solver.

Independent of the product: the listing below knows nothing of its enumeration, and HiGHS gets all trips at once.
Shared are the instance and its scaled, rounded minutes (``delivery_days``), as they must be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from tests.external.delivery_days import MOST_ITEMS, Instance, Node


@dataclass(frozen=True)
class Answer:
    """The fewest trips, whether the solver proved it, and how many sets of requests a trip can carry."""

    trips: int
    proved: bool
    sets: int


def carried_together(instance: Instance, requests: int | None = None) -> set[frozenset[int]]:
    """Every set of requests that one trip can do: all pickups first, then the drops, last on first off."""
    wanted = instance.requests[:requests]
    found: set[frozenset[int]] = set()
    for order, time in _pickups(instance, wanted, (), instance.depot, 0):
        if frozenset(order) not in found and _delivers(instance, wanted, order, time):
            found.add(frozenset(order))
    return found


def _arrival(instance: Instance, place: Node, node: Node, time: int) -> int | None:
    """When work at the node is over for whoever leaves ``place`` at ``time``; None: its window is missed."""
    scale = instance.minutes_a_unit
    begin = max(time + instance.minutes(place, node), scale * node.opens)
    return None if begin > scale * node.closes else begin + scale * node.work


def _pickups(
    instance: Instance, wanted: Sequence[tuple[Node, Node]], order: tuple[int, ...], place: Node, time: int
) -> Iterator[tuple[tuple[int, ...], int]]:
    for number, (pickup, _) in enumerate(wanted):
        over = None if number in order else _arrival(instance, place, pickup, time)
        if over is not None:
            yield (*order, number), over
            if len(order) + 1 < MOST_ITEMS:
                yield from _pickups(instance, wanted, (*order, number), pickup, over)


def _delivers(instance: Instance, wanted: Sequence[tuple[Node, Node]], order: tuple[int, ...], time: int) -> bool:
    place = wanted[order[-1]][0]
    over: int | None = time
    for number in reversed(order):
        drop = wanted[number][1]
        over = None if over is None else _arrival(instance, place, drop, over)
        place = drop
    home_by = instance.minutes_a_unit * instance.depot.closes
    return over is not None and over + instance.minutes(place, instance.depot) <= home_by


def fewest_trips(instance: Instance, requests: int | None = None, seconds: float = 600.0) -> Answer:
    """Set partitioning over all listed trips, to the proof."""
    sets = sorted(carried_together(instance, requests), key=sorted)
    count = len(instance.requests[:requests])
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("threads", 1)
    h.setOptionValue("time_limit", seconds)
    for _ in range(count):
        h.addRow(1.0, 1.0, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))
    for one in sets:
        h.addCol(1.0, 0.0, 1.0, len(one), np.array(sorted(one), dtype=np.int32), np.ones(len(one)))
        h.changeColIntegrality(h.getNumCol() - 1, highspy.HighsVarType.kInteger)
    h.run()
    value = round(h.getInfo().objective_function_value)
    return Answer(value, h.getModelStatus() == highspy.HighsModelStatus.kOptimal, len(sets))
