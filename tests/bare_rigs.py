"""Rigs and days for hand-worked statics: true weights known exactly, ratings out of the way unless given.

``tests.factories`` builds plausible rigs with tolerances; here every figure is chosen so that a check can be
reckoned with pencil and paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from dispatch.checks import Check
from dispatch.fleet import Deck, Hitch, Rig
from dispatch.items import Facing, Item, Weight, WeightBasis
from dispatch.legality import leg_checks
from dispatch.limits import RuleSet
from dispatch.moves import Permit
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.settings import Band, Settings, Tolerance
from dispatch.sites import Site
from tests import factories as make

FREE = 1e9
"""A rating that never binds, pounds."""
EXACT = Settings(
    tolerances={basis: Tolerance(0.0, 0.0) for basis in WeightBasis},
    coupler_bands={hitch: Band(0.0, 100.0) for hitch in Hitch},
    steer_least_pct=0.0,
)
"""Weights as stated, balance free."""


def exact(weight_lb: float) -> Weight:
    """A weight without tolerance."""
    return Weight(weight_lb, weight_lb, weight_lb, WeightBasis.SCALE_TICKET)


def spread(nominal_lb: float, low_lb: float, high_lb: float) -> Weight:
    """A weight with its least and greatest true value."""
    return Weight(nominal_lb, low_lb, high_lb, WeightBasis.ESTIMATE)


def bare_rig(truck: dict[str, Any] | None = None, trailer: dict[str, Any] | None = None, **overrides: Any) -> Rig:
    """Truck: 10,000 lb on 200 in, coupler over the rear axle. Trailer: one axle 300 in behind, 1,000 + 3,000 lb.

    The deck runs from 50 to 350 in behind the coupler. Pass fields of truck and trailer to change them.
    """
    truck_values: dict[str, Any] = {
        "gvwr_lb": FREE,
        "gcwr_lb": FREE,
        "front_rating_lb": FREE,
        "rear_rating_lb": FREE,
        "empty_front_lb": 6_000.0,
        "empty_rear_lb": 4_000.0,
        "wheelbase_in": 200.0,
        "coupler_ahead_in": 0.0,
    }
    trailer_values: dict[str, Any] = {
        "gvwr_lb": FREE,
        "axles": 1,
        "axle_rating_lb": FREE,
        "coupler_to_first_axle_in": 300.0,
        "empty_coupler": exact(1_000.0),
        "empty_axles": exact(3_000.0),
        "deck_from_coupler_in": 50.0,
        "deck_length_in": 300.0,
    }
    return make.rig(
        truck=make.truck(**(truck_values | (truck or {}))),
        trailer=make.trailer(**(trailer_values | (trailer or {}))),
        **overrides,
    )


def point_item(name: str = "block", weight_lb: float = 1_000, **overrides: Any) -> Item:
    """A lifted load 20 in long with its centre of gravity in the middle, weight exact."""
    item = make.lifted(name, weight_lb, 20, **overrides)
    return item if "weight" in overrides else replace(item, weight=exact(weight_lb))


def day(
    rig: Rig,
    items: Sequence[Item],
    *,
    settings: Settings = EXACT,
    rule_set: RuleSet | None = None,
    permit: Permit | None = None,
    runs: bool = True,
    sites: Iterable[Site] = (),
) -> Problem:
    """A day with one move an item, all from ``a`` to ``b``; the permit is on every move."""
    moves = [make.move(f"M{i}", item, permit=permit, runs=runs) for i, item in enumerate(items)]
    return make.problem(moves, [rig], settings=settings, rule_set=rule_set, sites=sites)


def leg_of(*places: tuple[int, float] | Placed) -> Leg:
    """The leg from ``a`` to ``b`` with hauls placed: (haul, front edge on the main deck) or a placement."""
    on_deck = tuple(
        place if isinstance(place, Placed) else Placed(place[0], Deck.MAIN, int(place[1]), Facing.FORWARD)
        for place in places
    )
    return Leg("a", "b", 0, 0, on_deck)


def edge_for(rig: Rig, item: Item, cg_behind_coupler_in: float) -> int:
    """Front edge on the main deck, whole inches, that puts the centre of gravity there, facing forward."""
    edge = cg_behind_coupler_in - rig.trailer.deck_from_coupler_in - item.cg_in
    assert math.isclose(edge, round(edge), abs_tol=1e-9), edge
    return round(edge)


def checks_by_name(problem: Problem, rig: Rig, leg: Leg) -> dict[str, Check]:
    """The leg's checks by their name; every name stands once."""
    checks = leg_checks(problem, rig, leg)
    names = [check.name for check in checks]
    assert len(set(names)) == len(names), names
    return dict(zip(names, checks, strict=True))


def loaded_checks(
    rig: Rig, loads: Sequence[tuple[float, float]], *, settings: Settings = EXACT, **overrides: Any
) -> dict[str, Check]:
    """Checks of a leg with point items of (pounds, inches behind the coupler); weights exact."""
    items = [point_item(f"block {i}", weight) for i, (weight, _) in enumerate(loads)]
    problem = day(rig, items, settings=settings, **overrides)
    places = [(i, edge_for(rig, item, x)) for i, (item, (_, x)) in enumerate(zip(items, loads, strict=True))]
    return checks_by_name(problem, rig, leg_of(*places))
