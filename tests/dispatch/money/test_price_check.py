"""The second reckoning agrees with every price that is made, and with none that is bent by a cent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from dispatch.money.allocation import ShareRule
from dispatch.money.lines import BidPrice, ItemLine, price_bid
from dispatch.money.price_check import price_faults
from tests.dispatch.money.random_bids import random_bid


@pytest.mark.parametrize("share_rule", ShareRule)
def test_agrees_with_random_bids(share_rule: ShareRule) -> None:
    for seed in range(100):
        items, trips, rules = random_bid(Random(seed))
        assert price_faults(price_bid(items, trips, share_rule, rules), items, trips, share_rule, rules) == ()


def moved(column: str, cents: int, of: int = 0) -> Callable[[BidPrice], BidPrice]:
    def bend(price: BidPrice) -> BidPrice:
        line = price.lines[of]
        amounts = replace(line.amounts, **{column: getattr(line.amounts, column) + cents})
        lines = [*price.lines]
        lines[of] = ItemLine(line.item, amounts)
        return replace(price, lines=tuple(lines))

    return bend


def swapped(column: str, cents: int) -> Callable[[BidPrice], BidPrice]:
    """Cents moved from one line to another: every sum still holds."""
    return lambda price: moved(column, cents)(moved(column, -cents, 1)(price))


def dearer(price: BidPrice) -> BidPrice:
    last = price.steps[-1]
    return replace(price, steps=(*price.steps[:-1], replace(last, sum_cents=last.sum_cents + 1)))


@pytest.mark.parametrize(
    ("bend", "said"),
    [
        (moved("in_cents", 1), "in_cents of all lines"),
        (moved("out_cents", -1), "out_cents of all lines"),
        (moved("load_cents", 1), "load_cents of all lines"),
        (moved("permit_cents", 1), "permit_cents of all lines"),
        (moved("escort_cents", 1), "escort_cents of all lines"),
        (moved("standby_cents", 1), "standby is"),
        (moved("overhead_cents", 1), "Overhead of all lines"),
        (moved("contingency_cents", 1), "Contingency of all lines"),
        (moved("profit_cents", 1), "Profit of all lines"),
        (moved("minimum_cents", 1), "Minimum of all lines"),
        (moved("rounding_cents", 1), "Rounding of all lines"),
        (swapped("in_cents", 50), "its share"),
        (swapped("profit_cents", 50), "Profit is"),
        (dearer, "the price is"),
        (lambda price: replace(price, lines=price.lines[::-1]), "not those of the bid's machines"),
        (moved("in_cents", Decimal(0)), "no whole number"),  # type: ignore[arg-type]
    ],
)
def test_sees_a_price_that_is_bent(bend: Callable[[BidPrice], BidPrice], said: str) -> None:
    items, trips, rules = random_bid(Random(4))
    assert len(items) > 2
    price = bend(price_bid(items, trips, ShareRule.WEIGHT_MILES, rules))
    faults = price_faults(price, items, trips, ShareRule.WEIGHT_MILES, rules)
    assert any(said in fault for fault in faults), faults


def test_sees_the_other_rule_and_other_rules() -> None:
    items, trips, rules = random_bid(Random(4))
    price = price_bid(items, trips, ShareRule.WEIGHT_MILES, rules)
    assert price_faults(price, items, trips, ShareRule.DECK_LENGTH, rules)
    dear = replace(rules, mark_ups=(*rules.mark_ups, replace(rules.mark_ups[-1], percent=Decimal(3))))
    assert price_faults(price, items, trips, ShareRule.WEIGHT_MILES, dear)
    assert price_faults(price, items, trips[1:], ShareRule.WEIGHT_MILES, rules)
