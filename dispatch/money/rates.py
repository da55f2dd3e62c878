"""The rates of a bid by name: what a row says, else the table's default; what is missing; what is old."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from types import MappingProxyType

from dispatch.money.rate_table import RATE_TABLE, Rate

MOST = 1_000_000
"""No rate is more: beyond that a figure is a slip, and its price too much money to simulate."""


@dataclass(frozen=True, slots=True)
class RateRow:
    """A row of the sheet Rates, its value in the unit of the table. ``row``: where it stands, for messages."""

    rate: Rate
    value: Decimal
    source: str = ""
    dated: date | None = None
    row: int = 0


@dataclass(frozen=True, slots=True)
class RateBook:
    """All rates of a bid: at most one row a rate."""

    rows: Mapping[Rate, RateRow]

    def value(self, rate: Rate) -> Decimal | None:
        """The row's value, else the table's default, else ``None``; in the table's unit."""
        row = self.rows.get(rate)
        return RATE_TABLE[rate].default if row is None else row.value

    def need(self, rate: Rate) -> Decimal:
        """As ``value``; raises KeyError where there is none: ask ``missing_rates`` first."""
        value = self.value(rate)
        if value is None:
            raise KeyError(f"no rate {rate}")
        return value

    def has(self, rate: Rate) -> bool:
        """Whether the sheet has a row for it."""
        return rate in self.rows


def rate_book(rows: Iterable[RateRow]) -> RateBook:
    """The book of these rows; raises ValueError when a rate stands twice or a value cannot be (see rate_fault)."""
    found: dict[Rate, RateRow] = {}
    for row in rows:
        fault = rate_fault(row)
        if fault or row.rate in found:
            raise ValueError(fault or f"{row.rate} stands twice, in rows {found[row.rate].row} and {row.row}")
        found[row.rate] = row
    return RateBook(MappingProxyType(found))


def rate_fault(row: RateRow) -> str:
    """What is wrong with a row's value, empty when nothing is."""
    if not row.value.is_finite() or row.value < 0:
        return f"{row.rate} is {row.value}; a rate is a number that is not negative"
    if row.value > MOST:
        return f"{row.rate} is {row.value:f}; a rate is at most {MOST:,}"
    if row.value == 0 and row.rate in (Rate.FUEL_USE, Rate.WAITING_STEP):
        return f"{row.rate} is 0; it must be more"
    return ""


@dataclass(frozen=True, slots=True)
class Needs:
    """What a bid asks of the rates besides what every bid asks."""

    standby: bool = False
    waiting: bool = False


@dataclass(frozen=True, slots=True)
class MissingRate:
    """A rate without which the bid cannot be priced, and why it is needed."""

    rate: Rate
    why: str


def missing_rates(book: RateBook, needs: Needs) -> tuple[MissingRate, ...]:
    """Every rate that the bid needs and the book has not, in the order of the table."""
    wanted: dict[Rate, str] = {
        spec.rate: "every bid needs it, if only to say 0" for spec in RATE_TABLE.values() if spec.required
    }
    if book.has(Rate.WAGE) or book.has(Rate.WAGE_BURDEN):
        wanted |= {Rate.WAGE: "there is a wage burden", Rate.HOURLY: "there is a driver wage to add it to"}
    if book.has(Rate.FUEL_PRICE) or book.has(Rate.FUEL_USE):
        wanted |= {
            Rate.FUEL_PRICE: "there is a fuel use",
            Rate.FUEL_USE: "there is a fuel price",
            Rate.MILEAGE: "there is a fuel price to add it to",
        }
    if needs.standby:
        wanted[Rate.STANDBY] = "the bid has standby days"
    if needs.waiting:
        wanted[Rate.WAITING] = "the bid has waiting"
    return tuple(
        MissingRate(rate, wanted[rate]) for rate in RATE_TABLE if rate in wanted and book.value(rate) is None
    )


@dataclass(frozen=True, slots=True)
class StaleRate:
    """A rate older than allowed; ``age_days`` is ``None`` for one without a date."""

    row: RateRow
    age_days: int | None


def stale_rates(book: RateBook, today: date, most_days: int) -> tuple[StaleRate, ...]:
    """The rates dated more than so many days before ``today``, and those without a date, in the book's order."""
    ages = [(row, None if row.dated is None else (today - row.dated).days) for row in book.rows.values()]
    return tuple(StaleRate(row, age) for row, age in ages if age is None or age > most_days)


@dataclass(frozen=True, slots=True)
class Assumption:
    """One rate as the page of assumptions shows it; ``row`` is 0 for a default of the table."""

    rate: Rate
    value: Decimal
    unit: str
    source: str
    dated: date | None
    row: int


def rate_assumptions(book: RateBook) -> tuple[Assumption, ...]:
    """Every rate that holds, in the order of the table: from the sheet with its source, else by default."""
    found = []
    for rate, spec in RATE_TABLE.items():
        row, value = book.rows.get(rate), book.value(rate)
        if row is not None:
            found.append(Assumption(rate, row.value, spec.unit, row.source or "no source", row.dated, row.row))
        elif value is not None:
            found.append(Assumption(rate, value, spec.unit, "default, no row on the sheet Rates", None, 0))
    return tuple(found)
