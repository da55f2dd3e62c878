"""Rows for a template: taken from other input files, each cell turned into what the template's column holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, time
from pathlib import Path

from dispatch.io.cells import CellValue, folded, is_blank, shown, text_of
from dispatch.io.input_files import read_files
from dispatch.io.input_problems import Findings, Where
from dispatch.io.layout import sheet_named
from dispatch.io.layout_columns import Column, Reads, Sheet
from dispatch.io.sheet_styles import clock_value
from dispatch.io.tables import header_unit, split_header, table_of
from dispatch.io.typed_rows import read_cell
from dispatch.io.unit_names import CANONICAL, factor

from dispatch.errors import InputProblems

RowsBySheet = Mapping[str, Sequence[Mapping[str, CellValue]]]
"""Sheet name -> rows -> header (``Name`` or ``Name (unit)``) -> cell."""


def rows_of_files(paths: Sequence[Path]) -> RowsBySheet:
    """The rows of every declared sheet in the files, headers as typed.

    Raises InputProblems when a file cannot be read or its headers are unsound.
    """
    findings = Findings()
    grids, _ = read_files(paths, findings)
    rows: dict[str, list[Mapping[str, CellValue]]] = {}
    for grid in grids:
        sheet = sheet_named(grid.title)
        table = table_of(grid, sheet, findings) if sheet else None
        if table is not None:
            typed = {name: header.typed for name, header in table.headers.items()}
            found = ({typed[name]: value for name, value in raw.cells.items()} for raw in table.rows)
            rows.setdefault(table.sheet.name, []).extend(found)
    if findings.problems():
        raise InputProblems(findings.problems())
    return rows


def cell_for(column: Column, shown_as: Column, row: Mapping[str, CellValue]) -> CellValue:
    """The template's cell for one column of a row. ``shown_as`` is the column in the template's units.

    Raises BadCell when the row's cell cannot be read.
    """
    header, value = find(column, row)
    if is_blank(value):
        return None
    unit = header_unit(column, split_header(header)[1], Where(""), header, Findings())
    if column.reads is Reads.NUMBER:
        return _number(column, shown_as, value, unit)
    found = read_cell(column, value, unit)
    if column.reads is Reads.COUNT:
        return int(found)
    if column.reads is Reads.TIME:
        return clock_value(found)
    if column.reads is Reads.SHARES and isinstance(value, time):
        return ":".join(f"{part:g}" for part in found)
    return str(found) if column.reads is Reads.DAY_NAME else text_of(value)


def find(column: Column, row: Mapping[str, CellValue]) -> tuple[str, CellValue]:
    """The header as typed and the cell of a row's column; empty when the row has none."""
    for header, value in row.items():
        if folded(split_header(header)[0]) == column.key:
            return header, value
    return "", None


def _number(column: Column, shown_as: Column, value: CellValue, unit: str) -> CellValue:
    """The figure in the template's unit; as typed where that is its unit already."""
    if unit == shown_as.unit and isinstance(value, int | float):
        return value
    if shown_as.unit == column.unit and isinstance(value, str) and not _is_plain(value):
        return value
    canonical: float = read_cell(column, value, unit)
    figure = canonical / factor(shown_as.unit, CANONICAL[column.dimension])
    return float(f"{figure:.15g}")


def _is_plain(text: str) -> bool:
    return text.strip().replace(",", "").replace(".", "").lstrip("-").isdigit()


def keyed(sheet: Sheet, rows: Sequence[Mapping[str, CellValue]]) -> dict[str, Mapping[str, CellValue]]:
    """The rows by their folded first key, units in the name aside (for Settings and Limits)."""
    column = sheet.column(sheet.keys[0])
    return {folded(split_header(text_of(find(column, row)[1]))[0]): row for row in rows}


def free_value(sheet: Sheet, name: str, row: Mapping[str, CellValue]) -> CellValue:
    """The cell under ``name``, as a sheet whose rows differ in unit takes it (Settings and Limits)."""
    value = find(sheet.column(name), row)[1]
    if isinstance(value, datetime):
        return value.date().isoformat()
    return value if value is None or isinstance(value, int | float) else shown(value)
