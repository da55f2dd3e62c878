"""The independent exact programmes of ``tests/external`` as peers: one CP-SAT model; HiGHS on listed trips."""

from __future__ import annotations

import importlib
import time
from collections.abc import Mapping
from dataclasses import dataclass, field

from benchmarks.peers.routes import with_levels
from dispatch.plan import Plan
from dispatch.problem import Problem

LEVELS = 3


@dataclass(frozen=True, slots=True)
class Answer:
    """What an exact programme says.

    ``plan``: its plan, if it gives one; ``stated``: the values of the best plan where it gives those alone;
    ``bounds`` beside each goal that was reached; ``note``: why there is nothing.
    """

    plan: Plan | None = None
    stated: Mapping[str, float] = field(default_factory=dict)
    bounds: Mapping[str, float] = field(default_factory=dict)
    note: str = ""


def monolith(problem: Problem, limit_s: float) -> Answer:
    """One CP-SAT model of the day, level by level; the levels share the time that listing the trips leaves."""
    witness = importlib.import_module("tests.external.monolith")
    start = time.perf_counter()
    model = witness.Monolith(problem)
    model.seconds = max(1.0, (limit_s - (time.perf_counter() - start)) / LEVELS)
    found = model.solve()
    if found.plan is None:
        return Answer(note="no plan in time")
    bounds = {name: level.bound for name, level in found.levels.items()}
    return Answer(with_levels(problem, found.plan), bounds=bounds)


def listed_trips(problem: Problem, limit_s: float) -> Answer:
    """HiGHS on every rig-day that can be made of the listed trips: the values of the best plan, or nothing."""
    witness = importlib.import_module("tests.external.listed_trips")
    try:
        values = witness.Listed(problem).every_day(seconds=limit_s)
    except (witness.TooMany, witness.Unfit) as end:
        return Answer(note=str(end))
    return Answer(stated=values, bounds=values)
