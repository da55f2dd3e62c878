"""Where each item may stand so that every leg of a trip is legal, and the best such place.

``Placer.find`` is exact on the reported one-inch grid: it returns a legal load whenever one exists, over facings,
the neck deck and the orders along the deck that the loading order allows. ``Placer.best`` returns the load with
the largest least margin: the smallest greatest use over the rules that depend on where items stand.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

from dispatch.arrangements import Arrangement
from dispatch.arrangements import DeckState as DeckState
from dispatch.arrangements import Load as Load
from dispatch.arrangements import LoadRequest as LoadRequest
from dispatch.arrangements import Pin as Pin
from dispatch.arrangements import arrangements as possible_arrangements
from dispatch.checks import Check
from dispatch.fleet import Rig
from dispatch.items import LoadsBy
from dispatch.legality import (
    deck_rating_checks,
    evaluate,
    leg_checks,
    rig_length_in,
    stand,
)
from dispatch.load_judge import Entry, LoadJudge, RequestKey, Tables, last_place, load_class, over
from dispatch.load_tables import Floats, Rows, Spot
from dispatch.moves import Haul
from dispatch.placement_batch import Batches, Spots
from dispatch.placement_search import LegRows, Line, search
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN

Found = tuple[Spots, tuple[bool, ...]]
"""A load without its hauls: deck, edge and facing in load order, and the legs under a permit."""


@dataclass(frozen=True, slots=True)
class LegLimits:
    """What a leg asks of the hauls aboard: the rig's greatest length, inches (None: no limit), rows' bounds."""

    aboard: frozenset[int]
    longest_in: float | None
    bounds: Floats


class Placer:
    """Places loads of one problem; remembers answers by load class, items and the pattern of legs."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._judge = LoadJudge(problem)
        self._batches: dict[int, Batches] = {}
        self._found: dict[RequestKey, Found | None] = {}

    def load_class(self, rig: Rig) -> Hashable:
        """Rigs with equal keys are alike in everything that legality looks at."""
        return load_class(rig)

    def find(self, rig: Rig, request: LoadRequest) -> Load | None:
        """A legal load for the request, or None when no place on the one-inch grid is legal."""
        return self._answer(self._judge.key(rig, request), rig, request)

    def find_many(self, rig: Rig, requests: Sequence[LoadRequest]) -> list[Load | None]:
        """What ``find`` gives for each request; all are decided together, many times faster.

        A request with a permit or a pin is left to ``find``.
        """
        judge, number = self._judge, self._judge.class_number(rig)
        keys = [judge.key(rig, request) for request in requests]
        new = [key for key in dict.fromkeys(keys) if key not in self._found and judge.is_plain(key)]
        if new:
            if number not in self._batches:
                self._batches[number] = Batches(judge, rig)
            for key, spots in zip(new, self._batches[number].decide(new), strict=True):
                self._found[key] = None if spots is None else (spots, (False,) * len(key[3]))
        return [self._answer(key, rig, request) for key, request in zip(keys, requests, strict=True)]

    def _answer(self, key: RequestKey, rig: Rig, request: LoadRequest) -> Load | None:
        """The load remembered for the key, or found now, with the request's own hauls."""
        if key not in self._found:
            load = self._find(rig, request)
            self._found[key] = None if load is None else _without_hauls(load)
        known = self._found[key]
        if known is None:
            return None
        places = [Placed(haul, *spot) for haul, spot in zip(request.load_order, known[0], strict=True)]
        return Load(tuple(places), known[1])

    def best(self, rig: Rig, request: LoadRequest) -> Load | None:
        """The legal load whose greatest use, over the rules that depend on place, is smallest."""
        found = self.find(rig, request)
        if found is None:
            return None
        waive = any(found.permit_legs)
        arrangements = list(possible_arrangements(self._problem, rig, request))
        best, use = found.placements, self._greatest_use(rig, request, found.placements)
        low = 0.0
        # Halve the threshold while that finds a better load, then step just below the best until none is left.
        while True:
            target = (use + low) / 2 if use - low > 1 / 512 else use - 1e-7
            number, better = self._first(rig, request, arrangements, waive, target) or (0, None)
            better_use = use if better is None else self._greatest_use(rig, request, better)
            if better is not None and better_use < use:
                best, use = better, better_use
                arrangements = arrangements[number:]  # those before have no place now, so none under less use
            elif use - low > 1 / 512:
                low = target
            else:
                return Load(best, self._permit_legs(rig, request, best))

    def hopeless(self, rig: Rig, hauls: Iterable[int]) -> bool:
        """True only when no trip with these hauls, and others besides, can ever be legal on the rig.

        Looks at what never recovers: length on deck, and weights that no position changes where the hauls must
        share a leg (none is dropped where another is picked up).
        """
        members = [self._problem.hauls[number] for number in hauls]
        return self._too_long(rig, members) or self._too_heavy(rig, members)

    def room(self, rig: Rig) -> tuple[float, float]:
        """What any load without a permit keeps within: pounds (high weights), inches (a gap after each item)."""
        room_in = self._room_in(rig, with_neck=True) + self._problem.settings.gap_in
        return self._judge.limits(rig, None).heaviest_lb, room_in + SLACK_IN

    def _room_in(self, rig: Rig, *, with_neck: bool) -> float:
        settings, trailer = self._problem.settings, rig.trailer
        front = trailer.deck_from_coupler_in
        if trailer.neck is not None and with_neck:
            front = min(front, trailer.neck.from_coupler_in)
        end = trailer.deck_from_coupler_in + trailer.deck_length_in + settings.rear_overhang_in
        return end - front - max(settings.front_clearance_in, 0.0)

    def _too_long(self, rig: Rig, members: Sequence[Haul]) -> bool:
        room = self._room_in(rig, with_neck=any(h.how is LoadsBy.LIFTED for h in members))
        need = sum(h.item.length_in for h in members) + self._problem.settings.gap_in * (len(members) - 1)
        return need > room + SLACK_IN

    def _too_heavy(self, rig: Rig, members: Sequence[Haul]) -> bool:
        origins = {h.origin for h in members}
        if any(h.destination in origins for h in members):
            return False
        limits = self._judge.limits(rig, None)
        lifted = len(members) == 1 and members[0].permit is not None
        heaviest = limits.heaviest_lifted_lb if lifted else limits.heaviest_lb
        return sum(h.item.weight.high_lb for h in members) > heaviest

    # -- search ---------------------------------------------------------------------------------------------

    def _find(self, rig: Rig, request: LoadRequest) -> Load | None:
        if not self._judge.gear_ok(rig, request):
            return None
        arrangements = list(possible_arrangements(self._problem, rig, request))
        for waive in (False, True):
            if waive and not any(self._judge.waivable(state) for state in request.states):
                break
            found = self._first(rig, request, arrangements, waive, None)
            if found is not None:
                return Load(found[1], self._permit_legs(rig, request, found[1]))
        return None

    def _first(
        self,
        rig: Rig,
        request: LoadRequest,
        arrangements: Sequence[Arrangement],
        waive: bool,
        target: float | None,
    ) -> tuple[int, tuple[Placed, ...]] | None:
        """The first arrangement with a legal place, by number, and the places in load order.

        A ``target`` asks for no more use than that.
        """
        limits = self._judge.limits(rig, target)
        if not all(
            self._judge.state_ok(rig, state, limits, self._lifted(state, waive)) for state in request.states
        ):
            return None
        tables: Tables | None = None if target is None else {}
        terms = self._leg_terms(rig, request, waive, limits.rows)
        sizes: dict[tuple[object, ...], bool] = {}
        for number, arrangement in enumerate(arrangements):
            decks = (*arrangement.hauls, *arrangement.decks)
            if decks not in sizes:
                sizes[decks] = all(self._sizes_ok(rig, state, arrangement, waive) for state in request.states)
            if not sizes[decks]:
                continue
            placements = self._try(rig, request, arrangement, terms, limits.rows, tables)
            if placements is not None:
                by_haul = {placed.haul: placed for placed in placements}
                return number, tuple(by_haul[h] for h in request.load_order)
        return None

    def _lifted(self, state: DeckState, waive: bool) -> bool:
        return waive and self._judge.waivable(state)

    def _sizes_ok(self, rig: Rig, state: DeckState, arrangement: Arrangement, waive: bool) -> bool:
        """Whether width and height hold on the leg with the items on these decks."""
        decks = dict(zip(arrangement.hauls, arrangement.decks, strict=True))
        aboard, highest_in = [decks[h] for h in state.aboard], self._judge.site_limits(state)[1]
        return self._judge.sizes_ok(rig, state.aboard, aboard, highest_in, self._lifted(state, waive))

    def _try(
        self,
        rig: Rig,
        request: LoadRequest,
        arrangement: Arrangement,
        terms: Sequence[LegLimits],
        rows: Rows,
        tables: Tables | None,
    ) -> tuple[Placed, ...] | None:
        found = []
        for h, deck, facing in zip(arrangement.hauls, arrangement.decks, arrangement.facings, strict=True):
            entry = self._judge.table(rig, self._problem.hauls[h].item, deck, facing, rows, tables)
            pinned = None if entry is None else _pinned(*entry, request.pin(h).front_edge_in)
            if pinned is None:
                return None
            found.append(pinned)
        line = self._line(rig, arrangement, terms, rows, found)
        edges = None if line is None else search(line)
        if edges is None:
            return None
        return tuple(
            Placed(h, deck, edge, facing)
            for h, deck, edge, facing in zip(
                arrangement.hauls, arrangement.decks, edges, arrangement.facings, strict=True
            )
        )

    def _leg_terms(self, rig: Rig, request: LoadRequest, waive: bool, rows: Rows) -> list[LegLimits]:
        """What the legs ask, each different deck of items once."""
        terms: dict[Hashable, LegLimits] = {}
        for state in request.states:
            lifted = self._lifted(state, waive)
            longest_in = self._judge.longest_in(rig, self._judge.site_limits(state)[0], lifted)
            aboard = frozenset(state.aboard)
            terms[aboard, longest_in] = LegLimits(aboard, longest_in, rows.lifted if lifted else rows.bounds)
        return list(terms.values())

    def _line(
        self,
        rig: Rig,
        arrangement: Arrangement,
        terms: Sequence[LegLimits],
        rows: Rows,
        found: Sequence[Entry],
    ) -> Line | None:
        """The arrangement's search, places cut by the overall length; None: it is over by itself."""
        spots = [place for place, _ in found]
        legs = []
        for leg in terms:
            aboard = tuple([i for i, h in enumerate(arrangement.hauls) if h in leg.aboard])
            cut = _cut_length(rig, spots, aboard, leg.longest_in)
            if cut is None:
                return None
            spots = cut
            legs.append(LegRows(aboard, leg.bounds))
        tables = tuple(
            table[:, : new.last - old.first + 1] for new, (old, table) in zip(spots, found, strict=True)
        )
        return Line(tuple(spots), tables, rows.slopes, tuple(legs), self._problem.settings.gap_in)

    # -- judgement by the rules themselves --------------------------------------------------------------------

    def checks(self, rig: Rig, request: LoadRequest, placements: Sequence[Placed]) -> list[tuple[Check, ...]]:
        """Every leg's check records for given placements, in the order of the request's states."""
        by_haul = {placed.haul: placed for placed in placements}
        return [
            leg_checks(
                self._problem,
                rig,
                Leg(s.origin, s.destination, 0, 0, tuple(by_haul[h] for h in s.aboard)),
            )
            for s in request.states
        ]

    def _permit_legs(self, rig: Rig, request: LoadRequest, placements: Sequence[Placed]) -> tuple[bool, ...]:
        if not any(self._judge.waivable(state) for state in request.states):
            return (False,) * len(request.states)
        return tuple(any(check.waived for check in leg) for leg in self.checks(rig, request, placements))

    def _greatest_use(self, rig: Rig, request: LoadRequest, placements: Sequence[Placed]) -> float:
        """Greatest use over the legs, among the rules that depend on where items stand (0 when none does).

        Limits of law that a permit lifts count too: over the limit is over the limit, the less the better.
        """
        rules = self._judge.class_rules(rig)
        names = {rule.name for rule in rules if rule.depends_on_place}
        placed_rules = [rule for rule in rules if rule.name in names]
        by_haul = {placed.haul: placed for placed in placements}
        greatest = 0.0
        for state in request.states:
            on_deck = stand(self._problem, rig, [by_haul[h] for h in state.aboard])
            weights, cgs_in = [s.item.weight for s in on_deck], [s.cg_in for s in on_deck]
            uses = [evaluate(rule, rig, weights, cgs_in).use for rule in placed_rules]
            uses += [check.use for check in deck_rating_checks(rig, on_deck) if check.name == "Dovetail"]
            greatest = max(greatest, *uses)
        return greatest


def _pinned(place: Spot, table: Floats, at_in: int | None) -> Entry | None:
    """The one place where an item must stand; None when it cannot stand there."""
    if at_in is None:
        return place, table
    if not place.first <= at_in <= place.last:
        return None
    column = at_in - place.first
    return replace(place, first=at_in, last=at_in), table[:, column : column + 1]


def _cut_length(
    rig: Rig, spots: Sequence[Spot], aboard: Sequence[int], longest_in: float | None
) -> list[Spot] | None:
    """The spots without the places that break an overall length; None: nothing is left of one."""
    cut = list(spots)
    if longest_in is None:
        return cut
    if over(rig_length_in(rig), longest_in):
        return None
    for i in aboard:
        last = last_place(rig, cut[i], longest_in)
        if last < cut[i].first:
            return None
        cut[i] = replace(cut[i], last=last)
    return cut


def _without_hauls(load: Load) -> Found:
    """The load without its hauls' numbers."""
    return tuple([(p.deck, p.front_edge_in, p.facing) for p in load.placements]), load.permit_legs
