"""Good plans are mutated in every way of a written list; the verifier names each fault."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dispatch.fleet import Licence
from dispatch.items import Facing
from dispatch.moves import Permit
from dispatch.plan import Level, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.verify import verify
from tests.dispatch import hand_plans as hand

Case = tuple[Problem, Plan]
Mutation = Callable[[Problem, Plan], Case]
MUTATIONS: list[tuple[str, Mutation, Callable[[], Case]]] = []


def good() -> Case:
    return hand.day(), hand.plan()


def good_long() -> Case:
    return hand.long_day(), hand.long_plan()


def caught_as(kind: str, start: Callable[[], Case] = good) -> Callable[[Mutation], Mutation]:
    """Puts a mutation on the list with the kind of violation that must be among those reported."""

    def enter(mutation: Mutation) -> Mutation:
        MUTATIONS.append((kind, mutation, start))
        return mutation

    return enter


# Editing a plan


def edit_outing(plan: Plan, rig: str, edit: Callable[[Outing], Outing]) -> Plan:
    days = tuple(
        replace(day, outings=tuple(edit(outing) for outing in day.outings)) if day.rig == rig else day
        for day in plan.rig_days
    )
    return replace(plan, rig_days=days)


def edit_trip(plan: Plan, number: int, edit: Callable[[Trip], Trip]) -> Plan:
    """The plan with its trip of that number (from 1) edited."""
    target = list(plan.trips())[number - 1]

    def within(outing: Outing) -> Outing:
        return replace(outing, trips=tuple(edit(trip) if trip is target else trip for trip in outing.trips))

    return edit_outing(plan, target.rig, within)


def edit_stop(plan: Plan, trip: int, number: int, edit: Callable[[Stop], Stop]) -> Plan:
    def within(old: Trip) -> Trip:
        stops = tuple(edit(stop) if i == number else stop for i, stop in enumerate(old.stops))
        return replace(old, stops=stops)

    return edit_trip(plan, trip, within)


def edit_place(plan: Plan, haul: int, edit: Callable[[Placed], Placed]) -> Plan:
    number = next(i for i, trip in enumerate(plan.trips(), start=1) if haul in trip.hauls())

    def within(old: Trip) -> Trip:
        return replace(old, placements=tuple(edit(p) if p.haul == haul else p for p in old.placements))

    return edit_trip(plan, number, within)


def shifted(outing: Outing, minutes: int) -> Outing:
    """The outing earlier (negative) or later by minutes."""
    trips = tuple(
        replace(
            trip,
            stops=tuple(
                replace(stop, arrive_min=stop.arrive_min + minutes, leave_min=stop.leave_min + minutes)
                for stop in trip.stops
            ),
        )
        for trip in outing.trips
    )
    breaks = tuple((start + minutes, end + minutes) for start, end in outing.breaks)
    return Outing(outing.leave_min + minutes, trips, outing.return_min + minutes, breaks)


def shift_rig(plan: Plan, rig: str, minutes: int) -> Plan:
    return edit_outing(plan, rig, lambda outing: shifted(outing, minutes))


def without_haul(trip: Trip, haul: int) -> Trip:
    stops = (replace(s, tasks=tuple(t for t in s.tasks if t.haul != haul)) for s in trip.stops)
    return Trip(
        trip.rig,
        tuple(stop for stop in stops if stop.tasks),
        tuple(p for p in trip.placements if p.haul != haul),
    )


def swap_haul(trip: Trip, old: int, new: int) -> Trip:
    """The trip with another haul in the place of one of its own."""
    stops = tuple(
        replace(s, tasks=tuple(Task(t.action, new if t.haul == old else t.haul) for t in s.tasks))
        for s in trip.stops
    )
    return Trip(trip.rig, stops, tuple(replace(p, haul=new if p.haul == old else p.haul) for p in trip.placements))


def edit_level(plan: Plan, name: str, edit: Callable[[Level], Level]) -> Plan:
    return replace(plan, levels=tuple(edit(one) if one.name == name else one for one in plan.levels))


def edit_site(problem: Problem, name: str, **changes: object) -> Problem:
    changed = replace(problem.sites[name], **changes)  # type: ignore[arg-type]
    return replace(problem, sites={**problem.sites, name: changed})


def edit_rig(problem: Problem, name: str, **changes: object) -> Problem:
    rigs = tuple(replace(r, **changes) if r.name == name else r for r in problem.rigs)  # type: ignore[arg-type]
    return replace(problem, rigs=rigs)


# Where items stand


@caught_as("contact off the deck")
def an_inch_past_the_deck_end(day: Problem, plan: Plan) -> Case:
    length = day.hauls[1].item.length_in
    end = int(day.rigs[0].trailer.deck_length_in - length)
    return day, edit_place(plan, 1, lambda p: replace(p, front_edge_in=end + 1))


@caught_as("Overhang")
def an_inch_of_body_past_the_deck_end(day: Problem, plan: Plan) -> Case:
    end = int(day.rigs[0].trailer.deck_length_in - day.hauls[1].item.length_in)
    return day, edit_place(plan, 1, lambda p: replace(p, front_edge_in=end + 1))


@caught_as("front clearance")
def an_inch_into_the_front_clearance(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 9, lambda p: replace(p, front_edge_in=5))


@caught_as("front clearance")
def a_negative_place(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 8, lambda p: replace(p, front_edge_in=-1))


@caught_as("whole inches")
def half_an_inch(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 8, lambda p: replace(p, front_edge_in=70.5))  # type: ignore[arg-type]


@caught_as("gap")
def an_inch_into_the_gap(day: Problem, plan: Plan) -> Case:
    behind_loader = 60 + 132 + 12
    return day, edit_place(plan, 1, lambda p: replace(p, front_edge_in=behind_loader - 1))


@caught_as("gap")
def two_in_one_place(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 7, lambda p: replace(p, front_edge_in=30))


@caught_as("rear loading order")
def swapped_rear_loaded_places(day: Problem, plan: Plan) -> Case:
    plan = edit_place(plan, 0, lambda p: replace(p, front_edge_in=190))
    return day, edit_place(plan, 1, lambda p: replace(p, front_edge_in=50))


@caught_as("facing")
def a_facing_that_the_item_does_not_allow(day: Problem, plan: Plan) -> Case:
    return edit_item(day, 8, facings=(Facing.REARWARD,)), plan


@caught_as("Coupler share most")
def an_off_centre_item_turned_round(day: Problem, plan: Plan) -> Case:
    """The centre of gravity of the skid steer moves 40 in forward when it is turned where it stands."""
    day = edit_item(day, 8, cg_in=86.0)
    plan = edit_place(plan, 8, lambda p: replace(p, front_edge_in=40))
    assert verify(day, plan) == ()
    return day, edit_place(plan, 8, lambda p: replace(p, facing=Facing.REARWARD))


@caught_as("Coupler share least")
def an_item_too_far_back(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 2, lambda p: replace(p, front_edge_in=150))


@caught_as("neck deck not lifted")
def a_machine_that_drives_on_the_neck(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 0, lambda p: replace(p, deck=hand.NECK, front_edge_in=6))


@caught_as("no such deck")
def a_neck_deck_that_is_not_there(day: Problem, plan: Plan) -> Case:
    return day, edit_place(plan, 6, lambda p: replace(p, deck=hand.NECK, front_edge_in=6))


@caught_as("contact wider than the deck")
def contact_wider_than_the_deck(day: Problem, plan: Plan) -> Case:
    return edit_item(day, 8, contact_width_in=102.5, width_in=102.5), plan


# What is hauled


@caught_as("neither hauled nor left out")
def a_move_dropped_silently(day: Problem, plan: Plan) -> Case:
    return day, edit_trip(plan, 1, lambda trip: without_haul(trip, 1))


@caught_as("hauled twice")
def a_move_hauled_twice(day: Problem, plan: Plan) -> Case:
    first = next(plan.trips())
    return day, edit_outing(plan, "rig 1", lambda o: replace(o, trips=(*o.trips, first)))


@caught_as("hauled and left out")
def a_hauled_move_listed_as_left_out(day: Problem, plan: Plan) -> Case:
    return day, replace(plan, left_out=("5", "8"))


@caught_as("left out")
def an_unknown_move_left_out(day: Problem, plan: Plan) -> Case:
    return day, replace(plan, left_out=("5", "no such move"))


@caught_as("neither hauled nor left out")
def a_left_out_move_not_listed(day: Problem, plan: Plan) -> Case:
    return day, replace(plan, left_out=())


@caught_as("companion missing")
def the_companion_left_behind(day: Problem, plan: Plan) -> Case:
    return day, edit_trip(plan, 1, lambda trip: without_haul(trip, 9))


@caught_as("not together")
def the_companion_on_another_trip(day: Problem, plan: Plan) -> Case:
    plan = edit_trip(plan, 1, lambda trip: without_haul(trip, 9))
    return day, edit_trip(plan, 5, lambda trip: swap_haul(trip, 4, 9))


@caught_as("unload at the wrong site")
def an_item_off_at_the_wrong_site(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 2, 1, lambda stop: replace(stop, site="a"))


@caught_as("load at the wrong site")
def an_item_on_at_the_wrong_site(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 2, 0, lambda stop: replace(stop, site="a"))


@caught_as("rear loading order")
def unloading_in_the_wrong_order(day: Problem, plan: Plan) -> Case:
    plan = edit_stop(plan, 1, 1, lambda stop: replace(stop, site="b", tasks=hand.unload(0, 9)))
    return day, edit_stop(plan, 1, 2, lambda stop: replace(stop, site="c", tasks=hand.unload(1)))


@caught_as("loading after unloading")
def loading_after_the_first_drop(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 6, 1, lambda stop: replace(stop, tasks=(*hand.unload(6), *hand.load(7))))


@caught_as("unloaded not once")
def an_item_that_stays_on_deck(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 1, 2, lambda stop: replace(stop, tasks=hand.unload(0)))


@caught_as("loaded not once")
def an_item_unloaded_that_never_went_on(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 4, 1, lambda stop: replace(stop, tasks=hand.unload(8, 3)))


@caught_as("placements")
def a_placement_for_nothing(day: Problem, plan: Plan) -> Case:
    return day, edit_trip(plan, 4, lambda trip: replace(trip, placements=(*trip.placements, hand.placed(3, 230))))


@caught_as("trip shape")
def a_stop_for_nothing(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 1, 2, lambda stop: replace(stop, tasks=()))


@caught_as("no lift on site")
def a_lifted_item_without_a_lift(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "b", lift_on_site=False), plan


@caught_as("machine not there")
def the_second_move_of_a_machine_without_the_first(day: Problem, plan: Plan) -> Case:
    plan = edit_trip(plan, 1, lambda trip: without_haul(without_haul(trip, 0), 9))
    return day, replace(plan, left_out=("5", "0"))


@caught_as("rig not allowed")
def a_rig_that_the_move_excludes(day: Problem, plan: Plan) -> Case:
    return day, to_rig(plan, 2, "rig 2")


@caught_as("rig not allowed")
def a_rig_outside_only_rigs(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 8, only_rigs=("rig 1", "rig 3")), plan


@caught_as("unknown rig")
def a_rig_that_is_not_there(day: Problem, plan: Plan) -> Case:
    days = (*plan.rig_days[:2], replace(plan.rig_days[2], rig="rig 9"))
    return day, replace(plan, rig_days=days)


# Weights, sizes, gear


@caught_as("Trailer GVWR")
def a_heavier_item_in_its_place(day: Problem, plan: Plan) -> Case:
    return day, replace(edit_trip(plan, 4, lambda trip: swap_haul(trip, 8, 5)), left_out=("8",))


@caught_as("Site gross")
def over_a_site_s_gross(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "c", heaviest_gross_lb=27_000.0), plan


@caught_as("Site height")
def over_a_site_s_height(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "c", highest_load_in=119.0), plan


@caught_as("Site length")
def over_a_site_s_length(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "c", longest_rig_in=600.0), plan


@caught_as("Site length")
def a_yard_too_short_for_the_empty_rig(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "yard", longest_rig_in=600.0), plan


@caught_as("Dovetail")
def too_much_on_the_dovetail(day: Problem, plan: Plan) -> Case:
    trailer = replace(day.rigs[0].trailer, dovetail_rating_lb=700.0)
    return edit_rig(day, "rig 1", trailer=trailer), plan


@caught_as("Neck deck")
def too_much_on_the_neck(day: Problem, plan: Plan) -> Case:
    return edit_item(day, 9, weight=day.settings.weight(3_990.0, day.hauls[9].item.weight.basis)), plan


@caught_as("Ramp")
def too_heavy_for_the_ramp(day: Problem, plan: Plan) -> Case:
    trailer = replace(day.rigs[0].trailer, ramp_rating_lb=10_299.0)  # the dozer weighs 10,300 lb at most
    return edit_rig(day, "rig 1", trailer=trailer), plan


@caught_as("Winch")
def a_dead_machine_without_a_winch(day: Problem, plan: Plan) -> Case:
    return day, to_rig(plan, 2, "rig 3")


@caught_as("Tie-downs")
def too_few_tie_downs(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 1", chains=3, straps=2), plan


@caught_as("Tie-down WLL")
def tie_downs_too_weak(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 2", chain_rating_lb=800.0, strap_rating_lb=300.0), plan


@caught_as("Licence")
def a_driver_without_the_class(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 1", licence=Licence.B), plan


@caught_as("Width")
def over_width_without_the_permit(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 3, permit=None), plan


@caught_as("Width")
def two_items_on_a_permit_load(day: Problem, plan: Plan) -> Case:
    """An over-wide loader with a permit, but with the roller beside: two items make the load divisible."""
    day = edit_move(day, 0, permit=Permit("P-8"))
    return edit_item(day, 0, width_in=126.0), plan


@caught_as("permit hours")
def a_permit_leg_before_its_hours(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 3, permit=Permit("P-7", 641, 900, 45.0)), plan


@caught_as("permit hours")
def a_permit_leg_that_ends_after_its_hours(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 3, permit=Permit("P-7", 540, 659, 45.0)), plan


# The clock


@caught_as("faster than the road")
def an_arrival_before_the_road_allows(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 3, 1, lambda stop: replace(stop, arrive_min=659))


@caught_as("faster than the road")
def a_return_before_the_road_allows(day: Problem, plan: Plan) -> Case:
    return day, edit_outing(plan, "rig 2", lambda outing: replace(outing, return_min=639))


@caught_as("work does not fit")
def leaving_before_the_work_is_done(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 4, 1, lambda stop: replace(stop, leave_min=539))


@caught_as("work does not fit")
def the_extra_minutes_of_the_site_forgotten(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 5, 1, lambda stop: replace(stop, leave_min=615))


@caught_as("before Ready")
def loading_before_ready(day: Problem, plan: Plan) -> Case:
    return day, shift_rig(plan, "rig 2", -1)


@caught_as("before Ready")
def the_extra_minutes_spent_before_ready(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 0, ready_min=416), plan


@caught_as("after Deliver by")
def off_after_deliver_by(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 0, due_min=549), plan


@caught_as("after Deliver by")
def the_companion_off_after_the_move_s_deliver_by(day: Problem, plan: Plan) -> Case:
    return edit_move(day, 0, due_min=564), plan


@caught_as("before opening")
def work_before_opening(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "c", opens_min=501), plan


@caught_as("after closing")
def leaving_after_closing(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "c", closes_min=759), plan


@caught_as("after closing")
def work_at_the_yard_after_closing(day: Problem, plan: Plan) -> Case:
    return edit_site(day, "yard", closes_min=849), plan


@caught_as("out of shift")
def leaving_before_the_shift(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 1", shift_start_min=396), plan


@caught_as("out of shift")
def returning_after_the_shift(day: Problem, plan: Plan) -> Case:
    return day, shift_rig(plan, "rig 3", 18 * 60 - 849)


@caught_as("shared gear out twice")
def two_rigs_with_one_truck_out_together(day: Problem, plan: Plan) -> Case:
    return day, shift_rig(plan, "rig 3", -21)


@caught_as("hook time")
def no_time_to_hook(day: Problem, plan: Plan) -> Case:
    return day, shift_rig(plan, "rig 3", -1)


@caught_as("shared gear out twice")
def one_driver_on_two_rigs_at_once(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 2", driver="Ann"), plan


@caught_as("hook at the yard")
def a_shared_truck_left_elsewhere(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 1", end="a"), plan


@caught_as("rig out twice")
def a_rig_out_twice_at_once(day: Problem, plan: Plan) -> Case:
    outing = plan.rig_days[1].outings[0]
    halves = (
        Outing(480, outing.trips[:1], 560),
        Outing(540, outing.trips[1:], 640),
    )
    return day, replace(plan, rig_days=(plan.rig_days[0], RigDay("rig 2", halves), plan.rig_days[2]))


@caught_as("pickup before the drop")
def a_machine_fetched_before_it_is_there(day: Problem, plan: Plan) -> Case:
    return day, shift_rig(plan, "rig 1", 11)


@caught_as("time runs back")
def a_stop_left_before_arrival(day: Problem, plan: Plan) -> Case:
    return day, edit_stop(plan, 4, 0, lambda stop: replace(stop, arrive_min=501))


@caught_as("empty outing")
def an_outing_for_nothing(day: Problem, plan: Plan) -> Case:
    idle = RigDay("rig 2", (*plan.rig_days[1].outings, Outing(700, (), 720)))
    return day, replace(plan, rig_days=(plan.rig_days[0], idle, plan.rig_days[2]))


# Hours of service


@caught_as("pause missing", good_long)
def no_pause_after_long_driving(day: Problem, plan: Plan) -> Case:
    return day, edit_outing(plan, "rig 1", lambda outing: replace(outing, breaks=()))


@caught_as("pause missing", good_long)
def a_pause_too_short(day: Problem, plan: Plan) -> Case:
    return day, edit_outing(plan, "rig 1", lambda outing: replace(outing, breaks=((560, 589),)))


@caught_as("faster than the road", good_long)
def a_pause_without_time_for_it(day: Problem, plan: Plan) -> Case:
    return day, edit_outing(plan, "rig 1", lambda outing: replace(outing, breaks=((560, 591),)))


@caught_as("pause out of place", good_long)
def a_pause_across_a_stop(day: Problem, plan: Plan) -> Case:
    return day, edit_outing(plan, "rig 1", lambda outing: replace(outing, breaks=((495, 525),)))


@caught_as("driving limit", good_long)
def over_the_driving_limit(day: Problem, plan: Plan) -> Case:
    return edit_rig(day, "rig 1", driving_limit_min=509), plan


@caught_as("duty window", good_long)
def over_the_duty_window(day: Problem, plan: Plan) -> Case:
    return day, edit_outing(plan, "rig 1", lambda outing: replace(outing, return_min=300 + 14 * 60 + 1))


# What the plan claims


@caught_as("trips misclaimed")
def one_trip_too_few_claimed(day: Problem, plan: Plan) -> Case:
    return day, edit_level(plan, "trips", lambda one: replace(one, value=5, bound=5))


@caught_as("cost misclaimed")
def a_dollar_less_claimed(day: Problem, plan: Plan) -> Case:
    return day, edit_level(plan, "cost", lambda one: replace(one, value=one.value - 100, bound=one.bound - 100))


@caught_as("left out misclaimed")
def a_priority_misclaimed(day: Problem, plan: Plan) -> Case:
    return day, edit_level(plan, "left out", lambda one: replace(one, value=1.0, bound=1.0))


@caught_as("bound above value")
def a_bound_above_the_value(day: Problem, plan: Plan) -> Case:
    return day, edit_level(plan, "trips", lambda one: replace(one, bound=7))


@caught_as("proved without bound")
def proved_although_the_bound_is_lower(day: Problem, plan: Plan) -> Case:
    return day, edit_level(plan, "trips", lambda one: replace(one, bound=5))


@caught_as("outcome")
def proved_with_a_level_open(day: Problem, plan: Plan) -> Case:
    return day, edit_level(plan, "cost", lambda one: replace(one, bound=1_000, proved=False))


def edit_item(day: Problem, haul: int, **changes: object) -> Problem:
    item = replace(day.hauls[haul].item, **changes)  # type: ignore[arg-type]
    hauls = tuple(replace(h, item=item) if h.index == haul else h for h in day.hauls)
    return replace(day, hauls=hauls)


def edit_move(day: Problem, move: int, **changes: object) -> Problem:
    """The day with a move changed, and the hauls that follow from it."""
    moves = tuple(replace(m, **changes) if i == move else m for i, m in enumerate(day.moves))  # type: ignore[arg-type]
    given = {key: value for key, value in changes.items() if key in {"permit", "due_min", "ready_min"}}
    hauls = tuple(
        replace(h, **given) if h.move == day.moves[move].name else h  # type: ignore[arg-type]
        for h in day.hauls
    )
    return replace(day, moves=moves, hauls=hauls)


def to_rig(plan: Plan, number: int, rig: str) -> Plan:
    """The trip moved to another rig's day, as an outing of its own."""
    trips = list(plan.trips())
    trip = replace(trips[number - 1], rig=rig)
    moved = Outing(trip.start_min - 20, (trip,), trip.end_min + 20)

    def edit(day: RigDay) -> RigDay:
        kept = tuple(
            replace(o, trips=tuple(t for t in o.trips if t is not trips[number - 1])) for o in day.outings
        )
        return replace(day, outings=(*kept, moved) if day.rig == rig else kept)

    return replace(plan, rig_days=tuple(edit(day) for day in plan.rig_days))


