"""The inner loops of pricing for a group of one rig, compiled: partial days in order of the time they are ready.

A partial day is dropped when even the cheapest rest of the day leaves it above the cut-off, or when one that is
ready no later, at the same place, is no worse in everything that can still matter. While pricing, a day that has
hauled fewer of the same units is no worse; while listing, only one with the same units in as many trips.
Method: label setting for the elementary shortest path with resources (Feillet, Dejax, Gendreau, Gueguen, Networks
44 (2004)), with floors under the rest of the day (Lozano, Duque, Medaglia, Transportation Science 50 (2016)).
"""

from __future__ import annotations

import numba
import numpy as np

HOME = 1
NO_LABEL = -1
EPSILON = 1e-9
LARGE = 1e18


@numba.njit(cache=True, nogil=True)
def worthwhile(ptr, last, duration, earliest, latest, price, critical):
    """(rows, their ptr): trips that no other with the same ends can stand for in the relaxation of the floors."""
    sites = len(ptr) - 1
    rows = np.empty(len(last), dtype=np.int64)
    kept_ptr = np.zeros(sites + 1, dtype=np.int64)
    count = 0
    for f in range(sites):
        begin = count
        for k in ptr[f] + np.argsort(price[ptr[f] : ptr[f + 1]], kind="mergesort"):
            needed = True
            for place in range(begin, count):
                j = rows[place]
                if (
                    last[j] == last[k]
                    and duration[j] <= duration[k]
                    and earliest[j] + duration[j] <= earliest[k] + duration[k]
                    and latest[j] >= latest[k]
                    and critical[j] & ~critical[k] == 0
                ):
                    needed = False
                    break
            if needed:
                rows[count] = k
                count += 1
        kept_ptr[f + 1] = count
    return rows[:count], kept_ptr


