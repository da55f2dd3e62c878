"""Tickets that cannot all be true: pair by pair within their tolerances, and a group at a time by chi-square.

A pair is named only when no true weight at all lies within both tickets' tolerances: a certain contradiction,
whatever the distribution of the errors. The chi-square test of a group's residuals finds what no pair shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from dispatch.axle_loads import axle_group_in
from dispatch.items import WeightBasis
from dispatch.least_squares import chance_of_more
from dispatch.settings import Settings
from dispatch.ticket_estimates import Solved
from dispatch.tickets import Axles, Ticket
from dispatch.units import SLACK_IN, SLACK_LB
from dispatch.weighing_results import Contradiction

LEVEL = 0.01
"""Level of the chi-square test: one sound group in a hundred would be named wrongly if errors were normal."""
BY_TOLERANCE = "within tolerances"
BY_CHI_SQUARE = "chi-square, 1 % level"


@dataclass(frozen=True, slots=True)
class Span:
    """Everything that can be true: from ``low`` to ``high``."""

    low: float
    high: float

    def less(self, other: Span) -> Span:
        """Every difference of the two."""
        return Span(self.low - other.high, self.high - other.low)

    def plus(self, other: Span) -> Span:
        """Every sum of the two."""
        return Span(self.low + other.low, self.high + other.high)

    def apart(self, other: Span) -> float:
        """The gap between the two; 0 when they meet."""
        return max(self.low - other.high, other.low - self.high, 0.0)


def pair_contradictions(tickets: Sequence[Ticket], settings: Settings) -> Iterator[Contradiction]:
    """Every two tickets that cannot both be true within their tolerances, with the figure and by how much."""
    for first, second in combinations(tickets, 2):
        if first.alone and second.alone and first.rig.truck.name == second.rig.truck.name:
            yield from _same_readings(first, second, f"truck {first.rig.truck.name} alone")
        elif first.alone or second.alone:
            continue
        elif _same_vehicles(first, second) and set(first.on_deck) == set(second.on_deck):
            what = "the same load" if first.loaded else "empty"
            yield from _same_readings(first, second, f"{_vehicles(first)}, {what}")
        elif first.empty_rig and second.empty_rig:
            yield from _same_trailer(first, second)
        elif first.items == second.items:
            yield from _same_items(first, second, tickets, settings)


def _same_vehicles(first: Ticket, second: Ticket) -> bool:
    return _vehicles(first) == _vehicles(second)


def _vehicles(ticket: Ticket) -> str:
    return f"{ticket.rig.truck.name} with {ticket.rig.trailer.name}"


def _same_readings(first: Ticket, second: Ticket, about: str) -> Iterator[Contradiction]:
    for one, other in zip(first.readings(), second.readings(), strict=True):
        spans = _span(one.weighed_lb, one.tolerance_lb), _span(other.weighed_lb, other.tolerance_lb)
        what = "front axle" if one.axles is Axles.FRONT else f"{one.axles.value.lower()} axles"
        yield from _apart(first, second, f"{about}: {what}", spans)


def _same_trailer(first: Ticket, second: Ticket) -> Iterator[Contradiction]:
    """One empty trailer behind two trucks: its axles weigh the same."""
    if first.rig.trailer.name == second.rig.trailer.name:
        spans = _reading_span(first, Axles.TRAILER), _reading_span(second, Axles.TRAILER)
        yield from _apart(first, second, f"trailer {first.rig.trailer.name} empty: trailer axles", spans)


def _same_items(
    first: Ticket, second: Ticket, tickets: Sequence[Ticket], settings: Settings
) -> Iterator[Contradiction]:
    about = ", ".join(sorted(first.items))
    if _same_vehicles(first, second):  # the empty weights are the same and cancel, whatever they are
        totals = _total_span(first), _total_span(second)
        found = list(_apart(first, second, f"{about}: gross of {_vehicles(first)}", totals))
    else:
        weights = _on_deck_span(first, tickets, settings), _on_deck_span(second, tickets, settings)
        found = list(_apart(first, second, f"{about}: weight", weights))
    yield from found
    if not found and len(first.items) == 1:
        places = _cg_span(first, tickets, settings), _cg_span(second, tickets, settings)
        yield from _apart(first, second, f"{about}: CG from front", places, unit="in")


def _apart(
    first: Ticket, second: Ticket, about: str, spans: tuple[Span, Span], unit: str = "lb"
) -> Iterator[Contradiction]:
    one, other = spans
    gap = one.apart(other)
    if gap > (SLACK_LB if unit == "lb" else SLACK_IN):
        digits = 0 if unit == "lb" else 1
        says = [
            f"{ticket.name} says {span.low:,.{digits}f} to {span.high:,.{digits}f} {unit}"
            for ticket, span in ((first, one), (second, other))
        ]
        yield Contradiction((first.name, second.name), about, ", ".join(says), gap, unit, BY_TOLERANCE)


def _span(value: float, tolerance: float) -> Span:
    return Span(value - tolerance, value + tolerance)


def _total_span(ticket: Ticket) -> Span:
    return _span(ticket.total_lb, ticket.total_tolerance_lb)


def _reading_span(ticket: Ticket, axles: Axles) -> Span:
    reading = ticket.reading(axles)
    return _span(reading.weighed_lb, reading.tolerance_lb)


def _meet(spans: Sequence[Span]) -> Span:
    """What lies in all of the spans; what lies in any of them when they contradict each other."""
    low, high = max(span.low for span in spans), min(span.high for span in spans)
    return Span(low, high) if low <= high else Span(min(s.low for s in spans), max(s.high for s in spans))


def _empty_truck(ticket: Ticket, tickets: Sequence[Ticket], settings: Settings) -> Span:
    truck = ticket.rig.truck
    alone = [one for one in tickets if one.alone and one.rig.truck.name == truck.name]
    if alone:
        return _meet([_total_span(one) for one in alone])
    weight = settings.weight(truck.empty_front_lb + truck.empty_rear_lb, WeightBasis.SCALE_TICKET)
    return Span(weight.low_lb, weight.high_lb)


def _empty_axles(ticket: Ticket, tickets: Sequence[Ticket]) -> Span:
    trailer = ticket.rig.trailer
    empty = [one for one in tickets if one.empty_rig and one.rig.trailer.name == trailer.name]
    if empty:
        return _meet([_reading_span(one, Axles.TRAILER) for one in empty])
    return Span(trailer.empty_axles.low_lb, trailer.empty_axles.high_lb)


def _empty_rig(ticket: Ticket, tickets: Sequence[Ticket], settings: Settings) -> Span:
    """What the whole rig weighs empty, by its own empty tickets, else by its parts."""
    empty = [one for one in tickets if one.empty_rig and _same_vehicles(one, ticket)]
    if empty:
        return _meet([_total_span(one) for one in empty])
    coupler = ticket.rig.trailer.empty_coupler
    trailer = _empty_axles(ticket, tickets).plus(Span(coupler.low_lb, coupler.high_lb))
    return _empty_truck(ticket, tickets, settings).plus(trailer)


def _on_deck_span(ticket: Ticket, tickets: Sequence[Ticket], settings: Settings) -> Span:
    """The weight on deck, pounds."""
    return _total_span(ticket).less(_empty_rig(ticket, tickets, settings))


def _cg_span(ticket: Ticket, tickets: Sequence[Ticket], settings: Settings) -> Span:
    """The one item's centre of gravity behind its own front end, inches: moment on the axles over weight."""
    weight = _on_deck_span(ticket, tickets, settings)
    on_axles = _reading_span(ticket, Axles.TRAILER).less(_empty_axles(ticket, tickets))
    if weight.low <= 0 or on_axles.low <= 0:
        return Span(float("-inf"), float("inf"))
    group = axle_group_in(ticket.rig.trailer)
    (standing,) = ticket.on_deck
    end, tape = standing.front_end_in(ticket.rig), settings.tape_tolerance_in
    nearest, furthest = group * on_axles.low / weight.high, group * on_axles.high / weight.low
    ends = sorted((standing.sign * (nearest - end), standing.sign * (furthest - end)))
    return Span(ends[0] - tape, ends[1] + tape)


def group_contradictions(solved: Solved) -> Iterator[Contradiction]:
    """The chi-square test of one group of tickets, when it fails; names the reading that fits worst."""
    fit, model = solved.fit, solved.model
    if fit.freedom < 1:
        return
    chance = chance_of_more(fit.chi_square, fit.freedom)
    if chance >= LEVEL:
        return
    sizes = [abs(r) / u if u > 0.1 else 0.0 for r, u in zip(fit.residuals, fit.residual_u, strict=True)]
    worst = sizes.index(max(sizes))
    source, off_lb = model.observations[worst], float(fit.residuals[worst])
    side = "more" if off_lb > 0 else "less"
    text = (
        f"chi-square {fit.chi_square:,.1f} on {fit.freedom} degrees of freedom (chance {chance:.2g}); fits worst: "
        f"{source.source}, {source.what.lower()}, {abs(off_lb):,.0f} lb {side} than the others make it"
    )
    names = tuple(ticket.name for ticket in model.tickets)
    yield Contradiction(names, "the group as a whole", text, abs(off_lb), "lb", BY_CHI_SQUARE)
