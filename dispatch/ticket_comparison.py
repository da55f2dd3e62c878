"""Each reading against what the sheets predict for it."""

from __future__ import annotations

from collections.abc import Iterator

from dispatch.checks import Sense
from dispatch.settings import Settings
from dispatch.ticket_model import axle_form, expected_coupler_lb
from dispatch.tickets import Axles, Reading, Ticket
from dispatch.weighing_results import Comparison


def compare(ticket: Ticket, settings: Settings) -> Iterator[Comparison]:
    """The ticket's readings against prediction, front to rear; a truck's empty weights are taken as weighed."""
    for reading in ticket.readings():
        predicted, low, high = _range_of(ticket, reading, settings)
        yield Comparison(
            ticket=ticket.name,
            day=ticket.day,
            rig=ticket.rig.name,
            state="truck alone" if ticket.alone else "loaded" if ticket.loaded else "empty",
            axles=reading.axles.value,
            predicted_lb=predicted,
            low_lb=low,
            high_lb=high,
            weighed_lb=reading.weighed_lb,
            tolerance_lb=reading.tolerance_lb,
        )


def _range_of(ticket: Ticket, reading: Reading, settings: Settings) -> tuple[float, float, float]:
    truck, trailer = ticket.rig.truck, ticket.rig.trailer
    if ticket.alone:
        stated = truck.empty_front_lb if reading.axles is Axles.FRONT else truck.empty_rear_lb
        return stated, stated, stated
    form = axle_form(ticket.rig, reading.axles)
    weights = [standing.item.weight for standing in ticket.on_deck]
    places = [standing.cg_behind_coupler_in(ticket.rig) for standing in ticket.on_deck]
    tape = settings.tape_tolerance_in * abs(form.per_inch) * sum(weight.high_lb for weight in weights)
    if reading.axles is not Axles.TRAILER:
        tape += settings.tape_tolerance_in * abs(expected_coupler_lb(ticket)) / truck.wheelbase_in
    low = form.worst(trailer, weights, places, Sense.LEAST) - tape
    high = form.worst(trailer, weights, places, Sense.MOST) + tape
    return form.nominal(trailer, weights, places), low, high
