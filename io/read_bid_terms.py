"""What a bid is priced by: the sheets Rates, Permit fees, Escorts, Outside haul, and the settings of a bid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from dispatch.io import layout
from dispatch.io.input_problems import Findings
from dispatch.io.read_fees import escort_rows, fee_rows, note_stale_fees
from dispatch.io.read_outside_haul import outside_rows
from dispatch.io.read_rates import decimal_of, note_missing_rates, note_stale_rates, read_rates
from dispatch.io.read_settings import DaySettings
from dispatch.io.typed_rows import Row

from dispatch.mobilisation.bid import Bid
from dispatch.mobilisation.bid_terms import BidRules, BidTerms
from dispatch.money.allocation import ShareRule
from dispatch.money.amounts import whole_cents
from dispatch.money.rate_table import Rate
from dispatch.money.rates import Needs, RateBook


def read_bid_terms(
    rows: Mapping[str, list[Row]], bids: Iterable[Bid], day: DaySettings, files: str, findings: Findings
) -> BidTerms:
    """The terms; what the bids need and the sheets lack is a problem, what is old a warning."""
    rules = bid_rules(day.values)
    today = date.fromisoformat(day.settings.day)
    book, rate_rows = read_rates(rows[layout.RATES.name], findings)
    standby = any(line.standby_days for bid in bids for line in bid.lines)
    note_missing_rates(book, Needs(standby=standby), rows[layout.RATES.name], files, findings)
    _note_free_rigs(book, rows[layout.RIGS.name], findings)
    note_stale_rates(book, rate_rows, today, rules.stale_after_days, findings)
    for sheet in (layout.PERMIT_FEES, layout.ESCORTS, layout.OUTSIDE_HAUL):
        note_stale_fees(rows[sheet.name], today, rules.stale_after_days, findings)
    return BidTerms(
        rates=book,
        fees=fee_rows(rows[layout.PERMIT_FEES.name], findings),
        escorts=escort_rows(rows[layout.ESCORTS.name], findings),
        outside=outside_rows(rows[layout.OUTSIDE_HAUL.name], findings),
        rules=rules,
    )


def bid_rules(values: Mapping[str, Any]) -> BidRules:
    """The settings of a bid from all rows of Settings."""
    contract = values["Contract sum"]
    return BidRules(
        stale_after_days=values["Rates stale after"],
        price_step_cents=_step(values["Price rounding"]),
        unit_step_cents=_step(values["Unit price rounding"]),
        share_rule=ShareRule(values["Share of trips"]),
        most_days=values["Most days a phase"],
        pay_rule=values["Pay schedule"],
        contract_usd=None if contract is None else decimal_of(contract),
        work=values["Kind of work"],
        time_over_pct=values["Hours over"],
        time_under_pct=values["Hours under"],
        distance_over_pct=values["Estimated miles over"],
        distance_under_pct=values["Estimated miles under"],
        draws=values["Draws of the range"],
    )


def _step(usd: float) -> int:
    """A step of rounding in whole cents, at least one."""
    return max(1, whole_cents(Decimal(f"{usd:.12g}")))


def _note_free_rigs(book: RateBook, rows: Iterable[Row], findings: Findings) -> None:
    """A rig whose hours or miles would cost nothing because nobody has said what they cost."""
    wanted = ((Rate.HOURLY, "Cost per hour"), (Rate.MILEAGE, "Cost per mile"))
    for row in rows:
        for rate, column in wanted:
            idle = "Available" not in row.bad and not row.values["Available"]
            if not idle and not book.has(rate) and column not in row.given and column not in row.bad:
                expected = f"a figure here, or a row {rate} in Rates; 0 where it really costs nothing"
                findings.problem(row.where(column), "", expected)
