"""The day as pictures in a page: rigs down and hours across, and the same for the sites with their hours.

What a rig does is told by pattern and letter, never by colour alone. Each picture exists twice, for a wide screen
or paper and for a telephone, because letters that shrink with a picture cannot be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from dispatch.io.house_style import DOING_MARKS
from dispatch.io.html_parts import Html, el, join, link
from dispatch.io.timeline_sheet import day_span

from dispatch.day_bars import Bar, Doing
from dispatch.report import Report
from dispatch.units import MIN_PER_H, clock

FAR_MIN = 2 * MIN_PER_H
"""A site's hours may widen the picture by so much on either side of the day's work."""


@dataclass(frozen=True, slots=True)
class Look:
    """Measures of a picture in its own units, and the beginning of its names.

    ``gutter``: room for names before the bars; without it names stand above them, ``rise`` high.
    ``letter``: narrowest bar with a letter; ``size``: of letters.
    """

    prefix: str
    class_: str
    width: float
    gutter: float
    rise: float
    bar: float
    size: float
    letter: float
    name_room: int

    @property
    def lane(self) -> float:
        """Height of a lane."""
        return self.rise + self.bar + 0.9 * self.size


WIDE = Look("w", "wide", 1100, 190, 16, 26, 13, 11, 22)
NARROW = Look("n", "narrow", 340, 0, 31, 20, 12, 10, 36)


@dataclass(frozen=True, slots=True)
class Lane:
    """One line of a picture: its name, where the name leads, its bars, and the hours it is open (sites only)."""

    name: str
    anchor: str
    bars: tuple[Bar, ...]
    hours: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Scale:
    """Minutes of the day to places across a picture."""

    look: Look
    first: int
    last: int

    def x(self, minutes: int) -> float:
        """Place of a minute, in the picture's units; what lies outside stands at the edge."""
        inside = min(max(minutes, self.first), self.last)
        wide = self.look.width - self.look.gutter - 2
        return self.look.gutter + 1 + (inside - self.first) / (self.last - self.first) * wide


def rigs_picture(report: Report) -> Html:
    """What every rig does from hour to hour."""
    lanes = tuple(
        Lane(rig.name, f"rig-{number}", tuple(bar for bar in report.bars if bar.rig == rig.name))
        for number, rig in enumerate(report.problem.rigs, start=1)
    )
    return _pictures(lanes, "t", "Timeline of the rigs", day_span(report.bars))


def sites_picture(report: Report) -> Html:
    """When each site that is visited is open, and when a rig works or waits there; nothing without trips."""
    at_stops = (Doing.LOADING, Doing.UNLOADING, Doing.WAITING)
    lanes = []
    for name in dict.fromkeys(bar.place for bar in report.bars if bar.doing in at_stops):
        site = report.problem.sites[name]
        closes = 24 * MIN_PER_H if site.closes_min is None else site.closes_min
        bars = [bar for bar in report.bars if bar.place == name and bar.doing in at_stops]
        for number, beside in enumerate(_side_by_side(bars), start=1):
            shown = name if number == 1 else f"{name} ({number})"
            lanes.append(Lane(shown, "", beside, (site.opens_min or 0, closes)))
    return _pictures(lanes, "s", "Hours of the sites", _site_span(report, lanes)) if lanes else Html()


def _side_by_side(bars: Sequence[Bar]) -> list[tuple[Bar, ...]]:
    """The visits of a site in as many lines as rigs are there at once: no two bars of a line overlap."""
    lines: list[list[Bar]] = []
    first = {bar.trip: bar.from_min for bar in sorted(bars, key=lambda bar: -bar.from_min)}
    for trip in sorted(first, key=lambda trip: (first[trip], trip)):
        visit = [bar for bar in bars if bar.trip == trip]
        free = (line for line in lines if not any(_overlap(one, other) for one in line for other in visit))
        line = next(free, None)
        if line is None:
            lines.append(list(visit))
        else:
            line += visit
    return [tuple(sorted(line, key=lambda bar: bar.from_min)) for line in lines]


def _overlap(one: Bar, other: Bar) -> bool:
    return one.from_min < other.to_min and other.from_min < one.to_min


