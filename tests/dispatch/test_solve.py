"""Whole days: by hand, against an exhaustive search, stopped early, twice the same. Placement mostly a stub."""

from __future__ import annotations

import random
import signal
from typing import Any

import pytest

from dispatch.costs import plan_cents
from dispatch.moves import Move, Permit, Status
from dispatch.plan import Outcome, Plan
from dispatch.planning_day import DayTrips, ListedAhead, PlanningDay, find_trips
from dispatch.problem import Problem
from dispatch.search_limits import Progress
from dispatch.settings import Objective, Settings
from dispatch.solve import solve
from dispatch.travel import Travel
from dispatch.trips import TripBudget
from dispatch.verify import verify
from dispatch.verify_hours import hours_violations
from dispatch.verify_levels import level_violations
from dispatch.verify_times import road_violations, runs_of, sharing_violations, shift_violations, work_violations
from tests import factories as f
from tests import factories as make
from tests.dispatch.exhaustive import Everything
from tests.stub_placer import StubPlacer


def plan_of(problem: Problem, **options: Any) -> Plan:
    """The plan with the stub; the verifier's clock, hours and levels must agree."""
    plan = solve(problem, placer=StubPlacer(problem), **({"time_limit_s": None} | options))
    runs = runs_of(problem, plan)
    found = [v for run in runs for v in (*road_violations(run), *shift_violations(run))]
    found += [*sharing_violations(problem, runs), *work_violations(problem, plan)]
    found += [*hours_violations(problem, runs), *level_violations(problem, plan)]
    assert [str(violation) for violation in found] == []
    return plan


def values(plan: Plan) -> tuple[float, ...]:
    return tuple(level.value for level in plan.levels)


def small(name: str, **more: Any) -> Move:
    return f.move(name, f.item(name, 3000, 60), **more)


def test_one_move_by_hand() -> None:
    """Out 20, load 20, road 20, unload 15, home 20 = 95 min at 90 USD/h = 142.50; 30 miles at 2.25 = 67.50."""
    plan = plan_of(f.problem())
    assert values(plan) == (0, 1, 21_000)
    assert plan.outcome is Outcome.PROVED
    (outing,) = plan.rig_days[0].outings
    assert (outing.leave_min, outing.return_min) == (360, 455)
    assert [(s.site, s.arrive_min, s.leave_min) for s in outing.trips[0].stops] == [
        ("a", 380, 400),
        ("b", 420, 435),
    ]


def test_the_yard_is_left_late_enough_not_to_wait() -> None:
    plan = plan_of(f.problem([f.move(ready_min=600)]))
    assert plan.rig_days[0].outings[0].leave_min == 580


def test_two_items_over_one_road_make_one_trip() -> None:
    assert values(plan_of(f.problem([small("x"), small("y")])))[:2] == (0, 1)


def test_a_day_too_short_leaves_out_the_less_important() -> None:
    rig = f.rig(shift_start_min=360, shift_end_min=460)
    plan = plan_of(
        f.problem([f.move("x", f.item("x"), priority=1), f.move("y", f.item("y", 15_000), priority=2.5)], [rig])
    )
    assert plan.left_out == ("x",)
    assert values(plan)[0] == 1
    assert plan.outcome is Outcome.PROVED


def test_nothing_can_ride() -> None:
    plan = plan_of(f.problem([f.move(item_=f.item(weight_lb=50_000), priority=3)]))
    assert (plan.left_out, values(plan), plan.outcome) == (("move 1",), (3, 0, 0), Outcome.PROVED)


def test_a_day_without_moves() -> None:
    plan = plan_of(f.problem([]))
    assert (plan.rig_days, plan.left_out, plan.outcome) == ((), (), Outcome.PROVED)


def test_who_rides_together_is_left_out_together() -> None:
    bucket = f.lifted(weight_lb=20_000)
    plan = plan_of(f.problem([f.move(companions=("bucket",))], items=[bucket]))
    assert plan.left_out == ("move 1",)


