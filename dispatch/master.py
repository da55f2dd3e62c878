"""The linear programme that mixes rig-days: its value is a floor, its duals price further days.

Rows: every unit is hauled once or left out; no more days of a group than it has rigs; the goals already settled
are kept; a machine's second move is hauled only if its first is. HiGHS solves it, warm after every change.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import highspy
import numpy as np

from dispatch.highs import INFINITE, add_column, add_row, quiet_highs
from dispatch.pricing import Prices
from dispatch.rig_days import Column
from dispatch.rig_groups import RigGroup
from dispatch.trips import Unit


class Goal(StrEnum):
    """A level of the objective, by the name it has in the plan."""

    LEFT_OUT = "left out"
    TRIPS = "trips"
    COST = "cost"


@dataclass(frozen=True, slots=True)
class Shape:
    """The rows of the day: units with scaled whole priorities, groups, and (first, second) pairs of units."""

    units: tuple[Unit, ...]
    weights: tuple[int, ...]
    groups: tuple[RigGroup, ...]
    pairs: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Settled:
    """Goals already settled and the value they must keep: scaled priority, trips, cents."""

    most: Mapping[Goal, int] = field(default_factory=dict)


def worth(goal: Goal, column: Column) -> int:
    """What a day adds to a goal; the left-out goal counts on the units, not on the days."""
    return {Goal.LEFT_OUT: 0, Goal.TRIPS: column.trips, Goal.COST: column.cents}[goal]


DEAR = {Goal.LEFT_OUT: 0.0, Goal.TRIPS: 20.0, Goal.COST: 500_000.0}
"""Price of missing a settled goal by one while diving, in units of the goal in hand."""


class Master:
    """The linear master of one goal."""

    def __init__(self, shape: Shape, goal: Goal, settled: Settled) -> None:
        self.shape, self.goal = shape, goal
        self.columns: list[Column] = []
        self._known: set[tuple[int, int, int, int]] = set()
        self._kept = [other for other in Goal if other in settled.most]
        self._h = quiet_highs()
        self._rows(settled)

    def _rows(self, settled: Settled) -> None:
        h, shape = self._h, self.shape
        for _ in shape.units:
            add_row(h, 1.0, 1.0)
        for group in shape.groups:
            add_row(h, -INFINITE, float(group.count))
        for goal in self._kept:
            add_row(h, -INFINITE, float(settled.most[goal]))
        for _ in shape.pairs:
            add_row(h, -INFINITE, 0.0)
        for unit in shape.units:
            self._add_left_out(unit.number)
        first_goal = len(shape.units) + len(shape.groups)
        for place, _ in enumerate(self._kept):
            add_column(h, DEAR[self.goal], {first_goal + place: -1.0})
        self.stretch(0.0)

    def stretch(self, most: float) -> None:
        """Lets the settled goals be missed by up to ``most``, at a dear price: for diving."""
        for place in range(len(self._kept)):
            self._h.changeColBounds(len(self.shape.units) + place, 0.0, most)

    @property
    def _first_day(self) -> int:
        return len(self.shape.units) + len(self._kept)

    def stretched(self) -> bool:
        """Whether the mix misses a settled goal."""
        return any(
            share > 1e-6
            for share in list(self._h.getSolution().col_value)[len(self.shape.units) : self._first_day]
        )

    def _add_left_out(self, unit: int) -> None:
        shape = self.shape
        weight = float(shape.weights[unit])
        entries = {unit: 1.0}
        first_goal = len(shape.units) + len(shape.groups)
        for place, goal in enumerate(self._kept):
            if goal is Goal.LEFT_OUT:
                entries[first_goal + place] = weight
        for place, (first, second) in enumerate(shape.pairs):
            row = first_goal + len(self._kept) + place
            if unit in (first, second):
                entries[row] = 1.0 if unit == first else -1.0
        add_column(self._h, weight if self.goal is Goal.LEFT_OUT else 0.0, entries)

    def add(self, columns: Iterable[Column]) -> int:
        """Adds days that are not there yet; gives how many were new."""
        new = 0
        for column in columns:
            key = (column.group, column.units, column.trips, column.cents)
            if key in self._known:
                continue
            self._known.add(key)
            self.columns.append(column)
            add_column(self._h, float(worth(self.goal, column)), self._entries(column))
            new += 1
        return new

    def _entries(self, column: Column) -> dict[int, float]:
        units = len(self.shape.units)
        entries = {unit: 1.0 for unit in range(units) if column.units >> unit & 1}
        entries[units + column.group] = 1.0
        for place, goal in enumerate(self._kept):
            if value := worth(goal, column):
                entries[units + len(self.shape.groups) + place] = float(value)
        return entries

    def solve(self) -> tuple[float, list[Prices]]:
        """The value and each group's prices. Raises RuntimeError when the programme has no optimum."""
        self._h.run()
        if self._h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise RuntimeError(f"master: {self._h.modelStatusToString(self._h.getModelStatus())}")
        dual = np.array(self._h.getSolution().row_dual)
        units, groups = len(self.shape.units), len(self.shape.groups)
        per_trip, money = float(self.goal is Goal.TRIPS), float(self.goal is Goal.COST)
        for place, goal in enumerate(self._kept):
            per_trip -= float(dual[units + groups + place]) if goal is Goal.TRIPS else 0.0
            money -= float(dual[units + groups + place]) if goal is Goal.COST else 0.0
        rewards = dual[:units]
        value = float(self._h.getInfo().objective_function_value)
        return value, [
            Prices(rewards, float(dual[units + group.number]), per_trip, money) for group in self.shape.groups
        ]

    def fractional(self) -> Sequence[float]:
        """The share of each day in the mix, in the order of ``columns``."""
        return list(self._h.getSolution().col_value)[self._first_day :]

    def fix(self, number: int) -> None:
        """Works the day ``columns[number]`` wholly, until ``release``."""
        self._h.changeColBounds(self._first_day + number, 1.0, INFINITE)

    def release(self) -> None:
        """Lets every day be mixed freely again."""
        for number in range(len(self.columns)):
            self._h.changeColBounds(self._first_day + number, 0.0, INFINITE)
