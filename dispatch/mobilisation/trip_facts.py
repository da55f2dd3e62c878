"""What a price asks of each planned trip: hours, miles, sizes, weights, permits. Nothing is priced here.

An outing's empty road, ways from and to the yard included, is shared among its trips by what each would drive
empty on an outing of its own; overtime of a rig's day by the trips' paid time. Whole minutes and tenths are
shared, so the trips add up to the day.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from dispatch.checks import Check
from dispatch.fleet import Rig
from dispatch.legality import load_height_in, load_width_in, rig_length_in, stand
from dispatch.loaded_trips import LoadedTrip, loaded_trip
from dispatch.mobilisation.bid import Direction
from dispatch.mobilisation.bid_moves import rig_and_day
from dispatch.mobilisation.phase_plan import PhasePlan
from dispatch.money.amounts import split
from dispatch.money.fee_bands import AxleGroup
from dispatch.plan import Action, Outing, Trip
from dispatch.problem import Problem
from dispatch.travel import Travel


@dataclass(frozen=True, slots=True)
class Carried:
    """One machine on a trip: stated and greatest weight, pounds, length in inches, loaded tenths of a mile."""

    machine: str
    weight_lb: float
    weight_high_lb: float
    length_in: float
    tenths: int


@dataclass(frozen=True, slots=True)
class TripFacts:
    """One trip. ``number`` counts the trips of the bid from 1; ``rig`` is the fleet's, on ``day`` of the phase.

    Minutes: ``work_min`` loading and unloading, ``waits_min`` waiting, stop by stop, ``road_min`` everything else
    from leaving to returning; ``overtime_min`` of all these lie past the rig's overtime limit; ``loaded_min`` of
    ``road_min`` are spent driving loaded. ``groups``: axle groups over their limit of law. Sizes in inches and
    ``gross_lb`` are the greatest of any leg. ``over_law``: names of the checks that only the permit lifts.
    ``pairs``: the roads of its outing; ``estimated`` of them have an estimated distance.
    """

    number: int
    phase: str
    direction: Direction
    day: int
    rig: Rig
    carried: tuple[Carried, ...]
    origin: str
    destination: str
    road_min: int
    work_min: int
    waits_min: tuple[int, ...]
    overtime_min: int
    loaded_min: int
    loaded_tenths: int
    empty_tenths: int
    gross_lb: float
    axles: int
    width_in: float
    height_in: float
    length_in: float
    over_law: tuple[str, ...]
    groups: tuple[AxleGroup, ...]
    permits: tuple[str, ...]
    pairs: tuple[tuple[str, str], ...]
    estimated: tuple[tuple[str, str], ...]
    loaded: LoadedTrip

    @property
    def machines(self) -> tuple[str, ...]:
        """What is carried, in load order."""
        return tuple(one.machine for one in self.carried)

    @property
    def paid_min(self) -> int:
        """Paid minutes of the trip."""
        return self.road_min + self.work_min + sum(self.waits_min)

    @property
    def tenths(self) -> int:
        """Tenths of a mile, loaded and empty."""
        return self.loaded_tenths + self.empty_tenths

    @property
    def load_high_lb(self) -> float:
        """Everything on deck at its heaviest, pounds."""
        return sum(one.weight_high_lb for one in self.carried)


@dataclass(frozen=True, slots=True)
class _Work:
    """A trip by itself: its own minutes, and the empty road of an outing that it would make alone."""

    trip: Trip
    loaded_min: int
    work_min: int
    waits_min: tuple[int, ...]
    alone_min: int
    alone_tenths: int

    @property
    def own_min(self) -> int:
        """Minutes with the load or at a stop."""
        return self.loaded_min + self.work_min + sum(self.waits_min)


@dataclass(frozen=True, slots=True)
class _Share:
    """A trip with its share of the outing's empty road, and the pairs of sites that the outing drives."""

    work: _Work
    empty_min: int
    empty_tenths: int
    pairs: tuple[tuple[str, str], ...]

    @property
    def paid_min(self) -> int:
        """Paid minutes of the trip."""
        return self.work.own_min + self.empty_min


def trip_facts(fleet: Problem, planned: PhasePlan, first: int) -> tuple[TripFacts, ...]:
    """The trips of a phase one way, numbered from ``first``, in the order of the plan's rigs and times."""
    travel = Travel(fleet.sites, fleet.roads, fleet.settings)
    found: list[TripFacts] = []
    for rig_day in planned.plan.rig_days:
        rig, day = rig_and_day(rig_day.rig, fleet)
        ends = {id(outing): rig.yard for outing in rig_day.outings} | {id(rig_day.outings[-1]): rig.end}
        shares = [
            share
            for outing in rig_day.outings
            for share in _shares(planned.problem, travel, rig, outing, ends[id(outing)])
        ]
        overtimes = split(_overtime_min(rig, shares), [share.paid_min for share in shares])
        for share, over in zip(shares, overtimes, strict=True):
            found.append(_facts(planned, travel, rig, day, share, first + len(found), over))
    return tuple(found)


def _overtime_min(rig: Rig, shares: Sequence[_Share]) -> int:
    limit = rig.overtime_after_min
    return 0 if limit is None else max(0, sum(share.paid_min for share in shares) - limit)


