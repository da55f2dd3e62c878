"""The grammar of one cell."""

from __future__ import annotations

import contextlib
import math
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from dispatch.io import cells, clock_cells
from dispatch.io.cells import BadCell, ErrorValue, NoStoredValue, ShownWith
from dispatch.io.unit_names import CANONICAL, Dimension, factor, unit_of, units_of
from hypothesis import given
from hypothesis import strategies as st

from dispatch.units import IN_PER_FT, IN_PER_M, KM_PER_MI, LB_PER_KG, LB_PER_TON

W, L = Dimension.WEIGHT, Dimension.LENGTH


@pytest.mark.parametrize(
    ("value", "dimension", "unit", "canonical"),
    [
        (12_400, W, "lb", 12_400),
        ("12,400", W, "lb", 12_400),
        ("12,400 lb", W, "kg", 12_400),
        ("12,400lb", W, "kg", 12_400),
        ("1,012,400.5 lbs", W, "lb", 1_012_400.5),
        ("5.6 t", W, "lb", 5_600 / 0.45359237),
        ("5.6 tonne", W, "lb", 5_600 / 0.45359237),
        ("5.6 ton", W, "lb", 11_200),
        (5.6, W, "ton", 11_200),
        ("20' 6\"", L, "ft", 246),
        ("20'6\"", L, "ft", 246),
        ("20’-6”", L, "ft", 246),
        ("7 ft 2 in", L, "m", 86),
        ("7ft 2in", L, "ft", 86),
        ("7 feet 2.5 inches", L, "ft", 86.5),
        ("-2' 6\"", L, "ft", -30),
        ("-1.5", L, "ft", -18),
        ("−1.5", L, "ft", -18),
        ("86 in", L, "ft", 86),
        ("33.528 m", L, "ft", 1_320),
        (".5", L, "ft", 6),
        ("12.4", Dimension.DISTANCE, "mi", 12.4),
        ("16.09344 km", Dimension.DISTANCE, "mi", 10),
        ("1.5 h", Dimension.DURATION, "min", 90),
        ("1 h 30 min", Dimension.DURATION, "min", 90),
        (60, Dimension.DURATION, "s", 1),
        ("$1,200", Dimension.MONEY, "USD", 1_200),
        ("90 USD/h", Dimension.MONEY_PER_HOUR, "USD/h", 90),
        ("$2.25", Dimension.MONEY_PER_MILE, "USD/mi", 2.25),
        ("1.5 USD/min", Dimension.MONEY_PER_HOUR, "USD/h", 90),
        ("3%", Dimension.PER_CENT, "%", 3),
        (ShownWith(0.03, "%"), Dimension.PER_CENT, "%", 3),
        (ShownWith(5_600, "kg"), W, "lb", 5_600 / 0.45359237),
        ("64.37376 km/h", Dimension.SPEED, "mph", 40),
        ("12 °", Dimension.ANGLE, "deg", 12),
        ("\u00a012,400\u00a0lb ", W, "lb", 12_400),
    ],
)
def test_numbers(value: Any, dimension: Dimension, unit: str, canonical: float) -> None:
    assert cells.number(value, dimension, unit) == pytest.approx(canonical, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "dimension", "mend"),
    [
        ("12,5", W, "12.5"),
        ("5,2 t", W, "5.2 t"),
        ("12 500 lb", W, "12,500 lb"),
        ("12\u00a0500 lb", W, "12,500 lb"),
        ("1,2345", W, "1.2345"),
        ("12,34,567", W, ""),
        ("0,500", W, "0.500"),
        ("1.234.567", W, ""),
        ("5 1/2 ft", L, "5.5 ft"),
        ("5-1/2 ft", L, "5.5 ft"),
        ("7' 14\"", L, "8.16667 ft"),
        ("7.5' 6\"", L, "8 ft"),
        ("7' 6", L, "7' 6 in"),
        ("20 ft 6", L, "20 ft 6 in"),
        ("12 ft", W, ""),
        ("12 lb", L, ""),
        ("12 stone", W, ""),
        ("12 T", W, ""),
        ("12 lbz", W, "12 lb"),
        ("9**9**9 lb", W, ""),
        ("1e3", W, ""),
        ("0x10", W, ""),
        ("(500)", W, ""),
        ("abc", W, ""),
        ("-", W, ""),
        ("n/a", W, ""),
        ("nan", W, ""),
        ("inf", W, ""),
        ("9" * 400, W, ""),
        ("١٢", W, ""),
        ("20 m", Dimension.DURATION, ""),
        ("12 m", Dimension.DISTANCE, ""),
        ("$5", W, ""),
        ("12 EUR", Dimension.MONEY, ""),
        (math.nan, W, ""),
        (math.inf, W, ""),
        (10**400, W, ""),
        (True, W, ""),
        (None, W, ""),
        (time(7, 30), W, ""),
        (date(2026, 11, 25), W, ""),
        (datetime(2026, 11, 25), W, ""),
        (timedelta(hours=1), Dimension.DURATION, ""),
        (ErrorValue("#N/A"), W, ""),
        (NoStoredValue("=A1*2"), W, ""),
        (ShownWith(0.03, "%"), W, ""),
    ],
)
def test_refused_numbers(value: Any, dimension: Dimension, mend: str) -> None:
    with pytest.raises(BadCell) as caught:
        cells.number(value, dimension, CANONICAL[dimension])
    assert caught.value.mend == mend
    assert caught.value.expected


