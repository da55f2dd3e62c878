"""Settling one goal of the day: a floor by column generation, a plan from the days found, and the proof.

All days that could belong to a better plan have a reduced cost within the gap between plan and floor. When they
can all be listed, the best choice among them settles the goal.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from contextlib import suppress

from dispatch.better_days import better_days
from dispatch.branching import Tree
from dispatch.choices import choose, from_pool
from dispatch.errors import ModelTooLarge, NoOptimum
from dispatch.floors import dive, generate, simple_bound
from dispatch.master import Goal, Master, Settled
from dispatch.neighbourhoods import Neighbourhoods
from dispatch.pricing import Prices
from dispatch.shared_clock import Fit
from dispatch.workshop import TOLERANCE, Budget, Result, Workshop, better_of, cheap, value_of

SHARE_FOR_DIVES = 0.3
FEW_ROUNDS = 4
"""Before anything else a large day gets one neighbourhood for so many units."""
FIRST_BRANCHES = 4
"""One branch of so many is grown before what takes longer and tells less."""


def settle(shop: Workshop, goal: Goal, settled: Settled, plan: Fit, around: Neighbourhoods) -> Result:
    """The goal's best value with the settled goals kept, starting from a plan that keeps them."""
    day, limits = shop.day, shop.limits
    shop.remember(plan.columns)
    best = Result(value_of(day, goal, plan.columns), simple_bound(shop, goal, settled), plan)
    shop.report(goal, best)
    if best.proved or limits.over():
        return best
    work = _Work(shop, goal, settled, around)
    units = len(day.shape.units)
    if not shop.trips.complete and not day.clock_is_shared:
        # Without all trips nothing can be proved: better plans are all that is to be had.
        return work.better_around(best, shop.budget.rounds_a_unit * units, 1.0)
    if goal is not Goal.COST and units > shop.budget.small_day:
        best = work.better_around(best, units // FEW_ROUNDS, 0.25)
        shop.report(goal, best)
        if best.proved or limits.over():
            return best
    try:
        best = work.floor_under(best)
    except NoOptimum:
        return best
    shop.report(goal, best)
    for stage in work.stages() if work.prices else ():
        if best.proved or limits.over():
            break
        try:
            best = stage(best)
        except NoOptimum:
            continue
        shop.report(goal, best)
    return best


Stage = Callable[[Result], Result]


class _Work:
    """What may be done for a goal once it has a floor; each step makes a result better or leaves it."""

    def __init__(self, shop: Workshop, goal: Goal, settled: Settled, around: Neighbourhoods) -> None:
        self.shop, self.goal, self.settled, self.around = shop, goal, settled, around
        self.master = Master(shop.day.shape, goal, settled)
        self.prices: Sequence[Prices] = ()
        self.floor: float | None = None
        self._tree: Tree | None = None
        self._listed: set[int] = set()

    def stages(self) -> tuple[Stage, ...]:
        """The steps in their order: what is cheap and may be enough comes first."""
        units, budget = len(self.shop.day.shape.units), self.shop.budget
        return (
            self.dived,
            self.cheap_proof,
            lambda best: self.better_around(best, units // 2, 0.2),
            lambda best: from_pool(self.shop, self.goal, self.settled, best, self.prices, budget.pool),
            self.proof,
            self.dived_again,
            lambda best: self.branched(best, budget.branches // FIRST_BRANCHES),
            self.proof,
            lambda best: self.better_around(best, budget.rounds_a_unit * units, 0.5),
            self.proof,
            lambda best: self.branched(best, budget.branches),
        )

    def floor_under(self, best: Result) -> Result:
        """Column generation."""
        self.master.add(best.days)
        self.master.add(self.shop.pool.values())
        before_cuts = None if self.goal is Goal.COST else self.soon_better
        best, self.prices, self.floor = generate(self.shop, self.goal, self.master, best, before_cuts)
        self.shop.remember(self.master.columns)
        return best

    def better_around(self, best: Result, rounds: int, share: float) -> Result:
        """Neighbourhoods of the plan."""
        with self.shop.limits.part_of_stage(share):
            found = self.around.improve(best.plan, rounds, self.goal, best.bound)
        return Result(value_of(self.shop.day, self.goal, found.columns), best.bound, found)

    def dived(self, best: Result) -> Result:
        """A dive."""
        with suppress(NoOptimum):
            return dive(self.shop, self.goal, self.settled, self.master, best)
        return best

    def soon_better(self, best: Result) -> Result:
        """A dive; and where the plan is far from the floor, neighbourhoods, which know the mix's days by now."""
        best = self.dived(best)
        if best.value - best.bound <= 1 or self.shop.limits.over():
            return best
        self.shop.remember(self.master.columns)
        return self.better_around(best, len(self.shop.day.shape.units) // 2, 0.2)

    def dived_again(self, best: Result) -> Result:
        """More dives, each by another way."""
        limits = self.shop.limits
        rng = random.Random(limits.seed)
        with limits.part_of_stage(SHARE_FOR_DIVES):
            for _ in range(self.shop.budget.dives):
                if best.proved or limits.over():
                    break
                best = dive(self.shop, self.goal, self.settled, self.master, best, rng)
        return best

    def proof(self, best: Result) -> Result:
        """The proof by listing, once for a plan."""
        if best.value in self._listed:
            return best
        self._listed.add(best.value)
        return _proof(self.shop, self.goal, self.settled, best, self.prices, self.floor, self.shop.budget)

    def cheap_proof(self, best: Result) -> Result:
        """The same where it costs next to nothing."""
        if self.goal is not Goal.COST and best.value - best.bound != 1:
            return best
        caps = cheap(self.shop.budget)
        return _proof(self.shop, self.goal, self.settled, best, self.prices, self.floor, caps)

    def branched(self, best: Result, branches: int) -> Result:
        """So many more branches."""
        if not self.shop.trips.complete or not branches:
            return best
        if self._tree is None:
            self._tree = Tree(self.shop, self.goal, self.settled, best, self.master, self.prices, self.floor)
        return self._tree.grow(best, branches)


def _proof(
    shop: Workshop,
    goal: Goal,
    settled: Settled,
    best: Result,
    prices: Sequence[Prices],
    floor: float | None,
    caps: Budget,
) -> Result:
    """Lists every day that a better plan could hold and chooses among them all, if they are within the caps."""
    if floor is None:
        return best
    columns = better_days(shop, best, floor, prices, caps)
    if columns is None:
        return best
    try:
        choice, plan = choose(shop, goal, settled, columns, best, prices)
    except ModelTooLarge:
        return best
    if choice.impossible:
        return Result(best.value, best.value, best.plan)
    bound = best.bound if choice.bound == -math.inf else math.ceil(choice.bound - TOLERANCE)
    better = better_of(shop.day, goal, best, plan)
    return Result(better.value, max(best.bound, min(bound, best.value)), better.plan)
