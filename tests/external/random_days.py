"""Tiny random days, drawn from a seed: at most six moves and two rigs, with every kind of constraint made tight.

Decks are short, so that every whole-inch placement can be tried. All figures are invented.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from typing import Any

from dispatch.fleet import Hitch, Rig, Trailer, Truck
from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, WeightBasis
from dispatch.moves import Move, Permit
from dispatch.problem import Problem
from dispatch.settings import Band, Settings
from dispatch.sites import Road, Site
from tests import factories as make

PLACES = ("yard", "a", "b", "c")
ONE_WAY = ((Facing.FORWARD,), (Facing.REARWARD,))


@dataclass(frozen=True)
class Sizes:
    """How big a day is drawn."""

    most_moves: int = 6
    most_rigs: int = 2


def random_day(seed: int, sizes: Sizes = Sizes()) -> Problem:
    """The day of a seed; the same seed gives the same day."""
    rng = random.Random(seed)
    settings = _settings(rng)
    rigs = _rigs(rng, settings, sizes.most_rigs)
    sites = _sites(rng)
    moves, companions = _moves(rng, settings, rigs, rng.randint(2, sizes.most_moves))
    return make.problem(
        moves, rigs, items=companions, sites=sites, roads=_roads(rng), settings=settings, rule_set=make.rules()
    )


def chance(rng: random.Random, share: float) -> bool:
    return rng.random() < share


def _settings(rng: random.Random) -> Settings:
    bands = {
        Hitch.GOOSENECK: rng.choice([Band(10, 30), Band(15, 30), Band(18, 26), Band(20, 24)]),
        Hitch.FIFTH_WHEEL: rng.choice([Band(0, 100), Band(20, 30)]),
        Hitch.PINTLE: rng.choice([Band(5, 25), Band(10, 20), Band(12, 17)]),
        Hitch.BALL: Band(10, 20),
    }
    return Settings(
        hook_min=rng.choice([10, 20, 35]),
        gap_in=rng.choice([6.0, 12.0]),
        front_clearance_in=rng.choice([0.0, 6.0]),
        rear_overhang_in=rng.choice([0.0, 0.0, 12.0, 24.0]),
        steer_least_pct=rng.choice([80.0, 80.0, 80.0, 92.0]),
        coupler_bands=bands,
    )


# Rigs


def _rigs(rng: random.Random, settings: Settings, most: int) -> tuple[Rig, ...]:
    count = rng.randint(1, most)
    rigs = [_rig(rng, settings, number) for number in range(1, count + 1)]
    if count == 2 and chance(rng, 0.3):
        rigs[0] = replace(rigs[0], end=rigs[0].yard)
        rigs[1] = _sharing(rng, rigs[0], rigs[1])
    if count == 2 and chance(rng, 0.1):
        rigs[1] = replace(rigs[0], name="rig 2", driver="driver 2")
        rigs[1] = replace(rigs[1], truck=replace(rigs[0].truck, name="truck 2"))
        rigs[1] = replace(rigs[1], trailer=replace(rigs[0].trailer, name="trailer 2"))
    return tuple(rigs)


def _sharing(rng: random.Random, first: Rig, second: Rig) -> Rig:
    """The second rig with the first one's truck (if the hitch fits) or driver, from the same yard."""
    second = replace(second, yard=first.yard, end=second.yard)
    if first.trailer.hitch is second.trailer.hitch and chance(rng, 0.7):
        return replace(second, truck=first.truck)
    return replace(second, driver=first.driver, driving_limit_min=first.driving_limit_min)


def _rig(rng: random.Random, settings: Settings, number: int) -> Rig:
    kind = rng.choice(["gooseneck", "gooseneck", "tag", "lowbed"])
    start = rng.choice([360, 420, 480])
    return make.rig(
        f"rig {number}",
        truck=_truck(rng, number, kind),
        trailer=_trailer(rng, settings, number, kind),
        driver=f"driver {number}",
        end="a" if chance(rng, 0.08) else "yard",
        shift_start_min=start,
        shift_end_min=start + rng.choice([270, 360, 480, 600]),
        driving_limit_min=rng.choice([None, None, None, None, 120, 200]),
        chains=rng.choice([6, 8, 10, 12]),
        straps=rng.choice([2, 4, 8]),
        chain_rating_lb=rng.choice([None, 3_900.0, 5_400.0]),
        strap_rating_lb=rng.choice([None, 2_000.0, 3_000.0]),
    )


