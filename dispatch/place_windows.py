"""The places that keep a load legal: windows of each item with the others where they are, and the best place."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dispatch.axle_loads import to_coupler
from dispatch.dimensions import length_key
from dispatch.fleet import Rig
from dispatch.hand_loads import JudgedLoad, gear_ok, is_blocked, is_legal, request_of, states_of
from dispatch.legality import leg_checks, may_exceed_law, rig_length_in, stand
from dispatch.load_rules import load_rules
from dispatch.load_tables import Floats, Rows, Spot, contributions, rows_of, spot, stretch
from dispatch.placement import Load, Pin, Placer
from dispatch.plan import Leg, Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN

Bools = npt.NDArray[np.bool_]
Stretch = tuple[int, int]
"""First and last whole inch, both included."""
PLACED_CHECKS = frozenset({"Dovetail", "Overhang", "Length", "Site length"})
"""Checks besides the weight rules that depend on where an item stands."""


@dataclass(frozen=True, slots=True)
class Window:
    """Where one item keeps the load legal in every state, all others staying where they are.

    ``stretches``: front edges, whole inches of its own deck; none when no place does. ``best``: where the load's
    greatest use is smallest.
    """

    placed: Placed
    stretches: tuple[Stretch, ...]
    best_in: int | None

    @property
    def inside(self) -> bool:
        """Whether the item stands in its window."""
        return any(first <= self.placed.front_edge_in <= last for first, last in self.stretches)


def windows(judged: JudgedLoad) -> tuple[Window, ...]:
    """One window an item, in loading order."""
    placer = Placer(judged.problem)
    return tuple(_window(judged, placer, number) for number in range(len(judged.placements)))


def _window(judged: JudgedLoad, placer: Placer, number: int) -> Window:
    placed = judged.placements[number]
    shifts = legal_shifts(judged.problem, judged.rig, judged.placements, {number})
    at = placed.front_edge_in
    stretches = tuple((at + first, at + last) for first, last in shifts)
    best = None
    if stretches:
        pins = [pin_at(one, free=one is placed) for one in judged.placements]
        load = placer.best(judged.rig, request_of(judged.problem, pins))
        best = load.placements[number].front_edge_in if load else None
    return Window(placed, stretches, best)


def pin_at(placed: Placed, *, free: bool = False) -> Pin:
    """The item's deck and facing as they are, and its place unless that is free."""
    return Pin(placed.haul, placed.deck, placed.facing, None if free else placed.front_edge_in)


def best_places(judged: JudgedLoad) -> Load | None:
    """The best places of all items with decks, facings and order as they are; None when none is legal."""
    pins = [pin_at(placed, free=True) for placed in judged.placements]
    return Placer(judged.problem).best(judged.rig, request_of(judged.problem, pins))


def legal_shifts(
    day: Problem, rig: Rig, placements: Sequence[Placed], moving: Collection[int]
) -> tuple[Stretch, ...]:
    """By how many inches the named lines (numbers in loading order) can move together so that all is legal.

    Positive is rearward; exact on the one-inch grid: every whole inch within the stretches is legal in every
    state, no other is.
    """
    spots = [spot(rig, day.settings, day.hauls[p.haul].item, p.deck, p.facing) for p in placements]
    low, high = _geometric_shifts(placements, spots, moving)
    if low > high or not _settled(day, rig, placements):
        return ()
    shifts = np.arange(low, high + 1)
    legal = (
        _apart(day, rig, placements, moving, shifts)
        & _short_enough(day, rig, placements, moving, shifts)
        & _within_weights(day, rig, placements, moving, shifts)
    )
    return tuple(_confirmed(day, rig, placements, moving, low, legal))


def _geometric_shifts(
    placements: Sequence[Placed], spots: Sequence[Spot | None], moving: Collection[int]
) -> Stretch:
    """First and last shift by clearance, contact and overhang; (0, -1): none."""
    low, high = -(10**6), 10**6
    for number, (placed, place) in enumerate(zip(placements, spots, strict=True)):
        if place is None:
            return 0, -1
        if number in moving:
            low = max(low, place.first - placed.front_edge_in)
            high = min(high, place.last - placed.front_edge_in)
        elif not place.first <= placed.front_edge_in <= place.last:
            return 0, -1
    return low, high


def _settled(day: Problem, rig: Rig, placements: Sequence[Placed]) -> bool:
    """Whether everything holds that does not depend on where along the deck the items stand."""
    placed_names = PLACED_CHECKS | {rule.name for rule in load_rules(rig, day.settings, day.rules)}
    for leg in legs_of(day, placements):
        if not all(check.ok for check in leg_checks(day, rig, leg) if check.name not in placed_names):
            return False
    return gear_ok(day, rig, placements)


