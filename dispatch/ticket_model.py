"""The readings of scale tickets as linear observations of unknown weights, with their covariance.

Unknown are a truck's two empty weights, a trailer's two, and for an item its weight W and its moment m = W * cg
about its own front end (pounds times inches). Every axle load is linear in these: an item whose front end stands
x0 inches behind the coupler has its moment about the coupler at W * x0 + m facing forward, W * x0 - m facing
rearward (signs and frames as in ``axle_loads``).

Uncertain are each reading (the scale's tolerance), each place on deck and each coupler's place (the tape's). What
the tape's error does depends on the weights that stand there: see ``solve_tickets`` in ``ticket_estimates``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from dispatch.axle_loads import LinearForm, coupler_form, front_form, rear_form, trailer_axles_form
from dispatch.fleet import Rig, Trailer, Truck
from dispatch.items import Item, WeightBasis
from dispatch.least_squares import Array, Fit, fit, standard_uncertainty
from dispatch.settings import Settings
from dispatch.tickets import Axles, Ticket

_NO_WEIGHTS: Mapping[str, float] = MappingProxyType({})


class Unknown(NamedTuple):
    """One unknown: what it belongs to, its name, which figure of it."""

    kind: str
    name: str
    figure: str


def truck_unknowns(truck: Truck) -> tuple[Unknown, Unknown]:
    """Empty front and rear."""
    return Unknown("truck", truck.name, "front"), Unknown("truck", truck.name, "rear")


def trailer_unknowns(trailer: Trailer) -> tuple[Unknown, Unknown]:
    """Empty coupler and axles."""
    return Unknown("trailer", trailer.name, "coupler"), Unknown("trailer", trailer.name, "axles")


def item_unknowns(item: Item) -> tuple[Unknown, Unknown]:
    """Weight, and moment about the item's own front end."""
    return Unknown("item", item.name, "weight"), Unknown("item", item.name, "moment")


def axle_form(rig: Rig, axles: Axles) -> LinearForm:
    """The load that a reading is of, coupled."""
    forms = {Axles.FRONT: front_form, Axles.REAR: rear_form, Axles.TRAILER: trailer_axles_form}
    return forms[axles](rig)


@dataclass(frozen=True, slots=True)
class Observation:
    """One equation: coefficients of the unknowns, value and standard uncertainty (pounds), where it comes from."""

    source: str
    what: str
    coefficients: Mapping[Unknown, float]
    value: float
    u: float


@dataclass(frozen=True, slots=True)
class TicketModel:
    """Tickets that share unknowns, ready to be solved.

    ``matrix @ unknowns = values`` with ``covariance``; the readings come first, in the tickets' order, then what
    the sheets say of vehicles that have no ticket of their own.
    """

    tickets: tuple[Ticket, ...]
    unknowns: tuple[Unknown, ...]
    observations: tuple[Observation, ...]
    matrix: Array
    values: Array
    covariance: Array

    def fit(self) -> Fit:
        """The estimates."""
        return fit(self.matrix, self.values, self.covariance)

    def combination(self, weights: Mapping[Unknown, float]) -> Array:
        """The vector of a combination of unknowns."""
        return np.array([weights.get(unknown, 0.0) for unknown in self.unknowns])


def linked(tickets: Sequence[Ticket]) -> list[tuple[Ticket, ...]]:
    """The tickets in groups that share no truck, trailer or item; groups and tickets in input order."""
    groups: list[tuple[set[Unknown], list[Ticket]]] = []
    for ticket in tickets:
        names = {unknown for coefficients in _rows(ticket) for unknown in coefficients}
        touched = [group for group in groups if group[0] & names]
        merged = [*(one for group in touched for one in group[1]), ticket]
        for group in touched:
            names |= group[0]
        groups = [group for group in groups if group not in touched] + [(names, merged)]
    order = {id(ticket): number for number, ticket in enumerate(tickets)}
    sorted_groups = [tuple(sorted(group, key=lambda one: order[id(one)])) for _, group in groups]
    return sorted(sorted_groups, key=lambda group: order[id(group[0])])


def ticket_model(
    tickets: Sequence[Ticket],
    settings: Settings,
    loose_couplers: frozenset[str] = frozenset(),
    weights_lb: Mapping[str, float] = _NO_WEIGHTS,
) -> TicketModel:
    """The model of linked tickets.

    ``weights_lb``: item weights by name at which the tape's effects are reckoned; the sheet's where there is none.

    ``loose_couplers``: trucks whose coupler's place is not believed. Their front and rear readings then count by
    their sum alone.
    """
    observations = [*_readings(tickets), *_from_sheets(tickets, settings)]
    unknowns = tuple(dict.fromkeys(unknown for one in observations for unknown in one.coefficients))
    place = {unknown: number for number, unknown in enumerate(unknowns)}
    matrix = np.zeros((len(observations), len(unknowns)))
    for number, one in enumerate(observations):
        for unknown, coefficient in one.coefficients.items():
            matrix[number, place[unknown]] = coefficient
    covariance = np.diag([one.u**2 for one in observations])
    u_in = standard_uncertainty(settings.tape_tolerance_in)
    for effect in _tape_effects(tickets, u_in, loose_couplers, weights_lb):
        covariance[: len(effect), : len(effect)] += np.outer(effect, effect)
    values = np.array([one.value for one in observations], dtype=float)
    return TicketModel(tuple(tickets), unknowns, tuple(observations), matrix, values, covariance)


def _rows(ticket: Ticket) -> Iterator[dict[Unknown, float]]:
    """The coefficients of each reading of a ticket."""
    for reading in ticket.readings():
        yield _coefficients(ticket, reading.axles)


