"""One CP-SAT model of a whole day, level after level: left out, trips, cost. A witness up to some 12 moves.

Everything is decided in one model: which legal trips are made, by which rig, in which order, when, with which
ways home in between; rigs that share a truck, trailer or driver; machines that are moved twice. It shares with
the optimiser the ``Placer``, the travel table and the figures of the domain, and with ``listed_trips`` the list
of legal trips (``trip_list``); no rig-days, no column generation, no dominance, no floors.

The model: a rig's day is a circuit through the yard over nodes (the haul loaded first, the haul unloaded last);
every trip belongs to one node of a rig. Of a node ``start`` is the arrival at its first stop, ``end`` when the
last item is off. ``fresh``: the rig comes from the yard; ``home``: it goes there (after the last trip to its End).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations

from ortools.sat.python import cp_model

from dispatch.costs import exact
from dispatch.driver_hours import hours_rule
from dispatch.fleet import Rig
from dispatch.placement import Placer
from dispatch.plan import Action, Outcome, Outing, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem, shares_gear
from tests.external.trip_list import ALWAYS, ListedTrip, Yardmaster

LEVELS = ("left out", "trips", "cost")
Bool = cp_model.IntVar


@dataclass(frozen=True)
class Settled:
    """A level's value in the best plan found and the bound that CP-SAT proved; priorities as typed, cents."""

    value: float
    bound: float

    @property
    def proved(self) -> bool:
        return self.bound > self.value - 1e-6


@dataclass(frozen=True)
class Witness:
    """Level by level, as far as it came; a level holds with the values of those before it kept."""

    levels: dict[str, Settled]
    plan: Plan | None

    @property
    def proved(self) -> bool:
        return len(self.levels) == len(LEVELS) and all(level.proved for level in self.levels.values())


@dataclass(eq=False)
class Node:
    """A place in a rig's day that one trip can take."""

    rig: int
    first: str
    last: str
    trips: list[ListedTrip] = field(default_factory=list)
    chosen: list[Bool] = field(default_factory=list)


