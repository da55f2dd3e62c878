"""Sound input of every form gives the same day."""

from __future__ import annotations

import re
import zipfile
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from dispatch.io.read_settings import Changed
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.fleet import Hitch
from dispatch.items import Contact, Facing, LoadsBy, WeightBasis
from dispatch.moves import Permit
from dispatch.problem import Problem
from dispatch.settings import Band, Tolerance
from tests.io.books import TODAY, Book, only, read


@pytest.fixture
def book() -> Book:
    return Book()


def test_a_sound_workbook_gives_the_day(book: Book, tmp_path: Path) -> None:
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert (result.problems, result.warnings) == ((), ())
    day = result.problem
    assert day is not None
    excavator, loader, bucket = day.items
    assert (excavator.name, excavator.weight.nominal_lb, excavator.length_in) == ("EX-07", 8_200, 162)
    assert (excavator.weight.low_lb, excavator.weight.high_lb) == pytest.approx((8_159, 8_241))
    assert loader.weight.basis is WeightBasis.DATA_PLATE
    assert loader.weight.high_lb == pytest.approx(6_900 * 1.03)
    assert bucket.loads_by is LoadsBy.LIFTED
    # Defaults of the workbooks: contact is the whole length, the centre of gravity in its middle.
    assert (excavator.contact_from_in, excavator.contact_length_in, excavator.cg_in) == (0, 162, 81)
    assert excavator.contact_width_in == excavator.width_in == 66
    assert excavator.facings == (Facing.FORWARD, Facing.REARWARD)
    assert (excavator.contact, excavator.two_axles) == (Contact.TRACKS, False)
    rig = day.rig("R-1")
    assert (rig.shift_start_min, rig.shift_end_min, rig.end) == (360, 1_020, "North yard")
    assert (rig.truck.wheelbase_in, rig.truck.coupler_in) == (193, 187)
    assert rig.trailer.shares == pytest.approx((1 / 3, 1 / 3, 1 / 3))
    assert rig.trailer.neck is None
    first, second = day.moves
    assert (first.name, first.ready_min, first.due_min) == ("101", 450, 840)
    assert (first.load_min, first.unload_min) == (25, 15)
    assert second.only_rigs == ("R-1", "R-2")
    assert day.together == ((0, 2), (1,))
    assert day.settings.day == "2026-11-25"
    assert day.rules.need("length_in") == 780
    assert day.rules.limits["length_in"].evidence == "user"
    assert day.roads[0].tenths_mi == 142
    assert result.changed_settings == (Changed("Load minutes", "25", "20"),)
    assert result.changed_limits == (Changed("Overall length (in)", "780", "none"),)
    source = result.sources[0]
    assert (source.name, len(source.sha256), source.sheets[0]) == ("day.xlsx", 64, "Items")


def test_csv_and_xlsx_give_the_same_day(book: Book, tmp_path: Path) -> None:
    expected = read(book.xlsx(tmp_path / "day.xlsx")).problem
    for name, encoding, mark in (("a", "utf-8-sig", ","), ("b", "utf-8", ";"), ("c", "utf-16", "\t")):
        result = read(book.csv_folder(tmp_path / name, encoding, mark))
        assert result.problems == ()
        assert result.problem == expected
    files = sorted(tmp_path.glob("a/*.csv"))
    assert read(*files).problem == expected


def test_metric_headers_and_cells_give_the_same_day(book: Book, tmp_path: Path) -> None:
    expected = read(book.xlsx(tmp_path / "day.xlsx")).problem
    metric = {"(lb)": ("(kg)", 0.45359237), "(ft)": ("(m)", 0.3048), "(mi)": ("(km)", 1.609344)}
    for rows in book.sheets.values():
        for index, header in enumerate(rows[0]):
            for unit, (new, by) in metric.items():
                if unit in header:
                    rows[0][index] = header.replace(unit, new)
                    for row in rows[1:]:
                        row[index] = row[index] * by if isinstance(row[index], int | float) else row[index]
    actual = read(book.xlsx(tmp_path / "metric.xlsx")).problem
    assert expected is not None
    assert actual is not None
    for ours, theirs in zip(expected.items, actual.items, strict=True):
        assert ours.weight.high_lb == pytest.approx(theirs.weight.high_lb, rel=1e-12)
        assert ours.length_in == pytest.approx(theirs.length_in, rel=1e-12)
    assert expected.rigs[0].truck.gvwr_lb == pytest.approx(actual.rigs[0].truck.gvwr_lb, rel=1e-12)
    assert expected.roads == actual.roads


