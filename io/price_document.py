"""A price as documented JSON: the models of the document. ``docs/price.schema.json`` is generated from them.

Amounts are decimal numbers written as text (``"445.30"``), so that no reader makes binary fractions of them. Every
other quantity has its unit in its key: lb, mi, min, pct, count.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from dispatch.io.plan_document import Record, SettingRecord, SourceRecord

FORMAT: Literal["haulday price 1"] = "haulday price 1"
"""Name and number of this layout; the number changes when a key changes its meaning or goes."""


class PriceUsedRecord(Record):
    """What the price was made from."""

    version: str
    day: str
    rule_set: str
    inputs: list[SourceRecord]
    changed_settings: list[SettingRecord]
    warnings: list[str]


class AmountsRecord(Record):
    """What a line, a phase or the whole bid is made of; the parts add up to the total."""

    in_usd: Decimal
    out_usd: Decimal
    load_usd: Decimal
    permit_usd: Decimal
    escort_usd: Decimal
    standby_usd: Decimal
    overhead_usd: Decimal
    contingency_usd: Decimal
    profit_usd: Decimal
    minimum_usd: Decimal
    rounding_usd: Decimal
    total_usd: Decimal


class LineRecord(Record):
    """One machine of the bid; ``row``: its row of the bid, from 1; ``not_priced``: its ways without a price."""

    item: str
    phase: str
    row: int
    amounts: AmountsRecord
    not_priced: list[Literal["in", "out"]]


class UnitRecord(Record):
    """The unit price of a row of the bid; ``rest_usd`` is what rounding it leaves of the lines.

    Null where something of the row has no price.
    """

    item: str
    phase: str
    row: int
    quantity: int
    unit_usd: Decimal | None
    extended_usd: Decimal | None
    rest_usd: Decimal | None


class PhaseRecord(Record):
    """A phase: its sum."""

    phase: str
    amounts: AmountsRecord


class JobRecord(Record):
    """A phase one way: trips and what is proved of their number. ``floor``: 0 when none is known."""

    phase: str
    way: Literal["in", "out"]
    days: int
    trips: int
    fewest_trips_proved: bool
    floor_trips: int
    claim: str


class PriceTripRecord(Record):
    """One trip. Figures of the own rig are null where no own rig makes it."""

    trip: int
    phase: str
    way: Literal["in", "out"]
    hauled_by: Literal["own", "outside", "not priced"]
    rig: str | None
    day: int | None
    items: list[str]
    origin: str
    destination: str
    loaded_mi: float
    empty_mi: float | None
    paid_min: int | None
    own_usd: Decimal | None
    permit_usd: Decimal | None
    escort_usd: Decimal | None
    outside_usd: Decimal | None
    price_usd: Decimal | None
    why: str


class StepRecord(Record):
    """One step from the direct cost to the price."""

    adds: str
    percent_pct: Decimal | None
    added_usd: Decimal
    sum_usd: Decimal


class GapRecord(Record):
    """A machine's way that has no price, and why."""

    item: str
    way: Literal["in", "out"]
    reason: str


class AssumptionRecord(Record):
    """One thing that the price rests on."""

    about: str
    what: str
    value: str
    source: str
    date: str
    remark: str


class AlternativeRecord(Record):
    """What the price would be otherwise; null where there is no such way or it cannot be priced."""

    name: str
    price_usd: Decimal | None
    trips: int | None
    remark: str


class SwingRecord(Record):
    """The price with one tolerance at its either end."""

    name: str
    from_usd: Decimal
    to_usd: Decimal


class RangeRecord(Record):
    """Low, likely and high price by a seeded simulation."""

    low_usd: Decimal
    likely_usd: Decimal
    high_usd: Decimal
    draws_count: int
    seed: int
    swings: list[SwingRecord]


class PaymentRecord(Record):
    """One payment of the item."""

    when: str
    paid_usd: Decimal
    to_date_usd: Decimal


class PayScheduleRecord(Record):
    """The pay schedule; ``refused`` says why there is none."""

    rule: str
    basis: str
    payments: list[PaymentRecord]
    refused: str


class ShareRecord(Record):
    """The price as a share of the contract, held against a published guide."""

    share_pct: Decimal
    work: str
    least_pct: Decimal
    most_pct: Decimal
    warning: str
    basis: str


class PriceDocument(Record):
    """The price of a bid. ``price_usd``: of everything that has a price; ``whole``: that is everything."""

    format: Literal["haulday price 1"]
    cautions: list[str]
    used: PriceUsedRecord
    bid: str
    whole: bool
    price_usd: Decimal
    steps: list[StepRecord]
    lines: list[LineRecord]
    units: list[UnitRecord]
    phases: list[PhaseRecord]
    jobs: list[JobRecord]
    trips: list[PriceTripRecord]
    not_priced: list[GapRecord]
    assumptions: list[AssumptionRecord]
    alternatives: list[AlternativeRecord]
    range: RangeRecord
    pay_schedule: PayScheduleRecord
    share_of_contract: ShareRecord | None
