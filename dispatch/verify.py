"""The independent verifier: recomputes a plan from the input alone and returns everything that is wrong with it.

It shares neither code nor data structures with enumeration, placement, legality or the model beyond the domain
types, the statics of ``axle_loads``, ``travel`` and the law's figures. Nothing is written when it objects.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from dispatch.moves import Move, Status
from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.verify_deck import order_violations, place_violations, shape_violations
from dispatch.verify_findings import NumberedTrip, Violation, known, numbered_trips
from dispatch.verify_gear import gear_violations
from dispatch.verify_hours import hours_violations
from dispatch.verify_levels import level_violations
from dispatch.verify_loads import trip_load_violations
from dispatch.verify_times import (
    empty_length_violations,
    road_violations,
    runs_of,
    sharing_violations,
    shift_violations,
    work_violations,
)

__all__ = ["Violation", "verify"]


def verify(problem: Problem, plan: Plan) -> tuple[Violation, ...]:
    """All violations of the plan: coverage, trips, times, claimed values; empty when there is none."""
    trips = numbered_trips(plan)
    found = [*coverage_violations(problem, trips, plan), *riding_violations(problem, trips)]
    for one in trips:
        found += trip_violations(problem, one)
    found += clock_violations(problem, plan)
    return tuple(found)


def coverage_violations(problem: Problem, trips: tuple[NumberedTrip, ...], plan: Plan) -> Iterator[Violation]:
    """Every open move is hauled once or left out, never both, never neither; rig days name rigs."""
    times = Counter(placed.haul for one in trips for placed in one.trip.placements)
    left_out = Counter(plan.left_out)
    names = {move.name for move in problem.moves}
    for name, count in left_out.items():
        if name not in names or count > 1:
            yield Violation(
                "left out", f"move {name}", count, "a move of the input, once", "in the list of left out"
            )
    for index, haul in enumerate(problem.hauls):
        if times[index] > 1:
            yield Violation("hauled twice", f"move {haul.move}", times[index], 1, haul.item.name)
    for index, move in enumerate(problem.moves):
        yield from _one_move(move, times[index], left_out[move.name])
    days = Counter(day.rig for day in plan.rig_days)
    for rig, count in days.items():
        if count > 1 or rig not in {one.name for one in problem.rigs}:
            yield Violation("unknown rig", f"rig {rig}", count, "an available rig, once", "rig days of the plan")


def _one_move(move: Move, hauled: int, left_out: int) -> Iterator[Violation]:
    where = f"move {move.name}"
    if hauled and left_out:
        yield Violation("hauled and left out", where, "both", "one of them", move.item.name)
    if move.status is Status.DONE:
        if hauled or left_out:
            yield Violation("done already", where, "planned", "done", move.item.name)
    elif not hauled and not left_out:
        yield Violation("neither hauled nor left out", where, "neither", "one of them", move.item.name)


def riding_violations(problem: Problem, trips: tuple[NumberedTrip, ...]) -> Iterator[Violation]:
    """Who must ride together does; machines are where their next move picks them up; rigs suit their moves."""
    on_trip = {placed.haul: one.number for one in trips for placed in one.trip.placements}
    for group in problem.together:
        if len({on_trip.get(haul) for haul in group}) > 1:
            names = ", ".join(problem.hauls[haul].item.name for haul in group)
            yield Violation("not together", names, str([on_trip.get(haul) for haul in group]), "one trip", "trips")
    yield from _companions(problem, on_trip)
    done = {move.name for move in problem.moves if move.status is Status.DONE}
    for first, second in problem.successors:
        there = first in on_trip or problem.hauls[first].move in done
        if second in on_trip and not there:
            text = (
                f"{problem.hauls[second].item.name} is not there: move {problem.hauls[first].move} is not hauled"
            )
            yield Violation("machine not there", f"move {problem.hauls[second].move}", "hauled", "left out", text)
        elif first in on_trip and on_trip.get(first) == on_trip.get(second):
            where = f"trip {on_trip[first]}"
            yield Violation(
                "pickup before the drop", where, "one trip", "two trips", problem.hauls[second].item.name
            )
    for one in trips:
        yield from _rig_choice(problem, one)


def _companions(problem: Problem, on_trip: dict[int, int]) -> Iterator[Violation]:
    """Read from the moves' With column, not from the problem's groups."""
    for index, move in enumerate(problem.moves):
        for name in move.companions:
            beside = {on_trip.get(haul.index) for haul in problem.hauls if haul.item.name == name}
            if index in on_trip and on_trip[index] not in beside:
                where = f"move {move.name}, trip {on_trip[index]}"
                yield Violation(
                    "companion missing", where, "not on the trip", name, f"must ride with {move.item.name}"
                )


def _rig_choice(problem: Problem, one: NumberedTrip) -> Iterator[Violation]:
    for placed in one.trip.placements:
        if not known(problem, placed.haul):
            continue
        name = problem.hauls[placed.haul].move
        move = next(move for move in problem.moves if move.name == name)
        where = f"{one.where}, move {move.name}"
        if move.only_rigs and one.rig not in move.only_rigs:
            yield Violation("rig not allowed", where, one.rig, ", ".join(move.only_rigs), "Only rigs")
        if one.rig in move.not_rigs:
            yield Violation("rig not allowed", where, one.rig, f"not {', '.join(move.not_rigs)}", "Not rigs")
        if move.status is Status.LOADED and move.rig and one.rig != move.rig:
            yield Violation("loaded on another rig", where, one.rig, move.rig, "Status loaded")


def trip_violations(problem: Problem, one: NumberedTrip) -> list[Violation]:
    """Everything that one trip breaks but for the clock."""
    found = [*shape_violations(problem, one), *order_violations(problem, one)]
    rig = next((rig for rig in problem.rigs if rig.name == one.rig), None)
    if rig is None:
        return found
    return [
        *found,
        *place_violations(problem, rig, one),
        *trip_load_violations(problem, rig, one),
        *gear_violations(problem, rig, one),
    ]


def clock_violations(problem: Problem, plan: Plan) -> list[Violation]:
    """Roads, shifts, shared gear, work, hours of service, and the claimed values."""
    try:
        runs = runs_of(problem, plan)
    except KeyError as error:
        return [
            Violation("unknown road", "plan", str(error.args[0]), "a known road", "no distance between two places")
        ]
    found: list[Violation] = []
    for run in runs:
        found += [*road_violations(run), *shift_violations(run), *empty_length_violations(problem, run)]
    found += sharing_violations(problem, runs)
    found += work_violations(problem, plan)
    found += hours_violations(problem, runs)
    return found + level_violations(problem, plan)
