"""A floor under the cost of hauling everything from one place to one other in at least so many trips."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from dispatch.costs import exact, miles_cents
from dispatch.fleet import Rig
from dispatch.planning_day import PlanningDay


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a day that is driven: minutes, and tenths of a mile."""

    minutes: int
    tenths: int


@dataclass(frozen=True, slots=True)
class Parts:
    """What a day of such trips is made of, each at its least.

    ``trip``: the loaded road, with the minutes that the sites add at both stops; ``back``: the empty road for
    another trip; ``ends``: the roads of an outing from the yard and home; ``work_min``: all loading and unloading.
    """

    trip: Stretch
    back: Stretch
    ends: Stretch
    work_min: int

    def whole(self, trips: int, outings: int) -> Stretch:
        """So many trips in so many outings."""
        backs = trips - outings
        return Stretch(
            self.work_min + trips * self.trip.minutes + outings * self.ends.minutes + backs * self.back.minutes,
            trips * self.trip.tenths + outings * self.ends.tenths + backs * self.back.tenths,
        )


def least_cents(day: PlanningDay, trips: int) -> int:
    """Cents that no plan can do without that hauls everything in so many trips, or more.

    Counted are the work, the loaded roads, and before each trip the road from the yard or back from the last
    drop, all at the lowest rates of any rig. Each rig's day is rounded to the cent, so half a cent a rig is taken
    off unless there is nothing to round.
    """
    if trips < 1:
        return 0
    parts, rigs = _parts(day), day.problem.rigs
    shift_min = max(rig.shift_end_min - rig.shift_start_min for rig in rigs)
    few = next((n for n in range(1, trips) if parts.whole(trips, n).minutes <= n * shift_min), trips)
    cents = min(_cents(rigs, parts.whole(trips, outings), trips) for outings in (few, trips))
    one_yard = len({place for rig in rigs for place in (rig.yard, rig.end)}) == 1
    whole = one_yard and all(_whole_cents(rig, parts) for rig in rigs)
    loss = Fraction(0) if whole else Fraction(len(rigs), 2)
    return max(0, math.ceil(cents - loss))


def _parts(day: PlanningDay) -> Parts:
    problem, table = day.problem, day.rules.table
    hauls = [problem.hauls[haul] for unit in day.shape.units for haul in unit.hauls]
    pickup, drop = hauls[0].origin, hauls[0].destination

    def road(a: str, b: str, *, loaded: bool = False) -> Stretch:
        minutes = table.loaded_min if loaded else table.empty_min
        i, j = table.number[a], table.number[b]
        return Stretch(int(minutes[i, j]), int(table.tenths[i, j]))

    stops_min = problem.sites[pickup].extra_load_min + problem.sites[drop].extra_load_min
    loaded = road(pickup, drop, loaded=True)
    out = [road(rig.yard, pickup) for rig in problem.rigs]
    home = [road(drop, end) for rig in problem.rigs for end in (rig.yard, rig.end)]
    return Parts(
        trip=Stretch(loaded.minutes + stops_min, loaded.tenths),
        back=road(drop, pickup),
        ends=Stretch(
            min(one.minutes for one in out) + min(one.minutes for one in home),
            min(one.tenths for one in out) + min(one.tenths for one in home),
        ),
        work_min=sum(haul.load_min + haul.unload_min for haul in hauls),
    )


def _cents(rigs: tuple[Rig, ...], whole: Stretch, trips: int) -> Fraction:
    """The least cents of so many minutes, tenths and trips, unrounded; overtime as plain time."""
    hours = min(_a_minute(rig) * min(Fraction(1), exact(rig.overtime_factor)) for rig in rigs)
    miles = min(miles_cents(rig, whole.tenths) for rig in rigs)
    return hours * whole.minutes + miles + min(100 * exact(rig.cost_per_trip_usd) for rig in rigs) * trips


def _a_minute(rig: Rig) -> Fraction:
    return 100 * exact(rig.cost_per_hour_usd) / 60


def _whole_cents(rig: Rig, parts: Parts) -> bool:
    """Whether nothing that the rig does can cost a fraction of a cent, as far as these parts go."""
    minutes = (_a_minute(rig), _a_minute(rig) * exact(rig.overtime_factor), 100 * exact(rig.cost_per_trip_usd))
    roads = (miles_cents(rig, part.tenths) for part in (parts.trip, parts.back, parts.ends))
    return all(cents.denominator == 1 for cents in (*minutes, *roads))
