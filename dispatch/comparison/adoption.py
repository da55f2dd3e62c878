"""More rigs never give a worse plan, by construction: a fleet takes over the plan of one that it contains.

A rig that stays in the yard binds nobody, so every plan of the smaller fleet is legal for the larger one. Plans go
from the smaller fleet to the larger, and what is proved goes the other way: what the larger cannot beat, the
smaller cannot either.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from dispatch.bounds import BoundContradicted
from dispatch.comparison.history import contains
from dispatch.comparison.jobs import PlanRefused, check_plan
from dispatch.plan import Level, Outcome, Plan
from dispatch.problem import Problem

SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Standing:
    """The best plan known for a fleet on a day; ``taken_from``: the fleet whose search found it, or empty."""

    plan: Plan
    taken_from: str = ""


def worth(plan: Plan) -> tuple[float, ...]:
    """The values of the goals in their order: the smaller, the better."""
    return tuple(round(level.value, 6) for level in plan.levels)


def settle_day(problems: Mapping[str, Problem], plans: Mapping[str, Plan]) -> dict[str, Standing]:
    """The plans of one day by variant, each at least as good as that of every fleet inside its own.

    Raises PlanRefused when a plan that is taken over is not legal after all, and BoundContradicted when a plan
    lies below what is proved for a larger fleet; both are bugs.
    """
    inside = {
        name: [other for other in problems if other != name and contains(problem, problems[other])]
        for name, problem in problems.items()
    }
    found = {}
    for name, plan in plans.items():
        best = min([name, *inside[name]], key=lambda one: (worth(plans[one]), one != name))
        found[name] = Standing(plan)
        if best != name:
            taken = with_bounds(plans[best], plan)
            check_plan(f"plan of {best} taken over by {name}", problems[name], taken)
            found[name] = Standing(taken, best)
    _assert_no_worse(found, inside)
    return {
        name: replace(one, plan=_proved_by_larger(one.plan, [found[o].plan for o in found if name in inside[o]]))
        for name, one in found.items()
    }


def with_bounds(plan: Plan, searched: Plan) -> Plan:
    """The plan with the bounds of another search of the same problem.

    A bound holds while the goals before it have the values for which it was found.
    """
    levels, alike = [], True
    for level, other in zip(plan.levels, searched.levels, strict=True):
        bound = other.bound if alike else 0.0
        levels.append(_level(level, bound))
        alike = alike and abs(level.value - other.value) <= SLACK
    notes = tuple(dict.fromkeys((*plan.notes, *searched.notes)))
    return replace(_with_levels(plan, levels), notes=notes)


def _proved_by_larger(plan: Plan, larger: Sequence[Plan]) -> Plan:
    """The plan with the bounds of larger fleets where these are higher and hold here too."""
    for other in larger:
        levels, alike = [], True
        for level, theirs in zip(plan.levels, other.levels, strict=True):
            levels.append(_level(level, max(level.bound, theirs.bound) if alike else level.bound))
            alike = alike and abs(level.value - theirs.value) <= SLACK and theirs.proved
        plan = _with_levels(plan, levels)
    return plan


def _level(level: Level, bound: float) -> Level:
    if bound > level.value + SLACK:
        raise BoundContradicted(f"{level.name}: a plan with {level.value:g} lies below the bound {bound:g}")
    return replace(level, bound=bound, proved=bound >= level.value - SLACK)


def _with_levels(plan: Plan, levels: Sequence[Level]) -> Plan:
    proved = all(level.proved for level in levels)
    outcome = Outcome.PROVED if proved else Outcome.STOPPED_WITH_PLAN
    return replace(plan, levels=tuple(levels), outcome=outcome)


def _assert_no_worse(found: Mapping[str, Standing], inside: Mapping[str, Sequence[str]]) -> None:
    for name, smaller in inside.items():
        for other in smaller:
            if worth(found[name].plan) > worth(found[other].plan):
                raise PlanRefused(f"{name} contains {other} and plans worse: {found[name]}, {found[other]}")
