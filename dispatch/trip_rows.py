"""The trips that a rig could make, as columns of figures; each becomes an object when it is wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dispatch.order_kernel import DURATION, EARLIEST, FIRST, LAST, LATEST
from dispatch.trip_orders import Hours
from dispatch.trips import Candidate

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


def within(hours: Hours, figures: Ints) -> Bools:
    """Which trips leave time to come, do the work and get home."""
    start = hours.start[figures[:, FIRST]]
    begun = np.maximum(start, figures[:, EARLIEST])
    return (start <= figures[:, LATEST]) & (begun + figures[:, DURATION] <= hours.home_by[figures[:, LAST]])


@dataclass(frozen=True, slots=True, eq=False)
class TripRows:
    """Place k is a trip of the set of units ``masks[of_set[k]]``; ``figures``: as in ``order_kernel``.

    ``permit_cents``: of each set. ``make`` gives the trip at a place.
    """

    masks: tuple[int, ...]
    permit_cents: Floats
    of_set: Ints
    figures: Ints
    make: Callable[[int], Candidate]

    def __len__(self) -> int:
        return len(self.of_set)

    def column(self, which: int) -> Ints:
        """One figure of every trip."""
        return np.ascontiguousarray(self.figures[:, which])

    def select(self, hours: Hours) -> TripRows:
        """The trips that lie within the hours; sets keep their numbers."""
        places = np.flatnonzero(within(hours, self.figures))
        if len(places) == len(self):
            return self
        where, make = places.tolist(), self.make
        return TripRows(
            self.masks,
            self.permit_cents,
            self.of_set[places],
            self.figures[places],
            lambda place: make(where[place]),
        )

    def masks_with_trips(self) -> list[int]:
        """The sets that have a trip."""
        return [self.masks[number] for number in np.unique(self.of_set).tolist()]

    def quickest(self, most: int) -> list[int]:
        """The first places of sets, of each size those whose trips take least time; about so many in all."""
        first = np.flatnonzero(np.diff(self.of_set, prepend=-1))
        size = np.array([self.masks[number].bit_count() for number in self.of_set[first].tolist()], np.int64)
        sizes = np.unique(size)
        duration, chosen = self.figures[first, DURATION], []
        for own in sizes:
            places = np.flatnonzero(size == own)
            chosen += places[np.argsort(duration[places], kind="stable")[: most // len(sizes)]].tolist()
        return [int(place) for place in first[sorted(chosen)]]


class Picked(Sequence[Candidate]):
    """Trips of one or several rigs by number, made when they are asked for."""

    def __init__(self, by_rig: Sequence[TripRows], rig: Ints, place: Ints) -> None:
        self._by_rig, self._rig, self._place = by_rig, rig, place

    def __len__(self) -> int:
        return len(self._place)

    def __getitem__(self, number: int) -> Candidate:  # type: ignore[override]  # slices are never asked for
        rows = self._by_rig[int(self._rig[number])]
        return rows.make(int(self._place[number]))

    def take(self, numbers: Ints) -> Picked:
        """Those with these numbers."""
        return Picked(self._by_rig, self._rig[numbers], self._place[numbers])
