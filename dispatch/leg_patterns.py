"""What the legs of a trip ask of a rig, worked out once for all trips whose legs ask the same.

A pattern speaks of places in the load order, not of items, so trips with other items share it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from dispatch.fleet import Rig
from dispatch.legality import rig_length_in
from dispatch.load_judge import LegTerms, LoadJudge, over
from dispatch.load_tables import Floats, Ints, Marks
from dispatch.units import SLACK_LB

Aboard = tuple[int, ...]
"""The items of a leg, as places in the load order."""


@dataclass(frozen=True, slots=True)
class LegAsked:
    """What one leg asks: ``bits``, who is aboard, a bit a place; ``fits``: whether the rig by itself may go there.

    ``reach_in``: how far behind the coupler the items may reach, inches; infinite: no limit.
    """

    aboard: Aboard
    bits: int
    fits: bool
    reach_in: float
    highest_in: float | None
    heaviest_lb: float


@dataclass(frozen=True, slots=True)
class LegPattern:
    """The legs together, each question once; lists are by place in the load order.

    ``fits``: whether the rig by itself keeps to the lengths and heights. ``decks``: who is aboard, a bit a place.
    ``weighed``: items that share a leg, with the heaviest gross of its sites, pounds, infinite: no limit.
    ``held``: the decks of items that lie within no other. ``reach_in``: how far behind the coupler the item may
    reach, inches. ``sizes``: whether it is aboard on any leg, and the highest load of its sites, None: no limit.
    """

    fits: bool
    decks: tuple[int, ...]
    weighed: tuple[tuple[Aboard, float], ...]
    held: tuple[Aboard, ...]
    reach_in: tuple[float, ...]
    sizes: tuple[tuple[bool, float | None], ...]


def leg_asked(judge: LoadJudge, rig: Rig, terms: LegTerms) -> LegAsked:
    """What a leg without a permit asks of the rig."""
    aboard, (longest_in, highest_in, heaviest_lb) = terms
    most_in = judge.longest_in(rig, longest_in, False)
    ahead_in = rig.truck.front_overhang_in + rig.truck.coupler_in
    fits = not over(rig_length_in(rig), most_in) and (aboard or judge.sizes_ok(rig, (), (), highest_in, False))
    return LegAsked(
        aboard,
        sum(1 << place for place in aboard),
        bool(fits),
        math.inf if most_in is None else most_in - ahead_in,
        highest_in,
        math.inf if heaviest_lb is None else heaviest_lb,
    )


def leg_pattern(count: int, legs: Sequence[LegAsked]) -> LegPattern:
    """The pattern of these legs for so many items."""
    decks = {leg.bits: leg.aboard for leg in legs}
    largest = [deck for bits, deck in decks.items() if not _within(bits, decks)]
    reach_in = [math.inf] * count
    sizes: list[tuple[bool, float | None]] = [(False, None)] * count
    for leg in legs:
        for place in leg.aboard:
            reach_in[place] = min(reach_in[place], leg.reach_in)
            sizes[place] = (True, _lower(sizes[place][1], leg.highest_in))
    return LegPattern(
        fits=all(leg.fits for leg in legs),
        decks=tuple(decks),
        weighed=tuple(dict.fromkeys([(leg.aboard, leg.heaviest_lb) for leg in legs])),
        held=tuple(largest),
        reach_in=tuple(reach_in),
        sizes=tuple(sizes),
    )


def _within(bits: int, others: Iterable[int]) -> bool:
    """Whether a deck of items lies within a larger one."""
    return any(bits != other and bits & other == bits for other in others)


def _lower(one: float | None, other: float | None) -> float | None:
    return other if one is None or (other is not None and other < one) else one


def decks_aboard(patterns: Sequence[LegPattern]) -> tuple[Ints, Ints]:
    """Who is aboard on the legs of each pattern, (patterns, legs), a bit a place; and how many legs each has."""
    legs = np.array([len(pattern.decks) for pattern in patterns], np.int64)
    most = int(legs.max(initial=0))
    padded = [(*pattern.decks, *(0,) * (most - len(pattern.decks))) for pattern in patterns]
    return np.array(padded, np.int64).reshape(len(patterns), most), legs


def weights_ok(
    judge: LoadJudge, rig: Rig, weights: Floats, patterns: Sequence[LegPattern], pattern: Ints
) -> Marks:
    """Which requests keep to weight alone and to the licence on every leg.

    ``weights``: (requests, items in load order), pounds; ``pattern``: the number of the pattern of each request.
    """
    legs = [leg for one in patterns for leg in one.weighed]
    count = weights.shape[1]
    padded = [[*aboard, *(count,) * (count - len(aboard))] for aboard, _ in legs]
    aboard = np.array(padded, np.int64).reshape(len(legs), count)
    many = np.array([len(one.weighed) for one in patterns], np.int64)
    request, leg = _legs_of(many, pattern)
    weights = np.concatenate([weights, np.zeros((len(weights), 1))], axis=1)
    total = np.zeros(len(leg))
    for turn in range(count):  # one after the other, as they are added up one by one
        total += weights[request, aboard[leg, turn]]
    heaviest = np.array([heaviest for _, heaviest in legs])[leg]
    ok = (total <= judge.limits(rig, None).heaviest_lb) & (judge.empty_lb(rig) + total <= heaviest + SLACK_LB)
    different, which = np.unique(total, return_inverse=True)
    ok &= np.array([judge.licensed(rig, weight) for weight in different.tolist()], np.bool_)[which]
    fine = np.ones(len(weights), np.bool_)
    fine[request[~ok]] = False
    return fine


def _legs_of(many: Ints, pattern: Ints) -> tuple[Ints, Ints]:
    """Every leg of every request, as the request's number and the leg's; ``many``: the legs of each pattern."""
    request = np.repeat(np.arange(len(pattern)), many[pattern])
    first = (np.cumsum(many) - many)[pattern]
    before = np.cumsum(many[pattern]) - many[pattern]
    return request, np.arange(len(request)) + (first - before)[request]
