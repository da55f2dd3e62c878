"""The sheet Map and use: the day's roads to scale, and how far each check is used."""

from __future__ import annotations

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import TIGHT_USE
from dispatch.io.map_drawing import PANELS, map_picture
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import Page
from dispatch.io.use_drawing import MOST_ROWS, use_picture
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.day_map import check_uses, day_map
from dispatch.report import Report

TITLE = "Map and use"
LEGEND = (
    "Loaded legs thick with the number of their trip, empty legs thin and broken; straight lines stand for roads. "
    "All panels to one scale, north up."
)


def write_map(sheet: Worksheet, report: Report, units: OutputUnits) -> None:
    """Fill the sheet: a panel a rig that drives, then a bar a check."""
    page = Page(sheet, metric=units.metric_distance)
    page.line(TITLE, styles.TITLE)
    page.end_titles()
    _maps(page, report, units)
    uses = check_uses(report.weights)
    if uses:
        page.new_page()
        page.section("Use of each check over the day's legs")
        page.line(
            f"Dark: {TIGHT_USE:.0%} of the limit or more. Hatched: over a limit of law under a permit. "
            f"Where most is used stands at the right."
        )
        page.picture(use_picture(uses, width_in=page.width_in))
        if len(uses) > MOST_ROWS:
            page.line(f"{len(uses) - MOST_ROWS} checks used less are not drawn; see the sheet Weights.")


def _maps(page: Page, report: Report, units: OutputUnits) -> None:
    day = day_map(report.problem, report.plan)
    page.section("Roads of the day, by rig")
    if day.without:
        page.line(f"Without coordinates, so not on the map: {', '.join(day.without)}.", page.bold)
    if not day.points:
        page.line("No map: no site that is driven to has coordinates." if day.drives else "No map: no rig drives.")
        return
    page.line(LEGEND)
    rigs = [rig.name for rig in report.problem.rigs if any(drive.rig == rig.name for drive in day.drives)]
    for first in range(0, len(rigs), PANELS):
        if first:
            page.new_page()
        page.picture(map_picture(day, rigs[first : first + PANELS], units, width_in=page.width_in))