def test_every_kind_of_broken_cell_has_its_own_message() -> None:
    broken = ("12,5", "12 500", ErrorValue("#N/A"), NoStoredValue("=A1"), True, None, time(7), "12 ft", "5 1/2")
    messages = set()
    for value in broken:
        with pytest.raises(BadCell) as caught:
            cells.number(value, W, "lb")
        messages.add(caught.value.expected)
    assert len(messages) == len(broken)


@given(st.text(alphabet="0123456789,. '\"-/ftinlbkgm*", max_size=14))
def test_any_text_gives_a_finite_number_or_a_bad_cell(text: str) -> None:
    with contextlib.suppress(BadCell):
        assert math.isfinite(cells.number(text, L, "ft"))


@given(st.integers(0, 10**9), st.integers(0, 99))
def test_thousands_groups_change_nothing(whole: int, cents: int) -> None:
    grouped = cells.number(f"{whole:,}.{cents:02d} lb", W, "lb")
    assert grouped == cells.number(f"{whole}.{cents:02d}", W, "lb") == float(f"{whole}.{cents:02d}")


def test_factors_agree_with_the_exact_definitions() -> None:
    # NIST SP 811, appendix B.8: pound, inch and mile are exact in SI units.
    assert factor("kg", "lb") == pytest.approx(LB_PER_KG, rel=1e-14)
    assert factor("t", "lb") == pytest.approx(1000 * LB_PER_KG, rel=1e-14)
    assert factor("ton", "lb") == LB_PER_TON
    assert factor("m", "in") == pytest.approx(IN_PER_M, rel=1e-14)
    assert factor("ft", "in") == pytest.approx(IN_PER_FT, rel=1e-14)
    assert factor("mi", "km") == pytest.approx(KM_PER_MI, rel=1e-14)


@pytest.mark.parametrize("dimension", list(Dimension))
def test_every_unit_converts_and_spells_itself(dimension: Dimension) -> None:
    for unit in units_of(dimension):
        assert unit_of(unit, dimension) == unit
        assert factor(unit, CANONICAL[dimension]) > 0


@pytest.mark.parametrize(
    ("value", "minutes"),
    [
        (time(7, 30), 450),
        (0.3125, 450),
        (0.0, 0),
        (datetime(1899, 12, 30, 7, 30), 450),
        (datetime(1900, 1, 1), 1_440),
        (datetime(2026, 11, 25, 7, 30), 450),
        (timedelta(hours=7, minutes=30), 450),
        (timedelta(hours=24), 1_440),
        (time(7, 29, 59, 999_000), 450),
        ("7:30", 450),
        ("07:30", 450),
        ("7:30:00", 450),
        ("7:30 AM", 450),
        ("7:30am", 450),
        ("7:30 p.m.", 1_170),
        ("7 PM", 1_140),
        ("12:15 AM", 15),
        ("12:15 PM", 735),
        ("19:05", 1_145),
        ("24:00", 1_440),
    ],
)
def test_times(value: Any, minutes: int) -> None:
    assert clock_cells.time_of_day(value, date(2026, 11, 25)) == minutes


