"""Renders every sheet of a workbook as it prints and looks whether it holds:

``python benchmarks/render_check.py WORKBOOK.xlsx FOLDER``. Needs LibreOffice (soffice) and poppler; says so and
leaves with 0 where they are missing. The pages as PNG go into FOLDER, to be looked at. Fails on: a sheet that is
not printed, more pages than a sheet should take, an empty page, a header or title that a page does not repeat (so
columns went to another page), a word beyond the paper's edge, letters too small to read.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree as ET

from dispatch.io.sheet_styles import CAUTION_FOOTER
from openpyxl import load_workbook
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

PROGRAMS = ("soffice", "pdftoppm", "pdftotext")
XHTML = "{http://www.w3.org/1999/xhtml}"
PATIENCE_S = 240
DPI = 80
FOOT_PT, EDGE_PT = 40.0, 10.0
"""Height of the footer over the lower edge, and the least distance of a word from any edge, points."""
SMALLEST_PT, SMALLEST_DRIVER_PT = 4.5, 7.8
"""Least height of a printed line of letters: of tables, and on a driver's page. Common practice, no source."""
MOST_PAGES = {"Summary": 3, "Timeline": 1, "Left out": 2}
RIG_PAGES = 4
"""Two sheets of paper, printed on both sides."""


@dataclass(frozen=True, slots=True)
class Word:
    """A printed word and its box, points from the upper left corner."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Printed:
    """A printed page: its size in points, its words without the footer, and the sheet that the footer names."""

    number: int
    width: float
    height: float
    words: tuple[Word, ...]
    sheet: str


def render(book: Path, folder: Path) -> Path:
    """The workbook as PDF, with a PNG a page beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as profile:
        command = ["soffice", f"-env:UserInstallation=file://{profile}", "--headless", "--convert-to", "pdf"]
        subprocess.run(
            [*command, "--outdir", str(folder), str(book)], check=True, capture_output=True, timeout=PATIENCE_S
        )
    pdf = folder / f"{book.stem}.pdf"
    subprocess.run(["pdftoppm", "-png", "-r", str(DPI), str(pdf), str(folder / book.stem)], check=True)
    return pdf


def pages(pdf: Path, names: list[str]) -> list[Printed]:
    """Every page with its words and its sheet."""
    done = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True)
    text = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", done.stdout)
    found = []
    for number, page in enumerate(ET.fromstring(text).iter(f"{XHTML}page"), start=1):
        width, height = float(page.get("width", 0)), float(page.get("height", 0))
        words = [
            Word(one.text or "", *(float(one.get(key, 0)) for key in ("xMin", "yMin", "xMax", "yMax")))
            for one in page.iter(f"{XHTML}word")
        ]
        foot = [word for word in words if word.top > height - FOOT_PT]
        middle = re.sub(r"Page \d+ of \d+", "", " ".join(word.text for word in foot)).replace(CAUTION_FOOTER, "")
        named = [name for name in names if name == " ".join(middle.split())]
        body = tuple(word for word in words if word not in foot)
        found.append(Printed(number, width, height, body, named[0] if named else f"? {middle}"))
    return found


def faults(book: Workbook, printed: list[Printed]) -> list[str]:
    """Everything that is wrong, in words."""
    by_sheet: dict[str, list[Printed]] = defaultdict(list)
    for page in printed:
        by_sheet[page.sheet].append(page)
    found = [f"{name}: a page of no sheet" for name in by_sheet if name not in book.sheetnames]
    for sheet in book:
        own = by_sheet[sheet.title]
        if not own:
            found.append(f"{sheet.title}: not printed")
        found += [
            f"{sheet.title}, page {page.number}: {words}" for page in own for words in page_faults(sheet, page)
        ]
        most = most_pages(sheet)
        if len(own) > most:
            found.append(f"{sheet.title}: {len(own)} pages, expected at most {most}")
    return found


def most_pages(sheet: Worksheet) -> int:
    """How many pages a sheet may take: by its name, a table by its rows and the pages side by side."""
    if sheet.title in MOST_PAGES:
        return MOST_PAGES[sheet.title]
    if sheet.title.startswith("Rig "):
        return RIG_PAGES
    wide = sheet.page_setup.fitToWidth or 1
    breaks = len(sheet.row_breaks.brk)
    return wide * (breaks + 1 + sheet.max_row // 30)


def page_faults(sheet: Worksheet, page: Printed) -> list[str]:
    """What is wrong with one page."""
    if not page.words:
        return ["empty"]
    found = []
    for word in page.words:
        if word.left < EDGE_PT or word.right > page.width - EDGE_PT:
            found.append(f"{word.text!r} is beyond the edge")
    high = min(word.bottom - word.top for word in page.words)
    least = SMALLEST_DRIVER_PT if sheet.page_setup.orientation == "portrait" else SMALLEST_PT
    if high < least:
        found.append(f"letters of {high:.1f} pt")
    if sheet.page_setup.fitToWidth == 1:
        shown = " ".join(word.text for word in page.words)
        missing = [word for word in repeated_words(sheet) if word not in shown]
        found += [f"does not show {', '.join(missing[:5])}"] if missing else []
    return found


def repeated_words(sheet: Worksheet) -> list[str]:
    """Words of the rows that every page repeats: of all columns, so that none is on another page."""
    if not sheet.print_title_rows:
        return []
    first, last = (int(part) for part in re.findall(r"\d+", sheet.print_title_rows))
    cells = (cell for row in sheet.iter_rows(min_row=first, max_row=last) for cell in row)
    return [word for cell in cells if cell.value for word in str(cell.value).split() if word.isalnum()]


def main() -> None:
    if len(sys.argv) != 3:
        sys.exit(f"usage: {sys.argv[0]} WORKBOOK.xlsx FOLDER")
    missing = [name for name in PROGRAMS if shutil.which(name) is None]
    if missing:
        print(f"not rendered: {', '.join(missing)} not installed")
        return
    path, folder = Path(sys.argv[1]), Path(sys.argv[2])
    book = load_workbook(path)
    printed = pages(render(path, folder), book.sheetnames)
    counts = {name: sum(page.sheet == name for page in printed) for name in book.sheetnames}
    print(f"{path.name}: {len(printed)} pages; " + ", ".join(f"{name} {count}" for name, count in counts.items()))
    found = faults(book, printed)
    if found:
        sys.exit("\n".join(found))


if __name__ == "__main__":
    main()
