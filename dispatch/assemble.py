"""Puts items, rigs, sites and moves together into the day: hauls, who rides together, what follows what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from dispatch.fleet import Rig
from dispatch.items import Item, Kind, LoadsBy
from dispatch.limits import RuleSet
from dispatch.moves import Haul, Move
from dispatch.problem import Problem, frozen_sites
from dispatch.settings import Settings
from dispatch.sites import Road, Site
from dispatch.units import MIN_PER_H


def assemble(
    items: Sequence[Item],
    rigs: Sequence[Rig],
    sites: Mapping[str, Site] | Iterable[Site],
    moves: Sequence[Move],
    roads: Sequence[Road],
    settings: Settings,
    rules: RuleSet,
) -> Problem:
    """The day's problem. ``rigs`` are the available ones; contradictions are for ``cross_check`` to find.

    Raises KeyError when a move's With names an item that is not in ``items``.
    """
    named = sites if isinstance(sites, Mapping) else {site.name: site for site in sites}
    hauls = hauls_of(moves, {item.name: item for item in items}, settings)
    return Problem(
        items=tuple(items),
        rigs=tuple(_within_law(rig, rules) for rig in rigs),
        sites=frozen_sites(named),
        moves=tuple(moves),
        hauls=hauls,
        together=together(moves, hauls),
        successors=successors(hauls),
        roads=tuple(roads),
        settings=settings,
        rules=rules,
    )


def _within_law(rig: Rig, rules: RuleSet) -> Rig:
    """The rig with its driving limit no higher than the rule set's: a rig's own figure can only be stricter."""
    law_h = rules.value("driving_h")
    if law_h is None or rig.driving_limit_min is None:
        return rig
    return replace(rig, driving_limit_min=min(rig.driving_limit_min, round(law_h * MIN_PER_H)))


def hauls_of(moves: Sequence[Move], items: Mapping[str, Item], settings: Settings) -> tuple[Haul, ...]:
    """One haul a move, in the moves' order, then every companion that has no move of its own."""
    hauls = [_own_haul(index, move) for index, move in enumerate(moves)]
    moved = {move.item.name for move in moves}
    for move in moves:
        for name in dict.fromkeys(move.companions):
            if name not in moved:
                hauls.append(_companion_haul(len(hauls), move, items[name], settings))
    return tuple(hauls)


def _own_haul(index: int, move: Move) -> Haul:
    dead = not move.runs and move.item.loads_by is LoadsBy.DRIVES_ON
    return Haul(
        index=index,
        move=move.name,
        item=move.item,
        origin=move.origin,
        destination=move.destination,
        load_min=move.load_min,
        unload_min=move.unload_min,
        ready_min=move.ready_min,
        due_min=move.due_min,
        how=LoadsBy.WINCHED if dead else move.item.loads_by,
        permit=move.permit,
    )


def _companion_haul(index: int, move: Move, item: Item, settings: Settings) -> Haul:
    return Haul(
        index=index,
        move=move.name,
        item=item,
        origin=move.origin,
        destination=move.destination,
        load_min=settings.load_min,
        unload_min=settings.unload_min,
        ready_min=move.ready_min,
        due_min=move.due_min,
        how=item.loads_by,
        companion=True,
    )


def together(moves: Sequence[Move], hauls: Sequence[Haul]) -> tuple[tuple[int, ...], ...]:
    """Groups of haul indices that ride on one trip, each sorted, the groups by their first haul."""
    leader = list(range(len(hauls)))

    def find(index: int) -> int:
        while leader[index] != index:
            index = leader[index]
        return index

    for first, second in _ties(moves, hauls):
        low, high = sorted((find(first), find(second)))
        leader[high] = low
    groups: dict[int, list[int]] = {}
    for index in range(len(hauls)):
        groups.setdefault(find(index), []).append(index)
    return tuple(tuple(group) for group in groups.values())


def _ties(moves: Sequence[Move], hauls: Sequence[Haul]) -> Iterator[tuple[int, int]]:
    by_move = {move.name: index for index, move in enumerate(moves)}
    for haul in hauls[len(moves) :]:
        yield by_move[haul.move], haul.index
    for index, move in enumerate(moves):
        for name in move.companions:
            own = companion_move(moves, index, name)
            if own is not None:
                yield index, own


def companion_move(moves: Sequence[Move], index: int, companion: str) -> int | None:
    """Which of the companion's own moves rides along with move ``index``; ``None`` when it has no move.

    Of several moves the first over the same road is meant, otherwise the first.
    """
    lead = moves[index]
    own = [i for i, move in enumerate(moves) if move.item.name == companion and i != index]
    same_road = [i for i in own if (moves[i].origin, moves[i].destination) == (lead.origin, lead.destination)]
    return next(iter(same_road or own), None)


def successors(hauls: Sequence[Haul]) -> tuple[tuple[int, int], ...]:
    """Pairs (i, j) of consecutive hauls of one machine or attachment: j starts where and after i ends.

    Material may repeat without order. A machine whose places do not chain gives no pair.
    """
    pairs = []
    for same in repeats(hauls):
        order = chain(same)
        if order is not None:
            pairs += [(first.index, second.index) for first, second in pairwise(order)]
    return tuple(sorted(pairs))


def repeats(hauls: Sequence[Haul]) -> tuple[tuple[Haul, ...], ...]:
    """The hauls of each machine or attachment that is carried more than once."""
    by_item: dict[str, list[Haul]] = {}
    for haul in hauls:
        if haul.item.kind is not Kind.MATERIAL:
            by_item.setdefault(haul.item.name, []).append(haul)
    return tuple(tuple(same) for same in by_item.values() if len(same) > 1)


def chain(same: Sequence[Haul]) -> tuple[Haul, ...] | None:
    """The order in which each pickup is at the place of the drop before it; earliest windows first.

    ``None`` when there is no such order.
    """
    left = sorted(same, key=_window)
    order: list[Haul] = []
    while left:
        place = order[-1].destination if order else None
        following = next(
            (haul for haul in left if place in (None, haul.origin) and _goes_on(haul, left)),
            None,
        )
        if following is None:
            return None
        order.append(following)
        left.remove(following)
    return tuple(order)


def _goes_on(haul: Haul, left: Sequence[Haul]) -> bool:
    """Whether all the other hauls can follow: a path over every road once (Euler), from the haul's destination."""
    others = [other for other in left if other is not haul]
    balance: Counter[str] = Counter()
    for other in others:
        balance[other.origin] += 1
        balance[other.destination] -= 1
    odd = {place: out for place, out in balance.items() if out}
    if (odd and sorted(odd.values()) != [-1, 1]) or odd.get(haul.destination, 0) != (1 if odd else 0):
        return False
    return _reach_all(haul.destination, others)


def _reach_all(start: str, hauls: Sequence[Haul]) -> bool:
    reached, left = {start}, list(hauls)
    while True:
        near = [haul for haul in left if reached & {haul.origin, haul.destination}]
        if not near:
            return not left
        reached |= {place for haul in near for place in (haul.origin, haul.destination)}
        left = [haul for haul in left if haul not in near]


def _window(haul: Haul) -> tuple[int, int, int]:
    ready = 0 if haul.ready_min is None else haul.ready_min
    due = 24 * 60 if haul.due_min is None else haul.due_min
    return ready, due, haul.index