def _site_span(report: Report, lanes: Iterable[Lane]) -> tuple[int, int]:
    """The day's work, widened to the sites' hours as far as these are near."""
    first, last = day_span(report.bars)
    opens = [lane.hours[0] for lane in lanes if lane.hours]
    closes = [lane.hours[1] for lane in lanes if lane.hours]
    start = max(min([first, *opens]), first - FAR_MIN) // MIN_PER_H * MIN_PER_H
    return start, -(-min(max([last, *closes]), last + FAR_MIN) // MIN_PER_H) * MIN_PER_H


def _pictures(lanes: Sequence[Lane], kind: str, title: str, span: tuple[int, int]) -> Html:
    drawn = (_picture(lanes, kind, title, Scale(look, *span)) for look in (WIDE, NARROW))
    return el("figure", *drawn, class_="picture")


def _picture(lanes: Sequence[Lane], kind: str, title: str, scale: Scale) -> Html:
    look, name = scale.look, f"{kind}{scale.look.prefix}"
    top = 2.2 * look.size
    height = top + len(lanes) * look.lane + 4
    drawn = [_lane(lane, top + number * look.lane, scale, name) for number, lane in enumerate(lanes)]
    return el(
        "svg",
        el(
            "title",
            f"{title}, {clock(scale.first)} to {clock(scale.last)}; the same in words below",
            id_=f"{name}t",
        ),
        el("defs", *_patterns(name)),
        *_hours(scale, top, height),
        *drawn,
        viewBox=f"0 0 {look.width:g} {height:g}",
        class_=f"{look.class_} day",
        role="img",
        aria_labelledby=f"{name}t",
        font_size=f"{look.size:g}",
    )


def _patterns(name: str) -> Iterator[Html]:
    """Fillings that a black-and-white printer keeps apart."""
    lines = {
        Doing.LOADING: "M0 6L6 0",
        Doing.UNLOADING: "M0 0L6 6",
        Doing.BREAK: "M0 0L6 6M0 6L6 0",
    }
    for doing, drawn in lines.items():
        path = el("path", d=drawn, stroke="#444", stroke_width=1)
        yield el("pattern", path, id_=_filling(name, doing), width=6, height=6, patternUnits="userSpaceOnUse")
    dot = el("circle", cx=2, cy=2, r=0.9, fill="#444")
    waiting = _filling(name, Doing.WAITING)
    yield el("pattern", dot, id_=waiting, width=4, height=4, patternUnits="userSpaceOnUse")


def _filling(name: str, doing: Doing) -> str:
    return f"{name}-{DOING_MARKS[doing].letter}"


def _hours(scale: Scale, top: float, height: float) -> Iterator[Html]:
    """A line an hour, its figure above; every second or third figure where there are many."""
    look = scale.look
    hours = (scale.last - scale.first) // MIN_PER_H
    every = next(step for step in (1, 2, 3, 4, 6, 24) if step == 24 or hours / step * look.size * 2.6 < look.width)
    for number in range(hours + 1):
        minutes = scale.first + number * MIN_PER_H
        x = f"{scale.x(minutes):.1f}"
        yield el("path", d=f"M{x} {top - 3:.1f}V{height:.1f}", stroke="#bbb", stroke_width=1)
        if number % every == 0 and number < hours:
            yield el("text", str(minutes // MIN_PER_H), x=x, y=f"{1.3 * look.size:.1f}", text_anchor="start")


def _lane(lane: Lane, top: float, scale: Scale, name: str) -> Html:
    look = scale.look
    base = top + look.rise
    shown = lane.name if len(lane.name) <= look.name_room else lane.name[: look.name_room - 2] + ".."
    down = base + 0.7 * look.bar if look.gutter else top + 1.1 * look.size
    label = el("text", shown, x=2, y=f"{down:.1f}", font_weight="bold")
    parts = [el("a", label, href=f"#{lane.anchor}") if lane.anchor else label]
    if lane.hours is not None:
        parts.append(_window(lane.hours, base, scale))
    if not lane.bars:
        parts.append(el("text", "not used", x=f"{look.gutter + 4:g}", y=f"{base + 0.7 * look.bar:.1f}"))
    before = 0
    for bar in lane.bars:
        parts.append(_bar(bar, base, scale, name, numbered=bar.trip not in {0, before}))
        before = bar.trip or before
    return join(parts)


def _window(hours: tuple[int, int], base: float, scale: Scale) -> Html:
    """A site's hours: an open frame behind its visits."""
    left, right = scale.x(hours[0]), scale.x(hours[1])
    frame = {"fill": "#f4f4f4", "stroke": "#111", "stroke_dasharray": "4 2"}
    y, height = f"{base - 2:.1f}", f"{scale.look.bar + 4:.1f}"
    return el("rect", x=f"{left:.1f}", y=y, width=f"{right - left:.1f}", height=height, **frame)


def _bar(bar: Bar, base: float, scale: Scale, name: str, *, numbered: bool) -> Html:
    look = scale.look
    left, right = scale.x(bar.from_min), scale.x(bar.to_min)
    box = {"x": f"{left:.1f}", "y": f"{base:.1f}", "width": f"{right - left:.1f}", "height": f"{look.bar:g}"}
    parts = [el("title", bar_text(bar)), *_body(bar.doing, box, name)]
    middle, line = f"{(left + right) / 2:.1f}", f"{base + look.bar / 2 + 0.36 * look.size:.1f}"
    if right - left >= look.letter:
        parts += _letter(bar.doing, middle, line)
    if numbered:
        parts.append(el("text", str(bar.trip), x=f"{left + 1:.1f}", y=f"{base - 3:.1f}"))
    return el("a", *parts, href=f"#trip-{bar.trip}") if bar.trip else el("g", *parts)


def _body(doing: Doing, box: dict[str, str], name: str) -> Iterator[Html]:
    """Loaded black, empty white; the rest white under its pattern."""
    yield el("rect", **box, fill="#222" if doing is Doing.LOADED else "#fff", stroke="#111")
    if doing not in {Doing.LOADED, Doing.EMPTY}:
        yield el("rect", **box, fill=f"url(#{_filling(name, doing)})", stroke="#111")


def _letter(doing: Doing, x: str, y: str) -> Iterator[Html]:
    """The letter of what is done, on a white ground where a pattern lies beneath."""
    white = doing is Doing.LOADED
    weight = "normal" if doing is Doing.EMPTY else "bold"
    fill = "#fff" if white else "#111"
    outlined = None if white or doing is Doing.EMPTY else "outlined"
    look = {"text_anchor": "middle", "font_weight": weight, "fill": fill, "class_": outlined}
    yield el("text", DOING_MARKS[doing].letter, x=x, y=y, **look)


def bar_text(bar: Bar) -> str:
    """A bar in words: ``08:30-09:15 loading, Home yard (trip 1)``."""
    trip = f" (trip {bar.trip})" if bar.trip else ""
    return f"{clock(bar.from_min)}-{clock(bar.to_min)} {bar.doing.value}, {bar.place}{trip}"


def legend() -> Html:
    """What each pattern and letter means."""
    box = {"x": "1", "y": "1", "width": "26", "height": "18"}
    keys = []
    for doing in DOING_MARKS:
        drawn = (*_body(doing, box, "k"), *_letter(doing, "14", "14.5"))
        key = el("svg", *drawn, viewBox="0 0 28 20", width=28, height=20, font_size=13, aria_hidden="true")
        keys.append(el("span", key, " ", doing.value, class_="key"))
    shared = el("svg", el("defs", *_patterns("k")), width=0, height=0, class_="hidden", aria_hidden="true")
    return el("p", shared, *keys, class_="legend")


def in_words(report: Report) -> Iterator[tuple[str, list[Html]]]:
    """For each rig its bars in words, with links to the trips."""
    for rig in report.problem.rigs:
        lines = [
            link(f"trip-{bar.trip}", bar_text(bar)) if bar.trip else Html(join([bar_text(bar)]))
            for bar in report.bars
            if bar.rig == rig.name
        ]
        yield rig.name, lines
