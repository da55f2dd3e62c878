"""Statics only: what a rig's axles and coupler carry for given placements.

Frames: trailer x = 0 at the coupler (ball, pintle or kingpin), positive rearward; truck y = 0 at the steer
axle, positive rearward. Deck level, quasi-static, axles of a group equalised (the trailer's sheet may give
unequal shares). A weight W with its centre of gravity at x puts W*x/g on the trailer axles and W*(1 - x/g) on
the coupler, g being the share-weighted middle of the trailer axles; the coupler load P puts P*c/b on the
truck's rear group and P*(1 - c/b) on its front axle (moment equilibrium, any statics textbook). Every load is
therefore a linear form in the weights: see ``LinearForm``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from dispatch.checks import Sense
from dispatch.fleet import Deck, Rig, Trailer, Truck
from dispatch.items import Facing, Item, Weight


@dataclass(frozen=True, slots=True)
class RigLoads:
    """Loads in pounds at the tyre-ground interface, and at the coupler (positive downward on the truck)."""

    coupler_lb: float
    front_lb: float
    rear_lb: float
    rear_axles_lb: tuple[float, ...]
    trailer_axles_lb: tuple[float, ...]

    @property
    def trailer_axle_group_lb(self) -> float:
        """All trailer axles together."""
        return sum(self.trailer_axles_lb)

    @property
    def trailer_lb(self) -> float:
        """The whole loaded trailer, coupler share included."""
        return self.coupler_lb + self.trailer_axle_group_lb

    @property
    def gross_lb(self) -> float:
        """The whole combination."""
        return self.front_lb + self.rear_lb + self.trailer_axle_group_lb


@lru_cache(maxsize=4096)
def trailer_axles_in(trailer: Trailer) -> tuple[float, ...]:
    """Trailer axle places, inches behind the coupler, front to rear."""
    first, spacing = trailer.coupler_to_first_axle_in, trailer.axle_spacing_in
    return tuple(first + spacing * i for i in range(trailer.axles))


@lru_cache(maxsize=4096)
def axle_group_in(trailer: Trailer) -> float:
    """g: the share-weighted middle of the trailer axles, inches behind the coupler."""
    return sum(s * x for s, x in zip(trailer.shares, trailer_axles_in(trailer), strict=True))


def rear_axles_in(truck: Truck) -> tuple[float, ...]:
    """Truck rear axle places, inches behind the steer axle; the wheelbase ends at the middle of the group."""
    middle = (truck.rear_axles - 1) / 2
    return tuple(truck.wheelbase_in + (i - middle) * truck.rear_axle_spacing_in for i in range(truck.rear_axles))


def axle_positions(rig: Rig) -> tuple[float, ...]:
    """Every axle of the combination, inches behind the steer axle, front to rear."""
    coupler = rig.truck.coupler_in
    return (0.0, *rear_axles_in(rig.truck), *(coupler + x for x in trailer_axles_in(rig.trailer)))


def cg_in(item: Item, facing: Facing, front_edge_in: float) -> float:
    """Centre of gravity in the frame of ``front_edge_in`` (the edge nearest the truck), inches.

    Facing rearward mirrors the item: a 170 in machine with its centre of gravity 60 in from its nose, front
    edge at 100, has it at 160 nose forward and at 210 reversed.
    """
    from_edge = item.cg_in if facing is Facing.FORWARD else item.length_in - item.cg_in
    return front_edge_in + from_edge


def contact_in(item: Item, facing: Facing, front_edge_in: float) -> tuple[float, float]:
    """Start and end of the contact patch in the frame of ``front_edge_in``, inches."""
    if facing is Facing.FORWARD:
        start = front_edge_in + item.contact_from_in
    else:
        start = front_edge_in + item.length_in - item.contact_from_in - item.contact_length_in
    return start, start + item.contact_length_in


def to_coupler(trailer: Trailer, deck: Deck, own_in: float) -> float:
    """Inches behind the coupler for a place ``own_in`` inches behind the front of its own deck.

    Raises ValueError for the neck deck of a trailer that has none.
    """
    if deck is Deck.MAIN:
        return trailer.deck_from_coupler_in + own_in
    if trailer.neck is None:
        raise ValueError(f"trailer {trailer.name} has no neck deck")
    return trailer.neck.from_coupler_in + own_in


def rig_loads(
    rig: Rig,
    weights_lb: Sequence[float],
    cgs_in: Sequence[float],
    *,
    empty_coupler_lb: float | None = None,
    empty_axles_lb: float | None = None,
) -> RigLoads:
    """Loads of the rig with the given weights (pounds) at the given places (inches behind the coupler).

    The trailer's empty weights default to their nominal values; the truck's are taken as weighed.
    """
    truck, trailer = rig.truck, rig.trailer
    group = axle_group_in(trailer)
    coupler = trailer.empty_coupler.nominal_lb if empty_coupler_lb is None else empty_coupler_lb
    axles = trailer.empty_axles.nominal_lb if empty_axles_lb is None else empty_axles_lb
    for weight, x in zip(weights_lb, cgs_in, strict=True):
        axles += weight * x / group
        coupler += weight * (1 - x / group)
    on_rear = truck.coupler_in / truck.wheelbase_in
    rear = truck.empty_rear_lb + coupler * on_rear
    return RigLoads(
        coupler_lb=coupler,
        front_lb=truck.empty_front_lb + coupler * (1 - on_rear),
        rear_lb=rear,
        rear_axles_lb=(rear / truck.rear_axles,) * truck.rear_axles,
        trailer_axles_lb=tuple(share * axles for share in trailer.shares),
    )


@dataclass(frozen=True, slots=True)
class LinearForm:
    """A load as ``const + k_coupler*P0 + k_axles*T0 + sum of W*(at_coupler + per_inch*x)``, pounds.

    P0 and T0 are the trailer's empty coupler and axle weights, W an item's weight and x its centre of gravity
    behind the coupler, inches.
    """

    const: float = 0.0
    k_coupler: float = 0.0
    k_axles: float = 0.0
    at_coupler: float = 0.0
    per_inch: float = 0.0

    def __add__(self, other: LinearForm) -> LinearForm:
        return LinearForm(
            self.const + other.const,
            self.k_coupler + other.k_coupler,
            self.k_axles + other.k_axles,
            self.at_coupler + other.at_coupler,
            self.per_inch + other.per_inch,
        )

    def times(self, factor: float) -> LinearForm:
        """The form scaled."""
        return LinearForm(
            self.const * factor,
            self.k_coupler * factor,
            self.k_axles * factor,
            self.at_coupler * factor,
            self.per_inch * factor,
        )

    def coefficient(self, x_in: float) -> float:
        """What one pound at ``x_in`` inches behind the coupler adds."""
        return self.at_coupler + self.per_inch * x_in

    def nominal(self, trailer: Trailer, weights: Sequence[Weight], cgs_in: Sequence[float]) -> float:
        """Value for the stated weights, pounds."""
        empty = self.const
        empty += self.k_coupler * trailer.empty_coupler.nominal_lb + self.k_axles * trailer.empty_axles.nominal_lb
        return empty + sum(w.nominal_lb * self.coefficient(x) for w, x in zip(weights, cgs_in, strict=True))

    def empty_worst(self, trailer: Trailer, sense: Sense) -> float:
        """Worst value of the empty rig over the trailer's tolerances: highest for MOST, lowest for LEAST."""
        return (
            self.const
            + worst_term(trailer.empty_coupler, self.k_coupler, sense)
            + worst_term(trailer.empty_axles, self.k_axles, sense)
        )

    def worst(self, trailer: Trailer, weights: Sequence[Weight], cgs_in: Sequence[float], sense: Sense) -> float:
        """Worst value over every true weight within tolerance: exact, because the form is linear in each."""
        items = sum(
            worst_term(weight, self.coefficient(x), sense) for weight, x in zip(weights, cgs_in, strict=True)
        )
        return self.empty_worst(trailer, sense) + items


