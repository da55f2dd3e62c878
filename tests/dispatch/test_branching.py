"""Branching against the best choice among every rig-day there is, at odd rates and with trips scarce."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pytest

from dispatch import branching, floors, levels
from dispatch.branch_master import Branch, BranchMaster
from dispatch.branching import Tree
from dispatch.choices import choose
from dispatch.day_choice import best_days
from dispatch.floors import generate
from dispatch.highs import INFINITE
from dispatch.master import Goal, Master, Settled, worth
from dispatch.plan import Plan
from dispatch.prices import Prices
from dispatch.pricing import Search
from dispatch.problem import Problem
from dispatch.rig_days import Day
from dispatch.schedule_model import Choice
from dispatch.shared_clock import fit
from dispatch.solve import solve
from dispatch.workshop import Result, Workshop, price_all
from tests.dispatch.test_floors import odd_rates, workshop
from tests.external.proof_days import odd_day, proof_day
from tests.external.random_days import Sizes, random_day

NONE_OUT = Settled({Goal.LEFT_OUT: 0})
APART = 9
"""A seed whose three rigs differ in their rates, so that each is a group."""


def three_rigs(seed: int) -> Problem:
    return proof_day(seed, moves=7, rigs=3)


def every_day(shop: Workshop) -> list[Day]:
    units = np.zeros(len(shop.day.shape.units))
    nothing = [Prices(units, 0.0, 0.0, 1.0) for _ in shop.day.groups]
    listed = price_all(shop, nothing, Search(cutoff=1e15, every=True))
    assert all(priced.complete for priced in listed)
    return [day for priced in listed for day in priced.columns]


def best_of_all(shop: Workshop, goal: Goal, settled: Settled, days: Sequence[Day]) -> int | None:
    """The least of a goal with the settled goals kept; ``None`` where they cannot be."""
    choice = best_days(shop.day.shape, {goal: 1}, settled, days, at_most=10**9, nodes=10**6)
    assert choice.proved or choice.impossible
    return None if choice.chosen is None else sum(worth(goal, days[place]) for place in choice.chosen)


def some_plan(shop: Workshop, goal: Goal, settled: Settled, days: Sequence[Day], best: int) -> Result:
    """A plan that is not the best, if there is one."""
    for most in (best * 2, best + 1, best):
        choice = best_days(shop.day.shape, {goal: -1}, settled, days, at_most=10**9, nodes=10**6)
        plan = None if choice.chosen is None else fit(shop.day, [days[place] for place in choice.chosen])
        if plan is not None:
            return Result(sum(worth(goal, day) for day in plan.columns), 0, plan)
        settled = Settled({**settled.most, goal: most})
    raise AssertionError("no plan")


def all_there_is(shop: Workshop, goal: Goal, settled: Settled = NONE_OUT) -> tuple[list[Day], int, Result] | None:
    """Every rig-day, the best value over them, another plan; ``None`` where something must stay behind."""
    days = every_day(shop)
    best = best_of_all(shop, goal, settled, days)
    return None if best is None else (days, best, some_plan(shop, goal, settled, days, best))


def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing but decisions: no cuts; a branch's days are listed only to tell what half a cent a rig may hide."""
    monkeypatch.setattr(floors, "broken", lambda *_: [])
    listed = Tree._listed

    def for_cents(self: Tree, floor: float, prices: Sequence[Prices]) -> float:
        return listed(self, floor, prices) if self.best.value - floor < 5 else floor

    monkeypatch.setattr(Tree, "_listed", for_cents)


def settled_by_branching(
    shop: Workshop, goal: Goal, settled: Settled, start: Result, branches: int = 1_000
) -> Result:
    """From the plan given, by branching; the plan's own days are all that the programme begins with."""
    master = Master(shop.day.shape, goal, settled)
    master.add(start.days)
    _, prices, floor = generate(shop, goal, master, start)
    assert floor is not None
    return Tree(shop, goal, settled, start, master, prices, floor).grow(start, branches)


