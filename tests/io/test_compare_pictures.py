"""The pictures of a comparison, read out of their SVG and out of the workbook."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest
from dispatch.io.compare_pictures import mark_key, pictured_years, write_compare_pictures
from dispatch.io.fleet_days_drawing import fleet_days_picture, fleet_days_words, greatest, panels
from dispatch.io.output_units import OutputUnits
from dispatch.io.sheet_styles import new_workbook, row_height, text_width
from dispatch.io.tornado_drawing import tornado_picture, tornado_words
from dispatch.io.trailer_use_drawing import MOST_ROWS, trailer_use_picture, trailer_use_words, use_panels
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.comparison.compare import Comparison
from dispatch.comparison.glance import UseLine, days_at_a_glance, use_lines
from dispatch.comparison.relaxations import Resource
from tests.io.test_drawings import ONE_MM, box_mm
from tests.plain_comparisons import Figures, plain

TODAY, MORE = "today", "one more"
LIMITS = {
    ("c", MORE): [(Resource.TRUCKS,), (Resource.WEIGHTS,)],
    ("d", MORE): [(Resource.TRUCKS, Resource.DRIVERS)],
    ("e", MORE): [],
}
DAYS = {
    "a": {TODAY: Figures(4, 1, own_usd=800), MORE: Figures(5, own_usd=1_000)},
    "b": {TODAY: Figures(4, fewest=3), MORE: Figures(3, fewest=2)},
    "c": {TODAY: Figures(4, fewest=-1), MORE: Figures(4, fewest=-1)},
    "d": {TODAY: Figures(4), MORE: Figures(4)},
    "e": {TODAY: Figures(4), MORE: Figures(4)},
    "f": {TODAY: Figures(4), MORE: Figures(4)},
}


@pytest.fixture(scope="module")
def small() -> Comparison:
    return plain(DAYS, LIMITS)


def sheet(comparison: Comparison) -> Worksheet:
    workbook = new_workbook()
    write_compare_pictures(workbook, comparison, OutputUnits())
    buffer = io.BytesIO()
    workbook.save(buffer)
    return load_workbook(io.BytesIO(buffer.getvalue()))["Pictures"]


def described(target: Worksheet) -> list[str]:
    """The alternative texts of a sheet's pictures, from the first on."""
    return [picture.anchor.pic.nvPicPr.cNvPr.descr for picture in target._images]


def drawn(svg: str) -> list[str]:
    """The texts of a picture in the order in which they are drawn."""
    return re.findall(r"<!-- (.*?) -->", svg)


# -- the year --------------------------------------------------------------------------------------------------


def test_tornado_bars_go_from_less_to_more_round_the_figure_found(small: Comparison) -> None:
    (year,) = small.years
    svg = tornado_picture(year, "svg").decode()
    wide = [one for one in year.tornado if one.width]
    assert len(re.findall(r'id="swing-\d+-low"', svg)) == len(wide) > 2
    lengths = []
    for number, one in enumerate(wide, start=1):
        low, high = box_mm(svg, f"swing-{number}-low"), box_mm(svg, f"swing-{number}-high")
        ends = (low[1], high[0]) if one.high_cents > one.low_cents else (low[0], high[1])
        assert ends[0] == pytest.approx(ends[1], abs=ONE_MM), "both halves meet at the figure found"
        lengths.append(max(low[1], high[1]) - min(low[0], high[0]))
    assert lengths == sorted(lengths, reverse=True)
    for length, one in zip(lengths, wide, strict=True):
        assert length == pytest.approx(lengths[0] * one.width / wide[0].width, abs=ONE_MM)
    words = drawn(svg)
    for one in wide:
        assert f"{round(one.low_cents / 100):,}" in words
        assert f"{round(one.high_cents / 100):,}" in words


def test_a_year_that_loses_and_one_that_hangs_on_nothing_are_drawn() -> None:
    same = {day: {TODAY: Figures(4), MORE: Figures(4)} for day in "ab"}
    (nothing,) = plain(same, owned_usd=0).years
    svg = tornado_picture(nothing, "svg").decode()
    assert "swing-" not in svg
    assert drawn(svg).count("changes nothing") == len(nothing.tornado)
    (loses,) = plain(same).years
    svg = tornado_picture(loses, "svg").decode()
    assert drawn(svg).count("changes nothing") == len(loses.tornado) - 1
    assert {"-17,400", "-11,600"} <= set(drawn(svg)), "14,500 USD of ownership, a fifth up and down"
    assert "ownership a year -11,600 to -17,400; outside price changes nothing" in tornado_words(loses)


# -- the days --------------------------------------------------------------------------------------------------


def test_marks_say_what_changes_or_what_the_limit_is(small: Comparison) -> None:
    days = days_at_a_glance(small)
    assert [day.marks for day in days] == [("more",), ("fewer",), ("T W",), ("T+D",), ("-",), ("=",)]
    key = " ".join(mark_key(days))
    assert all(f"{mark}: " in key for mark in ("(dark)", "T", "W", "D", "+", "-", "="))
    assert "H: " not in key
    worse = days_at_a_glance(plain({"a": {TODAY: Figures(4), "less": Figures(3, 1), "slow": Figures(5)}}))
    assert worse[0].marks == ("less", "extra")


