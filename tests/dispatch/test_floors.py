"""The floor of column generation against the linear programme over every rig-day there is, at odd rates."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pytest

from dispatch import floors
from dispatch.day_choice import best_days
from dispatch.floors import HALF_A_CENT, generate
from dispatch.master import Goal, Master, Settled, worth
from dispatch.planning_day import PricerShelf, find_trips, prepare
from dispatch.prices import Prices
from dispatch.pricing import Search
from dispatch.problem import Problem
from dispatch.search_limits import Limits
from dispatch.shared_clock import Fit
from dispatch.trips import TripBudget
from dispatch.workshop import Budget, Result, Workshop, price_all, value_of
from tests import factories as make
from tests.external.proof_days import odd_day, proof_day
from tests.stub_placer import StubPlacer

RIGS = 2


def workshop(problem: Problem) -> Workshop:
    """A workshop with every trip, and nothing found yet."""
    day = prepare(problem, StubPlacer(problem))
    trips = find_trips(day, TripBudget())
    return Workshop(day, trips, PricerShelf(day, trips), Limits(), Budget(), lambda *_: None, lambda _: None)


@dataclass(frozen=True)
class Known:
    """The floor and the bound told; the linear programme and the best plan over all days. None left out."""

    floor: float
    bound: int
    programme: float
    best: int


def known(problem: Problem, goal: Goal) -> Known | None:
    """By column generation, and by listing every day that there is; ``None``: something must be left out."""
    shop = workshop(problem)
    settled = Settled({Goal.LEFT_OUT: 0})
    units = np.zeros(len(shop.day.shape.units))
    nothing = [Prices(units, 0.0, 0.0, 1.0) for _ in shop.day.groups]
    every = price_all(shop, nothing, Search(cutoff=1e15, every=True))
    assert all(priced.complete for priced in every)
    days = [day for priced in every for day in priced.columns]
    choice = best_days(shop.day.shape, {goal: 1}, settled, days, at_most=10**9, nodes=10**6)
    assert choice.proved or choice.impossible
    if choice.chosen is None:
        return None
    whole = Master(shop.day.shape, goal, settled)
    whole.add(days)
    master = Master(shop.day.shape, goal, settled)
    master.add(days[place] for place in choice.chosen)
    told, _, floor = generate(shop, goal, master, Result(10**9, 0, Fit(problem, (), ())))
    assert floor is not None
    best = sum(worth(goal, days[place]) for place in choice.chosen)
    return Known(floor, told.bound, whole.solve()[0], best)


def of_all(problems: Iterable[Problem], goal: Goal) -> list[Known]:
    """Of those days on which nothing must be left out: half of them at least."""
    found = [known(problem, goal) for problem in problems]
    some = [one for one in found if one is not None]
    assert 2 * len(some) >= len(found)
    return some


def odd_rates(seed: int) -> Problem:
    """Rates that leave fractions of a cent on every rig's day."""
    problem = proof_day(seed, moves=5, rigs=RIGS)
    rigs = [
        make.rig(
            rig.name,
            shift_end_min=rig.shift_end_min,
            cost_per_hour_usd=61.37 + number,
            cost_per_mile_usd=0.3333,
            overtime_after_min=rig.overtime_after_min,
        )
        for number, rig in enumerate(problem.rigs)
    ]
    moves = [
        make.move(move.name, move.item, origin=move.origin, destination=move.destination) for move in problem.moves
    ]
    return make.problem(moves, rigs, roads=list(problem.roads), settings=problem.settings)


def test_at_odd_rates_no_bound_is_above_the_best_plan() -> None:
    for cost in of_all(map(odd_rates, range(12)), Goal.COST):
        assert cost.bound <= cost.best
        assert cost.floor <= cost.best


def test_without_cuts_half_a_cent_a_rig_is_given_up_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rig's day may be rounded down by half a cent where pricing saw none; rounding up costs as much again."""
    monkeypatch.setattr(floors, "broken", lambda *_: [])
    for cost in of_all(map(odd_rates, range(12)), Goal.COST):
        assert cost.floor <= cost.programme + 1e-6
        assert cost.floor >= cost.programme - 2 * HALF_A_CENT * RIGS - 1e-4


def test_without_cuts_the_floor_of_trips_is_the_programmes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(floors, "broken", lambda *_: [])
    for trips in of_all(map(odd_day, range(4)), Goal.TRIPS):
        assert trips.floor == pytest.approx(trips.programme, abs=1e-6)


def test_cuts_lift_the_floor_and_never_above_the_best_plan() -> None:
    every = of_all((proof_day(seed, moves=7, rigs=3) for seed in (3, 8, 9)), Goal.COST)
    for cost in every:
        assert cost.programme + 10 < cost.floor <= cost.best


def test_the_value_of_a_choice() -> None:
    problem = odd_rates(0)
    shop = workshop(problem)
    assert value_of(shop.day, Goal.LEFT_OUT, ()) == sum(shop.day.shape.weights)
    assert value_of(shop.day, Goal.TRIPS, ()) == value_of(shop.day, Goal.COST, ()) == 0
