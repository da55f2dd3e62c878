"""The verifier's checks of a leg: ratings, balance, law, site limits, licence, permit.

The worst case over the weight tolerances is found by trying every corner: each item on deck and each of the
trailer's two empty weights at its least and at its greatest. Every check is linear in the weights, or a quotient
of two linear forms, so its worst case is at a corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from dispatch.axle_loads import RigLoads, axle_positions, cg_in, contact_load_beyond, rig_loads, to_coupler
from dispatch.axle_rules import axle_roles
from dispatch.bridge import axle_group_limits
from dispatch.fleet import Deck, Hitch, Rig
from dispatch.items import Item
from dispatch.licences import class_needed, covers
from dispatch.moves import Haul
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN, SLACK_LB
from dispatch.verify_findings import NumberedTrip, Violation, aboard_when_leaving, known


@dataclass(frozen=True, slots=True)
class Corner:
    """One combination of true weights: the items' in pounds, and what it puts on the rig."""

    weights_lb: tuple[float, ...]
    loads: RigLoads


@dataclass(frozen=True, slots=True)
class Rule:
    """A quantity with a limit. ``law``: a permit lifts it. ``least``: the limit is a lower one.

    A rule whose quantity is a per cent of the loaded trailer has the unit ``%``.
    """

    kind: str
    unit: str
    limit: float | None
    quantity: Callable[[Corner], float]
    law: bool = False
    least: bool = False


def trip_legs(one: NumberedTrip) -> Iterator[Leg]:
    """The loaded legs of a trip, rebuilt from its stops."""
    places = {placed.haul: placed for placed in one.trip.placements}
    states = aboard_when_leaving(one.trip)
    for (stop, following), aboard in zip(pairwise(one.trip.stops), states, strict=False):
        on_deck = tuple(places[haul] for haul in aboard if haul in places)
        yield Leg(stop.site, following.site, stop.leave_min, following.arrive_min, on_deck)


def trip_load_violations(problem: Problem, rig: Rig, one: NumberedTrip) -> list[Violation]:
    """Violations on every leg of a trip."""
    found = []
    for leg in trip_legs(one):
        where = f"{one.where}, leg {leg.origin} to {leg.destination}"
        found += leg_violations(problem, rig, leg, where)
    return found


def leg_violations(problem: Problem, rig: Rig, leg: Leg, where: str = "leg") -> list[Violation]:
    """Every limit that the rig breaks on a loaded leg, in the worst case, and the permit's hours."""
    on_deck = tuple(placed for placed in leg.on_deck if _can_stand(problem, rig, placed))
    hauls = tuple(problem.hauls[placed.haul] for placed in on_deck)
    broken = list(_broken(problem, rig, leg, on_deck, where))
    permit = hauls[0].permit if len(leg.on_deck) == len(hauls) == 1 else None
    found = [violation for rule, violation in broken if not (rule.law and permit)]
    if permit and len(found) < len(broken):
        found += _permit_hours(hauls[0], leg, where)
    return found


def _can_stand(problem: Problem, rig: Rig, placed: Placed) -> bool:
    """Whether the placement names something that exists; what does not is reported with the deck."""
    return known(problem, placed.haul) and (placed.deck is Deck.MAIN or rig.trailer.neck is not None)


def _broken(
    problem: Problem, rig: Rig, leg: Leg, on_deck: Sequence[Placed], where: str
) -> Iterator[tuple[Rule, Violation]]:
    items = tuple(problem.hauls[placed.haul].item for placed in on_deck)
    corners = all_corners(rig, on_deck, items)
    rules = [*rating_rules(problem, rig), *law_rules(problem, rig), *deck_rules(rig, on_deck, items)]
    rules += [*size_rules(problem, rig, on_deck, items), *site_rules(problem, rig, leg, on_deck, items)]
    for rule in rules:
        violation = broken_rule(rule, corners, where)
        if violation is not None:
            yield rule, violation
    licence = _licence(problem, rig, corners, where)
    if licence is not None:
        yield Rule("Licence", "", None, lambda _: 0.0), licence


def all_corners(rig: Rig, on_deck: Sequence[Placed], items: Sequence[Item]) -> tuple[Corner, ...]:
    """The rig's loads at every combination of least and greatest true weights: 2^(items + 2) of them."""
    cgs = [
        to_coupler(rig.trailer, placed.deck, cg_in(item, placed.facing, placed.front_edge_in))
        for placed, item in zip(on_deck, items, strict=True)
    ]
    empty = (rig.trailer.empty_coupler, rig.trailer.empty_axles)
    ends = [{weight.low_lb, weight.high_lb} for weight in (*(item.weight for item in items), *empty)]
    corners = []
    for *weights, coupler, axles in product(*(sorted(end) for end in ends)):
        loads = rig_loads(rig, weights, cgs, empty_coupler_lb=coupler, empty_axles_lb=axles)
        corners.append(Corner(tuple(weights), loads))
    return tuple(corners)


