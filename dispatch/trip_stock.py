"""The candidate trips of rigs that may carry the same in the same way, and what is known of their legality.

Sets that are illegal in every order are no part of the stock (``trip_listing``); ``judge_all`` asks of the trips
that are left, many at once, and ``judge`` of one. Until it is asked, a trip counts as legal. That can only make
days look better than they are, so every floor found with such trips is a true floor; plans are made of trips whose
legality was asked. When a trip turns out illegal, the next best orders of its items take its place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from dispatch.arrangements import Load
from dispatch.fleet import Rig
from dispatch.placement import Placer
from dispatch.plan import Task
from dispatch.trip_listing import Listed
from dispatch.trip_orders import Hours, load_request
from dispatch.trip_rows import TripRows, within
from dispatch.trip_table import Rows, TripTable, row_of
from dispatch.trips import (
    AT_ONCE,
    Candidate,
    OrderBook,
    Unit,
    Wanted,
    dominates,
    may_ride,
    quality,
    timed,
    wanted,
)


class TripStock:
    """``complete``: every set of units that could ride was looked at. ``version`` grows with every change."""

    def __init__(self, book: OrderBook, placer: Placer, rig: Rig, listed: Listed) -> None:
        self.version = 0
        self.complete = listed.complete
        self._book, self._placer, self._rig = book, placer, rig
        self._judged: dict[tuple[Task, ...], Candidate | None] = {}
        self._ordered = frozenset(haul for pair in book.problem.successors for haul in pair)
        self._refused: dict[int, list[tuple[Task, ...]]] = {}
        self._altered: dict[int, list[Candidate]] = {}
        self._made: dict[int, Candidate] = {}
        self._rows: TripRows | None = None
        self._illegal = listed.illegal
        self._sets: Sequence[Wanted] = listed.sets
        self._number = {one.mask: number for number, one in enumerate(listed.sets)}
        self._table = TripTable(book, listed.sets, listed.rows)

    def worked_out(self) -> Rows:
        """The trips of all sets, for ``Listed``."""
        self._work_out(range(len(self._sets)))
        return self._table.rows()

    def rows(self) -> TripRows:
        """The undominated trips that are legal as far as is known, small sets first, the best of a set first."""
        if self._rows is None:
            self._work_out(range(len(self._sets)))
            rows, of_set, table = self._table.live(), self._table.set_of(), self._table
            masks = tuple([one.mask for one in self._sets])
            permits = np.array([float(self._book.permits(one.hauls)) for one in self._sets], np.float64)
            numbers = of_set.tolist()
            self._rows = TripRows(
                masks,
                permits,
                of_set,
                table.figures[rows],
                lambda place: self._known(numbers[place], int(rows[place])),
            )
        return self._rows

    def _known(self, number: int, row: int) -> Candidate:
        """The trip of a row, with its load if legality was asked."""
        trip = self._made.get(row) or self._table.trip(number, row)
        if trip.load is None:
            trip = self._made[row] = self._judged.get(trip.tasks) or trip
        return trip

    def _trips_of(self, mask: int, hours: Hours) -> list[Candidate]:
        number, table = self._number[mask], self._table
        self._work_out([number])
        rows = table.rows_of(number)
        in_time = within(hours, table.figures[rows.start : rows.stop])
        return [self._known(number, row) for row, may in zip(rows, in_time, strict=True) if may]

    def _work_out(self, numbers: Sequence[int]) -> None:
        """Works out the undominated trips of sets that are new, or of which a trip was refused or altered."""
        missing = self._table.missing(numbers)
        for in_order in (True, False):
            some = [number for number in missing if self._in_order(number) is in_order]
            for begin in range(0, len(some), AT_ONCE):
                part = some[begin : begin + AT_ONCE]
                sets = [self._wanted(number) for number in part]
                self._table.put(part, sets, self._book.found(sets, self._illegal, every=in_order))
        for number in missing:
            if self._sets[number].mask in self._altered:
                self._put_altered(number)

    def _wanted(self, number: int) -> Wanted:
        """The set without the trips that were refused or altered."""
        one = self._sets[number]
        altered = [trip.tasks for trip in self._altered.get(one.mask, ())]
        return replace(one, refused=(*self._refused.get(one.mask, ()), *altered))

    def _put_altered(self, number: int) -> None:
        """The set's trips together with those that a permit gave other hours."""
        known = [self._table.trip(number, row) for row in self._table.rows_of(number)]
        alive = sorted([*known, *self._altered[self._sets[number].mask]], key=quality)
        kept = alive if self._in_order(number) else _undominated(alive)
        sites = self._book.table.number
        self._table.put_rows(number, [row_of(self._sets[number], trip, sites) for trip in kept])

    def _in_order(self, number: int) -> bool:
        """Whether a machine of the set is moved twice: then its other move binds the times; nothing is dropped."""
        return bool(self._ordered) and not self._ordered.isdisjoint(self._sets[number].hauls)

    def judge(self, trip: Candidate) -> Candidate | None:
        """The trip with a legal load, within permit hours where it needs them; ``None`` when there is none."""
        if trip.load is not None:
            return trip
        if trip.tasks not in self._judged:
            request = load_request(self._book.problem, trip.tasks)
            if not self._note(trip, self._placer.find(self._rig, request)):
                self._changed(trip.units)
        return self._judged[trip.tasks]

    def judge_many(self, trips: Iterable[Candidate]) -> None:
        """Asks the legality of trips together; ``judge`` then knows them."""
        new = {trip.tasks: trip for trip in trips if trip.load is None and trip.tasks not in self._judged}
        requests = [load_request(self._book.problem, tasks) for tasks in new]
        loads = self._placer.find_many(self._rig, requests)
        wrong = [trip.units for trip, load in zip(new.values(), loads, strict=True) if not self._note(trip, load)]
        for mask in dict.fromkeys(wrong):
            self._changed(mask)

    def best_of(self, members: Sequence[Unit], hours: Hours) -> Candidate | None:
        """The best legal trip with exactly these units within the hours, were they in the stock or not."""
        if not all(may_ride(self._book.problem, self._rig, unit) for unit in members):
            return None
        one = wanted(members)
        if one.mask in self._number:
            one = self._sets[self._number[one.mask]]
        table = TripTable(self._book, [one])
        while True:
            asked = [replace(one, refused=tuple(self._refused.get(one.mask, ())))]
            table.put([0], asked, self._book.found(asked, self._illegal))
            rows = [row for row in table.rows_of(0) if within(hours, table.figures[row : row + 1])[0]]
            if not rows:
                return None
            legal = self.judge(table.trip(0, rows[0]))
            if legal is not None:
                return legal

    def judge_all(self, most: int, stop: Callable[[], bool]) -> None:
        """Asks the legality of trips before any day would use them, those of each set first that come first.

        All of them while that is no more than ``most``; else of each set the best, until one is legal.
        """
        numbers, asked = list(range(len(self._sets))), 0
        while numbers and asked < most and not stop():
            self._work_out(numbers)
            rows = [self._table.rows_of(number) for number in numbers]
            all_of_them = asked + sum(map(len, rows)) <= most
            new = [
                trip
                for number, some in zip(numbers, rows, strict=True)
                for trip in (self._known(number, row) for row in (some if all_of_them else some[:1]))
                if trip.load is None
            ][: most - asked]
            self.judge_many(new)
            asked += len(new)
            numbers = self._table.missing(numbers)
        self._changed()

    def _note(self, trip: Candidate, load: Load | None) -> bool:
        """Remembers what legality says of a trip; whether it is as it was thought to be."""
        self._judged[trip.tasks] = found = self._with(trip, load)
        if found is None:
            self._refused.setdefault(trip.units, []).append(trip.tasks)
        elif found.block != trip.block:
            self._altered.setdefault(trip.units, []).append(found)
        return found is not None and found.block == trip.block

    def rides(self, mask: int, hours: Hours) -> bool:
        """Whether any trip with exactly these units within the hours is legal; asks until one is."""
        while mask in self._number and (trips := self._trips_of(mask, hours)):
            if self.judge(trips[0]) is not None:
                return True
        return False

    def _changed(self, mask: int | None = None) -> None:
        self.version += 1
        self._rows = None
        if mask in self._number:
            self._table.forget(self._number[mask])

    def _with(self, trip: Candidate, load: Load | None) -> Candidate | None:
        """The trip with its load, within permit hours where it needs them."""
        if load is None:
            return None
        block = timed(self._book.clock, trip.tasks, load.permit_legs) if any(load.permit_legs) else trip.block
        return None if block is None else replace(trip, load=load, block=block)


def _undominated(trips: Iterable[Candidate]) -> tuple[Candidate, ...]:
    """Those that no better one can stand for; ``trips`` in order of quality."""
    kept: list[Candidate] = []
    for trip in trips:
        if not any(dominates(better, trip) for better in kept):
            kept.append(trip)
    return tuple(kept)
