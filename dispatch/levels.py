"""Settling one goal of the day: a floor by column generation, a plan from the days found, and the proof.

All days that could belong to a better plan have a reduced cost within the gap between plan and floor. When they
can all be listed, the best choice among them settles the goal.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from contextlib import suppress

from dispatch.branching import Tree
from dispatch.choices import choose, from_pool
from dispatch.errors import ModelTooLarge, NoOptimum
from dispatch.floors import HALF_A_CENT, dive, generate, simple_bound
from dispatch.master import Goal, Master, Settled
from dispatch.neighbourhoods import Neighbourhoods
from dispatch.pricing import Prices, Search
from dispatch.shared_clock import Fit
from dispatch.workshop import TOLERANCE, Budget, Result, Workshop, better_of, cheap, price_all, value_of

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

    def better_around(best: Result, rounds: int, share: float) -> Result:
        with limits.part_of_stage(share):
            found = around.improve(best.plan, rounds, goal, best.bound)
        return Result(value_of(day, goal, found.columns), best.bound, found)

    def dived(best: Result) -> Result:
        with suppress(NoOptimum):
            return dive(shop, goal, settled, master, best)
        return best

    def dived_again(best: Result) -> Result:
        rng = random.Random(limits.seed)
        with limits.part_of_stage(SHARE_FOR_DIVES):
            for _ in range(shop.budget.dives):
                if best.proved or limits.over():
                    break
                best = dive(shop, goal, settled, master, best, rng)
        return best

    units = len(day.shape.units)
    if not shop.trips.complete and not day.clock_is_shared:
        # Without all trips nothing can be proved: better plans are all that is to be had.
        return better_around(best, shop.budget.rounds_a_unit * units, 1.0)
    if goal is not Goal.COST and units > shop.budget.small_day:
        best = better_around(best, units // FEW_ROUNDS, 0.25)
        shop.report(goal, best)
        if best.proved or limits.over():
            return best
    master = Master(day.shape, goal, settled)
    master.add(best.days)
    master.add(shop.pool.values())
    try:
        best, prices, floor = generate(shop, goal, master, best, None if goal is Goal.COST else dived)
    except NoOptimum:
        return best
    shop.remember(master.columns)
    shop.report(goal, best)
    if not prices:
        return best

    def proof(best: Result) -> Result:
        return _proof(shop, goal, settled, best, prices, floor, shop.budget)

    def cheap_proof(best: Result) -> Result:
        near = goal is Goal.COST or best.value - best.bound == 1
        return _proof(shop, goal, settled, best, prices, floor, cheap(shop.budget)) if near else best

    trees: list[Tree] = []

    def branched(best: Result, branches: int) -> Result:
        if not shop.trips.complete or not branches:
            return best
        if not trees:
            trees.append(Tree(shop, goal, settled, best, master, prices, floor))
        return trees[0].grow(best, branches)

    stages: tuple[Callable[[Result], Result], ...] = (
        dived,
        cheap_proof,
        lambda best: better_around(best, units // 2, 0.2),
        lambda best: from_pool(shop, goal, settled, best, prices, shop.budget.pool),
        lambda best: branched(best, shop.budget.branches // FIRST_BRANCHES),
        proof,
        dived_again,
        lambda best: better_around(best, shop.budget.rounds_a_unit * units, 0.5),
        proof,
        lambda best: branched(best, shop.budget.branches),
    )
    for stage in stages:
        if best.proved or limits.over():
            break
        try:
            best = stage(best)
        except NoOptimum:
            continue
        shop.report(goal, best)
    return best


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
    cutoff = best.value - 1 - floor + TOLERANCE + max(HALF_A_CENT * price.money for price in prices)
    how = Search(
        cutoff=cutoff,
        most_columns=caps.enumerated,
        most_labels=caps.labels,
        most_work=caps.work,
        keep_all=shop.day.clock_is_shared,
        every=True,
    )
    found = price_all(shop, prices, how)
    columns = [column for priced in found for column in priced.columns]
    if not all(priced.complete for priced in found) or len(columns) > caps.enumerated:
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
