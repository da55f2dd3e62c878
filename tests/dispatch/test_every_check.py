"""Every check there is, on US, Canadian and EU rules: accepted at its limit, refused 1 lb or 1 in over.

One load, exact weights: 6,000 lb 200 in behind the coupler, axles in the middle at 300: 4,000 of it on the axles,
2,000 on the coupler. With 1,000 + 3,000 lb of trailer and 6,000 + 4,000 of truck, coupler 40 in ahead of the rear
axle on a wheelbase of 200: coupler 3,000, axles 7,000, front 6,600, rear 6,400, truck 13,000, trailer 10,000,
gross 20,000. Limits of law on weights, whose figures differ, are in ``test_jurisdictions``; they are counted in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import pytest

from dispatch.allocation import MOST_PER_ITEM
from dispatch.fleet import Deck, Hitch, Licence, Rig
from dispatch.items import Facing, Item
from dispatch.legality import leg_checks, trip_checks
from dispatch.limits import LimitOverride, RuleSet, load_rule_set
from dispatch.plan import Action, Placed, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.settings import Band
from dispatch.units import LB_PER_KG
from dispatch.verify_findings import NumberedTrip
from dispatch.verify_gear import gear_violations
from dispatch.verify_loads import leg_violations
from tests import factories as make
from tests.bare_rigs import EXACT, FREE, bare_rig, day, exact, leg_of, point_item
from tests.dispatch.test_jurisdictions import WEIGHED, highest_class

FAMILIES = {"US federal": "US", "Canada national": "Canada", "EU": "EU"}
CONSTANT = {"axles": 2, "coupler_to_first_axle_in": 270.0, "axle_spacing_in": 60.0, "deck_width_in": 96.0}
LOADED = {"empty_coupler": exact(1_000), "empty_axles": exact(3_000)}
MIDDLE = Placed(0, Deck.MAIN, 140, Facing.FORWARD)


@dataclass(frozen=True)
class Case:
    """A check with what makes the load just legal, and what makes it illegal by one.

    Keys say where a value goes: ``truck_``, ``trailer_``, ``rig_``, ``item_``, ``setting_``, ``site_`` and
    ``law_`` name a field; ``runs`` is the move's. ``also``: other checks that have the same figure.
    """

    check: str
    met: Mapping[str, Any]
    over: Mapping[str, Any]
    also: tuple[str, ...] = ()
    place: Placed = MIDDLE
    machine: bool = False


def rated(check: str, field: str, limit_lb: float, *also: str, each: int = 1) -> Case:
    """A rating that the load just meets, and the same rating a pound lower."""
    return Case(check, {field: limit_lb / each}, {field: (limit_lb - 1) / each}, also)


def fields(values: Mapping[str, Any], start: str) -> dict[str, Any]:
    """The values whose key starts so, without it."""
    return {key.removeprefix(start): value for key, value in values.items() if key.startswith(start)}


LICENCES = {
    # 26,001 lb of ratings with more than 10,000 towed; C1E to 12,000 kg; Ontario's class A from 4,600 kg towed.
    "US": (Licence.NONE, 12_000.0, 14_000.0),
    "EU": (Licence.C1E, 7_500 * LB_PER_KG, 4_500 * LB_PER_KG),
    "Canada": (Licence.G, 11_000 * LB_PER_KG - 4_600 * LB_PER_KG, 4_600 * LB_PER_KG),
}


def licence(family: str) -> Case:
    held, truck_lb, trailer_lb = LICENCES[family]
    light = {"truck_empty_front_lb": 4_000.0, "truck_empty_rear_lb": 3_000.0, "item_weight": exact(3_000)}
    met = {"rig_licence": held, "truck_gvwr_lb": truck_lb, "trailer_gvwr_lb": trailer_lb, **light}
    return Case("Licence", met, met | {"trailer_gvwr_lb": trailer_lb + 1})


BAND = {hitch: Band(30.0, 100.0) for hitch in Hitch}
MOST = {hitch: Band(0.0, 30.0) for hitch in Hitch}
SHARE_LEAST = {"setting_coupler_bands": BAND}
SHARE_MOST = {"setting_coupler_bands": MOST}
BEHIND = {"truck_coupler_ahead_in": -50.0}
"""The front loses a quarter of 3,000 lb: 5,250 of 6,000."""
FAR_BACK = {"truck_empty_rear_lb": 6_000.0}
"""A quarter of gross stays on the driving axle (EU)."""
HEAVY = {"item_weight": exact(10_000), "rig_chains": 4, "rig_straps": 0, "rig_chain_rating_lb": 6_600.0}
WEAK = {"rig_chains": 4, "rig_straps": 0, "rig_chain_rating_lb": 2_500.0}
WEAKEST = {
    "rig_chains": MOST_PER_ITEM,
    "rig_straps": 0,
    "rig_chain_rating_lb": 250.0,
    "trailer_anchor_points": None,
}
"""As many as one item can have hold 40 x 250 / 2 = 5,000 lb."""
DOVETAIL = {"trailer_dovetail_length_in": 60.0, "item_length_in": 150.0, "item_contact_length_in": 150.0}
"""A machine of 150 in at 140 stands with a third, 2,000 lb, behind the hinge at 240."""

CASES = [
    rated("Trailer GVWR", "trailer_gvwr_lb", 10_000),
    rated("Trailer axle 1", "trailer_axle_rating_lb", 3_500, "Trailer axle 2", "Trailer axle group"),
    rated("Trailer axle group", "trailer_tyre_rating_lb", 7_000, "Trailer tyres", each=2),
    rated("Trailer tyres", "trailer_tyre_rating_lb", 3_500, "Trailer axle group"),
    rated("Coupler rating", "trailer_coupler_rating_lb", 3_000),
    rated("Hitch rating", "truck_hitch_rating_lb", 3_000),
    rated("Truck front axle", "truck_front_rating_lb", 6_600),
    rated("Truck rear axles", "truck_rear_rating_lb", 6_400),
    rated("Truck front tyres", "truck_front_tyre_rating_lb", 6_600),
    rated("Truck rear tyres", "truck_rear_tyre_rating_lb", 6_400),
    rated("Truck GVWR", "truck_gvwr_lb", 13_000),
    rated("GCWR", "truck_gcwr_lb", 20_000),
    rated("Tow rating", "truck_tow_rating_lb", 10_000),
    rated("Registered weight", "truck_registered_weight_lb", 20_000),
    Case("Coupler share least", SHARE_LEAST, SHARE_LEAST | {"trailer_empty_coupler": exact(999)}),
    Case("Coupler share most", SHARE_MOST, SHARE_MOST | {"trailer_empty_coupler": exact(1_001)}),
    Case(
        "Steer least",
        BEHIND | {"setting_steer_least_pct": 100 * 5_250 / 6_000},
        BEHIND | {"setting_steer_least_pct": 100 * 5_251 / 6_000},
    ),
    Case(
        "Tyre width",
        {"law_tyre_lb_per_in": 500, "law_steer_tyre_lb_per_in": 500, "truck_front_tyre_width_in": 6.6},
        {"law_tyre_lb_per_in": 500, "law_steer_tyre_lb_per_in": 500, "truck_front_tyre_width_in": 6.599},
    ),
    Case(
        "Dovetail",
        DOVETAIL | {"trailer_dovetail_rating_lb": 2_000.0},
        DOVETAIL | {"trailer_dovetail_rating_lb": 1_999.0},
    ),
    Case(
        "Neck deck",
        {"trailer_neck": make.neck(rating_lb=6_000.0, width_in=90.0)},
        {"trailer_neck": make.neck(rating_lb=5_999.0, width_in=90.0)},
        place=Placed(0, Deck.NECK, 60, Facing.FORWARD),
    ),
    Case(
        "Overhang",
        FAR_BACK | {"setting_rear_overhang_in": 10.0},
        FAR_BACK | {"setting_rear_overhang_in": 9.0},
        place=Placed(0, Deck.MAIN, 290, Facing.FORWARD),
    ),
    Case("Site length", {"site_longest_rig_in": 546.0}, {"site_longest_rig_in": 545.0}),
    Case("Site height", {"site_highest_load_in": 76.0}, {"site_highest_load_in": 75.0}),
    Case("Site gross", {"site_heaviest_gross_lb": 20_000.0}, {"site_heaviest_gross_lb": 19_999.0}),
    Case("Ramp", {"trailer_ramp_rating_lb": 6_000.0}, {"trailer_ramp_rating_lb": 5_999.0}, machine=True),
    Case(
        "Winch",
        {"runs": False, "trailer_loading_angle_deg": 0.0, "trailer_winch_pull_lb": 1_500.0},
        {"runs": False, "trailer_loading_angle_deg": 0.0, "trailer_winch_pull_lb": 1_499.0},
        machine=True,
    ),
    Case("Tie-downs", HEAVY, HEAVY | {"rig_chains": 3}, machine=True),
    Case("Tie-downs", WEAK | {"item_weight": exact(10_000)}, WEAK | {"item_weight": exact(10_001)}, machine=True),
    Case(
        "Tie-down WLL",
        WEAKEST | {"item_weight": exact(10_000)},
        WEAKEST | {"item_weight": exact(10_001)},
        machine=True,
    ),
]


def sizes(rules: RuleSet) -> list[Case]:
    """Width, height and length by the rule set's own figures; where it has none for length, 700 in of Limits."""
    found = []
    for check, key, start in (("Width", "item_width_in", 0.0), ("Height", "item_height_in", 36.0)):
        limit_in = rules.need(f"{check.lower()}_in") - start
        found.append(Case(check, {key: limit_in}, {key: limit_in + 1}))
    length_in = rules.value("length_in") or 700.0
    law = {"law_length_in": length_in}
    behind_in = length_in - 546
    found.append(
        Case(
            "Length",
            law | {"trailer_deck_to_rear_in": behind_in},
            law | {"trailer_deck_to_rear_in": behind_in + 1},
        )
    )
    return found


