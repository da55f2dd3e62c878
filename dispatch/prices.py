"""What a day is worth to the linear programme: the duals of its rows, turned into prices."""

from __future__ import annotations

from dataclasses import dataclass

from dispatch.rig_days import Day
from dispatch.trip_arrays import Floats


@dataclass(frozen=True, slots=True)
class Prices:
    """What a day earns (each unit, being one of the group's days) and costs (a trip, a cent)."""

    unit: Floats
    group: float
    per_trip: float
    money: float
    cuts: tuple[tuple[int, float], ...] = ()
    """(three units as a mask, price): a day with two or three of them pays the price once."""

    def reduced(self, column: Day) -> float:
        """Reduced cost of a finished day."""
        reward = sum(float(self.unit[u]) for u in range(len(self.unit)) if column.units >> u & 1)
        paid = sum(price for mask, price in self.cuts if (column.units & mask).bit_count() > 1)
        return self.money * column.cents + self.per_trip * column.trips + paid - reward - self.group
