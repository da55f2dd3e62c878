"""The day's settings with their defaults; lengths in inches, shares and tolerances in per cent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from dispatch.fleet import Hitch
from dispatch.items import Weight, WeightBasis


class Objective(StrEnum):
    """What comes first after the moves left out."""

    TRIPS_FIRST = "trips first"
    COST_FIRST = "cost first"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a true weight may lie over or under the stated one, per cent of the stated one."""

    over_pct: float
    under_pct: float


@dataclass(frozen=True, slots=True)
class Band:
    """Coupler share of the loaded trailer, least and most, per cent."""

    least_pct: float
    most_pct: float


TOLERANCES: Mapping[WeightBasis, Tolerance] = MappingProxyType(
    {
        WeightBasis.SCALE_TICKET: Tolerance(0.5, 0.5),
        WeightBasis.DATA_PLATE: Tolerance(3.0, 2.0),
        WeightBasis.CATALOGUE_BASE: Tolerance(10.0, 0.0),
        WeightBasis.ESTIMATE: Tolerance(10.0, 10.0),
    }
)
COUPLER_BANDS: Mapping[Hitch, Band] = MappingProxyType(
    {
        Hitch.GOOSENECK: Band(15.0, 30.0),
        Hitch.FIFTH_WHEEL: Band(0.0, 100.0),
        Hitch.PINTLE: Band(10.0, 20.0),
        Hitch.BALL: Band(10.0, 20.0),
    }
)


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything the Settings sheet can change. Speeds in mph, times in minutes, lengths in inches."""

    day: str = ""
    jurisdiction: str = "US federal"
    objective: Objective = Objective.TRIPS_FIRST
    time_limit_s: float = 60.0
    circuity_factor: float = 1.3
    speed_loaded_mph: float = 40.0
    speed_empty_mph: float = 45.0
    hook_min: int = 20
    load_min: int = 20
    unload_min: int = 15
    gap_in: float = 12.0
    front_clearance_in: float = 6.0
    rear_overhang_in: float = 0.0
    steer_least_pct: float = 80.0
    rolling_wheels: float = 0.10
    rolling_tracks: float = 0.25
    most_items_per_trip: int = 5
    scale_tolerance_lb: float = 20.0
    scale_tolerance_pct: float = 0.2
    tape_tolerance_in: float = 1.0
    metric_weight: bool = False
    metric_distance: bool = False
    tolerances: Mapping[WeightBasis, Tolerance] = field(default_factory=lambda: TOLERANCES)
    coupler_bands: Mapping[Hitch, Band] = field(default_factory=lambda: COUPLER_BANDS)

    def weight(self, nominal_lb: float, basis: WeightBasis) -> Weight:
        """The weight with its least and greatest true value under the basis's tolerance, pounds."""
        tolerance = self.tolerances[basis]
        low_lb = nominal_lb * (1 - tolerance.under_pct / 100)
        high_lb = nominal_lb * (1 + tolerance.over_pct / 100)
        return Weight(nominal_lb, low_lb, high_lb, basis)
