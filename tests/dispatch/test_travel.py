"""Distances and driving times: measured roads first, else great circle times circuity."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.settings import Settings
from dispatch.sites import Road, Site
from dispatch.travel import EARTH_RADIUS_MI, Travel, great_circle_mi
from tests import factories as make

latitudes, longitudes = st.floats(-89, 89), st.floats(-179, 179)


def at(name: str, latitude: float | None, longitude: float | None) -> Site:
    return make.site(name, latitude=latitude, longitude=longitude)


def travel(*roads: Road, settings: Settings | None = None) -> Travel:
    """Sites ``a`` and ``b`` a degree apart on the equator, ``c`` without coordinates."""
    sites = {site.name: site for site in (at("a", 0, 0), at("b", 0, 1), at("c", None, None))}
    return Travel(sites, roads, settings or Settings())


@pytest.mark.parametrize(
    ("there", "share"), [((90, 0), 1 / 4), ((0, 180), 1 / 2), ((0, 1), 1 / 360), ((0, -90), 1 / 4), ((0, 0), 0)]
)
def test_great_circle_is_its_share_of_the_circumference(there: tuple[float, float], share: float) -> None:
    found = great_circle_mi(at("a", 0, 0), at("b", *there))
    assert found == pytest.approx(share * 2 * math.pi * EARTH_RADIUS_MI)


def test_radius_agrees_with_the_nautical_mile() -> None:
    """A minute of arc is about a nautical mile, 1,852 m (definition): 60 of them a degree, within 0.2 %."""
    assert great_circle_mi(at("a", 0, 0), at("b", 1, 0)) == pytest.approx(60 * 1.852 / 1.609344, rel=2e-3)


@given(latitudes, longitudes, latitudes, longitudes, latitudes, longitudes)
def test_great_circle_is_a_distance(a: float, b: float, c: float, d: float, e: float, f: float) -> None:
    one, two, three = at("1", a, b), at("2", c, d), at("3", e, f)
    assert great_circle_mi(one, two) == pytest.approx(great_circle_mi(two, one))
    assert great_circle_mi(one, three) <= great_circle_mi(one, two) + great_circle_mi(two, three) + 1e-4


@given(latitudes, longitudes, latitudes, longitudes)
def test_great_circle_agrees_with_the_angle_between_unit_vectors(a: float, b: float, c: float, d: float) -> None:
    """Another formula: atan2 of cross and dot product of the two directions from the earth's centre."""

    def direction(lat: float, lon: float) -> tuple[float, float, float]:
        lat, lon = math.radians(lat), math.radians(lon)
        return math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon), math.sin(lat)

    u, v = direction(a, b), direction(c, d)
    cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    angle = math.atan2(math.hypot(*cross), sum(x * y for x, y in zip(u, v, strict=True)))
    assert great_circle_mi(at("1", a, b), at("2", c, d)) == pytest.approx(angle * EARTH_RADIUS_MI, abs=1e-3)


def test_estimate_is_great_circle_times_circuity_rounded_once() -> None:
    """A degree is 69.094 mi; by 1.3: 89.8 mi; at 40 mph 134.7 min and at 45 mph 119.7, each a minute up."""
    road = travel()
    assert road.tenths("a", "b") == 898
    assert (road.minutes("a", "b", loaded=True), road.minutes("a", "b", loaded=False)) == (135, 120)
    assert not road.measured("a", "b")
    direct = travel(settings=replace(Settings(), circuity_factor=1.0, speed_loaded_mph=60.0))
    assert direct.tenths("b", "a") == 691
    assert direct.minutes("b", "a", loaded=True) == 70


def test_measured_road_wins_and_its_minutes_hold_loaded_and_empty() -> None:
    road = travel(make.road("a", "b", 50.0, minutes=77))
    assert road.tenths("a", "b") == road.tenths("b", "a") == 500
    assert road.minutes("a", "b", loaded=True) == road.minutes("b", "a", loaded=False) == 77
    assert road.measured("b", "a")


def test_road_without_minutes_goes_at_the_speeds() -> None:
    road = travel(make.road("a", "c", 30.0))
    assert (road.minutes("a", "c", loaded=True), road.minutes("c", "a", loaded=False)) == (45, 40)


def test_later_row_wins() -> None:
    road = travel(make.road("a", "b", 50.0), make.road("b", "a", 60.0))
    assert road.tenths("a", "b") == road.tenths("b", "a") == 600


def test_oneway_row_leaves_the_other_way_alone() -> None:
    road = travel(make.road("a", "b", 50.0, oneway=True))
    assert (road.tenths("a", "b"), road.tenths("b", "a")) == (500, 898)
    both = travel(make.road("a", "b", 40.0), make.road("b", "a", 55.0, oneway=True))
    assert (both.tenths("a", "b"), both.tenths("b", "a")) == (400, 550)


def test_a_site_to_itself_is_no_road() -> None:
    road = travel()
    assert (road.tenths("c", "c"), road.minutes("c", "c", loaded=True), road.measured("c", "c")) == (0, 0, True)


def test_neither_row_nor_coordinates() -> None:
    with pytest.raises(KeyError, match="a to c: no row in Distances"):
        travel().tenths("a", "c")
    with pytest.raises(ValueError, match="no coordinates"):
        great_circle_mi(at("a", 0, 0), at("c", None, None))
