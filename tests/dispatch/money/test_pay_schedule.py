"""When the item is paid: the published example, and sums that always close."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.money.pay_schedule import PayRule, PayStage, pay_rules, payments

PAGE = (Path(__file__).parents[3] / "docs" / "limits-sources.md").read_text(encoding="utf-8")
LESSER = pay_rules()["lesser of two shares"]


def test_published_example() -> None:
    """130,000 in 1,000,000: lesser of 50 % and 5 %, of 100 % and 10 %, then the rest. Rule seen, sums derived."""
    paid = payments(LESSER, 13_000_000, 100_000_000)
    assert [payment.to_date_cents for payment in paid] == [5_000_000, 10_000_000, 13_000_000]
    assert [payment.cents for payment in paid] == [5_000_000, 5_000_000, 3_000_000]
    assert [payment.when for payment in paid] == ["at 5 % earned", "at 10 % earned", "at completion"]
    assert paid[0].working == "the lesser of 50 % of the item and 5 % of the contract, to date"


def test_a_small_item_is_paid_by_its_own_share() -> None:
    assert [payment.cents for payment in payments(LESSER, 4_000_000, 100_000_000)] == [2_000_000, 2_000_000, 0]


def test_two_thirds_are_exact() -> None:
    paid = payments(pay_rules()["two thirds first"], 100, 1000)
    assert [payment.cents for payment in paid] == [67, 33]
    assert paid[0].when == "with the first payment"


def test_what_is_paid_is_never_taken_back() -> None:
    """A later stage that allows less than an earlier one pays nothing more until completion."""
    stages = (PayStage(Fraction(0), Fraction(1, 2), None), PayStage(Fraction(1, 10), Fraction(1), Fraction(1, 10)))
    rule = PayRule("odd", "", "", "common practice", stages)
    assert [payment.cents for payment in payments(rule, 600, 1_000)] == [300, 0, 300]


def test_every_rule_has_a_source_or_says_that_it_has_none() -> None:
    assert {rule.evidence for rule in pay_rules().values()} <= {"seen", "memory", "common practice"}
    assert all(rule.basis and rule.says.endswith(".") for rule in pay_rules().values())
    assert [payment.cents for payment in payments(pay_rules()["at completion"], 7, 9)] == [7]


def test_the_page_of_sources_names_every_rule_with_its_evidence() -> None:
    for rule in pay_rules().values():
        assert re.search(rf"^\| {rule.name} \|.*\| {rule.evidence} \|$", PAGE, flags=re.M), rule.name


@given(st.sampled_from(sorted(pay_rules())), st.integers(0, 10**9), st.integers(0, 10**10))
def test_payments_add_up_and_never_go_back(name: str, item: int, rest: int) -> None:
    paid = payments(pay_rules()[name], item, item + rest)
    assert sum(payment.cents for payment in paid) == item
    assert all(payment.cents >= 0 for payment in paid)


@pytest.mark.parametrize(("item", "contract"), [(-1, 5), (6, 5)])
def test_an_item_is_part_of_its_contract(item: int, contract: int) -> None:
    with pytest.raises(ValueError, match="in a contract of"):
        payments(LESSER, item, contract)
