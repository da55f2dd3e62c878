"""The comparison at a glance: what a picture shows of a day, and what a trailer did under each fleet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from dispatch.comparison.compare import Comparison
from dispatch.comparison.differences import Difference
from dispatch.comparison.limiting import DayLimit, Resources
from dispatch.comparison.outcomes import DayOutcome
from dispatch.comparison.relaxations import Resource

MORE, FEWER, LESS, EXTRA = "more", "fewer", "less", "extra"
"""A day that changes: hauls more itself, as much in fewer trips, hauls less, as much in more trips."""
CHANGES = MappingProxyType(
    {
        MORE: "hauls more on own rigs",
        FEWER: "hauls as much in fewer trips",
        LESS: "hauls less on own rigs",
        EXTRA: "hauls as much in more trips",
    }
)
BETTER = frozenset({MORE, FEWER})
LETTERS: Mapping[Resource, str] = MappingProxyType(
    {
        Resource.TRUCKS: "T",
        Resource.DRIVERS: "D",
        Resource.TRAILERS: "L",
        Resource.SHIFTS: "S",
        Resource.SITE_HOURS: "H",
        Resource.WEIGHTS: "W",
    }
)
WORK_ITSELF, SAME = "-", "="
"""A day that does not change: more of anything changes nothing; nothing was asked, as the fleet is not larger."""


@dataclass(frozen=True, slots=True)
class FleetDay:
    """One day of one fleet: own trips, the fewest that any plan has (``None``: not known), outside hauls."""

    variant: str
    trips: float
    fewest: float | None
    outside: int

    @property
    def proved(self) -> bool:
        """Whether no plan has fewer trips."""
        return self.fewest is not None and self.fewest >= self.trips - 1e-6


@dataclass(frozen=True, slots=True)
class DayGlance:
    """One day under every fleet, the base first, and a mark for every other fleet."""

    day: str
    fleets: tuple[FleetDay, ...]
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class UseLine:
    """A trailer under a variant over all days: days, days used, minutes out of the yard, trips, pounds hauled."""

    variant: str
    trailer: str
    days: int
    used_days: int
    out_min: int
    trips: int
    weight_lb: float


def days_at_a_glance(comparison: Comparison) -> tuple[DayGlance, ...]:
    """Every day, in order."""
    names = [variant.name for variant in comparison.history.variants]
    outcomes = {(one.day, one.variant): one for one in comparison.outcomes}
    differences = {(one.day, one.variant): one for one in comparison.differences}
    limits = {(one.day, one.variant): one for one in comparison.limits}
    return tuple(
        DayGlance(
            day,
            tuple(_fleet_day(outcomes[day, name]) for name in names),
            tuple(day_mark(differences[day, name], limits.get((day, name))) for name in names[1:]),
        )
        for day in comparison.history.days
    )


def _fleet_day(day: DayOutcome) -> FleetDay:
    return FleetDay(day.variant, day.trips.value, day.trips.least, len(day.outside))


def day_mark(change: Difference, limit: DayLimit | None) -> str:
    """What a fleet changes on a day, in a word; else the letters of what limits it.

    ``T W``: more of either would change the day; ``T+D``: only both together.
    """
    if change.left_out.found:
        return MORE if change.left_out.found > 0 else LESS
    if change.trips.found:
        return FEWER if change.trips.found > 0 else EXTRA
    if limit is None:
        return SAME
    return " ".join(_letters(one) for one in limit.limits) or WORK_ITSELF


def _letters(limit: Resources) -> str:
    return "+".join(LETTERS[one] for one in limit)


def use_lines(comparison: Comparison) -> Iterator[UseLine]:
    """Every trailer of every variant."""
    for variant in comparison.history.variants:
        days = comparison.days_of(variant.name)
        names = dict.fromkeys(use.trailer for day in days for use in day.use)
        for name in names:
            uses = [use for day in days for use in day.use if use.trailer == name]
            yield UseLine(
                variant.name,
                name,
                len(days),
                sum(use.trips > 0 for use in uses),
                sum(use.out_min for use in uses),
                sum(use.trips for use in uses),
                sum(use.weight_lb for use in uses),
            )
