"""Writes a plan as JSON: the same facts as the schedule workbook, and the same bytes for the same input."""

from __future__ import annotations

import json
from collections.abc import Callable

from dispatch.io.plan_document import (
    FORMAT,
    BarRecord,
    CautionRecord,
    CheckRecord,
    CostGoal,
    CountCheck,
    LeftOutGoal,
    LeftOutRecord,
    LegRecord,
    LengthCheck,
    PlaceRecord,
    PlanDocument,
    ReasonRecord,
    SettingRecord,
    ShareCheck,
    SourceRecord,
    StopRecord,
    SummaryRecord,
    TripRecord,
    TripsGoal,
    UsedRecord,
    WeightCheck,
)
from dispatch.io.summary_sheet import Used

from dispatch.checks import Caution, Check
from dispatch.day_bars import Bar
from dispatch.explain import LeftOut
from dispatch.loaded_trips import LoadedLeg, LoadedTrip
from dispatch.plan import Level
from dispatch.report import GENERAL_CAUTIONS, LoadRow, Report, ScheduleRow, StopRow
from dispatch.units import MIN_PER_H, TENTHS_PER_MI, clock


def plan_json(report: Report, used: Used) -> bytes:
    """The document as UTF-8 JSON, indented, one newline at the end."""
    return (document(report, used).model_dump_json(indent=2) + "\n").encode("utf-8")


def schema_json() -> bytes:
    """The JSON schema of the document, as committed in ``docs/plan.schema.json``."""
    schema = PlanDocument.model_json_schema()
    return (json.dumps(schema, indent=2, sort_keys=True) + "\n").encode("utf-8")


def document(report: Report, used: Used) -> PlanDocument:
    """The report as the document's records."""
    trips = zip(report.trips, report.schedule, strict=True)
    return PlanDocument(
        format=FORMAT,
        cautions=[*GENERAL_CAUTIONS, *report.problem.rules.cautions],
        used=_used(report, used),
        summary=_summary(report),
        trips=[_trip(report, trip, row) for trip, row in trips],
        left_out=[_left_out(left) for left in report.left_out],
        timeline=[_bar(bar) for bar in report.bars],
    )


def _used(report: Report, used: Used) -> UsedRecord:
    return UsedRecord(
        version=used.version,
        day=report.problem.settings.day,
        rule_set=report.problem.rules.name,
        inputs=[SourceRecord(name=name, sha256=digest) for name, digest in used.sources],
        changed_settings=[SettingRecord(name=name, value=value) for name, value in used.changed_settings],
        warnings=list(used.warnings),
    )


def _summary(report: Report) -> SummaryRecord:
    summary, totals = report.summary, report.summary.totals
    return SummaryRecord(
        trips=summary.trips,
        fewest_trips_proved=summary.fewest_trips_proved,
        no_plan_has_fewer_trips_than=summary.trips_bound,
        moves_hauled=summary.moves_hauled,
        moves_left_out=summary.moves_left_out,
        loaded_mi=totals.loaded_tenths / TENTHS_PER_MI,
        empty_mi=totals.empty_tenths / TENTHS_PER_MI,
        paid_h=round(totals.paid_min / MIN_PER_H, 4),
        cost_usd=totals.cost_cents / 100,
        search=summary.outcome,
        goals=[_goal(level) for level in summary.levels],
        notes=list(summary.notes),
        estimated_pairs_of_sites=summary.estimated_pairs,
        driven_pairs_of_sites=summary.driven_pairs,
        rigs_not_used=list(summary.idle_rigs),
    )


def _goal(level: Level) -> LeftOutGoal | TripsGoal | CostGoal:
    if level.name == "cost":
        value, bound = level.value / 100, level.bound / 100
        return CostGoal(goal="cost", value_usd=value, bound_usd=bound, proved=level.proved)
    if level.name == "trips":
        return TripsGoal(goal="trips", value_trips=level.value, bound_trips=level.bound, proved=level.proved)
    return LeftOutGoal(
        goal="left out", value_priority=level.value, bound_priority=level.bound, proved=level.proved
    )


