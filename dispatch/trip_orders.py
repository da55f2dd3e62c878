"""In which orders the items of a trip can come on and off, and how long each order takes.

Rear-loaded items come off in the reverse of the order in which they came on; lifted items are free. Of orders
that differ only by swapping two neighbours at one stop where neither time nor the deck can tell, one is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from dispatch.items import LoadsBy
from dispatch.moves import Haul
from dispatch.placement import DeckState, LoadRequest
from dispatch.plan import Action, Task
from dispatch.problem import Problem
from dispatch.site_table import Ints, SiteTable
from dispatch.timing import NEVER_MIN, Block, join, latest, soonest, window


@dataclass(frozen=True, slots=True)
class Visit:
    """A stop without times: where, and what is done there in which order."""

    site: str
    tasks: tuple[Task, ...]


def site_of(problem: Problem, task: Task) -> str:
    """Where the task is done."""
    haul = problem.hauls[task.haul]
    return haul.origin if task.action is Action.LOAD else haul.destination


def visits(problem: Problem, tasks: Sequence[Task]) -> tuple[Visit, ...]:
    """The stops that a sequence of tasks makes: consecutive tasks at one site are one stop."""
    stops: list[Visit] = []
    for task in tasks:
        site = site_of(problem, task)
        if stops and stops[-1].site == site:
            stops[-1] = Visit(site, (*stops[-1].tasks, task))
        else:
            stops.append(Visit(site, (task,)))
    return tuple(stops)


def load_request(problem: Problem, tasks: Sequence[Task]) -> LoadRequest:
    """The trip as the placement sees it: both orders, and who is aboard on each leg between two sites."""
    stops = visits(problem, tasks)
    states: list[DeckState] = []
    aboard: list[int] = []
    for stop, following in pairwise(stops):
        for task in stop.tasks:
            if task.action is Action.LOAD:
                aboard.append(task.haul)
            else:
                aboard.remove(task.haul)
        states.append(DeckState(tuple(aboard), stop.site, following.site))
    loads = tuple(task.haul for task in tasks if task.action is Action.LOAD)
    unloads = tuple(task.haul for task in tasks if task.action is Action.UNLOAD)
    return LoadRequest(loads, unloads, tuple(states))


def task_block(problem: Problem, task: Task, *, opens_stop: bool) -> Block | None:
    """The work of one task within site hours and the move's window; ``None`` when it never fits.

    The site's extra minutes are spent once a stop, with its first task.
    """
    haul = problem.hauls[task.haul]
    site = problem.sites[site_of(problem, task)]
    extra = site.extra_load_min if opens_stop else 0
    if task.action is Action.LOAD:
        return window(extra + haul.load_min, latest(site.opens_min, haul.ready_min), site.closes_min)
    return window(extra + haul.unload_min, site.opens_min, soonest(site.closes_min, haul.due_min))


@dataclass(frozen=True, slots=True)
class Clock:
    """How a trip of one rig is timed: the table of minutes for its legs and where the rig lives."""

    problem: Problem
    table: SiteTable
    minutes: Ints
    yard: str
    shift_start_min: int
    home_by_min: int
    ends: tuple[str, ...]

    def in_shift(self, first: str, block: Block, last: str) -> bool:
        """Whether the shift leaves time to come, do the block and get to one of the rig's ends."""
        number, fastest = self.table.number, self.table.fastest_min
        start = self.shift_start_min + int(fastest[number[self.yard], number[first]])
        home = min(int(fastest[number[last], number[end]]) for end in self.ends)
        return start <= block.latest and block.end(start) + home <= self.home_by_min

    def after(self, block: Block, place: str, task: Task, first_site: str) -> Block | None:
        """The block with one more task, or ``None`` when it cannot be done in time."""
        site = site_of(self.problem, task)
        work = task_block(self.problem, task, opens_stop=site != place)
        if work is None:
            return None
        drive = int(self.minutes[self.table.number[place], self.table.number[site]])
        longer = join(block, drive, work)
        return longer if longer is not None and self.in_shift(first_site, longer, site) else None


def feasible_orders(clock: Clock, hauls: Sequence[int]) -> Iterator[tuple[tuple[Task, ...], Block]]:
    """Every order of coming on and off that hours and windows allow, with its time block."""
    problem = clock.problem
    for haul in hauls:
        task = Task(Action.LOAD, haul)
        site = site_of(problem, task)
        block = task_block(problem, task, opens_stop=True)
        if block is not None and clock.in_shift(site, block, site):
            yield from _loading(clock, (task,), block, [other for other in hauls if other != haul])


def _loading(
    clock: Clock, done: tuple[Task, ...], block: Block, left: list[int]
) -> Iterator[tuple[tuple[Task, ...], Block]]:
    if not left:
        yield from _unloading(clock, done, block, [task.haul for task in done])
    for haul in left:
        task = Task(Action.LOAD, haul)
        if _needless_swap(clock.problem, done[-1], task):
            continue
        longer = clock.after(block, *_place(clock, done, task))
        if longer is not None:
            yield from _loading(clock, (*done, task), longer, [other for other in left if other != haul])


def _unloading(
    clock: Clock, done: tuple[Task, ...], block: Block, aboard: list[int]
) -> Iterator[tuple[tuple[Task, ...], Block]]:
    if not aboard:
        yield done, block
    rear = [haul for haul in aboard if clock.problem.hauls[haul].how is not LoadsBy.LIFTED]
    for haul in aboard:
        if haul in rear and haul != rear[-1]:
            continue
        task = Task(Action.UNLOAD, haul)
        if _needless_swap(clock.problem, done[-1], task):
            continue
        longer = clock.after(block, *_place(clock, done, task))
        if longer is not None:
            yield from _unloading(clock, (*done, task), longer, [other for other in aboard if other != haul])


def _place(clock: Clock, done: tuple[Task, ...], task: Task) -> tuple[str, Task, str]:
    return site_of(clock.problem, done[-1]), task, site_of(clock.problem, done[0])


def _needless_swap(problem: Problem, before: Task, task: Task) -> bool:
    """Whether doing the two tasks the other way round, at the same stop, is as good for clock and deck.

    A lifted item can always change places with its neighbour towards the end of loading (or the start of
    unloading), so such a pair is kept only in the order that the windows prefer.
    """
    if before.action is not task.action or site_of(problem, before) != site_of(problem, task):
        return False
    first, second = problem.hauls[before.haul], problem.hauls[task.haul]
    loading = task.action is Action.LOAD
    moved = first if loading else second
    if moved.how is not LoadsBy.LIFTED:
        return False
    both_lifted = first.how is second.how
    first_key, second_key = _urgency(first, loading), _urgency(second, loading)
    return (second_key, second.index) < (first_key, first.index) if both_lifted else second_key <= first_key


def _urgency(haul: Haul, loading: bool) -> int:
    if loading:
        return haul.ready_min or 0
    return NEVER_MIN if haul.due_min is None else haul.due_min
