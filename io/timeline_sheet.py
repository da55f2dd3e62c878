"""The Timeline sheet: rigs down, hours across, one cell a quarter of an hour, told apart without colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dispatch.io import sheet_styles as styles
from openpyxl.styles import Border, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.day_bars import Bar, Doing
from dispatch.report import Report
from dispatch.units import MIN_PER_H, clock

CELL_MIN = 15
PER_HOUR = MIN_PER_H // CELL_MIN
FIRST_COLUMN = 2
"""Column of the first quarter of an hour; the rigs' names stand before it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """How a cell shows what is done: a letter, a shade of grey that prints, and the letter's font."""

    letter: str
    fill: PatternFill
    font: Font


def _mark(letter: str, grey: str, font: Font = styles.SMALL) -> Mark:
    return Mark(letter, PatternFill("solid", fgColor=grey), font)


MARKS = {
    Doing.LOADED: _mark("D", "404040", styles.INVERSE),
    Doing.EMPTY: _mark("e", "FFFFFF"),
    Doing.LOADING: _mark("L", "A6A6A6", styles.SMALL_BOLD),
    Doing.UNLOADING: _mark("U", "D0D0D0", styles.SMALL_BOLD),
    Doing.WAITING: _mark("w", "F2F2F2"),
    Doing.BREAK: _mark("b", "F2F2F2"),
}


def write_timeline(sheet: Worksheet, report: Report, *, metric: bool) -> None:
    """Fill the sheet: two rows a rig (number of the trip above, what is done below) and a legend."""
    first, last = day_span(report.bars)
    styles.put(sheet.cell(1, 1), "Timeline", font=styles.TITLE)
    _heads(sheet, first, last)
    row = 4
    for rig in report.problem.rigs:
        bars = [bar for bar in report.bars if bar.rig == rig.name]
        row = _rig_rows(sheet, row, rig.name, bars, first, last)
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
    sheet.column_dimensions["A"].width = 18
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
    styles.put(sheet.cell(row + 1, 1), "" if bars else "not used", font=styles.SMALL)
    sheet.row_dimensions[row].height, sheet.row_dimensions[row + 1].height = 15, 18
    shown_trip = 0
    for number, start in enumerate(range(first, last, CELL_MIN)):
        above, cell = sheet.cell(row, FIRST_COLUMN + number), sheet.cell(row + 1, FIRST_COLUMN + number)
        above.border = _edges(start, top=True, bottom=False)
        cell.border = _edges(start, top=False, bottom=True)
        bar = most_done(bars, start)
        if bar is None:
            continue
        mark = MARKS[bar.doing]
        styles.put(cell, mark.letter, font=mark.font, alignment=styles.CENTRE)
        cell.fill = mark.fill
        cell.border = styles.BOX
        if bar.trip not in (0, shown_trip):
            styles.put(above, f"trip {bar.trip}", font=styles.SMALL)
            shown_trip = bar.trip
    return row + 2


def _legend(sheet: Worksheet, row: int) -> None:
    styles.put(sheet.cell(row, 1), "Legend", font=styles.BOLD)
    for doing, mark in MARKS.items():
        cell = styles.put(sheet.cell(row, FIRST_COLUMN), mark.letter, font=mark.font, alignment=styles.CENTRE)
        cell.fill, cell.border = mark.fill, styles.BOX
        styles.put(sheet.cell(row, FIRST_COLUMN + 1), doing.value, font=styles.SMALL)
        row += 1
    text = f"One cell is {CELL_MIN} minutes and shows what fills most of it; exact times are in Stops."
    styles.put(sheet.cell(row, FIRST_COLUMN), text, font=styles.SMALL)
