"""Links within the schedule workbook: from a trip to its stops, loads, weights and driver's page, and back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from dispatch.io import sheet_styles as styles
from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.report import Report

FIRST_ROW = 2
"""Row of a table's first line of values."""


@dataclass(frozen=True, slots=True)
class PagePlaces:
    """Where the drivers' pages are: sheet by rig, and sheet and row by trip."""

    sheets: dict[str, str] = field(default_factory=dict)
    trips: dict[int, tuple[str, int]] = field(default_factory=dict)


def add_links(workbook: Workbook, report: Report, pages: PagePlaces) -> None:
    """Make cells of the tables, the Summary and the Timeline lead to each other and to the drivers' pages."""
    schedule = {row.trip: number for number, row in enumerate(report.schedule, start=FIRST_ROW)}
    _schedule(workbook["Schedule"], report, pages)
    for title, trips in _trip_columns(report).items():
        sheet, column = workbook[title], 1
        for number, trip in enumerate(trips, start=FIRST_ROW):
            _link(sheet.cell(number, column), ("Schedule", schedule[trip]))
    for title, heading in (("Stops", "Rig"), ("Load plan", "Rig")):
        _rigs(workbook[title], heading, pages)
    _summary(workbook["Summary"], report, pages)
    _timeline(workbook["Timeline"], pages, schedule)


def _trip_columns(report: Report) -> Mapping[str, Sequence[int]]:
    return {
        "Stops": [row.trip for row in report.stops],
        "Load plan": [row.trip for row in report.load_plan],
        "Weights": [row.trip for row in report.weights],
    }


def first_rows(trips: Iterable[int]) -> dict[int, int]:
    """The row in which each trip begins in a table."""
    found: dict[int, int] = {}
    for number, trip in enumerate(trips, start=FIRST_ROW):
        found.setdefault(trip, number)
    return found


def _schedule(sheet: Worksheet, report: Report, pages: PagePlaces) -> None:
    """Trip leads to the driver's page, Start to the stops, the gross to the load plan, the check to its row."""
    firsts = {title: first_rows(trips) for title, trips in _trip_columns(report).items()}
    heads = {str(cell.value).split(" (")[0]: number for number, cell in enumerate(sheet[1], start=1)}
    tightest = {trip.number: id(trip.tightest) for trip in report.trips}
    weights = {id(row.check): number for number, row in enumerate(report.weights, start=FIRST_ROW)}
    for number, row in enumerate(report.schedule, start=FIRST_ROW):
        trip = row.trip
        targets = {
            "Trip": pages.trips.get(trip),
            "Rig": _page(pages, row.rig),
            "Start": ("Stops", firsts["Stops"][trip]),
            "Heaviest gross": ("Load plan", firsts["Load plan"][trip]),
            "Tightest check": ("Weights", weights[tightest[trip]]),
        }
        for head, target in targets.items():
            _link(sheet.cell(number, heads[head]), target)


def _page(pages: PagePlaces, rig: str) -> tuple[str, int] | None:
    return (pages.sheets[rig], 1) if rig in pages.sheets else None


def _rigs(sheet: Worksheet, heading: str, pages: PagePlaces) -> None:
    (column,) = (cell.column for cell in sheet[1] if cell.value == heading)
    for row in range(FIRST_ROW, sheet.max_row + 1):
        cell = sheet.cell(row, column)
        _link(cell, _page(pages, str(cell.value)))


def _summary(sheet: Worksheet, report: Report, pages: PagePlaces) -> None:
    """Labels of the Summary lead to the sheet that says more; a rig's name to its page."""
    weights = {id(row): number for number, row in enumerate(report.weights, start=FIRST_ROW)}
    tightest = weights.get(id(report.summary.tightest), 1)
    targets = {
        "Trips": ("Schedule", 1),
        "Moves left out": ("Left out", 1),
        "Tightest check": ("Weights", tightest),
        "Checks made": ("Weights", 1),
        "Left out": ("Left out", 1),
    }
    section = ""
    for row in range(1, sheet.max_row + 1):
        cell = sheet.cell(row, 1)
        if cell.font.sz == styles.SECTION.sz:
            section = str(cell.value)
        elif section == "First departures":
            _link(cell, _page(pages, str(cell.value)))
        elif section in {"Result", "Left out"}:
            _link(cell, targets.get(str(cell.value) if section == "Result" else section))


def _timeline(sheet: Worksheet, pages: PagePlaces, schedule: Mapping[int, int]) -> None:
    """A rig's name leads to its page, ``trip 3`` to its row in Schedule."""
    for row in sheet.iter_rows(min_row=4):
        for cell in row:
            text = str(cell.value or "")
            if cell.column == 1:
                _link(cell, _page(pages, text))
            elif text.startswith("trip ") and text[5:].isdecimal():
                _link(cell, ("Schedule", schedule[int(text[5:])]))


def _link(cell: Cell | MergedCell, target: tuple[str, int] | None) -> None:
    if target is not None and isinstance(cell, Cell) and cell.value not in (None, ""):
        styles.link(cell, *target)
