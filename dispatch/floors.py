"""Floors under a goal: set partitioning over trips, column generation over whole days; and diving from there."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

from dispatch.bounds import MOST_WHOLE, fewest_trips
from dispatch.cuts import broken
from dispatch.highs import INFINITE
from dispatch.master import Goal, Master, Settled
from dispatch.pricing import Priced, Prices, Search
from dispatch.shared_clock import Fit, fit
from dispatch.workshop import TOLERANCE, Budget, Result, Workshop, better_of, keeps, price_all, value_of

HALF_A_CENT = 0.5
"""Pricing sees a day's cost before it is rounded to whole cents, for each rig of the group by itself."""
LEAST_GAIN = 0.02
"""A round of cuts is weak when it closes less of the gap than this; after a few weak ones they are left alone."""
MOST_WEAK = 3
TIMES_WHERE_MANY = 3
"""Partitions where there are so many sets that each takes a second: the rig-days soon know better."""
A_FEW = 4
"""Days with the greatest shares among which a dive may choose."""
MORE_PATIENT = 4
"""Times the work for the search for days where nothing but more of it can tell whether there are any."""
MOST_LABELS = 3_000_000
"""Partial days held at once by a patient search: half a gigabyte or so, and two searches at a time."""
APPROACHES = 6
"""Times that the price of missing a settled goal is doubled."""


def simple_bound(shop: Workshop, goal: Goal, settled: Settled) -> int:
    """What can be said at once: units that no trip carries are left out; trips by partitioning."""
    known = shop.floors.get(goal, 0) if settled.most.get(Goal.LEFT_OUT) == 0 else 0
    return max(known, _simple_bound(shop, goal, settled))


def _simple_bound(shop: Workshop, goal: Goal, settled: Settled) -> int:
    if not shop.trips.complete or goal is Goal.COST:
        return 0
    if goal is Goal.TRIPS:
        return fewest_legal_trips(shop, settled.most.get(Goal.LEFT_OUT, 10**9))
    carried = 0
    for mask in shop.trips.masks():
        carried |= mask
    return sum(w for u, w in enumerate(shop.day.shape.weights) if not carried >> u & 1)


def fewest_legal_trips(shop: Workshop, left_out: int) -> int:
    """The set-partitioning bound; illegal sets that it would use are taken out, as often as that helps."""
    bound = 0
    few = len(shop.trips.masks()) <= MOST_WHOLE
    for _ in range(shop.budget.partitions if few else min(TIMES_WHERE_MANY, shop.budget.partitions)):
        bound, used = fewest_trips(
            shop.day.shape, shop.trips.masks(), left_out, seconds=shop.limits.seconds_left()
        )
        if shop.limits.over() or all(shop.trips.rides(mask) for mask in used):
            break
    return bound


def generate(
    shop: Workshop,
    goal: Goal,
    master: Master,
    best: Result,
    before_cuts: Callable[[Result], Result] | None = None,
) -> tuple[Result, list[Prices], float | None]:
    """Column generation with cuts: the result with its bound, the last prices, and the floor if it is exact.

    ``before_cuts``: a better plan from the mix without cuts, if there is one; cuts are spared where that is best,
    and so is the patience for an exact floor.
    """
    _approach(shop, goal, master, best)
    floor: float | None = None
    prices: list[Prices] = []
    takes_cuts = all(shop.shelf.pricer(group.number).takes_cuts for group in shop.day.groups)
    weak = 0
    patience = shop.budget.patience if before_cuts is None else 1
    while True:
        best, new_prices, new_floor = _converge(shop, goal, master, best, patience)
        open_ = not best.proved and not shop.limits.over()
        cuts = _cuts(master) if open_ and takes_cuts and new_floor is not None else []
        if before_cuts is not None and open_:
            best = before_cuts(best)
            shop.report(goal, best)
            before_cuts, patience = None, shop.budget.patience
            if new_floor is None and not best.proved:
                continue
        if new_floor is None and floor is not None:
            break
        gained = 0.0 if floor is None or new_floor is None else new_floor - floor
        weak = weak + 1 if floor is not None and gained < LEAST_GAIN * max(1.0, best.value - floor) else 0
        floor, prices = new_floor, new_prices
        if best.proved or floor is None or shop.limits.over() or not cuts or weak >= MOST_WEAK:
            break
        master.cut(cuts)
    return best, prices, floor


def _cuts(master: Master) -> list[int]:
    """Cuts that the mix breaks."""
    return broken(master.columns, master.fractional(), list(master.shape.row_of), master.cuts)


def warm_up(shop: Workshop, goal: Goal, settled: Settled, plan: Fit) -> None:
    """Days by beams alone, for the pool: those made of some of the trips give fair prices for all of them."""
    master = Master(shop.day.shape, goal, settled)
    master.add(plan.columns)
    master.add(shop.pool.values())
    _approach(shop, goal, master, Result(value_of(shop.day, goal, plan.columns), 0, plan))
    shop.remember(master.columns)


