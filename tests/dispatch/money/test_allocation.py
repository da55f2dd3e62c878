"""Sharing a trip among its items: hand-worked shares, and sums to the cent."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.allocation import Rider, ShareRule, share_cost

DOZER = Rider("dozer", 36_000, 400, 192)
ROLLER = Rider("roller", 24_000, 200, 192)
PLATE = Rider("plate", 0.1, 400, 48)


def test_weight_miles() -> None:
    """36,000 lb x 40 mi against 24,000 lb x 20 mi: three to one. By hand."""
    assert share_cost(100_000, [DOZER, ROLLER], ShareRule.WEIGHT_MILES) == (75_000, 25_000)


def test_deck_length() -> None:
    """192, 192 and 48 in: four ninths twice, one ninth; the cent left goes to the first."""
    assert share_cost(1_000, [DOZER, ROLLER, PLATE], ShareRule.DECK_LENGTH) == (445, 444, 111)


def test_a_tenth_of_a_pound_is_a_tenth() -> None:
    third = [Rider(name, 0.1, 3, 0) for name in "abc"]
    assert share_cost(300, third, ShareRule.WEIGHT_MILES) == (100, 100, 100)


def test_riders_that_measure_nought_share_evenly() -> None:
    assert share_cost(5, [Rider("a", 1, 0, 0), Rider("b", 9, 0, 0)], ShareRule.WEIGHT_MILES) == (3, 2)
    with pytest.raises(ValueError, match="at least one weight"):
        share_cost(5, [], ShareRule.DECK_LENGTH)


RIDERS = st.lists(
    st.builds(
        Rider,
        st.just("item"),
        st.floats(0, 120_000, allow_nan=False),
        st.integers(0, 5000),
        st.floats(0, 600, allow_nan=False),
    ),
    min_size=1,
    max_size=8,
)


@given(st.integers(0, 10**8), RIDERS, st.sampled_from(ShareRule))
def test_shares_add_up_to_the_cent(cents: int, riders: list[Rider], rule: ShareRule) -> None:
    shares = share_cost(cents, riders, rule)
    assert sum(shares) == cents
    assert min(shares) >= 0


@given(st.integers(0, 10**8), RIDERS, st.sampled_from(ShareRule))
def test_riders_alike_differ_by_a_cent_at_most(cents: int, riders: list[Rider], rule: ShareRule) -> None:
    twins = [*riders, riders[0]]
    shares = share_cost(cents, twins, rule)
    assert abs(shares[0] - shares[-1]) <= 1
