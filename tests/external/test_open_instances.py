"""Open instances with known or independently found optima, planned as days of the product.

Sources: Falkenauer's bin packing with the literature's optima (``data/binpacking/README.md``); Li and Lim's pickup
and delivery (``data/lilim/README.md``), where the fewest trips come from ``delivery_milp.py``. What is measured on
all of them stands in ``benchmarks/results/binpacking.md`` and ``lilim.md``.
"""

from __future__ import annotations

from functools import cache

import pytest

from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.solve import solve
from dispatch.verify import verify
from tests.external import delivery_days, packing_days
from tests.external.delivery_milp import carried_together, fewest_trips


@cache
def packings() -> dict[str, packing_days.Instance]:
    return packing_days.instances("triplets") | packing_days.instances("uniform")


@cache
def deliveries() -> dict[str, delivery_days.Instance]:
    return delivery_days.instances()


def planned(problem: Problem) -> Plan:
    plan = solve(problem, time_limit_s=None)
    assert [str(one) for one in verify(problem, plan)] == []
    assert plan.left_out == ()
    return plan


def packs(name: str) -> None:
    instance = packings()[name]
    plan = planned(packing_days.day_of(instance))
    trips = plan.level("trips")
    assert (trips.value, trips.bound) == (instance.fewest, instance.fewest)
    assert all(level.proved for level in plan.levels)


def test_a_triplet_instance() -> None:
    packs("t60_00")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["t60_07", "t120_00", "t249_00", "t501_00", "u120_00", "u120_08"])
def test_more_packings(name: str) -> None:
    packs(name)


def test_every_packing_instance_is_there() -> None:
    sizes = [one.size for one in packings().values()]
    counted = {size: sizes.count(size) for size in set(sizes)}
    assert counted == {60: 20, 120: 40, 249: 20, 501: 20, 250: 20, 500: 20, 1000: 20}
    assert all(sum(one.weights) <= one.fewest * one.capacity for one in packings().values())


def delivers(name: str, requests: int | None = None) -> None:
    instance = deliveries()[name]
    answer = fewest_trips(instance, requests)
    plan = planned(delivery_days.day_of(instance, requests))
    trips = plan.level("trips")
    assert answer.proved
    assert (trips.value, trips.bound) == (answer.trips, answer.trips)


@pytest.mark.parametrize("name", ["lr101", "lc105"])
def test_the_first_requests_of_a_delivery(name: str) -> None:
    delivers(name, 16)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["lr101", "lc101", "lrc105"])
def test_whole_deliveries(name: str) -> None:
    delivers(name)


def test_all_deliveries_are_there() -> None:
    assert len(deliveries()) == 56
    assert all(50 <= len(one.requests) <= 55 for one in deliveries().values())


def test_the_witness_by_hand() -> None:
    """Depot and two requests on a line; work takes 1 unit, the first drop closes at 5.

    Nested: on at 1 and 2, off at 3 (reached at 5, in time), then at 4. Crossed: the item that is due at 3 is
    either the first on, and comes off last at 8, or loaded second by going back, and reaches 3 at 7.
    """

    def node(number: int, x: float, closes: int) -> delivery_days.Node:
        return delivery_days.Node(number, x, 0.0, 0, closes, 1)

    depot = delivery_days.Node(0, 0.0, 0.0, 0, 1000, 0)
    nested = ((node(1, 1, 900), node(2, 4, 900)), (node(3, 2, 900), node(4, 3, 5)))
    crossed = ((node(1, 1, 900), node(2, 3, 5)), (node(3, 2, 900), node(4, 4, 900)))
    both = frozenset({0, 1})
    assert both in carried_together(delivery_days.Instance("nested", depot, nested))
    assert both not in carried_together(delivery_days.Instance("crossed", depot, crossed))


def test_roads_are_rounded_up_and_keep_the_triangle() -> None:
    """By hand: (0, 0) to (1, 1) at 5 minutes a unit is 7.07, so 8 minutes; (0, 0) to (3, 4) is 25 exactly."""
    depot = delivery_days.Node(0, 0, 0, 0, 1000, 0)
    instance = delivery_days.Instance("by hand", depot, ())
    assert instance.minutes_a_unit == 5
    assert instance.minutes(depot, delivery_days.Node(1, 1, 1, 0, 0, 0)) == 8
    assert instance.minutes(depot, delivery_days.Node(1, 3, 4, 0, 0, 0)) == 25