def worst_term(weight: Weight, coefficient: float, sense: Sense) -> float:
    """Worst value of ``coefficient * W`` for W within tolerance, pounds."""
    heavy_is_worst = (coefficient > 0) == (sense is Sense.MOST)
    return coefficient * (weight.high_lb if heavy_is_worst else weight.low_lb)


@lru_cache(maxsize=4096)
def coupler_form(rig: Rig) -> LinearForm:
    """Coupler load P."""
    return LinearForm(k_coupler=1.0, at_coupler=1.0, per_inch=-1 / axle_group_in(rig.trailer))


@lru_cache(maxsize=4096)
def trailer_axles_form(rig: Rig) -> LinearForm:
    """Load of the whole trailer axle group T."""
    return LinearForm(k_axles=1.0, per_inch=1 / axle_group_in(rig.trailer))


@lru_cache(maxsize=4096)
def front_form(rig: Rig) -> LinearForm:
    """Load of the truck's front axle."""
    on_rear = rig.truck.coupler_in / rig.truck.wheelbase_in
    return LinearForm(const=rig.truck.empty_front_lb) + coupler_form(rig).times(1 - on_rear)


@lru_cache(maxsize=4096)
def rear_form(rig: Rig) -> LinearForm:
    """Load of the truck's rear axle group."""
    on_rear = rig.truck.coupler_in / rig.truck.wheelbase_in
    return LinearForm(const=rig.truck.empty_rear_lb) + coupler_form(rig).times(on_rear)


