"""A dispatcher who goes down the list: the urgent moves first, each on the first rig that can still take it.

Every load is asked of the product's calculator. Riding along on a trip that goes anyway comes before a new trip.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from benchmarks.peers.routes import Day, Routes, Tasks, hauls_of, trip_of
from dispatch.fleet import Rig

NEVER = 24 * 60


def first_fit(day: Day, stop: Callable[[], bool] = lambda: False) -> Routes:
    """The routes of such a dispatcher; ``stop`` ends it early."""
    routes: dict[str, list[Tasks]] = {rig.name: [] for rig in day.problem.rigs}
    fit_in(day, routes, urgent_first(day, range(len(day.problem.moves))), stop)
    return routes


def urgent_first(day: Day, moves: Iterable[int]) -> list[int]:
    """The earliest Deliver by first, then the highest priority, then the earliest Ready."""

    def key(number: int) -> tuple[float, ...]:
        move = day.problem.moves[number]
        return (move.due_min or NEVER, -move.priority, move.ready_min or 0, number)

    return sorted(moves, key=key)


def fit_in(
    day: Day, routes: dict[str, list[Tasks]], moves: Sequence[int], stop: Callable[[], bool] = lambda: False
) -> None:
    """Puts each move where it first fits, in the routes as they are; what fits nowhere stays out."""
    for move in moves:
        if stop():
            break
        _ride_along(day, routes, move) or _new_trip(day, routes, move)


def _ride_along(day: Day, routes: dict[str, list[Tasks]], move: int) -> bool:
    for rig in day.problem.rigs:
        trips = routes.get(rig.name, [])
        for number, tasks in enumerate(trips):
            for longer in _with(tasks, move):
                if _fits(day, rig, [*trips[:number], longer, *trips[number + 1 :]], longer):
                    trips[number] = longer
                    return True
    return False


def _with(tasks: Tasks, move: int) -> Iterator[Tasks]:
    """The trip with one more item: loaded last, or loaded first; off in the reverse order."""
    hauls = hauls_of(tasks)
    yield trip_of([*hauls, move])
    yield trip_of([move, *hauls])


def _new_trip(day: Day, routes: dict[str, list[Tasks]], move: int) -> bool:
    alone = trip_of([move])
    for rig in day.problem.rigs:
        trips = routes.setdefault(rig.name, [])
        for place in range(len(trips), -1, -1):
            if _fits(day, rig, [*trips[:place], alone, *trips[place:]], alone):
                trips.insert(place, alone)
                return True
    return False


def _fits(day: Day, rig: Rig, trips: Sequence[Tasks], changed: Tasks) -> bool:
    """Whether the clock and, for the trip that changed, the calculator agree."""
    in_time = day.walk(rig, trips, rig.shift_start_min) is not None
    return in_time and day.load(rig, changed) is not None
