"""The page: well-formed, self-contained, escaped, the same bytes, the workbook's facts, drawings to scale."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from dispatch.io import command
from dispatch.io.html_page import plan_html
from dispatch.io.html_parts import Html, el, table, text, with_phones
from dispatch.io.html_pictures import inline
from dispatch.io.run_plan import PlanRequest
from dispatch.io.summary_sheet import Used
from typer.testing import CliRunner

from dispatch.axle_loads import axle_positions, to_coupler
from dispatch.driver_page import CHECKS_ON_THE_ROAD, driver_pages
from dispatch.plan import Outcome
from dispatch.problem import Problem
from dispatch.report import GENERAL_CAUTIONS, Report, report
from dispatch.units import clock, feet_inches
from tests.io.books import Book
from tests.small_day import SETTINGS, small_plan, small_problem

ROOT = Path(__file__).parents[2]
USED = Used((("fleet.xlsx", "ab" * 32),), (("Gap between items (ft)", "2 (default 1)"),), ("a warning",), "9.9.9")
HOSTILE = "<script>alert(1)</script>&\"'><img src=x onerror=alert(1)>]]>\x0b\x00" + 60 * "W"
VOID = {"br", "input", "link", "meta"}


class Page(HTMLParser):
    """Reads a page and keeps its elements; fails where one is not closed in its turn."""

    def __init__(self, page: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self._open: list[str] = []
        self.feed(page.decode("utf-8"))
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({key for key, _ in attrs}) == len(attrs), (tag, attrs)
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] != "style":
            self.texts.append(data)

    def values(self, key: str) -> list[str]:
        return [value for _, attrs in self.elements if (value := attrs.get(key)) is not None]

    @property
    def words(self) -> str:
        return " ".join("".join(self.texts).split())


@pytest.fixture(scope="module")
def day() -> Report:
    return report(small_problem(), small_plan())


@pytest.fixture(scope="module")
def written(day: Report) -> bytes:
    return plan_html(day, USED)


@pytest.fixture(scope="module")
def page(written: bytes) -> Page:
    return Page(written)


def test_same_plan_same_bytes(written: bytes) -> None:
    assert plan_html(report(small_problem(), small_plan()), USED) == written


def test_nothing_is_fetched_and_nothing_runs(page: Page, written: bytes) -> None:
    assert {tag for tag, _ in page.elements} & {
        "script",
        "iframe",
        "img",
        "object",
        "embed",
        "base",
        "form",
    } == set()
    assert not [key for _, attrs in page.elements for key in attrs if key.startswith("on")]
    for value in page.values("href") + page.values("src"):
        assert value.startswith(("#", "tel:", "geo:", "data:,")), value
    assert b"@import" not in written
    assert set(re.findall(rb"url\((.)", written)) == {b"#"}
    assert any("default-src 'none'" in value for value in page.values("content"))


def test_every_name_is_given_once_and_every_link_leads_somewhere(page: Page, written: bytes) -> None:
    ids = page.values("id")
    assert len(ids) == len(set(ids))
    wanted = {value[1:] for value in page.values("href") if value.startswith("#")}
    wanted |= set(re.findall(r"url\(#([^)]+)\)", written.decode()))
    wanted |= set(page.values("aria-labelledby"))
    assert wanted - set(ids) == set()
    assert {"summary", "timeline", "schedule", "left-out", "rig-1", "rig-3", "trip-1", "trip-3"} <= wanted & set(
        ids
    )


def hostile_day() -> Report:
    """Every text that a user can type is hostile."""
    problem = small_problem()
    items = {item.name: replace(item, name=f"{item.name} {HOSTILE}") for item in problem.items}
    problem = replace(problem, settings=replace(problem.settings, day=HOSTILE))
    sites = {
        name: replace(site, address=HOSTILE, contact=f"{HOSTILE} 555-0100", note=HOSTILE)
        for name, site in problem.sites.items()
    }
    rigs = tuple(
        replace(
            rig,
            driver=HOSTILE,
            truck=replace(rig.truck, name=HOSTILE),
            trailer=replace(rig.trailer, name=HOSTILE),
        )
        for rig in problem.rigs
    )
    moves = tuple(
        replace(
            move,
            note=HOSTILE,
            item=items.get(move.item.name, move.item),
            permit=move.permit and replace(move.permit, text=HOSTILE),
        )
        for move in problem.moves
    )
    hauls = tuple(
        replace(
            haul,
            item=items.get(haul.item.name, haul.item),
            permit=haul.permit and replace(haul.permit, text=HOSTILE),
        )
        for haul in problem.hauls
    )
    changed: Problem = replace(
        problem, items=tuple(items.values()), sites=sites, rigs=rigs, moves=moves, hauls=hauls
    )
    return report(changed, small_plan(notes=(HOSTILE,)))


def test_no_name_becomes_markup() -> None:
    used = Used(((HOSTILE, HOSTILE),), ((HOSTILE, HOSTILE),), (HOSTILE,), HOSTILE)
    written = plan_html(hostile_day(), used)
    page = Page(written)
    assert {tag for tag, _ in page.elements} & {"script", "img"} == set()
    assert not [key for _, attrs in page.elements for key in attrs if key.startswith("on")]
    assert page.words.count("<script>alert(1)</script>&") > 20
    assert not re.search(rb"[\x00-\x08\x0b-\x1f]", written)


def test_text_is_escaped_unless_it_is_markup() -> None:
    assert text("a < b & \"c\" 'd'") == "a &lt; b &amp; &quot;c&quot; &#x27;d&#x27;"
    assert text(Html("<b>")) == "<b>"
    assert el("p", "1 < 2", el("br"), class_='"x"', hidden=True, id_=None) == (
        '<p class="&quot;x&quot;" hidden>1 &lt; 2<br></p>'
    )


def test_an_empty_cell_keeps_its_place() -> None:
    shown = table(("a", "b", "c"), [("1", "", "3")], name="t")
    assert shown.count("<td") == 3


@pytest.mark.parametrize(
    ("shown", "links"),
    [
        ("gate 555-0100", ["tel:5550100"]),
        ("+1 555 0101 22", ["tel:+1555010122"]),
        ("(555) 555-0100 or 555.555.0101, ask for Lee", ["tel:5555550100", "tel:5555550101"]),
        ("+49 30 5550100", ["tel:+49305550100"]),
        ("gate 12", []),
        ("house 12345", []),
        ("since 2026-11-25", []),
        ("7:00-15:00", []),
        ("permit OS-2281-55501", []),
        ("12345678901234567890", []),
        ("javascript:alert(5550100)", ["tel:5550100"]),
        ("", []),
    ],
)
def test_only_what_looks_like_a_number_can_be_dialled(shown: str, links: list[str]) -> None:
    """Common practice, no source; at most 15 digits by ITU-T E.164."""
    page = Page(el("p", with_phones(shown)).encode())
    assert page.values("href") == links
    assert "".join(page.texts) == shown


def test_summary_says_what_is_proved(page: Page) -> None:
    assert "3 trips: no plan has fewer than 2. 5 of 6 moves hauled. LEFT OUT: M5 (giant)." in page.words
    proved = replace(small_plan(), outcome=Outcome.PROVED)
    levels = tuple(replace(level, bound=level.value, proved=True) for level in proved.levels)
    shown = Page(plan_html(report(small_problem(), replace(proved, levels=levels)), USED)).words
    assert "3 trips: the fewest, proved." in shown


def test_the_workbook_s_facts_are_on_the_page(page: Page, day: Report) -> None:
    for row in day.schedule:
        assert f"{clock(row.start_min)}-{clock(row.end_min)}" in page.words
        assert row.items in page.words
    for place in day.load_plan:
        assert feet_inches(place.behind_deck_front_in) in page.words
    for left in day.left_out:
        assert f"Move {left.move}: {left.item}" in page.words
        assert all(reason.text in page.words for reason in left.reasons)
        assert left.change in page.words
    for words in (*day.summary.cautions, *day.summary.notes, *GENERAL_CAUTIONS, *CHECKS_ON_THE_ROAD, "a warning"):
        assert words in page.words
    checks = [check for trip in day.trips for leg in trip.legs for check in leg.checks]
    checks += [check for trip in day.trips for check in trip.once]
    assert page.words.count("every check of trip") == 0
    assert sum(int(n) for n in re.findall(r"Every check of trip \d+ \((\d+)\)", page.words)) == len(checks)


def test_driver_s_page_has_stops_loads_limits_and_permit(page: Page, day: Report) -> None:
    first = driver_pages(day)[0]
    for stop in first.stops:
        assert clock(stop.arrive_min) in page.words
        assert all(task in page.words for task in stop.tasks)
    for trip in first.trips:
        for loads in trip.axle_loads:
            for load in loads:
                assert f"{load.load_lb:,.0f}" in page.words
                assert load.limit_lb is None or f"{load.limit_lb:,.0f}" in page.words
    assert "PERMIT: OS-17, travel 09:00-15:00" in page.words
    assert "gate code 12" in page.words
    assert "1 Pit Road" in page.words
    assert {"tel:5550100", "tel:+15550101"} <= set(page.values("href"))


def test_a_rig_without_trips_and_a_day_without_any() -> None:
    page = Page(plan_html(report(small_problem(), small_plan()), USED))
    assert "No trips today." in page.words
    problem = small_problem()
    empty = small_plan(rig_days=(), left_out=tuple(move.name for move in problem.moves))
    assert Page(plan_html(report(problem, empty), USED)).words.count("No trips today.") == len(problem.rigs)


def test_metric_outputs_are_metric() -> None:
    metric = replace(SETTINGS, metric_weight=True, metric_distance=True)
    words = Page(plan_html(report(small_problem(metric), small_plan()), USED)).words
    assert "3,175 kg" in words  # 7,000 lb; 0.45359237 kg/lb: NIST SP 811, appendix B.8
    assert " ft " not in words.split("Every check")[0].split("Schedule")[1].split("Left out")[0]


def test_timeline_has_every_bar_and_no_colour(page: Page, day: Report, written: bytes) -> None:
    for bar in day.bars:
        assert f"{clock(bar.from_min)}-{clock(bar.to_min)} {bar.doing.value}, {bar.place}" in page.words
    colours = re.findall(r"(?:fill|stroke)=\"#([0-9a-f]{3,6})\"", written.decode())
    assert colours
    assert all(len(set(re.findall("..", c) if len(c) == 6 else c)) == 1 for c in colours)


def pictures(written: bytes) -> list[ElementTree.Element]:
    found = re.findall(r'<svg viewBox="[^"]*" class="wide" .*?</svg>', written.decode(), flags=re.S)
    return [ElementTree.fromstring(one) for one in found]


def across(picture: ElementTree.Element, part: str) -> tuple[float, float]:
    """Left and right end of a part of a drawing, points."""
    (group,) = picture.findall(f".//*[@data-part='{part}']")
    drawn = " ".join(path.attrib["d"] for path in group.iter("path"))
    xs = [float(x) for x in re.findall(r"[ML] ?(-?[\d.]+)", drawn)]
    return min(xs), max(xs)


def test_drawings_stand_to_scale_in_the_page(day: Report, written: bytes) -> None:
    """Places read from the drawing, scaled by the wheelbase, are the plan's: to 1 mm of a drawing 10 in wide."""
    picture = pictures(written)[0]
    trip = day.trips[0]
    rig, leg = trip.rig, trip.legs[0].leg
    wheels = [sum(across(picture, f"axle-{n}")) / 2 for n in (1, 2)]
    axles = axle_positions(rig)
    scale = (wheels[1] - wheels[0]) / (axles[1] - axles[0])
    for order, placed in enumerate(leg.on_deck, start=1):
        item = day.problem.hauls[placed.haul].item
        front = rig.truck.coupler_in + to_coupler(rig.trailer, placed.deck, placed.front_edge_in)
        left, right = across(picture, f"item-{order}")
        mm = 72 / 25.4
        assert left == pytest.approx(wheels[0] + scale * (front - axles[0]), abs=mm)
        assert right - left == pytest.approx(scale * item.length_in, abs=mm)