def _truck(rng: random.Random, number: int, kind: str) -> Truck:
    common: dict[str, Any] = {"tow_rating_lb": rng.choice([None, None, 16_000.0])}
    if kind == "tag":
        return make.truck(
            f"truck {number}",
            gvwr_lb=33_000.0,
            gcwr_lb=rng.choice([38_000.0, 50_000.0]),
            front_rating_lb=12_000.0,
            rear_rating_lb=21_000.0,
            empty_front_lb=8_200.0,
            empty_rear_lb=9_400.0,
            wheelbase_in=190.0,
            coupler_ahead_in=-float(rng.randint(50, 75)),
            hitch=Hitch.PINTLE,
            hitch_rating_lb=rng.choice([None, 3_000.0]),
            **common,
        )
    return make.truck(
        f"truck {number}",
        gcwr_lb=rng.choice([25_000.0, 32_000.0, 40_000.0]),
        hitch=Hitch.GOOSENECK if kind == "gooseneck" else Hitch.FIFTH_WHEEL,
        coupler_ahead_in=float(rng.randint(0, 12)),
        rear_axles=rng.choice([1, 1, 2]),
        registered_weight_lb=rng.choice([None, 26_000.0]),
        height_in=rng.choice([None, 100.0]),
        **common,
    )


def _trailer(rng: random.Random, settings: Settings, number: int, kind: str) -> Trailer:
    """A short trailer whose axles stand somewhat behind the middle of its deck."""
    axles = rng.choice([2, 2, 3])
    deck_in, ahead_in = float(rng.randint(150, 250)), float(rng.randint(50, 84))
    spacing_in = rng.choice([34.0, 42.0])
    middle_in = ahead_in + deck_in * rng.uniform(0.56, 0.74)
    share = {"gooseneck": 0.2, "tag": 0.12, "lowbed": 0.25}[kind]
    empty_lb = rng.uniform(4_000, 7_500)
    ratings = _trailer_ratings(rng, axles)
    return make.trailer(
        f"trailer {number}",
        round(empty_lb * share, -1),
        round(empty_lb * (1 - share), -1),
        rng.choice([WeightBasis.SCALE_TICKET, WeightBasis.DATA_PLATE]),
        settings,
        hitch={"gooseneck": Hitch.GOOSENECK, "tag": Hitch.PINTLE, "lowbed": Hitch.FIFTH_WHEEL}[kind],
        axles=axles,
        axle_spacing_in=spacing_in,
        coupler_to_first_axle_in=float(round(middle_in - spacing_in * (axles - 1) / 2)),
        shares=(0.4, 0.6) if axles == 2 and chance(rng, 0.15) else (1 / axles,) * axles,
        deck_from_coupler_in=ahead_in,
        deck_length_in=deck_in,
        deck_height_in=float(rng.randint(24, 40)),
        deck_to_rear_in=float(rng.choice([0, 10])),
        **ratings,
        **_trailer_extras(rng, kind),
    )


def _trailer_ratings(rng: random.Random, axles: int) -> dict[str, Any]:
    return {
        "gvwr_lb": rng.choice([14_000.0, 18_000.0, 24_000.0]),
        "axle_rating_lb": rng.choice([5_200.0, 7_000.0, 9_000.0, 10_000.0]),
        "tyre_rating_lb": rng.choice([None, None, 6_800.0]),
        "coupler_rating_lb": rng.choice([None, 4_000.0]),
        "anchor_points": rng.choice([None, None, 12, 16, 20]),
        "anchor_rating_lb": rng.choice([None, 5_000.0]),
        "ramp_rating_lb": rng.choice([None, None, 9_000.0]),
    }


def _trailer_extras(rng: random.Random, kind: str) -> dict[str, Any]:
    extras: dict[str, Any] = {
        "winch_pull_lb": rng.choice([0.0, 2_500.0, 8_000.0]),
        "snatch_block": chance(rng, 0.3),
    }
    if chance(rng, 0.4):
        extras["dovetail_length_in"] = float(rng.choice([36, 48, 60]))
        extras["dovetail_rating_lb"] = rng.choice([1_500.0, 3_000.0, 5_000.0])
    if kind != "tag" and chance(rng, 0.4):
        extras["neck"] = make.neck(
            from_coupler_in=-24.0,
            length_in=float(rng.choice([60, 72])),
            height_in=60.0,
            rating_lb=rng.choice([None, 1_200.0, 3_000.0]),
        )
    return extras


# Places


def _sites(rng: random.Random) -> tuple[Site, ...]:
    return tuple(_site(rng, name) for name in PLACES)


def _site(rng: random.Random, name: str) -> Site:
    hours: dict[str, Any] = {}
    if chance(rng, 0.25):
        hours["opens_min"] = rng.choice([400, 480, 510])
    if chance(rng, 0.2):
        hours["closes_min"] = rng.choice([560, 640, 720])
    limits: dict[str, Any] = {}
    if name != "yard" and chance(rng, 0.06):
        limits["heaviest_gross_lb"] = rng.choice([24_000.0, 30_000.0])
    if name != "yard" and chance(rng, 0.06):
        limits["longest_rig_in"] = rng.choice([480.0, 540.0])
    if name != "yard" and chance(rng, 0.06):
        limits["highest_load_in"] = rng.choice([112.0, 124.0])
    extra = rng.choice([0, 0, 0, 5, 10])
    return make.site(name, extra_load_min=extra, lift_on_site=chance(rng, 0.9), **hours, **limits)