def _coefficients(ticket: Ticket, axles: Axles) -> dict[Unknown, float]:
    rig = ticket.rig
    front, rear = truck_unknowns(rig.truck)
    found = {Axles.FRONT: {front: 1.0}, Axles.REAR: {rear: 1.0}, Axles.TRAILER: {}}[axles]
    if ticket.alone:
        return found
    form = axle_form(rig, axles)
    coupler, group = trailer_unknowns(rig.trailer)
    found |= {coupler: form.k_coupler, group: form.k_axles}
    for standing in ticket.on_deck:
        weight, moment = item_unknowns(standing.item)
        found[weight] = form.coefficient(standing.front_end_in(rig))
        found[moment] = standing.sign * form.per_inch
    return found


def _readings(tickets: Sequence[Ticket]) -> Iterator[Observation]:
    for ticket in tickets:
        for reading, coefficients in zip(ticket.readings(), _rows(ticket), strict=True):
            u = standard_uncertainty(reading.tolerance_lb)
            yield Observation(ticket.name, reading.axles.value, coefficients, reading.weighed_lb, u)


def _from_sheets(tickets: Sequence[Ticket], settings: Settings) -> Iterator[Observation]:
    """What the sheets say of trucks never weighed alone and trailers never weighed empty.

    A range that is not centred on the stated weight (a data plate's) is taken by its middle, as GUM 4.3.7 has it.
    """
    trucks = {ticket.rig.truck.name: ticket.rig.truck for ticket in tickets}
    trailers = {ticket.rig.trailer.name: ticket.rig.trailer for ticket in tickets if not ticket.alone}
    weighed = {ticket.rig.truck.name for ticket in tickets if ticket.alone}
    weighed_empty = {ticket.rig.trailer.name for ticket in tickets if ticket.empty_rig}
    for name, truck in trucks.items():
        if name not in weighed:
            stated = (truck.empty_front_lb, truck.empty_rear_lb)
            ranges = [settings.weight(lb, WeightBasis.SCALE_TICKET) for lb in stated]
            for unknown, weight in zip(truck_unknowns(truck), ranges, strict=True):
                yield _stated(f"Trucks {name}", unknown, weight.low_lb, weight.high_lb)
    for name, trailer in trailers.items():
        if name not in weighed_empty:
            both = (trailer.empty_coupler, trailer.empty_axles)
            for unknown, weight in zip(trailer_unknowns(trailer), both, strict=True):
                yield _stated(f"Trailers {name}", unknown, weight.low_lb, weight.high_lb)


_EXACT_LB = 0.01
"""Least standard uncertainty of a stated weight: the covariance stays regular with a tolerance of 0."""


def _stated(source: str, unknown: Unknown, low_lb: float, high_lb: float) -> Observation:
    u = max(standard_uncertainty((high_lb - low_lb) / 2), _EXACT_LB)
    return Observation(source, f"empty {unknown.figure}", {unknown: 1.0}, (low_lb + high_lb) / 2, u)


def _tape_effects(
    tickets: Sequence[Ticket], u_in: float, loose_couplers: frozenset[str], weights_lb: Mapping[str, float]
) -> Iterator[Array]:
    """What one standard uncertainty of each length taped does to all readings, pounds.

    An item's place shifts one ticket's readings. A truck's coupler place shifts those of all its tickets alike:
    further back by dc puts P * dc / b from the front axle onto the rear. A place that is not believed shifts each
    ticket by itself, by all that the coupler carries.
    """
    rows = [(ticket, reading.axles) for ticket in tickets for reading in ticket.readings()]
    for ticket in tickets:
        for standing in ticket.on_deck:
            lb_in = weights_lb.get(standing.item.name, standing.item.weight.nominal_lb) * u_in
            yield np.array(
                [axle_form(ticket.rig, axles).per_inch * lb_in if one is ticket else 0.0 for one, axles in rows]
            )
    signs = {Axles.FRONT: -1.0, Axles.REAR: 1.0, Axles.TRAILER: 0.0}
    shifts = np.array([signs[axles] * _shift_lb(one, u_in, loose_couplers, weights_lb) for one, axles in rows])
    for name in dict.fromkeys(ticket.rig.truck.name for ticket in tickets):
        if name not in loose_couplers:
            yield np.where([one.rig.truck.name == name for one, _ in rows], shifts, 0.0)
    for ticket in tickets:
        if ticket.rig.truck.name in loose_couplers:
            yield np.where([one is ticket for one, _ in rows], shifts, 0.0)


def _shift_lb(
    ticket: Ticket, u_in: float, loose_couplers: frozenset[str], weights_lb: Mapping[str, float]
) -> float:
    truck = ticket.rig.truck
    return expected_coupler_lb(ticket, weights_lb) * (
        1.0 if truck.name in loose_couplers else u_in / truck.wheelbase_in
    )


def expected_coupler_lb(ticket: Ticket, weights_lb: Mapping[str, float] = _NO_WEIGHTS) -> float:
    """The coupler load that the sheets' figures give for a ticket, pounds; 0 for a truck alone.

    ``weights_lb``: item weights by name that stand in for the sheet's.
    """
    if ticket.alone:
        return 0.0
    form = coupler_form(ticket.rig)
    return form.nominal(ticket.rig.trailer, [], []) + sum(
        weights_lb.get(standing.item.name, standing.item.weight.nominal_lb)
        * form.coefficient(standing.cg_behind_coupler_in(ticket.rig))
        for standing in ticket.on_deck
    )
