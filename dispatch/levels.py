"""Settling one goal of the day: a floor by column generation, a plan from the days found, and the proof.

All days that could belong to a better plan have a reduced cost within the gap between plan and floor. When they
can all be listed, the best choice among them settles the goal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from dispatch.bounds import fewest_trips
from dispatch.highs import INFINITE
from dispatch.master import Goal, Master, Settled, worth
from dispatch.planning_day import DayTrips, PlanningDay, PricerShelf
from dispatch.pricing import Priced, Prices, Search
from dispatch.rig_days import Column
from dispatch.schedule_model import (
    LARGEST_ROW,
    Choice,
    Effort,
    ScheduleModel,
    aim,
    every_unit_once,
    first_move_first,
    goals_kept,
    hint,
    never_again,
    no_more_days_than_rigs,
    run,
)
from dispatch.search_limits import Limits
from dispatch.shared_clock import Fit, fit
from dispatch.shared_gear import gear_takes_turns
from dispatch.shared_machines import drops_come_first

TOLERANCE = 1e-4


@dataclass(frozen=True, slots=True)
class Budget:
    """What a goal may spend, in counts (``deterministic``: the solver's own count of work)."""

    rounds: int = 400
    beam: int = 300
    wide_beam: int = 2_000
    dive_rounds: int = 3
    columns_a_round: int = 150
    pool: int = 12_000
    attempts: int = 30
    partitions: int = 15
    enumerated: int = 40_000
    labels: int = 1_500_000
    deterministic: float = 12.0


@dataclass(frozen=True, slots=True)
class Result:
    """A goal's value in the best plan and its bound (scaled priority, trips or cents), with that plan's days."""

    value: int
    bound: int
    plan: Fit

    @property
    def days(self) -> tuple[Column, ...]:
        """The days of the best plan."""
        return self.plan.columns

    @property
    def proved(self) -> bool:
        """Whether no plan is better on this goal."""
        return self.bound >= self.value


@dataclass(slots=True, eq=False)
class Workshop:
    """What the goals share: the day, its trips and pricers, the days found so far, limits and budget."""

    day: PlanningDay
    trips: DayTrips
    shelf: PricerShelf
    limits: Limits
    budget: Budget
    pool: dict[tuple[int, int, int, int], Column] = field(default_factory=dict)

    def remember(self, columns: Sequence[Column]) -> None:
        """Keeps days for later choices, the cheapest of equals."""
        for column in columns:
            self.pool.setdefault((column.group, column.units, column.trips, column.cents), column)

    def search(self, prices: Sequence[Prices], how: Search, group: int) -> Priced:
        """Prices one group's days until those found are legal; trips that turn out illegal are taken out."""
        crossing = {name for pair in self.day.grouping.crossing for name in pair}
        crosses = not crossing.isdisjoint(rig.name for rig in self.day.groups[group].rigs)
        costs = prices[group].money > 0
        how = replace(
            how,
            stop=self.limits.over,
            keep_all=how.keep_all and (bool(self.day.shape.pairs) or crosses),
            may_go_home=costs or crosses or not self.day.rules.table.direct_is_fastest,
        )
        while True:
            found = self.shelf.pricer(group).search(prices[group], how)
            legal = [judged for column in found.columns if (judged := self.shelf.judged(column))]
            whole = len(legal) == len(found.columns)
            if whole or (legal and not how.every) or self.limits.over():
                return Priced(tuple(legal), found.least, found.complete and (whole or not how.every))


def value_of(day: PlanningDay, goal: Goal, days: Sequence[Column]) -> int:
    """A goal's value for a choice of days: scaled priority left out, trips or cents."""
    if goal is not Goal.LEFT_OUT:
        return sum(worth(goal, column) for column in days)
    hauled = 0
    for column in days:
        hauled |= column.units
    return sum(w for u, w in enumerate(day.shape.weights) if not hauled >> u & 1)


def settle(shop: Workshop, goal: Goal, settled: Settled, plan: Fit) -> Result:
    """The goal's best value with the settled goals kept, starting from a plan that keeps them."""
    day, limits = shop.day, shop.limits
    shop.remember(plan.columns)
    best = Result(value_of(day, goal, plan.columns), simple_bound(shop, goal, settled), plan)
    limits.tell(goal.value, best.value, best.bound)
    if best.proved or limits.over():
        return best
    master = Master(day.shape, goal, settled)
    master.add(plan.columns)
    best, prices, floor = _floor(shop, goal, master, best)
    shop.remember(master.columns)
    limits.tell(goal.value, best.value, best.bound)
    if not best.proved and not limits.over():
        best = _from_pool(shop, goal, settled, best, prices)
        limits.tell(goal.value, best.value, best.bound)
    if not best.proved and not limits.over():
        best = _dive(shop, goal, settled, master, best)
        limits.tell(goal.value, best.value, best.bound)
    if not best.proved and not limits.over():
        _enrich(shop, best, prices, floor)
        best = _from_pool(shop, goal, settled, best, prices)
        limits.tell(goal.value, best.value, best.bound)
    if not best.proved and floor is not None and not limits.over():
        best = _proof(shop, goal, settled, best, prices, floor)
        limits.tell(goal.value, best.value, best.bound)
    return best


def simple_bound(shop: Workshop, goal: Goal, settled: Settled) -> int:
    """What can be said at once: units that no trip carries are left out; trips by set partitioning."""
    if not shop.trips.complete or goal is Goal.COST:
        return 0
    if goal is Goal.TRIPS:
        return fewest_legal_trips(shop, settled.most.get(Goal.LEFT_OUT, 10**9))
    carried = 0
    for mask in shop.trips.masks():
        carried |= mask
    return sum(w for u, w in enumerate(shop.day.shape.weights) if not carried >> u & 1)


def fewest_legal_trips(shop: Workshop, left_out: int) -> int:
    """The set-partitioning bound; sets of its own choice that are illegal are taken out, as often as that helps."""
    bound = 0
    for _ in range(shop.budget.partitions):
        bound, used = fewest_trips(shop.day.shape, shop.trips.masks(), left_out)
        if shop.limits.over() or all(shop.trips.rides(mask) for mask in used):
            break
    return bound


def _floor(shop: Workshop, goal: Goal, master: Master, best: Result) -> tuple[Result, list[Prices], float | None]:
    """Column generation: the result with the bound that it gives, the last prices, and the floor if it is exact."""
    budget, limits = shop.budget, shop.limits
    floor: float | None = None
    value, prices = master.solve()
    for _ in range(budget.rounds):
        if limits.over():
            break
        value, prices = master.solve()
        found = _priced(shop, prices, Search(beam=budget.beam, most_columns=budget.columns_a_round))
        new = master.add(column for priced in found for column in priced.columns)
        if new:
            continue
        found = _priced(shop, prices, Search(most_columns=budget.columns_a_round, most_labels=budget.labels))
        exact = shop.trips.complete and all(_labels_complete(priced, budget) for priced in found)
        if exact:
            groups = shop.day.groups
            lower = value + sum(g.count * p.least for g, p in zip(groups, found, strict=True))
            best = Result(best.value, max(best.bound, math.ceil(lower - TOLERANCE)), best.plan)
            limits.tell(goal.value, best.value, best.bound)
        if best.proved:
            break
        if not master.add(column for priced in found for column in priced.columns):
            floor = value if exact else None
            break
    return best, prices, floor


def _dive(shop: Workshop, goal: Goal, settled: Settled, master: Master, best: Result) -> Result:
    """A plan by fixing the day with the greatest share in the mix, pricing anew, and so on to the end."""
    fixed: set[int] = set()
    master.stretch(INFINITE)
    while not shop.limits.over():
        value, prices = master.solve()
        new = 0
        for _ in range(shop.budget.dive_rounds):
            found = _priced(shop, prices, Search(beam=shop.budget.beam, most_columns=shop.budget.columns_a_round))
            new = master.add(column for priced in found for column in priced.columns)
            if not new:
                break
            value, prices = master.solve()
        if math.ceil(value - TOLERANCE) >= best.value:
            break
        if fixed and master.stretched() and not new:
            break
        shares = master.fractional()
        open_days = [number for number, share in enumerate(shares) if share > 1e-6 and number not in fixed]
        if not open_days:
            plan = fit(shop.day, [master.columns[number] for number in sorted(fixed)])
            if plan is not None and _keeps(shop.day, settled, plan):
                best = _better(shop.day, goal, best, plan)
            break
        whole = [number for number in open_days if shares[number] > 1 - 1e-6]
        chosen = whole or [max(open_days, key=lambda number: (shares[number], -number))]
        for number in chosen:
            fixed.add(number)
            master.fix(number)
    master.release()
    master.stretch(0.0)
    shop.remember(master.columns)
    return best


def _labels_complete(priced: Priced, budget: Budget) -> bool:
    """Whether the least reduced cost is exact: only the list of days may have been cut short."""
    return priced.complete or len(priced.columns) >= budget.columns_a_round


def _priced(shop: Workshop, prices: Sequence[Prices], how: Search) -> list[Priced]:
    return [shop.search(prices, how, group.number) for group in shop.day.groups]


def model_of(
    shop: Workshop, goal: Goal, settled: Settled, columns: Sequence[Column], prices: Sequence[Prices]
) -> tuple[ScheduleModel, int]:
    """The choice among the columns with all its rules, and the constant that its objective leaves out."""
    day = shop.day
    shift = {u: round(float(prices[0].unit[u])) for u in range(len(day.shape.units))} if prices else {}
    m = ScheduleModel(day.shape, columns, shift)
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
    columns: Sequence[Column],
    best: Result,
    prices: Sequence[Prices],
) -> tuple[Choice, Fit | None]:
    """The best choice among the columns, and the best one that fits on the clock; the incumbent is the hint.

    The bound is the model's first: what is forbidden afterwards might have fitted at another price.
    """
    m, constant = model_of(shop, goal, settled, columns, prices if goal is Goal.COST else ())
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
        if fitted is not None and _keeps(shop.day, settled, fitted):
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


