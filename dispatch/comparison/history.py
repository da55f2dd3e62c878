"""Many days and several fleets: every day's problem under every variant of the fleet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from dispatch.comparison.candidates import Candidate
from dispatch.fleet import Rig
from dispatch.money.outside_haul import OutsideRow
from dispatch.moves import Move
from dispatch.problem import Problem

TODAY = "today"
"""The name of the one fleet where the input names none."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """What has to be bought for a variant and what keeping it costs: dollars as typed, years, per cent."""

    price_usd: Decimal
    life_years: Decimal
    salvage_pct: Decimal = Decimal(0)
    interest_pct: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Variant:
    """A fleet. ``ownership_usd``: what owning it costs a year, all in all, where that is given.

    ``fixed_usd``: licence, insurance and tax a year, on top of what the purchase gives. ``days_per_year``: days
    like those of the history in a year. The year of a fleet counts what it costs beyond the base fleet.
    """

    name: str
    description: str = ""
    ownership_usd: Decimal | None = None
    purchase: Purchase | None = None
    fixed_usd: Decimal = Decimal(0)
    days_per_year: Decimal = Decimal(250)


@dataclass(frozen=True, slots=True)
class DayVariant:
    """One day under one variant, by their names."""

    day: str
    variant: str


@dataclass(frozen=True, slots=True)
class History:
    """``variants``: today's fleet, the base, comes first. ``problems`` holds every day under every variant.

    ``candidates``: trailers on offer for the base fleet.
    """

    days: tuple[str, ...]
    variants: tuple[Variant, ...]
    problems: Mapping[DayVariant, Problem] = field(repr=False)
    outside: tuple[OutsideRow, ...] = ()
    candidates: tuple[Candidate, ...] = ()

    @property
    def base(self) -> Variant:
        """The fleet that the others are compared with."""
        return self.variants[0]

    @property
    def others(self) -> tuple[Variant, ...]:
        """Every variant but the base."""
        return self.variants[1:]

    def problem(self, day: str, variant: str) -> Problem:
        """The day under the variant; raises KeyError when there is no such day or variant."""
        return self.problems[DayVariant(day, variant)]


def contains(larger: Problem, smaller: Problem) -> bool:
    """Whether every plan of ``smaller`` is legal in ``larger``: its rigs are there unchanged, others may be.

    A rig that stays in the yard binds nobody, so a fleet with more rigs can do all that the smaller one can. All
    else must be the same; what moves say of rigs that the smaller lacks (Only rigs, Not rigs) may differ.
    """
    same_day = (
        _alike_for(smaller.rigs, larger.moves, smaller.moves)
        and larger.hauls == smaller.hauls
        and larger.settings == smaller.settings
        and larger.rules == smaller.rules
        and larger.roads == smaller.roads
        and dict(larger.sites) == dict(smaller.sites)
    )
    return same_day and all(rig in larger.rigs for rig in smaller.rigs)


def _alike_for(rigs: Sequence[Rig], ours: Sequence[Move], theirs: Sequence[Move]) -> bool:
    """Whether the moves are the same for these rigs."""
    if ours == theirs:
        return True

    def seen(move: Move) -> tuple[Move, list[bool]]:
        may = [(not move.only_rigs or rig.name in move.only_rigs, rig.name in move.not_rigs) for rig in rigs]
        return replace(move, only_rigs=(), not_rigs=()), [only and not ruled_out for only, ruled_out in may]

    return len(ours) == len(theirs) and all(seen(a) == seen(b) for a, b in zip(ours, theirs, strict=True))
