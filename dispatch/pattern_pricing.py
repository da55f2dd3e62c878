"""The most valuable loads at given values of the things to be packed: a knapsack in several measures, exactly.

What a kind of thing and those after it can still earn is bounded by one table a measure (dynamic programming over
the room left, in at most ``STEPS`` steps, sizes rounded down), so a search by depth goes almost straight to the
best load. Source of the method: the pricing of cutting patterns, Gilmore and Gomory, Operations Research 9 (1961).
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Pattern = tuple[int, ...]
"""A load: the numbers of its kinds in order, each as often as it rides."""

STEPS = 2_000
EPSILON = 1e-7


@dataclass(frozen=True, slots=True, eq=False)
class Kinds:
    """Things to be packed, by kind: ``sizes[kind, measure]`` in whole units, and how many there are of each.

    A box has ``room[measure]``; the last measure counts things, so its room is the most that ride together.
    """

    sizes: Ints
    counts: Ints
    room: Ints

    def fits(self, pattern: Pattern) -> bool:
        """Whether the load is within the room, and there are so many of its kinds."""
        kinds = np.array(pattern)
        enough = np.bincount(kinds, minlength=len(self.counts)) <= self.counts
        return bool(enough.all() and (self.sizes[kinds].sum(axis=0) <= self.room).all())


@dataclass(frozen=True, slots=True)
class Worth:
    """The best load that begins with each kind, best first, and a value that no load exceeds."""

    patterns: tuple[Pattern, ...]
    most: float


class PatternPricer:
    """Finds loads among kinds; those ``refused`` do not count as loads."""

    def __init__(self, kinds: Kinds, refused: Collection[Pattern] = frozenset()) -> None:
        self.kinds, self.refused = kinds, refused
        self.steps = [room_steps(kinds.sizes[:, m], int(kinds.room[m])) for m in _measures_that_bind(kinds)]

    def search(self, values: Floats, above: float, nodes: int = 200) -> Worth:
        """The best load beginning with each kind, where it is worth more than ``above``.

        ``nodes``: steps a kind; where they run out ``Worth.most`` covers what was not looked at.
        """
        run = _Run(self, np.where(self.kinds.counts > 0, values, 0.0), above, nodes)
        return run.all_kinds()


class _Run:
    """One search at given values."""

    def __init__(self, pricer: PatternPricer, values: Floats, above: float, nodes: int) -> None:
        self.kinds, self.refused = pricer.kinds, pricer.refused
        self.values, self.above, self.nodes = values, above, nodes
        self.tables = [
            (steps, room, earnings(steps, room, self.kinds.counts, values)) for steps, room in pricer.steps
        ]
        self.best: Pattern = ()
        self.best_value = above
        self.spent = 0
        self.missed = 0.0

    def all_kinds(self) -> Worth:
        found: list[tuple[float, Pattern]] = []
        most = self.above
        for kind in np.flatnonzero(self.kinds.counts > 0):
            self.best, self.best_value, self.spent = (), self.above, 0
            if (self.kinds.sizes[kind] <= self.kinds.room).all():
                self._grow((int(kind),), float(self.values[kind]))
            if self.best:
                found.append((self.best_value, self.best))
            most = max(most, self.best_value)
        found.sort(key=lambda pair: (-pair[0], pair[1]))
        return Worth(tuple(pattern for _, pattern in found), max(most, self.missed))

    def _grow(self, pattern: Pattern, value: float) -> None:
        """Every load that begins so, best promise first, cut by the most that the rest can earn."""
        if value > self.best_value + EPSILON and pattern not in self.refused:
            self.best, self.best_value = pattern, value
        kinds, promise = self._promises(pattern, value)
        for place in np.argsort(-promise, kind="stable"):
            if promise[place] <= self.best_value + EPSILON:
                return
            if self.spent >= self.nodes:
                self.missed = max(self.missed, float(promise[place]))
                return
            self.spent += 1
            kind = int(kinds[place])
            self._grow((*pattern, kind), value + float(self.values[kind]))

    def _promises(self, pattern: Pattern, value: float) -> tuple[Ints, Floats]:
        """The kinds that may come next, and at most what the load can then be worth."""
        kinds = next_kinds(self.kinds, pattern)
        more = np.full(len(kinds), np.inf)
        for steps, room, table in self.tables:
            after = room - int(steps[list(pattern)].sum()) - steps[kinds]
            np.minimum(more, table[kinds, np.maximum(after, 0)], out=more)
        return kinds, value + self.values[kinds] + more


def next_kinds(kinds: Kinds, pattern: Pattern) -> Ints:
    """The kinds, not before the load's last, of which one more thing has room."""
    last = pattern[-1]
    room = kinds.room - kinds.sizes[list(pattern)].sum(axis=0)
    fits = (kinds.sizes[last:] <= room).all(axis=1) & (kinds.counts[last:] > 0)
    fits[0] &= pattern.count(last) < kinds.counts[last]
    return last + np.flatnonzero(fits)


def _measures_that_bind(kinds: Kinds) -> list[int]:
    """The measures in which some load of the most things, the largest ones, would not fit; at least one."""
    there = kinds.sizes[kinds.counts > 0].max(axis=0)
    binding = [m for m in range(len(kinds.room)) if there[m] * int(kinds.room[-1]) > kinds.room[m]]
    return binding or [len(kinds.room) - 1]


def room_steps(sizes: Ints, room: int) -> tuple[Ints, int]:
    """Sizes and room in steps, coarse ones where there are many; sizes are rounded down: what fits still fits."""
    common = max(1, int(np.gcd.reduce(sizes)))
    exact, whole = sizes // common, room // common
    unit = max(1, -(-whole // STEPS))
    return exact // unit, whole // unit


def earnings(steps: Ints, room: int, counts: Ints, values: Floats) -> Floats:
    """``table[kind, left]``: at most what this kind and those after it can earn in the room left."""
    table = np.zeros((len(steps) + 1, room + 1))
    for kind in range(len(steps) - 1, -1, -1):
        before, best = table[kind + 1], table[kind]
        best[:] = before
        step, value = int(steps[kind]), float(values[kind])
        if value <= 0:
            continue
        if step == 0:
            best += value * float(counts[kind])
            continue
        for times in range(1, min(int(counts[kind]), room // step) + 1):
            part = best[times * step :]
            np.maximum(part, before[: -times * step] + times * value, out=part)
    return table
