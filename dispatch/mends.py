"""The smallest changes that would make an illegal load legal, each verified by the checks before it is offered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from itertools import combinations, permutations

from dispatch.arrangements import is_alike_both_ways
from dispatch.checks import Check, tightest
from dispatch.fleet import Deck
from dispatch.hand_loads import HandLoad, JudgedLoad, LoadLine, judge_best, judged_at, request_of
from dispatch.items import Facing, Kind, LoadsBy
from dispatch.place_windows import Stretch, best_places, legal_shifts, pin_at, shifted
from dispatch.placement import Pin, Placer
from dispatch.plan import Placed
from dispatch.problem import Problem
from dispatch.units import feet_inches


class Change(IntEnum):
    """What a mend changes, the least first."""

    ONE_STOP = 0
    MOVE_ONE = 1
    MOVE_SEVERAL = 2
    PLACE_ANEW = 3
    OTHER_DECK = 4
    OTHER_FACING = 5
    OTHER_ORDER = 6
    LEAVE_OFF = 7
    OTHER_RIG = 8


@dataclass(frozen=True, slots=True)
class Mend:
    """One change: in words, by how many inches items move in all, and the legal load that it gives."""

    change: Change
    words: str
    inches: int
    after: JudgedLoad
    last_resort: bool = False

    @property
    def tightest(self) -> Check:
        """The tightest check afterwards: of the full load only, when all comes off at one stop."""
        if self.change is Change.ONE_STOP:
            return tightest(self.after.trip.legs[0].checks)
        return self.after.tightest

    @property
    def size(self) -> tuple[Change, bool, int, str]:
        """Mends with a smaller size change less: kind first, then an attachment before a machine, then inches."""
        return self.change, self.last_resort, self.inches, self.words


def mends(problem: Problem, judged: JudgedLoad) -> tuple[Mend, ...]:
    """What would mend the load, smallest change first; nothing for a legal load.

    A move is the shortest of its kind: one item, several together by the same way, with all others where they
    are. Orders are tried with decks and facings as they are; the order offered swaps fewest pairs.
    """
    if judged.legal:
        return ()
    found = [*_one_stop(judged), *_moves(judged)]
    if not any(mend.change in (Change.MOVE_ONE, Change.MOVE_SEVERAL) for mend in found):
        found += _anew(judged)
    found += [*_decks(judged), *_facings(judged), *_orders(problem, judged)]
    found += [*_left_off(problem, judged), *_rigs(problem, judged)]
    return tuple(sorted(found, key=lambda mend: mend.size))


def _one_stop(judged: JudgedLoad) -> Iterator[Mend]:
    """A load that is legal with everything aboard: nothing moves when all comes off at one stop."""
    if judged.legal_full:
        yield Mend(Change.ONE_STOP, "take everything off at one stop: the full load is legal", 0, judged)


# -- moves -------------------------------------------------------------------------------------------------------


def nearest(stretches: Iterable[Stretch]) -> int | None:
    """The shortest of the shifts, forward where two are equal; None when there is none."""
    ends = [min(max(0, first), last) for first, last in stretches]
    return min(ends, key=lambda shift: (abs(shift), shift), default=None)


def _moves(judged: JudgedLoad) -> Iterator[Mend]:
    """The shortest way of each item, and the best one of several together.

    Several are only worth telling where none of them alone mends the load by as short a way.
    """
    lines = range(len(judged.placements))
    ways = {(number,): _way(judged, (number,)) for number in lines}
    for alone, shift in ways.items():
        yield from _move(judged, Change.MOVE_ONE, alone, shift)
    together: list[Mend] = []
    for group in (group for size in lines[1:] for group in combinations(lines, size + 1)):
        shift = _way(judged, group)
        singles = [abs(way) for number in group if (way := ways[(number,)]) is not None]
        if shift is not None and all(abs(shift) < single for single in singles):
            together += _move(judged, Change.MOVE_SEVERAL, group, shift)
    if together:
        yield min(together, key=lambda mend: mend.size)


def _way(judged: JudgedLoad, group: tuple[int, ...]) -> int | None:
    return nearest(legal_shifts(judged.problem, judged.rig, judged.placements, group))


def _move(judged: JudgedLoad, change: Change, group: tuple[int, ...], shift: int | None) -> Iterator[Mend]:
    if shift is None:
        return
    names = [judged.load.lines[number].item.name for number in group]
    whole = len(group) > 1 and len(group) == len(judged.placements)
    what = "the whole load" if whole else " and ".join(names)
    way = "forward" if shift < 0 else "rearward"
    after = _after(judged, shifted(judged.placements, group, shift))
    if after.legal:
        yield Mend(change, f"move {what} {feet_inches(abs(shift))} {way}", abs(shift) * len(group), after)


def _after(judged: JudgedLoad, placements: tuple[Placed, ...]) -> JudgedLoad:
    return judged_at(judged.problem, judged.load, judged.rig, placements)


def _moved_in(before: Sequence[Placed], after: Sequence[Placed]) -> int:
    """By how many inches items move in all; an item that changes decks counts with its new place."""
    return sum(
        abs(new.front_edge_in - old.front_edge_in) if new.deck is old.deck else new.front_edge_in
        for old, new in zip(before, after, strict=True)
    )


def _places(after: JudgedLoad) -> str:
    """Where every item then stands."""
    return ", ".join(
        f"{line.item.name} at {feet_inches(placed.front_edge_in)}"
        + (" on the neck deck" if placed.deck is Deck.NECK else "")
        + (" facing rearward" if placed.facing is Facing.REARWARD else "")
        for line, placed in zip(after.load.lines, after.placements, strict=True)
    )


def _anew(judged: JudgedLoad) -> Iterator[Mend]:
    """Every item at its best place, decks, facings and order as they are."""
    load = best_places(judged)
    if load is not None:
        after = _after(judged, load.placements)
        inches = _moved_in(judged.placements, after.placements)
        yield from _verified(Mend(Change.PLACE_ANEW, f"place anew: {_places(after)}", inches, after))


def _verified(mend: Mend) -> Iterator[Mend]:
    if mend.after.legal:
        yield mend


# -- another deck, facing, order ---------------------------------------------------------------------------------


def _decks(judged: JudgedLoad) -> Iterator[Mend]:
    """A lifted item on the other deck, at its best place there, the others where they are or placed anew."""
    if judged.rig.trailer.neck is None:
        return
    for number, (line, placed) in enumerate(zip(judged.load.lines, judged.placements, strict=True)):
        if line.how is LoadsBy.LIFTED:
            other = Deck.MAIN if placed.deck is Deck.NECK else Deck.NECK
            words = f"{line.item.name} onto the {other.value} deck"
            yield from _repinned(judged, number, Pin(placed.haul, other), Change.OTHER_DECK, words)


def _facings(judged: JudgedLoad) -> Iterator[Mend]:
    """One item the other way round: moved as little as possible, or everything placed anew."""
    for number, (line, placed) in enumerate(zip(judged.load.lines, judged.placements, strict=True)):
        for facing in line.item.facings:
            if facing is placed.facing or is_alike_both_ways(line.item):
                continue
            turned = tuple(replace(p, facing=facing) if p is placed else p for p in judged.placements)
            shift = nearest(legal_shifts(judged.problem, judged.rig, turned, {number}))
            words = f"{line.item.name} facing {facing.value}"
            if shift is None:
                pin = Pin(placed.haul, placed.deck, facing)
                yield from _repinned(judged, number, pin, Change.OTHER_FACING, words)
                continue
            after = _after(judged, shifted(turned, {number}, shift))
            at = feet_inches(after.placements[number].front_edge_in)
            yield from _verified(Mend(Change.OTHER_FACING, f"{words}, front edge at {at}", abs(shift), after))


def _repinned(judged: JudgedLoad, number: int, pin: Pin, change: Change, words: str) -> Iterator[Mend]:
    """One item under another pin: with the others where they are, else with the others placed anew."""
    placer = Placer(judged.problem)
    for free in (False, True):
        pins = [pin if n == number else pin_at(p, free=free) for n, p in enumerate(judged.placements)]
        load = placer.best(judged.rig, request_of(judged.problem, pins))
        if load is not None:
            after = _after(judged, load.placements)
            inches = _moved_in(judged.placements, after.placements)
            yield from _verified(Mend(change, f"{words}: {_places(after)}", inches, after))
            return


def _orders(problem: Problem, judged: JudgedLoad) -> Iterator[Mend]:
    """The nearest other loading order with a legal place for everything."""
    lines = _kept(judged, places=False)
    orders = sorted(permutations(range(len(lines))), key=lambda order: (_swaps(order), order))
    for order in orders[1:]:
        load = replace(judged.load, lines=tuple(lines[number] for number in order))
        after = judge_best(problem, load)
        if after is not None and after.legal:
            inches = _moved_in([judged.placements[n] for n in order], after.placements)
            yield Mend(Change.OTHER_ORDER, f"load {load.items} in this order: {_places(after)}", inches, after)
            return


def _swaps(order: Sequence[int]) -> int:
    """Pairs that stand the other way round."""
    return sum(first > second for first, second in combinations(order, 2))


def _kept(judged: JudgedLoad, *, places: bool) -> tuple[LoadLine, ...]:
    """The lines with deck and facing as they stand, and with their places or without."""
    return tuple(
        replace(
            line,
            deck=placed.deck,
            facing=placed.facing,
            front_edge_in=placed.front_edge_in if places else None,
        )
        for line, placed in zip(judged.load.lines, judged.placements, strict=True)
    )


# -- without an item, on another rig -----------------------------------------------------------------------------


def _left_off(problem: Problem, judged: JudgedLoad) -> Iterator[Mend]:
    """The load without one of its items: the others where they are, else placed anew."""
    if len(judged.load.lines) < 2:
        return
    for number, line in enumerate(judged.load.lines):
        for places in (True, False):
            kept = _kept(judged, places=places)
            load = replace(judged.load, lines=(*kept[:number], *kept[number + 1 :]))
            after = judge_best(problem, load)
            if after is not None and after.legal:
                others = [placed for n, placed in enumerate(judged.placements) if n != number]
                inches = _moved_in(others, after.placements)
                words = f"leave off {line.item.name} ({line.item.weight.nominal_lb:,.0f} lb)"
                words += "" if places else f": {_places(after)}"
                last = line.item.kind is not Kind.ATTACHMENT
                yield Mend(Change.LEAVE_OFF, words, inches, after, last)
                break


def _rigs(problem: Problem, judged: JudgedLoad) -> Iterator[Mend]:
    """The same items in the same order on another rig, each at its best place."""
    lines = tuple(replace(line, front_edge_in=None, facing=None, deck=None) for line in judged.load.lines)
    for rig in problem.rigs:
        if rig.name == judged.rig.name:
            continue
        after = judge_best(problem, HandLoad(judged.load.name, rig.name, lines))
        if after is not None and after.legal:
            inches = sum(placed.front_edge_in for placed in after.placements)
            yield Mend(Change.OTHER_RIG, f"on {rig.name}: {_places(after)}", inches, after)
