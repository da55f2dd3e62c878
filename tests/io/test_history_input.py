"""Many days and several fleets in one input: which rows count, and what is wrong with them."""

from __future__ import annotations

from datetime import datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from dispatch.io.read_workbook import InputResult, Wanted

from dispatch.comparison.history import History, Purchase, contains
from tests.io.books import SOUND, Book, only, read

HEADS = ["Variant", "Description", "Ownership per year (USD)", "Days per year"]
ALL = Wanted(all_days=True)


def two_days() -> Book:
    """The sound book with move 101 on one day, 101 and 102 on another, and a fleet without rig R-2."""
    book = Book()
    book.sheets["Moves"].append([101, "EX-07", "Quarry", "Mill Road", None, None, None, None, None])
    for row, day in ((2, datetime(2026, 3, 3)), (3, "2026-03-04"), (4, "2026-03-04")):
        book.set("Moves", row, "Day", day)
    book.sheets["Variants"] = [list(HEADS), ["today", "one rig", None, 220], ["two rigs", None, 14_500, 220]]
    book.set("Rigs", 3, "Variants", "two rigs")
    return book


def history_of(book: Book, path: Path) -> History:
    found = read(book.xlsx(path / "history.xlsx"), wanted=ALL)
    assert found.history is not None, "\n".join(map(str, found.problems))
    return found.history


def problems_of(book: Book, path: Path, wanted: Wanted = ALL) -> InputResult:
    found = read(book.xlsx(path / "history.xlsx"), wanted=wanted)
    assert found.problem is None
    assert found.history is None
    return found


def test_every_day_stands_under_every_variant(tmp_path: Path) -> None:
    history = history_of(two_days(), tmp_path)
    assert history.days == ("2026-03-03", "2026-03-04")
    assert [variant.name for variant in history.variants] == ["today", "two rigs"]
    assert [move.name for move in history.problem("2026-03-03", "today").moves] == ["101"]
    assert [move.name for move in history.problem("2026-03-04", "two rigs").moves] == ["102", "101"]
    assert [rig.name for rig in history.problem("2026-03-04", "today").rigs] == ["R-1"]
    assert [rig.name for rig in history.problem("2026-03-04", "two rigs").rigs] == ["R-1", "R-2"]
    assert history.problem("2026-03-04", "today").settings.day == "2026-03-04"
    assert contains(history.problem("2026-03-04", "two rigs"), history.problem("2026-03-04", "today"))
    assert not contains(history.problem("2026-03-04", "today"), history.problem("2026-03-04", "two rigs"))
    assert not contains(history.problem("2026-03-03", "two rigs"), history.problem("2026-03-04", "today"))


def test_variants_come_with_their_money(tmp_path: Path) -> None:
    book = two_days()
    heads = [
        "Variant",
        "Price (USD)",
        "Life (years)",
        "Salvage (%)",
        "Interest (%)",
        "Licence-insurance-tax per year",
    ]
    book.sheets["Variants"] = [heads, ["today", *[None] * 5], ["two rigs", 95_000, 12, 20, "6.5%", 2_100]]
    today, two = history_of(book, tmp_path).variants
    assert two.purchase == Purchase(Decimal(95_000), Decimal(12), Decimal(20), Decimal("6.5"))
    assert (two.fixed_usd, two.days_per_year, two.ownership_usd) == (2_100, 250, None)
    assert today.purchase is None


def test_moves_without_a_day_are_of_the_day_in_settings(tmp_path: Path) -> None:
    book = two_days()
    book.set("Moves", 2, "Day", None)
    assert history_of(book, tmp_path).days == ("2026-03-04", "2026-11-25")


def test_named_days_stand_behind_dates_in_the_order_of_the_sheet(tmp_path: Path) -> None:
    book = two_days()
    book.set("Moves", 2, "Day", "wet week")
    book.set("Moves", 4, "Day", "Dry week")
    assert history_of(book, tmp_path).days == ("2026-03-04", "wet week", "Dry week")
    book.set("Moves", 4, "Day", "Wet Week")
    book.set("Moves", 4, "Move", 103)
    book.set("Moves", 4, "Item", "SS-2")
    assert history_of(book, tmp_path).days == ("2026-03-04", "wet week")


def test_a_time_with_a_date_must_be_of_the_moves_own_day(tmp_path: Path) -> None:
    book = two_days()
    book.set("Moves", 2, "Ready", datetime(2026, 3, 3, 7, 30))
    assert history_of(book, tmp_path).problem("2026-03-03", "today").moves[0].ready_min == 450
    book.set("Moves", 2, "Ready", datetime(2026, 3, 4, 7, 30))
    assert "2026-03-03" in only(problems_of(book, tmp_path).problems).expected


