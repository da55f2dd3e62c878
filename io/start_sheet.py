"""The first sheet of a template: what to do with the others."""

from __future__ import annotations

from dispatch.io import layout
from dispatch.io.sheet_styles import BODY, BOLD, SECTION, TITLE, WRAP_LEFT, link, print_landscape, put, row_height
from openpyxl.worksheet.worksheet import Worksheet

_STEPS = (
    "1. Fill in the sheets from left to right. Headers in bold are required; the note on a header says what it "
    "means, its default and where to find the figure on a plate, a placard or a scale ticket.",
    "2. One row is one thing. Leave a cell blank for its default. Do not merge cells. A row that begins with # is "
    "a comment, blank rows are skipped.",
    "3. Names must be written alike on every sheet: the dropdowns offer them.",
    "4. Numbers: 12,400 or 12400, decimals with a point. A bare number is in the header's unit; a cell may carry "
    "its own: 12,400 lb, 5.6 t, 20' 6\", 7 ft 2 in. t is 1,000 kg, ton is 2,000 lb.",
    "5. Times: 7:30, 19:05 or 7:30 AM. Yes or no: yes, no, y, n, x.",
    "6. The fleet may stand in one workbook and the day's moves in another: "
    "haulday plan fleet.xlsx moves.xlsx -o plan.xlsx",
    "7. haulday check day.xlsx lists every problem with its sheet, row and column, and changes nothing. When it "
    "lists none: haulday plan day.xlsx -o plan.xlsx",
)
_UNITS = {
    False: "This is the US variant: lb, ft, in, mi. haulday template --metric writes one in kg, m, mm, km.",
    True: "This is the metric variant: kg, m, mm, km. Without --metric, haulday template writes lb, ft, in, mi.",
}
_WIDTHS = (16, 92)
_CAUTION = (
    "Weights are to be confirmed on a scale; ratings on plates and tyres govern. A plan supports a qualified "
    "person and replaces none."
)


def write_start(target: Worksheet, *, filled: bool, metric: bool) -> None:
    """Writes the sheet that says what to do; ``filled``: the other sheets hold an example."""
    for column, width in zip("AB", _WIDTHS, strict=True):
        target.column_dimensions[column].width = width
    put(target["A1"], "The day's input" + (", with an invented example" if filled else ""), font=TITLE)
    number = 3
    for step in (*_STEPS, _UNITS[metric]):
        _across(target, number, step)
        number += 1
    put(target.cell(number + 1, 1), "Sheets", font=SECTION)
    number += 2
    for sheet in layout.SHEETS:
        name = put(target.cell(number, 1), sheet.name, font=BOLD if sheet.required else BODY, alignment=WRAP_LEFT)
        link(name, sheet.name)
        words = f"{sheet.purpose} ({'required' if sheet.required else 'optional'})"
        put(target.cell(number, 2), words, alignment=WRAP_LEFT)
        target.row_dimensions[number].height = row_height(words, _WIDTHS[1])
        number += 1
    _across(target, number + 1, _CAUTION)
    print_landscape(target, metric=metric)


def _across(target: Worksheet, number: int, text: str) -> None:
    """A text over both columns, in a row high enough for it."""
    target.merge_cells(start_row=number, start_column=1, end_row=number, end_column=2)
    put(target.cell(number, 1), text, alignment=WRAP_LEFT)
    target.row_dimensions[number].height = row_height(text, sum(_WIDTHS))