def all_cases() -> list[Any]:
    """Every case under every family of rules, named."""
    found = []
    for name, family in FAMILIES.items():
        for case in [*CASES, *sizes(load_rule_set(name)), licence(family)]:
            ontario = (family, case.check) == ("Canada", "Licence")  # the nation leaves classes to the provinces
            rules = "Canada Ontario" if ontario else name
            found.append(pytest.param(rules, case, id=f"{rules}, {case.check}"))
    return found


def stage(values: Mapping[str, Any], rules: str, case: Case) -> tuple[Problem, Rig]:
    """The day and the rig of a case."""
    rule_set = load_rule_set(rules, [LimitOverride(key, value) for key, value in fields(values, "law_").items()])
    rig = bare_rig(
        {"coupler_ahead_in": 40.0} | fields(values, "truck_"),
        CONSTANT | LOADED | fields(values, "trailer_"),
        **({"licence": highest_class(rule_set)} | fields(values, "rig_")),
    )
    settings = replace(EXACT, **fields(values, "setting_"))
    sites = [make.site("a", **fields(values, "site_"))]
    return day(
        rig,
        [item_of(values, case)],
        settings=settings,
        rule_set=rule_set,
        runs=values.get("runs", True),
        sites=sites,
    ), rig


def item_of(values: Mapping[str, Any], case: Case) -> Item:
    changed = {"weight": exact(6_000)} | fields(values, "item_")
    if case.machine:
        return replace(make.item(length_in=100), **changed)
    item = replace(point_item(), **changed)
    return replace(item, cg_in=item.length_in / 2)


