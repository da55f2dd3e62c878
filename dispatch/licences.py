"""Which driver's licence a rig needs, and whether it is a commercial motor vehicle."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from dispatch.fleet import Licence
from dispatch.limits import LicenceClass, RuleSet
from dispatch.units import SLACK_LB


@dataclass(frozen=True, slots=True)
class _Masses:
    """What a class goes by: rating or actual weight, the greater, pounds; axles of the truck."""

    truck_lb: float
    trailer_lb: float
    combination_lb: float
    truck_axles: int


def class_needed(
    truck_gvwr_lb: float,
    trailer_gvwr_lb: float,
    actual_gcw_lb: float,
    rules: RuleSet,
    *,
    actual_truck_lb: float = 0.0,
    actual_trailer_lb: float = 0.0,
    truck_axles: int = 2,
) -> Licence:
    """Least licence class for truck and trailer by their ratings (pounds), or by actual weight where greater.

    ``trailer_gvwr_lb``: 0 without a trailer. ``actual_*``: what truck, trailer and combination really weigh,
    0 when unknown. ``truck_axles``: steer axle included. The rule set names the rule: 49 CFR 383.91 (US),
    Directive 2006/126/EC (EU), the classes of British Columbia or Ontario; a set that knows no classes needs none.
    """
    truck_lb = max(truck_gvwr_lb, actual_truck_lb)
    trailer_lb = max(trailer_gvwr_lb, actual_trailer_lb)
    combination_lb = max(truck_lb + trailer_lb, actual_gcw_lb)
    return _NEEDS[rules.licence](_Masses(truck_lb, trailer_lb, combination_lb, truck_axles), rules)


def covers(held: Licence, needed: Licence, rules: RuleSet) -> bool:
    """Whether a driver who holds one class may drive what needs the other, by the rule set's own order of classes.

    A class that the rule set does not have covers nothing but itself. A set without classes asks for none.
    """
    return not rules.licences or held == needed or needed in _covered(rules.licences).get(held, frozenset())


def classes_short(held: Licence, needed: Licence, rules: RuleSet) -> int:
    """How many classes a driver's licence falls short of the one needed, in the rule set's order."""
    if covers(held, needed, rules):
        return 0
    names = [row.name for row in rules.licences]
    rank = {name: place for place, name in enumerate(names)}
    return max(1, rank.get(needed, 0) - rank.get(held, 0))


@lru_cache(maxsize=32)
def _covered(classes: tuple[LicenceClass, ...]) -> Mapping[str, frozenset[str]]:
    """Every class with all that it covers; the classes come lowest first."""
    found: dict[str, frozenset[str]] = {}
    for row in classes:
        found[row.name] = frozenset(row.covers).union(*(found[name] for name in row.covers))
    return found


def _us_cdl(masses: _Masses, rules: RuleSet) -> Licence:
    """Class A: combination 26,001 lb or more with a towed unit over 10,000; B: a single vehicle of 26,001 or more.

    Class C is for placards and passengers, which equipment haulage does not ask for. Source: 49 CFR 383.91;
    actual weight by 49 CFR 383.5. 12,500 + 14,000 lb -> A; 20,000 + 7,000 -> none.
    """
    tows_heavy = not _within(masses.trailer_lb, rules.value("cdl_towed_lb"))
    if tows_heavy and _reaches(masses.combination_lb, rules.value("cdl_combination_lb")):
        return Licence.A
    return Licence.B if _reaches(masses.truck_lb, rules.value("cdl_single_lb")) else Licence.NONE


def _eu_categories(masses: _Masses, rules: RuleSet) -> Licence:
    """Category by authorised mass: B, B with code 96, BE, C1, C1E, C, CE.

    A B truck with a trailer over 3,500 kg needs C1E up to 12,000 kg together, and CE beyond.
    Source: Directive 2006/126/EC, Article 4(4). 3,000 + 1,000 kg -> B96; 7,500 + 4,500 kg -> C1E.
    """
    light = _within(masses.trailer_lb, rules.value("licence_light_trailer_lb"))

    def up_to(key: str) -> bool:
        return _within(masses.combination_lb, rules.value(key))

    with_trailer = Licence.C1E if up_to("licence_c1e_lb") else Licence.CE
    if _within(masses.truck_lb, rules.value("licence_b_lb")):
        if light or up_to("licence_b_lb"):
            return Licence.B
        if up_to("licence_b96_lb"):
            return Licence.B96
        return Licence.BE if _within(masses.trailer_lb, rules.value("licence_be_trailer_lb")) else with_trailer
    if _within(masses.truck_lb, rules.value("licence_c1_lb")):
        return Licence.C1 if light else with_trailer
    return Licence.C if light else Licence.CE


def _ontario(masses: _Masses, rules: RuleSet) -> Licence:
    """Class A: towed over 4,600 kg; D: truck or combination over 11,000 kg; G else. Source: truck handbook."""
    if not _within(masses.trailer_lb, rules.value("licence_trailer_lb")):
        return Licence.A
    return Licence.G if _within(masses.combination_lb, rules.value("licence_gross_lb")) else Licence.D


def _british_columbia(masses: _Masses, rules: RuleSet) -> Licence:
    """Class 1: a trailer over 4,600 kg, taken as air-braked; 3: a truck of more than two axles; 5 else."""
    if not _within(masses.trailer_lb, rules.value("licence_trailer_lb")):
        return Licence.CLASS_1
    return Licence.CLASS_3 if masses.truck_axles > 2 else Licence.CLASS_5


_NEEDS: Mapping[str, Callable[[_Masses, RuleSet], Licence]] = MappingProxyType(
    {
        "us_cdl": _us_cdl,
        "eu_categories": _eu_categories,
        "ontario": _ontario,
        "british_columbia": _british_columbia,
        "not_checked": lambda _masses, _rules: Licence.NONE,
    }
)


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


def _within(weight_lb: float, up_to_lb: float | None) -> bool:
    """Whether a weight is not over a limit; a lifted limit asks for nothing."""
    return up_to_lb is None or weight_lb <= up_to_lb + SLACK_LB
