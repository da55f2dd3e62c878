"""Trailers on offer: the sets of options that each can come with, and the fleet that it would make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from dispatch.fleet import Rig, Trailer
from dispatch.moves import Move
from dispatch.problem import Problem
from dispatch.ratings import payload_lb


@dataclass(frozen=True, slots=True)
class Build:
    """A candidate with a set of its options: one trailer, one price in dollars. ``options`` in input order."""

    options: tuple[str, ...]
    trailer: Trailer = field(repr=False)
    price_usd: Decimal

    @property
    def empty_lb(self) -> float:
        """Empty weight, coupler and axles together, nominal pounds."""
        return self.trailer.empty_coupler.nominal_lb + self.trailer.empty_axles.nominal_lb

    @property
    def payload_lb(self) -> float:
        """What the plate leaves beside the empty weight, pounds: GVWR less empty weight."""
        return payload_lb(self.trailer.gvwr_lb, self.empty_lb)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A trailer on offer. ``builds``: every set of options that may be bought together, none of them first.

    ``behind``: rigs of the base fleet. With ``replaces`` these rigs get the candidate in place of their own
    trailer; otherwise it is one trailer more, and the truck and driver of each of these rigs take turns between
    the two. Years, per cent, dollars a year as typed, as for a ``Variant``; costs per hour and mile ``None``: as
    the rig has them with its own trailer.
    """

    name: str
    behind: tuple[str, ...]
    replaces: bool
    builds: tuple[Build, ...]
    life_years: Decimal
    salvage_pct: Decimal = Decimal(0)
    interest_pct: Decimal = Decimal(0)
    fixed_usd: Decimal = Decimal(0)
    days_per_year: Decimal = Decimal(250)
    cost_per_hour_usd: float | None = None
    cost_per_mile_usd: float | None = None

    @property
    def bare(self) -> Build:
        """Without any option."""
        return self.builds[0]

    def label(self, build: Build) -> str:
        """``L-40 with third axle, winch``; the bare name without options."""
        return f"{self.name} with {', '.join(build.options)}" if build.options else self.name

    def adds_lb(self, build: Build) -> float:
        """What the options add to the empty weight, pounds: payload lost where the plate stays as it is."""
        return build.empty_lb - self.bare.empty_lb


def rig_name(rig: str, candidate: str) -> str:
    """The name of the rig that a truck makes with the candidate beside its own trailer."""
    return f"{rig} with {candidate}"


def new_rigs(rigs: Mapping[str, Rig], candidate: Candidate, build: Build) -> dict[str, Rig]:
    """The rigs that the candidate makes, by the rig of the base fleet that each stands behind.

    A rig whose trailer is replaced keeps its name. Raises KeyError when the fleet lacks a rig.
    """
    return {name: _new_rig(rigs[name], candidate, build) for name in candidate.behind}


def _new_rig(rig: Rig, candidate: Candidate, build: Build) -> Rig:
    hour, mile = candidate.cost_per_hour_usd, candidate.cost_per_mile_usd
    return replace(
        rig,
        name=rig.name if candidate.replaces else rig_name(rig.name, candidate.name),
        trailer=build.trailer,
        cost_per_hour_usd=rig.cost_per_hour_usd if hour is None else hour,
        cost_per_mile_usd=rig.cost_per_mile_usd if mile is None else mile,
    )


def fleet_with(base: Problem, candidate: Candidate, build: Build) -> Problem:
    """The day of the base fleet with the candidate in it.

    Only rigs and Not rigs of a move hold for the new rig as they do for the one whose truck and driver it shares.
    Raises KeyError when the base fleet lacks a rig that the candidate names.
    """
    made = new_rigs({rig.name: rig for rig in base.rigs}, candidate, build)
    if candidate.replaces:
        return replace(base, rigs=tuple(made.get(rig.name, rig) for rig in base.rigs))
    names = {old: new.name for old, new in made.items()}
    moves = tuple(_for_new_rigs(move, names) for move in base.moves)
    return replace(base, rigs=(*base.rigs, *made.values()), moves=moves)


def _for_new_rigs(move: Move, names: Mapping[str, str]) -> Move:
    def more(rigs: tuple[str, ...]) -> tuple[str, ...]:
        return (*rigs, *(new for old, new in names.items() if old in rigs))

    return replace(move, only_rigs=more(move.only_rigs), not_rigs=more(move.not_rigs))
