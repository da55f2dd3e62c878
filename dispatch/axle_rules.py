"""Axle rules that are no bridge formula: Canadian axle units by spread, the axle groups of Directive 96/53/EC.

A rule set names its rule function in ``bridge``; ``bridge.axle_group_limits`` calls it. A rule function takes
axle positions (inches, increasing), the role of each axle and the rule set, and gives limits of groups of
consecutive axles. A limit without a figure is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from types import MappingProxyType

from dispatch.fleet import Hitch, Rig
from dispatch.limits import RuleSet
from dispatch.units import SLACK_IN

DUAL_TYRES = 4
"""An axle with this many tyres or more has dual tyres."""
DRAWBAR = frozenset({Hitch.BALL, Hitch.PINTLE})
"""Hitches of a trailer that is drawn; a gooseneck and a fifth wheel carry a semitrailer."""


class Place(StrEnum):
    """Which part of the combination an axle belongs to."""

    STEER = "steer"
    DRIVE = "drive"
    TRAILER = "trailer"


@dataclass(frozen=True, slots=True)
class AxleRole:
    """What the law may ask of an axle besides where it stands. Every rear axle of a truck is taken as driving."""

    place: Place
    dual: bool


@dataclass(frozen=True, slots=True)
class GroupLimit:
    """Most that axles ``first`` to ``last`` (0-based, inclusive, from the steer axle) may carry, pounds."""

    first: int
    last: int
    limit_lb: float
    basis: str


Limited = tuple[float, str]
"""A limit in pounds with its basis."""


def axle_roles(rig: Rig) -> tuple[AxleRole, ...]:
    """The role of every axle of the combination, front to rear, as ``axle_loads.axle_positions`` lists them."""
    truck, trailer = rig.truck, rig.trailer
    drive = AxleRole(Place.DRIVE, truck.rear_tyres >= DUAL_TYRES * truck.rear_axles)
    towed = AxleRole(Place.TRAILER, trailer.tyres_per_axle >= DUAL_TYRES)
    return (AxleRole(Place.STEER, False), *(drive,) * truck.rear_axles, *(towed,) * trailer.axles)


def trailer_limit(rig: Rig, rules: RuleSet) -> Limited | None:
    """Most that a whole loaded drawbar trailer may weigh by law, coupler share included; ``None``: no such limit.

    Source: Directive 96/53/EC, Annex I, 2.1: 18 t on two axles, 24 t on three; more axles are held to 24 t.
    """
    if rules.bridge != "eu_annex" or rig.trailer.hitch not in DRAWBAR or rig.trailer.axles < 2:
        return None
    key = "trailer_two_axles_lb" if rig.trailer.axles == 2 else "trailer_three_axles_lb"
    value = rules.value(key)
    return None if value is None else (value, rules.basis(key))


def driving_share(rules: RuleSet) -> Limited | None:
    """Least share of gross on the driving axles, 0 to 1; ``None``: the rule set asks for none.

    Source: Directive 96/53/EC, Annex I, 4.1: 25 per cent in international traffic.
    """
    if "driving_axles_pct" not in rules.limits:
        return None
    value = rules.value("driving_axles_pct")
    return None if value is None else (value / 100, rules.basis("driving_axles_pct"))


def canada_spread(
    positions_in: Sequence[float], roles: Sequence[AxleRole], rules: RuleSet
) -> Iterator[GroupLimit]:
    """Limits by axle unit: single, tandem and tridem by spread; the whole carries the sum of its units.

    A unit is a run of axles of one vehicle, each nearer than 3.0 m to the next; the steer axle is one of its own.
    Two or more axles of less spread than a tandem's are one single axle, three or more of less spread than a
    tridem's are a tandem; what is spread wider than a tridem, or has more axles, has a long tridem's limit.
    """
    units = tuple(_units(positions_in, roles, _figure(rules, "unit_gap_in")))
    whole: list[float] = []
    for first, last in units:
        for start in range(first, last + 1):
            for end in range(start, last + 1):
                limit_lb, basis = _unit_limit(
                    positions_in[end] - positions_in[start], end - start + 1, roles[start], rules
                )
                if limit_lb < math.inf:
                    yield GroupLimit(start, end, limit_lb, basis)
                if (start, end) == (first, last):
                    whole.append(limit_lb)
    yield from _whole_of_units(len(positions_in), sum(whole), roles, rules)


def _whole_of_units(count: int, sum_lb: float, roles: Sequence[AxleRole], rules: RuleSet) -> Iterator[GroupLimit]:
    key = "single_drive_gross_lb"
    single = sum(role.place is Place.DRIVE for role in roles) == 1
    limits = [(sum_lb, f"{rules.title}: sum of the axle units")]
    limits += [_limited(rules, "gross_lb")] + ([_limited(rules, key)] if single else [])
    limit_lb, basis = min(limits)
    if count > 1 and limit_lb < math.inf:
        yield GroupLimit(0, count - 1, limit_lb, basis)


def _units(positions_in: Sequence[float], roles: Sequence[AxleRole], gap_in: float) -> Iterator[tuple[int, int]]:
    first = 0
    for i, (here, after) in enumerate(pairwise(positions_in)):
        if roles[i].place is not roles[i + 1].place or after - here >= gap_in - SLACK_IN:
            yield first, i
            first = i + 1
    yield first, len(positions_in) - 1


def _unit_limit(span_in: float, axles: int, role: AxleRole, rules: RuleSet) -> Limited:
    """Limit of so many axles of one unit over a spread."""

    def reaches(key: str) -> bool:
        return span_in >= _figure(rules, key) - SLACK_IN

    if role.place is Place.STEER:
        return min(_limited(rules, "steer_axle_lb"), _limited(rules, "single_axle_lb"))
    if axles == 1 or not reaches("tandem_from_in"):
        single = _limited(rules, "single_axle_lb")
        return single if role.dual else min(single, _limited(rules, "single_tyres_axle_lb"))
    if axles == 2 and role.dual and reaches("tandem_wide_from_in") and rules.value("tandem_wide_lb") is not None:
        return _limited(rules, "tandem_wide_lb")
    if axles == 2 or not reaches("tridem_from_in"):
        return _limited(rules, "tandem_lb")
    if not reaches("tridem_middle_from_in"):
        return _limited(rules, "tridem_short_lb")
    return _limited(rules, "tridem_long_lb" if reaches("tridem_long_from_in") else "tridem_middle_lb")


def eu_annex(positions_in: Sequence[float], roles: Sequence[AxleRole], rules: RuleSet) -> Iterator[GroupLimit]:
    """Limits of single axles, tandems and tridems, of the truck by its axles and of the whole by all axles.

    The distance d of a tandem is that of its axles; of a tridem the least of its two. Trailers of more axles, or
    wider than the directive's tridem, are held to its 24 t; a truck tandem of 1.8 m and more to 18 t.
    Source: Directive 96/53/EC, Annex I, 2 and 3.
    """
    for first in range(len(positions_in)):
        for last in range(first, len(positions_in)):
            group = positions_in[first : last + 1]
            found = [_eu_axles(group, roles[first : last + 1], rules)]
            if (first, last) == (0, sum(role.place is not Place.TRAILER for role in roles) - 1):
                found.append(_eu_truck(group, rules))
            if (first, last) == (0, len(positions_in) - 1):
                found.append(_eu_whole(len(positions_in), rules))
            limit_lb, basis = min(found)
            if limit_lb < math.inf:
                yield GroupLimit(first, last, limit_lb, basis)


def _eu_axles(group_in: Sequence[float], roles: Sequence[AxleRole], rules: RuleSet) -> Limited:
    """Limit of consecutive axles of one kind; infinite for groups that the directive does not name."""
    places = {role.place for role in roles}
    if len(group_in) == 1:
        return _limited(rules, "driving_axle_lb" if Place.DRIVE in places else "axle_lb")
    nearest_in = min(after - here for here, after in pairwise(group_in))
    if places == {Place.TRAILER} and len(group_in) > 2:
        wide = nearest_in > _figure(rules, "tridem_over_in") + SLACK_IN
        return _limited(rules, "trailer_tridem_lb" if wide else "trailer_tridem_short_lb")
    if len(places) > 1 or len(group_in) > 2:
        return math.inf, ""
    return _limited(rules, _tandem_key(nearest_in, Place.TRAILER in places, rules))


def _tandem_key(spacing_in: float, on_trailer: bool, rules: RuleSet) -> str:
    def reaches(key: str) -> bool:
        return spacing_in >= _figure(rules, key) - SLACK_IN

    start = "trailer_tandem" if on_trailer else "motor_tandem"
    if not reaches("tandem_short_from_in"):
        return f"{start}_close_lb"
    if not reaches("tandem_from_in"):
        return f"{start}_short_lb"
    return "trailer_tandem_wide_lb" if on_trailer and reaches("tandem_wide_from_in") else f"{start}_lb"


def _eu_truck(group_in: Sequence[float], rules: RuleSet) -> Limited:
    """Limit of the truck's axles together, coupler load included."""
    if len(group_in) <= 3:
        return _limited(rules, {2: "motor_two_axles_lb", 3: "motor_three_axles_lb"}[len(group_in)])
    key = "motor_four_axles_lb_per_in"
    by_length_lb = _figure(rules, key) * (group_in[-1] - group_in[0])
    return min(_limited(rules, "motor_four_axles_lb"), (by_length_lb, rules.basis(key)))


def _eu_whole(axles: int, rules: RuleSet) -> Limited:
    gross = _limited(rules, "gross_lb")
    return min(gross, _limited(rules, "four_axle_gross_lb")) if axles <= 4 else gross


def _figure(rules: RuleSet, key: str) -> float:
    """The limit's figure; infinite where the rule set has none or the user lifted it."""
    value = rules.value(key)
    return math.inf if value is None else float(value)


def _limited(rules: RuleSet, key: str) -> Limited:
    return _figure(rules, key), rules.basis(key)


AxleRule = Callable[[Sequence[float], Sequence[AxleRole], RuleSet], Iterator[GroupLimit]]
AXLE_RULES: Mapping[str, AxleRule] = MappingProxyType({"canada_spread": canada_spread, "eu_annex": eu_annex})
"""Rule functions by the name that a rule set's ``bridge`` gives, besides ``us_federal`` of ``bridge``."""
