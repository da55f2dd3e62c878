"""Bin-packing instances as days of the product: one site pair, one class of rigs, and only payload binds.

An item is a machine of its weight times ``LB_PER_UNIT``, known exactly; the rig's payload is the capacity times
the same. Decks are long enough; axles, law and balance stay in the calculation but do not bind; the rigs have time
enough. So the fewest trips of the day are the fewest bins. Source: ``data/binpacking/README.md``.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from dispatch.items import WeightBasis
from dispatch.problem import Problem
from dispatch.settings import Settings, Tolerance
from tests import factories as make

DATA = Path(__file__).parent / "data" / "binpacking"
LB_PER_UNIT = {1000: 10, 150: 80}
"""By capacity: payloads of 10,000 and 12,000 lb."""
ITEM_IN, GAP_IN = 40.0, 6.0
TRIPS_A_RIG = 12
EXACT = Settings(
    tolerances={basis: Tolerance(0.0, 0.0) for basis in WeightBasis},
    gap_in=GAP_IN,
    front_clearance_in=0.0,
    most_items_per_trip=8,
)


@dataclass(frozen=True)
class Instance:
    """Weights and capacity in the instance's units, and the fewest bins, proved by others."""

    name: str
    capacity: int
    weights: tuple[int, ...]
    fewest: int

    @property
    def size(self) -> int:
        return len(self.weights)


def instances(family: str) -> dict[str, Instance]:
    """The instances of ``triplets`` or ``uniform`` by short name, such as t60_00 or u120_07."""
    with (DATA / f"falkenauer_{family}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    found = [
        Instance(
            name=row["instance"].removeprefix("Falkenauer_"),
            capacity=int(row["capacity"]),
            weights=tuple(int(weight) for weight in row["weights_desc"].split()),
            fewest=int(row["best_known_bins"]),
        )
        for row in rows
    ]
    return {one.name: one for one in found}


def packing_day(weights: Sequence[int], capacity: int, *, trips_a_rig: int = TRIPS_A_RIG) -> Problem:
    """A day on which all the machines go from the rigs' yard to one site."""
    lb = LB_PER_UNIT.get(capacity, 10)
    longest = min(max(capacity // min(weights), 1), EXACT.most_items_per_trip)
    trailer = make.trailer(
        empty_coupler_lb=1_600,
        empty_axles_lb=6_400,
        settings=EXACT,
        gvwr_lb=8_000.0 + lb * capacity,
        deck_length_in=max(336.0, longest * (ITEM_IN + GAP_IN) + 96),
        anchor_points=40,
    )
    truck = make.truck(gvwr_lb=26_000.0, gcwr_lb=60_000.0, front_rating_lb=12_000.0, rear_rating_lb=19_000.0)
    trips = len(weights) // 2 + 1
    rigs = [
        make.rig(
            name,
            truck=replace(truck, name=f"{name} truck"),
            trailer=replace(trailer, name=f"{name} trailer"),
            chains=40,
            chain_rating_lb=12_000.0,
            yard="yard",
            shift_start_min=6 * 60,
            shift_end_min=18 * 60,
        )
        for name in (f"rig {number + 1}" for number in range(-(-trips // trips_a_rig)))
    ]
    moves = [
        make.move(
            f"move {number:03d}",
            make.item(f"machine {number:03d}", lb * weight, ITEM_IN, settings=EXACT),
            origin="yard",
            destination="site",
            load_min=4,
            unload_min=4,
        )
        for number, weight in enumerate(weights)
    ]
    roads = [make.road("yard", "site", 2.0, minutes=10)]
    return make.problem(moves, rigs, roads=roads, settings=EXACT)


def day_of(instance: Instance) -> Problem:
    """The instance as a day."""
    return packing_day(instance.weights, instance.capacity)
