"""What helps while a template is filled in: dropdowns, plausibility checks and the note on each header.

Every check warns and can be overruled: the reader accepts more spellings (``12,400 lb``, ``x`` for yes) than a
spreadsheet program can compare, and has the last word.
"""

from __future__ import annotations

from dispatch.io.layout import sheet_named
from dispatch.io.layout_columns import Column, Reads
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

LAST_ROW = 1_000
"""Checks and dropdowns reach down to this row; the reader reads every row."""


def check_for(column: Column, first_cell: str) -> DataValidation | None:
    """The check for the cells below a header; ``first_cell`` is the first of them. ``None`` for free text."""
    if column.reads is Reads.YES_NO:
        return _dropdown('"yes,no"', "yes or no")
    if column.reads is Reads.CHOICE and sum(len(one) + 1 for one in column.choices) < 250:
        return _dropdown(f'"{",".join(column.choices)}"', "one of " + ", ".join(column.choices))
    if column.reads is Reads.REFERENCE:
        return _dropdown(_names_of(column.sheet), f"a name from the sheet {column.sheet}")
    if column.is_number:
        return _number(column, first_cell)
    if column.reads is Reads.TIME:
        return _formula(f"OR(ISTEXT({first_cell}),AND({first_cell}>=0,{first_cell}<1))", "a time such as 7:30")
    return None


def _names_of(name: str) -> str:
    sheet = sheet_named(name)
    names = [column.name for column in sheet.columns] if sheet else []
    letter = get_column_letter(1 + names.index(sheet.keys[0])) if sheet else "A"
    return f"{name}!${letter}$2:${letter}${LAST_ROW}"


def _number(column: Column, cell: str) -> DataValidation:
    low, high = column.usual or (None, None)
    low = low if low is not None else column.least if column.least is not None else column.above
    high = high if high is not None else column.most
    tests = [f"ISNUMBER({cell})"]
    tests += [f"{cell}>={low:.12g}"] if low is not None else []
    tests += [f"{cell}<={high:.12g}"] if high is not None else []
    unit = f" {column.unit}" if column.unit else ""
    span = f"{low:,g} to {high:,g}{unit}" if low is not None and high is not None else f"a number{unit}"
    return _formula(f"OR(ISTEXT({cell}),AND({','.join(tests)}))", f"usually {span}")


def _dropdown(formula: str, expected: str) -> DataValidation:
    return _warning(DataValidation(type="list", formula1=formula, allow_blank=True), expected)


def _formula(formula: str, expected: str) -> DataValidation:
    return _warning(DataValidation(type="custom", formula1=formula, allow_blank=True), expected)


def _warning(check: DataValidation, expected: str) -> DataValidation:
    check.errorStyle = "warning"
    check.showErrorMessage = True
    check.errorTitle = "Is this right?"
    check.error = f"Expected: {expected}"[:250]
    return check


def header_note(column: Column) -> Comment:
    """Meaning, unit, default, choices, an example, and where the figure is found."""
    lines = [column.meaning]
    lines.append("Required." if column.required else f"Blank: {column.default_text or 'nothing'}.")
    if column.unit:
        lines.append(f"In {column.unit}; a cell may carry its own unit.")
    if column.choices:
        lines.append("One of: " + ", ".join(column.choices) + ".")
    if column.sheet:
        several = column.reads is Reads.REFERENCES
        names = "Names, with ; between," if several else "A name"
        lines.append(f"{names} from the sheet {column.sheet}.")
    if column.where:
        lines.append(f"Where to find it: {column.where}")
    if column.example:
        lines.append(f"Example: {column.example}")
    elif column.usual is not None:
        low, high = column.usual
        lines.append(f"Usually {low:,g} to {high:,g}{' ' + column.unit if column.unit else ''}.")
    note = Comment("\n".join(lines), "haulday")
    note.width, note.height = 320, 30 + 20 * sum(1 + len(line) // 48 for line in lines)
    return note
