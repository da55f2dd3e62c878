"""From chosen rig-days to a plan with times: out of the yard as late as the earliest return allows."""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.plan import Action, Outing, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.rig_days import Column, DayRules, Run
from dispatch.rig_groups import RigGroup
from dispatch.timing import Block
from dispatch.trip_orders import load_request, task_block, visits
from dispatch.trips import Candidate


def rig_days(
    problem: Problem,
    rules: DayRules,
    groups: Sequence[RigGroup],
    columns: Sequence[Column],
    starts: Sequence[Sequence[int]],
) -> tuple[RigDay, ...]:
    """The chosen days with times, rigs in the problem's order; rigs alike take their days in column order.

    ``starts``: when each run of each day leaves the yard. Raises ValueError when work comes too late, which it
    does not for starts that the columns allow.
    """
    free = {group.number: list(group.names) for group in groups}
    outings: dict[str, list[Outing]] = {rig.name: [] for rig in problem.rigs}
    for column, leaves in zip(columns, starts, strict=True):
        group = groups[column.group]
        single = free[group.number].pop(0) if group.names else None
        for run, start in zip(column.runs, leaves, strict=True):
            name = single or group.rigs[run.rig].name
            outings[name].append(outing(problem, rules, group, run, start, name))
    return tuple(RigDay(rig.name, tuple(outings[rig.name])) for rig in problem.rigs if outings[rig.name])


def outing(problem: Problem, rules: DayRules, group: RigGroup, run: Run, start: int, name: str) -> Outing:
    """One run begun at ``start``: every task as early as it can be done."""
    rig, table = group.rigs[run.rig], rules.table
    clock = Walk(start, rig.yard)
    trips = []
    break_min = group.hours[group.driver[run.rig]].break_min
    breaks: list[tuple[int, int]] = []
    for trip, pauses in zip(run.trips, run.pauses, strict=False):
        road = int(table.empty_min[table.number[clock.place], table.number[trip.first]])
        breaks += clock.drive(road, pauses, break_min, trip.first)
        trips.append(clock.do_trip(problem, rules, trip, name))
    road = int(table.empty_min[table.number[clock.place], table.number[run.end]])
    breaks += clock.drive(road, run.pauses[-1], break_min, run.end)
    return Outing(start, tuple(trips), clock.time, tuple(breaks))


class Walk:
    """Where a rig is, and when, while its run is walked through."""

    def __init__(self, time: int, place: str) -> None:
        self.time = time
        self.place = place

    def drive(self, road: int, pauses: Sequence[int], break_min: int, target: str) -> list[tuple[int, int]]:
        """Drives the road, with breaks after so many minutes driven; gives the breaks' times."""
        taken = [
            (self.time + driven + count * break_min, self.time + driven + (count + 1) * break_min)
            for count, driven in enumerate(pauses)
        ]
        self.time += road + len(pauses) * break_min
        self.place = target
        return taken

    def do_trip(self, problem: Problem, rules: DayRules, trip: Candidate, name: str) -> Trip:
        """Does the trip from its first stop to its last, waiting only where windows or permits ask for it."""
        stops: list[Stop] = []
        tasks = visits(problem, trip.tasks)
        states = load_request(problem, trip.tasks).states
        for number, visit in enumerate(tasks):
            arrive = self.time
            for place, task in enumerate(visit.tasks):
                self._work(problem, task, opens_stop=place == 0)
            if number < len(states):
                self._hold(problem, trip, number, states[number].aboard)
            stops.append(Stop(visit.site, arrive, self.time, visit.tasks))
            if number < len(states):
                there = rules.table.number[visit.site], rules.table.number[states[number].destination]
                self.time += int(rules.table.loaded_min[there])
        self.place = trip.last
        return Trip(name, tuple(stops), trip.load.placements if trip.load is not None else ())

    def _work(self, problem: Problem, task: Task, *, opens_stop: bool) -> None:
        block = task_block(problem, task, opens_stop=opens_stop)
        if block is None or self.time > block.latest:
            kind = "loading" if task.action is Action.LOAD else "unloading"
            raise ValueError(f"{kind} haul {task.haul} comes too late")
        self.time = block.end(self.time)

    def _hold(self, problem: Problem, trip: Candidate, leg: int, aboard: Sequence[int]) -> None:
        """Waits for the permit's hours before a leg that needs the permit."""
        if any(trip.permit_legs) and trip.permit_legs[leg]:
            for haul in aboard:
                permit = problem.hauls[haul].permit
                if permit is not None and permit.from_min is not None:
                    self.time = Block(0, permit.from_min).end(self.time)
