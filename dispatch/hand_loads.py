"""Loads put together by hand: where every item stands, and what every check says with each of them aboard.

A load is judged away from any site: its items come off in the reverse of their loading order, and the rig may
drive on after each of them, so every such state is a leg with all its checks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from dispatch.axle_loads import contact_in
from dispatch.checks import Check, Sense, tightest
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, LoadsBy
from dispatch.legality import gear_checks, leg_checks, stand
from dispatch.loaded_trips import LoadedTrip, loaded_trip
from dispatch.moves import Haul, Permit
from dispatch.placement import DeckState, LoadRequest, Pin, Placer
from dispatch.plan import Action, Leg, Placed, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.rough_places import rough_places
from dispatch.sites import Site
from dispatch.units import SLACK_IN

ALL_ON = "all on"
"""Where the full load's leg begins; the others begin where an item has come off."""


@dataclass(frozen=True, slots=True)
class LoadLine:
    """One item of a load; ``None``: where it stands best. ``permit``: text, empty without one."""

    item: Item
    front_edge_in: int | None = None
    facing: Facing | None = None
    deck: Deck | None = None
    runs: bool = True
    permit: str = ""

    @property
    def how(self) -> LoadsBy:
        """How it comes on and off: a dead machine that would drive on is winched."""
        dead = not self.runs and self.item.loads_by is LoadsBy.DRIVES_ON
        return LoadsBy.WINCHED if dead else self.item.loads_by


@dataclass(frozen=True, slots=True)
class HandLoad:
    """A load on a rig, its lines in loading order."""

    name: str
    rig: str
    lines: tuple[LoadLine, ...]

    @property
    def items(self) -> str:
        """The items' names in loading order."""
        return ", ".join(line.item.name for line in self.lines)


@dataclass(frozen=True, slots=True)
class JudgedLoad:
    """A load with every check on it. ``problem`` holds the load alone, one haul a line.

    ``deck``: rules of the deck, once a load. ``fits``: with what the lines leave open a legal place was found;
    otherwise the places left open are as little illegal as a search from item to item found.
    """

    load: HandLoad
    problem: Problem
    trip: LoadedTrip
    deck: tuple[Check, ...]
    fits: bool

    @property
    def rig(self) -> Rig:
        """The rig that carries it."""
        return self.trip.rig

    @property
    def placements(self) -> tuple[Placed, ...]:
        """Where the items stand, in loading order."""
        return self.trip.trip.placements

    @property
    def once(self) -> tuple[Check, ...]:
        """The checks that are made once a load: rules of the deck, ramp, winch, tie-downs."""
        return (*self.deck, *self.trip.once)

    @property
    def legal_full(self) -> bool:
        """Whether the load is legal as long as everything is aboard."""
        return all(check.ok for check in (*self.once, *self.trip.legs[0].checks))

    @property
    def legal(self) -> bool:
        """Whether the load is legal with everything aboard and after each item that comes off."""
        return self.legal_full and all(check.ok for leg in self.trip.legs for check in leg.checks)

    @property
    def broken(self) -> tuple[Check, ...]:
        """Every check that is not met, the full load's first."""
        checks = (*self.once, *(check for leg in self.trip.legs for check in leg.checks))
        return tuple(check for check in checks if not check.ok)

    @property
    def tightest(self) -> Check:
        """The broken check furthest over its limit, or the one nearest to it when none is broken."""
        if self.broken:
            return max(self.broken, key=lambda check: check.use)
        return tightest([check for leg in self.trip.legs for check in leg.checks])


def day_of(problem: Problem, load: HandLoad) -> Problem:
    """The problem with this load's items as its only hauls, between places without limits of their own."""
    places = [ALL_ON, *(_off(line) for line in reversed(load.lines))]
    hauls = tuple(
        Haul(
            index=number,
            move=load.name,
            item=line.item,
            origin=ALL_ON,
            destination=_off(line),
            load_min=0,
            unload_min=0,
            ready_min=None,
            due_min=None,
            how=line.how,
            permit=Permit(line.permit) if line.permit else None,
        )
        for number, line in enumerate(load.lines)
    )
    sites = {name: Site(name) for name in places}
    return replace(problem, sites=sites, moves=(), hauls=hauls, together=(), successors=())


