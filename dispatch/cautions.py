"""What a driver must know that forbids nothing: coupler lift while loading, winching, figures nobody gave."""

from __future__ import annotations

from collections.abc import Iterator

from dispatch.axle_loads import climb_coupler_lb
from dispatch.checks import Caution
from dispatch.fleet import Deck, Rig
from dispatch.items import LoadsBy
from dispatch.legality import dovetail_share, stand, winch_pull_lb
from dispatch.plan import Action, Trip
from dispatch.problem import Problem
from dispatch.securement import Hold, secure
from dispatch.units import SLACK_LB


def trip_cautions(problem: Problem, rig: Rig, trip: Trip) -> tuple[Caution, ...]:
    """What the driver must know: coupler lift while loading, winching, few tie-down points, unknown ratings."""
    return (
        *_climb_cautions(problem, rig, trip),
        *_item_cautions(problem, rig, trip),
        *_gear_cautions(rig),
        *_rating_cautions(rig),
        *_unrated_deck_cautions(problem, rig, trip),
    )


def _climb_cautions(problem: Problem, rig: Rig, trip: Trip) -> Iterator[Caution]:
    worst: dict[int, float] = {}
    places = {s.placed.haul: s for s in stand(problem, rig, trip.placements)}
    aboard: list[int] = []
    for stop in trip.stops:
        for task in stop.tasks:
            if task.action is Action.UNLOAD and task.haul in aboard:
                aboard.remove(task.haul)
            haul = problem.hauls[task.haul]
            if haul.how is not LoadsBy.LIFTED:
                others = [(places[h].item.weight, places[h].cg_in) for h in aboard]
                least = climb_coupler_lb(rig, others, haul.item.weight)
                worst[task.haul] = min(least, worst.get(task.haul, least))
            if task.action is Action.LOAD:
                aboard.append(task.haul)
    for number, least in worst.items():
        if least < -SLACK_LB:
            name = problem.hauls[number].item.name
            text = (
                f"{name} on the tail lifts the coupler by up to {-least:,.0f} lb: rear supports down, truck braked"
            )
            yield Caution("Coupler lifts while loading", text, least, "lb")


def _item_cautions(problem: Problem, rig: Rig, trip: Trip) -> Iterator[Caution]:
    for haul in (problem.hauls[number] for number in trip.hauls()):
        item = haul.item
        if haul.how is LoadsBy.WINCHED:
            pull = winch_pull_lb(problem, rig, item.weight.high_lb, item.contact)
            text = f"{item.name} is winched: line pull up to {pull:,.0f} lb at both ends, stand clear of the line"
            yield Caution("Winching", text, pull, "lb")
        (needed,) = secure((item,), rig).holdings
        if needed.hold is Hold.DIRECT and item.tie_down_points < needed.tie_downs:
            text = f"{item.name} has {item.tie_down_points} tie-down points and needs {needed.tie_downs} tie-downs"
            yield Caution("Few tie-down points", text, item.tie_down_points, "count")


def _gear_cautions(rig: Rig) -> Iterator[Caution]:
    if rig.chain_rating_lb is None or rig.strap_rating_lb is None:
        kinds = [
            kind
            for kind, rating in (("chain", rig.chain_rating_lb), ("strap", rig.strap_rating_lb))
            if rating is None
        ]
        text = f"{rig.name} has no {' or '.join(kinds)} rating in Rigs: working load limits not checked for them"
        yield Caution("Tie-down rating unknown", text)
    if rig.trailer.anchor_points is None:
        yield Caution(
            "Anchor points unknown", f"trailer {rig.trailer.name} has no number of anchor points: not checked"
        )


def _unrated_deck_cautions(problem: Problem, rig: Rig, trip: Trip) -> Iterator[Caution]:
    """A load on a neck deck or dovetail whose rating nobody gave."""
    trailer = rig.trailer
    standing = stand(problem, rig, trip.placements)
    hinge = trailer.deck_length_in - trailer.dovetail_length_in
    parts = (
        ("Neck deck", trailer.neck and trailer.neck.rating_lb, any(s.placed.deck is Deck.NECK for s in standing)),
        (
            "Dovetail",
            trailer.dovetail_rating_lb,
            trailer.dovetail_length_in > 0 and any(dovetail_share(s, hinge) > 0 for s in standing),
        ),
    )
    for part, rating_lb, loaded in parts:
        if loaded and rating_lb is None:
            text = f"trailer {trailer.name} has no {part} rating: what stands there is not checked against one"
            yield Caution(f"{part} rating unknown", text)


def _rating_cautions(rig: Rig) -> Iterator[Caution]:
    """Ratings that the sheets leave blank: nothing is held against them, and that must be seen."""
    truck, trailer = rig.truck, rig.trailer
    given = {
        "hitch": truck.hitch_rating_lb,
        "coupler": trailer.coupler_rating_lb,
        "tow": truck.tow_rating_lb,
        "registered weight": truck.registered_weight_lb,
        "truck front tyres": truck.front_tyre_rating_lb,
        "truck rear tyres": truck.rear_tyre_rating_lb,
        "trailer tyres": trailer.tyre_rating_lb,
        "ramp": trailer.ramp_rating_lb,
    }
    blank = [name for name, figure in given.items() if figure is None]
    if blank:
        text = f"{rig.name}: not checked, no figure given in Trucks or Trailers: {', '.join(blank)}"
        yield Caution("Ratings not given", text)
