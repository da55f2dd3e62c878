"""Rows of Rates -> the rates of a bid, with every bad value, unit, repeat, gap and stale date noted."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation

from dispatch.io.cells import BadCell, CellValue, ShownWith, number, shown
from dispatch.io.input_problems import Findings, Where
from dispatch.io.layout_rates import RATES
from dispatch.io.typed_rows import Row
from dispatch.io.unit_names import Dimension

from dispatch.money.rate_table import RATE_TABLE, Rate, RateSpec
from dispatch.money.rates import Needs, RateBook, RateRow, missing_rates, rate_book, rate_fault, stale_rates

_AMOUNT = re.compile(r"\$?\s*(-?[0-9][0-9,.]*)\s*(.*)")
_WORDS = {
    "$": "usd",
    "us$": "usd",
    "dollars": "usd",
    "hr": "h",
    "hrs": "h",
    "hour": "h",
    "hours": "h",
    "mile": "mi",
    "miles": "mi",
    "gallon": "gal",
    "gallons": "gal",
    "litre": "l",
    "liter": "l",
    "minute": "min",
    "minutes": "min",
    "mins": "min",
    "days": "day",
    "trips": "trip",
    "percent": "%",
    "pct": "%",
}


def read_rates(rows: Sequence[Row], findings: Findings) -> tuple[RateBook, Mapping[Rate, Row]]:
    """The rates of all sound rows, and the row of each; a later row wins over an earlier one, with a warning."""
    found: dict[Rate, tuple[RateRow, Row]] = {}
    for row in rows:
        rate = _rate_row(row, findings)
        if rate is None:
            continue
        if rate.rate in found:
            earlier = found[rate.rate][1].where("Value")
            findings.warning(row.where("Value"), shown(row.raw["Value"]), f"replaces the value of {earlier}")
        found[rate.rate] = (rate, row)
    return rate_book(rate for rate, _ in found.values()), {rate: row for rate, (_, row) in found.items()}


def _rate_row(row: Row, findings: Findings) -> RateRow | None:
    if not row.ok:
        return None
    spec = RATE_TABLE[Rate(row["Rate"])]
    column = "Value"
    try:
        value, own = amount(row.raw["Value"])
        column = "Value" if own else "Unit"
        value = _in_own_unit(spec, value, own or str(row["Unit"]))
        column = "Value"
        fault = rate_fault(RateRow(spec.rate, value))
        if fault:
            raise BadCell(fault)
    except BadCell as bad:
        findings.problem(row.where(column), shown(row.raw.get(column)), bad.expected, bad.mend)
        return None
    _note_odd_percentage(spec, value, row, findings)
    return RateRow(spec.rate, value, row["Source"], row["Date"], row.number)


def _note_odd_percentage(spec: RateSpec, value: Decimal, row: Row, findings: Findings) -> None:
    """A warning for 0.125 where 12.5 % is meant, and for a percentage over 100."""
    if spec.unit != "%" or value == 0 or 1 <= value <= 100:
        return
    meant = f": {spec.rate} is taken as {value:f} %"
    remark = "is over 100 %" if value > 100 else f"is under 1 %, not {(100 * value).normalize():f} %"
    findings.warning(row.where("Value"), shown(row.raw["Value"]), remark + meant)


def amount(cell: CellValue) -> tuple[Decimal, str]:
    """A number as it was typed, and the unit behind it in the cell, if any. Raises BadCell."""
    if isinstance(cell, ShownWith):
        figure = cell.number * 100 if cell.unit == "%" else cell.number
        return decimal_of(figure), cell.unit
    unit = ""
    if isinstance(cell, str):
        match = _AMOUNT.fullmatch(" ".join(cell.split()))
        if match is None:
            raise BadCell("a number such as 12.5, with its unit behind it or in the column Unit")
        cell, unit = match[1], match[2]
    return decimal_of(number(cell, Dimension.PLAIN, "")), unit


def decimal_of(figure: float) -> Decimal:
    """A cell's number as it was typed: at most twelve digits, which no rate and no amount exceeds."""
    try:
        return Decimal(f"{figure:.12g}")
    except InvalidOperation as error:  # pragma: no cover - cells gives finite numbers only
        raise BadCell("a number") from error


def _in_own_unit(spec: RateSpec, value: Decimal, typed: str) -> Decimal:
    """The value in the rate's own unit. Raises BadCell for a unit that it cannot have."""
    for unit in (spec.unit, *spec.other_units):
        if not typed or _plain(typed) == _plain(unit):
            return spec.in_own_unit(value, unit)
    units = " or ".join((spec.unit, *spec.other_units))
    raise BadCell(f"a value of {spec.rate} in {units}, not in {typed}")


def _plain(unit: str) -> str:
    parts = unit.casefold().replace(" per ", "/").replace(" a ", "/").replace("/", " / ").split()
    return "".join(_WORDS.get(part, part) for part in parts)


def note_missing_rates(book: RateBook, needs: Needs, rows: Sequence[Row], files: str, findings: Findings) -> None:
    """A problem for each rate that the bid needs and the sheet lacks; a row with a bad value is not missing."""
    typed = {str(row.values.get("Rate")) for row in rows}
    for missing in missing_rates(book, needs):
        if str(missing.rate) in typed:
            continue
        where = rows[0].table.where(None) if rows else Where(files, RATES.name)
        unit = RATE_TABLE[missing.rate].unit
        findings.problem(where, "", f"a row {missing.rate} ({unit}): {missing.why}")


def note_stale_rates(
    book: RateBook, rows: Mapping[Rate, Row], day: date, most_days: int, findings: Findings
) -> None:
    """A warning for each rate that is older than the setting allows, is not dated, or is dated after the day."""
    for stale in stale_rates(book, day, most_days):
        row = rows[stale.row.rate]
        if stale.age_days is None:
            findings.warning(row.where("Date"), "", f"{stale.row.rate} has no date: nobody knows how old it is")
            continue
        remark = (
            f"{stale.row.rate} is {stale.age_days} days old, over the {most_days} of Settings, Rates stale after"
        )
        findings.warning(row.where("Date"), shown(row.raw["Date"]), remark)
    for rate in book.rows.values():
        if rate.dated is not None and rate.dated > day:
            row = rows[rate.rate]
            findings.warning(row.where("Date"), shown(row.raw["Date"]), f"is after the day of the price, {day}")