class Monolith:
    """The model of one day. ``workers`` and ``seconds`` (of each level) are CP-SAT's."""

    def __init__(self, problem: Problem, placer: Placer | None = None, *, workers: int = 8, seconds: float = 60):
        self.problem = problem
        self.yard = Yardmaster(problem, placer or Placer(problem))
        self.workers, self.seconds = workers, seconds
        self.m = cp_model.CpModel()
        self.scale = math.lcm(1, *(p.denominator for p in self.yard.priorities))
        self.nodes = self._nodes()
        self.out = [self.m.new_bool_var(f"out {number}") for number in range(len(self.yard.units))]
        self._times()
        self.minutes: list[cp_model.LinearExprT] = []
        self.tenths: list[cp_model.LinearExprT] = []
        self.after: list[dict[tuple[int, int], tuple[Bool, Bool]]] = []
        self.begins: list[dict[int, Bool]] = []
        self.ends: list[dict[int, Bool]] = []
        for rig in range(len(problem.rigs)):
            self._day(rig)
        self._every_unit_once()
        self._driving()
        self._duty_windows()
        self._alike()
        self._shared_gear()
        self._moved_twice()
        self.goals = (
            sum(int(p * self.scale) * out for p, out in zip(self.yard.priorities, self.out, strict=True)),
            sum(chosen for node in self.nodes for chosen in node.chosen),
            sum(self._cents(rig) for rig in range(len(problem.rigs))),
        )

    # variables

    def _nodes(self) -> list[Node]:
        listed: dict[object, list[ListedTrip]] = {}
        nodes: dict[tuple[int, int, int], Node] = {}
        for number, rig in enumerate(self.problem.rigs):
            key = self.yard.class_of(rig)
            if key not in listed:
                listed[key] = self.yard.trips(rig)
            for trip in listed[key]:
                name = number, trip.tasks[0].haul, trip.tasks[-1].haul
                node = nodes.setdefault(name, Node(number, trip.first, trip.last))
                node.trips.append(trip)
                node.chosen.append(self.m.new_bool_var(f"{name} {len(node.trips)}"))
        return list(nodes.values())

    def of(self, rig: int) -> list[int]:
        return [number for number, node in enumerate(self.nodes) if node.rig == rig]

    def _times(self) -> None:
        m, rigs = self.m, self.problem.rigs
        self.used, self.start, self.end, self.fresh, self.home = [], [], [], [], []
        for number, node in enumerate(self.nodes):
            opens, closes = rigs[node.rig].shift_start_min, rigs[node.rig].shift_end_min
            used, fresh, home = (m.new_bool_var(f"{what} {number}") for what in ("used", "fresh", "home"))
            start, end = m.new_int_var(opens, closes, ""), m.new_int_var(opens, closes, "")
            m.add(sum(node.chosen) == used)
            pairs = list(zip(node.trips, node.chosen, strict=True))
            m.add(start <= sum(min(t.clock.latest, closes) * z for t, z in pairs) + closes * (1 - used))
            m.add(end >= sum(t.clock.over * z for t, z in pairs))
            m.add(end - start >= sum(t.clock.run * z for t, z in pairs))
            m.add_implication(fresh, used)
            m.add_implication(home, used)
            m.add(start == opens).only_enforce_if(~used)
            m.add(end == opens).only_enforce_if(~used)
            for kept, value in zip(
                (self.used, self.start, self.end, self.fresh, self.home),
                (used, start, end, fresh, home),
                strict=True,
            ):
                kept.append(value)

    # a rig's day

    def _day(self, rig: int) -> None:
        m, own, mine = self.m, self.problem.rigs[rig], self.of(rig)
        place = {node: position + 1 for position, node in enumerate(mine)}
        arcs: list[tuple[int, int, cp_model.LiteralT]] = []
        minutes: list[cp_model.LinearExprT] = [t.drive_min * z for n in mine for t, z in self._choices(n)]
        tenths: list[cp_model.LinearExprT] = [t.tenths * z for n in mine for t, z in self._choices(n)]
        begins, ends, after = {}, {}, {}
        idle = m.new_bool_var(f"idle {rig}")
        arcs.append((0, 0, idle))
        for i in mine:
            m.add_implication(idle, ~self.used[i])
            begins[i], ends[i] = m.new_bool_var(f"first {i}"), m.new_bool_var(f"last {i}")
            arcs += [(0, place[i], begins[i]), (place[i], 0, ends[i]), (place[i], place[i], ~self.used[i])]
            m.add_implication(begins[i], self.fresh[i])
            m.add_implication(ends[i], self.home[i])
            out, back = self._way_out(own, i), self._way_home(own, i, own.end)
            m.add(self.start[i] >= own.shift_start_min + out[0]).only_enforce_if(self.fresh[i])
            m.add(self.end[i] + back[0] <= own.shift_end_min).only_enforce_if(ends[i])
            minutes += [out[0] * begins[i], back[0] * ends[i]]
            tenths += [out[1] * begins[i], back[1] * ends[i]]
            for j in mine:
                if i != j and not self._never_both(i, j):
                    after[i, j] = self._follows(own, i, j, minutes, tenths)
                    arc = m.new_bool_var("")
                    m.add(sum(after[i, j]) == arc)
                    arcs.append((place[i], place[j], arc))
        m.add_circuit(arcs)
        self.minutes.append(sum(minutes))
        self.tenths.append(sum(tenths))
        self.after.append(after)
        self.begins.append(begins)
        self.ends.append(ends)

    def _choices(self, node: int) -> list[tuple[ListedTrip, Bool]]:
        return list(zip(self.nodes[node].trips, self.nodes[node].chosen, strict=True))

    def _never_both(self, i: int, j: int) -> bool:
        """Whether every two trips of the nodes share a unit: their first or last haul is the same."""
        common = -1
        for node in (i, j):
            for trip in self.nodes[node].trips:
                common &= trip.units
        both = [self.nodes[n].trips[0].tasks for n in (i, j)]
        return both[0][0].haul == both[1][0].haul or both[0][-1].haul == both[1][-1].haul or bool(common > 0)

    def _way_out(self, rig: Rig, node: int) -> tuple[int, int]:
        return self._way(rig.yard, self.nodes[node].first)

    def _way_home(self, rig: Rig, node: int, to: str) -> tuple[int, int]:
        return self._way(self.nodes[node].last, to)

    def _way(self, origin: str, target: str) -> tuple[int, int]:
        return self.yard.minutes(origin, target, loaded=False), self.yard.tenths(origin, target)

    def _follows(
        self, own: Rig, i: int, j: int, minutes: list[cp_model.LinearExprT], tenths: list[cp_model.LinearExprT]
    ) -> tuple[Bool, Bool]:
        """Trip j after trip i: straight on, or by the yard."""
        m = self.m
        straight, by_yard = m.new_bool_var(""), m.new_bool_var("")
        road = self._way(self.nodes[i].last, self.nodes[j].first)
        back, out = self._way_home(own, i, own.yard), self._way_out(own, j)
        m.add(self.start[j] >= self.end[i] + road[0]).only_enforce_if(straight)
        m.add(self.start[j] >= self.end[i] + back[0] + out[0]).only_enforce_if(by_yard)
        for node, at_yard in ((j, self.fresh), (i, self.home)):
            m.add_implication(by_yard, at_yard[node])
            m.add_implication(straight, ~at_yard[node])
        minutes += [road[0] * straight, (back[0] + out[0]) * by_yard]
        tenths += [road[1] * straight, (back[1] + out[1]) * by_yard]
        return straight, by_yard

    # rules between days

    def _every_unit_once(self) -> None:
        for unit, out in enumerate(self.out):
            trips = [z for n in range(len(self.nodes)) for t, z in self._choices(n) if t.units >> unit & 1]
            self.m.add_exactly_one([*trips, out])

    def _driving(self) -> None:
        """The minutes at the wheel of a driver, over all his rigs; of several limits the least."""
        rigs = self.problem.rigs
        for driver in dict.fromkeys(rig.driver or f"of {rig.name}" for rig in rigs):
            own = [n for n, rig in enumerate(rigs) if (rig.driver or f"of {rig.name}") == driver]
            limit = min(self.yard.driving_limit(rigs[n]) for n in own)
            if limit < ALWAYS:
                self.m.add(sum(self.minutes[n] for n in own) <= limit)

    def _duty_windows(self) -> None:
        """From a driver's first leaving to his last return, over all his rigs."""
        rigs, window = self.problem.rigs, hours_rule(self.problem.rules).window_min
        for driver in dict.fromkeys(rig.driver or f"of {rig.name}" for rig in rigs):
            own = [n for n, rig in enumerate(rigs) if (rig.driver or f"of {rig.name}") == driver]
            opens, closes = min(rigs[n].shift_start_min for n in own), max(rigs[n].shift_end_min for n in own)
            if window is None or closes - opens <= window:
                continue
            first = self.m.new_int_var(opens, closes, f"on duty {driver}")
            for rig in own:
                for i in self.of(rig):
                    out, back = self._way_out(rigs[rig], i)[0], self._way_home(rigs[rig], i, rigs[rig].end)[0]
                    self.m.add(first <= self.start[i] - out).only_enforce_if(self.begins[rig][i])
                    self.m.add(self.end[i] + back <= first + window).only_enforce_if(self.ends[rig][i])

    def _alike(self) -> None:
        """Of rigs that differ in nothing and share nothing, the earlier makes no fewer trips."""
        rigs = self.problem.rigs
        shared = {
            n for n, rig in enumerate(rigs) for other in rigs if other is not rig and shares_gear(rig, other)
        }
        last: dict[object, int] = {}
        for n, rig in enumerate(rigs):
            if n in shared:
                continue
            key = self.yard.class_of(rig)
            if key in last:
                before, now = (sum(self.used[i] for i in self.of(r)) for r in (last[key], n))
                self.m.add(before >= now)
            last[key] = n

    def _shared_gear(self) -> None:
        """Runs of rigs that share gear do not overlap; the hook time lies between, at the yard."""
        rigs = self.problem.rigs
        pairs = [(a, b) for a, b in combinations(range(len(rigs)), 2) if shares_gear(rigs[a], rigs[b])]
        if not pairs:
            return
        self._runs({rig for pair in pairs for rig in pair})
        for a, b in pairs:
            for i in self.of(a):
                for j in self.of(b):
                    if not self._never_both(i, j):
                        self._take_turns(i, j)

    def _runs(self, rigs: set[int]) -> None:
        """For each node when its run leaves and is back, and whether the run is the rig's last."""
        m = self.m
        self.leaves: dict[int, cp_model.IntVar] = {}
        self.back: dict[int, cp_model.IntVar] = {}
        self.final: dict[int, Bool] = {}
        for rig in rigs:
            own = self.problem.rigs[rig]
            for i in self.of(rig):
                self.leaves[i] = m.new_int_var(own.shift_start_min, own.shift_end_min, "")
                self.back[i] = m.new_int_var(own.shift_start_min, own.shift_end_min, "")
                self.final[i] = m.new_bool_var("")
                out, back = self._way_out(own, i)[0], self._way_home(own, i, own.end)[0]
                m.add(self.leaves[i] == self.start[i] - out).only_enforce_if(self.fresh[i])
                m.add(self.back[i] == self.end[i] + back).only_enforce_if(self.ends[rig][i])
                m.add_implication(self.ends[rig][i], self.final[i])
            for (i, j), (straight, by_yard) in self.after[rig].items():
                yard = self._way_home(own, i, own.yard)[0]
                m.add(self.leaves[j] == self.leaves[i]).only_enforce_if(straight)
                m.add(self.back[i] == self.back[j]).only_enforce_if(straight)
                m.add(self.back[i] == self.end[i] + yard).only_enforce_if(by_yard)
                m.add(self.final[i] == self.final[j]).only_enforce_if(straight)
                m.add_implication(by_yard, ~self.final[i])

    def _take_turns(self, i: int, j: int) -> None:
        m, hook = self.m, self.problem.settings.hook_min
        first, second = m.new_bool_var(""), m.new_bool_var("")
        m.add_bool_or([first, second, ~self.used[i], ~self.used[j]])
        for order, before, later in ((first, i, j), (second, j, i)):
            m.add(self.back[before] + hook <= self.leaves[later]).only_enforce_if(order)
            m.add_implication(order, self.used[before])
            m.add_implication(order, self.used[later])
            ends_at = self.problem.rigs[self.nodes[before].rig].end
            if ends_at != self.problem.rigs[self.nodes[later].rig].yard:
                m.add_implication(order, ~self.final[before])

    def _moved_twice(self) -> None:
        """A machine is picked up after it was dropped by the move before, and not at all without that."""
        successors = self.problem.successors
        self.drops = {first: self.m.new_int_var(0, ALWAYS, "") for first, _ in successors}
        for first, second in successors:
            a, b = self.yard.unit_of.get(first), self.yard.unit_of.get(second)
            if b is not None:
                self.m.add_implication(self.out[a], self.out[b]) if a is not None else self.m.add(self.out[b] == 1)
        for number in range(len(self.nodes)) if successors else ():
            rig = self.problem.rigs[self.nodes[number].rig]
            for trip, chosen in self._choices(number):
                self._drops_of(number, rig, trip, chosen)

    def _drops_of(self, number: int, rig: Rig, trip: ListedTrip, chosen: Bool) -> None:
        """When the trip's tasks are over, waits for drops included; and that they still are in time."""
        before = {second: first for first, second in self.problem.successors}
        moments = self.yard.moments(rig, trip.tasks, trip.load.permit_legs)
        assert moments is not None
        done = moments[-1].done
        if any(t.action is Action.LOAD and t.haul in before for t in trip.tasks) and any(trip.load.permit_legs):
            raise NotImplementedError("a permit's hours and a machine moved twice on one trip")
        for place, at in enumerate(moments):
            if at.task.action is Action.UNLOAD and at.task.haul in self.drops:
                drop = self.drops[at.task.haul]
                self.m.add(drop >= self.start[number] + at.done.run).only_enforce_if(chosen)
                self.m.add(drop >= at.done.over).only_enforce_if(chosen)
            if at.task.action is Action.LOAD and at.task.haul in before:
                there = self.drops[before[at.task.haul]]
                self.m.add(self.end[number] >= there + done.run - at.ready.run).only_enforce_if(chosen)
                for later in moments[place:]:
                    if later.done_by < ALWAYS:
                        so_far = later.done.run - at.ready.run
                        self.m.add(there + so_far <= later.done_by).only_enforce_if(chosen)
                    if later.task.action is Action.UNLOAD and later.task.haul in self.drops:
                        drop, so_far = self.drops[later.task.haul], later.done.run - at.ready.run
                        self.m.add(drop >= there + so_far).only_enforce_if(chosen)

    # money

    def _cents(self, rig: int) -> cp_model.LinearExprT:
        """The rig's day in whole cents, rounded once, half up: paid minutes, overtime, miles, trips, permits."""
        m, own = self.m, self.problem.rigs[rig]
        terms: list[cp_model.LinearExprT] = []
        for i in self.of(rig):
            out, yard = self._way_out(own, i)[0], self._way_home(own, i, own.yard)[0]
            end = self._way_home(own, i, own.end)[0]
            back, left = m.new_int_var(0, own.shift_end_min, ""), m.new_int_var(0, own.shift_end_min, "")
            last = self.ends[rig][i]
            m.add(back == self.end[i] + end).only_enforce_if(last)
            m.add(back == self.end[i] + yard).only_enforce_if([self.home[i], ~last])
            m.add(back == 0).only_enforce_if(~self.home[i])
            m.add(left == self.start[i] - out).only_enforce_if(self.fresh[i])
            m.add(left == 0).only_enforce_if(~self.fresh[i])
            terms += [back, -left]
        span = own.shift_end_min - own.shift_start_min
        paid, over = m.new_int_var(0, span, f"paid {rig}"), m.new_int_var(0, span, f"over {rig}")
        m.add(paid == sum(terms))
        # Follows from the times, and tells the solver's relaxation of them: roads and trips take their time.
        driven = sum(t.drive_min * z for i in self.of(rig) for t, z in self._choices(i))
        m.add(paid >= self.minutes[rig] - driven + sum(self.end[i] - self.start[i] for i in self.of(rig)))
        m.add_max_equality(
            over, [0, paid - (ALWAYS if own.overtime_after_min is None else own.overtime_after_min)]
        )
        rate = 100 * exact(own.cost_per_hour_usd) / 60
        mile, trip = 10 * exact(own.cost_per_mile_usd), 100 * exact(own.cost_per_trip_usd)
        worth: list[tuple[Fraction, cp_model.LinearExprT]] = [
            (rate, paid),
            (rate * (exact(own.overtime_factor) - 1), over),
            (mile, self.tenths[rig]),
        ]
        worth += [(trip + t.permit_cents, z) for i in self.of(rig) for t, z in self._choices(i)]
        parts = math.lcm(*(price.denominator for price, _ in worth))
        doubled = sum(int(2 * parts * price) * amount for price, amount in worth) + parts
        cents = m.new_int_var(0, 2**28, f"cents {rig}")
        m.add(2 * parts * cents <= doubled)
        m.add(2 * parts * cents > doubled - 2 * parts)
        return cents

    # solving

    def solve(self) -> Witness:
        """The levels one after the other, each with those before it kept."""
        levels: dict[str, Settled] = {}
        plan: Plan | None = None
        for name, goal in zip(LEVELS, self.goals, strict=True):
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = self.workers
            solver.parameters.max_time_in_seconds = self.seconds
            solver.parameters.random_seed = 0
            self.m.minimize(goal)
            status = solver.solve(self.m)
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                break
            value = round(solver.objective_value)
            bound = value if status == cp_model.OPTIMAL else math.ceil(solver.best_objective_bound - 1e-6)
            scale = self.scale if name == "left out" else 1
            levels[name] = Settled(value / scale, bound / scale)
            plan = self._plan(solver)
            self.m.add(goal <= value)
            self.m.clear_hints()
            for index in range(len(self.m.proto.variables)):
                variable = self.m.get_int_var_from_proto_index(index)
                self.m.add_hint(variable, solver.value(variable))
        return Witness(levels, plan)

    # the plan

    def _plan(self, solver: cp_model.CpSolver) -> Plan:
        drops = {haul: solver.value(drop) for haul, drop in self.drops.items()}
        days = []
        for number, rig in enumerate(self.problem.rigs):
            used = [i for i in self.of(number) if solver.value(self.used[i])]
            used.sort(key=lambda i: (solver.value(self.start[i]), solver.value(self.end[i])))
            pieces: list[list[int]] = []
            for i in self._in_order(solver, number, used):
                if solver.value(self.fresh[i]):
                    pieces.append([])
                pieces[-1].append(i)
            outings = [self._outing(solver, rig, piece, piece is pieces[-1], drops) for piece in pieces]
            days.append(RigDay(rig.name, tuple(outings)))
        hauled = {u for u, out in enumerate(self.out) if not solver.value(out)}
        left = tuple(move.name for h, move in enumerate(self.problem.moves) if self.yard.unit_of[h] not in hauled)
        return Plan(tuple(days), left, (), Outcome.STOPPED_WITH_PLAN)

    def _in_order(self, solver: cp_model.CpSolver, rig: int, used: Sequence[int]) -> list[int]:
        order = [i for i in used if solver.value(self.begins[rig][i])]
        while len(order) < len(used):
            order += [
                j for (i, j), ways in self.after[rig].items() if i == order[-1] and any(map(solver.value, ways))
            ]
        return order

    def _outing(
        self, solver: cp_model.CpSolver, rig: Rig, piece: Sequence[int], last: bool, drops: dict[int, int]
    ) -> Outing:
        trips = []
        for i in piece:
            (trip,) = [t for t, z in self._choices(i) if solver.value(z)]
            stops = stops_of(self.yard, rig, trip, solver.value(self.start[i]), drops)
            trips.append(Trip(rig.name, stops, trip.load.placements))
        leave = solver.value(self.start[piece[0]]) - self._way_out(rig, piece[0])[0]
        home = self._way_home(rig, piece[-1], rig.end if last else rig.yard)[0]
        return Outing(leave, tuple(trips), trips[-1].stops[-1].leave_min + home)


