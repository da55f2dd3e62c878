"""Writes the schedule workbook: its sheets in their fixed order, from one report."""

from __future__ import annotations

import io

from dispatch.io import sheet_styles as styles
from dispatch.io.driver_sheets import write_driver_sheets
from dispatch.io.fit_sheets import beside_trip, write_trips_left
from dispatch.io.map_sheet import TITLE, write_map
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import write_tables
from dispatch.io.sheet_links import add_links
from dispatch.io.summary_sheet import Used, write_summary
from dispatch.io.timeline_sheet import write_timeline

from dispatch.report import Report


def schedule_workbook(report: Report, used: Used) -> bytes:
    """The workbook as the bytes of an ``.xlsx`` file, in the units that Settings asks for.

    Summary, Schedule, Stops, Load plan, Weights, Left out, Timeline, Map and use, a page a rig, and last, where a
    planned trip leaves room, Payload left with its pictures.
    """
    units = OutputUnits.of(report.problem.settings)
    workbook = styles.new_workbook()
    write_summary(styles.first_sheet(workbook, "Summary"), report, used, units)
    write_tables(workbook, report, units)
    write_timeline(workbook.create_sheet("Timeline"), report, metric=units.metric_distance)
    write_map(workbook.create_sheet(TITLE), report, units)
    pages = write_driver_sheets(workbook, report, units)
    write_trips_left(workbook, [beside_trip(report.problem, trip) for trip in report.trips], units)
    add_links(workbook, report, pages)
    buffer = io.BytesIO()
    workbook.save(buffer)
    return buffer.getvalue()
