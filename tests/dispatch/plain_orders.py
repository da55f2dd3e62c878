"""The second witness of the compiled search for orders: the same question asked by plain recursion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dispatch.items import LoadsBy
from dispatch.plan import Action, Task
from dispatch.timing import Block
from dispatch.trip_orders import Clock, Hours, needless_swap, task_block

Order = tuple[tuple[Task, ...], Block]
Span = tuple[int, int, int]


class PlainOrders:
    """The orders of a trip one after the other, by recursion."""

    def __init__(self, clock: Clock, hours: Hours, *, free_stops: bool = False) -> None:
        self.problem = clock.problem
        self.free_stops = free_stops
        number = clock.table.number
        self.minutes: list[list[int]] = clock.minutes.tolist()
        self.start: list[int] = hours.start.tolist()
        self.home_by: list[int] = hours.home_by.tolist()
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
