"""What still fits: the heaviest further item of a given length, at every whole inch of a deck.

The further item is thought of as driven on, tracked, as long as its contact, with its weight spread evenly over
it and known from a data plate; its width and height are within every limit. Exact on the grid of 1 in and 10 lb:
every rule is linear in the item's weight, so at each place it allows an interval of weights.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dispatch.checks import Check
from dispatch.explain import NEUTRAL
from dispatch.fleet import Deck, Rig
from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, WeightBasis
from dispatch.legality import gear_checks, leg_checks, stand
from dispatch.load_rules import load_rules
from dispatch.load_tables import Floats, contributions, rows_of, spot, stretch
from dispatch.loaded_trips import LoadedTrip
from dispatch.moves import Haul
from dispatch.place_windows import PLACED_CHECKS, state_bounds
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.rough_places import standing
from dispatch.settings import Settings
from dispatch.sites import Site
from dispatch.units import IN_PER_FT, SLACK_IN

STEP_LB = 10
"""Weights are looked at in steps of so many pounds."""
LENGTHS_IN = tuple(feet * IN_PER_FT for feet in (6, 8, 10, 12, 15, 20))
"""Lengths of the further item when none are asked for."""
FURTHER = "further item"
BASIS = (
    "driven on, tracked, weight spread evenly over its whole length, data plate tolerance; "
    "width and height within every limit"
)
BASIS_IN_SHORT = "driven on, evenly spread, data plate"
"""What the further item is taken for."""


@dataclass(frozen=True, slots=True)
class Allowed:
    """Weights allowed at one place, pounds, whole tens; balance may ask for a least weight there."""

    front_edge_in: int
    least_lb: int
    most_lb: int


@dataclass(frozen=True, slots=True)
class Heaviest:
    """The heaviest item of a length alone on a rig. ``places``: front edges where it is legal, none: nowhere.

    ``stops``: the check that ten pounds more would break at the best of these places. ``allowed``: the weights at
    every place of the deck.
    """

    rig: str
    length_in: float
    weight_lb: int
    places: tuple[int, ...]
    best_in: int | None
    stops: str
    allowed: tuple[Allowed, ...]


@dataclass(frozen=True, slots=True)
class PayloadLeft:
    """What a further item of a length may weigh beside a load. ``behind``: loaded last; else loaded first, ahead.

    ``places``: every whole inch where the body has room, with the weights allowed there (most 0: none).
    """

    length_in: float
    behind: bool
    places: tuple[Allowed, ...]

    @property
    def best(self) -> Allowed:
        """The place that allows most; of several the first."""
        return max(self.places, key=lambda place: (place.most_lb, -place.front_edge_in))


@dataclass(frozen=True, slots=True)
class _Beside:
    """A load, and the states (legs) in which the further item rides; ``first``: it comes on before the others."""

    day: Problem
    rig: Rig
    legs: tuple[Leg, ...]
    first: bool


def further_item(settings: Settings, length_in: float, weight_lb: float) -> Item:
    """The item that is thought of, see the module; width and height are next to nothing."""
    return Item(
        name=FURTHER,
        description="",
        kind=Kind.MACHINE,
        weight=settings.weight(weight_lb, WeightBasis.DATA_PLATE),
        length_in=length_in,
        width_in=1.0,
        height_in=1.0,
        cg_in=length_in / 2,
        contact_from_in=0.0,
        contact_length_in=length_in,
        contact_width_in=1.0,
        contact=Contact.TRACKS,
        two_axles=False,
        loads_by=LoadsBy.DRIVES_ON,
        facings=(Facing.FORWARD,),
        tie_down_points=0,
    )


# -- alone on a rig ----------------------------------------------------------------------------------------------


def heaviest_items(problem: Problem, lengths_in: Sequence[float] = LENGTHS_IN) -> tuple[Heaviest, ...]:
    """For each rig and each length that its deck takes: the heaviest item that is legal alone, and where."""
    found = (heaviest(problem, rig, length) for rig in problem.rigs for length in lengths_in)
    return tuple(one for one in found if one is not None)


def heaviest(problem: Problem, rig: Rig, length_in: float) -> Heaviest | None:
    """The heaviest item of this length alone on the rig; None when the deck is too short for it."""
    day = replace(problem, sites={NEUTRAL: Site(NEUTRAL)}, moves=(), hauls=(), together=(), successors=())
    beside = _Beside(day, rig, (Leg(NEUTRAL, NEUTRAL, 0, 0, ()),), True)
    ends = _ends(day, rig, length_in)
    if ends is None:
        return None
    allowed = tuple(_allowed(beside, length_in, *ends))
    most = max(place.most_lb for place in allowed)
    if most == 0:
        return Heaviest(rig.name, length_in, 0, (), None, _stops(beside, length_in, ends[0], 0), allowed)
    places = tuple(place.front_edge_in for place in allowed if place.least_lb <= most <= place.most_lb)
    best = min(places, key=lambda at: (_greatest_use(beside, length_in, at, most), at))
    return Heaviest(rig.name, length_in, most, places, best, _stops(beside, length_in, best, most), allowed)


def _greatest_use(beside: _Beside, length_in: float, at_in: int, weight_lb: int) -> float:
    """Greatest use of the rules that depend on the place."""
    rules = load_rules(beside.rig, beside.day.settings, beside.day.rules)
    names = {rule.name for rule in rules if rule.depends_on_place} | {"Dovetail"}
    checks = _checks(beside, length_in, at_in, weight_lb)
    return max((check.use for check in checks if check.name in names), default=0.0)


def _stops(beside: _Beside, length_in: float, at_in: int, weight_lb: int) -> str:
    """The check that ten pounds more break by most."""
    broken = [check for check in _checks(beside, length_in, at_in, weight_lb + STEP_LB) if not check.ok]
    return max(broken, key=lambda check: check.use).name if broken else ""


# -- beside a load -----------------------------------------------------------------------------------------------


def payload_left(
    problem: Problem, trip: LoadedTrip, lengths_in: Sequence[float] = LENGTHS_IN
) -> tuple[PayloadLeft, ...]:
    """What a further item may weigh beside the load of a trip, planned or by hand, behind it and ahead of it.

    Behind the last item it rides while everything else is aboard; ahead of the first it rides on every leg and
    on alone, once the others are off. The trip itself must be legal.
    """
    full = max(len(leg.leg.on_deck) for leg in trip.legs)
    fullest = tuple(leg.leg for leg in trip.legs if len(leg.leg.on_deck) == full)
    last = trip.legs[-1].leg
    every = (*(leg.leg for leg in trip.legs), replace(last, on_deck=()))
    cases = (_Beside(problem, trip.rig, fullest, False), _Beside(problem, trip.rig, every, True))
    found = (_left(beside, length) for beside in cases for length in lengths_in)
    return tuple(one for one in found if one is not None)


def _left(beside: _Beside, length_in: float) -> PayloadLeft | None:
    ends = _ends(beside.day, beside.rig, length_in)
    if ends is None:
        return None
    first, last = _between(beside, length_in, *ends)
    if first > last:
        return None
    return PayloadLeft(length_in, not beside.first, tuple(_allowed(beside, length_in, first, last)))


def _ends(day: Problem, rig: Rig, length_in: float) -> tuple[int, int] | None:
    """First and last place on an empty main deck."""
    place = spot(rig, day.settings, further_item(day.settings, length_in, 0.0), Deck.MAIN, Facing.FORWARD)
    return None if place is None else (place.first, place.last)


def _between(beside: _Beside, length_in: float, first: int, last: int) -> tuple[int, int]:
    """The places behind all bodies, or ahead of all on the main deck and behind those on the neck deck."""
    gap, front = beside.day.settings.gap_in, beside.rig.trailer.deck_from_coupler_in
    for leg in beside.legs:
        for one in stand(beside.day, beside.rig, leg.on_deck):
            if beside.first and one.placed.deck is Deck.MAIN:
                last = min(last, math.floor(one.front_in - gap - length_in - front + SLACK_IN))
            else:
                first = max(first, math.ceil(one.rear_in + gap - front - SLACK_IN))
    return first, last


# -- weights allowed at a place ----------------------------------------------------------------------------------


def _allowed(beside: _Beside, length_in: float, first: int, last: int) -> Iterator[Allowed]:
    """The weights allowed at every place from ``first`` to ``last``."""
    least, most = _intervals(beside, length_in, first, last)
    anywhere = _most_anywhere(beside, length_in, first, float(np.max(most, initial=0.0)))
    rearmost = _last_short_enough(beside, length_in, first, last)
    for number, at in enumerate(range(first, last + 1)):
        low = max(0, math.ceil(least[number] / STEP_LB - 1e-9) * STEP_LB)
        high = min(anywhere, math.floor(most[number] / STEP_LB + 1e-9) * STEP_LB)
        good = max(low, STEP_LB) <= high and at <= rearmost
        yield Allowed(at, low if good else 0, high if good else 0)


def _intervals(beside: _Beside, length_in: float, first: int, last: int) -> tuple[Floats, Floats]:
    """Least and most weight by the rules on weights, at every place, pounds.

    What one pound adds to a rule is the same for every weight, tolerance included: the item's low and high weight
    are shares of the stated one.
    """
    day, rig = beside.day, beside.rig
    rows = rows_of(rig, day.settings, load_rules(rig, day.settings, day.rules))
    one_lb = further_item(day.settings, length_in, 1.0)
    per_lb = contributions(rig, rows, one_lb, stretch(rig, one_lb, Deck.MAIN, Facing.FORWARD, first, last))
    least, most = np.zeros(per_lb.shape[1]), np.full(per_lb.shape[1], np.inf)
    for leg in beside.legs:
        aboard = sum((standing(day, rig, rows, placed) for placed in leg.on_deck), np.zeros(rows.bounds.size))
        room = (state_bounds(day, rig, rows, ()) - aboard)[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            edge = np.where(per_lb == 0, np.where(room >= 0, np.inf, -np.inf), room / per_lb)
        most = np.minimum(most, np.where(per_lb >= 0, edge, np.inf).min(axis=0))
        least = np.maximum(least, np.where(per_lb < 0, edge, 0.0).max(axis=0))
    return least, most


def _last_short_enough(beside: _Beside, length_in: float, first: int, last: int) -> int:
    """The rearmost place where the checks on length hold; they look at no weight and grow stricter rearward."""

    def good(at_in: int) -> bool:
        checks = _checks(beside, length_in, at_in, STEP_LB)
        return all(check.ok for check in checks if check.name in PLACED_CHECKS and check.unit == "in")

    return _greatest(good, first - 1, last)


def _most_anywhere(beside: _Beside, length_in: float, at_in: int, most_lb: float) -> int:
    """Greatest weight, whole tens, by everything that does not depend on the place: gear, licence, sites.

    All of these hold for any lighter item.
    """
    day = beside.day
    placed = PLACED_CHECKS | {rule.name for rule in load_rules(beside.rig, day.settings, day.rules)}

    def good(tens: int) -> bool:
        checks = _checks(beside, length_in, at_in, tens * STEP_LB)
        return all(check.ok for check in checks if check.name not in placed)

    return _greatest(good, 0, int(most_lb // STEP_LB)) * STEP_LB


def _greatest(good: Callable[[int], bool], low: int, high: int) -> int:
    """The greatest good number from ``low`` + 1 to ``high``, all below which are good too; ``low`` if none is."""
    if high <= low or good(high):
        return max(low, high)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if good(middle) else (low, middle)
    return low


def _checks(beside: _Beside, length_in: float, at_in: int, weight_lb: int) -> tuple[Check, ...]:
    """Every check of every state with an item of this weight there."""
    day, rig = beside.day, beside.rig
    item = further_item(day.settings, length_in, float(weight_lb))
    number = len(day.hauls)
    haul = Haul(number, "", item, "", "", 0, 0, None, None, LoadsBy.DRIVES_ON)
    day = replace(day, hauls=(*day.hauls, haul))
    placed = Placed(number, Deck.MAIN, at_in, Facing.FORWARD)
    legs = [
        replace(leg, on_deck=(placed, *leg.on_deck) if beside.first else (*leg.on_deck, placed))
        for leg in beside.legs
    ]
    hauls = [day.hauls[one.haul] for one in max((leg.on_deck for leg in legs), key=len)]
    decks = [tuple(day.hauls[one.haul].item for one in leg.on_deck) for leg in legs]
    weights = [check for leg in legs for check in leg_checks(day, rig, leg)]
    return (*weights, *gear_checks(day, rig, hauls, decks))