def _off(line: LoadLine) -> str:
    return f"{line.item.name} off"


def request_of(day: Problem, pins: Sequence[Pin] = ()) -> LoadRequest:
    """What placement is asked for: all items in loading order, off in the reverse order, a leg a state."""
    order = tuple(haul.index for haul in day.hauls)
    states = tuple(
        DeckState(order[:count], place, following)
        for count, place, following in zip(range(len(order), 0, -1), day.sites, list(day.sites)[1:], strict=False)
    )
    return LoadRequest(order, order[::-1], states, tuple(pins))


def line_pins(load: HandLoad) -> tuple[Pin, ...]:
    """What the lines settle. A blank deck means the main deck, unless the item is lifted."""
    return tuple(
        Pin(
            number,
            line.deck or (None if line.item.loads_by is LoadsBy.LIFTED else Deck.MAIN),
            line.facing,
            line.front_edge_in,
        )
        for number, line in enumerate(load.lines)
    )


def judge(problem: Problem, load: HandLoad) -> JudgedLoad:
    """The load with everything that is checked on it; what its lines leave open is placed best.

    Raises KeyError when the problem lacks the rig, ValueError for a load without items.
    """
    found = judge_best(problem, load)
    if found is not None:
        return found
    day, rig = day_of(problem, load), problem.rig(load.rig)
    return judged_at(day, load, rig, rough_places(day, rig, line_pins(load)), fits=False)


def judge_best(problem: Problem, load: HandLoad) -> JudgedLoad | None:
    """The load with what its lines leave open placed best; None when no place is legal. Raises as ``judge``."""
    if not load.lines:
        raise ValueError(f"load {load.name} has no items")
    day, rig = day_of(problem, load), problem.rig(load.rig)
    found = Placer(day).best(rig, request_of(day, line_pins(load)))
    return None if found is None else judged_at(day, load, rig, found.placements)


def judged_at(
    day: Problem, load: HandLoad, rig: Rig, placements: tuple[Placed, ...], *, fits: bool = True
) -> JudgedLoad:
    """The load with its items at these places, in loading order."""
    trip = loaded_trip(day, 1, _trip(day, rig, placements))
    return JudgedLoad(load, day, trip, deck_checks(day, rig, placements), fits)


def _trip(day: Problem, rig: Rig, placements: tuple[Placed, ...]) -> Trip:
    order = [placed.haul for placed in placements]
    stops = [Stop(ALL_ON, 0, 0, tuple(Task(Action.LOAD, haul) for haul in order))]
    for haul in reversed(order):
        stops.append(Stop(day.hauls[haul].destination, 0, 0, (Task(Action.UNLOAD, haul),)))
    return Trip(rig.name, tuple(stops), placements)


def states_of(placements: Sequence[Placed]) -> Iterator[tuple[Placed, ...]]:
    """What is aboard: everything, then one item less at a time, last on first off."""
    return (tuple(placements[:count]) for count in range(len(placements), 0, -1))


def is_legal(day: Problem, rig: Rig, placements: Sequence[Placed]) -> bool:
    """Whether the load is legal in every state: the verdict of ``judged_at`` without its figures."""
    if not all(check.ok for check in deck_checks(day, rig, placements)):
        return False
    sites = list(day.sites)
    legs = [Leg(a, b, 0, 0, s) for a, b, s in zip(sites, sites[1:], states_of(placements), strict=False)]
    return gear_ok(day, rig, placements) and all(check.ok for leg in legs for check in leg_checks(day, rig, leg))


def gear_ok(day: Problem, rig: Rig, placements: Sequence[Placed]) -> bool:
    """Whether ramp, winch and tie-downs do for the load in every state, wherever the items stand."""
    hauls = [day.hauls[placed.haul] for placed in placements]
    decks = [tuple(day.hauls[p.haul].item for p in state) for state in states_of(placements)]
    return all(check.ok for check in gear_checks(day, rig, hauls, decks))


# -- rules of the deck as checks -------------------------------------------------------------------------------


