"""What a planned trip costs with the own rigs, part by part, and what an outside haulier asks for it."""

from __future__ import annotations

from dataclasses import dataclass

from dispatch.fleet import Rig
from dispatch.mobilisation.bid_terms import BidTerms
from dispatch.mobilisation.trip_facts import TripFacts
from dispatch.money.escorts import escorts
from dispatch.money.fee_bands import PermitLoad
from dispatch.money.outside_haul import NoOutsidePrice, OutsidePrice, outside_price
from dispatch.money.permits import NoPermitFee, permit_fee
from dispatch.money.rate_table import Rate
from dispatch.money.trip_cost import HaulCosts, TripCost, TripWork, haul_costs, trip_cost


@dataclass(frozen=True, slots=True)
class OwnPrice:
    """A trip of the own rigs, whole cents, with workings for the page.

    ``faults``: why it cannot be priced in full (a permit without a fee, an escort without a price); then ``cents``
    is what the rest costs and no price. ``cautions``: what an estimator should know.
    """

    cost: TripCost
    rates: HaulCosts
    permit_cents: int
    escort_cents: int
    workings: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def cents(self) -> int:
        """The whole trip."""
        return self.cost.cents + self.permit_cents + self.escort_cents


def own_price(facts: TripFacts, terms: BidTerms) -> OwnPrice:
    """What the trip costs with its own rig. Raises KeyError when a rate is missing (see ``missing_rates``)."""
    rates = haul_costs(terms.rates, facts.rig.cost_per_hour_usd, facts.rig.cost_per_mile_usd)
    load = permit_load(facts)
    permits, words, faults, cautions = _permits(facts, terms, load)
    guards = escorts(terms.escorts, load, facts.loaded_min)
    words += [f"{one.escort}: {one.why}: {one.working}" for one in guards.costs]
    faults += [f"{row.escort} names no price" for row in guards.unpriced]
    return OwnPrice(
        cost=trip_cost(terms.rates, rates, trip_work(facts, terms)),
        rates=rates,
        permit_cents=permits,
        escort_cents=guards.cents,
        workings=tuple(words),
        faults=tuple(faults),
        cautions=tuple(cautions),
    )


def trip_work(facts: TripFacts, terms: BidTerms) -> TripWork:
    """The trip's time and miles as the rates price them.

    With a rate for waiting, planned waiting is charged by it (free minutes first); without one it is paid time
    like any other minute of the rig.
    """
    by_rate = terms.rates.has(Rate.WAITING)
    return TripWork(
        road_min=facts.road_min + (0 if by_rate else sum(facts.waits_min)),
        site_min=facts.work_min,
        tenths=facts.tenths,
        overtime_min=facts.overtime_min,
        overtime_factor=facts.rig.overtime_factor,
        waits_min=facts.waits_min if by_rate else (),
        per_trip_usd=facts.rig.cost_per_trip_usd,
    )


def permit_load(facts: TripFacts) -> PermitLoad:
    """The loaded rig as a permit office looks at it."""
    return PermitLoad(
        gross_lb=facts.gross_lb,
        axles=facts.axles,
        tenths=facts.loaded_tenths,
        width_in=facts.width_in,
        height_in=facts.height_in,
        length_in=facts.length_in,
        groups=facts.groups,
    )


def _permits(facts: TripFacts, terms: BidTerms, load: PermitLoad) -> tuple[int, list[str], list[str], list[str]]:
    """Cents, workings, faults and cautions of the trip's permits; one that is not needed is not charged."""
    if not facts.over_law:
        unused = [
            f"permit {name} is not charged: the load is within the law on {facts.rig.name}"
            for name in facts.permits
        ]
        return 0, [], [], unused
    cents, words, faults = 0, [], []
    for name in facts.permits:
        fee = permit_fee(terms.fees, name, load)
        if isinstance(fee, NoPermitFee):
            faults.append(fee.reason)
            continue
        cents += fee.cents
        words += [f"permit {name}: {part.working}" for part in fee.parts]
    return cents, words, faults, []


def permit_cents(facts: TripFacts, terms: BidTerms) -> int:
    """What the trip's permits cost, whole cents; those without a fee are left out."""
    return _permits(facts, terms, permit_load(facts))[0]


def outside_offer(facts: TripFacts, terms: BidTerms) -> OutsidePrice | NoOutsidePrice:
    """What the outside haulier asks for the trip's load over its loaded road."""
    return outside_price(terms.outside, facts.load_high_lb, facts.loaded_tenths)


def with_bid_costs(rig: Rig, terms: BidTerms) -> tuple[float, float]:
    """What an hour and a mile of the rig cost in this bid, dollars, for the planner's choice between plans."""
    costs = haul_costs(terms.rates, rig.cost_per_hour_usd, rig.cost_per_mile_usd)
    return round(float(costs.hour_cents) / 100, 4), round(float(costs.mile_cents) / 100, 4)
