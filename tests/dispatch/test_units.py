"""Factors against a general-purpose unit library; rounding and its direction; lengths and times for people."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch import units

UREG: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("factor", "of", "to"),
    [
        (units.LB_PER_KG, "kilogram", "pound"),
        (units.LB_PER_TON, "short_ton", "pound"),
        (1000 * units.LB_PER_KG, "metric_ton", "pound"),
        (units.IN_PER_M, "metre", "inch"),
        (units.IN_PER_FT, "foot", "inch"),
        (units.KM_PER_MI, "mile", "kilometre"),
        (units.MIN_PER_H, "hour", "minute"),
    ],
)
def test_factors_are_those_of_pint(factor: float, of: str, to: str) -> None:
    assert factor == pytest.approx(float(UREG.Quantity(1.0, of).to(to).magnitude), rel=1e-12)


def test_exact_definitions() -> None:
    """NIST SP 811, appendix B.8: pound 0.45359237 kg, inch 25.4 mm, mile 1,609.344 m."""
    assert abs(units.LB_PER_KG * 0.45359237 - 1) < 1e-15
    assert abs(units.IN_PER_M * 0.0254 - 1) < 1e-15
    assert units.KM_PER_MI == 1.609344


def test_air_miles() -> None:
    """FMCSA guide, April 2022 (seen): 150 air-miles are 172.6 statute miles; an air-mile is 1,852 m."""
    assert round(150 * 1.852 / units.KM_PER_MI, 1) == 172.6


def test_80_000_lb_through_kilograms_stay_within_the_slack() -> None:
    there_and_back = 80_000 / units.LB_PER_KG * units.LB_PER_KG
    assert abs(there_and_back - 80_000) < units.SLACK_LB / 1_000


@pytest.mark.parametrize(("value", "whole"), [(2.5, 3), (2.4999, 2), (-2.5, -2), (3.0, 3), (2.4999999999, 3)])
def test_half_goes_up(value: float, whole: int) -> None:
    assert units.round_half_up(value) == whole


@pytest.mark.parametrize(("miles", "tenths"), [(12.34, 123), (12.35, 124), (0.04, 0), (0.05, 1), (10, 100)])
def test_tenths_of_miles(miles: float, tenths: int) -> None:
    assert units.tenths_of_miles(miles) == tenths


@pytest.mark.parametrize(("minutes", "whole"), [(12.1, 13), (12, 12), (12 + 1e-12, 12), (0, 0)])
def test_minutes_go_up(minutes: float, whole: int) -> None:
    assert units.whole_minutes_up(minutes) == whole


@pytest.mark.parametrize(
    ("inches", "text"),
    [(86, "7 ft 2 in"), (0, "0 ft 0 in"), (11.5, "1 ft 0 in"), (-30, "-2 ft 6 in"), (-0.2, "0 ft 0 in")],
)
def test_feet_and_inches(inches: float, text: str) -> None:
    assert units.feet_inches(inches) == text


@pytest.mark.parametrize(("minutes", "text"), [(0, "00:00"), (450, "07:30"), (1_439, "23:59"), (1_470, "24:30")])
def test_clock(minutes: int, text: str) -> None:
    assert units.clock(minutes) == text


@given(st.floats(0, 1e5))
def test_rounding_stays_within_its_step(value: float) -> None:
    assert abs(units.round_half_up(value) - value) <= 0.5 + 1e-8
    assert -1e-8 <= units.whole_minutes_up(value) - value < 1
