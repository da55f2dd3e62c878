"""How every workbook that haulday writes looks: fonts, fills that survive a grey printer, tables, print set-up.

Values are written as values, never as formulas, and every text is forced to be text: a name that starts with
``=`` stays a name.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from dispatch.io.house_style import (
    BODY_PT,
    FONT,
    PAGE_PT,
    PAGE_SMALL_PT,
    SECTION_PT,
    SMALL_PT,
    STATUS_MARKS,
    TITLE_PT,
    Status,
)
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell, MergedCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.table import Table, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

BODY = Font(name=FONT, size=BODY_PT)
BOLD = Font(name=FONT, size=BODY_PT, bold=True)
SMALL = Font(name=FONT, size=SMALL_PT)
SMALL_BOLD = Font(name=FONT, size=SMALL_PT, bold=True)
PAGE = Font(name=FONT, size=PAGE_PT)
PAGE_BOLD = Font(name=FONT, size=PAGE_PT, bold=True)
PAGE_SMALL = Font(name=FONT, size=PAGE_SMALL_PT)
PAGE_SMALL_BOLD = Font(name=FONT, size=PAGE_SMALL_PT, bold=True)
SECTION = Font(name=FONT, size=SECTION_PT, bold=True)
TITLE = Font(name=FONT, size=TITLE_PT, bold=True)

HEADER_FILL = PatternFill("solid", fgColor="D9D9D9")
SECTION_FILL = PatternFill("solid", fgColor="EDEDED")
THIN = Side(style="thin", color="A6A6A6")
STRONG = Side(style="medium", color="404040")
LINE_BELOW = Border(bottom=THIN)
BOX = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)
HEADER_LINE = Border(bottom=STRONG)

WRAP = Alignment(wrap_text=True, vertical="top")
TABLE_TEXT = Alignment(horizontal="left", vertical="top", wrap_text=True, indent=1)
WRAP_LEFT = Alignment(horizontal="left", vertical="top", wrap_text=True)
WRAP_CENTRE = Alignment(wrap_text=True, vertical="center", horizontal="center")
TOP_LEFT = Alignment(horizontal="left", vertical="top")
INPUT_TEXT = Alignment(horizontal="left", vertical="top", indent=1)
TOP_RIGHT = Alignment(horizontal="right", vertical="top", indent=1)
TOP_CENTRE = Alignment(horizontal="center", vertical="top")
CENTRE = Alignment(horizontal="center", vertical="center")

LETTER, A4 = "1", "9"
PAPER_IN = {False: (8.5, 11.0), True: (8.27, 11.69)}
"""Width and height of Letter and (metric) A4 paper, inches."""
SIDE_IN, TOP_IN, BOTTOM_IN = 0.4, 0.4, 0.65
"""Margins of every printed page."""
PIXELS_PER_CHARACTER = 7
"""Of a column's width, its padding included (ECMA-376, part 1, 18.3.1.13; font of the body, 96 pixels an inch)."""
LINE_POINTS = 13.0
"""Height of one line of the body's font."""
WIDEST = 30.0
"""Greatest width that a long word may give a column."""
INDENT = 3.0
"""Characters of a column that its cells' indent and padding take."""
NARROW, LOWER, WIDE, SPACE = 0.55, 0.95, 1.15, 0.55
"""Widths of signs in digits of the same font; measured on the body's font."""
ROUNDING = 0.01
"""So much wider than its column a text may be reckoned and still take one line."""
CAUTION_FOOTER = "The plan supports a qualified person and replaces none"

Value = str | int | float | bool | datetime.time | datetime.timedelta | None


@dataclass(frozen=True, slots=True)
class Look:
    """How a column's cells look: number format, alignment and width in characters.

    ``whole``: wide enough for whole texts, as not every program wraps a text that is a link.
    """

    number_format: str
    width: float
    alignment: Alignment = TABLE_TEXT
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Shown:
    """A value with a number format of its own, for columns whose rows differ in unit, and with its status."""

    value: Value
    number_format: str
    status: Status | None = None


TEXT = Look("@", 16)
LONG_TEXT = Look("@", 44)
COUNT = Look("0", 6, TOP_CENTRE)
WEIGHT = Look("#,##0", 9, TOP_RIGHT)
FIGURE = Look("General", 11, TOP_RIGHT)
ROAD = Look("#,##0.0", 9, TOP_RIGHT)
PERCENT = Look("0.0", 9.5, TOP_RIGHT)
MONEY = Look("#,##0.00", 10, TOP_RIGHT)
TIME = Look("hh:mm", 7, TOP_CENTRE)


