"""The side view: same bytes for the same load, to scale, and every number on it."""

from __future__ import annotations

import re
import struct
from dataclasses import replace

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


# -- to scale: positions are read out of the SVG and held against the plan ----------------------------------------

MM_PER_POINT = 25.4 / 72
"""The SVG is drawn in points of 1/72 in (CSS Values 3, 5.2)."""
ONE_MM = 1.0


def box_mm(svg: str, name: str) -> tuple[float, float, float, float]:
    """Left, right, top and bottom of a named shape on the drawing, millimetres from its upper left corner."""
    (path,) = re.findall(rf'<g id="{name}">\s*<path d="([^"]+)"', svg)
    pairs = re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)
    xs, ys = zip(*((float(x) * MM_PER_POINT, float(y) * MM_PER_POINT) for x, y in pairs), strict=True)
    return min(xs), max(xs), min(ys), max(ys)


def width_mm(svg: str) -> float:
    (points,) = re.findall(r'<svg [^>]*width="([\d.]+)pt"', svg)
    return float(points) * MM_PER_POINT


@pytest.mark.parametrize("width_in", [10.0, 7.375])
@pytest.mark.parametrize("number", [0, 1, 2])
def test_items_stand_on_the_drawing_where_the_plan_puts_them(day: Report, number: int, width_in: float) -> None:
    trip = day.trips[number]
    leg, rig = trip.fullest, trip.rig
    on_deck = list(enumerate(leg.leg.on_deck, start=1))
    svg = side_view(day.problem, rig, on_deck, axle_loads(rig, leg), "svg", width_in).decode()
    assert width_mm(svg) == pytest.approx(width_in * 25.4, abs=0.01)
    steer, rear = (sum(box_mm(svg, f"axle-{axle}")[:2]) / 2 for axle in (1, 2))
    scale = (rear - steer) / rig.truck.wheelbase_in
    coupler = steer + scale * (rig.truck.wheelbase_in - rig.truck.coupler_ahead_in)
    for order, placed in on_deck:
        item = day.problem.hauls[placed.haul].item
        neck = rig.trailer.neck
        on_neck = placed.deck.value == "neck" and neck is not None
        deck = neck.from_coupler_in if on_neck else rig.trailer.deck_from_coupler_in
        left, right, top, bottom = box_mm(svg, f"item-{order}")
        assert left == pytest.approx(coupler + scale * (deck + placed.front_edge_in), abs=ONE_MM)
        assert right - left == pytest.approx(scale * item.length_in, abs=ONE_MM)
        assert bottom - top == pytest.approx(scale * item.height_in, abs=ONE_MM)


def test_the_main_deck_and_the_trailer_axles_are_to_scale(day: Report) -> None:
    svg, rig = draw(day, "svg").decode(), day.trips[0].rig
    trailer = rig.trailer
    left, right, *_ = box_mm(svg, "deck-main")
    _, end, *_ = box_mm(svg, "dovetail")
    scale = (end - left) / trailer.deck_length_in
    assert right - left == pytest.approx(scale * (trailer.deck_length_in - trailer.dovetail_length_in), abs=ONE_MM)
    coupler = left - scale * trailer.deck_from_coupler_in
    for axle in range(trailer.axles):
        middle = sum(box_mm(svg, f"axle-{axle + 3}")[:2]) / 2
        behind = trailer.coupler_to_first_axle_in + axle * trailer.axle_spacing_in
        assert middle == pytest.approx(coupler + scale * behind, abs=ONE_MM)


def test_a_moved_item_moves_on_the_drawing() -> None:
    """The reading above can fail: ten inches further back are seen."""
    day = report(small_problem(), small_plan())
    trip = day.trips[2]
    (placed,) = trip.fullest.leg.on_deck
    loads = axle_loads(trip.rig, trip.fullest)
    ends = []
    for front in (placed.front_edge_in, placed.front_edge_in + 10):
        moved = replace(placed, front_edge_in=front)
        ends.append(box_mm(side_view(day.problem, trip.rig, [(1, moved)], loads, "svg").decode(), "item-1")[0])
    assert ends[1] - ends[0] > ONE_MM
