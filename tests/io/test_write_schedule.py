"""The schedule workbook read back: sheets, headers, values, text, tables, print set-up, pictures."""

from __future__ import annotations

import datetime
import io
from dataclasses import replace
from pathlib import Path

import pytest
from dispatch.io import fit_sheets
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import TABLES, write_tables
from dispatch.io.sheet_styles import clock_value, first_sheet, new_workbook, put, row_height, sheet_title
from dispatch.io.summary_sheet import Used, write_summary
from dispatch.io.write_schedule import schedule_workbook
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.capacity import payload_left
from dispatch.loaded_trips import loaded_trips
from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.report import report
from tests.small_day import SETTINGS, small_plan, small_problem

DOCS = Path(__file__).parents[2] / "docs"
USED = Used((("=fleet.xlsx", "ab" * 32),), (("Gap between items (ft)", "2 (default 1)"),), ("a warning",), "9.9.9")
KG = 0.45359237
"""Exact: NIST SP 811, appendix B.8."""


def written(problem: Problem | None = None, plan: Plan | None = None) -> Workbook:
    day = report(problem or small_problem(), plan or small_plan())
    return load_workbook(io.BytesIO(schedule_workbook(day, USED)))


def tables(problem: Problem | None = None, plan: Plan | None = None) -> Workbook:
    """Summary and tables alone, without the pages that have pictures, saved and read back."""
    day, workbook, buffer = report(problem or small_problem(), plan or small_plan()), new_workbook(), io.BytesIO()
    units = OutputUnits.of(day.problem.settings)
    write_summary(first_sheet(workbook, "Summary"), day, USED, units)
    write_tables(workbook, day, units)
    workbook.save(buffer)
    return load_workbook(buffer)


@pytest.fixture(scope="module")
def book() -> Workbook:
    return written()


def rows(sheet: Worksheet) -> list[dict[str, object]]:
    heads, *lines = sheet.iter_rows(values_only=True)
    return [dict(zip(map(str, heads), line, strict=True)) for line in lines]


def labels(sheet: Worksheet) -> dict[object, object]:
    return {label: value for label, value, _ in sheet.iter_rows(max_col=3, values_only=True) if label}


def test_sheets_stand_in_their_order_with_a_page_a_rig(book: Workbook) -> None:
    assert book.sheetnames == [
        "Summary",
        "Schedule",
        "Stops",
        "Load plan",
        "Weights",
        "Left out",
        "Timeline",
        "Map and use",
        "Rig 1",
        "Rig 2",
        "Rig 3",
        "Payload left",
        "Fit pictures",
    ]


def test_headers_are_the_contract_with_units(book: Workbook) -> None:
    heads = {name: [cell.value for cell in book[name][1]] for name in book.sheetnames[1:6]}
    assert heads["Schedule"] == [
        *("Trip", "Rig", "Truck", "Trailer", "Driver", "Start", "End", "Items (load order)", "From", "To"),
        *("Loaded (mi)", "Empty before (mi)", "Heaviest gross (lb)", "Tightest check", "Use (%)", "Cost (USD)"),
        "Permit",
    ]
    assert heads["Stops"] == [
        *("Trip", "Stop", "Rig", "Arrive", "Leave", "Site", "Action", "Move", "Item", "On deck after"),
    ]
    assert heads["Load plan"][:15] == [
        *("Trip", "Move", "Item", "Order", "Front edge behind coupler (in)", "Front edge behind deck front (in)"),
        *("Front edge behind coupler (ft in)", "Front edge behind deck front (ft in)", "Facing", "Deck"),
        *("Weight (lb)", "Weight high (lb)", "Tie-downs", "Least WLL (lb)", "Weight basis"),
    ]
    assert heads["Weights"] == [
        *("Trip", "Leg", "From", "To", "Check", "Value", "Worst case", "Limit", "Unit", "Margin", "Use (%)"),
        *("OK", "Basis of limit"),
    ]
    assert heads["Left out"] == ["Move", "Item", "Rig", "Reason", "What would change it"]


def test_summary_labels_have_their_value_in_the_next_cell(book: Workbook) -> None:
    found = labels(book["Summary"])
    expected = {
        "Trips": 3,
        "Fewest trips proved": "no",
        "No plan has fewer trips than": 2,
        "Moves hauled": 5,
        "Moves left out": 1,
        "Miles loaded": 40,
        "Miles empty": 30,
        "Paid hours": 5.58,
        "Cost": 690,
        "haulday version": "9.9.9",
    }
    assert {label: found[label] for label in expected} == expected


