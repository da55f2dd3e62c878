"""Rows of Permit fees and Escorts -> the core's fee tables, with every row that can hold for nothing noted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from dispatch.io.cells import shown
from dispatch.io.input_problems import Findings
from dispatch.io.layout_fees import BANDS
from dispatch.io.layout_outside_haul import OUTSIDE_HAUL
from dispatch.io.read_rates import decimal_of
from dispatch.io.typed_rows import Row

from dispatch.money.escorts import EscortRow
from dispatch.money.fee_bands import Band
from dispatch.money.permits import Each, FeeRow, fee_row_fault

_ESCORT_SIZES = ("Over width", "Over height", "Over length")
_ESCORT_PRICES = ("Per hour", "Per mile", "Minimum")


def fee_rows(rows: Sequence[Row], findings: Findings) -> tuple[FeeRow, ...]:
    """The permit fees of all sound rows."""
    found = []
    for row in rows:
        if not row.ok:
            continue
        fee = _fee_row(row)
        fault = fee_row_fault(fee)
        if fault:
            findings.problem(row.where("Amount"), shown(row.raw.get("Amount")), f"a row that can hold: {fault}")
            continue
        _note_idle(row, findings)
        found.append(fee)
    return tuple(found)


def _fee_row(row: Row) -> FeeRow:
    per_miles = row["Per miles"]
    return FeeRow(
        permit=row["Permit"],
        amount_usd=decimal_of(row["Amount"]),
        each=Each(row["Each"]),
        per_miles=None if per_miles is None else decimal_of(per_miles),
        started=row["Started"],
        tons_over_lb=row["Tons over"],
        bands=tuple(_bands(row)),
        source=row["Source"],
        dated=row["Date"],
        row=row.number,
    )


def _bands(row: Row) -> Iterable[Band]:
    for measure, name in BANDS.items():
        over, up_to = row[f"Over {name}"], row[f"Up to {name}"]
        if over is not None or up_to is not None:
            yield Band(measure, over, up_to)


def _note_idle(row: Row, findings: Findings) -> None:
    """Cells that have no effect beside what the row is charged by: a warning."""
    if "Started" in row.given and row["Started"] and row["Per miles"] is None:
        findings.warning(row.where("Started"), shown(row.raw["Started"]), "has no effect: Per miles is blank")
    if "Tons over" in row.given and row["Each"] != Each.TON_OVER.value:
        findings.warning(
            row.where("Tons over"), shown(row.raw["Tons over"]), "has no effect: Each is not ton over"
        )


def escort_rows(rows: Sequence[Row], findings: Findings) -> tuple[EscortRow, ...]:
    """The escorts of all sound rows; one without a size or without a price is a problem."""
    found = []
    for row in rows:
        if not row.ok:
            continue
        if not any(row[name] is not None for name in _ESCORT_SIZES):
            expected = "a width, a height or a length from which on the escort comes along; the row names none"
            findings.problem(row.where(_ESCORT_SIZES[0]), "", expected)
        elif not any(row[name] is not None for name in _ESCORT_PRICES):
            expected = "a price per hour, per mile or a minimum; the row names none"
            findings.problem(row.where(_ESCORT_PRICES[0]), "", expected)
        else:
            found.append(_escort_row(row))
    return tuple(found)


def _escort_row(row: Row) -> EscortRow:
    return EscortRow(
        escort=row["Escort"],
        over_width_in=row["Over width"],
        over_height_in=row["Over height"],
        over_length_in=row["Over length"],
        vehicles=row["Vehicles"],
        per_hour_usd=_money(row["Per hour"]),
        per_mile_usd=_money(row["Per mile"]),
        minimum_usd=_money(row["Minimum"]),
        source=row["Source"],
        dated=row["Date"],
        row=row.number,
    )


def _money(figure: float | None) -> Decimal | None:
    return None if figure is None else decimal_of(figure)


def note_stale_fees(rows: Iterable[Row], day: date, most_days: int, findings: Findings) -> None:
    """A warning for each sound row of a fee, escort or outside offer that is older than allowed, or not dated."""
    for row in rows:
        if not row.ok:
            continue
        sheet, dated = row.table.sheet, row["Date"]
        name = "the offer" if sheet.name == OUTSIDE_HAUL.name else row[sheet.keys[0]]
        if dated is None:
            findings.warning(row.where("Date"), "", f"{name} has no date: nobody knows how old it is")
        elif (day - dated).days > most_days:
            age = (day - dated).days
            remark = f"{name} is {age} days old, over the {most_days} of Settings, Rates stale after"
            findings.warning(row.where("Date"), shown(row.raw["Date"]), remark)
