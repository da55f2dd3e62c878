"""The verifier's clock: roads, work at stops, windows, hours, shifts, shared gear."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from dispatch.fleet import Rig
from dispatch.plan import Action, Outing, Plan, Stop
from dispatch.problem import Problem
from dispatch.travel import Travel
from dispatch.units import SLACK_IN
from dispatch.verify_findings import Violation, known
from dispatch.verify_loads import rig_length_in


@dataclass(frozen=True, slots=True)
class Drive:
    """A stretch of road of a plan: times as planned, and the minutes that the road takes."""

    where: str
    origin: str
    destination: str
    depart_min: int
    arrive_min: int
    loaded: bool
    road_min: int


@dataclass(frozen=True, slots=True)
class Run:
    """An outing of a rig with the stretches of road that it is made of."""

    rig: Rig
    number: int
    outing: Outing
    last: bool
    drives: tuple[Drive, ...]

    @property
    def where(self) -> str:
        """How the report calls it."""
        return f"{self.rig.name}, outing {self.number + 1}"

    @property
    def end_site(self) -> str:
        """Where the outing ends: the rig's End after its last outing, otherwise its yard."""
        return self.rig.end if self.last else self.rig.yard


@dataclass(frozen=True, slots=True)
class Visit:
    """A stop of the plan. ``home``: it is at the rig's yard, which may be left after closing."""

    where: str
    stop: Stop
    home: bool


def runs_of(problem: Problem, plan: Plan) -> tuple[Run, ...]:
    """Every outing of the rigs that exist, with its roads, by rig in plan order and then as listed.

    Raises KeyError for a stretch without a known road.
    """
    travel = Travel(problem.sites, problem.roads, problem.settings)
    rigs = {rig.name: rig for rig in problem.rigs}
    runs = []
    for day in plan.rig_days:
        for number, outing in enumerate(day.outings):
            if day.rig in rigs:
                last = number == len(day.outings) - 1
                end = rigs[day.rig].end if last else rigs[day.rig].yard
                drives = tuple(_drives(travel, rigs[day.rig], outing, end, f"{day.rig}, outing {number + 1}"))
                runs.append(Run(rigs[day.rig], number, outing, last, drives))
    return tuple(runs)


def _drives(travel: Travel, rig: Rig, outing: Outing, end: str, where: str) -> Iterator[Drive]:
    at, clock = rig.yard, outing.leave_min
    ways: list[tuple[str, int, str, int, bool]] = []
    for trip in outing.trips:
        if trip.stops:
            ways.append((at, clock, trip.stops[0].site, trip.stops[0].arrive_min, False))
            for stop, following in pairwise(trip.stops):
                ways.append((stop.site, stop.leave_min, following.site, following.arrive_min, True))
            at, clock = trip.stops[-1].site, trip.stops[-1].leave_min
    ways.append((at, clock, end, outing.return_min, False))
    for origin, depart, destination, arrive, loaded in ways:
        minutes = travel.minutes(origin, destination, loaded=loaded)
        yield Drive(f"{where}, {origin} to {destination}", origin, destination, depart, arrive, loaded, minutes)


def road_violations(run: Run) -> Iterator[Violation]:
    """Every stretch takes at least the road's minutes, plus the driver's pauses on it; pauses have their place."""
    for drive in run.drives:
        pauses_min = sum(end - start for start, end in pauses_on(run.outing, drive))
        needed_min = drive.road_min + pauses_min
        if drive.arrive_min - drive.depart_min < needed_min:
            text = f"{'loaded' if drive.loaded else 'empty'} minutes on the road, pauses included"
            yield Violation(
                "faster than the road", drive.where, drive.arrive_min - drive.depart_min, needed_min, text
            )
    for start, end in run.outing.breaks:
        on_road = any((start, end) in pauses_on(run.outing, drive) for drive in run.drives)
        at_stop = any(stop.arrive_min <= start and end <= stop.leave_min for stop in _stops(run.outing))
        if start >= end or not (on_road or at_stop):
            yield Violation("pause out of place", run.where, start, "on one stretch or at one stop", "minutes")
    for (start, end), (after, _) in pairwise(sorted(run.outing.breaks)):
        if after < end:
            yield Violation("pause out of place", run.where, after, end, f"overlaps the pause from {start}")


