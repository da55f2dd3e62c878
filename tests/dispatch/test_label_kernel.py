"""The floors of pricing by hand: rounding must never rule out what is just in time."""

from __future__ import annotations

import numpy as np
import pytest

from dispatch.label_kernel import Relaxed, Roads, floors_to_go, promising, reached, worthwhile

STEP_MIN = 5
YARD, A, B, C = range(4)
FAR_MIN = 100
Trip = tuple[int, int, int, int, int, float, int]
"""First site, last site, duration, earliest, latest, price, critical units."""


def relaxed(*trips: Trip) -> Relaxed:
    """Trips by first site, as given."""
    first, last, duration, earliest, latest, price, critical = zip(*trips, strict=True)
    assert sorted(first) == list(first)
    ptr = np.searchsorted(first, np.arange(5)).astype(np.int64)
    whole = [np.array(column, np.int64) for column in (last, duration, earliest, latest)]
    return Relaxed(ptr, *whole, np.array(price, np.float64), np.array(critical, np.int64))  # type: ignore[arg-type]


def roads(end_by: int, **minutes: int) -> Roads:
    """Roads by name, as ``yard_a``; all others are long. Nothing costs anything."""
    empty = np.full((4, 4), FAR_MIN, np.int64)
    np.fill_diagonal(empty, 0)
    number = {"yard": YARD, "a": A, "b": B, "c": C}
    for name, way in minutes.items():
        one, two = name.split("_")
        empty[number[one], number[two]] = way
    return Roads(empty, np.zeros((4, 4)), YARD, YARD, 351, end_by, 0.0)


def kept(trips: Relaxed, ways: Roads, cutoff: float = 0.0) -> list[int]:
    steps = ways.end_by // STEP_MIN + 2
    place, _ = floors_to_go(trips, ways, 1, steps, STEP_MIN)
    return promising(trips, reached(trips, ways, steps, STEP_MIN), place, STEP_MIN, cutoff).tolist()  # type: ignore[no-any-return]


def test_a_trip_that_is_just_in_time_is_kept() -> None:
    """Out at 351, there at 361, the work till 381, home at 390; a quarter of an hour less is too little."""
    trip = relaxed((A, B, 20, 361, 390, -5.0, 0))
    assert kept(trip, roads(390, yard_a=10, b_yard=9)) == [0]
    assert kept(trip, roads(375, yard_a=10, b_yard=9)) == []


def test_a_trip_after_a_trip_that_is_just_in_time_is_kept() -> None:
    """Out at 351, there at 361, the work till 381, at c at 386, the work till 396, home at 400."""
    trips = relaxed((A, B, 20, 361, 390, -5.0, 0), (C, C, 10, 0, 390, -5.0, 0))
    assert kept(trips, roads(400, yard_a=10, b_c=5, c_yard=4)) == [0, 1]
    assert kept(trips, roads(385, yard_a=10, b_c=5, c_yard=4, b_yard=4)) == [0]


def test_a_trip_that_may_begin_late_is_kept() -> None:
    """It can be begun at 386 at the latest, and the one before it is over only then."""
    trips = relaxed((A, B, 20, 361, 390, -5.0, 0), (C, C, 10, 0, 386, -5.0, 0))
    assert kept(trips, roads(500, yard_a=10, b_c=5, c_yard=4)) == [0, 1]
    late = relaxed((A, B, 20, 361, 390, -5.0, 0), (C, C, 10, 0, 379, -5.0, 0))
    assert kept(late, roads(500, yard_a=10, b_c=5, c_yard=4, b_yard=4)) == [0]


def test_a_trip_is_kept_while_a_day_with_it_is_below_the_cut_off() -> None:
    """The first alone earns 5, both together 8; the second alone cannot be."""
    trips = relaxed((A, B, 20, 361, 390, -5.0, 0), (C, C, 10, 0, 390, -3.0, 0))
    ways = roads(400, yard_a=10, b_c=5, c_yard=4, b_yard=4)
    assert kept(trips, ways, -7.9) == [0, 1]
    assert kept(trips, ways, -8.1) == []
    costs = relaxed((A, B, 20, 361, 390, -5.0, 0), (C, C, 10, 0, 390, 1.0, 0))
    assert kept(costs, ways, -3.9) == [0, 1]
    assert kept(costs, ways, -4.1) == [0]


GOOD: Trip = (A, B, 20, 400, 450, -5.0, 0b01)


@pytest.mark.parametrize(
    ("other", "needed"),
    [
        ((A, B, 20, 400, 450, -4.0, 0b01), False),
        ((A, B, 25, 400, 450, -4.0, 0b11), False),
        ((A, C, 20, 400, 450, -4.0, 0b01), True),
        ((A, B, 19, 401, 450, -4.0, 0b01), True),  # quicker, and over as soon
        ((A, B, 20, 399, 450, -4.0, 0b01), True),
        ((A, B, 20, 400, 451, -4.0, 0b01), True),
        ((A, B, 20, 400, 450, -4.0, 0b10), True),
        ((A, B, 20, 400, 450, -6.0, 0b01), True),
    ],
)
def test_a_trip_stands_for_a_dearer_one_only_when_it_is_no_worse(other: Trip, needed: bool) -> None:
    trips = relaxed(GOOD, other)
    rows, ptr = worthwhile(trips, np.lexsort((trips.price, [A, A])))
    assert (1 in rows) is needed
    assert ptr.tolist() == [0, 0, len(rows), len(rows), len(rows)]
