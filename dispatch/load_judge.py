"""What placement asks of a rig and its items again and again, remembered: rules, tables, gear, sizes, licence.

Nothing here searches. Answers that no place changes (weight alone, width, height, gear) are given once and kept
by load class, so that rigs that are alike share them.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from functools import cached_property

from dispatch.arrangements import DeckState, LoadRequest
from dispatch.checks import Sense
from dispatch.dimensions import length_key
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item
from dispatch.legality import Standing, gear_checks, licence_needed, load_height_in, load_width_in
from dispatch.licences import covers
from dispatch.load_rules import LoadRule, gross_form, load_rules
from dispatch.load_tables import Compact, Floats, Rows, Spot, compact, contributions, rows_of, spot
from dispatch.plan import Placed
from dispatch.problem import Problem
from dispatch.securement import holding_options, is_secure
from dispatch.units import SLACK_IN, SLACK_LB

SiteLimits = tuple[float | None, float | None, float | None]
"""Longest rig, highest load and heaviest gross of a leg's two sites, the lower of each; None: no limit."""
LegTerms = tuple[tuple[int, ...], SiteLimits]
"""Who is aboard on a leg, as places in the load order, and its site limits."""
RequestKey = tuple[int, tuple[int, ...], tuple[int, ...], tuple[int, ...], tuple[Hashable, ...]]
"""Load class, kinds in load order, unload order, numbers of the legs' terms, pins."""
Entry = tuple[Spot, Floats]
"""An item's places on a deck, and what it adds to every row there."""
Tables = dict[tuple[int, str, Deck, Facing], Entry | None]
"""By load class, item, deck and facing; None: it has no place there."""


def load_class(rig: Rig) -> Hashable:
    """Rigs with equal keys are alike in everything that legality looks at."""
    gear = (rig.licence, rig.chains, rig.chain_rating_lb, rig.straps, rig.strap_rating_lb)
    truck = tuple(getattr(rig.truck, f) for f in rig.truck.__dataclass_fields__ if f != "name")
    trailer = tuple(getattr(rig.trailer, f) for f in rig.trailer.__dataclass_fields__ if f != "name")
    return (truck, trailer, gear)


