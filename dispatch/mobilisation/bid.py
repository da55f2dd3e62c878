"""A bid as the estimator states it: machines, from where to where, in which phase, for how long."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from dispatch.items import Item


class Direction(StrEnum):
    """Which way a machine goes: to the job, or from it."""

    IN = "in"
    OUT = "out"


@dataclass(frozen=True, slots=True)
class BidLine:
    """One row of the bid: ``quantity`` machines alike.

    ``item`` stands for each of them; ``chosen`` says whether it is a machine of the sheet Items, or a kind whose
    machine is not chosen yet. ``out_to``: where it goes when the phase ends; ``None`` when it stays on the job.
    ``in_by``: on the job by the end of that day; ``out_after``: not fetched before that day. ``permit``: name of
    the permit to be bought, or empty. ``standby_days`` are those of each machine.
    """

    number: int
    item: Item
    chosen: bool
    quantity: int
    origin: str
    destination: str
    out_to: str | None
    phase: str
    in_by: date | None = None
    out_after: date | None = None
    standby_days: Decimal = Decimal(0)
    permit: str = ""


@dataclass(frozen=True, slots=True)
class Bid:
    """One bid. Phases are in the order in which their first line stands."""

    name: str
    lines: tuple[BidLine, ...]

    @property
    def phases(self) -> tuple[str, ...]:
        """Names of the phases."""
        return tuple(dict.fromkeys(line.phase for line in self.lines))

    def in_phase(self, phase: str) -> tuple[BidLine, ...]:
        """The lines of a phase."""
        return tuple(line for line in self.lines if line.phase == phase)


@dataclass(frozen=True, slots=True)
class Machine:
    """One machine of a bid. ``name`` is its own within the bid: ``EX-7``, or ``roller (2 of 3)``."""

    name: str
    line: BidLine

    def goes(self, direction: Direction) -> bool:
        """Whether it is hauled in that direction at all."""
        return direction is Direction.IN or self.line.out_to is not None


def machines(bid: Bid) -> tuple[Machine, ...]:
    """Every machine of the bid, quantities expanded, in the order of the lines; each has a name of its own."""
    taken: set[str] = set()
    found = []
    for line in bid.lines:
        for name in _names(line):
            own, again = name, 2
            while own in taken:
                own, again = f"{name}, {again}", again + 1
            taken.add(own)
            found.append(Machine(own, line))
    return tuple(found)


def _names(line: BidLine) -> Iterator[str]:
    if line.quantity == 1:
        yield line.item.name
        return
    for count in range(1, line.quantity + 1):
        yield f"{line.item.name} ({count} of {line.quantity})"
