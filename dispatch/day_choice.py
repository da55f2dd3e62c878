"""The best choice among given rig-days where no clock binds rigs to each other: a set partitioning for HiGHS.

Only counts and whole cents enter. What HiGHS answers in floating point is rounded and checked in whole numbers
before anybody believes it; its bound is believed to within ``SLACK``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import highspy
import numpy as np

from dispatch.highs import INFINITE, quiet_highs
from dispatch.master import Aim, Goal, Settled, Shape, weighed, worth
from dispatch.rig_days import Day
from dispatch.schedule_model import Choice

SLACK = 1e-4
"""Of one trip, priority or cent."""
NODES = 3_000


def best_days(
    shape: Shape,
    aim: Aim,
    settled: Settled,
    days: Sequence[Day],
    *,
    at_most: int,
    nodes: int = NODES,
    seconds: float | None = None,
) -> Choice:
    """The choice with the least of ``aim``, none above ``at_most``, that hauls each unit once or leaves it out.

    ``impossible``: no such choice exists. ``nodes`` of branching; ``seconds`` is the outer stop.
    """
    h = quiet_highs()
    h.setOptionValue("mip_max_nodes", nodes)
    h.setOptionValue("mip_rel_gap", 0.0)
    h.setOptionValue("mip_abs_gap", 0.5)
    if seconds is not None:
        h.setOptionValue("time_limit", max(0.05, seconds))
    _fill(h, shape, aim, settled, days, at_most)
    h.run()
    status, info = h.getModelStatus(), h.getInfo()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Choice(None, math.inf, False, True, True)
    ended = status != highspy.HighsModelStatus.kTimeLimit
    bound = float(info.mip_dual_bound)
    chosen: tuple[int, ...] | None = None
    if info.primal_solution_status == 2:
        share = list(h.getSolution().col_value)[len(shape.units) :]
        chosen = tuple(place for place, value in enumerate(share) if value > 0.5)
        if not _holds(shape, aim, settled, [days[place] for place in chosen], at_most):
            chosen = None
    return Choice(chosen, bound, status == highspy.HighsModelStatus.kOptimal, False, ended)


def _fill(h: highspy.Highs, shape: Shape, aim: Aim, settled: Settled, days: Sequence[Day], at_most: int) -> None:
    """Rows: units, groups, goals settled, the goal in hand; columns: units left out, days."""
    kept = list(settled.most.items())
    units, groups = len(shape.units), len(shape.groups)
    last = units + groups + len(kept)
    lower = [1.0] * units + [-INFINITE] * (groups + len(kept) + 1)
    upper = [1.0] * units + [float(most) for most in (*shape.most_days, *settled.most.values(), at_most)]
    cost: list[float] = []
    index: list[int] = []
    value: list[float] = []
    start = [0]
    for row, weight in enumerate(shape.weights):
        counted = [
            (units + groups + place, weight) for place, (goal, _) in enumerate(kept) if goal is Goal.LEFT_OUT
        ]
        counted.append((last, weight * aim.get(Goal.LEFT_OUT, 0)))
        used = [(number, amount) for number, amount in counted if amount]
        cost.append(float(counted[-1][1]))
        index += [row, *(number for number, _ in used)]
        value += [1.0, *(float(amount) for _, amount in used)]
        start.append(len(index))
    row_of = shape.row_of
    for day in days:
        counted = [(units + groups + place, worth(goal, day)) for place, (goal, _) in enumerate(kept)]
        counted.append((last, weighed(aim, day)))
        used = [(number, amount) for number, amount in counted if amount]
        own = [row for unit, row in row_of.items() if day.units >> unit & 1]
        cost.append(float(counted[-1][1]))
        index += [*own, units + day.group, *(number for number, _ in used)]
        value += [*([1.0] * (len(own) + 1)), *(float(amount) for _, amount in used)]
        start.append(len(index))
    for low, high in zip(lower, upper, strict=True):
        h.addRow(low, high, 0, np.array([], dtype=np.int32), np.array([], dtype=np.float64))
    count = len(cost)
    h.addCols(
        count,
        np.array(cost),
        np.zeros(count),
        np.ones(count),
        len(index),
        np.array(start[:-1], dtype=np.int32),
        np.array(index, dtype=np.int32),
        np.array(value),
    )
    whole = np.full(count, int(highspy.HighsVarType.kInteger), dtype=np.uint8)
    h.changeColsIntegrality(count, np.arange(count, dtype=np.int32), whole)


def _holds(shape: Shape, aim: Aim, settled: Settled, days: Sequence[Day], at_most: int) -> bool:
    """Whether the choice keeps every row, in whole numbers."""
    hauled, twice = 0, 0
    for day in days:
        twice |= hauled & day.units
        hauled |= day.units
    out = sum(w for unit, w in zip(shape.units, shape.weights, strict=True) if not hauled >> unit.number & 1)
    values = {goal: sum(worth(goal, day) for day in days) for goal in Goal} | {Goal.LEFT_OUT: out}
    used = [sum(day.group == group for day in days) <= most for group, most in enumerate(shape.most_days)]
    kept = all(values[goal] <= most for goal, most in settled.most.items())
    total = sum(values[goal] * weight for goal, weight in aim.items())
    return not twice and all(used) and kept and total <= at_most
