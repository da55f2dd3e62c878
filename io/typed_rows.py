"""Rows of a declared table -> values in canonical units, with every bad cell noted."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from dispatch.io import cells, clock_cells
from dispatch.io.cells import BadCell, CellValue, folded, is_blank, nearest, shown
from dispatch.io.input_problems import Findings, Where
from dispatch.io.layout_columns import Column, Reads, Sheet
from dispatch.io.tables import RawRow, Table
from dispatch.io.unit_names import CANONICAL, Dimension, factor


@dataclass(slots=True)
class Row:
    """A row's values by column name: canonical units, defaults filled in, ``None`` where nothing is meant.

    ``given``: the columns that were filled in. ``bad``: the columns that could not be read.
    """

    table: Table
    number: int
    raw: Mapping[str, CellValue]
    values: dict[str, Any] = field(default_factory=dict)
    given: set[str] = field(default_factory=set)
    bad: set[str] = field(default_factory=set)

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    @property
    def ok(self) -> bool:
        """Whether every cell could be read."""
        return not self.bad

    @property
    def key(self) -> tuple[str, ...]:
        """The row's name, folded for comparison."""
        return tuple(folded(str(self.values.get(name) or "")) for name in self.table.sheet.keys)

    def where(self, column: str = "") -> Where:
        """The address of one of its cells."""
        return self.table.where(self.number, column)


def typed_rows(table: Table, findings: Findings, day: date | None = None) -> list[Row]:
    """The table's rows, read cell by cell; a row through merged cells gives its name only."""
    return [_merged(table, raw) if raw.merged else _typed(table, raw, findings, day) for raw in table.rows]


def _merged(table: Table, raw: RawRow) -> Row:
    values = {column.name: default_of(column) for column in table.sheet.columns}
    row = Row(table, raw.number, raw.cells, values, bad={"merged cells"})
    key = table.sheet.keys[0]
    with suppress(BadCell):
        row.values[key] = cells.text_of(raw.cells.get(key), is_name=True)
    return row


def _typed(table: Table, raw: RawRow, findings: Findings, day: date | None) -> Row:
    row = Row(table, raw.number, raw.cells)
    day = _own_day(table.sheet, raw, day)
    for column in table.sheet.columns:
        value = raw.cells.get(column.name)
        if is_blank(value):
            row.values[column.name] = default_of(column)
            if column.required and column.name in table.headers:
                row.bad.add(column.name)
                findings.problem(row.where(column.name), "", f"{_needed(column)}; the cell is empty")
            elif column.required:
                row.bad.add(column.name)
            continue
        row.given.add(column.name)
        unit = table.headers[column.name].unit
        if not store(row, column, value, unit, findings, day=day):
            row.values[column.name] = None
    return row


def _own_day(sheet: Sheet, raw: RawRow, day: date | None) -> date | None:
    """The day that times with a date must be of: the row's own where it names a date, else the day planned."""
    for column in sheet.columns:
        if column.reads is Reads.DAY_NAME and not is_blank(raw.cells.get(column.name)):
            with suppress(BadCell):
                return clock_cells.calendar_day(raw.cells[column.name])
            return None
    return day


def store(
    row: Row, column: Column, value: CellValue, unit: str, findings: Findings, *, day: date | None, at: str = ""
) -> bool:
    """Reads a cell into the row, or notes what is wrong with it (at column ``at``); whether it was read."""
    address = at or column.name
    try:
        found = read_cell(column, value, unit, day)
        check_possible(column, found)
    except BadCell as bad:
        row.bad.add(address)
        findings.problem(row.where(address), shown(value), bad.expected, bad.mend)
        return False
    row.values[column.name] = found
    remark = unusual(column, found)
    if remark:
        findings.warning(row.where(address), shown(value), remark)
    return True


_READERS: Mapping[Reads, Callable[[CellValue], Any]] = {
    Reads.COUNT: cells.count,
    Reads.TIME_SPAN: clock_cells.time_span,
    Reads.DAY: clock_cells.calendar_day,
    Reads.DAY_NAME: clock_cells.day_name,
    Reads.YES_NO: cells.yes_no,
    Reads.REFERENCES: cells.names,
    Reads.SHARES: cells.shares,
    Reads.TEXT: cells.text_of,
    Reads.PERMIT: cells.permit_number,
}


def read_cell(column: Column, value: CellValue, unit: str, day: date | None = None) -> Any:
    """The cell's value as the column declares it, numbers in canonical units. Raises BadCell."""
    if column.reads is Reads.NUMBER:
        return cells.number(value, column.dimension, unit)
    if column.reads is Reads.TIME:
        return clock_cells.time_of_day(value, day)
    if column.reads is Reads.CHOICE:
        return cells.choice(value, column.choices)
    reader = _READERS.get(column.reads)
    return reader(value) if reader else cells.text_of(value, is_name=True)


