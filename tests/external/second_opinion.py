"""What the witnesses say of a day, held against what a plan claims of it.

A witness gives, goal by goal, the best value that it knows and a floor that it proves. A plan that lies below a
floor, or a stated bound above what a witness has, is a disagreement: one of the two is wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from dispatch.placement import Placer
from dispatch.plan import Level, Plan
from dispatch.problem import Problem
from dispatch.verify import verify
from tests.external.listed_trips import LEVELS, Listed, TooMany, Verdict
from tests.external.monolith import Monolith
from tests.external.trip_list import Unfit

SLACK = 1e-6


@dataclass(frozen=True)
class Said:
    """Of one goal: the best value known (``None``: none) and the floor."""

    value: float | None
    floor: float


@dataclass(frozen=True)
class Opinion:
    """Goal by goal. ``given``: each goal with the plan's own values kept before it, not the witness's."""

    witness: str
    goals: Mapping[str, Said]
    given: bool = False
    note: str = ""


def all_rig_days(problem: Problem, placer: Placer, most: int = 300_000) -> Opinion | None:
    """Every rig-day listed, HiGHS; ``None``: not a day for it, or too large."""
    try:
        values = Listed(problem, placer).every_day(most=most)
    except (Unfit, TooMany):
        return None
    return Opinion("all rig-days", {name: Said(value, value) for name, value in values.items()})


def rig_days_in_the_gap(
    problem: Problem, placer: Placer, plan: Plan, *, most: int = 1_500_000, seconds: float = 300
) -> Opinion | None:
    """The rig-days that could be in a better plan, HiGHS; ``None``: not a day for it."""
    try:
        listed = Listed(problem, placer)
        verdicts = listed.confirm(plan, most=most, seconds=seconds)
    except Unfit:
        return None
    goals = {name: _said(verdict, listed.scale if name == "left out" else 1) for name, verdict in verdicts.items()}
    note = "; ".join(f"{name}: {verdict.how}" for name, verdict in verdicts.items())
    return Opinion("rig-days in the gap", goals, given=True, note=note)


def _said(verdict: Verdict, scale: int) -> Said:
    """A plan's own value stands where nothing better is known; a better choice of all that count is the best."""
    best = verdict.value if verdict.better is None else verdict.better
    floor = best if verdict.confirmed is not None else verdict.floor
    return Said(best / scale, floor / scale)


def one_model(problem: Problem, placer: Placer, *, seconds: float = 30, workers: int = 8) -> Opinion:
    """The monolith. Raises AssertionError when its own plan does not pass the verifier."""
    witness = Monolith(problem, placer, seconds=seconds, workers=workers).solve()
    if witness.plan is not None:
        found = [str(one) for one in verify(problem, witness.plan)]
        assert not found, f"the monolith's own plan: {found}"
    return Opinion("monolith", {name: Said(said.value, said.bound) for name, said in witness.levels.items()})


def disagreements(levels: Sequence[Level], opinion: Opinion) -> list[str]:
    """Where plan and witness cannot both be right."""
    found = []
    for level in levels:
        said = opinion.goals.get(level.name)
        if said is None:
            break
        if said.value is not None and level.bound > said.value + SLACK:
            found.append(f"{level.name}: bound {level.bound:g}, the {opinion.witness} has {said.value:g}")
        if said.floor > level.value + SLACK:
            found.append(
                f"{level.name}: the plan has {level.value:g}, the {opinion.witness}'s floor is {said.floor:g}"
            )
        if not opinion.given and said.value != level.value:
            break
    return found


def confirmed(levels: Sequence[Level], opinion: Opinion) -> tuple[str, ...]:
    """The goals that the plan says are proved and the witness proves too."""
    names = []
    for level in levels:
        said = opinion.goals.get(level.name)
        if said is None or (not opinion.given and said.value != level.value):
            break
        if level.proved and said.floor > level.value - SLACK:
            names.append(level.name)
    return tuple(names)


def order_is_trips_first(levels: Sequence[Level]) -> bool:
    """The witnesses settle the goals in this order."""
    return tuple(level.name for level in levels) == LEVELS
