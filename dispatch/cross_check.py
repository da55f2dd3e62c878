"""Contradictions within and between the sheets: what no single cell shows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from dispatch.assemble import chain, repeats
from dispatch.fleet import Hitch, Rig, Trailer, Truck
from dispatch.items import Item
from dispatch.moves import Move
from dispatch.problem import Fault, Problem, shares_gear
from dispatch.settings import Settings
from dispatch.sites import Road, Site
from dispatch.units import SLACK_IN, SLACK_LB, clock, feet_inches


def cross_check(
    problem: Problem, trucks: Iterable[Truck] = (), trailers: Iterable[Trailer] = ()
) -> tuple[Fault, ...]:
    """Every contradiction of the day. ``trucks`` and ``trailers``: those in no rig, checked as well.

    Unknown names are no matter of this check: the problem holds what could be found.
    """
    rigs = problem.rigs
    all_trucks = {truck.name: truck for truck in (*trucks, *(rig.truck for rig in rigs))}
    all_trailers = {trailer.name: trailer for trailer in (*trailers, *(rig.trailer for rig in rigs))}
    faults: list[Fault] = []
    for item in problem.items:
        faults += item_faults(item)
    for truck in all_trucks.values():
        faults += truck_faults(truck)
    for trailer in all_trailers.values():
        faults += trailer_faults(trailer)
    for rig in rigs:
        faults += rig_faults(rig)
    faults += licence_faults(problem)
    faults += sharing_faults(rigs)
    for site in problem.sites.values():
        faults += site_faults(site)
    for move in problem.moves:
        faults += move_faults(move)
    faults += succession_faults(problem)
    faults += road_faults(problem.roads)
    faults += distance_faults(problem)
    faults += settings_faults(problem.settings)
    return tuple(faults)


def item_faults(item: Item) -> Iterator[Fault]:
    """Contact patch beyond the item; centre of gravity outside the contact patch."""
    if item.contact_from_in >= item.length_in:
        value = feet_inches(item.contact_from_in)
        expected = f"a contact that begins before the item ends, {feet_inches(item.length_in)} behind its front"
        yield Fault("Items", item.name, "Contact from front", value, expected, "")
        return
    end = item.contact_from_in + item.contact_length_in
    if end > item.length_in + SLACK_IN:
        room = item.length_in - item.contact_from_in
        yield Fault(
            "Items",
            item.name,
            "Contact length",
            feet_inches(item.contact_length_in),
            f"a contact that ends within the item: from {feet_inches(item.contact_from_in)} on, the length is "
            f"{feet_inches(item.length_in)}",
            f"{feet_inches(room)} or less" if room > 0 else "",
        )
    if not item.contact_from_in - SLACK_IN <= item.cg_in <= end + SLACK_IN:
        yield Fault(
            "Items",
            item.name,
            "CG from front",
            feet_inches(item.cg_in),
            f"a centre of gravity over the contact, {feet_inches(item.contact_from_in)} to {feet_inches(end)} "
            "behind the front",
            feet_inches(min(max(item.cg_in, item.contact_from_in), end)),
        )


def truck_faults(truck: Truck) -> Iterator[Fault]:
    """Empty weights over the ratings; a GCWR below the GVWR; axles that do not fit the wheelbase."""
    empty = truck.empty_front_lb + truck.empty_rear_lb

    def over(column: str, weight_lb: float, rating: str, rating_lb: float) -> Iterator[Fault]:
        if weight_lb > rating_lb + SLACK_LB:
            expected = f"an empty weight within the {rating} of {rating_lb:,.0f} lb"
            yield Fault("Trucks", truck.name, column, f"{weight_lb:,.0f} lb", expected, "")

    yield from over("Empty front", truck.empty_front_lb, "Front axle rating", truck.front_rating_lb)
    yield from over("Empty rear", truck.empty_rear_lb, "Rear axle rating", truck.rear_rating_lb)
    if empty > truck.gvwr_lb + SLACK_LB:
        expected = f"more than the empty weight, {empty:,.0f} lb front and rear"
        yield Fault("Trucks", truck.name, "GVWR", f"{truck.gvwr_lb:,.0f} lb", expected, "")
    if truck.gcwr_lb < truck.gvwr_lb - SLACK_LB:
        expected = f"at least the GVWR of {truck.gvwr_lb:,.0f} lb"
        yield Fault("Trucks", truck.name, "GCWR", f"{truck.gcwr_lb:,.0f} lb", expected, "")
    half_group = (truck.rear_axles - 1) * truck.rear_axle_spacing_in / 2
    if half_group >= truck.wheelbase_in:
        expected = f"more than half the rear group, {feet_inches(half_group)}"
        yield Fault("Trucks", truck.name, "Wheelbase", feet_inches(truck.wheelbase_in), expected, "")
    if truck.coupler_in <= 0:
        expected = f"a coupler behind the steer axle: less than the wheelbase, {feet_inches(truck.wheelbase_in)}"
        value = feet_inches(truck.coupler_ahead_in)
        yield Fault("Trucks", truck.name, "Coupler ahead of rear axle", value, expected, "")


def trailer_faults(trailer: Trailer) -> Iterator[Fault]:
    """Empty weights over the ratings; a share missing; a dovetail or neck deck that does not fit."""
    empty = trailer.empty_coupler.nominal_lb + trailer.empty_axles.nominal_lb
    if empty > trailer.gvwr_lb + SLACK_LB:
        expected = f"more than the empty weight, {empty:,.0f} lb on coupler and axles"
        yield Fault("Trailers", trailer.name, "GVWR", f"{trailer.gvwr_lb:,.0f} lb", expected, "")
    group = trailer.axles * trailer.axle_rating_lb
    if trailer.empty_axles.nominal_lb > group + SLACK_LB:
        value = f"{trailer.empty_axles.nominal_lb:,.0f} lb"
        expected = f"an empty weight within the rating of the axles, {group:,.0f} lb together"
        yield Fault("Trailers", trailer.name, "Empty axles", value, expected, "")
    if len(trailer.shares) != trailer.axles:
        value = ":".join(f"{share:.3g}" for share in trailer.shares)
        expected = f"one part for each of the {trailer.axles} axles"
        mend = ":".join("1" for _ in range(trailer.axles))
        yield Fault("Trailers", trailer.name, "Axle shares", value, expected, mend)
    if trailer.dovetail_length_in > trailer.deck_length_in + SLACK_IN:
        value = feet_inches(trailer.dovetail_length_in)
        expected = f"at most the deck length of {feet_inches(trailer.deck_length_in)}, which includes the dovetail"
        yield Fault("Trailers", trailer.name, "Dovetail length", value, expected, "")
    yield from _neck_faults(trailer)


def _neck_faults(trailer: Trailer) -> Iterator[Fault]:
    neck = trailer.neck
    if neck is None:
        return
    if trailer.hitch not in (Hitch.GOOSENECK, Hitch.FIFTH_WHEEL):
        expected = "no neck deck on a trailer without a neck (hitch gooseneck or fifth wheel)"
        yield Fault("Trailers", trailer.name, "Neck deck length", feet_inches(neck.length_in), expected, "")
    if neck.from_coupler_in + neck.length_in > trailer.deck_from_coupler_in + SLACK_IN:
        room = trailer.deck_from_coupler_in - neck.from_coupler_in
        start = feet_inches(trailer.deck_from_coupler_in)
        expected = f"a neck deck that ends before the main deck, {start} behind the coupler"
        mend = f"{feet_inches(room)} or less" if room > 0 else ""
        yield Fault("Trailers", trailer.name, "Neck deck length", feet_inches(neck.length_in), expected, mend)


def rig_faults(rig: Rig) -> Iterator[Fault]:
    """A hitch that does not match; truck and trailer in one place; a shift that ends before it starts."""
    if rig.truck.hitch is not rig.trailer.hitch:
        trailer = f"{rig.trailer.name} is {rig.trailer.hitch}"
        expected = f"a trailer that couples to the truck's {rig.truck.hitch} hitch; {trailer}"
        yield Fault("Rigs", rig.name, "Trailer", rig.trailer.name, expected, "")
    yield from _couple_faults(rig)
    if rig.shift_end_min <= rig.shift_start_min:
        expected = f"an end after the start at {clock(rig.shift_start_min)}, on the same day"
        yield Fault("Rigs", rig.name, "Shift end", clock(rig.shift_end_min), expected, "")


def licence_faults(problem: Problem) -> Iterator[Fault]:
    """A driver's class that the rule set does not have; a set without classes takes any."""
    names = [row.name for row in problem.rules.licences]
    for rig in problem.rigs:
        if names and rig.licence not in names:
            expected = f"a licence class of {problem.rules.name}: {', '.join(names)}"
            yield Fault("Rigs", rig.name, "Licence", rig.licence, expected, names[-1])


