"""The search for whole-inch places, compiled: boxes of places, narrowed, then split, smallest places first.

Items stand in a line along the deck. A rule asks "sum of contributions <= bound" of the items aboard on a leg, and
every contribution only grows or only falls as its item moves rearward (``load_tables`` says why). So in a box (a
first and a last place of each item) the least of every rule stands at a corner; what an item may add at most
follows, and cuts its places. Two rules that pull opposite ways are also held together: in the mean of both that
cancels their slopes each item adds nearly the same wherever it stands. What is cut off holds no legal place, so
the search is exhaustive, and the first corner found legal is the smallest in line order.

The arrays of all functions here. ``table``: (places of all items, rows), pounds; ``start``: the row of an item's
place 0. ``slope``: a row's pounds a pound and inch, 0 where it is not linear; rows with a slope below 0 fall
rearward. ``step``: least distance of front edges, item to next; ``low``, ``high``: the box, whole inches of each
item's own deck; ``aboard``: (legs, items); ``bounds``: (legs, rows). ``rules``: the rows that can be broken at
all, as (leg, row); ``pairs``: two of them on one leg; ``mean``: the share of the first in their mean;
``least_at``: (pairs, items), where the mean is least.
"""

from __future__ import annotations

import math

import numpy as np

from dispatch.compiled import inner, outer
from dispatch.load_tables import Floats, Ints, Marks
from dispatch.units import SLACK_IN

NOISE_LB = 1e-6
"""Rounding forgiven where places are cut off; a place that is found keeps every bound itself."""
SHARE_NOISE = 1e-12
"""The same as a share of the bounds, for bounds of millions of pounds."""


@inner
def _first_places(
    table: Floats,
    slope: Floats,
    start: Ints,
    step: Ints,
    low: Ints,
    high: Ints,
    aboard: Marks,
    bounds: Floats,
) -> bool:
    """Whether the box holds a legal place for every item; ``low`` then is the first such, in line order."""
    if not _apart(step, low, high):
        return False
    rules = _breakable(table, slope, start, low, high, aboard, bounds)
    if len(rules) == 0:
        return True
    pairs, mean = _opposite(slope, rules)
    least_at = _least_at(table, start, low, high, rules, pairs, mean)
    count = len(low)
    most = 4
    for i in range(count):
        most += 4 + 2 * int(math.log2(high[i] - low[i] + 1))
    lows, highs = np.empty((most, count), np.int64), np.empty((most, count), np.int64)
    halve = np.zeros(most, np.bool_)
    _copy(low, lows[0])
    _copy(high, highs[0])
    waiting = 1
    while waiting:
        waiting -= 1
        a, b = lows[waiting], highs[waiting]
        if not _narrow(table, slope, start, step, a, b, aboard, bounds, rules):
            continue
        if not _together(table, start, a, b, aboard, bounds, rules, pairs, mean, least_at):
            continue
        if _holds(table, start, a, aboard, bounds, rules):
            _copy(a, low)
            return True
        for i in range(count):
            if a[i] < b[i]:
                # Its first place alone, then the rest; the rest in halves.
                split = (a[i] + b[i]) // 2 if halve[waiting] else a[i]
                halve[waiting + 1] = False
                halve[waiting] = not halve[waiting]
                _copy(a, lows[waiting + 1])
                _copy(b, highs[waiting + 1])
                highs[waiting + 1, i] = split
                a[i] = split + 1
                waiting += 2
                break
    return False


@inner
def _apart(step: Ints, low: Ints, high: Ints) -> bool:
    """Cuts the box so that every item leaves room for those before and behind it; False: no room."""
    for i in range(1, len(low)):
        low[i] = max(low[i], low[i - 1] + step[i - 1])
    for i in range(len(low) - 2, -1, -1):
        high[i] = min(high[i], high[i + 1] - step[i])
    for i in range(len(low)):  # noqa: SIM110 - a generator costs the compiler seconds
        if low[i] > high[i]:
            return False
    return True


@inner
def _copy(source: Ints, to: Ints) -> None:
    """Copies numbers one by one: an assignment of slices makes the compiler build messages for errors."""
    for i in range(len(source)):
        to[i] = source[i]


@inner
def _breakable(
    table: Floats, slope: Floats, start: Ints, low: Ints, high: Ints, aboard: Marks, bounds: Floats
) -> Ints:
    """The (leg, row) that some place in the box can break."""
    rules = np.empty((aboard.shape[0] * bounds.shape[1], 2), np.int64)
    found = 0
    for leg in range(aboard.shape[0]):
        for row in range(bounds.shape[1]):
            most = 0.0
            for i in range(len(low)):
                if aboard[leg, i]:
                    most += table[start[i] + (low[i] if slope[row] < 0 else high[i]), row]
            if most > bounds[leg, row]:
                rules[found, 0], rules[found, 1] = leg, row
                found += 1
    return rules[:found]


