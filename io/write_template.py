"""The input workbook to fill in, from the declaration in ``layout``: empty, or with given rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import time
from io import BytesIO
from math import ceil
from pathlib import Path
from typing import Any

from dispatch.io import layout
from dispatch.io.cells import CellValue, is_blank
from dispatch.io.layout_columns import Column, Reads, Sheet
from dispatch.io.safe_files import write_files
from dispatch.io.sheet_styles import (
    BODY,
    BOLD,
    HEADER_FILL,
    HEADER_LINE,
    INPUT_TEXT,
    SECTION_FILL,
    TOP_RIGHT,
    WRAP_CENTRE,
    new_workbook,
    print_landscape,
    put,
)
from dispatch.io.start_sheet import write_start
from dispatch.io.template_checks import LAST_ROW, check_for, header_note
from dispatch.io.template_rows import RowsBySheet, cell_for, free_value, keyed
from dispatch.io.template_units import in_units
from dispatch.io.unit_names import Dimension
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.limits import jurisdictions, load_rule_set

CHARACTERS_A_PAGE = 190
"""Width of a landscape page in characters at the smallest size that is still legible."""
_WIDTHS = {"Limit": 66.0, "Note": 84.0, "Setting": 38.0, "Value": 16.0}
_FORMATS = {Dimension.WEIGHT: "#,##0", Dimension.MONEY: "#,##0.00"}


def write_template(
    path: Path, demo_rows: RowsBySheet | None = None, *, metric: bool = False, force: bool = False
) -> None:
    """Writes the workbook beside its place and renames it. ``demo_rows`` fills it in; ``metric`` gives kg, m, km.

    Raises OutputRefused when the file exists (without ``force``) or cannot be written, and BadCell when a demo
    row cannot be read.
    """
    write_files({path: template_workbook(demo_rows, metric=metric)}, force=force)


def template_workbook(demo_rows: RowsBySheet | None = None, *, metric: bool = False) -> bytes:
    """The workbook as bytes. Raises BadCell when a demo row cannot be read."""
    rows = demo_rows or {}
    workbook = new_workbook()
    if workbook.active is not None:
        workbook.remove(workbook.active)
    write_start(workbook.create_sheet(layout.START_SHEET), filled=bool(rows), metric=metric)
    for sheet in layout.SHEETS:
        target = workbook.create_sheet(sheet.name)
        shown = tuple(in_units(column, metric=metric) for column in sheet.columns)
        _write_headers(target, shown)
        _add_checks(target, shown)
        for number, cells in enumerate(_rows(sheet, shown, rows.get(sheet.name, ()), metric=metric), start=2):
            _write_row(target, number, shown, cells)
        _set_up_print(target, shown, metric=metric)
    _add_setting_checks(workbook[layout.SETTINGS.name], metric=metric)
    stream = BytesIO()
    workbook.save(stream)
    return stream.getvalue()


def _write_headers(target: Worksheet, columns: Sequence[Column]) -> None:
    for index, column in enumerate(columns, start=1):
        cell = put(
            target.cell(1, index), column.header, font=BOLD if column.required else BODY, alignment=WRAP_CENTRE
        )
        cell.fill = HEADER_FILL if column.required else SECTION_FILL
        cell.border = HEADER_LINE
        cell.comment = header_note(column)
        dimension = target.column_dimensions[get_column_letter(index)]
        dimension.width = _width(column)
        dimension.number_format = _format(column)
    target.row_dimensions[1].height = 48
    target.freeze_panes = "B2"


def _format(column: Column) -> str:
    """The number format; what holds no number or time is text, so that no name becomes a date."""
    if column.is_number:
        return "#,##0.0" if column.unit == "kg" else _FORMATS.get(column.dimension, "General")
    return "h:mm" if column.reads is Reads.TIME else "@"


def _width(column: Column) -> float:
    if column.name in _WIDTHS:
        return _WIDTHS[column.name]
    if column.reads in (Reads.TEXT, Reads.PERMIT, Reads.REFERENCES):
        return 38
    if column.reads in (Reads.NAME, Reads.REFERENCE):
        return 18
    longest = max((len(one) for one in column.choices), default=0)
    return float(min(44, max(11, longest + 3, max(len(word) for word in column.header.split()) + 3)))


def _set_up_print(target: Worksheet, columns: Sequence[Column], *, metric: bool) -> None:
    """Landscape, as many pages wide as stay legible, header row and names repeated."""
    print_landscape(target, titles="1:1", metric=metric)
    target.print_title_cols = "A:A"
    target.page_setup.fitToWidth = ceil(sum(_width(column) for column in columns) / CHARACTERS_A_PAGE)


def _add_checks(target: Worksheet, columns: Sequence[Column]) -> None:
    for index, column in enumerate(columns, start=1):
        letter = get_column_letter(index)
        check = check_for(column, f"{letter}2")
        if check is not None:
            check.add(f"{letter}2:{letter}{LAST_ROW}")
            target.add_data_validation(check)


def _add_setting_checks(target: Worksheet, *, metric: bool) -> None:
    """A check for each setting's own value, in the order in which ``_setting_rows`` lists them."""
    for number, column in enumerate(layout.SETTING_ROWS, start=2):
        check = check_for(in_units(column, metric=metric), f"B{number}")
        if check is not None:
            check.add(f"B{number}")
            target.add_data_validation(check)


