"""A loaded rig from the side, to scale: deck, items, order and facing, distances, loads against limits.

The sign convention of the statics is the drawing's: the truck heads left, places grow to the right. The drawing
is the same byte for byte for the same load, and it is told apart by line and hatching, not by colour.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dispatch.io.output_units import OutputUnits
from dispatch.io.pictures import INK, MID, PALE, TEXT_PT, UPRIGHT_IN, WHITE, WIDTH_IN, picture

from dispatch.axle_loads import axle_positions, cg_in, contact_in, to_coupler
from dispatch.driver_page import AxleLoad
from dispatch.fleet import Deck, Hitch, Rig
from dispatch.items import Facing, Item
from dispatch.plan import Placed
from dispatch.problem import Problem

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HIGHEST_IN, HIGHEST_UPRIGHT_IN = 4.3, 2.0
"""A picture is as high as the load asks for, up to so much on paper; upright, so that two trips share a page."""
WHEEL_IN = 16.0
"""Radius of a drawn wheel, inches; like the shape of the cab a convention of the drawing only."""
FRAME_IN = (26.0, 36.0)
"""Under and upper edge of the drawn truck frame above the road."""
LINE_IN = 0.15
"""Height of one line of text on paper, inches."""
ABOVE_LINES = 2.4
"""Lines of text over the load."""
LOW_LINES = 2.4
"""An item lower than so many lines has its order over it, not in a circle on it."""
PLAIN_PT = 22.0
"""Size of the orders of loading in the drawing without figures."""
TABLE_LINES, DECK_LINES = 5.0, 2.1
"""Lines of text under the road: axle loads, and a line of distances for each deck in use."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """One item of the picture: its order of loading, and where it stands behind the steer axle, inches."""

    order: int
    item: Item
    placed: Placed
    front_in: float
    base_in: float


@dataclass(frozen=True, slots=True)
class Frame:
    """The picture's edges in inches: behind the steer axle and above the road."""

    left: float
    right: float
    bottom: float
    top: float
    paper_in: float

    @property
    def shape(self) -> float:
        """Height over width."""
        return (self.top - self.bottom) / (self.right - self.left)

    @property
    def line(self) -> float:
        """Height of one line of text, inches of the picture."""
        return LINE_IN / self.paper_in * (self.right - self.left)


def side_view(
    problem: Problem,
    rig: Rig,
    on_deck: Sequence[tuple[int, Placed]],
    loads: Sequence[AxleLoad],
    kind: str = "png",
    width_in: float = WIDTH_IN,
) -> bytes:
    """The drawing as ``png``, 160 pixels an inch, or as ``svg``; ``width_in`` is its width on paper.

    In the ``svg`` the groups ``item-1`` (by order), ``axle-1`` (from the front), ``deck-main``, ``deck-neck`` and
    ``coupler`` are what they say, to one scale in both directions.

    ``on_deck``: order of loading (from 1) and place of each item; ``loads``: what each axle carries, front to
    rear, the coupler last. Without ``loads`` it is the shapes and the orders of loading alone, for a screen too
    small for figures.
    """
    items = [_loaded(problem, rig, *one) for one in on_deck]
    frame = _frame(rig, items, width_in, plain=not loads)
    return picture(frame.shape, lambda figure: _draw(figure, frame, problem, rig, items, loads), kind, width_in)


def _loaded(problem: Problem, rig: Rig, order: int, placed: Placed) -> Loaded:
    neck = rig.trailer.neck
    base = neck.height_in if placed.deck is Deck.NECK and neck else rig.trailer.deck_height_in
    front = rig.truck.coupler_in + to_coupler(rig.trailer, placed.deck, placed.front_edge_in)
    return Loaded(order, problem.hauls[placed.haul].item, placed, front, base)


def _draw(
    figure: Figure, frame: Frame, problem: Problem, rig: Rig, items: Sequence[Loaded], loads: Sequence[AxleLoad]
) -> None:
    units = OutputUnits.of(problem.settings)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(frame.left, frame.right)
    axes.set_ylim(frame.bottom, frame.top)
    axes.plot((frame.left, frame.right), (0, 0), color=INK, linewidth=1.2)
    _truck(axes, rig)
    _trailer(axes, rig, named=bool(loads))
    _wheels(axes, rig)
    for one in items:
        _item(axes, one)
        if loads:
            _item_texts(axes, one, units, frame)
        else:
            _write(axes, *_above(one, frame), str(one.order), va="bottom", fontsize=PLAIN_PT, fontweight="bold")
    if loads:
        _distances(axes, rig, items, units, frame)
        _axle_table(axes, rig, loads, units, frame)


