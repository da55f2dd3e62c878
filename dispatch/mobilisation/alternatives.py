"""What the price would be if the bid were hauled otherwise: without a rig, phases split or joined, a trip more.

Each alternative is planned and priced like the bid itself; only the phases that it touches are planned anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from dispatch.mobilisation.bid import Direction
from dispatch.mobilisation.bid_price import PricedBid, put_together
from dispatch.mobilisation.bid_terms import BidTerms
from dispatch.mobilisation.job_price import BidTrip, Haulier, Job, PricedJob, price_job
from dispatch.mobilisation.phase_plan import Effort
from dispatch.problem import Problem


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way to haul the bid: its price in cents, trips, machines without a price, and a remark.

    ``price_cents`` is ``None`` where there is no such way, or where something of it cannot be priced.
    """

    name: str
    price_cents: int | None
    trips: int | None
    not_priced: int
    remark: str


Pricer = Callable[[Problem, Job, BidTerms, Effort], PricedJob]


def alternatives(priced: PricedBid, effort: Effort, pricer: Pricer = price_job) -> tuple[Alternative, ...]:
    """Every alternative, in the order of the sheet; ``pricer`` prices a job."""
    made = Maker(priced, effort, pricer)
    return (
        *made.without_each_rig(),
        *made.split_phases(),
        *made.joined_phases(),
        *made.one_trip_more(),
        made.one_trip_fewer(),
        made.cheapest(),
        *made.own_rigs_only(),
    )


@dataclass(frozen=True, slots=True)
class Maker:
    """Makes alternatives of one priced bid."""

    priced: PricedBid
    effort: Effort
    pricer: Pricer

    def without_each_rig(self) -> Iterator[Alternative]:
        """The bid without one of the rigs that it uses, where another is left."""
        fleet = self.priced.fleet
        used = {trip.facts.rig.name for trip in own_trips(self.priced.trips) if trip.facts}
        for rig in fleet.rigs:
            if rig.name not in used or len(fleet.rigs) < 2:
                continue
            less = replace(fleet, rigs=tuple(one for one in fleet.rigs if one.name != rig.name))
            jobs = [
                self.pricer(less, job.job, self.priced.terms, self.effort) if _uses(job, rig.name) else job
                for job in self.priced.jobs
            ]
            yield self._told(f"Without rig {rig.name}", jobs, "its trips by the other rigs, or outside")

    def split_phases(self) -> Iterator[Alternative]:
        """Each phase in two halves that move on their own, by the order of the rows."""
        for phase in self.priced.bid.phases:
            everyone = [one for one in self.priced.machines if one.line.phase == phase]
            if len(everyone) < 2:
                continue
            first = everyone[: (len(everyone) + 1) // 2]
            names = {one.name for one in first}
            jobs = [
                part
                for job in self.priced.jobs
                for part in ([job] if job.job.phase != phase else self._parted(job.job, names))
            ]
            remark = f"{len(first)} machines first, {len(everyone) - len(first)} later, by the order of the rows"
            yield self._told(f"Phase {phase} split in two", jobs, remark)

    def joined_phases(self) -> Iterator[Alternative]:
        """Each two phases that follow each other, hauled as one."""
        phases = self.priced.bid.phases
        for first, second in pairwise(phases):
            kept = [job for job in self.priced.jobs if job.job.phase not in (first, second)]
            joined = []
            for direction in Direction:
                going = [
                    job.job.machines
                    for job in self.priced.jobs
                    if job.job.phase in (first, second) and job.job.direction is direction
                ]
                if going:
                    together = tuple(machine for machines in going for machine in machines)
                    joined.append(self._price(Job(f"{first} + {second}", direction, together)))
            yield self._told(f"Phases {first} and {second} as one", [*kept, *joined], "if their days allow it")

    def one_trip_more(self) -> Iterator[Alternative]:
        """The dearest shared trip with its heaviest machine on a trip of its own."""
        shared = [trip for trip in own_trips(self.priced.trips) if len(trip.carried) > 1]
        if not shared:
            remark = "no trip carries more than one machine"
            yield Alternative("One trip more", None, None, 0, remark)
            return
        dearest = max(shared, key=lambda trip: (trip.cents, -trip.number))
        heaviest = max(dearest.carried, key=lambda one: one.weight_lb).machine
        jobs: list[PricedJob] = []
        for job in self.priced.jobs:
            own = job.job.phase == dearest.phase and job.job.direction is dearest.direction
            jobs += self._parted(job.job, {heaviest}, set(dearest.machines) - {heaviest}) if own else [job]
        remark = f"{heaviest} alone, not on trip {dearest.number}"
        yield self._told("One trip more", jobs, remark)

    def one_trip_fewer(self) -> Alternative:
        """Whether there is a plan with a trip less."""
        open_jobs = [job for job in self.priced.jobs if not job.proved and job.shared_trips]
        if not open_jobs:
            remark = "none: no plan has fewer trips, over any number of days (proved)"
            return Alternative("One trip fewer", None, None, 0, remark)
        words = "; ".join(f"phase {job.job.phase} {job.job.direction}: {job.claim}" for job in open_jobs)
        return Alternative("One trip fewer", None, None, 0, f"none found: {words}")

    def cheapest(self) -> Alternative:
        """The least cost whatever the number of trips."""
        effort = replace(self.effort, cost_first=True)
        jobs = []
        for job in self.priced.jobs:
            found = self.pricer(self.priced.fleet, job.job, self.priced.terms, effort)
            jobs.append(min(job, found, key=lambda one: one.score))
        return self._told("Least cost, however many trips", jobs, "fewest trips are not always cheapest")

    def own_rigs_only(self) -> Iterator[Alternative]:
        """The bid without the outside haulier, where he hauls anything."""
        if not any(trip.haulier is Haulier.OUTSIDE for trip in self.priced.trips):
            return
        terms = replace(self.priced.terms, outside=())
        jobs = [
            self.pricer(self.priced.fleet, job.job, terms, self.effort)
            if any(trip.haulier is Haulier.OUTSIDE for trip in job.trips)
            else job
            for job in self.priced.jobs
        ]
        yield self._told("Own rigs only", jobs, "nothing by an outside haulier")

    def _price(self, job: Job) -> PricedJob:
        return self.pricer(self.priced.fleet, job, self.priced.terms, self.effort)

    def _parted(self, job: Job, *names: set[str]) -> list[PricedJob]:
        """The job's machines of each set of names, and all others, each part planned on its own."""
        rest = {one.name for one in job.machines}.difference(*names)
        parts = [tuple(one for one in job.machines if one.name in part) for part in (*names, rest)]
        return [self._price(replace(job, machines=part)) for part in parts if part]

    def _told(self, name: str, jobs: Sequence[PricedJob], remark: str) -> Alternative:
        other = put_together(self.priced.fleet, self.priced.bid, self.priced.terms, jobs)
        gaps = other.price.not_priced
        if gaps:
            left = ", ".join(dict.fromkeys(f"{gap.item} {gap.way}" for gap in gaps))
            remark = f"cannot be priced: {left}"
        cents = None if gaps else other.price.price_cents
        return Alternative(name, cents, len(other.trips), len(gaps), remark)


def own_trips(trips: Sequence[BidTrip]) -> list[BidTrip]:
    """The trips of the own rigs."""
    return [trip for trip in trips if trip.haulier is Haulier.OWN]


def _uses(job: PricedJob, rig: str) -> bool:
    return any(trip.facts is not None and trip.facts.rig.name == rig for trip in job.trips)