def test_a_companion_rides_and_is_no_move() -> None:
    plan = plan_of(f.problem([f.move(companions=("bucket",))], items=[f.lifted()]))
    (trip,) = plan.trips()
    assert sorted(trip.hauls()) == [0, 1]
    assert plan.left_out == ()


def test_rigs_that_share_a_truck_take_turns() -> None:
    """Each move only by its rig: 95 minutes, hook 20, 95 minutes fill the shift exactly; less does not."""
    truck = f.truck("shared")
    moves = [f.move("x", only_rigs=("rig 1",)), f.move("y", only_rigs=("rig 2",))]

    def day(end: int) -> Plan:
        return plan_of(
            f.problem(moves, [f.rig(name, truck=truck, shift_end_min=end) for name in ("rig 1", "rig 2")])
        )

    assert values(day(360 + 95 + 20 + 95))[0] == 0
    assert values(day(360 + 95 + 20 + 94))[0] == 1


def test_gear_shared_in_a_chain() -> None:
    """Rigs 1-2 share a truck, 2-3 a trailer; 1 and 3 may be out together: 210 minutes do."""
    truck, trailer = f.truck("shared"), f.trailer("shared")
    gear: list[dict[str, Any]] = [{"truck": truck}, {"truck": truck, "trailer": trailer}, {"trailer": trailer}]
    moves = [f.move(str(n), only_rigs=(f"rig {n}",)) for n in range(3)]

    def day(end: int) -> Plan:
        return plan_of(
            f.problem(moves, [f.rig(f"rig {n}", shift_end_min=end, **own) for n, own in enumerate(gear)])
        )

    assert values(day(570))[0] == 0
    assert day(570).outcome is Outcome.PROVED
    assert values(day(569))[0] == 1
    assert day(569).outcome is Outcome.PROVED


def test_a_machine_moved_twice_by_two_rigs() -> None:
    """The second rig arrives at b when the first has unloaded there, and does not wait."""
    machine = f.item("loader", 3000, 60)
    moves = [
        f.move("one", machine, only_rigs=("rig 1",)),
        f.move("two", machine, origin="b", destination="c", only_rigs=("rig 2",)),
    ]
    plan = plan_of(f.problem(moves, [f.rig("rig 1"), f.rig("rig 2")]))
    assert plan.outcome is Outcome.PROVED
    drop, pickup = plan.rig_days[0].outings[0].trips[0].stops[-1], plan.rig_days[1].outings[0].trips[0].stops[0]
    assert (drop.leave_min, pickup.arrive_min) == (435, 435)


def test_the_second_move_is_not_hauled_without_the_first() -> None:
    machine = f.item("loader", 3000, 60)
    moves = [
        f.move("one", machine, only_rigs=("nobody",)),
        f.move("two", machine, origin="b", destination="c", priority=5),
    ]
    assert plan_of(f.problem(moves)).left_out == ("one", "two")


def test_a_permit_leg_waits_for_its_hours_and_the_permit_is_paid() -> None:
    wide = f.item("wide", width_in=130.0)
    plan = plan_of(f.problem([f.move(item_=wide, permit=Permit("over width", 540, 900, 80.0))]))
    first, _ = plan.rig_days[0].outings[0].trips[0].stops
    assert first.leave_min == 540
    assert values(plan)[2] == 21_000 + 8_000


def test_the_driving_limit_binds_over_the_day() -> None:
    """60 minutes at the wheel a move alone, 20 more when chained by an empty road back: 100 in all."""
    moves = [f.move("x", f.item("x", 9000)), f.move("y", f.item("y", 9000))]
    assert values(plan_of(f.problem(moves, [f.rig(driving_limit_min=100)])))[0] == 0
    assert values(plan_of(f.problem(moves, [f.rig(driving_limit_min=99)])))[0] == 1


