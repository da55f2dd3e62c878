"""Mobilisation as a share of the contract, held against a published guide: a warning, never a limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from dispatch.limits import read_table
from dispatch.money.amounts import round_to_step, usd_text


@dataclass(frozen=True, slots=True)
class WorkShare:
    """What a guide expects for a kind of work, per cent of the contract."""

    work: str
    least_pct: Decimal
    most_pct: Decimal


@dataclass(frozen=True, slots=True)
class ShareGuide:
    """A guide with its source, by kind of work."""

    name: str
    basis: str
    evidence: str
    works: Mapping[str, WorkShare]


@dataclass(frozen=True, slots=True)
class ContractShare:
    """The share, per cent with two places, halves up, and what the guide says to it; ``warning`` empty: within."""

    percent: Decimal
    expected: WorkShare
    warning: str


@lru_cache(maxsize=1)
def share_guides() -> Mapping[str, ShareGuide]:
    """Every guide by its name."""
    found = {}
    for row in read_table("mobilisation_shares.toml")["guides"].values():
        works = [WorkShare(one["work"], Decimal(one["least"]), Decimal(one["most"])) for one in row["works"]]
        basis = f"{row['clause']} ({row['edition']}; read {row['read']})"
        found[row["name"]] = ShareGuide(
            row["name"], basis, row["evidence"], MappingProxyType({one.work: one for one in works})
        )
    return MappingProxyType(found)


def share_of_contract(price_cents: int, contract_cents: int, guide: ShareGuide, work: str) -> ContractShare:
    """The price as a share of the contract sum, held against the guide's range for the kind of work.

    The range is compared with the exact share. Raises ValueError for a contract of nought, KeyError for a kind of
    work that the guide does not have.
    """
    if contract_cents <= 0:
        raise ValueError(f"a contract sum is more than 0, not {usd_text(contract_cents)}")
    expected, share = guide.works[work], Fraction(100 * price_cents, contract_cents)
    percent = Decimal(round_to_step(100 * share, 1)).scaleb(-2)
    return ContractShare(percent, expected, _warning(share, percent, expected, guide))


def _warning(share: Fraction, percent: Decimal, expected: WorkShare, guide: ShareGuide) -> str:
    if expected.least_pct <= share <= expected.most_pct:
        return ""
    side = "under" if share < expected.least_pct else "over"
    span = (
        f"up to {expected.most_pct}" if not expected.least_pct else f"{expected.least_pct} to {expected.most_pct}"
    )
    return f"mobilisation is {percent} % of the contract, {side} the {span} % of {guide.name} for {expected.work}"
