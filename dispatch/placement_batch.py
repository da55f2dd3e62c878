"""Many requests for places decided at once: those of one pattern go through the compiled search together.

Requests of one pattern have the same number of items, unload order, legs and ways of loading, so the same orders
along the deck are possible for all. Each gets the very load that a search one by one gives: orders and facings are
tried in the same sequence, and each search takes the smallest places.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from dispatch.arrangements import Load, LoadRequest, arrangements
from dispatch.fleet import Deck, Rig
from dispatch.items import LoadsBy
from dispatch.legality import rig_length_in
from dispatch.load_judge import LoadJudge, RequestKey, SiteLimits, over
from dispatch.load_tables import Ints, Marks
from dispatch.place_kernel import first_lines
from dispatch.plan import Placed
from dispatch.stances import Stances, stances


@dataclass(frozen=True, slots=True)
class Structure:
    """An order along the deck: places in the load order, front to rear, and the deck of each."""

    order: tuple[int, ...]
    decks: tuple[Deck, ...]


def is_plain(judge: LoadJudge, request: LoadRequest) -> bool:
    """Whether the request can be decided in a batch: some item, nothing settled beforehand, no permit."""
    hauls = judge.problem.hauls
    return bool(request.load_order) and not request.pins and not any(hauls[h].permit for h in request.load_order)


def decide(judge: LoadJudge, rig: Rig, requests: Sequence[tuple[RequestKey, LoadRequest]]) -> list[Load | None]:
    """A legal load for each plain request with its key, or None; hauls are named by their place in load order."""
    answers: list[Load | None] = [None] * len(requests)
    numbers = sorted({h for _, request in requests for h in request.load_order})
    items = [judge.problem.hauls[h].item for h in numbers]
    every = stances(judge, rig, judge.limits(rig, None).rows, items)
    for members in _patterns(judge, requests):
        batch = _Batch(judge, rig, every, [requests[i][1] for i in members], numbers)
        for place, load in batch.legal():
            answers[members[place]] = load
    return answers


def _patterns(judge: LoadJudge, requests: Sequence[tuple[RequestKey, LoadRequest]]) -> list[list[int]]:
    """The requests by pattern, as their numbers."""
    lifted = [haul.how is LoadsBy.LIFTED for haul in judge.problem.hauls]
    patterns: dict[Hashable, list[int]] = {}
    for number, ((_, _, unload, states, _), request) in enumerate(requests):
        ways = tuple([lifted[h] for h in request.load_order])
        patterns.setdefault((ways, unload, states), []).append(number)
    return list(patterns.values())


class _Batch:
    """The requests of one pattern, as rows of haul numbers in load order."""

    def __init__(
        self, judge: LoadJudge, rig: Rig, every: Stances, requests: Sequence[LoadRequest], numbers: Sequence[int]
    ) -> None:
        self._judge, self._rig, self._every, self._requests = judge, rig, every, requests
        self._numbers = numbers
        self._hauls = np.array([request.load_order for request in requests], np.int64)
        self._items = np.searchsorted(numbers, self._hauls)
        one = requests[0]
        index = {h: i for i, h in enumerate(one.load_order)}
        legs = [(tuple(index[h] for h in state.aboard), judge.site_limits(state)) for state in one.states]
        self._legs: list[tuple[tuple[int, ...], SiteLimits]] = list(dict.fromkeys(legs))
        self._structures: dict[Structure, None] = {}
        for a in arrangements(judge.problem, rig, one):
            self._structures.setdefault(Structure(tuple(index[h] for h in a.hauls), a.decks))

    def legal(self) -> Iterator[tuple[int, Load]]:
        """The legal requests by their number in the batch, each with its load."""
        left = np.flatnonzero(self._weights_ok()) if self._rig_fits() else np.zeros(0, np.int64)
        for structure in self._structures:
            taken, places = self._searched(structure, self._items[left])
            found = taken[:, 0] >= 0
            loads = zip(left[found].tolist(), taken[found].tolist(), places[found].tolist(), strict=True)
            for number, stance, edges in loads:
                if self._judge.gear_ok(self._rig, self._requests[number]):
                    yield number, self._load(structure, stance, edges)
            left = left[~found]

    def _rig_fits(self) -> bool:
        """Whether the rig by itself keeps to the length of every leg, and to its sizes where nothing is aboard."""
        judge, rig, length_in = self._judge, self._rig, rig_length_in(self._rig)
        return not any(
            over(length_in, judge.longest_in(rig, longest, False))
            or not (aboard or judge.sizes_ok(rig, (), (), highest, False))
            for aboard, (longest, highest, _) in self._legs
        )

    def _weights_ok(self) -> Marks:
        """Which requests keep to weight alone and to the licence on every leg; each weight is asked once."""
        judge, limits = self._judge, self._judge.limits(self._rig, None)
        weights = np.array([haul.item.weight.high_lb for haul in judge.problem.hauls])[self._hauls]
        ok = np.ones(len(weights), np.bool_)
        for aboard, (_, _, heaviest) in self._legs:
            total = sum((weights[:, i] for i in aboard), np.zeros(len(weights)))
            _, one, which = np.unique(total, return_index=True, return_inverse=True)
            carried = self._hauls[one][:, list(aboard)].tolist()
            ok &= np.array([judge.weight_ok(self._rig, h, limits, False, heaviest) for h in carried])[which]
        return ok

    def _searched(self, structure: Structure, items: Ints) -> tuple[Ints, Ints]:
        """Stances taken and places, (requests, items along the deck); stance -1: no legal place."""
        order, every, rows = list(structure.order), self._every, self._judge.limits(self._rig, None).rows
        aboard = np.array([[i in leg for i in order] for leg, _ in self._legs], np.bool_)
        aboard = aboard.reshape(len(self._legs), len(order))
        choices = [self._choices(i, deck)[items[:, i]] for i, deck in zip(order, structure.decks, strict=True)]
        return first_lines(
            every.table,
            rows.slopes,
            every.row_of,
            every.first,
            every.last,
            every.origin,
            every.length,
            self._judge.problem.settings.gap_in,
            np.stack(choices, axis=1),
            np.array([self._reach_in(i) for i in order]),
            aboard,
            np.tile(rows.bounds, (len(aboard), 1)),
        )

    def _choices(self, place: int, deck: Deck) -> Ints:
        """The stances of every item on the deck, where its width and height hold on each leg of the place."""
        highest = {limits[1] for aboard, limits in self._legs if place in aboard}
        choices = self._every.choices[deck].copy()
        for number in np.unique(self._items[:, place]).tolist():
            haul = self._numbers[number]
            if not all(self._judge.size_ok(self._rig, haul, deck, top) for top in highest):
                choices[number] = -1
        return choices

    def _reach_in(self, place: int) -> float:
        """How far behind the coupler an item may reach by the length of its legs, inches; infinite: no limit."""
        truck = self._rig.truck
        limits = [self._judge.longest_in(self._rig, s[0], False) for aboard, s in self._legs if place in aboard]
        ahead = truck.front_overhang_in + truck.coupler_in
        return min((limit - ahead for limit in limits if limit is not None), default=math.inf)

    def _load(self, structure: Structure, stance: Sequence[int], edges: Sequence[int]) -> Load:
        facings = self._every.facings
        placed = [
            Placed(i, deck, edge, facings[one])
            for i, deck, edge, one in zip(structure.order, structure.decks, edges, stance, strict=True)
        ]
        placed.sort(key=lambda p: p.haul)
        return Load(tuple(placed), (False,) * len(self._requests[0].states))
