"""The fewest boxes for things of several kinds: a floor by column generation, a packing, and the proof.

A linear programme over loads found by pricing gives the floor, rounded up. Where boxes must be nearly full, all
loads can be listed that waste no more than so many boxes can waste in all: a whole-number choice among them is a
packing, and when there is none for sure the floor rises by one. Elsewhere the choice is among the loads found.
Loads that turn out to be illegal are refused, and the reckoning is done again.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from dispatch.highs import INFINITE, add_column, add_row, add_whole_column, quiet_highs
from dispatch.pattern_listing import full_loads
from dispatch.pattern_pricing import Kinds, Pattern, PatternPricer
from dispatch.search_limits import Limits

TOLERANCE = 1e-6
ROUNDS = 500
REFUSALS = 60
RAISES = 5
NODES = 2_000
DEAR = 3.0
"""What hauling a thing alone costs in the linear programme once that is refused; any figure from 1 on is safe."""


@dataclass(frozen=True, slots=True)
class Packing:
    """``loads``: a packing of everything, ``None`` when none was found. No packing has fewer than ``floor``."""

    loads: tuple[Pattern, ...] | None
    floor: int


class Packer:
    """Packs kinds. ``legal`` says for sure whether a load may be used; it is asked of few."""

    def __init__(
        self, kinds: Kinds, legal: Callable[[Pattern], bool] = lambda _: True, limits: Limits | None = None
    ) -> None:
        self.kinds, self.legal, self.limits = kinds, legal, limits or Limits()
        self._refused: set[Pattern] = set()
        self._lawful: set[Pattern] = set()
        self._columns: list[Pattern] = []
        self._known: set[Pattern] = set()
        self._floor = 0
        self._exact_cover = False
        self._lp = quiet_highs()
        for count in kinds.counts:
            add_row(self._lp, float(count), INFINITE)
        for kind in np.flatnonzero(kinds.counts):
            add_column(self._lp, DEAR, {int(kind): 1.0})
        self._dear = self._lp.getNumCol()
        self._add((int(kind),) for kind in np.flatnonzero(kinds.counts))

    def pack(self) -> Packing:
        """A packing with as few loads as was found, and the floor under all."""
        for _ in range(REFUSALS):
            in_use = self._generate()
            if not self.limits.over() and self._refuse(in_use):
                continue
            loads = self._choose()
            if not self._refused.isdisjoint(loads):
                if self._exact_cover:
                    break
                self._exact_cover = True
            elif not self._refuse(loads):
                return Packing(loads, self._floor)
        return Packing(None, self._floor)

    # -- the floor ------------------------------------------------------------------------------------------

    def _add(self, patterns: Iterable[Pattern]) -> int:
        new = [pattern for pattern in patterns if pattern not in self._known]
        for pattern in new:
            self._known.add(pattern)
            self._columns.append(pattern)
            add_column(self._lp, 1.0, _entries(pattern))
        return len(new)

    def _generate(self) -> list[Pattern]:
        """Adds loads until none improves the programme; gives those in use."""
        pricer = PatternPricer(self.kinds, self._refused)
        for _ in range(ROUNDS):
            self._lp.run()
            value = self._lp.getInfo().objective_function_value
            worth = pricer.search(np.array(self._lp.getSolution().row_dual), 1.0 + TOLERANCE)
            # Duals divided by the most that a load is worth are feasible for the dual programme (Farley 1990).
            self._floor = max(self._floor, math.ceil(value / worth.most - TOLERANCE))
            if not self._add(worth.patterns) or self.limits.over():
                break
        shares = list(self._lp.getSolution().col_value)[self._dear :]
        return [pattern for pattern, share in zip(self._columns, shares, strict=False) if share > TOLERANCE]

    def _refuse(self, patterns: Iterable[Pattern]) -> bool:
        """Takes the illegal loads out; says whether there were any."""
        illegal: list[Pattern] = []
        for pattern in dict.fromkeys(patterns):
            if self.limits.over():
                break
            if pattern not in self._lawful:
                (self._lawful.add if self.legal(pattern) else illegal.append)(pattern)
        for pattern in illegal:
            self._refused.add(pattern)
            if pattern in self._known:
                column = self._dear + self._columns.index(pattern)
                self._lp.changeColBounds(column, 0.0, 0.0)
            else:
                self._exact_cover = True
        return bool(illegal)

    # -- a packing --------------------------------------------------------------------------------------------

    def _choose(self) -> tuple[Pattern, ...]:
        """As many loads as the floor says, of all that waste no more; else the fewest of those at hand."""
        for _ in range(RAISES):
            if self.limits.over():
                break
            listed = full_loads(self.kinds, self._floor, self._refused)
            if listed is None:
                break
            loads, impossible = self._exactly(listed)
            if loads is not None:
                return loads
            if not impossible:
                break
            self._floor += 1
        return self._among([pattern for pattern in self._columns if pattern not in self._refused])

    def _exactly(self, patterns: Sequence[Pattern]) -> tuple[tuple[Pattern, ...] | None, bool]:
        """So many of these loads that hold everything once; or whether there are none, for sure."""
        h = self._programme(exact=True)
        self._offer(h, patterns, 0.0)
        h.changeRowBounds(len(self.kinds.counts), float(self._floor), float(self._floor))
        h.run()
        impossible = h.getModelStatus() == highspy.HighsModelStatus.kInfeasible
        return _chosen(h, patterns), impossible

    def _among(self, patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
        """The fewest of these loads that hold everything, what would be held twice left off; else first fit."""
        h = self._programme(exact=self._exact_cover)
        h.setOptionValue("mip_abs_gap", 1 - TOLERANCE)
        self._offer(h, patterns, 1.0)
        h.run()
        loads = _chosen(h, patterns)
        return _first_fit(self.kinds) if loads is None else _trimmed(self.kinds, loads)

    def _programme(self, *, exact: bool) -> highspy.Highs:
        """Rows: things of each kind, and the number of loads."""
        h = quiet_highs()
        h.setOptionValue("mip_max_nodes", NODES)
        left_s = self.limits.seconds_left()
        if left_s is not None:
            h.setOptionValue("time_limit", max(left_s, 0.01))
        for count in self.kinds.counts:
            add_row(h, float(count), float(count) if exact else INFINITE)
        add_row(h, float(self._floor), INFINITE)
        return h

    def _offer(self, h: highspy.Highs, patterns: Sequence[Pattern], cost: float) -> None:
        for pattern in patterns:
            most = min(int(self.kinds.counts[kind]) // times for kind, times in Counter(pattern).items())
            add_whole_column(h, cost, _entries(pattern) | {len(self.kinds.counts): 1.0}, most)


def _entries(pattern: Pattern) -> dict[int, float]:
    return {kind: float(times) for kind, times in Counter(pattern).items()}


def _chosen(h: highspy.Highs, patterns: Sequence[Pattern]) -> tuple[Pattern, ...] | None:
    if h.getInfo().primal_solution_status != 2:
        return None
    times = np.rint(h.getSolution().col_value).astype(int)
    return tuple(pattern for pattern, count in zip(patterns, times, strict=True) for _ in range(count))


def _first_fit(kinds: Kinds) -> tuple[Pattern, ...]:
    """A packing in a moment: each thing, in order of kind, into the first load with room for it."""
    loads: list[Pattern] = []
    for kind, count in enumerate(kinds.counts):
        for _ in range(count):
            place = next((n for n, load in enumerate(loads) if kinds.fits((*load, kind))), None)
            if place is None:
                loads.append((kind,))
            else:
                loads[place] = (*loads[place], kind)
    return tuple(loads)


def _trimmed(kinds: Kinds, loads: Sequence[Pattern]) -> tuple[Pattern, ...]:
    left = kinds.counts.copy()
    kept = []
    for pattern in loads:
        own = []
        for kind in pattern:
            if left[kind]:
                left[kind] -= 1
                own.append(kind)
        kept.append(tuple(own))
    return tuple(pattern for pattern in kept if pattern)