def test_a_break_is_taken_after_eight_hours_at_the_wheel() -> None:
    """Five hours out, one loaded, four back, past the short-haul radius: the break falls on the way home."""
    roads = [
        f.road("yard", "a", 250, minutes=300),
        f.road("a", "b", 40, minutes=60),
        f.road("b", "yard", 200, minutes=240),
    ]
    plan = plan_of(f.problem(rigs=[f.rig(shift_end_min=360 + 665)], roads=roads))
    (outing,) = plan.rig_days[0].outings
    assert plan.left_out == ()
    assert outing.return_min - outing.leave_min == 300 + 20 + 60 + 15 + 240 + 30
    assert len(outing.breaks) == 1
    assert any("Breaks" in note for note in plan.notes)
    late = f.problem(rigs=[f.rig(shift_end_min=360 + 664)], roads=roads)
    assert plan_of(late).left_out == ("move 1",)
    assert not plan_of(late).level("left out").proved


def test_cost_first_takes_the_cheaper_of_two_ways() -> None:
    """Together by a long road (one trip), or apart in two cheap trips."""
    roads = [
        f.road("yard", "a", 1, minutes=10),
        f.road("a", "b", 1, minutes=10),
        f.road("yard", "b", 1, minutes=10),
        f.road("yard", "c", 1, minutes=10),
        f.road("c", "d", 1, minutes=10),
        f.road("yard", "d", 1, minutes=10),
        *(f.road(one, two, 60, minutes=100) for one in "ab" for two in "cd"),
    ]
    moves = [small("x"), small("y", origin="c", destination="d")]
    trips_first = plan_of(f.problem(moves, roads=roads))
    cost_first = plan_of(f.problem(moves, roads=roads, settings=Settings(objective=Objective.COST_FIRST)))
    assert trips_first.level("trips").value == 1
    assert cost_first.level("trips").value == 2
    assert cost_first.level("cost").value < trips_first.level("cost").value
    assert [level.name for level in cost_first.levels] == ["left out", "cost", "trips"]


# -- stops, repeats, claims ---------------------------------------------------------------------------------


def random_day(seed: int, moves: int, rigs: int) -> Problem:
    rng = random.Random(seed)
    places = ["yard", "a", "b", "c", "d"]
    roads = [
        f.road(one, two, rng.randint(2, 25), minutes=rng.randint(5, 50))
        for n, one in enumerate(places)
        for two in places[n + 1 :]
    ]
    made = []
    for number in range(moves):
        origin, destination = rng.sample(places, 2)
        window: dict[str, Any] = {"ready_min": None, "due_min": None}
        if rng.random() < 0.6:
            window["ready_min"] = rng.randint(360, 620)
            window["due_min"] = window["ready_min"] + rng.randint(60, 220)
        item = f.item(f"item {number}", rng.choice([3000, 5000, 9000, 14_000]), rng.choice([60, 100, 150, 240]))
        made.append(
            f.move(
                str(number),
                item,
                origin=origin,
                destination=destination,
                priority=rng.choice([1, 1, 2, 0.5]),
                **window,
            )
        )
    fleet = [
        f.rig(
            f"rig {n}",
            shift_end_min=rng.choice([600, 720, 800]),
            end=rng.choice(["yard", "yard", "d"]),
            overtime_after_min=rng.choice([None, 150]),
            cost_per_trip_usd=rng.choice([0.0, 35.5]),
        )
        for n in range(rigs)
    ]
    sites = [
        f.site("b", opens_min=rng.choice([None, 450]), closes_min=rng.choice([None, 650])),
        f.site("c", extra_load_min=7),
    ]
    return f.problem(made, fleet, sites=sites, roads=roads)


@pytest.mark.parametrize("seed", range(30))
def test_tiny_days_against_an_exhaustive_search(seed: int) -> None:
    problem = random_day(seed, moves=3 + seed % 2, rigs=1 + seed % 2)
    plan = plan_of(problem)
    left_out, trips, cents = Everything(problem).best()
    assert values(plan) == (left_out, trips, cents)
    assert plan.outcome is Outcome.PROVED


@pytest.mark.parametrize("workers", [1, 2])
def test_the_same_day_gives_the_same_plan(workers: int) -> None:
    problem = random_day(77, moves=8, rigs=3)
    first, second = (plan_of(problem, workers=workers) for _ in range(2))
    assert first == second
    assert repr(first) == repr(second)


