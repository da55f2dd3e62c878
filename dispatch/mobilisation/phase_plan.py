"""The fewest legal trips that haul the machines of a phase one way, over as many days as that needs.

What is claimed of the number of trips rests on two floors. Over any number of days no plan has fewer trips than
the fewest sets of machines that could ride together and hold every machine once: days, clocks and the number of
rigs only take plans away. And within the days planned, the engine's own bound holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dispatch.bounds import fewest_trips
from dispatch.errors import HauldayError
from dispatch.explain import LeftOut, left_out
from dispatch.mobilisation.bid import Direction, Machine
from dispatch.mobilisation.bid_moves import moves_of, problem_of
from dispatch.moves import Move
from dispatch.placement import Placer
from dispatch.plan import Outcome, Plan
from dispatch.planning_day import DayTrips, PlanningDay, find_trips, prepare
from dispatch.problem import Problem
from dispatch.report import trips_claim
from dispatch.solve import CUT_NOTE, solve
from dispatch.trips import TripBudget
from dispatch.verify import verify

MOST_REPEATS = 200
"""Illegal sets taken out of the partition bound before it is taken as it stands; it holds at any time."""


class PlanRefused(HauldayError):
    """The verifier disagrees with a plan: a bug, and nothing may be priced with it."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to search: seconds of clock a plan (``None``: no limit), most days a phase, seed.

    ``cost_first``: least cost before fewest trips.
    """

    time_limit_s: float | None = None
    most_days: int = 5
    seed: int = 0
    cost_first: bool = False


@dataclass(frozen=True, slots=True)
class PhasePlan:
    """A phase's trips one way. ``problem`` holds the rigs of all its days and the moves that can be hauled.

    ``floor``: no plan over any number of days has fewer trips; 0 when no such floor is known. ``proved_in_days``:
    no plan of that many days has fewer. ``unhauled``: machines that no rig hauls, each with its reasons.
    """

    phase: str
    direction: Direction
    problem: Problem
    plan: Plan
    days: int
    floor: int
    proved_in_days: bool
    unhauled: tuple[LeftOut, ...]

    @property
    def trips(self) -> int:
        """How many trips are planned."""
        return sum(1 for _ in self.plan.trips())

    @property
    def cut(self) -> bool:
        """Whether the time limit cut the search short."""
        return CUT_NOTE in self.plan.notes

    @property
    def proved(self) -> bool:
        """Whether no plan, over any number of days, has fewer trips."""
        return self.trips == self.floor

    @property
    def claim(self) -> str:
        """What is proved of the number of trips, in words."""
        if self.trips == 0:
            return "no trip of the own rigs"
        if self.proved:
            return "fewest, proved"
        if self.proved_in_days:
            over = "one day" if self.days == 1 else f"{self.days} days"
            return f"fewest in {over}, proved; over more days not below {self.floor}"
        return f"fewest not proved; not below {self.floor}" if self.floor else "fewest not proved"


def plan_phase(
    fleet: Problem, phase: str, direction: Direction, machines: Sequence[Machine], effort: Effort
) -> PhasePlan:
    """Plans the machines one way: days are added until every machine is hauled, then while that saves trips.

    Raises PlanRefused when the verifier disagrees with the plan found.
    """
    wanted = moves_of(machines, direction, fleet)
    floor, carried = _floor(problem_of(fleet, wanted), effort) if wanted else (0, frozenset())
    moves = [move for move in wanted if move.name in carried]
    best, days = _fewest(fleet, moves, floor, effort)
    problem = problem_of(fleet, moves, days, cost_first=effort.cost_first)
    faults = verify(problem, best)
    if faults:
        raise PlanRefused("; ".join(map(str, faults)))
    unhauled = _unhauled(fleet, [move for move in wanted if move.name not in carried], problem, best)
    kept = [move for move in moves if move.name not in best.left_out]
    if len(kept) < len(moves):
        floor = 0
    return PhasePlan(phase, direction, problem, best, days, floor, trips_claim(best)[1], unhauled)


def _fewest(fleet: Problem, moves: Sequence[Move], floor: int, effort: Effort) -> tuple[Plan, int]:
    """The plan with the fewest trips among those of 1, 2, ... days; of several the one with the fewest days.

    With cost first no day is added for the sake of a trip.
    """
    if not moves:
        return Plan((), (), (), Outcome.PROVED), 1
    best, best_days = _solved(fleet, moves, 1, effort), 1
    for days in range(2, effort.most_days + 1):
        if not best.left_out and (effort.cost_first or _count(best) <= floor or days > best_days + 1):
            break
        plan = _solved(fleet, moves, days, effort)
        if (len(plan.left_out), _count(plan)) < (len(best.left_out), _count(best)):
            best, best_days = plan, days
    return best, best_days


def _solved(fleet: Problem, moves: Sequence[Move], days: int, effort: Effort) -> Plan:
    problem = problem_of(fleet, moves, days, cost_first=effort.cost_first)
    return solve(problem, time_limit_s=effort.time_limit_s, seed=effort.seed)


def _count(plan: Plan) -> int:
    return sum(1 for _ in plan.trips())


def _floor(problem: Problem, effort: Effort) -> tuple[int, frozenset[str]]:
    """No plan over any number of days has fewer trips than this (0: not known); names of the moves that can ride.

    A move can ride when some set with it rides legally, in time, on some rig that has the day to itself.
    """
    day = prepare(problem, Placer(problem))
    trips = find_trips(day, TripBudget())
    able = {unit for unit in range(len(day.shape.units)) if _can_ride(trips, unit)}
    hauls = {haul for unit in able for haul in day.shape.units[unit].hauls}
    names = frozenset(move.name for number, move in enumerate(problem.moves) if number in hauls)
    if len(able) < len(problem.moves):
        # Without those that nothing carries the sets are others: the floor is of the moves that remain.
        moves = [move for move in problem.moves if move.name in names]
        return (_floor(problem_of(problem, moves), effort)[0] if moves else 0), names
    return (_partition_bound(day, trips) if trips.complete else 0), names


def _can_ride(trips: DayTrips, unit: int) -> bool:
    alone = 1 << unit
    return trips.rides(alone) or any(trips.rides(mask) for mask in trips.masks() if mask & alone)


def _partition_bound(day: PlanningDay, trips: DayTrips) -> int:
    """Fewest sets that hold every unit once, with sets that turn out illegal taken out one after another."""
    bound = 0
    for _ in range(MOST_REPEATS):
        bound, used = fewest_trips(day.shape, trips.masks(), 0)
        legal = [trips.rides(mask) for mask in used]  # asked of every one: each illegal set is taken out
        if all(legal):
            break
    return bound


def _unhauled(fleet: Problem, stuck: Sequence[Move], planned: Problem, plan: Plan) -> tuple[LeftOut, ...]:
    """Machines that no rig carries, with each rig's reason; then those that the days have no room for."""
    found: tuple[LeftOut, ...] = ()
    if stuck:
        problem = problem_of(fleet, stuck)
        nothing = Plan((), tuple(move.name for move in stuck), (), plan.outcome)
        found = left_out(problem, nothing)
    return (*found, *left_out(planned, plan))
