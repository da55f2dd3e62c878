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

from dispatch.errors import NoOptimum
from dispatch.highs import INFINITE, add_column, add_row, quiet_highs
from dispatch.prices import Prices
from dispatch.rig_days import Day
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
    counts: tuple[int, ...] = ()
    """How many days of each group there may be; empty: as many as it has rigs."""

    @property
    def most_days(self) -> tuple[int, ...]:
        """How many days of each group there may be."""
        return self.counts or tuple(group.count for group in self.groups)

    @property
    def row_of(self) -> dict[int, int]:
        """The row of each unit by its number: a part of a day has some units only."""
        return {unit.number: row for row, unit in enumerate(self.units)}


@dataclass(frozen=True, slots=True)
class Settled:
    """Goals already settled and the value they must keep: scaled priority, trips, cents."""

    most: Mapping[Goal, int] = field(default_factory=dict)


Aim = Mapping[Goal, int]
"""What a priority left out, a trip and a cent weigh in the objective."""


def weighed(aim: Aim, column: Day) -> int:
    """What a day adds to an objective of several goals; the left-out goal counts on the units."""
    return aim.get(Goal.TRIPS, 0) * column.trips + aim.get(Goal.COST, 0) * column.cents


def worth(goal: Goal, column: Day) -> int:
    """What a day adds to a goal; the left-out goal counts on the units, not on the days."""
    return {Goal.LEFT_OUT: 0, Goal.TRIPS: column.trips, Goal.COST: column.cents}[goal]


DEAR = {Goal.LEFT_OUT: 0.0, Goal.TRIPS: 20.0, Goal.COST: 500_000.0}
"""Price of missing a settled goal by one while diving, in units of the goal in hand."""


class Master:
    """The linear master of one goal, or of several that ``aim`` weighs."""

    def __init__(self, shape: Shape, goal: Goal, settled: Settled, aim: Aim | None = None) -> None:
        self.shape, self.goal = shape, goal
        self.aim = {goal: 1} if aim is None else aim
        self._row = shape.row_of
        self.columns: list[Day] = []
        self._known: set[tuple[int, int, int, int]] = set()
        self.cuts: list[int] = []
        self.kept = [other for other in Goal if other in settled.most]
        self._h = quiet_highs()
        self._rows(settled)

    def _rows(self, settled: Settled) -> None:
        h, shape = self._h, self.shape
        for _ in shape.units:
            add_row(h, 1.0, 1.0)
        for most in shape.most_days:
            add_row(h, -INFINITE, float(most))
        for goal in self.kept:
            add_row(h, -INFINITE, float(settled.most[goal]))
        for _ in shape.pairs:
            add_row(h, -INFINITE, 0.0)
        for row in range(len(shape.units)):
            self._add_left_out(row)
        first_goal = len(shape.units) + len(shape.groups)
        for place, _ in enumerate(self.kept):
            add_column(h, DEAR[self.goal], {first_goal + place: -1.0})
        self.stretch(0.0)

    def stretch(self, most: float, price: Mapping[Goal, float] | None = None) -> None:
        """Lets the settled goals be missed by up to ``most``, at a price: dear unless it is given."""
        for place, goal in enumerate(self.kept):
            column = len(self.shape.units) + place
            self._h.changeColBounds(column, 0.0, most)
            self._h.changeColCost(column, DEAR[self.goal] if price is None else price[goal])

    @property
    def _first_day(self) -> int:
        return len(self.shape.units) + len(self.kept)

    def stretched(self) -> bool:
        """Whether the mix misses a settled goal."""
        return any(
            share > 1e-6
            for share in list(self._h.getSolution().col_value)[len(self.shape.units) : self._first_day]
        )

    def _add_left_out(self, number: int) -> None:
        shape, unit = self.shape, self.shape.units[number].number
        weight = float(shape.weights[number])
        entries = {number: 1.0}
        first_goal = len(shape.units) + len(shape.groups)
        for place, goal in enumerate(self.kept):
            if goal is Goal.LEFT_OUT:
                entries[first_goal + place] = weight
        for place, (first, second) in enumerate(shape.pairs):
            row = first_goal + len(self.kept) + place
            if unit in (first, second):
                entries[row] = 1.0 if unit == first else -1.0
        add_column(self._h, weight * self.aim.get(Goal.LEFT_OUT, 0), entries)

    def add(self, columns: Iterable[Day]) -> int:
        """Adds days that are not there yet; gives how many were new."""
        new = 0
        for column in columns:
            key = (column.group, column.units, column.trips, column.cents)
            if key in self._known:
                continue
            self._known.add(key)
            self.columns.append(column)
            add_column(self._h, float(weighed(self.aim, column)), self._entries(column))
            new += 1
        return new

    def _entries(self, column: Day) -> dict[int, float]:
        units = len(self.shape.units)
        entries = {row: 1.0 for unit, row in self._row.items() if column.units >> unit & 1}
        entries[units + column.group] = 1.0
        for place, goal in enumerate(self.kept):
            if value := worth(goal, column):
                entries[units + len(self.shape.groups) + place] = float(value)
        for place, cut in enumerate(self.cuts):
            if (column.units & cut).bit_count() > 1:
                entries[self._first_cut + place] = 1.0
        return entries

    @property
    def _first_cut(self) -> int:
        return len(self.shape.units) + len(self.shape.groups) + len(self.kept) + len(self.shape.pairs)

    def cut(self, masks: Iterable[int]) -> None:
        """Adds cuts, three units each: at most one day with two or three of them (as whole days, never more).

        Source: Jepsen, Petersen, Spoorendonk, Pisinger, Operations Research 56 (2008), subset-row inequalities.
        """
        for mask in masks:
            self.cuts.append(mask)
            inside = [n for n, day in enumerate(self.columns) if (day.units & mask).bit_count() > 1]
            index = np.array([self._first_day + number for number in inside], dtype=np.int32)
            self._h.addRow(-INFINITE, 1.0, len(index), index, np.ones(len(index)))

    def solve(self) -> tuple[float, list[Prices]]:
        """The value and each group's prices. Raises NoOptimum when HiGHS finds none, from scratch either."""
        self._h.run()
        if self._h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            self._h.clearSolver()
            self._h.run()
        if self._h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise NoOptimum(self._h.modelStatusToString(self._h.getModelStatus()))
        dual = np.array(self._h.getSolution().row_dual)
        units, groups = len(self.shape.units), len(self.shape.groups)
        per_trip, money = float(self.aim.get(Goal.TRIPS, 0)), float(self.aim.get(Goal.COST, 0))
        for place, goal in enumerate(self.kept):
            per_trip -= float(dual[units + groups + place]) if goal is Goal.TRIPS else 0.0
            money -= float(dual[units + groups + place]) if goal is Goal.COST else 0.0
        rewards = np.zeros(1 + max(self._row, default=0))
        rewards[list(self._row)] = dual[:units]
        value = float(self._h.getInfo().objective_function_value)
        cuts = tuple((cut, max(0.0, -float(dual[self._first_cut + place]))) for place, cut in enumerate(self.cuts))
        return value, [
            Prices(rewards, float(dual[units + group.number]), per_trip, money, cuts)
            for group in self.shape.groups
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
