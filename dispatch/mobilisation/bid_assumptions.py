"""Everything that a price rests on, one row each: rates, fees, roads, weights, rules, with source and date."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import chain

from dispatch.mobilisation.bid_price import PricedBid
from dispatch.mobilisation.job_price import Haulier
from dispatch.money.amounts import exact, rate_text, usd_text
from dispatch.money.escorts import EscortRow
from dispatch.money.outside_haul import OutsidePrice, OutsideRow, row_text
from dispatch.money.permits import Each
from dispatch.money.rate_table import Rate
from dispatch.money.rates import rate_assumptions
from dispatch.travel import Travel
from dispatch.units import TENTHS_PER_MI, feet_inches


@dataclass(frozen=True, slots=True)
class Assumption:
    """One thing that the price rests on. ``about``: rate, road, weight, rule ...; ``dated``: where it has one."""

    about: str
    what: str
    value: str
    source: str
    dated: date | None = None
    remark: str = ""


def assumptions(priced: PricedBid) -> tuple[Assumption, ...]:
    """Every assumption, by kind, in the order of the sheets."""
    return tuple(
        chain(
            _rates(priced),
            _rigs(priced),
            _fees(priced),
            _offers(priced),
            _roads(priced),
            _weights(priced),
            _rules(priced),
            _cautions(priced),
        )
    )


def _rates(priced: PricedBid) -> Iterator[Assumption]:
    for one in rate_assumptions(priced.terms.rates):
        place = f"sheet Rates, row {one.row}" if one.row else "no row: the default holds"
        value = rate_text(one.value) if one.unit.startswith("USD") else f"{one.value}"
        yield Assumption("rate", str(one.rate), f"{value} {one.unit}", one.source, one.dated, place)


def _rigs(priced: PricedBid) -> Iterator[Assumption]:
    """What an hour and a mile of each rig used cost, and from where."""
    seen = set()
    for trip in priced.trips:
        if trip.haulier is not Haulier.OWN or trip.facts is None or trip.own is None:
            continue
        rig, costs = trip.facts.rig, trip.own.rates
        if rig.name in seen:
            continue
        seen.add(rig.name)
        hour, mile = rate_text(costs.hour_cents / 100), rate_text(costs.mile_cents / 100)
        for what, value, basis, rate in (
            ("an hour", f"{hour} USD/h", costs.hour_basis, Rate.HOURLY),
            ("a mile", f"{mile} USD/mi", costs.mile_basis, Rate.MILEAGE),
        ):
            remark = "" if priced.terms.rates.has(rate) else f"not dated; a row {rate} in Rates has a date"
            yield Assumption("rig", f"{rig.name}, {what}", value, basis, remark=remark)
        if rig.cost_per_trip_usd:
            trip_text = rate_text(exact(rig.cost_per_trip_usd))
            yield Assumption("rig", f"{rig.name}, a trip", f"{trip_text} USD", "sheet Rigs")
        if rig.overtime_after_min is not None:
            words = f"x {rig.overtime_factor:g} after {rig.overtime_after_min / 60:g} h a day"
            yield Assumption("rig", f"{rig.name}, overtime", words, "sheet Rigs")


def _fees(priced: PricedBid) -> Iterator[Assumption]:
    for fee in priced.terms.fees:
        bands = ", ".join(
            f"{band.measure.value}"
            + ("" if band.over is None else f" over {band.over:g}")
            + ("" if band.up_to is None else f" up to {band.up_to:g}")
            for band in fee.bands
        )
        value = f"{rate_text(fee.amount_usd)} USD each {fee.each.value}"
        value += f" (2,000 lb, from {fee.tons_over_lb:,.0f} lb on)" if fee.each is Each.TON_OVER else ""
        value += "" if fee.per_miles is None else f" per {fee.per_miles} mi"
        remark = f"sheet Permit fees, row {fee.row}" + (f"; {bands} (lb, in, mi)" if bands else "")
        yield Assumption(
            "permit fee", fee.permit or "every permit", value, fee.source or "no source", fee.dated, remark
        )
    for row in priced.terms.escorts:
        prices = ((row.per_hour_usd, "USD/h"), (row.per_mile_usd, "USD/mi"), (row.minimum_usd, "USD at least"))
        value = " + ".join(f"{rate_text(price)} {unit}" for price, unit in prices if price is not None)
        remark = f"sheet Escorts, row {row.row}; {_called_by(row)}"
        yield Assumption("escort", row.escort, value, row.source or "no source", row.dated, remark)


def _called_by(row: EscortRow) -> str:
    """From which size on the escort comes along, and how many."""
    sizes = (("wide", row.over_width_in), ("high", row.over_height_in), ("long", row.over_length_in))
    words = " or ".join(f"over {feet_inches(size)} {name}" for name, size in sizes if size is not None)
    return words if row.vehicles == 1 else f"{row.vehicles} vehicles {words}"


def _offers(priced: PricedBid) -> Iterator[Assumption]:
    used = {
        trip.offer.row
        for trip in priced.trips
        if trip.haulier is Haulier.OUTSIDE and isinstance(trip.offer, OutsidePrice)
    }
    for row in (row for row in priced.terms.outside if row.row in used):
        yield Assumption(
            "outside haul",
            _held_for(row),
            row_text(row),
            row.source or "no source",
            row.dated,
            f"sheet Outside haul, row {row.row}; permits, escorts, loading and empty way are in the price",
        )


def _held_for(row: OutsideRow) -> str:
    weight = "any weight" if row.up_to_weight_lb is None else f"up to {row.up_to_weight_lb:,.0f} lb"
    miles = None if row.up_to_tenths is None else row.up_to_tenths / TENTHS_PER_MI
    return f"{weight}, any distance" if miles is None else f"{weight}, up to {miles:,.1f} mi"


def _roads(priced: PricedBid) -> Iterator[Assumption]:
    """Every road driven, once, measured or estimated."""
    fleet = priced.fleet
    travel = Travel(fleet.sites, fleet.roads, fleet.settings)
    pairs = [pair for trip in priced.trips if trip.facts for pair in trip.facts.pairs]
    pairs += [(trip.origin, trip.destination) for trip in priced.trips if trip.facts is None]
    told: set[tuple[str, str]] = set()
    for pair in dict.fromkeys(pairs):
        if pair[::-1] in told and travel.tenths(*pair) == travel.tenths(*pair[::-1]):
            continue
        told.add(pair)
        known = travel.measured(*pair)
        source = "measured: sheet Distances" if known else "ESTIMATED from coordinates"
        circuity = f"great circle x {fleet.settings.circuity_factor:g} (Settings, Circuity factor)"
        minutes = travel.minutes(*pair, loaded=True)
        yield Assumption(
            "road",
            f"{pair[0]} - {pair[1]}",
            f"{travel.tenths(*pair) / TENTHS_PER_MI:,.1f} mi, {minutes} min loaded",
            source,
            remark="" if known else circuity,
        )


def _weights(priced: PricedBid) -> Iterator[Assumption]:
    for line in priced.bid.lines:
        weight = line.item.weight
        remark = f"{weight.low_lb:,.0f} to {weight.high_lb:,.0f} lb within the tolerance of this basis"
        if not line.chosen:
            sizes = (line.item.length_in, line.item.width_in, line.item.height_in)
            size = " x ".join(feet_inches(size) for size in sizes)
            remark = f"NO MACHINE CHOSEN: weight and size ({size}) of the sheet Mobilisation; {remark}"
        yield Assumption(
            "weight", line.item.name, f"{weight.nominal_lb:,.0f} lb", weight.basis.value, remark=remark
        )


def _rules(priced: PricedBid) -> Iterator[Assumption]:
    rules, settings = priced.terms.rules, priced.fleet.settings
    step, unit = usd_text(rules.price_step_cents), usd_text(rules.unit_step_cents)
    yield Assumption(
        "rounding",
        "amounts",
        "every amount to the cent, halves up; shares by largest remainder, so that lines add up",
        "built in",
    )
    yield Assumption(
        "rounding", "lump sum", f"nearest multiple of {step} USD, halves up", "Settings, Price rounding"
    )
    yield Assumption(
        "rounding", "unit prices", f"nearest multiple of {unit} USD, halves up", "Settings, Unit price rounding"
    )
    yield Assumption("rule", "sharing a trip's cost", rules.share_rule.value, "Settings, Share of trips")
    yield Assumption(
        "rule",
        "a trip's empty road",
        "an outing's empty road is shared among its trips by what each would drive empty alone",
        "built in",
    )
    yield Assumption(
        "rule", "mark-ups", "overhead on the direct cost, contingency on both, profit on all three", "built in"
    )
    yield Assumption(
        "rule", "loading and unloading", f"{settings.load_min} and {settings.unload_min} min a machine", "Settings"
    )
    waiting = "paid like any other time of the rig"
    if priced.terms.rates.has(Rate.WAITING):
        free = priced.terms.rates.need(Rate.WAITING_FREE)
        waiting = f"planned waiting by the rate Waiting, {free} min a stop not charged"
    yield Assumption("rule", "waiting", waiting, "sheet Rates")
    yield Assumption(
        "rule", "days", f"at most {rules.most_days} days a phase, one way", "Settings, Most days a phase"
    )
    for job in priced.jobs:
        days = "" if job.own.days == 1 else f", {job.own.days} days"
        what = f"phase {job.job.phase} {job.job.direction}"
        cut = "the search was cut short by the time limit: a longer one may find less" if job.cut else ""
        trips = "1 trip" if len(job.trips) == 1 else f"{len(job.trips)} trips"
        value = f"{trips}{days}: {job.claim}"
        yield Assumption("trips", what, value, "planned and verified", remark=cut)


def _cautions(priced: PricedBid) -> Iterator[Assumption]:
    for trip in priced.trips:
        for caution in trip.own.cautions if trip.own is not None else ():
            yield Assumption("caution", f"trip {trip.number}", caution, "planned")
    for text in priced.fleet.rules.cautions:
        yield Assumption("caution", "limits of law", text, priced.fleet.rules.name)
