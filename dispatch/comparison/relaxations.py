"""The same day with one resource made less scarce: to see whether that resource is the limit.

``newcomers`` are the rigs that the larger fleet has and the base has not. A relaxed day allows every plan that the
day itself allows, and more.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from dispatch.assemble import assemble
from dispatch.fleet import Licence, Rig, Trailer, Truck
from dispatch.licences import class_needed, covers
from dispatch.limits import BridgeFormula, Limit, RuleSet
from dispatch.problem import Problem
from dispatch.sites import Site
from dispatch.units import MIN_PER_H

MORE_MIN = MIN_PER_H
"""How much longer shifts and site hours are: an hour."""
MORE_WEIGHT = 1.10
"""How much more every rating and every legal weight allows: a tenth."""
DAY_MIN = 24 * MIN_PER_H
_NO_WEIGHT_LIMIT = ("cdl_", "licence_", "cmv_")
"""Limits in pounds that only say which licence or rule holds."""


class Resource(StrEnum):
    """What may be the limit; the value is the word of the outputs."""

    TRUCKS = "trucks"
    DRIVERS = "drivers"
    TRAILERS = "trailers"
    SHIFTS = "shift hours"
    SITE_HOURS = "site hours"
    WEIGHTS = "weights"


TOGETHER: tuple[tuple[Resource, ...], ...] = (
    (Resource.TRUCKS, Resource.DRIVERS),
    (Resource.TRUCKS, Resource.TRAILERS),
    (Resource.DRIVERS, Resource.TRAILERS),
    (Resource.SHIFTS, Resource.SITE_HOURS),
)
"""What may be short only both at once: a truck is of no use without a driver."""
MEANING = MappingProxyType(
    {
        Resource.TRUCKS: "one truck more, for the trailer that was added",
        Resource.DRIVERS: "one driver more, for the trailer that was added",
        Resource.TRAILERS: "one trailer more, for the truck or driver that was added",
        Resource.SHIFTS: "shifts and driving limits of the rigs an hour longer",
        Resource.SITE_HOURS: "sites open an hour earlier and close an hour later, deliveries an hour later",
        Resource.WEIGHTS: "every weight rating and legal weight a tenth higher",
    }
)


def applies(problem: Problem, newcomers: Collection[str], resource: Resource) -> bool:
    """Whether more of it could change anything: trucks, drivers and trailers only when a newcomer shares one.

    Site hours only where a site or a delivery has any.
    """
    if resource is Resource.TRUCKS:
        return any(_shared(problem, rig, "truck") for rig in problem.rigs if rig.name in newcomers)
    if resource is Resource.DRIVERS:
        return any(_shared(problem, rig, "driver") for rig in problem.rigs if rig.name in newcomers)
    if resource is Resource.TRAILERS:
        return any(_shared(problem, rig, "trailer") for rig in problem.rigs if rig.name in newcomers)
    if resource is Resource.SITE_HOURS:
        return _bound_by_hours(problem)
    return True


def relaxed(problem: Problem, newcomers: Collection[str], resources: Collection[Resource]) -> Problem:
    """The day with more of each of the resources."""
    for resource in Resource:
        if resource in resources:
            problem = _relaxed_by(problem, newcomers, resource)
    return problem


def _relaxed_by(problem: Problem, newcomers: Collection[str], resource: Resource) -> Problem:
    if resource is Resource.TRUCKS:
        return replace(problem, rigs=tuple(_own_truck(problem, rig, newcomers) for rig in problem.rigs))
    if resource is Resource.DRIVERS:
        return replace(problem, rigs=tuple(_own_driver(problem, rig, newcomers) for rig in problem.rigs))
    if resource is Resource.TRAILERS:
        return replace(problem, rigs=tuple(_own_trailer(problem, rig, newcomers) for rig in problem.rigs))
    if resource is Resource.SHIFTS:
        return replace(problem, rigs=tuple(_longer_shift(rig) for rig in problem.rigs))
    if resource is Resource.SITE_HOURS:
        return _longer_hours(problem)
    return _stronger(problem)


def _shared(problem: Problem, rig: Rig, what: str) -> bool:
    """Whether another rig of the day has the same truck, driver or trailer."""
    return any(other is not rig and _who(other, what) == _who(rig, what) for other in problem.rigs)


def _who(rig: Rig, what: str) -> str:
    names = {"truck": rig.truck.name, "trailer": rig.trailer.name}
    return names.get(what) or rig.driver or f"\0{rig.name}"


def _own_truck(problem: Problem, rig: Rig, newcomers: Collection[str]) -> Rig:
    if rig.name not in newcomers or not _shared(problem, rig, "truck"):
        return rig
    return replace(rig, truck=replace(rig.truck, name=f"{rig.truck.name}, one more"))


def _own_driver(problem: Problem, rig: Rig, newcomers: Collection[str]) -> Rig:
    if rig.name not in newcomers or not _shared(problem, rig, "driver"):
        return rig
    return replace(rig, driver=f"{rig.driver}, one more")


def _own_trailer(problem: Problem, rig: Rig, newcomers: Collection[str]) -> Rig:
    if rig.name not in newcomers or not _shared(problem, rig, "trailer"):
        return rig
    return replace(rig, trailer=replace(rig.trailer, name=f"{rig.trailer.name}, one more"))


def _longer_shift(rig: Rig) -> Rig:
    limit = rig.driving_limit_min
    return replace(
        rig,
        shift_end_min=min(DAY_MIN, rig.shift_end_min + MORE_MIN),
        driving_limit_min=None if limit is None else limit + MORE_MIN,
    )


def _longer_hours(problem: Problem) -> Problem:
    """The hours of sites and the times of delivery; hauls are made anew from the moves."""
    sites = {name: _longer_open(site) for name, site in problem.sites.items()}
    moves = [replace(move, due_min=_later(move.due_min)) for move in problem.moves]
    return assemble(problem.items, problem.rigs, sites, moves, problem.roads, problem.settings, problem.rules)


def _bound_by_hours(problem: Problem) -> bool:
    at_sites = any(one.opens_min is not None or one.closes_min is not None for one in problem.sites.values())
    return at_sites or any(move.due_min is not None for move in problem.moves)


def _longer_open(site: Site) -> Site:
    opens = None if site.opens_min is None else max(0, site.opens_min - MORE_MIN)
    return replace(site, opens_min=opens, closes_min=_later(site.closes_min))


def _later(minutes: int | None) -> int | None:
    return None if minutes is None else min(DAY_MIN, minutes + MORE_MIN)


def _stronger(problem: Problem) -> Problem:
    """Ratings, legal weights and posted weights; a licence that covered a rig covers it still."""
    sites = {
        name: replace(site, heaviest_gross_lb=_more(site.heaviest_gross_lb))
        for name, site in problem.sites.items()
    }
    rules = _stronger_law(problem.rules)
    rigs = tuple(_stronger_rig(rig, problem.rules) for rig in problem.rigs)
    return replace(problem, rigs=rigs, sites=MappingProxyType(sites), rules=rules)


def _more(weight_lb: float | None) -> float | None:
    return None if weight_lb is None else weight_lb * MORE_WEIGHT


def _stronger_law(rules: RuleSet) -> RuleSet:
    limits = {key: _stronger_limit(key, limit) for key, limit in rules.limits.items()}
    formula = None if rules.formula is None else _stronger_bridge(rules.formula)
    return replace(rules, limits=MappingProxyType(limits), formula=formula)


def _stronger_limit(key: str, limit: Limit) -> Limit:
    is_weight = limit.unit in ("lb", "lb/in") and not key.startswith(_NO_WEIGHT_LIMIT)
    return replace(limit, value=_more(limit.value)) if is_weight else limit


def _stronger_bridge(formula: BridgeFormula) -> BridgeFormula:
    printed = tuple((axles, feet, lb * MORE_WEIGHT) for axles, feet, lb in formula.printed)
    return replace(formula, factor_lb=round(formula.factor_lb * MORE_WEIGHT), printed=printed)


_TRUCK_RATINGS = (
    "gvwr_lb",
    "gcwr_lb",
    "front_rating_lb",
    "rear_rating_lb",
    "front_tyre_rating_lb",
    "rear_tyre_rating_lb",
    "tow_rating_lb",
    "hitch_rating_lb",
    "registered_weight_lb",
)
_TRAILER_RATINGS = (
    "gvwr_lb",
    "axle_rating_lb",
    "tyre_rating_lb",
    "coupler_rating_lb",
    "dovetail_rating_lb",
    "ramp_rating_lb",
)


def _stronger_rig(rig: Rig, rules: RuleSet) -> Rig:
    truck = replace(rig.truck, **_ratings(rig.truck, _TRUCK_RATINGS))
    trailer = replace(rig.trailer, **_ratings(rig.trailer, _TRAILER_RATINGS))
    if trailer.neck is not None:
        trailer = replace(trailer, neck=replace(trailer.neck, rating_lb=_more(trailer.neck.rating_lb)))
    stronger = replace(rig, truck=truck, trailer=trailer)
    return replace(stronger, licence=_licence(rig, stronger, rules))


def _ratings(of: Truck | Trailer, names: Sequence[str]) -> dict[str, Any]:
    return {name: _more(getattr(of, name)) for name in names}


def _licence(rig: Rig, stronger: Rig, rules: RuleSet) -> Licence:
    """The driver's class, or the one that the higher ratings ask for where it sufficed for the old ones."""
    if not covers(rig.licence, _needed(rig, rules), rules):
        return rig.licence
    needed = _needed(stronger, rules)
    return rig.licence if covers(rig.licence, needed, rules) else needed


def _needed(rig: Rig, rules: RuleSet) -> Licence:
    axles = 1 + rig.truck.rear_axles
    return class_needed(rig.truck.gvwr_lb, rig.trailer.gvwr_lb, 0.0, rules, truck_axles=axles)
