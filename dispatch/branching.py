"""Branching: what the linear programme leaves open is decided one way and the other, and both ways get a floor.

The lowest floor left is a bound for the whole day at any moment. Opened next is a branch that holds it down, or
nearly; of several the one of which most is decided, where a plan is nearest. Decided are the number of trips or
days of a group, and which of two parts of the fleet hauls a unit (see ``decisions``); the pricing of days stays as
it is (see ``branch_master``). A branch is closed when its floor meets the plan in hand, or when all its days that
could belong to a better plan can be listed and hold none.
Source of the idea: Barnhart, Johnson, Nemhauser, Savelsbergh, Vance, "Branch-and-price", Operations Research 46
(1998); from memory.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from dispatch.better_days import better_below, better_days
from dispatch.branch_master import Branch, BranchMaster
from dispatch.choices import choose
from dispatch.decisions import WHOLE, Experience, Ways, decisions
from dispatch.errors import ModelTooLarge, NoOptimum
from dispatch.floors import MORE_PATIENT, by_beam, exact_search, lagrangean
from dispatch.master import Goal, Master, Settled
from dispatch.planning_day import PromisingShelf
from dispatch.pricing import Prices
from dispatch.rig_days import Day
from dispatch.shared_clock import fit
from dispatch.workshop import TOLERANCE, Result, Workshop, better_of, cheap, keeps, price_all

STEPS = 30
"""The gap at first in so many steps: of branches with floors on the same step the most decided one comes first."""
MOST_AT_FIRST = 6_000
"""Days with which the branches' programme begins: more make it slow, and what is missing is found again."""
PATIENCE = 4
"""Times the work for an exact search: less than for the whole day, as there are many branches."""
CLOSER = 0.8
"""Where the days of a branch were too many to list, the next try waits for a gap smaller by this."""
FEW_LISTED = 600
"""Days of a branch among which to choose: of more the choice takes longer than branching on."""


@dataclass(frozen=True, slots=True)
class Open:
    """A branch with a floor and its two ways to go on; none where nothing is left to decide: it stays as it is.

    ``depth``: how many decisions led to it. ``number``: in the order of opening.
    """

    floor: float
    ways: tuple[Branch, ...]
    depth: int = 0
    number: int = 0