def clock_value(minutes: int) -> datetime.time | datetime.timedelta:
    """Minutes after midnight as a spreadsheet time; at and past midnight as a duration."""
    if 0 <= minutes < 24 * 60:
        return datetime.time(minutes // 60, minutes % 60)
    return datetime.timedelta(minutes=minutes)


def put(cell: Cell | MergedCell, value: Value, *, font: Font = BODY, alignment: Alignment | None = None) -> Cell:
    """Write one value. Text becomes text whatever it starts with; what no workbook can hold is dropped.

    Raises TypeError for a cell that another one covers.
    """
    if isinstance(cell, MergedCell):
        raise TypeError(f"{cell.coordinate} is covered by a merged cell")
    if isinstance(value, str):
        text = ILLEGAL_CHARACTERS_RE.sub("", value)
        cell.value = text
        cell.data_type = "s"
        if text[:1] in ("=", "+", "-", "@"):
            cell.quotePrefix = True
    else:
        cell.value = value
    if isinstance(value, datetime.timedelta):
        cell.number_format = "[hh]:mm"
    cell.font = font
    if alignment is not None:
        cell.alignment = alignment
    return cell


def mark_status(cell: Cell, status: Status) -> None:
    """Shows a status by shape and fill: the shape is part of the number format, so the value stays what it is."""
    mark = STATUS_MARKS[status]
    cell.number_format = f'"{mark.shape} "{cell.number_format}'
    if status is not Status.MET:
        cell.fill = PatternFill("solid", fgColor=mark.fill)
        cell.font = Font(name=FONT, size=cell.font.sz, bold=True, color=mark.letters)


def link(cell: Cell, sheet: str, row: int = 1) -> None:
    """Makes a cell lead to a row of a sheet of the same workbook; underlined, so that a printer shows it too."""
    quoted = sheet.replace("'", "''")
    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=f"'{quoted}'!A{row}")
    font = cell.font
    cell.font = Font(name=font.name, size=font.sz, bold=font.b, color=font.color, underline="single")


def write_table(
    sheet: Worksheet,
    name: str,
    columns: Sequence[tuple[str, Look]],
    rows: Iterable[Sequence[Value | Shown]],
    *,
    dense: bool = False,
    top: int = 1,
) -> int:
    """A real spreadsheet table from A1 on: filters, frozen header, widths; without rows it keeps one blank.

    ``dense``: smaller letters in lower rows, for a table that is long on paper. ``top``: the header's row, below
    another table whose columns stay as wide as they are. Gives the last row.
    """
    shown = [list(row) for row in rows]
    font, scale = (SMALL, SMALL_PT / BODY_PT) if dense else (BODY, 1.0)
    widths = [_column_width(look, [row[i] for row in shown]) for i, (_, look) in enumerate(columns)]
    for number, (header, _) in enumerate(columns, start=1):
        cell = put(sheet.cell(top, number), header, font=BOLD, alignment=WRAP_CENTRE)
        cell.fill, cell.border = HEADER_FILL, HEADER_LINE
        dimension = sheet.column_dimensions[get_column_letter(number)]
        above = dimension.width if top > 1 and number <= sheet.max_column else 0.0
        dimension.width = max(widths[number - 1] * scale, above)
    last = top
    for last, row in enumerate(shown, start=top + 1):
        height = 0.0
        for number, (value, (_, look)) in enumerate(zip(row, columns, strict=True), start=1):
            cell = _table_cell(sheet.cell(last, number), value, look, font)
            if isinstance(cell.value, str):
                line = LINE_POINTS * scale
                height = max(height, row_height(cell.value, widths[number - 1] - INDENT, line))
        sheet.row_dimensions[last].height = height or None
    sheet.freeze_panes = "A2" if top == 1 else sheet.freeze_panes
    sheet.row_dimensions[top].height = 44
    last = max(last, top + 1)
    table = Table(displayName=name, ref=f"A{top}:{get_column_letter(len(columns))}{last}")
    table.tableStyleInfo = TableStyleInfo(name="TableStyleLight1", showRowStripes=False)
    sheet.add_table(table)
    print_landscape(sheet, titles="1:1" if top == 1 else None)
    return last


def _column_width(look: Look, values: Iterable[Value | Shown]) -> float:
    """The look's width, more where a word of a text would be cut, up to ``WIDEST``."""
    texts = [value for value in values if isinstance(value, str)]
    words = texts if look.whole else [word for text in texts for word in text.split()]
    longest = max((text_width(word) for word in words), default=0.0)
    return max(look.width, min(longest + INDENT, WIDEST))


def _table_cell(cell: Cell | MergedCell, given: Value | Shown, look: Look, font: Font) -> Cell:
    shown = given if isinstance(given, Shown) else Shown(given, look.number_format)
    cell.number_format = shown.number_format
    cell.border = LINE_BELOW
    written = put(cell, shown.value, font=font, alignment=look.alignment)
    if shown.status is not None:
        mark_status(written, shown.status)
    return written


