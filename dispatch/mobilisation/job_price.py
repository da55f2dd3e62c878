"""A phase one way with its price: each trip by the own rigs or an outside haulier, whichever costs less.

A trip is offered to the outside haulier when he asks less than it costs with the own rig as planned. What remains
is planned anew, since the own rigs then drive other ways, and the offer stands only if the whole gets cheaper. He
is asked too where a trip's absence spares the rig's other trips more overtime than he asks beyond its own cost; a
trip that was given for its overtime comes back where the rigs have less to do. Where both cost the same the own
rig drives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from dispatch.explain import LeftOut
from dispatch.mobilisation.bid import Direction, Machine
from dispatch.mobilisation.bid_moves import moves_of
from dispatch.mobilisation.bid_terms import BidTerms
from dispatch.mobilisation.phase_plan import Effort, PhasePlan, plan_phase
from dispatch.mobilisation.trip_facts import Carried, TripFacts, trip_facts
from dispatch.mobilisation.trip_price import OwnPrice, outside_offer, own_price
from dispatch.money.amounts import exact, usd_text
from dispatch.money.lines import NotPriced, Way
from dispatch.money.outside_haul import NoOutsidePrice, OutsidePrice, outside_price
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.units import MIN_PER_H


class Haulier(StrEnum):
    """Who makes a trip."""

    OWN = "own"
    OUTSIDE = "outside"
    NOBODY = "not priced"


@dataclass(frozen=True, slots=True)
class Job:
    """Machines of one phase that go one way together."""

    phase: str
    direction: Direction
    machines: tuple[Machine, ...]


@dataclass(frozen=True, slots=True)
class BidTrip:
    """One trip of a bid. ``facts`` and ``own``: how the own rigs would make it, ``None`` where no rig can.

    ``reason``: why this haulier, or why the trip has no price.
    """

    phase: str
    direction: Direction
    haulier: Haulier
    carried: tuple[Carried, ...]
    origin: str
    destination: str
    facts: TripFacts | None
    own: OwnPrice | None
    offer: OutsidePrice | NoOutsidePrice
    reason: str
    number: int = 0

    @property
    def cents(self) -> int:
        """What the trip costs, whole cents; 0 for one that has no price."""
        if self.haulier is Haulier.OUTSIDE and isinstance(self.offer, OutsidePrice):
            return self.offer.cents
        return self.own.cents if self.haulier is Haulier.OWN and self.own is not None else 0

    @property
    def machines(self) -> tuple[str, ...]:
        """What is carried, in load order."""
        return tuple(one.machine for one in self.carried)

    @property
    def loaded_tenths(self) -> int:
        """Loaded road, tenths of a mile."""
        return self.facts.loaded_tenths if self.facts else self.carried[0].tenths


@dataclass(frozen=True, slots=True)
class PricedJob:
    """A job with its trips. ``first``: the plan with the own rigs alone; ``own``: what they drive in the end."""

    job: Job
    first: PhasePlan
    own: PhasePlan
    trips: tuple[BidTrip, ...]

    @property
    def not_priced(self) -> tuple[NotPriced, ...]:
        """The machines of trips without a price."""
        way = Way(self.job.direction.value)
        bad = (trip for trip in self.trips if trip.haulier is Haulier.NOBODY)
        return tuple(NotPriced(machine, way, trip.reason) for trip in bad for machine in trip.machines)

    @property
    def cents(self) -> int:
        """What all trips cost that have a price."""
        return sum(trip.cents for trip in self.trips)

    @property
    def score(self) -> tuple[int, int]:
        """Fewer machines without a price first, then fewer cents."""
        return len(self.not_priced), self.cents

    @property
    def cut(self) -> bool:
        """Whether a time limit cut a search short: a longer one may do better."""
        return self.first.cut or self.own.cut

    @property
    def shared_trips(self) -> int:
        """Trips that carry what the own rigs can carry: those of which a fewest is claimed."""
        return sum(1 for trip in self.trips if trip.facts is not None)

    @property
    def claim(self) -> str:
        """What is proved of the number of trips, in words."""
        if self.shared_trips == self.first.trips:
            return self.first.claim
        return f"fewest not proved; not below {self.first.floor}" if self.first.floor else "fewest not proved"

    @property
    def proved(self) -> bool:
        """Whether no plan, over any number of days, has fewer trips."""
        return self.shared_trips == self.first.floor


@dataclass(frozen=True, slots=True)
class PriceTask:
    """A job to be priced: a piece of work that any process can do, a pure function of its fields."""

    fleet: Problem
    job: Job
    terms: BidTerms
    effort: Effort


TaskRunner = Callable[[Sequence[PriceTask]], Sequence[PricedJob]]
"""Prices jobs, in any order and place, and gives them in the order of the tasks."""


def run_task(task: PriceTask) -> PricedJob:
    """The priced job. Raises PlanRefused and KeyError as ``price_job`` does."""
    return price_job(task.fleet, task.job, task.terms, task.effort)


def run_tasks_here(tasks: Sequence[PriceTask]) -> tuple[PricedJob, ...]:
    """Prices the jobs one after another in this process."""
    return tuple(run_task(task) for task in tasks)


def price_job(fleet: Problem, job: Job, terms: BidTerms, effort: Effort) -> PricedJob:
    """Plans and prices a job. Raises PlanRefused and KeyError as ``plan_phase`` and ``own_price`` do."""
    first = _planned(fleet, job, job.machines, effort)
    best = _priced(fleet, job, first, first, (), terms)
    while True:
        better = next(_cheaper(fleet, best, terms, effort), None)
        if better is None:
            return best
        best = better


def _planned(fleet: Problem, job: Job, machines: Sequence[Machine], effort: Effort) -> PhasePlan:
    return plan_phase(fleet, job.phase, job.direction, machines, effort)


def _cheaper(fleet: Problem, best: PricedJob, terms: BidTerms, effort: Effort) -> Iterator[PricedJob]:
    """The job with other trips outside than now, where that is cheaper."""
    for outside in _outside_tries(best):
        given = {machine for trip in outside for machine in trip.machines}
        rest = [machine for machine in best.job.machines if machine.name not in given]
        found = _priced(fleet, best.job, best.first, _planned(fleet, best.job, rest, effort), outside, terms)
        if found.score < best.score:
            yield found


def _outside_tries(best: PricedJob) -> Iterator[list[BidTrip]]:
    """What may be outside: more than now (all that is offered for less, or one trip), or one trip less."""
    kept = [trip for trip in best.trips if trip.haulier is Haulier.OUTSIDE and trip.facts is not None]
    own = [trip for trip in best.trips if trip.haulier is not Haulier.OUTSIDE]
    asked = [trip for trip in own if _asks_less(trip)]
    late = [trip for trip in own if not _asks_less(trip) and _asks_less(trip, _others_overtime(trip, own))]
    singles = sorted([*asked, *late], key=lambda trip: -_saving(trip))
    for group in [asked] * (len(asked) > 1) + [[trip] for trip in singles]:
        yield [*kept, *(_given(trip) for trip in group)]
    # What was dear for its overtime may come back when the rigs have less to do.
    for back in kept:
        if not _asks_less(back, -_overtime_cents(back)):
            yield [trip for trip in kept if trip is not back]


def _asks_less(trip: BidTrip, spared_cents: Fraction = Fraction(0)) -> bool:
    """Whether he asks less than the own trip costs, and what its absence spares the other trips."""
    if trip.own is None or not isinstance(trip.offer, OutsidePrice):
        return False
    return bool(trip.own.faults) or trip.offer.cents < trip.own.cents + spared_cents


def _others_overtime(trip: BidTrip, trips: Sequence[BidTrip]) -> Fraction:
    """What overtime adds to the other trips of the rig's day, cents: without this trip there may be none."""
    return sum(
        (_overtime_cents(other) for other in trips if other is not trip and _same_day(trip, other)), Fraction(0)
    )