def test_names_of_two_drawings_do_not_meet() -> None:
    drawing = (
        b'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9">'
        b'<defs><pattern id="h1"/><clipPath id="c1"/></defs><g id="figure_1"><g id="item-1">'
        b'<path d="M 1.23456 2" clip-path="url(#c1)" style="fill: url(#h1)"/></g>'
        b'<use xlink:href="#m1"/><path id="m1"/></g></svg>'
    )
    one, two = inline(drawing, "a", "t", "wide"), inline(drawing, "b", "t", "wide")
    ids = [Page(str(each).encode()).values("id") for each in (one, two)]
    assert set(ids[0]).isdisjoint(ids[1])
    assert ids[0] == ["at", "a0", "a1"]
    assert 'data-part="item-1"' in one
    assert "M 1.23 2" in one
    assert "clip" not in one


def test_the_request_writes_all_three() -> None:
    paths = [Path(name) for name in ("a.xlsx", "a.json", "a.html")]
    request = PlanRequest((), paths[0], paths[1], None, 0, 1, force=False, quiet=True, html=paths[2])
    assert list(request.outputs) == paths


def test_the_command_writes_the_page_alone_or_with_the_others(tmp_path: Path) -> None:
    day = Book().xlsx(tmp_path / "day.xlsx")
    target, other = tmp_path / "plan.html", tmp_path / "plan.json"
    assert run("plan", day, "--html", target, "--quiet").exit_code == 0
    first = target.read_bytes()
    assert "EX-07" in Page(first).words
    again = run("plan", day, "--html", target, "--json", other)
    assert (again.exit_code, other.exists()) == (2, False)
    assert "--force" in again.stderr
    assert run("plan", day, "--html", target, "--json", other, "--force", "--quiet").exit_code == 0
    assert target.read_bytes() == first
    assert other.exists()


