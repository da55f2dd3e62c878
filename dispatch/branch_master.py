"""The linear programme of one branch: rig-days as in the master, with some of the whole numbers decided.

A branch says how many trips and days a group may have, and which units a group may not haul. All three leave the
pricing of rig-days as it is: the first two are part of a trip's or a day's price, the third is a price that no day
can pay.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dispatch.highs import INFINITE, UNLIMITED, add_column, add_row
from dispatch.master import DEAR, Goal, Master, Settled, Shape
from dispatch.prices import Prices
from dispatch.rig_days import Day

FORBIDDEN = 1e9
"""What hauling a barred unit costs, in units of the goal: more than any day may."""

FEW_STEPS = 60
"""Of the simplex method, to learn what a decision is worth: the first ones tell most."""

Span = tuple[float, float]
"""Least and most."""


@dataclass(frozen=True, slots=True)
class Branch:
    """What is decided, group by group: least and most trips and days, and a mask of the units that are barred."""

    trips: tuple[Span, ...]
    days: tuple[Span, ...]
    barred: tuple[int, ...]

    @classmethod
    def root(cls, shape: Shape) -> Branch:
        """Nothing is decided yet."""
        return cls(
            ((0.0, INFINITE),) * len(shape.groups),
            tuple((0.0, float(most)) for most in shape.most_days),
            (0,) * len(shape.groups),
        )

    @property
    def empty(self) -> bool:
        """Whether something is asked to be at least what it may not be."""
        return any(low > high for low, high in (*self.trips, *self.days))

    def with_trips(self, group: int, span: Span) -> Branch:
        """With the trips of a group between the two, and where they were between before."""
        return replace(self, trips=_narrowed(self.trips, group, span))

    def with_days(self, group: int, span: Span) -> Branch:
        """With the days of a group between the two, and where they were between before."""
        return replace(self, days=_narrowed(self.days, group, span))

    def without(self, unit: int, groups: Iterable[int]) -> Branch:
        """With a unit barred from groups."""
        barred = list(self.barred)
        for group in groups:
            barred[group] |= 1 << unit
        return replace(self, barred=tuple(barred))


def _narrowed(spans: tuple[Span, ...], group: int, span: Span) -> tuple[Span, ...]:
    low, high = spans[group]
    return (*spans[:group], (max(low, span[0]), min(high, span[1])), *spans[group + 1 :])


class BranchMaster(Master):
    """The master with a row more for the trips of each group. What a branch asks may be missed, but dearly.

    So it always has a solution, and its value is a floor for the branch whether or not there is a plan in it.
    """

    def __init__(
        self, shape: Shape, goal: Goal, settled: Settled, columns: Iterable[Day], cuts: Sequence[int]
    ) -> None:
        self._spare = 0
        super().__init__(shape, goal, settled)
        groups = len(shape.groups)
        self._first_trips = super()._first_cut
        for _ in range(groups):
            add_row(self._h, 0.0, INFINITE)
        missed = DEAR[goal] or 1.0 + sum(shape.weights)
        for row in (*range(self._first_trips, self._first_trips + groups), *self._day_rows):
            add_column(self._h, missed, {row: 1.0})
        self._spare = 2 * groups
        self._branch = Branch.root(shape)
        self._open: list[bool] = []
        self.stretch(INFINITE)
        self.add(columns)
        self.cut(cuts)

    @property
    def _day_rows(self) -> range:
        units = len(self.shape.units)
        return range(units, units + len(self.shape.groups))

    @property
    def _first_day(self) -> int:
        return super()._first_day + self._spare

    @property
    def _first_cut(self) -> int:
        return super()._first_cut + self._spare // 2

    def _entries(self, column: Day) -> dict[int, float]:
        return super()._entries(column) | {self._first_trips + column.group: float(column.trips)}

    def go_to(self, branch: Branch) -> None:
        """Makes the programme that of a branch."""
        for group, row in enumerate(self._day_rows):
            self._h.changeRowBounds(row, *branch.days[group])
            self._h.changeRowBounds(self._first_trips + group, *branch.trips[group])
        self._branch = branch
        self._open += [True] * (len(self.columns) - len(self._open))
        for number, day in enumerate(self.columns):
            is_open = not day.units & branch.barred[day.group]
            if is_open != self._open[number]:
                self._open[number] = is_open
                self._h.changeColBounds(self._first_day + number, 0.0, INFINITE if is_open else 0.0)

    def solve(self) -> tuple[float, list[Prices]]:
        """The value and each group's prices in this branch. Raises NoOptimum as the master does."""
        value, prices = super().solve()
        dual = np.array(self._h.getSolution().row_dual)
        return value, [self._in_branch(group, one, dual) for group, one in enumerate(prices)]

    def tried(self, ways: Sequence[Branch]) -> list[float]:
        """What the value is at least in each of the branches, after a few steps from where the programme stands.

        By the days known; for comparison only. The programme is then that of the last branch, at its old basis.
        """
        h = self._h
        basis = h.getBasis()
        values = []
        h.setOptionValue("simplex_iteration_limit", FEW_STEPS)
        for way in ways:
            self.go_to(way)
            h.run()
            values.append(float(h.getInfo().objective_function_value))
            h.setBasis(basis)
        h.setOptionValue("simplex_iteration_limit", UNLIMITED)
        return values

    def _in_branch(self, group: int, prices: Prices, dual: np.ndarray) -> Prices:
        unit = prices.unit
        if barred := self._branch.barred[group]:
            unit = unit.copy()
            unit[[number for number in range(len(unit)) if barred >> number & 1]] = -FORBIDDEN
        per_trip = prices.per_trip - float(dual[self._first_trips + group])
        return replace(prices, unit=unit, per_trip=per_trip)
