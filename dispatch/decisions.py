"""What the mix of days leaves open, as decisions with two ways each; and which of them to take.

The number of trips or of days of a group may be a fraction, and a unit may be hauled in part by one part of the
fleet and in part by the rest. Which decision tells most is learnt: what its two ways raised the value by when they
were tried before; a decision of which little is known is tried.
Source of the idea: Achterberg, Koch, Martin, "Branching rules revisited", Operations Research Letters 33 (2005),
reliability branching; from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from dispatch.branch_master import Branch
from dispatch.highs import INFINITE
from dispatch.rig_days import Day

WHOLE = 1e-5
"""A share nearer than this to a whole number is one."""
LEAST_RISE = 1e-3
TRIED = 4
"""Decisions whose ways are tried at a branch, at most."""
RELIABLE = 4
"""A decision tried so often is known."""
FAR_FROM_HALF = 0.4
"""A unit hauled nearly wholly by one part of the fleet is no decision worth taking."""

Ways = tuple[Branch, Branch]
Key = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Decision:
    """What is decided (``key``: the kind, and the group or unit), and the two ways."""

    key: Key
    ways: Ways


def decisions(
    branch: Branch, groups: int, units: Sequence[int], mixed: Sequence[tuple[Day, float]]
) -> list[Decision]:
    """What the mix (days, shares) leaves open in a branch; empty where it is whole in all that counts."""
    found = _of_groups(branch, groups, mixed) + _of_units(branch, groups, units, mixed)
    # A unit that is partly left out may have been barred from the others before: that way leads nowhere new.
    return [decision for decision in found if branch not in decision.ways]


def _of_groups(branch: Branch, groups: int, mixed: Sequence[tuple[Day, float]]) -> list[Decision]:
    found = []
    for group in range(groups):
        own = [(day, share) for day, share in mixed if day.group == group]
        for kind, narrowed, total in (
            ("trips", branch.with_trips, sum(share * day.trips for day, share in own)),
            ("days", branch.with_days, sum(share for _, share in own)),
        ):
            low = math.floor(total)
            if WHOLE < total - low < 1 - WHOLE:
                ways = narrowed(group, (0.0, float(low))), narrowed(group, (low + 1.0, INFINITE))
                found.append(Decision((kind, group), ways))
    return found


def _of_units(
    branch: Branch, groups: int, units: Sequence[int], mixed: Sequence[tuple[Day, float]]
) -> list[Decision]:
    """For each unit the parts of the fleet that haul about half of it each; those nearest to half if none do."""
    found = []
    for unit in units:
        shares = [0.0] * groups
        for day, share in mixed:
            if day.units >> unit & 1:
                shares[day.group] += share
        inside, total = _about_half(shares)
        if WHOLE < total < 1 - WHOLE:
            outside = [group for group in range(groups) if group not in inside]
            ways = branch.without(unit, inside), branch.without(unit, outside)
            found.append((abs(total - 0.5), Decision(("unit", unit), ways)))
    near = [decision for far, decision in found if far < FAR_FROM_HALF]
    return near or [decision for _, decision in found]


def _about_half(shares: Sequence[float]) -> tuple[list[int], float]:
    """Groups whose shares come to half or the one with the greatest, and their sum."""
    inside: list[int] = []
    total = 0.0
    for group in sorted(range(len(shares)), key=lambda group: -shares[group]):
        if shares[group] > WHOLE and total + shares[group] <= max(0.5, shares[group]) + WHOLE:
            inside.append(group)
            total += shares[group]
    return inside, total


@dataclass(slots=True)
class _Known:
    low: float = 0.0
    high: float = 0.0
    times: int = 0

    @property
    def score(self) -> float:
        return (self.low / self.times + LEAST_RISE) * (self.high / self.times + LEAST_RISE)


@dataclass(slots=True)
class Experience:
    """What decisions have been worth."""

    _known: dict[Key, _Known] = field(default_factory=dict)

    def choose(self, open_: Sequence[Decision], tried: Callable[[Ways], tuple[float, float]]) -> Ways:
        """The ways of the decision that raises the value most on both sides; ``tried`` says by how much."""
        ranked = sorted(open_, key=lambda decision: -self._expected(decision.key))
        best, most = ranked[0], -1.0
        tries = 0
        for decision in ranked:
            known = self._known.setdefault(decision.key, _Known())
            if known.times >= RELIABLE:
                score = known.score
            elif tries < TRIED:
                tries += 1
                low, high = tried(decision.ways)
                known.low += low
                known.high += high
                known.times += 1
                score = (low + LEAST_RISE) * (high + LEAST_RISE)
            else:
                continue
            if score > most:
                best, most = decision, score
        return best.ways

    def _expected(self, key: Key) -> float:
        """What it was worth before; as much as the best of its kind where nothing is known."""
        if key in self._known and self._known[key].times:
            return self._known[key].score
        return max(
            (one.score for other, one in self._known.items() if other[0] == key[0] and one.times), default=math.inf
        )
