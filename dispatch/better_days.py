"""Every rig-day that a better plan could hold, where those are few enough to be listed.

Such a day has a reduced cost below the gap between plan and floor.
Source: Baldacci, Christofides, Mingozzi, Mathematical Programming 115 (2008); from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.floors import HALF_A_CENT
from dispatch.prices import Prices
from dispatch.pricing import Search
from dispatch.rig_days import Day
from dispatch.workshop import TOLERANCE, Budget, Result, Workshop, price_all


def better_below(shop: Workshop, best: Result, floor: float, prices: Sequence[Prices]) -> float:
    """The reduced cost (units of the goal) below which all days of a better plan lie.

    ``floor``: what these very prices give. One from elsewhere, however true, says nothing of days' costs at them.
    """
    groups = shop.day.shape.groups
    hidden = max(HALF_A_CENT * len(group.rigs) * price.money for group, price in zip(groups, prices, strict=True))
    return best.value - 1 - floor + TOLERANCE + hidden


def better_days(
    shop: Workshop, best: Result, floor: float, prices: Sequence[Prices], caps: Budget
) -> list[Day] | None:
    """All days that a better plan could hold; ``None`` when they are not all found within the caps."""
    how = Search(
        cutoff=better_below(shop, best, floor, prices),
        most_columns=caps.enumerated,
        most_labels=caps.labels,
        most_work=caps.work,
        keep_all=shop.day.clock_is_shared,
        every=True,
    )
    found = price_all(shop, prices, how)
    days = [day for priced in found for day in priced.columns]
    return days if all(priced.complete for priced in found) and len(days) <= caps.enumerated else None
