"""A sound workbook in memory, to be bent by the tests and written as .xlsx or as .csv files."""

from __future__ import annotations

import csv
from collections.abc import Callable
from copy import deepcopy
from datetime import date, time
from pathlib import Path
from typing import Any

from dispatch.io.input_problems import InputProblem
from dispatch.io.read_workbook import InputResult, read_inputs
from openpyxl import Workbook

TODAY = date(2026, 11, 25)

SOUND: dict[str, list[list[Any]]] = {
    "Items": [
        ["Item", "Kind", "Weight (lb)", "Weight basis", "Length (ft)", "Width (ft)", "Height (ft)", "Loads by"],
        ["EX-07", "machine", 8_200, "scale ticket", "13' 6\"", 5.5, 8, "drives on"],
        ["SS-2", "machine", "6,900 lb", "data plate", 11, 5.5, 6.5, "drives on"],
        ["Bucket 24", "attachment", 480, "estimate", 3, 2.5, 3, "lifted"],
    ],
    "Trucks": [
        [
            "Truck",
            "GVWR (lb)",
            "GCWR (lb)",
            "Front axle rating (lb)",
            "Rear axle rating (lb)",
            "Empty front (lb)",
            "Empty rear (lb)",
            "Wheelbase (ft)",
            "Coupler ahead of rear axle (ft)",
            "Hitch",
        ],
        ["T-3", 19_500, 40_000, 7_000, 14_500, 4_800, 3_900, "16' 1\"", 0.5, "gooseneck"],
        ["T-4", 19_500, 40_000, 7_000, 14_500, 4_900, 4_000, "16' 1\"", 0.5, "gooseneck"],
    ],
    "Trailers": [
        [
            "Trailer",
            "Hitch",
            "GVWR (lb)",
            "Axles",
            "Axle rating (lb)",
            "Axle spacing (ft)",
            "Coupler to first axle (ft)",
            "Empty coupler (lb)",
            "Empty axles (lb)",
            "Coupler to deck (ft)",
            "Deck length (ft)",
            "Deck height (ft)",
            "Axle shares",
        ],
        ["G-24", "gooseneck", 24_000, 3, 8_000, 3.5, 22, 1_600, 6_400, 7, 28, 3, "1:1:1"],
        ["G-25", "gooseneck", 24_000, 3, 8_000, 3.5, 22, 1_600, 6_400, 7, 28, 3, None],
    ],
    "Rigs": [
        ["Rig", "Truck", "Trailer", "Driver", "Yard", "Shift start", "Shift end", "Available"],
        ["R-1", "T-3", "G-24", "Driver 1", "North yard", time(6), "17:00", "yes"],
        ["R-2", "T-4", "G-25", "Driver 2", "North yard", "6:00", "5:00 PM", None],
    ],
    "Sites": [
        ["Site", "Latitude", "Longitude", "Opens", "Closes"],
        ["North yard", 40.712, -89.604, None, None],
        ["Mill Road", 40.651, -89.402, "7:00", "17:00"],
        ["Quarry", 40.802, -89.512, "6:30", time(16, 30)],
    ],
    "Moves": [
        ["Move", "Item", "From", "To", "Ready", "Deliver by", "With", "Only rigs", "Not rigs"],
        [101, "EX-07", "North yard", "Mill Road", "7:30", "14:00", "Bucket 24", None, None],
        [102, "SS-2", "Quarry", "North yard", None, None, None, "R-1; R-2", None],
    ],
    "Distances": [["From", "To", "Distance (mi)", "Minutes"], ["North yard", "Mill Road", 14.2, 26]],
    "Settings": [["Setting", "Value"], ["Load minutes (min)", 25]],
    "Limits": [["Limit", "Value", "Note"], ["Overall length (ft)", 65, "state code"]],
}


class Book:
    """Sheets as lists of rows; rows and columns are addressed as a spreadsheet shows them, headers by name."""

    def __init__(self, sheets: dict[str, list[list[Any]]] | None = None) -> None:
        self.sheets = deepcopy(SOUND if sheets is None else sheets)
        self.bend: list[Callable[[Workbook], None]] = []

    def column(self, sheet: str, header: str) -> int:
        """Number of the column with this header, given with or without its unit; 0 when there is none."""
        for index, typed in enumerate(self.sheets[sheet][0], start=1):
            if header in (typed, str(typed).partition(" (")[0]):
                return index
        return 0

    def set(self, sheet: str, row: int, header: str, value: Any) -> None:
        """Puts a value below a header; row 2 is the first below it. A new header is added at the right."""
        if not self.column(sheet, header):
            for index, cells in enumerate(self.sheets[sheet]):
                cells.append(header if index == 0 else None)
        cells = self.sheets[sheet][row - 1]
        cells[self.column(sheet, header) - 1] = value

    def xlsx(self, path: Path) -> Path:
        """Writes the book as a workbook; text stays text."""
        workbook = Workbook()
        workbook.remove(workbook.active)
        for name, rows in self.sheets.items():
            sheet = workbook.create_sheet(name)
            for number, row in enumerate(rows, start=1):
                for index, value in enumerate(row, start=1):
                    if value is not None:
                        sheet.cell(number, index, value)
        for change in self.bend:
            change(workbook)
        workbook.save(path)
        return path

    def csv_folder(self, path: Path, encoding: str = "utf-8-sig", delimiter: str = ",") -> Path:
        """Writes the book as one .csv file a sheet."""
        path.mkdir()
        for name, rows in self.sheets.items():
            with (path / f"{name}.csv").open("w", encoding=encoding, newline="") as file:
                csv.writer(file, delimiter=delimiter).writerows(
                    [["" if cell is None else str(cell) for cell in row] for row in rows]
                )
        return path


def read(*paths: Path, **more: Any) -> InputResult:
    """Reads the files as of a fixed day."""
    return read_inputs(paths, today=TODAY, **more)


def only(findings: tuple[InputProblem, ...]) -> InputProblem:
    """The one finding; fails with all of them when there are more or none."""
    assert len(findings) == 1, "\n".join(map(str, findings))
    return findings[0]
