"""Where a truck's coupler is, by what the front and rear axles gain when the trailer is hitched.

Hitching puts P * (1 - c/b) on the front axle and P * c/b on the rear group (moment equilibrium of the truck, any
statics textbook; c and b inches behind the steer axle), so that c = b * rear gain / (front gain + rear gain).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from dispatch.fleet import Truck
from dispatch.least_squares import standard_uncertainty
from dispatch.settings import Settings
from dispatch.tickets import Axles, Ticket
from dispatch.weighing_results import Estimate, Subject

COLUMN = "Coupler ahead of rear axle"
_ENOUGH = 3.0
"""Least coupler load, in its own standard uncertainties, from which a place is told."""


@dataclass(frozen=True, slots=True)
class _Gain:
    """What hitching adds to an axle over all hitched tickets, with its standard uncertainty, pounds."""

    lb: float
    u: float


def coupler_place(truck: Truck, tickets: Sequence[Ticket], settings: Settings) -> Estimate | None:
    """The coupler's place ahead of the rear group, inches, from tickets alone and hitched; empty or loaded.

    Over several hitched tickets the gains are added up. ``None`` when the truck has no ticket of both kinds.
    """
    own = [ticket for ticket in tickets if ticket.rig.truck.name == truck.name]
    alone = [ticket for ticket in own if ticket.alone]
    hitched = [ticket for ticket in own if not ticket.alone]
    if not alone or not hitched:
        return None
    front, rear = (_gain(axles, alone, hitched) for axles in (Axles.FRONT, Axles.REAR))
    coupler_lb = front.lb + rear.lb
    value = u = None
    remark = "not identifiable: hitching adds no more than the scale's uncertainty"
    if coupler_lb > _ENOUGH * math.hypot(front.u, rear.u):
        share = rear.lb / coupler_lb
        u = truck.wheelbase_in * math.hypot((1 - share) * rear.u, share * front.u) / coupler_lb
        value = truck.wheelbase_in * (1 - share)
        remark = f"front gains {front.lb:,.0f} lb and rear {rear.lb:,.0f} lb over {len(hitched)} hitched"
    tape = settings.tape_tolerance_in
    stated = truck.coupler_ahead_in
    names = tuple(ticket.name for ticket in own)
    return Estimate(
        Subject.TRUCK, truck.name, COLUMN, "in", value, u, stated, stated - tape, stated + tape, names, remark
    )


def _gain(axles: Axles, alone: Sequence[Ticket], hitched: Sequence[Ticket]) -> _Gain:
    """Sum over the hitched readings less as many times the mean of the readings alone."""
    before = [ticket.reading(axles) for ticket in alone]
    after = [ticket.reading(axles) for ticket in hitched]
    mean = sum(one.weighed_lb for one in before) / len(before)
    u_mean = math.hypot(*(standard_uncertainty(one.tolerance_lb) for one in before)) / len(before)
    u_after = math.hypot(*(standard_uncertainty(one.tolerance_lb) for one in after))
    gained = sum(one.weighed_lb for one in after) - len(after) * mean
    return _Gain(gained, math.hypot(u_after, len(after) * u_mean))
