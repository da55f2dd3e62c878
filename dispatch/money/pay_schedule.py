"""When a mobilisation item is paid, by a rule that the user picks by name. The rules are data. Cents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from dispatch.limits import read_table
from dispatch.money.amounts import round_cents, usd_text


@dataclass(frozen=True, slots=True)
class PayStage:
    """Once ``earned`` of the contract is earned, paid up to the lesser of two shares. All as shares of 1."""

    earned: Fraction
    item: Fraction
    contract: Fraction | None


@dataclass(frozen=True, slots=True)
class PayRule:
    """A rule with its source; what its stages leave is paid at completion."""

    name: str
    says: str
    basis: str
    evidence: str
    stages: tuple[PayStage, ...]


@dataclass(frozen=True, slots=True)
class Payment:
    """One payment: when, how much now and to date, whole cents, and how it was worked out."""

    when: str
    cents: int
    to_date_cents: int
    working: str


@lru_cache(maxsize=1)
def pay_rules() -> Mapping[str, PayRule]:
    """Every rule by its name."""
    rows = read_table("pay_schedules.toml")["rules"].values()
    return MappingProxyType({row["name"]: _rule(row) for row in rows})


def payments(rule: PayRule, item_cents: int, contract_cents: int) -> tuple[Payment, ...]:
    """The payments of an item of a contract, adding up to the item; each sum to date is rounded half up.

    Worked: an item of 130,000 in a contract of 1,000,000 by the lesser of two shares: 50,000, then 50,000 more to
    100,000, then 30,000. Raises ValueError when the item is negative or more than the contract.
    """
    if not 0 <= item_cents <= contract_cents:
        raise ValueError(f"an item of {usd_text(item_cents)} in a contract of {usd_text(contract_cents)}")
    found, paid = [], 0
    for stage in rule.stages:
        due = max(paid, round_cents(_due(stage, item_cents, contract_cents)))
        found.append(Payment(_when(stage), due - paid, due, _working(stage)))
        paid = due
    return (*found, Payment("at completion", item_cents - paid, item_cents, "the rest"))


def _due(stage: PayStage, item_cents: int, contract_cents: int) -> Fraction:
    by_item = item_cents * stage.item
    return by_item if stage.contract is None else min(by_item, contract_cents * stage.contract)


def _when(stage: PayStage) -> str:
    return f"at {_percent(stage.earned)} % earned" if stage.earned else "with the first payment"


def _working(stage: PayStage) -> str:
    of_item = f"{_percent(stage.item)} % of the item"
    if stage.contract is None:
        return of_item
    return f"the lesser of {of_item} and {_percent(stage.contract)} % of the contract, to date"


def _percent(share: Fraction) -> str:
    return f"{float(100 * share):.4g}"


def _rule(row: Mapping[str, Any]) -> PayRule:
    stages = tuple(
        PayStage(
            Fraction(stage["earned"]),
            Fraction(stage["item"]),
            Fraction(stage["contract"]) if "contract" in stage else None,
        )
        for stage in row["stages"]
    )
    basis = f"{row['clause']} ({row['edition']}, read {row['read']})"
    return PayRule(row["name"], row["says"], basis, row["evidence"], stages)
