"""Writes the price workbook: its sheets in their fixed order, from one report."""

from __future__ import annotations

import io

from dispatch.io import sheet_styles as styles
from dispatch.io.output_units import OutputUnits
from dispatch.io.price_pages import write_load_plans, write_payment, write_range
from dispatch.io.price_sheet import write_price
from dispatch.io.price_tables import write_price_tables, write_reasons
from dispatch.io.summary_sheet import Used

from dispatch.mobilisation.bid_report import BidReport


def price_workbook(report: BidReport, used: Used) -> bytes:
    """The workbook as the bytes of an ``.xlsx`` file, in the units that Settings asks for.

    Price, Lines, Trips, Load plans, Assumptions, Own against outside, Alternatives, Range, Pay schedule.
    """
    units = OutputUnits.of(report.priced.fleet.settings)
    workbook = styles.new_workbook()
    write_price(styles.first_sheet(workbook, "Price"), report, used, metric=units.metric_distance)
    write_price_tables(workbook, report, units)
    write_load_plans(workbook, report, units)
    write_reasons(workbook, report, units)
    write_range(workbook, report, units)
    write_payment(workbook, report, units)
    buffer = io.BytesIO()
    workbook.save(buffer)
    return buffer.getvalue()
