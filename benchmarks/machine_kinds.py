"""What the benchmark days haul: invented machines, attachments and material with the figures of their kind.

Sizes, weights and centres of gravity are such as the demo in ``scenarios/morning`` has them: common practice, no
source. Inches and pounds; lengths from the item's own front.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, WeightBasis
from dispatch.settings import Settings

EITHER = (Facing.FORWARD, Facing.REARWARD)
LESS = (0.95, 0.98, 1.0, 1.0)
"""Shares of the kind's weight that units of it have: attachments off, tanks half full."""


@dataclass(frozen=True, slots=True)
class MachineKind:
    """A kind of item; ``share``: how often it is moved, compared with the others.

    ``cg_in``, ``contact_from_in`` and ``contact_in`` of skids are those of their whole length.
    """

    name: str
    share: int
    weight_lb: float
    length_in: float
    width_in: float
    height_in: float
    contact: Contact
    cg_in: float = 0.0
    contact_from_in: float = 0.0
    contact_in: float = 0.0
    contact_width_in: float = 0.0
    what: Kind = Kind.MACHINE

    def item(self, name: str, basis: WeightBasis = WeightBasis.DATA_PLATE, part: float = 1.0) -> Item:
        """One of the kind; ``part``: its share of the kind's weight."""
        skids = self.contact is Contact.SKIDS
        return Item(
            name=name,
            description=self.name,
            kind=self.what,
            weight=Settings().weight(round(self.weight_lb * part, -1), basis),
            length_in=self.length_in,
            width_in=self.width_in,
            height_in=self.height_in,
            cg_in=self.length_in / 2 if skids else self.cg_in,
            contact_from_in=self.contact_from_in,
            contact_length_in=self.length_in if skids else self.contact_in,
            contact_width_in=self.width_in if skids else self.contact_width_in,
            contact=self.contact,
            two_axles=False,
            loads_by=LoadsBy.LIFTED if skids else LoadsBy.DRIVES_ON,
            facings=EITHER,
            tie_down_points=4,
        )

    def drawn(self, rng: random.Random, name: str) -> Item:
        """One of the kind with a drawn weight and where that is from."""
        basis = rng.choice([WeightBasis.SCALE_TICKET, WeightBasis.DATA_PLATE, WeightBasis.DATA_PLATE])
        return self.item(name, basis, rng.choice(LESS))


_TRACKS, _WHEELS, _SKIDS = Contact.TRACKS, Contact.WHEELS, Contact.SKIDS
KINDS = (
    MachineKind("micro excavator", 5, 3_950, 144, 39, 92, _TRACKS, 90, 62, 52, 38),
    MachineKind("mini excavator", 9, 7_980, 186, 71, 98, _TRACKS, 115, 82, 67, 70),
    MachineKind("larger mini excavator", 7, 11_650, 206, 80, 101, _TRACKS, 137, 101, 77, 79),
    MachineKind("midi excavator", 4, 15_400, 228, 89, 104, _TRACKS, 156, 115, 88, 88),
    MachineKind("crawler excavator", 5, 34_200, 298, 102, 119, _TRACKS, 223, 158, 125, 101),
    MachineKind("skid steer", 9, 8_300, 137, 72, 80, _WHEELS, 86, 55, 44, 67),
    MachineKind("compact track loader", 9, 10_140, 143, 76, 83, _TRACKS, 89, 54, 62, 73),
    MachineKind("small track loader", 5, 5_350, 112, 48, 78, _TRACKS, 62, 38, 48, 46),
    MachineKind("tracked dumper", 4, 4_400, 130, 62, 90, _TRACKS, 66, 24, 84, 60),
    MachineKind("compact wheel loader", 4, 12_300, 210, 76, 100, _WHEELS, 118, 78, 86, 74),
    MachineKind("large track loader", 5, 12_700, 152, 79, 84, _TRACKS, 96, 56, 68, 76),
    MachineKind("compact dozer", 4, 14_900, 150, 88, 106, _TRACKS, 84, 46, 86, 76),
    MachineKind("small dozer", 3, 18_900, 174, 98, 110, _TRACKS, 97, 54, 94, 85),
    MachineKind("single-drum roller", 3, 22_600, 222, 91, 118, _WHEELS, 83, 30, 115, 84),
    MachineKind("trench roller", 4, 3_250, 78, 34, 50, _WHEELS, 39, 8, 62, 33),
    MachineKind("double-drum roller", 6, 5_900, 100, 53, 102, _WHEELS, 50, 14, 71, 47),
    MachineKind("backhoe loader", 4, 14_600, 282, 91, 112, _WHEELS, 121, 67, 84, 88),
    MachineKind("telehandler", 3, 22_400, 240, 100, 102, _WHEELS, 127, 62, 130, 97),
    MachineKind("scissor lift", 5, 6_300, 98, 46, 94, _WHEELS, 50, 12, 73, 45),
    MachineKind("trench box", 3, 4_650, 192, 60, 48, _SKIDS, what=Kind.ATTACHMENT),
    MachineKind("generator", 4, 4_300, 102, 50, 67, _SKIDS),
    MachineKind("pump", 4, 2_900, 84, 48, 58, _SKIDS),
    MachineKind("timber mats", 3, 12_400, 192, 96, 48, _SKIDS, what=Kind.MATERIAL),
    MachineKind("steel casing", 2, 14_850, 432, 78, 38, _SKIDS, what=Kind.MATERIAL),
)