def pauses_on(outing: Outing, drive: Drive) -> tuple[tuple[int, int], ...]:
    """The driver's pauses that lie on a stretch of road."""
    return tuple(
        sorted(
            p for p in set(outing.breaks) if drive.depart_min <= p[0] and p[1] <= drive.arrive_min and p[0] < p[1]
        )
    )


def _stops(outing: Outing) -> Iterator[Stop]:
    for trip in outing.trips:
        yield from trip.stops


def shift_violations(run: Run) -> Iterator[Violation]:
    """The outing lies inside the shift, has trips, and its stops follow each other."""
    rig, outing = run.rig, run.outing
    if not outing.trips:
        yield Violation("empty outing", run.where, 0, 1, "an outing without a trip")
    if outing.leave_min < rig.shift_start_min:
        yield Violation(
            "out of shift", run.where, outing.leave_min, rig.shift_start_min, "leaves before the shift"
        )
    if outing.return_min > rig.shift_end_min:
        yield Violation("out of shift", run.where, outing.return_min, rig.shift_end_min, "returns after the shift")
    for stop in _stops(outing):
        if stop.leave_min < stop.arrive_min:
            text = f"leaves {stop.site} before it arrives"
            yield Violation("time runs back", run.where, stop.leave_min, stop.arrive_min, text)


def empty_length_violations(problem: Problem, run: Run) -> Iterator[Violation]:
    """The empty rig's length against the sites that it comes to and leaves."""
    length_in = rig_length_in(run.rig)
    for name in dict.fromkeys(site for drive in run.drives if not drive.loaded for site in _ends(drive)):
        longest_in = problem.sites[name].longest_rig_in if name in problem.sites else None
        if longest_in is not None and length_in > longest_in + SLACK_IN:
            yield Violation("Site length", f"{run.where}, {name}", length_in, longest_in, "inches, empty rig")


def _ends(drive: Drive) -> tuple[str, ...]:
    return (drive.origin, drive.destination) if drive.origin != drive.destination else (drive.destination,)


def sharing_violations(problem: Problem, runs: Sequence[Run]) -> Iterator[Violation]:
    """Outings that need the same rig, truck, trailer or driver do not overlap, and hooking has its time."""
    for a, b in combinations(runs, 2):
        first, second = sorted((a, b), key=lambda run: (run.outing.leave_min, run.outing.return_min))
        between_min = second.outing.leave_min - first.outing.return_min
        where = f"{first.where} and {second.where}"
        if first.rig.name == second.rig.name:
            if between_min < 0:
                yield Violation("rig out twice", where, between_min, 0, "minutes between")
            continue
        shared = _shared(first.rig, second.rig)
        if not shared:
            continue
        if between_min < 0:
            yield Violation("shared gear out twice", where, between_min, 0, f"minutes between; same {shared}")
        elif between_min < problem.settings.hook_min:
            yield Violation("hook time", where, between_min, problem.settings.hook_min, f"minutes; same {shared}")
        if first.end_site != second.rig.yard:
            yield Violation("hook at the yard", where, first.end_site, second.rig.yard, f"same {shared}")


def _shared(first: Rig, second: Rig) -> str:
    pairs = {
        "truck": (first.truck.name, second.truck.name),
        "trailer": (first.trailer.name, second.trailer.name),
        "driver": (first.driver, second.driver),
    }
    return " and ".join(what for what, (one, other) in pairs.items() if one and one == other)


def work_violations(problem: Problem, plan: Plan) -> list[Violation]:
    """Work at every stop fits between arriving and leaving, inside site hours, Ready and Deliver by."""
    yards = {rig.name: rig.yard for rig in problem.rigs}
    visits = [
        Visit(f"{day.rig}, {stop.site} at {stop.arrive_min}", stop, stop.site == yards.get(day.rig))
        for day in plan.rig_days
        for outing in day.outings
        for stop in _stops(outing)
    ]
    pauses = [pause for day in plan.rig_days for outing in day.outings for pause in set(outing.breaks)]
    off_at = _drop_times(problem, visits)
    found: list[Violation] = []
    for visit in visits:
        paused_min = sum(e - s for s, e in pauses if _inside(visit, s, e) and _rig_paused(plan, visit, (s, e)))
        found += _visit_violations(problem, visit, paused_min, off_at)
    return found


def _inside(visit: Visit, start: int, end: int) -> bool:
    return visit.stop.arrive_min <= start < end <= visit.stop.leave_min


