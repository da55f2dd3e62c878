"""Mobilisation as a share of the contract: the Missouri figures as warnings."""

from __future__ import annotations

from decimal import Decimal

import pytest

from dispatch.money.share_of_contract import share_guides, share_of_contract

MISSOURI = share_guides()["Missouri"]


def test_missouri_figures() -> None:
    """Missouri DOT guide: 4-5 % resurfacing, 5-6 % grading, 7-8 % bridges, up to 10 % other. Seen."""
    assert {work: (int(row.least_pct), int(row.most_pct)) for work, row in MISSOURI.works.items()} == {
        "resurfacing": (4, 5),
        "grading": (5, 6),
        "bridges": (7, 8),
        "other": (0, 10),
    }


@pytest.mark.parametrize(
    ("work", "usd", "warned"),
    [
        ("resurfacing", 40_000, ""),
        ("resurfacing", 50_000, ""),
        (
            "resurfacing",
            50_001,
            "mobilisation is 5.00 % of the contract, over the 4 to 5 % of Missouri for resurfacing",
        ),
        ("grading", 49_000, "mobilisation is 4.90 % of the contract, under the 5 to 6 % of Missouri for grading"),
        ("bridges", 75_000, ""),
        ("other", 0, ""),
        ("other", 130_000, "mobilisation is 13.00 % of the contract, over the up to 10 % of Missouri for other"),
    ],
)
def test_warnings_at_and_past_the_range(work: str, usd: int, warned: str) -> None:
    assert share_of_contract(100 * usd, 100_000_000, MISSOURI, work).warning == warned


def test_share_is_rounded_halves_up() -> None:
    assert share_of_contract(123_450, 10_000_000, MISSOURI, "other").percent == Decimal("1.23")
    assert share_of_contract(123_500, 10_000_000, MISSOURI, "other").percent == Decimal("1.24")


def test_no_contract_and_no_such_work() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        share_of_contract(1, 0, MISSOURI, "other")
    with pytest.raises(KeyError):
        share_of_contract(1, 1, MISSOURI, "tunnels")