def _shares(problem: Problem, travel: Travel, rig: Rig, outing: Outing, end: str) -> Iterator[_Share]:
    works = [_work(problem, travel, rig, trip) for trip in outing.trips]
    ways = [(rig.yard, outing.trips[0].stops[0].site)]
    ways += [(before.stops[-1].site, after.stops[0].site) for before, after in pairwise(outing.trips)]
    ways.append((outing.trips[-1].stops[-1].site, end))
    minutes = outing.return_min - outing.leave_min - sum(work.own_min for work in works)
    tenths = sum(travel.tenths(*way) for way in ways)
    pairs = [*ways, *((a.site, b.site) for trip in outing.trips for a, b in pairwise(trip.stops))]
    driven = tuple(dict.fromkeys((a, b) for a, b in pairs if a != b))
    by_min = split(minutes, [work.alone_min for work in works])
    by_tenths = split(tenths, [work.alone_tenths for work in works])
    for work, own_min, own_tenths in zip(works, by_min, by_tenths, strict=True):
        yield _Share(work, own_min, own_tenths, driven)


def _work(problem: Problem, travel: Travel, rig: Rig, trip: Trip) -> _Work:
    waits = _waits(problem, trip)
    first, last = trip.stops[0].site, trip.stops[-1].site
    return _Work(
        trip=trip,
        loaded_min=sum(after.arrive_min - before.leave_min for before, after in pairwise(trip.stops)),
        work_min=sum(stop.leave_min - stop.arrive_min for stop in trip.stops) - sum(waits),
        waits_min=waits,
        alone_min=travel.minutes(rig.yard, first, loaded=False) + travel.minutes(last, rig.yard, loaded=False),
        alone_tenths=travel.tenths(rig.yard, first) + travel.tenths(last, rig.yard),
    )


def _facts(
    planned: PhasePlan, travel: Travel, rig: Rig, day: int, share: _Share, number: int, overtime_min: int
) -> TripFacts:
    problem, work, trip = planned.problem, share.work, share.work.trip
    loaded = loaded_trip(problem, number, trip)
    decks = [stand(problem, rig, leg.leg.on_deck) for leg in loaded.legs]
    checks = [check for leg in loaded.legs for check in leg.checks if check.waived]
    return TripFacts(
        number=number,
        phase=planned.phase,
        direction=planned.direction,
        day=day,
        rig=rig,
        carried=_carried(problem, travel, trip),
        origin=trip.stops[0].site,
        destination=trip.stops[-1].site,
        road_min=work.loaded_min + share.empty_min,
        work_min=work.work_min,
        waits_min=work.waits_min,
        overtime_min=overtime_min,
        loaded_min=work.loaded_min,
        loaded_tenths=sum(travel.tenths(leg.leg.origin, leg.leg.destination) for leg in loaded.legs),
        empty_tenths=share.empty_tenths,
        gross_lb=loaded.heaviest_gross_lb,
        axles=1 + rig.truck.rear_axles + rig.trailer.axles,
        width_in=max([rig.trailer.deck_width_in, *(load_width_in(rig, deck, None) for deck in decks)]),
        height_in=max(load_height_in(rig, deck) for deck in decks),
        length_in=max(rig_length_in(rig, deck) for deck in decks),
        over_law=tuple(dict.fromkeys(check.name for check in checks)),
        groups=_groups_over(rig, checks),
        permits=_permits(problem, trip),
        pairs=share.pairs,
        estimated=tuple(pair for pair in share.pairs if not travel.measured(*pair)),
        loaded=loaded,
    )


def _waits(problem: Problem, trip: Trip) -> tuple[int, ...]:
    """Minutes waited at each stop: from arriving to leaving, without the work there."""
    found = []
    for stop in trip.stops:
        hauls = [(task.action, problem.hauls[task.haul]) for task in stop.tasks]
        work = sum(haul.load_min if action is Action.LOAD else haul.unload_min for action, haul in hauls)
        found.append(stop.leave_min - stop.arrive_min - work - problem.sites[stop.site].extra_load_min)
    return tuple(found)


def _groups_over(rig: Rig, checks: Sequence[Check]) -> tuple[AxleGroup, ...]:
    """The truck's rear axles and the trailer's axles, each by how far stated weights are over its limit of law."""
    last_rear = 1 + rig.truck.rear_axles
    groups = ((2, last_rear), (last_rear + 1, last_rear + rig.trailer.axles))
    names = {f"Legal axles {a}-{b}" if a < b else f"Legal axle {a}": b - a + 1 for a, b in groups}
    over: dict[str, float] = {}
    for check in checks:
        if check.name in names and check.value > check.limit:
            over[check.name] = max(check.value - check.limit, over.get(check.name, 0.0))
    return tuple(AxleGroup(names[name], over_lb) for name, over_lb in over.items())


def _carried(problem: Problem, travel: Travel, trip: Trip) -> tuple[Carried, ...]:
    tenths = dict.fromkeys(trip.hauls(), 0)
    for leg in trip.legs():
        for placed in leg.on_deck:
            tenths[placed.haul] += travel.tenths(leg.origin, leg.destination)
    items = {haul: problem.hauls[haul].item for haul in trip.hauls()}
    return tuple(
        Carried(item.name, item.weight.nominal_lb, item.weight.high_lb, item.length_in, tenths[haul])
        for haul, item in items.items()
    )


def _permits(problem: Problem, trip: Trip) -> tuple[str, ...]:
    permits = [problem.hauls[haul].permit for haul in trip.hauls()]
    return tuple(dict.fromkeys(permit.text for permit in permits if permit is not None))