def _roads(rng: random.Random) -> tuple[Road, ...]:
    """Minutes from 5 to 60, without regard to the triangle inequality; some differ by direction."""
    roads = []
    for index, first in enumerate(PLACES):
        for second in PLACES[index + 1 :]:
            minutes = rng.choice([5, 8, 12, 20, 30, 45])
            roads.append(make.road(first, second, minutes * 0.7, minutes=minutes))
            if chance(rng, 0.15):
                other = rng.choice([10, 35])
                roads.append(make.road(second, first, other * 0.7, minutes=other, oneway=True))
    return tuple(roads)


# What is hauled


def _moves(
    rng: random.Random, settings: Settings, rigs: tuple[Rig, ...], count: int
) -> tuple[tuple[Move, ...], tuple[Item, ...]]:
    moves: list[Move] = []
    companions: list[Item] = []
    while len(moves) < count:
        number = len(moves)
        again = moves[-1] if moves else None
        if again is not None and again.item.kind is Kind.MACHINE and not again.companions and chance(rng, 0.12):
            moves.append(_next_move(rng, number, again))
            continue
        moves.append(_move(rng, number, _item(rng, settings, number), rigs))
        if chance(rng, 0.12):
            companion = _attachment(rng, settings, f"companion {number}")
            companions.append(companion)
            moves[-1] = replace(moves[-1], companions=(companion.name,))
        elif number and moves[-2].item is not moves[-1].item and chance(rng, 0.08):
            moves[-1] = replace(moves[-1], companions=(moves[-2].item.name,))
    return tuple(moves), tuple(companions)


def _next_move(rng: random.Random, number: int, before: Move) -> Move:
    """The machine of the move before goes on from where it was brought."""
    onward = rng.choice([place for place in PLACES if place not in (before.destination, before.origin)])
    return replace(
        before, name=f"m{number}", origin=before.destination, destination=onward, ready_min=None, due_min=None,
        permit=None, only_rigs=(), not_rigs=(),
    )  # fmt: skip


def _move(rng: random.Random, number: int, item: Item, rigs: tuple[Rig, ...]) -> Move:
    origin, destination = rng.sample(PLACES, 2)
    ready = rng.choice([None, None, None, 420, 480, 540])
    due = rng.choice([None, None, None, 540, 600, 660])
    if ready is not None and due is not None and due <= ready + 60:
        due = ready + rng.choice([60, 90])
    choice = rng.random()
    permit = None
    if item.width_in > 102 or chance(rng, 0.08):
        hours = rng.choice([(None, None), (480, 660), (500, 560)])
        permit = Permit("permit", hours[0], hours[1], 40.0)
    return make.move(
        f"m{number}",
        item,
        origin=origin,
        destination=destination,
        load_min=rng.choice([10, 20, 30]),
        unload_min=rng.choice([10, 15, 25]),
        ready_min=ready,
        due_min=due,
        priority=rng.choice([1, 1, 1, 2, 0.5, 3]),
        runs=not chance(rng, 0.15),
        only_rigs=(rigs[0].name,) if choice < 0.06 else (),
        not_rigs=(rigs[-1].name,) if choice > 0.94 else (),
        permit=permit,
    )


def _item(rng: random.Random, settings: Settings, number: int) -> Item:
    if chance(rng, 0.3):
        return _attachment(rng, settings, f"item {number}")
    length_in = float(rng.randint(60, 110))
    start_in = float(rng.choice([0, 0, 6, 14]))
    contact_in = length_in - start_in - rng.choice([0, 0, 8])
    wheels = chance(rng, 0.4)
    wide = chance(rng, 0.08)
    return make.item(
        f"item {number}",
        round(rng.uniform(1_500, 8_000), -1),
        length_in,
        rng.choice(list(WeightBasis)),
        settings,
        contact_from_in=start_in,
        contact_length_in=contact_in,
        cg_in=start_in + round(contact_in * rng.choice([0.5, 0.5, 0.5, 0.4, 0.62, 0.75])),
        contact=Contact.WHEELS if wheels else Contact.TRACKS,
        two_axles=wheels and chance(rng, 0.6),
        width_in=120.0 if wide else 80.0,
        height_in=float(rng.randint(60, 100)),
        facings=rng.choice([make.EITHER, make.EITHER, *ONE_WAY]),
    )


def _attachment(rng: random.Random, settings: Settings, name: str) -> Item:
    material = chance(rng, 0.4)
    return make.lifted(
        name,
        round(rng.uniform(400, 3_500), -1),
        float(rng.randint(36, 90)),
        basis=rng.choice([WeightBasis.ESTIMATE, WeightBasis.DATA_PLATE]),
        settings=settings,
        kind=Kind.MATERIAL if material else Kind.ATTACHMENT,
        loads_by=LoadsBy.LIFTED,
    )