def test_schedule_row_holds_times_and_numbers_not_texts(book: Workbook) -> None:
    first = rows(book["Schedule"])[0]
    assert (first["Start"], first["End"]) == (datetime.time(7, 20), datetime.time(10, 0))
    assert (first["Loaded (mi)"], first["Empty before (mi)"]) == (20, 10)
    assert first["Heaviest gross (lb)"] == pytest.approx(29_500)
    assert first["Items (load order)"] == "mini excavator, skid steer, bucket"


def test_load_plan_says_the_place_in_inches_and_in_feet_and_inches(book: Workbook) -> None:
    first = rows(book["Load plan"])[0]
    assert first["Front edge behind deck front (in)"] == 28
    assert first["Front edge behind deck front (ft in)"] == "2 ft 4 in"
    assert first["Front edge behind coupler (ft in)"] == "9 ft 4 in"


def test_weights_follow_margin_and_use_of_the_fine_print(book: Workbook) -> None:
    for row in rows(book["Weights"]):
        worst, limit, margin = (float(str(row[key])) for key in ("Worst case", "Limit", "Margin"))
        lower = row["Check"] in {"Coupler share least", "Steer least"}
        assert margin == pytest.approx(worst - limit if lower else limit - worst, abs=0.02)
        bottom, top = (worst, limit) if lower else (limit, worst)
        if bottom > 0:
            assert float(str(row["Use (%)"])) == pytest.approx(100 * top / bottom, abs=0.02)
        assert row["Unit"] in {"lb", "%", "ft", "count"}


def test_an_excess_under_a_permit_is_ok_and_says_so(book: Workbook) -> None:
    # The wide load is 110 in; 23 CFR 658.15 allows 102 in.
    (width,) = (row for row in rows(book["Weights"]) if row["Check"] == "Width" and row["Trip"] == 2)
    assert width["OK"] == "yes"
    assert "permit" in str(width["Basis of limit"])


def test_names_that_look_like_formulas_stay_text(book: Workbook) -> None:
    cell = next(cell for row in book["Stops"].iter_rows() for cell in row if cell.value == "=roller")
    assert cell.data_type == "s"
    assert cell.quotePrefix
    kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row}
    assert "f" not in kinds
    assert "e" not in kinds


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "#N/A", "TRUE", "12"])
def test_every_text_is_written_as_text(text: str) -> None:
    workbook = new_workbook()
    put(workbook.active.cell(1, 1), text)
    buffer = io.BytesIO()
    workbook.save(buffer)
    cell = load_workbook(buffer).active.cell(1, 1)
    assert (cell.value, cell.data_type) == (text, "s")


def test_letters_that_no_workbook_can_hold_are_dropped() -> None:
    cell = put(new_workbook().active.cell(1, 1), "a\x07b")
    assert cell.value == "ab"


def test_tables_are_real_have_unique_names_and_frozen_headers(book: Workbook) -> None:
    names = [table.displayName for sheet in book for table in sheet.tables.values()]
    assert len(names) == len(set(names)) == 6
    for sheet in book.worksheets[1:6]:
        (table,) = sheet.tables.values()
        assert table.ref == sheet.dimensions
        assert table.autoFilter is not None
        assert sheet.freeze_panes == "A2"


def test_payload_left_on_a_planned_trip_is_what_the_rules_allow(book: Workbook) -> None:
    """The heaviest further item at its best place beside a trip of the plan, as ``capacity`` reckons it."""
    best = [row for row in rows(book["Payload left"]) if row["Best"] == "yes"]
    problem, plan = small_problem(), small_plan()
    found = {
        (f"trip {trip.number}", left.length_in / 12, "behind" if left.behind else "ahead"): left.best.most_lb
        for trip in loaded_trips(problem, plan)
        for left in payload_left(problem, trip)
    }
    assert best
    for row in best:
        assert row["Allowed up to (lb)"] == found[row["Load"], row["Item length (ft)"], row["Where"]]


def test_an_empty_table_keeps_one_blank_row() -> None:
    # A table that is only a header makes spreadsheet programs offer a repair.
    book = tables(plan=small_plan(left_out=()))
    assert book["Left out"].tables["LeftOut"].ref == "A1:E2"


def test_pages_print_on_one_width_with_repeated_titles(book: Workbook) -> None:
    for sheet in book:
        upright = sheet.title.startswith("Rig ")
        assert sheet.page_setup.orientation == ("portrait" if upright else "landscape")
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.oddFooter.right.text == "Page &P of &N"
    assert all(book[name].print_title_rows for name in book.sheetnames[1:])