def test_the_cost_claimed_is_the_plans_own() -> None:
    problem = random_day(5, moves=6, rigs=2)
    plan = plan_of(problem)
    travel = Travel(problem.sites, problem.roads, problem.settings)
    assert plan.level("cost").value == plan_cents(problem, travel, plan)


def test_a_stop_at_any_moment_has_an_answer() -> None:
    problem = random_day(78, moves=8, rigs=2)
    best = values(plan_of(problem))
    for patience in (0, 1, 3, 10, 30, 100, 300):
        asked = 0

        def stop(patience: int = patience) -> bool:
            nonlocal asked
            asked += 1
            return asked > patience

        plan = plan_of(problem, should_stop=stop)
        assert values(plan) >= best
        assert all(level.bound <= value for level, value in zip(plan.levels, best, strict=True))
        if plan.outcome is not Outcome.PROVED:
            assert any("stopped" in note for note in plan.notes)


def test_ctrl_c_still_reaches_the_program_after_a_solve() -> None:
    """The solver replaces the system's handler of Ctrl-C; left so, the next one would kill the program."""
    # A shell that runs its jobs in the background has them ignore Ctrl-C: start from Python's own handler.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        plan_of(random_day(5, moves=6, rigs=2))
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    finally:
        signal.signal(signal.SIGINT, before)


def test_ctrl_c_gives_the_best_plan_so_far() -> None:
    def interrupt(event: Progress) -> None:
        if event.phase == "cost":
            raise KeyboardInterrupt

    problem = random_day(78, moves=8, rigs=2)
    plan = plan_of(problem, on_progress=interrupt)
    assert values(plan)[:2] == values(plan_of(problem))[:2]
    assert plan.outcome is Outcome.STOPPED_WITH_PLAN


def test_progress_tells_phases_values_and_bounds() -> None:
    events: list[Progress] = []
    plan = plan_of(random_day(79, moves=5, rigs=2), on_progress=events.append)
    assert {"trips of single items", "candidate trips", "left out", "trips", "cost"} <= {
        event.phase for event in events
    }
    last = [event for event in events if event.phase == "cost"][-1]
    assert last.value == last.bound
    assert last.standing == values(plan)
    told = [event.standing for event in events if event.standing]
    assert told == sorted(told, reverse=True)


def test_trips_that_took_all_their_time_still_make_a_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """The stage of the candidate trips is over when they are there; three items on one road then ride together."""
    calls: list[DayTrips] = []

    def late(day: PlanningDay, budget: TripBudget, ahead: ListedAhead | None = None) -> DayTrips:
        calls.append(find_trips(day, budget, ahead))
        if len(calls) == 2:
            budget.stop.__self__._stage_ends = 0.0  # type: ignore[attr-defined]
        return calls[-1]

    monkeypatch.setattr("dispatch.solve.find_trips", late)
    events: list[Progress] = []
    problem = f.problem([small("x"), small("y"), small("z", destination="c")])
    plan_of(problem, time_limit_s=600, on_progress=events.append)
    assert next(event.standing for event in events if event.phase == "left out")[:2] == (0, 1)


def test_with_the_real_placement() -> None:
    problem = f.problem([f.move("x", f.item("x")), f.move("y", f.item("y"), origin="b", destination="c")])
    plan = solve(problem, time_limit_s=None)
    assert plan.outcome is Outcome.PROVED
    assert plan.left_out == ()
    assert all(trip.placements for trip in plan.trips())


def test_a_machine_whose_first_move_is_done_may_go_on() -> None:
    machine = make.item("m")
    first = make.move("A", machine, status=Status.DONE)
    problem = make.problem([first, make.move("B", machine, origin="b", destination="c", ready_min=480)])
    plan = solve(problem, time_limit_s=None)
    assert plan.left_out == ()
    assert [trip.hauls() for trip in plan.trips()] == [(1,)]
    assert verify(problem, plan) == ()
