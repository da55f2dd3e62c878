"""Every kind of broken workbook, bent by code and named by its fault, with the message that it must give.

The whole message is written out: where, what was seen, what was expected, the nearest valid value.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import datetime, time
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl import Workbook

from tests.io.books import Book, only, read

Bend = Callable[[Book], None]
UNITS = "a weight such as 12,400, 12,400 lb or 5.6 t, a bare number in lb"


def cell(sheet: str, row: int, header: str, value: Any) -> Bend:
    return lambda book: book.set(sheet, row, header, value)


def bent(*changes: Bend) -> Bend:
    def change(book: Book) -> None:
        for one in changes:
            one(book)

    return change


def hidden_row(sheet: str, row: int) -> Bend:
    def hide(workbook: Workbook) -> None:
        workbook[sheet].row_dimensions[row].hidden = True

    return lambda book: book.bend.append(hide)


def hidden_sheet(sheet: str) -> Bend:
    def hide(workbook: Workbook) -> None:
        workbook[sheet].sheet_state = "hidden"

    return lambda book: book.bend.append(hide)


def formula(sheet: str, address: str, text: str) -> Bend:
    def put(workbook: Workbook) -> None:
        workbook[sheet][address] = text

    return lambda book: book.bend.append(put)


def merged(sheet: str, block: str) -> Bend:
    return lambda book: book.bend.append(lambda workbook: workbook[sheet].merge_cells(block))


def renamed(sheet: str, title: str) -> Bend:
    def change(book: Book) -> None:
        book.sheets = {(title if name == sheet else name): rows for name, rows in book.sheets.items()}

    return change


def added(sheet: str, *row: Any) -> Bend:
    return lambda book: book.sheets[sheet].append(list(row))


def emptied(sheet: str) -> Bend:
    return lambda book: book.sheets[sheet].__delitem__(slice(1, None))


def header(sheet: str, old: str, new: str) -> Bend:
    def change(book: Book) -> None:
        book.sheets[sheet][0][book.column(sheet, old) - 1] = new

    return change


LENGTH = "a length such as 20.5, 20' 6\", 7 ft 2 in or 6.1 m, a bare number in ft"
CLOCK = "a time of day such as 7:30, 19:05 or 7:30 AM"

FAULTS: dict[str, tuple[Bend, str]] = {
    "decimal comma": (
        cell("Items", 2, "Weight", "12,5"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "12,5" - expected {UNITS}; the comma is ambiguous, '
        "write 12,500 for thousands and 12.5 for decimals; nearest: 12.5",
    ),
    "decimal comma with unit": (
        cell("Items", 2, "Weight", "5,2 t"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "5,2 t" - expected {UNITS}; the comma is ambiguous, '
        "write 12,500 for thousands and 12.5 for decimals; nearest: 5.2 t",
    ),
    "blank as thousands mark": (
        cell("Items", 2, "Weight", "12 500 lb"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "12 500 lb" - expected {UNITS}; '
        "a blank is no thousands mark; nearest: 12,500 lb",
    ),
    "fraction": (
        cell("Items", 2, "Length", "5 1/2 ft"),
        f'day.xlsx, Items, row 2, column E Length (ft): "5 1/2 ft" - expected {LENGTH}; '
        "write fractions as decimals; nearest: 5.5 ft",
    ),
    "power of nines": (
        cell("Items", 2, "Weight", "9**9**9 lb"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "9**9**9 lb" - expected {UNITS}',
    ),
    "unit of another dimension": (
        cell("Items", 2, "Weight", "12 ft"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "12 ft" - expected {UNITS}, with a unit among '
        'lb, kg, t, ton; "ft" is a unit of length',
    ),
    "misspelled unit": (
        cell("Items", 2, "Weight", "8200 lbz"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "8200 lbz" - expected {UNITS}, with a unit among '
        'lb, kg, t, ton; "lbz" is no unit known here; nearest: 8200 lb',
    ),
    "text for a number": (
        cell("Items", 2, "Weight", "heavy"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "heavy" - expected {UNITS}',
    ),
    "NaN": (
        cell("Items", 2, "Weight", "NaN"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "NaN" - expected {UNITS}',
    ),
    "infinity": (
        cell("Items", 2, "Weight", "inf"),
        f'day.xlsx, Items, row 2, column C Weight (lb): "inf" - expected {UNITS}',
    ),
    "yes in a number": (
        cell("Items", 2, "Weight", True),
        f'day.xlsx, Items, row 2, column C Weight (lb): "TRUE" - expected {UNITS}; the cell holds TRUE or FALSE',
    ),
    "date in a number": (
        cell("Items", 2, "Weight", datetime(2026, 5, 6)),
        f'day.xlsx, Items, row 2, column C Weight (lb): "2026-05-06 00:00:00" - expected {UNITS}; '
        "the spreadsheet program has made a date or a time of it, format the cell as a number",
    ),
    "time in minutes": (
        cell("Moves", 2, "Load (min)", time(0, 30)),
        'day.xlsx, Moves, row 2, column J Load (min): "00:30:00" - expected a duration such as 20 min or 1.5 h, '
        "a bare number in min; the spreadsheet program has made a date or a time of it, "
        "format the cell as a number",
    ),
    "error cell": (
        cell("Items", 2, "Weight", "#N/A"),
        'day.xlsx, Items, row 2, column C Weight (lb): "#N/A" - expected a value; the cell holds an error, '
        "mend the formula behind it",
    ),
    "error in an optional cell": (
        cell("Items", 2, "Kind", "#REF!"),
        'day.xlsx, Items, row 2, column B Kind: "#REF!" - expected a value; the cell holds an error, '
        "mend the formula behind it",
    ),
    "formula without a stored value": (
        formula("Items", "C2", "=4100*2"),
        'day.xlsx, Items, row 2, column C Weight (lb): "=4100*2" - expected a value; the formula has no stored '
        "result, open and save the file in a spreadsheet program",
    ),
    "negative weight": (
        cell("Items", 2, "Weight", -8_200),
        'day.xlsx, Items, row 2, column C Weight (lb): "-8200" - expected more than 0 lb',
    ),
    "negative cost": (
        cell("Rigs", 2, "Cost per hour (USD/h)", -90),
        'day.xlsx, Rigs, row 2, column I Cost per hour (USD/h): "-90" - expected 0 USD/h or more; nearest: 0',
    ),
    "too many axles": (
        cell("Trailers", 2, "Axles", 30),
        'day.xlsx, Trailers, row 2, column D Axles: "30" - expected 9 or less; nearest: 9',
    ),
    "inches in a column of feet": (
        cell("Trailers", 2, "Deck length", 336),
        'day.xlsx, Trailers, row 2, column K Deck length (ft): "336" - expected 200 ft or less; nearest: 200',
    ),
    "half an axle": (
        cell("Trailers", 2, "Axles", 2.5),
        'day.xlsx, Trailers, row 2, column D Axles: "2.5" - expected a whole number; nearest: 2',
    ),
    "bare hour": (
        cell("Moves", 2, "Ready", 7),
        f'day.xlsx, Moves, row 2, column E Ready: "7" - expected {CLOCK}; a bare number is not read as an hour; '
        "nearest: 7:00",
    ),
    "time without a colon": (
        cell("Moves", 2, "Ready", "7.30"),
        f'day.xlsx, Moves, row 2, column E Ready: "7.30" - expected {CLOCK}; nearest: 7:30',
    ),
    "time on another day": (
        cell("Moves", 2, "Ready", datetime(2026, 11, 26, 7, 30)),
        f'day.xlsx, Moves, row 2, column E Ready: "2026-11-26 07:30:00" - expected {CLOCK}, on the day planned, '
        "2026-11-25, without a date; nearest: 07:30",
    ),
    "one for yes": (
        cell("Rigs", 2, "Available", 1),
        'day.xlsx, Rigs, row 2, column H Available: "1" - expected yes or no (also y, n, true, false, x); '
        "nearest: yes",
    ),
    "misspelled choice": (
        cell("Trucks", 2, "Hitch", "goosneck"),
        'day.xlsx, Trucks, row 2, column J Hitch: "goosneck" - expected one of gooseneck, fifth wheel, '
        "pintle, ball; nearest: gooseneck",
    ),
    "required cell empty": (
        cell("Items", 3, "Weight", None),
        "day.xlsx, Items, row 3, column C Weight (lb): expected a weight (lb) such as 8,200; the cell is empty",
    ),
    "name empty": (
        bent(cell("Items", 3, "Item", None), cell("Moves", 3, "Item", "EX-07")),
        "day.xlsx, Items, row 3, column A Item: expected a name such as EX-07; the cell is empty",
    ),
    "no for a permit": (
        cell("Moves", 2, "Permit", "No"),
        'day.xlsx, Moves, row 2, column J Permit: "No" - expected the number of the permit in hand, or an empty '
        "cell where there is none",
    ),
    "FALSE for a permit": (
        cell("Moves", 2, "Permit", False),
        'day.xlsx, Moves, row 2, column J Permit: "FALSE" - expected the number of the permit in hand, or an '
        "empty cell where there is none",
    ),
    "permit not in hand": (
        cell("Moves", 2, "Permit", "applied for"),
        'day.xlsx, Moves, row 2, column J Permit: "applied for" - expected the number of the permit in hand, or '
        "an empty cell where there is none",
    ),
    "dash for a permit": (
        cell("Moves", 2, "Permit", "-"),
        'day.xlsx, Moves, row 2, column J Permit: "-" - expected the number of the permit in hand, or an empty '
        "cell where there is none",
    ),
    "name that became a date": (
        bent(cell("Items", 3, "Item", datetime(2026, 3, 12)), cell("Moves", 3, "Item", "EX-07")),
        'day.xlsx, Items, row 3, column A Item: "2026-03-12 00:00:00" - expected a name; the spreadsheet program '
        "has made a date or a time of it, format the cell as text",
    ),
    "required column missing": (
        header("Items", "Weight (lb)", "Wieght (lb)"),
        'day.xlsx, Items, row 1, column C: "Wieght (lb)" - expected the column Weight, which is required; '
        "nearest: Weight (lb)",
    ),
    "duplicate column": (
        cell("Items", 2, "Weight (kg)", 3_700),
        'day.xlsx, Items, row 1, column I: "Weight (kg)" - expected Weight once; column C has it too',
    ),
    "header unit of another dimension": (
        header("Items", "Weight (lb)", "Weight (ft)"),
        'day.xlsx, Items, row 1, column C: "Weight (ft)" - expected a unit of weight: lb, kg, t, ton; '
        '"ft" is a unit of length; nearest: Weight (lb)',
    ),
    "merged cells": (
        merged("Items", "B2:C2"),
        'day.xlsx, Items, row 2, column B: "B2:C2" - expected no merged cells inside the table Items: split them',
    ),
    "sheet missing": (
        renamed("Trailers", "Trailer"),
        "day.xlsx, Trailers: expected a sheet Trailers; there is none (is it Trailer? rename it)",
    ),
    "sheet without rows": (emptied("Moves"), "day.xlsx, Moves: expected at least one row in Moves"),
    "name given twice": (
        added("Items", "ex-07", "machine", 9_000, None, 10, 5, 5, None),
        'day.xlsx, Items, row 5, column A Item: "ex-07" - expected a name of its own; '
        "day.xlsx, Items, row 2, column A Item has it already",
    ),
    "unknown item": (
        cell("Moves", 2, "Item", "EX-7"),
        'day.xlsx, Moves, row 2, column B Item: "EX-7" - expected a name from the sheet Items; nearest: EX-07',
    ),
    "unknown site": (
        cell("Moves", 2, "To", "Mil Road"),
        'day.xlsx, Moves, row 2, column D To: "Mil Road" - expected a name from the sheet Sites; '
        "nearest: Mill Road",
    ),
    "unknown rig among several": (
        cell("Moves", 3, "Only rigs", "R-1, R-2"),
        'day.xlsx, Moves, row 3, column H Only rigs: "R-1, R-2" - expected a name from the sheet Rigs, '
        "; between names; nearest: R-1; R-2",
    ),
    "unknown setting": (
        added("Settings", "Lode minutes (min)", 20),
        'day.xlsx, Settings, row 3, column A Setting: "Lode minutes (min)" - expected the name of a setting; '
        "nearest: Load minutes",
    ),
    "setting out of range": (
        added("Settings", "Circuity factor", 0.5),
        'day.xlsx, Settings, row 3, column B Value: "0.5" - expected 1 or more; nearest: 1',
    ),
    "unknown jurisdiction": (
        added("Settings", "Jurisdiction", "US fedral"),
        'day.xlsx, Settings, row 3, column B Value: "US fedral" - expected one of US federal, US California, ',
    ),
    "unknown limit": (
        added("Limits", "Gros (lb)", 82_000),
        'day.xlsx, Limits, row 3, column A Limit: "Gros (lb)" - expected a limit of US federal; '
        "nearest: Gross (lb)",
    ),
    "limit without a value": (
        added("Limits", "Gross (lb)", None),
        "day.xlsx, Limits, row 3, column B Value: expected the limit (lb), or none where there is no such limit",
    ),
    "limit in a wrong unit": (
        added("Limits", "Gross (lb)", "40 ft"),
        'day.xlsx, Limits, row 3, column B Value: "40 ft" - expected a weight such as 12,400, 12,400 lb or 5.6 t, '
        'a bare number in lb, with a unit among lb, kg, t, ton; "ft" is a unit of length',
    ),
    "no rig available": (
        bent(cell("Rigs", 2, "Available", "no"), cell("Rigs", 3, "Available", "no")),
        'day.xlsx, Rigs, row 2, column H Available: "no" - expected at least one rig that is available today; '
        "nearest: yes",
    ),
    "window closes before it opens": (
        cell("Moves", 2, "Deliver by", "7:00"),
        'day.xlsx, Moves, row 2, column F Deliver by: "7:00" - expected later than Ready, 07:30',
    ),
    "site closes before it opens": (
        cell("Sites", 3, "Closes", "6:00"),
        'day.xlsx, Sites, row 3, column E Closes: "6:00" - expected later than it opens, 07:00',
    ),
    "shift ends before it starts": (
        cell("Rigs", 2, "Shift end", "5:00"),
        'day.xlsx, Rigs, row 2, column G Shift end: "5:00" - expected an end after the start at 06:00, '
        "on the same day",
    ),
    "hitch does not match": (
        cell("Trucks", 2, "Hitch", "ball"),
        'day.xlsx, Rigs, row 2, column C Trailer: "G-24" - expected a trailer that couples to the truck\'s ball '
        "hitch; G-24 is gooseneck",
    ),
    "centre of gravity outside the contact": (
        cell("Items", 2, "CG from front (ft)", 14),
        'day.xlsx, Items, row 2, column I CG from front (ft): "14" - expected a centre of gravity over the '
        "contact, 0 ft 0 in to 13 ft 6 in behind the front; nearest: 13 ft 6 in",
    ),
    "contact beyond the item": (
        cell("Items", 2, "Contact length (ft)", 15),
        'day.xlsx, Items, row 2, column I Contact length (ft): "15" - expected a contact that ends within '
        "the item: from 0 ft 0 in on, the length is 13 ft 6 in; nearest: 13 ft 6 in or less",
    ),
    "move to where it stands": (
        cell("Moves", 2, "To", "North yard"),
        'day.xlsx, Moves, row 2, column D To: "North yard" - expected another site than From',
    ),
    "shares do not count up": (
        cell("Trailers", 2, "Axle shares", "1:1"),
        'day.xlsx, Trailers, row 2, column M Axle shares: "1:1" - expected one part for each of the 3 axles; '
        "nearest: 1:1:1",
    ),
    "neck deck given partly": (
        cell("Trailers", 2, "Neck deck length (ft)", 8),
        "day.xlsx, Trailers, row 2, column Neck deck from coupler: expected a length: Neck deck from coupler, "
        "Neck deck length, Neck deck width, Neck deck height belong together, and Neck deck length is filled in",
    ),
    "no way to know a distance": (
        bent(cell("Sites", 4, "Latitude", None), cell("Sites", 4, "Longitude", None)),
        "day.xlsx, Sites, row 4, column B Latitude: expected latitude and longitude, or rows in Distances for "
        "Mill Road to Quarry, North yard to Quarry, Quarry to Mill Road and 1 more",
    ),
    "machine in two places": (
        added("Moves", 103, "EX-07", "Quarry", "Mill Road"),
        'day.xlsx, Moves, row 4, column B Item: "EX-07" - expected an item in one place; move 101 carries it too, '
        "and no drop is at the next pickup",
    ),
    "rigs of two yards share a truck": (
        bent(cell("Rigs", 3, "Truck", "T-3"), cell("Rigs", 3, "Yard", "Quarry")),
        'day.xlsx, Rigs, row 3, column E Yard: "Quarry" - expected the yard of R-1, North yard: the rigs share '
        "a truck; nearest: North yard",
    ),
}
SEVERAL = {"neck deck given partly": 3}
"""Faults that show in more than one cell."""


@pytest.mark.parametrize("fault", FAULTS)
def test_the_message(fault: str, tmp_path: Path) -> None:
    bend, message = FAULTS[fault]
    book = Book()
    bend(book)
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert result.problem is None
    assert len(result.problems) == SEVERAL.get(fault, 1), "\n".join(map(str, result.problems))
    assert str(result.problems[0]).startswith(message)
    assert message.isascii()


@pytest.mark.parametrize("fault", ["name empty", "required cell empty"])
def test_an_empty_cell_gets_no_made_up_value(fault: str, tmp_path: Path) -> None:
    """The declaration's example is no value of this row: nobody may copy it in."""
    bend, message = FAULTS[fault]
    book = Book()
    bend(book)
    assert str(only(read(book.xlsx(tmp_path / "day.xlsx")).problems)) == message


