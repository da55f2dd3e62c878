"""Everything that a bid is priced by, besides its machines and the fleet: rates, fees, offers, rules."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from dispatch.money.allocation import ShareRule
from dispatch.money.escorts import EscortRow
from dispatch.money.outside_haul import OutsideRow
from dispatch.money.permits import FeeRow
from dispatch.money.rates import RateBook


@dataclass(frozen=True, slots=True)
class BidRules:
    """The settings of a bid. ``*_pct``: how far hours, and miles of estimated roads, may turn out over or under.

    ``price_step_cents``: the price is rounded to the nearest multiple; ``unit_step_cents``: so are unit prices.
    ``contract_usd``: sum of the contract, where it is known; ``work``: kind of work in the published guide.
    """

    stale_after_days: int = 180
    price_step_cents: int = 100
    unit_step_cents: int = 1
    share_rule: ShareRule = ShareRule.WEIGHT_MILES
    most_days: int = 5
    pay_rule: str = "lesser of two shares"
    contract_usd: Decimal | None = None
    work: str = "other"
    time_over_pct: float = 20.0
    time_under_pct: float = 5.0
    distance_over_pct: float = 15.0
    distance_under_pct: float = 5.0
    draws: int = 10_000


@dataclass(frozen=True, slots=True)
class BidTerms:
    """Rates, permit fees, escorts, the outside haulier's table, and the rules."""

    rates: RateBook
    fees: tuple[FeeRow, ...] = ()
    escorts: tuple[EscortRow, ...] = ()
    outside: tuple[OutsideRow, ...] = ()
    rules: BidRules = field(default_factory=BidRules)
