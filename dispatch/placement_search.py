"""Exact search of whole-inch places for a line of items under "sum of contributions <= bound" rows.

The items stand in a given order along the deck; a row holds for the items that are aboard on some leg. The
search is exhaustive with valid pruning only, so it finds a place for every item whenever one exists.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from dispatch.load_tables import Floats, Spot
from dispatch.place_kernel import first_places
from dispatch.units import SLACK_IN


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
    spots, legs, rows, starts = line.spots, line.legs, 0, []
    if not spots:
        return ()
    for spot in spots:
        starts.append(rows - spot.first)
        rows += spot.last - spot.first + 1
    aboard = [[i in leg.aboard for i in range(len(spots))] for leg in legs]
    low = np.array([spot.first for spot in spots])
    found = first_places(
        np.ascontiguousarray(np.concatenate(line.tables, axis=1).T),
        line.slopes,
        np.array(starts),
        np.array([_least_step(a, b, line.gap_in) for a, b in pairwise(spots)], np.int64),
        low,
        np.array([spot.last for spot in spots]),
        np.array(aboard, np.bool_).reshape(len(legs), len(spots)),
        np.array([leg.bounds for leg in legs]).reshape(len(legs), line.slopes.size),
    )
    return tuple(low.tolist()) if found else None


def _least_step(ahead: Spot, behind: Spot, gap_in: float) -> int:
    """Least distance of the front edges of two items in line, whole inches in the frame of the second's deck."""
    return math.ceil(ahead.origin_in + ahead.length_in + gap_in - behind.origin_in - SLACK_IN)