def legs_of(day: Problem, placements: Sequence[Placed]) -> Iterator[Leg]:
    """A leg a state, the full load's first."""
    sites = list(day.sites)
    for origin, destination, state in zip(sites, sites[1:], states_of(placements), strict=False):
        yield Leg(origin, destination, 0, 0, state)


def _apart(
    day: Problem, rig: Rig, placements: Sequence[Placed], moving: Collection[int], shifts: npt.NDArray[np.int64]
) -> Bools:
    """Shifts that keep the gap between any two bodies and block no item's way on."""
    good = np.ones(shifts.size, dtype=bool)
    edges = [
        to_coupler(rig.trailer, p.deck, p.front_edge_in) + shifts * (n in moving) for n, p in enumerate(placements)
    ]
    for late, behind in enumerate(placements):
        for early in range(late):
            ahead = placements[early]
            long_early = day.hauls[ahead.haul].item.length_in
            long_late = day.hauls[behind.haul].item.length_in
            gap = np.maximum(edges[late] - edges[early] - long_early, edges[early] - edges[late] - long_late)
            good &= gap >= day.settings.gap_in - SLACK_IN
            if _can_block(day, behind, ahead):
                good &= edges[early] <= edges[late]
    return good


def _can_block(day: Problem, late: Placed, early: Placed) -> bool:
    """Whether the later item could not come on if the earlier one stood behind it."""
    return is_blocked(day, late, Placed(early.haul, early.deck, late.front_edge_in + 1, early.facing))


def _short_enough(
    day: Problem, rig: Rig, placements: Sequence[Placed], moving: Collection[int], shifts: npt.NDArray[np.int64]
) -> Bools:
    """Shifts that keep the rig's overall length within the law's, where the rule set has one."""
    limit = day.rules.value(length_key(rig, day.rules))
    standing = stand(day, rig, placements)
    if limit is None or may_exceed_law(standing):
        return np.ones(shifts.size, dtype=bool)
    if rig_length_in(rig) > limit + SLACK_IN:
        return np.zeros(shifts.size, dtype=bool)
    ahead = rig.truck.front_overhang_in + rig.truck.coupler_in
    good = np.ones(shifts.size, dtype=bool)
    for number, one in enumerate(standing):
        good &= ahead + one.rear_in + shifts * (number in moving) <= limit + SLACK_IN
    return good


def _within_weights(
    day: Problem, rig: Rig, placements: Sequence[Placed], moving: Collection[int], shifts: npt.NDArray[np.int64]
) -> Bools:
    """Shifts that keep every weight rule in every state."""
    rows = rows_of(rig, day.settings, load_rules(rig, day.settings, day.rules))
    total = np.zeros((rows.bounds.size, shifts.size))
    good = np.ones(shifts.size, dtype=bool)
    for number, placed in enumerate(placements):
        total = total + _added(day, rig, rows, placed, shifts if number in moving else None)
        bounds = state_bounds(day, rig, rows, placements[: number + 1])
        good &= (total <= bounds[:, None]).all(axis=0)
    return good


def _added(day: Problem, rig: Rig, rows: Rows, placed: Placed, shifts: npt.NDArray[np.int64] | None) -> Floats:
    item, at = day.hauls[placed.haul].item, placed.front_edge_in
    first, last = (at, at) if shifts is None else (at + int(shifts[0]), at + int(shifts[-1]))
    return contributions(rig, rows, item, stretch(rig, item, placed.deck, placed.facing, first, last))


def state_bounds(day: Problem, rig: Rig, rows: Rows, aboard: Sequence[Placed]) -> Floats:
    """The rules' bounds in a state: law does not bind an item alone under its permit."""
    lifted = may_exceed_law(stand(day, rig, aboard))
    bounds: Floats = np.where(rows.law, math.inf, rows.bounds) if lifted else rows.bounds
    return bounds


def _confirmed(
    day: Problem, rig: Rig, placements: Sequence[Placed], moving: Collection[int], low: int, legal: Bools
) -> Iterator[Stretch]:
    """The stretches of legal shifts, their ends confirmed by the checks themselves.

    A rule that the tables do not know could cut an end: then the stretch begins, or ends, at the first place
    that the checks accept.
    """
    for first, last in runs(legal):
        start, end = low + first, low + last
        while start <= end and not is_legal(day, rig, shifted(placements, moving, start)):
            start += 1
        while start <= end and not is_legal(day, rig, shifted(placements, moving, end)):
            end -= 1
        if start <= end:
            yield start, end


def shifted(placements: Sequence[Placed], moving: Collection[int], inches: int) -> tuple[Placed, ...]:
    """The placements with the named lines moved by so many inches."""
    return tuple(
        Placed(p.haul, p.deck, p.front_edge_in + inches, p.facing) if number in moving else p
        for number, p in enumerate(placements)
    )


def runs(flags: Bools) -> Iterator[Stretch]:
    """First and last index of every stretch of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], flags.astype(np.int8), [0]))))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        yield int(start), int(end) - 1
