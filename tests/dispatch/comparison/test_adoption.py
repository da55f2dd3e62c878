"""Larger fleets are never worse, and what is proved for them holds for the smaller ones."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dispatch.bounds import BoundContradicted
from dispatch.comparison.adoption import settle_day, worth
from dispatch.comparison.jobs import PlanRefused
from dispatch.plan import Level, Outcome, Plan
from dispatch.problem import Problem
from dispatch.solve import solve
from tests import factories as make
from tests.dispatch.comparison.small_histories import big


@pytest.fixture(scope="module")
def day() -> Problem:
    """Three machines, each a trip; a shift holds two trips."""
    shift = {"shift_end_min": 360 + 95 + 75}
    return make.problem([big("1"), big("2"), big("3")], [make.rig("R1", **shift), make.rig("R2", **shift)])


@pytest.fixture(scope="module")
def one_rig(day: Problem) -> Problem:
    return replace(day, rigs=day.rigs[:1])


@pytest.fixture(scope="module")
def small(one_rig: Problem) -> Plan:
    return solve(one_rig, time_limit_s=None)


@pytest.fixture(scope="module")
def large(day: Problem) -> Plan:
    return solve(day, time_limit_s=None)


def empty(problem: Problem, bounds: tuple[float, float, float] = (0, 0, 0)) -> Plan:
    """The plan that leaves everything out, as a search that was cut at once would give it."""
    values = (float(len(problem.moves)), 0.0, 0.0)
    names = ("left out", "trips", "cost")
    levels = tuple(
        Level(name, value, bound, bound >= value) for name, value, bound in zip(names, values, bounds, strict=True)
    )
    return Plan((), tuple(move.name for move in problem.moves), levels, Outcome.STOPPED_WITH_PLAN)


def test_the_days_are_what_they_should_be(small: Plan, large: Plan) -> None:
    assert worth(small)[:2] == (1, 2)
    assert worth(large)[:2] == (0, 3)


def test_a_poor_search_takes_over_the_plan_of_the_fleet_inside(
    day: Problem, one_rig: Problem, small: Plan
) -> None:
    settled = settle_day({"more": day, "today": one_rig}, {"more": empty(day), "today": small})
    assert settled["more"].taken_from == "today"
    assert settled["more"].plan.rig_days == small.rig_days
    assert worth(settled["more"].plan) == worth(small)
    assert not any(level.proved for level in settled["more"].plan.levels[:1]), (
        "the bounds are the poor search's own"
    )
    assert settled["today"].taken_from == ""


def test_a_better_search_stands(day: Problem, one_rig: Problem, small: Plan, large: Plan) -> None:
    settled = settle_day({"today": one_rig, "more": day}, {"today": small, "more": large})
    assert (settled["more"].plan, settled["more"].taken_from) == (large, "")
    assert settled["today"].plan == small


def test_fleets_of_which_none_is_inside_the_other_keep_their_plans(day: Problem, small: Plan) -> None:
    first, second = (replace(day, rigs=(rig,)) for rig in day.rigs)
    settled = settle_day({"a": first, "b": second}, {"a": small, "b": empty(second)})
    assert settled["b"].taken_from == ""
    assert settled["b"].plan.left_out == ("1", "2", "3")


def test_what_a_larger_fleet_cannot_beat_the_smaller_cannot_either(
    day: Problem, one_rig: Problem, small: Plan
) -> None:
    """The larger fleet's search proves that one must stay; the smaller one's proved nothing."""
    unproved = replace(
        small,
        levels=tuple(replace(level, bound=0, proved=False) for level in small.levels),
        outcome=Outcome.STOPPED_WITH_PLAN,
    )
    settled = settle_day({"today": one_rig, "more": day}, {"today": unproved, "more": empty(day, (1, 0, 0))})
    left_out = settled["today"].plan.level("left out")
    assert (left_out.value, left_out.bound, left_out.proved) == (1, 1, True)


def test_a_plan_below_a_bound_is_a_bug_and_stops(day: Problem, one_rig: Problem, small: Plan) -> None:
    with pytest.raises(BoundContradicted):
        settle_day({"today": one_rig, "more": day}, {"today": small, "more": empty(day, (2, 0, 0))})


def test_a_plan_that_is_not_legal_is_never_taken_over(day: Problem, one_rig: Problem, small: Plan) -> None:
    wrong = replace(small, left_out=())
    with pytest.raises(PlanRefused):
        settle_day({"today": one_rig, "more": day}, {"today": wrong, "more": empty(day)})
