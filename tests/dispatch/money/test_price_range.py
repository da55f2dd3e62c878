"""Low, likely and high: order, seeds, certainty, and a spread whose percentiles are known in closed form."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.mark_ups import Addition, MarkUp, PriceRules, price_cents
from dispatch.money.price_range import PricePart, Spread, price_range, swings

TIME = Spread("time", Decimal(10), Decimal(20))
MILES = Spread("distance", Decimal(5), Decimal(15))
RULES = PriceRules((MarkUp(Addition.OVERHEAD, Decimal(12)), MarkUp(Addition.PROFIT, Decimal(8))), 1, 150_000, 500)


def marked_up(cents: int) -> int:
    return price_cents(cents, RULES)


def same(cents: int) -> int:
    return cents


def test_percentiles_of_a_triangle() -> None:
    """A triangle from 0.9 over 1 to 1.2, by integration.

    10 % lie under 0.9 + sqrt(0.1 x 0.3 x 0.1), 10 % over 1.2 - sqrt(0.1 x 0.3 x 0.2), half under
    1.2 - sqrt(0.5 x 0.3 x 0.2).
    """
    found = price_range([PricePart("hours", 10_000_000, TIME)], same, seed=3, draws=40_000)
    low, likely, high = (0.9 + math.sqrt(0.003), 1.2 - math.sqrt(0.03), 1.2 - math.sqrt(0.006))
    for cents, factor in ((found.low_cents, low), (found.likely_cents, likely), (found.high_cents, high)):
        assert abs(cents / 10_000_000 - factor) < 0.002
    assert found.stated_cents == 10_000_000


def test_what_moves_together_is_wider_than_what_moves_apart() -> None:
    together = [PricePart(str(n), 100_000, TIME) for n in range(8)]
    apart = [PricePart(str(n), 100_000, Spread(f"time {n}", TIME.under_pct, TIME.over_pct)) for n in range(8)]
    wide, narrow = price_range(together, same), price_range(apart, same)
    assert wide.high_cents - wide.low_cents > 2 * (narrow.high_cents - narrow.low_cents)


def test_the_seed_decides_and_another_part_leaves_the_others_alone() -> None:
    parts = [PricePart("hours", 500_000, TIME), PricePart("miles", 300_000, MILES)]
    assert price_range(parts, marked_up, seed=1) == price_range(parts, marked_up, seed=1)
    assert price_range(parts, same, seed=1).low_cents != price_range(parts, same, seed=2).low_cents
    fixed = price_range([*parts, PricePart("permit", 4_500)], same, seed=1)
    assert fixed.low_cents == price_range(parts, same, seed=1).low_cents + 4_500


def test_a_part_that_jumps() -> None:
    """A band of a permit that begins 2 % over the stated weight, of 10 % that it may be over: half a triangle."""
    heavy = Spread("weight", Decimal(0), Decimal(10))
    part = PricePart("permit", 4_500, heavy, ((Decimal(0), 4_500), (Decimal("1.02"), 9_700)))
    found = price_range([part], same)
    assert (found.low_cents, found.likely_cents, found.high_cents) == (4_500, 9_700, 9_700)
    assert swings([part], same)[0].most_cents == 9_700
    just = PricePart("permit", 4_500, Spread("weight", Decimal(0), Decimal(2)), part.steps)
    assert swings([just], same)[0].most_cents == 9_700


def test_swings_widest_first() -> None:
    parts = [PricePart("miles", 100_000, MILES), PricePart("hours", 500_000, TIME), PricePart("permit", 4_500)]
    assert [(swing.name, swing.least_cents, swing.most_cents) for swing in swings(parts, same)] == [
        ("time", 554_500, 704_500),
        ("distance", 599_500, 619_500),
    ]


PERCENTS = st.decimals(0, 60, places=1)
PARTS = st.lists(
    st.builds(
        PricePart,
        st.text(max_size=5),
        st.integers(0, 10_000_000),
        st.none() | st.builds(Spread, st.uuids().map(str), PERCENTS, PERCENTS),
    ),
    max_size=6,
)


@given(PARTS, st.integers(0, 2**32), st.integers(1, 300))
def test_low_likely_high_are_in_order(parts: list[PricePart], seed: int, draws: int) -> None:
    found = price_range(parts, marked_up, seed, draws)
    assert found.low_cents <= found.likely_cents <= found.high_cents
    for part in parts:
        assert isinstance(part.cents, int)


@given(st.lists(st.integers(0, 10_000_000), max_size=6), st.integers(0, 2**32))
def test_no_tolerance_gives_the_price_itself(amounts: list[int], seed: int) -> None:
    certain = Spread("time", Decimal(0), Decimal(0))
    found = price_range([PricePart("", cents, certain) for cents in amounts], marked_up, seed, draws=50)
    assert found.low_cents == found.likely_cents == found.high_cents == marked_up(sum(amounts))


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ([PricePart("a", 1, TIME), PricePart("b", 1, Spread("time", Decimal(1), Decimal(1)))], "two tolerances"),
        ([PricePart("a", 1, Spread("time", Decimal(101), Decimal(1)))], "more than everything"),
        ([PricePart("a", 1, Spread("time", Decimal(1), Decimal(-1)))], "negative"),
        ([PricePart("a", 10**13, TIME)], "too much money"),
        ([PricePart("a", 1, TIME, ((Decimal(0), 2),))], "stated price"),
        ([PricePart("a", 1, TIME, ((Decimal("0.5"), 1),))], "start at 0"),
    ],
)
def test_what_cannot_be(parts: list[PricePart], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        price_range(parts, same)
