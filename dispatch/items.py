"""What is hauled: machines, attachments, material. Frozen and plain; pounds and inches."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What an item is; the securement rules ask."""

    MACHINE = "machine"
    ATTACHMENT = "attachment"
    MATERIAL = "material"


class WeightBasis(StrEnum):
    """Where a weight comes from; each basis has its tolerance in Settings."""

    SCALE_TICKET = "scale ticket"
    DATA_PLATE = "data plate"
    CATALOGUE_BASE = "catalogue base"
    ESTIMATE = "estimate"


class Contact(StrEnum):
    """What touches the deck."""

    TRACKS = "tracks"
    WHEELS = "wheels"
    SKIDS = "skids"


class LoadsBy(StrEnum):
    """How an item comes on and off a deck."""

    DRIVES_ON = "drives on"
    WINCHED = "winched"
    LIFTED = "lifted"


class Facing(StrEnum):
    """Which way an item faces on deck: forward is nose to the truck."""

    FORWARD = "forward"
    REARWARD = "rearward"


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight in pounds with the least and the greatest true weight within its basis's tolerance."""

    nominal_lb: float
    low_lb: float
    high_lb: float
    basis: WeightBasis


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to haul. Lengths in inches from its own front; height as transported.

    ``cg_in`` lies within the contact patch (an item whose centre of gravity does not is an input problem).
    ``two_axles``: the ends of the contact patch are axles and the item stands on two point loads.
    """

    name: str
    description: str
    kind: Kind
    weight: Weight
    length_in: float
    width_in: float
    height_in: float
    cg_in: float
    contact_from_in: float
    contact_length_in: float
    contact_width_in: float
    contact: Contact
    two_axles: bool
    loads_by: LoadsBy
    facings: tuple[Facing, ...]
    tie_down_points: int
    value_usd: float | None = None
