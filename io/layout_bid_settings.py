"""The rows of Settings that a bid is priced by. Defaults are the core's own."""

from __future__ import annotations

from dispatch.io.layout_columns import Column, money, one_of, per_cent, whole

from dispatch.mobilisation.bid_terms import BidRules
from dispatch.money.allocation import ShareRule
from dispatch.money.pay_schedule import pay_rules
from dispatch.money.share_of_contract import share_guides

_DEFAULT = BidRules()


def _works() -> tuple[str, ...]:
    """Every kind of work that a guide knows."""
    return tuple(dict.fromkeys(work for guide in share_guides().values() for work in guide.works))


BID_SETTINGS: tuple[Column, ...] = (
    whole(
        "Rates stale after",
        "Of a bid: a rate, fee or escort dated longer ago gives a warning.",
        unit_text="days",
        value=_DEFAULT.stale_after_days,
        usual=(30, 400),
    ),
    money(
        "Price rounding",
        "Of a bid: the lump sum is rounded to the nearest multiple of this, halves up.",
        above=0,
        value=_DEFAULT.price_step_cents / 100,
        usual=(0.01, 1_000),
    ),
    money(
        "Unit price rounding",
        "Of a bid: unit prices are rounded to the nearest multiple of this, halves up.",
        above=0,
        value=_DEFAULT.unit_step_cents / 100,
        usual=(0.01, 100),
    ),
    one_of(
        "Share of trips",
        ShareRule,
        "Of a bid: by what the machines of a trip share its cost.",
        value=_DEFAULT.share_rule.value,
    ),
    whole(
        "Most days a phase",
        "Of a bid: a phase is hauled in so many days at most, one way.",
        least=1,
        most=30,
        value=_DEFAULT.most_days,
        usual=(1, 15),
    ),
    one_of(
        "Pay schedule",
        tuple(pay_rules()),
        "Of a bid: when the mobilisation item is paid.",
        value=_DEFAULT.pay_rule,
    ),
    money(
        "Contract sum",
        "Of a bid: sum of the whole contract, for the pay schedule and the share of the contract.",
        above=0,
        default="not known: neither is worked out",
        usual=(10_000, 1_000_000_000),
    ),
    one_of(
        "Kind of work",
        _works(),
        "Of a bid: kind of work in the published guide to mobilisation as a share of the contract.",
        value=_DEFAULT.work,
    ),
    per_cent(
        "Hours over",
        "Of a bid: how much longer trips may take than planned.",
        value=_DEFAULT.time_over_pct,
        most=200.0,
        usual=(0, 60),
    ),
    per_cent(
        "Hours under",
        "Of a bid: how much shorter trips may take than planned.",
        value=_DEFAULT.time_under_pct,
        usual=(0, 30),
    ),
    per_cent(
        "Estimated miles over",
        "Of a bid: how much longer a road may be whose distance is estimated.",
        value=_DEFAULT.distance_over_pct,
        most=200.0,
        usual=(0, 60),
    ),
    per_cent(
        "Estimated miles under",
        "Of a bid: how much shorter a road may be whose distance is estimated.",
        value=_DEFAULT.distance_under_pct,
        usual=(0, 30),
    ),
    whole(
        "Draws of the range",
        "Of a bid: how often chance is asked for the low, likely and high price.",
        least=100,
        most=100_000,
        value=_DEFAULT.draws,
        usual=(500, 20_000),
    ),
)
"""Settings of a bid, in the order in which the template lists them."""