def test_days_of_several_files_are_one_history(tmp_path: Path) -> None:
    book = two_days()
    more = Book(
        {"Moves": [["Move", "Item", "From", "To", "Day"], [7, "SS-2", "Quarry", "North yard", "2026-03-05"]]}
    )
    found = read(book.xlsx(tmp_path / "a.xlsx"), more.xlsx(tmp_path / "b.xlsx"), wanted=ALL)
    assert found.history is not None
    assert found.history.days == ("2026-03-03", "2026-03-04", "2026-03-05")


# -- one day of many ----------------------------------------------------------------------------------------


def test_a_day_and_a_fleet_can_be_picked(tmp_path: Path) -> None:
    path = two_days().xlsx(tmp_path / "history.xlsx")
    found = read(path, wanted=Wanted("2026-03-03")).problem
    assert found is not None
    assert ([move.name for move in found.moves], [rig.name for rig in found.rigs]) == (["101"], ["R-1"])
    found = read(path, wanted=Wanted("2026-03-04", "Two Rigs")).problem
    assert found is not None
    assert (len(found.moves), len(found.rigs)) == (2, 2)


def test_many_days_and_none_picked_is_a_problem_that_lists_them(tmp_path: Path) -> None:
    found = only(problems_of(two_days(), tmp_path, Wanted()).problems)
    assert found.where.sheet == "Moves"
    assert found.expected.endswith("holds 2: 2026-03-03, 2026-03-04. Pick one with --day")


def test_a_day_or_fleet_that_is_not_there_is_a_problem_with_the_nearest(tmp_path: Path) -> None:
    day = only(problems_of(two_days(), tmp_path, Wanted("2026-03-05")).problems)
    assert (day.value, day.expected) == ("2026-03-05", "one of the days of Moves: 2026-03-03, 2026-03-04")
    fleet = only(problems_of(two_days(), tmp_path, Wanted("2026-03-03", "two rig")).problems)
    assert (fleet.where.sheet, fleet.value, fleet.mend) == ("Variants", "two rig", "two rigs")


def test_checks_need_no_day(tmp_path: Path) -> None:
    assert read(two_days().xlsx(tmp_path / "history.xlsx"), need_moves=False).problem is not None


# -- which rows a variant has ---------------------------------------------------------------------------------


def test_a_rig_goes_with_its_trailer(tmp_path: Path) -> None:
    book = two_days()
    book.set("Rigs", 3, "Variants", None)
    book.set("Trailers", 3, "Variants", "two rigs")
    assert [rig.name for rig in history_of(book, tmp_path).problem("2026-03-04", "today").rigs] == ["R-1"]


def test_not_in_variants_takes_a_row_out(tmp_path: Path) -> None:
    book = two_days()
    book.set("Rigs", 3, "Variants", None)
    book.set("Rigs", 3, "Not in variants", "today")
    assert [rig.name for rig in history_of(book, tmp_path).problem("2026-03-04", "today").rigs] == ["R-1"]


def test_one_name_may_stand_for_two_trailers_in_two_variants(tmp_path: Path) -> None:
    book = two_days()
    longer: list[Any] = [32 if value == 28 else value for value in book.sheets["Trailers"][1]]
    book.sheets["Trailers"].append(longer)
    book.set("Trailers", 2, "Variants", "today")
    book.set("Trailers", 4, "Variants", "two rigs")
    history = history_of(book, tmp_path)
    decks = [history.problem("2026-03-04", name).rigs[0].trailer.deck_length_in for name in ("today", "two rigs")]
    assert decks == [336, 384]
    book.set("Trailers", 4, "Variants", "two rigs; today")
    assert "a name of its own" in only(problems_of(book, tmp_path).problems).expected


@pytest.mark.parametrize(
    ("sheet", "row", "header", "value", "expected"),
    [
        ("Rigs", 3, "Variants", "two rig", "a name from the sheet Variants"),
        ("Trailers", 3, "Not in variants", "two rig", "a name from the sheet Variants"),
        ("Trailers", 3, "Variants", "today", "variants that have its truck and its trailer; two rigs lacks one"),
        ("Rigs", 2, "Not in variants", "today", "at least one rig; no row of Rigs exists in it"),
        ("Variants", 3, "Price", 90_000, "the years that it is kept"),
    ],
)
def test_bad_variants(tmp_path: Path, sheet: str, row: int, header: str, value: object, expected: str) -> None:
    book = two_days()
    book.set(sheet, row, header, value)
    if header == "Price":
        book.set("Variants", 3, "Ownership per year", None)
    assert expected in only(problems_of(book, tmp_path).problems).expected