@pytest.mark.parametrize(
    ("value", "mend"),
    [
        (7, "7:00"),
        (1, "1:00"),
        (730, "7:30"),
        (7.5, ""),
        (math.nan, ""),
        (True, ""),
        ("7", "7:00"),
        ("0730", "07:30"),
        ("7.30", "7:30"),
        ("7h30", "7:30"),
        ("25:00", ""),
        ("24:30", ""),
        ("7:60", ""),
        ("13:30 PM", ""),
        ("0:30 AM", ""),
        ("noon", ""),
        ("-7:30", ""),
        (time(7, 30, 20), "07:30"),
        (timedelta(hours=31), ""),
        (timedelta(hours=-1), ""),
        (datetime(2026, 11, 26, 7, 30), "07:30"),
        (datetime(2026, 11, 25), ""),
        (datetime(1900, 1, 1, 7, 30), "07:30"),
        (date(2026, 11, 25), ""),
        (ErrorValue("#REF!"), ""),
        (NoStoredValue("=B2"), ""),
        (None, ""),
    ],
)
def test_refused_times(value: Any, mend: str) -> None:
    with pytest.raises(BadCell) as caught:
        clock_cells.time_of_day(value, date(2026, 11, 25))
    assert caught.value.mend == mend


@pytest.mark.parametrize("text", ["9:00-15:00", "9:00 – 15:00", "9:00 to 15:00", "9:00 AM - 3:00 PM"])
def test_spans(text: str) -> None:
    assert clock_cells.time_span(text) == (540, 900)


@pytest.mark.parametrize("value", ["9:00", "9-15", "9:00-12:00-15:00", time(9), 0.375, ErrorValue("#N/A")])
def test_refused_spans(value: Any) -> None:
    with pytest.raises(BadCell):
        clock_cells.time_span(value)


def test_days() -> None:
    assert clock_cells.calendar_day("2026-11-25") == date(2026, 11, 25)
    assert clock_cells.calendar_day(datetime(2026, 11, 25)) == date(2026, 11, 25)
    for bad in ("11/12/2026", "tomorrow", 46_000):
        with pytest.raises(BadCell):
            clock_cells.calendar_day(bad)


@pytest.mark.parametrize(
    ("value", "meant"),
    [(True, True), (False, False), *((word, True) for word in ("yes", "Y", "TRUE", "x", " X ", "Yes"))]
    + [(word, False) for word in ("no", "N", "false")],
)
def test_yes_and_no(value: Any, meant: bool) -> None:
    assert cells.yes_no(value) is meant


@pytest.mark.parametrize(("value", "mend"), [(1, "yes"), (0, "no"), ("yess", "yes"), ("maybe", ""), ("ja", "")])
def test_refused_yes_no(value: Any, mend: str) -> None:
    with pytest.raises(BadCell) as caught:
        cells.yes_no(value)
    assert caught.value.mend == mend


def test_choices_ignore_case_hyphens_and_blanks() -> None:
    hitches = ("gooseneck", "fifth wheel", "pintle", "ball")
    assert cells.choice(" Fifth-Wheel ", hitches) == "fifth wheel"
    with pytest.raises(BadCell) as caught:
        cells.choice("goosneck", hitches)
    assert caught.value.mend == "gooseneck"
    assert caught.value.expected == "one of gooseneck, fifth wheel, pintle, ball"


def test_an_id_typed_as_a_number_equals_the_text() -> None:
    assert cells.text_of(12, is_name=True) == cells.text_of(12.0, is_name=True) == cells.text_of("12") == "12"
    assert cells.text_of(12.5) == "12.5"
    assert cells.text_of("  North \u00a0yard ") == "North yard"


def test_a_name_that_became_a_date_is_refused() -> None:
    with pytest.raises(BadCell, match="format the cell as text"):
        cells.text_of(datetime(2026, 3, 12), is_name=True)
    assert cells.text_of(datetime(2026, 3, 12)) == "2026-03-12 00:00:00"
    with pytest.raises(BadCell):
        cells.text_of(ErrorValue("#N/A"))
    with pytest.raises(BadCell):
        cells.text_of("x" * 2_000)


def test_lists() -> None:
    assert cells.names("Bucket 24; Ripper ;; 12") == ("Bucket 24", "Ripper", "12")
    assert cells.names(12.0) == ("12",)


def test_shares_also_where_a_spreadsheet_made_a_time_of_them() -> None:
    assert cells.shares("1:1:1") == (1, 1, 1)
    assert cells.shares("40 : 60.5") == (40, 60.5)
    assert cells.shares(time(1, 1, 1)) == (1, 1, 1)
    assert cells.shares(time(1, 2)) == (1, 2)
    for bad in ("1:0", "1:-1", "a:b", "1,1", time(0, 1), timedelta(days=1)):
        with pytest.raises(BadCell):
            cells.shares(bad)


@pytest.mark.parametrize("value", [3, 3.0, "3"])
def test_counts(value: Any) -> None:
    assert cells.count(value) == 3


@pytest.mark.parametrize("value", [3.5, "3 axles", "three", True, ShownWith(3, "%")])
def test_refused_counts(value: Any) -> None:
    with pytest.raises(BadCell):
        cells.count(value)
