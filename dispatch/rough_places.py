"""Places for a load that has no legal one: as little over the limits as a search from item to item finds."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from dispatch.axle_loads import to_coupler
from dispatch.fleet import Deck, Rig
from dispatch.load_rules import load_rules
from dispatch.load_tables import Floats, Rows, contributions, excess, rows_of, spot, stretch
from dispatch.placement import Pin
from dispatch.plan import Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN

ROUNDS = 3
"""How often every item is looked at again; more rounds hardly change anything."""


def rough_places(day: Problem, rig: Rig, pins: Sequence[Pin]) -> tuple[Placed, ...]:
    """Places for all items, in loading order: what is pinned as pinned, the rest packed and then evened out.

    Where the deck is too short the last items stand past its end. Not the least illegal places of all: a footing
    for numbers and mends.
    """
    places = _packed(day, rig, pins)
    rows = rows_of(rig, day.settings, load_rules(rig, day.settings, day.rules))
    for _ in range(ROUNDS):
        before = list(places)
        for number, pin in enumerate(pins):
            if pin.front_edge_in is None:
                places[number] = _evened(day, rig, rows, places, number)
        if places == before:
            break
    return tuple(places)


def _packed(day: Problem, rig: Rig, pins: Sequence[Pin]) -> list[Placed]:
    """Each item as far forward as clearance, contact and what stands before it allow; the neck deck first."""
    places: dict[int, Placed] = {}
    free = -math.inf
    for pin in sorted(pins, key=lambda pin: pin.deck is not Deck.NECK):
        item, deck = day.hauls[pin.haul].item, pin.deck or Deck.MAIN
        facing = pin.facing or item.facings[0]
        origin = _origin(rig, deck)
        place = spot(rig, day.settings, item, deck, facing)
        first = place.first if place else math.ceil(day.settings.front_clearance_in)
        front = first if free == -math.inf else max(first, math.ceil(free - origin - SLACK_IN))
        if pin.front_edge_in is not None:
            front = pin.front_edge_in
        places[pin.haul] = Placed(pin.haul, deck, front, facing)
        free = max(free, origin + front + item.length_in + day.settings.gap_in)
    return [places[pin.haul] for pin in pins]


def _origin(rig: Rig, deck: Deck) -> float:
    """Front of a deck behind the coupler, inches; of a neck deck that is not there the main deck's."""
    return to_coupler(rig.trailer, deck if rig.trailer.neck is not None else Deck.MAIN, 0.0)


def _evened(day: Problem, rig: Rig, rows: Rows, places: Sequence[Placed], number: int) -> Placed:
    """The item where the greatest excess over any limit, in any state, is smallest; the others stay."""
    placed = places[number]
    item = day.hauls[placed.haul].item
    ends = _room(day, rig, places, number)
    if ends is None:
        return placed
    table = contributions(rig, rows, item, stretch(rig, item, placed.deck, placed.facing, *ends))
    totals = [np.zeros(rows.bounds.size)]
    for other in places:
        totals.append(totals[-1] + (0.0 if other is placed else standing(day, rig, rows, other)))
    worst = np.max([excess(rows, table + total[:, None]) for total in totals[number + 1 :]], axis=0)
    return Placed(placed.haul, placed.deck, ends[0] + int(np.argmin(worst)), placed.facing)


def _room(day: Problem, rig: Rig, places: Sequence[Placed], number: int) -> tuple[int, int] | None:
    """First and last place of an item between its neighbours as they stand, within what its deck allows."""
    placed = places[number]
    item = day.hauls[placed.haul].item
    place = spot(rig, day.settings, item, placed.deck, placed.facing)
    if place is None:
        return None
    low, high = float(place.first), float(place.last)
    own = place.origin_in + placed.front_edge_in
    for other in places:
        if other is placed:
            continue
        front = _origin(rig, other.deck) + other.front_edge_in
        if front < own:
            rear = front + day.hauls[other.haul].item.length_in
            low = max(low, rear + day.settings.gap_in - place.origin_in)
        else:
            high = min(high, front - day.settings.gap_in - item.length_in - place.origin_in)
    first, last = math.ceil(low - SLACK_IN), math.floor(high + SLACK_IN)
    return (first, last) if first <= last else None


def standing(day: Problem, rig: Rig, rows: Rows, placed: Placed) -> Floats:
    """What an item adds to each rule where it stands, pounds, worst case."""
    item, at = day.hauls[placed.haul].item, placed.front_edge_in
    return contributions(rig, rows, item, stretch(rig, item, placed.deck, placed.facing, at, at))[:, 0]
