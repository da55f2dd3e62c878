"""The methods that the suite plays: the product and its peers. Each gets a day and seconds."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from benchmarks.peers.first_fit import first_fit
from benchmarks.peers.routes import Day, Routes
from benchmarks.peers.routing import LIGHT, WEIGHTS, Weights, routing_library
from benchmarks.peers.witnesses import listed_trips, monolith
from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.search_limits import Progress
from dispatch.solve import solve
from dispatch.verify import verify

Event = tuple[float, str, tuple[float, ...], float | None]
"""Seconds, goal in hand, values of the plan that a stop would give, bound of the goal in hand."""


@dataclass(slots=True)
class Played:
    """What a method gave: a plan, or routes made without the calculator, or the best values without a plan.

    ``bounds`` and ``stated`` are by the goal's name.
    """

    plan: Plan | None = None
    routes: Routes | None = None
    first_s: float | None = None
    bounds: Mapping[str, float] = field(default_factory=dict)
    stated: Mapping[str, float] = field(default_factory=dict)
    events: list[Event] = field(default_factory=list)
    note: str = ""


class Recorder:
    """Listens to a search and keeps what is news."""

    def __init__(self) -> None:
        self.started = time.perf_counter()
        self.events: list[Event] = []

    def __call__(self, progress: Progress) -> None:
        """Called with the search's progress."""
        news = (progress.phase, progress.standing, progress.bound)
        if not self.events or self.events[-1][1:] != news:
            self.events.append((round(time.perf_counter() - self.started, 3), *news))

    @property
    def has_plan(self) -> bool:
        """Whether a stop would give a plan by now."""
        return bool(self.events and self.events[-1][2])


def play_product(problem: Problem, limit_s: float) -> Played:
    """The product with its defaults, under a time limit."""
    recorder = Recorder()
    plan = solve(problem, time_limit_s=limit_s, on_progress=recorder)
    return Played(plan, bounds={level.name: level.bound for level in plan.levels}, events=recorder.events)


def play_first_plan(problem: Problem, limit_s: float) -> Played:
    """The product stopped as soon as it has a plan; the time holds placing it, timing it and verifying it."""
    recorder = Recorder()
    plan = solve(
        problem, time_limit_s=limit_s or None, on_progress=recorder, should_stop=lambda: recorder.has_plan
    )
    verify(problem, plan)
    return Played(plan, first_s=time.perf_counter() - recorder.started if recorder.has_plan else None)


def play_first_fit(problem: Problem, limit_s: float) -> Played:
    """The first-fit dispatcher; a limit of 0 is none."""
    day, end = Day(problem), time.perf_counter() + limit_s
    return Played(day.plan(first_fit(day, lambda: limit_s > 0 and time.perf_counter() > end)))


def play_routing(problem: Problem, limit_s: float, weights: Weights = WEIGHTS) -> Played:
    """ortools' routing library."""
    found = routing_library(Day(problem), limit_s, weights)
    return Played(routes=found.routes, first_s=found.first_s)


def play_light_routing(problem: Problem, limit_s: float) -> Played:
    """The same with less of every payload, so that fewer loads are illegal."""
    return play_routing(problem, limit_s, LIGHT)


def play_monolith(problem: Problem, limit_s: float) -> Played:
    """One CP-SAT model of the whole day."""
    answer = monolith(problem, limit_s)
    return Played(answer.plan, bounds=answer.bounds, note=answer.note)


def play_listed_trips(problem: Problem, limit_s: float) -> Played:
    """HiGHS on all days that can be made of the listed trips."""
    answer = listed_trips(problem, limit_s)
    return Played(bounds=answer.bounds, stated=answer.stated, note=answer.note)


PRODUCT, FIRST_PLAN = "haulday", "first plan"
METHODS: Mapping[str, Callable[[Problem, float], Played]] = {
    FIRST_PLAN: play_first_plan,
    PRODUCT: play_product,
    "first fit": play_first_fit,
    "routing library": play_routing,
    "routing, light loads": play_light_routing,
    "monolith": play_monolith,
    "listed trips": play_listed_trips,
}
WITHOUT_LIMIT = {FIRST_PLAN, "first fit"}
"""Methods that end of themselves: played once a day, not once a limit."""
MOST_MOVES = {"monolith": 24, "listed trips": 24}
"""Days beyond this size are not put to these methods: they find nothing there, or run out of memory."""