def _rig_paused(plan: Plan, visit: Visit, pause: tuple[int, int]) -> bool:
    """Whether the pause belongs to the outing of the stop."""
    return any(
        pause in outing.breaks and any(stop is visit.stop for stop in _stops(outing))
        for day in plan.rig_days
        for outing in day.outings
    )


@dataclass(frozen=True, slots=True)
class Waits:
    """Which waits the work at a stop is held to; all of them, or one to find out which one fails."""

    opens: bool = True
    ready: bool = True
    drops: bool = True


ALL_WAITS = Waits()


def task_ends(
    problem: Problem,
    stop: Stop,
    off_at: Mapping[int, int],
    waits: Waits = ALL_WAITS,
) -> tuple[int, ...]:
    """Earliest end of every task when the stop's work starts as soon as it may, minutes after midnight.

    Loading an item waits for Ready and for the drop (``off_at``, by haul) of the move that brings the machine
    there. The extra minutes of the site are part of the first task's work, once a stop.
    """
    site = problem.sites[stop.site]
    clock = stop.arrive_min
    if waits.opens and site.opens_min is not None:
        clock = max(clock, site.opens_min)
    extra_min = site.extra_load_min
    ends = []
    for task in stop.tasks:
        haul = problem.hauls[task.haul]
        if task.action is Action.UNLOAD:
            clock += extra_min + haul.unload_min
        else:
            if waits.ready and haul.ready_min is not None:
                clock = max(clock, haul.ready_min)
            if waits.drops:
                clock = max([clock, *_drops_before(problem, task.haul, off_at)])
            clock += extra_min + haul.load_min
        extra_min = 0
        ends.append(clock)
    return tuple(ends)


def _drops_before(problem: Problem, index: int, off_at: Mapping[int, int]) -> list[int]:
    return [off_at[first] for first, second in problem.successors if second == index and first in off_at]


def _drop_times(problem: Problem, visits: Sequence[Visit]) -> dict[int, int]:
    """Earliest end of unloading of every haul; repeated until drops that wait for drops stand still."""
    off_at: dict[int, int] = {}
    for _ in range(len(problem.successors) + 1):
        found: dict[int, int] = {}
        for visit in visits:
            if _sound(problem, visit.stop):
                ends = task_ends(problem, visit.stop, off_at)
                for task, end in zip(visit.stop.tasks, ends, strict=True):
                    if task.action is Action.UNLOAD:
                        found[task.haul] = end
        if found == off_at:
            break
        off_at = found
    return off_at


def _sound(problem: Problem, stop: Stop) -> bool:
    return stop.site in problem.sites and all(known(problem, task.haul) for task in stop.tasks)


def _visit_violations(
    problem: Problem, visit: Visit, paused_min: int, off_at: Mapping[int, int]
) -> Iterator[Violation]:
    stop = visit.stop
    if not _sound(problem, stop) or not stop.tasks:
        return
    leave_min = stop.leave_min - paused_min
    ends = task_ends(problem, stop, off_at)
    if ends[-1] > leave_min:
        kind, allowed_min = _which_wait(problem, stop, leave_min, off_at)
        yield Violation(kind, visit.where, leave_min, allowed_min, "earliest end of the work there, minutes")
    for task, end in zip(stop.tasks, ends, strict=True):
        due_min = problem.hauls[task.haul].due_min
        if task.action is Action.UNLOAD and due_min is not None and end > due_min:
            text = f"{problem.hauls[task.haul].item.name} is off at the earliest, minutes"
            yield Violation("after Deliver by", visit.where, end, due_min, text)
    closes_min = problem.sites[stop.site].closes_min
    done_min = ends[-1] if visit.home else max(stop.leave_min, ends[-1])
    if closes_min is not None and done_min > closes_min:
        yield Violation("after closing", visit.where, done_min, closes_min, "minutes")


def _which_wait(problem: Problem, stop: Stop, leave_min: int, off_at: Mapping[int, int]) -> tuple[str, int]:
    """The wait that alone does not fit, or the work as a whole; with the earliest end of the work."""
    none = Waits(opens=False, ready=False, drops=False)
    if task_ends(problem, stop, off_at, none)[-1] <= leave_min:
        for kind, waits in (
            ("before opening", Waits(ready=False, drops=False)),
            ("before Ready", Waits(opens=False, drops=False)),
            ("pickup before the drop", Waits(opens=False, ready=False)),
        ):
            end = task_ends(problem, stop, off_at, waits)[-1]
            if end > leave_min:
                return kind, end
    return "work does not fit", task_ends(problem, stop, off_at)[-1]
