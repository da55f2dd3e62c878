"""Exact search of whole-inch places for a line of items under "sum of contributions <= bound" rows.

The items stand in a given order along the deck; a row holds for the items that are aboard on some leg. The
search is exhaustive with valid pruning only, so it finds a place for every item whenever one exists.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dispatch.load_tables import Floats, Spot
from dispatch.place_kernel import first_lines


@dataclass(frozen=True, slots=True)
class LegRows:
    """One leg: which items of the line are aboard, and the bound of every row."""

    aboard: tuple[int, ...]
    bounds: Floats


@dataclass(frozen=True, slots=True)
class Line:
    """One arrangement to search: items in order along the deck with their places and contributions.

    ``tables[i]``: shape (rows, places of item i), the same rows for every item. ``slopes``: of every row, pounds a
    pound and inch, 0 where it is not linear in place (``Rows.slopes``).
    """

    spots: tuple[Spot, ...]
    tables: tuple[Floats, ...]
    slopes: Floats
    legs: tuple[LegRows, ...]
    gap_in: float


def search(line: Line) -> tuple[int, ...] | None:
    """Front edges (whole inches of each item's own deck), smallest first in line order; None: none exists."""
    spots, legs, count, rows, starts = line.spots, line.legs, len(line.spots), 0, []
    if not spots:
        return ()
    for spot in spots:
        starts.append(rows - spot.first)
        rows += spot.last - spot.first + 1
    itself, once = np.arange(count), np.zeros(1, np.int64)
    _, places, taken = first_lines(
        np.ascontiguousarray(np.concatenate(line.tables, axis=1).T),
        line.slopes,
        np.array([leg.bounds for leg in legs]).reshape(len(legs), line.slopes.size),
        np.array(starts),
        np.array([spot.first for spot in spots]),
        np.array([spot.last for spot in spots]),
        np.array([spot.origin_in for spot in spots], np.float64),
        np.array([spot.length_in for spot in spots], np.float64),
        float(line.gap_in),
        itself.reshape(1, 1, count, 1),
        itself.reshape(1, count),
        once,
        np.array([[sum(1 << i for i in leg.aboard) for leg in legs]], np.int64),
        np.array([len(legs)]),
        np.full((1, count), np.inf),
        np.zeros((1, count), np.int64),
        itself.reshape(1, count),
        once,
        once,
        once + 1,
    )
    return tuple(places[0].tolist()) if taken[0] == 0 else None