def _couple_faults(rig: Rig) -> Iterator[Fault]:
    """A trailer axle that is not behind the truck's last, a neck deck that begins ahead of the steer axle."""
    truck, trailer = rig.truck, rig.trailer
    half_group = (truck.rear_axles - 1) * truck.rear_axle_spacing_in / 2
    room = trailer.coupler_to_first_axle_in - truck.coupler_ahead_in - half_group
    if room <= 0:
        ahead = feet_inches(truck.coupler_ahead_in + half_group)
        expected = f"a trailer whose first axle is behind the truck's last, over {ahead} behind the coupler"
        yield Fault("Rigs", rig.name, "Trailer", trailer.name, expected, "")
    if trailer.neck is not None and truck.coupler_in + trailer.neck.from_coupler_in < 0:
        room_text = feet_inches(truck.coupler_in)
        expected = f"a neck deck behind the truck's steer axle, which is {room_text} ahead of the coupler"
        yield Fault("Rigs", rig.name, "Trailer", trailer.name, expected, "")


def sharing_faults(rigs: Sequence[Rig]) -> Iterator[Fault]:
    """Rigs that share a truck, trailer or driver change over at one yard: each starts and ends there."""
    for index, second in enumerate(rigs):
        for first in rigs[:index]:
            shared = shares_gear(first, second)
            if not shared:
                continue
            what = " and ".join(shared)
            if first.yard != second.yard:
                expected = f"the yard of {first.name}, {first.yard}: the rigs share a {what}"
                yield Fault("Rigs", second.name, "Yard", second.yard, expected, first.yard)
            for rig in (first, second):
                if rig.end != rig.yard:
                    other = second if rig is first else first
                    expected = f"its yard {rig.yard}: it shares a {what} with {other.name}"
                    yield Fault("Rigs", rig.name, "End", rig.end, expected, rig.yard)


