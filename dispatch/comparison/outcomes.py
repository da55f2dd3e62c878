"""A day under a fleet in figures: trips and what is proved of them, what is left out, miles, hours, money, use.

Money in cents, distance in tenths of a mile, time in minutes, weight in pounds.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from dispatch import costs
from dispatch.comparison.adoption import Standing
from dispatch.money.outside_haul import NoOutsidePrice, OutsidePrice, OutsideRow, outside_price
from dispatch.plan import Plan, RigDay
from dispatch.problem import Problem
from dispatch.solve import CUT_NOTE
from dispatch.travel import Travel


@dataclass(frozen=True, slots=True)
class Goal:
    """What a plan gives and what no plan of the fleet can go below; ``least`` is ``None`` where nothing is known.

    Nothing is known of a goal while one that comes before it is not proved: a better plan might trade it.
    """

    value: float
    least: float | None

    @property
    def proved(self) -> bool:
        """Whether no plan of the fleet does better."""
        return self.least is not None and self.least >= self.value - 1e-6


@dataclass(frozen=True, slots=True)
class OutsideHaul:
    """What an outside haulier takes: moves that ride together, one trip. ``price`` says why there is none."""

    moves: tuple[str, ...]
    weight_lb: float
    tenths: int
    price: OutsidePrice | NoOutsidePrice


@dataclass(frozen=True, slots=True)
class OwnCost:
    """The fleet's own cost, cents: the plan's, rounded once a rig, and what it is paid for, each rounded."""

    cents: int
    hours_cents: int
    miles_cents: int
    trips_cents: int
    permits_cents: int


@dataclass(frozen=True, slots=True)
class TrailerUse:
    """What a trailer did on the day: minutes out of the yard, trips, pounds hauled (nominal)."""

    trailer: str
    out_min: int
    trips: int
    weight_lb: float


@dataclass(frozen=True, slots=True)
class DayOutcome:
    """One day under one variant. ``taken_from``: the smaller fleet whose plan it is; ``cut``: by the clock."""

    day: str
    variant: str
    left_out: Goal
    trips: Goal
    cost: Goal
    moves_left_out: tuple[str, ...]
    moves: int
    outside: tuple[OutsideHaul, ...]
    loaded_tenths: int
    empty_tenths: int
    paid_min: int
    overtime_min: int
    own: OwnCost
    use: tuple[TrailerUse, ...]
    taken_from: str = ""
    cut: bool = False

    @property
    def tenths(self) -> int:
        """All miles of the fleet, tenths."""
        return self.loaded_tenths + self.empty_tenths

    @property
    def outside_cents(self) -> int:
        """What outside haul costs, as far as it has a price."""
        return sum(haul.price.cents for haul in self.outside if isinstance(haul.price, OutsidePrice))

    @property
    def not_priced(self) -> tuple[OutsideHaul, ...]:
        """Outside hauls that the table has no price for."""
        return tuple(haul for haul in self.outside if isinstance(haul.price, NoOutsidePrice))

    @property
    def cents(self) -> int:
        """Own cost and outside haul together."""
        return self.own.cents + self.outside_cents


def day_outcome(
    day: str, variant: str, problem: Problem, standing: Standing, table: Sequence[OutsideRow]
) -> DayOutcome:
    """The figures of a plan; what it leaves out is priced by the outside haulier's table."""
    plan, travel = standing.plan, Travel(problem.sites, problem.roads, problem.settings)
    goals = _goals(plan)
    return DayOutcome(
        day=day,
        variant=variant,
        left_out=goals["left out"],
        trips=goals["trips"],
        cost=goals["cost"],
        moves_left_out=plan.left_out,
        moves=len(problem.moves),
        outside=tuple(outside_hauls(problem, travel, plan, table)),
        loaded_tenths=sum(costs.loaded_tenths(travel, one) for one in plan.rig_days),
        empty_tenths=sum(costs.empty_tenths(travel, problem.rig(one.rig), one) for one in plan.rig_days),
        paid_min=sum(costs.paid_minutes(one) for one in plan.rig_days),
        overtime_min=sum(_overtime(problem, one) for one in plan.rig_days),
        own=_own_cost(problem, travel, plan),
        use=_use(problem, plan),
        taken_from=standing.taken_from,
        cut=CUT_NOTE in plan.notes,
    )


def _goals(plan: Plan) -> dict[str, Goal]:
    found, sure = {}, True
    for level in plan.levels:
        found[level.name] = Goal(level.value, level.bound if sure else None)
        sure = sure and level.proved
    return found


def outside_hauls(
    problem: Problem, travel: Travel, plan: Plan, table: Sequence[OutsideRow]
) -> Iterator[OutsideHaul]:
    """The moves left out as trips of an outside haulier: each alone, what must ride together on one.

    Weights at their heaviest; the distance is the longest of those that ride together.
    """
    gone = set(plan.left_out)
    for group in problem.together:
        hauls = [problem.hauls[number] for number in group]
        moves = tuple(dict.fromkeys(haul.move for haul in hauls if haul.move in gone))
        if moves:
            weight_lb = sum(haul.item.weight.high_lb for haul in hauls)
            tenths = max(travel.tenths(haul.origin, haul.destination) for haul in hauls)
            yield OutsideHaul(moves, weight_lb, tenths, outside_price(table, weight_lb, tenths))


def _overtime(problem: Problem, day: RigDay) -> int:
    after = problem.rig(day.rig).overtime_after_min
    return 0 if after is None else max(0, costs.paid_minutes(day) - after)


def _own_cost(problem: Problem, travel: Travel, plan: Plan) -> OwnCost:
    hours = miles = trips = permits = Fraction(0)
    for day in plan.rig_days:
        rig = problem.rig(day.rig)
        ridden = [trip for outing in day.outings for trip in outing.trips]
        hours += costs.hours_cents(rig, costs.paid_minutes(day))
        miles += costs.miles_cents(rig, costs.loaded_tenths(travel, day) + costs.empty_tenths(travel, rig, day))
        trips += len(ridden) * 100 * costs.exact(rig.cost_per_trip_usd)
        permits += costs.permits_cents(problem.hauls[haul] for trip in ridden for haul in trip.hauls())
    parts = (costs.round_cents(part) for part in (hours, miles, trips, permits))
    return OwnCost(costs.plan_cents(problem, travel, plan), *parts)


def _use(problem: Problem, plan: Plan) -> tuple[TrailerUse, ...]:
    """One record a trailer of the fleet, in the order of the rigs; one that stays in the yard has noughts."""
    used = {rig.trailer.name: TrailerUse(rig.trailer.name, 0, 0, 0.0) for rig in problem.rigs}
    for day in plan.rig_days:
        name = problem.rig(day.rig).trailer.name
        ridden = [trip for outing in day.outings for trip in outing.trips]
        weight_lb = sum(problem.hauls[haul].item.weight.nominal_lb for trip in ridden for haul in trip.hauls())
        old = used[name]
        used[name] = TrailerUse(
            name, old.out_min + costs.paid_minutes(day), old.trips + len(ridden), old.weight_lb + weight_lb
        )
    return tuple(used.values())
