"""One printable page a rig for its driver: stops, loads with a side view each, limits, cautions and checks."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.drawings import figures, side_view
from dispatch.io.output_units import OutputUnits
from openpyxl.drawing.image import Image
from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, OneCellAnchor
from openpyxl.drawing.xdr import XDRPositiveSize2D
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.driver_page import CHECKS_ON_THE_ROAD, DriverPage, DriverStop, DriverTrip, driver_pages
from dispatch.report import GENERAL_CAUTIONS, LoadRow, Report
from dispatch.units import clock, feet_inches

COLUMN = 11.5
LAST = 12
"""The page is laid over this many columns of this width in characters."""
COLUMN_PIXELS = 84
EMU_PER_PIXEL = 9525
"""Pixels of 1/96 in, 914,400 English metric units an inch (ECMA-376, part 1, 20.1.2.1)."""
PICTURE_ROW_POINTS = 15.0
LEG_POINTS = 46.0
PAGE_POINTS, PAGE_POINTS_A4 = 545.0, 505.0
"""Height that one printed page takes on Letter and on A4, titles included."""


class Page:
    """A sheet that is filled from the top; knows its next free row."""

    def __init__(self, sheet: Worksheet, *, metric: bool) -> None:
        self.points = PAGE_POINTS_A4 if metric else PAGE_POINTS
        self.sheet = sheet
        self.row = 1
        self.used = self.titles = 0.0
        for number in range(1, LAST + 1):
            sheet.column_dimensions[get_column_letter(number)].width = COLUMN

    def line(self, text: str, *, title: bool = False, bold: bool = False) -> None:
        """One text across the page, wrapped, in a row high enough for it."""
        self.spread([(text, LAST)], font=styles.TITLE if title else styles.BOLD if bold else styles.BODY)

    def section(self, text: str) -> None:
        """A heading across the page."""
        self.spread([(text, LAST)], font=styles.SECTION)
        for column in range(1, LAST + 1):
            self.sheet.cell(self.row - 1, column).fill = styles.SECTION_FILL

    def spread(
        self,
        parts: Sequence[tuple[str, int]],
        *,
        font: Font = styles.BODY,
        boxed: bool = False,
        head: bool = False,
    ) -> None:
        """Texts beside each other, each over a number of columns; the row grows with the longest."""
        column, height = 1, 0.0
        for text, span in parts:
            cell = styles.put(self.sheet.cell(self.row, column), text, font=font, alignment=styles.WRAP)
            for covered in range(column, column + span):
                if boxed:
                    self.sheet.cell(self.row, covered).border = styles.BOX
                if head:
                    self.sheet.cell(self.row, covered).fill = styles.HEADER_FILL
            if span > 1:
                self.sheet.merge_cells(
                    start_row=self.row, end_row=self.row, start_column=column, end_column=column + span - 1
                )
            size = cell.font.sz or 10
            height = max(height, styles.row_height(text, span * COLUMN * 10 / size, size * 1.3))
            column += span
        self.sheet.row_dimensions[self.row].height = height
        self.used += height
        self.row += 1

    def table(
        self, heads: Sequence[tuple[str, int]], rows: Sequence[Sequence[str]], *, small: bool = False
    ) -> None:
        """A boxed table; ``heads`` are headings and the number of columns each takes."""
        font = styles.SMALL if small else styles.BODY
        self.spread(heads, font=styles.SMALL_BOLD if small else styles.BOLD, boxed=True, head=True)
        for row in rows:
            parts = [(text, span) for text, (_, span) in zip(row, heads, strict=True)]
            self.spread(parts, font=font, boxed=True)

    def picture(self, png: bytes) -> None:
        """A drawing as wide as the page, over as many rows as it is high."""
        picture = Image(io.BytesIO(png))
        width = LAST * COLUMN_PIXELS
        height = round(width * picture.height / picture.width)
        rows = math.ceil(height * 0.75 / PICTURE_ROW_POINTS)
        for row in range(self.row, self.row + rows):
            self.sheet.row_dimensions[row].height = PICTURE_ROW_POINTS
        size = XDRPositiveSize2D(width * EMU_PER_PIXEL, height * EMU_PER_PIXEL)
        picture.anchor = OneCellAnchor(_from=AnchorMarker(col=0, row=self.row - 1), ext=size)
        self.sheet.add_image(picture)
        self.used += rows * PICTURE_ROW_POINTS
        self.row += rows

    def gap(self) -> None:
        """An empty row."""
        self.used += PICTURE_ROW_POINTS
        self.row += 1

    def new_page(self) -> None:
        """Start a printed page; the two title rows are repeated on it."""
        styles.break_before(self.sheet, self.row)
        self.used = self.titles

    def keep_together(self, points: float) -> None:
        """Start a printed page unless this height still fits."""
        if self.used + points > self.points:
            self.new_page()


def write_driver_sheets(workbook: Workbook, report: Report, units: OutputUnits) -> None:
    """Append one sheet a rig, in input order."""
    for number, content in enumerate(driver_pages(report), start=1):
        name = content.rig.name
        title = name if name.casefold().startswith("rig") else f"Rig {name}"
        sheet = workbook.create_sheet(styles.sheet_title(workbook, title or f"Rig {number}"))
        page = Page(sheet, metric=units.metric_distance)
        _head(page, report, content)
        if content.trips:
            _stops(page, content)
            _rules(page)
        for trip in content.trips:
            _trip(page, report, trip, units)
        styles.print_landscape(sheet, titles="1:2", metric=units.metric_distance)


def _head(page: Page, report: Report, content: DriverPage) -> None:
    rig, day = content.rig, report.problem.settings.day
    page.line(f"{rig.name}  {day}".strip(), title=True)
    gear = f"truck {rig.truck.name}, trailer {rig.trailer.name}, {rig.chains} chains, {rig.straps} straps"
    page.line(f"Driver {rig.driver or '(none named)'}, {gear}", bold=True)
    page.titles = page.used
    if content.leave_min is None or content.back_min is None:
        page.line("No trips today.")
        return
    times = f"Leave {rig.yard} {clock(content.leave_min)}. Planned back at {rig.end} {clock(content.back_min)}."
    page.line(f"{times} MUST BE BACK BY {clock(content.must_be_back_min)}.", bold=True)
    for start, end in content.breaks:
        page.line(f"Break from driving {clock(start)}-{clock(end)}.")


def _stops(page: Page, content: DriverPage) -> None:
    page.section("Stops")
    heads = [("Trip, stop", 1), ("Arrive", 1), ("Leave", 1), ("Site", 2), ("What to do", 4)]
    heads.append(("Address, hours, contact", 3))
    rows = [
        [
            f"{stop.trip}.{stop.number}",
            clock(stop.arrive_min),
            clock(stop.leave_min),
            stop.site.name,
            "\n".join(stop.tasks),
            _site_text(stop),
        ]
        for stop in content.stops
    ]
    page.table(heads, rows)
    page.gap()


def _site_text(stop: DriverStop) -> str:
    site = stop.site
    parts = [
        site.address,
        f"open {stop.hours}" if stop.hours else "",
        f"contact {site.contact}" if site.contact else "",
        site.note,
    ]
    return "\n".join(part for part in parts if part)


def _rules(page: Page) -> None:
    page.section("Checks before driving and on the road (49 CFR 392.9)")
    for text in CHECKS_ON_THE_ROAD:
        page.line(f"[  ]  {text}")
    page.line(" ".join(GENERAL_CAUTIONS))


def _trip(page: Page, report: Report, trip: DriverTrip, units: OutputUnits) -> None:
    page.new_page()
    loaded = trip.loaded
    leg = loaded.fullest
    page.section(f"Trip {loaded.number}: {clock(loaded.trip.start_min)}-{clock(loaded.trip.end_min)}")
    for text in _urgent(trip, units):
        page.line(text, bold=True)
    order = {row.haul: row.order for row in trip.rows}
    on_deck = [(order[placed.haul], placed) for placed in leg.leg.on_deck]
    loads = trip.axle_loads[leg.number - 1]
    for text in trip.notes:
        page.line(f"Note {text}")
    page.line(f"Loaded from {leg.leg.origin} to {leg.leg.destination} (to scale; distances from the deck's front)")
    page.picture(side_view(report.problem, loaded.rig, on_deck, loads))
    _items(page, trip.rows, units)
    _axles(page, trip, units)


def _urgent(trip: DriverTrip, units: OutputUnits) -> Sequence[str]:
    """Height, permits and cautions of a trip, each one line."""
    lines = []
    if trip.height_in is not None:
        lines.append(f"Loaded height {units.length_text(trip.height_in)}")
    lines += [f"PERMIT: {text}" for text in trip.permits]
    return lines + [f"CAUTION: {text}" for text in trip.cautions]


def _items(page: Page, rows: Sequence[LoadRow], units: OutputUnits) -> None:
    heads = [("Order", 1), ("Move", 1), ("Item", 2), ("Front edge", 1), ("Facing, deck", 2)]
    heads += [("Weight", 1), ("Basis", 1), ("Tie-downs", 2), ("Least WLL each", 1)]
    page.table(heads, [_item_texts(row, units) for row in rows])
    page.gap()


def _item_texts(row: LoadRow, units: OutputUnits) -> list[str]:
    place = feet_inches(row.behind_deck_front_in)
    if units.metric_distance:
        place = f"{units.length_text(row.behind_deck_front_in)} ({place})"
    counts = ((row.chains, "chain"), (row.straps, "strap"))
    gear = [f"{count} {name}{'s' if count > 1 else ''}" for count, name in counts if count]
    return [
        str(row.order),
        row.move,
        row.item,
        place,
        f"{row.facing.value}, {row.deck.value} deck",
        units.weight_text(row.weight_lb),
        row.basis,
        ", ".join(gear),
        units.weight_text(row.each_wll_lb),
    ]


def _axles(page: Page, trip: DriverTrip, units: OutputUnits) -> None:
    """Loads of every leg, a column an axle, so that nobody needs to read the picture for them."""
    page.keep_together(LEG_POINTS * (len(trip.axle_loads) + 0.7))
    places = [load.place for load in trip.axle_loads[0]]
    road = max(1, LAST - 1 - len(places))
    heads = [(f"Loads in {units.weight}", road), ("", 1), *((place, 1) for place in places)]
    rows = []
    for leg, loads in zip(trip.loaded.legs, trip.axle_loads, strict=True):
        names = f"leg {leg.number}\n{leg.leg.origin}\nto {leg.leg.destination}"
        lines = "load\nworst case\nlimit\nuse"
        rows.append([names, lines, *("\n".join(figures(load, units)) for load in loads)])
    page.table(heads, rows, small=True)
    page.gap()
