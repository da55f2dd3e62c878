"""The plan as documented JSON: the models of the document. ``docs/plan.schema.json`` is generated from them.

Every quantity has its unit in its key, canonical whatever Settings asks of the workbook: lb, in, mi, min (after
midnight), h, usd, pct, count.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

FORMAT: Literal["haulday plan 1"] = "haulday plan 1"
"""Name and number of this layout; the number changes when a key changes its meaning or goes."""


class Record(BaseModel):
    """A part of the document: no keys beyond those declared."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SourceRecord(Record):
    """An input file and the SHA-256 of its bytes."""

    name: str
    sha256: str


class SettingRecord(Record):
    """A setting or limit that differs from its default, as typed."""

    name: str
    value: str


class UsedRecord(Record):
    """What the plan was made from."""

    version: str
    day: str
    rule_set: str
    inputs: list[SourceRecord]
    changed_settings: list[SettingRecord]
    warnings: list[str]


class GoalBase(Record):
    """One goal, in the order solved; ``proved``: the value equals the bound, no plan is better."""

    proved: bool


class LeftOutGoal(GoalBase):
    """Sum of the priorities of moves left out, and a sum that no plan can go below."""

    goal: Literal["left out"]
    value_priority: float
    bound_priority: float


class TripsGoal(GoalBase):
    """Number of trips, and a number that no plan can go below."""

    goal: Literal["trips"]
    value_trips: float
    bound_trips: float


class CostGoal(GoalBase):
    """Cost of the day, and a cost that no plan can go below."""

    goal: Literal["cost"]
    value_usd: float
    bound_usd: float


GoalRecord = Annotated[LeftOutGoal | TripsGoal | CostGoal, Field(discriminator="goal")]


class SummaryRecord(Record):
    """The day in figures."""

    trips: int
    fewest_trips_proved: bool
    no_plan_has_fewer_trips_than: int
    moves_hauled: int
    moves_left_out: int
    loaded_mi: float
    empty_mi: float
    paid_h: float
    cost_usd: float
    search: str
    goals: list[GoalRecord]
    notes: list[str]
    estimated_pairs_of_sites: int
    driven_pairs_of_sites: int
    rigs_not_used: list[str]


class CheckBase(Record):
    """One rule: name, verdict, where its limit is from. ``use_pct`` is null for a limit of 0 that is broken."""

    name: str
    sense: Literal["most", "least"]
    ok: bool
    waived_by_permit: bool
    use_pct: float | None
    basis: str


class WeightCheck(CheckBase):
    """A check in pounds."""

    unit: Literal["lb"]
    value_lb: float
    worst_lb: float
    limit_lb: float
    margin_lb: float


class LengthCheck(CheckBase):
    """A check in inches."""

    unit: Literal["in"]
    value_in: float
    worst_in: float
    limit_in: float
    margin_in: float


class ShareCheck(CheckBase):
    """A check in per cent."""

    unit: Literal["pct"]
    value_pct: float
    worst_pct: float
    limit_pct: float
    margin_pct: float


class CountCheck(CheckBase):
    """A check by number."""

    unit: Literal["count"]
    value_count: float
    worst_count: float
    limit_count: float
    margin_count: float


CheckRecord = Annotated[WeightCheck | LengthCheck | ShareCheck | CountCheck, Field(discriminator="unit")]


class LegRecord(Record):
    """A stretch of road with a fixed set of items on deck; nominal loads, front to rear."""

    leg: int
    origin: str
    destination: str
    depart_min: int
    arrive_min: int
    on_deck: list[str]
    gross_lb: float
    coupler_lb: float
    truck_front_lb: float
    truck_rear_lb: float
    trailer_axles_lb: list[float]
    checks: list[CheckRecord]


class StopRecord(Record):
    """One item coming on or off at one stop."""

    stop: int
    site: str
    arrive: str
    arrive_min: int
    leave: str
    leave_min: int
    action: Literal["load", "unload"]
    move: str
    item: str
    on_deck_after: str


class PlaceRecord(Record):
    """Where an item stands and how it is held."""

    order: int
    move: str
    item: str
    deck: Literal["main", "neck"]
    facing: Literal["forward", "rearward"]
    front_edge_behind_deck_front_in: int
    front_edge_behind_coupler_in: float
    weight_lb: float
    weight_high_lb: float
    weight_basis: str
    chains: int
    straps: int
    least_wll_lb: float
    least_wll_each_lb: float


class CautionRecord(Record):
    """Something the driver must know that forbids nothing."""

    name: str
    text: str


class TripRecord(Record):
    """One trip with its stops, places, legs and checks."""

    trip: int
    rig: str
    truck: str
    trailer: str
    driver: str
    start: str
    start_min: int
    end: str
    end_min: int
    loaded_mi: float
    empty_before_mi: float
    heaviest_gross_lb: float
    tightest_check: str
    tightest_use_pct: float
    cost_usd: float
    permit: str
    stops: list[StopRecord]
    places: list[PlaceRecord]
    legs: list[LegRecord]
    checks_once: list[CheckRecord]
    cautions: list[CautionRecord]


class BarRecord(Record):
    """What a rig does for a while; trip 0 is the way home."""

    rig: str
    trip: int
    doing: str
    from_min: int
    to_min: int
    place: str


class ReasonRecord(Record):
    """What one rig says to a move left out."""

    rig: str
    reason: str


class LeftOutRecord(Record):
    """A move left out: why, and what would change it."""

    move: str
    item: str
    reasons: list[ReasonRecord]
    change: str


class PlanDocument(Record):
    """A day's plan."""

    format: Literal["haulday plan 1"]
    cautions: list[str]
    used: UsedRecord
    summary: SummaryRecord
    trips: list[TripRecord]
    left_out: list[LeftOutRecord]
    timeline: list[BarRecord]