def _run(shop: Workshop, m: ScheduleModel, constant: int) -> Choice:
    limits = shop.limits
    choice = run(
        m, constant, Effort(shop.budget.deterministic, limits.seconds_left(), limits.workers, limits.seed)
    )
    if not choice.ended:
        limits.cut = True
    return choice


def _keeps(day: PlanningDay, settled: Settled, plan: Fit) -> bool:
    """Whether a fitted plan keeps the settled goals: waiting for a drop may have made it dearer."""
    return all(value_of(day, goal, plan.columns) <= most for goal, most in settled.most.items())


def _from_pool(shop: Workshop, goal: Goal, settled: Settled, best: Result, prices: Sequence[Prices]) -> Result:
    """A better plan from the days found so far."""
    own = list(best.days)
    ids = {id(column) for column in own}
    others = [column for column in shop.pool.values() if id(column) not in ids]
    others.sort(key=lambda column: prices[column.group].reduced(column))
    columns = own + others[: shop.budget.pool]
    if goal is Goal.COST:
        columns = _small_enough(columns, prices)
    _, plan = choose(shop, goal, settled, columns, best, prices)
    return _better(shop.day, goal, best, plan)


def _enrich(shop: Workshop, best: Result, prices: Sequence[Prices], floor: float | None) -> None:
    """More days for the pool: those near the prices, by a beam."""
    gap = best.value - 1 - (best.bound - 1 if floor is None else floor) + TOLERANCE
    how = Search(cutoff=gap, beam=shop.budget.wide_beam, most_columns=shop.budget.pool // 8)
    for priced in _priced(shop, prices, how):
        shop.remember(priced.columns)


def _small_enough(columns: list[Column], prices: Sequence[Prices]) -> list[Column]:
    """As many of the days, in order, as the objective's row can hold with room to spare."""
    total, kept = 0.0, []
    for column in columns:
        total += abs(prices[column.group].reduced(column) + prices[column.group].group) + 1
        if total > LARGEST_ROW / 2:
            break
        kept.append(column)
    return kept


def _better(day: PlanningDay, goal: Goal, best: Result, plan: Fit | None) -> Result:
    if plan is None:
        return best
    value = value_of(day, goal, plan.columns)
    return Result(value, best.bound, plan) if value < best.value else best


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
    found = _priced(shop, prices, how)
    columns = [column for priced in found for column in priced.columns]
    if not all(priced.complete for priced in found) or len(columns) > shop.budget.enumerated:
        return best
    choice, plan = choose(shop, goal, settled, columns, best, prices)
    if choice.impossible:
        return Result(best.value, best.value, best.plan)
    bound = best.bound if choice.bound == -math.inf else math.ceil(choice.bound - TOLERANCE)
    better = _better(shop.day, goal, best, plan)
    return Result(better.value, max(best.bound, min(bound, best.value)), better.plan)
