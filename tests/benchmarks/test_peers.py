"""The peers: timed by hand, verified on tiny days, mended where the calculator refuses a load."""

from __future__ import annotations

import pytest

from benchmarks.generator import Size, day
from benchmarks.machine_kinds import KINDS
from benchmarks.methods import METHODS, PRODUCT, play_first_plan, play_product
from benchmarks.peers.first_fit import first_fit
from benchmarks.peers.repair import count_illegal, repaired
from benchmarks.peers.routes import Day, Tasks, hauls_of, trip_of
from benchmarks.peers.routing import routing_library
from benchmarks.play import judged_routes
from benchmarks.rig_kinds import DOVETAIL
from benchmarks.scoring import score
from dispatch.plan import Action, Task
from dispatch.problem import Problem
from tests import factories as make

TINY = Size(6, 2)


def heavy(name: str, **more: object) -> object:
    return make.move(name, make.item(name, 9_000, 140), **more)


def test_one_trip_by_hand() -> None:
    """Out 20, load 20, road 20, unload 15, home 20: from 06:00 to 07:35; 95 min at 90 USD/h, 30 mi at 2.25."""
    own = Day(make.problem())
    outing = own.outing(own.problem.rigs[0], [trip_of([0])])
    assert outing is not None
    assert (outing.leave_min, outing.return_min) == (360, 455)
    found = score(own.problem, own.plan({"rig 1": [trip_of([0])]}))
    assert found.goals == (0, 1, 14_250 + 6_750)
    assert (found.loaded_tenths, found.empty_tenths, found.violations) == (100, 200, 0)


def test_the_yard_is_left_as_late_as_the_earliest_return_allows() -> None:
    """Ready at 10:00 and 20 minutes away: out at 09:40, not at 06:00."""
    own = Day(make.problem([make.move(ready_min=600)]))
    outing = own.outing(own.problem.rigs[0], [trip_of([0])])
    assert outing is not None
    assert (outing.leave_min, outing.return_min) == (580, 675)


@pytest.mark.parametrize(
    "more", [{"due_min": 400}, {"ready_min": 1_050}], ids=["due too early", "ready too late for the shift"]
)
def test_what_cannot_be_in_time_is_no_outing(more: dict[str, int]) -> None:
    own = Day(make.problem([make.move(**more)]))
    assert own.outing(own.problem.rigs[0], [trip_of([0])]) is None


def test_first_fit_takes_what_is_due_first() -> None:
    """Both by noon would do, but the shift leaves time for one: the one due earlier goes."""
    rigs = [make.rig(shift_start_min=360, shift_end_min=470)]
    moves = [heavy("late", due_min=720), heavy("soon", due_min=460)]
    own = Day(make.problem(moves, rigs))
    assert first_fit(own) == {"rig 1": [trip_of([1])]}


def test_first_fit_lets_ride_along_what_may() -> None:
    moves = [make.move(name, make.item(name, 3_000, 80)) for name in "xy"]
    own = Day(make.problem(moves))
    routes = first_fit(own)
    assert [len(hauls_of(trip)) for trip in routes["rig 1"]] == [2]
    assert score(own.problem, own.plan(routes)).violations == 0


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_first_fit_is_legal(seed: int) -> None:
    own = Day(day(Size(12, 3), seed))
    found = score(own.problem, own.plan(first_fit(own)))
    assert found.violations == 0
    assert count_illegal(own, first_fit(own)).illegal_trips == 0


def two_heavy_ones() -> Problem:
    """Together they are over the trailer's rating; each rides by itself."""
    return make.problem([heavy("x"), heavy("y")])


