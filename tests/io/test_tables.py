"""Finding the declared table in a grid of cells."""

from __future__ import annotations

from typing import Any

import pytest
from dispatch.io.cells import ErrorValue
from dispatch.io.csv_files import csv_grid
from dispatch.io.input_problems import Findings, InputProblem, Where, in_order
from dispatch.io.layout import DISTANCES, ITEMS
from dispatch.io.sheet_grids import Grid, Merge
from dispatch.io.tables import Table, split_header, table_of


def grid(*rows: list[Any], merges: tuple[Merge, ...] = ()) -> Grid:
    cells = {
        number: {index: value for index, value in enumerate(row, start=1) if value is not None}
        for number, row in enumerate(rows, start=1)
    }
    return Grid("f.xlsx", "Distances", {number: row for number, row in cells.items() if row}, merges)


def table(*rows: list[Any], merges: tuple[Merge, ...] = ()) -> tuple[Table, Findings]:
    findings = Findings()
    found = table_of(grid(*rows, merges=merges), DISTANCES, findings)
    assert found is not None
    return found, findings


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("Weight (lb)", ("Weight", "lb")),
        (" Weight  ( kg ) ", ("Weight", " kg ")),
        ("Weight", ("Weight", "")),
        ("Coupler share least, gooseneck (%)", ("Coupler share least, gooseneck", "%")),
        ("Weight (", ("Weight (", "")),
        ("", ("", "")),
    ],
)
def test_headers_are_split(typed: str, parts: tuple[str, str]) -> None:
    assert split_header(typed) == parts


def test_headers_units_and_addresses() -> None:
    found, findings = table([None, "TO", "distance (KM)", " from "], [None, "b", 5, "a"])
    assert findings.problems() == findings.warnings() == ()
    assert found.headers["Distance"].unit == "km"
    assert found.rows[0].number == 2
    assert dict(found.rows[0].cells) == {"To": "b", "Distance": 5, "From": "a"}
    assert str(found.where(2, "Distance")) == "f.xlsx, Distances, row 2, column C distance (KM)"
    assert str(found.where(2, "Minutes")) == "f.xlsx, Distances, row 2, column Minutes"


def test_a_unit_behind_a_name_without_units_is_no_matter() -> None:
    found, findings = table(["From (site)", "To", "Distance", "Oneway (yes/no)"], ["a", "b", 5, "no"])
    assert findings.problems() == ()
    assert set(found.headers) == {"From", "To", "Distance", "Oneway"}


def test_tire_and_tyre_hyphen_and_blank_are_alike() -> None:
    findings = Findings()
    header = ["Item", "Weight", "Length", "Width", "Height", "Tie down points"]
    found = table_of(grid(header, ["x", 1, 2, 3, 4, 5]), ITEMS, findings)
    assert found is not None
    assert "Tie-down points" in found.headers


def test_comments_begin_with_a_hash_in_the_first_cell_only() -> None:
    found, findings = table(
        ["# measured in spring"],
        [None, "From", "To", "Distance"],
        ["#", "x", "y", 1],
        [None, "# x", "y", 1],
        [None, "a", "# b", 1],
        [None, "#N/A", "c", 1],
        [ErrorValue("#REF!"), "c", "d", 1],
    )
    assert [row.number for row in found.rows] == [5, 6, 7]
    assert [one.where.row for one in findings.warnings()] == [7]


def test_a_sheet_of_comments_or_nothing_has_no_table() -> None:
    assert table_of(grid(), DISTANCES, Findings()) is None
    assert table_of(grid(["# nothing yet"]), DISTANCES, Findings()) is None


def test_merges_matter_inside_the_table_only() -> None:
    outside = Merge("E1:F9", 1, 9, 5, 6)
    above = Merge("A1:C1", 1, 1, 1, 3)
    inside = Merge("A3:A4", 3, 4, 1, 1)
    huge = Merge("A4:XFD1048576", 4, 1_048_576, 1, 16_384)
    rows = (["Roads"], ["From", "To", "Distance"], ["a", "b", 1], [None, "c", 2], ["d", "e", 3])
    found, findings = table(*rows, merges=(outside, above, inside, huge))
    assert [problem.value for problem in findings.problems()] == ["A3:A4", "A4:XFD1048576"]
    assert [row.merged for row in found.rows] == [True, True, True]
    found, findings = table(*rows, merges=(outside, above))
    assert findings.problems() == ()


def test_one_warning_a_column_without_a_header() -> None:
    _, findings = table(["From", "To", "Distance"], ["a", "b", 1, "x"], ["a", "c", 1, "y", "z"])
    assert [str(one.where) for one in findings.warnings()] == [
        "f.xlsx, Distances, row 2, column D",
        "f.xlsx, Distances, row 3, column E",
    ]


def test_csv_rows_count_records_and_keep_blank_lines() -> None:
    text = 'From,To,Distance\n\na,b,1\n"c\nd",e,2\n'
    found = csv_grid("Distances.csv", text.encode(), Findings())
    assert found is not None
    assert list(found.rows) == [1, 3, 4]
    assert found.rows[4][1] == "c\nd"
    assert found.title == "Distances"


@pytest.mark.parametrize(
    "text", ["a;b;c\n1;2;3\n", "a\tb\tc\n1\t2\t3\n", '"a,x";b;c\n1;2;3\n', "# x,y\na;b;c\n1;2;3"]
)
def test_csv_delimiters(text: str) -> None:
    found = csv_grid("Items.csv", text.encode(), Findings())
    assert found is not None
    assert list(found.rows[max(found.rows)].values()) == ["1", "2", "3"]


def test_findings_come_in_the_order_of_sheets_files_rows_and_columns() -> None:
    places = [
        Where("b.xlsx"),
        Where("a.xlsx", "Items", 2, "B"),
        Where("a.xlsx", "Items", 2, "AA"),
        Where("a.xlsx", "Items", 10, "A"),
        Where("b.xlsx", "Items", 1, "A"),
        Where("a.xlsx", "Trucks"),
        Where("a.xlsx", "Moves", 1),
        Where("a.xlsx", "Settings", 1),
    ]
    findings = [InputProblem(where, "", "x") for where in places]
    assert list(in_order(reversed(findings))) == findings


def test_the_same_finding_counts_once() -> None:
    findings = Findings()
    for _ in range(2):
        findings.problem(Where("a.xlsx"), "", "x")
        findings.warning(Where("a.xlsx"), "", "x")
    assert len(findings.problems()) == len(findings.warnings()) == 1


def test_a_comma_without_quotes_that_moves_the_cells_along_is_a_problem() -> None:
    findings = Findings()
    csv = csv_grid(
        "Items.csv", b"Item,Weight (lb),Length (ft),Width (ft),Height (ft)\nEX,8,200,12,6,8\n", findings
    )
    assert csv is not None
    table_of(csv, ITEMS, findings)
    assert [str(one) for one in findings.problems()] == [
        'Items.csv, Items, row 2, column F: "8" - expected no more cells than the header has; a comma within a '
        'cell needs quotes ("12,400"), a column a name'
    ]