def _same_day(one: BidTrip, other: BidTrip) -> bool:
    if one.facts is None or other.facts is None or other.haulier is Haulier.OUTSIDE:
        return False
    return (one.facts.rig.name, one.facts.day) == (other.facts.rig.name, other.facts.day)


def _overtime_cents(trip: BidTrip) -> Fraction:
    if trip.own is None or trip.facts is None:
        return Fraction(0)
    extra = exact(trip.facts.rig.overtime_factor) - 1
    return trip.own.rates.hour_cents * trip.facts.overtime_min * extra / MIN_PER_H


def _saving(trip: BidTrip) -> int:
    if trip.own is None or not isinstance(trip.offer, OutsidePrice):
        return 0
    return trip.own.cents - trip.offer.cents


def _given(trip: BidTrip) -> BidTrip:
    """The trip as the outside haulier makes it."""
    if trip.own is None or not isinstance(trip.offer, OutsidePrice):
        raise ValueError(f"trip {trip.machines} has no offer")
    words = f"cheaper than the own rig by {usd_text(_saving(trip))} USD"
    if _saving(trip) <= 0:
        words = f"{usd_text(-_saving(trip))} USD dearer than the own rig, and spares its day more in overtime"
    if trip.own.faults:
        words = "the own rig cannot be priced: " + "; ".join(trip.own.faults)
    return BidTrip(
        trip.phase,
        trip.direction,
        Haulier.OUTSIDE,
        trip.carried,
        trip.origin,
        trip.destination,
        trip.facts,
        trip.own,
        trip.offer,
        words,
    )


