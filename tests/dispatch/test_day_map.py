"""The day as a map and as uses of limits."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from dispatch.checks import Check, Sense
from dispatch.day_map import Drive, check_uses, day_map
from dispatch.problem import Problem
from dispatch.report import WeightRow
from dispatch.travel import great_circle_mi
from tests.small_day import small_plan, small_problem

PLACES = {"yard": (40.0, -95.0), "quarry": (40.2, -95.0), "school": (40.1, -94.8), "bridge": (39.95, -95.1)}


def placed_problem(**changed: tuple[float, float] | None) -> Problem:
    problem = small_problem()
    sites = {}
    for name, site in problem.sites.items():
        latitude, longitude = (PLACES | changed).get(name) or (None, None)
        sites[name] = replace(site, latitude=latitude, longitude=longitude)
    return replace(problem, sites=sites)


def test_distances_on_the_map_are_those_of_the_globe() -> None:
    problem = placed_problem()
    points = day_map(problem, small_plan()).points
    assert set(points) == set(PLACES)
    for one in PLACES:
        for other in PLACES:
            flat = math.dist(
                (points[one].east_mi, points[one].north_mi), (points[other].east_mi, points[other].north_mi)
            )
            assert flat == pytest.approx(great_circle_mi(problem.sites[one], problem.sites[other]), rel=2e-3)


def test_north_is_up_and_east_is_right() -> None:
    points = day_map(placed_problem(), small_plan()).points
    assert points["quarry"].north_mi > points["yard"].north_mi
    assert points["school"].east_mi > points["yard"].east_mi


def test_a_map_over_the_date_line_stays_small() -> None:
    points = day_map(placed_problem(yard=(40.0, 179.9), quarry=(40.0, -179.9)), small_plan()).points
    assert abs(points["yard"].east_mi - points["quarry"].east_mi) < 15


def test_legs_of_the_day_are_loaded_and_empty_in_order() -> None:
    drives = [one for one in day_map(placed_problem(), small_plan()).drives if one.rig == "Rig 1"]
    assert drives == [
        Drive("Rig 1", 1, False, "yard", "quarry"),
        Drive("Rig 1", 1, True, "quarry", "school"),
        Drive("Rig 1", 1, True, "school", "bridge"),
        Drive("Rig 1", 2, False, "bridge", "school"),
        Drive("Rig 1", 2, True, "school", "yard"),
    ]


def test_sites_without_coordinates_are_named() -> None:
    found = day_map(placed_problem(bridge=None), small_plan())
    assert found.without == ("bridge",)
    assert "bridge" not in found.points
    assert day_map(small_problem(), small_plan()).points == {}


def row(name: str, trip: int, worst: float, limit: float, **changes: object) -> WeightRow:
    values = {"unit": "lb", "sense": Sense.MOST, "ok": True, "basis": ""} | changes
    return WeightRow(trip, 1, "a", "b", Check(name=name, value=worst, worst=worst, limit=limit, **values))


def test_uses_are_sorted_by_the_greatest_and_say_where() -> None:
    rows = (row("A", 1, 50, 100), row("B", 1, 70, 100), row("A", 2, 90, 100), row("Width", 1, 8, 8, unit="count"))
    first, second = check_uses(rows)
    assert (first.name, first.most, first.trip, first.uses) == ("A", 0.9, 2, (0.5, 0.9))
    assert second.name == "B"
