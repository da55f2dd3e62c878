"""A .csv file -> a grid. Comma, semicolon or tab; UTF-8, else the old Western code page with a warning."""

from __future__ import annotations

import csv
from pathlib import PurePath

from dispatch.io.cells import ERROR_CODES, CellValue, ErrorValue
from dispatch.io.input_problems import Findings, Where
from dispatch.io.sheet_grids import Grid

_DELIMITERS = (",", ";", "\t")


def csv_grid(file: str, data: bytes, findings: Findings) -> Grid | None:
    """The file's grid, titled after the file; ``None``, with a problem noted, when it cannot be read."""
    text = _decoded(file, data, findings)
    if text is None:
        return None
    rows: dict[int, dict[int, CellValue]] = {}
    try:
        reader = csv.reader(text.splitlines(keepends=True), delimiter=_delimiter(text), strict=True)
        for number, record in enumerate(reader, start=1):
            cells = {column: _value(cell) for column, cell in enumerate(record, start=1) if cell.strip()}
            if cells:
                rows[number] = cells
    except csv.Error as error:
        findings.problem(Where(file, row=len(rows) + 1), "", f"a readable .csv file; {error}")
        return None
    return Grid(file, PurePath(file).stem, rows)


def _decoded(file: str, data: bytes, findings: Findings) -> str | None:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        findings.problem(Where(file), "", "text in UTF-8; save it as CSV UTF-8")
        return None
    findings.warning(Where(file), "", "not UTF-8, read as Windows-1252: check names with accents")
    return text


def _delimiter(text: str) -> str:
    """The mark that the first line with words uses most outside quotes."""
    lines = (line for line in text.splitlines() if line.strip() and not line.startswith("#"))
    header = next(lines, "")
    return max(_DELIMITERS, key=lambda mark: len(next(csv.reader([header], delimiter=mark), [])))


def _value(cell: str) -> CellValue:
    return ErrorValue(cell.strip()) if cell.strip() in ERROR_CODES else cell
