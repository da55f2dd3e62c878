"""From a direct cost to a price: the published example, and a price that never falls."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.mark_ups import Addition, MarkUp, PriceRules, added, price_cents, price_rules, price_steps
from dispatch.money.rate_table import Rate
from dispatch.money.rates import RateRow, rate_book


def rules(*percents: str, step: int = 1, minimum: int = 0, price_step: int = 1) -> PriceRules:
    kinds = (Addition.OVERHEAD, Addition.CONTINGENCY, Addition.PROFIT)
    return PriceRules(
        tuple(MarkUp(kind, Decimal(percent)) for kind, percent in zip(kinds, percents, strict=False)),
        step,
        minimum,
        price_step,
    )


def test_pit_example() -> None:
    """Colorado Department of Transportation, pit: 20,403 + 17 % = 23,872, + 5 % = 25,066, whole dollars. Seen."""
    steps = price_steps(2_040_300, rules("17", "5", step=100))
    assert [step.sum_cents for step in steps[:2]] == [2_387_200, 2_506_600]
    assert price_cents(2_040_300, rules("17", "5", step=100)) == 2_506_600


def test_the_same_to_the_cent() -> None:
    """20,403 x 1.17 = 23,871.51; x 1.05 = 25,065.0855. By hand."""
    assert price_cents(2_040_300, rules("17", "5")) == 2_506_509


def test_order_from_the_rates() -> None:
    """1,000 + 10 % = 1,100, + 5 % = 1,155, + 8 % = 1,247.40. By hand."""
    rows = {Rate.OVERHEAD: "10", Rate.CONTINGENCY: "5", Rate.PROFIT: "8", Rate.MINIMUM_PER_BID: "1250.00"}
    book = rate_book(RateRow(rate, Decimal(value)) for rate, value in rows.items())
    steps = price_steps(100_000, price_rules(book, price_step_cents=2_500))
    assert [(step.addition, step.sum_cents) for step in steps] == [
        (Addition.OVERHEAD, 110_000),
        (Addition.CONTINGENCY, 115_500),
        (Addition.PROFIT, 124_740),
        (Addition.MINIMUM, 125_000),
        (Addition.ROUNDING, 125_000),
    ]
    assert added(steps, Addition.MINIMUM) == 260


def test_missing_overhead_is_not_nought() -> None:
    with pytest.raises(KeyError, match="Overhead"):
        price_rules(rate_book([]))


def test_rounding_keeps_the_minimum_and_is_never_to_nought() -> None:
    assert price_cents(100_000, rules(minimum=126_000, price_step=2_500)) == 127_500
    assert price_cents(900, rules(price_step=2_500)) == 2_500
    assert price_cents(0, rules(minimum=126_000, price_step=2_500)) == 0


def test_no_percentage_adds_nothing_whatever_the_step() -> None:
    assert price_steps(123, rules("0", step=100))[0].added_cents == 0


RULES = st.builds(
    rules,
    st.decimals(0, 60, places=2).map(str),
    st.decimals(0, 30, places=2).map(str),
    st.decimals(0, 60, places=2).map(str),
    step=st.sampled_from([1, 5, 100]),
    minimum=st.integers(0, 500_000),
    price_step=st.sampled_from([1, 100, 500, 1000, 2500, 10_000]),
)


@given(st.integers(0, 10**8), st.integers(0, 10**5), RULES)
def test_a_higher_cost_never_gives_a_lower_price(cents: int, more: int, given_rules: PriceRules) -> None:
    low, high = price_cents(cents, given_rules), price_cents(cents + more, given_rules)
    assert high >= low
    assert low % given_rules.price_step_cents == 0
    assert low >= given_rules.minimum_cents or cents == 0


@given(st.integers(0, 10**8), RULES)
def test_steps_add_up(cents: int, given_rules: PriceRules) -> None:
    steps = price_steps(cents, given_rules)
    assert cents + sum(step.added_cents for step in steps) == steps[-1].sum_cents