def _priced(
    fleet: Problem, job: Job, first: PhasePlan, own: PhasePlan, outside: Sequence[BidTrip], terms: BidTerms
) -> PricedJob:
    """The job with these trips outside and the planned ones by the own rigs."""
    trips = [_own_trip(job, facts, terms) for facts in trip_facts(fleet, own, 1)]
    alone = [_alone(fleet, job, left, terms) for left in own.unhauled]
    return PricedJob(job, first, own, (*trips, *outside, *alone))


def _own_trip(job: Job, facts: TripFacts, terms: BidTerms) -> BidTrip:
    own, offer = own_price(facts, terms), outside_offer(facts, terms)
    ends = (facts.origin, facts.destination)
    if own.faults:
        words = "; ".join(own.faults)
        if isinstance(offer, NoOutsidePrice):
            words += f"; outside: {offer.reason}"
        return BidTrip(job.phase, job.direction, Haulier.NOBODY, facts.carried, *ends, facts, own, offer, words)
    words = _why_own(own, offer)
    return BidTrip(job.phase, job.direction, Haulier.OWN, facts.carried, *ends, facts, own, offer, words)


def _why_own(own: OwnPrice, offer: OutsidePrice | NoOutsidePrice) -> str:
    if isinstance(offer, NoOutsidePrice):
        return f"no outside price: {offer.reason}"
    more = offer.cents - own.cents
    if more > 0:
        return f"cheaper than outside by {usd_text(more)} USD"
    return "costs the same as outside" if more == 0 else "outside the whole phase would not be cheaper"


def _alone(fleet: Problem, job: Job, left: LeftOut, terms: BidTerms) -> BidTrip:
    """A machine that no own rig hauls: outside by itself, where the table has a row for it."""
    machine = next(one for one in job.machines if one.name == left.move)
    move = moves_of([machine], job.direction, fleet)[0]
    travel = Travel(fleet.sites, fleet.roads, fleet.settings)
    tenths, weight = travel.tenths(move.origin, move.destination), machine.line.item.weight
    carried = (Carried(machine.name, weight.nominal_lb, weight.high_lb, machine.line.item.length_in, tenths),)
    offer = outside_price(terms.outside, weight.high_lb, tenths)
    words = f"no own rig hauls it: {why_unhauled(left)}"
    haulier = Haulier.OUTSIDE
    if isinstance(offer, NoOutsidePrice):
        words, haulier = f"{words}; outside: {offer.reason}", Haulier.NOBODY
    ends = (move.origin, move.destination)
    return BidTrip(job.phase, job.direction, haulier, carried, *ends, None, None, offer, words)


def why_unhauled(left: LeftOut) -> str:
    """Every rig's reason, and what would change it, in one line."""
    reasons = "; ".join(f"{reason.rig}: {reason.text}" for reason in left.reasons) or "no rig"
    return f"{reasons}. Would change it: {left.change}" if left.change else reasons
