"""Many requests for places decided at once: those with as many items go through the compiled search together.

Each gets the very load that a search one by one gives: orders and facings are tried in the same sequence, and each
search takes the smallest places. What repeats is worked out once: the orders along the deck by unload order and
ways of loading, what the legs ask by their pattern, sizes by item and limit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

import numpy as np

from dispatch.arrangements import never_behind, orders
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, LoadsBy
from dispatch.leg_patterns import LegAsked, LegPattern, decks_aboard, leg_asked, leg_pattern, weights_ok
from dispatch.load_judge import LoadJudge, RequestKey
from dispatch.load_tables import Ints, Marks
from dispatch.place_kernel import first_lines
from dispatch.stances import Stances, stances

Spots = tuple[tuple[Deck, int, Facing], ...]
"""Deck, front edge (whole inches of that deck) and facing of every item, in load order."""
Sized = tuple[bool, float | None]
"""Whether sizes are asked of an item, and the highest load of its legs' sites, inches; None: no limit."""
DECKS = (Deck.MAIN, Deck.NECK)


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Orders along the deck: (orders, items), places in the load order, and how many of them are on the neck."""

    places: Ints
    on_neck: Ints


@lru_cache(maxsize=4096)
def lines(lifted: tuple[bool, ...], barred: tuple[int, ...], neck: bool) -> Lines:
    """The orders along the deck as arrays; requests with other unload orders may share them."""
    some = list(orders(lifted, barred, neck=neck))
    places = np.array([order.places for order in some], np.int64).reshape(len(some), len(lifted))
    return Lines(places, np.array([order.on_neck for order in some], np.int64))


@dataclass(frozen=True, slots=True, eq=False)
class _Some:
    """Requests with as many items: their keys, items (requests, items), and the pattern of each."""

    keys: list[RequestKey]
    items: Ints
    patterns: list[LegPattern]
    pattern: Ints

    def only(self, which: Ints) -> _Some:
        """Those of these numbers."""
        keys = [self.keys[number] for number in which.tolist()]
        return _Some(keys, self.items[which], self.patterns, self.pattern[which])


class Batches:
    """Decides the plain requests of one class of rigs, and remembers what they share."""

    def __init__(self, judge: LoadJudge, rig: Rig) -> None:
        self._judge, self._rig = judge, rig
        self._lines: dict[tuple[tuple[bool, ...], tuple[int, ...]], Lines] = {}
        self._legs: dict[int, LegAsked] = {}
        self._patterns: dict[tuple[int, tuple[int, ...]], LegPattern] = {}
        self._lifted = [judge.problem.hauls[haul].how is LoadsBy.LIFTED for haul in judge.bearers]
        self._kinds: list[int] = []
        self._hold_items([])

    def decide(self, keys: Sequence[RequestKey]) -> list[Spots | None]:
        """Legal places for the plain request of each key, or None."""
        self._hold_items({kind for key in keys for kind in key[1]})
        answers: list[Spots | None] = [None] * len(keys)
        by_count: dict[int, list[int]] = {}
        for number, key in enumerate(keys):
            by_count.setdefault(len(key[1]), []).append(number)
        for members in by_count.values():
            for number, spots in self._legal([keys[number] for number in members]):
                answers[members[number]] = spots
        return answers

    # -- what is remembered -----------------------------------------------------------------------------------

    def _hold_items(self, kinds: Iterable[int]) -> None:
        """Works out the stances of items, those known and those that are new."""
        new = sorted(set(kinds).difference(self._kinds))
        if self._kinds and not new:
            return
        judge, rig = self._judge, self._rig
        self._kinds += new
        self._number = {kind: number for number, kind in enumerate(self._kinds)}
        self._hauls = [judge.bearers[kind] for kind in self._kinds]
        items = [judge.problem.hauls[haul].item for haul in self._hauls]
        self._weights = np.array([item.weight.high_lb for item in items])
        self._comes_on = np.array([judge.comes_on(rig, haul) for haul in self._hauls], np.bool_)
        self._every: Stances = stances(judge, rig, judge.limits(rig, None).rows, items)
        self._choices: dict[Sized, Ints] = {}

    def _choices_of(self, sized: Sized) -> Ints:
        """The stances to try, (decks, items, facings), where width and height hold."""
        if sized not in self._choices:
            choices = np.stack([self._every.choices[deck] for deck in DECKS])
            for which, deck in enumerate(DECKS):
                for number, haul in enumerate(self._hauls):
                    if sized[0] and not self._judge.size_ok(self._rig, haul, deck, sized[1]):
                        choices[which, number] = -1
            self._choices[sized] = choices
        return self._choices[sized]

    def _pattern(self, count: int, legs: tuple[int, ...]) -> LegPattern:
        if (count, legs) not in self._patterns:
            self._patterns[count, legs] = leg_pattern(count, [self._leg(leg) for leg in legs])
        return self._patterns[count, legs]

    def _leg(self, leg: int) -> LegAsked:
        if leg not in self._legs:
            self._legs[leg] = leg_asked(self._judge, self._rig, self._judge.terms(leg))
        return self._legs[leg]

    def _lines_of(self, key: RequestKey) -> Lines:
        """The orders along the deck."""
        lifted = tuple([self._lifted[kind] for kind in key[1]])
        if (lifted, key[2]) not in self._lines:
            neck = self._rig.trailer.neck is not None
            self._lines[lifted, key[2]] = lines(lifted, never_behind(lifted, key[2]), neck)
        return self._lines[lifted, key[2]]

    # -- requests with as many items --------------------------------------------------------------------------

    def _legal(self, keys: list[RequestKey]) -> Iterator[tuple[int, Spots]]:
        """The legal requests by their number, each with its places."""
        number, legs_of = self._number, dict.fromkeys(key[3] for key in keys)
        items = np.array([[number[kind] for kind in key[1]] for key in keys], np.int64)
        patterns = [self._pattern(items.shape[1], legs) for legs in legs_of]
        of_legs = {legs: which for which, legs in enumerate(legs_of)}
        some = _Some(keys, items, patterns, np.array([of_legs[key[3]] for key in keys], np.int64))
        able = np.flatnonzero(self._able(some))
        some = some.only(able)
        found, stands, edges = self._searched(some)
        rows = zip(found.tolist(), stands.tolist(), edges.tolist(), strict=True)
        decks, facings = self._every.decks, self._every.facings
        for which, stand, edge in rows:
            if self._held(some.keys[which], patterns[some.pattern[which]]):
                spots = [(decks[one], at, facings[one]) for one, at in zip(stand, edge, strict=True)]
                yield int(able[which]), tuple(spots)

    def _able(self, some: _Some) -> Marks:
        """Which requests keep to all that neither place nor tie-downs decide."""
        fits = np.array([pattern.fits for pattern in some.patterns], np.bool_)[some.pattern]
        fits &= self._comes_on[some.items].all(axis=1)
        which = np.flatnonzero(fits)
        weights = self._weights[some.items[which]]
        fits[which] = weights_ok(self._judge, self._rig, weights, some.patterns, some.pattern[which])
        return fits

    def _held(self, key: RequestKey, pattern: LegPattern) -> bool:
        """Whether the tie-downs hold every deck of items."""
        judge, rig = self._judge, self._rig
        hauls = [judge.bearers[kind] for kind in key[1]]
        holds = [judge.hold(rig, haul) for haul in hauls]
        return all(
            judge.held(rig, tuple(sorted([holds[i] for i in deck])), [hauls[i] for i in deck])
            for deck in pattern.held
        )

    def _searched(self, some: _Some) -> tuple[Ints, Ints, Ints]:
        """The numbers of those with a legal place; their stances and places, (requests, items in load order)."""
        every, rows = self._every, self._judge.limits(self._rig, None).rows
        places, on_neck, begin, end = _joined([self._lines_of(key) for key in some.keys], some.items.shape[1])
        decks, legs = decks_aboard(some.patterns)
        sizes: dict[Sized, int] = {}
        asked = [[sizes.setdefault(one, len(sizes)) for one in pattern.sizes] for pattern in some.patterns]
        stands, edges, taken = first_lines(
            every.table,
            rows.slopes,
            np.tile(rows.bounds, (decks.shape[1], 1)),
            every.row_of,
            every.first,
            every.last,
            every.origin,
            every.length,
            float(self._judge.problem.settings.gap_in),
            np.stack([self._choices_of(one) for one in sizes]),
            places,
            on_neck,
            decks,
            legs,
            np.array([pattern.reach_in for pattern in some.patterns]),
            np.array(asked, np.int64),
            some.items,
            some.pattern,
            begin,
            end,
        )
        found = np.flatnonzero(taken >= 0)
        back = np.argsort(places[taken[found]], axis=1)
        return found, np.take_along_axis(stands[found], back, 1), np.take_along_axis(edges[found], back, 1)


def _joined(lines_of: Sequence[Lines], count: int) -> tuple[Ints, Ints, Ints, Ints]:
    """The orders of all requests as arrays, those that requests share once; where each request's begin and end."""
    each = list({id(some): some for some in lines_of}.values())
    sizes = [len(some.on_neck) for some in each]
    begins = {id(some): begin for some, begin in zip(each, accumulate(sizes, initial=0), strict=False)}
    begin = np.array([begins[id(some)] for some in lines_of], np.int64)
    return (
        np.concatenate([np.zeros((0, count), np.int64), *[some.places for some in each]]),
        np.concatenate([np.zeros(0, np.int64), *[some.on_neck for some in each]]),
        begin,
        begin + np.array([len(some.on_neck) for some in lines_of], np.int64),
    )
