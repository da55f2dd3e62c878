"""Where links lead, and the answer, departures and pages of a day as its people read them."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from dispatch.io.summary_sheet import Used, answer
from dispatch.io.timeline_sheet import totals_text
from dispatch.io.write_schedule import schedule_workbook
from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import Cell

from dispatch.day_bars import Bar, Doing
from dispatch.report import report
from tests.small_day import small_plan, small_problem


@pytest.fixture(scope="module")
def data() -> bytes:
    return schedule_workbook(report(small_problem(), small_plan()), Used())


@pytest.fixture(scope="module")
def book(data: bytes) -> Workbook:
    return load_workbook(io.BytesIO(data))


def target(book: Workbook, cell: Cell) -> Cell:
    """The first cell of the row that a link leads to."""
    assert cell.hyperlink is not None, cell.coordinate
    place = re.fullmatch(r"'(.+)'!A(\d+)", cell.hyperlink.location)
    assert place is not None
    return book[place[1]].cell(int(place[2]), 1)


def column(book: Workbook, sheet: str, heading: str) -> list[Cell]:
    (index,) = (cell.column for cell in book[sheet][1] if cell.value == heading)
    return [row[index - 1] for row in book[sheet].iter_rows(min_row=2)]


def test_a_trip_leads_to_its_block_on_the_drivers_page(book: Workbook) -> None:
    for cell in column(book, "Schedule", "Trip"):
        assert str(target(book, cell).value).startswith(f"Trip {cell.value}:")


@pytest.mark.parametrize(
    ("heading", "sheet"), [("Start", "Stops"), ("Heaviest gross (lb)", "Load plan"), ("Tightest check", "Weights")]
)
def test_a_trip_leads_to_its_first_row_of_each_table(book: Workbook, heading: str, sheet: str) -> None:
    trips = [cell.value for cell in column(book, "Schedule", "Trip")]
    for trip, cell in zip(trips, column(book, "Schedule", heading), strict=True):
        found = target(book, cell)
        assert (found.parent.title, found.value) == (sheet, trip)
        if sheet != "Weights":
            assert found.row == 2 or found.parent.cell(found.row - 1, 1).value != trip
        else:
            assert found.parent.cell(found.row, 5).value == cell.value


@pytest.mark.parametrize("sheet", ["Stops", "Load plan", "Weights"])
def test_every_row_leads_back_to_its_trip(book: Workbook, sheet: str) -> None:
    for cell in column(book, sheet, "Trip"):
        found = target(book, cell)
        assert (found.parent.title, found.value) == ("Schedule", cell.value)


def test_summary_timeline_and_pages_are_linked(book: Workbook) -> None:
    labels = {cell.value: cell for (cell,) in book["Summary"].iter_rows(max_col=1) if cell.value}
    assert target(book, labels["Rig 1"]).parent.title == "Rig 1"
    assert target(book, labels["Moves left out"]).parent.title == "Left out"
    rigs = {cell.value: cell for (cell,) in book["Timeline"].iter_rows(max_col=1) if cell.value}
    assert target(book, rigs["Rig 2"]).parent.title == "Rig 2"
    back = [cell for row in book["Rig 1"].iter_rows(max_row=5) for cell in row if cell.value == "Summary"]
    assert target(book, back[0]).parent.title == "Summary"


def test_the_answer_is_one_line() -> None:
    day = report(small_problem(), small_plan())
    assert answer(day) == "3 trips: no plan has fewer than 2. 5 of 6 moves hauled. LEFT OUT: M5 (giant)."
    assert answer(report(small_problem(), small_plan(left_out=()))).endswith("6 of 6 moves hauled, none left out.")


def test_departures_say_when_with_whom_and_until_when(book: Workbook) -> None:
    rows = {row[0]: row[1:] for row in book["Summary"].iter_rows(max_col=3, values_only=True)}
    when, words = rows["Rig 1"]
    assert f"{when:%H:%M}" == "07:00"
    assert words == "A. Driver, 2 trips, from yard, first pickup quarry 07:20; back 11:15, must be by 18:00"
    assert rows["Rig 3"][0] == "not used"


def test_timeline_says_waits_and_breaks_in_minutes() -> None:
    bars = [
        Bar("r", 1, Doing.EMPTY, 420, 440, "a"),
        Bar("r", 1, Doing.WAITING, 440, 447, "a"),
        Bar("r", 1, Doing.BREAK, 500, 530, "a"),
    ]
    assert totals_text(bars) == "07:00-08:50, waits 7 min, break 08:20-08:50"
    assert totals_text([]) == "not used"


def test_visits_of_a_site_are_shown_by_trip(book: Workbook) -> None:
    sheet = book["Timeline"]
    (row,) = (cells for cells in sheet.iter_rows() if str(cells[0].value).startswith("quarry (07:00-16:00"))
    kinds = [cell.fill.fill_type for cell in row[1:]]
    assert "darkGray" not in kinds, "the rigs are out only while the quarry is open"
    assert [cell.value for cell in row[1:] if cell.value] == ["1"] * 5


def test_met_tight_and_permit_differ_by_shape(book: Workbook) -> None:
    shown = {cell.value: set() for cell in column(book, "Weights", "OK")}
    for cell in column(book, "Weights", "OK"):
        shown[cell.value].add(cell.number_format)
    assert {'"\u25cb "@', '"\u25ca "@'} <= shown["yes"]


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_another_program_reads_and_writes_it_without_loss(data: bytes, book: Workbook, tmp_path: Path) -> None:
    """LibreOffice opens the file, saves it anew, and every cell of every table is still what it was."""
    source = tmp_path / "plan.xlsx"
    source.write_bytes(data)
    command = ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "again"), str(source)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    again = load_workbook(tmp_path / "again" / "plan.xlsx")
    assert again.sheetnames == book.sheetnames
    for sheet in book:
        other = again[sheet.title]
        assert {t.displayName: t.ref for t in other.tables.values()} == {
            t.displayName: t.ref for t in sheet.tables.values()
        }
        assert len(other._images) == len(sheet._images)
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    assert other[cell.coordinate].value == cell.value, (sheet.title, cell.coordinate)
                if cell.hyperlink is not None:
                    assert other[cell.coordinate].hyperlink is not None
