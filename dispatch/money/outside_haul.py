"""What an outside haulier asks for a trip, by the sheet Outside haul. Pounds, tenths of miles, cents."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from dispatch.money.amounts import exact_cents, rate_text, round_cents, usd_text
from dispatch.units import SLACK_LB, TENTHS_PER_MI


@dataclass(frozen=True, slots=True)
class OutsideRow:
    """One row of the table: up to which load and which loaded distance it holds, and what it asks.

    ``None`` for weight or distance: no limit. Price: price per trip plus price per loaded mile, at least the
    minimum; ``None``: the row does not have that part. ``row``: the row on the sheet, for messages.
    """

    row: int
    up_to_weight_lb: float | None = None
    up_to_tenths: int | None = None
    per_trip_usd: Decimal | None = None
    per_mile_usd: Decimal | None = None
    minimum_usd: Decimal | None = None
    source: str = ""
    dated: date | None = None

    @property
    def names_a_price(self) -> bool:
        """Whether any part of the price is there; a row without one prices nothing (never silently nought)."""
        return any(part is not None for part in (self.per_trip_usd, self.per_mile_usd, self.minimum_usd))


@dataclass(frozen=True, slots=True)
class OutsidePrice:
    """What one trip costs outside, cents, by which row, and how it was worked out, for the page."""

    cents: int
    row: int
    working: str


@dataclass(frozen=True, slots=True)
class NoOutsidePrice:
    """Why the table has no price for a trip."""

    reason: str


def outside_price(table: Sequence[OutsideRow], weight_lb: float, tenths: int) -> OutsidePrice | NoOutsidePrice:
    """The cheapest applicable row's price of one trip; equal prices: the earlier row.

    ``weight_lb``: everything on deck at once, at its heaviest. ``tenths``: the loaded distance, first pickup to
    last drop; the haulier's empty way is in the price. More weight or more miles never cost less: fewer rows
    apply, and none of those left gets cheaper.
    """
    priced = [row for row in table if row.names_a_price]
    fitting = [row for row in priced if _holds(row, weight_lb, tenths)]
    if not fitting:
        return NoOutsidePrice(_why_not(table, priced, weight_lb, tenths))
    best = min(fitting, key=lambda row: _row_cents(row, tenths))
    return OutsidePrice(_row_cents(best, tenths), best.row, _working(best, tenths))


def _holds(row: OutsideRow, weight_lb: float, tenths: int) -> bool:
    return _carries(row, weight_lb) and (row.up_to_tenths is None or tenths <= row.up_to_tenths)


def _carries(row: OutsideRow, weight_lb: float) -> bool:
    return row.up_to_weight_lb is None or weight_lb <= row.up_to_weight_lb + SLACK_LB


def _row_cents(row: OutsideRow, tenths: int) -> int:
    least = exact_cents(row.minimum_usd or Decimal(0))
    return round_cents(max(least, exact_cents(row.per_trip_usd or Decimal(0)) + _miles_cents(row, tenths)))


def _miles_cents(row: OutsideRow, tenths: int) -> Fraction:
    return exact_cents(row.per_mile_usd or Decimal(0)) * tenths / TENTHS_PER_MI


def _working(row: OutsideRow, tenths: int) -> str:
    parts = [] if row.per_trip_usd is None else [f"{rate_text(row.per_trip_usd)} USD a trip"]
    if row.per_mile_usd is not None:
        parts.append(f"{Decimal(tenths) / TENTHS_PER_MI:.1f} mi x {rate_text(row.per_mile_usd)} USD/mi")
    sum_text = " + ".join(parts)
    if row.minimum_usd is None:
        return sum_text
    at_least = f"at least {rate_text(row.minimum_usd)} USD"
    return f"{sum_text}, {at_least}" if parts else at_least


def row_text(row: OutsideRow) -> str:
    """What the row asks, whatever the distance, for the page of assumptions."""
    prices = ((row.per_trip_usd, "USD a trip"), (row.per_mile_usd, "USD/mi"))
    asked = " + ".join(f"{rate_text(price)} {unit}" for price, unit in prices if price is not None)
    least = [] if row.minimum_usd is None else [f"at least {rate_text(row.minimum_usd)} USD"]
    return ", ".join([asked] * bool(asked) + least)


def _why_not(table: Sequence[OutsideRow], priced: Sequence[OutsideRow], weight_lb: float, tenths: int) -> str:
    if not table:
        return "the sheet Outside haul has no rows"
    if not priced:
        return "no row of the sheet Outside haul names a price"
    carrying = [row for row in priced if _carries(row, weight_lb)]
    if not carrying:
        most = max(row.up_to_weight_lb or 0 for row in priced)
        return f"the load weighs {weight_lb:,.0f} lb; the sheet Outside haul goes up to {most:,.0f} lb"
    farthest = Decimal(max(row.up_to_tenths or 0 for row in carrying)) / TENTHS_PER_MI
    return (
        f"the trip is {Decimal(tenths) / TENTHS_PER_MI:,.1f} mi with {weight_lb:,.0f} lb; "
        f"the rows of the sheet Outside haul for that weight go up to {farthest:,.1f} mi"
    )


def price_text(price: OutsidePrice | NoOutsidePrice) -> str:
    """One line for people: the price with its row and working, or why there is none."""
    if isinstance(price, NoOutsidePrice):
        return f"cannot be priced: {price.reason}"
    return f"{usd_text(price.cents)} USD (sheet Outside haul, row {price.row}: {price.working})"