def test_the_same_faults_show_in_csv(tmp_path: Path) -> None:
    """Of each fault that one cell's text can carry."""
    for number, (name, (bend, message)) in enumerate(FAULTS.items()):
        book = Book()
        bend(book)
        text_only = all(isinstance(one, str) for row in book.sheets["Items"][:3] for one in row if one)
        if book.bend or not text_only or "Items, row 2" not in message:
            continue
        result = read(book.csv_folder(tmp_path / str(number)))
        assert only(result.problems).value, name


def test_many_faults_at_once_are_all_reported_in_order(tmp_path: Path) -> None:
    book = Book()
    faults = [
        "decimal comma",
        "misspelled choice",
        "half an axle",
        "bare hour",
        "unknown site",
        "unknown setting",
        "unknown limit",
        "site closes before it opens",
        "shift ends before it starts",
        "merged cells",
    ]
    for fault in faults:
        if fault == "merged cells":
            merged("Distances", "A2:A3")(book)
        else:
            FAULTS[fault][0](book)
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert result.problem is None
    messages = [str(problem) for problem in result.problems]
    assert len(messages) == len(faults)
    for fault in set(faults) - {"merged cells"}:
        assert FAULTS[fault][1] in messages
    places = [(problem.where.sheet, problem.where.row or 0) for problem in result.problems]
    order = ["Items", "Trucks", "Trailers", "Rigs", "Sites", "Moves", "Distances", "Settings", "Limits"]
    assert places == sorted(places, key=lambda place: (order.index(place[0]), place[1]))


