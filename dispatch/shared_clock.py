"""Where rigs bind each other's clocks: a machine moved twice, and gear shared across groups.

A choice of days is fitted here: the second move of a machine waits for the first one's drop, and rigs that share
gear take turns. The rules exist twice: as rules of the schedule model, and as ``fit``, which times one choice.
For gear both are exact. For a machine moved twice the model lets a rig wait at no cost (a true floor), and
``fit`` tries the drops of the days as they are and then the earliest drops, so it may miss a cheaper timing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from dispatch.cp_solver import Effort, solved
from dispatch.plan import Action, RigDay
from dispatch.planning_day import PlanningDay
from dispatch.problem import Problem
from dispatch.rig_days import Column, Day, Step, earliest_starts, work_out, worked_out
from dispatch.schedule_model import ScheduleModel
from dispatch.shared_gear import gear_takes_turns
from dispatch.timetable import outing, rig_days
from dispatch.timing import latest, soonest
from dispatch.trip_orders import Clock
from dispatch.trips import Candidate, timed

ROUNDS = 8


@dataclass(frozen=True, slots=True)
class Fit:
    """A choice of days that keeps to all clocks: the days as timed, their windows, and the runs' starts."""

    problem: Problem
    columns: tuple[Column, ...]
    starts: tuple[tuple[int, ...], ...]


def fit(day: PlanningDay, days: Sequence[Day]) -> Fit | None:
    """Times a choice of days together; ``None`` when they do not go together (or no way was found)."""
    columns = worked_out(day.rules, day.groups, days)
    if columns is None:
        return None
    if not _machines_are_there(day, columns):
        return None
    hauled = _hauled(columns)
    if not any(hauled >> second & 1 for _, second in day.shape.pairs):
        return _with_starts(day, day.problem, columns)
    return _after_drops(day, columns) or _after_earliest_drops(day, columns)


def days_of(day: PlanningDay, found: Fit) -> tuple[RigDay, ...]:
    """The fitted days with times, as a plan shows them."""
    return rig_days(found.problem, day.rules, day.groups, found.columns, found.starts)


def _hauled(columns: Sequence[Column]) -> int:
    mask = 0
    for column in columns:
        mask |= column.units
    return mask


def _machines_are_there(day: PlanningDay, columns: Sequence[Column]) -> bool:
    hauled = _hauled(columns)
    return all(hauled >> first & 1 or not hauled >> second & 1 for first, second in day.shape.pairs)


def _with_starts(day: PlanningDay, problem: Problem, columns: Sequence[Column]) -> Fit | None:
    """The choice with a start for every run; shared gear takes turns."""
    starts = []
    for column in columns:
        start = earliest_starts(day.groups[column.group], column.runs, day.rules.hook_min)
        if start is None:
            return None
        starts.append(start)
    if day.grouping.crossing:
        turns = _turns(day, columns)
        if turns is None:
            return None
        starts = [turns.get(place, start) for place, start in enumerate(starts)]
    return Fit(problem, tuple(columns), tuple(starts))


def _turns(day: PlanningDay, columns: Sequence[Column]) -> dict[int, tuple[int, ...]] | None:
    """Starts of the runs that share gear across groups, by place in ``columns``, as early as possible."""
    m = ScheduleModel(day.shape, columns)
    for worked in m.worked:
        m.model.add(worked == 1)
    slots = gear_takes_turns(m, day)
    m.model.minimize(sum(slot.start for row in slots.values() for slot in row))
    solver, status = solved(m.model, Effort(deterministic=5.0))
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return None
    return {
        place: tuple(solver.value(slot.start) for slot in slots[column.group][: len(column.runs)])
        for place, column in enumerate(columns)
        if column.group in slots
    }


# -- a machine moved twice ------------------------------------------------------------------------------------


def _after_drops(day: PlanningDay, columns: Sequence[Column]) -> Fit | None:
    """Every second pickup waits for the drop as the days have it now; repeated until nothing moves."""
    problem, timed_columns = day.problem, tuple(columns)
    for _ in range(ROUNDS):
        found = _with_starts(day, problem, timed_columns)
        if found is None:
            return None
        drops = _drops(day, found)
        later = _with_ready(day, problem, drops)
        if later.hauls == problem.hauls:
            return found if _keeps_order(day, found, drops) else None
        problem = later
        again = _retimed(day, problem, columns)
        if again is None:
            return None
        timed_columns = again
    return None


