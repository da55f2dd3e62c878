"""Which driver's licence a rig needs, and whether it is a commercial motor vehicle."""

from __future__ import annotations

from types import MappingProxyType

from dispatch.fleet import Licence
from dispatch.limits import RuleSet
from dispatch.units import SLACK_LB

_RANK = MappingProxyType({Licence.NONE: 0, Licence.C: 1, Licence.B: 2, Licence.A: 3})


def class_needed(
    truck_gvwr_lb: float,
    trailer_gvwr_lb: float,
    actual_gcw_lb: float,
    rules: RuleSet,
    *,
    actual_truck_lb: float = 0.0,
    actual_trailer_lb: float = 0.0,
) -> Licence:
    """Least licence class for truck and trailer by their ratings (pounds), or by actual weight where greater.

    ``trailer_gvwr_lb``: 0 without a trailer. ``actual_*``: what truck, trailer and combination really weigh,
    0 when unknown. Class A: combination 26,001 lb or more with a towed unit over 10,000; class B: a single
    vehicle of 26,001 or more. Class C is for placards and passengers, which equipment haulage does not ask for.
    Source: 49 CFR 383.91; actual weight by 49 CFR 383.5. 12,500 + 14,000 lb -> A; 20,000 + 7,000 -> none.
    """
    truck_lb = max(truck_gvwr_lb, actual_truck_lb)
    trailer_lb = max(trailer_gvwr_lb, actual_trailer_lb)
    combination_lb = max(truck_lb + trailer_lb, actual_gcw_lb)
    towed_limit_lb = rules.value("cdl_towed_lb")
    tows_heavy = towed_limit_lb is not None and trailer_lb > towed_limit_lb + SLACK_LB
    if tows_heavy and _reaches(combination_lb, rules.value("cdl_combination_lb")):
        return Licence.A
    return Licence.B if _reaches(truck_lb, rules.value("cdl_single_lb")) else Licence.NONE


def covers(held: Licence, needed: Licence) -> bool:
    """Whether a driver who holds one class may drive what needs the other: A covers B, B covers C.

    Source: 49 CFR 383.91, relation between groups.
    """
    return _RANK[held] >= _RANK[needed]


def is_commercial(
    truck_gvwr_lb: float,
    rules: RuleSet,
    *,
    trailer_gvwr_lb: float = 0.0,
    actual_gvw_lb: float = 0.0,
    actual_gcw_lb: float = 0.0,
    interstate: bool = True,
) -> bool:
    """Whether truck and trailer are a commercial motor vehicle by weight: any rating or actual weight counts.

    Pounds; 0 when unknown or without a trailer. Source: 49 CFR 390.5, 10,001 lb or more in interstate commerce.
    """
    heaviest_lb = max(truck_gvwr_lb, truck_gvwr_lb + trailer_gvwr_lb, actual_gvw_lb, actual_gcw_lb)
    return interstate and _reaches(heaviest_lb, rules.value("cmv_lb"))


def _reaches(weight_lb: float, from_lb: float | None) -> bool:
    return from_lb is not None and weight_lb >= from_lb - SLACK_LB
