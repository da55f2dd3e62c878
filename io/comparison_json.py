"""Writes a comparison as JSON: the same facts as its workbook, and the same bytes for the same input."""

from __future__ import annotations

import json

from dispatch.io.compare_summary import CAUTIONS
from dispatch.io.compare_tables import difference_rows
from dispatch.io.comparison_document import (
    FORMAT,
    CandidateRecord,
    ComparedRecord,
    ComparisonDocument,
    DayRecord,
    DifferenceRecord,
    LimitRecord,
    NewLoadRecord,
    OptionSetRecord,
    OutsideRecord,
    PriorityRecord,
    PrioritySavedRecord,
    SwingRecord,
    TriedRecord,
    TripsRecord,
    TripsSavedRecord,
    UseRecord,
    YearRecord,
)
from dispatch.io.plan_document import SettingRecord, SourceRecord
from dispatch.io.summary_sheet import Used

from dispatch.comparison.answer import answer, variant_answer
from dispatch.comparison.candidate_answer import which_trailer
from dispatch.comparison.candidate_search import Searched
from dispatch.comparison.candidate_trials import Trial
from dispatch.comparison.compare import Comparison
from dispatch.comparison.differences import Difference
from dispatch.comparison.limiting import DayLimit
from dispatch.comparison.newly_legal import NewLoad
from dispatch.comparison.outcomes import DayOutcome, OutsideHaul
from dispatch.comparison.yearly import CONFIDENCE_PCT, SWING_PCT, Swing, Yearly
from dispatch.money.outside_haul import OutsidePrice
from dispatch.units import MIN_PER_H, TENTHS_PER_MI


def comparison_json(comparison: Comparison, used: Used) -> bytes:
    """The document as UTF-8 JSON, indented, one newline at the end."""
    return (document(comparison, used).model_dump_json(indent=2) + "\n").encode("utf-8")


def schema_json() -> bytes:
    """The JSON schema of the document, as committed in ``docs/compare.schema.json``."""
    schema = ComparisonDocument.model_json_schema()
    return (json.dumps(schema, indent=2, sort_keys=True) + "\n").encode("utf-8")


def document(comparison: Comparison, used: Used) -> ComparisonDocument:
    """The comparison as the document's records."""
    return ComparisonDocument(
        format=FORMAT,
        answer=answer(comparison),
        cautions=list(CAUTIONS),
        compared=_compared(comparison, used),
        variants=[variant.name for variant in comparison.history.variants],
        days=[_day(one) for one in comparison.outcomes],
        differences=[_difference(one) for one in difference_rows(comparison)],
        limits=[_limit(one) for one in comparison.limits],
        years=[_year(comparison, one) for one in comparison.years],
        candidates_answer=which_trailer(comparison.candidates),
        candidates=[_candidate(one) for one in comparison.candidates],
    )


def _compared(comparison: Comparison, used: Used) -> ComparedRecord:
    problem = next(iter(comparison.history.problems.values()))
    return ComparedRecord(
        version=used.version,
        rule_set=problem.rules.name,
        time_limit_s=comparison.effort.time_limit_s,
        seed=comparison.effort.seed,
        inputs=[SourceRecord(name=name, sha256=digest) for name, digest in used.sources],
        changed_settings=[SettingRecord(name=name, value=value) for name, value in used.changed_settings],
        warnings=list(used.warnings),
    )


def _day(one: DayOutcome) -> DayRecord:
    return DayRecord(
        day=one.day,
        variant=one.variant,
        moves_count=one.moves,
        moves_left_out=list(one.moves_left_out),
        left_out=PriorityRecord(value_priority=one.left_out.value, bound_priority=one.left_out.least),
        trips=TripsRecord(value_trips=one.trips.value, bound_trips=one.trips.least),
        outside_hauls=[_outside(haul) for haul in one.outside],
        outside_usd=one.outside_cents / 100,
        loaded_mi=one.loaded_tenths / TENTHS_PER_MI,
        empty_mi=one.empty_tenths / TENTHS_PER_MI,
        paid_h=_hours(one.paid_min),
        overtime_h=_hours(one.overtime_min),
        own_cost_usd=one.own.cents / 100,
        cost_usd=one.cents / 100,
        use=[
            UseRecord(trailer=use.trailer, out_h=_hours(use.out_min), trips=use.trips, hauled_lb=use.weight_lb)
            for use in one.use
        ],
        plan_of=one.taken_from,
        search_cut_short=one.cut,
    )


def _outside(haul: OutsideHaul) -> OutsideRecord:
    price = haul.price
    return OutsideRecord(
        moves=list(haul.moves),
        weight_lb=haul.weight_lb,
        distance_mi=haul.tenths / TENTHS_PER_MI,
        cost_usd=price.cents / 100 if isinstance(price, OutsidePrice) else None,
        working=price.working if isinstance(price, OutsidePrice) else price.reason,
    )


