"""Builders of plausible domain objects for tests, without files: every argument has a default.

The default rig is a one-and-a-half-ton truck with a three-axle gooseneck trailer of 24,000 lb; the default
item rides on it alone within every rating, balance band and limit of law. All figures are invented.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any

from dispatch.assemble import assemble
from dispatch.fleet import Hitch, Licence, NeckDeck, Rig, Trailer, Truck
from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, WeightBasis
from dispatch.limits import RuleSet, load_rule_set
from dispatch.moves import Move
from dispatch.problem import Problem
from dispatch.settings import Settings
from dispatch.sites import Road, Site

EITHER = (Facing.FORWARD, Facing.REARWARD)


def item(
    name: str = "loader",
    weight_lb: float = 10_000,
    length_in: float = 144,
    basis: WeightBasis = WeightBasis.DATA_PLATE,
    settings: Settings | None = None,
    **overrides: Any,
) -> Item:
    """A tracked machine with its centre of gravity over the middle of its contact; drives on."""
    start = overrides.get("contact_from_in", 0.0)
    contact_length = overrides.get("contact_length_in", length_in - start)
    values: dict[str, Any] = {
        "description": "",
        "kind": Kind.MACHINE,
        "weight": (settings or Settings()).weight(weight_lb, basis),
        "width_in": 70.0,
        "height_in": 84.0,
        "cg_in": start + contact_length / 2,
        "contact_from_in": start,
        "contact_length_in": contact_length,
        "contact_width_in": 68.0,
        "contact": Contact.TRACKS,
        "two_axles": False,
        "loads_by": LoadsBy.DRIVES_ON,
        "facings": EITHER,
        "tie_down_points": 4,
    }
    return Item(name=name, length_in=length_in, **(values | overrides))


def lifted(name: str = "bucket", weight_lb: float = 900, length_in: float = 48, **overrides: Any) -> Item:
    """An attachment that is lifted on and off."""
    values: dict[str, Any] = {
        "kind": Kind.ATTACHMENT,
        "loads_by": LoadsBy.LIFTED,
        "contact": Contact.SKIDS,
        "height_in": 40.0,
    }
    return item(name, weight_lb, length_in, **(values | overrides))


def truck(name: str = "truck 1", **overrides: Any) -> Truck:
    """A two-axle truck with dual rear tyres and a gooseneck hitch 6 in ahead of the rear axle."""
    values: dict[str, Any] = {
        "gvwr_lb": 19_500.0,
        "gcwr_lb": 40_000.0,
        "front_rating_lb": 7_000.0,
        "rear_rating_lb": 14_500.0,
        "empty_front_lb": 4_800.0,
        "empty_rear_lb": 3_900.0,
        "wheelbase_in": 193.0,
        "coupler_ahead_in": 6.0,
    }
    return Truck(name=name, **(values | overrides))


def trailer(
    name: str = "trailer 1",
    empty_coupler_lb: float = 1_600,
    empty_axles_lb: float = 6_400,
    basis: WeightBasis = WeightBasis.SCALE_TICKET,
    settings: Settings | None = None,
    **overrides: Any,
) -> Trailer:
    """A three-axle gooseneck: axles 264, 306 and 348 in behind the coupler, 28 ft of deck from 84 in on."""
    weight = (settings or Settings()).weight
    axles = overrides.get("axles", 3)
    values: dict[str, Any] = {
        "hitch": Hitch.GOOSENECK,
        "gvwr_lb": 24_000.0,
        "axles": axles,
        "axle_rating_lb": 8_000.0,
        "axle_spacing_in": 42.0,
        "coupler_to_first_axle_in": 264.0,
        "empty_coupler": weight(empty_coupler_lb, basis),
        "empty_axles": weight(empty_axles_lb, basis),
        "shares": tuple(1 / axles for _ in range(axles)),
        "deck_from_coupler_in": 84.0,
        "deck_length_in": 336.0,
        "deck_width_in": 102.0,
        "deck_height_in": 36.0,
        "anchor_points": 12,
        "anchor_rating_lb": 6_600.0,
    }
    return Trailer(name=name, **(values | overrides))


def neck(**overrides: Any) -> NeckDeck:
    """A deck of 8 ft over the gooseneck, rated 4,000 lb."""
    values: dict[str, Any] = {
        "from_coupler_in": -24.0,
        "length_in": 96.0,
        "width_in": 96.0,
        "height_in": 60.0,
        "rating_lb": 4_000.0,
    }
    return NeckDeck(**(values | overrides))


def rig(name: str = "rig 1", **overrides: Any) -> Rig:
    """The default truck and trailer, a class A driver, yard ``yard``, 06:00 to 18:00."""
    values: dict[str, Any] = {
        "truck": overrides.get("truck") or truck(f"{name} truck"),
        "trailer": overrides.get("trailer") or trailer(f"{name} trailer"),
        "driver": f"{name} driver",
        "licence": Licence.A,
        "yard": "yard",
        "end": overrides.get("yard", "yard"),
        "shift_start_min": 6 * 60,
        "shift_end_min": 18 * 60,
        "chain_rating_lb": 6_600.0,
        "strap_rating_lb": 3_300.0,
        "cost_per_hour_usd": 90.0,
        "cost_per_mile_usd": 2.25,
    }
    return Rig(name=name, **(values | overrides))


def site(name: str = "yard", **overrides: Any) -> Site:
    """A site that is always open, without limits, with a lift."""
    return Site(name=name, **overrides)


def move(name: str = "move 1", item_: Item | None = None, **overrides: Any) -> Move:
    """The default item from ``a`` to ``b`` at any time; ``item_`` is the item (``item`` works too)."""
    values: dict[str, Any] = {
        "item": item_ or item(),
        "origin": "a",
        "destination": "b",
        "load_min": 20,
        "unload_min": 15,
    }
    return Move(name=name, **(values | overrides))


def road(origin: str = "a", destination: str = "b", miles: float = 10.0, **overrides: Any) -> Road:
    """A measured road; ten miles when nothing is said."""
    return Road(origin=origin, destination=destination, tenths_mi=round(miles * 10), **overrides)


def all_roads(names: Sequence[str], miles: float = 10.0, minutes: int | None = 20) -> tuple[Road, ...]:
    """One road, both ways, between each two of the places."""
    return tuple(
        road(first, second, miles, minutes=minutes)
        for index, first in enumerate(names)
        for second in names[index + 1 :]
    )


@cache
def rules() -> RuleSet:
    """The US federal rule set without overrides, read once: nothing can change it."""
    return load_rule_set("US federal")


def problem(
    moves: Sequence[Move] | None = None,
    rigs: Sequence[Rig] | None = None,
    *,
    items: Sequence[Item] | None = None,
    sites: Mapping[str, Site] | Iterable[Site] | None = None,
    roads: Sequence[Road] | None = None,
    settings: Settings | None = None,
    rule_set: RuleSet | None = None,
) -> Problem:
    """A day: one move and one rig by default. Items, sites and roads follow from the moves and rigs.

    ``items`` adds companions that no move carries; without ``roads`` every two places are ten miles and
    twenty minutes apart.
    """
    moves = (move(),) if moves is None else tuple(moves)
    rigs = (rig(),) if rigs is None else tuple(rigs)
    carried = {one.item.name: one.item for one in moves} | {one.name: one for one in items or ()}
    places: list[str] = []
    for one in rigs:
        places += [one.yard, one.end]
    for one_move in moves:
        places += [one_move.origin, one_move.destination]
    names = list(dict.fromkeys(places))
    given = sites if isinstance(sites, Mapping) else {one.name: one for one in sites or ()}
    named = {name: given.get(name, site(name)) for name in names} | dict(given)
    return assemble(
        items=tuple(carried.values()),
        rigs=rigs,
        sites=named,
        moves=moves,
        roads=all_roads(list(named)) if roads is None else tuple(roads),
        settings=settings or Settings(),
        rules=rule_set or rules(),
    )