def _approach(shop: Workshop, goal: Goal, master: Master, best: Result) -> None:
    """First days, by beams, while the settled goals may be missed at a price that rises until they are kept.

    Without that the first prices are wild: a few days to choose from say nothing of what a unit is worth.
    """
    fair = _fair_prices(shop, goal, master, best)
    for _ in range(APPROACHES if fair else 0):
        master.stretch(INFINITE, fair)
        for _ in range(shop.budget.rounds):
            _, prices = master.solve()
            if shop.limits.over() or not by_beam(shop, master, prices):
                break
        if shop.limits.over() or not master.stretched():
            break
        fair = {settled: 2 * price for settled, price in fair.items()}
    master.stretch(0.0)


def _fair_prices(shop: Workshop, goal: Goal, master: Master, best: Result) -> dict[Goal, float]:
    """What missing each settled goal by one should cost at first: as much as hauling a unit alone, about."""
    units, trips = shop.day.shape.units, sum(day.trips for day in best.days)
    if not units or not trips:
        return {}
    mean = sum(shop.day.shape.weights) / len(units)
    a_trip = 1.0 if goal is Goal.TRIPS else best.value / trips
    return {settled: a_trip / (mean if settled is Goal.LEFT_OUT else 1.0) for settled in master.kept}


def _converge(
    shop: Workshop, goal: Goal, master: Master, best: Result, patience: int
) -> tuple[Result, list[Prices], float | None]:
    """Adds days until none is below the prices; with up to ``patience`` times the work to be sure of that."""
    budget, limits = shop.budget, shop.limits
    value, prices = master.solve()
    times = 1
    for _ in range(budget.rounds):
        if limits.over():
            break
        value, prices = master.solve()
        if by_beam(shop, master, prices):
            continue
        found = price_all(shop, prices, exact_search(budget, times))
        exact = shop.trips.complete and all(priced.exact for priced in found)
        lower = lagrangean(master, value, prices, found)
        best = _with_bound(shop, goal, best, lower)
        if best.proved:
            return best, prices, lower if exact else None
        if not master.add(column for priced in found for column in priced.columns):
            if exact or times >= patience or not shop.trips.complete:
                return best, prices, lower if exact else None
            times *= MORE_PATIENT
    return best, prices, None


def exact_search(budget: Budget, times: int = 1) -> Search:
    """The search for days that tells a floor, with so many times the work that it gets at first."""
    return Search(
        most_columns=budget.columns_a_round,
        most_labels=min(times * budget.labels, max(MOST_LABELS, budget.labels)),
        most_work=times * budget.work,
    )


def lagrangean(master: Master, value: float, prices: Sequence[Prices], found: Sequence[Priced]) -> float:
    """What no choice of days can beat, in units of the goal: the mix, less what a day of each group may save.

    The Lagrangean bound of column generation: Lübbecke, Desrosiers, Operations Research 53 (2005); from memory.
    """
    return value + sum(
        most * (priced.floor - HALF_A_CENT * len(group.rigs) * price.money)
        for most, priced, price, group in zip(
            master.shape.most_days, found, prices, master.shape.groups, strict=True
        )
    )


def _with_bound(shop: Workshop, goal: Goal, best: Result, lower: float) -> Result:
    """The result with a bound no lower than that, if no trip is missing."""
    if not shop.trips.complete or lower == -math.inf:
        return best
    best = Result(best.value, max(best.bound, math.ceil(lower - TOLERANCE)), best.plan)
    shop.report(goal, best)
    return best


def by_beam(shop: Workshop, master: Master, prices: Sequence[Prices]) -> int:
    """Adds days that beams find, wider ones only when narrow ones find nothing; gives how many were new."""
    for beam in shop.budget.beams:
        found = price_all(shop, prices, Search(beam=beam, most_columns=shop.budget.columns_a_round))
        new = master.add(column for priced in found for column in priced.columns)
        if new or shop.limits.over():
            return new
    return 0


def dive(
    shop: Workshop,
    goal: Goal,
    settled: Settled,
    master: Master,
    best: Result,
    rng: random.Random | None = None,
) -> Result:
    """A plan by fixing the day with the greatest share in the mix, pricing anew, and so on to the end.

    ``rng``: one of the days with the greatest shares instead, to come by another way.
    """
    master.stretch(INFINITE)
    try:
        return _fixed_one_by_one(shop, goal, settled, master, best, rng)
    finally:
        master.release()
        master.stretch(0.0)
        shop.remember(master.columns)


def _fixed_one_by_one(
    shop: Workshop, goal: Goal, settled: Settled, master: Master, best: Result, rng: random.Random | None
) -> Result:
    fixed: set[int] = set()
    while not shop.limits.over():
        value, prices = master.solve()
        new = 0
        for _ in range(shop.budget.dive_rounds):
            found = price_all(
                shop, prices, Search(beam=shop.budget.beams[0], most_columns=shop.budget.columns_a_round)
            )
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
            if plan is not None and keeps(shop.day, settled, plan):
                best = better_of(shop.day, goal, best, plan)
            break
        whole = [number for number in open_days if shares[number] > 1 - 1e-6]
        greatest = sorted(open_days, key=lambda number: (-shares[number], number))[: 1 if rng is None else A_FEW]
        chosen = whole or [greatest[0] if rng is None else rng.choice(greatest)]
        for number in chosen:
            fixed.add(number)
            master.fix(number)
    return best
