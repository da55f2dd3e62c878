"""The price of a whole bid: every phase in and out, every trip, every line, adding up to the cent."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from dispatch.errors import HauldayError
from dispatch.mobilisation.bid import Bid, Direction, Machine, machines
from dispatch.mobilisation.bid_terms import BidTerms
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
from dispatch.mobilisation.trip_price import with_bid_costs
from dispatch.money.allocation import Rider
from dispatch.money.lines import BidItem, BidPrice, PricedTrip, UnitPrice, Way, price_bid, unit_prices
from dispatch.money.mark_ups import PriceRules, price_rules
from dispatch.money.outside_haul import OutsidePrice
from dispatch.money.price_check import price_faults
from dispatch.money.trip_cost import standby_cents
from dispatch.problem import Problem


class PriceRefused(HauldayError):
    """The price does not agree with itself when it is reckoned once more: a bug, and nothing may be written."""


@dataclass(frozen=True, slots=True)
class PricedBid:
    """A bid with its price. ``fleet`` has the hourly and mileage costs of the bid."""

    bid: Bid
    fleet: Problem
    terms: BidTerms
    machines: tuple[Machine, ...]
    jobs: tuple[PricedJob, ...]
    trips: tuple[BidTrip, ...]
    price: BidPrice
    units: tuple[UnitPrice, ...]

    @property
    def proved(self) -> bool:
        """Whether the trips of every phase are proved the fewest."""
        return all(job.proved for job in self.jobs)


def jobs_of(bid: Bid) -> tuple[Job, ...]:
    """The phases in order, each in and then out; a phase whose machines all stay has no way out."""
    everyone = machines(bid)
    found = []
    for phase in bid.phases:
        for direction in Direction:
            going = tuple(one for one in everyone if one.line.phase == phase and one.goes(direction))
            if going:
                found.append(Job(phase, direction, going))
    return tuple(found)


def fleet_of(problem: Problem, terms: BidTerms) -> Problem:
    """The fleet with what an hour and a mile cost in this bid."""
    rigs = []
    for rig in problem.rigs:
        hour, mile = with_bid_costs(rig, terms)
        rigs.append(replace(rig, cost_per_hour_usd=hour, cost_per_mile_usd=mile))
    return replace(problem, rigs=tuple(rigs))


def price_whole_bid(
    problem: Problem, bid: Bid, terms: BidTerms, effort: Effort, runner: TaskRunner = run_tasks_here
) -> PricedBid:
    """Plans and prices every phase. Raises PlanRefused and KeyError as ``price_job`` does."""
    fleet = fleet_of(problem, terms)
    return put_together(fleet, bid, terms, runner([PriceTask(fleet, job, terms, effort) for job in jobs_of(bid)]))


def put_together(fleet: Problem, bid: Bid, terms: BidTerms, jobs: Sequence[PricedJob]) -> PricedBid:
    """The bid's price from its priced jobs; trips are numbered in their order.

    Raises PriceRefused when the price, reckoned once more by other code, does not agree.
    """
    trips = tuple(
        replace(trip, number=number)
        for number, trip in enumerate((trip for job in jobs for trip in job.trips), start=1)
    )
    everyone = machines(bid)
    items = [bid_item(machine, terms) for machine in everyone]
    gaps = [gap for job in jobs for gap in job.not_priced]
    hauled, rules = priced_trips(trips), rules_of(terms)
    price = price_bid(items, hauled, terms.rules.share_rule, rules, gaps)
    faults = price_faults(price, items, hauled, terms.rules.share_rule, rules)
    if faults:
        raise PriceRefused("; ".join(faults))
    units = unit_prices(price.lines, terms.rules.unit_step_cents)
    return PricedBid(bid, fleet, terms, everyone, tuple(jobs), trips, price, units)


def rules_of(terms: BidTerms) -> PriceRules:
    """From the direct cost to the price, by the rates and the settings."""
    return price_rules(terms.rates, terms.rules.price_step_cents)


def bid_item(machine: Machine, terms: BidTerms) -> BidItem:
    """The machine as a line of the price, with what its standby costs."""
    line = machine.line
    return BidItem(machine.name, line.phase, line.number, standby_cents(terms.rates, line.standby_days))


def priced_trips(trips: Iterable[BidTrip]) -> tuple[PricedTrip, ...]:
    """The trips that have a price, with the costs that their machines share."""
    return tuple(_priced_trip(trip) for trip in trips if trip.haulier is not Haulier.NOBODY)


def _priced_trip(trip: BidTrip) -> PricedTrip:
    riders = tuple(Rider(one.machine, one.weight_lb, one.tenths, one.length_in) for one in trip.carried)
    costs = (trip.cents, 0, 0, 0)
    if trip.haulier is Haulier.OWN and trip.own is not None:
        own = trip.own
        costs = (own.cost.haul_cents, own.cost.load_cents, own.permit_cents, own.escort_cents)
    elif not isinstance(trip.offer, OutsidePrice):
        raise ValueError(f"trip {trip.number} has no price")
    return PricedTrip(f"trip {trip.number}", Way(trip.direction.value), *costs, riders)