_BLANK: Mapping[Reads, Any] = {
    Reads.TEXT: "",
    Reads.DAY_NAME: "",
    Reads.PERMIT: "",
    Reads.REFERENCE: "",
    Reads.REFERENCES: (),
}


def default_of(column: Column) -> Any:
    """What a blank cell means, in canonical units; no text is empty text, no names are none."""
    if column.value is None:
        return _BLANK.get(column.reads)
    return column.value * _scale(column) if column.reads is Reads.NUMBER else column.value


def _scale(column: Column) -> float:
    return factor(column.unit, CANONICAL[column.dimension])


def _needed(column: Column) -> str:
    if column.choices:
        return "one of " + ", ".join(column.choices)
    if column.is_number:
        measure = column.dimension.value if column.dimension is not Dimension.PLAIN else column.reads.value
        return f"a {measure}" + (f" ({column.unit})" if column.unit else "") + _such_as(column)
    article = "" if column.reads is Reads.REFERENCES else "a "
    return f"{article}{column.reads.value}" + _such_as(column)


def _such_as(column: Column) -> str:
    return f" such as {column.example}" if column.example else ""


def check_possible(column: Column, found: Any) -> None:
    """Raises BadCell when a number lies outside what is possible."""
    if not column.is_number:
        return
    size = found / _scale(column) if column.reads is Reads.NUMBER else found
    unit = f" {column.unit}" if column.unit else ""
    slack = 1e-9 * max(1.0, abs(size))
    if column.above is not None and size <= column.above:
        raise BadCell(f"more than {column.above:g}{unit}")
    if column.least is not None and size < column.least - slack:
        raise BadCell(f"{column.least:g}{unit} or more", f"{column.least:g}")
    if column.most is not None and size > column.most + slack:
        raise BadCell(f"{column.most:g}{unit} or less", f"{column.most:g}")


def unusual(column: Column, found: Any) -> str:
    """The remark on a number that is possible and not plausible; nothing when it is plausible."""
    if not column.is_number or column.usual is None:
        return ""
    size = found / _scale(column) if column.reads is Reads.NUMBER else found
    low, high = column.usual
    if low - 1e-9 <= size <= high + 1e-9:
        return ""
    unit = f" {column.unit}" if column.unit else ""
    return f"is unusual, {low:,g} to {high:,g}{unit} is usual: check the figure and its unit"


def note_repeats(
    rows: Iterable[Row], findings: Findings, meet: Callable[[Row, Row], bool] = lambda _first, _second: True
) -> None:
    """A name given twice is a problem that names both addresses; the second row does not count.

    ``meet``: whether two rows exist together; rows of different days or variants may share a name.
    """
    first: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        keys = row.table.sheet.keys
        if not all(row.key) or keys[0] in row.bad:
            continue
        known = first.setdefault(row.key, [])
        earlier = next((one for one in known if meet(one, row)), None)
        known.append(row)
        if earlier is not None:
            row.bad.add(keys[0])
            where = earlier.where(keys[0])
            findings.problem(
                row.where(keys[0]), shown(row.raw[keys[0]]), f"a name of its own; {where} has it already"
            )


def known_names(rows: Iterable[Row], sheet: Sheet) -> dict[str, str]:
    """Folded name -> name as its own row spells it, of every row whose name could be read."""
    column = sheet.keys[0]
    found: dict[str, str] = {}
    for row in rows:
        name = row.values.get(column)
        if name:
            found.setdefault(folded(str(name)), str(name))
    return found


def resolve(rows: Iterable[Row], names: Mapping[str, Mapping[str, str]], findings: Findings) -> None:
    """Turns references into the spelling of the row they name; notes those that name none.

    ``names``: sheet -> folded name -> name. References to a sheet that is missing altogether are left alone.
    """
    for row in rows:
        for column in row.table.sheet.columns:
            if column.sheet in names and column.name in row.given and column.name not in row.bad:
                _resolve_cell(row, column, names[column.sheet], findings)


def _resolve_cell(row: Row, column: Column, known: Mapping[str, str], findings: Findings) -> None:
    value = row.values[column.name]
    many = column.reads is Reads.REFERENCES
    found = []
    for name in value if many else (value,):
        if folded(name) in known:
            found.append(known[folded(name)])
            continue
        row.bad.add(column.name)
        expected = f"a name from the sheet {column.sheet}" + (", ; between names" if many else "")
        mend = (many and _apart(name, known)) or nearest(name, known.values())
        findings.problem(row.where(column.name), name, expected, mend)
    if column.name not in row.bad:
        row.values[column.name] = tuple(found) if many else found[0]


def _apart(name: str, known: Mapping[str, str]) -> str:
    """``R-1, R-2`` -> ``R-1; R-2`` when every part is a name; nothing otherwise."""
    parts = [part for part in re.split(r"\s*[,/+&]\s*|\s+and\s+", name) if part]
    return "; ".join(known[folded(part)] for part in parts) if all(folded(part) in known for part in parts) else ""
