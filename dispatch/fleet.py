"""Trucks, trailers and rigs as their plates, placards and scale tickets give them; pounds and inches."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dispatch.items import Weight


class Hitch(StrEnum):
    """How truck and trailer are coupled."""

    GOOSENECK = "gooseneck"
    FIFTH_WHEEL = "fifth wheel"
    PINTLE = "pintle"
    BALL = "ball"


class Deck(StrEnum):
    """Which deck carries an item."""

    MAIN = "main"
    NECK = "neck"


class Licence(StrEnum):
    """The driver's class. Every class of every rule set; the rule set says which it has and which a rig needs."""

    NONE = "none"
    C = "C"
    B = "B"
    A = "A"
    B96 = "B96"
    BE = "BE"
    C1 = "C1"
    C1E = "C1E"
    CE = "CE"
    D = "D"
    G = "G"
    CLASS_1 = "1"
    CLASS_3 = "3"
    CLASS_5 = "5"


@dataclass(frozen=True, slots=True)
class Truck:
    """A truck. y = 0 at the steer axle, positive rearward; empty weights with driver and fuel in.

    ``coupler_ahead_in``: coupler ahead of the middle of the rear group, negative when behind.
    ``rear_tyres``: all tyres of the rear group. Tyre ratings are sums over the position.
    """

    name: str
    gvwr_lb: float
    gcwr_lb: float
    front_rating_lb: float
    rear_rating_lb: float
    empty_front_lb: float
    empty_rear_lb: float
    wheelbase_in: float
    coupler_ahead_in: float
    rear_axles: int = 1
    rear_axle_spacing_in: float = 51.0
    front_tyre_rating_lb: float | None = None
    rear_tyre_rating_lb: float | None = None
    front_tyre_width_in: float | None = None
    rear_tyre_width_in: float | None = None
    rear_tyres: int = 4
    tow_rating_lb: float | None = None
    hitch_rating_lb: float | None = None
    hitch: Hitch = Hitch.GOOSENECK
    registered_weight_lb: float | None = None
    front_overhang_in: float = 36.0
    height_in: float | None = None

    @property
    def coupler_in(self) -> float:
        """The coupler's place c, inches behind the steer axle."""
        return self.wheelbase_in - self.coupler_ahead_in


@dataclass(frozen=True, slots=True)
class NeckDeck:
    """The deck over a gooseneck's neck. ``from_coupler_in``: its front edge, negative ahead of the coupler."""

    from_coupler_in: float
    length_in: float
    width_in: float
    height_in: float
    rating_lb: float | None = None


@dataclass(frozen=True, slots=True)
class Trailer:
    """A trailer. x = 0 at the coupler, positive rearward; empty coupler and axle weights from a scale.

    ``deck_length_in`` includes the dovetail; ``shares`` sum to 1, one an axle; ``tyre_rating_lb`` is the
    sum of one axle's tyres; ``axle_rating_lb`` is one axle's.
    """

    name: str
    hitch: Hitch
    gvwr_lb: float
    axles: int
    axle_rating_lb: float
    axle_spacing_in: float
    coupler_to_first_axle_in: float
    empty_coupler: Weight
    empty_axles: Weight
    shares: tuple[float, ...]
    deck_from_coupler_in: float
    deck_length_in: float
    deck_width_in: float
    deck_height_in: float
    tyre_rating_lb: float | None = None
    tyres_per_axle: int = 4
    tyre_width_in: float | None = None
    coupler_rating_lb: float | None = None
    dovetail_length_in: float = 0.0
    dovetail_rating_lb: float | None = None
    ramp_rating_lb: float | None = None
    loading_angle_deg: float = 12.0
    deck_to_rear_in: float = 0.0
    neck: NeckDeck | None = None
    winch_pull_lb: float = 0.0
    snatch_block: bool = False
    anchor_points: int | None = None
    anchor_rating_lb: float | None = None
    options_note: str = ""


@dataclass(frozen=True, slots=True)
class Rig:
    """An available truck-and-trailer pair with driver, yard and shift (minutes after midnight)."""

    name: str
    truck: Truck
    trailer: Trailer
    driver: str
    licence: Licence
    yard: str
    end: str
    shift_start_min: int
    shift_end_min: int
    driving_limit_min: int | None = None
    chains: int = 8
    chain_rating_lb: float | None = None
    straps: int = 4
    strap_rating_lb: float | None = None
    cost_per_hour_usd: float = 0.0
    cost_per_mile_usd: float = 0.0
    cost_per_trip_usd: float = 0.0
    overtime_after_min: int | None = None
    overtime_factor: float = 1.5