def test_the_page_is_named_as_one(tmp_path: Path) -> None:
    day = Book().xlsx(tmp_path / "day.xlsx")
    result = run("plan", day, "--html", tmp_path / "plan.xlsx")
    assert result.exit_code == 2
    assert "must end in .html" in result.stderr


def run(*arguments: object) -> Any:
    return CliRunner().invoke(command.app, [str(argument) for argument in arguments])


def opened(page: bytes, folder: Path) -> subprocess.CompletedProcess[str]:
    """What the script says of a page; skips where Chromium is missing."""
    if not any(shutil.which(name) for name in ("chromium", "chromium-browser", "google-chrome", "chrome")):
        pytest.skip("Chromium is missing")
    target = folder / "plan.html"
    target.write_bytes(page)
    script = [sys.executable, str(ROOT / "benchmarks" / "html_check.py"), str(target), str(folder / "pictures")]
    return subprocess.run(script, capture_output=True, text=True, check=False)


@pytest.mark.slow
def test_a_browser_opens_it(written: bytes, tmp_path: Path) -> None:
    result = opened(written, tmp_path)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.slow
def test_a_browser_fits_hostile_and_endless_names(tmp_path: Path) -> None:
    used = Used(((HOSTILE, HOSTILE),), ((HOSTILE, HOSTILE),), (HOSTILE,), HOSTILE)
    result = opened(plan_html(hostile_day(), used), tmp_path)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.slow
def test_the_browser_would_find_faults(written: bytes, tmp_path: Path) -> None:
    faulty = (
        b'<div style="width:700px" id="top">wide</div><p style="font-size:6px">small</p><a href="#nowhere">a</a>'
        b'<img src="file:///nothing.png"><script>console.error("x")</script></main>'
    )
    result = opened(written.replace(b"</main>", faulty), tmp_path)
    assert result.returncode == 1
    for words in ("wide on a screen", "small: 6", "twice: top", "nowhere", "console", "a script"):
        assert words in result.stdout, (words, result.stdout)
