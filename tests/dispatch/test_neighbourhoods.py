"""Rebuilding parts of a plan of twenty moves: never worse, twice the same, and every rule of the clock kept."""

from __future__ import annotations

import pytest

from dispatch.master import Goal
from dispatch.neighbourhoods import Neighbourhoods
from dispatch.plan import Plan
from dispatch.planning_day import PricerShelf, find_trips, prepare
from dispatch.search_limits import Limits
from dispatch.shared_clock import Fit
from dispatch.solve import Search, Standing, goals
from dispatch.trips import TripBudget
from dispatch.verify_hours import hours_violations
from dispatch.verify_levels import level_violations
from dispatch.verify_times import road_violations, runs_of, sharing_violations, shift_violations, work_violations
from dispatch.workshop import Budget, Workshop, value_of
from tests.external.proof_days import proof_day
from tests.stub_placer import StubPlacer

PROBLEM = proof_day(5, moves=20, rigs=4)
ROUNDS = 12


class Rebuilt:
    """The day constructed quickly, then rebuilt in parts for some rounds."""

    def __init__(self, rounds: int = ROUNDS, *, goal: Goal = Goal.TRIPS, enough: int = 0) -> None:
        self.search = Search(prepare(PROBLEM, StubPlacer(PROBLEM)), Limits())
        day = self.search.day
        trips = find_trips(day, TripBudget())
        self.search._construct(trips)
        self.first = self.search.standing.plan
        self.kept: list[Fit] = []
        shelf = PricerShelf(day, trips)
        shop = Workshop(day, trips, shelf, self.search.limits, Budget(), lambda *_: None, self.kept.append)
        shop.remember(self.first.columns)
        around = Neighbourhoods(shop, goals(PROBLEM))
        self.last = around.improve(self.first, rounds, goal, enough)

    def values(self, fit: Fit) -> tuple[int, ...]:
        return tuple(value_of(self.search.day, goal, fit.columns) for goal in goals(PROBLEM))

    def plan(self) -> Plan:
        self.search.standing = Standing(self.last)
        return self.search.plan()


@pytest.fixture(scope="module")
def rebuilt() -> Rebuilt:
    return Rebuilt()


def test_every_plan_on_the_way_is_better_than_the_one_before(rebuilt: Rebuilt) -> None:
    values = [rebuilt.values(fit) for fit in (rebuilt.first, *rebuilt.kept)]
    assert values == sorted(values, reverse=True)
    assert len(set(values)) == len(values)
    assert rebuilt.values(rebuilt.last) == values[-1]
    assert values[-1] < values[0]


def test_the_plan_keeps_the_clock_and_hauls_each_move_once(rebuilt: Rebuilt) -> None:
    plan = rebuilt.plan()
    runs = runs_of(PROBLEM, plan)
    found = [v for run in runs for v in (*road_violations(run), *shift_violations(run))]
    found += [*sharing_violations(PROBLEM, runs), *work_violations(PROBLEM, plan)]
    found += [*hours_violations(PROBLEM, runs), *level_violations(PROBLEM, plan)]
    assert [str(violation) for violation in found] == []


def test_the_same_rounds_give_the_same_plan(rebuilt: Rebuilt) -> None:
    again = Rebuilt()
    assert [rebuilt.values(fit) for fit in rebuilt.kept] == [again.values(fit) for fit in again.kept]
    assert rebuilt.last.columns == again.last.columns


def test_a_plan_that_is_good_enough_is_left_alone(rebuilt: Rebuilt) -> None:
    left = Rebuilt(enough=10**9)
    assert left.last is left.first
    assert left.kept == []


def test_a_stop_leaves_the_plan(rebuilt: Rebuilt) -> None:
    assert Rebuilt(rounds=0).last.columns == rebuilt.first.columns