def site_faults(site: Site) -> Iterator[Fault]:
    """A site that closes before it opens; one coordinate without the other."""
    if site.opens_min is not None and site.closes_min is not None and site.closes_min <= site.opens_min:
        expected = f"later than it opens, {clock(site.opens_min)}"
        yield Fault("Sites", site.name, "Closes", clock(site.closes_min), expected, "")
    if (site.latitude is None) != (site.longitude is None):
        column = "Latitude" if site.latitude is None else "Longitude"
        yield Fault("Sites", site.name, column, "", "latitude and longitude together, or neither", "")


def move_faults(move: Move) -> Iterator[Fault]:
    """A move to where it starts; windows that close before they open; rigs and companions that rule it out."""

    def fault(column: str, value: str, expected: str, mend: str = "") -> Fault:
        return Fault("Moves", move.name, column, value, expected, mend)

    if move.origin == move.destination:
        yield fault("To", move.destination, "another site than From")
    if move.ready_min is not None and move.due_min is not None and move.due_min <= move.ready_min:
        yield fault("Deliver by", clock(move.due_min), f"later than Ready, {clock(move.ready_min)}")
    permit = move.permit
    if permit and permit.from_min is not None and permit.to_min is not None and permit.to_min <= permit.from_min:
        span = f"{clock(permit.from_min)}-{clock(permit.to_min)}"
        yield fault("Permit hours", span, "hours that end later than they begin, on one day")
    if move.item.name in move.companions:
        yield fault("With", move.item.name, "items other than the move's own")
    if move.only_rigs and set(move.only_rigs) <= set(move.not_rigs):
        left = "; ".join(move.not_rigs)
        yield fault("Not rigs", left, "at least one rig left: every one of Only rigs is ruled out")


