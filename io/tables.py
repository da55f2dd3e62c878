"""A grid -> the declared table in it: which column is which, in what unit, and the rows with their addresses."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from dispatch.io.cells import ERROR_CODES, CellValue, folded, nearest, shown, tidy
from dispatch.io.input_problems import Findings, Where
from dispatch.io.layout_columns import Column, Sheet
from dispatch.io.sheet_grids import Grid, Merge
from dispatch.io.unit_names import Dimension, dimension_of, unit_of, units_of
from openpyxl.utils import get_column_letter

HEADER_WITHIN = 10
"""The header is looked for in the first so many rows that hold anything."""
_NO_MORE_CELLS = (
    'no more cells than the header has; a comma within a cell needs quotes ("12,400"), a column a name'
)
_HEADER = re.compile(r"(.*?)\s*(?:\(([^()]*)\))?")


@dataclass(frozen=True, slots=True)
class Header:
    """A recognised column: its letter, its header as typed and the unit that bare numbers in it have."""

    declared: Column
    index: int
    typed: str
    unit: str

    @property
    def letter(self) -> str:
        """The column letter."""
        return get_column_letter(self.index)


@dataclass(frozen=True, slots=True)
class RawRow:
    """A row that holds something, not yet read. ``merged``: it runs through merged cells, a problem noted."""

    number: int
    cells: Mapping[str, CellValue]
    merged: bool


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of one sheet of one file. ``headers`` by column name."""

    file: str
    title: str
    sheet: Sheet
    headers: Mapping[str, Header]
    rows: tuple[RawRow, ...]

    def where(self, row: int | None, column: str = "") -> Where:
        """The address of a cell, by row number and column name."""
        header = self.headers.get(column)
        if header is None:
            return Where(self.file, self.title, row, "", column)
        return Where(self.file, self.title, row, header.letter, header.typed)


def table_of(grid: Grid, sheet: Sheet, findings: Findings) -> Table | None:
    """The sheet's table; ``None`` when the grid holds nothing.

    Unknown and duplicate columns, missing required ones, wrong units and merged cells are noted.
    """
    candidates = list(_not_comments(grid))[:HEADER_WITHIN]
    if not candidates:
        return None
    known = {column.key: column for column in sheet.columns}
    top = max(candidates, key=lambda number: (_matches(grid.rows[number], known), -number))
    headers = _headers(grid, top, sheet, findings)
    for number in candidates:
        if number < top:
            findings.warning(Where(grid.file, grid.title, number), "", "stands above the header and is not read")
    _warn_headless(grid, top, findings)
    merges = _merges_inside(grid, top, headers, sheet, findings)
    rows = tuple(
        row
        for number in _not_comments(grid, headers)
        if number > top
        if (row := _row(grid, number, headers, merges))
    )
    return Table(grid.file, grid.title, sheet, headers, rows)


def split_header(typed: str) -> tuple[str, str]:
    """``Weight (lb)`` -> ``Weight``, ``lb``; without a unit the second is empty."""
    match = _HEADER.fullmatch(tidy(typed))
    return (match[1], match[2] or "") if match else (tidy(typed), "")


def _matches(cells: Mapping[int, CellValue], known: Mapping[str, Column]) -> int:
    found = {folded(split_header(shown(value))[0]) for value in cells.values() if isinstance(value, str)}
    return len(found & known.keys())


def _not_comments(grid: Grid, headers: Mapping[str, Header] | None = None) -> Iterator[int]:
    """Numbers of the rows whose first cell - of the sheet or of the table - does not start with #."""
    first = min((header.index for header in (headers or {}).values()), default=1)
    for number, cells in grid.rows.items():
        begins = [value for value in (cells.get(1), cells.get(first)) if isinstance(value, str)]
        if not any(text.lstrip().startswith("#") and text.strip() not in ERROR_CODES for text in begins):
            yield number


