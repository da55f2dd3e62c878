"""Where each item may stand so that every leg of a trip is legal, and the best such place.

``Placer.find`` is exact on the reported one-inch grid: it returns a legal load whenever one exists, over facings,
the neck deck and the orders along the deck that the loading order allows. ``Placer.best`` returns the load with
the largest least margin: the smallest greatest use over the rules that depend on where items stand.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from dispatch.arrangements import Arrangement
from dispatch.arrangements import DeckState as DeckState
from dispatch.arrangements import Load as Load
from dispatch.arrangements import LoadRequest as LoadRequest
from dispatch.arrangements import Pin as Pin
from dispatch.arrangements import arrangements as possible_arrangements
from dispatch.checks import Check, Sense
from dispatch.dimensions import length_key
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, LoadsBy
from dispatch.legality import (
    Standing,
    gear_checks,
    leg_checks,
    licence_check,
    load_height_in,
    load_width_in,
    rig_length_in,
)
from dispatch.load_rules import LoadRule, gross_form, load_rules
from dispatch.load_tables import Compact, Floats, Rows, Spot, compact, contributions, rows_of, spot
from dispatch.moves import Haul
from dispatch.placement_search import LegRows, Line, search
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN, SLACK_LB


class Placer:
    """Places loads of one problem; remembers answers by load class, items and the pattern of legs."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._classes: dict[Hashable, int] = {}
        self._class_of: dict[str, int] = {}
        self._rules: dict[int, tuple[LoadRule, ...]] = {}
        self._compact: dict[int, Compact] = {}
        self._licensed: dict[tuple[int, float], bool] = {}
        self._gear: dict[Hashable, bool] = {}
        self._sites: dict[tuple[str, str], tuple[float | None, float | None, float | None]] = {}
        self._tables: dict[tuple[int, str, Deck, Facing], tuple[Spot, Floats] | None] = {}
        self._found: dict[Hashable, Load | None] = {}
        for rig in problem.rigs:
            key = self.load_class(rig)
            self._class_of[rig.name] = self._classes.setdefault(key, len(self._classes))

    def load_class(self, rig: Rig) -> Hashable:
        """Rigs with equal keys are alike in everything that legality looks at."""
        gear = (rig.licence, rig.chains, rig.chain_rating_lb, rig.straps, rig.strap_rating_lb)
        truck = tuple(getattr(rig.truck, f) for f in rig.truck.__dataclass_fields__ if f != "name")
        trailer = tuple(getattr(rig.trailer, f) for f in rig.trailer.__dataclass_fields__ if f != "name")
        return (truck, trailer, gear)

    def find(self, rig: Rig, request: LoadRequest) -> Load | None:
        """A legal load for the request, or None when no place on the one-inch grid is legal."""
        key = self._key(rig, request)
        if key not in self._found:
            load = self._find(rig, request)
            self._found[key] = None if load is None else _numbered(load, request.load_order, None)
        known = self._found[key]
        return None if known is None else _numbered(known, None, request.load_order)

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
            better = self._first(rig, request, arrangements, waive, target)
            better_use = use if better is None else self._greatest_use(rig, request, better)
            if better is not None and better_use < use:
                best, use = better, better_use
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

    def _too_long(self, rig: Rig, members: Sequence[Haul]) -> bool:
        settings, trailer = self._problem.settings, rig.trailer
        front = trailer.deck_from_coupler_in
        if trailer.neck is not None and any(h.how is LoadsBy.LIFTED for h in members):
            front = min(front, trailer.neck.from_coupler_in)
        end = trailer.deck_from_coupler_in + trailer.deck_length_in + settings.rear_overhang_in
        room = end - front - max(settings.front_clearance_in, 0.0)
        need = sum(h.item.length_in for h in members) + settings.gap_in * (len(members) - 1)
        return need > room + SLACK_IN

    def _too_heavy(self, rig: Rig, members: Sequence[Haul]) -> bool:
        origins = {h.origin for h in members}
        if any(h.destination in origins for h in members):
            return False
        limits = self._limits(rig, None)
        lifted = len(members) == 1 and members[0].permit is not None
        heaviest = limits.heaviest_lifted_lb if lifted else limits.heaviest_lb
        return sum(h.item.weight.high_lb for h in members) > heaviest

    # -- search ---------------------------------------------------------------------------------------------

    def _key(self, rig: Rig, request: LoadRequest) -> Hashable:
        hauls, index = self._problem.hauls, {h: i for i, h in enumerate(request.load_order)}
        items = tuple((hauls[h].item.name, hauls[h].how, hauls[h].permit is not None) for h in request.load_order)
        unload = tuple(index[h] for h in request.unload_order)
        states = tuple((tuple(index[h] for h in s.aboard), self._site_limits(s)) for s in request.states)
        pins = tuple((index[p.haul], p.deck, p.facing, p.front_edge_in) for p in request.pins)
        return (self._class_of[rig.name], items, unload, states, pins)

    def _site_limits(self, state: DeckState) -> tuple[float | None, float | None, float | None]:
        """Longest rig, highest load and heaviest gross of the leg's two sites, the lower of each."""
        key = (state.origin, state.destination)
        if key not in self._sites:
            self._sites[key] = self._lowest_limits(state)
        return self._sites[key]

    def _lowest_limits(self, state: DeckState) -> tuple[float | None, float | None, float | None]:
        ends = (self._problem.sites[state.origin], self._problem.sites[state.destination])

        def lowest(field: str) -> float | None:
            values = [getattr(site, field) for site in ends if getattr(site, field) is not None]
            return min(values, default=None)

        return lowest("longest_rig_in"), lowest("highest_load_in"), lowest("heaviest_gross_lb")

    def _find(self, rig: Rig, request: LoadRequest) -> Load | None:
        if not self._gear_ok(rig, request):
            return None
        arrangements = list(possible_arrangements(self._problem, rig, request))
        for waive in (False, True):
            if waive and not any(self._waivable(state) for state in request.states):
                break
            placements = self._first(rig, request, arrangements, waive, None)
            if placements is not None:
                return Load(placements, self._permit_legs(rig, request, placements))
        return None

    def _waivable(self, state: DeckState) -> bool:
        return len(state.aboard) == 1 and self._problem.hauls[state.aboard[0]].permit is not None

    def _gear_ok(self, rig: Rig, request: LoadRequest) -> bool:
        hauls = [self._problem.hauls[h] for h in request.load_order]
        decks = [tuple(sorted(state.aboard)) for state in request.states]
        carried = tuple(sorted((haul.item.name, haul.how) for haul in hauls))
        aboard = tuple(sorted({tuple(sorted(self._problem.hauls[h].item.name for h in deck)) for deck in decks}))
        key = (self._class_of[rig.name], carried, aboard)
        if key not in self._gear:
            items = [tuple(self._problem.hauls[h].item for h in deck) for deck in decks]
            self._gear[key] = all(check.ok for check in gear_checks(self._problem, rig, hauls, items))
        return self._gear[key]

    def _first(
        self,
        rig: Rig,
        request: LoadRequest,
        arrangements: Sequence[Arrangement],
        waive: bool,
        target: float | None,
    ) -> tuple[Placed, ...] | None:
        """The first arrangement with a legal place; a ``target`` asks for no more use than that."""
        limits = self._limits(rig, target)
        if not all(self._state_ok(rig, state, limits, self._lifted(state, waive)) for state in request.states):
            return None
        sizes: dict[tuple[object, ...], bool] = {}
        for arrangement in arrangements:
            decks = (*arrangement.hauls, *arrangement.decks)
            if decks not in sizes:
                sizes[decks] = all(
                    self._sizes_ok(rig, state, arrangement, self._lifted(state, waive)) for state in request.states
                )
            if not sizes[decks]:
                continue
            placements = self._try(rig, request, arrangement, waive, limits.rows, target is None)
            if placements is not None:
                by_haul = {placed.haul: placed for placed in placements}
                return tuple(by_haul[h] for h in request.load_order)
        return None

    def _lifted(self, state: DeckState, waive: bool) -> bool:
        return waive and self._waivable(state)

    def _state_ok(self, rig: Rig, state: DeckState, limits: Compact, lifted: bool) -> bool:
        """Whether the leg's weight alone is within gross, site and licence, wherever the items stand."""
        weight_lb = sum(self._problem.hauls[h].item.weight.high_lb for h in state.aboard)
        if weight_lb > (limits.heaviest_lifted_lb if lifted else limits.heaviest_lb):
            return False
        heaviest = self._site_limits(state)[2]
        if heaviest is not None:
            empty_lb = gross_form(rig).empty_worst(rig.trailer, Sense.MOST)
            if empty_lb + weight_lb > heaviest + SLACK_LB:
                return False
        key = (self._class_of[rig.name], weight_lb)
        if key not in self._licensed:
            standing = self._standing(state.aboard, (Deck.MAIN,) * len(state.aboard))
            self._licensed[key] = licence_check(self._problem, rig, standing).ok
        return self._licensed[key]

    def _standing(self, hauls: Sequence[int], decks: Sequence[Deck]) -> list[Standing]:
        """The items aboard, for checks that ask no more than their deck."""
        placed = [Placed(h, deck, 0, Facing.FORWARD) for h, deck in zip(hauls, decks, strict=True)]
        return [Standing(self._problem.hauls[p.haul], p, 0.0, 0.0) for p in placed]

    def _sizes_ok(self, rig: Rig, state: DeckState, arrangement: Arrangement, lifted: bool) -> bool:
        """Whether width and height hold on the leg with the items on these decks."""
        decks = dict(zip(arrangement.hauls, arrangement.decks, strict=True))
        standing = self._standing(state.aboard, [decks[h] for h in state.aboard])
        rules, highest = self._problem.rules, self._site_limits(state)[1]
        width, height = (None if lifted else rules.value(key) for key in ("width_in", "height_in"))
        if _over(load_width_in(rig, standing, width), width):
            return False
        top = load_height_in(rig, standing)
        return not (_over(top, height) or _over(top, highest))

    def _try(
        self, rig: Rig, request: LoadRequest, arrangement: Arrangement, waive: bool, rows: Rows, keep: bool
    ) -> tuple[Placed, ...] | None:
        found = []
        for h, deck, facing in zip(arrangement.hauls, arrangement.decks, arrangement.facings, strict=True):
            entry = self._table(rig, self._problem.hauls[h].item, deck, facing, rows, keep)
            pinned = None if entry is None else _pinned(*entry, request.pin(h).front_edge_in)
            if pinned is None:
                return None
            found.append(pinned)
        line = self._line(rig, request, arrangement, waive, rows, found)
        edges = None if line is None else search(line)
        if edges is None:
            return None
        return tuple(
            Placed(h, deck, edge, facing)
            for h, deck, edge, facing in zip(
                arrangement.hauls, arrangement.decks, edges, arrangement.facings, strict=True
            )
        )

    def _line(
        self,
        rig: Rig,
        request: LoadRequest,
        arrangement: Arrangement,
        waive: bool,
        rows: Rows,
        found: Sequence[tuple[Spot, Floats]],
    ) -> Line | None:
        """The arrangement's search, places cut by the overall length; None: it is over by itself."""
        spots = [place for place, _ in found]
        legs = []
        for state in request.states:
            lifted = self._lifted(state, waive)
            aboard = tuple(i for i, h in enumerate(arrangement.hauls) if h in state.aboard)
            law = None if lifted else self._problem.rules.value(length_key(rig, self._problem.rules))
            cut = self._cut_length(rig, spots, aboard, law, self._site_limits(state)[0])
            if cut is None:
                return None
            spots = cut
            legs.append(LegRows(aboard, rows.lifted if lifted else rows.bounds))
        tables = tuple(
            table[:, : new.last - old.first + 1] for new, (old, table) in zip(spots, found, strict=True)
        )
        return Line(tuple(spots), tables, tuple(legs), self._problem.settings.gap_in)

    @staticmethod
    def _cut_length(
        rig: Rig, spots: Sequence[Spot], aboard: Sequence[int], law: float | None, longest: float | None
    ) -> list[Spot] | None:
        limit = min((v for v in (law, longest) if v is not None), default=None)
        if limit is None:
            return list(spots)
        if _over(rig_length_in(rig), limit):
            return None
        ahead = rig.truck.front_overhang_in + rig.truck.coupler_in
        cut = list(spots)
        for i in aboard:
            s = cut[i]
            last = int(np.floor(limit - ahead - s.origin_in - s.length_in + SLACK_IN))
            if last < s.first:
                return None
            cut[i] = Spot(s.deck, s.facing, s.first, min(s.last, last), s.origin_in, s.length_in)
        return cut

    # -- remembered tables ----------------------------------------------------------------------------------

    def _class_rules(self, rig: Rig) -> tuple[LoadRule, ...]:
        number = self._class_of[rig.name]
        if number not in self._rules:
            self._rules[number] = load_rules(rig, self._problem.settings, self._problem.rules)
        return self._rules[number]

    def _limits(self, rig: Rig, target: float | None) -> Compact:
        number, settings = self._class_of[rig.name], self._problem.settings
        if target is not None:
            return compact(rows_of(rig, settings, self._class_rules(rig), target))
        if number not in self._compact:
            self._compact[number] = compact(rows_of(rig, settings, self._class_rules(rig)))
        return self._compact[number]

    def _table(
        self, rig: Rig, item: Item, deck: Deck, facing: Facing, rows: Rows, keep: bool
    ) -> tuple[Spot, Floats] | None:
        key = (self._class_of[rig.name], item.name, deck, facing)
        if keep and key in self._tables:
            return self._tables[key]
        place = spot(rig, self._problem.settings, item, deck, facing)
        entry = None if place is None else (place, contributions(rig, rows, item, place))
        if keep:
            self._tables[key] = entry
        return entry

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
        if not any(self._waivable(state) for state in request.states):
            return (False,) * len(request.states)
        return tuple(any(check.waived for check in leg) for leg in self.checks(rig, request, placements))

    def _greatest_use(self, rig: Rig, request: LoadRequest, placements: Sequence[Placed]) -> float:
        """Greatest use over the legs, among the rules that depend on where items stand (0 when none does).

        Limits of law that a permit lifts count too: over the limit is over the limit, the less the better.
        """
        names = {rule.name for rule in self._class_rules(rig) if rule.depends_on_place} | {"Dovetail"}
        legs = self.checks(rig, request, placements)
        return max((check.use for leg in legs for check in leg if check.name in names), default=0.0)


def _pinned(place: Spot, table: Floats, at_in: int | None) -> tuple[Spot, Floats] | None:
    """The one place where an item must stand; None when it cannot stand there."""
    if at_in is None:
        return place, table
    if not place.first <= at_in <= place.last:
        return None
    column = at_in - place.first
    return replace(place, first=at_in, last=at_in), table[:, column : column + 1]


def _over(value: float, limit: float | None) -> bool:
    return limit is not None and value > limit + SLACK_IN


def _numbered(load: Load, to_places: tuple[int, ...] | None, to_hauls: tuple[int, ...] | None) -> Load:
    """The load with haul numbers turned into places in the load order, or back."""
    if to_places is not None:
        names = {h: i for i, h in enumerate(to_places)}
    else:
        assert to_hauls is not None
        names = dict(enumerate(to_hauls))
    placements = tuple(Placed(names[p.haul], p.deck, p.front_edge_in, p.facing) for p in load.placements)
    return Load(placements, load.permit_legs)