def test_headers_ignore_case_blanks_and_order(book: Book, tmp_path: Path) -> None:
    expected = read(book.xlsx(tmp_path / "day.xlsx")).problem
    for rows in book.sheets.values():
        rows[0] = [f"  {header.upper().replace(' ', '  ')} " for header in rows[0]]
        for row in rows:
            row.reverse()
    book.sheets = {name.upper(): rows for name, rows in book.sheets.items()}
    result = read(book.xlsx(tmp_path / "odd.xlsx"))
    assert result.problems == ()
    assert result.problem == expected


def test_later_files_add_rows(book: Book, tmp_path: Path) -> None:
    expected = read(book.xlsx(tmp_path / "day.xlsx")).problem
    moves = Book({"Moves": book.sheets.pop("Moves")})
    late_item = Book({"Items": [book.sheets["Items"][0], book.sheets["Items"].pop()]})
    result = read(
        book.xlsx(tmp_path / "fleet.xlsx"),
        late_item.csv_folder(tmp_path / "more"),
        moves.xlsx(tmp_path / "moves.xlsx"),
    )
    assert result.problems == ()
    assert result.problem == expected
    assert [source.name for source in result.sources] == ["fleet.xlsx", "Items.csv", "moves.xlsx"]


def test_later_settings_limits_and_distances_win(book: Book, tmp_path: Path) -> None:
    later = Book(
        {
            "Settings": [["Setting", "Value"], ["load minutes", "0.5 h"]],
            "Limits": [["Limit", "Value"], ["length_in", "none"]],
            "Distances": [["From", "To", "Distance"], ["North yard", "Mill Road", "16.09344 km"]],
        }
    )
    result = read(book.xlsx(tmp_path / "day.xlsx"), later.xlsx(tmp_path / "later.xlsx"))
    assert result.problems == ()
    assert {str(warning.where.sheet) for warning in result.warnings} == {"Settings", "Limits"}
    assert "day.xlsx, Settings, row 2, column B Value" in str(result.warnings[0])
    day = result.problem
    assert day is not None
    assert day.settings.load_min == 30
    assert day.rules.value("length_in") is None
    assert [road.tenths_mi for road in day.roads] == [142, 100]


def test_every_setting_reaches_the_core(book: Book, tmp_path: Path) -> None:
    book.sheets["Settings"] = [
        ["Setting", "Value"],
        ["Day", datetime(2026, 12, 1)],
        ["Objective", "Cost first"],
        ["Time limit (s)", "2 min"],
        ["Circuity factor", 1.25],
        ["Speed loaded (mph)", "64.37376 km/h"],
        ["Hook minutes (min)", 10.2],
        ["Gap between items (in)", 6],
        ["Front clearance (ft)", "3 in"],
        ["Rear overhang allowed (ft)", 2],
        ["Steer least (% of empty front)", 75],
        ["Data plate over (%)", "4%"],
        ["Coupler share most, ball or pintle", 18],
        ["Rolling resistance, tracks", 0.3],
        ["Most items on a trip", 3],
        ["Weight unit of the output", "kg"],
        ["Distance unit of the output", "km"],
        ["Estimate under (%)", None],
    ]
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert (result.problems, result.warnings) == ((), ())
    assert result.problem is not None
    settings = result.problem.settings
    assert settings.day == "2026-12-01"
    assert settings.time_limit_s == 120
    assert settings.speed_loaded_mph == pytest.approx(40)
    assert (settings.hook_min, settings.gap_in, settings.front_clearance_in) == (11, 6, 3)
    assert (settings.rear_overhang_in, settings.steer_least_pct) == (24, 75)
    assert settings.tolerances[WeightBasis.DATA_PLATE] == Tolerance(4, 2)
    assert settings.tolerances[WeightBasis.ESTIMATE] == Tolerance(10, 10)
    assert settings.coupler_bands[Hitch.BALL] == settings.coupler_bands[Hitch.PINTLE] == Band(10, 18)
    assert settings.coupler_bands[Hitch.GOOSENECK] == Band(15, 30)
    assert (settings.rolling_tracks, settings.most_items_per_trip) == (0.3, 3)
    assert (settings.metric_weight, settings.metric_distance) == (True, True)
    # A value equal to its default (40 mph in km/h) is no change; fifteen others are.
    assert len(result.changed_settings) == 15