def _above(one: Loaded, frame: Frame) -> tuple[float, float]:
    """Just over the middle of an item."""
    return one.front_in + one.item.length_in / 2, one.base_in + one.item.height_in + 0.25 * frame.line


def _frame(rig: Rig, items: Sequence[Loaded], paper_in: float, *, plain: bool) -> Frame:
    """Edges to one scale in both directions, with room for the text under the road and over the load."""
    trailer = rig.trailer
    rear = trailer.deck_from_coupler_in + trailer.deck_length_in + trailer.deck_to_rear_in
    ends = [rig.truck.coupler_in + rear, *(one.front_in + one.item.length_in for one in items)]
    left, right = -rig.truck.front_overhang_in - 40, max(ends) + 20
    top = max([rig.truck.height_in or 96.0, *(one.base_in + one.item.height_in for one in items)])
    line = LINE_IN / paper_in
    decks = len({one.placed.deck for one in items})
    below = line * (0.5 if plain else TABLE_LINES + DECK_LINES * decks)
    above = line * ABOVE_LINES
    highest = (HIGHEST_UPRIGHT_IN if paper_in <= UPRIGHT_IN else HIGHEST_IN) / paper_in
    highest += line * DECK_LINES * (decks > 1)
    width = max(right - left, top / (highest - below - above))
    spare = (width - (right - left)) / 2
    return Frame(left - spare, right + spare, -below * width, top + above * width, paper_in)


def _polygon(axes: Axes, points: Sequence[tuple[float, float]], **style: Any) -> None:
    xs, ys = zip(*points, strict=True)
    look = {"facecolor": WHITE, "edgecolor": INK, "linewidth": 1.0, "zorder": 2} | style
    axes.fill(xs, ys, **look)  # a keyword ``gid`` names the shape in an SVG


def _box(axes: Axes, x: float, y: float, width: float, height: float, **style: Any) -> None:
    _polygon(axes, [(x, y), (x + width, y), (x + width, y + height), (x, y + height)], **style)


def _write(axes: Axes, x: float, y: float, text: str, **style: Any) -> None:
    look: dict[str, Any] = {"fontsize": TEXT_PT, "color": INK, "ha": "center", "va": "center", "zorder": 6} | style
    axes.text(x, y, text, parse_math=False, **look)


def _truck(axes: Axes, rig: Rig) -> None:
    truck = rig.truck
    nose, roof = -truck.front_overhang_in, truck.height_in or 96.0
    low, high = FRAME_IN
    back = max(nose + 70, min(0.48 * truck.wheelbase_in, 100.0))
    rear = max(truck.wheelbase_in + (truck.rear_axles - 1) / 2 * truck.rear_axle_spacing_in + 24, truck.coupler_in)
    _box(axes, nose, low, rear - nose, high - low, facecolor=PALE)
    hood = nose + 0.42 * (back - nose)
    cab = [(nose, low - 6), (nose, 52), (hood, 58), (hood + 14, roof), (back, roof), (back, low - 6)]
    _polygon(axes, cab)
    glass = [(hood + 6, 60), (hood + 16, roof - 6), (back - 8, roof - 6), (back - 8, 60)]
    _polygon(axes, glass, facecolor=PALE, linewidth=0.6)


def _trailer(axes: Axes, rig: Rig, *, named: bool) -> None:
    """Deck, dovetail (``named`` in words) and what it hangs on."""
    trailer, at = rig.trailer, rig.truck.coupler_in
    front, end = at + trailer.deck_from_coupler_in, at + trailer.deck_from_coupler_in + trailer.deck_length_in
    hinge, top = end - trailer.dovetail_length_in, trailer.deck_height_in
    _box(axes, front, top - 8, hinge - front, 8, facecolor=MID, zorder=3, gid="deck-main")
    if trailer.dovetail_length_in:
        _box(axes, hinge, top - 8, end - hinge, 8, facecolor=PALE, hatch="xxx", zorder=3, gid="dovetail")
        if named:
            _write(axes, (hinge + end) / 2, top - 20, "dovetail")
    if trailer.deck_to_rear_in:
        _box(axes, end, top - 6, trailer.deck_to_rear_in, 4, facecolor=WHITE, zorder=3)
    if trailer.hitch in {Hitch.PINTLE, Hitch.BALL}:
        axes.plot((at, front), (FRAME_IN[0], top - 5), color=INK, linewidth=2.5, zorder=2)
        axes.plot((at,), (FRAME_IN[0],), marker="o", color=INK, markersize=5, zorder=4, gid="coupler")
    else:
        _neck(axes, rig, front)


