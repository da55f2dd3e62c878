"""What the benchmark days haul with: invented trucks and trailers of seven kinds, as plates and scales give them.

Figures are such as the demo in ``scenarios/morning`` has them: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from benchmarks.machine_kinds import MachineKind
from dispatch.fleet import Hitch, Licence, Rig
from dispatch.placement import DeckState, LoadRequest, Placer
from tests import factories as make


@dataclass(frozen=True, slots=True, eq=False)
class RigKind:
    """Truck, trailer, gear and rates of a kind of rig, as arguments of the builders."""

    name: str
    truck: Mapping[str, Any]
    trailer: Mapping[str, Any]
    coupler_lb: float
    axles_lb: float
    gear: Mapping[str, Any]

    def rig(self, name: str, heavier_lb: float = 0.0, **more: Any) -> Rig:
        """One of the kind; ``heavier_lb``: what its trailer's axles carry empty beyond the kind's figure."""
        trailer = make.trailer(f"{name} trailer", self.coupler_lb, self.axles_lb + heavier_lb, **self.trailer)
        truck = make.truck(f"{name} truck", **self.truck)
        return make.rig(name, truck=truck, trailer=trailer, **(dict(self.gear) | more))


_HAULER = {
    "gvwr_lb": 33_000.0, "gcwr_lb": 60_000.0, "front_rating_lb": 12_000.0, "rear_rating_lb": 21_000.0,
    "empty_front_lb": 7_900.0, "empty_rear_lb": 6_300.0, "wheelbase_in": 204.0, "coupler_ahead_in": 6.0,
    "front_tyre_rating_lb": 12_350.0, "rear_tyre_rating_lb": 22_700.0, "tow_rating_lb": 40_000.0,
    "hitch_rating_lb": 30_000.0, "registered_weight_lb": 54_000.0, "height_in": 110.0,
}  # fmt: skip
_DUMP = {
    "gvwr_lb": 58_000.0, "gcwr_lb": 80_000.0, "front_rating_lb": 18_000.0, "rear_rating_lb": 40_000.0,
    "empty_front_lb": 10_800.0, "empty_rear_lb": 13_400.0, "wheelbase_in": 212.0, "coupler_ahead_in": -74.0,
    "rear_axles": 2, "rear_axle_spacing_in": 54.0, "front_tyre_rating_lb": 18_180.0,
    "rear_tyre_rating_lb": 45_400.0, "rear_tyres": 8, "tow_rating_lb": 50_000.0, "hitch_rating_lb": 12_000.0,
    "hitch": Hitch.PINTLE, "registered_weight_lb": 80_000.0, "front_overhang_in": 42.0, "height_in": 115.0,
}  # fmt: skip
_FLATBED = {
    "gvwr_lb": 33_000.0, "gcwr_lb": 54_000.0, "front_rating_lb": 12_000.0, "rear_rating_lb": 21_000.0,
    "empty_front_lb": 8_400.0, "empty_rear_lb": 7_200.0, "wheelbase_in": 196.0, "coupler_ahead_in": -60.0,
    "front_tyre_rating_lb": 12_350.0, "rear_tyre_rating_lb": 22_700.0, "tow_rating_lb": 30_000.0,
    "hitch_rating_lb": 6_000.0, "hitch": Hitch.PINTLE, "registered_weight_lb": 54_000.0, "height_in": 108.0,
}  # fmt: skip
_TRACTOR = {
    "gvwr_lb": 52_000.0, "gcwr_lb": 100_000.0, "front_rating_lb": 13_200.0, "rear_rating_lb": 40_000.0,
    "empty_front_lb": 10_300.0, "empty_rear_lb": 8_500.0, "wheelbase_in": 210.0, "coupler_ahead_in": 12.0,
    "rear_axles": 2, "rear_axle_spacing_in": 52.0, "front_tyre_rating_lb": 13_220.0,
    "rear_tyre_rating_lb": 45_400.0, "rear_tyres": 8, "tow_rating_lb": 80_000.0, "hitch_rating_lb": 50_000.0,
    "hitch": Hitch.FIFTH_WHEEL, "registered_weight_lb": 88_000.0, "front_overhang_in": 50.0, "height_in": 125.0,
}  # fmt: skip
_PICKUP = {
    "gvwr_lb": 11_900.0, "gcwr_lb": 26_000.0, "front_rating_lb": 5_600.0, "rear_rating_lb": 7_230.0,
    "empty_front_lb": 4_350.0, "empty_rear_lb": 3_250.0, "wheelbase_in": 176.0, "coupler_ahead_in": -53.0,
    "front_tyre_rating_lb": 5_680.0, "rear_tyre_rating_lb": 7_360.0, "rear_tyres": 2, "tow_rating_lb": 15_000.0,
    "hitch_rating_lb": 2_400.0, "hitch": Hitch.BALL, "registered_weight_lb": 26_000.0, "front_overhang_in": 40.0,
    "height_in": 80.0,
}  # fmt: skip

_DOVETAIL = {
    "gvwr_lb": 30_000.0, "axle_rating_lb": 7_500.0, "axle_spacing_in": 42.0, "coupler_to_first_axle_in": 240.0,
    "tyre_rating_lb": 7_600.0, "coupler_rating_lb": 25_000.0, "deck_from_coupler_in": 90.0,
    "deck_length_in": 384.0, "deck_height_in": 37.0, "dovetail_length_in": 144.0, "dovetail_rating_lb": 10_000.0,
    "loading_angle_deg": 9.0, "winch_pull_lb": 17_500.0, "anchor_points": 20, "anchor_rating_lb": 7_100.0,
    "neck": make.neck(from_coupler_in=-18.0, length_in=102.0, height_in=62.0, rating_lb=4_500.0),
}  # fmt: skip
_TANDEM = {
    "gvwr_lb": 25_900.0, "axles": 2, "axle_rating_lb": 9_500.0, "axle_spacing_in": 38.0,
    "coupler_to_first_axle_in": 270.0, "tyre_rating_lb": 9_800.0, "coupler_rating_lb": 20_000.0,
    "dovetail_length_in": 60.0, "dovetail_rating_lb": 8_000.0,
}  # fmt: skip
_TAG = {
    "hitch": Hitch.PINTLE, "gvwr_lb": 40_000.0, "axles": 2, "axle_rating_lb": 20_000.0, "axle_spacing_in": 51.0,
    "coupler_to_first_axle_in": 262.0, "tyre_rating_lb": 21_000.0, "coupler_rating_lb": 9_000.0,
    "deck_from_coupler_in": 78.0, "deck_length_in": 360.0, "dovetail_length_in": 72.0,
    "dovetail_rating_lb": 14_000.0, "ramp_rating_lb": 45_000.0, "loading_angle_deg": 14.0, "deck_to_rear_in": 6.0,
    "anchor_points": 18, "anchor_rating_lb": 7_100.0,
}  # fmt: skip
_LOWBOY = {
    "hitch": Hitch.FIFTH_WHEEL, "gvwr_lb": 70_000.0, "axles": 2, "axle_rating_lb": 25_000.0,
    "axle_spacing_in": 51.0, "coupler_to_first_axle_in": 508.0, "tyre_rating_lb": 27_000.0,
    "coupler_rating_lb": 50_000.0, "deck_from_coupler_in": 132.0, "deck_length_in": 360.0, "deck_height_in": 23.0,
    "ramp_rating_lb": 60_000.0, "loading_angle_deg": 16.0, "deck_to_rear_in": 102.0, "anchor_points": 22,
    "anchor_rating_lb": 11_500.0,
    "neck": make.neck(from_coupler_in=0.0, length_in=96.0, height_in=58.0, rating_lb=9_000.0),
}  # fmt: skip
_TILT = {
    "hitch": Hitch.PINTLE, "gvwr_lb": 22_000.0, "axles": 2, "axle_rating_lb": 10_000.0, "axle_spacing_in": 42.0,
    "coupler_to_first_axle_in": 234.0, "tyre_rating_lb": 10_600.0, "coupler_rating_lb": 5_000.0,
    "deck_from_coupler_in": 66.0, "deck_length_in": 300.0, "deck_height_in": 33.0, "loading_angle_deg": 8.0,
    "deck_to_rear_in": 4.0, "anchor_points": 14, "anchor_rating_lb": 5_400.0,
}  # fmt: skip
_STEP = {
    "hitch": Hitch.FIFTH_WHEEL, "gvwr_lb": 68_000.0, "axles": 2, "axle_rating_lb": 20_000.0,
    "axle_spacing_in": 51.0, "coupler_to_first_axle_in": 420.0, "tyre_rating_lb": 21_000.0,
    "coupler_rating_lb": 50_000.0, "deck_from_coupler_in": 96.0, "deck_length_in": 444.0, "deck_height_in": 41.0,
    "ramp_rating_lb": 18_000.0, "loading_angle_deg": 13.0, "deck_to_rear_in": 4.0, "anchor_points": 24,
    "anchor_rating_lb": 5_400.0,
    "neck": make.neck(from_coupler_in=-30.0, length_in=120.0, width_in=102.0, rating_lb=14_000.0),
}  # fmt: skip
_BUMPER_PULL = {
    "hitch": Hitch.BALL, "gvwr_lb": 14_000.0, "axles": 2, "axle_rating_lb": 7_000.0, "axle_spacing_in": 34.0,
    "coupler_to_first_axle_in": 168.0, "tyre_rating_lb": 7_040.0, "tyres_per_axle": 2,
    "coupler_rating_lb": 1_800.0, "deck_from_coupler_in": 60.0, "deck_length_in": 216.0, "deck_width_in": 81.0,
    "deck_height_in": 26.0,
    "dovetail_length_in": 24.0, "ramp_rating_lb": 12_000.0, "loading_angle_deg": 11.0, "deck_to_rear_in": 2.0,
    "anchor_points": 10, "anchor_rating_lb": 5_000.0,
}  # fmt: skip


def _gear(hour_usd: float, mile_usd: float, chains: int, chain_lb: float, **more: Any) -> dict[str, Any]:
    return {
        "cost_per_hour_usd": hour_usd, "cost_per_mile_usd": mile_usd, "overtime_after_min": 480,
        "chains": chains, "chain_rating_lb": chain_lb, "straps": 8, "strap_rating_lb": 3_335.0, **more,
    }  # fmt: skip


DOVETAIL = RigKind("dovetail gooseneck", _HAULER, _DOVETAIL, 2_700, 8_000, _gear(96, 2.35, 12, 6_600))
TAG = RigKind("dump truck and tag", _DUMP, _TAG, 1_250, 8_150, _gear(108, 2.90, 12, 6_600))
LOWBOY = RigKind("lowboy", _TRACTOR, _LOWBOY, 6_600, 9_900, _gear(138, 3.40, 14, 11_300))
GOOSENECK = RigKind("equipment gooseneck", {}, _TANDEM, 1_550, 5_900, _gear(88, 2.10, 10, 6_600))
TILT = RigKind("flatbed and tilt", _FLATBED, _TILT, 950, 4_650, _gear(90, 2.20, 10, 6_600))
STEP = RigKind("step deck", _TRACTOR, _STEP, 4_700, 8_300, _gear(132, 3.10, 12, 6_600))
BUMPER_PULL = RigKind(
    "pickup and bumper pull", _PICKUP, _BUMPER_PULL, 520, 3_080, _gear(85, 2.00, 8, 4_700, licence=Licence.NONE)
)
FLEET = (DOVETAIL, LOWBOY, TAG, GOOSENECK, TILT, DOVETAIL, STEP, TAG, LOWBOY, BUMPER_PULL, GOOSENECK, DOVETAIL)
"""The order in which a fleet grows; larger ones begin anew."""


@cache
def carries(rig_kind: RigKind, machine: MachineKind) -> bool:
    """Whether a rig of the kind may carry one of the machines by itself: asked of the product's calculator."""
    problem = make.problem([make.move(item_=machine.item("one"))], [rig_kind.rig("rig")])
    request = LoadRequest((0,), (0,), (DeckState((0,), "a", "b"),))
    return Placer(problem).find(problem.rigs[0], request) is not None
