"""What the goals of a day share while they are settled: trips, pricers, days found, budget and limits."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from dispatch.master import Goal, Settled, worth
from dispatch.planning_day import DayTrips, PlanningDay, PricerShelf
from dispatch.pricing import Priced, Prices, Search
from dispatch.rig_days import Column, Day
from dispatch.search_limits import Limits, Thoroughness
from dispatch.shared_clock import Fit
from dispatch.side_by_side import no_halt, side_by_side, watched

MOST_ASKED = 2_000
"""Trips whose legality is asked besides when days turned out illegal: of those that good days could hold."""
TOLERANCE = 1e-4
"""Rounding noise of the linear programme, in units of a goal."""


@dataclass(frozen=True, slots=True)
class Budget:
    """What a goal may spend, in counts (``deterministic``: the solver's own count of work)."""

    rounds: int = 400
    beams: tuple[int, ...] = (100, 1_000)
    dive_rounds: int = 3
    dives: int = 6
    columns_a_round: int = 150
    pool: int = 1_500
    attempts: int = 30
    partitions: int = 15
    enumerated: int = 20_000
    labels: int = 1_500_000
    work: int = 60_000_000
    deterministic: float = 12.0
    nodes: int = 1_000
    small_day: int = 24
    rounds_a_unit: int = 4
    patience: int = 16
    branches: int = 600


QUICK = Budget(
    patience=1,
    branches=0,
    rounds_a_unit=1,
    dives=1,
    enumerated=2_000,
    labels=200_000,
    work=6_000_000,
    nodes=50,
    attempts=5,
    deterministic=2.0,
)
PROVE = Budget(
    patience=4,
    branches=10_000,
    rounds_a_unit=12,
    dives=20,
    enumerated=60_000,
    labels=10_000_000,
    work=1_500_000_000,
    nodes=20_000,
    attempts=100,
    deterministic=120.0,
)


def cheap(budget: Budget) -> Budget:
    """For a first try at listing all days of a better plan: often there are few, and it saves all that follows."""
    return replace(
        budget,
        labels=min(200_000, budget.labels),
        work=min(6_000_000, budget.work),
        enumerated=min(1_500, budget.enumerated),
    )


def budget_for(thoroughness: Thoroughness) -> Budget:
    """What a goal may spend at each step of thoroughness."""
    return {Thoroughness.QUICK: QUICK, Thoroughness.NORMAL: Budget(), Thoroughness.PROVE: PROVE}[thoroughness]


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
    """What the goals share: the day, its trips and pricers, the days found so far, limits and budget.

    ``floors``: by goal, what no plan that leaves nothing out can beat, as far as is known beforehand.
    """

    day: PlanningDay
    trips: DayTrips
    shelf: PricerShelf
    limits: Limits
    budget: Budget
    keep: Callable[[Goal, Result], None]
    kept: Callable[[Fit], None]
    pool: dict[tuple[int, int, int, int], Day] = field(default_factory=dict)
    floors: Mapping[Goal, int] = field(default_factory=dict)

    def report(self, goal: Goal, best: Result) -> None:
        """Tells how far a goal is, and keeps it as the answer should the search be stopped now."""
        self.keep(goal, best)
        self.limits.tell(goal.value, best.value, best.bound)

    def remember(self, columns: Iterable[Day]) -> None:
        """Keeps days for later choices, the cheapest of equals."""
        for column in columns:
            self.pool.setdefault((column.group, column.units, column.trips, column.cents), column)

    def search_all(self, prices: Sequence[Prices], how: Search) -> list[Priced]:
        """Prices every group's days until those found are legal; trips that turn out illegal are taken out.

        The first search of each group is made beside the others; then it is one group after another.
        """
        groups = range(len(self.day.groups))
        asked = [self._how(prices, how, group) for group in groups]
        pricers = [self.shelf.pricer(group) for group in groups]
        first = self._search([partial(pricers[group].search, prices[group]) for group in groups], asked)
        return [self._legally(prices[group], asked[group], group, first[group]) for group in groups]

    def _search(self, searches: Sequence[Callable[[Search], Priced]], how: Sequence[Search]) -> list[Priced]:
        """Searches made beside each other. Those without a beam may be long, and are watched."""
        halt = no_halt()
        calls = [partial(search, replace(one, halt=halt)) for search, one in zip(searches, how, strict=True)]
        if any(one.beam is None for one in how):
            return watched(calls, self.limits.over, halt)
        return side_by_side(calls)

    def _how(self, prices: Sequence[Prices], how: Search, group: int) -> Search:
        crossing = {name for pair in self.day.grouping.crossing for name in pair}
        crosses = not crossing.isdisjoint(rig.name for rig in self.day.groups[group].rigs)
        costs = prices[group].money > 0
        return replace(
            how,
            stop=self.limits.over,
            keep_all=how.keep_all and (bool(self.day.shape.pairs) or crosses),
            may_go_home=costs or crosses or not self.day.rules.table.direct_is_fastest,
        )

    def _legally(self, prices: Prices, how: Search, group: int, found: Priced) -> Priced:
        while True:
            legal = self.legal(found.columns)
            whole = len(legal) == len(found.columns)
            if whole or (legal and not how.every) or self.limits.over():
                return replace(found, columns=tuple(legal), complete=found.complete and whole)
            self.shelf.judge_first(group, found.looked_at, MOST_ASKED)
            (found,) = self._search([partial(self.shelf.pricer(group).search, prices)], [how])

    def legal(self, columns: Sequence[Day]) -> list[Day]:
        """The days whose trips all have legal loads, as far as there is time to ask."""
        legal = []
        self.shelf.judge_together(columns)
        for column in columns:
            if self.limits.over():
                break
            judged = self.shelf.judged(column)
            if judged is not None:
                legal.append(judged)
        return legal


def value_of(day: PlanningDay, goal: Goal, days: Sequence[Day]) -> int:
    """A goal's value for a choice of days: scaled priority left out, trips or cents."""
    if goal is not Goal.LEFT_OUT:
        return sum(worth(goal, column) for column in days)
    hauled = 0
    for column in days:
        hauled |= column.units
    return sum(w for u, w in enumerate(day.shape.weights) if not hauled >> u & 1)


def price_all(shop: Workshop, prices: Sequence[Prices], how: Search) -> list[Priced]:
    """Every group's days at its prices."""
    return shop.search_all(prices, how)


def better_of(day: PlanningDay, goal: Goal, best: Result, plan: Fit | None) -> Result:
    """The result, or the plan in its place where that is better on the goal."""
    if plan is None:
        return best
    value = value_of(day, goal, plan.columns)
    return Result(value, best.bound, plan) if value < best.value else best


def keeps(day: PlanningDay, settled: Settled, plan: Fit) -> bool:
    """Whether a fitted plan keeps the settled goals: waiting for a drop may have made it dearer."""
    return all(value_of(day, goal, plan.columns) <= most for goal, most in settled.most.items())