def _difference(one: Difference) -> DifferenceRecord:
    return DifferenceRecord(
        day=one.day,
        variant=one.variant,
        trips=_trips_saved(one),
        left_out=_left_out_saved(one),
        outside_hauls_count=one.outside_hauls,
        road_mi=one.tenths / TENTHS_PER_MI,
        paid_h=_hours(one.paid_min),
        overtime_h=_hours(one.overtime_min),
        own_cost_usd=one.own_cents / 100,
        outside_usd=one.outside_cents / 100,
        saved_usd=one.cents / 100,
        every_haul_has_a_price=one.priced,
    )


def _trips_saved(one: Difference) -> TripsSavedRecord:
    return TripsSavedRecord(found_trips=one.trips.found, least_trips=one.trips.least, most_trips=one.trips.most)


def _left_out_saved(one: Difference) -> PrioritySavedRecord:
    found = one.left_out
    return PrioritySavedRecord(found_priority=found.found, least_priority=found.least, most_priority=found.most)


def _limit(one: DayLimit) -> LimitRecord:
    tried = [
        TriedRecord(
            more_of=[str(resource) for resource in each.resources],
            left_out_priority=each.left_out,
            trips=each.trips,
            changes_the_day=each.changes,
        )
        for each in one.tried
    ]
    limits = [[str(resource) for resource in limit] for limit in one.limits]
    return LimitRecord(day=one.day, variant=one.variant, limits=limits, tried=tried)


def _year(comparison: Comparison, one: Yearly) -> YearRecord:
    return YearRecord(
        variant=one.variant,
        pays=one.pays,
        answer=variant_answer(comparison, one.variant),
        days_a_year_count=float(one.days_per_year),
        saved_a_day_usd=one.saving_per_day_cents / 100,
        saved_usd=one.saving_cents / 100,
        ownership_usd=one.ownership_cents / 100,
        net_usd=one.net_cents / 100,
        net_low_usd=one.confidence.low_cents / 100,
        net_high_usd=one.confidence.high_cents / 100,
        interval_pct=CONFIDENCE_PCT,
        draws_that_pay_pct=round(one.confidence.share_positive * 100, 2),
        draws_count=one.confidence.draws,
        hauls_avoided_count=one.hauls_avoided,
        saved_a_haul_usd=None if one.trip_saving_cents is None else one.trip_saving_cents / 100,
        break_even_hauls_count=one.break_even_trips,
        break_even_days_count=one.break_even_days,
        payback_years=None if one.payback_years is None else round(float(one.payback_years), 3),
        money_is_whole=one.priced,
        tornado=[_swing(swing) for swing in one.tornado],
    )


def _swing(swing: Swing) -> SwingRecord:
    return SwingRecord(
        figure=swing.figure,
        swing_pct=SWING_PCT,
        net_with_less_usd=swing.low_cents / 100,
        net_with_more_usd=swing.high_cents / 100,
    )


def _candidate(one: Searched) -> CandidateRecord:
    return CandidateRecord(
        candidate=one.candidate.name,
        behind_rigs=list(one.candidate.behind),
        replaces=one.candidate.replaces,
        pays=one.best.year.pays,
        option_sets=[_option_set(trial) for trial in one.trials],
        sets_count=one.sets,
        spared_sets=[list(build.options) for build in one.spared],
        sets_not_tried_count=one.not_tried,
        pairs_made_legal=[_new_load(load) for load in one.new_pairs],
    )


def _option_set(trial: Trial) -> OptionSetRecord:
    year, proof = trial.year, trial.proof
    return OptionSetRecord(
        options=list(trial.build.options),
        price_usd=float(trial.build.price_usd),
        options_lb=round(trial.adds_lb, 4),
        plate_payload_lb=round(trial.build.payload_lb, 4),
        saved_usd=year.saving_cents / 100,
        ownership_usd=year.ownership_cents / 100,
        net_usd=year.net_cents / 100,
        net_low_usd=year.confidence.low_cents / 100,
        net_high_usd=year.confidence.high_cents / 100,
        net_proved_low_usd=_usd(proof.least_cents),
        net_proved_high_usd=_usd(proof.most_cents),
        payback_years=None if year.payback_years is None else round(float(year.payback_years), 3),
        money_is_whole=year.priced,
        trips=_trips_saved(trial.whole),
        left_out=_left_out_saved(trial.whole),
        outside_hauls_count=trial.whole.outside_hauls,
        helps_on_days=[day.day for day in trial.helps],
        days_proved_count=trial.proved,
        searches_cut_short_count=trial.cut,
        makes_legal=[_new_load(load) for load in trial.makes_legal],
        makes_illegal=[_new_load(load) for load in trial.loses],
        tornado=[_swing(swing) for swing in year.tornado],
    )


def _usd(cents: int | None) -> float | None:
    return None if cents is None else cents / 100


def _new_load(load: NewLoad) -> NewLoadRecord:
    return NewLoadRecord(day=load.day, moves=list(load.moves), items=list(load.items), rig=load.rig)


def _hours(minutes: int) -> float:
    return round(minutes / MIN_PER_H, 4)
