"""The ways of large days, taken on small ones, where an exact run built differently can say what is best.

Trips of a few good partners first, days from them to warm the prices up, one neighbourhood before the floor, trips
ruled out before pricing: none of that may show in a bound or a proof, as all trips are listed afterwards.

Source of the expected values: ``listed_trips`` (all rig-days, HiGHS) and ``monolith`` (one CP-SAT model).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from dispatch import quick_search
from dispatch import solve as method
from dispatch.placement import Placer
from dispatch.plan import Outcome, Plan
from dispatch.planning_day import DayTrips
from dispatch.problem import Problem, shares_gear
from dispatch.search_limits import Thoroughness
from dispatch.verify import verify
from dispatch.workshop import Budget, budget_for
from tests.external.proof_days import odd_day
from tests.external.second_opinion import all_rig_days, one_model, rig_days_in_the_gap
from tests.external.test_witnesses import WHILE, compare, day
from tests.stub_placer import StubPlacer

EVERY_DAY = (7106, 7131, 7137)
"""A machine moved twice, permits, companions; three rigs; two rigs that share a truck or a driver."""
MORE = tuple(seed for seed in range(7117, 7143) if seed not in (*EVERY_DAY, 7128, 7133, 7139))
PARTNERS = 2

Ways = dict[str, list[object]]


@pytest.fixture
def ways(monkeypatch: pytest.MonkeyPatch) -> Ways:
    """Every day is large, no trip is let off; what each of the ways gave, call by call."""
    given: Ways = {}

    def listened(module: object, name: str) -> None:
        real: Callable[..., object] = getattr(module, name)

        def function(*args: object, **named: object) -> object:
            answer = real(*args, **named)
            given.setdefault(name, []).append(answer)
            return answer

        monkeypatch.setattr(module, name, function)

    def small_budget(thoroughness: Thoroughness) -> Budget:
        return replace(budget_for(thoroughness), small_day=1)

    monkeypatch.setattr(method, "LARGE_DAY", 1)
    monkeypatch.setattr(method, "PARTNERS", PARTNERS)
    monkeypatch.setattr(method, "budget_for", small_budget)
    monkeypatch.setattr(quick_search, "FEW_TRIPS", 0)
    for module, name in (
        (method, "find_trips"),
        (method, "best_partners"),
        (method, "warm_up"),
        (quick_search, "worth_a_look"),
    ):
        listened(module, name)
    return given


def planned(problem: Problem, placer: Placer, ways: Ways) -> Plan:
    """The plan, made in these ways, at the end with all trips."""
    plan = method.solve(problem, placer=placer, time_limit_s=None)
    assert plan.outcome is Outcome.PROVED
    assert {"best_partners", "warm_up"} <= ways.keys()
    shared = any(shares_gear(a, b) for a in problem.rigs for b in problem.rigs if a is not b)
    assert shared or "worth_a_look" in ways
    *_, last = ways["find_trips"]
    assert isinstance(last, DayTrips)
    assert last.complete
    return plan


def hold(seed: int, ways: Ways) -> None:
    """Every goal proved, and proved by a witness too."""
    problem = day(seed)
    placer = Placer(problem)
    plan = planned(problem, placer, ways)
    assert list(verify(problem, plan)) == []
    opinion = all_rig_days(problem, placer) or one_model(problem, placer, workers=2, seconds=WHILE)
    compare(opinion, plan=plan)


@pytest.mark.parametrize("seed", EVERY_DAY)
def test_proofs_are_true_in_the_ways_of_large_days(seed: int, ways: Ways) -> None:
    hold(seed, ways)


@pytest.mark.slow
@pytest.mark.parametrize("seed", MORE)
def test_proofs_are_true_in_the_ways_of_large_days_on_many_days(seed: int, ways: Ways) -> None:
    hold(seed, ways)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2, 5))
def test_odd_days_in_the_ways_of_large_days(seed: int, ways: Ways) -> None:
    """Half a trip to spare in the linear programme: the proofs have a gap to close."""
    problem = odd_day(seed, moves=9, rigs=3)
    plan = planned(problem, StubPlacer(problem), ways)
    partners, every = (trips for trips in ways["find_trips"][-2:] if isinstance(trips, DayTrips))
    assert not partners.complete
    assert len(partners.masks()) < len(every.masks())
    opinion = rig_days_in_the_gap(problem, StubPlacer(problem), plan)
    assert opinion is not None
    compare(opinion, plan=plan)


def test_the_days_hold_what_they_should() -> None:
    days = [day(seed) for seed in EVERY_DAY]
    assert any(one.successors for one in days)
    assert any(move.permit for one in days for move in one.moves)
    assert any(move.companions for one in days for move in one.moves)
    assert any(len(one.rigs) > 2 for one in days)
    assert any(shares_gear(a, b) for one in days for a in one.rigs for b in one.rigs if a is not b)