def _neck(axes: Axes, rig: Rig, deck_front: float) -> None:
    """The beam over the truck, down to the deck, and the pin on the coupler; the neck deck where there is one."""
    trailer, at = rig.trailer, rig.truck.coupler_in
    deck = trailer.neck
    top = deck.height_in if deck else max(trailer.deck_height_in + 6, FRAME_IN[1] + 18)
    beam = [(at - 14, top - 8), (at - 14, top), (deck_front - 8, top), (deck_front, trailer.deck_height_in)]
    beam += [(deck_front, trailer.deck_height_in - 8), (deck_front - 18, top - 8)]
    _polygon(axes, beam, facecolor=MID, zorder=3)
    axes.plot((at, at), (FRAME_IN[1], top - 8), color=INK, linewidth=4, zorder=2, gid="coupler")
    if deck:
        start = at + deck.from_coupler_in
        _box(axes, start, top - 6, deck.length_in, 6, facecolor=PALE, zorder=4, gid="deck-neck")


def _wheels(axes: Axes, rig: Rig) -> None:
    from matplotlib.patches import Circle  # noqa: PLC0415 - see side_view

    for number, x in enumerate(axle_positions(rig), start=1):
        axes.add_patch(
            Circle((x, WHEEL_IN), WHEEL_IN, facecolor=INK, edgecolor=INK, zorder=4, gid=f"axle-{number}")
        )
        axes.add_patch(Circle((x, WHEEL_IN), WHEEL_IN * 0.45, facecolor=WHITE, edgecolor=INK, zorder=4))


def _item(axes: Axes, one: Loaded) -> None:
    """Body, contact, heading and centre of gravity of an item."""
    item, left, base = one.item, one.front_in, one.base_in
    middle, height = left + item.length_in / 2, item.height_in
    look = {"facecolor": WHITE, "linewidth": 1.4, "zorder": 5, "gid": f"item-{one.order}"}
    _box(axes, left, base, item.length_in, height, **look)
    start, end = contact_in(item, one.placed.facing, left)
    for x, width in _contact_marks(item, start, end):
        _box(axes, x, base, width, min(7.0, height / 3), facecolor=INK, zorder=5)
    heading = -1 if one.placed.facing is Facing.FORWARD else 1
    reach = min(0.38 * item.length_in, 46.0)
    arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 1.6, "mutation_scale": 11}
    tip, tail = (middle + heading * reach, base + 0.45 * height), (middle - heading * reach, base + 0.45 * height)
    axes.annotate("", xy=tip, xytext=tail, arrowprops=arrow, zorder=6)
    cg = cg_in(item, one.placed.facing, left)
    axes.plot((cg,), (base + 0.22 * height,), marker="P", color=WHITE, markeredgecolor=INK, markersize=7, zorder=7)


def _item_texts(axes: Axes, one: Loaded, units: OutputUnits, frame: Frame) -> None:
    """Order of loading in a circle; name and weight above."""
    item, (middle, over) = one.item, _above(one, frame)
    room = max(6, int(item.length_in / (0.42 * frame.line)))
    name = textwrap.shorten(item.name, room * 2, placeholder="..") or item.name[: room * 2]
    lines = [*textwrap.wrap(name, room)[:2], units.weight_text(item.weight.nominal_lb)]
    if item.height_in < LOW_LINES * frame.line:
        lines[0] = f"({one.order}) {lines[0]}"
        _write(axes, middle, over, "\n".join(lines), va="bottom", linespacing=1.0)
        return
    circle = {"boxstyle": "circle,pad=0.25", "facecolor": WHITE, "edgecolor": INK, "linewidth": 1.0}
    _write(axes, middle, one.base_in + 0.75 * item.height_in, str(one.order), fontweight="bold", bbox=circle)
    _write(axes, middle, over, "\n".join(lines), va="bottom", linespacing=1.0)


