"""How far a price may lie from the stated one: low, likely, high, from a seeded simulation. Cents.

The chance is drawn in millionths as whole numbers, and money stays in whole cents throughout.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

MILLION = 1_000_000
Whole = NDArray[np.int64]
_GREATEST = 2**62
"""Cents x millionths must stay within 64 bits."""


@dataclass(frozen=True, slots=True)
class Spread:
    """What is not known exactly: a time, a distance, a weight. It lies between stated - under and stated + over.

    Parts with the same spread move together; spreads of different names move apart. The chance rises evenly from
    either end to the stated figure (a triangle). Per cent of the stated figure.
    """

    name: str
    under_pct: Decimal
    over_pct: Decimal


@dataclass(frozen=True, slots=True)
class PricePart:
    """A part of the direct cost, whole cents as stated, and what it goes with; ``None``: it is certain.

    ``steps``: a part that jumps (a weight band of a permit): pairs of a factor of the stated figure and the cents
    from there on, ascending; the first is 0. Empty: the part is in proportion.
    """

    name: str
    cents: int
    spread: Spread | None = None
    steps: tuple[tuple[Decimal, int], ...] = ()


@dataclass(frozen=True, slots=True)
class PriceRange:
    """The 10th, 50th and 90th of a hundred prices in order, whole cents, and the price as stated.

    A tolerance on one side only can put the stated price itself outside low and high.
    """

    stated_cents: int
    low_cents: int
    likely_cents: int
    high_cents: int
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class Swing:
    """The price with one spread at its either end and all else as stated, whole cents."""

    name: str
    least_cents: int
    most_cents: int


LOW, LIKELY, HIGH = 10, 50, 90
"""Percentiles; the price at rank ceil(p n / 100) of n in ascending order."""


def price_range(
    parts: Sequence[PricePart], price_of: Callable[[int], int], seed: int = 0, draws: int = 10_000
) -> PriceRange:
    """Low, likely and high price; ``price_of`` turns a direct cost into a price and never falls as the cost rises.

    The same parts and seed give the same range. Each spread has a stream of its own by its name, so that another
    part leaves the others' draws alone. Raises ValueError where spreads of one name differ, a tolerance is
    negative or over 100 % downwards, or steps do not give the stated cents at the stated figure.
    """
    spreads = _spreads(parts)
    factors = {name: _draw(spread, seed, draws) for name, spread in spreads.items()}
    total = np.zeros(draws, dtype=np.int64)
    for part in parts:
        total += _cents(part, _ones(draws) if part.spread is None else factors[part.spread.name])
    total.sort()
    low, likely, high = (price_of(int(total[-(-rank * draws // 100) - 1])) for rank in (LOW, LIKELY, HIGH))
    return PriceRange(price_of(sum(part.cents for part in parts)), low, likely, high, draws, seed)


def swings(parts: Sequence[PricePart], price_of: Callable[[int], int]) -> tuple[Swing, ...]:
    """What each spread does alone, the widest first; of equal ones the earlier."""
    found = []
    for name, spread in _spreads(parts).items():
        prices = [price_of(_at(parts, name, factor)) for factor in (_least(spread), MILLION, _most(spread))]
        found.append(Swing(name, min(prices), max(prices)))
    return tuple(sorted(found, key=lambda swing: swing.least_cents - swing.most_cents))


def _at(parts: Sequence[PricePart], name: str, millionths: int) -> int:
    one = np.array([millionths], dtype=np.int64)
    return sum(
        int(_cents(part, one)[0]) if part.spread is not None and part.spread.name == name else part.cents
        for part in parts
    )


def _spreads(parts: Sequence[PricePart]) -> dict[str, Spread]:
    found: dict[str, Spread] = {}
    for part in parts:
        _check_steps(part)
        if part.spread is None:
            continue
        if found.setdefault(part.spread.name, part.spread) != part.spread:
            raise ValueError(f"two tolerances for {part.spread.name}")
        if not (0 <= part.spread.under_pct <= 100 and part.spread.over_pct >= 0):
            raise ValueError(f"a tolerance of {part.spread.name} is negative or more than everything")
        if part.cents * _most(part.spread) > _GREATEST:
            raise ValueError(f"{part.name} is too much money to simulate: {part.cents} cents")
    return found


def _check_steps(part: PricePart) -> None:
    if part.steps and (part.steps[0][0] != 0 or int(_cents(part, _ones(1))[0]) != part.cents):
        raise ValueError(f"the steps of {part.name} do not start at 0 or do not give its stated price")


def _draw(spread: Spread, seed: int, draws: int) -> Whole:
    """Factors of the stated figure, in millionths."""
    least, most = _least(spread), _most(spread)
    if least == most:
        return _ones(draws)
    stream = np.random.default_rng([seed, zlib.crc32(spread.name.encode())])
    return np.rint(stream.triangular(least, MILLION, most, draws)).astype(np.int64)


def _cents(part: PricePart, millionths: Whole) -> Whole:
    """Whole cents of a part at each factor, halves up."""
    if part.steps:
        froms = np.array([int(factor * MILLION) for factor, _ in part.steps], dtype=np.int64)
        cents = np.array([amount for _, amount in part.steps], dtype=np.int64)
        return cents[np.searchsorted(froms, millionths, side="right") - 1]
    return (part.cents * millionths + MILLION // 2) // MILLION


def _least(spread: Spread) -> int:
    return MILLION - int(spread.under_pct * MILLION / 100)


def _most(spread: Spread) -> int:
    return MILLION + int(spread.over_pct * MILLION / 100)


def _ones(draws: int) -> Whole:
    return np.full(draws, MILLION, dtype=np.int64)