@inner
def _opposite(slope: Floats, rules: Ints) -> tuple[Ints, Floats]:
    """Two rules of one leg that pull opposite ways, and the share of the first that cancels the slopes."""
    pairs = np.empty((len(rules) * len(rules), 2), np.int64)
    mean = np.empty(len(rules) * len(rules))
    found = 0
    for first in range(len(rules)):
        up = slope[rules[first, 1]]
        for second in range(len(rules)):
            down = -slope[rules[second, 1]]
            if up > 0 and down > 0 and rules[first, 0] == rules[second, 0]:
                pairs[found, 0], pairs[found, 1] = first, second
                mean[found] = down / (up + down)
                found += 1
    return pairs[:found], mean[:found]


@inner
def _least_at(table: Floats, start: Ints, low: Ints, high: Ints, rules: Ints, pairs: Ints, mean: Floats) -> Ints:
    """Where each item adds least to the mean of each pair, by halving: linear worst cases are convex in place."""
    least_at = np.empty((len(pairs), len(low)), np.int64)
    for pair in range(len(pairs)):
        up, down = rules[pairs[pair, 0], 1], rules[pairs[pair, 1], 1]
        f = mean[pair]
        g = 1 - f
        for i in range(len(low)):
            a, b = low[i], high[i]
            while a < b:
                middle = start[i] + (a + b) // 2
                rise = f * (table[middle + 1, up] - table[middle, up])
                rise += g * (table[middle + 1, down] - table[middle, down])
                if rise < 0:
                    a = (a + b) // 2 + 1
                else:
                    b = (a + b) // 2
            least_at[pair, i] = a
    return least_at


@inner
def _narrow(
    table: Floats,
    slope: Floats,
    start: Ints,
    step: Ints,
    low: Ints,
    high: Ints,
    aboard: Marks,
    bounds: Floats,
    rules: Ints,
) -> bool:
    """Cuts places off the box that break a rule wherever the others stand in it; False: nothing is left."""
    count = len(low)
    changed = True
    while changed:
        changed = False
        if not _apart(step, low, high):
            return False
        for rule in range(len(rules)):
            leg, row = rules[rule, 0], rules[rule, 1]
            falls = slope[row] < 0
            spare = bounds[leg, row]
            noise = NOISE_LB + SHARE_NOISE * abs(spare)
            spare += noise
            for i in range(count):
                if aboard[leg, i]:
                    spare -= table[start[i] + (high[i] if falls else low[i]), row]
            if not spare >= 0:
                return False
            for i in range(count):
                if not aboard[leg, i]:
                    continue
                base = start[i]
                if falls:
                    room = spare + table[base + high[i], row]
                    if table[base + low[i], row] > room:
                        low[i] = _edge(table, base, row, room, high[i], low[i])
                        changed = True
                else:
                    room = spare + table[base + low[i], row]
                    if table[base + high[i], row] > room:
                        high[i] = _edge(table, base, row, room, low[i], high[i])
                        changed = True
    return True


@inner
def _edge(table: Floats, base: int, row: int, room: float, good: int, bad: int) -> int:
    """The last place, from a good one towards a bad one, where the item adds no more than there is room for."""
    while abs(bad - good) > 1:
        middle = (good + bad) // 2
        if table[base + middle, row] <= room:
            good = middle
        else:
            bad = middle
    return good


@inner
def _together(
    table: Floats,
    start: Ints,
    low: Ints,
    high: Ints,
    aboard: Marks,
    bounds: Floats,
    rules: Ints,
    pairs: Ints,
    mean: Floats,
    least_at: Ints,
) -> bool:
    """Whether the mean of each pair of opposite rules can still hold somewhere in the box."""
    for pair in range(len(pairs)):
        leg, up = rules[pairs[pair, 0], 0], rules[pairs[pair, 0], 1]
        down = rules[pairs[pair, 1], 1]
        f = mean[pair]
        g = 1 - f
        size = f * abs(bounds[leg, up]) + g * abs(bounds[leg, down])
        spare = f * bounds[leg, up] + g * bounds[leg, down] + NOISE_LB + SHARE_NOISE * size
        for i in range(len(low)):
            if aboard[leg, i]:
                at = start[i] + min(max(least_at[pair, i], low[i]), high[i])
                spare -= f * table[at, up] + g * table[at, down]
        if spare < 0:
            return False
    return True


