"""Every plan of a tiny day, tried one by one, on the clock only: payload and length stand for legality.

Written for the optimiser's tests and sharing nothing with it but the domain types and the travel table. A run is
walked for every minute at which it may leave the yard, all of them side by side; its cost is the least of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise, permutations, product

import numpy as np
import numpy.typing as npt

from dispatch.fleet import Rig
from dispatch.problem import Problem
from dispatch.travel import Travel

Minutes = npt.NDArray[np.int64]
Trip = tuple[int, ...]
"""Moves in the order in which they are loaded; unloaded in the reverse order."""


class Everything:
    """All plans of a day of rear-loaded items without companions, permits, successors or shared gear."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.travel = Travel(problem.sites, problem.roads, problem.settings)
        self.moves = range(len(problem.moves))

    def best(self) -> tuple[float, int, int]:
        """Least priority left out, then fewest trips, then least cost in cents."""
        tables = [self.days(rig) for rig in self.problem.rigs]
        best = (math.inf, 0, 0)
        for days in product(*(table.items() for table in tables)):
            hauled: set[int] = set()
            count = 0
            for moves, _ in days:
                hauled |= moves
                count += len(moves)
            if len(hauled) < count:
                continue
            out = sum(self.problem.moves[m].priority for m in self.moves if m not in hauled)
            for choice in product(*(table.items() for _, table in days)):
                score = (out, sum(trips for trips, _ in choice), sum(cents for _, cents in choice))
                best = min(best, score)
        return best

    def days(self, rig: Rig) -> dict[frozenset[int], dict[int, int]]:
        """For every set of moves that the rig can haul: number of trips -> least cents."""
        found: dict[frozenset[int], dict[int, int]] = {frozenset(): {0: 0}}
        for count in range(1, len(self.moves) + 1):
            for order in permutations(self.moves, count):
                for trips in cuts(order):
                    if all(self.loads(rig, trip) for trip in trips):
                        self._price(rig, trips, found.setdefault(frozenset(order), {}))
        return {moves: table for moves, table in found.items() if table}

    def loads(self, rig: Rig, trip: Trip) -> bool:
        items = [self.problem.moves[m].item for m in trip]
        empty_lb = rig.trailer.empty_coupler.nominal_lb + rig.trailer.empty_axles.nominal_lb
        weight_lb = sum(item.weight.nominal_lb for item in items)
        length_in = sum(item.length_in for item in items) + self.problem.settings.gap_in * (len(items) - 1)
        allowed = all(self.problem.may_carry(rig, self.problem.moves[m]) for m in trip)
        return allowed and weight_lb <= rig.trailer.gvwr_lb - empty_lb and length_in <= rig.trailer.deck_length_in

    def _price(self, rig: Rig, trips: Sequence[Trip], table: dict[int, int]) -> None:
        for runs in cuts(tuple(trips)):
            cents = self.cents(rig, runs)
            if cents is not None:
                table[len(trips)] = min(cents, table.get(len(trips), cents))

    def cents(self, rig: Rig, runs: Sequence[tuple[Trip, ...]]) -> int | None:
        """Least cost of the runs; each begins when the one before it is back, or later."""
        ready, paid, tenths = rig.shift_start_min, 0, 0
        for place, trips in enumerate(runs):
            end = rig.end if place + 1 == len(runs) else rig.yard
            leave, back = self.walk(rig, trips, end, ready)
            if not leave.size:
                return None
            ready, paid = int(back.min()), paid + int((back - leave).min())
            tenths += self.tenths(rig, trips, end)
        over = 0 if rig.overtime_after_min is None else max(0, paid - rig.overtime_after_min)
        hours = Fraction(paid - over) + over * Fraction(str(rig.overtime_factor))
        dollars = (
            Fraction(str(rig.cost_per_hour_usd)) * hours / 60 + Fraction(str(rig.cost_per_mile_usd)) * tenths / 10
        )
        dollars += Fraction(str(rig.cost_per_trip_usd)) * sum(len(trips) for trips in runs)
        return math.floor(100 * dollars + Fraction(1, 2))

    def tenths(self, rig: Rig, trips: Sequence[Trip], end: str) -> int:
        places = [rig.yard]
        for trip in trips:
            places += [self.problem.moves[m].origin for m in trip]
            places += [self.problem.moves[m].destination for m in reversed(trip)]
        places.append(end)
        return sum(self.travel.tenths(a, b) for a, b in pairwise(places))

    def walk(self, rig: Rig, trips: Sequence[Trip], end: str, ready: int) -> tuple[Minutes, Minutes]:
        """Every minute from ``ready`` at which the rig may leave and nothing comes too late; when it is back."""
        leave = np.arange(ready, rig.shift_end_min)
        time, in_time, place = leave, np.ones(len(leave), bool), rig.yard
        for trip in trips:
            for number, m in enumerate([*trip, *reversed(trip)]):
                move = self.problem.moves[m]
                loading = number < len(trip)
                target = move.origin if loading else move.destination
                site = self.problem.sites[target]
                fresh = number == 0 or target != place
                time = time + self.travel.minutes(place, target, loaded=number > 0)
                time = np.maximum(time, max(site.opens_min or 0, (move.ready_min or 0) if loading else 0))
                time = (
                    time + (site.extra_load_min if fresh else 0) + (move.load_min if loading else move.unload_min)
                )
                in_time &= time <= (site.closes_min or 9999)
                if not loading:
                    in_time &= time <= (move.due_min or 9999)
                place = target
        time = time + self.travel.minutes(place, end, loaded=False)
        in_time &= time <= rig.shift_end_min
        return leave[in_time], time[in_time]


@cache
def cuts(order: tuple[int, ...]) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Every way of cutting a sequence into consecutive pieces."""
    return tuple(_cuts(order))


def _cuts(order: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], ...]]:
    if not order:
        yield ()
    for size in range(1, len(order) + 1):
        for rest in _cuts(order[size:]):
            yield (order[:size], *rest)
