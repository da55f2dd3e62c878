"""From the machines of a phase to the moves of a day, and to several days of the same rigs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dispatch.assemble import assemble
from dispatch.fleet import Rig
from dispatch.mobilisation.bid import Direction, Machine
from dispatch.moves import Move, Permit
from dispatch.problem import Problem
from dispatch.settings import Objective

DAY_MARK = ", day "


def moves_of(machines: Sequence[Machine], direction: Direction, problem: Problem) -> tuple[Move, ...]:
    """One move a machine that goes in that direction, named after the machine."""
    settings = problem.settings
    found = []
    for machine in machines:
        if not machine.goes(direction):
            continue
        line = machine.line
        ends = (line.origin, line.destination) if direction is Direction.IN else (line.destination, line.out_to)
        found.append(
            Move(
                name=machine.name,
                item=replace(line.item, name=machine.name),
                origin=ends[0],
                destination=ends[1] or line.origin,
                load_min=settings.load_min,
                unload_min=settings.unload_min,
                permit=Permit(line.permit) if line.permit else None,
            )
        )
    return tuple(found)


def problem_of(fleet: Problem, moves: Sequence[Move], days: int = 1, *, cost_first: bool = False) -> Problem:
    """The moves, to be hauled by the fleet within so many days: fewest trips, then least cost, or the reverse.

    A day more is one more of every rig, with truck, trailer and driver of its own: the rigs of one day share gear
    as they do in the fleet, and nothing is shared between days. So a plan of this problem is a plan of that many
    days, and what is proved of it is proved of them.
    """
    settings = replace(fleet.settings, objective=Objective.COST_FIRST if cost_first else Objective.TRIPS_FIRST)
    rigs = [of_day(rig, day) for day in range(1, days + 1) for rig in fleet.rigs]
    items = [move.item for move in moves]
    return assemble(items, rigs, fleet.sites, moves, fleet.roads, settings, fleet.rules)


def of_day(rig: Rig, day: int) -> Rig:
    """The rig on a day from 1 on; the first day's keeps its names."""
    if day == 1:
        return rig
    end = f"{DAY_MARK}{day}"
    return replace(
        rig,
        name=rig.name + end,
        truck=replace(rig.truck, name=rig.truck.name + end),
        trailer=replace(rig.trailer, name=rig.trailer.name + end),
        driver=rig.driver + end if rig.driver else "",
    )


def rig_and_day(name: str, fleet: Problem) -> tuple[Rig, int]:
    """The fleet's rig, and the day, of a rig made by ``of_day``. Raises KeyError for another name."""
    if any(rig.name == name for rig in fleet.rigs):
        return fleet.rig(name), 1
    rig, _, day = name.rpartition(DAY_MARK)
    return fleet.rig(rig), int(day)