class LoadJudge:
    """The memory of one problem's placer."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._classes: dict[Hashable, int] = {}
        self._class_of: dict[str, int] = {}
        self._rules: dict[int, tuple[LoadRule, ...]] = {}
        self._compact: dict[int, Compact] = {}
        self._sizes: dict[Hashable, bool] = {}
        self._licensed: dict[tuple[int, float], bool] = {}
        self._comes_on: dict[tuple[int, int], bool] = {}
        self._holds: dict[tuple[int, str], int] = {}
        self._hold_numbers: dict[Hashable, int] = {}
        self._secure: dict[tuple[int, tuple[int, ...]], bool] = {}
        self._empty_lb: dict[int, float] = {}
        self._terms: list[LegTerms] = []
        self._term_numbers: dict[LegTerms, int] = {}
        self._leg_numbers: dict[tuple[tuple[int, ...], str, str], int] = {}
        self._sites: dict[tuple[str, str], SiteLimits] = {}
        self._tables: Tables = {}
        for rig in problem.rigs:
            self._class_of[rig.name] = self._classes.setdefault(load_class(rig), len(self._classes))

    def class_number(self, rig: Rig) -> int:
        """The same for rigs that are alike in all that legality looks at."""
        return self._class_of[rig.name]

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """A number for each haul, the same where item, way of loading and having a permit are the same."""
        known: dict[tuple[str, str, bool], int] = {}
        keys = [(haul.item.name, haul.how, haul.permit is not None) for haul in self.problem.hauls]
        return tuple(known.setdefault(key, len(known)) for key in keys)

    @cached_property
    def bearers(self) -> tuple[int, ...]:
        """A haul of every kind."""
        return tuple([self.kinds.index(kind) for kind in range(max(self.kinds, default=-1) + 1)])

    @cached_property
    def permit_kinds(self) -> frozenset[int]:
        """The kinds of hauls that have a permit."""
        return frozenset(kind for kind, h in zip(self.kinds, self.problem.hauls, strict=True) if h.permit)

    # -- a request ------------------------------------------------------------------------------------------

    def key(self, rig: Rig, request: LoadRequest) -> RequestKey:
        """Requests with equal keys have the same answer."""
        kinds, index = self.kinds, {h: i for i, h in enumerate(request.load_order)}
        items = tuple([kinds[h] for h in request.load_order])
        unload = tuple([index[h] for h in request.unload_order])
        place, numbers, legs = index.__getitem__, self._leg_numbers, []
        for state in request.states:
            leg = (tuple(map(place, state.aboard)), state.origin, state.destination)
            if leg not in numbers:
                terms = (leg[0], self.site_limits(state))
                numbers[leg] = self._term_numbers.setdefault(terms, len(self._terms))
                if numbers[leg] == len(self._terms):
                    self._terms.append(terms)
            legs.append(numbers[leg])
        pins = tuple([(index[p.haul], p.deck, p.facing, p.front_edge_in) for p in request.pins])
        return (self._class_of[rig.name], items, unload, tuple(legs), pins)

    def is_plain(self, key: RequestKey) -> bool:
        """Whether there is some item, nothing is settled beforehand and no haul has a permit."""
        return bool(key[1]) and not key[4] and self.permit_kinds.isdisjoint(key[1])

    def terms(self, leg: int) -> LegTerms:
        """What the leg of this number in a key asks."""
        return self._terms[leg]

    def site_limits(self, state: DeckState) -> SiteLimits:
        """Longest rig, highest load and heaviest gross of the leg's two sites, the lower of each."""
        key = (state.origin, state.destination)
        if key not in self._sites:
            self._sites[key] = self._lowest_limits(state)
        return self._sites[key]

    def _lowest_limits(self, state: DeckState) -> SiteLimits:
        ends = (self.problem.sites[state.origin], self.problem.sites[state.destination])

        def lowest(field: str) -> float | None:
            values = [getattr(site, field) for site in ends if getattr(site, field) is not None]
            return min(values, default=None)

        return lowest("longest_rig_in"), lowest("highest_load_in"), lowest("heaviest_gross_lb")

    def waivable(self, state: DeckState) -> bool:
        """Whether a permit lifts limits of law on the leg: one item, alone on the deck, with a permit."""
        return len(state.aboard) == 1 and self.problem.hauls[state.aboard[0]].permit is not None

    # -- what no place changes --------------------------------------------------------------------------------

    def gear_ok(self, rig: Rig, request: LoadRequest) -> bool:
        """Whether ramp and winch bring every item on, and chains and straps hold every deck of items.

        What is held together can be held without one of its items, so only decks within no other are asked.
        """
        if not all(self.comes_on(rig, h) for h in request.load_order):
            return False
        decks = [frozenset(state.aboard) for state in request.states]
        most = [deck for deck in decks if not any(deck < other for other in decks)]
        return all(self.secured(rig, tuple(deck)) for deck in most)

    def comes_on(self, rig: Rig, haul: int) -> bool:
        """Whether ramp and winch do for the haul's item."""
        key = (self._class_of[rig.name], self.kinds[haul])
        if key not in self._comes_on:
            checks = gear_checks(self.problem, rig, [self.problem.hauls[haul]], [])
            self._comes_on[key] = all(check.ok for check in checks)
        return self._comes_on[key]

    def secured(self, rig: Rig, hauls: Sequence[int]) -> bool:
        """Whether the rig's tie-downs hold the items at once, in whatever order they are named."""
        return self.held(rig, tuple(sorted([self.hold(rig, h) for h in hauls])), hauls)

    def hold(self, rig: Rig, haul: int) -> int:
        """A number for what the haul's item asks of the rig's tie-downs, the same where that is the same."""
        key = (self._class_of[rig.name], self.problem.hauls[haul].item.name)
        if key not in self._holds:
            asked = (key[0], holding_options(self.problem.hauls[haul].item, rig))
            self._holds[key] = self._hold_numbers.setdefault(asked, len(self._hold_numbers))
        return self._holds[key]

    def held(self, rig: Rig, holds: tuple[int, ...], hauls: Sequence[int]) -> bool:
        """The same as ``secured``; ``holds``: the hauls' numbers of ``hold`` in ascending order."""
        key = (self._class_of[rig.name], holds)
        if key not in self._secure:
            self._secure[key] = is_secure([self.problem.hauls[h].item for h in hauls], rig)
        return self._secure[key]

    def state_ok(self, rig: Rig, state: DeckState, limits: Compact, lifted: bool) -> bool:
        """Whether the leg's weight alone is within gross, site and licence, wherever the items stand."""
        return self.weight_ok(rig, state.aboard, limits, lifted, self.site_limits(state)[2])

    def weight_ok(
        self, rig: Rig, hauls: Sequence[int], limits: Compact, lifted: bool, heaviest_gross_lb: float | None
    ) -> bool:
        """The same for hauls that share a deck between sites with such a limit; only their weight matters."""
        weight_lb = sum(self.problem.hauls[h].item.weight.high_lb for h in hauls)
        if weight_lb > (limits.heaviest_lifted_lb if lifted else limits.heaviest_lb):
            return False
        if heaviest_gross_lb is not None and self.empty_lb(rig) + weight_lb > heaviest_gross_lb + SLACK_LB:
            return False
        return self.licensed(rig, weight_lb)

    def empty_lb(self, rig: Rig) -> float:
        """Greatest weight of the empty rig, pounds."""
        number = self._class_of[rig.name]
        if number not in self._empty_lb:
            self._empty_lb[number] = gross_form(rig).empty_worst(rig.trailer, Sense.MOST)
        return self._empty_lb[number]

    def licensed(self, rig: Rig, weight_lb: float) -> bool:
        """Whether the driver's licence is enough with so much aboard, pounds."""
        key = (self._class_of[rig.name], weight_lb)
        if key not in self._licensed:
            needed = licence_needed(self.problem.rules, rig, self.empty_lb(rig) + weight_lb)
            self._licensed[key] = covers(rig.licence, needed, self.problem.rules)
        return self._licensed[key]

    def _standing(self, hauls: Sequence[int], decks: Sequence[Deck]) -> list[Standing]:
        """The items aboard, for checks that ask no more than their deck."""
        placed = [Placed(h, deck, 0, Facing.FORWARD) for h, deck in zip(hauls, decks, strict=True)]
        return [Standing(self.problem.hauls[p.haul], p, 0.0, 0.0) for p in placed]

    def sizes_ok(
        self, rig: Rig, hauls: Sequence[int], decks: Sequence[Deck], highest_in: float | None, lifted: bool
    ) -> bool:
        """Whether width and height hold with the hauls on these decks, between sites with such a limit.

        Both are the greatest over the items, so they hold for all together if they hold for each alone.
        """
        standing, rules = self._standing(hauls, decks), self.problem.rules
        width, height = (None if lifted else rules.value(key) for key in ("width_in", "height_in"))
        if over(load_width_in(rig, standing, width), width):
            return False
        top = load_height_in(rig, standing)
        return not (over(top, height) or over(top, highest_in))

    def size_ok(self, rig: Rig, haul: int, deck: Deck, highest_in: float | None) -> bool:
        """Whether width and height of one haul hold on this deck; remembered."""
        key = (self._class_of[rig.name], haul, deck, highest_in)
        if key not in self._sizes:
            self._sizes[key] = self.sizes_ok(rig, (haul,), (deck,), highest_in, False)
        return self._sizes[key]

    def longest_in(self, rig: Rig, site_longest_in: float | None, lifted: bool) -> float | None:
        """Greatest overall length by law and by the leg's sites, inches; None: no limit."""
        law = None if lifted else self.problem.rules.value(length_key(rig, self.problem.rules))
        return min((v for v in (law, site_longest_in) if v is not None), default=None)

    # -- limits and tables ------------------------------------------------------------------------------------

    def class_rules(self, rig: Rig) -> tuple[LoadRule, ...]:
        """Every weight rule of the rig."""
        number = self._class_of[rig.name]
        if number not in self._rules:
            self._rules[number] = load_rules(rig, self.problem.settings, self.problem.rules)
        return self._rules[number]

    def limits(self, rig: Rig, target: float | None) -> Compact:
        """The rig's rules as rows; a ``target`` asks for no more use than that."""
        number, settings = self._class_of[rig.name], self.problem.settings
        if target is not None:
            return compact(rows_of(rig, settings, self.class_rules(rig), target))
        if number not in self._compact:
            self._compact[number] = compact(rows_of(rig, settings, self.class_rules(rig)))
        return self._compact[number]

    def table(
        self, rig: Rig, item: Item, deck: Deck, facing: Facing, rows: Rows, tables: Tables | None = None
    ) -> Entry | None:
        """The item's places and contributions; None: it has no place there.

        ``tables``: the memory of rows that are not the rig's own (limits with a target).
        """
        known = self._tables if tables is None else tables
        key = (self._class_of[rig.name], item.name, deck, facing)
        if key not in known:
            place = spot(rig, self.problem.settings, item, deck, facing)
            known[key] = None if place is None else (place, contributions(rig, rows, item, place))
        return known[key]


def last_place(rig: Rig, place: Spot, longest_in: float) -> int:
    """Last whole inch of a spot that keeps an overall length, inches; before its first: none does."""
    ahead = rig.truck.front_overhang_in + rig.truck.coupler_in
    return min(place.last, math.floor(longest_in - ahead - place.origin_in - place.length_in + SLACK_IN))


def over(value: float, limit: float | None) -> bool:
    """Whether a length, inches, is over its limit beyond rounding noise; None: no limit."""
    return limit is not None and value > limit + SLACK_IN