@pytest.mark.parametrize(
    ("header", "value", "remark"),
    [
        ("Interest", 0.07, "is 0.07 %: check it, 7 % would be 7"),
        ("Salvage", 0.25, "is 0.25 %: check it, 25 % would be 25"),
        ("Interest", "0.5 %", ""),
        ("Interest", 7, ""),
        ("Ownership per year", 5_000, "has no effect: Ownership per year is filled in and holds"),
    ],
)
def test_money_that_is_seldom_meant_is_told(tmp_path: Path, header: str, value: object, remark: str) -> None:
    book = two_days()
    given = {"Ownership per year": None, "Price": 38_000, "Life": 12} | {header: value}
    for name, figure in given.items():
        book.set("Variants", 3, name, figure)
    found = read(book.xlsx(tmp_path / "history.xlsx"), wanted=ALL)
    assert not found.problems
    assert [one.expected for one in found.warnings] == ([remark] if remark else [])


@pytest.mark.parametrize(
    ("value", "mend"),
    [("2026-3-3", "2026-03-03"), ("2026/03/03", "2026-03-03"), ("03/03/2026", ""), ("3.3.26", "")],
)
def test_a_date_in_another_spelling_is_no_day_of_its_own(tmp_path: Path, value: str, mend: str) -> None:
    """As the name of a day it would be one day more in the history, and the mean day would be less."""
    book = two_days()
    book.set("Moves", 2, "Day", value)
    found = only(problems_of(book, tmp_path).problems)
    assert (found.value, found.mend) == (value, mend)
    assert "year-month-day" in found.expected


def test_variants_need_their_sheet(tmp_path: Path) -> None:
    book = two_days()
    del book.sheets["Variants"]
    found = problems_of(book, tmp_path)
    assert [one.where.sheet for one in found.problems] == ["Rigs", "Variants"]
    assert "a sheet Variants" in found.problems[0].expected
    assert "at least two rows in Variants" in found.problems[1].expected


def test_an_empty_history_is_a_problem(tmp_path: Path) -> None:
    book = two_days()
    book.sheets["Moves"] = book.sheets["Moves"][:1]
    assert only(problems_of(book, tmp_path).problems).expected == "at least one row in Moves"


def test_a_contradiction_of_one_day_is_found_and_told_once(tmp_path: Path) -> None:
    book = two_days()
    book.set("Moves", 4, "To", "Quarry")
    found = only(problems_of(book, tmp_path).problems)
    assert (found.where.row, found.expected) == (4, "another site than From")


def test_a_machine_may_be_anywhere_on_another_day(tmp_path: Path) -> None:
    """On one day a machine's moves must chain; on two days nobody knows how it came back."""
    book = two_days()
    book.set("Moves", 3, "Item", "EX-07")
    assert "an item in one place" in only(problems_of(book, tmp_path).problems).expected
    book.set("Moves", 3, "Day", "2026-03-05")
    assert history_of(book, tmp_path).days == ("2026-03-03", "2026-03-04", "2026-03-05")


# -- Outside haul -----------------------------------------------------------------------------------------------


def test_the_price_table_is_read_as_typed(tmp_path: Path) -> None:
    book = two_days()
    book.sheets["Outside haul"] = [
        ["Up to weight (lb)", "Up to distance (mi)", "Price per trip (USD)", "Per mile (USD/mi)", "Minimum (USD)"],
        ["12 t", 30, 350, 6.1, None],
        [None, None, None, None, 900],
        [None, None, None, 7, None],
    ]
    first, second, third = history_of(book, tmp_path).outside
    assert first.up_to_weight_lb == pytest.approx(26_455.47, abs=0.01)
    assert (first.up_to_tenths, first.per_trip_usd, first.per_mile_usd) == (300, Decimal(350), Decimal("6.1"))
    assert (second.row, second.minimum_usd, second.per_mile_usd, third.row) == (3, Decimal(900), None, 4)


def test_a_row_without_a_price_is_a_problem(tmp_path: Path) -> None:
    book = two_days()
    book.sheets["Outside haul"] = [["Up to weight (lb)", "Price per trip (USD)"], [20_000, None]]
    assert "the row names none" in only(problems_of(book, tmp_path).problems).expected


def test_the_sound_book_has_one_day_and_no_variants(tmp_path: Path) -> None:
    found = read(Book(SOUND).xlsx(tmp_path / "day.xlsx"))
    assert found.problem is not None
    assert found.history is None
    assert found.problem.moves[0].ready_min == time(7, 30).hour * 60 + 30
