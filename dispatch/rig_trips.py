"""The trips of one rig: those of a stock, which other rigs may share, that lie within the rig's own hours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dispatch.trip_orders import Hours
from dispatch.trip_rows import TripRows
from dispatch.trip_stock import TripStock
from dispatch.trips import Candidate, Unit


class RigTrips:
    """Looks into ``stock`` through ``hours``; what is learned of a trip's legality is learned for all."""

    def __init__(self, stock: TripStock, hours: Hours) -> None:
        self.stock, self.hours = stock, hours
        self._rows: tuple[int, TripRows] | None = None

    @property
    def version(self) -> int:
        """Grows with every change of the trips."""
        return self.stock.version

    def rows(self) -> TripRows:
        """The undominated trips that are legal as far as is known, small sets first, the best of a set first."""
        if self._rows is None or self._rows[0] != self.version:
            self._rows = self.version, self.stock.rows().select(self.hours)
        return self._rows[1]

    def trips(self) -> tuple[Candidate, ...]:
        """The same, every one of them as an object."""
        rows = self.rows()
        return tuple([rows.make(place) for place in range(len(rows))])

    def offered(self, most: int) -> tuple[Candidate, ...]:
        """The trips; when there are more than so many, of each size of set the quickest, one a set."""
        rows = self.rows()
        places = list(range(len(rows))) if len(rows) <= most else rows.quickest(most)
        return tuple([rows.make(place) for place in places])

    def masks(self) -> list[int]:
        """The sets of units that some trip may carry, as far as is known."""
        return self.rows().masks_with_trips()

    def rides(self, mask: int) -> bool:
        """Whether any trip with exactly these units is legal; asks until one is."""
        return self.stock.rides(mask, self.hours)

    def best_of(self, members: Sequence[Unit]) -> Candidate | None:
        """The best legal trip with exactly these units, whether or not the stock was made with them."""
        return self.stock.best_of(members, self.hours)

    def judge(self, trip: Candidate) -> Candidate | None:
        """The trip with a legal load, within permit hours where it needs them; ``None`` when there is none."""
        return self.stock.judge(trip)

    def judge_many(self, trips: Iterable[Candidate]) -> None:
        """Asks the legality of trips together; ``judge`` then knows them."""
        self.stock.judge_many(trips)
