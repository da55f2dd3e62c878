"""A sheet that is laid out as printed pages, from the top down: lines, boxed tables, pictures."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import BODY_PT
from openpyxl.cell.cell import Cell
from openpyxl.drawing.fill import Blip
from openpyxl.drawing.geometry import PresetGeometry2D
from openpyxl.drawing.image import Image
from openpyxl.drawing.picture import PictureFrame
from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, OneCellAnchor
from openpyxl.drawing.xdr import XDRPositiveSize2D
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

EMU_PER_PIXEL = 9525
"""Pixels of 1/96 in, 914,400 English metric units an inch (ECMA-376, part 1, 20.1.2.1)."""
PICTURE_ROW_POINTS = 15.0
GAP_POINTS = 6.0
PIXELS_PER_IN = 96
FILL = 0.985
"""Share of a page that is filled: programs measure rows a little differently."""

Parts = Sequence[tuple[str, int]]
"""Texts beside each other and the number of columns that each takes."""


class Page:
    """Knows its next free row and how much of the printed page is used.

    It is laid over ``columns`` columns of equal width: 12 lying, 24 ``upright``.
    """

    def __init__(self, sheet: Worksheet, *, metric: bool, upright: bool = False) -> None:
        self.sheet = sheet
        self.metric, self.upright = metric, upright
        self.columns, self.pixels = (24, 29.5) if upright else (12, 80.0)
        self.body, self.bold = (styles.PAGE, styles.PAGE_BOLD) if upright else (styles.BODY, styles.BOLD)
        self.small, self.small_bold = styles.SMALL, styles.SMALL_BOLD
        if upright:
            self.small, self.small_bold = styles.PAGE_SMALL, styles.PAGE_SMALL_BOLD
        short, long = styles.PAPER_IN[metric]
        wide, high = (short, long) if upright else (long, short)
        shrunk = min(1.0, (wide - 2 * styles.SIDE_IN) * PIXELS_PER_IN / (self.columns * self.pixels))
        self.points = FILL * (high - styles.TOP_IN - styles.BOTTOM_IN) * 72 / shrunk
        self.row = 1
        self.used = self.titles = 0.0
        self.holding = False
        for number in range(1, self.columns + 1):
            sheet.column_dimensions[get_column_letter(number)].width = self.pixels / styles.PIXELS_PER_CHARACTER

    @property
    def width_in(self) -> float:
        """Width of a picture that fills the page, inches."""
        return self.columns * self.pixels / PIXELS_PER_IN

    def end_titles(self) -> None:
        """What stands so far is repeated on every printed page."""
        self.titles = self.used
        set_up = styles.print_portrait if self.upright else styles.print_landscape
        set_up(self.sheet, titles=f"1:{self.row - 1}", metric=self.metric)

    def line(self, text: str, font: Font | None = None) -> None:
        """One text across the page, wrapped, in a row high enough for it."""
        self._spread([(text, self.columns)], font or self.body)

    def links(self, parts: Sequence[tuple[str, str]]) -> None:
        """A row of links side by side: the words and the sheet that each leads to."""
        span = self.columns // max(len(parts), 1)
        self._spread([(words, span) for words, _ in parts], self.small)
        for number, (_, target) in enumerate(parts):
            cell = self.sheet.cell(self.row - 1, 1 + number * span)
            if isinstance(cell, Cell):
                styles.link(cell, target)

    def section(self, text: str) -> None:
        """A heading across the page."""
        self.line(text, styles.SECTION)
        for column in range(1, self.columns + 1):
            self.sheet.cell(self.row - 1, column).fill = styles.SECTION_FILL

    def table(self, heads: Parts, rows: Sequence[Sequence[str]], *, small: bool = False) -> None:
        """A boxed table and an empty row; its headings are repeated where it goes on on a new printed page."""
        body, bold = (self.small, self.small_bold) if small else (self.body, self.bold)
        parted = [[(text, span) for text, (_, span) in zip(row, heads, strict=True)] for row in rows]
        first = [self.height_of(heads, bold), *(self.height_of(parts, body) for parts in parted[:1])]
        self.keep_together(sum(first))
        self._heads(heads, bold)
        for parts in parted:
            if self.keep_together(self.height_of(parts, body)):
                self._heads(heads, bold)
            self._spread(parts, body)
            self._box(parts)
        self._gap()

    def picture(self, png: bytes, words: str = "") -> None:
        """A drawing as wide as the page, over as many rows as it is high; ``words`` are its alternative text."""
        picture = Image(io.BytesIO(png))
        width = round(self.columns * self.pixels)
        height = round(width * picture.height / picture.width)
        rows = math.ceil(height * 0.75 / PICTURE_ROW_POINTS)
        for row in range(self.row, self.row + rows):
            self.sheet.row_dimensions[row].height = PICTURE_ROW_POINTS
        self.sheet.row_dimensions[self.row + rows - 1].height = height * 0.75 - (rows - 1) * PICTURE_ROW_POINTS + 3
        size = XDRPositiveSize2D(width * EMU_PER_PIXEL, height * EMU_PER_PIXEL)
        picture.anchor = OneCellAnchor(_from=AnchorMarker(col=0, row=self.row - 1), ext=size)
        if words:
            picture.anchor.pic = _frame(len(self.sheet._images) + 1, words)  # type: ignore[attr-defined]
        self.sheet.add_image(picture)
        self.used += height * 0.75 + 3
        self.row += rows

    def new_page(self) -> None:
        """Start a printed page."""
        styles.break_before(self.sheet, self.row)
        self.used = self.titles

    @contextmanager
    def block(self) -> Iterator[None]:
        """What is written inside starts a printed page if it does not fit on what is left of this one."""
        first, before = self.row, self.used
        self.holding = True
        yield
        self.holding = False
        high = self.used - before
        if self.used > self.points and before > self.titles:
            styles.break_before(self.sheet, first)
            self.used = self.titles + high % (self.points - self.titles)

    def keep_together(self, points: float) -> bool:
        """Start a printed page unless this height still fits or a block holds; gives whether one was started."""
        if self.holding:
            return False
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
        height = self.height_of(parts, font)
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

    def height_of(self, parts: Parts, font: Font) -> float:
        """Points that a row of these texts needs in this font."""
        size = float(font.sz or BODY_PT)
        characters = (self.pixels - 1) / styles.PIXELS_PER_CHARACTER * 10 / size
        return max(styles.row_height(text, span * characters, size * 1.22) for text, span in parts)


def _frame(number: int, words: str) -> PictureFrame:
    """A picture's frame with its alternative text; the library puts the picture itself into it."""
    frame = PictureFrame()
    frame.nvPicPr.cNvPr.id, frame.nvPicPr.cNvPr.name = number, f"Image {number}"
    frame.nvPicPr.cNvPr.descr = words
    frame.blipFill.blip = Blip(cstate="print")
    frame.spPr.prstGeom = PresetGeometry2D(prst="rect")
    frame.spPr.ln = None
    return frame
