"""Choosing among days found, with the schedule model, so that the choice also fits on the clock."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dispatch.cp_solver import Effort
from dispatch.day_choice import best_days
from dispatch.master import Goal, Settled
from dispatch.pricing import Prices
from dispatch.rig_days import Column, Day, worked_out
from dispatch.schedule_model import (
    LARGEST_ROW,
    Choice,
    ScheduleModel,
    Shift,
    aim,
    every_unit_once,
    first_move_first,
    goals_kept,
    hint,
    never_again,
    no_more_days_than_rigs,
    run,
)
from dispatch.shared_clock import Fit, fit
from dispatch.shared_gear import gear_takes_turns
from dispatch.shared_machines import drops_come_first
from dispatch.workshop import TOLERANCE, Result, Workshop, better_of, keeps, value_of

LEAST_MONEY = 1e-3


def model_of(
    shop: Workshop, goal: Goal, settled: Settled, columns: Sequence[Column], prices: Sequence[Prices]
) -> tuple[ScheduleModel, int]:
    """The choice among the columns with all its rules, and the constant that its objective leaves out."""
    day = shop.day
    m = ScheduleModel(day.shape, columns, shift_of(shop, prices))
    every_unit_once(m)
    no_more_days_than_rigs(m)
    first_move_first(m)
    goals_kept(m, settled)
    if day.shape.pairs:
        drops_come_first(m, day)
    if day.grouping.crossing:
        gear_takes_turns(m, day)
    return m, aim(m, goal)


def choose(
    shop: Workshop,
    goal: Goal,
    settled: Settled,
    columns: Sequence[Day],
    best: Result,
    prices: Sequence[Prices],
) -> tuple[Choice, Fit | None]:
    """The best choice among the columns, and the best one that fits on the clock; the incumbent is the hint.

    ``impossible``: none is better than the incumbent, or none at all. The bound is the model's first: what is
    forbidden afterwards might have fitted at another price.
    """
    if not shop.day.clock_is_shared:
        return _independent(shop, goal, settled, columns, best)
    whole = worked_out(shop.day.rules, shop.day.groups, columns)
    if whole is None:
        return Choice(None, -math.inf, False, False, True), None
    return _on_the_clock(shop, goal, settled, whole, best, prices)


def _on_the_clock(
    shop: Workshop,
    goal: Goal,
    settled: Settled,
    columns: Sequence[Column],
    best: Result,
    prices: Sequence[Prices],
) -> tuple[Choice, Fit | None]:
    """The choice where rigs bind each other's clocks: the schedule model, and ``fit`` for what it chooses."""
    m, constant = model_of(shop, goal, settled, columns, prices)
    chosen = {id(column) for column in best.days}
    numbers = [number for number, column in enumerate(columns) if id(column) in chosen]
    if len(numbers) == len(best.days):
        hint(m, numbers)
    first: Choice | None = None
    found: Fit | None = None
    for _ in range(shop.budget.attempts):
        choice = _run(shop, m, constant)
        first = first or choice
        if choice.chosen is None:
            break
        fitted = fit(shop.day, [columns[number] for number in choice.chosen])
        if fitted is not None and keeps(shop.day, settled, fitted):
            value = value_of(shop.day, goal, fitted.columns)
            if found is None or value < value_of(shop.day, goal, found.columns):
                found = fitted
            if value <= math.ceil(choice.bound - TOLERANCE):
                break
        if not shop.day.clock_is_shared or shop.limits.over():
            break
        never_again(m, choice.chosen)
    assert first is not None
    return first, found


def _independent(
    shop: Workshop, goal: Goal, settled: Settled, columns: Sequence[Day], best: Result
) -> tuple[Choice, Fit | None]:
    """The choice where every rig has its own clock: what is better than the incumbent, or nothing."""
    limits = shop.limits
    choice = best_days(
        shop.day.shape,
        {goal: 1},
        settled,
        columns,
        at_most=best.value - 1,
        nodes=shop.budget.nodes,
        seconds=limits.seconds_left(),
    )
    if not choice.ended:
        limits.cut = True
    if choice.chosen is None:
        return choice, None
    fitted = fit(shop.day, [columns[number] for number in choice.chosen])
    return choice, fitted if fitted is not None and keeps(shop.day, settled, fitted) else None


def _run(shop: Workshop, m: ScheduleModel, constant: int) -> Choice:
    limits = shop.limits
    choice = run(
        m, constant, Effort(shop.budget.deterministic, limits.seconds_left(), limits.workers, limits.seed)
    )
    if not choice.ended:
        limits.cut = True
        if limits.seconds_left() != 0:
            limits.stop()
    return choice


def from_pool(
    shop: Workshop, goal: Goal, settled: Settled, best: Result, prices: Sequence[Prices], most: int
) -> Result:
    """A better plan from at most so many of the days found so far, those nearest the prices."""
    own = list(best.days)
    ids = {id(column) for column in own}
    others = [column for column in shop.pool.values() if id(column) not in ids]
    others.sort(key=lambda column: prices[column.group].reduced(column))
    columns = own + others[:most]
    if goal is Goal.COST or Goal.COST in settled.most:
        columns = _small_enough(columns, shift_of(shop, prices))
    _, plan = choose(shop, goal, settled, columns, best, prices)
    return better_of(shop.day, goal, best, plan)


def shift_of(shop: Workshop, prices: Sequence[Prices]) -> Shift:
    """The shift of costs that the prices suggest; none where a cent has no price."""
    money = prices[0].money if prices else 0.0
    if money < LEAST_MONEY:
        return Shift()
    unit = {u: round(float(prices[0].unit[u]) / money) for u in range(len(shop.day.shape.units))}
    return Shift(unit, round(prices[0].per_trip / money))


def _small_enough(columns: list[Day], shift: Shift) -> list[Day]:
    """As many of the days, in order, as a row of their costs can hold with room to spare."""
    total, kept = sum(abs(cents) for cents in shift.unit.values()) + abs(shift.per_trip), []
    for column in columns:
        total += abs(shift.small(column))
        if total > LARGEST_ROW // 2:
            break
        kept.append(column)
    return kept