def _trip(report: Report, trip: LoadedTrip, row: ScheduleRow) -> TripRecord:
    return TripRecord(
        trip=trip.number,
        rig=row.rig,
        truck=row.truck,
        trailer=row.trailer,
        driver=row.driver,
        start=clock(row.start_min),
        start_min=row.start_min,
        end=clock(row.end_min),
        end_min=row.end_min,
        loaded_mi=row.loaded_tenths / TENTHS_PER_MI,
        empty_before_mi=row.empty_before_tenths / TENTHS_PER_MI,
        heaviest_gross_lb=_figure(row.heaviest_gross_lb),
        tightest_check=row.tightest,
        tightest_use_pct=_figure(row.use * 100),
        cost_usd=row.cost_cents / 100,
        permit=row.permit,
        stops=[_stop(one) for one in report.stops if one.trip == trip.number],
        places=[_place(one) for one in report.load_plan if one.trip == trip.number],
        legs=[_leg(report, leg) for leg in trip.legs],
        checks_once=[check_record(check) for check in trip.once],
        cautions=[_caution(caution) for caution in trip.cautions],
    )


def _stop(row: StopRow) -> StopRecord:
    return StopRecord(
        stop=row.stop,
        site=row.site,
        arrive=clock(row.arrive_min),
        arrive_min=row.arrive_min,
        leave=clock(row.leave_min),
        leave_min=row.leave_min,
        action=row.action.value,
        move=row.move,
        item=row.item,
        on_deck_after=row.on_deck,
    )


def _place(row: LoadRow) -> PlaceRecord:
    return PlaceRecord(
        order=row.order,
        move=row.move,
        item=row.item,
        deck=row.deck.value,
        facing=row.facing.value,
        front_edge_behind_deck_front_in=row.behind_deck_front_in,
        front_edge_behind_coupler_in=_figure(row.behind_coupler_in),
        weight_lb=_figure(row.weight_lb),
        weight_high_lb=_figure(row.weight_high_lb),
        weight_basis=row.basis,
        chains=row.chains,
        straps=row.straps,
        least_wll_lb=_figure(row.least_wll_lb),
        least_wll_each_lb=_figure(row.each_wll_lb),
    )


def _leg(report: Report, leg: LoadedLeg) -> LegRecord:
    road, loads = leg.leg, leg.loads
    return LegRecord(
        leg=leg.number,
        origin=road.origin,
        destination=road.destination,
        depart_min=road.depart_min,
        arrive_min=road.arrive_min,
        on_deck=[report.problem.hauls[placed.haul].item.name for placed in road.on_deck],
        gross_lb=_figure(loads.gross_lb),
        coupler_lb=_figure(loads.coupler_lb),
        truck_front_lb=_figure(loads.front_lb),
        truck_rear_lb=_figure(loads.rear_lb),
        trailer_axles_lb=[_figure(load) for load in loads.trailer_axles_lb],
        checks=[check_record(check) for check in leg.checks],
    )


_RECORDS: dict[str, tuple[str, Callable[..., CheckRecord]]] = {
    "lb": ("lb", WeightCheck),
    "in": ("in", LengthCheck),
    "%": ("pct", ShareCheck),
    "count": ("count", CountCheck),
}


def check_record(check: Check) -> CheckRecord:
    """A check with its unit in the keys of its figures; raises KeyError for a unit that no record has."""
    unit, record = _RECORDS[check.unit]
    figures = {"value": check.value, "worst": check.worst, "limit": check.limit, "margin": check.margin}
    return record(
        name=check.name,
        sense=check.sense.value,
        ok=check.ok,
        waived_by_permit=check.waived,
        use_pct=None if check.use == float("inf") else _figure(check.use * 100),
        basis=check.basis,
        unit=unit,
        **{f"{key}_{unit}": _figure(value) for key, value in figures.items()},
    )


def _figure(value: float) -> float:
    """Three decimals: more would be rounding noise of the statics."""
    return round(value, 3) + 0.0


def _caution(caution: Caution) -> CautionRecord:
    return CautionRecord(name=caution.name, text=caution.text)


def _left_out(left: LeftOut) -> LeftOutRecord:
    reasons = [ReasonRecord(rig=reason.rig, reason=reason.text) for reason in left.reasons]
    return LeftOutRecord(move=left.move, item=left.item, reasons=reasons, change=left.change)


def _bar(bar: Bar) -> BarRecord:
    return BarRecord(
        rig=bar.rig,
        trip=bar.trip,
        doing=bar.doing.value,
        from_min=bar.from_min,
        to_min=bar.to_min,
        place=bar.place,
    )