def test_what_leans_on_a_broken_row_is_checked_all_the_same(tmp_path: Path) -> None:
    book = Book()
    book.set("Items", 2, "Weight", "12,5")  # move 101 carries it
    book.set("Trailers", 2, "Axles", 2.5)  # rig R-1 pulls it
    book.set("Moves", 2, "Deliver by", "7:00")
    book.set("Rigs", 2, "Shift end", "5:00")
    book.set("Sites", 3, "Latitude", "north")
    book.set("Sites", 3, "Closes", "6:00")
    values = [problem.value for problem in read(book.xlsx(tmp_path / "day.xlsx")).problems]
    assert values == ["12,5", "2.5", "5:00", "north", "6:00", "7:00"]


def test_a_broken_row_makes_no_second_problem_elsewhere(tmp_path: Path) -> None:
    book = Book()
    book.set("Items", 2, "Weight", "12,5")
    book.set("Trucks", 2, "GVWR", "much")
    book.set("Sites", 2, "Latitude", "north")
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert [problem.value for problem in result.problems] == ["12,5", "much", "north"]


# Files as a whole


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    problems = read(tmp_path / "gone.xlsx").problems
    assert str(problems[0]).startswith("gone.xlsx: expected a file that exists; there is none at ")
    assert len(problems) == 7


