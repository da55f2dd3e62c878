"""What the planner claims of a day against exact runs built differently, goal by goal; and the witnesses by hand.

Source of the expected values: ``listed_trips`` (all rig-days, HiGHS), ``monolith`` (one CP-SAT model, whose plan
the verifier checks) and, for the witnesses themselves, arithmetic by hand and ``tests/dispatch/exhaustive.py``.
``benchmarks/witnesses.py`` plays hundreds of days, and larger ones.
"""

from __future__ import annotations

import pytest

from dispatch.placement import Placer
from dispatch.plan import Level, Outcome, Plan
from dispatch.problem import Problem
from dispatch.settings import Settings
from dispatch.solve import solve
from tests import factories as make
from tests.dispatch.exhaustive import Everything
from tests.external.listed_trips import Listed, TooMany
from tests.external.monolith import Monolith
from tests.external.proof_days import odd_day, proof_day
from tests.external.random_days import Sizes, random_day
from tests.external.second_opinion import (
    Opinion,
    Said,
    all_rig_days,
    confirmed,
    disagreements,
    one_model,
    rig_days_in_the_gap,
)
from tests.external.trip_list import Clock, Unfit, Yardmaster
from tests.stub_placer import StubPlacer

EVERY_DAY = (1004, 1012, 1013, 1016, 1057, 1063)
"""Six to twelve moves, one or two rigs; in 1063 they share a truck, in 1013 a driver; machines moved twice."""
ALL = (*range(1105, 1125), *range(1150, 1160))
ALL_GOALS = ("left out", "trips", "cost")
WHILE = 600
"""Seconds a level: no test waits so long; a clock that does end the monolith makes the test fail."""


def day(seed: int) -> Problem:
    return random_day(seed, Sizes(12, 2 + seed % 2))


def compare(*opinions: Opinion, plan: Plan) -> None:
    """No contradiction; and what the planner says is proved, a witness proves."""
    for opinion in opinions:
        assert disagreements(plan.levels, opinion) == [], opinion
    proved = {level.name for level in plan.levels if level.proved}
    seen = {name for opinion in opinions for name in confirmed(plan.levels, opinion)}
    assert seen == proved


@pytest.mark.parametrize("seed", EVERY_DAY)
def test_a_sample_of_days(seed: int) -> None:
    problem = day(seed)
    placer = Placer(problem)
    plan = solve(problem, placer=placer, time_limit_s=None)
    opinion = all_rig_days(problem, placer) or one_model(problem, placer, workers=2, seconds=WHILE)
    compare(opinion, plan=plan)
    assert plan.outcome is Outcome.PROVED


@pytest.mark.slow
@pytest.mark.parametrize("seed", ALL)
def test_thirty_days_and_the_monolith_too(seed: int) -> None:
    problem = day(seed)
    placer = Placer(problem)
    plan = solve(problem, placer=placer, time_limit_s=None)
    opinions = [all_rig_days(problem, placer), one_model(problem, placer, seconds=WHILE)]
    compare(*(opinion for opinion in opinions if opinion is not None), plan=plan)


def test_the_days_hold_what_they_should() -> None:
    days = [day(seed) for seed in (*EVERY_DAY, *ALL)]
    assert max(len(one.moves) for one in days) >= 12
    assert sum(len({rig.truck.name for rig in one.rigs}) < len(one.rigs) for one in days) >= 2
    assert sum(len({rig.driver for rig in one.rigs}) < len(one.rigs) for one in days) >= 2
    assert sum(bool(one.successors) for one in days) >= 10
    assert sum(any(move.permit for move in one.moves) for one in days) >= 10
    assert sum(any(move.companions for move in one.moves) for one in days) >= 10


# The witnesses themselves


def test_a_clock_by_hand() -> None:
    """Open at 480, 30 min of work, 10 min of road, from 600 on 20 min, done by 640."""
    clock = Clock().wait(480).spend(30).by(530)
    assert clock is not None
    assert (clock.run, clock.over, clock.latest) == (30, 510, 500)
    late = clock.spend(10).wait(600).spend(20).by(640)
    assert late is not None
    assert (late.run, late.over, late.latest) == (60, 620, 500)
    assert max(500 + late.run, late.over) == 620
    assert clock.spend(10).wait(600).spend(20).by(619) is None


def values(problem: Problem) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """By all rig-days, and by the monolith."""
    listed = Listed(problem, StubPlacer(problem)).every_day()
    found = Monolith(problem, StubPlacer(problem), workers=2).solve()
    assert found.proved
    return tuple(listed.values()), tuple(found.levels[name].value for name in ALL_GOALS)


def test_one_move_by_hand() -> None:
    """Out 20, load 20, road 20, unload 15, home 20 = 95 min at 90 USD/h = 142.50; 30 miles at 2.25 = 67.50."""
    assert values(make.problem()) == ((0, 1, 21_000), (0, 1, 21_000))


def test_overtime_waiting_and_rounding_by_hand() -> None:
    """95 min at 95.50 USD/h, 1.5 times that past 60 min: (60 + 35 x 1.5) x 159.17 = 17906; 30 miles at 2.25."""
    rig = make.rig(cost_per_hour_usd=95.5, overtime_after_min=60)
    assert values(make.problem([make.move(ready_min=600)], [rig]))[0] == (0, 1, 17906 + 6750)
    assert values(make.problem([make.move(ready_min=600)], [rig]))[1] == (0, 1, 17906 + 6750)