def broken_rule(rule: Rule, corners: Sequence[Corner], where: str) -> Violation | None:
    """The violation of a rule in its worst corner, or ``None`` when it holds or has no limit."""
    if rule.limit is None:
        return None
    sign = -1 if rule.least else 1
    corner = max(corners, key=lambda one: sign * rule.quantity(one))
    worst = rule.quantity(corner)
    over = sign * (worst - rule.limit)
    if over <= _slack(rule.unit, corner):
        return None
    side = "under" if rule.least else "over"
    return Violation(rule.kind, where, worst, rule.limit, f"{over:,.2f} {rule.unit} {side} in the worst case")


def _slack(unit: str, corner: Corner) -> float:
    """Rounding noise allowed, in the rule's unit: that of a weight is the same for a share of the trailer."""
    if unit == "%":
        return SLACK_LB / corner.loads.trailer_lb * 100
    return SLACK_IN if unit == "in" else SLACK_LB


def rating_rules(problem: Problem, rig: Rig) -> Iterator[Rule]:
    """Ratings of trailer, truck and combination, and the balance of the coupler and the steer axle."""
    truck, trailer, settings = rig.truck, rig.trailer, problem.settings
    least_axle_lb = min(trailer.axle_rating_lb, trailer.tyre_rating_lb or trailer.axle_rating_lb)
    band = settings.coupler_bands[trailer.hitch]

    def most(kind: str, limit: float | None, quantity: Callable[[RigLoads], float]) -> Rule:
        return Rule(kind, "lb", limit, lambda corner: quantity(corner.loads))

    yield most("Trailer GVWR", trailer.gvwr_lb, lambda loads: loads.trailer_lb)
    for axle in range(trailer.axles):
        yield most(f"Trailer axle {axle + 1}", trailer.axle_rating_lb, _trailer_axle(axle))
    yield most("Trailer axle group", trailer.axles * least_axle_lb, lambda loads: sum(loads.trailer_axles_lb))
    yield most("Trailer tyres", trailer.tyre_rating_lb, lambda loads: max(loads.trailer_axles_lb))
    yield most("Coupler rating", trailer.coupler_rating_lb, lambda loads: loads.coupler_lb)
    yield most("Hitch rating", truck.hitch_rating_lb, lambda loads: loads.coupler_lb)
    yield Rule("Coupler share least", "%", band.least_pct, _coupler_pct, least=True)
    yield Rule("Coupler share most", "%", band.most_pct, _coupler_pct)
    yield Rule("coupler lifts", "lb", 0.0, lambda corner: corner.loads.coupler_lb, least=True)
    yield most("Truck front axle", truck.front_rating_lb, lambda loads: loads.front_lb)
    yield most("Truck rear axles", truck.rear_rating_lb, lambda loads: loads.rear_lb)
    yield most("Truck front tyres", truck.front_tyre_rating_lb, lambda loads: loads.front_lb)
    yield most("Truck rear tyres", truck.rear_tyre_rating_lb, lambda loads: loads.rear_lb)
    yield most("Truck GVWR", truck.gvwr_lb, lambda loads: loads.front_lb + loads.rear_lb)
    yield most("GCWR", truck.gcwr_lb, lambda loads: loads.gross_lb)
    yield most("Tow rating", truck.tow_rating_lb, lambda loads: loads.trailer_lb)
    yield most("Registered weight", truck.registered_weight_lb, lambda loads: loads.gross_lb)
    least_steer_lb = truck.empty_front_lb * settings.steer_least_pct / 100
    yield Rule("Steer least", "lb", least_steer_lb, lambda corner: corner.loads.front_lb, least=True)


def _trailer_axle(axle: int) -> Callable[[RigLoads], float]:
    return lambda loads: loads.trailer_axles_lb[axle]


def _coupler_pct(corner: Corner) -> float:
    """Coupler share of the loaded trailer, per cent."""
    return corner.loads.coupler_lb / corner.loads.trailer_lb * 100