def succession_faults(problem: Problem) -> Iterator[Fault]:
    """A machine carried more than once whose places do not chain, or that cannot be on one trip twice."""
    for same in repeats(problem.hauls):
        names = [haul.move for haul in same]
        order = chain(same)
        if order is None:
            last = same[-1]
            column = "With" if last.companion else "Item"
            others = ", ".join(name for name in names if name != last.move) or last.move
            expected = f"an item in one place; move {others} carries it too, and no drop is at the next pickup"
            yield Fault("Moves", last.move, column, last.item.name, expected, "")
            continue
        for group in problem.together:
            twice = [haul for haul in order if haul.index in group]
            if len(twice) > 1:
                expected = (
                    f"one move of the item on a trip; With puts {twice[0].move} and {twice[1].move} on the same"
                )
                yield Fault("Moves", twice[1].move, "With", twice[1].item.name, expected, "")


def road_faults(roads: Iterable[Road]) -> Iterator[Fault]:
    """A road from a site to itself; the key is ``From - To``."""
    for road in roads:
        if road.origin == road.destination:
            key = f"{road.origin} - {road.destination}"
            yield Fault("Distances", key, "To", road.destination, "another site than From", "")


def distance_faults(problem: Problem) -> Iterator[Fault]:
    """Sites without coordinates that the day needs a road to or from, and Distances has none."""
    listed = {(road.origin, road.destination) for road in problem.roads}
    listed |= {(road.destination, road.origin) for road in problem.roads if not road.oneway}
    missing = [
        pair
        for pair in sorted(needed_pairs(problem) - listed)
        if set(pair) <= problem.sites.keys() and not all(_placed(problem.sites[name]) for name in pair)
    ]
    while missing:
        name = _most_missing(missing, problem)
        pairs = [pair for pair in missing if name in pair]
        missing = [pair for pair in missing if name not in pair]
        more = f" and {len(pairs) - 3} more" if len(pairs) > 3 else ""
        rows = ", ".join(f"{origin} to {destination}" for origin, destination in pairs[:3])
        yield Fault(
            "Sites", name, "Latitude", "", f"latitude and longitude, or rows in Distances for {rows}{more}", ""
        )


def _most_missing(missing: Sequence[tuple[str, str]], problem: Problem) -> str:
    """The site without coordinates that most of the pairs have in common."""
    counts = Counter(name for pair in missing for name in pair if not _placed(problem.sites[name]))
    return max(counts, key=lambda name: counts[name])


def _placed(site: Site) -> bool:
    return site.latitude is not None and site.longitude is not None


def needed_pairs(problem: Problem) -> set[tuple[str, str]]:
    """(origin, destination) of every road that a plan of the day can use.

    Between the yards and every place of a move, both ways; every move's own road; between the places of any two
    moves, both ways, loaded or empty.
    """
    places = _move_places(problem.moves)
    yards = {place for rig in problem.rigs for place in (rig.yard, rig.end)}
    pairs = {(yard, place) for yard in yards for place in places}
    pairs |= {(place, yard) for yard in yards for place in places}
    pairs |= {(move.origin, move.destination) for move in problem.moves}
    for first in problem.moves:
        for second in problem.moves:
            if first is not second:
                ends = {first.origin, first.destination}, {second.origin, second.destination}
                pairs |= {(origin, destination) for origin in ends[0] for destination in ends[1]}
    return {(origin, destination) for origin, destination in pairs if origin != destination}


def _move_places(moves: Sequence[Move]) -> set[str]:
    return {place for move in moves for place in (move.origin, move.destination)}


def settings_faults(settings: Settings) -> Iterator[Fault]:
    """A coupler band whose least is over its most; the key is the setting's name."""
    ends = {Hitch.GOOSENECK: "gooseneck", Hitch.FIFTH_WHEEL: "fifth wheel", Hitch.BALL: "ball or pintle"}
    for hitch, end in ends.items():
        band = settings.coupler_bands[hitch]
        if band.least_pct > band.most_pct:
            key = f"Coupler share least, {end}"
            yield Fault(
                "Settings", key, "Value", f"{band.least_pct:g}", f"at most the most, {band.most_pct:g} %", ""
            )
