"""The compiled search for orders against plain recursion, on random days with everything made tight."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np
import pytest

from dispatch.items import LoadsBy
from dispatch.order_kernel import DRIVE, DURATION, EARLIEST, FIRST, LAST, LATEST, TENTHS, Ints
from dispatch.order_search import NONE, Asked, OrderSearch
from dispatch.plan import Action, Task
from dispatch.site_table import site_table
from dispatch.timing import Block
from dispatch.travel import Travel
from dispatch.trip_orders import Clock, Hours, site_of
from tests.dispatch.plain_orders import PlainOrders
from tests.external.random_days import Sizes, random_day

Row = tuple[tuple[Task, ...], tuple[int, ...]]
SIZES = Sizes(most_moves=9, most_rigs=2)


@dataclass(frozen=True)
class Both:
    """The two searches for one rig of a random day."""

    clock: Clock
    compiled: OrderSearch
    plain: PlainOrders

    def listed(self, hauls: tuple[int, ...]) -> list[Row]:
        """Every order by recursion, with its figures."""
        return [(tasks, self._figures(tasks, block)) for tasks, block in self.plain.orders(hauls)]

    def _figures(self, tasks: Sequence[Task], block: Block) -> tuple[int, ...]:
        sites = [self.clock.table.number[site_of(self.clock.problem, task)] for task in tasks]
        figures = [0] * 7
        figures[DURATION], figures[EARLIEST], figures[LATEST] = block.duration, block.earliest, block.latest
        figures[DRIVE] = sum(int(self.clock.minutes[a, b]) for a, b in pairwise(sites))
        figures[TENTHS] = sum(int(self.clock.table.tenths[a, b]) for a, b in pairwise(sites))
        figures[FIRST], figures[LAST] = sites[0], sites[-1]
        return tuple(figures)

    def driven(self, tasks: Sequence[Task]) -> tuple[int, ...]:
        """In which order what is driven comes on."""
        hauls = self.clock.problem.hauls
        on = [task.haul for task in tasks if task.action is Action.LOAD]
        return tuple(haul for haul in on if hauls[haul].how is not LoadsBy.LIFTED)


def both(seed: int, *, free_stops: bool) -> Both:
    problem = random_day(seed, SIZES)
    table = site_table(problem, Travel(problem.sites, problem.roads, problem.settings))
    rig = problem.rigs[seed % len(problem.rigs)]
    minutes = table.fastest_min if free_stops else table.loaded_min
    clock, hours = Clock(problem, table, minutes, rig.yard), Hours.of(table, rig)
    compiled = OrderSearch(clock, hours, free_stops=free_stops)
    return Both(clock, compiled, PlainOrders(clock, hours, free_stops=free_stops))


def sets(one: Both, rng: random.Random) -> list[tuple[int, ...]]:
    numbers = range(len(one.clock.problem.hauls))
    every = [some for size in (1, 2, 3, 4) for some in combinations(numbers, size)]
    return rng.sample(every, min(15, len(every)))


def stands_for(better: Sequence[int], other: Sequence[int]) -> bool:
    return (
        (better[FIRST], better[LAST]) == (other[FIRST], other[LAST])
        and all(better[column] <= other[column] for column in (DRIVE, TENTHS, DURATION))
        and better[EARLIEST] + better[DURATION] <= other[EARLIEST] + other[DURATION]
        and better[LATEST] >= other[LATEST]
    )


def undominated(rows: Sequence[Row]) -> set[tuple[int, ...]]:
    """The figures that no others can stand for."""
    figures = {row[1] for row in rows}
    return {one for one in figures if not any(one != other and stands_for(other, one) for other in figures)}


def best_agree(one: Both, asked: Sequence[Asked], lists: Sequence[Sequence[Row]], illegal: Ints = NONE) -> None:
    """The compiled search gives each undominated row of figures once, with an order that has them."""
    for found, rows in zip(rows_of(one, asked, illegal=illegal), lists, strict=True):
        assert {figures for _, figures in found} == undominated(rows)
        assert len(found) == len({figures for _, figures in found})
        assert found <= set(rows)


def rows_of(one: Both, asked: Sequence[Asked], *, every: bool = False, illegal: Ints = NONE) -> list[set[Row]]:
    found = one.compiled.every(asked, illegal) if every else one.compiled.best(asked, illegal)
    return [
        {
            (one.compiled.tasks(ask.hauls, order), tuple(figures))
            for order, figures in zip(
                found.order[begin:end].tolist(), found.figures[begin:end].tolist(), strict=True
            )
        }
        for ask, begin, end in zip(asked, found.at, found.at[1:], strict=False)
    ]


def check(seed: int) -> int:
    rng, compared = random.Random(seed), 0
    for free_stops in (False, True):
        one = both(seed, free_stops=free_stops)
        some = sets(one, rng)
        lists = [one.listed(hauls) for hauls in some]
        asked = [Asked(hauls) for hauls in some]
        assert one.compiled.possible(some) == [bool(rows) for rows in lists]
        assert rows_of(one, asked, every=True) == [set(rows) for rows in lists]
        best_agree(one, asked, lists)
        loading = [{one.driven(tasks) for tasks, _ in rows} for rows in lists]
        assert [set(orders) for orders in one.compiled.loading(some)] == loading
        held = [_held(ask, rows, orders, rng) for ask, rows, orders in zip(asked, lists, loading, strict=True)]
        left = [
            [row for row in rows if one.driven(row[0]) in (ask.stand or ()) and row[0] not in ask.refused]
            for ask, rows in zip(held, lists, strict=True)
        ]
        best_agree(one, held, left)
        compared += sum(map(len, left)) + some_decks_forbidden(one, asked, lists, rng)
    return compared


def some_decks_forbidden(
    one: Both, asked: Sequence[Asked], lists: Sequence[Sequence[Row]], rng: random.Random
) -> int:
    """The same where some decks may go nowhere."""
    every = sorted({deck for rows in lists for tasks, _ in rows for deck in decks(one, tasks)})
    forbidden = set(rng.sample(every, len(every) // 4))
    numbers = [one.compiled.deck(driven, lifted) for driven, lifted in forbidden]
    illegal = np.array(sorted(number for number in numbers if number is not None), np.int64)
    left = [[row for row in rows if forbidden.isdisjoint(decks(one, row[0]))] for rows in lists]
    assert rows_of(one, asked, every=True, illegal=illegal) == [set(rows) for rows in left]
    loading = [{one.driven(tasks) for tasks, _ in rows} for rows in left]
    assert [set(orders) for orders in one.compiled.loading([ask.hauls for ask in asked], illegal)] == loading
    best_agree(one, asked, left, illegal)
    return sum(map(len, left))


def decks(one: Both, tasks: Sequence[Task]) -> set[tuple[tuple[int, ...], tuple[int, ...]]]:
    """What is aboard between two stops: the driven as they came on, the lifted in order."""
    found, aboard = set(), list[int]()
    for task, following in pairwise(tasks):
        if task.action is Action.LOAD:
            aboard.append(task.haul)
        else:
            aboard.remove(task.haul)
        if site_of(one.clock.problem, task) != site_of(one.clock.problem, following):
            lifted = [h for h in aboard if one.clock.problem.hauls[h].how is LoadsBy.LIFTED]
            found.add((tuple(h for h in aboard if h not in lifted), tuple(sorted(lifted))))
    return found


def _held(ask: Asked, rows: Sequence[Row], orders: set[tuple[int, ...]], rng: random.Random) -> Asked:
    """The set with some orders forbidden, of coming on and of all."""
    stand = frozenset(order for order in sorted(orders) if rng.random() < 0.6)
    refused = tuple(tasks for tasks, _ in rows if rng.random() < 0.3)
    return replace(ask, stand=stand, refused=refused)


def test_orders_are_those_of_plain_recursion() -> None:
    assert sum(check(seed) for seed in range(8)) > 200


@pytest.mark.slow
@pytest.mark.parametrize("first", range(100, 400, 50))
def test_orders_are_those_of_plain_recursion_on_many_days(first: int) -> None:
    assert sum(check(seed) for seed in range(first, first + 50)) > 1_200


def test_a_deck_has_a_number_while_it_has_few_items() -> None:
    """Driven items as they came on, then lifted ones whatever their order; no deck of more than five."""
    search = both(3, free_stops=False).compiled
    assert search.deck((0, 1), (3, 2)) == search.deck((0, 1), (2, 3))
    assert search.deck((0, 1), ()) != search.deck((1, 0), ())
    assert search.deck((0, 1, 2), (3, 4)) is not None
    assert search.deck((0, 1, 2), (3, 4, 5)) is None


def test_a_search_that_is_cut_short_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    one = both(3, free_stops=False)
    assert not one.compiled.cut
    monkeypatch.setattr("dispatch.order_search.MOST_STEPS", 2)
    one.compiled.every([Asked((0, 1, 2))])
    assert one.compiled.cut