def _rows(
    sheet: Sheet, shown: Sequence[Column], given: Sequence[Mapping[str, CellValue]], *, metric: bool
) -> Iterable[list[Any]]:
    if sheet is layout.SETTINGS:
        return _setting_rows(given, metric=metric)
    if sheet is layout.LIMITS:
        return _limit_rows(given)
    pairs = tuple(zip(sheet.columns, shown, strict=True))
    return ([cell_for(column, as_shown, row) for column, as_shown in pairs] for row in given)


def _setting_rows(given: Sequence[Mapping[str, CellValue]], *, metric: bool) -> Iterable[list[Any]]:
    """Every setting with its default, or with the value of the row given for it."""
    wanted = keyed(layout.SETTINGS, given)
    for column in layout.SETTING_ROWS:
        shown = in_units(column, metric=metric)
        row = wanted.get(column.key, {})
        typed, value, note = (free_value(layout.SETTINGS, name, row) for name in ("Setting", "Value", "Note"))
        if not is_blank(value):
            yield [typed, value, note or column.meaning]
        else:
            yield [shown.header, _default(shown, metric=metric), column.meaning]


def _default(column: Column, *, metric: bool) -> Any:
    if metric and column.choices in (("lb", "kg"), ("mi", "km")):
        return column.choices[1]
    return column.value


def _limit_rows(given: Sequence[Mapping[str, CellValue]]) -> Iterable[list[Any]]:
    """The rows given, then every limit of the first rule set as a comment: without its # it overrides."""
    for row in given:
        yield [free_value(layout.LIMITS, name, row) for name in ("Limit", "Value", "Note")]
    for limit in load_rule_set(jurisdictions()[0]).limits.values():
        yield [f"# {limit.name}", "none" if limit.value is None else limit.value, limit.basis]


def _write_row(target: Worksheet, number: int, columns: Sequence[Column], cells: Sequence[Any]) -> None:
    for index, (column, value) in enumerate(zip(columns, cells, strict=True), start=1):
        if value is None or value == "":
            continue
        figure = not isinstance(value, str) and column.reads not in (Reads.TEXT, Reads.PERMIT)
        cell = put(target.cell(number, index), value, alignment=TOP_RIGHT if figure else INPUT_TEXT)
        if isinstance(value, str):
            cell.number_format = "@"
        elif column.is_number or isinstance(value, time):
            cell.number_format = _format(column)
