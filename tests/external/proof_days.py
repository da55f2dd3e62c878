"""Tiny days on which proofs have work to do: payload and length stand for legality, costs differ from rig to rig.

Trips may be saved at the cost of miles and waiting, overtime costs more, going home in between can pay. All
figures are invented.
"""

from __future__ import annotations

import random

from dispatch.moves import Move
from dispatch.problem import Problem
from dispatch.settings import Settings
from tests import factories as make

PLACES = ("yard", "a", "b", "c", "d")


def proof_day(seed: int, moves: int = 7, rigs: int = 2) -> Problem:
    """The day of a seed; the same seed gives the same day."""
    rng = random.Random(f"proof {seed}")
    roads = [
        make.road(first, second, float(minutes), minutes=minutes)
        for place, first in enumerate(PLACES)
        for second in PLACES[place + 1 :]
        for minutes in [rng.choice([10, 15, 25, 40, 60])]
    ]
    fleet = [
        make.rig(
            f"rig {number}",
            shift_end_min=360 + rng.choice([300, 420, 540]),
            cost_per_hour_usd=rng.choice([60.0, 90.0, 95.5]),
            cost_per_mile_usd=rng.choice([0.5, 2.25]),
            cost_per_trip_usd=rng.choice([0.0, 15.0]),
            overtime_after_min=rng.choice([None, 240]),
        )
        for number in range(rigs)
    ]
    # No clearance at the front: the stand-in for the placement knows the deck's length only.
    settings = Settings(front_clearance_in=0.0)
    wanted = [_move(rng, number) for number in range(moves)]
    return make.problem(wanted, fleet, roads=roads, settings=settings)


def _move(rng: random.Random, number: int) -> Move:
    origin, destination = rng.sample(PLACES, 2)
    item = make.item(f"item {number}", rng.choice([3_000, 6_000, 9_000]), rng.choice([80, 120, 160]))
    ready = rng.choice([None, None, 420, 480, 540])
    due = (ready or 400) + rng.choice([90, 150, 210]) if rng.random() < 0.4 else None
    return make.move(f"move {number}", item, origin=origin, destination=destination, ready_min=ready, due_min=due)


def odd_day(seed: int, moves: int = 5, rigs: int = 2) -> Problem:
    """An odd number of machines of which every two may ride together, no three: half a trip is left over.

    The linear programme then has trips to spare, and on a rig's day three trips can be cheaper than two.
    """
    rng = random.Random(f"odd {seed}")
    roads = [
        make.road(first, second, rng.uniform(0.5, 1.5) * minutes, minutes=minutes)
        for place, first in enumerate(PLACES)
        for second in PLACES[place + 1 :]
        for minutes in [rng.choice([10, 20, 30, 45])]
    ]
    fleet = [
        make.rig(
            f"rig {number}",
            shift_end_min=360 + rng.choice([480, 540, 600]),
            cost_per_mile_usd=rng.choice([1.0, 2.25, 4.0]),
            cost_per_hour_usd=rng.choice([60.0, 90.0]),
        )
        for number in range(rigs)
    ]
    wanted = []
    for number in range(moves):
        origin, destination = rng.sample(PLACES, 2)
        item = make.item(f"item {number}", 7_000, 120)
        wanted.append(make.move(f"move {number}", item, origin=origin, destination=destination))
    return make.problem(wanted, fleet, roads=roads, settings=Settings(front_clearance_in=0.0))
