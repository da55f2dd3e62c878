"""Sums of money: typed as decimal dollars, added as exact fractions, kept as whole cents, split without loss.

A rate is a ``Decimal`` as it was typed. What it gives for so many minutes or miles is an exact ``Fraction`` of
cents, and is rounded once, half up, to whole cents (``int``). No binary fraction takes part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

CENTS_PER_USD = 100
_FRACTION_PLACES = 10_000


def exact(figure: float | Decimal) -> Fraction:
    """A figure as it was typed: 0.1 is a tenth, not the nearest binary number. For weights and lengths too."""
    return Fraction(figure) if isinstance(figure, Decimal | int) else Fraction(str(figure))


def exact_cents(usd: Decimal) -> Fraction:
    """An amount or rate in dollars as cents, unrounded: 89.06 -> 8,906; 0.125 -> 12.5."""
    return Fraction(usd) * CENTS_PER_USD


def round_cents(cents: Fraction) -> int:
    """Whole cents, exact halves up (towards plus infinity): 12.5 -> 13."""
    return round_to_step(cents, 1)


def whole_cents(usd: Decimal) -> int:
    """An amount in dollars as whole cents, halves up."""
    return round_cents(exact_cents(usd))


def usd(cents: int) -> Decimal:
    """Whole cents as dollars with two places, exactly: 44,530 -> 445.30."""
    return Decimal(cents).scaleb(-2)


def usd_text(cents: int) -> str:
    """Dollars for people: 2,506,600 -> ``25,066.00``."""
    return f"{usd(cents):,.2f}"


def rate_text(usd: Decimal | Fraction) -> str:
    """A rate in dollars for people, with two places or as many as it has, four at most for what does not end.

    270.0 -> ``270.00``; 1.85 -> ``1.85``; 0.125 -> ``0.125``; 2/3 -> ``0.6667``.
    """
    if isinstance(usd, Fraction):
        usd = Decimal(round_to_step(usd * _FRACTION_PLACES, 1)) / _FRACTION_PLACES
    whole, _, part = f"{usd:,f}".partition(".")
    return f"{whole}.{part.rstrip('0'):0<2}"


def round_to_step(cents: Fraction | int, step_cents: int) -> int:
    """The nearest multiple of a step, whole cents, exact halves up: 23,871.51 USD by whole dollars -> 23,872.

    Raises ValueError when the step is not positive.
    """
    _check_step(step_cents)
    steps = Fraction(cents) / step_cents
    return step_cents * ((2 * steps.numerator + steps.denominator) // (2 * steps.denominator))


def round_up_to_step(cents: Fraction | int, step_cents: int) -> int:
    """The next multiple of a step that is not lower, whole cents. Raises ValueError when it is not positive."""
    _check_step(step_cents)
    steps = Fraction(cents) / step_cents
    return -step_cents * (-steps.numerator // steps.denominator)


def percent_of(cents: Fraction | int, percent: Decimal) -> Fraction:
    """A percentage of an amount, cents, unrounded."""
    return Fraction(cents) * Fraction(percent) / 100


def split(cents: int, weights: Sequence[Fraction | int]) -> tuple[int, ...]:
    """Whole cents split in proportion to weights; the parts add up to the whole, whatever is rounded.

    Largest remainder: every part is rounded down, and the cents left over go one each to the largest remainders,
    of equal ones to the earlier. Weights that are all nought split evenly. Raises ValueError for no weights or a
    negative one.
    """
    if not weights or min(weights) < 0:
        raise ValueError("an amount is split by at least one weight, none negative")
    common = math.lcm(*(weight.denominator for weight in weights))
    whole = [weight.numerator * (common // weight.denominator) for weight in weights]
    if not any(whole):
        whole = [1] * len(whole)
    total = sum(whole)
    floors, rests = zip(*(divmod(cents * weight, total) for weight in whole), strict=True)
    order = sorted(range(len(whole)), key=lambda part: (-rests[part], part))
    raised = set(order[: cents - sum(floors)])
    return tuple(floor + (part in raised) for part, floor in enumerate(floors))


def _check_step(step_cents: int) -> None:
    if step_cents <= 0:
        raise ValueError(f"a step of rounding is at least 1 cent, not {step_cents}")
