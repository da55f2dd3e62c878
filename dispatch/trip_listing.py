"""Which sets of units a rig may carry on one trip: all of them, or as many as a budget allows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, islice

import numpy as np

from dispatch.arrangements import DeckState, LoadRequest
from dispatch.fleet import Rig
from dispatch.items import LoadsBy
from dispatch.order_kernel import Ints
from dispatch.placement import Placer
from dispatch.problem import Problem
from dispatch.trip_table import Rows
from dispatch.trips import AT_ONCE, OrderBook, TripBudget, Unit, Wanted, sets_of_units, wanted

MOST_ORDERED = 5
"""Items whose orders along the deck are all asked for."""


@dataclass(frozen=True, slots=True, eq=False)
class Listed:
    """The sets that may ride, small ones first, and the decks that are illegal wherever they stand, sorted.

    ``complete``: no other set may ride. ``rows``: the sets' trips, where they were worked out.
    """

    sets: tuple[Wanted, ...]
    illegal: Ints
    complete: bool
    rows: Rows | None = None


def list_sets(book: OrderBook, placer: Placer, rig: Rig, units: Sequence[Unit], budget: TripBudget) -> Listed:
    """The sets of these units that the rig may carry, by the clock and by its loads with all aboard."""
    listing = _Listing(book, placer, rig)
    able: list[Wanted] = []
    seen, largest = 0, 0
    for _, layer in groupby(sets_of_units(book, placer, rig, units, budget), key=len):
        while part := list(islice(layer, AT_ONCE)):
            seen, largest = seen + len(part), len(part[0])
            able += listing.rideable(part)
    held_back = bool(budget.partners) or budget.together <= largest
    complete = seen < budget.sets and not held_back and not budget.stop() and not book.cut
    return Listed(tuple(able), listing.illegal, complete)


class _Listing:
    """Asks which sets are legal; ``illegal`` are the decks known to be so."""

    def __init__(self, book: OrderBook, placer: Placer, rig: Rig) -> None:
        self._book, self._placer, self._rig = book, placer, rig
        self.illegal: Ints = np.zeros(0, np.int64)

    def rideable(self, sets: Sequence[tuple[Unit, ...]]) -> Iterator[Wanted]:
        """The sets that the clock allows, and of which some order along the deck is legal when all are aboard.

        The question is asked between places without limits. A trip has a leg with all aboard unless an item comes
        off where another comes on, so another set that fails can never ride; and no trip with more aboard may come
        by a deck that failed. Sets for which the question is not that simple (an item with a permit, many items)
        pass.
        """
        place = self._place_without_limits()
        orders = self._book.loading(sets, self.illegal)
        asked = [self._full_loads(members, some, place) for members, some in zip(sets, orders, strict=True)]
        requests = [request for some in asked if some is not None for request in some]
        loads = iter(self._placer.find_many(self._rig, requests))
        illegal: list[int | None] = []
        for members, timely, some in zip(sets, orders, asked, strict=True):
            if some is None:
                if timely:
                    yield wanted(members)
                continue
            legal = set()
            for ask, load in zip(some, islice(loads, len(some)), strict=True):
                driven = self._driven(ask.load_order)
                if load:
                    legal.add(driven)
                else:
                    illegal.append(self._book.deck(driven, ask.load_order[len(driven) :]))
            if not all_aboard(self._book.problem, members):
                if timely:
                    yield wanted(members)
            elif legal:
                yield wanted(members, frozenset(legal))
        new = [deck for deck in illegal if deck is not None]
        self.illegal = np.unique(np.concatenate([self.illegal, np.array(new, np.int64)]))

    def _full_loads(
        self, members: Sequence[Unit], timely: Sequence[tuple[int, ...]], place: str | None
    ) -> list[LoadRequest] | None:
        """One leg with everything aboard, for every timely order in which the driven come on; None: not asked.

        A lifted item may stand anywhere when it comes on last and off first.
        """
        hauls = {haul: self._book.problem.hauls[haul] for unit in members for haul in unit.hauls}
        lifted = tuple(number for number, haul in hauls.items() if haul.how is LoadsBy.LIFTED)
        many = len(hauls) - len(lifted) > MOST_ORDERED
        if place is None or many or any(haul.permit is not None for haul in hauls.values()):
            return None
        orders = [(*order, *lifted) for order in timely]
        return [LoadRequest(order, order[::-1], (DeckState(order, place, place),)) for order in orders]

    def _driven(self, hauls: Iterable[int]) -> tuple[int, ...]:
        """The hauls that are not lifted, in their order."""
        return tuple([haul for haul in hauls if self._book.problem.hauls[haul].how is not LoadsBy.LIFTED])

    def _place_without_limits(self) -> str | None:
        sites = self._book.problem.sites
        free = (
            name
            for name, site in sites.items()
            if site.longest_rig_in is site.highest_load_in is site.heaviest_gross_lb is None
        )
        return next(free, None)


def all_aboard(problem: Problem, members: Sequence[Unit]) -> bool:
    """Whether each trip with these units has a leg with all aboard: none comes off where another comes on."""
    hauls = [problem.hauls[haul] for unit in members for haul in unit.hauls]
    origins = {haul.origin for haul in hauls}
    return not any(haul.destination in origins for haul in hauls)