def test_defaults_of_contact_follow_what_is_given(book: Book, tmp_path: Path) -> None:
    for header, value in (("Contact type", "wheels"), ("Contact from front (ft)", 2), ("Contact length (ft)", 7)):
        book.set("Items", 2, header, value)
    book.set("Items", 3, "Contact from front (ft)", 1)
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    wheels, rest = day.items[:2]
    assert wheels.two_axles
    assert (wheels.contact_from_in, wheels.contact_length_in, wheels.cg_in) == (24, 84, 66)
    assert (rest.contact_from_in, rest.contact_length_in, rest.cg_in) == (12, 120, 72)


def test_neck_deck_permit_and_the_rest_of_the_columns(book: Book, tmp_path: Path) -> None:
    for header, value in (
        ("Neck deck from coupler (ft)", -2),
        ("Neck deck length (ft)", 8),
        ("Neck deck width (ft)", 8),
        ("Neck deck height (ft)", 5),
        ("Winch pull (lb)", 12_000),
        ("Snatch block", "x"),
    ):
        book.set("Trailers", 2, header, value)
    for header, value in (
        ("Permit", "P-77"),
        ("Permit hours", "9:00-15:00"),
        ("Permit cost (USD)", "$45"),
        ("Runs", "no"),
        ("Priority", 3),
        ("Load (min)", "0.75 h"),
    ):
        book.set("Moves", 2, header, value)
    book.set("Rigs", 2, "Driving limit (h)", 9)
    book.set("Rigs", 2, "End", "yard")
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    trailer = day.rigs[0].trailer
    assert trailer.neck is not None
    assert (trailer.neck.from_coupler_in, trailer.neck.length_in, trailer.neck.rating_lb) == (-24, 96, None)
    assert (trailer.winch_pull_lb, trailer.snatch_block) == (12_000, True)
    assert day.moves[0].permit == Permit("P-77", 540, 900, 45)
    assert day.hauls[0].how is LoadsBy.WINCHED
    assert (day.moves[0].priority, day.moves[0].load_min) == (3, 45)
    assert (day.rigs[0].driving_limit_min, day.rigs[0].end) == (540, "North yard")


def test_a_rig_that_is_not_available_is_dropped_and_still_known(book: Book, tmp_path: Path) -> None:
    book.set("Rigs", 2, "Available", "no")
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert result.problems == ()
    assert result.problem is not None
    assert [rig.name for rig in result.problem.rigs] == ["R-2"]


def test_one_driver_is_one_person_however_the_name_is_typed(book: Book, tmp_path: Path) -> None:
    book.set("Rigs", 3, "Driver", " DRIVER  1")
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    assert [rig.driver for rig in day.rigs] == ["Driver 1", "Driver 1"]


def test_files_of_one_name_are_told_apart_by_their_folders(book: Book, tmp_path: Path) -> None:
    more = Book({"Items": [book.sheets["Items"][0], ["X", None, "much", None, 1, 1, 1]]})
    problem = only(read(book.csv_folder(tmp_path / "fleet"), more.csv_folder(tmp_path / "more")).problems)
    assert problem.where.file == "more/Items.csv"


