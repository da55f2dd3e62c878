"""The undominated trips of many sets of units as arrays; a trip becomes an object only when somebody wants it.

A day of fifty moves can have some hundred thousand trips a rig, of which a plan uses a dozen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dispatch.order_kernel import (
    DRIVE,
    DURATION,
    EARLIEST,
    FIGURES,
    FIRST,
    LAST,
    LATEST,
    TENTHS,
    Found,
    Ints,
)
from dispatch.trips import Candidate, OrderBook, Wanted

NOT_MADE = -1
Places = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Row:
    """One trip of a set as it lies in the table: see ``order_kernel``; ``order`` by place in the set."""

    figures: tuple[int, ...]
    order: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """What a table holds: see there."""

    begin: Ints
    end: Ints
    figures: Ints
    order: Places


class TripTable:
    """Rows ``begin[k]`` to ``end[k]`` are the trips of set k, the best first; ``NOT_MADE``: not worked out.

    ``figures``, ``order``: (rows so far), as the walk over orders gives them; rows of sets that were worked out
    again stay behind, unused.
    """

    def __init__(self, book: OrderBook, sets: Sequence[Wanted], rows: Rows | None = None) -> None:
        self._book, self._sets = book, sets
        self._width = max((len(one.hauls) for one in sets), default=0)
        if rows is None:
            new, none = np.full(len(sets), NOT_MADE, np.int64), np.zeros((0, FIGURES), np.int64)
            rows = Rows(new, new.copy(), none, np.zeros((0, 2 * self._width), np.int8))
        self.begin, self.end, self.figures, self.order = rows.begin, rows.end, rows.figures, rows.order

    def rows(self) -> Rows:
        """All that it holds."""
        return Rows(self.begin, self.end, self.figures, self.order)

    def missing(self, sets: Sequence[int]) -> list[int]:
        """Of these sets, those that are not worked out."""
        numbers = np.asarray(sets, np.int64)
        return numbers[self.begin[numbers] == NOT_MADE].tolist() if len(numbers) else []

    def forget(self, number: int) -> None:
        """The set must be worked out again."""
        self.begin[number] = NOT_MADE

    def put(self, sets: Sequence[int], asked: Sequence[Wanted], found: Found) -> None:
        """The trips of these sets, sorted by quality."""
        order = np.full((len(found.order), 2 * self._width), NOT_MADE, np.int8)
        order[:, : found.order.shape[1]] = found.order
        by_quality = _by_quality(found, order, asked)
        self._append(sets, found.figures[by_quality], order[by_quality], found.at)

    def put_rows(self, number: int, rows: Sequence[Row]) -> None:
        """The trips of one set, in this order."""
        figures = np.array([row.figures for row in rows], np.int64).reshape(len(rows), FIGURES)
        order = np.full((len(rows), 2 * self._width), NOT_MADE, np.int8)
        for place, row in enumerate(rows):
            order[place, : len(row.order)] = row.order
        self._append([number], figures, order, np.array([0, len(rows)], np.int64))

    def _append(self, sets: Sequence[int], figures: Ints, order: Places, at: Ints) -> None:
        start = len(self.figures)
        self.begin[list(sets)], self.end[list(sets)] = at[:-1] + start, at[1:] + start
        self.figures = np.concatenate([self.figures, figures])
        self.order = np.concatenate([self.order, order])

    def rows_of(self, number: int) -> range:
        """The rows of a set."""
        return range(int(self.begin[number]), int(self.end[number]))

    def live(self) -> Ints:
        """The rows of all sets that are worked out, set by set."""
        made = np.flatnonzero(self.begin != NOT_MADE)
        count = self.end[made] - self.begin[made]
        offset = np.repeat(self.begin[made] - (np.cumsum(count) - count), count)
        return offset + np.arange(int(count.sum()))

    def set_of(self) -> Ints:
        """The sets of the rows that ``live`` gives."""
        made = np.flatnonzero(self.begin != NOT_MADE)
        return np.repeat(made, self.end[made] - self.begin[made])

    def trip(self, number: int, row: int) -> Candidate:
        """The trip of a row of set ``number``."""
        return self._book.candidate(self._sets[number], self.figures[row].tolist(), self.order[row].tolist())


def row_of(wanted: Wanted, trip: Candidate, number: Mapping[str, int]) -> Row:
    """A trip as a row of the table; ``number``: of the sites."""
    place = {haul: at for at, haul in enumerate(wanted.hauls)}
    figures = [0] * FIGURES
    figures[DURATION], figures[EARLIEST], figures[LATEST] = (
        trip.block.duration,
        trip.block.earliest,
        trip.block.latest,
    )
    figures[DRIVE], figures[TENTHS] = trip.drive_min, trip.tenths
    figures[FIRST], figures[LAST] = number[trip.first], number[trip.last]
    return Row(tuple(figures), tuple(place[task.haul] for task in trip.tasks))


def _by_quality(found: Found, order: Places, asked: Sequence[Wanted]) -> Ints:
    """The rows set by set, each set's in order of ``trips.quality``."""
    count = np.diff(found.at)
    which = np.repeat(np.arange(len(asked)), count)
    width = max((len(one.hauls) for one in asked), default=0)
    hauls = np.array([(*one.hauls, *[NOT_MADE] * (width - len(one.hauls))) for one in asked], np.int64)
    hauls = hauls.reshape(len(asked), width)
    named = [np.where(order[:, place] < 0, NOT_MADE, hauls[which, order[:, place]]) for place in range(2 * width)]
    figures = found.figures
    keys = figures[:, EARLIEST], -figures[:, LATEST], figures[:, TENTHS], figures[:, DURATION], which
    return np.lexsort((*reversed(named), *keys))
