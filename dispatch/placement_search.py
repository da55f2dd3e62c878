"""Exact search of whole-inch places for a line of items under "sum of contributions <= bound" rows.

The items stand in a given order along the deck; a row holds for the items that are aboard on some leg. The
search is exhaustive with valid pruning only, so it finds a place for every item whenever one exists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dispatch.load_tables import Floats, Spot
from dispatch.units import SLACK_IN


@dataclass(frozen=True, slots=True)
class LegRows:
    """One leg: which items of the line are aboard, and the bound of every row."""

    aboard: tuple[int, ...]
    bounds: Floats


@dataclass(frozen=True, slots=True)
class Line:
    """One arrangement to search: items in order along the deck with their places and contributions.

    ``tables[i]``: shape (rows, places of item i), the same rows for every item.
    """

    spots: tuple[Spot, ...]
    tables: tuple[Floats, ...]
    legs: tuple[LegRows, ...]
    gap_in: float


def search(line: Line) -> tuple[int, ...] | None:
    """Front edges (whole inches of each item's own deck), smallest first in line order; None: none exists."""
    windows = _windows(line)
    if windows is None:
        return None
    trimmed = _trim(line, windows)
    if trimmed is None:
        return None
    tables, bounds = trimmed
    if not bounds.size:
        return tuple(low for low, _ in windows)
    rest = _rest(tables)
    return _deepen(line, windows, tables, bounds, rest, (), np.zeros(bounds.size))


def _least_step(line: Line, i: int) -> float:
    """Least distance between the front edges of items i and i + 1, in the frame of item i + 1's deck."""
    a, b = line.spots[i], line.spots[i + 1]
    return a.origin_in + a.length_in + line.gap_in - b.origin_in


def _windows(line: Line) -> list[tuple[int, int]] | None:
    """First and last place of each item that leave room for the others."""
    count = len(line.spots)
    lows, highs = [s.first for s in line.spots], [s.last for s in line.spots]
    for i in range(1, count):
        lows[i] = max(lows[i], _ceil(lows[i - 1] + _least_step(line, i - 1)))
    for i in range(count - 2, -1, -1):
        highs[i] = min(highs[i], _floor(highs[i + 1] - _least_step(line, i)))
    if any(low > high for low, high in zip(lows, highs, strict=True)):
        return None
    return list(zip(lows, highs, strict=True))


def _ceil(value: float) -> int:
    return int(np.ceil(value - SLACK_IN))


def _floor(value: float) -> int:
    return int(np.floor(value + SLACK_IN))


def _trim(line: Line, windows: Sequence[tuple[int, int]]) -> tuple[list[Floats], Floats] | None:
    """Tables cut to the windows, the legs' rows one below the other, without the rows that always hold.

    None when some row never can hold.
    """
    cut = [
        table[:, low - s.first : high - s.first + 1]
        for table, s, (low, high) in zip(line.tables, line.spots, windows, strict=True)
    ]
    least, most = [table.min(axis=1) for table in cut], [table.max(axis=1) for table in cut]
    blocks: list[list[Floats]] = [[] for _ in cut]
    bounds = []
    for leg in line.legs:
        if np.any(np.sum([least[i] for i in leg.aboard], axis=0) > leg.bounds):
            return None
        keep = np.flatnonzero(np.sum([most[i] for i in leg.aboard], axis=0) > leg.bounds)
        if not keep.size:
            continue
        bounds.append(leg.bounds[keep])
        for i, table in enumerate(cut):
            blocks[i].append(table[keep] if i in leg.aboard else np.zeros((keep.size, table.shape[1])))
    if not bounds:
        return [table[:0] for table in cut], np.zeros(0)
    tables, all_bounds = _with_pairs([np.concatenate(block) for block in blocks], np.concatenate(bounds))
    if np.any(np.sum([t.min(axis=1) for t in tables], axis=0) > all_bounds + 1e-6):
        return None
    return tables, all_bounds


def _with_pairs(tables: list[Floats], bounds: Floats) -> tuple[list[Floats], Floats]:
    """Adds, for rows that pull opposite ways, their slope-cancelling sums: implied rows that prune better."""
    if len(tables) < 2 or bounds.size < 2:
        return tables, bounds
    slopes = np.sum([t[:, -1] - t[:, 0] for t in tables], axis=0)
    ups, downs = np.flatnonzero(slopes > 1e-9), np.flatnonzero(slopes < -1e-9)
    pairs = [(u, d) for u in ups for d in downs][:40]
    if not pairs:
        return tables, bounds
    first, second = (np.array(side) for side in zip(*pairs, strict=True))
    f, g = 1 / slopes[first], -1 / slopes[second]
    extended = [np.concatenate([t, f[:, None] * t[first] + g[:, None] * t[second]]) for t in tables]
    noise = 1e-7  # implied rows only prune: rounding must not make them stricter than their parents
    return extended, np.concatenate([bounds, f * bounds[first] + g * bounds[second] + noise])


def _rest(tables: Sequence[Floats]) -> list[Floats]:
    """``rest[i]``: least that items from i on can add to each row."""
    rest = [np.zeros(tables[0].shape[0])]
    for table in reversed(tables):
        rest.append(rest[-1] + table.min(axis=1))
    return rest[::-1]


def _deepen(
    line: Line,
    windows: Sequence[tuple[int, int]],
    tables: Sequence[Floats],
    bounds: Floats,
    rest: Sequence[Floats],
    chosen: tuple[int, ...],
    total: Floats,
) -> tuple[int, ...] | None:
    i = len(chosen)
    low, high = windows[i]
    if chosen:
        low = max(low, _ceil(chosen[-1] + _least_step(line, i - 1)))
    if low > high:
        return None
    base = windows[i][0]
    table = tables[i][:, low - base : high - base + 1]
    if len(tables) - i == 2:
        pair = _last_two(line, windows, tables, bounds - total, i, low)
        return None if pair is None else (*chosen, *pair)
    free = np.flatnonzero(((total + rest[i + 1])[:, None] + table <= bounds[:, None]).all(axis=0))
    for k in free:
        deeper = (*chosen, low + int(k))
        if i + 1 == len(tables):
            return deeper
        found = _deepen(line, windows, tables, bounds, rest, deeper, total + table[:, k])
        if found is not None:
            return found
    return None


def _last_two(
    line: Line, windows: Sequence[tuple[int, int]], tables: Sequence[Floats], room: Floats, i: int, low: int
) -> tuple[int, int] | None:
    """The first pair of places for the last two items, both at once as a table of rows x places x places."""
    a = tables[i][:, low - windows[i][0] :]
    b = tables[i + 1]
    base = windows[i + 1][0]
    free_a = (a + b.min(axis=1)[:, None] <= room[:, None]).all(axis=0)
    free_b = (b + a.min(axis=1)[:, None] <= room[:, None]).all(axis=0)
    if not free_a.any() or not free_b.any():
        return None
    ia, ib = np.flatnonzero(free_a), np.flatnonzero(free_b)
    step = _ceil(_least_step(line, i))
    apart = (ib[None, :] + base) - (ia[:, None] + low) >= step
    fits = apart
    for row in range(room.size):
        if not fits.any():
            return None
        fits = fits & (a[row, ia][:, None] + b[row, ib][None, :] <= room[row])
    where = np.argmax(fits.ravel())
    if not fits.ravel()[where]:
        return None
    first, second = divmod(int(where), ib.size)
    return int(ia[first]) + low, int(ib[second]) + base
