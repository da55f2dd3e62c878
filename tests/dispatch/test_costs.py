"""Money and miles of rigs' days, worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from dispatch.costs import (
    day_cents,
    empty_tenths,
    hours_cents,
    loaded_tenths,
    miles_cents,
    paid_minutes,
    permits_cents,
    plan_cents,
    rig_day_cents,
    round_cents,
)
from dispatch.moves import Permit
from dispatch.plan import Action, Deck, Outcome, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.travel import Travel
from tests import factories as f


def test_overtime_past_the_limit() -> None:
    """600 min at 90 USD/h, overtime after 480 min at one and a half: 480 + 120 x 1.5 = 660 min, 990 USD."""
    rig = f.rig(cost_per_hour_usd=90, overtime_after_min=480, overtime_factor=1.5)
    assert hours_cents(rig, 600) == 99_000
    assert hours_cents(rig, 480) == 72_000
    assert hours_cents(f.rig(cost_per_hour_usd=90), 600) == 90_000


def test_miles_and_permits_are_exact() -> None:
    assert miles_cents(f.rig(cost_per_mile_usd=2.25), 123) == Fraction("2767.5")
    permit = Permit("over width", cost_usd=35.1)
    hauls = f.problem([f.move(permit=permit), f.move("move 2")]).hauls
    assert permits_cents(hauls) == 3510


@pytest.mark.parametrize(("cents", "whole"), [("0.5", 1), ("0.49", 0), ("1.5", 2), ("2", 2)])
def test_half_a_cent_goes_up(cents: str, whole: int) -> None:
    assert round_cents(Fraction(cents)) == whole


def test_a_day_is_rounded_once() -> None:
    """A third of an hour at 1 USD is 33.3 cents, 0.1 mile at 2.25 is 22.5: 55.83 in all, 56."""
    rig = f.rig(cost_per_hour_usd=1, cost_per_mile_usd=2.25, cost_per_trip_usd=0)
    assert day_cents(rig, 20, 1, 0, Fraction(0)) == 56
    assert (
        day_cents(f.rig(cost_per_hour_usd=0, cost_per_mile_usd=0, cost_per_trip_usd=12.5), 0, 0, 2, Fraction(1))
        == 2501
    )


def two_outings() -> tuple[Problem, Plan]:
    """Yard - a (load) - b (unload) - yard, twice; every road ten miles and twenty minutes."""
    problem = f.problem([f.move("one"), f.move("two")], [f.rig(cost_per_trip_usd=10)])

    def trip(haul: int, start: int) -> Trip:
        stops = (
            Stop("a", start, start + 20, (Task(Action.LOAD, haul),)),
            Stop("b", start + 40, start + 55, (Task(Action.UNLOAD, haul),)),
        )
        return Trip("rig 1", stops, (Placed(haul, Deck.MAIN, 0, problem.items[0].facings[0]),))

    outings = (Outing(460, (trip(0, 480),), 555), Outing(600, (trip(1, 620),), 695))
    return problem, Plan((RigDay("rig 1", outings),), (), (), Outcome.STOPPED_WITH_PLAN)


def test_a_plan_by_hand() -> None:
    """190 paid minutes at 90 USD/h = 285; 60 miles at 2.25 = 135; two trips at 10: 440 USD."""
    problem, plan = two_outings()
    travel = Travel(problem.sites, problem.roads, problem.settings)
    day = plan.rig_days[0]
    assert paid_minutes(day) == 190
    assert loaded_tenths(travel, day) == 200
    assert empty_tenths(travel, problem.rigs[0], day) == 400
    assert rig_day_cents(problem, travel, day) == 44_000
    assert plan_cents(problem, travel, plan) == 44_000


def test_the_last_outing_ends_at_the_rigs_end() -> None:
    problem, plan = two_outings()
    travel = Travel(problem.sites, problem.roads, problem.settings)
    rig = f.rig(end="b")
    assert empty_tenths(travel, rig, plan.rig_days[0]) == 300