def test_a_file_of_another_kind(tmp_path: Path) -> None:
    path = tmp_path / "day.ods"
    path.write_text("x")
    message = 'day.ods: ".ods" - expected an .xlsx workbook, a .csv file or a folder of .csv files'
    assert str(read(path).problems[0]) == message


def test_a_file_that_only_claims_to_be_a_workbook(tmp_path: Path) -> None:
    path = tmp_path / "day.xlsx"
    path.write_bytes(b"\xd0\xcf\x11\xe0" + bytes(1_000))
    message = "day.xlsx: expected an .xlsx workbook; this is none (save it as .xlsx, without a password)"
    assert str(read(path).problems[0]) == message


def test_a_damaged_workbook(tmp_path: Path) -> None:
    path = tmp_path / "day.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook")
    assert str(read(path).problems[0]).startswith("day.xlsx: expected a readable .xlsx workbook; it is damaged")


def test_a_workbook_that_unpacks_to_too_much(tmp_path: Path) -> None:
    path = tmp_path / "day.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(3):
            archive.writestr(f"{number}.xml", bytes(100_000_000))
    assert path.stat().st_size < 1_000_000
    message = "day.xlsx: expected at most 200 MB unpacked; this workbook has 300 MB"
    assert str(read(path).problems[0]) == message


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    path = tmp_path / "Items.csv"
    path.write_bytes(bytes(31_000_000))
    assert str(read(path).problems[0]) == 'Items.csv: "31 MB" - expected a file of at most 30 MB'


