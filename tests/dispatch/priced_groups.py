"""Groups of one rig at random prices, to hold the compiled pricing to the layers of arrays and to plain listing.

Every figure is invented. What the layers find (``pricing``'s own engine, which several rigs, breaks and strict
duty windows still use) is the expected value: the two share trips and prices, and no line of the search.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from dispatch.cost_to_go import cost_to_go
from dispatch.moves import Move
from dispatch.planning_day import find_trips, prepare
from dispatch.prices import Prices
from dispatch.pricing import Priced, Pricer, Search, _Run
from dispatch.problem import Problem
from dispatch.quick_search import applies
from dispatch.rig_days import Day
from dispatch.trip_arrays import Floats, GroupArrays, group_arrays, trip_arrays
from dispatch.trip_rows import TripRows
from dispatch.trip_table import row_of
from dispatch.trips import Candidate, TripBudget, Wanted
from tests import factories as make
from tests.stub_placer import StubPlacer

PLACES = ("yard", "a", "b", "c", "d")
ROADS, SHORT = (0, 5, 10, 15, 25, 40), (0, 1, 2, 3, 10, 40)
"""Minutes of roads."""
FAR_UNITS = 130
"""Unit numbers are spread over so many, so that a set of units takes three words."""


def day_to_price(seed: int, moves: int = 6, *, whole_cents: bool = False, short: bool = False) -> Problem:
    """One rig: windows, overtime, driving limits, an end elsewhere; now and then a machine that is moved twice.

    ``short``: work and many roads take a minute or two.
    """
    rng = random.Random(f"priced {seed}")
    roads = [
        make.road(one, two, float(rng.randint(1, 30)), minutes=rng.choice(SHORT if short else ROADS))
        for place, one in enumerate(PLACES)
        for two in PLACES[place + 1 :]
    ]
    rates: dict[str, Any] = {"cost_per_hour_usd": 90.0, "cost_per_mile_usd": 2.0}
    if not whole_cents:
        rates = {"cost_per_hour_usd": rng.choice([61.37, 95.5]), "cost_per_mile_usd": rng.choice([0.333, 2.257])}
    rig = make.rig(
        shift_end_min=360 + rng.choice([240, 330, 420]),
        end=rng.choice(["yard", "yard", "d"]),
        overtime_after_min=rng.choice([None, 60, 120, 180]),
        overtime_factor=rng.choice([1.5, 2.0]),
        driving_limit_min=rng.choice([None, None, 90, 140]),
        cost_per_trip_usd=rng.choice([0.0, 35.0]),
        **rates,
    )
    wanted = _moves(rng, moves)
    if short:
        wanted = [replace(move, load_min=rng.randint(0, 2), unload_min=rng.randint(1, 2)) for move in wanted]
    return make.problem(wanted, [rig], roads=roads)


def _moves(rng: random.Random, count: int) -> list[Move]:
    made: list[Move] = []
    for number in range(count):
        origin, destination = rng.sample(PLACES, 2)
        item = make.item(f"item {number}", rng.choice([3_000, 6_000, 9_000]), rng.choice([60, 100, 160]))
        if made and rng.random() < 0.2:
            item, origin = made[-1].item, made[-1].destination
            destination = rng.choice([place for place in PLACES if place != origin])
        ready = rng.choice([None, None, rng.randint(360, 600)])
        due = (ready or 400) + rng.choice([60, 120, 200]) if rng.random() < 0.4 else None
        move = make.move(
            f"move {number}", item, origin=origin, destination=destination, ready_min=ready, due_min=due
        )
        made.append(move)
    return made


@dataclass(frozen=True)
class Case:
    """A group and prices."""

    arrays: GroupArrays
    prices: Prices
    rng: random.Random

    @property
    def lin(self) -> Floats:
        """Each trip's price but for hours."""
        trips, prices = self.arrays.trips, self.prices
        return prices.money * trips.lin_cents + prices.per_trip - trips.rewards(prices.unit)

    def layers(self, how: Search) -> Priced:
        """What the layers of arrays find."""
        floor = cost_to_go(self.arrays, self.lin, self.prices.money)
        return _Run(self.arrays, self.prices, how, self.lin, floor).all_days()

    def quickly(self, how: Search) -> Priced:
        """What the compiled search finds."""
        pricer = Pricer(self.arrays)
        assert pricer.takes_cuts
        return pricer.search(self.prices, how)

    def every_day(self) -> Sequence[Day]:
        """Every day that there is, by the layers without dominance; cuts left aside."""
        how = Search(cutoff=1e12, keep_all=True, every=True)
        found = replace(self, prices=replace(self.prices, cuts=())).layers(how)
        assert found.complete
        return found.columns


def case(
    seed: int,
    *,
    goal: str = "cost",
    far: bool = False,
    moves: int = 6,
    whole_cents: bool = False,
    short: bool = False,
) -> Case:
    """A random group with random prices of a goal; ``far``: unit numbers past 64; ``short``: trips of minutes."""
    rng = random.Random(f"prices {seed}")
    problem = day_to_price(seed, moves, whole_cents=whole_cents, short=short)
    day = prepare(problem, StubPlacer(problem))
    found = find_trips(day, TripBudget())
    units = len(day.shape.units)
    numbers = sorted(rng.sample(range(FAR_UNITS), units)) if far else list(range(units))
    after = [0] * (FAR_UNITS if far else units)
    for unit, later in enumerate(day.after):
        after[numbers[unit]] = _renumbered(later, numbers)
    sites = day.rules.table.number
    by_rig = [
        rows_of([replace(trip, units=_renumbered(trip.units, numbers)) for trip in stock.trips()], sites)
        for stock in found.by_group[0]
    ]
    group = day.groups[0]
    arrays = group_arrays(day.rules, group, trip_arrays(group, by_rig, len(after), after))
    assert applies(arrays)
    return Case(arrays, _prices(rng, goal, len(after)), rng)


def rows_of(trips: Sequence[Candidate], sites: Mapping[str, int]) -> TripRows:
    """Trips that are objects already, as rows; ``sites``: their numbers."""
    masks = tuple(dict.fromkeys(trip.units for trip in trips))
    place = {mask: at for at, mask in enumerate(masks)}
    cents = {trip.units: float(trip.permit_cents) for trip in trips}
    sets = [Wanted(trip.units, tuple(dict.fromkeys(task.haul for task in trip.tasks))) for trip in trips]
    figures = [row_of(one, trip, sites).figures for one, trip in zip(sets, trips, strict=True)]
    return TripRows(
        masks,
        np.array([cents[mask] for mask in masks], np.float64),
        np.array([place[trip.units] for trip in trips], np.int64),
        np.array(figures, np.int64),
        trips.__getitem__,
    )


def _renumbered(units: int, numbers: Sequence[int]) -> int:
    return sum(1 << number for unit, number in enumerate(numbers) if units >> unit & 1)


def _prices(rng: random.Random, goal: str, units: int) -> Prices:
    def rewards(most: float) -> Floats:
        return np.array([rng.uniform(-0.1, 1.0) * most for _ in range(units)])

    if goal == "left out":
        return Prices(rewards(3.0), -rng.uniform(0.0, 2.0), 0.0, 0.0)
    if goal == "trips":
        return Prices(rewards(1.2), -rng.uniform(0.0, 1.0), 1.0, 0.0)
    return Prices(rewards(30_000.0), -rng.uniform(0.0, 9_000.0), rng.choice([0.0, 4_000.0]), 1.0)
