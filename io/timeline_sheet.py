"""The Timeline sheet: rigs down, hours across, one cell a quarter of an hour, told apart without colour."""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import DOING_MARKS, FONT, SMALL_PT
from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.styles import Alignment, Border, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.day_bars import Bar, Doing
from dispatch.driver_page import hours_text
from dispatch.report import Report
from dispatch.sites import Site
from dispatch.units import MIN_PER_H, clock

CELL_MIN = 15
PER_HOUR = MIN_PER_H // CELL_MIN
NAMES_WIDE = 34
LEGEND_CELLS = 9
FIRST_COLUMN = 2
"""Column of the first quarter of an hour; the rigs' names stand before it."""


SITES_CLOSED = PatternFill("darkGray", fgColor="A6A6A6", bgColor="D9D9D9")
VISIT = Alignment(horizontal="center", vertical="center", shrink_to_fit=True)


def write_timeline(sheet: Worksheet, report: Report, *, metric: bool) -> None:
    """Fill the sheet: two rows a rig (the trip's number above, what is done below), the sites' hours, a legend."""
    first, last = day_span(report.bars)
    styles.put(sheet.cell(1, 1), "Timeline", font=styles.TITLE)
    _heads(sheet, first, last)
    row = 4
    for rig in report.problem.rigs:
        bars = [bar for bar in report.bars if bar.rig == rig.name]
        row = _rig_rows(sheet, row, rig.name, bars, first, last)
    row = _site_rows(sheet, row + 1, report, first, last)
    _legend(sheet, row + 1)
    sheet.freeze_panes = f"{get_column_letter(FIRST_COLUMN)}4"
    styles.print_landscape(sheet, titles="1:3", metric=metric)


