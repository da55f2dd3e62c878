"""Rule of the schedule model for a machine that is moved twice: the second pickup comes after the first drop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ortools.sat.python import cp_model

from dispatch.plan import Action, Task
from dispatch.planning_day import PlanningDay
from dispatch.rig_days import Column, Run, changeover
from dispatch.schedule_model import ScheduleModel
from dispatch.timing import NEVER_MIN, Block, join, window
from dispatch.trip_orders import Clock, load_request, task_block, visits
from dispatch.trips import Candidate, permit_road

Event = tuple[Action, int]


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a day: minutes of road or changeover before it, its block, and the event at its start or end."""

    gap: int
    block: Block
    event: Event | None = None


def drops_come_first(m: ScheduleModel, day: PlanningDay) -> None:
    """Every second pickup starts after the first drop; a rig may wait for it at no cost (a relaxation of cost)."""
    successors = day.problem.successors
    events: set[Event] = {(Action.UNLOAD, first) for first, _ in successors}
    events |= {(Action.LOAD, second) for _, second in successors}
    times = {event: m.model.new_int_var(0, NEVER_MIN, f"{event[0]} {event[1]}") for event in sorted(events)}
    concerned = {haul for _, haul in events}
    units = sum(unit.bit for unit in day.shape.units if concerned & set(unit.hauls))
    for worked, column in zip(m.worked, m.columns, strict=True):
        if column.units & units:
            _times_of(m, day, times, worked, column)
    unit_of = {haul: unit.number for unit in day.shape.units for haul in unit.hauls}
    for first, second in successors:
        if first in unit_of and second in unit_of:
            hauled = m.left_out[unit_of[second]].negated()
            drop, pickup = times[Action.UNLOAD, first], times[Action.LOAD, second]
            m.model.add(pickup >= drop).only_enforce_if(hauled)


def _times_of(
    m: ScheduleModel,
    day: PlanningDay,
    times: dict[Event, cp_model.IntVar],
    worked: cp_model.IntVar,
    column: Column,
) -> None:
    """The chosen day's events come as far apart as the work and road between them take."""
    before: Event | None = None
    for event, block in spans(day, column, set(times)):
        if before is None:
            if event is not None:
                m.model.add(times[event] >= block.earliest_end).only_enforce_if(worked)
        else:
            m.model.add(times[before] <= block.latest).only_enforce_if(worked)
            if event is not None:
                m.model.add(times[event] >= times[before] + block.duration).only_enforce_if(worked)
                m.model.add(times[event] >= block.earliest_end).only_enforce_if(worked)
        before = event


def spans(day: PlanningDay, column: Column, events: set[Event]) -> Iterator[tuple[Event | None, Block]]:
    """The day cut at its events: for each the block of all that lies before it since the event before.

    The last span ends with the day (event ``None``). A pickup's event is the start of its work, a drop's the end.
    Raises ValueError for a day that does not fit its own windows, which a worked-out day always does.
    """
    whole = Block(0)
    for piece in _pieces(day, column):
        marked = piece.event if piece.event in events else None
        if marked is not None and marked[0] is Action.LOAD:
            yield marked, _joined(whole, piece.gap, Block(0))
            whole = piece.block
        else:
            whole = _joined(whole, piece.gap, piece.block)
            if marked is not None:
                yield marked, whole
                whole = Block(0)
    yield None, whole


def _joined(first: Block, gap: int, second: Block) -> Block:
    block = join(first, gap, second)
    if block is None:
        raise ValueError("a chosen day does not fit its own windows")
    return block


def _pieces(day: PlanningDay, column: Column) -> Iterator[Piece]:
    group = day.groups[column.group]
    before: Run | None = None
    for run in column.runs:
        rig = group.rigs[run.rig]
        gap = changeover(before, run, day.rules.hook_min) if before is not None else 0
        yield Piece(gap, Block(0, rig.shift_start_min))
        place = rig.yard
        break_min = group.hours[group.driver[run.rig]].break_min
        for trip, pauses in zip(run.trips, run.pauses, strict=False):
            road = _empty(day, place, trip.first) + len(pauses) * break_min
            yield from _trip_pieces(day, rig.yard, trip, road)
            place = trip.last
        road = _empty(day, place, run.end) + len(run.pauses[-1]) * break_min
        yield Piece(road, Block(0, 0, rig.shift_end_min))
        before = run


def _empty(day: PlanningDay, origin: str, destination: str) -> int:
    number = day.rules.table.number
    return int(day.rules.table.empty_min[number[origin], number[destination]])


def _trip_pieces(day: PlanningDay, yard: str, trip: Candidate, gap: int) -> Iterator[Piece]:
    problem, table = day.problem, day.rules.table
    clock = Clock(problem, table, table.loaded_min, yard)
    states = load_request(problem, trip.tasks).states
    for number, visit in enumerate(visits(problem, trip.tasks)):
        for place, task in enumerate(visit.tasks):
            yield Piece(gap, _work(day, task, opens_stop=place == 0), (task.action, task.haul))
            gap = 0
        if number < len(states):
            state = states[number]
            drive = int(table.loaded_min[table.number[state.origin], table.number[state.destination]])
            road = (
                permit_road(clock, state, drive)
                if any(trip.permit_legs) and trip.permit_legs[number]
                else Block(drive)
            )
            yield Piece(0, road or Block(drive))


def _work(day: PlanningDay, task: Task, *, opens_stop: bool) -> Block:
    block = task_block(day.problem, task, opens_stop=opens_stop)
    return block or window(0, None, None) or Block(0)
