"""The candidate trips of a class of rigs, and what is known of their legality.

Sets that are illegal in every order are dropped when the stock is made; ``judge_all`` asks of the trips that are
left, many at once, and ``judge`` of one. Until it is asked, a trip counts as legal. That can only make days look
better than they are, so every floor found with such trips is a true floor; plans are made of trips whose legality
was asked. When a trip turns out illegal, the next best orders of its items take its place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice, permutations

from dispatch.arrangements import DeckState, Load, LoadRequest
from dispatch.fleet import Rig
from dispatch.items import LoadsBy
from dispatch.placement import Placer
from dispatch.plan import Task
from dispatch.trip_orders import load_request
from dispatch.trips import (
    Candidate,
    OrderBook,
    TripBudget,
    Unit,
    dominates,
    may_ride,
    quality,
    sets_of_units,
    timed,
)

AT_ONCE = 1_000
"""Sets of units whose full loads are asked for together."""
MOST_ORDERED = 5
"""Items whose orders along the deck are all asked for."""


class TripStock:
    """``complete``: every set of units that could ride was looked at. ``version`` grows with every change."""

    def __init__(
        self, book: OrderBook, placer: Placer, rig: Rig, units: Sequence[Unit], budget: TripBudget
    ) -> None:
        self.version = 0
        self._book, self._placer, self._rig = book, placer, rig
        self._judged: dict[tuple[Task, ...], Candidate | None] = {}
        self._ordered = frozenset(haul for pair in book.problem.successors for haul in pair)
        self._sets: dict[int, tuple[Candidate, ...]] = {}
        self._best: dict[int, tuple[Candidate, ...]] = {}
        self._all: tuple[Candidate, ...] | None = None
        self._stand: dict[int, frozenset[tuple[int, ...]]] = {}
        sets = list(sets_of_units(book, placer, rig, units, budget))
        for members in self._rideable(sets, budget.stop):
            drafts = book.drafts(members)
            if drafts:
                self._sets[drafts[0].units] = drafts
            if budget.stop():
                break
        held_back = budget.together < max((len(members) for members in sets), default=0) + 1
        self.complete = len(sets) < budget.sets and not held_back and not budget.stop()

    def _rideable(self, sets: Sequence[tuple[Unit, ...]], stop: Callable[[], bool]) -> Iterator[tuple[Unit, ...]]:
        """The sets that some order along the deck makes legal when all are aboard, between places without limits.

        A trip has such a leg unless an item comes off where another comes on, so a set that fails can never
        ride. Sets for which the question is not that simple (such a site, one item, an item with a permit, many
        items) pass.
        """
        place = self._place_without_limits()
        for begin in range(0, len(sets), AT_ONCE):
            part = sets[begin : begin + AT_ONCE]
            asked = [self._full_loads(members, place) for members in part]
            requests = [request for some in asked for request in some]
            if stop():
                return
            loads = iter(self._placer.find_many(self._rig, requests))
            for members, some in zip(part, asked, strict=True):
                legal = [ask.load_order for ask, load in zip(some, islice(loads, len(some)), strict=True) if load]
                if legal:
                    self._stand[_mask(members)] = frozenset(self._driven(order) for order in legal)
                if legal or not some:
                    yield members

    def _full_loads(self, members: Sequence[Unit], place: str | None) -> list[LoadRequest]:
        """One leg with everything aboard, for every order along the deck; empty: not asked.

        A lifted item may stand anywhere when it comes on last and off first.
        """
        hauls = {haul: self._book.problem.hauls[haul] for unit in members for haul in unit.hauls}
        lifted = tuple(number for number, haul in hauls.items() if haul.how is LoadsBy.LIFTED)
        driven = [number for number in hauls if number not in lifted]
        asked = len(hauls) > 1 and len(driven) <= MOST_ORDERED
        origins = {haul.origin for haul in hauls.values()}
        asked = asked and not any(haul.destination in origins for haul in hauls.values())
        if place is None or not asked or any(haul.permit is not None for haul in hauls.values()):
            return []
        orders = [(*order, *lifted) for order in permutations(driven)]
        return [LoadRequest(order, order[::-1], (DeckState(order, place, place),)) for order in orders]

    def _driven(self, hauls: Iterable[int]) -> tuple[int, ...]:
        """The hauls that are not lifted, in their order."""
        return tuple([haul for haul in hauls if self._book.problem.hauls[haul].how is not LoadsBy.LIFTED])

    def _may_stand(self, trip: Candidate) -> bool:
        """Whether the order in which the trip loads was legal with everything aboard, if that was asked."""
        legal = self._stand.get(trip.units)
        return legal is None or self._driven([task.haul for task in trip.tasks[: len(trip.tasks) // 2]]) in legal

    def _place_without_limits(self) -> str | None:
        sites = self._book.problem.sites
        free = (
            name
            for name, site in sites.items()
            if site.longest_rig_in is site.highest_load_in is site.heaviest_gross_lb is None
        )
        return next(free, None)

    def trips(self) -> tuple[Candidate, ...]:
        """The undominated trips that are legal as far as is known, small sets first."""
        if self._all is None:
            self._all = tuple(trip for mask in self._sets for trip in self._undominated(mask))
        return self._all

    def _undominated(self, mask: int) -> tuple[Candidate, ...]:
        if mask not in self._best:
            known = [self._judged.get(draft.tasks, draft) for draft in self._sets.get(mask, ())]
            alive = sorted((trip for trip in known if trip is not None), key=quality)
            free = bool(alive) and not self._ordered.isdisjoint(task.haul for task in alive[0].tasks)
            self._best[mask] = tuple(alive) if free else _undominated(alive)
        return self._best[mask]

    def masks(self) -> list[int]:
        """The sets of units that some trip may carry, as far as is known."""
        return [mask for mask in self._sets if self._undominated(mask)]

    def judge(self, trip: Candidate) -> Candidate | None:
        """The trip with a legal load, within permit hours where it needs them; ``None`` when there is none."""
        if trip.load is not None:
            return trip
        if trip.tasks not in self._judged:
            self._judged[trip.tasks] = found = self._legal(trip)
            if found is None or found.block != trip.block:
                self._changed(trip.units)
        return self._judged[trip.tasks]

    def best_of(self, members: Sequence[Unit]) -> Candidate | None:
        """The best legal trip with exactly these units, whether or not the stock was made with them."""
        if not all(may_ride(self._book.problem, self._rig, unit) for unit in members):
            return None
        judged = (self.judge(draft) for draft in self._book.drafts(members))
        return next((trip for trip in judged if trip is not None), None)

    def judge_all(self, most: int, stop: Callable[[], bool]) -> None:
        """Asks the legality of every trip that a day could use, the best of each set first; ``most``: as many."""
        masks, asked = list(self._sets), 0
        while masks and asked < most and not stop():
            new = [trip for mask in masks for trip in self._undominated(mask) if self._is_new(trip)]
            able = [trip for trip in new if self._may_stand(trip)]
            requests = [load_request(self._book.problem, trip.tasks) for trip in able]
            self._judged.update(dict.fromkeys([trip.tasks for trip in new]))
            for trip, load in zip(able, self._placer.find_many(self._rig, requests), strict=True):
                self._judged[trip.tasks] = self._with(trip, load)
            for trip in new:
                self._best.pop(trip.units, None)
            asked += len(able)
            masks = list(dict.fromkeys(trip.units for trip in new))
        self._changed(0)

    def _is_new(self, trip: Candidate) -> bool:
        return trip.load is None and trip.tasks not in self._judged

    def rides(self, mask: int) -> bool:
        """Whether any trip with exactly these units is legal; asks until one is."""
        while trips := self._undominated(mask):
            if self.judge(trips[0]) is not None:
                return True
        return False

    def _changed(self, mask: int) -> None:
        self.version += 1
        self._best.pop(mask, None)
        self._all = None

    def _legal(self, trip: Candidate) -> Candidate | None:
        if not self._may_stand(trip):
            return None
        return self._with(trip, self._placer.find(self._rig, load_request(self._book.problem, trip.tasks)))

    def _with(self, trip: Candidate, load: Load | None) -> Candidate | None:
        """The trip with its load, within permit hours where it needs them."""
        if load is None:
            return None
        block = timed(self._book.clock, trip.tasks, load.permit_legs) if any(load.permit_legs) else trip.block
        return None if block is None else replace(trip, load=load, block=block)


def _undominated(trips: Iterable[Candidate]) -> tuple[Candidate, ...]:
    """Those that no better one can stand for; ``trips`` in order of quality."""
    kept: list[Candidate] = []
    for trip in trips:
        if not any(dominates(better, trip) for better in kept):
            kept.append(trip)
    return tuple(kept)


def _mask(members: Sequence[Unit]) -> int:
    return sum(unit.bit for unit in members)
