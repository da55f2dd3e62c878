"""Small bids on small fleets, for the tests of a bid's price; every two places are ten miles and 20 min apart."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from dispatch.fleet import Rig
from dispatch.items import Item
from dispatch.mobilisation.bid import Bid, BidLine
from dispatch.mobilisation.bid_terms import BidRules, BidTerms
from dispatch.money.rate_table import Rate
from dispatch.money.rates import RateRow, rate_book
from dispatch.problem import Problem
from dispatch.settings import Settings
from dispatch.sites import Road
from tests import factories as make

YARD, JOB = "yard", "job"
RULES = BidRules(price_step_cents=1, most_days=4)


def fleet(
    rigs: Sequence[Rig] | None = None, settings: Settings | None = None, roads: Sequence[Road] | None = None
) -> Problem:
    """A fleet without moves; its sites are the yard and the job, and a far job too."""
    return make.problem(
        [],
        rigs,
        sites=[make.site(YARD), make.site(JOB), make.site("far job")],
        settings=settings,
        roads=roads,
    )


def line(number: int = 1, item: Item | None = None, quantity: int = 1, **changes: Any) -> BidLine:
    """A light machine from the yard to the job and back."""
    values: dict[str, Any] = {
        "item": item or make.item("loader", 5_000, 120),
        "chosen": True,
        "quantity": quantity,
        "origin": YARD,
        "destination": JOB,
        "out_to": YARD,
        "phase": "1",
    }
    return BidLine(number=number, **(values | changes))


def bid(*lines: BidLine) -> Bid:
    """A bid of these lines; one light machine when there is none."""
    return Bid("B-1", lines or (line(),))


def terms(*rates: tuple[Rate, str], rules: BidRules = RULES, **changes: Any) -> BidTerms:
    """Rates with overhead and profit of 0 unless they are given."""
    given = {Rate.OVERHEAD: "0", Rate.PROFIT: "0"} | dict(rates)
    book = rate_book(RateRow(rate, Decimal(value)) for rate, value in given.items())
    return BidTerms(book, rules=rules, **changes)
