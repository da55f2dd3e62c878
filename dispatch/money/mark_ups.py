"""Overhead, contingency, profit, minimum and rounding: from the direct cost of a bid to its price. Cents."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from dispatch.money.amounts import exact_cents, percent_of, round_cents, round_to_step, round_up_to_step
from dispatch.money.rate_table import Rate
from dispatch.money.rates import RateBook


class Addition(StrEnum):
    """What is added to the direct cost, in the order in which it is added."""

    OVERHEAD = "Overhead"
    CONTINGENCY = "Contingency"
    PROFIT = "Profit"
    MINIMUM = "Minimum"
    ROUNDING = "Rounding"


@dataclass(frozen=True, slots=True)
class MarkUp:
    """A percentage that is added to everything before it."""

    addition: Addition
    percent: Decimal


@dataclass(frozen=True, slots=True)
class Step:
    """One step to the price: what it adds and what the sum is then, whole cents."""

    addition: Addition
    percent: Decimal | None
    added_cents: int
    sum_cents: int


@dataclass(frozen=True, slots=True)
class PriceRules:
    """How a direct cost becomes a price.

    ``step_cents``: every mark-up's sum is rounded to the nearest multiple, halves up. ``price_step_cents``: so is
    the price. ``minimum_cents``: the price is never less, whatever is rounded.
    """

    mark_ups: tuple[MarkUp, ...] = ()
    step_cents: int = 1
    minimum_cents: int = 0
    price_step_cents: int = 1


def price_rules(book: RateBook, price_step_cents: int = 1, step_cents: int = 1) -> PriceRules:
    """The rules that the rates say: overhead, then contingency, then profit, each on the sum so far.

    Raises KeyError when overhead or profit is missing (see ``missing_rates``).
    """
    return PriceRules(
        (
            MarkUp(Addition.OVERHEAD, book.need(Rate.OVERHEAD)),
            MarkUp(Addition.CONTINGENCY, book.need(Rate.CONTINGENCY)),
            MarkUp(Addition.PROFIT, book.need(Rate.PROFIT)),
        ),
        step_cents,
        round_cents(exact_cents(book.need(Rate.MINIMUM_PER_BID))),
        price_step_cents,
    )


def price_steps(direct_cents: int, rules: PriceRules) -> tuple[Step, ...]:
    """The way from a direct cost to the price: one step a mark-up, then what the minimum and the rounding add.

    A mark-up of 0 % adds nothing. Worked (a pit example of the Colorado Department of Transportation, whole
    dollars): 20,403 + 17 % = 23,872, + 5 % = 25,066.
    """
    steps, total = [], direct_cents
    for mark_up in rules.mark_ups:
        added = _added(total, mark_up.percent, rules.step_cents)
        total += added
        steps.append(Step(mark_up.addition, mark_up.percent, added, total))
    least = max(0, rules.minimum_cents - total) if direct_cents else 0
    steps.append(Step(Addition.MINIMUM, None, least, total + least))
    rounded = _rounded(total, rules) if direct_cents else 0
    steps.append(Step(Addition.ROUNDING, None, rounded - total - least, rounded))
    return tuple(steps)


def price_cents(direct_cents: int, rules: PriceRules) -> int:
    """The price of a direct cost, whole cents. A higher cost never gives a lower price; no cost gives none."""
    return price_steps(direct_cents, rules)[-1].sum_cents


def _added(total: int, percent: Decimal, step_cents: int) -> int:
    if not percent:
        return 0
    return round_to_step(total + percent_of(total, percent), step_cents) - total


def _rounded(total: int, rules: PriceRules) -> int:
    """To the nearest step, but up where the nearest lies under the minimum or is nought."""
    nearest = round_to_step(total, rules.price_step_cents)
    return max(nearest, round_up_to_step(max(1, rules.minimum_cents), rules.price_step_cents))


def added(steps: Sequence[Step], addition: Addition) -> int:
    """What one kind of addition adds in all, cents."""
    return sum(step.added_cents for step in steps if step.addition is addition)
