"""From a fitted model to figures that a sheet holds: empty weights, item weights, centres of gravity."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from dispatch.fleet import Trailer, Truck
from dispatch.items import Item, Weight
from dispatch.least_squares import Fit, ratio_with_uncertainty
from dispatch.settings import Settings
from dispatch.ticket_model import (
    TicketModel,
    Unknown,
    item_unknowns,
    ticket_model,
    trailer_unknowns,
    truck_unknowns,
)
from dispatch.tickets import Ticket
from dispatch.weighing_results import Estimate, Subject

WEIGHT, CG = "Weight", "CG from front"
EMPTY_FRONT, EMPTY_REAR = "Empty front", "Empty rear"
EMPTY_COUPLER, EMPTY_AXLES = "Empty coupler", "Empty axles"
_SURE = 3.0
"""Least weight, in its own standard uncertainties, that a place is worked out for: below, m / W runs wild."""
Named = TypeVar("Named", Truck, Trailer, Item)


@dataclass(frozen=True, slots=True)
class Solved:
    """A model with its fit."""

    model: TicketModel
    fit: Fit

    def of(self, unknown: Unknown) -> tuple[float, float] | None:
        """Value and standard uncertainty of one unknown; ``None`` when it is not identifiable."""
        return self.fit.of(self.model.combination({unknown: 1.0}))


def solve_tickets(
    tickets: Sequence[Ticket], settings: Settings, loose_couplers: frozenset[str] = frozenset()
) -> Solved:
    """The fit of linked tickets, in two passes.

    The first reckons the tape's effects at the sheets' item weights, the second at those that the first has found:
    at a catalogue weight ten per cent too low the tape would count for ten per cent too little.
    """
    model = ticket_model(tickets, settings, loose_couplers)
    first = Solved(model, model.fit())
    found: dict[str, float] = {}
    for item in _once(standing.item for ticket in tickets for standing in ticket.on_deck):
        weight = first.of(item_unknowns(item)[0])
        if weight is not None and weight[0] > 0:
            found[item.name] = weight[0]
    model = ticket_model(tickets, settings, loose_couplers, found)
    return Solved(model, model.fit())


def vehicle_estimates(solved: Solved) -> Iterator[Estimate]:
    """Empty weights of the trucks weighed alone and of the trailers weighed empty."""
    tickets = solved.model.tickets
    for truck in _once(ticket.rig.truck for ticket in tickets if ticket.alone):
        names = _named(ticket for ticket in tickets if ticket.rig.truck.name == truck.name)
        stated = (truck.empty_front_lb, truck.empty_rear_lb)
        columns = (EMPTY_FRONT, EMPTY_REAR)
        for unknown, lb, column in zip(truck_unknowns(truck), stated, columns, strict=True):
            found = solved.of(unknown)
            yield _weight(Subject.TRUCK, truck.name, column, found, (lb, lb, lb), names)
    for trailer in _once(ticket.rig.trailer for ticket in tickets if ticket.empty_rig):
        names = _named(t for t in tickets if not t.alone and t.rig.trailer.name == trailer.name)
        weights = (trailer.empty_coupler, trailer.empty_axles)
        columns = (EMPTY_COUPLER, EMPTY_AXLES)
        for unknown, weight, column in zip(trailer_unknowns(trailer), weights, columns, strict=True):
            found = solved.of(unknown)
            yield _weight(Subject.TRAILER, trailer.name, column, found, _range(weight), names)


def item_estimates(solved: Solved) -> Iterator[Estimate]:
    """Weight and centre of gravity of every item; of items that the tickets cannot part, their sum."""
    loaded = [ticket for ticket in solved.model.tickets if ticket.loaded]
    apart: set[str] = set()
    for item in _once(standing.item for ticket in loaded for standing in ticket.on_deck):
        carrying = [ticket for ticket in loaded if item.name in ticket.items]
        found = solved.of(item_unknowns(item)[0])
        if found is not None:
            apart.add(item.name)
        why = "" if found else _why_not(item.name, carrying)
        yield _weight(Subject.ITEM, item.name, WEIGHT, found, _range(item.weight), _named(carrying), why)
        yield _centre_of_gravity(solved, item, carrying)
    for names in dict.fromkeys(ticket.items for ticket in loaded):
        if names - apart and len(names) > 1:
            yield from _together(solved, [ticket for ticket in loaded if ticket.items == names])


def _weight(
    subject: Subject,
    name: str,
    column: str,
    found: tuple[float, float] | None,
    stated: tuple[float, float, float],
    tickets: tuple[str, ...],
    remark: str = "",
) -> Estimate:
    value, u = found or (None, None)
    return Estimate(subject, name, column, "lb", value, u, *stated, tickets, remark)


def _range(weight: Weight) -> tuple[float, float, float]:
    return weight.nominal_lb, weight.low_lb, weight.high_lb


def _centre_of_gravity(solved: Solved, item: Item, carrying: Sequence[Ticket]) -> Estimate:
    weight, moment = item_unknowns(item)
    value = u = None
    remark = ""
    weighed = solved.of(weight)
    if weighed is None or solved.of(moment) is None:
        remark = _why_not(item.name, carrying)
    elif weighed[0] <= _SURE * weighed[1]:
        remark = "not identifiable: the weight itself is lost in the scale's uncertainty"
    else:
        places = [solved.model.unknowns.index(unknown) for unknown in (moment, weight)]
        top, bottom = solved.fit.estimates[places]
        found = ratio_with_uncertainty(top, bottom, solved.fit.covariance[np.ix_(places, places)])
        value, u = float(found[0]), float(found[1])
        if not item.contact_from_in <= value <= item.contact_from_in + item.contact_length_in:
            remark = "outside what touches the deck: check the places on the tickets"
    cg = item.cg_in
    return Estimate(Subject.ITEM, item.name, CG, "in", value, u, cg, cg, cg, _named(carrying), remark)


def _why_not(name: str, carrying: Sequence[Ticket]) -> str:
    others = frozenset[str].intersection(*(ticket.items for ticket in carrying)) - {name}
    always = f"it always rides with {', '.join(sorted(others))}" if others else "too few tickets that differ"
    return f"not identifiable: {always}; weigh it once by itself"


def _together(solved: Solved, tickets: Sequence[Ticket]) -> Iterator[Estimate]:
    """The sum of the weights on deck, where the tickets fix it."""
    items = [standing.item for standing in tickets[0].on_deck]
    found = solved.fit.of(solved.model.combination({item_unknowns(item)[0]: 1.0 for item in items}))
    if found is not None:
        stated = [_range(item.weight) for item in items]
        name = " + ".join(item.name for item in items)
        sums = (sum(s[0] for s in stated), sum(s[1] for s in stated), sum(s[2] for s in stated))
        yield _weight(Subject.TOGETHER, name, WEIGHT, found, sums, _named(tickets))


def _once(found: Iterable[Named]) -> tuple[Named, ...]:
    """Each vehicle or item once, by name, in order."""
    by_name: dict[str, Named] = {}
    for one in found:
        by_name.setdefault(one.name, one)
    return tuple(by_name.values())


def _named(tickets: Iterable[Ticket]) -> tuple[str, ...]:
    return tuple(ticket.name for ticket in tickets)
