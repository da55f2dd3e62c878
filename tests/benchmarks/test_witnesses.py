"""No plan of any method contradicts a bound that another states, proofs still open included.

Source: the methods against each other (product, first-fit dispatcher, monolith), each stopped early and late.
"""

from __future__ import annotations

from itertools import product

import pytest

from benchmarks.generator import Size, day
from benchmarks.methods import play_first_fit
from benchmarks.witnesses import better_known
from dispatch.costs import plan_cents
from dispatch.placement import Placer
from dispatch.plan import Level, Plan
from dispatch.problem import Problem
from dispatch.solve import solve
from dispatch.travel import Travel
from tests.external.random_days import Sizes, random_day
from tests.external.second_opinion import Opinion, Said, disagreements, one_model

GOALS = ("left out", "trips", "cost")
DAYS = [("12/3", seed) for seed in range(2)] + [("random", seed) for seed in range(1_200, 1_208)]


def drawn(size: str, seed: int) -> Problem:
    return random_day(seed, Sizes(12, 3)) if size == "random" else day(Size.read(size), seed)


def counted(problem: Problem, plan: Plan) -> tuple[float, float, float]:
    """The goals' values, counted from the plan's trips."""
    left = sum(move.priority for move in problem.moves if move.name in plan.left_out)
    travel = Travel(problem.sites, problem.roads, problem.settings)
    return left, len(list(plan.trips())), plan_cents(problem, travel, plan)


@pytest.mark.slow
@pytest.mark.parametrize(("size", "seed"), DAYS)
def test_no_plan_contradicts_a_bound(size: str, seed: int) -> None:
    problem = drawn(size, seed)
    placer = Placer(problem)
    stated = [solve(problem, placer=placer, time_limit_s=limit).levels for limit in (1, None)]
    known = [Opinion("product", {lv.name: Said(lv.value, lv.bound) for lv in levels}) for levels in stated]
    known += [one_model(problem, placer, seconds=seconds) for seconds in (2, 10)]
    if size != "random":
        plan = play_first_fit(problem, 0).plan
        assert plan is not None
        values = counted(problem, plan)
        known.append(Opinion("first fit", {g: Said(v, 0) for g, v in zip(GOALS, values, strict=True)}))
    claims = [
        tuple(Level(goal, said.value or 0, said.floor, False) for goal, said in one.goals.items()) for one in known
    ]
    for levels, opinion in product(claims, known):
        assert disagreements(levels, opinion) == []


def test_a_witness_that_is_better_later_but_worse_before_is_no_news() -> None:
    """One goal after the other: fewer trips count only with no more left out."""
    line = {"series": "small", "seed": 1, "levels": {"left out": [1, 1, True], "trips": [5, 4, False]}}
    line["levels"] |= {"cost": [900, 0, False]}
    worse = {"witness": "monolith", "goals": {"left out": [2, 1], "trips": [4, 0], "cost": [1, 0]}}
    assert list(better_known(line, worse)) == []
    better = {"witness": "monolith", "goals": {"left out": [1, 1], "trips": [4, 0], "cost": [1, 0]}}
    assert list(better_known(line, better)) == ["- small 1, trips: 5, the monolith has 4"]
