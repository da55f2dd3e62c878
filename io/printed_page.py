"""A sheet that is laid out as printed pages, from the top down: lines, boxed tables, pictures."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from openpyxl.drawing.image import Image
from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, OneCellAnchor
from openpyxl.drawing.xdr import XDRPositiveSize2D
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

COLUMN = 11.5
LAST = 12
"""The page is laid over this many columns of this width in characters."""
COLUMN_PIXELS = 84
EMU_PER_PIXEL = 9525
"""Pixels of 1/96 in, 914,400 English metric units an inch (ECMA-376, part 1, 20.1.2.1)."""
PICTURE_ROW_POINTS = 15.0
GAP_POINTS = 8.0
PAGE_POINTS, PAGE_POINTS_A4 = 552.0, 512.0
"""Height that one printed page takes on Letter and on A4, titles included."""

Parts = Sequence[tuple[str, int]]
"""Texts beside each other and the number of columns that each takes."""


class Page:
    """Knows its next free row and how much of the printed page is used."""

    def __init__(self, sheet: Worksheet, *, metric: bool) -> None:
        self.sheet = sheet
        self.points = PAGE_POINTS_A4 if metric else PAGE_POINTS
        self.row = 1
        self.used = self.titles = 0.0
        for number in range(1, LAST + 1):
            sheet.column_dimensions[get_column_letter(number)].width = COLUMN

    def end_titles(self) -> None:
        """What stands so far is repeated on every printed page."""
        self.titles = self.used
        styles.print_landscape(self.sheet, titles=f"1:{self.row - 1}", metric=self.points == PAGE_POINTS_A4)

    def line(self, text: str, font: Font = styles.BODY) -> None:
        """One text across the page, wrapped, in a row high enough for it."""
        self._spread([(text, LAST)], font)

    def section(self, text: str) -> None:
        """A heading across the page."""
        self.line(text, styles.SECTION)
        for column in range(1, LAST + 1):
            self.sheet.cell(self.row - 1, column).fill = styles.SECTION_FILL

    def table(self, heads: Parts, rows: Sequence[Sequence[str]], *, small: bool = False) -> None:
        """A boxed table and an empty row; its headings are repeated where it goes on on a new printed page."""
        body, bold = (styles.SMALL, styles.SMALL_BOLD) if small else (styles.BODY, styles.BOLD)
        parted = [[(text, span) for text, (_, span) in zip(row, heads, strict=True)] for row in rows]
        first = [height_of(heads, bold), *(height_of(parts, body) for parts in parted[:1])]
        self.keep_together(sum(first))
        self._heads(heads, bold)
        for parts in parted:
            if self.keep_together(height_of(parts, body)):
                self._heads(heads, bold)
            self._spread(parts, body)
            self._box(parts)
        self._gap()

    def picture(self, png: bytes) -> None:
        """A drawing as wide as the page, over as many rows as it is high."""
        picture = Image(io.BytesIO(png))
        width = LAST * COLUMN_PIXELS
        height = round(width * picture.height / picture.width)
        rows = math.ceil(height * 0.75 / PICTURE_ROW_POINTS)
        for row in range(self.row, self.row + rows):
            self.sheet.row_dimensions[row].height = PICTURE_ROW_POINTS
        self.sheet.row_dimensions[self.row + rows - 1].height = height * 0.75 - (rows - 1) * PICTURE_ROW_POINTS + 3
        size = XDRPositiveSize2D(width * EMU_PER_PIXEL, height * EMU_PER_PIXEL)
        picture.anchor = OneCellAnchor(_from=AnchorMarker(col=0, row=self.row - 1), ext=size)
        self.sheet.add_image(picture)
        self.used += height * 0.75 + 3
        self.row += rows

    def new_page(self) -> None:
        """Start a printed page."""
        styles.break_before(self.sheet, self.row)
        self.used = self.titles

    def keep_together(self, points: float) -> bool:
        """Start a printed page unless this height still fits; gives whether one was started."""
        full = self.used + points > self.points and self.used > self.titles
        if full:
            self.new_page()
        return full

    def _gap(self) -> None:
        self.sheet.row_dimensions[self.row].height = GAP_POINTS
        self.used += GAP_POINTS
        self.row += 1

    def _spread(self, parts: Parts, font: Font) -> None:
        column = 1
        for text, span in parts:
            styles.put(self.sheet.cell(self.row, column), text, font=font, alignment=styles.WRAP)
            if span > 1:
                end = column + span - 1
                self.sheet.merge_cells(start_row=self.row, end_row=self.row, start_column=column, end_column=end)
            column += span
        height = height_of(parts, font)
        self.sheet.row_dimensions[self.row].height = height
        self.used += height
        self.row += 1

    def _heads(self, heads: Parts, font: Font) -> None:
        self._spread(heads, font)
        self._box(heads)
        for column in range(1, sum(span for _, span in heads) + 1):
            self.sheet.cell(self.row - 1, column).fill = styles.HEADER_FILL

    def _box(self, parts: Parts) -> None:
        """Lines around the cells of the row just written."""
        for column in range(1, sum(span for _, span in parts) + 1):
            self.sheet.cell(self.row - 1, column).border = styles.BOX


def height_of(parts: Parts, font: Font) -> float:
    """Points that a row of these texts needs in this font."""
    size = float(font.sz or 10)
    return max(styles.row_height(text, span * COLUMN * 10 / size, size * 1.3) for text, span in parts)
