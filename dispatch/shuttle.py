"""A day on which everything goes from one place to one other: packed, not scheduled trip by trip.

Moving a yard is such a day. What may ride together is first of all a matter of weight, length and number, machines
that are alike are of one kind, and few trips follow from packing kinds onto decks. The floor holds for every fleet
and whatever the clock says, for it knows only what no load can exceed and loads that no rig may carry; the plan is
made of legal trips and is given only if rigs and hours carry all of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dispatch.construct import Draft, Offer
from dispatch.master import Goal
from dispatch.moves import Status
from dispatch.packing import Packer
from dispatch.pattern_pricing import Kinds, Pattern
from dispatch.planning_day import DayTrips, PlanningDay
from dispatch.rig_days import Column
from dispatch.search_limits import Limits
from dispatch.shuttle_costs import least_cents
from dispatch.trips import Unit

PARTS_OF_AN_INCH = 10


@dataclass(frozen=True, slots=True)
class Shuttle:
    """``days`` haul everything in few trips (none: no such plan was found).

    ``floors``: by goal, what no plan that leaves nothing out can beat.
    """

    days: tuple[Column, ...]
    floors: Mapping[Goal, int]


def pack_shuttle(
    day: PlanningDay, trips: DayTrips, limits: Limits, clash: Callable[[Sequence[Column]], bool]
) -> Shuttle:
    """The day's packing; nothing on a day of another kind.

    ``trips`` gives the stocks that judge loads, and need hold no trips yet; ``clash`` says which days do not go
    together.
    """
    if not is_shuttle(day):
        return Shuttle((), {})
    members = list(_alike(day).values())
    kinds = _kinds(day, members)
    packing = Packer(kinds, lambda load: _is_legal(trips, _dealt([load], members)[0]), limits).pack()
    loads = [] if packing.loads is None else _dealt(packing.loads, members)
    floors = {Goal.TRIPS: packing.floor, Goal.COST: least_cents(day, packing.floor)}
    return Shuttle(_days(day, trips, loads, limits, clash), floors)


def is_shuttle(day: PlanningDay) -> bool:
    """Whether all moves go from one place to one other, none under a permit and none begun already."""
    hauls = [day.problem.hauls[haul] for unit in day.shape.units for haul in unit.hauls]
    roads = {(haul.origin, haul.destination) for haul in hauls}
    fresh = all(move.status in {Status.OPEN, Status.DONE} for move in day.problem.moves)
    return (
        len(roads) == 1
        and all(origin != destination for origin, destination in roads)
        and fresh
        and bool(day.groups)
        and not any(haul.permit for haul in hauls)
        and not day.shape.pairs
    )


def _alike(day: PlanningDay) -> dict[Hashable, list[Unit]]:
    """The units by kind, heavy kinds first: alike in all that rigs, law and clock look at."""
    found: dict[Hashable, list[Unit]] = {}
    for unit in sorted(day.shape.units, key=lambda unit: -_high_lb(day, unit)):
        found.setdefault(_kind_key(day, unit), []).append(unit)
    return found


def _kind_key(day: PlanningDay, unit: Unit) -> Hashable:
    problem = day.problem
    key: list[Hashable] = []
    for number in unit.hauls:
        haul = problem.hauls[number]
        item = replace(haul.item, name="", description="", value_usd=None)
        key.append((item, haul.how, haul.load_min, haul.unload_min, haul.ready_min, haul.due_min))
        if number < len(problem.moves):
            move = problem.moves[number]
            key.append((move.only_rigs, move.not_rigs))
    return tuple(key)


def _high_lb(day: PlanningDay, unit: Unit) -> float:
    return sum(day.problem.hauls[haul].item.weight.high_lb for haul in unit.hauls)


def _kinds(day: PlanningDay, members: Sequence[Sequence[Unit]]) -> Kinds:
    """Sizes rounded down, so that what can be carried always fits: pounds, parts of an inch, items."""
    gap_in, most = day.problem.settings.gap_in, day.problem.settings.most_items_per_trip
    sizes = []
    for units in members:
        items = [day.problem.hauls[haul].item for haul in units[0].hauls]
        length_in = sum(item.length_in + gap_in for item in items)
        pounds = math.floor(_high_lb(day, units[0]))
        sizes.append((pounds, math.floor(PARTS_OF_AN_INCH * length_in), min(len(items), most)))
    rooms = [day.placer.room(rig) for group in day.groups for rig in group.rigs]
    room = (
        math.floor(max(pounds for pounds, _ in rooms)),
        math.floor(PARTS_OF_AN_INCH * max(inches for _, inches in rooms)),
        most,
    )
    counts = [len(units) for units in members]
    return Kinds(np.array(sizes, dtype=np.int64), np.array(counts, dtype=np.int64), np.array(room, dtype=np.int64))


def _is_legal(trips: DayTrips, units: Sequence[Unit]) -> bool:
    return any(rig_trips.best_of(units) is not None for rig_trips in trips.by_rig)


def _dealt(loads: Sequence[Pattern], members: Sequence[Sequence[Unit]]) -> list[tuple[Unit, ...]]:
    """The loads with units for kinds, each unit once."""
    waiting = [iter(units) for units in members]
    dealt = [[next(waiting[kind]) for kind in load] for load in loads]
    return [tuple(sorted(units, key=lambda unit: unit.number)) for units in dealt]


def _days(
    day: PlanningDay,
    trips: DayTrips,
    loads: Sequence[tuple[Unit, ...]],
    limits: Limits,
    clash: Callable[[Sequence[Column]], bool],
) -> tuple[Column, ...]:
    """Rigs' days that make all the trips, long ones put in first, at the end of a day where there is time.

    None where a trip finds no place at all.
    """
    draft = Draft(day.rules, day.groups, day.after, clash)
    offers = [_offers(day, trips, units) for units in loads]
    offers.sort(key=lambda own: -min((offer.trip.block.duration for offer in own), default=0))
    for own in offers:
        if limits.over():
            return ()
        if not any(draft.append(offer) for offer in own) and not any(draft.insert(offer) for offer in own):
            return ()
    return draft.days()


def _offers(day: PlanningDay, trips: DayTrips, units: Sequence[Unit]) -> list[Offer]:
    """The load on every rig that may legally carry it, rigs that cost least by the hour first."""
    rates = [[(rig.cost_per_hour_usd, rig.cost_per_mile_usd) for rig in group.rigs] for group in day.groups]
    judged = {id(rig_trips): rig_trips.best_of(units) for rig_trips in trips.by_rig}
    offers = [
        Offer(group, rig, trip, rig_trips)
        for group, by_rig in enumerate(trips.by_group)
        for rig, rig_trips in enumerate(by_rig)
        if (trip := judged[id(rig_trips)]) is not None
    ]
    return sorted(offers, key=lambda offer: rates[offer.group][offer.rig])
