"""Cents, steps and splits: hand-worked figures, and sums that must hold whatever is split."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.amounts import (
    exact,
    exact_cents,
    percent_of,
    rate_text,
    round_cents,
    round_to_step,
    round_up_to_step,
    split,
    usd,
    usd_text,
    whole_cents,
)

CENTS = st.integers(-10_000_000, 1_000_000_000)
STEPS = st.sampled_from([1, 5, 100, 500, 1000, 2500, 10_000])
WEIGHTS = st.lists(st.one_of(st.integers(0, 100_000), st.fractions(0, 1000)), min_size=1, max_size=40)


def test_dollars_are_the_decimals_that_were_typed() -> None:
    """A tenth is a tenth: the binary 0.1 is a little more."""
    assert exact(0.1) == exact(Decimal("0.1")) == Fraction(1, 10)
    assert exact_cents(Decimal("0.125")) == Fraction(25, 2)
    assert whole_cents(Decimal("0.125")) == 13
    assert usd(44_530) == Decimal("445.30")
    assert usd_text(2_506_600) == "25,066.00"


@pytest.mark.parametrize(
    ("rate", "text"),
    [
        (Decimal("270.0"), "270.00"),
        (Decimal("4"), "4.00"),
        (Decimal("1.85"), "1.85"),
        (Decimal("0.125"), "0.125"),
        (Decimal("1.500000"), "1.50"),
        (Decimal("1250"), "1,250.00"),
        (Decimal("1E+3"), "1,000.00"),
        (Fraction(2, 3), "0.6667"),
        (Fraction(1387525, 10000), "138.7525"),
        (Fraction(96), "96.00"),
    ],
)
def test_a_rate_is_told_with_its_cents(rate: Decimal | Fraction, text: str) -> None:
    assert rate_text(rate) == text


def test_halves_go_up() -> None:
    assert [round_cents(Fraction(n, 2)) for n in (-3, -1, 1, 3, 5)] == [-1, 0, 1, 2, 3]


@given(st.decimals(0, 10**9, places=4))
def test_halves_go_up_as_in_decimal_arithmetic(cents: Decimal) -> None:
    assert round_cents(Fraction(cents)) == int(cents.quantize(Decimal(1), ROUND_HALF_UP))


@pytest.mark.parametrize(
    ("cents", "step", "nearest", "up"),
    [
        (2_387_151, 100, 2_387_200, 2_387_200),
        (1_249, 2_500, 0, 2_500),
        (1_250, 2_500, 2_500, 2_500),
        (7, 5, 5, 10),
    ],
)
def test_prices_by_a_step(cents: int, step: int, nearest: int, up: int) -> None:
    assert round_to_step(cents, step) == nearest
    assert round_up_to_step(cents, step) == up


@given(CENTS, STEPS)
def test_rounding_stays_within_its_step(cents: int, step: int) -> None:
    nearest, up = round_to_step(cents, step), round_up_to_step(cents, step)
    assert nearest % step == up % step == 0
    assert abs(nearest - cents) * 2 <= step
    assert 0 <= up - cents < step


@pytest.mark.parametrize("step", [0, -1])
def test_no_step_is_refused(step: int) -> None:
    with pytest.raises(ValueError, match="at least 1 cent"):
        round_to_step(1, step)
    with pytest.raises(ValueError, match="at least 1 cent"):
        round_up_to_step(1, step)


def test_percent_is_exact() -> None:
    assert percent_of(2_040_300, Decimal(17)) == Fraction(34_685_100, 100)


def test_a_dollar_in_three_gives_the_odd_cent_to_the_first() -> None:
    assert split(100, [1, 1, 1]) == (34, 33, 33)
    assert split(100, [0, 0, 0]) == (34, 33, 33)
    assert split(100, [1, 2, 3]) == (17, 33, 50)
    assert split(100, [0, 5]) == (0, 100)


@given(CENTS, WEIGHTS)
def test_parts_add_up_and_lie_within_a_cent_of_their_share(cents: int, weights: list[Fraction | int]) -> None:
    parts = split(cents, weights)
    assert sum(parts) == cents
    total = sum(weights)
    for part, weight in zip(parts, weights, strict=True):
        share = Fraction(cents) * weight / total if total else Fraction(cents, len(weights))
        assert abs(part - share) < 1


@given(st.integers(0, 10_000), WEIGHTS)
def test_the_heavier_part_never_gets_less(cents: int, weights: list[Fraction | int]) -> None:
    order = sorted(range(len(weights)), key=lambda part: (weights[part], -part))
    parts = split(cents, weights)
    assert [parts[part] for part in order] == sorted(parts)


@pytest.mark.parametrize("weights", [[], [1, -1]])
def test_bad_weights_are_refused(weights: list[int]) -> None:
    with pytest.raises(ValueError, match="none negative"):
        split(1, weights)
