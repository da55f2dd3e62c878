"""What the product had at any second of a run, read from its record: values, bounds, proofs, gaps."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from benchmarks.contradictions import GOALS, SLACK, goals_of
from benchmarks.records import Record


@dataclass(frozen=True, slots=True)
class State:
    """Values in the order of the goals (empty: no plan yet), and the bounds known by goal."""

    values: tuple[float, ...]
    bounds: Mapping[str, float]

    def gap(self, goal: str) -> float:
        """Value less bound; infinite without one. The product states 0 where it knows nothing of trips or cost."""
        if not self.values or goal not in self.bounds:
            return math.inf
        value, bound = self.values[GOALS.index(goal)], self.bounds[goal]
        if value > 0 and bound == 0 and goal != GOALS[0]:
            return math.inf
        return max(0.0, value - bound)

    def proved(self, goals: Iterable[str]) -> bool:
        """Whether nothing can be better on these goals."""
        return all(self.gap(goal) <= SLACK for goal in goals)


def at(record: Record, seconds: float) -> State:
    """What was known so many seconds after the start; at the run's own limit or end, its answer."""
    final = goals_of(record)
    if final is not None and seconds >= min(record["seconds"], record["limit_s"]):
        return State(final, record["bounds"])
    return _so_far(record, seconds)


def _so_far(record: Record, seconds: float) -> State:
    values: tuple[float, ...] = ()
    bounds: dict[str, float] = {GOALS[0]: 0.0}  # nothing left out is proved as soon as there is such a plan
    for time, goal, standing, bound in record["events"]:
        if time > seconds:
            break
        values = tuple(standing)
        if bound is not None and goal in GOALS:
            bounds[goal] = max(bound, bounds.get(goal, 0.0))
    return State(values, bounds)


def proof_s(record: Record, goals: Sequence[str]) -> float:
    """Seconds until all of these goals were proved; infinite if they never were."""
    final = goals_of(record)
    if final is None or not State(final, record["bounds"]).proved(goals):
        return math.inf
    for time, *_ in record["events"]:
        state = _so_far(record, time)
        if state.proved(goals) and all(state.values[n] == final[n] for n in map(GOALS.index, goals)):
            return float(time)
    return float(record["seconds"])


def played_at(records: Sequence[Record], seconds: float) -> State | None:
    """The state of a day after so many seconds: of the run with that limit, else of a longer one, else of one that
    ended of itself before; ``records``: the product's runs of one day."""
    for record in sorted(records, key=lambda one: one["limit_s"]):
        if goals_of(record) is not None and record["limit_s"] >= seconds:
            return at(record, seconds)
    ended = [record for record in records if record["seconds"] < 0.98 * record["limit_s"] and goals_of(record)]
    return at(ended[-1], seconds) if ended else None
