"""A better plan by making a few rigs' days anew, again and again, each time as well as the machinery can.

Some days that have to do with each other are taken out of the plan, with moves left out so far; the rest stays
as it is. Their units are a small day of their own: days for it are priced by the linear programme, and the best
choice among them takes the place of the old ones. Source of the idea: Shaw, CP 1998 (large neighbourhood search).
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from dispatch.day_choice import best_days
from dispatch.errors import NoOptimum
from dispatch.master import Aim, Goal, Master, Settled, Shape
from dispatch.pricing import Pricer, Prices, Search
from dispatch.rig_days import Column, Day
from dispatch.shared_clock import Fit, fit
from dispatch.trip_arrays import Floats, Words, words
from dispatch.workshop import Workshop, value_of

FEWEST_DAYS, MOST_DAYS = 2, 6
MOST_UNITS = 30
MOST_LEFT_OUT = 10
NODES = 20
MOST_CHOSEN_FROM = 300
MOST_KEPT = 20
"""Days of a part that are kept for later choices, the best first."""


@dataclass(frozen=True, slots=True)
class Part:
    """A small day within the day: places in the plan of the days taken out, and the units to haul anew."""

    days: tuple[int, ...]
    units: int


class Neighbourhoods:
    """Makes parts of a plan anew."""

    def __init__(self, shop: Workshop, goals: Sequence[Goal]) -> None:
        self._shop = shop
        self._goals = goals
        self._rng = random.Random(shop.limits.seed)
        self._together = _ride_together(shop)
        self._aims = (_aim(goals), _aim(goals, cents=0))
        self._aim = self._aims[0]

    def improve(self, plan: Fit, rounds: int, goal: Goal, enough: int) -> Fit:
        """The plan after so many rounds; never worse, and sooner given when ``goal`` is as low as ``enough``."""
        idle = 0
        for number in range(rounds):
            if self._shop.limits.over() or value_of(self._shop.day, goal, plan.columns) <= enough:
                break
            self._aim = self._aims[number % 2] if goal is not Goal.COST else self._aims[0]
            days = FEWEST_DAYS + idle % (MOST_DAYS - FEWEST_DAYS + 1)
            try:
                better = self._made_anew(plan, self._part(plan, days))
            except NoOptimum:
                better = None
            idle = idle + 1 if better is None else 0
            if better is not None:
                plan = better
                self._shop.kept(plan)
        return plan

    def values(self, days: Sequence[Day]) -> tuple[int, ...]:
        """The goals in their order."""
        return tuple(value_of(self._shop.day, goal, days) for goal in self._goals)

    # -- which days ---------------------------------------------------------------------------------------

    def _part(self, plan: Fit, days: int) -> Part:
        """Days around one, those whose units could ride with its units before others; some units left out."""
        out = self._left_out(plan.columns)
        self._rng.shuffle(out)
        out = out[:MOST_LEFT_OUT]
        seed = self._rng.choice(out) if out and self._rng.random() < 0.5 else None
        if seed is None:
            first = self._rng.randrange(len(plan.columns))
            near = _units(plan.columns[first].units)
        else:
            near = [seed]
        score = [
            float(self._together[np.ix_(near, _units(column.units))].mean()) + 0.3 * self._rng.random()
            for column in plan.columns
        ]
        if seed is None:
            score[first] = np.inf
        chosen: list[int] = []
        mask = sum(1 << unit for unit in out)
        for place in sorted(range(len(score)), key=lambda place: -score[place]):
            grown = mask | plan.columns[place].units
            if len(chosen) >= days or (chosen and grown.bit_count() > MOST_UNITS):
                break
            chosen.append(place)
            mask = grown
        return Part(tuple(sorted(chosen)), mask)

    def _left_out(self, days: Sequence[Column]) -> list[int]:
        hauled = 0
        for day in days:
            hauled |= day.units
        return [unit.number for unit in self._shop.day.shape.units if not hauled >> unit.number & 1]

    # -- made anew ----------------------------------------------------------------------------------------

    def _made_anew(self, plan: Fit, part: Part) -> Fit | None:
        shop, kept = self._shop, [column for place, column in enumerate(plan.columns) if place not in part.days]
        old = [plan.columns[place] for place in part.days]
        shape = self._shape(kept, part)
        master = Master(shape, self._goals[0], Settled(), self._aim)
        master.add(old)
        inside = [day for day in shop.pool.values() if not day.units & ~part.units]
        master.add(inside[-shop.budget.pool :])
        pricers = [
            None if not most else shop.shelf.pricer(group).within(self._words(part.units))
            for group, most in enumerate(shape.most_days)
        ]
        value, prices = self._priced(master, pricers)
        now = self._total(shape, old)
        if value > now - 0.5:
            return None
        gap = now - value
        days = [day for day in master.columns if prices[day.group].reduced(day) < gap]
        days = sorted(days, key=lambda day: prices[day.group].reduced(day))[:MOST_CHOSEN_FROM]
        shop.remember(days[:MOST_KEPT])
        choice = best_days(shape, self._aim, Settled(), days, at_most=now - 1, nodes=NODES)
        if choice.chosen is None:
            return None
        chosen = [days[number] for number in choice.chosen]
        judged = [shop.shelf.judged(day) for day in chosen]
        legal = [day for day in judged if day is not None]
        shop.remember(legal)
        found = fit(shop.day, [*kept, *legal]) if len(legal) == len(chosen) else None
        return found if found is not None and self.values(found.columns) < self.values(plan.columns) else None

    def _shape(self, kept: Sequence[Column], part: Part) -> Shape:
        whole = self._shop.day.shape
        own = [(u, w) for u, w in zip(whole.units, whole.weights, strict=True) if part.units >> u.number & 1]
        used = [sum(column.group == group.number for column in kept) for group in whole.groups]
        counts = tuple(most - taken for most, taken in zip(whole.most_days, used, strict=True))
        return replace(
            whole, units=tuple(u for u, _ in own), weights=tuple(w for _, w in own), pairs=(), counts=counts
        )

    def _words(self, mask: int) -> Words:
        count = max(1, -(-len(self._shop.day.shape.units) // 64))
        return np.array(words(mask, count), dtype=np.uint64)

    def _priced(self, master: Master, pricers: Sequence[Pricer | None]) -> tuple[float, list[Prices]]:
        """Column generation by beams; the last value and prices of the mix."""
        budget = self._shop.budget
        while True:
            value, prices = master.solve()
            if self._shop.limits.over():
                return value, prices
            for beam in budget.beams[:1]:
                how = Search(beam=beam, most_columns=budget.columns_a_round, may_go_home=True)
                if sum(
                    self._added(master, pricer, price, how) for pricer, price in zip(pricers, prices, strict=True)
                ):
                    break
            else:
                return value, prices

    def _added(self, master: Master, pricer: Pricer | None, prices: Prices, how: Search) -> int:
        if pricer is None:
            return 0
        return master.add(self._shop.legal(pricer.search(prices, how).columns))

    def _total(self, shape: Shape, days: Sequence[Day]) -> int:
        hauled = 0
        for day in days:
            hauled |= day.units
        out = sum(w for u, w in zip(shape.units, shape.weights, strict=True) if not hauled >> u.number & 1)
        own = sum(self._aim[Goal.TRIPS] * day.trips + self._aim[Goal.COST] * day.cents for day in days)
        return own + out * self._aim[Goal.LEFT_OUT]


def _aim(goals: Sequence[Goal], cents: int = 1) -> Aim:
    """Weights that put the goals in their order, nearly: exact comparison follows. ``cents`` 0: of trips alone."""
    if goals.index(Goal.COST) < goals.index(Goal.TRIPS):
        return {Goal.LEFT_OUT: 4_000_000, Goal.TRIPS: 0, Goal.COST: 1}
    trip = 400_000 if cents else 1
    return {Goal.LEFT_OUT: 10 * trip, Goal.TRIPS: trip, Goal.COST: cents}


def _ride_together(shop: Workshop) -> Floats:
    """For every two units how often they could ride together, from 0 to 1."""
    units = len(shop.day.shape.units)
    count = np.zeros((units, units))
    for mask in shop.trips.masks():
        own = _units(mask)
        if len(own) > 1:
            count[np.ix_(own, own)] += 1.0
    shares: Floats = np.log1p(count) / np.log1p(max(1.0, float(count.max(initial=1.0))))
    return shares


def _units(mask: int) -> list[int]:
    return [unit for unit in range(mask.bit_length()) if mask >> unit & 1]