@pytest.mark.parametrize("drawn", [odd_rates, three_rigs, odd_day])
@pytest.mark.parametrize("goal", [Goal.TRIPS, Goal.COST])
def test_branching_alone_finds_and_proves_the_best_plan(
    drawn: Callable[[int], Problem], goal: Goal, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone(monkeypatch)
    raised = 0
    for seed in range(6):
        shop = workshop(drawn(seed))
        known = all_there_is(shop, goal)
        if known is None:
            continue
        _, best, start = known
        found = settled_by_branching(shop, goal, NONE_OUT, start)
        assert (found.value, found.bound) == (best, best)
        raised += start.value > best
    assert raised


def test_the_cheapest_day_of_the_fewest_trips_is_proved_by_branching_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    alone(monkeypatch)
    open_at_first = 0
    for seed in range(12):
        shop = workshop(three_rigs(seed))
        trips = best_of_all(shop, Goal.TRIPS, NONE_OUT, every_day(shop))
        if trips is None:
            continue
        settled = Settled({Goal.LEFT_OUT: 0, Goal.TRIPS: trips})
        known = all_there_is(shop, Goal.COST, settled)
        assert known is not None
        days, best, start = known
        found = settled_by_branching(shop, Goal.COST, settled, start)
        assert (found.value, found.bound) == (best, best)
        whole = Master(shop.day.shape, Goal.COST, settled)
        whole.add(days)
        open_at_first += whole.solve()[0] < best - 50
    assert open_at_first >= 3


@pytest.mark.parametrize("branches", [2, 4, 8])
def test_stopped_early_its_bound_is_below_the_best_plan_and_not_below_the_floor(
    branches: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone(monkeypatch)
    for seed in range(6):
        shop = workshop(three_rigs(seed))
        known = all_there_is(shop, Goal.COST)
        if known is None:
            continue
        days, best, start = known
        found = settled_by_branching(shop, Goal.COST, NONE_OUT, start, branches)
        assert found.bound <= best <= found.value <= start.value
        whole = Master(shop.day.shape, Goal.COST, NONE_OUT)
        whole.add(days)
        assert found.bound >= whole.solve()[0] - 3


def test_listing_a_branchs_days_comes_to_the_same() -> None:
    for seed in range(12):
        shop = workshop(three_rigs(seed))
        known = all_there_is(shop, Goal.COST)
        if known is not None:
            _, best, start = known
            found = settled_by_branching(shop, Goal.COST, NONE_OUT, start)
            assert (found.value, found.bound) == (best, best)


def test_a_branchs_programme_has_the_value_of_one_without_what_is_barred() -> None:
    """Its rows against the same linear programme over the days that keep to the branch."""
    shop = workshop(three_rigs(APART))
    days = every_day(shop)
    branch = Branch.root(shop.day.shape).without(2, [0, 1]).with_days(2, (1.0, INFINITE))
    own = BranchMaster(shop.day.shape, Goal.COST, NONE_OUT, days, [])
    plain = Master(shop.day.shape, Goal.COST, NONE_OUT)
    plain.add(days)
    assert own.solve()[0] == pytest.approx(plain.solve()[0])
    own.go_to(branch)
    value = own.solve()[0]
    kept = Master(shop.day.shape, Goal.COST, NONE_OUT)
    kept.add(day for day in days if not (day.units >> 2 & 1 and day.group in (0, 1)))
    assert value >= kept.solve()[0] - 1e-6
    assert value > plain.solve()[0] + 1
    mix = [(day, share) for day, share in zip(days, own.fractional(), strict=True) if share > 1e-6]
    assert all(day.group == 2 for day, _ in mix if day.units >> 2 & 1)
    assert sum(share for day, share in mix if day.group == 2) >= 1 - 1e-6


def test_a_branchs_prices_leave_no_day_of_the_mix_below_them() -> None:
    """At an optimum no open day has a negative reduced cost, and those of the mix have none at all."""
    shop = workshop(three_rigs(APART))
    days = every_day(shop)
    own = BranchMaster(shop.day.shape, Goal.COST, NONE_OUT, days, [])
    trips = [sum(s * d.trips for d, s in _mix(own, days) if d.group == g) for g in range(3)]
    busiest = max(range(3), key=lambda group: trips[group])
    own.go_to(Branch.root(shop.day.shape).with_trips(busiest, (0.0, trips[busiest] - 1)).without(0, [busiest]))
    _, prices = own.solve()
    for day, share in zip(days, own.fractional(), strict=True):
        reduced = prices[day.group].reduced(day)
        assert reduced > -1e-3
        if share > 1e-6:
            assert reduced == pytest.approx(0.0, abs=1e-3)
        if day.group == busiest and day.units & 1:
            assert reduced > branching.TOLERANCE + 1e8


def _mix(master: BranchMaster, days: Sequence[Day]) -> list[tuple[Day, float]]:
    master.solve()
    return list(zip(days, master.fractional(), strict=True))


def test_a_branch_that_asks_the_impossible_is_dear_and_not_an_error() -> None:
    shop = workshop(three_rigs(APART))
    own = BranchMaster(shop.day.shape, Goal.COST, NONE_OUT, every_day(shop), [])
    whole = own.solve()[0]
    own.go_to(Branch.root(shop.day.shape).without(1, range(3)))
    assert own.solve()[0] > whole + 100_000
    own.go_to(Branch.root(shop.day.shape).with_trips(0, (40.0, INFINITE)))
    assert own.solve()[0] > whole + 1_000_000
    own.go_to(Branch.root(shop.day.shape))
    assert own.solve()[0] == pytest.approx(whole)


def test_narrowing_keeps_what_was_decided_before() -> None:
    shop = workshop(three_rigs(APART))
    branch = Branch.root(shop.day.shape).with_trips(1, (2.0, 5.0)).with_trips(1, (0.0, 4.0)).without(3, [1])
    assert branch.trips[1] == (2.0, 4.0)
    assert branch.barred == (0, 8, 0)
    assert branch.without(0, [1]).barred == (0, 9, 0)


def test_a_tree_that_grows_in_two_sittings_comes_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    alone(monkeypatch)
    shop = workshop(three_rigs(APART))
    known = all_there_is(shop, Goal.COST)
    assert known is not None
    _, best, start = known
    master = Master(shop.day.shape, Goal.COST, NONE_OUT)
    master.add(start.days)
    _, prices, floor = generate(shop, Goal.COST, master, start)
    tree = Tree(shop, Goal.COST, NONE_OUT, start, master, prices, floor)
    first = tree.grow(start, 2)
    assert first.bound < best
    found = tree.grow(first, 1_000)
    assert (found.value, found.bound) == (best, best)


def by_branching_only(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> Plan:
    """The day's plan without cuts and without the listing of all days of a better plan."""
    with monkeypatch.context() as patch:
        patch.setattr(floors, "broken", lambda *_: [])
        patch.setattr(levels, "_proof", lambda shop, goal, settled, best, *_: best)
        patch.setattr(levels, "dive", lambda shop, goal, settled, master, best, *_: best)
        return solve(problem, time_limit_s=None)


@pytest.mark.parametrize("sizes", [Sizes(6, 2), Sizes(12, 3)])
def test_days_with_every_kind_of_rule_come_to_what_the_whole_search_proves(
    sizes: Sizes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Shared gear and machines moved twice among them: branches may leave more open there, never contradict."""
    grown: list[Result] = []
    grow = Tree.grow

    def watched(self: Tree, best: Result, branches: int) -> Result:
        grown.append(best)
        return grow(self, best, branches)

    monkeypatch.setattr(Tree, "grow", watched)
    proved = 0
    for seed in range(2000, 2040):
        problem = random_day(seed, sizes)
        known = solve(problem, time_limit_s=None)
        found = by_branching_only(problem, monkeypatch)
        for one, other in zip(known.levels, found.levels, strict=True):
            assert one.proved
            assert other.bound <= one.value
            if not other.proved or other.value > one.value:
                break
            proved += one.name == "cost"
    assert len(grown) > 10
    assert proved > 30


def test_a_floor_from_elsewhere_does_not_cut_a_branchs_list_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """A choice that ends at its limit gives a true bound; those under it must still list every better day."""
    monkeypatch.setattr(floors, "broken", lambda *_: [])
    tried = 0
    for seed in (23, 24, 26, 27, 31):
        shop = workshop(three_rigs(seed))
        known = all_there_is(shop, Goal.COST)
        if known is None:
            continue
        _, best, other = known
        start = Result(best + 1, 0, other.plan)
        asked: list[int] = []

        def at_its_limit(*given: Any, bound: int = best, asked: list[int] = asked) -> Any:
            asked.append(bound)
            return (Choice(None, float(bound), False, False, True), None) if len(asked) == 1 else choose(*given)

        monkeypatch.setattr(branching, "choose", at_its_limit)
        master = Master(shop.day.shape, Goal.COST, NONE_OUT)
        master.add(start.days)
        _, prices, floor = generate(shop, Goal.COST, master, start)
        if floor is None or floor > best - 1:
            continue
        tree = Tree(shop, Goal.COST, NONE_OUT, start, master, prices, floor)
        monkeypatch.setattr(Tree, "_take_whole", lambda self: None)
        assert tree.grow(start, 1_000).bound <= best
        tried += bool(asked)
    assert tried > 2


def test_what_a_branch_asks_is_dear_where_left_out_is_the_goal_too() -> None:
    shop = workshop(three_rigs(APART))
    own = BranchMaster(shop.day.shape, Goal.LEFT_OUT, Settled(), every_day(shop), [])
    whole = own.solve()[0]
    own.go_to(Branch.root(shop.day.shape).with_trips(0, (40.0, INFINITE)))
    assert own.solve()[0] > whole + sum(shop.day.shape.weights)


def test_a_branch_with_nothing_left_to_decide_holds_the_bound_and_not_the_others(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One of the first two branches is stuck: the other is worked through; the bound stays at the stuck one's."""
    alone(monkeypatch)
    shop = workshop(three_rigs(APART))
    known = all_there_is(shop, Goal.COST)
    assert known is not None
    _, best, start = known
    ways, floors_of = Tree._ways, []

    def stuck_once(self: Tree, branch: Branch) -> Any:
        floors_of.append(self._master.solve()[0])
        return () if len(floors_of) == 2 else ways(self, branch)

    monkeypatch.setattr(Tree, "_ways", stuck_once)
    found = settled_by_branching(shop, Goal.COST, NONE_OUT, start)
    assert len(floors_of) > 3
    assert floors_of[1] - 3 <= found.bound <= floors_of[1] + 1
    assert found.bound < best <= found.value