def test_every_day_has_a_bar_a_fleet_and_outside_hauls_on_top(small: Comparison) -> None:
    days = days_at_a_glance(small)
    svg = fleet_days_picture(days, greatest(days), "svg").decode()
    assert len(re.findall(r'id="trips-\d+-\d+"', svg)) == 2 * len(days)
    assert re.findall(r'id="outside-(\d+-\d+)"', svg) == ["1-1"]
    own, out = box_mm(svg, "trips-1-1"), box_mm(svg, "outside-1-1")
    assert out[3] == pytest.approx(own[2], abs=ONE_MM), "on top of the own trips"
    assert own[3] - own[2] == pytest.approx(4 * (out[3] - out[2]), abs=ONE_MM)
    assert drawn(svg).count("?") == 2, "one a fleet on the day of which nothing is known"
    order = [word for word in drawn(svg) if word in DAYS]
    assert order == list(DAYS)
    assert "one more 24 own trips and 0 outside hauls, fewest not proved on 2 of 6 days, changes a, b" in (
        fleet_days_words(days)
    )


def test_many_days_and_fleets_are_parted_into_pictures() -> None:
    fleets = ["base", "one", "two", "three", "four", "five", "six"]
    many = plain({f"day {n}": {name: Figures(4 + n % 3) for name in fleets} for n in range(45)})
    parts = list(panels(days_at_a_glance(many)))
    assert [len(part) for part in parts] == [9] * 5
    assert [day.day for part in parts for day in part] == list(many.history.days)
    one = plain({"only": {TODAY: Figures(1), MORE: Figures(1)}})
    (part,) = panels(days_at_a_glance(one))
    svg = fleet_days_picture(part, 1.0, "svg").decode()
    left, right, *_ = box_mm(svg, "mark-1-1")
    assert right - left < 30, "a day alone does not fill the page"


def test_days_of_one_fleet_have_bars_and_names_but_no_marks() -> None:
    days = days_at_a_glance(plain({"a": {TODAY: Figures(3, 1)}, "b": {TODAY: Figures(2)}}))
    svg = fleet_days_picture(days, greatest(days), "svg").decode()
    assert len(re.findall(r'id="trips-\d+-1"', svg)) == 2
    assert "mark-" not in svg
    assert [word for word in drawn(svg) if word in DAYS] == ["a", "b"]
    assert mark_key(days) == []


# -- the trailers, the sheet -----------------------------------------------------------------------------------


def test_every_trailer_has_its_bars_under_each_fleet(small: Comparison) -> None:
    uses = list(use_lines(small))
    (part,) = use_panels(uses)
    assert [(one.trailer, one.variant) for one in part] == [
        ("trailer 1", TODAY),
        ("trailer 1", MORE),
        ("trailer 2", MORE),
    ]
    svg = trailer_use_picture(part, [TODAY, MORE], "svg").decode()
    bars = [box_mm(svg, f"trips-{number}") for number in (1, 2, 3)]
    for bar, use in zip(bars, part, strict=True):
        assert bar[1] - bar[0] == pytest.approx((bars[0][1] - bars[0][0]) * use.trips / part[0].trips, abs=ONE_MM)
    assert "24, on 6 of 6 days" in drawn(svg)
    assert f"trailer 1 under {TODAY}: 40.0 h and 24 trips on 6 of 6 days" in trailer_use_words(part)
    many = [UseLine(f"fleet {n}", "lowboy", 5, 0, 0, 0, 0.0) for n in range(MOST_ROWS + 1)]
    assert [len(part) for part in use_panels(many)] == [MOST_ROWS, 1]
    assert b"lowboy" in trailer_use_picture(many[-1:], ["fleet 28"], "svg"), "one that never leaves the yard"


def test_the_sheet_has_every_picture_with_its_words(small: Comparison) -> None:
    first, second, third = described(sheet(small))
    assert first == fleet_days_words(days_at_a_glance(small))
    assert second == trailer_use_words(list(use_lines(small)))
    assert third == tornado_words(small.years[0])


def test_the_best_trailer_on_offer_has_its_year_drawn(small: Comparison) -> None:
    best, other = (SimpleNamespace(best=SimpleNamespace(year=name)) for name in ("best", "other"))
    offered = replace(small, candidates=cast("Any", (best, other)))
    assert pictured_years(offered) == [small.years[0], "best"]


def test_same_comparison_same_bytes(small: Comparison) -> None:
    days, uses = days_at_a_glance(small), list(use_lines(small))
    assert fleet_days_picture(days, 5.0, "svg") == fleet_days_picture(days, 5.0, "svg")
    assert tornado_picture(small.years[0], "svg") == tornado_picture(small.years[0], "svg")
    assert trailer_use_picture(uses, [TODAY, MORE], "svg") == trailer_use_picture(uses, [TODAY, MORE], "svg")


def test_a_text_as_wide_as_its_column_takes_one_line() -> None:
    for text in ("second gooseneck", "one more of each kind", "a b c d e f g"):
        assert row_height(text, text_width(text)) == row_height("x", 9)
