"""The orders of many trips at once, by the compiled walk of ``order_kernel``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise, permutations

import numpy as np

from dispatch.items import LoadsBy
from dispatch.order_kernel import (
    ANY,
    BEST,
    BITS,
    EVERY,
    LOADING,
    MOST_ABOARD,
    MOST_HAULS,
    NEVER_FITS,
    Bools,
    Found,
    Ints,
    Sets,
    Work,
    walk,
)
from dispatch.plan import Action, Task
from dispatch.side_by_side import CORES, side_by_side
from dispatch.trip_orders import Clock, Hours, needless_swap, site_of, task_block

MOST_STEPS = 20_000_000
"""Of one set; some seconds. A set of a dozen driven items between as many places takes more."""
FEW_SETS = 100
"""So many sets make a thread worth its while."""
Hauls = tuple[int, ...]
NONE = np.zeros(0, np.int64)


@dataclass(frozen=True, slots=True)
class Asked:
    """A set of hauls. ``stand``: the orders in which what is driven may come on, ``None``: all.

    ``refused``: orders that are out of the question.
    """

    hauls: Hauls
    stand: frozenset[Hauls] | None = None
    refused: tuple[tuple[Task, ...], ...] = ()


class OrderSearch:
    """All orders that hours, windows and the shift allow.

    ``illegal``: decks that may go nowhere, by number and sorted; no order has one of them between two stops.
    ``free_stops`` leaves out the sites' extra minutes: another item may spend them before this one is ready.
    ``cut``: whether some set had more orders than could be walked through, so that some may be missing.
    """

    def __init__(self, clock: Clock, hours: Hours, *, free_stops: bool = False) -> None:
        self._work = _work(clock, hours)
        self._extra = not free_stops
        self._load = [Task(Action.LOAD, haul.index) for haul in clock.problem.hauls]
        self._unload = [Task(Action.UNLOAD, haul.index) for haul in clock.problem.hauls]
        self._origin = [haul.origin for haul in clock.problem.hauls]
        self._destination = [haul.destination for haul in clock.problem.hauls]
        self.cut = False

    def deck(self, driven: Sequence[int], lifted: Iterable[int]) -> int | None:
        """The number of a deck with these hauls, the driven ones as they came on; ``None``: it has none."""
        items = (*driven, *sorted(lifted))
        if len(items) > MOST_ABOARD or max(items) > MOST_HAULS:
            return None
        return sum((haul + 1) << (BITS * place) for place, haul in enumerate(items))

    def possible(self, sets: Sequence[Hauls]) -> list[bool]:
        """Which sets have an order at all."""
        found = self._walk(ANY, [Asked(hauls) for hauls in sets])
        return [bool(has) for has in np.diff(found.at) > 0]

    def loading(self, sets: Sequence[Hauls], illegal: Ints = NONE) -> list[list[Hauls]]:
        """In which orders what is driven comes on, for each set."""
        found = self._walk(LOADING, [Asked(hauls) for hauls in sets], illegal)
        lifted, orders, at = self._work.lifted, found.order.tolist(), found.at.tolist()
        return [
            [tuple([hauls[p] for p in row[: len(hauls)] if not lifted[hauls[p]]]) for row in orders[begin:end]]
            for hauls, begin, end in zip(sets, at, at[1:], strict=False)
        ]

    def best(self, asked: Sequence[Asked], illegal: Ints = NONE) -> Found:
        """The orders of each set that no other can stand for."""
        return self._walk(BEST, asked, illegal)

    def every(self, asked: Sequence[Asked], illegal: Ints = NONE) -> Found:
        """All orders of each set."""
        return self._walk(EVERY, asked, illegal)

    def tasks(self, hauls: Hauls, order: Sequence[int]) -> tuple[Task, ...]:
        """The tasks of an order that is given by place in the set."""
        n = len(hauls)
        on = [self._load[hauls[place]] for place in order[:n]]
        return (*on, *[self._unload[hauls[place]] for place in order[n : 2 * n]])

    def sites(self, hauls: Hauls, order: Sequence[int]) -> list[str]:
        """Where those tasks are done."""
        n = len(hauls)
        on = [self._origin[hauls[place]] for place in order[:n]]
        return [*on, *[self._destination[hauls[place]] for place in order[n : 2 * n]]]

    def _walk(self, what: int, asked: Sequence[Asked], illegal: Ints = NONE) -> Found:
        """What the walk finds; a part of the sets goes to each core, and the answers are put in one row."""
        parts = min(CORES, max(1, len(asked) // FEW_SETS))
        bounds = [len(asked) * part // parts for part in range(parts + 1)]
        sets = [_sets(asked[begin:end]) for begin, end in pairwise(bounds)]

        def one(part: Sets) -> Found:
            whole = walk(what, self._work, part, illegal, self._extra, MOST_STEPS)
            rows = int(whole.at[-1])
            return whole._replace(figures=whole.figures[:rows], order=whole.order[:rows])

        each = side_by_side([partial(one, part) for part in sets])
        found = each[0] if parts == 1 else _joined(each)
        self.cut = self.cut or bool(found.cut.any())
        return found


def _joined(parts: Sequence[Found]) -> Found:
    width = max(part.order.shape[1] for part in parts)
    orders = [np.pad(p.order, ((0, 0), (0, width - p.order.shape[1])), constant_values=-1) for p in parts]
    begin = np.cumsum([0, *(len(part.figures) for part in parts)])
    at = [part.at[1:] + first for part, first in zip(parts, begin, strict=False)]
    return Found(
        np.concatenate([part.figures for part in parts]),
        np.concatenate(orders),
        np.concatenate([np.zeros(1, np.int64), *at]),
        np.concatenate([part.cut for part in parts]),
    )


def _sets(asked: Sequence[Asked]) -> Sets:
    """The sets as arrays, with hauls by their place."""
    count = [len(one.hauls) for one in asked]
    width = max(count, default=1)
    hauls = np.array([(*one.hauls, *[-1] * (width - len(one.hauls))) for one in asked], np.int64)
    allowed: list[Hauls] = []
    refused: list[Hauls] = []
    allowed_at, refused_at = [0], [0]
    for one in asked:
        if one.stand or one.refused:
            place = {haul: number for number, haul in enumerate(one.hauls)}
            allowed += [tuple([place[haul] for haul in order]) for order in one.stand or ()]
            refused += [tuple([place[task.haul] for task in tasks]) for tasks in one.refused]
        allowed_at.append(len(allowed))
        refused_at.append(len(refused))
    return Sets(
        hauls=hauls.reshape(len(asked), width),
        size=np.array(count, np.int64),
        held=np.array([one.stand is not None for one in asked], np.bool_),
        allowed=_rows(allowed, width),
        allowed_at=np.array(allowed_at, np.int64),
        refused=_rows(refused, 2 * width),
        refused_at=np.array(refused_at, np.int64),
    )


def _rows(orders: Sequence[Hauls], width: int) -> Ints:
    """Orders as rows of one width, filled up with -1."""
    return np.array([(*order, *[-1] * (width - len(order))) for order in orders], np.int64).reshape(-1, width)


def _work(clock: Clock, hours: Hours) -> Work:
    """What the walk asks of sites and hauls, worked out once."""
    hauls, number = clock.problem.hauls, clock.table.number
    spans = [[_spans(clock, action, opens) for opens in (False, True)] for action in Action]
    return Work(
        minutes=clock.minutes,
        tenths=clock.table.tenths,
        start=hours.start,
        home_by=hours.home_by,
        lifted=np.array([haul.how is LoadsBy.LIFTED for haul in hauls], np.bool_),
        place=np.array([[number[h.origin] for h in hauls], [number[h.destination] for h in hauls]], np.int64),
        work=np.array(spans, np.int64).reshape(2, 2, len(hauls), 3),
        needless=np.array([_needless(clock, action) for action in Action], np.bool_).reshape(
            2, len(hauls), len(hauls)
        ),
    )


def _spans(clock: Clock, action: Action, opens_stop: bool) -> list[tuple[int, int, int]]:
    """Duration, earliest and latest of the hauls' tasks."""
    blocks = [task_block(clock.problem, Task(action, h.index), opens_stop=opens_stop) for h in clock.problem.hauls]
    return [(NEVER_FITS, 0, 0) if b is None else (b.duration, b.earliest, b.latest) for b in blocks]


def _needless(clock: Clock, action: Action) -> Bools:
    """(before, after): whether the two tasks may as well be done the other way round."""
    tasks = [Task(action, haul.index) for haul in clock.problem.hauls]
    at: dict[str, list[int]] = {}
    for number, task in enumerate(tasks):
        at.setdefault(site_of(clock.problem, task), []).append(number)
    found = np.zeros((len(tasks), len(tasks)), np.bool_)
    for before, after in (pair for some in at.values() for pair in permutations(some, 2)):
        found[before, after] = needless_swap(clock.problem, tasks[before], tasks[after])
    return found
