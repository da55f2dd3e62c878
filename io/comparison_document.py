"""A comparison as documented JSON: the models. ``docs/compare.schema.json`` is generated from them.

Every quantity has its unit in its key: usd, h, mi, lb, count, priority, trips, years, pct.
"""

from __future__ import annotations

from typing import Literal

from dispatch.io.plan_document import Record, SettingRecord, SourceRecord

FORMAT: Literal["haulday comparison 1"] = "haulday comparison 1"
"""Name and number of this layout; the number changes when a key changes its meaning or goes."""


class ComparedRecord(Record):
    """What the comparison was made from and how; ``time_limit_s`` null: no limit."""

    version: str
    rule_set: str
    time_limit_s: float | None
    seed: int
    inputs: list[SourceRecord]
    changed_settings: list[SettingRecord]
    warnings: list[str]


class TripsRecord(Record):
    """Trips of the own rigs, and a number that no plan of the fleet can go below (null: not known)."""

    value_trips: float
    bound_trips: float | None


class PriorityRecord(Record):
    """Priorities left out together, and a sum that no plan of the fleet can go below (null: not known)."""

    value_priority: float
    bound_priority: float | None


class OutsideRecord(Record):
    """One trip of an outside haulier; ``cost_usd`` null: the table has no price, and ``working`` says why."""

    moves: list[str]
    weight_lb: float
    distance_mi: float
    cost_usd: float | None
    working: str


class UseRecord(Record):
    """What a trailer did on the day."""

    trailer: str
    out_h: float
    trips: int
    hauled_lb: float


class DayRecord(Record):
    """One day under one variant. ``plan_of``: the smaller fleet whose plan was taken over, or empty."""

    day: str
    variant: str
    moves_count: int
    moves_left_out: list[str]
    left_out: PriorityRecord
    trips: TripsRecord
    outside_hauls: list[OutsideRecord]
    outside_usd: float
    loaded_mi: float
    empty_mi: float
    paid_h: float
    overtime_h: float
    own_cost_usd: float
    cost_usd: float
    use: list[UseRecord]
    plan_of: str
    search_cut_short: bool


class TripsSavedRecord(Record):
    """Trips saved as found, and by how much the best plans differ at least and at most (null: not known)."""

    found_trips: float
    least_trips: float | None
    most_trips: float | None


class PrioritySavedRecord(Record):
    """Priorities left out fewer, likewise."""

    found_priority: float
    least_priority: float | None
    most_priority: float | None


class DifferenceRecord(Record):
    """A variant against the base; ``day`` empty: all days together. Positive is saved."""

    day: str
    variant: str
    trips: TripsSavedRecord
    left_out: PrioritySavedRecord
    outside_hauls_count: int
    road_mi: float
    paid_h: float
    overtime_h: float
    own_cost_usd: float
    outside_usd: float
    saved_usd: float
    every_haul_has_a_price: bool


class TriedRecord(Record):
    """The day with more of something."""

    more_of: list[str]
    left_out_priority: float
    trips: float
    changes_the_day: bool


class LimitRecord(Record):
    """A day that the larger fleet leaves as it is. ``limits``: more of any changes it; empty: nothing does."""

    day: str
    variant: str
    limits: list[list[str]]
    tried: list[TriedRecord]


class SwingRecord(Record):
    """One figure lower and higher by ``swing_pct``."""

    figure: str
    swing_pct: int
    net_with_less_usd: float
    net_with_more_usd: float


class YearRecord(Record):
    """A variant's year. Null: does not exist, or never."""

    variant: str
    pays: bool
    answer: str
    days_a_year_count: float
    saved_a_day_usd: float
    saved_usd: float
    ownership_usd: float
    net_usd: float
    net_low_usd: float
    net_high_usd: float
    interval_pct: int
    draws_that_pay_pct: float
    draws_count: int
    hauls_avoided_count: int
    saved_a_haul_usd: float | None
    break_even_hauls_count: int | None
    break_even_days_count: int | None
    payback_years: float | None
    money_is_whole: bool
    tornado: list[SwingRecord]


class NewLoadRecord(Record):
    """A load of one day: its moves, their items, and a rig that may carry it."""

    day: str
    moves: list[str]
    items: list[str]
    rig: str


class OptionSetRecord(Record):
    """A candidate with a set of options over the whole history. Null: not known, or never.

    ``options_lb``: what the options add to the empty weight. ``net_proved_...``: if plans that are not proved were
    as good as their bounds allow. ``makes_legal``: moves that no rig of the first fleet may carry;
    ``makes_illegal``: moves that only the trailers which it replaces could.
    """

    options: list[str]
    price_usd: float
    options_lb: float
    plate_payload_lb: float
    saved_usd: float
    ownership_usd: float
    net_usd: float
    net_low_usd: float
    net_high_usd: float
    net_proved_low_usd: float | None
    net_proved_high_usd: float | None
    payback_years: float | None
    money_is_whole: bool
    trips: TripsSavedRecord
    left_out: PrioritySavedRecord
    outside_hauls_count: int
    helps_on_days: list[str]
    days_proved_count: int
    searches_cut_short_count: int
    makes_legal: list[NewLoadRecord]
    makes_illegal: list[NewLoadRecord]
    tornado: list[SwingRecord]


class CandidateRecord(Record):
    """A trailer on offer; the best set of options first.

    ``spared_sets``: sets that were not planned, as their cost alone proves them no better.
    """

    candidate: str
    behind_rigs: list[str]
    replaces: bool
    pays: bool
    option_sets: list[OptionSetRecord]
    sets_count: int
    spared_sets: list[list[str]]
    sets_not_tried_count: int
    pairs_made_legal: list[NewLoadRecord]


class ComparisonDocument(Record):
    """The whole comparison. ``candidates``: the best first; ``answer`` is empty where there is one fleet only."""

    format: Literal["haulday comparison 1"]
    answer: str
    cautions: list[str]
    compared: ComparedRecord
    variants: list[str]
    days: list[DayRecord]
    differences: list[DifferenceRecord]
    limits: list[LimitRecord]
    years: list[YearRecord]
    candidates_answer: str
    candidates: list[CandidateRecord]
