"""Sharing what a trip costs among the items that ride on it, by a stated rule, to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from dispatch.money.amounts import exact, split


class ShareRule(StrEnum):
    """By what the items of a trip share its cost."""

    WEIGHT_MILES = "weight-miles"
    DECK_LENGTH = "deck length"


@dataclass(frozen=True, slots=True)
class Rider:
    """An item on a trip: weight, pounds; how far it rides, tenths of a mile; deck that it takes, inches."""

    item: str
    weight_lb: float
    tenths: int
    deck_in: float


def share_cost(cents: int, riders: Sequence[Rider], rule: ShareRule) -> tuple[int, ...]:
    """Whole cents for each rider, adding up to ``cents``.

    Weight-miles: by weight x miles ridden. Deck length: by the length of deck that each takes, however far. The
    cents left by rounding go by largest remainder, of equal ones to the earlier rider. Riders that all measure
    nought share evenly. Raises ValueError for no riders.

    Sharing moves cost between items and never changes the trip's: with another machine on board an item's own
    share falls, and the trip's price does not.
    """
    return split(cents, [_measure(rider, rule) for rider in riders])


def _measure(rider: Rider, rule: ShareRule) -> Fraction:
    if rule is ShareRule.DECK_LENGTH:
        return exact(rider.deck_in)
    return exact(rider.weight_lb) * rider.tenths
