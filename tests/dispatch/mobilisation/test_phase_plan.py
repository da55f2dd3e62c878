"""The fewest trips of a phase, over as many days as that takes, and what is claimed of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dispatch.mobilisation.bid import Direction, machines
from dispatch.mobilisation.bid_moves import moves_of, of_day, problem_of, rig_and_day
from dispatch.mobilisation.phase_plan import Effort, PhasePlan, PlanRefused, plan_phase
from dispatch.mobilisation.trip_facts import trip_facts
from dispatch.plan import Plan
from dispatch.problem import shares_gear
from tests import factories as make
from tests.dispatch.mobilisation import small_bids as small

EFFORT = Effort(most_days=4)
SHORT = {"shift_start_min": 360, "shift_end_min": 450}
"""Ninety minutes: yard, ten miles, yard takes 75 with loading and unloading; a second trip does not fit."""


def planned(lines, rigs=None, effort=EFFORT, way=Direction.IN) -> PhasePlan:
    return plan_phase(small.fleet(rigs), "1", way, machines(small.bid(*lines)), effort)


def test_names_of_machines_are_their_own() -> None:
    lines = [small.line(1, quantity=2), small.line(2), small.line(3)]
    assert [one.name for one in machines(small.bid(*lines))] == [
        "loader (1 of 2)",
        "loader (2 of 2)",
        "loader",
        "loader, 2",
    ]


def test_a_machine_that_stays_has_no_way_out() -> None:
    found = machines(small.bid(small.line(out_to=None)))
    assert moves_of(found, Direction.OUT, small.fleet()) == ()
    (move,) = moves_of(found, Direction.IN, small.fleet())
    assert (move.origin, move.destination) == ("yard", "job")


def test_two_light_machines_ride_together_and_that_is_proved() -> None:
    plan = planned([small.line(quantity=2)])
    assert (plan.trips, plan.floor, plan.days, plan.claim) == (1, 1, 1, "fewest, proved")


def test_days_are_added_until_everything_is_hauled() -> None:
    # A heavy machine rides alone, and a shift has time for one trip: three machines take three days.
    heavy = make.item("dozer", 12_000, 180)
    plan = planned([small.line(item=heavy, quantity=3)], [make.rig(**SHORT)])
    assert (plan.trips, plan.days, plan.claim) == (3, 3, "fewest, proved")
    assert plan.unhauled == ()
    assert [rig_and_day(trip.rig, small.fleet([make.rig(**SHORT)]))[1] for trip in plan.plan.trips()] == [1, 2, 3]


def test_days_run_out() -> None:
    heavy = make.item("dozer", 12_000, 180)
    plan = planned([small.line(item=heavy, quantity=3)], [make.rig(**SHORT)], replace(EFFORT, most_days=2))
    assert (plan.trips, len(plan.unhauled), plan.floor) == (2, 1, 0)
    assert not plan.proved


def test_a_machine_that_no_rig_carries_is_named_with_reasons_and_leaves_the_rest_alone() -> None:
    giant = make.item("giant", 60_000, 180)
    plan = planned([small.line(1), small.line(2, item=giant)])
    (left,) = plan.unhauled
    assert left.move == "giant"
    assert "GVWR" in left.reasons[0].text
    assert (plan.trips, plan.claim) == (1, "fewest, proved")


def test_nothing_to_haul() -> None:
    plan = planned([small.line(out_to=None)], way=Direction.OUT)
    assert (plan.trips, plan.claim, plan.unhauled) == (0, "no trip of the own rigs", ())


def test_rigs_of_one_day_share_gear_and_rigs_of_two_days_do_not() -> None:
    tractor = make.truck("T")
    rigs = [make.rig("A", truck=tractor, driver="Sam"), make.rig("B", truck=tractor, driver="Sam")]
    second = [of_day(rig, 2) for rig in rigs]
    assert shares_gear(*second) == shares_gear(*rigs) == ("truck", "driver")
    assert all(shares_gear(one, other) == () for one in rigs for other in second)
    assert rig_and_day(second[1].name, small.fleet(rigs)) == (rigs[1], 2)


def test_more_days_are_taken_where_they_save_a_trip() -> None:
    """One trip a rig and day; the big rig takes two machines, the others one: three trips in a day, two in two."""
    span = {"shift_start_min": 360, "shift_end_min": 360 + 115}
    rigs = [
        make.rig("big", **span),
        make.rig("small", trailer=make.trailer("light 1", gvwr_lb=13_500.0), **span),
        make.rig("third", trailer=make.trailer("light 2", gvwr_lb=13_500.0), **span),
    ]
    one = planned([small.line(quantity=4)], rigs, replace(EFFORT, most_days=1))
    more = planned([small.line(quantity=4)], rigs)
    assert (one.trips, one.days, one.proved) == (3, 1, False)
    assert one.claim == "fewest in one day, proved; over more days not below 2"
    assert (more.trips, more.days, more.claim) == (2, 2, "fewest, proved")


def test_a_plan_that_the_verifier_refuses_is_no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(problem, **_) -> Plan:
        return Plan((), (), (), None)  # type: ignore[arg-type]

    monkeypatch.setattr("dispatch.mobilisation.phase_plan.solve", broken)
    with pytest.raises(PlanRefused):
        planned([small.line()])


def test_shares_of_an_outing_add_up_to_the_day() -> None:
    heavy = make.item("dozer", 12_000, 180)
    rig = make.rig(overtime_after_min=100)
    fleet = small.fleet([rig])
    plan = plan_phase(fleet, "1", Direction.IN, machines(small.bid(small.line(item=heavy, quantity=3))), EFFORT)
    facts = trip_facts(fleet, plan, 1)
    (day,) = plan.plan.rig_days
    paid = sum(outing.return_min - outing.leave_min for outing in day.outings)
    assert sum(one.paid_min for one in facts) == paid
    assert sum(one.overtime_min for one in facts) == paid - 100
    # There and back three times, ten miles each way; each trip has its own share of it.
    assert [(one.loaded_tenths, one.empty_tenths) for one in facts] == [(100, 100)] * 3


def test_problem_of_keeps_the_fleet_and_adds_days() -> None:
    fleet = small.fleet([make.rig("A"), make.rig("B")])
    moves = moves_of(machines(small.bid()), Direction.IN, fleet)
    assert [rig.name for rig in problem_of(fleet, moves, 2).rigs] == ["A", "B", "A, day 2", "B, day 2"]
