"""The verifier's parts alone, and its agreement with the legality rules that it does not share."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest

from dispatch.fleet import Deck, Licence
from dispatch.items import Contact, Facing, Kind, WeightBasis
from dispatch.legality import leg_checks
from dispatch.moves import Permit, Status
from dispatch.plan import Leg, Outing, Placed, Plan, RigDay, Stop
from dispatch.verify import verify
from dispatch.verify_findings import Violation
from dispatch.verify_gear import can_hold
from dispatch.verify_levels import cost_cents, left_out_priority
from dispatch.verify_loads import all_corners, leg_violations
from dispatch.verify_times import task_ends
from tests import factories as make
from tests.dispatch import hand_plans as hand
from tests.external.random_days import random_day

FORWARD, REARWARD = Facing.FORWARD, Facing.REARWARD


def leg(*on_deck: Placed, depart: int = 600, arrive: int = 620) -> Leg:
    return Leg("a", "b", depart, arrive, on_deck)


def main(haul: int, front_edge_in: int, facing: Facing = FORWARD) -> Placed:
    return Placed(haul, Deck.MAIN, front_edge_in, facing)


# Agreement with legality: two codes, one law


@pytest.mark.parametrize("seed", range(60))
def test_legality_and_verifier_name_the_same_broken_checks(seed: int) -> None:
    """On random legs of random rigs, legal or not; the verifier tries corners, legality takes signs."""
    problem, rng = random_day(seed), random.Random(seed)
    for rig in problem.rigs:
        for _ in range(12):
            hauls = rng.sample(problem.hauls, min(len(problem.hauls), rng.randint(1, 3)))
            neck = rig.trailer.neck is not None
            on_deck = tuple(
                Placed(
                    haul.index,
                    rng.choice([Deck.MAIN, Deck.NECK]) if neck else Deck.MAIN,
                    rng.randint(0, 200),
                    rng.choice([FORWARD, REARWARD]),
                )
                for haul in hauls
            )
            one = Leg(hauls[0].origin, hauls[0].destination, 600, 640, on_deck)
            broken = {check.name for check in leg_checks(problem, rig, one) if not check.ok}
            found = {violation.kind for violation in leg_violations(problem, rig, one)} - {"permit hours"}
            if "coupler lifts" in found:
                assert "Coupler share least" in broken
            assert found - {"coupler lifts", "Coupler share least"} == broken - {"Coupler share least"}
            assert ("Coupler share least" in broken) == bool(found & {"coupler lifts", "Coupler share least"})


# Worst case


def test_corners_are_every_combination_of_true_weights() -> None:
    day = make.problem([make.move("1"), make.move("2", make.item("two", 4_000, 96))])
    items = [haul.item for haul in day.hauls]
    corners = all_corners(day.rigs[0], (main(0, 20), main(1, 200)), items)
    assert len(corners) == 2 ** (2 + 2)
    assert {corner.weights_lb for corner in corners} == set(
        product(*((item.weight.low_lb, item.weight.high_lb) for item in items))
    )


def test_the_worst_corner_mixes_light_and_heavy() -> None:
    """A heavy item behind the axles and a light one ahead lift the coupler most."""
    ahead = make.item("ahead", 5_000, 96, WeightBasis.ESTIMATE)
    behind = make.item("behind", 5_000, 60, WeightBasis.ESTIMATE)
    day = make.problem([make.move("1", ahead), make.move("2", behind)])
    rig, places = day.rigs[0], (main(0, 60), main(1, 276))
    corners = all_corners(rig, places, [ahead, behind])
    least = min(corners, key=lambda corner: corner.loads.coupler_lb / corner.loads.trailer_lb)
    assert least.weights_lb == (ahead.weight.low_lb, behind.weight.high_lb)


def test_a_scale_exact_load_is_held_to_its_rating() -> None:
    """10,000 lb on an 8,000 lb trailer, weighed exactly, rated 18,000; a hundredth of a pound of noise passes."""
    sure = make.item().weight
    exact = replace(sure, low_lb=10_000.0, high_lb=10_000.0)
    empty = make.trailer()
    trailer = replace(
        empty,
        gvwr_lb=18_000.0,
        empty_coupler=replace(exact, nominal_lb=1_600.0, low_lb=1_600.0, high_lb=1_600.0),
        empty_axles=replace(exact, nominal_lb=6_400.0, low_lb=6_400.0, high_lb=6_400.0),
    )
    for gvwr_lb, kinds in ((18_000.0, []), (17_999.995, []), (17_999.9, ["Trailer GVWR"])):
        rig = make.rig(trailer=replace(trailer, gvwr_lb=gvwr_lb))
        day = make.problem([make.move(item_=replace(make.item(), weight=exact))], [rig])
        assert [one.kind for one in leg_violations(day, rig, leg(main(0, 90)))] == kinds


# Permits


def test_a_permit_lifts_law_but_no_rating_and_no_site() -> None:
    wide = make.item("paver", 10_000, 144, width_in=130.0, height_in=140.0)
    permit = Permit("P", 9 * 60, 15 * 60)
    day = make.problem([make.move(item_=wide, permit=permit)], sites=[make.site("b", highest_load_in=170.0)])
    found = leg_violations(day, day.rigs[0], leg(main(0, 80)))
    assert [one.kind for one in found] == ["Site height"]
    assert found[0].seen == 140 + 36


@pytest.mark.parametrize(
    ("depart", "arrive", "broken"),
    [(540, 900, []), (539, 900, ["permit hours"]), (540, 901, ["permit hours"])],
)
def test_permit_hours_hold_from_departure_to_arrival(depart: int, arrive: int, broken: list[str]) -> None:
    wide = make.item("paver", 10_000, 144, width_in=130.0)
    day = make.problem([make.move(item_=wide, permit=Permit("P", 540, 900))])
    found = leg_violations(day, day.rigs[0], leg(main(0, 80), depart=depart, arrive=arrive))
    assert [one.kind for one in found] == broken


def test_permit_hours_do_not_bind_a_leg_within_the_law() -> None:
    day = make.problem([make.move(permit=Permit("P", 540, 900))])
    assert leg_violations(day, day.rigs[0], leg(main(0, 80), depart=0, arrive=10)) == []


# Gear


def test_tie_downs_are_shared_out_exactly() -> None:
    """A 12,000 lb machine (12,360 lb at most) needs 6,180 lb: four direct chains of 3,090 lb count 1,545 lb each.

    Mats 12 ft long need 2 + 1 = 3 over the top. Together 4 + 3 = 7 tie-downs and 4 + 6 = 10 anchor points.
    """
    machine = make.item("dozer", 12_000, 132)
    mats = make.lifted("mats", 2_000, 144, kind=Kind.MATERIAL)
    trailer = make.trailer(anchor_points=10)
    rig = make.rig(trailer=trailer, chains=7, straps=0, chain_rating_lb=3_090.0)
    assert can_hold(rig, [machine, mats], rated=True)
    assert not can_hold(replace(rig, chains=6), [machine, mats], rated=True)
    assert can_hold(replace(rig, chains=4, straps=3, strap_rating_lb=1_000.0), [machine, mats], rated=True)
    assert not can_hold(replace(rig, trailer=replace(trailer, anchor_points=9)), [machine, mats], rated=True)
    assert not can_hold(replace(rig, chain_rating_lb=3_089.0), [machine, mats], rated=True)
    assert can_hold(replace(rig, chain_rating_lb=3_089.0), [machine, mats], rated=False)


def test_heavy_machines_are_not_held_by_straps_and_lighter_ones_are() -> None:
    """49 CFR 393.130: chains from 10,000 lb; 9,700 lb on a data plate may weigh 9,991, 9,750 may weigh 10,042."""
    rig = make.rig(chains=0, straps=10, strap_rating_lb=6_600.0)
    assert can_hold(rig, [make.item("light", 9_700, 118)], rated=True)
    assert not can_hold(rig, [make.item("heavy", 9_750, 118)], rated=True)
    on_skids = make.item("generator", 9_750, 118, contact=Contact.SKIDS)
    assert can_hold(rig, [on_skids], rated=True)


# The clock


def test_extra_minutes_are_spent_once_with_the_first_task() -> None:
    moves = [make.move("1", ready_min=600), make.move("2", make.item("two"), ready_min=620)]
    day = make.problem(moves, sites=[make.site("a", extra_load_min=7, opens_min=590)])
    stop = Stop("a", 580, 700, hand.load(0, 1))
    assert task_ends(day, stop, {}) == (627, 647)
    assert task_ends(day, replace(stop, tasks=hand.load(1, 0)), {}) == (647, 667)


def test_all_violations_are_returned_not_the_first_only() -> None:
    day, plan = hand.day(), hand.plan()
    late = replace(plan.rig_days[2], outings=(replace(plan.rig_days[2].outings[0], leave_min=741),))
    plan = replace(plan, rig_days=(*plan.rig_days[:2], late), left_out=())
    kinds = {one.kind for one in verify(day, plan)}
    assert {"faster than the road", "neither hauled nor left out", "left out misclaimed"} <= kinds


def test_nonsense_is_reported_and_raises_nothing() -> None:
    day, plan = hand.day(), hand.plan()
    ghost = replace(
        next(plan.trips()),
        stops=(Stop("nowhere", 10, 5, hand.load(99)), Stop("a", 0, 0, hand.unload(-1))),
        placements=(Placed(99, Deck.NECK, -5, FORWARD),),
    )
    plan = Plan((RigDay("rig 2", (Outing(0, (ghost,), 0),)), RigDay("rig 2", ())), ("?",), (), plan.outcome)
    kinds = {one.kind for one in verify(day, plan)}
    assert {"unknown haul", "unknown site", "unknown road", "unknown rig", "left out", "trip shape"} <= kinds


def test_a_move_that_is_done_is_neither_hauled_nor_left_out() -> None:
    day = make.problem([make.move(status=Status.DONE)])
    nothing = Plan((), (), (), hand.plan().outcome)
    assert verify(day, nothing) == ()
    assert [one.kind for one in verify(day, replace(nothing, left_out=("move 1",)))] == ["done already"]


def test_a_loaded_move_stays_on_its_rig() -> None:
    day = hand.day()
    move = replace(day.moves[8], status=Status.LOADED, rig="rig 1")
    day = replace(day, moves=tuple(move if i == 8 else old for i, old in enumerate(day.moves)))
    assert [one.kind for one in verify(day, hand.plan())] == ["loaded on another rig"]


# What is claimed


def test_cost_is_worked_from_hours_overtime_miles_trips_and_permits() -> None:
    """Rig 1: 305 min, 5 of them half again, at 90 USD/h = 461.25; 60 mi at 2.25 = 135; permit 45: 641.25.

    Rig 2: 160 min = 240; 40 mi = 90; two trips at 12.50 = 25: 355. Rig 3: 130 min = 195; 30 mi = 67.50: 262.50.
    """
    assert cost_cents(hand.day(), hand.plan()) == 64_125 + 35_500 + 26_250


def test_left_out_sums_priorities() -> None:
    assert left_out_priority(hand.day(), replace(hand.plan(), left_out=("5", "8"))) == 3.5


def test_a_licence_by_ratings_is_asked_for_even_when_the_load_is_light() -> None:
    rig = make.rig(licence=Licence.NONE)
    day = make.problem([make.move(item_=make.item("light", 3_000, 96))], [rig])
    found = leg_violations(day, rig, leg(main(0, 90)))
    assert [(one.kind, one.seen, one.allowed) for one in found] == [("Licence", "none", "A")]


def test_a_violation_reads_as_a_sentence() -> None:
    one = Violation("gap", "trip 1 (rig 1)", 11.0, 12.0, "roller and loader: inches between bodies")
    assert str(one) == "trip 1 (rig 1): gap: roller and loader: inches between bodies (seen 11, allowed 12)"