def law_rules(problem: Problem, rig: Rig) -> Iterator[Rule]:
    """Legal weight of every axle and group, gross, and tyre load per inch of width."""
    rules = problem.rules
    for group in axle_group_limits(axle_positions(rig), rules, roles=axle_roles(rig)):
        single = group.first == group.last
        numbers = f"axle {group.first + 1}" if single else f"axles {group.first + 1}-{group.last + 1}"
        yield Rule(f"Legal {numbers}", "lb", group.limit_lb, _axles(group.first, group.last), law=True)
    gross_lb = rules.value("gross_lb")
    yield Rule("Legal gross", "lb", gross_lb, lambda corner: corner.loads.gross_lb, law=True)
    if rules.bridge == "eu_annex":
        yield from _directive_rules(problem, rig)
    yield from _tyre_width_rules(problem, rig)


def _directive_rules(problem: Problem, rig: Rig) -> Iterator[Rule]:
    """Directive 96/53/EC, Annex I, 2.1 and 4.1: drawbar trailers; a quarter of gross on driven axles."""
    rules, trailer = problem.rules, rig.trailer
    drawn = trailer.hitch in {Hitch.BALL, Hitch.PINTLE}
    if drawn and trailer.axles > 1:
        most_lb = rules.value("trailer_two_axles_lb" if trailer.axles == 2 else "trailer_three_axles_lb")
        yield Rule("Legal trailer", "lb", most_lb, lambda corner: corner.loads.trailer_lb, law=True)
    least_pct = rules.value("driving_axles_pct")
    if least_pct is not None:
        yield Rule("Driving axles least", "lb", 0.0, _driving_surplus(least_pct), law=True, least=True)


def _driving_surplus(least_pct: float) -> Callable[[Corner], float]:
    """What the driving axles carry over their least share of gross."""
    return lambda corner: corner.loads.rear_lb - corner.loads.gross_lb * least_pct / 100


def _axles(first: int, last: int) -> Callable[[Corner], float]:
    def carried(corner: Corner) -> float:
        loads = corner.loads
        return sum((loads.front_lb, *loads.rear_axles_lb, *loads.trailer_axles_lb)[first : last + 1])

    return carried


def _tyre_width_rules(problem: Problem, rig: Rig) -> Iterator[Rule]:
    truck, trailer, per_in = rig.truck, rig.trailer, problem.rules.value("tyre_lb_per_in")
    steer_per_in = problem.rules.value("steer_tyre_lb_per_in")
    if steer_per_in is None:
        steer_per_in = per_in
    if truck.front_tyre_width_in is not None and steer_per_in is not None:
        limit = steer_per_in * 2 * truck.front_tyre_width_in
        yield Rule("Tyre width", "lb", limit, lambda corner: corner.loads.front_lb)
    if per_in is None:
        return
    if truck.rear_tyre_width_in is not None:
        limit = per_in * truck.rear_tyres * truck.rear_tyre_width_in
        yield Rule("Tyre width", "lb", limit, lambda corner: corner.loads.rear_lb)
    if trailer.tyre_width_in is not None:
        limit = per_in * trailer.tyres_per_axle * trailer.tyre_width_in
        yield Rule("Tyre width", "lb", limit, lambda corner: max(corner.loads.trailer_axles_lb))


def deck_rules(rig: Rig, on_deck: Sequence[Placed], items: Sequence[Item]) -> Iterator[Rule]:
    """What stands on the dovetail and on the neck deck while driving."""
    trailer = rig.trailer
    hinge_in = trailer.deck_length_in - trailer.dovetail_length_in
    standing = tuple(zip(on_deck, items, strict=True))

    def on_dovetail(corner: Corner) -> float:
        return sum(
            contact_load_beyond(item, placed.facing, placed.front_edge_in, weight_lb, hinge_in)
            for (placed, item), weight_lb in zip(standing, corner.weights_lb, strict=True)
            if placed.deck is Deck.MAIN
        )

    def on_neck(corner: Corner) -> float:
        weights = zip(standing, corner.weights_lb, strict=True)
        return sum(weight_lb for (placed, _), weight_lb in weights if placed.deck is Deck.NECK)

    if trailer.dovetail_length_in > 0:
        yield Rule("Dovetail", "lb", trailer.dovetail_rating_lb, on_dovetail)
    if trailer.neck is not None:
        yield Rule("Neck deck", "lb", trailer.neck.rating_lb, on_neck)


