"""Settling one goal of the day: a floor by column generation, a plan from the days found, and the proof.

All days that could belong to a better plan have a reduced cost within the gap between plan and floor. When they
can all be listed, the best choice among them settles the goal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from dispatch.choices import choose, enrich, from_pool
from dispatch.errors import ModelTooLarge
from dispatch.floors import dive, generate, simple_bound
from dispatch.master import Goal, Master, Settled
from dispatch.partitions import from_partitions
from dispatch.pricing import Prices, Search
from dispatch.shared_clock import Fit
from dispatch.workshop import TOLERANCE, Result, Workshop, better_of, price_all, value_of


def settle(shop: Workshop, goal: Goal, settled: Settled, plan: Fit) -> Result:
    """The goal's best value with the settled goals kept, starting from a plan that keeps them."""
    day, limits = shop.day, shop.limits
    shop.remember(plan.columns)
    best = Result(value_of(day, goal, plan.columns), simple_bound(shop, goal, settled), plan)
    shop.report(goal, best)
    if best.proved or limits.over():
        return best
    master = Master(day.shape, goal, settled)
    master.add(plan.columns)
    best, prices, floor = generate(shop, goal, master, best)
    shop.remember(master.columns)
    shop.report(goal, best)

    def pool(best: Result) -> Result:
        return from_pool(shop, goal, settled, best, prices, shop.budget.pool)

    def diving(best: Result) -> Result:
        return dive(shop, goal, settled, master, best)

    def partitions(best: Result) -> Result:
        return from_partitions(shop, settled, best) if goal is Goal.TRIPS else best

    def richer_pool(best: Result) -> Result:
        enrich(shop, best, prices, floor)
        return from_pool(shop, goal, settled, best, prices, shop.budget.rich_pool)

    def proof(best: Result) -> Result:
        return best if floor is None else _proof(shop, goal, settled, best, prices, floor)

    # Costs differ, so few days are within the gap and the proof is cheap; trips tie, so better plans first.
    by_cost = (pool, proof, diving, richer_pool, proof)
    for stage in by_cost if goal is Goal.COST else (pool, partitions, diving, richer_pool, proof):
        if best.proved or limits.over():
            break
        best = stage(best)
        shop.report(goal, best)
    return best


def _proof(
    shop: Workshop,
    goal: Goal,
    settled: Settled,
    best: Result,
    prices: Sequence[Prices],
    floor: float,
) -> Result:
    """Lists every day that a better plan could hold and chooses among them all."""
    cutoff = best.value - 1 - floor + TOLERANCE
    how = Search(
        cutoff=cutoff,
        most_columns=shop.budget.enumerated,
        most_labels=shop.budget.labels,
        keep_all=shop.day.clock_is_shared,
        every=True,
    )
    found = price_all(shop, prices, how)
    columns = [column for priced in found for column in priced.columns]
    if not all(priced.complete for priced in found) or len(columns) > shop.budget.enumerated:
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
