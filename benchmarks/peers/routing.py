"""The day for ortools' routing library: pairs, last on first off, windows, shifts, drop penalties.

What the library can be told, it is told: site hours, Ready and Deliver by, shifts, overtime, most items, one
loading phase a trip, payload and deck length, and which rig may legally carry which item by itself. It cannot see
axles, balance or what stands where; ``repair`` has the calculator look at its plans afterwards.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from ortools.constraint_solver import pywrapcp, routing_enums_pb2

from benchmarks.peers.routes import Day, Routes, Tasks, trip_of
from dispatch.fleet import Rig
from dispatch.plan import Action, Task

DAY_MIN = 24 * 60
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Weights:
    """What the library is steered by: cents for a move left out and for a trip, heuristics, payload.

    ``payload``: the share of each trailer's payload that a load may weigh; less than all of it makes fewer plans
    illegal on axles.
    """

    left_out: int = 10_000_000
    trip: int = 500_000
    first: str = "PATH_CHEAPEST_ARC"
    then: str = "GUIDED_LOCAL_SEARCH"
    payload: float = 1.0


WEIGHTS, LIGHT = Weights(), Weights(payload=0.9)
"""Those that did best of the ones tried, with the whole payload and with less: see docs/benchmarks.md."""


@dataclass(slots=True)
class Found:
    """What the library found, and when it had its first plan, seconds."""

    routes: Routes
    first_s: float | None = None


def routing_library(day: Day, limit_s: float, weights: Weights = WEIGHTS) -> Found:
    """The library's routes after so many seconds, set-up included."""
    start = time.perf_counter()
    model = Model(day, weights)
    found = Found({})
    model.routing.AddAtSolutionCallback(lambda: _first(found, time.perf_counter() - start))
    search = pywrapcp.DefaultRoutingSearchParameters()
    search.first_solution_strategy = getattr(routing_enums_pb2.FirstSolutionStrategy, weights.first)
    search.local_search_metaheuristic = getattr(routing_enums_pb2.LocalSearchMetaheuristic, weights.then)
    left = max(0.05, limit_s - (time.perf_counter() - start))
    search.time_limit.FromMilliseconds(int(left * 1000))
    solution = model.routing.SolveWithParameters(search)
    if solution is not None:
        found.routes = model.routes(solution)
    return found


def _first(found: Found, seconds: float) -> None:
    if found.first_s is None:
        found.first_s = seconds


