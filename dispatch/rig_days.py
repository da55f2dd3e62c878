"""A day of a group of rigs put together from candidate trips: its runs, their times, its cost.

A run lasts from leaving the yard to returning. Once its trips and their order are fixed, a run has a least
duration that it reaches whenever it is begun within a window, so a day is a short list of rigid runs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from dispatch.costs import day_cents
from dispatch.fleet import Rig
from dispatch.rig_groups import RigGroup
from dispatch.site_table import SiteTable
from dispatch.timing import Block, join
from dispatch.trips import Candidate


@dataclass(frozen=True, slots=True)
class Step:
    """One trip of a day. ``rig``: number within the group; ``from_yard``: it begins a new run."""

    rig: int
    trip: Candidate
    from_yard: bool


@dataclass(frozen=True, slots=True)
class Run:
    """From leaving the yard to returning. ``block`` holds within the shift; ``end`` is where it returns to.

    ``pauses``: for each empty road (before each trip, and home) the minutes driven on it before each break.
    """

    rig: int
    trips: tuple[Candidate, ...]
    block: Block
    end: str
    drive_min: int
    tenths: int
    pauses: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A group's whole day. ``units`` is a bit mask; ``cents`` is its cost, each rig's day rounded half up."""

    group: int
    runs: tuple[Run, ...]
    units: int
    trips: int
    cents: int


@dataclass(frozen=True, slots=True)
class Sketch:
    """A group's day by its steps alone: all that a choice among days asks for; ``work_out`` gives its times."""

    group: int
    steps: tuple[Step, ...]
    units: int
    trips: int
    cents: int


Day = Column | Sketch


@dataclass(frozen=True, slots=True)
class DayRules:
    """What a day is worked out with.

    ``with_breaks``: groups whose driver must pause after long driving, with the sites within the short-haul
    radius, among which no break is owed.
    """

    table: SiteTable
    hook_min: int
    with_breaks: Mapping[int, frozenset[str]] = field(default_factory=dict)

    def break_after(self, group: RigGroup, steps: Sequence[Step]) -> int | None:
        """Minutes of driving after which a break is owed on such a day; ``None``: none is owed."""
        near = self.with_breaks.get(group.number)
        if near is None:
            return None
        places = {place for step in steps for place in step.trip.places}
        places |= {group.rigs[step.rig].end for step in steps}
        return None if places <= near else group.hours[0].break_after_min


def work_out(rules: DayRules, group: RigGroup, steps: Sequence[Step]) -> Column | None:
    """The day that does the steps in order; ``None`` when hours, shifts or windows do not allow it."""
    pieces = _split(steps)
    after = rules.break_after(group, steps)
    runs: list[Run] = []
    since = [0] * len(group.hours)
    ready = 0
    for place, piece in enumerate(pieces):
        rig = group.rigs[piece[0].rig]
        last = place + 1 == len(pieces)
        if runs and runs[-1].rig != piece[0].rig:
            ready += rules.hook_min
        run = _run(rules, group, piece, ready, since, after, rig.end if last else rig.yard)
        if run is None:
            return None
        runs.append(run)
        ready = run.block.earliest_end
    if not _ends_well(group, runs) or not _within_hours(group, runs):
        return None
    if earliest_starts(group, runs, rules.hook_min) is None:
        return None
    trips = [trip for run in runs for trip in run.trips]
    units = sum(trip.units for trip in trips)
    return Column(group.number, tuple(runs), units, len(trips), _cents(group, runs))


def worked_out(rules: DayRules, groups: Sequence[RigGroup], days: Iterable[Day]) -> list[Column] | None:
    """The days with their times; ``None`` when hours, shifts or windows do not allow one of them after all."""
    found = [day if isinstance(day, Column) else work_out(rules, groups[day.group], day.steps) for day in days]
    columns = [column for column in found if column is not None]
    return columns if len(columns) == len(found) else None


def _split(steps: Sequence[Step]) -> list[list[Step]]:
    pieces: list[list[Step]] = []
    for step in steps:
        if step.from_yard or not pieces:
            pieces.append([])
        pieces[-1].append(step)
    return pieces