def print_landscape(sheet: Worksheet, *, titles: str | None = None, metric: bool = False) -> None:
    """Landscape, as wide as one page, repeated title rows, page numbers and the caution in the footer."""
    _print(sheet, "landscape", titles, metric=metric)


def print_portrait(sheet: Worksheet, *, titles: str | None = None, metric: bool = False) -> None:
    """The same upright."""
    _print(sheet, "portrait", titles, metric=metric)


def _print(sheet: Worksheet, way: Literal["portrait", "landscape"], titles: str | None, *, metric: bool) -> None:
    sheet.page_setup.orientation = way
    sheet.page_setup.paperSize = A4 if metric else LETTER
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = SIDE_IN
    sheet.page_margins.top, sheet.page_margins.bottom = TOP_IN, BOTTOM_IN
    sheet.page_margins.footer = 0.2
    sheet.print_options.horizontalCentered = True
    if titles is not None:
        sheet.print_title_rows = titles
    footer = HeaderFooterItem()
    for part, text in ((footer.left, CAUTION_FOOTER), (footer.center, "&A"), (footer.right, "Page &P of &N")):
        part.text, part.size = text, 8
    sheet.oddFooter = footer


def break_before(sheet: Worksheet, row: int) -> None:
    """Start a new printed page with ``row``."""
    sheet.row_breaks.append(Break(id=row - 1))


def keep_groups_together(sheet: Worksheet, starts: Sequence[int], last: int, *, metric: bool) -> None:
    """Page breaks for a landscape table so that rows which belong together print on one page where one holds them.

    ``starts``: first row of each group, ascending; ``last``: last row of the table.
    """
    paper_high, paper_wide = PAPER_IN[metric]
    columns = sum(one.width for one in sheet.column_dimensions.values()) * PIXELS_PER_CHARACTER / 96
    shrunk = min(1.0, (paper_wide - 2 * SIDE_IN) / columns)
    page = 0.97 * (paper_high - TOP_IN - BOTTOM_IN) * 72 / shrunk
    used = head = sheet.row_dimensions[1].height or 0.0
    for start, end in pairwise([*starts, last + 1]):
        high = sum(sheet.row_dimensions[row].height or 15.0 for row in range(start, end))
        if used > head and used + high > page:
            break_before(sheet, start)
            used = head
        used = head + (used - head + high) % (page - head)


def sheet_title(workbook: Workbook, wanted: str) -> str:
    """A sheet name that spreadsheet programs take: at most 31 characters, none of ``[]:*?/\\``, not in use."""
    clean = "".join("-" if sign in "[]:*?/\\" else sign for sign in ILLEGAL_CHARACTERS_RE.sub("", wanted))
    clean = clean.strip("' ")[:31].rstrip("' ") or "Rig"
    taken = {title.casefold() for title in workbook.sheetnames}
    title, count = clean, 2
    while title.casefold() in taken:
        end = f" ({count})"
        title, count = clean[: 31 - len(end)] + end, count + 1
    return title


def row_height(text: str, characters: float, line_points: float = LINE_POINTS) -> float:
    """Height in points of a row whose cell, ``characters`` wide, wraps this text at words."""
    lines = sum(_lines(line, max(characters, 4.0)) for line in text.split("\n"))
    return lines * line_points + 2


def _lines(text: str, width: float) -> int:
    """Lines that a text takes in a column of this width; a word that is too long is cut."""
    lines, used = 1, 0.0
    for word in text.split():
        needed = text_width(word)
        if used and used + SPACE + needed > width + ROUNDING:
            lines, used = lines + 1, 0.0
        used += needed + (SPACE if used else 0.0)
        lines, used = lines + int(used // (width + ROUNDING)), used % (width + ROUNDING)
    return lines


def text_width(text: str) -> float:
    """Width of a text in a proportional font, in digits of that font: rough, and rather too wide."""
    return sum(NARROW if sign in "ijlt.,:;|'()[]/ -" else LOWER if sign.islower() else WIDE for sign in text)


def new_workbook() -> Workbook:
    """An empty workbook whose default font, by which column widths are measured, is the body's."""
    workbook = Workbook()
    # openpyxl has no public way to its default font.
    workbook._named_styles["Normal"].font = copy(BODY)  # type: ignore[attr-defined]
    workbook._fonts[0] = copy(BODY)  # type: ignore[attr-defined]
    return workbook


def first_sheet(workbook: Workbook, title: str) -> Worksheet:
    """The sheet that a new workbook begins with, named."""
    sheet = workbook.worksheets[0]
    sheet.title = title
    return sheet