class Model:
    """The library's model. Node 2i picks move i up, node 2i + 1 delivers it; the yards come behind."""

    def __init__(self, day: Day, weights: Weights) -> None:
        self.day, self.weights = day, weights
        problem = day.problem
        self.moves, self.rigs = problem.moves, problem.rigs
        self.yards = list(dict.fromkeys(place for rig in self.rigs for place in (rig.yard, rig.end)))
        self.sites = [site for move in self.moves for site in (move.origin, move.destination)] + self.yards
        node = np.arange(len(self.sites))
        self.loads, self.unloads = ((node < 2 * len(self.moves)) & (node % 2 == kind) for kind in (0, 1))
        ends = [[2 * len(self.moves) + self.yards.index(getattr(rig, end)) for rig in self.rigs] for end in _ENDS]
        self.manager = pywrapcp.RoutingIndexManager(len(self.sites), len(self.rigs), *ends)
        self.routing = pywrapcp.RoutingModel(self.manager)
        self.solver = self.routing.solver()
        self._costs()
        self._capacities()
        self._times()
        self._pairs()
        self._one_loading_phase()

    def _roads(self, road: Callable[[str, str], int]) -> Ints:
        """A figure of the road between any two nodes, worked out once for any two sites."""
        names = list(dict.fromkeys(self.sites))
        table = np.array([[road(a, b) for b in names] for a in names], dtype=np.int64)
        place = [names.index(site) for site in self.sites]
        return table[np.ix_(place, place)]

    def _evaluator(self, matrix: Ints) -> int:
        return int(self.routing.RegisterTransitMatrix(matrix.tolist()))

    def _costs(self) -> None:
        """Miles by the rig's rate; a trip begins on every road from an empty deck to a pickup."""
        tenths = self._roads(self.day.travel.tenths)
        begins = self.weights.trip * np.outer(~self.loads, self.loads)
        evaluators: dict[float, int] = {}
        for number, rig in enumerate(self.rigs):
            rate = rig.cost_per_mile_usd
            if rate not in evaluators:
                evaluators[rate] = self._evaluator(np.rint(10 * rate * tenths).astype(np.int64) + begins)
            self.routing.SetArcCostEvaluatorOfVehicle(evaluators[rate], number)

    def _capacities(self) -> None:
        problem = self.day.problem
        settings = problem.settings
        items = [move.item for move in self.moves]
        trailers = [rig.trailer for rig in self.rigs]
        share = self.weights.payload
        payloads = [int(share * (t.gvwr_lb - t.empty_coupler.high_lb - t.empty_axles.high_lb)) for t in trailers]
        decks = [int(t.deck_length_in - settings.front_clearance_in + settings.gap_in) for t in trailers]
        most = [settings.most_items_per_trip] * len(self.rigs)
        self._capacity("weight", [int(-(-item.weight.high_lb // 1)) for item in items], payloads)
        self._capacity("length", [int(item.length_in + settings.gap_in) for item in items], decks)
        self._capacity("count", [1] * len(items), most)

    def _capacity(self, name: str, needs: Sequence[int], most: Sequence[int]) -> None:
        by_node = [sign * need for need in needs for sign in (1, -1)] + [0] * len(self.yards)
        evaluator = self.routing.RegisterUnaryTransitVector(by_node)
        self.routing.AddDimensionWithVehicleCapacity(evaluator, 0, list(most), True, name)

    def _times(self) -> None:
        """Cumulated: the start of work at a node. Paid minutes cost by the rig's rate, overtime more."""
        self.routing.AddDimension(self._evaluator(self._minutes()), DAY_MIN, DAY_MIN, False, "time")
        dimension = self.routing.GetDimensionOrDie("time")
        for number, move in enumerate(self.moves):
            self._window(dimension, 2 * number, move.ready_min, None, move.load_min)
            self._window(dimension, 2 * number + 1, None, move.due_min, move.unload_min)
        for number, rig in enumerate(self.rigs):
            start, end = self.routing.Start(number), self.routing.End(number)
            for index in (start, end):
                dimension.CumulVar(index).SetRange(rig.shift_start_min, rig.shift_end_min)
                self.routing.AddVariableMinimizedByFinalizer(dimension.CumulVar(index))
            minute = round(100 * rig.cost_per_hour_usd / 60)
            dimension.SetSpanCostCoefficientForVehicle(minute, number)
            if rig.overtime_after_min is not None:
                more = round(minute * (rig.overtime_factor - 1))
                dimension.SetSoftSpanUpperBoundForVehicle(pywrapcp.BoundCost(rig.overtime_after_min, more), number)

    def _minutes(self) -> Ints:
        """Work at a node and the road from there: loaded after a pickup, and from drop to drop."""
        work = np.array([minutes for move in self.moves for minutes in (move.load_min, move.unload_min)])
        minutes = self.day.travel.minutes
        loaded = self._roads(lambda a, b: minutes(a, b, loaded=True))
        empty = self._roads(lambda a, b: minutes(a, b, loaded=False))
        after = np.append(work, np.zeros(len(self.yards), dtype=np.int64))
        aboard = self.loads[:, None] | np.outer(self.unloads, self.unloads)
        return np.asarray(np.where(aboard, loaded, empty) + after[:, None], dtype=np.int64)

    def _window(self, dimension: Any, node: int, ready: int | None, due: int | None, work: int) -> None:
        site = self.day.problem.sites[self.sites[node]]
        low = max(site.opens_min or 0, ready or 0) + site.extra_load_min
        high = min(DAY_MIN if end is None else end for end in (site.closes_min, due)) - work
        index = self.manager.NodeToIndex(node)
        if low <= high:
            dimension.CumulVar(index).SetRange(low, high)
        else:
            self.routing.VehicleVar(index).SetValues([-1])

    def _pairs(self) -> None:
        self.routing.SetPickupAndDeliveryPolicyOfAllVehicles(pywrapcp.RoutingModel.PICKUP_AND_DELIVERY_LIFO)
        dimension = self.routing.GetDimensionOrDie("time")
        for number, move in enumerate(self.moves):
            on, off = (self.manager.NodeToIndex(2 * number + place) for place in (0, 1))
            self.routing.AddPickupAndDelivery(on, off)
            self.solver.Add(self.routing.VehicleVar(on) == self.routing.VehicleVar(off))
            self.solver.Add(dimension.CumulVar(on) <= dimension.CumulVar(off))
            penalty = round(self.weights.left_out * move.priority)
            self.routing.AddDisjunction([on], penalty)
            self.routing.AddDisjunction([off], 0)
            able = [place for place, rig in enumerate(self.rigs) if self._alone(rig, number)]
            for index in (on, off):
                self.routing.VehicleVar(index).SetValues([-1, *able])

    def _alone(self, rig: Rig, number: int) -> bool:
        return self.day.load(rig, trip_of([number])) is not None

    def _one_loading_phase(self) -> None:
        """Nothing comes on after something came off, until the deck is empty."""
        indices = range(self.routing.Size() + len(self.rigs))
        nodes = [self.manager.IndexToNode(index) for index in indices]
        loads = [int(self.loads[node]) for node in nodes]
        count = self.routing.GetDimensionOrDie("count")
        for number in range(len(self.moves)):
            index = self.manager.NodeToIndex(2 * number + 1)
            then_loads = self.solver.Element(loads, self.routing.NextVar(index))
            self.solver.Add(then_loads * (count.CumulVar(index) - 1) == 0)

    def routes(self, solution: Any) -> Routes:
        """The routes, cut into trips where the deck is empty."""
        found: dict[str, list[Tasks]] = {}
        for number, rig in enumerate(self.rigs):
            index, trip, aboard = self.routing.Start(number), list[Task](), 0
            while not self.routing.IsEnd(index):
                node = self.manager.IndexToNode(index)
                if node < 2 * len(self.moves):
                    action = Action.LOAD if self.loads[node] else Action.UNLOAD
                    aboard += 1 if action is Action.LOAD else -1
                    trip.append(Task(action, node // 2))
                    if not aboard:
                        found.setdefault(rig.name, []).append(tuple(trip))
                        trip = []
                index = solution.Value(self.routing.NextVar(index))
        return found


_ENDS = ("yard", "end")