def deck_checks(day: Problem, rig: Rig, placements: Sequence[Placed]) -> tuple[Check, ...]:
    """Contact, clearance, gap and loading order of the full load; lengths in inches, the tightest item each."""
    return (
        _tightest(_contact(day, rig, placed) for placed in placements),
        _tightest(_contact_width(day, rig, placed) for placed in placements),
        _tightest(_clearance(day, placed) for placed in placements),
        *_gap(day, rig, placements),
        *_order(day, placements),
    )


def _tightest(checks: Iterator[Check]) -> Check:
    return min(checks, key=lambda check: check.margin)


def deck_size(rig: Rig, deck: Deck) -> tuple[float, float, str]:
    """Length and width of a deck, inches, and the columns that give them; nothing for a neck deck not there."""
    trailer = rig.trailer
    if deck is Deck.MAIN:
        return trailer.deck_length_in, trailer.deck_width_in, "Trailers, Deck"
    if trailer.neck is None:
        return 0.0, 0.0, "Trailers, Neck deck"
    return trailer.neck.length_in, trailer.neck.width_in, "Trailers, Neck deck"


def _contact(day: Problem, rig: Rig, placed: Placed) -> Check:
    """How far what touches the deck reaches past the deck's front or end; 0 when it does not."""
    item = day.hauls[placed.haul].item
    length, _, sheet = deck_size(rig, placed.deck)
    start, end = contact_in(item, placed.facing, placed.front_edge_in)
    past = max(0.0, -start, end - length)
    basis = f"{sheet} length; {item.name} touches the deck from front edge and Contact columns"
    return Check("Contact on deck", past, past, 0.0, "in", Sense.MOST, past <= SLACK_IN, basis)


def _contact_width(day: Problem, rig: Rig, placed: Placed) -> Check:
    item = day.hauls[placed.haul].item
    _, width, sheet = deck_size(rig, placed.deck)
    wide = item.contact_width_in
    basis = f"{sheet} width; {item.name}"
    return Check("Contact width", wide, wide, width, "in", Sense.MOST, wide <= width + SLACK_IN, basis)


def _clearance(day: Problem, placed: Placed) -> Check:
    front, least = float(placed.front_edge_in), day.settings.front_clearance_in
    basis = f"Settings, Front clearance; {day.hauls[placed.haul].item.name}"
    return Check("Front clearance", front, front, least, "in", Sense.LEAST, front >= least - SLACK_IN, basis)


def _gap(day: Problem, rig: Rig, placements: Sequence[Placed]) -> Iterator[Check]:
    """The smallest gap between two bodies along the rig; negative where they overlap."""
    line = sorted(stand(day, rig, placements), key=lambda one: (one.front_in, one.rear_in))
    gaps = [
        (behind.front_in - ahead.rear_in, f"{ahead.item.name} and {behind.item.name}")
        for number, ahead in enumerate(line)
        for behind in line[number + 1 :]
    ]
    if gaps:
        gap, names = min(gaps)
        least = day.settings.gap_in
        basis = f"Settings, Gap between items; {names}"
        yield Check("Gap", gap, gap, least, "in", Sense.LEAST, gap >= least - SLACK_IN, basis)


def _order(day: Problem, placements: Sequence[Placed]) -> Iterator[Check]:
    """Items that would have to come on over another one that stands behind them on the main deck already."""
    if len(placements) < 2:
        return
    blocked = [
        f"{day.hauls[late.haul].item.name} comes on with {day.hauls[early.haul].item.name} behind it"
        for number, late in enumerate(placements)
        for early in placements[:number]
        if is_blocked(day, late, early)
    ]
    count = float(len(blocked))
    basis = "; ".join(["last on, first off", *blocked])
    yield Check("Loading order", count, count, 0.0, "count", Sense.MOST, not blocked, basis)


def is_blocked(day: Problem, late: Placed, early: Placed) -> bool:
    """Whether the later of two items cannot come on over the tail because the earlier one stands behind it."""
    if day.hauls[late.haul].how is LoadsBy.LIFTED or late.deck is not Deck.MAIN:
        return False
    return early.deck is Deck.MAIN and early.front_edge_in > late.front_edge_in
