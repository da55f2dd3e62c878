"""Days from one place to one other: the packing against exhaustive search, its plans against the verifier."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from dispatch import solve as solving
from dispatch.master import Goal
from dispatch.placement import Placer
from dispatch.plan import Plan
from dispatch.planning_day import PlanningDay, find_trips, prepare
from dispatch.problem import Problem
from dispatch.rig_days import Column
from dispatch.search_limits import Limits
from dispatch.shared_clock import fit
from dispatch.shuttle import Shuttle, is_shuttle, pack_shuttle
from dispatch.trips import TripBudget
from dispatch.verify import verify
from tests import factories as make
from tests.external.oracle import Oracle
from tests.external.random_days import Sizes, random_day


def shuttle_day(seed: int) -> Problem:
    """A random tiny day with all its moves sent from a to b, without permits."""
    day = random_day(seed, Sizes(most_moves=4))
    moves = [replace(move, origin="a", destination="b", permit=None) for move in day.moves]
    carried = {move.item.name: move for move in moves}
    companions = [item for item in day.items if item.name not in carried]
    return make.problem(
        list(carried.values()),
        day.rigs,
        items=companions,
        sites=day.sites.values(),
        roads=day.roads,
        settings=day.settings,
        rule_set=day.rules,
    )


def packed(problem: Problem) -> tuple[PlanningDay, Shuttle]:
    day = prepare(problem, Placer(problem))

    def clash(days: Sequence[Column]) -> bool:
        return day.clock_is_shared and fit(day, days) is None

    alone = find_trips(day, TripBudget(sets=len(day.shape.units)))
    return day, pack_shuttle(day, alone, Limits(), clash)


def without_packing(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> Plan:
    with monkeypatch.context() as patch:
        patch.setattr(solving, "pack_shuttle", lambda *_: Shuttle((), {}))
        return solving.solve(problem, time_limit_s=None)


def compare(seed: int, monkeypatch: pytest.MonkeyPatch) -> tuple[bool, bool]:
    """Whether everything can be hauled, and whether the packing does so in the fewest trips."""
    problem = shuttle_day(seed)
    answer = Oracle(problem).solve()
    plan = solving.solve(problem, time_limit_s=None)
    assert [str(one) for one in verify(problem, plan)] == []
    left_out, trips = plan.level("left out"), plan.level("trips")
    assert (left_out.value, trips.value) == pytest.approx((answer.left_out, answer.trips))
    day, shuttle = packed(problem)
    if answer.left_out:
        assert shuttle.days == ()
        return False, False
    other = without_packing(problem, monkeypatch)
    cost = plan.level("cost")
    assert shuttle.floors.get(Goal.TRIPS, 0) <= answer.trips
    assert shuttle.floors.get(Goal.COST, 0) <= other.level("cost").value
    if cost.proved and other.level("cost").proved:
        assert cost.value == other.level("cost").value
    return True, fit(day, shuttle.days) is not None and sum(c.trips for c in shuttle.days) == answer.trips


DAYS = (*range(18), *range(19, 24))
"""Seeds of which the exhaustive search is quick."""


def test_floors_and_plans_against_exhaustive_search(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = [compare(seed, monkeypatch) for seed in DAYS]
    assert sum(hauled for hauled, _ in seen) >= 6, "days on which everything can be hauled"
    assert sum(few for _, few in seen) >= 6, "days on which the packing is as good as can be"


def yard(weights: Sequence[float], **rig: object) -> Problem:
    items = [make.item(f"machine {n}", weight, 100) for n, weight in enumerate(weights)]
    moves = [make.move(f"m{n}", item) for n, item in enumerate(items)]
    return make.problem(moves, [make.rig("rig 1", **rig), make.rig("rig 2", **rig)])


def test_alike_machines_fill_the_rigs() -> None:
    """By hand: 16,000 lb of payload less tolerances; 5,000 lb machines go three by three, seven in three trips."""
    day, shuttle = packed(yard([5_000] * 7))
    assert shuttle.floors[Goal.TRIPS] == 3
    counts = [trip.count for column in shuttle.days for run in column.runs for trip in run.trips]
    assert (len(counts), sum(counts)) == (3, 7)
    assert fit(day, shuttle.days) is not None


def test_cost_by_hand() -> None:
    """By hand: rigs at 90 USD/h and 2.25 USD/mi, yard, a and b ten miles and twenty minutes apart.

    Three trips in one outing: 7 machines x 35 min of work, 3 loaded roads, 2 back, one out and one home make
    385 min and 70 mi: 577.50 + 157.50 USD. The shift of 12 h has room for it.
    """
    _, shuttle = packed(yard([5_000] * 7))
    assert shuttle.floors[Goal.COST] == 73_500
    assert sum(column.cents for column in shuttle.days) == 73_500


def test_a_shift_that_is_too_short_gives_no_packing() -> None:
    """Two rigs with time for one trip each (20 + 3 x 35 + 20 + 20 min), three trips needed."""
    _, shuttle = packed(yard([5_000] * 7, shift_end_min=360 + 170))
    assert shuttle.days == ()
    assert shuttle.floors[Goal.TRIPS] == 3


def test_the_floor_holds_only_while_nothing_is_left_out() -> None:
    """With time for two trips six machines are hauled, and two trips are proved the fewest for these."""
    problem = yard([5_000] * 7, shift_end_min=360 + 170)
    plan = solving.solve(problem, time_limit_s=None)
    assert not verify(problem, plan)
    assert [(level.value, level.proved) for level in plan.levels[:2]] == [(1.0, True), (2.0, True)]


def test_other_days_are_left_alone() -> None:
    two_roads = make.problem([make.move("1"), make.move("2", make.item("two"), destination="c")])
    day, shuttle = packed(two_roads)
    assert not is_shuttle(day)
    assert shuttle == Shuttle((), {})


def test_a_rig_that_may_not_carry_a_machine_does_not() -> None:
    moves = [make.move(f"m{n}", make.item(f"machine {n}", 5_000, 100), not_rigs=("rig 1",)) for n in range(4)]
    problem = make.problem(moves, [make.rig("rig 1"), make.rig("rig 2")])
    plan = solving.solve(problem, time_limit_s=None)
    assert not verify(problem, plan)
    assert {day.rig for day in plan.rig_days} == {"rig 2"}
    assert plan.level("trips").value == 2
