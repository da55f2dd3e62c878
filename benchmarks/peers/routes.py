"""Routes: which trips a rig makes in which order, without times; and the plan that they come to.

Times are walked here, apart from the product's own, and best for the route: back at the yard as early as can be,
and out of it as late as that allows. A peer's rig goes out once a day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from dispatch.fleet import Rig
from dispatch.placement import Load, LoadRequest, Pin, Placer
from dispatch.plan import Action, Level, Outcome, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.rough_places import rough_places
from dispatch.travel import Travel
from dispatch.trip_orders import load_request
from dispatch.verify_levels import cost_cents, left_out_priority

Tasks = tuple[Task, ...]
Routes = Mapping[str, Sequence[Tasks]]
"""Rig's name -> its trips, each as what comes on and off in which order."""


def trip_of(loads: Sequence[int], unloads: Sequence[int] | None = None) -> Tasks:
    """The trip that loads the hauls in this order and, unless said otherwise, unloads them in the reverse one."""
    off = list(reversed(loads)) if unloads is None else unloads
    return (*(Task(Action.LOAD, haul) for haul in loads), *(Task(Action.UNLOAD, haul) for haul in off))


def hauls_of(tasks: Tasks) -> tuple[int, ...]:
    """The hauls in load order."""
    return tuple(task.haul for task in tasks if task.action is Action.LOAD)


class Day:
    """A problem with its roads and its calculator, as peers use them."""

    def __init__(self, problem: Problem, placer: Placer | None = None) -> None:
        self.problem = problem
        self.placer = placer or Placer(problem)
        self.travel = Travel(problem.sites, problem.roads, problem.settings)

    def request(self, tasks: Tasks) -> LoadRequest:
        """The trip as the calculator is asked about it."""
        return load_request(self.problem, tasks)

    def load(self, rig: Rig, tasks: Tasks) -> Load | None:
        """A legal load for the whole trip, or ``None``; lifts on site included."""
        return self.placer.find(rig, self.request(tasks)) if self.allowed(rig, tasks) else None

    def allowed(self, rig: Rig, tasks: Tasks) -> bool:
        """Whether the trip keeps to the most items, the rig's length and the sites' lifts."""
        hauls = [self.problem.hauls[haul] for haul in hauls_of(tasks)]
        moves = [self.problem.moves[haul.index] for haul in hauls]
        return len(hauls) <= self.problem.settings.most_items_per_trip and all(
            self.problem.may_carry(rig, move) for move in moves
        )

    def outing(self, rig: Rig, trips: Sequence[Tasks], loads: Sequence[Sequence[Placed]] = ()) -> Outing | None:
        """The route with its best times, or ``None`` when windows, hours or the shift do not allow it."""
        start = rig.shift_start_min
        first = self.walk(rig, trips, start, loads)
        if first is None:
            return None
        low, high, best = start, first.return_min, first
        while low < high:
            middle = (low + high + 1) // 2
            later = self.walk(rig, trips, middle, loads)
            if later is not None and later.return_min == first.return_min:
                low, best = middle, later
            else:
                high = middle - 1
        return best

    def walk(
        self, rig: Rig, trips: Sequence[Tasks], leave: int, loads: Sequence[Sequence[Placed]] = ()
    ) -> Outing | None:
        """The route when the yard is left at this minute."""
        time, place, done = leave, rig.yard, []
        for number, tasks in enumerate(trips):
            stops: list[Stop] = []
            for site, group in groupby(tasks, key=self._site):
                work = tuple(group)
                arrive = time + self.travel.minutes(place, site, loaded=bool(stops))
                after = self._work(site, work, arrive)
                if after is None:
                    return None
                stops.append(Stop(site, arrive, after, work))
                time, place = after, site
            done.append(Trip(rig.name, tuple(stops), tuple(loads[number]) if loads else ()))
        back = time + self.travel.minutes(place, rig.end, loaded=False)
        return Outing(leave, tuple(done), back) if back <= rig.shift_end_min else None

    def _site(self, task: Task) -> str:
        haul = self.problem.hauls[task.haul]
        return haul.origin if task.action is Action.LOAD else haul.destination

    def _work(self, name: str, tasks: Tasks, arrive: int) -> int | None:
        """When the work of a stop is over; ``None`` when it is too late for the site or a move."""
        site, time = self.problem.sites[name], arrive
        for place, task in enumerate(tasks):
            haul = self.problem.hauls[task.haul]
            loading = task.action is Action.LOAD
            time = max(time, site.opens_min or 0, (haul.ready_min or 0) if loading else 0)
            time += (haul.load_min if loading else haul.unload_min) + (site.extra_load_min if place == 0 else 0)
            if not loading and haul.due_min is not None and time > haul.due_min:
                return None
            if site.closes_min is not None and time > site.closes_min:
                return None
        return time

    def plan(self, routes: Routes) -> Plan:
        """The plan that the routes come to; a load that has no legal places gets rough ones.

        Raises ValueError for a route that the clock does not allow.
        """
        days = tuple(self._rig_day(rig, routes[rig.name]) for rig in self.problem.rigs if routes.get(rig.name))
        hauled = {haul for trips in routes.values() for tasks in trips for haul in hauls_of(tasks)}
        out = tuple(move.name for number, move in enumerate(self.problem.moves) if number not in hauled)
        return with_levels(self.problem, Plan(days, out, (), Outcome.STOPPED_WITH_PLAN))

    def _rig_day(self, rig: Rig, trips: Sequence[Tasks]) -> RigDay:
        outing = self.outing(rig, trips, [self.places(rig, tasks) for tasks in trips])
        if outing is None:
            raise ValueError(f"the route of {rig.name} cannot be driven in time")
        return RigDay(rig.name, (outing,))

    def places(self, rig: Rig, tasks: Tasks) -> tuple[Placed, ...]:
        """Legal places, or rough ones."""
        load = self.load(rig, tasks)
        if load is not None:
            return load.placements
        return rough_places(self.problem, rig, [Pin(haul) for haul in hauls_of(tasks)])


def with_levels(problem: Problem, plan: Plan) -> Plan:
    """The plan with its values as the verifier counts them, and no bounds."""
    counted = (
        ("left out", left_out_priority(problem, plan)),
        ("trips", float(sum(1 for _ in plan.trips()))),
        ("cost", float(cost_cents(problem, plan))),
    )
    levels = tuple(Level(name, value, 0.0, value == 0) for name, value in counted)
    return Plan(plan.rig_days, plan.left_out, levels, plan.outcome, plan.notes)


def routes_of(plan: Plan) -> dict[str, list[Tasks]]:
    """The routes of a plan."""
    return {
        day.rig: [
            tuple(task for stop in trip.stops for task in stop.tasks)
            for outing in day.outings
            for trip in outing.trips
        ]
        for day in plan.rig_days
    }
