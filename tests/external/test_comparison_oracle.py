"""Fleets compared on tiny random days against exhaustive search of every fleet.

Source of the expected values: ``oracle.py``, which tries every placement and every order of trips.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from dispatch.comparison.compare import differences_of, outcomes_of, plans_of
from dispatch.comparison.history import DayVariant, History, Variant
from dispatch.comparison.jobs import Effort, run_here
from dispatch.problem import Problem
from tests.external.oracle import Oracle
from tests.external.random_days import random_day

BASE, OTHER, BOTH = "first rig", "second rig", "both"
TWO_RIGS = (0, 3, 6, 10, 12, 14, 27, 117)
"""Seeds of days with two rigs; in 3 and 117 they share a truck, in 10 and 27 a driver."""
EVERY_DAY = TWO_RIGS[:2]


def fleets(problem: Problem) -> dict[str, Problem]:
    """The first rig, the second one, and both."""
    first, second = problem.rigs
    rigs = {BASE: (first,), OTHER: (second,), BOTH: (first, second)}
    return {name: replace(problem, rigs=some) for name, some in rigs.items()}


def compare(seed: int) -> None:
    problems = fleets(random_day(seed))
    places = {DayVariant("d", name): problem for name, problem in problems.items()}
    history = History(("d",), tuple(Variant(name) for name in problems), places)
    outcomes = outcomes_of(history, plans_of(history, Effort(), run_here))
    answers = {name: Oracle(problem).solve() for name, problem in problems.items()}
    for name, answer in answers.items():
        found = outcomes[DayVariant("d", name)]
        assert (found.left_out.value, found.trips.value) == pytest.approx((answer.left_out, answer.trips)), name
        assert found.left_out.proved, name
        assert found.trips.proved, name
    both, one = answers[BOTH], answers[BASE]
    assert both.left_out <= one.left_out
    assert both.left_out < one.left_out or both.trips <= one.trips
    for difference in differences_of(history, outcomes):
        other = answers[difference.variant]
        assert difference.trips.exact
        assert difference.trips.found == one.trips - other.trips
        assert difference.left_out.found == pytest.approx(one.left_out - other.left_out)


@pytest.mark.parametrize("seed", EVERY_DAY)
def test_a_few_days(seed: int) -> None:
    compare(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", TWO_RIGS[2:])
def test_many_days(seed: int) -> None:
    compare(seed)


def test_the_days_show_what_they_should() -> None:
    """Among the days of both tests: rigs that share gear."""
    days = [random_day(seed) for seed in TWO_RIGS]
    shared = [
        d for d in days if d.rigs[0].truck.name == d.rigs[1].truck.name or d.rigs[0].driver == d.rigs[1].driver
    ]
    assert all(len(day.rigs) == 2 for day in days)
    assert len(shared) >= 4
