"""Every rule of the schedule model alone, on an otherwise empty model: a feasible and an infeasible case."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest
from ortools.sat.python import cp_model

from dispatch.cp_solver import Effort
from dispatch.errors import ModelTooLarge
from dispatch.master import Goal, Settled, Shape
from dispatch.planning_day import PlanningDay, prepare
from dispatch.rig_days import Column, Run, Step, work_out
from dispatch.rig_groups import RigGroup
from dispatch.rig_trips import RigTrips
from dispatch.schedule_model import (
    LARGEST_ROW,
    ScheduleModel,
    Shift,
    aim,
    check_row,
    every_unit_once,
    first_move_first,
    goals_kept,
    hint,
    never_again,
    no_more_days_than_rigs,
    run,
)
from dispatch.shared_gear import gear_takes_turns
from dispatch.shared_machines import drops_come_first
from dispatch.timing import Block
from dispatch.trip_listing import list_sets
from dispatch.trip_orders import Hours
from dispatch.trip_stock import TripStock
from dispatch.trips import OrderBook, TripBudget, Unit
from tests import factories as f
from tests.stub_placer import StubPlacer

UNITS = tuple(Unit(number, (number,), Fraction(1)) for number in range(3))
ONE_RIG = RigGroup(0, (f.rig(),), ("rig 1",), (0,), ())
TWO_ALIKE = RigGroup(0, (f.rig(),), ("rig 1", "rig 2"), (0,), ())


def day(units: int, trips: int = 1, cents: int = 100, group: int = 0) -> Column:
    return Column(group, (), units, trips, cents)


def model(*columns: Column, group: RigGroup = ONE_RIG, pairs: tuple[tuple[int, int], ...] = ()) -> ScheduleModel:
    return ScheduleModel(Shape(UNITS, (1, 1, 1), (group,), pairs), columns)


def feasible(
    m: ScheduleModel, rule: Callable[[ScheduleModel], object], *, worked: Sequence[int], out: Sequence[int]
) -> bool:
    """Whether the rule allows exactly these days worked and these units left out."""
    rule(m)
    for number, variable in enumerate(m.worked):
        m.model.add(variable == (number in worked))
    for number, variable in enumerate(m.left_out):
        m.model.add(variable == (number in out))
    return cp_model.CpSolver().solve(m.model) in {cp_model.OPTIMAL, cp_model.FEASIBLE}


@pytest.mark.parametrize(
    ("worked", "out", "ok"),
    [((0,), (2,), True), ((0,), (), False), ((0, 1), (), False), ((0,), (1, 2), False), ((), (0, 1, 2), True)],
)
def test_every_unit_once(worked: tuple[int, ...], out: tuple[int, ...], ok: bool) -> None:
    """Days 011 and 110: the second unit would be hauled twice."""
    assert feasible(model(day(0b011), day(0b110)), every_unit_once, worked=worked, out=out) is ok


@pytest.mark.parametrize(("group", "ok"), [(ONE_RIG, False), (TWO_ALIKE, True)])
def test_no_more_days_than_rigs(group: RigGroup, ok: bool) -> None:
    m = model(day(0b001), day(0b010), group=group)
    assert feasible(m, no_more_days_than_rigs, worked=(0, 1), out=(2,)) is ok


@pytest.mark.parametrize(("out", "ok"), [((), True), ((1,), True), ((0,), False), ((0, 1), True)])
def test_first_move_first(out: tuple[int, ...], ok: bool) -> None:
    assert feasible(model(pairs=((0, 1),)), first_move_first, worked=(), out=out) is ok


@pytest.mark.parametrize(
    ("most", "ok"),
    [
        ({Goal.LEFT_OUT: 1}, True),
        ({Goal.LEFT_OUT: 0}, False),
        ({Goal.TRIPS: 3}, True),
        ({Goal.TRIPS: 2}, False),
        ({Goal.COST: 700}, True),
        ({Goal.COST: 699}, False),
    ],
)
def test_goals_kept(most: dict[Goal, int], ok: bool) -> None:
    m = model(day(0b001, 2, 500), day(0b010, 1, 200))
    assert feasible(m, lambda m: goals_kept(m, Settled(most)), worked=(0, 1), out=(2,)) is ok


def test_a_shift_of_costs_changes_no_limit() -> None:
    for most, ok in ((700, True), (699, False)):
        m = model(day(0b001, 2, 500), day(0b010, 1, 200))
        m.shift = Shift({0: 450, 1: 150, 2: 77}, 33)
        every_unit_once(m)
        assert (
            feasible(m, lambda m, most=most: goals_kept(m, Settled({Goal.COST: most})), worked=(0, 1), out=(2,))
            is ok
        )


def test_a_combination_is_forbidden_as_a_whole_only() -> None:
    assert not feasible(model(day(1), day(2)), lambda m: never_again(m, (0, 1)), worked=(0, 1), out=())
    assert feasible(model(day(1), day(2)), lambda m: never_again(m, (0, 1)), worked=(0,), out=())


def test_a_row_with_too_large_coefficients_is_refused() -> None:
    check_row([LARGEST_ROW // 2, -LARGEST_ROW // 2])
    with pytest.raises(ModelTooLarge, match="more than 1073741824"):
        check_row([LARGEST_ROW // 2, -LARGEST_ROW // 2, 1])
    with pytest.raises(ModelTooLarge):
        aim(model(day(1, cents=LARGEST_ROW), day(2, cents=1)), Goal.COST)


@pytest.mark.parametrize("shift", [Shift(), Shift({0: 90, 1: 120, 2: 55}), Shift({1: 20}, 45)])
def test_the_best_choice_and_its_bound(shift: Shift) -> None:
    """Two days of 100 beat one of 201 over the same units; the third unit stays out."""
    m = model(day(0b001), day(0b010), day(0b011, 1, 201), group=TWO_ALIKE)
    m.shift = shift
    every_unit_once(m)
    no_more_days_than_rigs(m)
    goals_kept(m, Settled({Goal.LEFT_OUT: 1}))
    constant = aim(m, Goal.COST)
    hint(m, (2,))
    choice = run(m, constant, Effort())
    assert (choice.chosen, choice.bound, choice.proved, choice.ended) == ((0, 1), 200, True, True)


def test_nothing_fits() -> None:
    m = model(day(0b001))
    every_unit_once(m)
    goals_kept(m, Settled({Goal.LEFT_OUT: 1}))
    choice = run(m, aim(m, Goal.TRIPS), Effort())
    assert choice.chosen is None
    assert choice.impossible


# -- rules of the clock -------------------------------------------------------------------------------------


def two_moves_of_one_machine(shift_end_min: int) -> tuple[PlanningDay, list[Column]]:
    """From a to b by the first rig, from b to c by the second; all roads 20 minutes."""
    machine = f.item("loader", 3000, 60)
    moves = [f.move("one", machine, only_rigs=("rig 1",)), f.move("two", machine, origin="b", destination="c")]
    rigs = [f.rig("rig 1"), f.rig("rig 2", shift_end_min=shift_end_min)]
    return with_days(moves, rigs)


def with_days(moves: list[object], rigs: list[object]) -> tuple[PlanningDay, list[Column]]:
    """The day with one column a move: move n alone by rig n."""
    problem = f.problem(moves, rigs)  # type: ignore[arg-type]
    placer = StubPlacer(problem)
    made = prepare(problem, placer)
    columns = []
    for number, rig in enumerate(problem.rigs):
        book = OrderBook(problem, made.rules.table, rig)
        stock = RigTrips(
            TripStock(book, placer, rig, list_sets(book, placer, rig, made.shape.units, TripBudget())),
            Hours.of(made.rules.table, rig),
        )
        trip = next(trip for trip in stock.trips() if trip.units == 1 << number)
        judged = stock.judge(trip)
        group = next(g for g in made.groups if rig.name in {one.name for one in g.rigs} | set(g.names))
        assert judged is not None
        column = work_out(made.rules, group, [Step(0, judged, True)])
        assert column is not None
        columns.append(column)
    return made, columns


@pytest.mark.parametrize(
    ("shift_end_min", "ok"),
    [(360 + 75 + 20 + 20 + 15 + 20, True), (360 + 75 + 20 + 20 + 15 + 19, False)],
)
def test_the_second_pickup_waits_for_the_first_drop(shift_end_min: int, ok: bool) -> None:
    """The drop is at 360 + 20 + 20 + 20 + 15 = 435; then load 20, road 20, unload 15, home 20."""
    made, columns = two_moves_of_one_machine(shift_end_min)
    m = ScheduleModel(made.shape, columns)
    assert feasible(m, lambda m: drops_come_first(m, made), worked=(0, 1), out=()) is ok


@pytest.mark.parametrize(("latest", "ok"), [(360 + 95 + 95 + 20, True), (360 + 95 + 95 + 19, False)])
def test_gear_shared_across_groups_is_out_once(latest: int, ok: bool) -> None:
    """Rigs 1-2 share a truck, 2-3 a trailer: cut between 2 and 3. Each run takes 95 minutes, hooking 20."""
    truck, trailer = f.truck("shared"), f.trailer("shared")
    rigs = [
        f.rig("rig 1", truck=truck),
        f.rig("rig 2", truck=truck, trailer=trailer),
        f.rig("rig 3", trailer=trailer, shift_end_min=latest),
    ]
    moves = [f.move(str(number), only_rigs=(f"rig {number + 1}",)) for number in range(3)]
    problem = f.problem(moves, rigs)
    made = prepare(problem, StubPlacer(problem))
    assert made.grouping.crossing == (("rig 2", "rig 3"),)
    team = next(group for group in made.groups if len(group.rigs) == 2)
    alone = next(group for group in made.groups if len(group.rigs) == 1)

    def out(group: int, rig: int, start: int, latest: int) -> Column:
        block = Block(95, start, latest)
        return Column(group, (Run(rig, (), block, "yard", 0, 0, ()),), 1 << rig, 1, 0)

    columns = [out(team.number, 1, 360, 360), out(alone.number, 0, 360, latest - 95)]
    m = ScheduleModel(made.shape, columns)
    assert feasible(m, lambda m: gear_takes_turns(m, made), worked=(0, 1), out=()) is ok
