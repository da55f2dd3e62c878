"""An .xlsx workbook -> the grids of its sheets.

Never opened read-only (that trusts the size which the file declares, and drops rows silently). Opened twice, for
values and for formulas, so that a formula without a stored result is seen and not read as a blank.
"""

from __future__ import annotations

import re
import warnings
import zipfile
from functools import cache
from io import BytesIO
from typing import Any

from dispatch.io.cells import CellValue, ErrorValue, NoStoredValue, ShownWith, is_blank
from dispatch.io.input_problems import Findings, Where
from dispatch.io.sheet_grids import MB, MOST_UNPACKED_BYTES, Grid, Merge
from dispatch.io.unit_names import dimension_of
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet


def xlsx_grids(file: str, data: bytes, findings: Findings) -> tuple[Grid, ...]:
    """The grids of the workbook's sheets in order; none, with a problem noted, when it cannot be read."""
    fault = _fault_of_archive(data)
    if fault:
        findings.problem(Where(file), "", fault)
        return ()
    try:
        values, formulas = _opened(data, data_only=True), _opened(data, data_only=False)
    except Exception:  # a damaged file raises anything at all in the parsers below
        findings.problem(Where(file), "", "a readable .xlsx workbook; it is damaged")
        return ()
    grids = tuple(_grid(file, sheet, formulas[sheet.title]) for sheet in values.worksheets)
    for sheet, grid in zip(values.worksheets, grids, strict=True):
        _note_hidden(sheet, grid, findings)
    return grids


def _note_hidden(sheet: Worksheet, grid: Grid, findings: Findings) -> None:
    """Rows that nobody sees are read all the same: whoever filtered them out must know."""
    where = Where(grid.file, grid.title)
    hidden = [row for row in grid.rows if row in sheet.row_dimensions and sheet.row_dimensions[row].hidden]
    if sheet.sheet_state != "visible" and grid.rows:
        findings.warning(where, grid.title, "is a hidden sheet; it is read all the same")
    elif hidden:
        rows = ", ".join(str(row) for row in hidden[:8]) + (", ..." if len(hidden) > 8 else "")
        findings.warning(where, f"rows {rows}", "hidden or filtered out; they are read all the same")


def _fault_of_archive(data: bytes) -> str:
    """What speaks against unpacking, or nothing. A file's real size cannot pass what its directory declares."""
    if not zipfile.is_zipfile(BytesIO(data)):
        return "an .xlsx workbook; this is none (save it as .xlsx, without a password)"
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            unpacked = sum(part.file_size for part in archive.infolist())
    except zipfile.BadZipFile:
        return "a readable .xlsx workbook; it is damaged"
    if unpacked > MOST_UNPACKED_BYTES:
        return f"at most {MOST_UNPACKED_BYTES // MB} MB unpacked; this workbook has {unpacked // MB:,} MB"
    return ""


def _opened(data: bytes, *, data_only: bool) -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return load_workbook(BytesIO(data), data_only=data_only, keep_links=False)


def _grid(file: str, values: Worksheet, formulas: Worksheet) -> Grid:
    # The cells that exist, not the rectangle around them: one stray far corner must not cost a million rows.
    stored: dict[tuple[int, int], Any] = values._cells
    written: dict[tuple[int, int], Any] = formulas._cells
    rows: dict[int, dict[int, CellValue]] = {}
    for row, column in sorted(stored):
        value = _value(stored[row, column], written.get((row, column)))
        if not is_blank(value):
            rows.setdefault(row, {})[column] = value
    merges = tuple(
        Merge(str(block), block.min_row, block.max_row, block.min_col, block.max_col)
        for block in values.merged_cells.ranges
    )
    return Grid(file, values.title, rows, merges)


def _value(stored: Any, written: Any) -> CellValue:
    value = stored.value
    if stored.data_type == "e":
        return ErrorValue(str(value))
    if value is None:
        is_formula = written is not None and written.data_type == "f"
        # A result that is stored as empty text has the type "str" and is a blank; no type: nothing was stored.
        return NoStoredValue(_formula_text(written.value)) if is_formula and stored.data_type != "str" else None
    if isinstance(value, int | float) and not isinstance(value, bool):
        unit = _shown_unit(stored.number_format)
        return ShownWith(float(value), unit) if unit else value
    return value  # type: ignore[no-any-return]


def _formula_text(formula: Any) -> str:
    return str(getattr(formula, "text", formula))


@cache
def _shown_unit(number_format: str) -> str:
    """The unit that a number format prints behind (or before) the figure: ``0%``, ``#,##0 "kg"``."""
    section = number_format.split(";", maxsplit=1)[0]
    literals = re.findall(r'"([^"]*)"|\[\$([^-\]]*)', section)
    for quoted, currency in literals:
        unit = (quoted or currency).strip()
        if unit and dimension_of(unit):
            return str(unit)
    bare = re.sub(r'"[^"]*"|\\.', "", section)
    return "%" if "%" in bare else ""