def test_an_illegal_load_is_counted_and_split() -> None:
    own = Day(two_heavy_ones())
    routes = {"rig 1": [trip_of([0, 1])]}
    found = count_illegal(own, routes)
    assert (found.legs, found.illegal_legs, found.trips, found.illegal_trips) == (1, 1, 1, 1)
    mended = repaired(own, routes)
    assert sorted(hauls_of(trip) for trip in mended["rig 1"]) == [(0,), (1,)]
    judged = judged_routes(own.problem, routes)
    assert (judged["bare"]["trips"], judged["bare"]["violations"]) == (1, 0)
    assert (judged["score"]["trips"], judged["score"]["left_out"], judged["score"]["violations"]) == (2, 0, 0)


def test_another_loading_order_is_tried_first() -> None:
    """On this trailer the light machine may stand behind the heavier one, not ahead of it."""
    kinds = {kind.name: kind for kind in KINDS}
    moves = [make.move(name, kinds[name].item(name)) for name in ("micro excavator", "compact track loader")]
    own = Day(make.problem(moves, [DOVETAIL.rig("rig 1")]))
    assert count_illegal(own, {"rig 1": [trip_of([0, 1])]}).illegal_trips == 1
    assert repaired(own, {"rig 1": [trip_of([0, 1])]}) == {"rig 1": [trip_of([1, 0])]}


def test_what_no_rig_has_time_for_after_mending_is_left_out() -> None:
    own = Day(make.problem([heavy("x", due_min=435), heavy("y", due_min=470)]))
    mended = repaired(own, {"rig 1": [trip_of([0, 1])]})
    found = score(own.problem, own.plan(mended))
    assert (found.left_out, found.trips, found.violations) == (1, 1, 0)


@pytest.mark.parametrize("seed", [0, 1])
def test_the_routing_library_keeps_to_clock_and_order(seed: int) -> None:
    own = Day(day(TINY, seed))
    found = routing_library(own, 0.5)
    assert found.first_s is not None
    assert any(found.routes.values())
    assert score(own.problem, own.plan(found.routes), loads_too=False).violations == 0
    assert score(own.problem, own.plan(repaired(own, found.routes))).violations == 0
    for trips in found.routes.values():
        for trip in trips:
            assert trip == trip_of(hauls_of(trip))


def test_the_routing_library_finds_the_ride_along() -> None:
    moves = [make.move(name, make.item(name, 3_000, 80)) for name in "xyz"]
    found = routing_library(Day(make.problem(moves)), 0.3)
    assert [len(hauls_of(trip)) for trip in found.routes["rig 1"]] == [3]


def test_nothing_comes_on_between_two_drops() -> None:
    """Over the road a, b, c, d it would be quickest to swap at b and c; a trip has one loading phase."""
    places = [("a", "d"), ("b", "c"), ("c", "d")]
    moves = [
        make.move(f"m{n}", make.item(f"m{n}", 3_000, 80), origin=origin, destination=destination)
        for n, (origin, destination) in enumerate(places)
    ]
    found = routing_library(Day(make.problem(moves)), 0.3)
    for trip in found.routes["rig 1"]:
        actions = [task.action for task in trip]
        assert actions == sorted(actions, key=lambda action: action is Action.UNLOAD)


def test_the_product_is_recorded_on_the_way() -> None:
    problem = day(TINY, 0)
    played = play_product(problem, 30)
    assert played.plan is not None
    values = tuple(level.value for level in played.plan.levels)
    assert played.events[-1][2] == values
    assert all(event[0] <= later[0] for event, later in zip(played.events, played.events[1:], strict=False))
    first = play_first_plan(problem, 0)
    assert first.plan is not None
    assert first.first_s is not None
    assert first.plan.levels[0].value >= values[0]


def test_every_method_has_its_place() -> None:
    assert PRODUCT in METHODS
    assert {"first fit", "routing library", "monolith", "listed trips"} <= set(METHODS)


def test_trips_are_unloaded_in_reverse() -> None:
    trip: Tasks = trip_of([4, 7])
    assert trip == (
        Task(Action.LOAD, 4),
        Task(Action.LOAD, 7),
        Task(Action.UNLOAD, 7),
        Task(Action.UNLOAD, 4),
    )