@pytest.mark.parametrize("seed", [1, 2])
def test_both_against_every_plan_tried(seed: int) -> None:
    """Source: every set and order of trips, walked minute by minute."""
    problem = proof_day(seed, moves=3)
    expected = Everything(problem).best()
    assert values(problem) == (expected, expected)


def test_rigs_that_share_a_truck_take_turns() -> None:
    """Each move only by its rig: 95 minutes, hook 20, 95 minutes fill the shift exactly; less does not."""
    truck = make.truck("shared")
    moves = [make.move("x", only_rigs=("rig 1",)), make.move("y", only_rigs=("rig 2",))]

    def left_out(end: int) -> float:
        rigs = [make.rig(name, truck=truck, shift_end_min=end) for name in ("rig 1", "rig 2")]
        problem = make.problem(moves, rigs)
        with pytest.raises(Unfit):
            Listed(problem)
        return Monolith(problem, StubPlacer(problem), workers=2).solve().levels["left out"].value

    assert left_out(360 + 95 + 20 + 95) == 0
    assert left_out(360 + 95 + 20 + 94) == 1


def test_a_machine_moved_twice_by_two_rigs() -> None:
    """Off at b at 435, loaded 20, road 20, unloaded 15, home 20: 510 is early enough, 509 is not."""
    machine = make.item("loader", 3000, 60)
    moves = [
        make.move("one", machine, only_rigs=("rig 1",)),
        make.move("two", machine, origin="b", destination="c", only_rigs=("rig 2",)),
    ]

    def left_out(end: int) -> float:
        problem = make.problem(moves, [make.rig("rig 1"), make.rig("rig 2", shift_end_min=end)])
        return Monolith(problem, StubPlacer(problem), workers=2).solve().levels["left out"].value

    assert left_out(435 + 20 + 20 + 15 + 20) == 0
    assert left_out(435 + 20 + 20 + 15 + 19) == 1


def test_a_worse_plan_is_found_out() -> None:
    """Two that ride together, planned on two trips, and then on one with the yard between."""
    small = [make.move(name, make.item(name, 3000, 60)) for name in "xy"]
    far = make.problem(small, settings=Settings(most_items_per_trip=1))
    plan = solve(far, placer=StubPlacer(far), time_limit_s=None)
    assert len(list(plan.trips())) == 2
    near = make.problem(small)
    verdicts = Listed(near, StubPlacer(near)).confirm(plan)
    assert (verdicts["trips"].confirmed, verdicts["trips"].better) == (False, 1)
    good = solve(near, placer=StubPlacer(near), time_limit_s=None)
    assert all(verdict.confirmed for verdict in Listed(near, StubPlacer(near)).confirm(good).values())


def test_too_large_a_day_is_no_proof() -> None:
    problem = proof_day(0)
    with pytest.raises(TooMany):
        Listed(problem, StubPlacer(problem)).every_day(most=10)
    assert all_rig_days(problem, StubPlacer(problem), most=10) is None


def test_listed_trips_are_those_of_the_rules() -> None:
    """Two that fit together: each alone, and both in either order of loading."""
    problem = make.problem([make.move(name, make.item(name, 3000, 60)) for name in "xy"])
    trips = Yardmaster(problem, Placer(problem)).trips(problem.rigs[0])
    assert sorted(tuple(task.haul for task in trip.tasks) for trip in trips) == [
        (0, 0),
        (0, 1, 1, 0),
        (1, 0, 0, 1),
        (1, 1),
    ]


# What counts as a disagreement


def levels(*rows: tuple[float, float]) -> tuple[Level, ...]:
    return tuple(
        Level(name, value, bound, bound >= value) for name, (value, bound) in zip(ALL_GOALS, rows, strict=True)
    )


def test_a_bound_above_a_plan_and_a_plan_below_a_floor_are_told() -> None:
    claimed = levels((0, 0), (5, 5), (900, 700))
    better = Opinion("other", {"left out": Said(0, 0), "trips": Said(4, 4)})
    assert disagreements(claimed, better) == ["trips: bound 5, the other has 4"]
    floor = Opinion("other", {"left out": Said(0, 0), "trips": Said(6, 6)})
    assert disagreements(claimed, floor) == ["trips: the plan has 5, the other's floor is 6"]
    open_cost = Opinion("other", {"left out": Said(0, 0), "trips": Said(5, 5), "cost": Said(800, 750)})
    assert disagreements(claimed, open_cost) == []
    assert confirmed(claimed, open_cost) == ("left out", "trips")
    assert disagreements(levels((0, 0), (5, 5), (900, 820)), open_cost) == ["cost: bound 820, the other has 800"]


def test_a_goal_is_compared_only_with_the_same_values_before_it() -> None:
    other = Opinion("other", {"left out": Said(1, 0), "trips": Said(3, 3), "cost": Said(1, 1)})
    assert disagreements(levels((0, 0), (5, 5), (900, 900)), other) == []


# Larger days


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
def test_odd_days_in_the_gap(seed: int) -> None:
    """Half a trip to spare in the linear programme: the proofs of trips and cost have a gap to close."""
    problem = odd_day(seed, moves=9, rigs=3)
    plan = solve(problem, placer=StubPlacer(problem), time_limit_s=None)
    opinion = rig_days_in_the_gap(problem, StubPlacer(problem), plan)
    assert opinion is not None
    compare(opinion, plan=plan)
