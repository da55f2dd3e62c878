"""The choice of rig-days as a CP-SAT model, one function a rule.

A variable says whether a day is worked, another whether a unit is left out. Only small whole numbers enter: the
statics were settled when the trips were made, and costs are shifted by the prices of the units (which changes
every plan's cost by the same amount). Rules of the clock between rigs are in ``shared_clock``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from dispatch.cp_solver import Effort, solved
from dispatch.errors import ModelTooLarge
from dispatch.master import Goal, Settled, Shape, worth
from dispatch.rig_days import Column, Day

LARGEST_ROW = 2**30
"""CP-SAT 9.15 can certify a wrong optimum past about 2^31 (or-tools issue 5293); half of that is allowed."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Days chosen, by number; ``None``: none found. ``bound``: no choice from these days is below it.

    ``ended``: the solver stopped of itself or by its budget, not by the clock or by hand.
    """

    chosen: tuple[int, ...] | None
    bound: float
    proved: bool
    impossible: bool
    ended: bool


@dataclass(frozen=True, slots=True)
class Shift:
    """Whole cents taken out of each day's cost for every unit and put on for every trip, to keep it small.

    The same sum comes back as a constant and a term in the number of trips, so no choice's cost changes.
    """

    unit: Mapping[int, int] = field(default_factory=dict)
    per_trip: int = 0

    def small(self, column: Day) -> int:
        """The day's cost as it stands in the row."""
        taken = sum(cents for unit, cents in self.unit.items() if column.units >> unit & 1)
        return column.cents - taken + self.per_trip * column.trips


@dataclass(slots=True)
class ScheduleModel:
    """A model under construction: the variables that the rules speak of."""

    shape: Shape
    columns: Sequence[Column]
    shift: Shift = field(default_factory=Shift)
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    worked: list[cp_model.IntVar] = field(init=False)
    left_out: list[cp_model.IntVar] = field(init=False)

    def __post_init__(self) -> None:
        self.worked = [self.model.new_bool_var(f"day {number}") for number in range(len(self.columns))]
        self.left_out = [self.model.new_bool_var(f"out {unit.number}") for unit in self.shape.units]


def check_row(coefficients: Iterable[int]) -> None:
    """Raises ModelTooLarge when the absolute coefficients of a row sum past 2^30."""
    total = sum(abs(value) for value in coefficients)
    if total > LARGEST_ROW:
        raise ModelTooLarge(f"a row's coefficients sum to {total}, more than {LARGEST_ROW}")


def every_unit_once(m: ScheduleModel) -> None:
    """Each unit is hauled on exactly one chosen day, or left out."""
    for unit in m.shape.units:
        days = [m.worked[i] for i, column in enumerate(m.columns) if column.units >> unit.number & 1]
        m.model.add_exactly_one([*days, m.left_out[unit.number]])


def no_more_days_than_rigs(m: ScheduleModel) -> None:
    """At most as many days of a group as it has rigs alike."""
    for group in m.shape.groups:
        days = [m.worked[i] for i, column in enumerate(m.columns) if column.group == group.number]
        if len(days) > group.count:
            m.model.add(sum(days) <= group.count)


def first_move_first(m: ScheduleModel) -> None:
    """A machine's second move is hauled only if its first is."""
    for first, second in m.shape.pairs:
        m.model.add_implication(m.left_out[first], m.left_out[second])


def goal_terms(m: ScheduleModel, goal: Goal) -> tuple[list[tuple[int, cp_model.IntVar]], int]:
    """The goal as (coefficient, variable) terms and a constant; costs shifted by the units' prices."""
    if goal is Goal.LEFT_OUT:
        return list(zip(m.shape.weights, m.left_out, strict=True)), 0
    days = list(zip(m.columns, m.worked, strict=True))
    if goal is Goal.TRIPS:
        return [(worth(goal, column), variable) for column, variable in days], 0
    terms = [(m.shift.small(column), variable) for column, variable in days]
    terms += [(-cents, m.left_out[unit]) for unit, cents in m.shift.unit.items() if cents]
    if m.shift.per_trip:
        terms.append((-m.shift.per_trip, _number_of_trips(m)))
    return terms, sum(m.shift.unit.values())


def _number_of_trips(m: ScheduleModel) -> cp_model.IntVar:
    most = sum(column.trips for column in m.columns)
    trips = m.model.new_int_var(0, most, "trips")
    m.model.add(sum(c.trips * worked for c, worked in zip(m.columns, m.worked, strict=True)) == trips)
    return trips


def goals_kept(m: ScheduleModel, settled: Settled) -> None:
    """Goals already settled are not given up. Raises ModelTooLarge for a row with too large coefficients."""
    for goal, most in settled.most.items():
        terms, constant = goal_terms(m, goal)
        check_row(coefficient for coefficient, _ in terms)
        m.model.add(sum(coefficient * variable for coefficient, variable in terms) <= most - constant)


def aim(m: ScheduleModel, goal: Goal) -> int:
    """The goal as the objective; gives the constant that the shift took out. Raises ModelTooLarge."""
    terms, constant = goal_terms(m, goal)
    check_row(coefficient for coefficient, _ in terms)
    m.model.minimize(sum(coefficient * variable for coefficient, variable in terms))
    return constant


def hint(m: ScheduleModel, chosen: Sequence[int]) -> None:
    """The incumbent as a complete hint for the choice."""
    hauled = 0
    for number, variable in enumerate(m.worked):
        m.model.add_hint(variable, number in chosen)
    for number in chosen:
        hauled |= m.columns[number].units
    for unit, variable in enumerate(m.left_out):
        m.model.add_hint(variable, not hauled >> unit & 1)


def never_again(m: ScheduleModel, chosen: Sequence[int]) -> None:
    """Forbids days together that turned out not to fit on the clock."""
    m.model.add_bool_or([m.worked[number].negated() for number in chosen])


def run(m: ScheduleModel, constant: int, effort: Effort) -> Choice:
    """Solves the model. The solver keeps its own handling of Ctrl-C and then returns its best."""
    solver, status = solved(m.model, effort)
    done = status in {cp_model.OPTIMAL, cp_model.INFEASIBLE}
    spent = solver.response_proto.deterministic_time >= 0.98 * effort.deterministic
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        impossible = status == cp_model.INFEASIBLE
        return Choice(None, float("inf") if impossible else float("-inf"), False, impossible, done or spent)
    chosen = tuple(i for i, variable in enumerate(m.worked) if solver.boolean_value(variable))
    bound = solver.best_objective_bound + constant
    return Choice(chosen, bound, status == cp_model.OPTIMAL, False, done or spent)
