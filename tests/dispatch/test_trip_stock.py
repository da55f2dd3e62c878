"""Asking many sets at once whether they can ride: nothing that can ride may be lost."""

from __future__ import annotations

from functools import partial
from threading import Event
from time import sleep

import pytest

from benchmarks.generator import Size
from benchmarks.generator import day as suite_day
from dispatch import trip_listing
from dispatch.placement import Placer
from dispatch.planning_day import DayTrips, _rigs_by_kind, _worked_out, find_trips, prepare
from dispatch.second_process import SecondProcess
from dispatch.trip_listing import Listed
from dispatch.trips import TripBudget
from tests.external.test_witnesses import day

NEVER_ALL_ABOARD = 1115
"""On this day a machine comes on where others come off, so no leg has the whole set aboard."""


def judged(seed: int) -> DayTrips:
    problem = day(seed)
    trips = find_trips(prepare(problem, Placer(problem)), TripBudget())
    for stock in trips.stocks:
        stock.judge_all(10**6, lambda: False)
    return trips


def compare(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = judged(seed)
    with monkeypatch.context() as patched:
        patched.setattr(trip_listing._Listing, "_full_loads", lambda *_: None)
        unasked = judged(seed)
    for some, every in zip(asked.by_rig, unasked.by_rig, strict=True):
        assert {trip.tasks for trip in some.trips()} == {trip.tasks for trip in every.trips()}


@pytest.mark.parametrize("seed", [NEVER_ALL_ABOARD, 1000, 1001, 1002])
def test_no_legal_trip_is_lost(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    compare(seed, monkeypatch)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1003, 1060))
def test_no_legal_trip_is_lost_on_many_days(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    compare(seed, monkeypatch)


def test_trips_listed_by_a_second_process_are_the_same() -> None:
    """Trip for trip, in the same order, wherever each kind of rigs was listed."""
    made = prepare(problem := suite_day(Size(24, 5), 3), Placer(problem))
    here = find_trips(made, TripBudget())
    kinds = len(here.stocks)
    for done_there in (0, kinds):
        jobs = [partial(_worked_out, made, rigs, Event()) for rigs in _rigs_by_kind(made).values()]
        process = SecondProcess(jobs)
        while len(process.so_far) < done_there:
            sleep(0.01)
        found = find_trips(made, TripBudget(), process)
        assert found.complete
        for one, other in zip(found.by_rig, here.by_rig, strict=True):
            assert one.masks() == other.masks()
            assert one.trips() == other.trips()


def test_too_many_trips_of_some_rigs_leave_the_others_alone() -> None:
    made = prepare(problem := suite_day(Size(24, 5), 3), Placer(problem))
    too_many = Event()
    too_many.set()
    rigs = next(iter(_rigs_by_kind(made).values()))
    found = _worked_out(made, rigs, too_many)
    assert (found.sets, found.complete) == ((), False)
    process = SecondProcess([lambda: found for _ in _rigs_by_kind(made)])
    process._listener.join()
    assert not find_trips(made, TripBudget(), process).complete


def test_too_many_trips_here_leave_the_others_alone_too() -> None:
    """One list that was cut short here, and nothing from there: no other is begun."""
    made = prepare(problem := suite_day(Size(24, 5), 3), Placer(problem))
    kinds = len(_rigs_by_kind(made))
    process: SecondProcess[Listed] = SecondProcess([])
    process._begun = [0] * kinds  # type: ignore[assignment]
    process._claims = lambda _: True  # type: ignore[method-assign]
    found = find_trips(made, TripBudget(sets=30), process)
    sets = [len(stock.rows().masks) for stock in found.stocks]
    assert kinds > 1
    assert max(sets) > 0
    assert sorted(sets)[:-1] == [0] * (kinds - 1)
