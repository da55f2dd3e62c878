"""The template: what it accepts is what the reader accepts, because both come from one declaration."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from dispatch.io import layout
from dispatch.io.layout_columns import Column, Reads
from dispatch.io.safe_files import OutputRefused
from dispatch.io.template_rows import rows_of_files
from dispatch.io.template_units import in_units
from dispatch.io.write_template import template_workbook, write_template
from openpyxl import Workbook, load_workbook

from dispatch.errors import InputProblems
from dispatch.limits import load_rule_set
from tests.io.books import Book, read

EXAMPLES = {
    sheet.name: [{column.header: column.example for column in sheet.columns if column.example}]
    for sheet in layout.SHEETS
}
EXAMPLES["Items"].append(
    {
        "Item": "Bucket 24",
        "Kind": "attachment",
        "Weight (lb)": 480,
        "Length (ft)": 3,
        "Width (ft)": 3,
        "Height (ft)": 3,
        "Loads by": "lifted",
    }
)
EXAMPLES["Sites"].append({"Site": "Mill Road"})


@cache
def template(metric: bool = False) -> Workbook:
    """The template without rows, read back once: tests only look at it."""
    return load_workbook(BytesIO(template_workbook(metric=metric)))


@pytest.mark.parametrize("metric", [False, True])
def test_every_column_of_the_declaration_is_there(metric: bool) -> None:
    workbook = template(metric=metric)
    assert workbook.sheetnames == ["Start here", *(sheet.name for sheet in layout.SHEETS)]
    for sheet in layout.SHEETS:
        target = workbook[sheet.name]
        headers = [cell.value for cell in target[1]]
        assert headers == [in_units(column, metric=metric).header for column in sheet.columns]
        assert target.freeze_panes == "B2"
        assert all(cell.comment is not None for cell in target[1])


@pytest.mark.parametrize("metric", [False, True])
def test_an_empty_template_lacks_nothing_but_rows(metric: bool, tmp_path: Path) -> None:
    path = tmp_path / "day.xlsx"
    write_template(path, metric=metric)
    result = read(path)
    assert {problem.expected for problem in result.problems} == {
        f"at least one row in {sheet.name}" for sheet in layout.SHEETS if sheet.required
    }
    assert result.warnings == ()
    assert result.changed_limits == ()
    changed = {one.name for one in result.changed_settings}
    assert changed == ({"Weight unit of the output", "Distance unit of the output"} if metric else set())


def test_the_examples_of_the_declaration_are_a_sound_day(tmp_path: Path) -> None:
    path = tmp_path / "day.xlsx"
    write_template(path, EXAMPLES)
    result = read(path)
    assert (result.problems, result.warnings) == ((), ())
    assert result.problem is not None
    assert result.problem.hauls[1].item.name == "Bucket 24"


def test_demo_rows_come_back_as_the_same_day(tmp_path: Path) -> None:
    book = Book()
    book.set("Moves", 2, "Permit hours", "9:00-15:00")
    book.set("Moves", 2, "Permit", "P-1")
    book.set("Rigs", 2, "Shift end", "24:00")
    source = book.xlsx(tmp_path / "source.xlsx")
    write_template(tmp_path / "day.xlsx", rows_of_files([source]))
    expected, actual = read(source), read(tmp_path / "day.xlsx")
    assert (actual.problems, actual.warnings) == ((), ())
    assert actual.problem == expected.problem
    assert actual.changed_settings == expected.changed_settings
    folder = book.csv_folder(tmp_path / "scenario")
    write_template(tmp_path / "again.xlsx", rows_of_files([folder]))
    assert read(tmp_path / "again.xlsx").problem == expected.problem


def test_metric_demo_rows_are_the_same_day_in_kilograms_and_metres(tmp_path: Path) -> None:
    source = Book().xlsx(tmp_path / "source.xlsx")
    write_template(tmp_path / "day.xlsx", rows_of_files([source]), metric=True)
    expected, actual = read(source).problem, read(tmp_path / "day.xlsx").problem
    assert expected is not None
    assert actual is not None
    assert actual.settings.metric_weight
    for ours, theirs in zip(expected.items, actual.items, strict=True):
        assert theirs.weight.nominal_lb == pytest.approx(ours.weight.nominal_lb, rel=1e-13)
        assert theirs.length_in == pytest.approx(ours.length_in, rel=1e-13)
    assert actual.roads == expected.roads
    sheet = load_workbook(tmp_path / "day.xlsx")["Items"]
    assert sheet["D1"].value == "Weight (kg)"
    assert sheet["D2"].value == pytest.approx(8_200 * 0.45359237)


def test_text_that_begins_with_an_equals_sign_is_no_formula(tmp_path: Path) -> None:
    rows: dict[str, list[dict[str, Any]]] = {name: [dict(row) for row in rows] for name, rows in EXAMPLES.items()}
    rows["Items"][0]["Description"] = "=HYPERLINK(1)"
    rows["Items"][1]["Item"] = rows["Moves"][0]["With"] = "=1+1"
    path = tmp_path / "day.xlsx"
    write_template(path, rows)
    result = read(path)
    assert result.problem is not None
    assert [item.name for item in result.problem.items] == ["EX-07", "=1+1"]
    cells = [cell for sheet in load_workbook(path) for row in sheet for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f"]


def test_names_and_text_columns_are_formatted_as_text() -> None:
    workbook = template()
    for sheet in layout.SHEETS:
        for index, column in enumerate(sheet.columns):
            dimension = workbook[sheet.name].column_dimensions[chr(ord("A") + index)] if index < 26 else None
            if dimension is not None and column.reads in (Reads.NAME, Reads.REFERENCE, Reads.SHARES):
                assert dimension.number_format == "@", column.name


def test_choices_references_and_numbers_have_checks_that_only_warn() -> None:
    workbook = template()
    for sheet in layout.SHEETS:
        checks = {
            str(check.sqref).split(":")[0]: check for check in workbook[sheet.name].data_validations.dataValidation
        }
        assert all(check.errorStyle == "warning" for check in checks.values())
        for index, column in enumerate(sheet.columns, start=1):
            first = workbook[sheet.name].cell(2, index).coordinate
            if column.reads is Reads.REFERENCE:
                assert checks[first].formula1 == f"{column.sheet}!$A$2:$A$1000"
            elif column.reads is Reads.CHOICE and column.name != "Setting":
                assert checks[first].formula1 == f'"{",".join(column.choices)}"'
            elif column.is_number:
                assert f"ISTEXT({first})" in checks[first].formula1
    settings = workbook["Settings"]
    rows = {str(row[0].value): row[1].coordinate for row in settings.iter_rows(min_row=2)}
    by_cell = {str(check.sqref): check for check in settings.data_validations.dataValidation}
    assert by_cell[rows["Objective"]].formula1 == '"trips first,cost first"'


def test_header_notes_say_meaning_unit_default_example_and_place() -> None:
    note = template()["Trailers"]["H1"].comment
    assert note is not None
    assert note.text == (
        "Weight of the empty trailer on its coupler.\nRequired.\nIn lb; a cell may carry its own unit.\n"
        "Where to find it: Scale ticket, axles off the scale.\nExample: 1,600"
    )


def test_limits_are_listed_as_comments() -> None:
    sheet = template()["Limits"]
    names = [row[0].value for row in sheet.iter_rows(min_row=2)]
    assert names == [f"# {limit.name}" for limit in load_rule_set("US federal").limits.values()]


def test_a_file_is_never_replaced_without_force(tmp_path: Path) -> None:
    path = tmp_path / "day.xlsx"
    path.write_bytes(b"mine")
    with pytest.raises(OutputRefused):
        write_template(path)
    assert path.read_bytes() == b"mine"
    write_template(path, force=True)
    assert path.read_bytes() != b"mine"
    assert [one.name for one in tmp_path.iterdir()] == ["day.xlsx"]


def test_unsound_demo_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputProblems):
        rows_of_files([tmp_path / "gone.xlsx"])


def declared() -> list[tuple[str, Column]]:
    rows = [(sheet.name, column) for sheet in layout.SHEETS for column in sheet.columns]
    return rows + [("Settings", column) for column in layout.SETTING_ROWS]


def test_the_declaration_is_sound() -> None:
    for sheet in layout.SHEETS:
        assert len({column.key for column in sheet.columns}) == len(sheet.columns)
        assert all(sheet.column(key) for key in sheet.keys)
    for where, column in declared():
        assert column.meaning.endswith("."), (where, column.name)
        assert not column.sheet or layout.sheet_named(column.sheet), (where, column.name)
        assert not (column.required and column.default_text), (where, column.name)
        if column.reads is Reads.CHOICE and column.value is not None:
            assert column.value in column.choices, (where, column.name)
        if column.usual and isinstance(column.value, int | float) and column.value:
            assert column.usual[0] <= column.value <= column.usual[1], (where, column.name)


def test_every_column_of_the_contract_is_declared_with_its_default() -> None:
    # The fixed names, default units and defaults; a header that stands here must stay.
    contract = {
        "Items": "Item; Description; Kind=machine; Weight (lb); Weight basis=data plate; Length (ft); Width (ft); "
        "Height (ft); CG from front (ft); Contact from front (ft)=0; Contact length (ft); Contact width (ft); "
        "Contact type=tracks; Loads by=drives on; Facing=either; Tie-down points=4; Value (USD)",
        "Trucks": "Truck; GVWR (lb); GCWR (lb); Front axle rating (lb); Rear axle rating (lb); Empty front (lb); "
        "Empty rear (lb); Wheelbase (ft); Coupler ahead of rear axle (ft); Rear axles=1; "
        "Rear axle spacing (ft)=4.25; Front tyre rating (lb); Rear tyre rating (lb); Front tyre width (in); "
        "Rear tyre width (in); Rear tyres=4; Tow rating (lb); "
        "Hitch rating (lb); Hitch=gooseneck; Registered weight (lb); Front overhang (ft)=3; "
        "Height (ft); Variants=all; Not in variants=none",
        "Trailers": "Trailer; Hitch; GVWR (lb); Axles; Axle rating (lb); Axle spacing (ft)=4; "
        "Coupler to first axle (ft); Empty coupler (lb); Empty axles (lb); Weight basis=scale ticket; "
        "Axle shares=equal; Tyre rating (lb); Tyres per axle=4; Tyre width (in); Coupler rating (lb); "
        "Coupler to deck (ft); Deck length (ft); Deck width (ft)=8.5; Deck height (ft); Dovetail length (ft)=0; "
        "Dovetail rating (lb); Ramp rating (lb); Loading angle (deg)=12; Deck to rear (ft)=0; "
        "Neck deck from coupler (ft); Neck deck length (ft)=0; Neck deck width (ft); Neck deck height (ft); "
        "Neck deck rating (lb); Winch pull (lb)=0; Snatch block=no; Anchor points; "
        "Anchor rating (lb); Options note; Variants=all; Not in variants=none",
        "Rigs": "Rig; Truck; Trailer; Driver; Licence=A; Yard; End; Shift start; Shift end; Driving limit (h); "
        "Chains=8; Chain rating (lb); Straps=4; Strap rating (lb); Cost per hour (USD/h); Cost per mile (USD/mi); "
        "Cost per trip (USD)=0; Overtime after (h); Overtime factor=1.5; Available=yes; "
        "Variants=all; Not in variants=none",
        "Sites": "Site; Address; Latitude; Longitude; Opens; Closes; Contact; Longest rig (ft); "
        "Highest load (ft); Heaviest gross (lb); Load minutes extra=0; Lift on site=yes; Note",
        "Moves": "Move; Item; From; To; Day; Ready; Deliver by; Load (min); Unload (min); Priority=1; Job; "
        "Runs=yes; With; Only rigs; Not rigs; Permit; Permit hours; Permit cost (USD)=0; Note; Status=open; Rig; "
        "Start",
        "Distances": "From; To; Distance (mi); Minutes; Oneway=no",
        "Loads": "Load; Rig; Item; Order; Front edge behind deck front (ft); Facing; Deck; Runs=yes; Permit",
        "Tickets": "Ticket; Date; Rig; Load or empty; Truck alone or hitched=hitched; Front (lb); Rear (lb); "
        "Trailer (lb); Items on deck; Scale tolerance",
        "Variants": "Variant; Description; Ownership per year (USD); Price (USD); Life (years); Salvage (%)=0; "
        "Interest (%)=0; Licence-insurance-tax per year (USD)=0; Days per year=250",
        "Candidates": "Candidate; Behind; Use=joins; Price (USD); Life (years); Salvage (%)=0; Interest (%)=0; "
        "Licence-insurance-tax per year (USD)=0; Days per year=250; Cost per hour (USD/h); "
        "Cost per mile (USD/mi); Hitch; GVWR (lb); Axles; Axle rating (lb); Axle spacing (ft)=4; "
        "Coupler to first axle (ft); Empty coupler (lb); Empty axles (lb); "
        "Weight basis=scale ticket; Axle shares=equal; Tyre rating (lb); Tyres per axle=4; Tyre width (in); "
        "Coupler rating (lb); Coupler to deck (ft); Deck length (ft); Deck width (ft)=8.5; Deck height (ft); "
        "Dovetail length (ft)=0; Dovetail rating (lb); Ramp rating (lb); Loading angle (deg)=12; "
        "Deck to rear (ft)=0; Neck deck from coupler (ft); Neck deck length (ft)=0; Neck deck width (ft); "
        "Neck deck height (ft); Neck deck rating (lb); Winch pull (lb)=0; Snatch block=no; Anchor points; "
        "Anchor rating (lb); Options note",
        "Options": "Candidate; Option; Adds weight (lb)=0; Weight at (ft); Adds price (USD)=0; Changes; To; "
        "Excludes",
        "Mobilisation": "Bid; Item; Kind; Quantity=1; From; To; Out to; Phase=1; In by; Out after; Standby "
        "days=0; Permit; Weight (lb); Weight basis=estimate; Length (ft); Width (ft); Height "
        "(ft); Contact type=tracks; Loads by=drives on",
        "Rates": "Rate; Value; Unit; Source; Date",
        "Permit fees": "Permit; Amount (USD); Each=trip; Per miles (mi); Started=no; Tons over (lb)=0; Over "
        "weight (lb); Up to weight (lb); Over axles; Up to axles; Over distance (mi); Up to "
        "distance (mi); Over width (ft); Up to width (ft); Over height (ft); Up to height (ft); "
        "Over length (ft); Up to length (ft); Over group axles; Up to group axles; Over group "
        "over (lb); Up to group over (lb); Source; Date",
        "Escorts": "Escort; Over width (ft); Over height (ft); Over length (ft); Vehicles=1; Per hour "
        "(USD/h); Per mile (USD/mi); Minimum (USD); Source; Date",
        "Outside haul": "Up to weight (lb); Up to distance (mi); Price per trip (USD); Per mile (USD/mi); "
        "Minimum (USD); Source; Date",
        "Settings": "Setting; Value; Note",
        "Limits": "Limit; Value; Note",
    }
    for sheet in layout.SHEETS:
        wanted = [entry.strip().partition("=") for entry in contract[sheet.name].split(";")]
        for (header, _, default), column in zip(wanted, sheet.columns, strict=True):
            assert column.header == header, sheet.name
            if default:
                assert column.default_text == default, (sheet.name, header)


def test_every_setting_of_the_contract_is_declared_with_its_default() -> None:
    contract = {
        "Day": "today",
        "Jurisdiction": "US federal",
        "Objective": "trips first",
        "Time limit (s)": "60",
        "Circuity factor": "1.3",
        "Hook minutes": "20",
        "Speed loaded (mph)": "40",
        "Speed empty (mph)": "45",
        "Load minutes": "20",
        "Unload minutes": "15",
        "Gap between items (ft)": "1",
        "Front clearance (ft)": "0.5",
        "Rear overhang allowed (ft)": "0",
        "Steer least (% of empty front)": "80",
        "Scale ticket over (%)": "0.5",
        "Scale ticket under (%)": "0.5",
        "Data plate over (%)": "3",
        "Data plate under (%)": "2",
        "Catalogue base over (%)": "10",
        "Catalogue base under (%)": "0",
        "Estimate over (%)": "10",
        "Estimate under (%)": "10",
        "Coupler share least, gooseneck (%)": "15",
        "Coupler share most, gooseneck (%)": "30",
        "Coupler share least, ball or pintle (%)": "10",
        "Coupler share most, ball or pintle (%)": "20",
        "Coupler share least, fifth wheel (%)": "0",
        "Coupler share most, fifth wheel (%)": "100",
        "Rolling resistance, wheels": "0.1",
        "Rolling resistance, tracks": "0.25",
        "Rates stale after (days)": "180",
        "Price rounding (USD)": "1",
        "Unit price rounding (USD)": "0.01",
        "Share of trips": "weight-miles",
        "Most days a phase": "5",
        "Pay schedule": "lesser of two shares",
        "Contract sum (USD)": "not known: neither is worked out",
        "Kind of work": "other",
        "Hours over (%)": "20",
        "Hours under (%)": "5",
        "Estimated miles over (%)": "15",
        "Estimated miles under (%)": "5",
        "Draws of the range": "10000",
        "Weight unit of the output": "lb",
        "Distance unit of the output": "mi",
        "Most items on a trip": "5",
        "Scale tolerance (lb)": "20",
        "Scale tolerance share (%)": "0.2",
        "Tape tolerance (in)": "1",
    }
    declared_rows = {column.header: column.default_text for column in layout.SETTING_ROWS}
    assert declared_rows == contract


def test_metric_notes_have_their_examples_in_metric_units() -> None:
    notes = {cell.value: cell.comment.text for cell in template(metric=True)["Trailers"][1]}
    assert notes["Empty coupler (kg)"].endswith("Example: 726")  # 1,600 lb x 0.45359237
    assert notes["Axle spacing (m)"].endswith("Example: 1.07")  # 3.5 ft x 0.3048


@pytest.mark.parametrize("metric", [False, True])
def test_every_number_has_an_example_a_usual_span_or_a_default(metric: bool) -> None:
    for sheet in template(metric=metric).worksheets[1:9]:
        for cell in sheet[1]:
            words = ("Example:", "Usually", "One of:", "from the sheet", "Blank:")
            assert any(word in cell.comment.text for word in words), (sheet.title, cell.value)


def test_the_first_sheet_says_the_units_and_leads_to_every_other() -> None:
    for metric, words in ((False, "US variant"), (True, "metric variant")):
        book = template(metric=metric)
        first = book.worksheets[0]
        assert any(words in str(cell.value) for (cell,) in first.iter_rows(max_col=1))
        linked = {cell.value for (cell,) in first.iter_rows(max_col=1) if cell.hyperlink}
        assert linked == set(book.sheetnames[1:])