def _contact_marks(item: Item, start: float, end: float) -> Sequence[tuple[float, float]]:
    """Left end and width of each mark: the whole patch, or one mark under each of two axles."""
    if item.two_axles:
        return [(start - 5, 10), (end - 5, 10)]
    return [(start, end - start)]


def _distances(axes: Axes, rig: Rig, items: Sequence[Loaded], units: OutputUnits, frame: Frame) -> None:
    """A line a deck under the road: from the deck's front to the front edge of every item on it."""
    row = -0.9 * frame.line
    for deck in (Deck.NECK, Deck.MAIN):
        on_it = sorted((one for one in items if one.placed.deck is deck), key=lambda one: one.front_in)
        if not on_it:
            continue
        zero = rig.truck.coupler_in + to_coupler(rig.trailer, deck, 0)
        axes.plot((zero, on_it[-1].front_in), (row, row), color=INK, linewidth=0.8)
        _tick(axes, zero, row, on_it[0].base_in, frame)
        _write(axes, zero - 0.4 * frame.line, row, f"{deck.value} deck front", ha="right")
        before = float("-inf")
        level = 0
        for one in on_it:
            level = 1 - level if one.front_in - before < 4.6 * frame.line else 0
            before = one.front_in
            _tick(axes, one.front_in, row, one.base_in, frame)
            text = units.place_text(one.placed.front_edge_in)
            _write(axes, one.front_in + 0.3 * frame.line, row - (0.5 + 0.9 * level) * frame.line, text, ha="left")
        row -= DECK_LINES * frame.line


def _tick(axes: Axes, x: float, row: float, top: float, frame: Frame) -> None:
    axes.plot((x, x), (row - 0.4 * frame.line, top), color=INK, linewidth=0.6, linestyle=(0, (4, 3)), zorder=6)


def _axle_table(axes: Axes, rig: Rig, loads: Sequence[AxleLoad], units: OutputUnits, frame: Frame) -> None:
    """Load, limit and use under every axle; the coupler in words at the bottom."""
    top = frame.bottom + 3.7 * frame.line
    for number, head in enumerate((f"load {units.weight}", "limit", "use, worst")):
        _write(axes, frame.left + 0.5 * frame.line, top - number * frame.line, head, ha="left", fontweight="bold")
    for x, texts in _axle_columns(axes, rig, loads, units, top + 0.6 * frame.line):
        for number, text in enumerate(texts):
            _write(axes, x, top - number * frame.line, text)
    shown, worst, limit, use = figures(loads[-1], units)
    words = ", ".join(text for text in (f"coupler {shown} {units.weight}", loads[-1].note) if text)
    if loads[-1].limit_lb is not None:
        words += f", worst case {worst}, limit {limit}, use {use}"
    if any(load.waived for load in loads):
        words += "; P: over the law, by permit"
    _write(axes, frame.left + 0.5 * frame.line, frame.bottom + 0.6 * frame.line, words, ha="left")


def _axle_columns(
    axes: Axes, rig: Rig, loads: Sequence[AxleLoad], units: OutputUnits, over: float
) -> Sequence[tuple[float, tuple[str, str, str]]]:
    """Where figures stand and which; trailer axles that carry the same share one column under a bracket."""
    behind = rig.truck.coupler_in + rig.trailer.coupler_to_first_axle_in
    places = [0.0, rig.truck.wheelbase_in]
    places += [behind + i * rig.trailer.axle_spacing_in for i in range(rig.trailer.axles)]
    texts = [(shown, limit, use) for shown, _, limit, use in (figures(load, units) for load in loads[:-1])]
    columns = list(zip(places, texts, strict=True))
    if rig.trailer.axles == 1 or len(set(texts[2:])) > 1:
        return columns
    axes.plot((places[2], places[-1]), (over, over), color=INK, linewidth=0.8)
    shown, limit, use = texts[2]
    return [*columns[:2], ((places[2] + places[-1]) / 2, (f"each {shown}", limit, use))]


def figures(load: AxleLoad, units: OutputUnits) -> tuple[str, str, str, str]:
    """Load, worst case, limit and use as texts; a dash where nothing limits the place."""
    shown = f"{units.to_weight(load.load_lb):,.0f}"
    if load.worst_lb is None or load.limit_lb is None:
        return shown, "-", "-", "-"
    use = f"{load.worst_lb / load.limit_lb:.0%}" + (" P" if load.waived else "")
    return shown, f"{units.to_weight(load.worst_lb):,.0f}", f"{units.to_weight(load.limit_lb):,.0f}", use
