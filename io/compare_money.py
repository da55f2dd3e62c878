"""The sheet Money: the year of every fleet, and what the answer hangs on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from dispatch.io import sheet_styles as styles
from dispatch.io.compare_tables import COUNT, VARIANT, cents
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import Column, plain, wide
from dispatch.io.sheet_styles import Look, Value
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.comparison.compare import Comparison
from dispatch.comparison.yearly import CONFIDENCE_PCT, SWING_PCT, Swing, Yearly

SUM = wide(styles.MONEY, 13)
YEARS = Look("0.0", 9, styles.TOP_CENTRE)
BETWEEN_ROWS = 3


def _per_trip(row: Yearly, _: OutputUnits) -> Value:
    return None if row.trip_saving_cents is None else row.trip_saving_cents / 100


YEAR = (
    Column("Variant", VARIANT, plain("variant"), "the fleet, against the first row of Variants"),
    Column("Days a year", COUNT, lambda row, _: float(row.days_per_year), "days like those of the history"),
    Column(
        "Saved a day",
        SUM,
        cents("saving_per_day_cents"),
        "mean of the history's days, own cost and outside haul",
        "USD",
    ),
    Column("Saved a year", SUM, cents("saving_cents"), "saved a day x days a year", "USD"),
    Column(
        "Ownership a year",
        SUM,
        cents("ownership_cents"),
        "what owning it costs beyond the first row's fleet",
        "USD",
    ),
    Column("Net a year", SUM, cents("net_cents"), "saved less ownership", "USD"),
    Column(
        "Net at least",
        SUM,
        lambda row, _: row.confidence.low_cents / 100,
        f"lower end of the middle {CONFIDENCE_PCT} % of histories drawn anew from these days",
        "USD",
    ),
    Column("Net at most", SUM, lambda row, _: row.confidence.high_cents / 100, "upper end of it", "USD"),
    Column(
        "Draws that pay",
        wide(styles.PERCENT, 9),
        lambda row, _: round(row.confidence.share_positive * 100, 1),
        "share of the drawn histories whose year ends with more than ownership",
        "%",
    ),
    Column("Hauls avoided", COUNT, plain("hauls_avoided"), "outside hauls fewer over the history"),
    Column("Saved a haul", SUM, _per_trip, "everything saved by the hauls avoided; blank: none avoided", "USD"),
    Column(
        "Break-even hauls",
        COUNT,
        plain("break_even_trips"),
        "outside hauls avoided a year from which owning pays: ownership / saved a haul, up to a whole one",
    ),
    Column(
        "Break-even days",
        COUNT,
        plain("break_even_days"),
        "days a year from which owning pays: ownership / saved a day, up to a whole one; blank: never",
    ),
    Column(
        "Payback",
        YEARS,
        lambda row, _: None if row.payback_years is None else round(float(row.payback_years), 1),
        "price / (saved a year less licence, insurance and tax); blank: no price, or never",
        "years",
    ),
    Column(
        "Money is whole",
        wide(styles.COUNT, 9),
        lambda row, _: "yes" if row.priced else "no",
        "no: some outside hauls have no price and count as nothing",
    ),
)


@dataclass(frozen=True, slots=True)
class SwingLine:
    """One figure of one variant's tornado."""

    variant: str
    swing: Swing


TORNADO = (
    Column("Variant", VARIANT, plain("variant"), "the fleet"),
    Column("Figure", VARIANT, lambda row, _: row.swing.figure, "what is moved, all else as it is"),
    Column(
        f"Net with it {SWING_PCT} % lower", SUM, lambda row, _: row.swing.low_cents / 100, "net a year then", "USD"
    ),
    Column(
        f"Net with it {SWING_PCT} % higher",
        SUM,
        lambda row, _: row.swing.high_cents / 100,
        "net a year then",
        "USD",
    ),
    Column("Moves the answer by", SUM, lambda row, _: row.swing.width / 100, "between the two", "USD"),
    Column(
        "Turns the answer",
        wide(styles.COUNT, 9),
        lambda row, _: "yes" if (row.swing.low_cents > 0) != (row.swing.high_cents > 0) else "no",
        "yes: it pays at one end and not at the other",
    ),
)


def tornado_lines(comparison: Comparison) -> Iterator[SwingLine]:
    """Every figure of every variant, the one that moves most first."""
    for year in comparison.years:
        for swing in year.tornado:
            yield SwingLine(year.variant, swing)


def write_money(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """The years above, the tornado table below."""
    sheet = workbook.create_sheet("Money")
    last = _table(sheet, "Years", YEAR, comparison.years, units, top=1)
    _table(sheet, "Tornado", TORNADO, list(tornado_lines(comparison)), units, top=last + BETWEEN_ROWS)
    styles.print_landscape(sheet, metric=units.metric_distance)


def _table(
    sheet: Worksheet, name: str, columns: Sequence[Column], rows: Iterable[object], units: OutputUnits, *, top: int
) -> int:
    heads = [(column.header(units), column.look) for column in columns]
    values = [[column.value(row, units) for column in columns] for row in rows]
    return styles.write_table(sheet, name, heads, values, top=top)
