"""In which orders the items of a trip can come on and off, and how long each order takes.

Rear-loaded items come off in the reverse of the order in which they came on; lifted items are free. Of orders
that differ only by swapping two neighbours at one stop where neither time nor the deck can tell, one is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dispatch.fleet import Rig
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
    states: list[DeckState] = []
    aboard: list[int] = []
    loads: list[int] = []
    unloads: list[int] = []
    here: str | None = None
    for task in tasks:
        number = task.haul
        haul, loading = problem.hauls[number], task.action is Action.LOAD
        site = haul.origin if loading else haul.destination
        if site != here:
            if here is not None:
                states.append(DeckState(tuple(aboard), here, site))
            here = site
        if loading:
            aboard.append(number)
            loads.append(number)
        else:
            aboard.remove(number)
            unloads.append(number)
    return LoadRequest(tuple(loads), tuple(unloads), tuple(states))


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
class Hours:
    """By site, minutes after midnight: when a rig can begin work there, and when it must be done to get home."""

    start: Ints
    home_by: Ints

    @classmethod
    def of(cls, table: SiteTable, rig: Rig) -> Hours:
        """The hours of a rig by the fastest travel from its yard, and to its yard or its end."""
        fastest, ends = table.fastest_min, [table.number[rig.yard], table.number[rig.end]]
        start = rig.shift_start_min + fastest[table.number[rig.yard]]
        return cls(start, rig.shift_end_min - fastest[:, ends].min(axis=1))

    def or_of(self, other: Hours) -> Hours:
        """The hours that either has."""
        return Hours(np.minimum(self.start, other.start), np.maximum(self.home_by, other.home_by))


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """How trips are timed: ``minutes`` of the loaded legs, and the yard, which may be left at any time."""

    problem: Problem
    table: SiteTable
    minutes: Ints
    yard: str


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
