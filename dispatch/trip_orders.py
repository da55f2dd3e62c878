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
from dispatch.timing import NEVER_MIN, Block, latest, soonest, window


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


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """How trips of a rig are timed: ``minutes`` of the loaded legs, yard, shift, and where the rig may end."""

    problem: Problem
    table: SiteTable
    minutes: Ints
    yard: str
    shift_start_min: int
    home_by_min: int
    ends: tuple[str, ...]


Order = tuple[tuple[Task, ...], Block]
Span = tuple[int, int, int]
"""A block as a bare (duration, earliest, latest): the search below makes millions of them."""


class OrderSearch:
    """Depth-first search over the orders of a trip, cut as soon as hours, windows or the shift forbid.

    ``free_stops`` leaves out the sites' extra minutes: another item may spend them before this one is ready.
    """

    def __init__(self, clock: Clock, *, free_stops: bool = False) -> None:
        self.problem = clock.problem
        self.free_stops = free_stops
        number, fastest = clock.table.number, clock.table.fastest_min.tolist()
        self.minutes: list[list[int]] = clock.minutes.tolist()
        yard, ends = number[clock.yard], [number[end] for end in clock.ends]
        self.start: list[int] = [clock.shift_start_min + fastest[yard][site] for site in range(len(fastest))]
        self.home_by: list[int] = [
            clock.home_by_min - min((fastest[site][end] for end in ends), default=0)
            for site in range(len(fastest))
        ]
        self.lifted = [haul.how is LoadsBy.LIFTED for haul in self.problem.hauls]
        self.load = [Task(Action.LOAD, haul.index) for haul in self.problem.hauls]
        self.unload = [Task(Action.UNLOAD, haul.index) for haul in self.problem.hauls]
        self.origin = [number[haul.origin] for haul in self.problem.hauls]
        self.destination = [number[haul.destination] for haul in self.problem.hauls]
        self._work: dict[tuple[Task, bool], Span | None] = {}

    def orders(self, hauls: Sequence[int]) -> Iterator[Order]:
        """Every order of coming on and off that hours and windows allow, with its time block."""
        for haul in hauls:
            site, work = self.origin[haul], self._span(self.load[haul], True)
            if work is not None and self._in_shift(site, work, site):
                left = [other for other in hauls if other != haul]
                yield from self._loading((self.load[haul],), site, site, work, left)

    def _loading(
        self, done: tuple[Task, ...], first: int, place: int, span: Span, left: list[int]
    ) -> Iterator[Order]:
        if not left:
            yield from self._unloading(done, first, place, span, [task.haul for task in done])
        for haul in left:
            site, task = self.origin[haul], self.load[haul]
            if site == place and needless_swap(self.problem, done[-1], task):
                continue
            longer = self._after(span, first, place, site, task)
            if longer is not None:
                rest = [other for other in left if other != haul]
                yield from self._loading((*done, task), first, site, longer, rest)

    def _unloading(
        self, done: tuple[Task, ...], first: int, place: int, span: Span, aboard: list[int]
    ) -> Iterator[Order]:
        if not aboard:
            yield done, Block(*span)
        top_seen = False
        for haul in reversed(aboard):
            if not self.lifted[haul]:
                if top_seen:
                    continue
                top_seen = True
            site, task = self.destination[haul], self.unload[haul]
            if site == place and needless_swap(self.problem, done[-1], task):
                continue
            longer = self._after(span, first, place, site, task)
            if longer is not None:
                rest = [other for other in aboard if other != haul]
                yield from self._unloading((*done, task), first, site, longer, rest)

    def _after(self, span: Span, first: int, place: int, site: int, task: Task) -> Span | None:
        """The span with one more task (see ``timing.join``), or None when it cannot be done in time."""
        work = self._span(task, site != place)
        if work is None:
            return None
        duration, earliest, last = span
        ahead = duration + self.minutes[place][site]
        if earliest + ahead > work[2]:
            return None
        wait = max(0, work[1] - ahead - last)
        begin = max(work[1] - ahead, earliest) - wait
        longer = (ahead + wait + work[0], begin, min(work[2] - ahead, last))
        return longer if self._in_shift(first, longer, site) else None

    def _in_shift(self, first: int, span: Span, site: int) -> bool:
        """Whether the shift leaves time to come, do the work and get to one of the rig's ends."""
        start = self.start[first]
        return start <= span[2] and max(start, span[1]) + span[0] <= self.home_by[site]

    def _span(self, task: Task, opens_stop: bool) -> Span | None:
        key = (task, opens_stop and not self.free_stops)
        if key not in self._work:
            block = task_block(self.problem, task, opens_stop=key[1])
            self._work[key] = None if block is None else (block.duration, block.earliest, block.latest)
        return self._work[key]


def needless_swap(problem: Problem, before: Task, task: Task) -> bool:
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
