"""Rows of Outside haul -> the core's price table."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from dispatch.io.input_problems import Findings
from dispatch.io.typed_rows import Row

from dispatch.money.outside_haul import OutsideRow
from dispatch.units import tenths_of_miles

_PRICES = ("Price per trip", "Per mile", "Minimum")


def outside_rows(rows: Iterable[Row], findings: Findings) -> tuple[OutsideRow, ...]:
    """The rows that could be read; one that names no price is a problem: it would haul for nothing."""
    found = []
    for row in rows:
        if row.ok and not any(name in row.given for name in _PRICES):
            expected = "a price per trip, a price per mile or a minimum; the row names none"
            findings.problem(row.where("Price per trip"), "", expected)
        elif row.ok:
            found.append(_outside_row(row))
    return tuple(found)


def _outside_row(row: Row) -> OutsideRow:
    distance = row["Up to distance"]
    per_trip, per_mile, minimum = (row[name] for name in _PRICES)
    return OutsideRow(
        row=row.number,
        up_to_weight_lb=row["Up to weight"],
        up_to_tenths=None if distance is None else tenths_of_miles(distance),
        per_trip_usd=_money(per_trip),
        per_mile_usd=_money(per_mile),
        minimum_usd=_money(minimum),
        source=row["Source"],
        dated=row["Date"],
    )


def _money(figure: float | None) -> Decimal | None:
    return None if figure is None else Decimal(str(figure))