def test_blank_rows_and_comments_are_skipped_and_errors_are_no_comments(book: Book, tmp_path: Path) -> None:
    expected = read(book.xlsx(tmp_path / "day.xlsx")).problem
    items = book.sheets["Items"]
    items.insert(2, [None] * 8)
    items.insert(3, ["# spare", "nonsense", "nonsense"])
    items.insert(0, ["# the fleet's machines"])
    items.insert(1, [" "])
    result = read(book.xlsx(tmp_path / "more.xlsx"))
    assert (result.problems, result.warnings) == ((), ())
    assert result.problem == expected
    book.sheets["Items"].append(["#N/A", "machine", 1_000, None, 3, 3, 3, None])
    problem = only(read(book.xlsx(tmp_path / "error.xlsx")).problems)
    assert (problem.value, problem.where.row, problem.where.column) == ("#N/A", 9, "A")


def test_a_title_above_the_header_is_passed_over_with_a_warning(book: Book, tmp_path: Path) -> None:
    book.sheets["Items"].insert(0, ["Machines of the north yard"])
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert result.problems == ()
    warning = only(result.warnings)
    assert str(warning) == "day.xlsx, Items, row 1: stands above the header and is not read"


def test_ids_typed_as_numbers_equal_text(book: Book, tmp_path: Path) -> None:
    for row in (1, 2):
        book.sheets["Items"][row][0] = row
    book.sheets["Moves"][1][1] = "1"
    book.sheets["Moves"][2][1] = 2.0
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    assert [move.item.name for move in day.moves] == ["1", "2"]


def test_references_ignore_case_and_blanks(book: Book, tmp_path: Path) -> None:
    book.set("Moves", 2, "From", " north  YARD")
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    assert day.moves[0].origin == "North yard"


def test_times_in_every_form_a_spreadsheet_has(book: Book, tmp_path: Path) -> None:
    forms = (
        time(7, 30),
        0.3125,
        timedelta(hours=7, minutes=30),
        datetime(2026, 11, 25, 7, 30),
        "7:30 AM",
        "07:30",
    )
    for form in forms:
        book.set("Moves", 2, "Ready", form)
        day = read(book.xlsx(tmp_path / "day.xlsx")).problem
        assert day is not None, form
        assert day.moves[0].ready_min == 450


def test_number_formats_that_show_a_unit_are_believed(book: Book, tmp_path: Path) -> None:
    def show(workbook: Workbook) -> None:
        workbook["Items"]["C2"].number_format = '#,##0 "kg"'
        workbook["Settings"]["B3"].number_format = "0%"
        workbook["Items"]["C4"].number_format = "#,##0.0"

    book.set("Items", 2, "Weight (lb)", 3_700)
    book.sheets["Settings"].append(["Data plate over (%)", 0.05])
    book.bend.append(show)
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    assert day.items[0].weight.nominal_lb == pytest.approx(3_700 / 0.45359237)
    assert day.items[2].weight.nominal_lb == 480
    assert day.settings.tolerances[WeightBasis.DATA_PLATE].over_pct == pytest.approx(5)


def test_a_stray_far_corner_cell_costs_nothing(book: Book, tmp_path: Path) -> None:
    def stray(workbook: Workbook) -> None:
        workbook["Items"]["XFD1048576"] = "oops"

    book.bend.append(stray)
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert result.problem is not None
    warning = only(result.warnings)
    assert (warning.value, warning.where.column, warning.where.row) == ("oops", "XFD", 1_048_576)


def test_a_wrongly_declared_size_drops_no_rows(book: Book, tmp_path: Path) -> None:
    # The measured trap: a reader that trusts the declared dimension reads 20 of 999,999 rows, silently.
    original = Worksheet.calculate_dimension
    try:
        Worksheet.calculate_dimension = lambda self: "A1:A1"  # type: ignore[method-assign, assignment]
        path = book.xlsx(tmp_path / "day.xlsx")
    finally:
        Worksheet.calculate_dimension = original  # type: ignore[method-assign]
    day = read(path).problem
    assert day is not None
    assert len(day.items) == 3


def test_a_formula_that_stored_empty_text_is_a_blank(book: Book, tmp_path: Path) -> None:
    path = book.xlsx(tmp_path / "day.xlsx")
    stored = '<c r="H2" t="str"><f>IF(1,"","")</f><v></v></c>'
    _replace_cell(path, "xl/worksheets/sheet1.xml", "H2", stored)
    result = read(path)
    assert result.problems == ()
    assert result.problem is not None
    assert result.problem.items[0].loads_by is LoadsBy.DRIVES_ON


