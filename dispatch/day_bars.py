"""The day at a glance: what every rig does from minute to minute, as bars in time order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from dispatch.moves import Haul
from dispatch.plan import Action, Outing, Plan, Stop
from dispatch.problem import Problem


class Doing(StrEnum):
    """What a rig and its driver do during a bar."""

    EMPTY = "driving empty"
    LOADED = "driving loaded"
    LOADING = "loading"
    UNLOADING = "unloading"
    WAITING = "waiting"
    BREAK = "driver's break"


@dataclass(frozen=True, slots=True)
class Bar:
    """One stretch of a rig's day, minutes after midnight; ``trip`` is 0 on the way home."""

    rig: str
    trip: int
    doing: Doing
    from_min: int
    to_min: int
    place: str


def day_bars(problem: Problem, plan: Plan) -> tuple[Bar, ...]:
    """Every bar of the day: rigs in problem order, then by time; none is empty and none overlaps."""
    bars: list[Bar] = []
    number = 0
    for day in plan.rig_days:
        for outing in day.outings:
            bars += _outing_bars(problem, day.rig, outing, number)
            number += len(outing.trips)
    return tuple(bars)


def _outing_bars(problem: Problem, rig: str, outing: Outing, trips_before: int) -> Iterator[Bar]:
    at, clock = problem.rig(rig).yard, outing.leave_min
    for number, trip in enumerate(outing.trips, start=trips_before + 1):
        first = trip.stops[0]
        yield from _road(rig, number, Doing.EMPTY, (clock, first.arrive_min), f"{at} to {first.site}", outing)
        yield from _stop_bars(problem, rig, number, first)
        for before, stop in pairwise(trip.stops):
            road = f"{before.site} to {stop.site}"
            yield from _road(rig, number, Doing.LOADED, (before.leave_min, stop.arrive_min), road, outing)
            yield from _stop_bars(problem, rig, number, stop)
        at, clock = trip.stops[-1].site, trip.end_min
    yield from _road(rig, 0, Doing.EMPTY, (clock, outing.return_min), f"{at} to the yard", outing)


def _road(rig: str, trip: int, doing: Doing, span: tuple[int, int], place: str, outing: Outing) -> Iterator[Bar]:
    """The road cut at the driver's breaks."""
    clock, end = span
    for start, stop in outing.breaks:
        if start >= clock and stop <= end:
            yield from _bar(rig, trip, doing, clock, start, place)
            yield from _bar(rig, trip, Doing.BREAK, start, stop, place)
            clock = stop
    yield from _bar(rig, trip, doing, clock, end, place)


def _bar(rig: str, trip: int, doing: Doing, start: int, end: int, place: str) -> Iterator[Bar]:
    if end > start:
        yield Bar(rig, trip, doing, start, end, place)


def _stop_bars(problem: Problem, rig: str, trip: int, stop: Stop) -> Iterator[Bar]:
    clock = stop.arrive_min
    for doing, start, end in work_spans(problem, stop):
        yield from _bar(rig, trip, Doing.WAITING, clock, start, stop.site)
        yield from _bar(rig, trip, doing, start, end, stop.site)
        clock = end
    yield from _bar(rig, trip, Doing.WAITING, clock, stop.leave_min, stop.site)


def work_spans(problem: Problem, stop: Stop) -> Sequence[tuple[Doing, int, int]]:
    """When each task of a stop is done, as early as the site's hours and the items' ready times allow, minutes.

    The site's extra minutes are spent once, before the first task. Whatever is left until the stop is left is
    waiting.
    """
    site = problem.sites[stop.site]
    clock = max(stop.arrive_min, site.opens_min or 0)
    extra = site.extra_load_min
    spans = []
    for task in stop.tasks:
        haul = problem.hauls[task.haul]
        start = _earliest(haul, task.action, clock)
        minutes = haul.load_min if task.action is Action.LOAD else haul.unload_min
        clock = start + extra + minutes
        extra = 0
        spans.append((Doing.LOADING if task.action is Action.LOAD else Doing.UNLOADING, start, clock))
    return spans


def _earliest(haul: Haul, action: Action, clock: int) -> int:
    if action is Action.LOAD and haul.ready_min is not None:
        return max(clock, haul.ready_min)
    return clock
