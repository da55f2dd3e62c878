"""The inner loop of finding orders, compiled: a depth-first walk over the ways in which items come on and off.

A walk goes through many sets of hauls, one after the other. It ends a branch as soon as hours, windows or the
shift forbid. Items are named by their place in their set. Times are whole minutes, roads tenths of a mile.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from dispatch.compiled import inner, outer

Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

ANY, LOADING, BEST, EVERY = range(4)
"""What is asked of a set: whether it has an order; in which orders what is driven may come on; the undominated
orders; all orders."""
DURATION, EARLIEST, LATEST, DRIVE, TENTHS, FIRST, LAST = range(7)
"""Columns of what is found of an order."""
FIGURES = 7
NEVER_FITS = -1
FIRST_ROWS = 256


class Work(NamedTuple):
    """What the walk knows of sites and hauls.

    ``minutes``, ``tenths``: (from, to). ``start``: when a rig can begin at a site; ``home_by``: when it must leave
    it. ``place``: (on or off, haul), sites. ``work``: (on or off, opens a stop, haul, duration earliest latest);
    duration ``NEVER_FITS``: it cannot be done. ``needless``: (on or off, haul before, haul), whether the two may
    as well be done the other way round at one stop.
    """

    minutes: Ints
    tenths: Ints
    start: Ints
    home_by: Ints
    lifted: Bools
    place: Ints
    work: Ints
    needless: Bools


class Sets(NamedTuple):
    """Sets of hauls, (sets, most hauls), and the ``size`` of each.

    ``allowed``: orders in which what is driven may come on, as places in the set; those of set k are the rows
    ``allowed_at[k]`` to ``allowed_at[k + 1]``, if it is ``held`` to any. ``refused``: orders of on and off that
    are out of the question, likewise.
    """

    hauls: Ints
    size: Ints
    held: Bools
    allowed: Ints
    allowed_at: Ints
    refused: Ints
    refused_at: Ints


SLOT_BITS = 11
SLOTS, MOST_SEEN = 1 << SLOT_BITS, 20_000
NOBODY = -1
MOST_COMPARED = 7
"""Items of a set up to which begun orders are compared with each other."""
MOST_ABOARD = 5
BITS = 12
"""A deck is one number: what is driven as it came on, then what is lifted in order, so many bits an item."""
MOST_HAULS = (1 << BITS) - 2


class Found(NamedTuple):
    """Rows ``at[k]`` to ``at[k + 1]`` are of set k; ``order``: -1 behind its tasks.

    ``cut``: sets whose walk was given up after too many steps.
    """

    figures: Ints
    order: Ints
    at: Ints
    cut: Bools


class Seen(NamedTuple):
    """Begun orders by what may still follow them: the first of each slot, the next of the same slot."""

    head: Ints
    following: Ints
    key: Ints
    figures: Ints


@outer
def walk(asked: int, w: Work, sets: Sets, illegal: Ints, extra: bool, most_steps: int) -> Found:
    """What is asked of every set.

    ``illegal``: decks (``MOST_ABOARD`` items at most) that may go nowhere, sorted. ``extra``: stops spend their
    sites' extra minutes.
    """
    count, width = sets.hauls.shape
    figures = np.empty((FIRST_ROWS, FIGURES), np.int64)
    orders = np.empty((FIRST_ROWS, 2 * width), np.int64)
    at = np.zeros(count + 1, np.int64)
    cut = np.zeros(count, np.bool_)
    state = np.zeros((2 * width + 1, FIGURES), np.int64)
    tried = np.zeros(2 * width + 1, np.int64)
    order = np.zeros(2 * width, np.int64)
    on, off = np.zeros(width, np.bool_), np.zeros(width, np.bool_)
    seen = Seen(
        np.empty(SLOTS, np.int64),
        np.empty(MOST_SEEN, np.int64),
        np.empty(MOST_SEEN, np.int64),
        np.empty((MOST_SEEN, FIGURES), np.int64),
    )
    rows = 0
    for k in range(count):
        n, begin, steps, depth = sets.size[k], rows, 0, 0
        hauls = sets.hauls[k]
        compares = asked == BEST and 2 < n <= MOST_COMPARED and sets.refused_at[k] == sets.refused_at[k + 1]
        known = 0
        if compares:
            for slot in range(SLOTS):
                seen.head[slot] = NOBODY
        tried[0] = 0
        for item in range(width):
            on[item], off[item] = False, False
        while depth >= 0:
            # Undo what was last tried at this depth, then find what comes next.
            if tried[depth] > 0:
                if depth < n:
                    on[order[depth]] = False
                else:
                    off[order[depth]] = False
            item = _next(w, hauls, n, depth, tried, order, on, off)
            if item < 0:
                tried[depth] = 0
                depth -= 1
                continue
            steps += 1
            if steps > most_steps:
                cut[k] = True
                break
            order[depth] = item  # until it is marked below, there is nothing to undo
            if not _add(w, hauls[item], depth, n, extra, state):
                continue
            moves = depth > 0 and state[depth, LAST] != state[depth + 1, LAST]
            if moves and len(illegal) > 0 and _in(illegal, _deck(w.lifted, hauls, min(depth, n), order, off)):
                continue
            if depth < n:
                on[item] = True
            else:
                off[item] = True
            depth += 1
            if (
                depth == n
                and sets.held[k]
                and not _allowed(
                    w.lifted, sets.allowed, sets.allowed_at[k], sets.allowed_at[k + 1], n, hauls, order
                )
            ):
                depth -= 1
                continue
            if depth == n and asked == LOADING and _known(w.lifted, hauls, n, order, orders, begin, rows):
                depth -= 1
                continue
            if compares and 1 < depth < 2 * n and known < MOST_SEEN:
                key = _key(w.lifted, hauls, n, depth, state[depth, FIRST], order, on, off)
                if _beaten(seen, key, state[depth]):
                    depth -= 1
                    continue
                _remember(seen, key, state[depth], known)
                known += 1
            if depth < 2 * n:
                tried[depth] = 0
                continue
            # All are on and off again.
            depth -= 1
            if asked == ANY:
                rows += 1
                figures, orders = _room(figures, orders, rows)
                break
            if asked == LOADING:
                figures, orders = _room(figures, orders, rows + 1)
                _write(order, orders, rows, n)
                rows += 1
                while depth >= n:  # another order of coming off tells nothing more
                    off[order[depth]] = False
                    tried[depth] = 0
                    depth -= 1
                continue
            if not _refused(sets.refused, sets.refused_at[k], sets.refused_at[k + 1], n, order):
                figures, orders = _room(figures, orders, rows + 1)
                rows = _keep(asked == EVERY, hauls, n, state[2 * n], order, figures, orders, begin, rows)
        at[k + 1] = rows
    return Found(figures, orders, at, cut)  # rows behind the last are nobody's


@inner
def _next(w: Work, hauls: Ints, n: int, depth: int, tried: Ints, order: Ints, on: Bools, off: Bools) -> int:
    """The next item to come on or off at a depth, or -1; what is driven comes off in the reverse order."""
    while tried[depth] < n:
        place = tried[depth]
        tried[depth] += 1
        if depth < n:
            if not on[place] and not _needless(w.needless, 0, hauls, depth, 0, place, order):
                return int(place)
            continue
        item = order[n - 1 - place]
        if off[item]:
            continue
        if not w.lifted[hauls[item]] and _covered(w.lifted, hauls, n, place, order, off):
            continue
        if not _needless(w.needless, 1, hauls, depth, n, item, order):
            return int(item)
    return -1


@inner
def _key(lifted: Bools, hauls: Ints, n: int, depth: int, first: int, order: Ints, on: Bools, off: Bools) -> int:
    """Equal for begun orders that the same tasks may follow: who is on and off, what stands behind what, the last.

    When all have come on, the next need not fit behind the last.
    """
    last = order[depth - 1] if depth != n else MOST_COMPARED
    key = (first << 3) | last
    for item in range(n):
        key = (key << 2) | (2 if off[item] else 1 if on[item] else 0)
    for place in range(min(depth, n)):
        item = order[place]
        if not off[item] and not lifted[hauls[item]]:
            key = (key << 3) | (item + 1)
    return int(key)


@inner
def _slot(key: int) -> int:
    return int(((key * -7046029254386353131) >> 40) & (SLOTS - 1))


@inner
def _beaten(seen: Seen, key: int, figures: Ints) -> bool:
    """Whether an order begun before can stand for this one whatever follows."""
    at = seen.head[_slot(key)]
    while at != NOBODY:
        if seen.key[at] == key and _stands_for(seen.figures[at], figures):
            return True
        at = seen.following[at]
    return False


@inner
def _remember(seen: Seen, key: int, figures: Ints, at: int) -> None:
    slot = _slot(key)
    seen.key[at], seen.following[at] = key, seen.head[slot]
    _copy(figures, seen.figures, at)
    seen.head[slot] = at


@inner
def _deck(lifted: Bools, hauls: Ints, loaded: int, order: Ints, off: Bools) -> int:
    """The number of the deck with what has come on and is not off; 0: too many items for one."""
    deck, shift, last = 0, 0, -1
    for place in range(loaded):
        item = order[place]
        if not off[item] and not lifted[hauls[item]]:
            if shift == MOST_ABOARD * BITS:
                return 0
            deck |= (hauls[item] + 1) << shift
            shift += BITS
    while True:
        following = -1
        for place in range(loaded):
            haul = hauls[order[place]]
            if not off[order[place]] and lifted[haul] and haul > last and (following < 0 or haul < following):
                following = haul
        if following < 0:
            return deck
        if shift == MOST_ABOARD * BITS:
            return 0
        deck |= (following + 1) << shift
        shift += BITS
        last = following


@inner
def _in(numbers: Ints, wanted: int) -> bool:
    """Whether a number is among sorted ones."""
    low, high = 0, len(numbers)
    while low < high:
        middle = (low + high) // 2
        if numbers[middle] < wanted:
            low = middle + 1
        else:
            high = middle
    return bool(low < len(numbers) and numbers[low] == wanted)


@inner
def _covered(lifted: Bools, hauls: Ints, n: int, place: int, order: Ints, off: Bools) -> bool:
    """Whether something driven that came on later is still aboard."""
    for later in range(n - place, n):  # noqa: SIM110  # the compiler knows no any()
        if not lifted[hauls[order[later]]] and not off[order[later]]:
            return True
    return False


@inner
def _needless(needless: Bools, way: int, hauls: Ints, depth: int, least: int, item: int, order: Ints) -> bool:
    """Whether the item and the one before, at one stop, may as well be done the other way round."""
    if depth <= least:
        return False
    return bool(needless[way, hauls[order[depth - 1]], hauls[item]])


@inner
def _add(w: Work, haul: int, depth: int, n: int, extra: bool, state: Ints) -> bool:
    """Puts one more task behind the state at a depth (``timing.join``); False when it cannot be done in time."""
    way = 0 if depth < n else 1
    site = w.place[way, haul]
    before, after = state[depth], state[depth + 1]
    opens = 1 if extra and (depth == 0 or before[LAST] != site) else 0
    work = w.work[way, opens, haul]
    if work[0] == NEVER_FITS:
        return False
    after[FIRST], after[LAST] = before[FIRST], site
    if depth == 0:
        after[DURATION], after[EARLIEST], after[LATEST] = work[0], work[1], work[2]
        after[DRIVE], after[TENTHS], after[FIRST] = 0, 0, site
    else:
        road = w.minutes[before[LAST], site]
        ahead = before[DURATION] + road
        if before[EARLIEST] + ahead > work[2]:
            return False
        wait = max(0, work[1] - ahead - before[LATEST])
        after[DURATION] = ahead + wait + work[0]
        after[EARLIEST] = max(work[1] - ahead, before[EARLIEST]) - wait
        after[LATEST] = min(work[2] - ahead, before[LATEST])
        after[DRIVE] = before[DRIVE] + road
        after[TENTHS] = before[TENTHS] + w.tenths[before[LAST], site]
    start = w.start[after[FIRST]]
    return bool(start <= after[LATEST] and max(start, after[EARLIEST]) + after[DURATION] <= w.home_by[site])


@inner
def _allowed(lifted: Bools, allowed: Ints, begin: int, end: int, n: int, hauls: Ints, order: Ints) -> bool:
    """Whether what is driven may come on in this order."""
    for row in range(begin, end):  # noqa: SIM110  # the compiler knows no any()
        if _same_driven(lifted, hauls, n, order, allowed[row], False):
            return True
    return False


@inner
def _known(lifted: Bools, hauls: Ints, n: int, order: Ints, orders: Ints, begin: int, rows: int) -> bool:
    """Whether an order in which the driven ones come on alike is among the rows."""
    for row in range(begin, rows):  # noqa: SIM110  # the compiler knows no any()
        if _same_driven(lifted, hauls, n, order, orders[row], True):
            return True
    return False


@inner
def _same_driven(lifted: Bools, hauls: Ints, n: int, order: Ints, other: Ints, with_lifted: bool) -> bool:
    """Whether the driven ones come on alike; ``with_lifted``: whether the other order names the lifted as well."""
    at = 0
    for place in range(n):
        if lifted[hauls[order[place]]]:
            continue
        while with_lifted and lifted[hauls[other[at]]]:
            at += 1
        if other[at] != order[place]:
            return False
        at += 1
    return True


@inner
def _refused(refused: Ints, begin: int, end: int, n: int, order: Ints) -> bool:
    for row in range(begin, end):
        same = True
        for place in range(2 * n):
            if refused[row, place] != order[place]:
                same = False
                break
        if same:
            return True
    return False


@inner
def _keep(
    every: bool, hauls: Ints, n: int, new: Ints, order: Ints, figures: Ints, orders: Ints, begin: int, rows: int
) -> int:
    """Takes the order unless a better one is there, drops those that it beats; the new number of rows."""
    end = begin if not every else rows
    if not every:
        for row in range(begin, rows):
            if _stands_for(figures[row], new):
                if _stands_for(new, figures[row]) and _sooner(hauls, n, order, orders[row]):
                    _write(order, orders, row, n)
                return rows
        for row in range(begin, rows):
            if not _stands_for(new, figures[row]):
                _copy(figures[row], figures, end)
                _copy(orders[row], orders, end)
                end += 1
    _copy(new, figures, end)
    _write(order, orders, end, n)
    return end + 1


@inner
def _copy(row: Ints, rows: Ints, at: int) -> None:
    """Copies a row into a table; a loop is compiled sooner than a slice."""
    for place in range(len(row)):
        rows[at, place] = row[place]


@inner
def _write(order: Ints, orders: Ints, at: int, n: int) -> None:
    """Writes an order down, -1 behind its tasks."""
    for place in range(orders.shape[1]):
        orders[at, place] = order[place] if place < 2 * n else -1


@inner
def _stands_for(better: Ints, other: Ints) -> bool:
    """Whether the one order can be taken instead of the other anywhere (``trips.dominates``)."""
    return bool(
        better[FIRST] == other[FIRST]
        and better[LAST] == other[LAST]
        and better[DRIVE] <= other[DRIVE]
        and better[TENTHS] <= other[TENTHS]
        and better[DURATION] <= other[DURATION]
        and better[EARLIEST] + better[DURATION] <= other[EARLIEST] + other[DURATION]
        and better[LATEST] >= other[LATEST]
    )


@inner
def _sooner(hauls: Ints, n: int, order: Ints, other: Ints) -> bool:
    """Of two orders that are as good, the one to keep: that with the smaller hauls first."""
    for place in range(2 * n):
        if order[place] != other[place]:
            return bool(hauls[order[place]] < hauls[other[place]])
    return False


@inner
def _room(figures: Ints, orders: Ints, rows: int) -> tuple[Ints, Ints]:
    """The tables, twice as long if they are too short."""
    if rows <= len(figures):
        return figures, orders
    more_figures = np.empty((2 * len(figures), figures.shape[1]), np.int64)
    more_orders = np.empty((2 * len(orders), orders.shape[1]), np.int64)
    for row in range(len(figures)):
        _copy(figures[row], more_figures, row)
        _copy(orders[row], more_orders, row)
    return more_figures, more_orders