def test_a_formula_with_a_stored_value_is_read(book: Book, tmp_path: Path) -> None:
    path = book.xlsx(tmp_path / "day.xlsx")
    _replace_cell(path, "xl/worksheets/sheet1.xml", "C2", '<c r="C2"><f>4100*2</f><v>8300</v></c>')
    day = read(path).problem
    assert day is not None
    assert day.items[0].weight.nominal_lb == 8_300


def test_text_that_begins_with_an_equals_sign_stays_text(book: Book, tmp_path: Path) -> None:
    def as_text(workbook: Workbook) -> None:
        for address in ("Items!A2", "Moves!B2"):
            sheet, cell = address.split("!")
            workbook[sheet][cell].value = "=1+1"
            workbook[sheet][cell].data_type = "s"

    book.bend.append(as_text)
    day = read(book.xlsx(tmp_path / "day.xlsx")).problem
    assert day is not None
    assert day.moves[0].item.name == "=1+1"


def test_the_start_sheet_and_empty_sheets_are_passed_over(book: Book, tmp_path: Path) -> None:
    book.sheets = {"Start here": [["Fill in"]], "Sheet1": []} | book.sheets
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert (result.problems, result.warnings) == ((), ())


def test_reading_without_moves_where_none_are_needed(book: Book, tmp_path: Path) -> None:
    del book.sheets["Moves"]
    result = read(book.xlsx(tmp_path / "day.xlsx"), need_moves=False)
    assert result.problem is not None
    assert result.problem.moves == ()


def test_today_is_the_day_where_none_is_named(book: Book, tmp_path: Path) -> None:
    path = book.xlsx(tmp_path / "day.xlsx")
    first = read(path).problem
    assert first is not None
    assert first.settings.day == TODAY.isoformat()
    assert date.fromisoformat(first.settings.day) == TODAY
    assert read(path).problem == replace(first)


def _replace_cell(path: Path, part: str, address: str, xml: str) -> None:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    text = parts[part].decode()
    changed, count = re.subn(rf'<c r="{address}"[^>]*?(?:/>|>.*?</c>)', xml, text, count=1)
    assert count == 1
    parts[part] = changed.encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)


def test_a_blank_licence_is_the_highest_class_of_the_rule_set(book: Book, tmp_path: Path) -> None:
    assert [rig.licence for rig in only_day(book, tmp_path).rigs] == ["A", "A"]
    for jurisdiction, highest in (("EU", "CE"), ("Canada British Columbia", "1"), ("Canada national", "A")):
        book.sheets["Settings"] = [["Setting", "Value"], ["Jurisdiction", jurisdiction]]
        day = only_day(book, tmp_path)
        assert [rig.licence for rig in day.rigs] == [highest, highest]
        assert day.rules.name == jurisdiction


@pytest.mark.parametrize(
    ("typed", "jurisdiction"), [("CE", "EU"), (3, "Canada British Columbia"), ("g", "Canada Ontario")]
)
def test_licence_classes_of_the_rule_set_are_read(
    book: Book, tmp_path: Path, typed: object, jurisdiction: str
) -> None:
    book.sheets["Settings"] = [["Setting", "Value"], ["Jurisdiction", jurisdiction]]
    for row, cell in zip(book.sheets["Rigs"], ("Licence", typed, typed), strict=True):
        row.append(cell)
    assert {str(rig.licence).casefold() for rig in only_day(book, tmp_path).rigs} == {str(typed).casefold()}


def test_a_class_of_another_rule_set_is_refused(book: Book, tmp_path: Path) -> None:
    for row, cell in zip(book.sheets["Rigs"], ("Licence", "CE", "A"), strict=True):
        row.append(cell)
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    (problem,) = result.problems
    assert 'Licence: "CE" - expected a licence class of US federal: none, C, B, A; nearest: A' in str(problem)


def only_day(book: Book, tmp_path: Path) -> Problem:
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert (result.problems, result.problem is None) == ((), False)
    assert result.problem is not None
    return result.problem