def _headers(grid: Grid, top: int, sheet: Sheet, findings: Findings) -> dict[str, Header]:
    known = {column.key: column for column in sheet.columns}
    found: dict[str, Header] = {}
    strangers: dict[str, Where] = {}
    for index, value in grid.rows[top].items():
        typed = shown(value)
        name, unit_text = split_header(typed)
        where = Where(grid.file, grid.title, top, get_column_letter(index), "")
        column = known.get(folded(name))
        if column is None:
            strangers[typed] = where
        elif column.name in found:
            findings.problem(where, typed, f"{column.name} once; column {found[column.name].letter} has it too")
        else:
            unit = header_unit(column, unit_text, where, typed, findings)
            found[column.name] = Header(column, index, typed, unit)
    _note_missing(grid, top, sheet, found, strangers, findings)
    return found


def header_unit(column: Column, unit_text: str, where: Where, typed: str, findings: Findings) -> str:
    """The unit that a header names, the column's own when it names none; a wrong one is a problem."""
    if not unit_text or not column.is_number or column.dimension is Dimension.PLAIN:
        return column.unit
    spelled = "%" if unit_text.startswith("%") else unit_text
    unit = unit_of(spelled, column.dimension)
    if unit is None:
        other = dimension_of(spelled)
        said = f'; "{unit_text}" is a unit of {other.value}' if other else ""
        allowed = ", ".join(units_of(column.dimension))
        findings.problem(where, typed, f"a unit of {column.dimension.value}: {allowed}{said}", column.header)
        return column.unit
    return unit


def _note_missing(
    grid: Grid,
    top: int,
    sheet: Sheet,
    found: Mapping[str, Header],
    strangers: dict[str, Where],
    findings: Findings,
) -> None:
    taken = set()
    for column in sheet.columns:
        if column.required and column.name not in found:
            likely = nearest(column.header, strangers) or nearest(column.name, strangers)
            where = strangers.get(likely, Where(grid.file, grid.title, top, "", ""))
            findings.problem(where, likely, f"the column {column.name}, which is required", column.header)
            taken.add(likely)
    names = [column.name for column in sheet.columns if column.name not in found]
    for typed, where in strangers.items():
        if typed not in taken:
            remark = f"is no column of {sheet.name} and is not read"
            findings.warning(where, typed, remark, nearest(split_header(typed)[0], names))


def _warn_headless(grid: Grid, top: int, findings: Findings) -> None:
    """One warning for each column that has values but no header.

    In a .csv file a cell beyond the header is a problem: a comma without quotes has moved the row's cells along.
    """
    is_csv = grid.file.lower().endswith(".csv")
    seen: set[int] = set()
    for number in _not_comments(grid):
        if number > top:
            for index in sorted(grid.rows[number].keys() - grid.rows[top].keys() - seen):
                where = Where(grid.file, grid.title, number, get_column_letter(index))
                value = shown(grid.rows[number][index])
                if is_csv and index > max(grid.rows[top]):
                    findings.problem(where, value, _NO_MORE_CELLS)
                    continue
                seen.add(index)
                findings.warning(where, value, "stands in a column without a header and is not read")


def _merges_inside(
    grid: Grid, top: int, headers: Mapping[str, Header], sheet: Sheet, findings: Findings
) -> tuple[Merge, ...]:
    columns = [header.index for header in headers.values()]
    last = max(grid.rows)
    inside = tuple(
        merge
        for merge in grid.merges
        if merge.last_row >= top
        and merge.first_row <= last
        and any(merge.first_column <= index <= merge.last_column for index in columns)
    )
    for merge in inside:
        where = Where(grid.file, grid.title, merge.first_row, get_column_letter(merge.first_column), "")
        findings.problem(where, merge.name, f"no merged cells inside the table {sheet.name}: split them")
    return inside


def _row(grid: Grid, number: int, headers: Mapping[str, Header], merges: tuple[Merge, ...]) -> RawRow | None:
    cells = grid.rows[number]
    known = {name: cells[header.index] for name, header in headers.items() if header.index in cells}
    merged = any(merge.first_row <= number <= merge.last_row for merge in merges)
    return RawRow(number, known, merged) if known else None