def _after_earliest_drops(day: PlanningDay, columns: Sequence[Column]) -> Fit | None:
    """Every drop as early as its rig can make it, whatever the waiting costs; then the days are timed to that."""
    ready = day.problem
    drops: dict[int, int] = {}
    for _ in range(ROUNDS):
        try:
            new = {haul: end for column in columns for haul, end in _earliest_drops(day, ready, column).items()}
        except ValueError:
            return None
        if new == drops:
            break
        drops = new
        ready = _with_ready(day, day.problem, drops)
    firsts = {first for first, _ in day.problem.successors}
    hauls = tuple(
        replace(haul, due_min=soonest(haul.due_min, drops.get(haul.index))) if haul.index in firsts else haul
        for haul in ready.hauls
    )
    problem = replace(ready, hauls=hauls)
    again = _retimed(day, problem, columns)
    found = None if again is None else _with_starts(day, problem, again)
    return found if found is not None and _keeps_order(day, found, _drops(day, found)) else None


def _earliest_drops(day: PlanningDay, problem: Problem, column: Column) -> dict[int, int]:
    """When each item is off if the rigs leave as early as they may; raises ValueError where that is too late."""
    group = day.groups[column.group]
    ready = 0
    drops: dict[int, int] = {}
    before: int | None = None
    for run in column.runs:
        hook = day.rules.hook_min if before is not None and before != run.rig else 0
        start = max(group.rigs[run.rig].shift_start_min, ready + hook)
        planned = outing(problem, day.rules, group, run, start, "")
        ready, before = planned.return_min, run.rig
        drops |= _unload_ends(problem, (RigDay("", (planned,)),))
    return drops


def _drops(day: PlanningDay, found: Fit) -> dict[int, int]:
    return _unload_ends(found.problem, days_of(day, found))


def _unload_ends(problem: Problem, days: Sequence[RigDay]) -> dict[int, int]:
    """When each item is off: work at a stop is done as early as it can be."""
    ends = {}
    for one in days:
        for trip in (trip for planned in one.outings for trip in planned.trips):
            for stop in trip.stops:
                clock = max(stop.arrive_min, problem.sites[stop.site].opens_min or 0)
                extra = problem.sites[stop.site].extra_load_min
                for task in stop.tasks:
                    haul = problem.hauls[task.haul]
                    if task.action is Action.LOAD:
                        clock = max(clock, haul.ready_min or 0) + extra + haul.load_min
                    else:
                        clock += extra + haul.unload_min
                        ends[task.haul] = clock
                    extra = 0
    return ends


def _with_ready(day: PlanningDay, problem: Problem, drops: dict[int, int]) -> Problem:
    """The problem with each second pickup ready no earlier than the first drop."""
    hauls = list(problem.hauls)
    for first, second in day.problem.successors:
        if first in drops and second in drops:
            haul = hauls[second]
            hauls[second] = replace(haul, ready_min=latest(haul.ready_min, drops[first]))
    return replace(problem, hauls=tuple(hauls))


def _keeps_order(day: PlanningDay, found: Fit, drops: dict[int, int]) -> bool:
    return all(
        (found.problem.hauls[second].ready_min or 0) >= drops[first]
        for first, second in day.problem.successors
        if first in drops and second in drops
    )


def _retimed(day: PlanningDay, problem: Problem, columns: Sequence[Column]) -> tuple[Column, ...] | None:
    """The days worked out again within the windows of ``problem``."""
    again = []
    for column in columns:
        steps = _steps(day, problem, column)
        new = None if steps is None else work_out(day.rules, day.groups[column.group], steps)
        if new is None:
            return None
        again.append(new)
    return tuple(again)


def _steps(day: PlanningDay, problem: Problem, column: Column) -> list[Step] | None:
    group = day.groups[column.group]
    steps = []
    for run in column.runs:
        rig = group.rigs[run.rig]
        clock = Clock(problem, day.rules.table, day.rules.table.loaded_min, rig.yard)
        for place, trip in enumerate(run.trips):
            retimed = _trip_retimed(clock, trip)
            if retimed is None:
                return None
            steps.append(Step(run.rig, retimed, from_yard=place == 0))
    return steps


def _trip_retimed(clock: Clock, trip: Candidate) -> Candidate | None:
    block = timed(clock, trip.tasks, trip.permit_legs)
    return None if block is None else replace(trip, block=block)