def test_entities_in_a_workbook_are_refused(tmp_path: Path) -> None:
    path = Book().xlsx(tmp_path / "good.xlsx")
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    sheet = parts["xl/worksheets/sheet1.xml"]
    parts["xl/worksheets/sheet1.xml"] = bomb + sheet
    bad = tmp_path / "day.xlsx"
    with zipfile.ZipFile(bad, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    assert openpyxl.DEFUSEDXML
    assert str(read(bad).problems[0]) == "day.xlsx: expected a readable .xlsx workbook; it is damaged"


def test_a_csv_that_is_neither_utf8_nor_the_old_code_page(tmp_path: Path) -> None:
    path = tmp_path / "Items.csv"
    path.write_bytes(b"Item,Weight\n\x81\x8d,5\n")
    assert str(read(path).problems[0]) == "Items.csv: expected text in UTF-8; save it as CSV UTF-8"


def test_the_old_code_page_is_read_with_a_warning(tmp_path: Path) -> None:
    book = Book()
    book.set("Sites", 2, "Address", "Cañon road")
    folder = book.csv_folder(tmp_path / "day", encoding="cp1252")
    result = read(folder)
    assert result.problem is not None
    assert result.problem.sites["North yard"].address == "Cañon road"
    message = "Sites.csv: not UTF-8, read as Windows-1252: check names with accents"
    assert str(only(result.warnings)) == message


def test_an_unclosed_quote_in_a_csv(tmp_path: Path) -> None:
    path = tmp_path / "Items.csv"
    path.write_text('Item,Weight\n"EX-07,5\n')
    assert str(read(path).problems[0]).startswith("Items.csv, row 2: expected a readable .csv file; ")


def test_a_folder_without_csv_files(tmp_path: Path) -> None:
    folder = tmp_path / "day"
    folder.mkdir()
    assert str(read(folder).problems[0]).startswith(
        "day: expected a folder with .csv files named after the sheets"
    )


# Warnings stop nothing


WARNINGS: dict[str, tuple[Bend, str]] = {
    "unknown column": (
        cell("Items", 2, "Tie down pionts", 4),
        'day.xlsx, Items, row 1, column I: "Tie down pionts" - is no column of Items and is not read; '
        "nearest: Tie-down points",
    ),
    "values without a header": (
        lambda book: book.sheets["Items"][1].append("blue"),
        'day.xlsx, Items, row 2, column I: "blue" - stands in a column without a header and is not read',
    ),
    "unknown sheet": (
        lambda book: book.sheets.update({"Distanse": [["From"], ["x"]]}),
        'day.xlsx, Distanse: "Distanse" - is no input sheet and is not read; nearest: Distances',
    ),
    "unusual figure": (
        cell("Items", 2, "Weight", 8.2),
        'day.xlsx, Items, row 2, column C Weight (lb): "8.2" - is unusual, 50 to 150,000 lb is usual: '
        "check the figure and its unit",
    ),
    "setting given twice": (
        added("Settings", "Load minutes", 30),
        'day.xlsx, Settings, row 3, column B Value: "30" - replaces the value of day.xlsx, Settings, row 2, '
        "column B Value",
    ),
    "hours without a permit": (
        cell("Moves", 2, "Permit hours", "9:00-15:00"),
        'day.xlsx, Moves, row 2, column J Permit hours: "9:00-15:00" - has no effect: Permit is blank',
    ),
    "filtered-out row": (
        hidden_row("Moves", 3),
        'day.xlsx, Moves: "rows 3" - hidden or filtered out; they are read all the same',
    ),
    "hidden sheet": (
        hidden_sheet("Distances"),
        'day.xlsx, Distances: "Distances" - is a hidden sheet; it is read all the same',
    ),
    "already loaded": (
        cell("Moves", 2, "Status", "loaded"),
        'day.xlsx, Moves, row 2, column J Status: "loaded" - is planned as not yet loaded, from its From: plans '
        "do not start with items on deck",
    ),
    "limit given twice": (
        added("Limits", "Overall length (in)", 800),
        'day.xlsx, Limits, row 3, column A Limit: "Overall length (in)" - replaces an earlier row for this limit',
    ),
}


@pytest.mark.parametrize("name", WARNINGS)
def test_the_warning(name: str, tmp_path: Path) -> None:
    bend, message = WARNINGS[name]
    book = Book()
    bend(book)
    result = read(book.xlsx(tmp_path / "day.xlsx"))
    assert result.problem is not None, result.problems
    assert str(only(result.warnings)) == message


def test_a_file_named_twice_is_read_once(tmp_path: Path) -> None:
    path = Book().xlsx(tmp_path / "day.xlsx")
    result = read(path, path)
    assert result.problem is not None
    assert str(only(result.warnings)) == "day.xlsx: is named twice and read once"