def stops_of(
    yard: Yardmaster, rig: Rig, trip: ListedTrip, start: int, drops: dict[int, int] | None = None
) -> tuple[Stop, ...]:
    """The trip's stops when it begins at ``start``, everything as early as it may be; walked task by task."""
    before = {second: first for first, second in yard.problem.successors}
    stops: list[Stop] = []
    now, leg, aboard = start, 0, set[int]()
    for place, task in enumerate(trip.tasks):
        here, haul = yard.site(task), yard.problem.hauls[task.haul]
        site = yard.problem.sites[here]
        fresh = not place or yard.site(trip.tasks[place - 1]) != here
        if fresh and stops:
            now = _wait_for_permit(yard, trip, leg, aboard, now)
            stops[-1] = Stop(stops[-1].site, stops[-1].arrive_min, now, stops[-1].tasks)
            now += yard.minutes(stops[-1].site, here, loaded=True)
            leg += 1
        arrive, tasks = (now, ()) if fresh else (stops[-1].arrive_min, stops[-1].tasks)
        now = max(now, site.opens_min or 0)
        if task.action is Action.LOAD:
            now = max(now, haul.ready_min or 0, (drops or {}).get(before.get(task.haul, -1), 0))
        now += (site.extra_load_min if fresh else 0) + _work_min(yard, task)
        stop = Stop(here, arrive, now, (*tasks, task))
        stops = [*stops, stop] if fresh else [*stops[:-1], stop]
        (aboard.add if task.action is Action.LOAD else aboard.discard)(task.haul)
    return tuple(stops)


def _wait_for_permit(yard: Yardmaster, trip: ListedTrip, leg: int, aboard: set[int], now: int) -> int:
    if leg < len(trip.load.permit_legs) and trip.load.permit_legs[leg]:
        permits = [yard.problem.hauls[haul].permit for haul in aboard]
        now = max([now, *(permit.from_min or 0 for permit in permits if permit is not None)])
    return now


def _work_min(yard: Yardmaster, task: Task) -> int:
    haul = yard.problem.hauls[task.haul]
    return haul.load_min if task.action is Action.LOAD else haul.unload_min
