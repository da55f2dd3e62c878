"""Trips as columns: which of them lie within a rig's hours, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from dispatch.order_kernel import DURATION, EARLIEST, FIGURES, FIRST, LAST, LATEST
from dispatch.trip_orders import Hours
from dispatch.trip_rows import Ints, TripRows, within

A, B = 0, 1
HOURS = Hours(np.array([400, 450]), np.array([600, 550]))
"""Work can begin at a from 400 on, at b from 450; done by 600 at a, by 550 at b, to be home in time."""


def trips(*rows: tuple[int, int, int, int, int]) -> Ints:
    """(first, last, duration, earliest, latest) of each."""
    figures = np.zeros((len(rows), FIGURES), np.int64)
    figures[:, [FIRST, LAST, DURATION, EARLIEST, LATEST]] = rows
    return figures


@pytest.mark.parametrize(
    ("trip", "may"),
    [
        ((A, B, 150, 0, 1000), True),  # 400 to 550
        ((A, B, 151, 0, 1000), False),
        ((A, A, 200, 0, 1000), True),  # 400 to 600
        ((A, A, 201, 0, 1000), False),
        ((B, A, 150, 0, 1000), True),  # 450 to 600
        ((B, A, 151, 0, 1000), False),
        ((A, B, 50, 500, 1000), True),  # 500 to 550
        ((A, B, 50, 501, 1000), False),
        ((B, B, 10, 0, 450), True),
        ((B, B, 10, 0, 449), False),
    ],
)
def test_a_trip_begins_in_time_and_is_done_in_time(trip: tuple[int, int, int, int, int], may: bool) -> None:
    assert within(HOURS, trips(trip)).tolist() == [may]


def test_what_is_selected_keeps_its_set_and_its_place() -> None:
    figures = trips((A, B, 151, 0, 1000), (A, B, 150, 0, 1000), (A, A, 10, 0, 1000))
    rows = TripRows((0b01, 0b10), np.array([0.0, 7.0]), np.array([0, 0, 1]), figures, lambda place: place)  # type: ignore[arg-type,return-value]  # places stand for trips
    some = rows.select(HOURS)
    assert [some.make(place) for place in range(len(some))] == [1, 2]
    assert [some.masks[number] for number in some.of_set] == [0b01, 0b10]
    assert rows.select(Hours(np.array([0, 0]), np.array([2000, 2000]))) is rows