def size_rules(problem: Problem, rig: Rig, on_deck: Sequence[Placed], items: Sequence[Item]) -> Iterator[Rule]:
    """Width, height and length of the loaded rig by law, and how far a body reaches past the deck."""
    rules = problem.rules
    width_in = max([rig.trailer.deck_width_in, *(item.width_in for item in items)])
    beyond_in = rear_in(rig, on_deck, items) - rig.trailer.deck_from_coupler_in - rig.trailer.deck_length_in
    height_in, length_in = loaded_height_in(rig, on_deck, items), rig_length_in(rig, on_deck, items)
    yield Rule("Width", "in", rules.value("width_in"), lambda _: width_in, law=True)
    yield Rule("Height", "in", rules.value("height_in"), lambda _: height_in, law=True)
    length_key = "length_in"
    if rules.bridge == "eu_annex" and rig.trailer.hitch in {Hitch.BALL, Hitch.PINTLE}:
        length_key = "length_drawbar_in"
    yield Rule("Length", "in", rules.value(length_key), lambda _: length_in, law=True)
    yield Rule("Overhang", "in", problem.settings.rear_overhang_in, lambda _: beyond_in)


def rear_in(rig: Rig, on_deck: Sequence[Placed], items: Sequence[Item]) -> float:
    """Rearmost end of the bodies on deck, inches behind the coupler; the deck's end when that is further."""
    ends = [
        to_coupler(rig.trailer, placed.deck, placed.front_edge_in + item.length_in)
        for placed, item in zip(on_deck, items, strict=True)
    ]
    return max([rig.trailer.deck_from_coupler_in + rig.trailer.deck_length_in, *ends])


def rig_length_in(rig: Rig, on_deck: Sequence[Placed] = (), items: Sequence[Item] = ()) -> float:
    """Overall length from the front bumper to the rearmost point of trailer or load, inches."""
    truck, trailer = rig.truck, rig.trailer
    deck_end = trailer.deck_from_coupler_in + trailer.deck_length_in + trailer.deck_to_rear_in
    tail = max(deck_end, rear_in(rig, on_deck, items))
    return truck.front_overhang_in + truck.wheelbase_in - truck.coupler_ahead_in + tail


def loaded_height_in(rig: Rig, on_deck: Sequence[Placed], items: Sequence[Item]) -> float:
    """Height over the ground of truck, deck or the highest item, inches."""
    neck = rig.trailer.neck
    tops = [rig.truck.height_in or 0.0, rig.trailer.deck_height_in]
    for placed, item in zip(on_deck, items, strict=True):
        on_neck = placed.deck is Deck.NECK and neck is not None
        tops.append(item.height_in + (neck.height_in if on_neck and neck else rig.trailer.deck_height_in))
    return max(tops)


def site_rules(
    problem: Problem, rig: Rig, leg: Leg, on_deck: Sequence[Placed], items: Sequence[Item]
) -> Iterator[Rule]:
    """Limits of the sites at both ends of the leg."""
    height_in, length_in = loaded_height_in(rig, on_deck, items), rig_length_in(rig, on_deck, items)
    for name in dict.fromkeys((leg.origin, leg.destination)):
        site = problem.sites.get(name)
        if site is None:
            continue
        yield Rule("Site length", "in", site.longest_rig_in, lambda _: length_in)
        yield Rule("Site height", "in", site.highest_load_in, lambda _: height_in)
        yield Rule("Site gross", "lb", site.heaviest_gross_lb, lambda corner: corner.loads.gross_lb)


def _licence(problem: Problem, rig: Rig, corners: Sequence[Corner], where: str) -> Violation | None:
    """The driver's class against the one that ratings or the heaviest true weights ask for."""
    needed = class_needed(
        rig.truck.gvwr_lb,
        rig.trailer.gvwr_lb,
        max(corner.loads.gross_lb for corner in corners),
        problem.rules,
        actual_truck_lb=max(corner.loads.front_lb + corner.loads.rear_lb for corner in corners),
        actual_trailer_lb=max(corner.loads.trailer_lb for corner in corners),
        truck_axles=1 + rig.truck.rear_axles,
    )
    if covers(rig.licence, needed, problem.rules):
        return None
    return Violation("Licence", where, str(rig.licence), str(needed), "the driver's class is too low")


def _permit_hours(haul: Haul, leg: Leg, where: str) -> list[Violation]:
    """A leg over a limit of law runs from departure to arrival inside the permit's hours."""
    permit = haul.permit
    found = []
    if permit is not None and permit.from_min is not None and leg.depart_min < permit.from_min:
        text = "departs over a limit of law before the permit's hours"
        found.append(Violation("permit hours", where, leg.depart_min, permit.from_min, text))
    if permit is not None and permit.to_min is not None and leg.arrive_min > permit.to_min:
        text = "arrives over a limit of law after the permit's hours"
        found.append(Violation("permit hours", where, leg.arrive_min, permit.to_min, text))
    return found
