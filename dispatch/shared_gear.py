"""Rules of the schedule model for rigs of different groups that share a truck, a trailer or a driver."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from ortools.sat.python import cp_model

from dispatch.fleet import Rig
from dispatch.planning_day import PlanningDay
from dispatch.rig_days import Column, changeover
from dispatch.schedule_model import ScheduleModel
from dispatch.timing import NEVER_MIN


@dataclass(frozen=True, slots=True)
class Slot:
    """The n-th run of a group's day: when it is out, and which rig it is (at most one of ``out`` holds)."""

    start: cp_model.IntVar
    end: cp_model.IntVar
    out: tuple[cp_model.IntVar, ...]


def gear_takes_turns(m: ScheduleModel, day: PlanningDay) -> dict[int, list[Slot]]:
    """Rigs of different groups that share gear are never out together; the gear is hooked at the yard.

    Gives the slots of every group concerned.
    """
    names = {name for pair in day.grouping.crossing for name in pair}
    concerned = [group for group in day.groups if names & {rig.name for rig in group.rigs}]
    slots = {group.number: _slots(m, day, group.number) for group in concerned}
    where = {rig.name: (group.number, place) for group in concerned for place, rig in enumerate(group.rigs)}
    for first, second in day.grouping.crossing:
        _take_turns(m, day, slots, where[first], where[second])
    for rigs in _shared_drivers(day):
        _driver_hours(m, day, slots, [where[rig.name] for rig in rigs])
    return slots


def _slots(m: ScheduleModel, day: PlanningDay, group: int) -> list[Slot]:
    model, rigs = m.model, day.groups[group].rigs
    columns = [(worked, c) for worked, c in zip(m.worked, m.columns, strict=True) if c.group == group]
    count = max((len(column.runs) for _, column in columns), default=0)
    slots = []
    for place in range(count):
        out = tuple(model.new_bool_var(f"out {group} {place} {rig.name}") for rig in rigs)
        start = model.new_int_var(0, NEVER_MIN, f"start {group} {place}")
        end = model.new_int_var(0, NEVER_MIN, f"end {group} {place}")
        slots.append(Slot(start, end, out))
        for number in range(len(rigs)):
            using = [w for w, c in columns if len(c.runs) > place and c.runs[place].rig == number]
            model.add(sum(using) == out[number])
    for worked, column in columns:
        _times_of(m, day, slots, worked, column)
    return slots


def _times_of(
    m: ScheduleModel, day: PlanningDay, slots: Sequence[Slot], worked: cp_model.IntVar, column: Column
) -> None:
    """The chosen day's runs are as long as they are, within their windows, one after the other."""
    for place, run in enumerate(column.runs):
        slot, block = slots[place], run.block
        m.model.add(slot.start >= block.earliest).only_enforce_if(worked)
        m.model.add(slot.start <= block.latest).only_enforce_if(worked)
        m.model.add(slot.end == slot.start + block.duration).only_enforce_if(worked)
        if place:
            gap = changeover(column.runs[place - 1], run, day.rules.hook_min)
            m.model.add(slot.start >= slots[place - 1].end + gap).only_enforce_if(worked)


def _take_turns(
    m: ScheduleModel,
    day: PlanningDay,
    slots: dict[int, list[Slot]],
    first: tuple[int, int],
    second: tuple[int, int],
) -> None:
    """Each run of the one rig is over, and the gear hooked, before each run of the other begins, or after."""
    model, hook = m.model, day.rules.hook_min
    for one_place, one in enumerate(slots[first[0]]):
        for two_place, two in enumerate(slots[second[0]]):
            both = [one.out[first[1]], two.out[second[1]]]
            before = model.new_bool_var(f"{first} {one_place} before {second} {two_place}")
            model.add(one.end + hook <= two.start).only_enforce_if([*both, before])
            model.add(two.end + hook <= one.start).only_enforce_if([*both, before.negated()])
            for worked in _ending_away(m, day, first, one_place):
                model.add_bool_or([before.negated(), worked.negated(), both[1].negated()])
            for worked in _ending_away(m, day, second, two_place):
                model.add_bool_or([before, worked.negated(), both[0].negated()])


def _ending_away(
    m: ScheduleModel, day: PlanningDay, rig: tuple[int, int], place: int
) -> Iterator[cp_model.IntVar]:
    """Days on which the rig's run at that place ends elsewhere than at its yard, so that nothing can follow it."""
    yard = day.groups[rig[0]].rigs[rig[1]].yard
    for worked, column in zip(m.worked, m.columns, strict=True):
        if column.group == rig[0] and len(column.runs) > place:
            run = column.runs[place]
            if run.rig == rig[1] and run.end != yard:
                yield worked


def _shared_drivers(day: PlanningDay) -> list[list[Rig]]:
    """Drivers with rigs in several groups, by their rigs."""
    found = []
    for driver in dict.fromkeys(rig.driver for rig in day.problem.rigs if rig.driver):
        mine = [(g.number, rig) for g in day.groups for rig in g.rigs if rig.driver == driver]
        if len({group for group, _ in mine}) > 1 and _crosses(day, [rig for _, rig in mine]):
            found.append([rig for _, rig in mine])
    return found


def _crosses(day: PlanningDay, rigs: Sequence[Rig]) -> bool:
    pairs = {frozenset((first.name, second.name)) for first, second in combinations(rigs, 2)}
    return any(frozenset(pair) in pairs for pair in day.grouping.crossing)


def _driver_hours(
    m: ScheduleModel, day: PlanningDay, slots: dict[int, list[Slot]], rigs: Sequence[tuple[int, int]]
) -> None:
    """A driver's driving and duty window over rigs of several groups."""
    rules = [day.groups[group].hours[day.groups[group].driver[rig]] for group, rig in rigs]
    limit = min((rule.driving_min for rule in rules if rule.driving_min is not None), default=None)
    if limit is not None:
        terms = [
            sum(run.drive_min for run in column.runs if (column.group, run.rig) in rigs) * worked
            for worked, column in zip(m.worked, m.columns, strict=True)
        ]
        m.model.add(sum(terms) <= limit)
    window = min((rule.window_min for rule in rules if rule.window_min is not None), default=None)
    if window is not None:
        begin = m.model.new_int_var(0, NEVER_MIN, "driver leaves")
        for group, rig in rigs:
            for slot in slots[group]:
                m.model.add(begin <= slot.start).only_enforce_if(slot.out[rig])
                m.model.add(slot.end <= begin + window).only_enforce_if(slot.out[rig])