class Tree:
    """The branches of one goal; it grows as often as it is asked to, and goes on where it was."""

    def __init__(
        self,
        shop: Workshop,
        goal: Goal,
        settled: Settled,
        best: Result,
        master: Master,
        prices: Sequence[Prices],
        floor: float | None,
    ) -> None:
        """From the programme of the whole day, its prices and floor (``None``: no search for days was exact)."""
        self._shop = shop if floor is None else _narrowed(shop, best, prices, floor)
        self._goal, self._settled = goal, settled
        self._prices = prices  # a choice weighs days by these: a branch's hold the price of what is barred
        known = float(best.bound) if floor is None else floor
        self._step = max(1.0, (best.value - known) / STEPS)
        near = _nearest(master.columns, prices, best.value - known)
        self._master = BranchMaster(master.shape, goal, settled, near, master.cuts)
        self._experience = Experience()
        self._reach: float | None = None
        self._stuck = math.inf
        self._count = 0
        self._heap: list[tuple[tuple[int, int, float, int], Open]] = []
        self.best = best
        self._push(Open(known, (Branch.root(master.shape),)))

    def grow(self, best: Result, branches: int) -> Result:
        """The result after so many more branches, or sooner when it is proved."""
        self.best = best
        last = self._count + branches
        while self._heap and not self.best.proved and not self._shop.limits.over():
            _, lowest = heapq.heappop(self._heap)
            if self._closed(lowest.floor):
                continue
            if not lowest.ways:
                self._stuck = min(self._stuck, lowest.floor)
                continue
            if self._count >= last:
                self._push(lowest)
                break
            for way in lowest.ways:
                self._count += 1
                if self._shop.limits.over():
                    opened: Open | None = Open(lowest.floor, (way,))
                else:
                    opened = self._opened(way, lowest.floor)
                if opened is not None:
                    self._push(replace(opened, depth=lowest.depth + 1, number=self._count))
            self._tell(self._lowest())
        if not self._heap:
            self._tell(self._lowest())
        return self.best

    def _lowest(self) -> float:
        """The lowest floor of the branches left; infinite when there are none."""
        return min([self._stuck, *(one.floor for _, one in self._heap)])

    def _push(self, branch: Open) -> None:
        """Keeps an open branch; next come those that hold the bound down, and of them the one most decided."""
        if not self._closed(branch.floor):
            step = math.ceil((branch.floor - TOLERANCE) / self._step)
            heapq.heappush(self._heap, ((step, -branch.depth, branch.floor, branch.number), branch))

    def _closed(self, floor: float) -> bool:
        return floor == math.inf or math.ceil(floor - TOLERANCE) >= self.best.value

    def _tell(self, floor: float) -> None:
        """The lowest floor left is a bound for the day."""
        bound = self.best.value if self._closed(floor) else math.ceil(floor - TOLERANCE)
        self.best = replace(self.best, bound=max(self.best.bound, bound))
        self._shop.report(self._goal, self.best)

    # -- one branch ---------------------------------------------------------------------------------------

    def _opened(self, branch: Branch, known: float) -> Open | None:
        """The branch with its floor, at least the ``known`` one; ``None`` where it holds no better plan."""
        if branch.empty:
            return None
        self._master.go_to(branch)
        try:
            floor, at_prices, prices = self._floor(known)
        except NoOptimum:
            return Open(known, ())
        if self._closed(floor) or self._shop.limits.over():
            return Open(floor, (branch,))
        self._take_whole()
        floor = max(floor, self._listed(at_prices, prices))
        if self._closed(floor):
            return None
        try:
            return Open(floor, self._ways(branch))
        except NoOptimum:
            return Open(floor, ())

    def _floor(self, known: float) -> tuple[float, float, Sequence[Prices]]:
        """Column generation, until no day is missing or the floor closes the branch.

        The floor, the one that the prices give by themselves (lower, or none at all), the prices.
        """
        shop, master, times = self._shop, self._master, 1
        floor, at_prices, (value, prices) = known, -math.inf, master.solve()
        for _ in range(shop.budget.rounds):
            if shop.limits.over():
                break
            if by_beam(shop, master, prices):
                at_prices, (value, prices) = -math.inf, master.solve()
                continue
            found = price_all(shop, prices, exact_search(shop.budget, times))
            if shop.limits.over():
                break
            at_prices = lagrangean(master, value, prices, found)
            floor = max(floor, at_prices)
            if self._closed(floor):
                break
            if master.add(column for priced in found for column in priced.columns):
                at_prices, (value, prices) = -math.inf, master.solve()
            elif times >= min(PATIENCE, shop.budget.patience) or all(priced.exact for priced in found):
                break
            else:
                times *= MORE_PATIENT
        return floor, at_prices, prices

    def _take_whole(self) -> None:
        """Takes the mix as a plan where it mixes nothing."""
        shares = self._master.fractional()
        if self._master.stretched() or any(WHOLE < share < 1 - WHOLE for share in shares):
            return
        chosen = [day for day, share in zip(self._master.columns, shares, strict=True) if share > 0.5]
        plan = fit(self._shop.day, chosen)
        if plan is not None and keeps(self._shop.day, self._settled, plan):
            self.best = better_of(self._shop.day, self._goal, self.best, plan)

    def _listed(self, floor: float, prices: Sequence[Prices]) -> float:
        """The floor that the prices give, raised where the days of a better plan are few enough to list."""
        gap = self.best.value - floor
        if floor == -math.inf or (self._reach is not None and gap > self._reach):
            return floor
        shop = self._shop
        caps = replace(cheap(shop.budget), enumerated=min(FEW_LISTED, shop.budget.enumerated))
        columns = better_days(shop, self.best, floor, prices, caps)
        if columns is None:
            self._reach = CLOSER * gap
            return floor
        try:
            choice, plan = choose(shop, self._goal, self._settled, columns, self.best, self._prices)
        except ModelTooLarge:
            return floor
        self.best = better_of(shop.day, self._goal, self.best, plan)
        return math.inf if choice.impossible else max(floor, choice.bound)

    # -- ways to go on ------------------------------------------------------------------------------------

    def _ways(self, branch: Branch) -> tuple[Branch, ...]:
        """The two ways of the decision that tells most; none where nothing is left to decide."""
        master = self._master
        value, _ = master.solve()
        mixed = [
            (day, share) for day, share in zip(master.columns, master.fractional(), strict=True) if share > WHOLE
        ]
        open_ = decisions(branch, len(master.shape.groups), list(master.shape.row_of), mixed)

        def tried(ways: Ways) -> tuple[float, float]:
            low, high = master.tried(ways)
            return max(low - value, 0.0), max(high - value, 0.0)

        return self._experience.choose(open_, tried) if open_ else ()


def _nearest(days: Sequence[Day], prices: Sequence[Prices], gap: float) -> list[Day]:
    """The days nearest to the prices, none further than the gap."""
    far = [prices[day.group].reduced(day) for day in days]
    order = sorted((place for place in range(len(days)) if far[place] < gap), key=far.__getitem__)
    return [days[place] for place in order[:MOST_AT_FIRST]]


def _narrowed(shop: Workshop, best: Result, prices: Sequence[Prices], floor: float) -> Workshop:
    """The same workshop, its pricers with those trips alone that a better plan could hold."""
    return replace(shop, shelf=PromisingShelf(shop.shelf, prices, better_below(shop, best, floor, prices)))
