"""What a candidate makes legal that no rig of the base fleet may carry: by the legality calculator, not by plans.

A move is asked about alone on the deck between its own places; moves that ride together as one load, where they
share both places. Times are no matter here. A move that the base fleet's plan carries in company does not count.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations, product

from dispatch.fleet import Rig
from dispatch.placement import LoadRequest, Placer
from dispatch.plan import Action, Task
from dispatch.problem import Problem
from dispatch.trip_orders import load_request
from dispatch.trips import Unit, may_ride, units_of

MOST_TOGETHER = 4
"""Moves that ride together are asked about up to so many: every order of coming on and off is tried."""
MOST_PAIRS = 120
"""Pairs are asked about on days with at most so many that share a place."""


@dataclass(frozen=True, slots=True)
class NewLoad:
    """A load of a day that some rig may carry now: its moves and their items; ``rig``: the first that may."""

    day: str
    moves: tuple[str, ...]
    items: tuple[str, ...]
    rig: str


class DayLegality:
    """What the rigs of one day may carry: one unit alone, or two on one trip. Remembers what it was asked."""

    def __init__(self, day: str, base: Problem, carried: Collection[str]) -> None:
        """``carried``: moves that the base fleet's plan hauls, alone or not."""
        self.day, self._base = day, base
        self._carried = frozenset(carried)
        self.units = [unit for unit in units_of(base) if self._can_be_asked(unit)]
        placer = Placer(base)
        self._can = {
            unit.number: tuple(rig.name for rig in base.rigs if self._rides(base, placer, rig, unit))
            for unit in self.units
        }

    def new_moves(self, problem: Problem) -> Iterator[NewLoad]:
        """Units that the base fleet cannot carry and a rig of the other fleet can."""
        makers, placer = self._makers(problem), Placer(problem)
        for unit in self.units:
            if not self._can[unit.number] and not self._names(unit) <= self._carried:
                rig = next((rig.name for rig in makers if self._rides(problem, placer, rig, unit)), "")
                if rig:
                    yield self._load(problem, (unit,), rig)

    def lost_moves(self, problem: Problem) -> Iterator[NewLoad]:
        """Units that the base fleet can carry and no rig of the other: where a trailer was replaced."""
        kept = {rig.name for rig in problem.rigs if rig in self._base.rigs}
        makers, placer = self._makers(problem), Placer(problem)
        for unit in self.units:
            able = self._can[unit.number]
            if not able or kept & set(able):
                continue
            if not any(self._rides(problem, placer, rig, unit) for rig in makers):
                yield self._load(problem, (unit,), able[0])

    def new_pairs(self, problem: Problem) -> Iterator[NewLoad]:
        """Pairs of units, each of which rides today, that only a rig of the other fleet may carry together.

        Pairs share the place where they come on or go off; none are told on a day that has too many of them.
        """
        alone = [unit for unit in self.units if self._can[unit.number] and len(unit.hauls) == 1]
        pairs = [pair for pair in combinations(alone, 2) if self._share_a_place(*pair)]
        if len(pairs) > MOST_PAIRS:
            return
        by_new = self._pairs(problem, self._makers(problem), pairs)
        by_old = self._pairs(self._base, self._base.rigs, list(by_new))
        for pair, rig in by_new.items():
            if pair not in by_old:
                yield self._load(problem, pair, rig)

    def _makers(self, problem: Problem) -> list[Rig]:
        return [rig for rig in problem.rigs if rig not in self._base.rigs]

    def _names(self, unit: Unit) -> frozenset[str]:
        return frozenset(self._base.hauls[haul].move for haul in unit.hauls)

    def _load(self, problem: Problem, units: Sequence[Unit], rig: str) -> NewLoad:
        hauls = [problem.hauls[haul] for unit in units for haul in unit.hauls]
        moves = tuple(dict.fromkeys(haul.move for haul in hauls))
        return NewLoad(self.day, moves, tuple(haul.item.name for haul in hauls), rig)

    def _rides(self, problem: Problem, placer: Placer, rig: Rig, unit: Unit) -> bool:
        """Whether the rig may carry the unit by itself."""
        if not may_ride(problem, rig, unit):
            return False
        return any(load is not None for load in placer.find_many(rig, self._requests(unit.hauls)))

    def _can_be_asked(self, unit: Unit) -> bool:
        hauls = [self._base.hauls[number] for number in unit.hauls]
        return len(hauls) <= MOST_TOGETHER and len({(haul.origin, haul.destination) for haul in hauls}) == 1

    def _requests(self, hauls: Sequence[int]) -> list[LoadRequest]:
        """Every order of coming on and off, all aboard at once."""
        orders = list(permutations(hauls))
        return [
            load_request(
                self._base,
                [*(Task(Action.LOAD, haul) for haul in on), *(Task(Action.UNLOAD, haul) for haul in off)],
            )
            for on, off in product(orders, orders)
        ]

    def _share_a_place(self, first: Unit, second: Unit) -> bool:
        one, other = self._base.hauls[first.hauls[0]], self._base.hauls[second.hauls[0]]
        if one.item.name == other.item.name:
            return False
        return one.origin == other.origin or one.destination == other.destination

    def _pairs(
        self, problem: Problem, rigs: Iterable[Rig], pairs: Sequence[tuple[Unit, Unit]]
    ) -> Mapping[tuple[Unit, Unit], str]:
        """Of the pairs those that one of the rigs may carry, with the first that may."""
        found: dict[tuple[Unit, Unit], str] = {}
        placer = Placer(problem)
        for rig in rigs:
            able = {unit for unit in {one for pair in pairs for one in pair} if may_ride(problem, rig, unit)}
            open_pairs = [pair for pair in pairs if pair not in found and able.issuperset(pair)]
            asked = [(pair, self._requests([haul for unit in pair for haul in unit.hauls])) for pair in open_pairs]
            loads = iter(placer.find_many(rig, [one for _, requests in asked for one in requests]))
            for pair, requests in asked:
                if [next(loads) for _ in requests].count(None) < len(requests):
                    found[pair] = rig.name
        return found
