"""The sheet Map and use, and its drawings read out of their SVG."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from dispatch.io.house_style import Status, status_of
from dispatch.io.map_drawing import map_picture
from dispatch.io.map_sheet import TITLE, write_map
from dispatch.io.output_units import OutputUnits
from dispatch.io.sheet_styles import new_workbook
from dispatch.io.use_drawing import use_picture
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.checks import Check, Sense
from dispatch.day_map import check_uses, day_map
from dispatch.report import Report, report
from tests.dispatch.test_day_map import placed_problem
from tests.io.test_drawings import MM_PER_POINT, ONE_MM, box_mm
from tests.small_day import small_plan, small_problem


@pytest.fixture(scope="module")
def day() -> Report:
    return report(placed_problem(), small_plan())


def map_sheet(day: Report) -> Worksheet:
    """The sheet alone, saved and read back."""
    workbook, buffer = new_workbook(), io.BytesIO()
    write_map(workbook.create_sheet(TITLE), day, OutputUnits.of(day.problem.settings))
    workbook.save(buffer)
    return load_workbook(buffer)[TITLE]


def site_mm(svg: str, number: int) -> tuple[float, float]:
    (place,) = re.findall(rf'<g id="site-{number}">.*?<use [^>]*x="([\d.]+)" y="([\d.]+)"', svg, flags=re.S)
    return float(place[0]) * MM_PER_POINT, float(place[1]) * MM_PER_POINT


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_same_day_same_bytes(day: Report, kind: str) -> None:
    roads = day_map(day.problem, day.plan)
    first, second = (map_picture(roads, ["Rig 1", "Rig 2"], OutputUnits(), kind) for _ in range(2))
    assert first == second
    uses = check_uses(day.weights)
    assert use_picture(uses, kind) == use_picture(uses, kind)


@pytest.mark.parametrize("metric", [False, True])
def test_sites_lie_to_scale_by_the_scale_bar(day: Report, metric: bool) -> None:
    roads = day_map(day.problem, day.plan)
    svg = map_picture(roads, ["Rig 1"], OutputUnits(metric_distance=metric), "svg").decode()
    left, right, *_ = box_mm(svg, "scale-bar")
    (words,) = re.findall(rf"<!-- ([\d.]+) {'km' if metric else 'mi'} -->", svg)
    miles = float(words) / 1.609344 if metric else float(words)  # exact: NIST SP 811, appendix B.8
    per_mile = (right - left) / miles
    places = list(roads.points.values())
    zero = site_mm(svg, 1)
    for number, point in enumerate(places, start=1):
        x, y = site_mm(svg, number)
        assert x - zero[0] == pytest.approx(per_mile * (point.east_mi - places[0].east_mi), abs=ONE_MM)
        assert zero[1] - y == pytest.approx(per_mile * (point.north_mi - places[0].north_mi), abs=ONE_MM)


def test_bars_are_as_long_as_their_use(day: Report) -> None:
    uses = check_uses(day.weights)
    svg = use_picture(uses, "svg").decode()
    lengths = []
    for number in range(1, 6):
        left, right, *_ = box_mm(svg, f"use-{number}")
        lengths.append(right - left)
    for length, use in zip(lengths, uses, strict=False):
        assert length == pytest.approx(lengths[0] * use.most / uses[0].most, abs=ONE_MM)


def test_the_sheet_has_map_and_bars_and_names_sites_without_coordinates(day: Report) -> None:
    assert len(map_sheet(day)._images) == 2
    part = map_sheet(report(placed_problem(bridge=None), small_plan()))
    words = " ".join(str(cell.value) for cells in part.iter_rows() for cell in cells if cell.value)
    assert "not on the map: bridge" in words
    none = map_sheet(report(small_problem(), small_plan()))
    words = " ".join(str(cell.value) for cells in none.iter_rows() for cell in cells if cell.value)
    assert "No map: no site that is driven to has coordinates." in words
    assert len(none._images) == 1


def test_status_has_a_shape_of_its_own() -> None:
    check = Check("Trailer GVWR", 96, 96, 100, "lb", Sense.MOST, True, "")
    assert status_of(check) is Status.TIGHT
    assert status_of(replace(check, worst=94)) is Status.MET
    assert status_of(replace(check, ok=False)) is Status.BROKEN
    assert status_of(replace(check, worst=110, waived=True)) is Status.PERMIT
    assert status_of(replace(check, unit="count")) is Status.MET
