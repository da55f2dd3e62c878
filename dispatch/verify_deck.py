"""The verifier's checks of a trip's shape, of the order on deck, and of where each item stands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise

from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, LoadsBy
from dispatch.plan import Action, Placed, Trip
from dispatch.problem import Problem
from dispatch.units import SLACK_IN
from dispatch.verify_findings import NumberedTrip, Violation, actions, known


def shape_violations(problem: Problem, one: NumberedTrip) -> list[Violation]:
    """One loading phase, then one unloading phase; every item on once and off once, at its own sites."""
    return [
        *_stops(problem, one),
        *_phases(one),
        *_on_and_off_once(one),
        *_placed_once(one),
        *_right_sites(problem, one),
    ]


def _stops(problem: Problem, one: NumberedTrip) -> Iterator[Violation]:
    trip = one.trip
    if trip.rig != one.rig:
        yield Violation("trip shape", one.where, trip.rig, one.rig, "the trip names another rig than its day")
    if len(trip.stops) < 2:
        yield Violation("trip shape", one.where, len(trip.stops), 2, "a trip has two stops or more")
    for stop in trip.stops:
        if stop.site not in problem.sites:
            yield Violation("unknown site", one.where, stop.site, "a site of the input", "no such site")
        if not stop.tasks:
            yield Violation("trip shape", one.where, stop.site, "work at every stop", "a stop without work")
    for stop, following in pairwise(trip.stops):
        if stop.site == following.site:
            yield Violation("trip shape", one.where, stop.site, "another site", "two stops in a row at one site")


def _phases(one: NumberedTrip) -> Iterator[Violation]:
    dropped = False
    for _, action, haul in actions(one.trip):
        if action is Action.LOAD and dropped:
            text = "something goes on after the first item came off"
            yield Violation("loading after unloading", one.where, haul, "one loading phase", text)
        dropped = dropped or action is Action.UNLOAD


def _on_and_off_once(one: NumberedTrip) -> Iterator[Violation]:
    loads = Counter(haul for _, action, haul in actions(one.trip) if action is Action.LOAD)
    unloads = Counter(haul for _, action, haul in actions(one.trip) if action is Action.UNLOAD)
    for haul in sorted(loads | unloads):
        if loads[haul] != 1:
            yield Violation("loaded not once", one.where, loads[haul], 1, f"times that haul {haul} is loaded")
        if unloads[haul] != 1:
            yield Violation(
                "unloaded not once", one.where, unloads[haul], 1, f"times that haul {haul} is unloaded"
            )
    aboard: set[int] = set()
    for _, action, haul in actions(one.trip):
        if action is Action.UNLOAD and haul not in aboard:
            yield Violation(
                "unloaded not once", one.where, haul, "an item on deck", "comes off but is not on deck"
            )
        (aboard.add if action is Action.LOAD else aboard.discard)(haul)


def _placed_once(one: NumberedTrip) -> Iterator[Violation]:
    loaded = [haul for _, action, haul in actions(one.trip) if action is Action.LOAD]
    placed = [placed.haul for placed in one.trip.placements]
    if placed != loaded:
        text = "placements do not name the loaded items in load order"
        yield Violation("placements", one.where, str(placed), str(loaded), text)


def _right_sites(problem: Problem, one: NumberedTrip) -> Iterator[Violation]:
    for number, action, index in actions(one.trip):
        if not known(problem, index):
            yield Violation("unknown haul", one.where, index, len(problem.hauls) - 1, "no such haul")
            continue
        haul, site = problem.hauls[index], one.trip.stops[number].site
        right = haul.origin if action is Action.LOAD else haul.destination
        if site != right:
            text = f"{action.value} of {haul.item.name}"
            yield Violation(f"{action.value} at the wrong site", one.where, site, right, text)
        if haul.how is LoadsBy.LIFTED and site in problem.sites and not problem.sites[site].lift_on_site:
            text = f"{action.value} of {haul.item.name}"
            yield Violation("no lift on site", one.where, site, "a site with a lift", text)


def order_violations(problem: Problem, one: NumberedTrip) -> list[Violation]:
    """What is driven or winched comes on and off only while nothing stands behind it on the main deck."""
    places = {placed.haul: placed for placed in one.trip.placements if known(problem, placed.haul)}
    found: list[Violation] = []
    aboard: list[int] = []
    for _, action, index in actions(one.trip):
        if index not in places:
            continue
        others = [places[other] for other in aboard if other != index]
        found += _blocked(problem, one, places[index], others, action)
        if action is Action.LOAD:
            aboard.append(index)
        elif index in aboard:
            aboard.remove(index)
    return found


def _blocked(
    problem: Problem, one: NumberedTrip, moving: Placed, others: Iterable[Placed], action: Action
) -> Iterator[Violation]:
    haul = problem.hauls[moving.haul]
    if haul.how is LoadsBy.LIFTED or moving.deck is not Deck.MAIN:
        return
    for other in others:
        if other.deck is Deck.MAIN and other.front_edge_in > moving.front_edge_in:
            text = f"{action.value} of {haul.item.name} with {problem.hauls[other.haul].item.name} behind it"
            yield Violation(
                "rear loading order", one.where, other.front_edge_in, f"under {moving.front_edge_in} in", text
            )


def place_violations(problem: Problem, rig: Rig, one: NumberedTrip) -> list[Violation]:
    """Whole inches, facing, deck, contact, clearance, and the gap between items that are on deck together."""
    found: list[Violation] = []
    standing = [placed for placed in one.trip.placements if known(problem, placed.haul)]
    for placed in standing:
        found += _own_place(problem, rig, placed, one.where)
    on_a_deck = [p for p in standing if p.deck is Deck.MAIN or rig.trailer.neck is not None]
    for first, second in combinations(on_a_deck, 2):
        if _together_on_deck(one.trip, first.haul, second.haul):
            found += _gap(problem, rig, first, second, one.where)
    return found


def _own_place(problem: Problem, rig: Rig, placed: Placed, where: str) -> Iterator[Violation]:
    haul = problem.hauls[placed.haul]
    item, name = haul.item, haul.item.name
    front = placed.front_edge_in
    if not isinstance(front, int) or isinstance(front, bool):
        yield Violation("whole inches", where, str(front), "whole inches", name)
    if placed.facing not in item.facings:
        yield Violation("facing", where, placed.facing.value, ", ".join(item.facings), name)
    if front < problem.settings.front_clearance_in - SLACK_IN:
        text = f"{name}: front clearance, inches"
        yield Violation("front clearance", where, front, problem.settings.front_clearance_in, text)
    if placed.deck is Deck.NECK and haul.how is not LoadsBy.LIFTED:
        yield Violation("neck deck not lifted", where, haul.how.value, "lifted", f"{name} on the neck deck")
    deck = _deck_size(rig, placed.deck)
    if deck is None:
        yield Violation("no such deck", where, placed.deck.value, "main", f"{name}: the trailer has no neck deck")
        return
    length_in, width_in = deck
    start, end = contact_patch(item, placed.facing, front)
    if start < -SLACK_IN or end > length_in + SLACK_IN:
        text = f"{name}: contact from {start:g} to {end:g} in"
        yield Violation("contact off the deck", where, end, length_in, text)
    if item.contact_width_in > width_in + SLACK_IN:
        text = f"{name}: contact width, inches"
        yield Violation("contact wider than the deck", where, item.contact_width_in, width_in, text)


def _deck_size(rig: Rig, deck: Deck) -> tuple[float, float] | None:
    """Length and width of a deck, inches."""
    if deck is Deck.MAIN:
        return rig.trailer.deck_length_in, rig.trailer.deck_width_in
    neck = rig.trailer.neck
    return None if neck is None else (neck.length_in, neck.width_in)


def contact_patch(item: Item, facing: Facing, front_edge_in: float) -> tuple[float, float]:
    """Start and end of what touches the deck, inches in the frame of the front edge."""
    behind_nose = (item.contact_from_in, item.contact_from_in + item.contact_length_in)
    if facing is Facing.FORWARD:
        return front_edge_in + behind_nose[0], front_edge_in + behind_nose[1]
    nose = front_edge_in + item.length_in
    return nose - behind_nose[1], nose - behind_nose[0]


def _gap(problem: Problem, rig: Rig, first: Placed, second: Placed, where: str) -> Iterator[Violation]:
    a, b = body(problem, rig, first), body(problem, rig, second)
    gap = max(a[0] - b[1], b[0] - a[1])
    if gap < problem.settings.gap_in - SLACK_IN:
        names = f"{problem.hauls[first.haul].item.name} and {problem.hauls[second.haul].item.name}"
        yield Violation("gap", where, gap, problem.settings.gap_in, f"{names}: inches between bodies")


def body(problem: Problem, rig: Rig, placed: Placed) -> tuple[float, float]:
    """Front and rear end of an item's body, inches behind the coupler."""
    neck = rig.trailer.neck
    on_neck = placed.deck is Deck.NECK and neck is not None
    deck_front = neck.from_coupler_in if on_neck and neck else rig.trailer.deck_from_coupler_in
    front = deck_front + placed.front_edge_in
    return front, front + problem.hauls[placed.haul].item.length_in


def _together_on_deck(trip: Trip, first: int, second: int) -> bool:
    """Whether both are on deck at one moment: also while standing at a site."""
    aboard: set[int] = set()
    for _, action, haul in actions(trip):
        (aboard.add if action is Action.LOAD else aboard.discard)(haul)
        if first in aboard and second in aboard:
            return True
    return False
