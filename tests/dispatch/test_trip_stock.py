"""Asking many sets at once whether they can ride: nothing that can ride may be lost."""

from __future__ import annotations

import pytest

from dispatch.placement import Placer
from dispatch.planning_day import DayTrips, find_trips, prepare
from dispatch.trip_stock import TripStock
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
        patched.setattr(TripStock, "_full_loads", lambda *_: None)
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
