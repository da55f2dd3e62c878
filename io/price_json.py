"""Writes a price as JSON: the same facts as the price workbook, and the same bytes for the same input."""

from __future__ import annotations

import json
from dataclasses import fields
from decimal import Decimal

from dispatch.io.plan_document import SettingRecord, SourceRecord
from dispatch.io.price_document import (
    FORMAT,
    AlternativeRecord,
    AmountsRecord,
    AssumptionRecord,
    GapRecord,
    JobRecord,
    LineRecord,
    PaymentRecord,
    PayScheduleRecord,
    PhaseRecord,
    PriceDocument,
    PriceTripRecord,
    PriceUsedRecord,
    RangeRecord,
    ShareRecord,
    StepRecord,
    SwingRecord,
    UnitRecord,
)
from dispatch.io.price_sheet import CAUTIONS
from dispatch.io.summary_sheet import Used

from dispatch.mobilisation.bid_report import BidReport
from dispatch.mobilisation.job_price import BidTrip, Haulier, PricedJob
from dispatch.money.amounts import usd
from dispatch.money.lines import Amounts
from dispatch.money.outside_haul import OutsidePrice
from dispatch.units import TENTHS_PER_MI


def price_json(report: BidReport, used: Used) -> bytes:
    """The document as UTF-8 JSON, indented, one newline at the end."""
    return (document(report, used).model_dump_json(indent=2) + "\n").encode("utf-8")


def schema_json() -> bytes:
    """The JSON schema of the document, as committed in ``docs/price.schema.json``."""
    schema = PriceDocument.model_json_schema(mode="serialization")
    return (json.dumps(schema, indent=2, sort_keys=True) + "\n").encode("utf-8")


def document(report: BidReport, used: Used) -> PriceDocument:
    """The report as the document's records."""
    priced, price = report.priced, report.priced.price
    return PriceDocument(
        format=FORMAT,
        cautions=[*CAUTIONS, *priced.fleet.rules.cautions],
        used=_used(report, used),
        bid=priced.bid.name,
        whole=report.whole,
        price_usd=usd(price.price_cents),
        steps=[
            StepRecord(
                adds=step.addition.value,
                percent_pct=step.percent,
                added_usd=usd(step.added_cents),
                sum_usd=usd(step.sum_cents),
            )
            for step in price.steps
        ],
        lines=[
            LineRecord(
                item=line.item.name,
                phase=line.item.phase,
                row=line.item.line,
                amounts=_amounts(line.amounts),
                not_priced=[way.value for way in report.ways_without_price(line.item.name)],
            )
            for line in report.lines
        ],
        units=_units(report),
        phases=[PhaseRecord(phase=phase, amounts=_amounts(amounts)) for phase, amounts in report.phases],
        jobs=[_job(job) for job in priced.jobs],
        trips=[_trip(trip) for trip in priced.trips],
        not_priced=[GapRecord(item=gap.item, way=gap.way.value, reason=gap.reason) for gap in price.not_priced],
        assumptions=_assumptions(report),
        alternatives=_alternatives(report),
        range=_range(report),
        pay_schedule=_schedule(report),
        share_of_contract=_share(report),
    )


def _used(report: BidReport, used: Used) -> PriceUsedRecord:
    return PriceUsedRecord(
        version=used.version,
        day=report.priced.fleet.settings.day,
        rule_set=report.priced.fleet.rules.name,
        inputs=[SourceRecord(name=name, sha256=digest) for name, digest in used.sources],
        changed_settings=[SettingRecord(name=name, value=value) for name, value in used.changed_settings],
        warnings=list(used.warnings),
    )


def _amounts(amounts: Amounts) -> AmountsRecord:
    values = {field.name.replace("_cents", "_usd"): usd(getattr(amounts, field.name)) for field in fields(amounts)}
    return AmountsRecord(**values, total_usd=usd(amounts.total_cents))


def _units(report: BidReport) -> list[UnitRecord]:
    return [
        UnitRecord(
            item=row.item,
            phase=row.phase,
            row=row.unit.line,
            quantity=row.unit.quantity,
            unit_usd=None if row.gaps else usd(row.unit.unit_cents),
            extended_usd=None if row.gaps else usd(row.unit.extended_cents),
            rest_usd=None if row.gaps else usd(row.unit.rest_cents),
        )
        for row in report.units
    ]


def _job(job: PricedJob) -> JobRecord:
    return JobRecord(
        phase=job.job.phase,
        way=job.job.direction.value,
        days=job.own.days,
        trips=len(job.trips),
        fewest_trips_proved=job.proved,
        floor_trips=job.first.floor,
        claim=job.claim,
    )


def _trip(trip: BidTrip) -> PriceTripRecord:
    facts = trip.facts if trip.haulier is Haulier.OWN else None
    own = trip.own
    return PriceTripRecord(
        trip=trip.number,
        phase=trip.phase,
        way=trip.direction.value,
        hauled_by=trip.haulier.value,
        rig=facts.rig.name if facts else None,
        day=facts.day if facts else None,
        items=list(trip.machines),
        origin=trip.origin,
        destination=trip.destination,
        loaded_mi=trip.loaded_tenths / TENTHS_PER_MI,
        empty_mi=facts.empty_tenths / TENTHS_PER_MI if facts else None,
        paid_min=facts.paid_min if facts else None,
        own_usd=usd(own.cents) if own and not own.faults else None,
        permit_usd=usd(own.permit_cents) if own and facts else None,
        escort_usd=usd(own.escort_cents) if own and facts else None,
        outside_usd=_offer(trip),
        price_usd=None if trip.haulier is Haulier.NOBODY else usd(trip.cents),
        why=trip.reason,
    )


def _offer(trip: BidTrip) -> Decimal | None:
    return usd(trip.offer.cents) if isinstance(trip.offer, OutsidePrice) else None


def _assumptions(report: BidReport) -> list[AssumptionRecord]:
    return [
        AssumptionRecord(
            about=one.about,
            what=one.what,
            value=one.value,
            source=one.source,
            date=str(one.dated or ""),
            remark=one.remark,
        )
        for one in report.assumptions
    ]


def _alternatives(report: BidReport) -> list[AlternativeRecord]:
    return [
        AlternativeRecord(
            name=one.name,
            price_usd=None if one.price_cents is None else usd(one.price_cents),
            trips=one.trips,
            remark=one.remark,
        )
        for one in report.alternatives
    ]


def _range(report: BidReport) -> RangeRecord:
    span = report.span.span
    return RangeRecord(
        low_usd=usd(span.low_cents),
        likely_usd=usd(span.likely_cents),
        high_usd=usd(span.high_cents),
        draws_count=span.draws,
        seed=span.seed,
        swings=[
            SwingRecord(name=one.name, from_usd=usd(one.least_cents), to_usd=usd(one.most_cents))
            for one in report.span.swings
        ],
    )


def _schedule(report: BidReport) -> PayScheduleRecord:
    schedule = report.schedule
    return PayScheduleRecord(
        rule=schedule.rule.name,
        basis=schedule.rule.basis,
        payments=[
            PaymentRecord(when=one.when, paid_usd=usd(one.cents), to_date_usd=usd(one.to_date_cents))
            for one in schedule.payments
        ],
        refused=schedule.refused,
    )


def _share(report: BidReport) -> ShareRecord | None:
    if report.share is None:
        return None
    share, guide = report.share.share, report.share.guide
    return ShareRecord(
        share_pct=share.percent,
        work=share.expected.work,
        least_pct=share.expected.least_pct,
        most_pct=share.expected.most_pct,
        warning=share.warning,
        basis=guide.basis,
    )
