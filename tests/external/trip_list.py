"""Every legal trip of a day, listed plainly: for the monolith and for the listed rig-days, not for the optimiser.

Shared with the optimiser: the ``Placer`` (whether a load is legal, and on which legs a permit binds), the travel
table and the figures of the domain. Not shared: which sets and orders are tried, the clock, what is given up.

A prefix of a trip is given up only for what grows with every further item: lengths on the deck, the lightest
weight on a leg already driven, the earliest time. Nothing is asked of subsets, of detours or of other trips.
Days with moves under way and days on which a driver may owe a break from driving are refused (``Unfit``).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice, pairwise

from dispatch.driver_hours import hours_rule
from dispatch.fleet import Rig
from dispatch.items import LoadsBy
from dispatch.moves import Status
from dispatch.placement import DeckState, Load, LoadRequest, Placer
from dispatch.plan import Action, Task
from dispatch.problem import Problem, shares_gear
from dispatch.site_table import far_from_mi
from dispatch.travel import Travel
from dispatch.units import SLACK_IN, SLACK_LB

ALWAYS = 100_000
"""Minutes: later than any day."""
AT_ONCE = 4096
"""Loads that the Placer is asked for together."""
Hauls = tuple[int, ...]


class Unfit(ValueError):
    """The day holds what this witness does not model."""


@dataclass(frozen=True)
class Clock:
    """When something is over if it is begun at s: max(s + ``run``, ``over``), for s up to ``latest``. Minutes."""

    run: int = 0
    over: int = 0
    latest: int = ALWAYS

    def wait(self, until: int | None) -> Clock:
        return self if until is None or until <= self.over else Clock(self.run, until, self.latest)

    def spend(self, minutes: int) -> Clock:
        return Clock(self.run + minutes, self.over + minutes, self.latest)

    def by(self, *times: int | None) -> Clock | None:
        given = [time for time in times if time is not None]
        if not given:
            return self
        if self.over > min(given):
            return None
        return replace(self, latest=min(self.latest, min(given) - self.run))


@dataclass(frozen=True)
class Moment:
    """A task within a trip: the clock when its work begins (waiting included) and when it is over."""

    task: Task
    ready: Clock
    done: Clock
    done_by: int


@dataclass(frozen=True)
class ListedTrip:
    """A legal trip of one class of rigs: from the first stop to the last; ``units`` is a bit mask."""

    units: int
    tasks: tuple[Task, ...]
    first: str
    last: str
    clock: Clock
    drive_min: int
    tenths: int
    permit_cents: Fraction
    load: Load


class Yardmaster:
    """The day's figures for listing and timing trips."""

    def __init__(self, problem: Problem, placer: Placer) -> None:
        self.problem, self.placer = problem, placer
        self.travel = Travel(problem.sites, problem.roads, problem.settings)
        self.moves = {move.name: move for move in problem.moves}
        self.units = [group for group in problem.together if any(h < len(problem.moves) for h in group)]
        self.priorities = [
            sum((Fraction(str(problem.moves[h].priority)) for h in unit if h < len(problem.moves)), Fraction(0))
            for unit in self.units
        ]
        self.unit_of = {haul: number for number, unit in enumerate(self.units) for haul in unit}
        self._unit_length_in = [sum(problem.hauls[haul].item.length_in for haul in unit) for unit in self.units]
        self._refuse()

    def _refuse(self) -> None:
        problem = self.problem
        if any(move.status is not Status.OPEN for move in problem.moves):
            raise Unfit("moves under way")
        for rig in problem.rigs:
            after = hours_rule(problem.rules, rig.driving_limit_min).break_after_min
            if after is None or self.driving_limit(rig) <= after:
                continue
            sharing = any(other is not rig and "driver" in shares_gear(rig, other) for other in problem.rigs)
            if rig.shift_end_min - rig.shift_start_min <= after and not sharing:
                continue
            radius = hours_rule(problem.rules).short_haul_mi or 0
            places = {p for haul in problem.hauls for p in (haul.origin, haul.destination)} | {rig.yard, rig.end}
            if any(far_from_mi(problem, self.travel, rig.yard, place) > radius for place in places):
                raise Unfit("breaks from driving")

    def driving_limit(self, rig: Rig) -> int:
        limit = hours_rule(self.problem.rules, rig.driving_limit_min).driving_min
        return ALWAYS if limit is None else limit

    def class_of(self, rig: Rig) -> Hashable:
        """Equal for rigs that differ in nothing but names and drivers (and are not told apart by a move)."""
        may = tuple(self._may_carry(rig, unit) for unit in self.units)
        truck, trailer = replace(rig.truck, name=""), replace(rig.trailer, name="")
        return replace(rig, name="", driver="", truck=truck, trailer=trailer), may

    def minutes(self, origin: str, destination: str, *, loaded: bool) -> int:
        try:
            return self.travel.minutes(origin, destination, loaded=loaded)
        except KeyError:
            return ALWAYS

    def tenths(self, origin: str, destination: str) -> int:
        try:
            return self.travel.tenths(origin, destination)
        except KeyError:
            return ALWAYS

    # which trips there are

    def trips(self, rig: Rig) -> list[ListedTrip]:
        """Every trip that is legal and fits the rig's shift by itself."""
        if not all(self._has_room(rig, place) for place in (rig.yard, rig.end)):
            return []
        able = [number for number, unit in enumerate(self.units) if self._may_carry(rig, unit)]
        timely = self._loading(rig, able, (), Clock(over=rig.shift_start_min))
        found: list[ListedTrip] = []
        while part := list(islice(timely, AT_ONCE)):
            loads = self.placer.find_many(rig, [self.request(tasks) for tasks in part])
            for tasks, load in zip(part, loads, strict=True):
                clock = None if load is None else self._timed(rig, tasks, load.permit_legs)
                if load is not None and clock is not None:
                    units = sum(1 << number for number in {self.unit_of[task.haul] for task in tasks})
                    found.append(self._listed(tasks, units, clock, load))
        return found

    def _may_carry(self, rig: Rig, unit: Sequence[int]) -> bool:
        hauls = [self.problem.hauls[haul] for haul in unit]
        if any(a in unit and b in unit for a, b in self.problem.successors):
            return False
        for haul in hauls:
            move = self.moves[haul.move]
            if (move.only_rigs and rig.name not in move.only_rigs) or rig.name in move.not_rigs:
                return False
            sites = (self.problem.sites[haul.origin], self.problem.sites[haul.destination])
            if haul.how is LoadsBy.LIFTED and not all(site.lift_on_site for site in sites):
                return False
            if not all(self._has_room(rig, site.name) for site in sites):
                return False
        return True

    def _has_room(self, rig: Rig, place: str) -> bool:
        truck, trailer, longest = rig.truck, rig.trailer, self.problem.sites[place].longest_rig_in
        tail = trailer.deck_from_coupler_in + trailer.deck_length_in + trailer.deck_to_rear_in
        own = truck.front_overhang_in + truck.wheelbase_in - truck.coupler_ahead_in + tail
        return longest is None or own <= longest + SLACK_IN

    def _loading(self, rig: Rig, able: list[int], on: Hauls, clock: Clock) -> Iterator[tuple[Task, ...]]:
        begun = {self.unit_of[haul] for haul in on}
        waiting = [haul for number in begun for haul in self.units[number] if haul not in on]
        if on and not waiting:
            yield from self._unloading(rig, on, (), clock)
        fresh = [haul for number in able if number not in begun for haul in self.units[number]]
        for haul in (*waiting, *fresh):
            if self._barred(rig, (*on, haul)):
                continue
            longer = self._with(rig, clock, on, haul)
            if longer is not None:
                yield from self._loading(rig, able, (*on, haul), longer)

    def _barred(self, rig: Rig, on: tuple[int, ...]) -> bool:
        """Whether so many, or so long, items can never be on one deck together."""
        begun = {self.unit_of[haul] for haul in on}
        count = sum(len(self.units[number]) for number in begun)
        settings = self.problem.settings
        if len(begun) > 1 and count > settings.most_items_per_trip:
            return True
        if self.problem.successors:
            hauls = [haul for number in begun for haul in self.units[number]]
            if any(a in hauls and b in hauls for a, b in self.problem.successors):
                return True
        need = sum(self._unit_length_in[number] for number in begun) + settings.gap_in * (count - 1)
        return need > self._room_in(rig) + SLACK_IN

    def _room_in(self, rig: Rig) -> float:
        """Inches from the front of the foremost deck to as far as an item may reach behind."""
        trailer, settings = rig.trailer, self.problem.settings
        front = trailer.deck_from_coupler_in
        if trailer.neck is not None:
            front = min(front, trailer.neck.from_coupler_in)
        room = trailer.deck_from_coupler_in + trailer.deck_length_in + settings.rear_overhang_in - front
        return room - settings.front_clearance_in

    def _with(self, rig: Rig, clock: Clock, on: tuple[int, ...], haul: int) -> Clock | None:
        """The clock with one more item loaded; ``None``: too late, or too heavy on the leg just driven."""
        here = self.problem.hauls[haul].origin
        before = self.problem.hauls[on[-1]].origin if on else ""
        if on and before != here:
            lightest = sum(self.problem.hauls[h].item.weight.low_lb for h in on)
            empty = rig.trailer.empty_coupler.low_lb + rig.trailer.empty_axles.low_lb
            if lightest + empty > rig.trailer.gvwr_lb + SLACK_LB:
                return None
            clock = clock.spend(self.minutes(before, here, loaded=True))
        longer = self._work(clock, Task(Action.LOAD, haul), fresh=before != here)
        return longer if longer is not None and longer.over <= rig.shift_end_min else None

    def _unloading(self, rig: Rig, on: Hauls, off: Hauls, clock: Clock) -> Iterator[tuple[Task, ...]]:
        """All orders of coming off that the clock allows: what rolls comes off in the reverse of its order."""
        if len(off) == len(on):
            yield (*(Task(Action.LOAD, h) for h in on), *(Task(Action.UNLOAD, h) for h in off))
            return
        aboard = [haul for haul in on if haul not in off]
        rolling = [haul for haul in aboard if self.problem.hauls[haul].how is not LoadsBy.LIFTED]
        before = self.problem.hauls[off[-1]].destination if off else self.problem.hauls[on[-1]].origin
        for haul in aboard:
            if haul in rolling and haul != rolling[-1]:
                continue
            here = self.problem.hauls[haul].destination
            there = clock if here == before else clock.spend(self.minutes(before, here, loaded=True))
            longer = self._work(there, Task(Action.UNLOAD, haul), fresh=before != here)
            if longer is not None and longer.over <= rig.shift_end_min:
                yield from self._unloading(rig, on, (*off, haul), longer)

    def _listed(self, tasks: tuple[Task, ...], units: int, clock: Clock, load: Load) -> ListedTrip:
        sites = [self.site(task) for task in tasks]
        permits = [self.problem.hauls[t.haul].permit for t in tasks if t.action is Action.LOAD]
        cost = sum((Fraction(str(permit.cost_usd)) for permit in permits if permit is not None), Fraction(0))
        return ListedTrip(
            units=units,
            tasks=tasks,
            first=sites[0],
            last=sites[-1],
            clock=clock,
            drive_min=sum(self.minutes(a, b, loaded=True) for a, b in pairwise(sites)),
            tenths=sum(self.tenths(a, b) for a, b in pairwise(sites)),
            permit_cents=100 * cost,
            load=load,
        )

    # stops and their clock

    def site(self, task: Task) -> str:
        haul = self.problem.hauls[task.haul]
        return haul.origin if task.action is Action.LOAD else haul.destination

    def request(self, tasks: Sequence[Task]) -> LoadRequest:
        """What the Placer is asked: both orders, and who is aboard between different sites."""
        states, aboard = [], []
        for task, following in pairwise(tasks):
            if task.action is Action.LOAD:
                aboard.append(task.haul)
            else:
                aboard.remove(task.haul)
            if self.site(task) != self.site(following):
                states.append(DeckState(tuple(aboard), self.site(task), self.site(following)))
        half = len(tasks) // 2
        return LoadRequest(tuple(t.haul for t in tasks[:half]), tuple(t.haul for t in tasks[half:]), tuple(states))

    def _work(self, clock: Clock, task: Task, *, fresh: bool) -> Clock | None:
        haul, site = self.problem.hauls[task.haul], self.problem.sites[self.site(task)]
        extra = site.extra_load_min if fresh else 0
        clock = clock.wait(site.opens_min)
        if task.action is Action.LOAD:
            return clock.wait(haul.ready_min).spend(extra + haul.load_min).by(site.closes_min)
        return clock.spend(extra + haul.unload_min).by(site.closes_min, haul.due_min)

    def _timed(self, rig: Rig, tasks: Sequence[Task], permit_legs: Sequence[bool]) -> Clock | None:
        moments = self.moments(rig, tasks, permit_legs)
        if moments is None or moments[-1].done.over > rig.shift_end_min:
            return None
        return moments[-1].done

    def moments(self, rig: Rig, tasks: Sequence[Task], permit_legs: Sequence[bool]) -> list[Moment] | None:
        """Every task with its clock; ``None``: the trip is too late for a window whenever it is begun."""
        clock: Clock | None = Clock(over=rig.shift_start_min)
        moments: list[Moment] = []
        place, leg, aboard = "", 0, set[int]()
        for task in tasks:
            here = self.site(task)
            if moments and here != place:
                bound = leg < len(permit_legs) and permit_legs[leg]
                clock = self._road(rig, clock, place, here, aboard if bound else set())
                leg += 1
            if clock is None:
                return None
            site, haul = self.problem.sites[here], self.problem.hauls[task.haul]
            ready = clock.wait(site.opens_min)
            ready = ready.wait(haul.ready_min) if task.action is Action.LOAD else ready
            clock = self._work(clock, task, fresh=here != place)
            if clock is None:
                return None
            due = haul.due_min if task.action is Action.UNLOAD else None
            done_by = min((t for t in (site.closes_min, due) if t is not None), default=ALWAYS)
            moments.append(Moment(task, ready, clock, done_by))
            (aboard.add if task.action is Action.LOAD else aboard.discard)(task.haul)
            place = here
        return moments

    def _road(self, rig: Rig, clock: Clock | None, origin: str, target: str, bound: set[int]) -> Clock | None:
        """A loaded leg; ``bound``: the items aboard when the leg keeps to the hours of their permits."""
        drive = self.minutes(origin, target, loaded=True)
        permits = [permit for haul in bound if (permit := self.problem.hauls[haul].permit) is not None]
        for permit in permits:
            clock = None if clock is None else clock.wait(permit.from_min)
        if permits and clock is not None and origin != rig.yard:
            clock = clock.by(self.problem.sites[origin].closes_min)
        if clock is None:
            return None
        return clock.spend(drive).by(*(permit.to_min for permit in permits))
