"""Statics against two general-purpose structural libraries (anastruct, PyNite; finite elements) on random rigs.

The trailer is a beam on the coupler and on its axle group; its reactions under the empty trailer and the items
are one solution. The truck is a second beam on its two axle groups, loaded by its own weight and by the coupler
reaction of the first. Nothing of the product's formulas enters: own weights stand at their centres of gravity.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from itertools import pairwise

import pytest
from anastruct import SystemElements
from Pynite import FEModel3D

from dispatch.axle_loads import rig_loads
from dispatch.fleet import Rig
from tests.bare_rigs import bare_rig, exact

RIGS = 30
RELATIVE = 1e-6


def by_anastruct(supports_in: tuple[float, float], loads: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Upward reactions at two supports of a straight beam under point loads of (pounds down, place)."""
    places = sorted({*supports_in, *(x for _, x in loads)})
    beam = SystemElements()
    for start, end in pairwise(places):
        beam.add_element([[start, 0], [end, 0]])
    node = {x: beam.find_node_id([x, 0]) for x in places}
    beam.add_support_hinged(node[supports_in[0]])
    beam.add_support_roll(node[supports_in[1]])
    total_at = {x: sum(lb for lb, at in loads if at == x) for x in places}
    for x, load_lb in total_at.items():
        if load_lb:
            beam.point_load(node[x], Fy=-load_lb)
    beam.solve()
    # The library gives the force that the node puts on its support: downward is negative.
    first, second = (-float(beam.get_node_results_system(node[x])["Fy"]) for x in supports_in)
    return first, second


def by_pynite(supports_in: tuple[float, float], loads: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """The same by a second library: a stiff steel beam along x, free to turn about z at both supports."""
    places = sorted({*supports_in, *(x for _, x in loads)})
    node = {x: f"n{number}" for number, x in enumerate(places)}
    beam = FEModel3D()
    beam.add_material("steel", 29e6, 11e6, 0.3, 0.284)
    beam.add_section("box", 10, 100, 100, 200)
    for x in places:
        beam.add_node(node[x], x, 0, 0)
    for start, end in pairwise(places):
        beam.add_member(f"{start} {end}", node[start], node[end], "steel", "box")
    beam.def_support(node[supports_in[0]], True, True, True, True, False, False)
    beam.def_support(node[supports_in[1]], False, True, True, False, False, False)
    for load_lb, x in loads:
        beam.add_node_load(node[x], "FY", -load_lb)
    beam.analyze_linear()
    first, second = (float(beam.nodes[node[x]].RxnFY["Combo 1"]) for x in supports_in)
    return first, second


Reactions = Callable[[tuple[float, float], Sequence[tuple[float, float]]], tuple[float, float]]


def random_rig(rng: random.Random) -> tuple[Rig, float, float, list[tuple[float, float]]]:
    """A rig with the place of truck and trailer's own centres of gravity, and items (pounds, place)."""
    wheelbase = rng.randint(130, 260)
    truck_lb, truck_cg = rng.uniform(7_000, 22_000), rng.randint(40, wheelbase - 30)
    axles, spacing, first = rng.randint(1, 4), rng.randint(33, 60), rng.randint(150, 480)
    group = first + spacing * (axles - 1) / 2
    trailer_lb, trailer_cg = rng.uniform(3_000, 20_000), rng.randint(60, int(group))
    on_axles = trailer_lb * trailer_cg / group
    on_rear = truck_lb * truck_cg / wheelbase
    rig = bare_rig(
        truck={
            "wheelbase_in": float(wheelbase),
            "coupler_ahead_in": float(rng.choice([rng.randint(-90, -20), 0, rng.randint(1, 40)])),
            "empty_front_lb": truck_lb - on_rear,
            "empty_rear_lb": on_rear,
            "rear_axles": rng.randint(1, 3),
        },
        trailer={
            "axles": axles,
            "axle_spacing_in": float(spacing),
            "coupler_to_first_axle_in": float(first),
            "empty_coupler": exact(trailer_lb - on_axles),
            "empty_axles": exact(on_axles),
        },
    )
    items = [
        (rng.uniform(300, 30_000), float(rng.randint(-60, int(group) + 260))) for _ in range(rng.randint(0, 4))
    ]
    return rig, float(truck_cg), float(trailer_cg), items


@pytest.mark.parametrize("reactions_lb", [by_anastruct, by_pynite])
@pytest.mark.parametrize("seed", range(RIGS))
def test_reactions_agree_and_sum_to_the_weight(seed: int, reactions_lb: Reactions) -> None:
    rig, truck_cg, trailer_cg, items = random_rig(random.Random(seed))
    truck, trailer = rig.truck, rig.trailer
    group = trailer.coupler_to_first_axle_in + trailer.axle_spacing_in * (trailer.axles - 1) / 2
    trailer_lb = trailer.empty_coupler.nominal_lb + trailer.empty_axles.nominal_lb
    coupler_lb, axles_lb = reactions_lb((0.0, group), [(trailer_lb, trailer_cg), *items])
    truck_lb = truck.empty_front_lb + truck.empty_rear_lb
    front_lb, rear_lb = reactions_lb(
        (0.0, truck.wheelbase_in), [(truck_lb, truck_cg), (coupler_lb, truck.coupler_in)]
    )

    loads = rig_loads(rig, [lb for lb, _ in items], [x for _, x in items])
    gross_lb = truck_lb + trailer_lb + sum(lb for lb, _ in items)
    noise_lb = 1e-9 * gross_lb  # for a load that is itself near zero
    assert loads.coupler_lb == pytest.approx(coupler_lb, rel=RELATIVE, abs=noise_lb)
    assert loads.trailer_axle_group_lb == pytest.approx(axles_lb, rel=RELATIVE, abs=noise_lb)
    assert loads.front_lb == pytest.approx(front_lb, rel=RELATIVE, abs=noise_lb)
    assert loads.rear_lb == pytest.approx(rear_lb, rel=RELATIVE, abs=noise_lb)
    assert loads.gross_lb == pytest.approx(gross_lb, rel=1e-12)
    assert front_lb + rear_lb + axles_lb == pytest.approx(gross_lb, rel=RELATIVE)
    assert sum(loads.rear_axles_lb) == pytest.approx(loads.rear_lb, rel=1e-12)


def test_the_draws_hold_every_kind_of_hitch_and_a_lifted_coupler() -> None:
    draws = [random_rig(random.Random(seed)) for seed in range(RIGS)]
    assert {(rig.truck.coupler_ahead_in > 0) - (rig.truck.coupler_ahead_in < 0) for rig, *_ in draws} == {-1, 0, 1}
    lifted = [
        rig_loads(rig, [w for w, _ in items], [x for _, x in items]).coupler_lb < 0 for rig, _, _, items in draws
    ]
    assert {True, False} == set(lifted)
    assert {len(items) for *_, items in draws} == {0, 1, 2, 3, 4}