def test_the_plans_are_clean_before_they_are_mutated() -> None:
    for problem, plan in (good(), good_long()):
        assert [str(one) for one in verify(problem, plan)] == []


@pytest.mark.parametrize(
    ("kind", "mutation", "start"), MUTATIONS, ids=[mutation.__name__ for _, mutation, _ in MUTATIONS]
)
def test_every_mutation_is_caught(kind: str, mutation: Mutation, start: Callable[[], Case]) -> None:
    before = start()
    after = mutation(*before)
    assert after != before, "the mutation changed nothing"
    kinds = [violation.kind for violation in verify(*after)]
    assert kind in kinds


def test_the_list_is_long_enough() -> None:
    assert len({mutation.__name__ for _, mutation, _ in MUTATIONS}) == len(MUTATIONS) >= 30
    assert len({kind for kind, _, _ in MUTATIONS}) >= 30


def test_the_written_list_is_the_list() -> None:
    text = (Path(__file__).parents[2] / "docs" / "verification.md").read_text(encoding="utf-8")
    written = re.findall(r"^\| ([^|]+) \| `([^`]+)` \|$", text, flags=re.MULTILINE)
    listed = [(mutation.__name__.replace("_", " ").replace(" s ", "'s "), kind) for kind, mutation, _ in MUTATIONS]
    assert written == listed
