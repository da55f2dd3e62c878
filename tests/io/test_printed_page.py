"""Where printed pages begin: blocks stay whole, tables break between groups."""

from __future__ import annotations

import pytest
from dispatch.io import sheet_styles as styles
from dispatch.io.printed_page import Page
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.driver_page import driver_pages
from dispatch.report import report
from tests.small_day import small_plan, small_problem


def sheet() -> Worksheet:
    return styles.first_sheet(styles.new_workbook(), "x")


def breaks(target: Worksheet) -> list[int]:
    """Rows that begin a printed page."""
    return [one.id + 1 for one in target.row_breaks.brk]


@pytest.mark.parametrize("metric", [False, True])
def test_a_block_that_does_not_fit_begins_a_page(metric: bool) -> None:
    page = Page(sheet(), metric=metric, upright=True)
    page.line("title")
    page.end_titles()
    starts = []
    for _ in range(3):
        starts.append(page.row)
        with page.block():
            while page.row < starts[-1] + 25:
                page.line("a line")
    assert breaks(page.sheet) == [starts[2]], "two blocks of 25 lines of 9 pt fit on a page, three do not"


def test_a_block_breaks_nowhere_inside() -> None:
    page = Page(sheet(), metric=False)
    page.line("title")
    page.end_titles()
    with page.block():
        page.table([("head", 12)], [["row"]] * 100)
    assert breaks(page.sheet) == []


def test_a_picture_is_as_wide_as_its_page_says() -> None:
    upright, lying = (Page(sheet(), metric=False, upright=way) for way in (True, False))
    assert 7.0 < upright.width_in <= 8.5 - 2 * styles.SIDE_IN
    assert 8.0 < lying.width_in <= 11 - 2 * styles.SIDE_IN


def test_groups_of_a_table_stay_on_one_page() -> None:
    target = sheet()
    rows = [[group] for group in range(6) for _ in range(25)]
    styles.write_table(target, "T", [("Group", styles.COUNT)], rows)
    starts = [2 + 25 * group for group in range(6)]
    for row in range(2, 152):
        target.row_dimensions[row].height = 9.0
    styles.keep_groups_together(target, starts, 151, metric=False)
    assert breaks(target) == [starts[2], starts[4]], "two groups of 225 points fit on a lying page, three do not"


def test_gear_is_what_the_trip_needs_that_needs_most() -> None:
    first, _, idle = driver_pages(report(small_problem(), small_plan()))
    by_trip = [sum(row.chains for row in trip.rows) for trip in first.trips]
    assert first.gear.chains == max(by_trip) > 0
    assert first.gear.chain_wll_lb == max(
        row.each_wll_lb for trip in first.trips for row in trip.rows if row.chains
    )
    assert (idle.gear.chains, idle.gear.straps) == (0, 0)