def _run(
    rules: DayRules,
    group: RigGroup,
    steps: Sequence[Step],
    ready: int,
    since: list[int],
    after: int | None,
    end: str,
) -> Run | None:
    number, table, own = steps[0].rig, rules.table, group.driver[steps[0].rig]
    rig, hours = group.rigs[number], group.hours[own]
    block: Block | None = Block(0, max(rig.shift_start_min, ready))
    place, drive, tenths = rig.yard, 0, 0
    pauses: list[tuple[int, ...]] = []
    for trip in [*(step.trip for step in steps), None]:
        target, loaded = (trip.first, trip.drive_min) if trip is not None else (end, 0)
        if after is not None and loaded > after:
            return None
        road = int(table.empty_min[table.number[place], table.number[target]])
        stops, since[own] = road_breaks(since[own], road, loaded, after)
        pauses.append(stops)
        gap = road + len(stops) * hours.break_min
        block = None if block is None else join(block, gap, trip.block if trip is not None else Block(0))
        drive += road + loaded
        tenths += int(table.tenths[table.number[place], table.number[target]])
        if trip is not None:
            place, tenths = trip.last, tenths + trip.tenths
    block = None if block is None else _home_by(block, rig.shift_end_min)
    if block is None:
        return None
    trips = tuple(step.trip for step in steps)
    return Run(number, trips, block, end, drive, tenths, tuple(pauses))


def _home_by(block: Block, time: int) -> Block | None:
    latest = min(block.latest, time - block.duration)
    return Block(block.duration, block.earliest, latest) if latest >= block.earliest else None


def road_breaks(since: int, road: int, loaded: int, after: int | None) -> tuple[tuple[int, ...], int]:
    """Breaks on an empty road and before the loaded driving behind it: minutes driven on the road before each.

    Also gives the minutes driven since the last break when the loaded driving is done. ``after`` None: no break.
    """
    if after is None:
        return (), 0
    stops: list[int] = []
    driven = since
    offset = 0
    while driven + road - offset > after:
        offset += after - driven
        stops.append(offset)
        driven = 0
    driven += road - offset
    if loaded and driven + loaded > after:
        stops.append(road)
        driven = 0
    return tuple(stops), driven + loaded


def _ends_well(group: RigGroup, runs: Sequence[Run]) -> bool:
    """A rig that does not end at the yard cannot hand anything over on its last run."""
    last = runs[-1].rig
    used = {run.rig for run in runs}
    return all(rig == last or group.rigs[rig].end == group.rigs[rig].yard for rig in used)


def _within_hours(group: RigGroup, runs: Sequence[Run]) -> bool:
    for own, hours in enumerate(group.hours):
        driven = sum(run.drive_min for run in runs if group.driver[run.rig] == own)
        if hours.driving_min is not None and driven > hours.driving_min:
            return False
    return True


def changeover(first: Run, second: Run, hook_min: int) -> int:
    """Minutes at the yard between two runs of a group: the hook time when the rig changes."""
    return hook_min if first.rig != second.rig else 0


def earliest_starts(group: RigGroup, runs: Sequence[Run], hook_min: int) -> tuple[int, ...] | None:
    """The earliest times to leave the yard that keep every window, changeover and driver's duty window.

    ``None`` when there are none. Each round only moves a start later, so the first times that hold are earliest.
    """
    starts = [run.block.earliest for run in runs]
    changed = True
    while changed:
        changed = False
        for place in range(1, len(runs)):
            before = runs[place - 1]
            ready = starts[place - 1] + before.block.duration + changeover(before, runs[place], hook_min)
            if starts[place] < ready:
                starts[place], changed = ready, True
        for first, start in _duty_starts(group, runs, starts):
            if starts[first] < start:
                starts[first], changed = start, True
        if any(start > run.block.latest for start, run in zip(starts, runs, strict=True)):
            return None
    return tuple(starts)


def _duty_starts(group: RigGroup, runs: Sequence[Run], starts: Sequence[int]) -> list[tuple[int, int]]:
    """For each driver the first run and the earliest start that his duty window leaves it."""
    found = []
    for own, hours in enumerate(group.hours):
        mine = [place for place, run in enumerate(runs) if group.driver[run.rig] == own]
        if mine and hours.window_min is not None:
            returns = max(starts[place] + runs[place].block.duration for place in mine)
            found.append((mine[0], returns - hours.window_min))
    return found


def _cents(group: RigGroup, runs: Sequence[Run]) -> int:
    total = 0
    for number, rig in enumerate(group.rigs):
        mine = [run for run in runs if run.rig == number]
        if mine:
            total += rig_runs_cents(rig, mine)
    return total


def rig_runs_cents(rig: Rig, runs: Sequence[Run]) -> int:
    """Cost of one rig's runs in whole cents when none lasts longer than it must."""
    trips = [trip for run in runs for trip in run.trips]
    permits = sum((trip.permit_cents for trip in trips), Fraction(0))
    paid = sum(run.block.duration for run in runs)
    return day_cents(rig, paid, sum(run.tenths for run in runs), len(trips), permits)