@numba.njit(cache=True, nogil=True)
def floors_to_go(
    ptr,
    last,
    duration,
    earliest,
    latest,
    price,
    critical,
    sets,
    empty,
    road,
    yard,
    home,
    end_by,
    minute,
    steps,
    step_min,
):
    """(from a place, from the start of a trip): least further cost at each time step; home included.

    First index: the set of critical units already hauled, which are not hauled again; any other unit may be
    hauled twice, and waiting costs nothing. A relaxation, so the figures are true floors. ``price``: each trip's
    with its hours. Method: decremental state space relaxation (Righini, Salani, Networks 51 (2008)).
    """
    sites = len(ptr) - 1
    place = np.full((sets, sites, steps), LARGE)
    begun = np.full((sets, sites, steps), LARGE)
    way = np.empty((sites, sites), dtype=np.int64)
    toll = np.empty((sites, sites))
    for s in range(sites):
        for f in range(sites):
            way[s, f] = min(empty[s, f], empty[s, yard] + empty[yard, f])
            by_yard = road[s, yard] + road[yard, f] + minute * (empty[s, yard] + empty[yard, f])
            toll[s, f] = min(by_yard, road[s, f] + minute * empty[s, f])
    ends_here = np.zeros(sites, dtype=np.bool_)
    for k in range(len(last)):
        ends_here[last[k]] = True
    ends_here[yard] = True
    for step in range(steps - 1, -1, -1):
        now = step * step_min
        for held in range(sets):
            for f in range(sites):
                best = LARGE
                for k in range(ptr[f], ptr[f + 1]):
                    if now > latest[k] or critical[k] & held:
                        continue
                    later = min((max(now, earliest[k]) + duration[k]) // step_min, steps - 1)
                    cost = place[held | critical[k], last[k], later] + price[k]
                    best = min(best, cost)
                begun[held, f, step] = best
            for s in range(sites):
                if not ends_here[s]:
                    continue
                best = LARGE
                if now + empty[s, home] <= end_by:
                    best = road[s, home] + minute * empty[s, home]
                for f in range(sites):
                    if ptr[f] < ptr[f + 1]:
                        later = min((now + way[s, f]) // step_min, steps - 1)
                        cost = toll[s, f] + begun[held, f, later]
                        best = min(best, cost)
                place[held, s, step] = best
    return place, begun


@numba.njit(cache=True, nogil=True)
def cheapest_rest(
    ptr,
    last,
    duration,
    earliest,
    latest,
    price,
    critical,
    empty,
    road,
    yard,
    start,
    minute,
    place,
    begun,
    step_min,
):
    """The trips of the cheapest day of the relaxation, first to last: rows of the arrays given."""
    sites = len(ptr) - 1
    steps = place.shape[2]
    found = np.empty(steps, dtype=np.int64)
    count = 0
    now, held, s = start, 0, yard
    while count < steps:
        best, best_f, best_time = LARGE, -1, 0
        for f in range(sites):
            if ptr[f] == ptr[f + 1]:
                continue
            by_yard = empty[s, yard] + empty[yard, f]
            cost = road[s, yard] + road[yard, f] + minute * by_yard
            time = now + min(by_yard, empty[s, f])
            cost = min(cost, road[s, f] + minute * empty[s, f])
            cost += begun[held, f, min(time // step_min, steps - 1)]
            if cost < best:
                best, best_f, best_time = cost, f, time
        if best_f < 0 or (count and best > place[held, s, min(now // step_min, steps - 1)] + EPSILON):
            break
        step = min(best_time // step_min, steps - 1)
        target = begun[held, best_f, step]
        chosen = -1
        for k in range(ptr[best_f], ptr[best_f + 1]):
            if step * step_min > latest[k] or critical[k] & held:
                continue
            end = max(step * step_min, earliest[k]) + duration[k]
            if place[held | critical[k], last[k], min(end // step_min, steps - 1)] + price[k] <= target + EPSILON:
                chosen = k
                break
        if chosen < 0:
            break
        found[count] = chosen
        count += 1
        now = max(step * step_min, earliest[chosen]) + duration[chosen]
        held |= critical[chosen]
        s = last[chosen]
    return found[:count]


@numba.njit(cache=True, nogil=True)
def _grown_ints(old, size):
    new = np.empty((size, old.shape[1]), dtype=old.dtype)
    new[: len(old)] = old
    return new


@numba.njit(cache=True, nogil=True)
def _hours(money_minute, money_over, over_after, paid):
    return money_minute * paid + money_over * max(0, paid - over_after)


@numba.njit(cache=True, nogil=True)
def _hash(site, depth, words):
    value = np.uint64(site * 1000003 + depth)
    for word in words:
        value = (value ^ word) * np.uint64(0x9E3779B97F4A7C15)
        value ^= value >> np.uint64(29)
    return value


# Columns of the label table.
PARENT, TRIP, KIND, SITE, READY, DURATION, LATEST, CLOSED, DRIVE, DEPTH, NEXT_AT, NEXT_IN = range(12)


@numba.njit(cache=True, nogil=True)
def grow(
    ptr,
    last,
    duration,
    earliest,
    latest,
    drive,
    lin,
    mask,
    blocked,
    cut_toggle,
    cut_pays,
    cut_price,
    empty,
    road,
    yard,
    home,
    start,
    end_by,
    minute,
    over,
    over_after,
    driving,
    critical,
    place_floor,
    begun_floor,
    step_min,
    cutoff,
    listing,
    keep_all,
    may_go_home,
    costs,
    crowd,
    most,
    most_work,
):
    """(labels, masks, costs, closed costs, whole): every partial day not dropped, and what it costs to end there.

    ``cutoff`` without the group's price; ``listing``: only equal sets of units stand for each other; ``crowd``:
    0, or a partial day is dropped once so many others are no worse whatever they hauled (no longer exact).
    ``whole`` is false when ``most`` labels were not enough.
    """
    sites = len(ptr) - 1
    words = mask.shape[1]
    steps = place_floor.shape[2]
    size = 4096
    table = np.empty((size, 12), dtype=np.int64)
    masks = np.empty((size, words), dtype=np.uint64)
    cost = np.empty(size, dtype=np.float64)
    flat = np.empty(size, dtype=np.float64)
    bits = np.empty(size, dtype=np.uint64)
    held = np.zeros(size, dtype=np.int64)
    closed_cost = np.full(size, LARGE)
    buckets = np.full(end_by + 2, NO_LABEL, dtype=np.int64)
    table_bits = 18
    heads = np.full(1 << table_bits if listing else sites + 1, NO_LABEL, dtype=np.int64)
    cuts = len(cut_price)
    # The idle rig at its yard.
    table[0] = np.array([NO_LABEL, NO_LABEL, HOME, yard, start, 0, end_by, 0, 0, 0, NO_LABEL, NO_LABEL])
    masks[0] = np.uint64(0)
    cost[0] = 0.0
    flat[0] = 0.0
    bits[0] = np.uint64(0)
    count = 1
    work = 0
    if start > end_by:
        return table[:0], masks[:0], cost[:0], closed_cost[:0], True
    buckets[start] = 0
    for now in range(start, end_by + 1):
        label = buckets[now]
        # New labels of the same minute can appear only at the yard, with no road to it; they join this list.
        while label != NO_LABEL:
            following = table[label, NEXT_IN]
            site = table[label, SITE]
            at_yard = table[label, KIND] == HOME
            own = cost[label]
            own_flat = flat[label]
            own_bits = bits[label]
            dropped = False
            # -- dominance
            if not keep_all:
                if listing:
                    key = _hash(site + (sites if at_yard else 0), table[label, DEPTH], masks[label])
                    node = np.int64(key & np.uint64((1 << table_bits) - 1))
                else:
                    node = sites if at_yard else site
                crowded = 0
                before = NO_LABEL
                other = heads[node]
                while other != NO_LABEL:
                    work += 1
                    if flat[other] > own_flat + EPSILON:
                        if not listing:
                            break
                        other = table[other, NEXT_AT]
                        continue
                    worse = table[other, DRIVE] > table[label, DRIVE] and driving < 100000
                    spare = own_flat - flat[other]
                    if costs and crowd == 0 and not worse:
                        # What the one pays more when it waits as long as the other, and what overtime may add.
                        waited = table[label, CLOSED] - table[label, LATEST]
                        waited -= table[other, CLOSED] - table[other, LATEST]
                        paid = table[label, CLOSED] + table[label, DURATION]
                        paid -= table[other, CLOSED] + table[other, DURATION]
                        spare = min(spare, own - cost[other] + minute * waited)
                        spare -= over * max(0, -waited, -paid)
                        worse = spare < -EPSILON
                    if listing and not worse:
                        worse = (
                            table[other, SITE] != site
                            or table[other, KIND] != table[label, KIND]
                            or table[other, DEPTH] != table[label, DEPTH]
                        )
                    if not worse:
                        crowded += 1
                        if crowd > 0 and crowded >= crowd:
                            dropped = True
                            break
                        within = True
                        for w in range(words):
                            if listing:
                                if masks[other, w] != masks[label, w]:
                                    within = False
                                    break
                            elif masks[other, w] & ~masks[label, w]:
                                within = False
                                break
                        if within and cuts:
                            ahead = bits[other] & ~own_bits
                            if listing:
                                ahead = bits[other] ^ own_bits
                            for c in range(cuts):
                                if (ahead >> np.uint64(c)) & np.uint64(1):
                                    spare -= cut_price[c]
                            within = spare >= -EPSILON
                        if within:
                            dropped = True
                            break
                    before = other
                    other = table[other, NEXT_AT]
                if not dropped:
                    if listing:
                        table[label, NEXT_AT] = heads[node]
                        heads[node] = label
                    else:
                        table[label, NEXT_AT] = other
                        if before == NO_LABEL:
                            heads[node] = label
                        else:
                            table[before, NEXT_AT] = label
            if dropped:
                table[label, KIND] = -1
                label = following
                continue
            if work > most_work:
                return table[:count], masks[:count], cost[:count], closed_cost[:count], False
            # -- going home for good
            if table[label, DEPTH] > 0 and not at_yard:
                way = empty[site, home]
                if now + way <= end_by and table[label, DRIVE] + way <= driving:
                    paid = table[label, CLOSED] + table[label, DURATION] + way
                    closed_cost[label] = own + road[site, home] + _hours(minute, over, over_after, paid)
            # -- going home to begin anew
            if may_go_home and not at_yard:
                way = empty[site, yard]
                ready = now + way
                if ready <= end_by and table[label, DRIVE] + way <= driving:
                    paid = table[label, CLOSED] + table[label, DURATION] + way
                    new_cost = own + road[site, yard]
                    floor = LARGE
                    for f in range(sites):
                        if ptr[f] < ptr[f + 1]:
                            step = min((ready + empty[yard, f]) // step_min, steps - 1)
                            further = begun_floor[held[label], f, step] + road[yard, f] + minute * empty[yard, f]
                            floor = min(floor, further)
                    if new_cost + _hours(minute, over, over_after, paid) + floor < cutoff:
                        if count == size:
                            size *= 2
                            table = _grown_ints(table, size)
                            masks = _grown_ints(masks, size)
                            cost = np.concatenate((cost, np.empty(size - count)))
                            flat = np.concatenate((flat, np.empty(size - count)))
                            bits = np.concatenate((bits, np.empty(size - count, dtype=np.uint64)))
                            held = np.concatenate((held, np.zeros(size - count, dtype=np.int64)))
                            closed_cost = np.concatenate((closed_cost, np.full(size - count, LARGE)))
                        table[count, PARENT] = label
                        table[count, TRIP] = NO_LABEL
                        table[count, KIND] = HOME
                        table[count, SITE] = yard
                        table[count, READY] = ready
                        table[count, DURATION] = 0
                        table[count, LATEST] = end_by
                        table[count, CLOSED] = paid
                        table[count, DRIVE] = table[label, DRIVE] + way
                        table[count, DEPTH] = table[label, DEPTH]
                        masks[count] = masks[label]
                        cost[count] = new_cost
                        flat[count] = new_cost + minute * paid
                        bits[count] = own_bits
                        held[count] = held[label]
                        if ready == now:
                            table[count, NEXT_IN] = following
                            following = count
                        else:
                            table[count, NEXT_IN] = buckets[ready]
                            buckets[ready] = count
                        count += 1
            # -- one more trip
            closed = table[label, CLOSED]
            before_duration = table[label, DURATION]
            base_latest = table[label, LATEST]
            for f in range(sites):
                if ptr[f] == ptr[f + 1]:
                    continue
                way = empty[site, f]
                begin = now + way
                if begin > end_by:
                    continue
                base = own + road[site, f]
                spent = _hours(minute, over, over_after, closed + before_duration + way)
                if base + spent + begun_floor[held[label], f, min(begin // step_min, steps - 1)] >= cutoff:
                    continue
                ahead = before_duration + way
                driven = table[label, DRIVE] + way
                work += ptr[f + 1] - ptr[f]
                for k in range(ptr[f], ptr[f + 1]):
                    if begin > latest[k] or driven + drive[k] > driving:
                        continue
                    end = max(begin, earliest[k]) + duration[k]
                    if end > end_by:
                        continue
                    new_cost = base + lin[k]
                    rest = place_floor[held[label] | critical[k], last[k], min(end // step_min, steps - 1)]
                    if new_cost + spent + minute * duration[k] + rest >= cutoff:
                        continue
                    free = True
                    for w in range(words):
                        if masks[label, w] & blocked[k, w]:
                            free = False
                            break
                    if not free:
                        continue
                    wait = max(0, earliest[k] - ahead - base_latest)
                    new_duration = ahead + wait + duration[k]
                    for c in range(cuts):
                        one = np.uint64(1) << np.uint64(c)
                        toggles = (cut_toggle[k] & one) != 0
                        if (cut_pays[k] & one) or (toggles and (own_bits & one)):
                            new_cost += cut_price[c]
                    paid = closed + new_duration
                    if new_cost + _hours(minute, over, over_after, paid) + rest >= cutoff:
                        continue
                    if count == size:
                        if count >= most:
                            return table[:count], masks[:count], cost[:count], closed_cost[:count], False
                        size *= 2
                        table = _grown_ints(table, size)
                        masks = _grown_ints(masks, size)
                        cost = np.concatenate((cost, np.empty(size - count)))
                        flat = np.concatenate((flat, np.empty(size - count)))
                        bits = np.concatenate((bits, np.empty(size - count, dtype=np.uint64)))
                        held = np.concatenate((held, np.zeros(size - count, dtype=np.int64)))
                        closed_cost = np.concatenate((closed_cost, np.full(size - count, LARGE)))
                    table[count, PARENT] = label
                    table[count, TRIP] = k
                    table[count, KIND] = 0
                    table[count, SITE] = last[k]
                    table[count, READY] = end
                    table[count, DURATION] = new_duration
                    table[count, LATEST] = min(latest[k] - ahead, base_latest)
                    table[count, CLOSED] = closed
                    table[count, DRIVE] = driven + drive[k]
                    table[count, DEPTH] = table[label, DEPTH] + 1
                    for w in range(words):
                        masks[count, w] = masks[label, w] | mask[k, w]
                    cost[count] = new_cost
                    flat[count] = new_cost + minute * paid
                    bits[count] = own_bits ^ cut_toggle[k]
                    held[count] = held[label] | critical[k]
                    table[count, NEXT_IN] = buckets[end]
                    buckets[end] = count
                    count += 1
            label = following
    return table[:count], masks[:count], cost[:count], closed_cost[:count], True
