"""What scale tickets tell about the sheets, in one call.

Comparisons with what the sheets predict, empty weights by the two-weighing method, item weights and centres of
gravity by least squares, what could go on the sheets, and which tickets contradict each other. The formulas are in
``docs/scale-tickets.md``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dispatch.coupler_place import coupler_place
from dispatch.fleet import Truck
from dispatch.new_figures import new_figures
from dispatch.settings import Settings
from dispatch.ticket_comparison import compare
from dispatch.ticket_conflicts import group_contradictions, pair_contradictions
from dispatch.ticket_estimates import item_estimates, solve_tickets, vehicle_estimates
from dispatch.ticket_model import linked
from dispatch.tickets import Ticket
from dispatch.weighing_results import Contradiction, Estimate, Subject, Weighing

_SUBJECTS = tuple(Subject)
_DOUBT = "not offered: the tickets contradict each other"


def weigh(tickets: Sequence[Ticket], settings: Settings) -> Weighing:
    """Everything that the tickets tell; estimates are in pounds and inches with 95 % intervals.

    Tickets that share a truck, a trailer or an item are solved together. Where they contradict each other their
    estimates are still shown, and marked; none is offered.
    """
    couplers = [place for truck in _trucks(tickets) if (place := coupler_place(truck, tickets, settings))]
    loose = frozenset(place.name for place in couplers if place.agrees is False)
    estimates: list[Estimate] = [*couplers]
    contradictions: list[Contradiction] = []
    doubtful: set[str] = set()
    for group in linked(tickets):
        solved = solve_tickets(group, settings, loose)
        estimates += [*vehicle_estimates(solved), *item_estimates(solved)]
        found = [*pair_contradictions(group, settings), *group_contradictions(solved)]
        contradictions += found
        doubtful |= {ticket.name for ticket in group if found}
    marked = [_marked(one, doubtful) for one in estimates]
    marked.sort(key=lambda one: _SUBJECTS.index(one.subject))
    sound = [one for one in marked if not one.remark.endswith(_DOUBT)]
    return Weighing(
        comparisons=tuple(row for ticket in tickets for row in compare(ticket, settings)),
        estimates=tuple(marked),
        new_figures=tuple(new_figures(sound, settings)),
        contradictions=tuple(contradictions),
    )


def _trucks(tickets: Sequence[Ticket]) -> tuple[Truck, ...]:
    return tuple({ticket.rig.truck.name: ticket.rig.truck for ticket in tickets}.values())


def _marked(one: Estimate, doubtful: set[str]) -> Estimate:
    if one.value is None or not doubtful & set(one.tickets):
        return one
    return replace(one, remark="; ".join(filter(None, (one.remark, _DOUBT))))