def day_span(bars: Sequence[Bar]) -> tuple[int, int]:
    """First and last full hour around all bars, minutes; 06:00 to 18:00 when there are none."""
    if not bars:
        return 6 * MIN_PER_H, 18 * MIN_PER_H
    first = min(bar.from_min for bar in bars) // MIN_PER_H * MIN_PER_H
    last = -(-max(bar.to_min for bar in bars) // MIN_PER_H) * MIN_PER_H
    return first, last


def most_done(bars: Sequence[Bar], start: int) -> Bar | None:
    """The bar that fills most of the quarter of an hour from ``start``; of equals the later; none: ``None``."""
    shared = [(min(bar.to_min, start + CELL_MIN) - max(bar.from_min, start), bar.from_min, bar) for bar in bars]
    minutes, _, bar = max(shared, key=lambda entry: entry[:2], default=(0, 0, None))
    return bar if minutes > 0 else None


def _heads(sheet: Worksheet, first: int, last: int) -> None:
    sheet.column_dimensions["A"].width = NAMES_WIDE
    styles.put(sheet.cell(3, 1), "Rig", font=styles.BOLD).border = styles.HEADER_LINE
    for number, start in enumerate(range(first, last, CELL_MIN)):
        column = FIRST_COLUMN + number
        sheet.column_dimensions[get_column_letter(column)].width = 2.3
        head = sheet.cell(3, column)
        head.border = _edges(start, top=False, bottom=True)
        if start % MIN_PER_H == 0:
            sheet.merge_cells(start_row=3, end_row=3, start_column=column, end_column=column + PER_HOUR - 1)
            styles.put(head, clock(start), font=styles.BOLD, alignment=styles.TOP_LEFT)


def _edges(start: int, *, top: bool, bottom: bool) -> Border:
    """Lines around a cell: a stronger one where an hour begins."""
    return Border(
        left=styles.THIN if start % MIN_PER_H == 0 else None,
        top=styles.THIN if top else None,
        bottom=styles.THIN if bottom else None,
    )


def _rig_rows(sheet: Worksheet, row: int, rig: str, bars: Sequence[Bar], first: int, last: int) -> int:
    styles.put(sheet.cell(row, 1), rig, font=styles.BOLD, alignment=styles.WRAP)
    styles.put(sheet.cell(row + 1, 1), totals_text(bars), font=styles.SMALL, alignment=styles.TOP_LEFT)
    sheet.row_dimensions[row].height, sheet.row_dimensions[row + 1].height = 13, 16
    shown_trip = 0
    for number, start in enumerate(range(first, last, CELL_MIN)):
        above, cell = sheet.cell(row, FIRST_COLUMN + number), sheet.cell(row + 1, FIRST_COLUMN + number)
        above.border = _edges(start, top=True, bottom=False)
        cell.border = _edges(start, top=False, bottom=True)
        bar = most_done(bars, start)
        if bar is None:
            continue
        _mark(cell, bar.doing)
        if bar.trip not in (0, shown_trip):
            styles.put(above, f"trip {bar.trip}", font=styles.SMALL)
            shown_trip = bar.trip
    return row + 2


def _mark(cell: Cell | MergedCell, doing: Doing) -> None:
    mark = DOING_MARKS[doing]
    font = Font(name=FONT, size=SMALL_PT, bold=mark.bold, color=mark.letters)
    styles.put(cell, mark.letter, font=font, alignment=styles.CENTRE)
    cell.fill, cell.border = PatternFill(mark.pattern, fgColor=mark.fill), styles.BOX


def totals_text(bars: Sequence[Bar]) -> str:
    """A rig's day in a line: from when to when, minutes waited, the driver's breaks."""
    if not bars:
        return "not used"
    words = [f"{clock(min(bar.from_min for bar in bars))}-{clock(max(bar.to_min for bar in bars))}"]
    waited = sum(bar.to_min - bar.from_min for bar in bars if bar.doing is Doing.WAITING)
    words += [f"waits {waited} min"] if waited else []
    pauses = [bar for bar in bars if bar.doing is Doing.BREAK]
    words += [f"break {clock(bar.from_min)}-{clock(bar.to_min)}" for bar in pauses]
    return ", ".join(words)


def _site_rows(sheet: Worksheet, row: int, report: Report, first: int, last: int) -> int:
    """A row a site visited: dark where it is closed, the trips' numbers where they load or unload there."""
    styles.put(sheet.cell(row, 1), "Sites: hours and visits (trip number)", font=styles.BOLD)
    visits = [bar for bar in report.bars if bar.doing in {Doing.LOADING, Doing.UNLOADING, Doing.WAITING}]
    for name in dict.fromkeys(bar.place for bar in visits):
        row += 1
        site, here = report.problem.sites[name], [bar for bar in visits if bar.place == name]
        styles.put(
            sheet.cell(row, 1),
            f"{name} ({hours_text(site) or 'always open'})",
            font=styles.SMALL,
            alignment=styles.TOP_LEFT,
        )
        for number, start in enumerate(range(first, last, CELL_MIN)):
            _site_cell(sheet.cell(row, FIRST_COLUMN + number), site, here, start)
    return row + 1


def _site_cell(cell: Cell | MergedCell, site: Site, here: Sequence[Bar], start: int) -> None:
    opens, closes = site.opens_min, site.closes_min
    shut = (opens is not None and start + CELL_MIN <= opens) or (closes is not None and start >= closes)
    cell.border = _edges(start, top=True, bottom=True)
    if shut:
        cell.fill = SITES_CLOSED
    trips = sorted({bar.trip for bar in here if bar.from_min < start + CELL_MIN and bar.to_min > start})
    if trips:
        styles.put(cell, "+".join(map(str, trips)), font=styles.SMALL_BOLD, alignment=VISIT)


def _legend(sheet: Worksheet, row: int) -> None:
    """What letters and shades mean."""
    styles.put(sheet.cell(row, 1), "Legend", font=styles.BOLD)
    for number, doing in enumerate(DOING_MARKS):
        at, column = row + number // 3, FIRST_COLUMN + number % 3 * LEGEND_CELLS
        _mark(sheet.cell(at, column), doing)
        styles.put(sheet.cell(at, column + 1), doing.value, font=styles.SMALL)
    shut = sheet.cell(row + 2, FIRST_COLUMN)
    shut.fill, shut.border = SITES_CLOSED, styles.BOX
    styles.put(sheet.cell(row + 2, FIRST_COLUMN + 1), "site closed", font=styles.SMALL)
    text = f"One cell is {CELL_MIN} minutes and shows what fills most of it; exact times are in Stops."
    styles.put(sheet.cell(row + 2, FIRST_COLUMN + LEGEND_CELLS), text, font=styles.SMALL)
