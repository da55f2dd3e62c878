"""What the price would be if the bid were hauled otherwise: without a rig, phases split or joined, a trip more.

Each alternative is planned and priced like the bid itself; only the phases that it touches are planned anew. First
every alternative is put together from what is priced and what is still to be priced; then all the work is done at
once, in whatever order and place; then the alternatives are told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from dispatch.mobilisation.bid import Direction
from dispatch.mobilisation.bid_price import PricedBid, put_together
from dispatch.mobilisation.job_price import (
    BidTrip,
    Haulier,
    Job,
    PricedJob,
    PriceTask,
    TaskRunner,
    run_tasks_here,
)
from dispatch.mobilisation.phase_plan import Effort

CUT_REMARK = "the search was cut short by its time limit: a longer one may find less"
Part = PricedJob | PriceTask


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


@dataclass(frozen=True, slots=True)
class Draft:
    """An alternative before its work is done. Without parts there is no such way, and the remark says why.

    ``or_own``: a part that turns out dearer than the bid's own job of the same place gives way to it.
    """

    name: str
    parts: tuple[Part, ...]
    remark: str
    or_own: bool = False


def alternatives(
    priced: PricedBid, effort: Effort, runner: TaskRunner = run_tasks_here
) -> tuple[Alternative, ...]:
    """Every alternative, in the order of the sheet; ``runner`` does the work."""
    drafts = tuple(Maker(priced, effort).drafts())
    tasks = [part for draft in drafts for part in draft.parts if isinstance(part, PriceTask)]
    done = iter(runner(tasks))
    jobs = [[next(done) if isinstance(part, PriceTask) else part for part in draft.parts] for draft in drafts]
    return tuple(_told(priced, draft, own) for draft, own in zip(drafts, jobs, strict=True))


@dataclass(frozen=True, slots=True)
class Maker:
    """Puts alternatives of one priced bid together."""

    priced: PricedBid
    effort: Effort

    def drafts(self) -> Iterator[Draft]:
        """Every alternative, in the order of the sheet."""
        yield from self.without_each_rig()
        yield from self.split_phases()
        yield from self.joined_phases()
        yield self.one_trip_more()
        yield self.one_trip_fewer()
        yield self.cheapest()
        yield from self.own_rigs_only()

    def without_each_rig(self) -> Iterator[Draft]:
        """The bid without one of the rigs that it uses, where another is left."""
        fleet = self.priced.fleet
        used = {trip.facts.rig.name for trip in own_trips(self.priced.trips) if trip.facts}
        for rig in fleet.rigs:
            if rig.name not in used or len(fleet.rigs) < 2:
                continue
            less = replace(fleet, rigs=tuple(one for one in fleet.rigs if one.name != rig.name))
            parts = [
                PriceTask(less, job.job, self.priced.terms, self.effort) if _uses(job, rig.name) else job
                for job in self.priced.jobs
            ]
            yield Draft(f"Without rig {rig.name}", tuple(parts), "its trips by the other rigs, or outside")

    def split_phases(self) -> Iterator[Draft]:
        """Each phase in two halves that move on their own, by the order of the rows."""
        for phase in self.priced.bid.phases:
            everyone = [one for one in self.priced.machines if one.line.phase == phase]
            if len(everyone) < 2:
                continue
            first = everyone[: (len(everyone) + 1) // 2]
            names = {one.name for one in first}
            parts = [
                part
                for job in self.priced.jobs
                for part in ([job] if job.job.phase != phase else self._parted(job.job, names))
            ]
            remark = f"{len(first)} machines first, {len(everyone) - len(first)} later, by the order of the rows"
            yield Draft(f"Phase {phase} split in two", tuple(parts), remark)

    def joined_phases(self) -> Iterator[Draft]:
        """Each two phases that follow each other, hauled as one."""
        for both in pairwise(self.priced.bid.phases):
            parts: list[Part] = [job for job in self.priced.jobs if job.job.phase not in both]
            for direction in Direction:
                going = [
                    machine
                    for job in self.priced.jobs
                    if job.job.phase in both and job.job.direction is direction
                    for machine in job.job.machines
                ]
                if going:
                    parts.append(self._task(Job(" + ".join(both), direction, tuple(going))))
            yield Draft(f"Phases {both[0]} and {both[1]} as one", tuple(parts), "if their days allow it")

    def one_trip_more(self) -> Draft:
        """The dearest shared trip with its heaviest machine on a trip of its own."""
        name = "One trip more"
        shared = [trip for trip in own_trips(self.priced.trips) if len(trip.carried) > 1]
        if not shared:
            return Draft(name, (), "no own trip carries more than one machine")
        dearest = max(shared, key=lambda trip: (trip.cents, -trip.number))
        heaviest = max(dearest.carried, key=lambda one: one.weight_lb).machine
        parts: list[Part] = []
        for job in self.priced.jobs:
            own = job.job.phase == dearest.phase and job.job.direction is dearest.direction
            parts += self._parted(job.job, {heaviest}, set(dearest.machines) - {heaviest}) if own else [job]
        return Draft(name, tuple(parts), f"{heaviest} alone, not on trip {dearest.number}")

    def one_trip_fewer(self) -> Draft:
        """Whether there is a plan with a trip less."""
        open_jobs = [job for job in self.priced.jobs if not job.proved and job.shared_trips]
        words = "; ".join(f"phase {job.job.phase} {job.job.direction}: {job.claim}" for job in open_jobs)
        remark = f"none found: {words}" if words else "none: no plan has fewer, over any number of days (proved)"
        return Draft("One trip fewer", (), remark)

    def cheapest(self) -> Draft:
        """The least cost whatever the number of trips."""
        effort = replace(self.effort, cost_first=True)
        parts = [PriceTask(self.priced.fleet, job.job, self.priced.terms, effort) for job in self.priced.jobs]
        remark = "fewest trips are not always cheapest"
        return Draft("Least cost, however many trips", tuple(parts), remark, or_own=True)

    def own_rigs_only(self) -> Iterator[Draft]:
        """The bid without the outside haulier, where he hauls anything."""
        if not any(trip.haulier is Haulier.OUTSIDE for trip in self.priced.trips):
            return
        terms = replace(self.priced.terms, outside=())
        parts = [
            PriceTask(self.priced.fleet, job.job, terms, self.effort)
            if any(trip.haulier is Haulier.OUTSIDE for trip in job.trips)
            else job
            for job in self.priced.jobs
        ]
        yield Draft("Own rigs only", tuple(parts), "nothing by an outside haulier")

    def _task(self, job: Job) -> PriceTask:
        return PriceTask(self.priced.fleet, job, self.priced.terms, self.effort)

    def _parted(self, job: Job, *names: set[str]) -> list[Part]:
        """The job's machines of each set of names, and all others, each part planned on its own."""
        rest = {one.name for one in job.machines}.difference(*names)
        parts = [tuple(one for one in job.machines if one.name in part) for part in (*names, rest)]
        return [self._task(replace(job, machines=part)) for part in parts if part]


def _told(priced: PricedBid, draft: Draft, jobs: Sequence[PricedJob]) -> Alternative:
    if not jobs:
        return Alternative(draft.name, None, None, 0, draft.remark)
    if draft.or_own:
        jobs = [min(own, job, key=lambda one: one.score) for own, job in zip(priced.jobs, jobs, strict=True)]
    other = put_together(priced.fleet, priced.bid, priced.terms, jobs)
    gaps, remark = other.price.not_priced, draft.remark
    if gaps:
        left = ", ".join(dict.fromkeys(f"{gap.item} {gap.way}" for gap in gaps))
        remark = f"cannot be priced: {left}"
    if any(job.cut for job in jobs):
        remark += f"; {CUT_REMARK}"
    cents = None if gaps else other.price.price_cents
    return Alternative(draft.name, cents, len(other.trips), len(gaps), remark)


def own_trips(trips: Sequence[BidTrip]) -> list[BidTrip]:
    """The trips of the own rigs."""
    return [trip for trip in trips if trip.haulier is Haulier.OWN]


def _uses(job: PricedJob, rig: str) -> bool:
    return any(trip.facts is not None and trip.facts.rig.name == rig for trip in job.trips)