def test_timeline_tells_loaded_empty_loading_and_unloading_by_letter(book: Workbook) -> None:
    sheet = book["Timeline"]
    heads = {cell.column: cell.value for cell in sheet[3] if cell.value and cell.column > 1}
    assert heads[2] == "07:00"
    letters = "".join(str(cell.value or ".") for cell in sheet[5][1:])
    # Rig 1: 20 min empty, 10 waiting, 60 loading, 20 loaded, 15 unloading ...; one cell is 15 minutes.
    assert letters.startswith("ewLLLLDU")
    assert {cell.value for row in sheet.iter_rows() for cell in row} >= set("DeLUwb")


def test_driver_page_has_a_picture_a_trip_and_what_a_driver_asks(book: Workbook) -> None:
    sheet = book["Rig 1"]
    assert len(sheet._images) == 2
    text = "\n".join(str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value)
    for part in (
        "MUST BE BACK BY 18:00",
        "1 Pit Road",
        "gate 555-0100",
        "+1 555 0101",
        "open 07:00-16:00",
        "PERMIT: OS-17, travel 09:00-15:00",
        "gate code 12",
        "within the first 50 miles".capitalize(),
        "every 3 hours or every 150 miles",
        "replaces none",
        "rear supports down",
        "2 ft 4 in",
        "14,500",
    ):
        assert part in text, part
    assert "No trips today." in {cell.value for row in book["Rig 3"].iter_rows() for cell in row}


def test_metric_output_turns_units_of_headers_and_values() -> None:
    book = tables(small_problem(replace(SETTINGS, metric_weight=True, metric_distance=True)))
    first = rows(book["Schedule"])[0]
    assert first["Heaviest gross (kg)"] == pytest.approx(29_500 * KG, abs=0.01)
    assert first["Loaded (km)"] == pytest.approx(32.2)  # 20 mi x 1.609344
    assert rows(book["Load plan"])[0]["Front edge behind deck front (m)"] == pytest.approx(28 * 0.0254, abs=1e-3)
    assert {row["Unit"] for row in rows(book["Weights"])} == {"kg", "%", "m", "count"}
    assert labels(book["Summary"])["Miles loaded"] == 40
    assert labels(book["Summary"])["Kilometres loaded"] == pytest.approx(64.4)


def test_sheet_titles_are_legal_and_not_taken_twice() -> None:
    workbook = new_workbook()
    for _ in range(2):
        workbook.create_sheet(sheet_title(workbook, "Rig a/b:c*[" + "x" * 40))
    first, second = workbook.sheetnames[1:]
    assert len(first) <= 31
    assert len(second) <= 31
    assert first != second
    assert not set("[]:*?/\\") & set(first + second)
    assert sheet_title(workbook, "'''") == "Rig"


def test_times_past_midnight_run_on() -> None:
    assert clock_value(450) == datetime.time(7, 30)
    assert clock_value(1_470) == datetime.timedelta(minutes=1_470)


def test_rows_grow_with_wrapped_text() -> None:
    assert row_height("word " * 30, 20) > row_height("word " * 10, 20) > row_height("word", 20)


def test_output_units_convert_checks_once() -> None:
    units, metric = OutputUnits(), OutputUnits(metric_weight=True, metric_distance=True)
    assert units.to_check(102.0, "in") == 8.5
    assert metric.to_check(102.0, "in") == pytest.approx(2.591, abs=5e-4)
    assert metric.to_check(20_000.0, "lb") == pytest.approx(9_071.85)
    assert units.to_check(15.0, "%") == 15.0


def test_every_column_is_documented() -> None:
    text = (DOCS / "schedule-workbook.md").read_text(encoding="utf-8")
    units = OutputUnits()
    for title, _, columns, _ in TABLES:
        part = text.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]
        for column in columns:
            assert f"| {column.header(units)} | {column.meaning} |" in part, (title, column.name)


def test_a_long_day_has_pictures_of_the_trips_with_most_room(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fit_sheets, "MOST_PICTURES", 0)
    book, day = new_workbook(), report(small_problem(), small_plan())
    fit_sheets.write_trips_left(
        book, [fit_sheets.beside_trip(day.problem, one) for one in day.trips], OutputUnits()
    )
    trips = {row["Load"] for row in rows(book["Payload left"])}
    assert not book["Fit pictures"]._images
    assert f"Trips with most room; {len(trips)} with less" in str(book["Fit pictures"]["A3"].value)
