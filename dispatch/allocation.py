"""Sharing a rig's chains, straps and anchor points among items: an exact search over small numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

from dispatch.units import SLACK_LB

MOST_PER_ITEM = 40
"""Tie-downs of one item beyond which gear is called too weak rather than too few."""

Allocation: TypeAlias = tuple[tuple[int, int], ...]
"""(chains, straps) of each item, in the order of the demands."""


@dataclass(frozen=True, slots=True)
class Gear:
    """What is carried. Ratings are working load limits in pounds, ``None`` not known (not checked).

    ``anchors``: points on the deck, ``None`` not given (not counted).
    """

    chains: int
    chain_lb: float | None
    straps: int
    strap_lb: float | None
    anchors: int | None

    def unrated(self) -> Gear:
        """The same numbers without ratings: what is enough by count alone."""
        return replace(self, chain_lb=None, strap_lb=None)

    def unlimited(self) -> Gear:
        """The same ratings in any number that an item could want."""
        return replace(self, chains=MOST_PER_ITEM, straps=MOST_PER_ITEM, anchors=None)


@dataclass(frozen=True, slots=True)
class Demand:
    """What one item asks for: tie-downs by number, aggregate in pounds, and how its tie-downs count.

    ``share`` of its rating that a tie-down counts with; ``anchors_each``: points that one tie-down occupies.
    """

    least: int
    needed_wll_lb: float
    share: float
    anchors_each: int
    chains_only: bool

    def aggregate_lb(self, chains: int, straps: int, gear: Gear) -> float | None:
        """Aggregate working load limit, pounds, of chains and straps; ``None`` when a used rating is unknown."""
        if (chains and gear.chain_lb is None) or (straps and gear.strap_lb is None):
            return None
        return self.share * (chains * (gear.chain_lb or 0.0) + straps * (gear.strap_lb or 0.0))

    def holdable(self, gear: Gear) -> bool:
        """Whether any reasonable number of this gear's tie-downs would hold the item."""
        return bool(ways_to_hold(self, gear.unlimited()))


def allocate(demands: tuple[Demand, ...], gear: Gear) -> Allocation | None:
    """Chains and straps of each item with fewest tie-downs in all, then fewest chains; ``None`` if impossible.

    Exact: among sums of chains and straps only the least anchor use matters, so a table over the two sums finds
    an allocation whenever one exists. Ties go to fewest anchors, then the first in order.
    """
    if _surely_short(demands, gear):
        return None
    return _allocate(demands, gear)


def least_short(demands: tuple[Demand, ...], gear: Gear) -> Allocation | None:
    """The allocation that asks for the fewest chains, straps and anchor points beyond those carried.

    ``None`` when the ratings are too low for an item whatever the number.
    """
    return _least_short(demands, gear)


def _surely_short(demands: tuple[Demand, ...], gear: Gear) -> bool:
    """Quick bound: the numbers alone rule it out."""
    tie_downs = sum(demand.least for demand in demands)
    chains = sum(demand.least for demand in demands if demand.chains_only)
    anchors = sum(demand.least * demand.anchors_each for demand in demands)
    return (
        tie_downs > gear.chains + gear.straps
        or chains > gear.chains
        or (gear.anchors is not None and anchors > gear.anchors)
    )


@lru_cache(maxsize=65536)
def _allocate(demands: tuple[Demand, ...], gear: Gear) -> Allocation | None:
    ends = [
        (chains + straps, chains, anchors, path) for chains, straps, anchors, path in _ends(demands, gear, gear)
    ]
    return min(ends)[3] if ends else None


@lru_cache(maxsize=4096)
def _least_short(demands: tuple[Demand, ...], gear: Gear) -> Allocation | None:
    most = gear.anchors
    ends = [
        (
            max(0, chains - gear.chains)
            + max(0, straps - gear.straps)
            + (0 if most is None else max(0, anchors - most)),
            chains + straps,
            chains,
            path,
        )
        for chains, straps, anchors, path in _ends(demands, gear, None)
    ]
    return min(ends)[3] if ends else None


def _ends(
    demands: tuple[Demand, ...], gear: Gear, limit: Gear | None
) -> Iterator[tuple[int, int, int, Allocation]]:
    """Reachable sums of chains and straps with the least anchors and the path there; within ``limit`` if given."""
    states: dict[tuple[int, int], tuple[int, Allocation]] = {(0, 0): (0, ())}
    for demand in demands:
        options = ways_to_hold(demand, gear if limit is not None else gear.unlimited())
        reached: dict[tuple[int, int], tuple[int, Allocation]] = {}
        for (chains, straps), (anchors, path) in states.items():
            for more_chains, more_straps in options:
                key = (chains + more_chains, straps + more_straps)
                uses = anchors + demand.anchors_each * (more_chains + more_straps)
                if limit is not None and not _fits(key, uses, limit):
                    continue
                value = (uses, (*path, (more_chains, more_straps)))
                if key not in reached or value < reached[key]:
                    reached[key] = value
        states = reached
    for (chains, straps), (anchors, path) in states.items():
        yield chains, straps, anchors, path


def _fits(sums: tuple[int, int], anchors: int, limit: Gear) -> bool:
    return (
        sums[0] <= limit.chains and sums[1] <= limit.straps and (limit.anchors is None or anchors <= limit.anchors)
    )


@lru_cache(maxsize=65536)
def ways_to_hold(demand: Demand, gear: Gear) -> tuple[tuple[int, int], ...]:
    """Every pair (chains, straps) that holds the item and would not with one tie-down less of either kind."""
    options: list[tuple[int, int]] = []
    for chains in range(gear.chains + 1):
        straps = _least_straps(demand, chains, gear)
        if straps > (0 if demand.chains_only else gear.straps):
            continue
        if not options or straps < options[-1][1]:
            options.append((chains, int(straps)))
        if straps == 0:
            break
    return tuple(options)


def _least_straps(demand: Demand, chains: int, gear: Gear) -> float:
    """Straps that the item needs beside so many chains; infinite when no number of them does."""
    by_number = max(0, demand.least - chains)
    if chains and gear.chain_lb is None:
        return by_number
    left_lb = demand.needed_wll_lb - SLACK_LB - demand.share * chains * (gear.chain_lb or 0.0)
    if left_lb <= 0:
        return by_number
    if gear.strap_lb is None:
        return max(by_number, 1)
    if gear.strap_lb <= 0:
        return math.inf
    return max(by_number, math.ceil(left_lb / (demand.share * gear.strap_lb)))