@inner
def _holds(table: Floats, start: Ints, at: Ints, aboard: Marks, bounds: Floats, rules: Ints) -> bool:
    """Whether every rule holds with the items at these places."""
    for rule in range(len(rules)):
        leg, row = rules[rule, 0], rules[rule, 1]
        total = 0.0
        for i in range(len(at)):
            if aboard[leg, i]:
                total += table[start[i] + at[i], row]
        if total > bounds[leg, row]:
            return False
    return True


@outer
def first_lines(
    table: Floats,
    slope: Floats,
    bounds: Floats,
    row_of: Ints,
    first: Ints,
    last: Ints,
    origin: Floats,
    length: Floats,
    gap_in: float,
    choices: Ints,
    orders: Ints,
    on_neck: Ints,
    decks: Ints,
    legs: Ints,
    reach_in: Floats,
    sizes: Ints,
    items: Ints,
    pattern: Ints,
    begin: Ints,
    end: Ints,
) -> tuple[Ints, Ints, Ints]:
    """For many requests with as many items: stances taken, places, (requests, items), and the number of the order.

    Stances and places stand in line order; order -1: no legal place. A stance is an item on a deck facing one
    way: ``row_of`` its place 0, its ``first`` and ``last`` place, the ``origin`` of its deck and its ``length``,
    inches. ``choices``: (sizes asked, decks, items, facings), the stances to try, in sequence; -1: none.
    ``orders``: (orders, items), places in the load order, front to rear, the first ``on_neck`` of them on the
    second deck. ``decks``: (patterns, legs), who is aboard, a bit a place in the load order; ``legs``: how many
    of these a pattern has; leg by leg they keep to ``bounds``. ``reach_in``, ``sizes``: (patterns, items), how far
    back each item may reach, and which sizes are asked of it. Of every request: its ``items``, (requests, items),
    the ``pattern`` of its legs, ``begin`` and ``end`` of its orders.
    """
    lines, count = items.shape
    stances, places = np.zeros((lines, count), np.int64), np.zeros((lines, count), np.int64)
    taken = np.zeros(lines, np.int64) - 1
    options, ways = np.empty((count, choices.shape[3]), np.int64), np.empty(count, np.int64)
    stance, reach = np.empty(count, np.int64), np.empty(count)
    start, step = np.empty(count, np.int64), np.empty(max(count - 1, 0), np.int64)
    low, high = np.empty(count, np.int64), np.empty(count, np.int64)
    for line in range(lines):
        one = pattern[line]
        aboard = np.empty((legs[one], count), np.bool_)
        for number in range(begin[line], end[line]):
            many = 1
            for i in range(count):
                place = orders[number, i]
                size, deck, item = sizes[one, place], 1 if i < on_neck[number] else 0, items[line, place]
                reach[i] = reach_in[one, place]
                ways[i] = 0
                for which in range(choices.shape[3]):
                    if choices[size, deck, item, which] >= 0:
                        options[i, ways[i]] = choices[size, deck, item, which]
                        ways[i] += 1
                many *= ways[i]
                for leg in range(len(aboard)):
                    aboard[leg, i] = decks[one, leg] >> place & 1
            for facing in range(many):
                _take(options, ways, facing, stance)
                if not _boxed(row_of, first, last, origin, length, gap_in, stance, reach, start, step, low, high):
                    continue
                if _first_places(table, slope, start, step, low, high, aboard, bounds):
                    _copy(stance, stances[line])
                    _copy(low, places[line])
                    taken[line] = number
                    break
            if taken[line] >= 0:
                break
    return stances, places, taken


@inner
def _take(options: Ints, ways: Ints, number: int, stance: Ints) -> None:
    """The stances of this number, in the sequence of ``itertools.product``."""
    for i in range(len(ways) - 1, -1, -1):
        stance[i] = options[i, number % ways[i]]
        number //= ways[i]


@inner
def _boxed(
    row_of: Ints,
    first: Ints,
    last: Ints,
    origin: Floats,
    length: Floats,
    gap_in: float,
    stance: Ints,
    reach: Floats,
    start: Ints,
    step: Ints,
    low: Ints,
    high: Ints,
) -> bool:
    """Sets the box of all places of the stances; False: an item has none within its reach."""
    for i in range(len(stance)):
        one = stance[i]
        start[i], low[i], high[i] = row_of[one], first[one], last[one]
        if reach[i] < np.inf:
            high[i] = min(high[i], math.floor(reach[i] - origin[one] - length[one] + SLACK_IN))
        if low[i] > high[i]:
            return False
        if i > 0:
            ahead = stance[i - 1]
            step[i - 1] = math.ceil(origin[ahead] + length[ahead] + gap_in - origin[one] - SLACK_IN)
    return True