@lru_cache(maxsize=4096)
def axle_forms(rig: Rig) -> tuple[LinearForm, ...]:
    """One form an axle of the combination, front to rear, in the order of ``axle_positions``."""
    rear = rear_form(rig).times(1 / rig.truck.rear_axles)
    trailer = tuple(trailer_axles_form(rig).times(share) for share in rig.trailer.shares)
    return (front_form(rig), *(rear,) * rig.truck.rear_axles, *trailer)


def contact_load_beyond(
    item: Item, facing: Facing, front_edge_in: float, weight_lb: float, hinge_in: float
) -> float:
    """Part of the weight that rests on the deck behind ``hinge_in``, pounds; same frame as ``front_edge_in``.

    Two axles: two point loads by moments about each other; one exactly at the hinge is on the main deck.
    Otherwise the pressure varies linearly along the contact patch so that its resultant passes through the
    centre of gravity; outside the middle third one end lifts and the patch is the shortened triangle of length
    three times the distance from the centre of gravity to the pressed end (strip footing without tension).
    """
    start, end = contact_in(item, facing, front_edge_in)
    cg = cg_in(item, facing, front_edge_in)
    length = end - start
    if item.two_axles:
        rear_share = (cg - start) / length
        return weight_lb * ((1 - rear_share) * (start > hinge_in) + rear_share * (end > hinge_in))
    off_centre = cg - (start + end) / 2
    if abs(off_centre) <= length / 6:
        return weight_lb * _trapezoid_beyond(start, end, off_centre, hinge_in)
    if off_centre > 0:
        return weight_lb * _triangle_beyond(end - 3 * (end - cg), end, hinge_in)
    pressed_end = start + 3 * (cg - start)
    return weight_lb * (1 - _triangle_beyond(-pressed_end, -start, -hinge_in))


def _trapezoid_beyond(start: float, end: float, off_centre: float, hinge: float) -> float:
    """Share beyond the hinge of a pressure 1/L * (1 + 12 e (x - middle) / L^2) over the patch."""
    length = end - start
    cut = min(max(hinge, start), end)
    middle = (start + end) / 2
    a, b = cut - middle, end - middle
    return (b - a) / length + 6 * off_centre * (b * b - a * a) / length**3


def _triangle_beyond(tip: float, base: float, hinge: float) -> float:
    """Share beyond the hinge of a pressure that grows from 0 at the tip to its greatest at the base."""
    if base - tip <= 0:
        return 1.0 if base > hinge else 0.0
    cut = min(max(hinge, tip), base)
    return 1 - ((cut - tip) / (base - tip)) ** 2


def climb_coupler_lb(rig: Rig, standing: Sequence[tuple[Weight, float]], climbing: Weight) -> float:
    """Least coupler load while an item climbs the tail, pounds, worst case within the tolerances.

    ``standing``: what already stands on deck, with centres of gravity behind the coupler (inches). The climbing
    weight acts at the tail of the deck: ``P0 + W*(1 - x_tail/g)``. Negative: the rig lifts at the hitch.
    """
    trailer = rig.trailer
    tail = trailer.deck_from_coupler_in + trailer.deck_length_in
    weights = [weight for weight, _ in standing] + [climbing]
    cgs = [x for _, x in standing] + [tail]
    return coupler_form(rig).worst(trailer, weights, cgs, Sense.LEAST)
