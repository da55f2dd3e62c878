"""Comparisons put together from plain figures, without a search: for tests of what is shown of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from dispatch.comparison.compare import Comparison
from dispatch.comparison.differences import difference, total
from dispatch.comparison.history import DayVariant, History, Variant
from dispatch.comparison.jobs import Effort
from dispatch.comparison.limiting import DayLimit, Resources
from dispatch.comparison.outcomes import DayOutcome, Goal, OutsideHaul, OwnCost, TrailerUse
from dispatch.comparison.yearly import yearly
from dispatch.money.outside_haul import OutsidePrice
from tests import factories as make


@dataclass(frozen=True)
class Figures:
    """A day under a fleet. ``fewest``: trips that no plan goes below, -1: not known; ``left``: outside hauls."""

    trips: int
    left: int = 0
    fewest: int | None = None
    own_usd: int = 900
    outside_usd: int = 650

    def outcome(self, day: str, variant: str, trailers: Sequence[str]) -> DayOutcome:
        bound = self.trips if self.fewest is None else self.fewest
        hauls = tuple(
            OutsideHaul((f"{day}.{n}",), 9_000, 100, OutsidePrice(self.outside_usd * 100, 2, "a trip"))
            for n in range(self.left)
        )
        shares = [self.trips // len(trailers)] * len(trailers)
        shares[0] += self.trips - sum(shares)
        return DayOutcome(
            day=day,
            variant=variant,
            left_out=Goal(self.left, None if bound < 0 else self.left),
            trips=Goal(self.trips, None if bound < 0 else bound),
            cost=Goal(0, 0),
            moves_left_out=tuple(f"{day}.{n}" for n in range(self.left)),
            moves=self.trips + self.left,
            outside=hauls,
            loaded_tenths=400,
            empty_tenths=400,
            paid_min=480,
            overtime_min=0,
            own=OwnCost(self.own_usd * 100, self.own_usd * 60, self.own_usd * 30, self.own_usd * 10, 0),
            use=tuple(
                TrailerUse(name, 100 * share, share, 9_000.0 * share)
                for name, share in zip(trailers, shares, strict=True)
            ),
        )


def plain(
    figures: Mapping[str, Mapping[str, Figures]],
    limits: Mapping[tuple[str, str], Sequence[Resources]] | None = None,
    owned_usd: int = 14_500,
    trailers: Mapping[str, Sequence[str]] | None = None,
) -> Comparison:
    """``figures``: by day, then by fleet, the base first. ``trailers``: of each fleet, else one more a fleet."""
    days, names = tuple(figures), list(next(iter(figures.values())))
    had = trailers or {name: [f"trailer {n + 1}" for n in range(1 + number)] for number, name in enumerate(names)}
    variants = tuple(
        Variant(name, ownership_usd=Decimal(owned_usd if number else 0), days_per_year=Decimal(200))
        for number, name in enumerate(names)
    )
    problem = make.problem()
    history = History(days, variants, {DayVariant(day, name): problem for day in days for name in names})
    by_fleet = {name: [figures[day][name].outcome(day, name, had[name]) for day in days] for name in names}
    base = by_fleet[names[0]]
    differences = [
        difference(one, two, contained=True)
        for name in names[1:]
        for one, two in zip(base, by_fleet[name], strict=True)
    ]
    return Comparison(
        history=history,
        effort=Effort(),
        outcomes=tuple(one for name in names for one in by_fleet[name]),
        differences=tuple(differences),
        totals=tuple(total(name, [one for one in differences if one.variant == name]) for name in names[1:]),
        limits=tuple(DayLimit(day, name, tuple(found), ()) for (day, name), found in (limits or {}).items()),
        years=tuple(yearly(one, variants[0], by_fleet[one.name], base, seed=0) for one in variants[1:]),
    )
