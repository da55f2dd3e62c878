"""The instance: fleet, sites, moves and settings, cross-checked, with the hauls that trips are made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from dispatch.fleet import Rig
from dispatch.items import Item
from dispatch.limits import RuleSet
from dispatch.moves import Haul, Move
from dispatch.settings import Settings
from dispatch.sites import Road, Site


@dataclass(frozen=True, slots=True)
class Problem:
    """One day to plan. Build it with ``assemble.assemble``; rigs are the available ones, in input order.

    ``hauls`` hold every move's item first (``hauls[i]`` carries ``moves[i]``), then companions without a move
    of their own. ``together``: groups of haul indices that must ride on the same trip (every haul is in exactly
    one group; most groups hold one). ``successors``: (i, j) where one machine makes both moves and haul j's
    pickup comes after, and at the place of, haul i's drop.
    """

    items: tuple[Item, ...]
    rigs: tuple[Rig, ...]
    sites: Mapping[str, Site]
    moves: tuple[Move, ...]
    hauls: tuple[Haul, ...]
    together: tuple[tuple[int, ...], ...]
    successors: tuple[tuple[int, int], ...]
    roads: tuple[Road, ...]
    settings: Settings
    rules: RuleSet

    def rig(self, name: str) -> Rig:
        """The rig of that name; raises KeyError when there is none."""
        for rig in self.rigs:
            if rig.name == name:
                return rig
        raise KeyError(name)

    def may_carry(self, rig: Rig, move: Move) -> bool:
        """Whether the move's Only rigs / Not rigs columns allow the rig."""
        return (not move.only_rigs or rig.name in move.only_rigs) and rig.name not in move.not_rigs


@dataclass(frozen=True, slots=True)
class Fault:
    """A contradiction between sheets, addressed by sheet, row key and column; the reader adds file and row."""

    sheet: str
    key: str
    column: str
    value: str
    expected: str
    mend: str


def shares_gear(first: Rig, second: Rig) -> tuple[str, ...]:
    """What two different rigs share and so cannot both have out: any of ``truck``, ``trailer``, ``driver``."""
    shared = []
    if first.truck.name == second.truck.name:
        shared.append("truck")
    if first.trailer.name == second.trailer.name:
        shared.append("trailer")
    if first.driver and first.driver == second.driver:
        shared.append("driver")
    return tuple(shared)


def frozen_sites(sites: Mapping[str, Site]) -> Mapping[str, Site]:
    """A read-only copy, in the given order."""
    return MappingProxyType(dict(sites))
