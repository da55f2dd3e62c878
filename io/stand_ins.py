"""Stand-ins for rows that could not be read, so that one run finds the contradictions of the other rows too."""

from __future__ import annotations

from typing import Any

from dispatch.io.layout_columns import Column, Reads
from dispatch.io.typed_rows import Row, default_of
from dispatch.io.unit_names import CANONICAL, factor

from dispatch.problem import Fault

WINDOW_COLUMNS = ("Deliver by", "Permit hours", "Closes", "Shift end")
"""What is still worth saying about a row with another bad cell: a window that closes before it opens."""
_WIDE_SHIFT = {"Shift start": 0, "Shift end": 24 * 60}


def is_named(row: Row) -> bool:
    """Whether the row's own name could be read and is no other row's."""
    key = row.table.sheet.keys[0]
    return key not in row.bad and bool(row.values.get(key))


def completed(row: Row) -> Row:
    """The row itself when it could be read, else a copy with something harmless in its bad cells."""
    if row.ok:
        return row
    values = {
        column.name: row.values[column.name] if _sound(row, column) else _harmless(column)
        for column in row.table.sheet.columns
    }
    given = {name for name in row.given - row.bad if not name.startswith("Neck deck")}
    return Row(row.table, row.number, row.raw, values, given)


def _sound(row: Row, column: Column) -> bool:
    return column.name not in row.bad and not (column.required and row.values.get(column.name) is None)


def _harmless(column: Column) -> Any:
    default = default_of(column)
    if default is not None or not column.required:
        return default
    if column.reads is Reads.NUMBER:
        return factor(column.unit, CANONICAL[column.dimension])
    if column.reads is Reads.COUNT:
        return 1
    return column.choices[0] if column.choices else _WIDE_SHIFT.get(column.name, "")


def windows_only(faults: list[Fault], row: Row) -> list[Fault]:
    """Of a bad row's faults those about windows, whose cells could be read."""
    return [fault for fault in faults if fault.column in WINDOW_COLUMNS and fault.column not in row.bad]