def refused(values: Mapping[str, Any], rules: str, case: Case) -> set[str]:
    """Names of the checks that refuse the load; the verifier refuses it for the same, number and strength of
    tie-downs taken as one.
    """
    problem, rig = stage(values, rules, case)
    leg = leg_of(case.place)
    of_leg = {check.name for check in leg_checks(problem, rig, leg) if not check.ok}
    assert {violation.kind for violation in leg_violations(problem, rig, leg)} == of_leg
    stops = (Stop("a", 0, 0, (Task(Action.LOAD, 0),)), Stop("b", 0, 0, (Task(Action.UNLOAD, 0),)))
    trip = Trip(rig.name, stops, (case.place,))
    of_trip = {check.name for check in trip_checks(problem, rig, trip) if not check.ok}
    found = gear_violations(problem, rig, NumberedTrip(1, rig.name, 0, trip))
    assert {one.kind[:8] for one in found} == {name[:8] for name in of_trip}
    return of_leg | of_trip


@pytest.mark.parametrize(("rules", "case"), all_cases())
def test_accepted_at_the_limit_refused_one_over(rules: str, case: Case) -> None:
    assert refused(case.met, rules, case) == set()
    assert refused(case.over, rules, case) == {case.check, *case.also}


def kind(name: str) -> str:
    """A check's name without the number of its axles."""
    return re.sub(r"axles? \d+(-\d+)?$", "axle", name)


@pytest.mark.parametrize(("name", "family"), FAMILIES.items())
def test_no_check_is_left_out(name: str, family: str) -> None:
    """A rig with every figure filled in shows every check there is; each stands in a case of its family."""
    rules = load_rule_set(name, [LimitOverride("tyre_lb_per_in", 500), LimitOverride("length_in", 900)])
    truck = {f"{key}_lb": FREE for key in ("hitch_rating", "front_tyre_rating", "rear_tyre_rating", "tow_rating")}
    truck |= {"registered_weight_lb": FREE, "front_tyre_width_in": 90.0, "hitch": Hitch.PINTLE}
    trailer = {f"{key}_rating_lb": FREE for key in ("tyre", "coupler", "dovetail", "ramp")}
    trailer |= {"dovetail_length_in": 60.0, "neck": make.neck(), "winch_pull_lb": FREE, "hitch": Hitch.PINTLE}
    site = make.site("a", longest_rig_in=9e3, highest_load_in=9e3, heaviest_gross_lb=FREE)
    rig = bare_rig(truck, CONSTANT | trailer)
    problem = day(rig, [make.item(length_in=100)], rule_set=rules, runs=False, sites=[site])
    trip = Trip(
        rig.name, (Stop("a", 0, 0, (Task(Action.LOAD, 0),)), Stop("b", 0, 0, (Task(Action.UNLOAD, 0),))), ()
    )
    trip = replace(trip, placements=(Placed(0, Deck.MAIN, 100, Facing.FORWARD),))
    shown = {kind(check.name) for check in leg_checks(problem, rig, leg_of((0, 100)))}
    shown |= {kind(check.name) for check in trip_checks(problem, rig, trip)}
    by_hand = {kind(case.check) for case in [*CASES, *sizes(load_rule_set(name)), licence(family)]}
    of_law = {kind(case.check) for case in WEIGHED if case.rules.name.startswith(family)}
    of_law |= {"Legal gross"} if family == "EU" else set()  # with Legal axles 1-5: a test of its own there
    assert shown <= by_hand | of_law, shown - by_hand - of_law
    assert len(shown) > 30
