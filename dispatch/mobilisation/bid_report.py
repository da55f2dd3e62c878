"""A priced bid as plain records, one kind a sheet: everything that the outputs show, nothing twice."""

from __future__ import annotations

from dataclasses import dataclass, replace

from dispatch.driver_page import DriverTrip, driver_trip
from dispatch.mobilisation.alternatives import Alternative
from dispatch.mobilisation.bid_assumptions import Assumption, assumptions
from dispatch.mobilisation.bid_price import PricedBid
from dispatch.mobilisation.bid_range import BidRange
from dispatch.mobilisation.job_price import BidTrip, Haulier
from dispatch.money.amounts import whole_cents
from dispatch.money.lines import Amounts, ItemLine, UnitPrice, Way
from dispatch.money.pay_schedule import Payment, PayRule, pay_rules, payments
from dispatch.money.share_of_contract import ContractShare, ShareGuide, share_guides, share_of_contract
from dispatch.problem import Problem
from dispatch.report import load_rows


@dataclass(frozen=True, slots=True)
class UnitRow:
    """A row of the bid: machine or kind, phase, and its unit price.

    ``gaps``: what of it has no price, as ``crane in``; then the unit price is of the rest and is none.
    """

    item: str
    phase: str
    unit: UnitPrice
    gaps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadPicture:
    """A trip of the own rigs as it is loaded, with the problem that its drawing is made from."""

    trip: BidTrip
    problem: Problem
    page: DriverTrip


@dataclass(frozen=True, slots=True)
class PaySchedule:
    """When the item is paid, and the rule; ``refused`` says why there is no schedule."""

    rule: PayRule
    payments: tuple[Payment, ...]
    refused: str


@dataclass(frozen=True, slots=True)
class GuideShare:
    """The price as a share of the contract, held against a guide."""

    guide: ShareGuide
    share: ContractShare


@dataclass(frozen=True, slots=True)
class BidReport:
    """Everything the outputs show of one bid. ``share`` is ``None`` where no contract sum is known."""

    priced: PricedBid
    units: tuple[UnitRow, ...]
    phases: tuple[tuple[str, Amounts], ...]
    pictures: tuple[LoadPicture, ...]
    assumptions: tuple[Assumption, ...]
    alternatives: tuple[Alternative, ...]
    span: BidRange
    schedule: PaySchedule
    share: GuideShare | None

    @property
    def lines(self) -> tuple[ItemLine, ...]:
        """The lines of the price."""
        return self.priced.price.lines

    def ways_without_price(self, machine: str) -> tuple[Way, ...]:
        """The ways of a machine that have no price."""
        return tuple(gap.way for gap in self.priced.price.not_priced if gap.item == machine)

    @property
    def whole(self) -> bool:
        """Whether everything could be priced."""
        return self.priced.price.whole


def bid_report(priced: PricedBid, others: tuple[Alternative, ...], span: BidRange) -> BidReport:
    """All rows of all sheets."""
    return BidReport(
        priced=priced,
        units=_units(priced),
        phases=tuple(priced.price.phases().items()),
        pictures=tuple(_pictures(priced)),
        assumptions=assumptions(priced),
        alternatives=others,
        span=span,
        schedule=_schedule(priced),
        share=_share(priced),
    )


def _units(priced: PricedBid) -> tuple[UnitRow, ...]:
    by_line = {line.number: line for line in priced.bid.lines}
    row_of = {machine.name: machine.line.number for machine in priced.machines}
    gaps: dict[int, list[str]] = {}
    for gap in priced.price.not_priced:
        gaps.setdefault(row_of[gap.item], []).append(f"{gap.item} {gap.way.value}")
    return tuple(
        UnitRow(by_line[unit.line].item.name, by_line[unit.line].phase, unit, tuple(gaps.get(unit.line, ())))
        for unit in priced.units
    )


def _pictures(priced: PricedBid) -> list[LoadPicture]:
    found = []
    problems = {(job.job.phase, job.job.direction): job.own.problem for job in priced.jobs}
    for trip in priced.trips:
        if trip.haulier is Haulier.OWN and trip.facts is not None:
            problem = problems[trip.phase, trip.direction]
            loaded = replace(trip.facts.loaded, number=trip.number)
            page = driver_trip(problem, loaded, tuple(load_rows(problem, loaded)))
            found.append(LoadPicture(trip, problem, page))
    return found


def _schedule(priced: PricedBid) -> PaySchedule:
    rules, price = priced.terms.rules, priced.price
    rule = pay_rules()[rules.pay_rule]
    if rules.contract_usd is None:
        return PaySchedule(rule, (), "the contract sum is not known: give Settings, Contract sum")
    if not price.whole:
        return PaySchedule(rule, (), "the bid is not priced in full")
    contract = whole_cents(rules.contract_usd)
    if price.price_cents > contract:
        return PaySchedule(rule, (), "the price is more than the whole contract: check Settings, Contract sum")
    return PaySchedule(rule, payments(rule, price.price_cents, contract), "")


def _share(priced: PricedBid) -> GuideShare | None:
    rules = priced.terms.rules
    if rules.contract_usd is None or not priced.price.whole:
        return None
    guide = next(guide for guide in share_guides().values() if rules.work in guide.works)
    share = share_of_contract(priced.price.price_cents, whole_cents(rules.contract_usd), guide, rules.work)
    return GuideShare(guide, share)
