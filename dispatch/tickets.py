"""Scale tickets: what a scale read, how far each reading may be off, and what stood on deck meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from dispatch.axle_loads import cg_in, to_coupler
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item


class Axles(StrEnum):
    """What stood on the platform that a reading belongs to; the value is the column of the sheet."""

    FRONT = "Front"
    REAR = "Rear"
    TRAILER = "Trailer"


@dataclass(frozen=True, slots=True)
class ScaleTolerance:
    """How far a reading may be off, either way: so many pounds or so many per cent of it, whichever is more."""

    lb: float
    pct: float = 0.0

    def of(self, reading_lb: float) -> float:
        """The tolerance of one reading, pounds."""
        return max(self.lb, abs(reading_lb) * self.pct / 100)


@dataclass(frozen=True, slots=True)
class Standing:
    """One item on deck: its edge nearest the truck, inches behind the front of the deck that carries it."""

    item: Item
    front_edge_in: float
    facing: Facing = Facing.FORWARD
    deck: Deck = Deck.MAIN

    def cg_behind_coupler_in(self, rig: Rig) -> float:
        """Centre of gravity as the sheet gives it, inches behind the coupler."""
        return to_coupler(rig.trailer, self.deck, cg_in(self.item, self.facing, self.front_edge_in))

    def front_end_in(self, rig: Rig) -> float:
        """Where the item's own front end is, inches behind the coupler: facing rearward it is the far edge."""
        edge = to_coupler(rig.trailer, self.deck, self.front_edge_in)
        return edge if self.facing is Facing.FORWARD else edge + self.item.length_in

    @property
    def sign(self) -> int:
        """Which way the item's own inches run: 1 rearward as the deck's, -1 when it faces rearward."""
        return 1 if self.facing is Facing.FORWARD else -1


@dataclass(frozen=True, slots=True)
class Reading:
    """One weight on a ticket with its tolerance, pounds."""

    axles: Axles
    weighed_lb: float
    tolerance_lb: float


@dataclass(frozen=True, slots=True)
class Ticket:
    """One weighing, pounds. ``trailer_lb``: all trailer axles, coupled; ``None`` for a truck alone.

    A ticket with a trailer and nothing on deck is an empty rig's; a truck alone carries nothing.
    """

    name: str
    rig: Rig
    front_lb: float
    rear_lb: float
    trailer_lb: float | None
    on_deck: tuple[Standing, ...]
    tolerance: ScaleTolerance
    day: str = ""

    @property
    def alone(self) -> bool:
        """Whether the truck stood there without its trailer."""
        return self.trailer_lb is None

    @property
    def loaded(self) -> bool:
        """Whether something stood on deck."""
        return bool(self.on_deck)

    @property
    def empty_rig(self) -> bool:
        """Whether truck and trailer were weighed coupled and empty."""
        return not self.alone and not self.loaded

    @property
    def total_lb(self) -> float:
        """All readings together."""
        return self.front_lb + self.rear_lb + (self.trailer_lb or 0.0)

    @property
    def total_tolerance_lb(self) -> float:
        """How far the total may be off when every reading is off the same way."""
        return sum(reading.tolerance_lb for reading in self.readings())

    @property
    def items(self) -> frozenset[str]:
        """Names of what stood on deck."""
        return frozenset(standing.item.name for standing in self.on_deck)

    def readings(self) -> Iterator[Reading]:
        """The readings from front to rear."""
        both = ((Axles.FRONT, self.front_lb), (Axles.REAR, self.rear_lb), (Axles.TRAILER, self.trailer_lb))
        for axles, weighed in both:
            if weighed is not None:
                yield Reading(axles, weighed, self.tolerance.of(weighed))

    def reading(self, axles: Axles) -> Reading:
        """One of the readings; raises KeyError for the trailer of a truck alone."""
        for reading in self.readings():
            if reading.axles is axles:
                return reading
        raise KeyError(axles)
