"""The workbook reference, in Markdown, from the declaration in ``layout``.

``python -m dispatch.io.reference docs/workbook-reference.md`` writes it anew.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from dispatch.io import layout
from dispatch.io.layout_columns import Column, Sheet
from dispatch.io.safe_files import write_files
from dispatch.io.unit_names import CANONICAL, Dimension, units_of

from dispatch.limits import jurisdictions, load_rule_set

_HEAD = """\
# Workbook reference

Every input sheet and column. This page is written by `python -m dispatch.io.reference` from the same declaration
that the reader and the template use; do not edit it by hand.

## How files are read

- Input is one or more `.xlsx` workbooks, `.csv` files named after a sheet, or folders of such `.csv` files. Sheets
  are merged by name; later files add rows. A folder's workbooks are not read: name a workbook itself.
- A header is `Name` or `Name (unit)`. Case, blanks, hyphens, column order and tyre/tire, licence/license do not
  matter. Columns and sheets that are not listed here are passed over with a warning.
- Blank rows are skipped. A row whose first cell begins with `#` is a comment. Rows above the header are passed
  over with a warning. The sheet `Start here` is not read.
- A blank cell means the default. Errors (`#N/A`), formulas without a stored result and merged cells inside a table
  are problems, never blanks. Hidden rows and sheets are read like others.
- Numbers: digits, exact thousands groups, decimal point, a minus sign. `12,5`, `5,2 t`, `12 500 lb` and `5 1/2 ft`
  are problems, never guesses. A cell's own unit wins over the header's, the header's over the default. A number
  format that shows a unit (`0%`, `#,##0 "kg"`) counts as the cell's own unit.
- Lengths may be `20' 6"`, `20'-6"` or `7 ft 2 in`; durations `1 h 30 min`.
- `ton` is 2,000 lb, `t` and `tonne` are 1,000 kg; `T` alone is refused.
- Times: spreadsheet times, `7:30`, `07:30`, `7:30 AM`, `19:05`, `24:00`. A time that carries a date must carry the
  day planned. A bare 7, 7.5 or 730 is a problem.
- Yes or no: yes, no, y, n, true, false, x.
- Names: case and extra blanks do not matter; 12 and the text `12` are the same name. A name that the spreadsheet
  program has made a date of is a problem. Several names in a cell have `;` between them.
- Figures outside what is usual give a warning, figures outside what is possible a problem.
- Caps: 30 MB a file, 200 MB unpacked.
"""
_LATER = "Here a later row for the same key wins over an earlier one."


def reference_markdown() -> str:
    """The page."""
    parts = [_HEAD, _units()]
    parts += [_sheet(sheet) for sheet in layout.SHEETS]
    parts.append(_settings())
    parts.append(_limits())
    return "\n".join(parts)


def _units() -> str:
    rows = [
        (dimension.value, ", ".join(f"`{unit}`" for unit in units_of(dimension)), CANONICAL[dimension])
        for dimension in Dimension
        if units_of(dimension)
    ]
    return "## Units\n\n" + _table(("What", "Units accepted", "Kept as"), rows)


def _sheet(sheet: Sheet) -> str:
    need = "Required." if sheet.required else "Optional."
    later = f" {_LATER}" if sheet.later_wins else ""
    heads = ("Column", "Reads", "Blank means", "Meaning", "Where to find it", "Usual", "Example")
    return f"## {sheet.name}\n\n{sheet.purpose} {need}{later}\n\n" + _table(heads, map(_row, sheet.columns))


def _row(column: Column) -> tuple[str, ...]:
    name = f"**{column.header}**" if column.required else column.header
    blank = "required" if column.required else column.default_text or "nothing"
    return name, _reads(column), blank, column.meaning, column.where, _usual(column), column.example


def _reads(column: Column) -> str:
    if column.choices and len(column.choices) <= 6:
        return ", ".join(column.choices)
    if column.sheet:
        return column.reads.value.replace("another sheet", column.sheet)
    if column.is_number and column.dimension is not Dimension.PLAIN:
        return column.dimension.value
    return column.reads.value


def _usual(column: Column) -> str:
    usual = f"{column.usual[0]:,g} to {column.usual[1]:,g}" if column.usual else ""
    low = f"over {column.above:,g}" if column.above is not None else ""
    if column.least is not None:
        low = f"{column.least:,g} or more"
    high = f"{column.most:,g} or less" if column.most is not None else ""
    possible = ", ".join(part for part in (low, high) if part)
    return "; ".join(part for part in (usual, f"possible: {possible}" if possible else "") if part)


def _settings() -> str:
    rows = [
        (column.header, _reads(column), column.default_text, column.meaning, _usual(column))
        for column in layout.SETTING_ROWS
    ]
    heads = ("Setting", "Reads", "Default", "Meaning", "Usual")
    return "## Every setting\n\n" + _table(heads, rows)


def _limits() -> str:
    parts = ["## Every limit\n"]
    for name in jurisdictions():
        rules = load_rule_set(name)
        base = load_rule_set(rules.base).limits.values() if rules.base else ()
        rows = [
            (f"`{limit.name}`", "none" if limit.value is None else f"{limit.value:,g}", limit.basis)
            for limit in rules.limits.values()
            if limit not in base
        ]
        own = ", ".join(row.name for row in rules.licences) or "not checked"
        head = f"`{name}`: {rules.title}. Licence classes: {own}."
        parts.append(f"{head}\n\n" + _table(("Limit", "Value", "Basis"), rows))
    return "\n".join(parts)


def _table(heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    def lines() -> Iterator[str]:
        yield "| " + " | ".join(heads) + " |"
        yield "|" + "---|" * len(heads)
        for row in rows:
            yield "| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"

    return "\n".join(lines()) + "\n"


def main() -> None:
    """Writes the page to the file named on the command line, replacing it."""
    write_files({Path(sys.argv[1]): reference_markdown().encode()}, force=True)


if __name__ == "__main__":
    main()
