"""What the calculator leaves of a peer's routes: illegal legs counted, and a mended plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, permutations

from benchmarks.peers.first_fit import fit_in, urgent_first
from benchmarks.peers.routes import Day, Routes, Tasks, hauls_of, trip_of
from dispatch.fleet import Rig
from dispatch.plan import Action


@dataclass(frozen=True, slots=True)
class Illegal:
    """Loaded legs and trips, and how many have no legal load. A leg is asked by itself, a trip as a whole."""

    legs: int
    illegal_legs: int
    trips: int
    illegal_trips: int


def count_illegal(day: Day, routes: Routes) -> Illegal:
    """The calculator's verdict on routes that were made without it."""
    rigs = {rig.name: rig for rig in day.problem.rigs}
    trips = [(rigs[name], tasks) for name, own in routes.items() for tasks in own]
    legs = [_legs(day, rig, tasks) for rig, tasks in trips]
    wrong = sum(day.load(rig, tasks) is None for rig, tasks in trips)
    return Illegal(sum(n for n, _ in legs), sum(n for _, n in legs), len(trips), wrong)


def _legs(day: Day, rig: Rig, tasks: Tasks) -> tuple[int, int]:
    """(loaded legs, those without a legal load) of a trip."""
    request = day.request(tasks)
    wrong = 0
    for state in request.states:
        aboard = set(state.aboard)
        own = replace(
            request,
            load_order=tuple(haul for haul in request.load_order if haul in aboard),
            unload_order=tuple(haul for haul in request.unload_order if haul in aboard),
            states=(state,),
        )
        wrong += day.placer.find(rig, own) is None
    return len(request.states), wrong


def repaired(day: Day, routes: Routes) -> Routes:
    """Legal routes: of an illegal load the most items stay, the others are offered round by first fit.

    Another loading order is tried before an item goes.
    """
    rigs = {rig.name: rig for rig in day.problem.rigs}
    kept: dict[str, list[Tasks]] = {name: [] for name in rigs}
    spilt: list[int] = []
    for name, trips in routes.items():
        for number, tasks in enumerate(trips):
            legal = _most(day, rigs[name], tasks, kept[name], trips[number + 1 :])
            spilt += [haul for haul in hauls_of(tasks) if legal is None or haul not in hauls_of(legal)]
            if legal is not None:
                kept[name].append(legal)
    fit_in(day, kept, urgent_first(day, spilt))
    hauled = {haul for trips in kept.values() for tasks in trips for haul in hauls_of(tasks)}
    fit_in(day, kept, urgent_first(day, [n for n in range(len(day.problem.moves)) if n not in hauled]))
    return kept


def _most(day: Day, rig: Rig, tasks: Tasks, before: Sequence[Tasks], after: Sequence[Tasks]) -> Tasks | None:
    """The trip with as many of its items as make a legal load in time; ``None``: not even one does."""
    hauls = hauls_of(tasks)
    off = [task.haul for task in tasks if task.action is Action.UNLOAD]
    for count in range(len(hauls), 0, -1):
        for part in combinations(hauls, count):
            own = trip_of(part, [haul for haul in off if haul in part])
            for trip in (own, *map(trip_of, permutations(part))):
                in_time = day.walk(rig, [*before, trip, *after], rig.shift_start_min) is not None
                if in_time and day.load(rig, trip) is not None:
                    return trip
    return None
