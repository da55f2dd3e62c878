"""The side view: same bytes for the same load, to scale, and every number on it."""

from __future__ import annotations

import re
import struct

import pytest
from dispatch.io.drawings import side_view

from dispatch.driver_page import axle_loads
from dispatch.report import Report, report
from tests.small_day import small_plan, small_problem


@pytest.fixture(scope="module")
def day() -> Report:
    return report(small_problem(), small_plan())


def draw(day: Report, kind: str, number: int = 0) -> bytes:
    trip = day.trips[number]
    leg = trip.fullest
    on_deck = list(enumerate(leg.leg.on_deck, start=1))
    return side_view(day.problem, trip.rig, on_deck, axle_loads(trip.rig, leg), kind)


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_same_load_same_bytes(day: Report, kind: str) -> None:
    assert draw(day, kind) == draw(day, kind)


def test_png_is_as_wide_as_the_page_at_print_resolution(day: Report) -> None:
    image = draw(day, "png")
    width, height = struct.unpack(">II", image[16:24])  # PNG header, IHDR: ISO/IEC 15948
    assert width == 1_600
    assert 400 < height <= 740


def test_svg_carries_no_date(day: Report) -> None:
    assert b"<dc:date>" not in draw(day, "svg")


def test_every_number_of_the_load_is_on_the_drawing(day: Report) -> None:
    texts = drawn_texts(draw(day, "svg"))
    leg = day.trips[0].fullest
    for load in axle_loads(day.trips[0].rig, leg):
        assert any(f"{load.load_lb:,.0f}" in text for text in texts), load.place
        if load.limit_lb is not None:
            assert f"{load.limit_lb:,.0f}" in texts
    for part in ("2 ft 4 in", "16 ft 10 in", "2 ft 6 in", "1", "2", "3", "main deck front", "neck deck front"):
        assert part in texts, part


def test_both_directions_have_one_scale(day: Report) -> None:
    wheels = re.findall(r'<g id="patch_\d+">\s*<path d="([^"]+)"', draw(day, "svg").decode())
    circles = [path for path in wheels if "C" in path and path.count("C") >= 8]
    xs, ys = zip(*(map(float, pair) for pair in re.findall(r"([-\d.]+) ([-\d.]+)", circles[0])), strict=True)
    assert max(xs) - min(xs) == pytest.approx(max(ys) - min(ys), rel=1e-3)


def test_a_dollar_sign_in_a_name_is_no_formula() -> None:
    day = report(small_problem(excavator="cost $x^2$ _a"), small_plan())
    assert draw(day, "png")


def drawn_texts(svg: bytes) -> set[str]:
    """Texts of the drawing: the renderer notes each beside its outlines."""
    return {text.strip() for text in re.findall(r"<!-- (.*?) -->", svg.decode())}
